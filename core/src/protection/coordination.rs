//! Fuse against fuse, and fuse against contactor.

use super::at_most_of;
use super::clearing::{Clearing, ClearingCurve};
use super::fuse::{FuseCheck, magnitude};
use super::melting::{CurveSide, MeltingCurve, MeltingTime};
use crate::design::{FuseType, Utilisation};
use crate::error::Error;
use crate::quantity::{Current, Share, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Share of the melting I2t upstream that the total I2t downstream may reach.
pub const SELECTIVE_SHARE: Share = constant!(Share::from_fraction(0.75));

/// How the controller opens a contactor on too much current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Trip {
    /// Current from which it opens.
    pub current: Current,
    /// From that current to open contacts: measuring, deciding, coil and contacts.
    pub time: Time,
}

/// Judges the gap of a partial-range fuse: the currents that melt it without being
/// broken have to be opened by a contactor.
///
/// The first check holds the smallest current that the fuse breaks against what the
/// contactor breaks at this voltage; the second whether the controller opens at a
/// current that does not yet melt the earliest fuse (within its curve); the third
/// whether the contactor is open before the earliest fuse has melted at the top of the
/// gap. The tolerance is that of the curve in current, usually
/// [`super::CURVE_TOLERANCE`]. All are not applicable to a fuse that breaks every current that melts it, and
/// open while it is not known which kind it is.
///
/// # Errors
/// Those of [`MeltingCurve::new`].
pub fn judge_gap(
    fuse: &FuseType,
    contactor_breaks: Option<Current>,
    trip: Option<Trip>,
    tolerance: Share,
) -> Result<[Judged<FuseCheck>; 3], Error> {
    let names = [
        FuseCheck::LowCurrentGap,
        FuseCheck::GapTripCurrent,
        FuseCheck::GapTrip,
    ];
    let source = SourceId::CommonPractice;
    let full_range = fuse.utilisation.is_some_and(Utilisation::full_range);
    let curve = MeltingCurve::new(fuse, CurveSide::Earliest, tolerance)?;
    let melts = match &curve {
        Some(curve) => Some(curve.least_current()?.as_amperes()),
        None => None,
    };
    let least = fuse.least_breaking.map(Current::as_amperes);
    // A full-range fuse may state its conventional current: below all that melts it.
    let no_gap = match (least, melts) {
        (None, _) => true,
        (Some(least), Some(melts)) => least <= melts,
        (Some(_), None) => false,
    };
    if full_range && no_gap {
        return Ok(names.map(|name| Judged {
            verdict: Verdict::NotApplicable,
            ..Judged::open(name, None, Side::AtMost, None, source)
        }));
    }
    let melted = match (&curve, fuse.least_breaking) {
        (Some(curve), Some(least)) => match curve.time_at(least) {
            // Within the curve it does not melt: there is more time than this.
            MeltingTime::After(time) | MeltingTime::LaterThan(time) => Some(time.as_seconds()),
            MeltingTime::NotKnown => None,
        },
        _ => None,
    };
    let [gap, current, time] = names;
    Ok([
        at_most_of(gap, least, contactor_breaks.map(magnitude), source),
        at_most_of(
            current,
            trip.map(|trip| magnitude(trip.current)),
            melts,
            source,
        ),
        at_most_of(
            time,
            trip.map(|trip| trip.time.as_seconds()),
            melted,
            source,
        ),
    ])
}

/// Judges whether the fuse downstream clears before the one upstream melts.
///
/// The first check, for faults that melt both within 0.01 s: what the upstream one carries
/// of the total I2t downstream, at a voltage that it holds for, against a share, usually
/// [`SELECTIVE_SHARE`], of the melting I2t upstream. The second, for the rest of the
/// currents that flow through both up to the largest: the worst share of its earliest melting
/// time that the upstream one is heated until the latest one downstream has cleared, at most
/// 1; the tolerance is that of both curves in current, usually [`super::CURVE_TOLERANCE`].
/// The arc counts by its I2t: its current falls. It is not applicable where no current is on
/// both curves.
///
/// `carried` is the share of the current downstream that flows through the one upstream: 1
/// where all of it does, less where other strings feed the rest. Its I2t is that share
/// squared.
///
/// # Errors
/// Those of [`MeltingCurve::new`].
pub fn judge_selectivity(
    downstream: &FuseType,
    upstream: &FuseType,
    voltage: Voltage,
    largest: Option<Current>,
    carried: Share,
    share: Share,
    tolerance: Share,
) -> Result<[Judged<FuseCheck>; 2], Error> {
    let source = SourceId::FuseSelectivity;
    let volts = libm::fabsf(voltage.as_volts());
    let part = carried.as_fraction();
    let total = downstream
        .total
        .filter(|_| downstream.total_at.is_some_and(|at| volts <= at.as_volts()))
        .map(|i2t| part * part * i2t.as_a2s());
    let melting = upstream
        .melting
        .map(|i2t| i2t.as_a2s() * share.as_fraction());
    let by_i2t = at_most_of(FuseCheck::SelectivityI2t, total, melting, source);
    Ok([
        by_i2t,
        by_time([downstream, upstream], voltage, largest, part, tolerance)?,
    ])
}

fn by_time(
    [downstream, upstream]: [&FuseType; 2],
    voltage: Voltage,
    largest: Option<Current>,
    part: f32,
    tolerance: Share,
) -> Result<Judged<FuseCheck>, Error> {
    let (name, source) = (FuseCheck::SelectivityTime, SourceId::MeltingIntegral);
    let open = Judged::open(name, None, Side::AtMost, Some(1.0), source);
    let branch = ClearingCurve::new(downstream, voltage, tolerance)?;
    let main = MeltingCurve::new(upstream, CurveSide::Earliest, tolerance)?;
    let (Some(main), Some(melts), Some(largest), Ok(from)) =
        (main, branch.melting(), largest, branch.least_cleared())
    else {
        return Ok(open);
    };
    let to = magnitude(largest);
    let from = libm::fmaxf(from * part, main.least_current()?.as_amperes()) / part;
    if to < from || part <= 0.0 {
        return Ok(Judged {
            verdict: Verdict::NotApplicable,
            ..open
        });
    }
    let (mut worst, mut unknown) = (None, false);
    let mut look = |amperes: f32| -> Result<(), Error> {
        let [current, above] = [amperes, part * amperes].map(Current::from_amperes);
        match (branch.at(current?), main.time_at(above?)) {
            (_, MeltingTime::LaterThan(_)) => {}
            // Judged by I2t: such times say nothing about a current that still rises.
            (Clearing::After { melting, .. }, MeltingTime::After(melted))
                if within_adiabatic(melting) && within_adiabatic(melted) => {}
            (Clearing::After { let_through, .. }, MeltingTime::After(melted)) => {
                // The arc's current falls: it heats as a third of its time at full current
                // would, less than that where a smaller current needs more I2t to melt.
                let heated = let_through.as_a2s() / (amperes * amperes);
                let quotient = heated / melted.as_seconds();
                worst = Some(worst.map_or(quotient, |worst| libm::fmaxf(worst, quotient)));
            }
            _ => unknown = true,
        }
        Ok(())
    };
    melts.sweep(from, to, &mut look)?;
    main.sweep(part * from, part * to, |above| look(above / part))?;
    Ok(match worst {
        Some(worst) if worst > 1.0 || !unknown => {
            Judged::compare(name, worst, Side::AtMost, 1.0, source)
        }
        None if !unknown => Judged {
            verdict: Verdict::NotApplicable,
            ..open
        },
        _ => open,
    })
}

/// Whether no heat leaves the element in that time.
fn within_adiabatic(time: Time) -> bool {
    time.as_seconds() <= super::ADIABATIC_MELTING_S
}
