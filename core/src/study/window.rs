//! The worst r.m.s. current over a window of a repeating duty.

use heapless::Vec;

use crate::design::MAX_DUTY_STEPS;
use crate::error::{Capacity, Error};
use crate::quantity::{Current, Time};

/// A constant current for a time.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a step has two values
pub struct Step {
    /// The current; its sign does not matter to the heat.
    pub current: Current,
    /// How long it flows.
    pub duration: Time,
}

/// The steps of a duty, which repeats.
pub type Steps = Vec<Step, MAX_DUTY_STEPS, u8>;

/// Computes: the largest r.m.s. current over any window of a repeating duty.
///
/// Equation: sqrt(max over t of (1/W) integral from t to t + W of I2). The integral
/// is piecewise linear in t, so the largest has a window that starts or ends
/// where a step does; those are tried. A window of many periods counts whole ones
/// by multiplication. Sums run in `f64`. Inputs: steps; window, s; a window of no
/// duration gives the largest current. Result: A; `None` for a duty without duration.
/// Bound: 4 x steps squared.
///
/// # Errors
/// [`Error::OutOfRange`] beyond the bounds of a current; [`Capacity::DutySteps`]
/// for more than [`MAX_DUTY_STEPS`] steps.
pub fn worst_rms(steps: &[Step], window: Time) -> Result<Option<Current>, Error> {
    if steps.len() > MAX_DUTY_STEPS {
        return Err(Error::Capacity(Capacity::DutySteps));
    }
    let (period, heat) = whole(steps);
    if period <= 0.0 {
        return Ok(None);
    }
    let window = f64::from(window.as_seconds());
    if window <= 0.0 {
        let largest = steps
            .iter()
            .filter(|step| step.duration.as_seconds() > 0.0)
            .map(|step| libm::fabsf(step.current.as_amperes()))
            .fold(0.0, libm::fmaxf);
        return Current::from_amperes(largest).map(Some);
    }
    let periods = libm::floor(window / period);
    let rest = libm::fmax(window - periods * period, 0.0);
    let mut most = 0.0;
    let mut edge = 0.0;
    for step in steps {
        // A window that starts at this edge, and one that ends at it.
        most = libm::fmax(most, between(steps, edge, edge + rest));
        most = libm::fmax(most, between(steps, edge + period - rest, edge + period));
        edge += f64::from(step.duration.as_seconds());
    }
    let mean = (periods * heat + most) / window;
    #[allow(clippy::cast_possible_truncation)] // the rounding is what it is for
    Current::from_amperes(libm::sqrt(mean) as f32).map(Some)
}

/// Duration of all steps together.
///
/// # Errors
/// [`Error::OutOfRange`] beyond the bounds of a duration.
pub(crate) fn duration(steps: &[Step]) -> Result<Time, Error> {
    Time::from_seconds(steps.iter().map(|step| step.duration.as_seconds()).sum())
}

/// Duration and integral of I2 of one period.
fn whole(steps: &[Step]) -> (f64, f64) {
    steps.iter().fold((0.0, 0.0), |(period, heat), step| {
        let (i2, seconds) = squared(*step);
        (period + seconds, heat + i2 * seconds)
    })
}

fn squared(step: Step) -> (f64, f64) {
    let amperes = f64::from(step.current.as_amperes());
    (amperes * amperes, f64::from(step.duration.as_seconds()))
}

/// Integral of I2 from one time to another, both within the first two periods.
fn between(steps: &[Step], from: f64, to: f64) -> f64 {
    let mut sum = 0.0;
    let mut start = 0.0;
    for step in steps.iter().chain(steps) {
        let (i2, seconds) = squared(*step);
        let end = start + seconds;
        let overlap = libm::fmin(end, to) - libm::fmax(start, from);
        sum += i2 * libm::fmax(overlap, 0.0);
        start = end;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::vec::Vec as List;

    fn step(amperes: f32, seconds: f32) -> Step {
        Step {
            current: Current::from_amperes(amperes).unwrap(),
            duration: Time::from_seconds(seconds).unwrap(),
        }
    }

    fn rms(steps: &[Step], seconds: f32) -> f32 {
        let window = Time::from_seconds(seconds).unwrap();
        worst_rms(steps, window).unwrap().unwrap().as_amperes()
    }

    #[test]
    fn a_duty_worked_out_by_hand() {
        // 500 A for 10 s, 140 A for 110 s: sqrt((500^2 x 10 + 140^2 x 110)/120) = 197.0 A
        // over the whole; over 20 s sqrt((500^2 + 140^2)/2) = 367.1 A.
        let steps = [step(500.0, 10.0), step(-140.0, 110.0)];
        assert!((rms(&steps, 120.0) - 196.97).abs() < 0.01);
        assert!((rms(&steps, 20.0) - 367.15).abs() < 0.01);
        assert!((rms(&steps, 5.0) - 500.0).abs() < 1e-3);
        assert!((rms(&steps, 0.0) - 500.0).abs() < 1e-3);
        // 130 s hold two pulls: sqrt((2 x 500^2 x 10 + 140^2 x 110)/130) = 234.6 A.
        assert!((rms(&steps, 130.0) - 234.62).abs() < 0.01);
        // Very long windows see the whole duty only.
        assert!((rms(&steps, 1.2e6) - 196.97).abs() < 0.01);
    }

    #[test]
    fn a_window_may_lie_across_the_end_of_the_duty() {
        let steps = [step(300.0, 5.0), step(0.0, 50.0), step(300.0, 5.0)];
        assert!((rms(&steps, 10.0) - 300.0).abs() < 1e-3);
    }

    #[test]
    fn nothing_that_lasts_has_no_current_and_too_many_steps_are_refused() {
        let window = Time::from_seconds(10.0).unwrap();
        assert_eq!(worst_rms(&[], window), Ok(None));
        assert_eq!(worst_rms(&[step(5.0, 0.0)], window), Ok(None));
        let many = [step(5.0, 1.0); MAX_DUTY_STEPS + 1];
        let refused = Err(Error::Capacity(Capacity::DutySteps));
        assert_eq!(worst_rms(&many, window), refused);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// No window that starts anywhere is worse, and none is worse than the peak.
        #[test]
        fn no_window_is_worse_than_the_worst(
            steps in prop::collection::vec((-500.0_f32..500.0, 0.1_f32..60.0), 1..8),
            window in 0.1_f32..300.0,
            start in 0.0_f64..1.0,
        ) {
            let steps: List<Step> = steps.into_iter().map(|(a, s)| step(a, s)).collect();
            let worst = f64::from(rms(&steps, window));
            let (period, heat) = whole(&steps);
            let seconds = f64::from(window);
            let periods = (seconds / period).floor();
            let rest = seconds - periods * period;
            let from = start * period;
            let any = periods * heat + between(&steps, from, from + rest);
            prop_assert!((any / seconds).sqrt() <= worst * (1.0 + 1e-6) + 1e-6);
            prop_assert!(worst <= f64::from(rms(&steps, 0.0)) * (1.0 + 1e-6));
            prop_assert!((heat / period).sqrt() <= worst * (1.0 + 1e-6));
        }
    }
}
