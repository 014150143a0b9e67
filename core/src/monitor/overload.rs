//! Currents that last: the overload band, and pulses that age a fuse.

use super::counters::{Counters, PULSE_SHARES};
use super::finding::{Advice, CheckId, State};
use super::input::{Read, ms};
use super::latch::{Latch, Look};
use super::tick::{HALF, Seen, Tick, larger, smaller};
use crate::limits::{BAND_POINTS, BAND_S, Channel};
use crate::protection::Progress;

/// One current.
#[derive(Clone, Copy, Debug)]
pub(super) struct Load {
    /// Share of the band that was used.
    band: Progress,
    /// Share that flowed beyond all of it since nothing was used.
    beyond: f32,
    /// Share of the fuse's melting integral.
    fuse: Progress,
    /// Share of the time in which the fuse has melted at the latest.
    late: f32,
    /// Time at or below the lasting current.
    rest_ms: u32,
    /// Largest joule integral that a share was taken of since nothing was used, A2s.
    largest_a2s: f32,
    latch: Latch,
    /// Whether it has nothing to forget.
    quiet: bool,
}

impl Load {
    pub(super) const START: Self = Self {
        band: Progress::NONE,
        beyond: 0.0,
        fuse: Progress::NONE,
        late: 0.0,
        rest_ms: 0,
        largest_a2s: 0.0,
        latch: Latch::IDLE,
        quiet: false,
    };

    /// Share of the band that was used.
    pub(super) fn used(&self) -> f32 {
        self.band.fraction()
    }

    /// The same to be kept: all of it where opening was asked for and it is not forgotten.
    pub(super) fn kept(&self) -> f32 {
        if self.beyond > 0.0 { 1.0 } else { self.used() }
    }

    /// Whether its fuse has had the time that it needs at the latest.
    pub(super) fn melted(&self) -> bool {
        self.late >= 1.0
    }

    /// Goes on with a share that was used before a restart.
    pub(super) fn go_on_from(&mut self, used: f32) {
        self.quiet = false;
        self.band = Progress::NONE.add(used);
        // Of what it came nobody knows: only rest brings it back.
        self.largest_a2s = f32::INFINITY;
    }
}

/// Joule integral that may flow at a current: that of the next larger current of the band,
/// which is smaller than its own; beyond the band that of the largest.
#[inline(never)]
fn may_flow(band_a: &[f32; BAND_POINTS], a2s: &[f32; BAND_POINTS], amperes: f32) -> f32 {
    let mut least = f32::INFINITY;
    for (current, a2s) in band_a.iter().zip(a2s) {
        if !least.is_finite() || *current >= amperes {
            least = *a2s;
        }
    }
    least
}

/// Share beyond all of it in which the current has to go when opening is asked for: the band
/// is 0.8 of the fuse's currents, 0.64 of its integrals, and 1.25 of that is before it melts.
const OBEYED_WITHIN: f32 = 0.25;

/// Share of its lasting current at which a string recovers: at all of it nothing is forgotten.
const RELIEVED: f32 = 0.95;

/// Share from which on the current is limited.
const LIMITED_FROM: f32 = 0.5;

/// Lasting current in the direction of a current, strings that are out left out.
fn lasting(tick: &Tick<'_>, channel: &Channel, amperes: f32) -> f32 {
    let own = if amperes < 0.0 {
        channel.charge_a
    } else {
        channel.discharge_a
    };
    let strings = &tick.limits.strings;
    if channel.kind != 0 || strings.len() < 2 {
        return own;
    }
    // What the strings that are closed carry together, by the weakest of them.
    let (mut conductance, mut least) = (0.0, f32::INFINITY);
    for (index, string) in strings.iter().enumerate() {
        if tick.is_closed(index) {
            let limit = if amperes < 0.0 {
                string.charge_a
            } else {
                string.discharge_a
            };
            conductance += 1.0 / string.resistance_ohm;
            least = smaller(limit * string.resistance_ohm, least);
        }
    }
    if conductance > 0.0 {
        smaller(least * conductance, own)
    } else {
        own
    }
}

/// Whether a current is surely lasting in either direction, whichever strings are closed:
/// together they carry no less than the weakest of them alone. One that is not known is not.
fn lasts(tick: &Tick<'_>, channel: &Channel, amperes: f32) -> bool {
    let size = libm::fabsf(amperes);
    let own = |discharge_a, charge_a| size <= if amperes < 0.0 { charge_a } else { discharge_a };
    let mut strings = tick.limits.strings.iter();
    own(channel.discharge_a, channel.charge_a)
        && channel.fuse_a.is_none_or(|rated| size <= rated)
        && channel.trip_a.is_none_or(|trip| size <= trip)
        && (channel.kind != 0
            || strings.len() < 2
            || strings.all(|string| own(string.discharge_a, string.charge_a)))
}

pub(super) fn check(tick: &mut Tick<'_>, loads: &mut [Load], counters: &mut Counters) {
    let limits = tick.limits;
    for (index, (channel, load)) in limits.channels.iter().zip(loads).enumerate() {
        let current = tick.currents.get(index).copied().unwrap_or(Read::NONE);
        if !load.quiet || !lasts(tick, channel, current.value()) {
            one(tick, index, channel, (load, current), counters);
        }
    }
}

/// One current of which something may be found.
#[inline(never)]
fn one(
    tick: &mut Tick<'_>,
    index: usize,
    channel: &Channel,
    (load, current): (&mut Load, Read),
    counters: &mut Counters,
) {
    let size = tick.size(index);
    let amperes = size.value();
    // A trip may lie below what lasts.
    let trip_a = channel.trip_a.unwrap_or(f32::INFINITY);
    let limit = smaller(lasting(tick, channel, current.value()), trip_a);
    let trips = amperes > trip_a;
    if amperes > limit {
        load.rest_ms = 0;
        let a2s = may_flow(&channel.band_a, &channel.band_a2s, amperes);
        load.largest_a2s = larger(a2s, load.largest_a2s);
        let share = amperes * amperes / a2s;
        let trip = if trips { 1.0e3 / channel.trip_ms } else { 0.0 };
        let share = larger(share, trip) * tick.seconds;
        load.band = load.band.add(share);
        if load.used() >= 1.0 {
            load.beyond += share;
        }
    } else if size.is_known() {
        // What is not known is no rest.
        load.rest_ms = load.rest_ms.saturating_add(tick.dt_ms);
        // What is missing to the lasting current cools what was heated: no less than that,
        // for it is warmer than lasting currents make it.
        let share = (limit * limit - amperes * amperes) / load.largest_a2s;
        load.band = load.band.less(share * tick.seconds);
    }
    if size.is_known() {
        let mut late = channel.late_a.iter().zip(BAND_S);
        load.late = match late.find(|(late, _)| **late > 0.0 && amperes >= **late) {
            Some((_, seconds)) => load.late + tick.seconds / seconds,
            None => 0.0,
        };
        pulse(tick, index, channel, (&mut *load, amperes), counters);
    }
    if load.rest_ms >= ms(channel.rest_ms) {
        load.band = Progress::NONE;
    }
    let used = load.used();
    if used <= 0.0 {
        load.largest_a2s = 0.0;
        load.beyond = 0.0;
    }
    // What was to be opened is not closed again before all of it is forgotten.
    let spent = used >= 1.0 || load.beyond > 0.0;
    let look = if used >= LIMITED_FROM || spent {
        Look::Bad
    } else {
        current.look()
    };
    let mut seen = Seen::new(CheckId::OvercurrentBand, index, look).at(size, limit);
    if spent {
        seen.also = Advice::FORBID_CLOSING;
    }
    if used >= 1.0 {
        seen.also = seen.also.and(Advice::OPEN_SOFTLY);
        if trips || load.beyond >= OBEYED_WITHIN {
            seen.also = seen.also.and(Advice::OPEN_NOW);
        }
    }
    let mut left = limit / larger(larger(channel.discharge_a, channel.charge_a), 1.0e-3);
    if channel.kind == 1
        && let Some(pack) = tick.limits.channels.first()
    {
        // The pack falls as far as this string has to, to recover.
        let lasting = larger(pack.discharge_a, pack.charge_a);
        let share = RELIEVED * limit / amperes;
        left = smaller(share * tick.size(0).value() / lasting, left);
    }
    if !current.is_known() {
        left = smaller(left, HALF);
    }
    tick.judge_share(&mut load.latch, seen, left);
    load.quiet =
        load.latch.is_quiet() && used <= 0.0 && load.fuse.fraction() <= 0.0 && load.late <= 0.0;
}

/// A pulse of the fuse ends when the current falls to the rated one.
fn pulse(
    tick: &mut Tick<'_>,
    index: usize,
    channel: &Channel,
    (load, amperes): (&mut Load, f32),
    counters: &mut Counters,
) {
    let Some(rated) = channel.fuse_a else {
        return;
    };
    if amperes > rated {
        let a2s = may_flow(&channel.band_a, &channel.fuse_a2s, amperes);
        if a2s > 0.0 {
            load.fuse = load.fuse.add(amperes * amperes / a2s * tick.seconds);
        }
        return;
    }
    let share = load.fuse.fraction();
    if share <= 0.0 {
        return;
    }
    load.fuse = Progress::NONE;
    if counters.pulsed(index, share) {
        let [least, ..] = PULSE_SHARES;
        let seen = Seen::new(CheckId::FusePulse, index, Look::Bad).at(Read::known(share), least);
        tick.once(&seen, State::Found);
    }
}
