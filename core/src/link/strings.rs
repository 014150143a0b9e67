//! Strings in parallel: joining them, their share of the current, faults.

use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Charge, Current, Energy, Resistance, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Largest difference at which strings are joined without a resistor, in V, unless the
/// builder states another.
///
/// Source: common practice, no source; owners who joined at 3 V report welded contactors.
pub const JOIN_CEILING_V: f32 = 1.5;

/// Spread of the currents of equal strings above which it is worth a note, as a share.
/// Common practice, no source.
pub const SPREAD_NOTED: f32 = 0.15;

/// One string, with its own cables up to where the strings meet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct StringData {
    /// Voltage at rest.
    pub voltage: Voltage,
    /// Cells, links, fuse, contactors, cables.
    pub resistance: Resistance,
    /// Largest current into its cells.
    pub charge: Option<Current>,
    /// Largest current out of it: cells, cables, fuse.
    pub discharge: Option<Current>,
}

/// What limits the current on joining two strings.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Joining {
    /// The string with the higher voltage, or either.
    pub one: StringData,
    /// The other one.
    pub other: StringData,
    /// What lies between them and belongs to neither; the least it can be.
    pub path: Resistance,
    /// Largest current that the closing contactor may make.
    pub make: Option<Current>,
    /// Largest current of the fuse in the path for as long as equalising lasts.
    pub fuse: Option<Current>,
    /// Largest difference whatever the currents are; [`JOIN_CEILING_V`] by default,
    /// absent where a resistor joins them.
    pub ceiling: Option<Voltage>,
    /// The window that the controller works with.
    pub window: Option<Voltage>,
    /// Most by which it measures the voltage of a string wrong.
    pub voltage_error: Option<Voltage>,
    /// Charge that one string holds over a span of voltage at rest near where they are
    /// joined, to tell how much flows. A flat voltage curve holds much.
    pub charge_over: Option<(Charge, Voltage)>,
}

/// What limits a join.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum JoinBound {
    /// Cells that are charged.
    CellCharge,
    /// The string that is discharged.
    StringDischarge,
    /// Contactor.
    ContactorMake,
    /// Fuse.
    Fuse,
    /// The ceiling.
    Ceiling,
}

/// A check of strings in parallel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum StringCheck {
    /// Window of the controller against the largest that is allowed, in V.
    JoinWindow,
    /// Error of the measured voltage of a string against what the window needs, in V.
    JoinSensors,
    /// Share of a current against the limit of the string, in A.
    Share,
    /// Current into a string against the limit of the string for that, in A.
    ChargeShare,
    /// Current back into a faulted string against what its fuse breaks, in A.
    BackFeed,
}

/// What joining two strings does.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Join {
    /// Difference of both voltages as entered.
    pub difference: Voltage,
    /// First current at that difference.
    pub current: Current,
    /// First current at the window of the controller.
    pub window_current: Option<Current>,
    /// Charge that flows until both are equal; absent without the charge over a voltage.
    pub charge: Option<Charge>,
    /// Time constant of that, as if the voltage were straight.
    pub time_constant: Option<Time>,
    /// Energy that becomes heat.
    pub heat: Option<Energy>,
    /// Largest window, with what limits it; absent where nothing that limits is stated.
    pub largest: Option<(Voltage, JoinBound)>,
    /// The window judged. Open where a limit of cells, contactor or fuse is missing and
    /// what is known holds.
    pub check: Judged<StringCheck>,
    /// The error of the measured voltages judged. Two of them are compared, so that
    /// strings are apart by the window and twice the error when they are joined, which
    /// contactor, cells and fuse have to stand; and an error of half the window or more
    /// keeps equal strings from being joined. Open where the error, the window or a limit
    /// is missing.
    pub sensors: Judged<StringCheck>,
}

/// Computes and judges how two strings are joined.
///
/// Computes: `dU = I (Ra + Rb + Rpath)` for the weakest of all limits; whichever string is
/// lower is charged, so that the lower of both charge limits counts, and likewise for
/// discharge. `I = dU/R exp(-t/T)`, `Q = dU/2 s` for equal strings that hold the charge `s`
/// per volt, `T = R s/2`, heat `Q dU/2`.
///
/// # Errors
/// [`Error::OutOfRange`] outside [`Bounded::SystemVoltage`] and, for the loop,
/// [`Bounded::LinkResistance`]; [`Error::Inconsistent`] for charge over no voltage.
///
/// Source: Ohm's law; the ceiling is common practice without a source. A straight voltage
/// is good near one state of charge only.
pub fn join(joining: &Joining) -> Result<Join, Error> {
    for string in [joining.one, joining.other] {
        Bounded::SystemVoltage.check(string.voltage.as_volts())?;
    }
    let ohms = joining.one.resistance.as_ohms()
        + joining.other.resistance.as_ohms()
        + joining.path.as_ohms();
    let ohms = Bounded::LinkResistance.check(ohms)?;
    let difference = libm::fabsf(joining.one.voltage.as_volts() - joining.other.voltage.as_volts());
    let (largest, complete) = join_limit(joining, ohms);
    let limit = largest.map(|(volts, _)| volts);
    let window = joining.window.map(Voltage::as_volts);
    let mut check = Judged::known(
        StringCheck::JoinWindow,
        window,
        Side::AtMost,
        limit,
        SourceId::StringJoin,
    );
    if let Some((_, bound)) = largest
        && bound != JoinBound::Ceiling
    {
        check.source = SourceId::OhmsLaw;
    }
    if check.verdict == Verdict::Holds && !complete {
        check.verdict = Verdict::Open;
    }
    let sensors = judge_sensors(joining, ohms);
    let moved = joining
        .charge_over
        .map(|(charge, span)| -> Result<_, Error> {
            let (held, volts) = (charge.as_coulombs(), span.as_volts());
            if held <= 0.0 || volts <= 0.0 {
                return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
            }
            let per_volt = held / volts;
            let charge = 0.5 * difference * per_volt;
            Ok((
                Charge::from_coulombs(charge)?,
                Time::from_seconds(0.5 * ohms * per_volt)?,
                Energy::from_joules(0.5 * charge * difference)?,
            ))
        })
        .transpose()?;
    Ok(Join {
        difference: Voltage::from_volts(difference)?,
        current: Current::from_amperes(difference / ohms)?,
        window_current: window
            .map(|volts| Current::from_amperes(volts / ohms))
            .transpose()?,
        charge: moved.map(|(charge, ..)| charge),
        time_constant: moved.map(|(_, time, _)| time),
        heat: moved.map(|(.., heat)| heat),
        largest: largest
            .map(|(volts, bound)| Ok::<_, Error>((Voltage::from_volts(volts)?, bound)))
            .transpose()?,
        check,
        sensors,
    })
}

fn judge_sensors(joining: &Joining, ohms: f32) -> Judged<StringCheck> {
    let by_currents = Joining {
        ceiling: None,
        ..*joining
    };
    let (largest, complete) = join_limit(&by_currents, ohms);
    let most = joining.window.map(|window| {
        let window = window.as_volts();
        let left = largest.map_or(f32::INFINITY, |(largest, _)| largest - window);
        // A window that is too wide by itself is told by its own check.
        let left = if left > 0.0 { left } else { f32::INFINITY };
        0.5 * left.min(window)
    });
    let mut judged = Judged::known(
        StringCheck::JoinSensors,
        joining.voltage_error.map(Voltage::as_volts),
        Side::AtMost,
        most,
        SourceId::OhmsLaw,
    );
    if judged.verdict == Verdict::Holds && !complete {
        judged.verdict = Verdict::Open;
    }
    judged
}

/// The largest difference with what limits it, and whether cells, contactor and fuse are
/// all known.
fn join_limit(joining: &Joining, ohms: f32) -> (Option<(f32, JoinBound)>, bool) {
    let lower = |one: Option<Current>, other: Option<Current>| {
        let (one, other) = (one?.as_amperes(), other?.as_amperes());
        Some(one.min(other))
    };
    let (one, other) = (joining.one, joining.other);
    let amperes = |current: Option<Current>| current.map(Current::as_amperes);
    let currents = [
        (JoinBound::CellCharge, lower(one.charge, other.charge)),
        (
            JoinBound::StringDischarge,
            lower(one.discharge, other.discharge),
        ),
        (JoinBound::ContactorMake, amperes(joining.make)),
        (JoinBound::Fuse, amperes(joining.fuse)),
    ];
    let complete = currents.iter().all(|(_, limit)| limit.is_some());
    let ceiling = joining.ceiling.map(Voltage::as_volts);
    let mut least: Option<(f32, JoinBound)> = None;
    let volts = currents
        .into_iter()
        .map(|(bound, limit)| (bound, limit.map(|amperes| amperes * ohms)));
    for (bound, limit) in volts.chain([(JoinBound::Ceiling, ceiling)]) {
        if let Some(limit) = limit
            && least.is_none_or(|(known, _)| limit < known)
        {
            least = Some((limit, bound));
        }
    }
    (least, complete)
}

/// Current of one string, positive out of it, while all of them feed a total.
///
/// Computes: `U = (sum E G - I)/sum G`, `Ik = (Ek - U) Gk`, written over the differences
/// `sum (Ek - Ej) Gj` so that equal voltages cancel nothing. A string of which the number
/// is in `lost` carries none and counts for nothing; lost ones are told by their number.
///
/// # Errors
/// [`Error::Inconsistent`] for a string that is not there, is lost, or has no resistance.
///
/// Source: circuit of the strings.
pub fn string_current(
    strings: &[StringData],
    lost: &[usize],
    which: usize,
    total: Current,
) -> Result<Current, Error> {
    let here = |number: &usize| !lost.contains(number);
    let Some(asked) = strings.get(which).filter(|_| here(&which)) else {
        return Err(Error::Inconsistent(Inconsistency::UnknownReference));
    };
    let (mut conductance, mut differences) = (0.0, 0.0);
    for (_, string) in strings.iter().enumerate().filter(|(n, _)| here(n)) {
        let one = conductance_of(string)?;
        conductance += one;
        differences += (asked.voltage.as_volts() - string.voltage.as_volts()) * one;
    }
    let own = conductance_of(asked)?;
    Current::from_amperes((differences + total.as_amperes()) * (own / conductance))
}

/// Judges the current of one string against its limit for that direction.
///
/// # Errors
/// As [`string_current`].
pub fn judge_string_current(
    strings: &[StringData],
    lost: &[usize],
    which: usize,
    total: Current,
) -> Result<Judged<StringCheck>, Error> {
    let current = string_current(strings, lost, which, total)?.as_amperes();
    let limit = strings.get(which).and_then(|string| {
        if current < 0.0 {
            string.charge
        } else {
            string.discharge
        }
    });
    Ok(Judged::known(
        StringCheck::Share,
        Some(libm::fabsf(current)),
        Side::AtMost,
        limit.map(Current::as_amperes),
        SourceId::StringShare,
    ))
}

/// Largest total that the strings that are left carry, each within its discharge limit,
/// starting from equal voltages: `min(Ik/Gk) sum G`. Absent where a limit is missing.
///
/// # Errors
/// [`Error::Inconsistent`] where no string is left or one has no resistance.
pub fn most_together(strings: &[StringData], lost: &[usize]) -> Result<Option<Current>, Error> {
    let (mut conductance, mut least) = (0.0, f32::INFINITY);
    for (number, string) in strings.iter().enumerate() {
        if lost.contains(&number) {
            continue;
        }
        let one = conductance_of(string)?;
        conductance += one;
        let Some(limit) = string.discharge else {
            return Ok(None);
        };
        least = least.min(limit.as_amperes() / one);
    }
    if conductance <= 0.0 {
        return Err(Error::Inconsistent(Inconsistency::UnknownReference));
    }
    Current::from_amperes(least * conductance).map(Some)
}

/// How far the currents of strings of equal voltage are apart: `(max - min)/mean`.
///
/// # Errors
/// As [`most_together`].
pub fn string_spread(strings: &[StringData], lost: &[usize]) -> Result<f32, Error> {
    let (mut sum, mut count) = (0.0, 0.0);
    let (mut most, mut least) = (0.0_f32, f32::INFINITY);
    for (number, string) in strings.iter().enumerate() {
        if lost.contains(&number) {
            continue;
        }
        let one = conductance_of(string)?;
        sum += one;
        count += 1.0;
        most = most.max(one);
        least = least.min(one);
    }
    if sum <= 0.0 {
        return Err(Error::Inconsistent(Inconsistency::UnknownReference));
    }
    Ok((most - least) * count / sum)
}

/// A string with a short circuit in it, fed by the others.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct FaultedString {
    /// Which one.
    pub which: usize,
    /// What is left of its voltage at rest; zero for a short circuit across all of it.
    pub voltage: Voltage,
    /// What is left of its resistance up to where the strings meet, fault included.
    pub resistance: Resistance,
}

/// Current from all healthy strings into a faulted one.
///
/// Computes: `I = (U - Uf)/(1/sum G + Rf)` with `U` the mean of the healthy voltages
/// weighted by `G`. What the rest of the vehicle draws or delivers is left out.
///
/// # Errors
/// [`Error::Inconsistent`] where no healthy string is there or one has no resistance, and
/// where nothing limits the current.
///
/// Source: circuit of the strings.
pub fn back_feed(strings: &[StringData], fault: &FaultedString) -> Result<Current, Error> {
    let (mut conductance, mut differences) = (0.0, 0.0);
    for (number, string) in strings.iter().enumerate() {
        if number == fault.which {
            continue;
        }
        let one = conductance_of(string)?;
        conductance += one;
        differences += (string.voltage.as_volts() - fault.voltage.as_volts()) * one;
    }
    if conductance <= 0.0 || fault.which >= strings.len() {
        return Err(Error::Inconsistent(Inconsistency::UnknownReference));
    }
    // (sum dU G / sum G) / (1 / sum G + Rf)
    Current::from_amperes(differences / (1.0 + conductance * fault.resistance.as_ohms()))
}

/// Judges the current into a faulted string against the breaking capacity of its fuse.
/// Without a fuse of its own nothing breaks it: leave the capacity absent and the check
/// stays open; it never passes.
///
/// # Errors
/// As [`back_feed`].
pub fn judge_back_feed(
    strings: &[StringData],
    fault: &FaultedString,
    breaking: Option<Current>,
) -> Result<Judged<StringCheck>, Error> {
    let current = back_feed(strings, fault)?;
    Ok(Judged::known(
        StringCheck::BackFeed,
        Some(current.as_amperes()),
        Side::AtMost,
        breaking.map(Current::as_amperes),
        SourceId::StringShare,
    ))
}

fn conductance_of(string: &StringData) -> Result<f32, Error> {
    let ohms = string.resistance.as_ohms();
    if ohms <= 0.0 {
        return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
    }
    Ok(1.0 / Bounded::LinkResistance.check(ohms)?)
}
