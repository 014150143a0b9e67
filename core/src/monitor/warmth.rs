//! How hot a conductor is, by the current through it.
//!
//! Two heat capacities: what warms with the conductor, what warms with the surface. The
//! first is smaller while it warms than while it cools, for in an overload the insulation
//! lags behind, and afterwards keeps the conductor warm. The host fits them so that the
//! conductor is never reckoned colder than the radial chain of
//! [`crate::conductor::transient`] makes it (`limits::fit`).

use super::finding::{Advice, CheckId};
use super::input::Read;
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick, larger};
use crate::limits::{Circuit, Limits, MAX_CHANNELS};

/// Time over which heat is gathered before it is worked in, ms: smaller steps would be lost in
/// `f32`, and be colder than those that `limits::fit` is proven with.
pub(crate) const GATHERED_MS: u32 = 100;

/// Time within which it is worked into all conductors, ms.
const WORKED_MS: u32 = 80;

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
            *self = Self::melted();
        }
    }

    // Apart, so that all others need not choose between two values.
    #[cold]
    #[inline(never)]
    const fn melted() -> Self {
        Self::level(HOTTEST_K)
    }
}

const HOTTEST_K: f32 = 2000.0;

/// Heat gathered since it was last worked in, and what is being worked in.
///
/// Not all conductors in one tick: each takes a hundred instructions.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gathered {
    i2s: [f32; MAX_CHANNELS],
    ms: u32,
    /// Mean squares of what was gathered before, A2.
    means: [f32; MAX_CHANNELS],
    /// The time that they stand for, in so many steps of so many seconds.
    steps: u32,
    seconds: f32,
    /// Conductors into which they were worked.
    done: u8,
    /// Whether nothing is told of a conductor, and no temperature was set.
    quiet: bool,
}

impl Gathered {
    pub(super) const NONE: Self = Self {
        i2s: [0.0; MAX_CHANNELS],
        ms: 0,
        means: [0.0; MAX_CHANNELS],
        steps: 0,
        seconds: 0.0,
        done: 0,
        quiet: false,
    };

    /// Temperatures were changed from outside.
    pub(super) fn look_at_all(&mut self) {
        self.quiet = false;
    }

    /// Adds what flowed in this tick. Gives the currents that cannot be used, a bit for each.
    fn add(&mut self, tick: &Tick<'_>) -> u8 {
        let (mut blind, mut bit) = (0, 1_u8);
        let channels = tick.limits.channels.iter().zip(&tick.currents);
        let channels = channels.zip(&tick.inputs.current);
        for (sum, ((channel, read), signal)) in self.i2s.iter_mut().zip(channels) {
            let mut amperes = read.value();
            if !read.is_known() {
                blind |= bit;
                // One that is not known is taken as the lasting one or the last that was,
                // one beyond its sensor as what that shows.
                let lasting = larger(channel.discharge_a, channel.charge_a);
                amperes = if read.look() == Look::OutOfRange {
                    channel.range_a
                } else {
                    larger(libm::fabsf(signal.value), lasting)
                };
            }
            *sum += amperes * amperes * tick.seconds;
            bit <<= 1;
        }
        self.ms = self.ms.saturating_add(tick.dt_ms);
        blind
    }

    /// Works what was gathered before into so many more conductors.
    #[inline(never)]
    fn work(&mut self, limits: &Limits, watched: &mut [Watched], many: usize) {
        let first = usize::from(self.done);
        let last = first.saturating_add(many).min(limits.circuits.len());
        let places = first..last;
        if let (Some(circuits), Some(watched)) =
            (limits.circuits.get(places.clone()), watched.get_mut(places))
        {
            // Nearly always it is one step: so nothing is made ready for a second one.
            for _ in 0..self.steps {
                for (circuit, one) in circuits.iter().zip(&mut *watched) {
                    let mean = self.means.get(usize::from(circuit.channel));
                    let i2 = mean.copied().unwrap_or(0.0);
                    one.warmth.step(circuit, i2, self.seconds);
                }
            }
            #[allow(clippy::cast_possible_truncation)] // a place in a short list
            (self.done = last as u8);
        }
    }

    /// Begins to work in what was gathered.
    fn begin(&mut self, channels: usize) {
        #[allow(clippy::cast_precision_loss)] // ten seconds at most
        let seconds = self.ms as f32 * 1.0e-3;
        let sums = self.means.iter_mut().zip(&mut self.i2s);
        for (mean, sum) in sums.take(channels) {
            *mean = *sum / seconds;
            *sum = 0.0;
        }
        // No step longer than that: ticks may come late.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // fifty at most
        let steps = (seconds * (1.0 / LONGEST_STEP_S)) as u32 + 1;
        #[allow(clippy::cast_precision_loss)] // fifty at most
        let many = steps as f32;
        (self.steps, self.seconds) = (steps, seconds / many);
        (self.ms, self.done) = (0, 0);
    }
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
    let count = limits.circuits.len();
    let blind = gathered.add(tick);
    // Nearly always nothing can be told but of those that were just worked on.
    let mut all = blind != 0 || !gathered.quiet;
    let mut first = usize::from(gathered.done).min(count);
    if gathered.ms >= GATHERED_MS {
        if first < count {
            // A tick that is late finds some that wait.
            all = true;
            gathered.work(limits, watched, count);
        }
        gathered.begin(limits.channels.len());
        first = 0;
    }
    let due = (tick.dt_ms as usize * count).div_ceil(WORKED_MS as usize);
    gathered.work(limits, watched, due);
    let last = usize::from(gathered.done).min(count);
    let (from, to) = if all { (0, count) } else { (first, last) };
    gathered.quiet = true;
    let (Some(circuits), Some(watched)) =
        (limits.circuits.get(from..to), watched.get_mut(from..to))
    else {
        return;
    };
    for (place, (circuit, one)) in circuits.iter().zip(watched).enumerate() {
        let index = from + place;
        if one.warmth.inner.is_nan() {
            one.warmth = Warmth::level(circuit.start_degc - circuit.air_degc);
        }
        let degc = circuit.air_degc + one.warmth.inner;
        let left = circuit.limit_degc - degc;
        let look = if left < LIMITED_FROM_K {
            Look::Bad
        } else if blind & 1 << (circuit.channel & 7) != 0 {
            tick.known(circuit.channel)
        } else {
            Look::Good
        };
        if one.latch.stays_quiet(look) {
            continue;
        }
        let mut seen =
            Seen::new(CheckId::ConductorHot, index, look).at(Read::known(degc), circuit.limit_degc);
        // Told only where it is less.
        let share = if look == Look::Bad {
            left / LIMITED_FROM_K
        } else {
            1.0
        };
        if left <= 0.0 {
            seen.also = Advice::OPEN_SOFTLY.and(Advice::FORBID_CLOSING);
        }
        tick.judge_share(&mut one.latch, seen, share);
        gathered.quiet &= one.latch.is_quiet();
    }
}

/// Longest step, s: a fifth of the smallest time constant that `limits::fit` makes.
const LONGEST_STEP_S: f32 = 0.2;
