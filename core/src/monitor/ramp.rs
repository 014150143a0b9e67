//! How fast the current of the pack changes.

use super::tick::Tick;

/// The current of the pack a while ago, and whether it changed too fast since for two voltages
/// to be compared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ramp {
    mark_a: f32,
    mark_ms: u32,
    steep: bool,
}

/// Time over which it is taken: noise of 2 A gives 30 A/s.
const RAMP_MS: u32 = 100;

impl Ramp {
    pub(super) const START: Self = Self {
        mark_a: f32::NAN,
        mark_ms: 0,
        steep: false,
    };

    /// Notes whether it changes too fast; what is not known does not.
    pub(super) fn follow(&mut self, tick: &mut Tick<'_>) {
        self.mark_ms = self.mark_ms.saturating_add(tick.dt_ms);
        if self.mark_ms >= RAMP_MS {
            let current = tick.current(0).value();
            #[allow(clippy::cast_precision_loss)] // ten seconds at most
            let seconds = self.mark_ms as f32 * 1.0e-3;
            let change = libm::fabsf(current - self.mark_a);
            self.steep = change > tick.limits.sensors.ramp_a_per_s * seconds;
            (self.mark_a, self.mark_ms) = (current, 0);
        }
        tick.ramps = self.steep;
    }
}
