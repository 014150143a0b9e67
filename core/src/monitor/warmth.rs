//! How hot a conductor is, by the current through it.
//!
//! Two heat capacities: what warms with the conductor, what warms with the surface. The
//! first is smaller while it warms than while it cools, for in an overload the insulation
//! lags behind, and afterwards keeps the conductor warm. The host fits them so that the conductor is never reckoned colder than the radial chain of
//! [`crate::conductor::transient`] makes it (`limits::fit`).

use super::finding::{Advice, CheckId};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick, larger};
use crate::limits::{Circuit, MAX_CHANNELS};

/// Time over which heat is gathered before it is worked in, ms: smaller steps would be
/// lost in `f32`.
pub(crate) const GATHERED_MS: u32 = 100;

/// From so far below the limit on the current is limited, K.
const LIMITED_FROM_K: f32 = 10.0;

/// Rises above the hottest surroundings, K.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(crate) struct Warmth {
    pub(crate) inner: f32,
    pub(crate) outer: f32,
}

impl Warmth {
    /// Not known yet.
    pub(super) const START: Self = Self {
        inner: f32::NAN,
        outer: f32::NAN,
    };

    /// All of it as far above its surroundings as this; `rise` may be negative.
    pub(crate) const fn level(rise: f32) -> Self {
        Self {
            inner: rise,
            outer: rise,
        }
    }

    /// One step; `i2` is the mean of the square of the current, A2.
    ///
    /// Explicit, so that heating is not behind; the step is short beside the smallest time
    /// constant, and is cut where it is not.
    pub(crate) fn step(&mut self, circuit: &Circuit, i2: f32, seconds: f32) {
        let resistance = circuit.heat_ohm_per_m * (1.0 + circuit.growth_per_k * self.inner);
        let heat = i2 * larger(resistance, 0.0) + circuit.added_w_per_m;
        let across = circuit.inner_w_per_m_k * (self.inner - self.outer);
        // One by one: a loop is half as long again.
        let ([a, b, c], [less_a, less_b, less_c]) = (circuit.off_w_per_m_k, circuit.off_w_per_m);
        let off = larger(a * self.outer - less_a, 0.0);
        let off = larger(b * self.outer - less_b, off);
        let off = larger(c * self.outer - less_c, off);
        let net = heat - across;
        let capacity = if net < 0.0 {
            circuit.cooling_j_per_m_k
        } else {
            circuit.inner_j_per_m_k
        };
        self.inner += seconds / capacity * net;
        self.outer += seconds / circuit.outer_j_per_m_k * (across - off);
        // Beyond this it has melted; what is no number counts as that.
        if !(self.inner < HOTTEST_K && self.outer < HOTTEST_K) {
            *self = Self::level(HOTTEST_K);
        }
    }
}

const HOTTEST_K: f32 = 2000.0;

/// Heat gathered since it was last worked in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gathered {
    i2s: [f32; MAX_CHANNELS],
    ms: u32,
}

impl Gathered {
    pub(super) const NONE: Self = Self {
        i2s: [0.0; MAX_CHANNELS],
        ms: 0,
    };
}

/// One conductor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Watched {
    pub(super) warmth: Warmth,
    latch: Latch,
}

impl Watched {
    pub(super) const START: Self = Self {
        warmth: Warmth::START,
        latch: Latch::IDLE,
    };
}

pub(super) fn check(tick: &mut Tick<'_>, watched: &mut [Watched], gathered: &mut Gathered) {
    let limits = tick.limits;
    for (index, (sum, channel)) in gathered.i2s.iter_mut().zip(&limits.channels).enumerate() {
        // A current that is not known is taken as the lasting one.
        let amperes = match tick.size(index) {
            Ok(amperes) => amperes,
            Err(_) => larger(channel.discharge_a, channel.charge_a),
        };
        *sum += amperes * amperes * tick.seconds;
    }
    gathered.ms = gathered.ms.saturating_add(tick.dt_ms);
    let due = gathered.ms >= GATHERED_MS;
    #[allow(clippy::cast_precision_loss)] // ten seconds at most
    let seconds = gathered.ms as f32 * 1.0e-3;
    if due {
        for sum in &mut gathered.i2s {
            *sum /= seconds;
        }
    }
    for (index, (circuit, one)) in limits.circuits.iter().zip(watched).enumerate() {
        if one.warmth.inner.is_nan() {
            one.warmth = Warmth::level(circuit.start_degc - circuit.air_degc);
        }
        if due {
            let mean = gathered.i2s.get(usize::from(circuit.channel));
            let i2 = mean.copied().unwrap_or(0.0);
            // No step longer than the gathering: ticks may come late.
            let mut left = seconds;
            for _ in 0..MOST_STEPS {
                let step = if left < LONGEST_STEP_S {
                    left
                } else {
                    LONGEST_STEP_S
                };
                one.warmth.step(circuit, i2, step);
                left -= step;
                if left <= 0.0 {
                    break;
                }
            }
        }
        let degc = circuit.air_degc + one.warmth.inner;
        let left = circuit.limit_degc - degc;
        let look = if left < LIMITED_FROM_K {
            Look::Bad
        } else {
            tick.known(circuit.channel)
        };
        if one.latch.stays_quiet(look) {
            continue;
        }
        let mut seen =
            Seen::new(CheckId::ConductorHot, index, look).at(Ok(degc), circuit.limit_degc);
        // Told only where it is less.
        if look == Look::Bad {
            seen.derate = left / LIMITED_FROM_K;
        } else {
            seen.derate = 1.0;
        }
        if left <= 0.0 {
            seen.also = Advice::OPEN_SOFTLY;
        }
        tick.judge(&mut one.latch, seen);
    }
    if due {
        *gathered = Gathered::NONE;
    }
}

/// Longest step, s: a fifth of the smallest time constant that `limits::fit` makes.
const LONGEST_STEP_S: f32 = 0.2;
/// The longest tick in such steps.
const MOST_STEPS: u8 = 50;
