//! Strings: do their sensors agree with the link, do they share, have they drifted apart.

use super::finding::{Advice, CheckId};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick};
use crate::limits::StringLimit;

/// One string.
#[derive(Clone, Copy, Debug)]
pub(super) struct StringSeen {
    plausible: Latch,
    share: Latch,
    drift: Latch,
}

impl StringSeen {
    pub(super) const START: Self = Self {
        plausible: Latch::IDLE,
        share: Latch::IDLE,
        drift: Latch::IDLE,
    };

    pub(super) fn latches(&mut self) -> [&mut Latch; 2] {
        [&mut self.plausible, &mut self.drift]
    }

    /// Whether nothing is watched nor found about its voltage.
    pub(super) const fn agrees(&self) -> bool {
        self.plausible.is_quiet()
    }

    pub(super) fn acknowledge(&mut self, check: CheckId) {
        match check {
            CheckId::SensorPlausible => self.plausible.acknowledge(),
            CheckId::StringDrift => self.drift.acknowledge(),
            _ => {}
        }
    }
}

pub(super) fn check(tick: &mut Tick<'_>, strings: &mut [StringSeen]) {
    let limits = tick.limits;
    for (index, (limit, seen)) in limits.strings.iter().zip(strings).enumerate() {
        plausible(tick, index, seen);
        if limits.parallel.is_some() {
            let joined = tick.is_closed(index) && tick.closed & !(1 << (index & 7)) != 0;
            share(tick, index, limit, (seen, joined));
            drift(tick, index, (seen, joined));
        }
    }
}

/// Within the window of the pack, and, while closed, the same as the link.
fn plausible(tick: &mut Tick<'_>, index: usize, seen: &mut StringSeen) {
    let pack = &tick.limits.pack;
    let sensors = &tick.limits.sensors;
    let volts = tick.string(index);
    let (own, link) = (volts.value(), tick.link.value());
    let error = tick.voltage_error(own);
    let known = volts.look().and(tick.link.look());
    let mut also = Advice::NONE;
    let (look, limit) = if own > pack.highest_v + error {
        also = Advice::STOP_CHARGING;
        (Look::Bad, pack.highest_v)
    } else if own < pack.lowest_v - error {
        (Look::Bad, pack.lowest_v)
    } else if known == Look::Good {
        let differ = tick.is_closed(index) && !tick.agree(own, link);
        if differ && tick.ramps && !seen.plausible.holds() {
            // The time that they have to differ stands still.
            return;
        }
        (Look::bad(differ), link)
    } else {
        (known, f32::NAN)
    };
    let seen_now = Seen::new(CheckId::SensorPlausible, index, look)
        .at(volts, limit)
        .lasting(sensors.differ_ms, 0.0)
        .with(also);
    tick.judge(&mut seen.plausible, seen_now);
}

/// Channel of a string, where its current is measured.
fn channel_of(tick: &Tick<'_>, string: usize) -> Option<u8> {
    let mut channels = tick.limits.channels.iter();
    let place = channels.position(|one| one.kind == 1 && usize::from(one.string) == string)?;
    u8::try_from(place).ok()
}

/// Its current, against what its resistance makes of the whole.
fn share(
    tick: &mut Tick<'_>,
    index: usize,
    limit: &StringLimit,
    (seen, joined): (&mut StringSeen, bool),
) {
    let Some(parallel) = &tick.limits.parallel else {
        return;
    };
    let Some(channel) = channel_of(tick, index) else {
        return;
    };
    let own = tick.current(channel);
    let whole = tick.current(0);
    let size = whole.abs().value();
    let known = own.look().and(whole.look());
    let (look, expected) = if !joined {
        (Look::Good, f32::NAN)
    } else if known != Look::Good || size < parallel.share_gate * limit.discharge_a {
        (known, f32::NAN)
    } else {
        let expected = expected(tick, index, whole.value());
        let off = libm::fabsf(own.value() - expected);
        (Look::bad(off > parallel.share * size), expected)
    };
    let seen_now = Seen::new(CheckId::StringShare, index, look)
        .at(own, expected)
        .lasting(parallel.share_ms, parallel.share_ms);
    tick.judge(&mut seen.share, seen_now);
}

/// Current of one string out of the whole, by the resistances of those that are closed.
fn expected(tick: &Tick<'_>, index: usize, whole: f32) -> f32 {
    let (mut own, mut all) = (0.0, 0.0);
    for (place, string) in tick.limits.strings.iter().enumerate() {
        if tick.is_closed(place) {
            let siemens = 1.0 / string.resistance_ohm;
            all += siemens;
            if place == index {
                own = siemens;
            }
        }
    }
    whole * own / all
}

/// Joined strings have one voltage, sensed ahead of their fuses.
fn drift(tick: &mut Tick<'_>, index: usize, (seen, joined): (&mut StringSeen, bool)) {
    let Some(parallel) = &tick.limits.parallel else {
        return;
    };
    // From each other: the sensor of the link and what drops up to there are no drift.
    let own = tick.string(index);
    let mut apart = own.apart(own);
    for (other, volts) in tick.strings.iter().enumerate() {
        let one = own.apart(*volts);
        if tick.is_closed(other) && (!one.is_known() || one.value() > apart.value()) {
            apart = one;
        }
    }
    let limit = parallel.drift_v;
    let look = if joined {
        apart.bad_if(apart.value() > limit)
    } else {
        Look::Idle
    };
    let seen_now = Seen::new(CheckId::StringDrift, index, look)
        .at(apart, limit)
        .lasting(parallel.drift_ms, 0.0);
    tick.judge(&mut seen.drift, seen_now);
}
