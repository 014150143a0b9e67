//! Whether a fuse stands its circuit: voltage, breaking, lasting current, pulses.

use super::melting::{CurveSide, MeltingCurrent, MeltingCurve};
use super::{at_most, at_most_of};
use crate::design::FuseType;
use crate::error::Error;
use crate::quantity::{Altitude, Current, Share, Temperature, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Share of the melting current of the same time that a repeated pulse may reach.
pub const REPEATED_PULSE: Share = constant!(Share::from_fraction(0.5));

/// Share of a melting that a repeated course of current may do: [`REPEATED_PULSE`]
/// squared, since melting goes with the square of the current.
pub const REPEATED_MELTING: Share = constant!(Share::from_fraction(0.25));

/// Air, degC, for which the rated current holds without a derating curve: the top of
/// the range in which IEC 60269-1 tests, 20 +- 5 degC (from memory).
pub const RATED_AIR_DEGC: f32 = 25.0;

/// Height up to which a fuse keeps its rating (IEC 60269-1, 3.2, from memory).
pub(crate) const FULL_RATING_M: f32 = 2000.0;

/// A check of a fuse. The unit of value and limit stands behind each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum FuseCheck {
    /// Highest voltage against the rated direct voltage, V.
    Voltage,
    /// L/R of the circuit against that of the fuse's test, s.
    TimeConstant,
    /// Largest prospective current against the breaking capacity, A.
    BreakingCapacity,
    /// Lasting current against what the fuse carries where it is, A.
    Continuous,
    /// A repeated pulse against its share of the melting current, A.
    Pulse,
    /// A repeated course of current: its share of a melting against the allowed one.
    Course,
    /// Smallest current that the fuse breaks against what a contactor breaks, A.
    LowCurrentGap,
    /// The current at which the controller opens against the smallest that melts, A.
    GapTripCurrent,
    /// Time until the contactor has opened in that gap against the melting time, s.
    GapTrip,
    /// Total I2t against the allowed share of the melting I2t upstream, A2s.
    SelectivityI2t,
    /// Worst clearing time over the melting time upstream, a plain number.
    SelectivityTime,
    /// Smallest fault: clearing time against the allowed one, s.
    LeastFault,
    /// Whose limit keeps a lasting overload off the conductor: rated current or
    /// controller limit against the conductor's lasting current, A.
    OverloadOwner,
    /// Worst share of what the cable stands, over all currents.
    Cable,
    /// The same for its shield.
    Shield,
    /// The same for a bond strap.
    Strap,
    /// The same for the I2t of a closed contactor.
    ContactorI2t,
}

/// Judges the rated voltage: direct, and at least the highest of the circuit.
pub fn judge_fuse_voltage(fuse: &FuseType, highest: Option<Voltage>) -> Judged<FuseCheck> {
    at_most(FuseCheck::Voltage, highest, fuse.voltage, SourceId::Entered)
}

/// Judges the time constant: the longest L/R of the faults that the fuse has to break,
/// against the one that it was tested with.
pub fn judge_time_constant(fuse: &FuseType, longest: Option<Time>) -> Judged<FuseCheck> {
    let source = SourceId::Entered;
    at_most(FuseCheck::TimeConstant, longest, fuse.time_constant, source)
}

/// Judges the breaking capacity: at least the largest prospective current where the
/// fuse is, other strings included.
pub fn judge_breaking(fuse: &FuseType, largest: Option<Current>) -> Judged<FuseCheck> {
    at_most_of(
        FuseCheck::BreakingCapacity,
        largest.map(magnitude),
        fuse.breaking.map(Current::as_amperes),
        SourceId::Entered,
    )
}

/// Where a fuse sits.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct FusePlace {
    /// Hottest air around it.
    pub air: Option<Temperature>,
    /// Highest altitude.
    pub altitude: Option<Altitude>,
}

/// What a fuse carries for ever, and how that came about.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
pub struct Carried {
    /// Rated current.
    pub rated: Option<Current>,
    /// What the air leaves of it.
    pub air: Option<Share>,
    /// What the holder leaves of it.
    pub holder: Option<Share>,
    /// What the altitude leaves of it.
    pub altitude: Option<Share>,
    /// Rated current times the shares that are known. While one is missing the fuse
    /// may carry less, never more.
    pub at_most: Option<Current>,
    /// Whether all shares are known.
    pub complete: bool,
}

/// What a fuse of this type carries for ever at its place.
///
/// The air's share is read from the derating curve, straight between its points: below
/// the first the share of the first, above the last not known. Without a curve the
/// share is 1 up to [`RATED_AIR_DEGC`] and not known above.
///
/// Altitude: 0.5 % less for each 100 m above 2000 m
/// ([`SourceId::FuseAltitude`]).
///
/// # Errors
/// [`Error::OutOfRange`] does not occur for accepted values.
pub fn carried(fuse: &FuseType, place: &FusePlace) -> Result<Carried, Error> {
    let air = match place.air {
        Some(air) => air_share(fuse, air)?,
        None => None,
    };
    let altitude = match place.altitude {
        Some(altitude) => {
            let above = libm::fmaxf(altitude.as_metres() - FULL_RATING_M, 0.0);
            Some(Share::from_fraction(1.0 - 0.005 * above / 100.0)?)
        }
        None => None,
    };
    let known = [air, fuse.holder, altitude]
        .into_iter()
        .flatten()
        .map(Share::as_fraction)
        .product();
    Ok(Carried {
        rated: fuse.rated,
        air,
        holder: fuse.holder,
        altitude,
        at_most: match fuse.rated {
            Some(rated) => Some((rated * Share::from_fraction(known)?)?),
            None => None,
        },
        complete: fuse.rated.is_some()
            && air.is_some()
            && fuse.holder.is_some()
            && altitude.is_some(),
    })
}

/// What air of this temperature leaves of the rated current; `None` where the datasheet
/// does not say.
fn air_share(fuse: &FuseType, air: Temperature) -> Result<Option<Share>, Error> {
    let degc = air.as_degc();
    let Some(first) = fuse.derating.first() else {
        return Ok((degc <= RATED_AIR_DEGC).then_some(constant!(Share::from_fraction(1.0))));
    };
    if degc <= first.air.as_degc() {
        return Ok(Some(first.carries));
    }
    let after = fuse.derating.iter().skip(1);
    for (cool, hot) in fuse.derating.iter().zip(after) {
        let (low, high) = (cool.air.as_degc(), hot.air.as_degc());
        // A curve that runs back is reported by the check of the design; the share of
        // its hotter point errs on the safe side here.
        if degc <= high {
            let part = if high > low {
                (degc - low) / (high - low)
            } else {
                1.0
            };
            let (from, to) = (cool.carries.as_fraction(), hot.carries.as_fraction());
            let share = from + libm::fminf(libm::fmaxf(part, 0.0), 1.0) * (to - from);
            return Share::from_fraction(libm::fminf(libm::fmaxf(share, 0.0), 1.0)).map(Some);
        }
    }
    Ok(None)
}

/// Judges the lasting current at the place of the fuse.
///
/// Open while the air, its share, the holder's or the altitude is not known, unless the current is
/// too much already with the shares that are.
///
/// # Errors
/// Those of [`carried`].
pub fn judge_continuous(
    fuse: &FuseType,
    place: &FusePlace,
    lasting: Option<Current>,
) -> Result<Judged<FuseCheck>, Error> {
    let carried = carried(fuse, place)?;
    let lasting = lasting.map(magnitude);
    let judged = at_most_of(
        FuseCheck::Continuous,
        lasting,
        carried.at_most.map(Current::as_amperes),
        SourceId::CommonPractice,
    );
    Ok(proven(judged, carried.complete))
}

/// Turns a pass into an open check while something is missing; a failure stays one.
pub(super) const fn proven<N: Copy>(judged: Judged<N>, complete: bool) -> Judged<N> {
    match judged.verdict {
        Verdict::Holds if !complete => Judged::open(
            judged.name,
            judged.value,
            judged.side,
            judged.limit,
            judged.source,
        ),
        _ => judged,
    }
}

/// Magnitude of a current, A.
pub(super) fn magnitude(current: Current) -> f32 {
    libm::fabsf(current.as_amperes())
}

/// A current that comes again and again.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // a pulse has a height and a length
pub struct Pulse {
    /// Its current.
    pub current: Current,
    /// How long it lasts.
    pub duration: Time,
}

/// Judges a repeated pulse: its current against a share, usually [`REPEATED_PULSE`], of
/// the current that melts the earliest fuse in the same time. The tolerance is that of
/// the curve in current, usually [`super::CURVE_TOLERANCE`].
///
/// A pulse that the fuse carries for ever holds, however long. Longer than the curve,
/// it is held against the current that the I2t of its last point gives, shorter than a
/// curve without melting I2t against its largest current, and open where that is not
/// enough. The r.m.s. current of the whole duty is judged by
/// [`judge_continuous`]; both are needed.
///
/// # Errors
/// Those of [`MeltingCurve::new`] and [`carried`].
pub fn judge_pulse(
    fuse: &FuseType,
    place: &FusePlace,
    pulse: Pulse,
    share: Share,
    tolerance: Share,
) -> Result<Judged<FuseCheck>, Error> {
    let (name, source) = (FuseCheck::Pulse, SourceId::FusePulses);
    let amperes = magnitude(pulse.current);
    let carried = carried(fuse, place)?;
    if let (true, Some(limit)) = (carried.complete, carried.at_most)
        && amperes <= limit.as_amperes()
    {
        let limit = limit.as_amperes();
        return Ok(Judged::compare(name, amperes, Side::AtMost, limit, source));
    }
    let open = Judged::open(name, Some(amperes), Side::AtMost, None, source);
    let Some(curve) = MeltingCurve::new(fuse, CurveSide::Earliest, tolerance)? else {
        return Ok(open);
    };
    if pulse.duration.as_seconds() <= 0.0 {
        return Ok(Judged {
            verdict: Verdict::NotApplicable,
            ..open
        });
    }
    let compare = |melts: Current| {
        let limit = melts.as_amperes() * share.as_fraction();
        Judged::compare(name, amperes, Side::AtMost, limit, source)
    };
    Ok(match curve.current_within(pulse.duration) {
        Ok(MeltingCurrent::At(melts)) => compare(melts),
        Ok(MeltingCurrent::Between { least, most }) => {
            let (surely, hardly) = (compare(least), compare(most));
            match hardly.verdict {
                Verdict::Fails => hardly,
                _ => open_unless_it_holds(surely),
            }
        }
        Ok(MeltingCurrent::AtLeast(least)) => open_unless_it_holds(compare(least)),
        // So short that the melting current is beyond every accepted one.
        Err(_) => compare(constant!(Current::from_amperes(1.0e6))),
    })
}

/// Leaves a check open that a limit on the safe side does not let pass.
fn open_unless_it_holds(judged: Judged<FuseCheck>) -> Judged<FuseCheck> {
    match judged.verdict {
        Verdict::Fails => Judged {
            verdict: Verdict::Open,
            ..judged
        },
        _ => judged,
    }
}

/// Judges a repeated course of current by the share of a melting that it does, from
/// [`super::Melting::fraction`] on the earliest side, against a limit, usually
/// [`REPEATED_MELTING`].
pub fn judge_course(melted: Option<Share>, limit: Share) -> Judged<FuseCheck> {
    let source = SourceId::MeltingIntegral;
    at_most(FuseCheck::Course, melted, Some(limit), source)
}

/// Whose limit keeps a lasting overload off the conductor.
///
/// Holds where the rated current of the fuse, or else a limit that the controller
/// keeps, is at most the lasting current of the conductor. A rated current says little
/// about when the fuse acts; the currents between are judged by
/// [`super::judge_guarded`].
pub fn judge_overload_owner(
    fuse: &FuseType,
    conductor: Option<Current>,
    controller_limit: Option<Current>,
) -> Judged<FuseCheck> {
    judge_overload(fuse.rated, conductor, controller_limit)
}

/// The same for what fuses together let through.
pub(crate) fn judge_overload(
    fuses: Option<Current>,
    conductor: Option<Current>,
    controller_limit: Option<Current>,
) -> Judged<FuseCheck> {
    let name = FuseCheck::OverloadOwner;
    let judge = |owner| at_most(name, owner, conductor, SourceId::CommonPractice);
    let (by_fuse, by_controller) = (judge(fuses), judge(controller_limit));
    let owns = matches!(by_controller.verdict, Verdict::Holds);
    if owns && !matches!(by_fuse.verdict, Verdict::Holds) {
        by_controller
    } else {
        by_fuse
    }
}

/// Judges the smallest fault: cleared at all, and within a time.
///
/// Inputs: what the fuse does at the smallest prospective current; allowed time,
/// usually [`super::DISCONNECTION`].
pub fn judge_least_fault(clearing: Option<super::Clearing>, allowed: Time) -> Judged<FuseCheck> {
    let (name, limit) = (FuseCheck::LeastFault, Some(allowed.as_seconds()));
    let source = SourceId::Iec60364Disconnection;
    match clearing {
        Some(super::Clearing::After { total, .. }) => {
            at_most(name, Some(total), Some(allowed), source)
        }
        Some(super::Clearing::LaterThan(time)) if time >= allowed => {
            Judged::failed_without_value(name, Side::AtMost, limit, source)
        }
        Some(super::Clearing::Never(_)) => {
            Judged::failed_without_value(name, Side::AtMost, limit, source)
        }
        None | Some(super::Clearing::LaterThan(_) | super::Clearing::NotKnown(_)) => {
            Judged::open(name, None, Side::AtMost, limit, source)
        }
    }
}
