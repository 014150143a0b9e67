//! Whether a contactor stands its circuit: carry, make, break, withstand.

use super::clearing::{Clearing, ClearingCurve, FuseGap, Unbroken};
use super::fuse::{magnitude, proven};
use super::{at_least_of, at_most, at_most_of};
use crate::design::{Arrow, ContactorType};
use crate::quantity::{
    Altitude, ConductorArea, Current, CurrentSquaredTime, Resistance, Temperature, Time, Voltage,
};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// A check of a contactor. The unit of value and limit stands behind each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum ContactorCheck {
    /// Highest voltage against that of the contacts, V.
    Voltage,
    /// Highest place against that of the part, m.
    Altitude,
    /// Lasting current against the rated one, A.
    Carry,
    /// Air against that of the rated current, degC.
    CarryAir,
    /// Section on the terminals against that of the rated current, mm2.
    CarrySection,
    /// Current on closing against what it makes, A.
    Make,
    /// Current from first to second terminal against what it breaks that way, A.
    BreakAlong,
    /// Current from second to first terminal against what it breaks that way, A.
    BreakAgainst,
    /// Peak of a fault through closed contacts, A.
    WithstandPeak,
    /// I2t of a fault through closed contacts, A2s.
    Withstand,
    /// Smallest current that the fuse is known to clear against what the contactor
    /// breaks, A: between the two nobody opens.
    NobodyBreaks,
    /// Closings against the endurance.
    Closings,
    /// Openings under load against the endurance for them.
    LoadOpenings,
    /// Voltage at the coil against what it needs to pull in, V.
    PullIn,
    /// Voltage at the coil against that at which it drops out, V.
    Hold,
}

/// Judges the voltage of the contacts against the highest of the circuit.
pub fn judge_contactor_voltage(
    part: &ContactorType,
    highest: Option<Voltage>,
) -> Judged<ContactorCheck> {
    let source = SourceId::Entered;
    at_most(ContactorCheck::Voltage, highest, part.voltage, source)
}

/// Judges the altitude: the arc of contacts in air is harder to put out in thin air.
pub fn judge_contactor_altitude(
    part: &ContactorType,
    highest: Option<Altitude>,
) -> Judged<ContactorCheck> {
    let source = SourceId::Entered;
    at_most(ContactorCheck::Altitude, highest, part.altitude, source)
}

/// What a contactor carries, and where.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Carrying {
    /// Lasting (r.m.s.) current.
    pub lasting: Option<Current>,
    /// Hottest air around it.
    pub air: Option<Temperature>,
    /// Smallest conductor on its terminals; its metal takes heat out of them.
    pub section: Option<ConductorArea>,
}

/// Judges the lasting current: within the rated one, in air no hotter and with a
/// conductor no smaller than the rated current holds for.
///
/// The rated current holds for those two only; a maker's derating goes into the part
/// as its own current and air.
pub fn judge_carry(part: &ContactorType, carrying: &Carrying) -> [Judged<ContactorCheck>; 3] {
    let source = SourceId::Entered;
    [
        at_most_of(
            ContactorCheck::Carry,
            carrying.lasting.map(magnitude),
            part.carry.map(Current::as_amperes),
            source,
        ),
        at_most(
            ContactorCheck::CarryAir,
            carrying.air,
            part.carry_air,
            source,
        ),
        at_least_of(
            ContactorCheck::CarrySection,
            carrying.section.map(ConductorArea::as_mm2),
            part.carry_section.map(ConductorArea::as_mm2),
            source,
        ),
    ]
}

/// Judges the current on closing: voltage left across the contacts after precharge over
/// the resistance of the loop, with nothing to slow its rise.
///
/// The residual voltage and the lowest resistance of the loop are the safe side. A loop
/// without resistance fails without a value, unless there is no voltage.
pub fn judge_make(
    part: &ContactorType,
    residual: Option<Voltage>,
    loop_resistance: Option<Resistance>,
) -> Judged<ContactorCheck> {
    let (name, source) = (ContactorCheck::Make, SourceId::OhmsLaw);
    let limit = part.make.map(Current::as_amperes);
    let (Some(residual), Some(resistance)) = (residual, loop_resistance) else {
        return Judged::open(name, None, Side::AtMost, limit, source);
    };
    let (volts, ohms) = (libm::fabsf(residual.as_volts()), resistance.as_ohms());
    if volts <= 0.0 {
        return at_most_of(name, Some(0.0), limit, source);
    }
    if ohms <= 0.0 {
        return Judged::failed_without_value(name, Side::AtMost, limit, source);
    }
    at_most_of(name, Some(volts / ohms), limit, source)
}

/// The largest currents that something may open a contactor on, by direction.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Opened {
    /// From its first terminal to its second; zero if it never flows that way.
    pub along: Option<Current>,
    /// From its second terminal to its first: regeneration, charging, back-feed from
    /// another string.
    pub against: Option<Current>,
}

/// What a contactor breaks in each direction at a voltage.
///
/// Along: from first to second terminal. With the arrow that way it breaks the forward
/// current along and the reverse current against; with the arrow the other way round
/// the two change places. A part that is not polarised breaks the forward current both
/// ways unless its datasheet says less. `None` where that is not known: voltage above
/// the one that the currents hold for, polarity not stated, current not stated. Of a
/// polarised part whose arrow is not known the smaller current counts both ways.
pub fn breaks(
    part: &ContactorType,
    arrow: Option<Arrow>,
    voltage: Option<Voltage>,
) -> [Option<Current>; 2] {
    let in_range = matches!(
        (voltage, part.break_voltage),
        (Some(voltage), Some(most)) if libm::fabsf(voltage.as_volts()) <= most.as_volts()
    );
    if !in_range {
        return [None, None];
    }
    let (forward, reverse) = (part.break_forward, part.break_reverse);
    match (part.polarised, arrow) {
        (Some(false), _) | (None, Some(Arrow::Without)) => {
            let reverse = reverse.or(forward);
            let both = smaller(forward, reverse);
            [both, both]
        }
        (_, Some(Arrow::Along)) => [forward, reverse],
        (_, Some(Arrow::Against)) => [reverse, forward],
        (_, Some(Arrow::Without) | None) => {
            let both = smaller(forward, reverse);
            [both, both]
        }
    }
}

/// The smaller of two currents; not known while one is not.
pub(crate) fn smaller(one: Option<Current>, other: Option<Current>) -> Option<Current> {
    let (one, other) = (one?, other?);
    Some(if other < one { other } else { one })
}

/// Judges opening under current, in both directions of the part: [`breaks`].
///
/// The first check is along, the second against. A direction in which no current flows
/// (zero) is not applicable.
pub fn judge_break(
    part: &ContactorType,
    arrow: Option<Arrow>,
    voltage: Option<Voltage>,
    opened: &Opened,
) -> [Judged<ContactorCheck>; 2] {
    let [along, against] = breaks(part, arrow, voltage);
    let judge = |name, current: Option<Current>, limit: Option<Current>| {
        let value = current.map(magnitude);
        let limit = limit.map(Current::as_amperes);
        let judged = at_most_of(name, value, limit, SourceId::Entered);
        match value {
            Some(amperes) if amperes <= 0.0 => Judged {
                verdict: Verdict::NotApplicable,
                ..judged
            },
            _ => judged,
        }
    };
    [
        judge(ContactorCheck::BreakAlong, opened.along, along),
        judge(ContactorCheck::BreakAgainst, opened.against, against),
    ]
}

/// Judges a fault through closed contacts: its peak and its I2t until the fuse has
/// broken it. Contacts lift on the peak and weld on the I2t.
pub fn judge_withstand(
    part: &ContactorType,
    peak: Option<Current>,
    let_through: Option<CurrentSquaredTime>,
) -> [Judged<ContactorCheck>; 2] {
    let source = SourceId::Entered;
    [
        at_most_of(
            ContactorCheck::WithstandPeak,
            peak.map(magnitude),
            part.withstand_peak.map(Current::as_amperes),
            source,
        ),
        at_most(
            ContactorCheck::Withstand,
            let_through,
            part.withstand,
            source,
        ),
    ]
}

/// The currents on which a controller must not open a contactor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ClosedBand {
    /// Above what the contactor breaks it stays closed and waits for the fuse.
    pub above: Current,
    /// Smallest current of which it is known that the fuse clears it.
    pub fuse_from: Option<Current>,
    /// Above this current the fuse has cleared before the contactor could have opened;
    /// `None` if that is so for no current up to the largest.
    pub fuse_first_from: Option<Current>,
    /// Longest wait for the fuse in the band.
    pub wait: Option<Time>,
    /// Whether every current of the band is cleared by the fuse. The value is the
    /// smallest that the fuse clears, the limit what the contactor breaks.
    pub judged: Judged<ContactorCheck>,
    /// What the datasheet of the fuse lacks.
    pub gap: Option<FuseGap>,
}

/// Whether the fuse in series takes over what a contactor does not break.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TakenOver {
    pub(crate) judged: Judged<ContactorCheck>,
    /// What the datasheet of the fuse lacks.
    pub(crate) gap: Option<FuseGap>,
    /// Why the fuse does not break the largest current, where it does not.
    pub(crate) unbroken: Option<Unbroken>,
}

/// Judges whether the fuse in series clears every current that a contactor does not break:
/// the smallest that it surely clears is at most what the contactor breaks.
///
/// Inputs and result: see [`closed_band`]; not applicable where the contactor breaks the
/// largest prospective current; open rather than failed where the datasheet gives no melting
/// curve.
pub(crate) fn judge_takes_over(
    breaks: Option<Current>,
    fuse: &ClearingCurve,
    largest: Current,
) -> TakenOver {
    let (name, source) = (ContactorCheck::NobodyBreaks, SourceId::Entered);
    let limit = breaks.map(Current::as_amperes);
    if limit.is_some_and(|limit| magnitude(largest) <= limit) {
        let not_applicable = Judged {
            verdict: Verdict::NotApplicable,
            ..Judged::open(name, None, Side::AtMost, limit, source)
        };
        return TakenOver {
            judged: not_applicable,
            gap: None,
            unbroken: None,
        };
    }
    let cleared = fuse.least_cleared();
    let at_largest = fuse.at(largest);
    let complete = !matches!(at_largest, Clearing::NotKnown(_));
    let mut unbroken = None;
    let mut judged = match (cleared, at_largest) {
        (_, Clearing::Never(why)) => {
            unbroken = Some(why);
            Judged::failed_without_value(name, Side::AtMost, limit, source)
        }
        (Ok(from), _) => proven(at_most_of(name, Some(from), limit, source), complete),
        (Err(_), _) => Judged::open(name, None, Side::AtMost, limit, source),
    };
    let gap = match (cleared, at_largest) {
        (Err(gap), _) | (_, Clearing::NotKnown(gap)) => Some(gap),
        (Ok(_), Clearing::After { .. } | Clearing::LaterThan(_))
            if judged.verdict == Verdict::Fails && !fuse.is_drawn() =>
        {
            judged.verdict = Verdict::Open;
            Some(FuseGap::MeltingThere)
        }
        _ => None,
    };
    TakenOver {
        judged,
        gap,
        unbroken,
    }
}

/// Halvings of the search for the current at which the fuse is first.
const SEARCH_STEPS: u8 = 32;

/// Computes: the band of currents in which the controller must hold the contactor
/// closed, because it cannot break them and the fuse has not yet.
///
/// Inputs: what the contactor breaks in this direction at the highest voltage
/// ([`breaks`]); the fuse in series at that voltage; largest prospective current; time
/// from the current to open contacts. Result: `None` while it is not known what the
/// contactor breaks, or if it breaks the largest current.
///
/// The wait is the clearing time just above what the contactor breaks: larger currents
/// are cleared sooner.
pub fn closed_band(
    breaks: Option<Current>,
    fuse: &ClearingCurve,
    largest: Current,
    opening: Time,
) -> Option<ClosedBand> {
    let (above, most) = (breaks?, magnitude(largest));
    if most <= above.as_amperes() {
        return None;
    }
    let TakenOver { judged, gap, .. } = judge_takes_over(breaks, fuse, largest);
    let cleared = fuse.least_cleared();
    let clears_by = |amperes: f32| {
        let current = Current::from_amperes(amperes).ok()?;
        match fuse.at(current) {
            Clearing::After { total, .. } => Some(total),
            _ => None,
        }
    };
    let from = cleared
        .ok()
        .map(|from| libm::fmaxf(from, above.as_amperes()));
    let first = |from: f32| {
        let sooner = |amperes| clears_by(amperes).is_some_and(|total| total <= opening);
        if !sooner(most) {
            return None;
        }
        let (mut low, mut high) = (from, most);
        if sooner(low) {
            return Current::from_amperes(low).ok();
        }
        for _ in 0..SEARCH_STEPS {
            let middle = libm::sqrtf(low) * libm::sqrtf(high);
            if sooner(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        Current::from_amperes(high).ok()
    };
    Some(ClosedBand {
        above,
        fuse_from: cleared
            .ok()
            .and_then(|from| Current::from_amperes(from).ok()),
        fuse_first_from: from.and_then(first),
        wait: from.and_then(clears_by),
        judged,
        gap,
    })
}

/// How often a contactor moves in its life.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Movements {
    /// Closings.
    pub closings: Option<u32>,
    /// Openings under load.
    pub load_openings: Option<u32>,
}

/// Judges how often it closes, and how often it opens under load, against what it lives
/// for. The limit of the second holds for its rated load; a larger current wears more.
pub fn judge_movements(part: &ContactorType, moved: Movements) -> [Judged<ContactorCheck>; 2] {
    let judge = |name, count: Option<u32>, limit: Option<u32>| {
        let number = |count: u32| {
            #[allow(clippy::cast_precision_loss)] // exact to 16 million, then 1 in 16 million
            let number = count as f32;
            number
        };
        at_most_of(
            name,
            count.map(number),
            limit.map(number),
            SourceId::Entered,
        )
    };
    [
        judge(ContactorCheck::Closings, moved.closings, part.endurance),
        judge(
            ContactorCheck::LoadOpenings,
            moved.load_openings,
            part.load_endurance,
        ),
    ]
}
