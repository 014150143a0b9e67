//! How hot a conductor becomes in a repeating duty, piece by piece.

use super::window::{Step, duration, worst_rms};
use crate::conductor::cable::Cable;
use crate::conductor::heat_balance::{HeatBalance, Steady, Surroundings};
use crate::conductor::transient::{RadialChain, ThermalState};
use crate::error::Error;
use crate::quantity::{Current, Temperature, Time};

/// Most periods that are run before the temperatures count as not repeating.
pub const MAX_PERIODS: u8 = 120;

/// Most periods of one stride towards the repeating state. A duty that would need more
/// hardly swings; its swing is bounded instead of followed.
const LONGEST_STRIDE: f32 = 12.0;

/// How far the temperatures may be from where repeating leads, K: a tenth of what the
/// radial chain itself is good for.
const REPEATS_K: f32 = 0.05;

/// Steps in which each step of a duty is followed: within 0.1 K of ten times as many.
const STEPS: u8 = 6;

/// If the largest current leads no further above what the r.m.s. current leads to, K,
/// it is taken as lasting, which is safe and needs no following in time.
const ALIKE_K: f32 = 1.0;

/// How hot one piece of a conductor becomes.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PieceWarmth {
    /// R.m.s. current over the worst window as long as the time constant, or the
    /// largest current where that makes less than 1 K.
    pub rms: Current,
    /// That window; `None` where there is none.
    pub window: Option<Time>,
    /// Where that current leads.
    pub steady: Steady,
    /// What the repeating duty leads to.
    pub duty: Repeating,
}

impl PieceWarmth {
    /// For comparing: the peak in degC, infinite where it runs away.
    pub fn height(&self) -> f32 {
        match self.duty {
            Repeating::RunsAway => f32::INFINITY,
            Repeating::Periodic { peak, .. } => peak.as_degc(),
        }
    }

    /// The higher of steady and peak temperature; `None` where there is none.
    pub fn hottest(&self) -> Option<Temperature> {
        let steady = self.steady.conductor()?;
        match self.duty {
            Repeating::RunsAway => None,
            Repeating::Periodic { peak, .. } if peak > steady => Some(peak),
            Repeating::Periodic { .. } => Some(steady),
        }
    }

    /// How far the peak lies above the steady temperature, K, zero at least.
    pub(super) fn above_steady(&self) -> Option<f32> {
        let steady = self.steady.conductor()?.as_degc();
        Some(self.hottest()?.as_degc() - steady)
    }
}

/// What a repeating duty leads to.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // it repeats or it does not
pub enum Repeating {
    /// The temperatures repeat.
    Periodic {
        /// Highest conductor temperature.
        peak: Temperature,
        /// Time from the start of the duty to that moment, the end of a step.
        at: Time,
        /// Periods that were followed; none for a current taken as lasting or short
        /// periods.
        periods: u8,
    },
    /// The conductor has left 1000 degC, or does not repeat within [`MAX_PERIODS`].
    RunsAway,
}

/// Computes: temperatures of one cable in one place in a repeating duty.
///
/// Steady: [`HeatBalance::temperature_at`] of the worst r.m.s. current over a window
/// as long as the time constant of heating at the r.m.s. current of the whole
/// duty. In time: the radial chain step by step, period by period, the slow part
/// of the way to the repeating state jumped over, until that is 0.05 K away, which is
/// added. A duty whose largest current leads at most 1 K above its r.m.s. current is
/// taken as that current lasting; one of which 72 periods or more go into the time constant
/// as its r.m.s. current with the swing bounded from above. Inputs: the balance as installed; steps. `None` for
/// a duty without duration. Bound: 131 periods.
///
/// # Errors
/// Those of [`worst_rms`], [`HeatBalance::temperature_at`] and
/// [`RadialChain::time_constant`].
pub fn piece_warmth(
    cable: &Cable,
    balance: &HeatBalance,
    steps: &[Step],
) -> Result<Option<PieceWarmth>, Error> {
    let period = duration(steps)?;
    let moment = Time::from_seconds(0.0)?;
    let (Some(overall), Some(largest)) = (worst_rms(steps, period)?, worst_rms(steps, moment)?)
    else {
        return Ok(None);
    };
    let highest = balance.temperature_at(largest)?;
    let lasting = balance.temperature_at(overall)?;
    if let (Some(peak), Some(mean)) = (highest.conductor(), lasting.conductor())
        && peak.as_degc() - mean.as_degc() <= ALIKE_K
    {
        return Ok(Some(PieceWarmth {
            rms: largest,
            window: None,
            steady: highest,
            duty: Repeating::Periodic {
                peak,
                at: moment,
                periods: 0,
            },
        }));
    }
    let chain = RadialChain::new(cable, balance);
    let settled = chain.settled_in(&lasting);
    let window = chain.time_constant_to(overall, settled.as_ref())?;
    let Some(rms) = worst_rms(steps, window.unwrap_or(period))? else {
        return Ok(None);
    };
    let duty = match (settled, window) {
        (Some(start), Some(constant)) if is_short(period, constant) => {
            flicker(cable, balance, chain.conductor(&start)?, overall, steps)?
        }
        (Some(start), Some(constant)) => repeat(&chain, start, steps, period, constant)?,
        _ => Repeating::RunsAway,
    };
    Ok(Some(PieceWarmth {
        rms,
        window,
        steady: balance.temperature_at(rms)?,
        duty,
    }))
}

/// Whether so many periods go into a time constant that they are not followed.
fn is_short(period: Time, constant: Time) -> bool {
    period.as_seconds() * 6.0 * LONGEST_STRIDE < constant.as_seconds()
}

/// A duty of short periods: what its r.m.s. current leads to, and on top all heat of
/// the steps above that current in the metal of the conductor alone, which is safe.
fn flicker(
    cable: &Cable,
    balance: &HeatBalance,
    mean: Temperature,
    overall: Current,
    steps: &[Step],
) -> Result<Repeating, Error> {
    let build = cable.build();
    let capacity = build.section.as_m2() * build.metal.heat_capacity().as_j_per_m3_k();
    let per_i2 = balance.resistance_at(mean.as_degc()) / capacity;
    let squared = |current: Current| current.as_amperes() * current.as_amperes();
    let (mut rise, mut elapsed, mut at) = (0.0, 0.0, 0.0);
    for step in steps {
        elapsed += step.duration.as_seconds();
        let more = squared(step.current) - squared(overall);
        if more > 0.0 {
            rise += more * per_i2 * step.duration.as_seconds();
            at = elapsed;
        }
    }
    let peak = mean.as_degc() + rise;
    if peak > HOTTEST {
        return Ok(Repeating::RunsAway);
    }
    Ok(Repeating::Periodic {
        peak: Temperature::from_degc(peak)?,
        at: Time::from_seconds(at)?,
        periods: 0,
    })
}

/// Runs a duty until it repeats.
///
/// Several periods make one stride, a sixth of the time constant at least. One stride
/// takes away the fast part of the way; the next shows the slow part, which shrinks
/// by exp(-stride / time constant), so the rest of it is jumped over. A jump stirs up
/// a fast part again, hence the two strides between jumps.
fn repeat(
    chain: &RadialChain,
    start: ThermalState,
    steps: &[Step],
    period: Time,
    constant: Time,
) -> Result<Repeating, Error> {
    let (period, constant) = (period.as_seconds(), constant.as_seconds());
    let stride = libm::ceilf(constant / (6.0 * period));
    let stride = libm::fmaxf(1.0, libm::fminf(stride, LONGEST_STRIDE));
    let factor = libm::expf(-stride * period / constant);
    let mut before = start;
    let mut smooth = false;
    let mut periods = 0;
    while periods < MAX_PERIODS {
        let mut state = before;
        let mut highest = Highest::NONE;
        let mut walked = 0.0;
        while walked < stride {
            let Some((end, hottest)) = one_period(chain, &state, steps) else {
                return Ok(Repeating::RunsAway);
            };
            (state, highest) = (end, hottest);
            walked += 1.0;
            periods += 1;
        }
        let (there, left) = state.ahead(&before, factor);
        if smooth && left <= REPEATS_K {
            return Ok(Repeating::Periodic {
                peak: Temperature::from_degc(highest.degc + left)?,
                at: Time::from_seconds(highest.seconds)?,
                periods,
            });
        }
        before = if smooth { there } else { state };
        smooth = !smooth;
    }
    Ok(Repeating::RunsAway)
}

/// The hottest moment of a period, at the end of a step.
struct Highest {
    degc: f32,
    seconds: f32,
}

impl Highest {
    const NONE: Self = Self {
        degc: f32::NEG_INFINITY,
        seconds: 0.0,
    };
}

/// One period: where it ends and its hottest moment; `None` beyond [`HOTTEST`].
fn one_period(
    chain: &RadialChain,
    start: &ThermalState,
    steps: &[Step],
) -> Option<(ThermalState, Highest)> {
    let mut state = *start;
    let mut elapsed = 0.0;
    let mut highest = Highest::NONE;
    for step in steps {
        state = chain.advance_in(STEPS, &state, step.current, step.duration);
        elapsed += step.duration.as_seconds();
        let Ok(end) = chain.conductor(&state) else {
            return None;
        };
        let end = end.as_degc();
        if end > HOTTEST {
            return None;
        }
        if end > highest.degc {
            highest = Highest {
                degc: end,
                seconds: elapsed,
            };
        }
    }
    Some((state, highest))
}

/// Beyond this the heat balance has no steady state either, degC.
const HOTTEST: f32 = 1000.0;

/// Still air at one temperature all round, in the climate of a zone.
///
/// # Errors
/// None in practice: no heat is added.
pub fn still_air(
    air: Temperature,
    radiant: Option<Temperature>,
    altitude: crate::quantity::Altitude,
) -> Result<Surroundings, Error> {
    Ok(Surroundings {
        air,
        radiant: radiant.unwrap_or(air),
        altitude,
        absorbed: crate::quantity::LinearPower::from_watts_per_m(0.0)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::heat_balance::tests::{cable, surroundings};
    use std::vec;

    fn warmth(steps: &[(f32, f32)]) -> PieceWarmth {
        let cable = cable(70.0, 0.272);
        let balance = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        let steps: vec::Vec<Step> = steps
            .iter()
            .map(|(amperes, seconds)| Step {
                current: Current::from_amperes(*amperes).unwrap(),
                duration: Time::from_seconds(*seconds).unwrap(),
            })
            .collect();
        piece_warmth(&cable, &balance, &steps).unwrap().unwrap()
    }

    fn peak(warmth: &PieceWarmth) -> f32 {
        match warmth.duty {
            Repeating::Periodic { peak, .. } => peak.as_degc(),
            Repeating::RunsAway => panic!("{warmth:?}"),
        }
    }

    #[test]
    fn a_constant_current_ends_at_its_steady_temperature() {
        let warmth = warmth(&[(250.0, 60.0), (250.0, 30.0)]);
        let steady = warmth.steady.conductor().unwrap().as_degc();
        assert!((peak(&warmth) - steady).abs() < 1e-3);
        assert!((warmth.rms.as_amperes() - 250.0).abs() < 1e-3);
    }

    #[test]
    fn a_short_duty_swings_a_little_around_its_mean() {
        let swing = warmth(&[(500.0, 10.0), (140.0, 110.0)]);
        let level = warmth(&[(196.97, 120.0)]);
        let (swing_peak, level_peak) = (peak(&swing), peak(&level));
        assert!(swing_peak > level_peak, "{swing_peak} {level_peak}");
        assert!(swing_peak < level_peak + 15.0, "{swing_peak} {level_peak}");
        let Repeating::Periodic { at, .. } = swing.duty else {
            panic!();
        };
        assert!((at.as_seconds() - 10.0).abs() < 1e-3, "after the pull");
        // The window is longer than the duty, so its r.m.s. is nearly that of the whole.
        assert!(swing.window.unwrap().as_seconds() > 120.0);
        assert!(swing.rms.as_amperes() >= 196.9);
    }

    /// 400 periods with the full number of steps, nothing jumped over, from what the
    /// r.m.s. current leads to.
    fn followed(steps: &[(f32, f32)]) -> f32 {
        let (i2, whole) = steps
            .iter()
            .fold((0.0, 0.0), |(i2, whole), (amperes, seconds)| {
                (i2 + amperes * amperes * seconds, whole + seconds)
            });
        let cable = cable(70.0, 0.272);
        let balance = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        let chain = RadialChain::new(&cable, &balance);
        let rms = Current::from_amperes((i2 / whole).sqrt()).unwrap();
        let mut state = chain.settled(rms).unwrap().unwrap();
        let mut peak = f32::NEG_INFINITY;
        for _ in 0..400 {
            peak = f32::NEG_INFINITY;
            for (amperes, seconds) in steps {
                let current = Current::from_amperes(*amperes).unwrap();
                let duration = Time::from_seconds(*seconds).unwrap();
                state = chain.advance(&state, current, duration);
                peak = peak.max(chain.conductor(&state).unwrap().as_degc());
            }
        }
        peak
    }

    #[test]
    fn the_repeating_state_is_the_one_that_patience_leads_to() {
        for steps in [
            vec![(500.0, 10.0), (140.0, 110.0)],
            vec![(0.0, 100.0), (450.0, 20.0), (-200.0, 30.0)],
            vec![(350.0, 600.0), (0.0, 900.0)],
            vec![(900.0, 2.0), (100.0, 60.0)],
            vec![(240.0, 7200.0), (120.0, 7200.0)],
            vec![(548.0, 10.0), (184.0, 104.0), (-150.0, 6.0)],
            vec![(300.0, 30.0), (0.0, 30.0)],
            vec![(0.0, 5.0), (400.0, 5.0)],
            vec![(400.0, 0.5), (0.0, 1.0)],
        ] {
            let (jumped, followed) = (peak(&warmth(&steps)), followed(&steps));
            // 0.15 K for the steps, 0.05 K for what is left of the way; what is bounded
            // is bounded from above, here by 0.5 K.
            assert!(
                jumped > followed - 0.2 && jumped < followed + 0.5,
                "{steps:?}: {jumped} {followed}"
            );
        }
    }

    #[test]
    fn far_too_much_current_runs_away() {
        let hot = warmth(&[(2000.0, 600.0), (0.0, 1.0)]);
        assert_eq!(hot.duty, Repeating::RunsAway);
        assert_eq!(hot.steady, Steady::NoSteadyState);
    }

    #[test]
    fn a_duty_that_is_mostly_rest_cools_to_the_air() {
        let none = warmth(&[(0.0, 100.0)]);
        assert!((peak(&none) - 40.0).abs() < 0.1);
        assert_eq!(none.window, None);
    }
}
