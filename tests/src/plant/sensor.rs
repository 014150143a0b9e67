//! What a controller sees of a value: lag, gain, offset, noise, saturation, and its faults.

use fastrand::Rng;

/// What can be wrong with it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Trouble {
    /// Nothing.
    #[default]
    None,
    /// Shows for ever what it showed last, and says that it is new.
    Frozen,
    /// Shows this value: an open wire reads zero, a short one full scale.
    Stuck(f64),
    /// Sends something that is no number.
    NotANumber,
    /// Sends nothing more: the last value grows old.
    Silent,
}

/// A value with its age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensed {
    /// What it shows.
    pub value: f64,
    /// Seconds since it was new.
    pub age: f64,
}

/// One measuring chain.
#[derive(Clone, Copy, Debug)]
pub struct Sensor {
    /// Time constant of its filter, s. Zero: none.
    pub lag: f64,
    /// What it multiplies by.
    pub gain: f64,
    /// What it adds.
    pub offset: f64,
    /// Standard deviation of its noise.
    pub noise: f64,
    /// Where it saturates.
    pub range: (f64, f64),
    /// What is wrong with it.
    pub trouble: Trouble,
    filtered: Option<f64>,
    shown: Sensed,
}

impl Sensor {
    /// A chain over this range with this lag, noise and nothing wrong.
    pub const fn new(range: (f64, f64), lag: f64, noise: f64) -> Self {
        Self {
            lag,
            gain: 1.0,
            offset: 0.0,
            noise,
            range,
            trouble: Trouble::None,
            filtered: None,
            shown: Sensed {
                value: 0.0,
                age: f64::INFINITY,
            },
        }
    }

    /// `step` seconds during which the true value was `truth`.
    pub fn advance(&mut self, step: f64, truth: f64, rng: &mut Rng) {
        let before = self.filtered.unwrap_or(truth);
        let filtered = if self.lag > 0.0 {
            truth + (before - truth) * (-step / self.lag).exp()
        } else {
            truth
        };
        self.filtered = Some(filtered);
        let fresh = |value| Sensed { value, age: 0.0 };
        self.shown = match self.trouble {
            Trouble::None => {
                let raw = self.gain * filtered + self.offset + self.noise * normal(rng);
                fresh(raw.clamp(self.range.0, self.range.1))
            }
            Trouble::Frozen => fresh(self.shown.value),
            Trouble::Stuck(value) => fresh(value),
            Trouble::NotANumber => fresh(f64::NAN),
            Trouble::Silent => Sensed {
                value: self.shown.value,
                age: self.shown.age + step,
            },
        };
    }

    /// What it shows.
    pub const fn shown(&self) -> Sensed {
        self.shown
    }
}

/// Close to normal: the sum of twelve uniform numbers, which never leaves six deviations.
fn normal(rng: &mut Rng) -> f64 {
    (0..12).map(|_| rng.f64()).sum::<f64>() - 6.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_filter_lags_by_its_time_constant_and_the_range_cuts_off() {
        let mut rng = Rng::with_seed(1);
        let mut sensor = Sensor::new((-100.0, 100.0), 0.02, 0.0);
        sensor.advance(1e-3, 0.0, &mut rng);
        for _ in 0..20 {
            sensor.advance(1e-3, 50.0, &mut rng);
        }
        assert!((sensor.shown().value - 50.0 * (1.0 - (-1.0_f64).exp())).abs() < 1e-9);
        for _ in 0..200 {
            sensor.advance(1e-3, 900.0, &mut rng);
        }
        assert!((sensor.shown().value - 100.0).abs() < 1e-12);
    }

    #[test]
    fn a_silent_one_grows_old_and_a_frozen_one_does_not_say_so() {
        let mut rng = Rng::with_seed(1);
        let mut sensor = Sensor::new((-100.0, 100.0), 0.0, 0.1);
        sensor.advance(1e-3, 5.0, &mut rng);
        let last = sensor.shown().value;
        sensor.trouble = Trouble::Frozen;
        sensor.advance(1e-3, 50.0, &mut rng);
        assert_eq!(
            sensor.shown(),
            Sensed {
                value: last,
                age: 0.0
            }
        );
        sensor.trouble = Trouble::Silent;
        for _ in 0..10 {
            sensor.advance(1e-3, 50.0, &mut rng);
        }
        assert!((sensor.shown().age - 0.01).abs() < 1e-9);
        assert!((last - 5.0).abs() < 0.6);
    }

    #[test]
    fn noise_has_the_deviation_asked_for() {
        let mut rng = Rng::with_seed(7);
        let drawn: Vec<f64> = (0..20_000).map(|_| normal(&mut rng)).collect();
        let mean = drawn.iter().sum::<f64>() / 20_000.0;
        let variance = drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 20_000.0;
        // Five standard errors.
        assert!(mean.abs() < 0.036, "{mean}");
        assert!((variance - 1.0).abs() < 0.05, "{variance}");
    }
}
