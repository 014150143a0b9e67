//! Which precharge resistors work, and what binds at either end.

use super::charging::Reached;
use super::precharge::PrechargeInput;
use super::rating::ResistorRating;
use crate::error::Error;
use crate::quantity::{Current, Energy, Power, Resistance};
use crate::standard::SourceId;
use crate::verdict::Verdict;

/// Smallest resistance that is tried, in ohm.
const SMALLEST_OHM: f32 = 1.0e-3;
/// Largest resistance that is tried, in ohm.
const LARGEST_OHM: f32 = 1.0e7;
/// A time end that is this close to that of the standing load is the same one.
const SAME: f32 = 1.0e-4;
/// Bisections between both; each halves the interval of the logarithm.
const STEPS: u32 = 44;

/// What an end of the window comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum WindowBound {
    /// First current of relay, fuse and wires: not smaller.
    PeakCurrent,
    /// Peak power of the resistor: not smaller.
    PeakPower,
    /// A shorted link or stuck relay until the time-out: not smaller.
    Stuck,
    /// Time to the threshold: not larger.
    Time,
    /// Standing loads let the link settle too low: not larger.
    StandingLoad,
}

/// One end, the nominal resistance with its tolerance taken off.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // what and how much is all there is
pub struct WindowEnd {
    /// What it comes from.
    pub bound: WindowBound,
    /// Nominal resistance; absent where no resistance at all satisfies it.
    pub resistance: Option<Resistance>,
}

/// The range of resistances that work.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ResistorWindow {
    /// Lower ends: peak current, peak power, stuck; absent where the input is missing or
    /// nothing is asked.
    pub lower: [Option<WindowEnd>; 3],
    /// Upper ends: time, standing load; absent where nothing limits.
    pub upper: [Option<WindowEnd>; 2],
    /// Whether the pulse energy of all tries fits at the binding ends; it hardly hangs on
    /// the resistance.
    pub pulse: Verdict,
}

impl ResistorWindow {
    /// The lower end that binds.
    pub fn smallest(&self) -> Option<WindowEnd> {
        binding(&self.lower, |one, other| one > other)
    }

    /// The upper end that binds.
    pub fn largest(&self) -> Option<WindowEnd> {
        binding(&self.upper, |one, other| one < other)
    }

    /// Whether no resistance works: an end that none satisfies, or the smallest above the
    /// largest.
    pub fn is_empty(&self) -> bool {
        let all = self.lower.iter().chain(&self.upper).flatten();
        for end in all {
            if end.resistance.is_none() {
                return true;
            }
        }
        let ohms = |end: Option<WindowEnd>| Some(end?.resistance?.as_ohms());
        match (ohms(self.smallest()), ohms(self.largest())) {
            (Some(smallest), Some(largest)) => smallest > largest,
            _ => false,
        }
    }

    /// The preferred value (E12) nearest to the middle of the window on a logarithmic
    /// scale; a decade inside where one end is open. Absent where none is inside.
    pub fn preferred(&self) -> Option<Resistance> {
        let ohms = |end: Option<WindowEnd>| end?.resistance.map(Resistance::as_ohms);
        if self.is_empty() {
            return None;
        }
        let (smallest, largest) = match (ohms(self.smallest()), ohms(self.largest())) {
            (Some(smallest), Some(largest)) => (smallest, largest),
            (Some(smallest), None) => (smallest, smallest * 10.0),
            (None, Some(largest)) => (largest / 10.0, largest),
            (None, None) => return None,
        };
        nearest_preferred(smallest, largest)
    }
}

/// The first decade of the E12 series of preferred values.
///
/// Source: IEC 60063, from memory.
pub const E12: [f32; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];

fn nearest_preferred(smallest: f32, largest: f32) -> Option<Resistance> {
    let middle = libm::sqrtf(smallest) * libm::sqrtf(largest);
    let mut best: Option<(f32, f32)> = None;
    let mut decade = SMALLEST_OHM;
    while decade < LARGEST_OHM {
        for step in E12 {
            let ohms = round_to_two_digits(step * decade);
            if ohms < smallest || ohms > largest {
                continue;
            }
            let away = libm::fabsf(libm::logf(ohms / middle));
            if best.is_none_or(|(_, nearest)| away < nearest) {
                best = Some((ohms, away));
            }
        }
        decade *= 10.0;
    }
    best.and_then(|(ohms, _)| Resistance::from_ohms(ohms).ok())
}

/// Takes off what the powers of ten added in `f32`.
fn round_to_two_digits(ohms: f32) -> f32 {
    if ohms < 1.0 {
        return libm::roundf(ohms * 1.0e4) / 1.0e4;
    }
    libm::roundf(ohms * 10.0) / 10.0
}

fn binding(ends: &[Option<WindowEnd>], tighter: fn(f32, f32) -> bool) -> Option<WindowEnd> {
    let mut best: Option<WindowEnd> = None;
    for &end in ends.iter().flatten() {
        let Some(ohms) = end.resistance else {
            return Some(end);
        };
        let better = best
            .and_then(|known| known.resistance)
            .is_none_or(|known| tighter(ohms.as_ohms(), known.as_ohms()));
        if better {
            best = Some(end);
        }
    }
    best
}

/// The resistances that work; the one in the input is not looked at.
///
/// Computes: lower ends `U/I`, `U2/P`, `U2 T (1 - exp(-t/T))/Ep` (or `U2/P` of the
/// lasting power where that is less); upper ends by 44 bisections over the logarithm of
/// the resistance, since neither time nor settling can get better with more of it. The
/// tolerance of the resistor is taken off both ends. Resistances from 1 mohm to
/// 10 Mohm are searched.
///
/// # Errors
/// As [`super::precharge`].
pub fn resistor_window(input: &PrechargeInput<'_>) -> Result<ResistorWindow, Error> {
    let tolerance = input.resistance_tolerance.as_fraction();
    let volts = input.highest.as_volts();
    let across = input.first_across();
    let nominal = |bound, ohms: f32| -> Option<WindowEnd> {
        let low = 1.0 - tolerance;
        if !ohms.is_finite() || low <= 0.0 {
            return Some(WindowEnd {
                bound,
                resistance: None,
            });
        }
        Some(WindowEnd {
            bound,
            resistance: Resistance::from_ohms(ohms / low).ok(),
        })
    };
    let peak_current = input.peak_current.and_then(|limit| {
        nominal(
            WindowBound::PeakCurrent,
            across / Current::as_amperes(limit),
        )
    });
    let peak_power = input.rating.peak_power.and_then(|limit| {
        let watts = Power::as_watts(limit);
        nominal(WindowBound::PeakPower, across * across / watts)
    });
    let stuck = input
        .closed_time()
        .filter(|_| !input.cut_out)
        .and_then(|closed| least_stuck(&input.rating, volts, closed))
        .and_then(|ohms| nominal(WindowBound::Stuck, ohms));
    let standing = largest(input, WindowBound::StandingLoad, |_| true)?;
    let time = match input.time_out {
        Some(limit) => largest(input, WindowBound::Time, |time| time <= limit.as_seconds())?,
        None => None,
    };
    let ohms = |end: Option<WindowEnd>| end?.resistance.map(Resistance::as_ohms);
    // Where the link hardly settles high enough, the time tells nothing of its own.
    let time = match (ohms(time), ohms(standing)) {
        (Some(time), Some(standing)) if time > standing * (1.0 - SAME) => None,
        _ => time,
    };
    let mut window = ResistorWindow {
        lower: [peak_current, peak_power, stuck],
        upper: [time, standing],
        pulse: Verdict::Open,
    };
    window.pulse = pulse_fits(input, &window)?;
    Ok(window)
}

/// Least resistance at which the resistor stands the pack voltage for a time.
fn least_stuck(rating: &ResistorRating, volts: f32, closed: f32) -> Option<f32> {
    let square = volts * volts;
    let lasting = rating.power.map(|power| square / power.as_watts());
    let pulse = rating.pulse.map(|pulse| {
        let joules = Energy::as_joules(pulse);
        match rating.cooling() {
            Some((cooling, _)) => {
                let cooling = cooling.as_seconds();
                square * cooling * -libm::expm1f(-closed / cooling) / joules
            }
            None => square * closed / joules,
        }
    });
    match (lasting, pulse) {
        (Some(lasting), Some(pulse)) => Some(lasting.min(pulse)),
        (lasting, pulse) => lasting.or(pulse),
    }
}

/// Largest resistance at which the threshold is reached, soon enough.
fn largest(
    input: &PrechargeInput<'_>,
    bound: WindowBound,
    soon_enough: impl Fn(f32) -> bool,
) -> Result<Option<WindowEnd>, Error> {
    let works = |ohms: f32| -> Result<bool, Error> {
        let tried = PrechargeInput {
            resistance: Resistance::from_ohms(ohms)?,
            ..*input
        };
        Ok(match tried.longest()? {
            Reached::After { time, .. } => soon_enough(time.as_seconds()),
            Reached::Never(_) => false,
        })
    };
    if !works(SMALLEST_OHM)? {
        return Ok(Some(WindowEnd {
            bound,
            resistance: None,
        }));
    }
    if works(LARGEST_OHM)? {
        return Ok(None);
    }
    let (mut holds, mut fails) = (SMALLEST_OHM, LARGEST_OHM);
    for _ in 0..STEPS {
        let middle = libm::sqrtf(holds * fails);
        if works(middle)? {
            holds = middle;
        } else {
            fails = middle;
        }
    }
    Ok(Some(WindowEnd {
        bound,
        resistance: Some(Resistance::from_ohms(holds)?),
    }))
}

/// Whether all tries fit into the pulse rating at both ends of the window.
fn pulse_fits(input: &PrechargeInput<'_>, window: &ResistorWindow) -> Result<Verdict, Error> {
    let Some(pulse) = input.rating.pulse else {
        return Ok(Verdict::Open);
    };
    if window.is_empty() {
        return Ok(Verdict::NotApplicable);
    }
    let mut verdict = Verdict::NotApplicable;
    for end in [window.smallest(), window.largest()].into_iter().flatten() {
        let Some(resistance) = end.resistance else {
            continue;
        };
        let tried = PrechargeInput {
            resistance,
            ..*input
        };
        let one = match tried.try_energy()? {
            None => Verdict::Open,
            Some(each) => {
                let stored = input.rating.stored_by_tries(each, input.tries)?;
                if stored.as_joules() <= pulse.as_joules() {
                    Verdict::Holds
                } else if input.rating.cooling().is_none() && each.as_joules() <= pulse.as_joules()
                {
                    Verdict::Open
                } else {
                    Verdict::Fails
                }
            }
        };
        verdict = verdict.worse(one);
    }
    Ok(verdict)
}

impl WindowBound {
    /// Where the bound comes from.
    pub const fn source(self) -> SourceId {
        match self {
            Self::PeakCurrent | Self::PeakPower => SourceId::OhmsLaw,
            Self::Stuck => SourceId::ResistorHeat,
            Self::Time | Self::StandingLoad => SourceId::CapacitorCircuit,
        }
    }
}
