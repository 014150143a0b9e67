//! Which fuses of a series a circuit allows: the interval of rated currents and of I2t,
//! and what binds at either end.

use heapless::Vec;

use super::coordination::Trip;
use super::fuse::{
    FuseCheck, FusePlace, Pulse, judge_breaking, judge_fuse_voltage, judge_time_constant,
};
use super::guarded::Guarded;
use super::remedy::{MAX_REMEDIES, Remedy};
use super::series::{Condition, Series};
use crate::design::FuseType;
use crate::error::Error;
use crate::quantity::{Current, CurrentSquaredTime, Share, Time, Voltage};
use crate::verdict::Verdict;

/// Most checks whose input is missing: there are no more names.
pub const MAX_OPEN_CHECKS: usize = 20;

/// What a fuse has to carry and to protect.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct FuseCircuit<'a> {
    /// Highest voltage that it has to break.
    pub voltage: Voltage,
    /// Longest time constant L/R of the faults that it has to break.
    pub time_constant: Option<Time>,
    /// Where it sits.
    pub place: FusePlace,
    /// Lasting (r.m.s.) current of the duty.
    pub lasting: Option<Current>,
    /// Pulses of the duty.
    pub pulses: &'a [Pulse],
    /// Share of the melting current that each may reach, usually
    /// [`super::REPEATED_PULSE`].
    pub pulse_share: Share,
    /// Tolerance of the melting curve in current, usually [`super::CURVE_TOLERANCE`].
    pub tolerance: Share,
    /// Smallest prospective current of a bolted fault: its far end, lowest voltage,
    /// highest resistance.
    pub smallest_fault: Option<Current>,
    /// Largest prospective current.
    pub largest_fault: Option<Current>,
    /// Whether other fuses end every fault that it carries, so that no smallest fault binds.
    pub spared: bool,
    /// Time within which the smallest fault has to be cleared, usually
    /// [`super::DISCONNECTION`].
    pub disconnection: Time,
    /// What it protects over all currents: [`FuseCheck::Cable`], [`FuseCheck::Shield`],
    /// [`FuseCheck::Strap`], [`FuseCheck::ContactorI2t`]. The cable sees every overload
    /// that the controller and its contactor do not clear, the others the faults only.
    pub guarded: &'a [(FuseCheck, Guarded<'a>)],
    /// Current that the conductor carries for ever.
    pub conductor_lasting: Option<Current>,
    /// Limit that the controller keeps.
    pub controller_limit: Option<Current>,
    /// What the contactor in series breaks at that voltage.
    pub contactor_breaks: Option<Current>,
    /// How the controller opens that contactor.
    pub trip: Option<Trip>,
}

/// One end of the window: the fuse of the series that just holds.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
pub struct WindowEnd {
    /// Its rated current.
    pub rated: Current,
    /// Its melting I2t, where the pattern states one.
    pub melting: Option<CurrentSquaredTime>,
    /// Its total I2t, where the pattern states one.
    pub total: Option<CurrentSquaredTime>,
    /// What binds.
    pub binds: FuseCheck,
    /// Which pulse, or which of the guarded, counted from zero.
    pub index: u8,
    /// Multiple of the pattern.
    pub(super) scale: f32,
}

/// One side of the window.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[allow(clippy::exhaustive_enums)] // bound, free, impossible
#[allow(clippy::large_enum_variant)] // small enough to copy
pub enum WindowSide {
    /// Nothing binds within 64 times the pattern.
    Free,
    /// This fuse just holds.
    At(WindowEnd),
    /// No fuse of the series keeps this check.
    Never(FuseCheck),
}

/// The window of a circuit in one series of fuses.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FuseWindow {
    /// The smallest fuse that carries the duty.
    pub least: WindowSide,
    /// The largest fuse that protects everything.
    pub most: WindowSide,
    /// Checks that could not be made, because an input is missing: they bound nothing
    /// yet, and the window may shrink.
    pub open: Vec<FuseCheck, MAX_OPEN_CHECKS, u8>,
    /// Whether a fuse of the series fits, as far as the checks could be made: open
    /// while one of them could not.
    pub verdict: Verdict,
    /// What opens it, each by itself, where it is empty.
    pub remedies: Vec<Remedy, MAX_REMEDIES, u8>,
}

impl FuseWindow {
    /// Notes a check that could not be made, once.
    pub(super) fn note(&mut self, name: FuseCheck) {
        if !self.open.contains(&name) {
            // There are no more names than fit.
            let _ = self.open.push(name);
        }
    }
}

/// Computes: which fuses of a series a circuit allows.
///
/// Method: the series is the pattern made larger and smaller: all currents of its curve,
/// its rated and its smallest breaking current go with the rated current, its I2t with
/// the square of it, all else stays (common practice for fuses of one series and size;
/// judge the part that is bought by itself). Each condition is searched for the rated
/// current at which it turns, 15 halvings over 64 times the pattern either way.
///
/// From below: [`super::judge_continuous`], [`super::judge_pulse`]. From above: [`super::judge_guarded`],
/// [`super::judge_least_fault`], [`super::judge_overload_owner`], the first of [`super::judge_gap`].
///
/// # Errors
/// Those of the checks.
pub fn fuse_window(pattern: &FuseType, circuit: &FuseCircuit<'_>) -> Result<FuseWindow, Error> {
    let series = Series::new(pattern, circuit);
    let mut window = FuseWindow {
        least: WindowSide::Free,
        most: WindowSide::Free,
        open: Vec::new(),
        verdict: Verdict::Holds,
        remedies: Vec::new(),
    };
    // What no size of fuse mends is said first.
    let volts = judge_fuse_voltage(pattern, Some(circuit.voltage));
    let breaking = judge_breaking(pattern, circuit.largest_fault);
    let time_constant = judge_time_constant(pattern, circuit.time_constant);
    for judged in [volts, breaking, time_constant] {
        match judged.verdict {
            Verdict::Fails => {
                window.most = WindowSide::Never(judged.name);
                window.verdict = Verdict::Fails;
                return Ok(window);
            }
            Verdict::Open => window.note(judged.name),
            Verdict::Holds | Verdict::NotApplicable => {}
        }
    }
    series.add(&mut window, Condition::Continuous)?;
    for index in 0..circuit.pulses.len() {
        series.add(&mut window, Condition::Pulse(index))?;
    }
    for index in 0..circuit.guarded.len() {
        series.add(&mut window, Condition::Guarded(index))?;
    }
    for condition in [
        Condition::LeastFault,
        Condition::OverloadOwner,
        Condition::LowCurrentGap,
    ] {
        series.add(&mut window, condition)?;
    }
    window.verdict = match (window.least, window.most) {
        (WindowSide::Never(_), _) | (_, WindowSide::Never(_)) => Verdict::Fails,
        (WindowSide::At(least), WindowSide::At(most)) if least.scale > most.scale => {
            series.remedies(&mut window, &least, &most)?;
            Verdict::Fails
        }
        _ if window.open.is_empty() => Verdict::Holds,
        _ => Verdict::Open,
    };
    Ok(window)
}
