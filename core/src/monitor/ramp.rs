//! How fast the current of the pack changes.

use super::tick::Tick;

/// The current of the pack a while ago, and how fast it changed since.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ramp {
    mark_a: f32,
    mark_ms: u32,
    a_per_s: f32,
}

/// Time over which it is taken: noise of 2 A gives 30 A/s.
const RAMP_MS: u32 = 100;

impl Ramp {
    pub(super) const START: Self = Self {
        mark_a: f32::NAN,
        mark_ms: 0,
        a_per_s: 0.0,
    };

    /// Notes whether it changes too fast for two voltages to be compared.
    pub(super) fn follow(&mut self, tick: &mut Tick<'_>) {
        let current = tick.current(0).value();
        self.mark_ms = self.mark_ms.saturating_add(tick.dt_ms);
        let change = libm::fabsf(current - self.mark_a);
        if change.is_nan() {
            (self.mark_a, self.mark_ms, self.a_per_s) = (current, 0, 0.0);
        } else if self.mark_ms >= RAMP_MS {
            #[allow(clippy::cast_precision_loss)] // ten seconds at most
            let seconds = self.mark_ms as f32 * 1.0e-3;
            (self.mark_a, self.mark_ms, self.a_per_s) = (current, 0, change / seconds);
        }
        tick.ramps = self.a_per_s > tick.limits.sensors.ramp_a_per_s;
    }
}
