//! Resistance to chassis, and the device that measures it slowly.

use super::sensor::{Sensed, Trouble};
use fastrand::Rng;

/// Both sides and the device.
#[derive(Clone, Copy, Debug)]
pub struct Isolation {
    /// Positive conductor to chassis, ohm.
    pub positive: f64,
    /// Negative conductor to chassis, ohm.
    pub negative: f64,
    /// Seconds from one result of the device to the next.
    pub period: f64,
    /// For so long after contactors move, capacitors to chassis spoil its results, s.
    pub settling: f64,
    /// What is wrong with the device.
    pub trouble: Trouble,
    told: Option<Sensed>,
    until_next: f64,
    live: bool,
    since_change: f64,
}

impl Isolation {
    /// With a device that is ready.
    pub const fn new(positive: f64, negative: f64, period: f64) -> Self {
        Self {
            positive,
            negative,
            period,
            settling: 4.0,
            trouble: Trouble::None,
            told: None,
            until_next: 0.0,
            live: false,
            since_change: f64::INFINITY,
        }
    }

    /// What the device told last, with its age.
    pub const fn told(&self) -> Option<Sensed> {
        self.told
    }

    pub(super) fn advance(&mut self, step: f64, live: bool, rng: &mut Rng) {
        if live != self.live {
            self.live = live;
            self.since_change = 0.0;
        }
        self.since_change += step;
        if let Some(told) = &mut self.told {
            told.age += step;
        }
        self.until_next -= step;
        if self.until_next > 0.0 || self.trouble == Trouble::Silent {
            return;
        }
        self.until_next = self.period;
        let truth = self.positive.min(self.negative);
        let settled = if self.since_change < self.settling {
            // The current that charges the capacitors looks like a leak.
            truth * (0.02 + 0.98 * self.since_change / self.settling)
        } else {
            truth * (1.0 + 0.05 * (rng.f64() - 0.5))
        };
        let value = match self.trouble {
            Trouble::Frozen => self.told.map_or(settled, |told| told.value),
            Trouble::Stuck(value) => value,
            Trouble::NotANumber => f64::NAN,
            Trouble::None | Trouble::Silent => settled,
        };
        self.told = Some(Sensed { value, age: 0.0 });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_tells_the_worse_side_once_a_period_and_is_spoilt_after_a_change() {
        let mut rng = Rng::with_seed(3);
        let mut isolation = Isolation::new(8e6, 2e6, 2.0);
        let mut run = |isolation: &mut Isolation, milliseconds, live| {
            for _ in 0..milliseconds {
                isolation.advance(1e-3, live, &mut rng);
            }
        };
        run(&mut isolation, 1_500, false);
        let told = isolation.told().unwrap();
        assert!((told.value / 2e6 - 1.0).abs() < 0.03 && (told.age - 1.5).abs() < 0.01);
        run(&mut isolation, 1_000, true);
        assert!(isolation.told().unwrap().value < 1e6);
        run(&mut isolation, 6_000, true);
        assert!(isolation.told().unwrap().value > 1.9e6);
        isolation.trouble = Trouble::Silent;
        run(&mut isolation, 10_000, true);
        assert!(isolation.told().unwrap().age > 9.9);
    }
}
