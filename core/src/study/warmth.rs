//! How hot a conductor becomes in a repeating duty, piece by piece.

use super::window::{Step, worst_rms};
use crate::conductor::cable::Cable;
use crate::conductor::heat_balance::{HeatBalance, Steady, Surroundings};
use crate::conductor::transient::{RadialChain, ThermalState};
use crate::error::Error;
use crate::quantity::{Current, Temperature, Time};

/// Most periods that are run before the temperatures count as not repeating. A
/// duty starts from the state that its r.m.s. current settles in, which leaves the
/// slow part of the way already gone.
pub const MAX_PERIODS: u8 = 40;

/// Change from period to period below which the temperatures repeat, K: a tenth of
/// what the radial chain itself is good for.
const REPEATS_K: f32 = 0.05;

/// How hot one piece of a conductor becomes.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PieceWarmth {
    /// R.m.s. current over the worst window as long as the time constant.
    pub rms: Current,
    /// That window; `None` where the current has no steady state to approach.
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
        /// Highest conductor temperature at the end of any step.
        peak: Temperature,
        /// Time from the start of the duty to that moment.
        at: Time,
        /// Periods that were run until it repeated; none for a current that never
        /// changes, whose peak is its steady temperature.
        periods: u8,
    },
    /// The conductor has left 1000 degC, or does not repeat within [`MAX_PERIODS`].
    RunsAway,
}

/// Computes: temperatures of one cable in one place in a repeating duty.
///
/// Steady: [`HeatBalance::temperature_at`] of the worst r.m.s. current over a window
/// as long as the time constant of heating at the r.m.s. current of the whole
/// duty. In time: [`RadialChain::advance`] step by step, period by period, until
/// every step ends within 0.05 K of where it ended one period before. Inputs: the
/// balance as installed; steps. `None` for a duty without duration.
///
/// # Errors
/// Those of [`worst_rms`], [`HeatBalance::temperature_at`] and
/// [`RadialChain::time_constant`].
pub fn piece_warmth(
    cable: &Cable,
    balance: &HeatBalance,
    steps: &[Step],
) -> Result<Option<PieceWarmth>, Error> {
    let mut seconds = 0.0;
    for step in steps {
        seconds += step.duration.as_seconds();
    }
    let period = Time::from_seconds(seconds)?;
    let Some(overall) = worst_rms(steps, period)? else {
        return Ok(None);
    };
    let chain = RadialChain::new(cable, balance);
    let window = if overall.as_amperes() > 0.0 {
        chain.time_constant(overall)?
    } else {
        None
    };
    let Some(rms) = worst_rms(steps, window.unwrap_or(period))? else {
        return Ok(None);
    };
    let steady = balance.temperature_at(rms)?;
    let duty = if never_changes(steps) {
        match steady.conductor() {
            Some(peak) => Repeating::Periodic {
                peak,
                at: Time::from_seconds(0.0)?,
                periods: 0,
            },
            None => Repeating::RunsAway,
        }
    } else {
        match chain.settled(overall)? {
            Some(start) => repeat(&chain, start, steps)?,
            None => Repeating::RunsAway,
        }
    };
    Ok(Some(PieceWarmth {
        rms,
        window,
        steady,
        duty,
    }))
}

/// Whether every step has the same current, either direction.
fn never_changes(steps: &[Step]) -> bool {
    let mut amperes = steps
        .iter()
        .map(|step| libm::fabsf(step.current.as_amperes()));
    let first = amperes.next();
    amperes.all(|other| Some(other) == first)
}

/// Runs a duty until it repeats.
fn repeat(chain: &RadialChain, start: ThermalState, steps: &[Step]) -> Result<Repeating, Error> {
    let mut state = start;
    let mut before = [f32::INFINITY; crate::design::MAX_DUTY_STEPS];
    for periods in 1..=MAX_PERIODS {
        let mut change = 0.0;
        let mut elapsed = 0.0;
        let mut peak = f32::NEG_INFINITY;
        let mut at = 0.0;
        for (step, last) in steps.iter().zip(&mut before) {
            state = chain.advance(&state, step.current, step.duration);
            elapsed += step.duration.as_seconds();
            let Ok(end) = chain.conductor(&state) else {
                return Ok(Repeating::RunsAway);
            };
            let end = end.as_degc();
            if end > HOTTEST {
                return Ok(Repeating::RunsAway);
            }
            change = libm::fmaxf(change, libm::fabsf(end - *last));
            *last = end;
            if end > peak {
                peak = end;
                at = elapsed;
            }
        }
        if change <= REPEATS_K {
            return Ok(Repeating::Periodic {
                peak: Temperature::from_degc(peak)?,
                at: Time::from_seconds(at)?,
                periods,
            });
        }
    }
    Ok(Repeating::RunsAway)
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

    fn warmth(steps: &[(f32, f32)]) -> PieceWarmth {
        let cable = cable(70.0, 0.272);
        let balance = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        let steps: std::vec::Vec<Step> = steps
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
        // The chain and the balance agree to 0.2 K; see `transient`.
        assert!((peak(&warmth) - steady).abs() < 0.2);
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
