//! Charging the link: does it rise as it should, and if not, why.

use super::contact::another_holds;
use super::course::{charged, drawn};
use super::finding::CheckId;
use super::input::{Read, ms};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick, larger, smaller};
use crate::limits::Precharge;

/// One precharge path.
#[derive(Clone, Copy, Debug)]
pub(super) struct Path {
    /// Whether the relay is commanded, and since when, ms.
    on: bool,
    since_ms: u32,
    /// Voltage of the link then.
    start_v: f32,
    /// Voltage of the link at a mark, when that was, and the slope between the last two, V/s.
    mark_v: f32,
    mark_ms: u32,
    slope: f32,
    /// Heat in the resistor, as a share of what one try leaves. After a restart nobody knows how
    /// many tries there were: one more is allowed.
    heat: Option<f32>,
    /// Of [`CHECKS`].
    latches: [Latch; 5],
    /// Whether all of them are quiet.
    quiet: bool,
    budget: Latch,
}

impl Path {
    pub(super) const START: Self = Self {
        on: false,
        since_ms: 0,
        start_v: 0.0,
        mark_v: 0.0,
        mark_ms: 0,
        slope: 0.0,
        heat: None,
        latches: [Latch::IDLE; 5],
        quiet: false,
        budget: Latch::IDLE,
    };

    pub(super) fn acknowledge(&mut self, check: CheckId) {
        for (one, latch) in CHECKS.iter().zip(&mut self.latches) {
            if *one == check {
                latch.acknowledge();
            }
        }
    }

    /// Rise, short, open, load, time-out, budget.
    pub(super) fn latches(&mut self) -> [&mut Latch; 6] {
        // Who asks for them may change them.
        self.quiet = false;
        let [short, open, rise, load, time_out] = &mut self.latches;
        [rise, short, open, load, time_out, &mut self.budget]
    }

    /// Heat in the resistor to be kept.
    pub(super) fn kept(&self) -> f32 {
        self.heat.unwrap_or(f32::INFINITY)
    }

    /// Goes on with the heat of before a restart.
    pub(super) fn go_on_from(&mut self, heat: f32) {
        self.heat = Some(heat);
    }
}

/// What each of five checks sees, and when it counts.
#[derive(Clone, Copy)]
struct Sight {
    look: Look,
    measured: f32,
    limit: f32,
    on_ms: f32,
}

/// A rise of less than this may be lost in the steps and the noise of a sensor, V.
const STEPS_V: f32 = 1.0;

/// In the order in which they are told.
const CHECKS: [CheckId; 5] = [
    CheckId::PrechargeShort,
    CheckId::PrechargeOpen,
    CheckId::PrechargeRise,
    CheckId::PrechargeLoad,
    CheckId::PrechargeTimeOut,
];

pub(super) fn check(tick: &mut Tick<'_>, paths: &mut [Path]) {
    let limits = tick.limits;
    for (index, (one, path)) in limits.precharge.iter().zip(paths).enumerate() {
        let relay = usize::from(one.relay);
        let Some(switch) = limits.switches.get(relay) else {
            continue;
        };
        let on = tick.commanded(relay);
        if path.on {
            path.since_ms = path.since_ms.saturating_add(tick.dt_ms);
        } else if on {
            path.start_v = larger(tick.link.value(), 0.0);
            path.slope = f32::NAN;
            (path.mark_ms, path.since_ms) = (0, 0);
        }
        path.on = on;
        // Before its contact closes nothing flows, and a welded one heats uncommanded. A
        // contact that lies is found elsewhere; without one the command is what counts.
        let flows = match tick.contact(relay) {
            Look::Good => true,
            Look::Bad => false,
            _ => on,
        };
        let source = if on || flows {
            tick.source(switch.string)
        } else {
            Read::NONE
        };
        heat(tick, path, one, (source, flows), index);
        if !on && path.quiet {
            continue;
        }
        let bridged = limits.switches.iter().enumerate().any(|(place, other)| {
            other.role == 0 && other.string == switch.string && tick.commanded(place)
        });
        let mut sights = [Sight {
            look: Look::Idle,
            measured: f32::NAN,
            limit: f32::NAN,
            on_ms: one.lasts_ms,
        }; 5];
        // A string that joins through its resistor charges nothing.
        let joins = on && another_holds(tick, usize::from(switch.string));
        let charges = on && !bridged && !joins;
        let for_ms = if charges { path.since_ms } else { 0 };
        let [.., time_out] = &mut sights;
        #[allow(clippy::cast_precision_loss)] // minutes at most
        let so_far = for_ms as f32;
        (time_out.measured, time_out.limit, time_out.on_ms) = (so_far, one.time_out_ms, 0.0);
        if charges {
            time_out.look = Look::bad(for_ms > ms(one.time_out_ms));
            let known = tick.link.look().and(source.look());
            if known != Look::Good {
                for sight in sights.iter_mut().take(4) {
                    sight.look = known;
                }
            } else if source.value() - path.start_v > limits.close.within_v {
                // Else nothing is left to charge.
                let current = tick.current(switch.channel);
                let volts = (source.value(), tick.link.value());
                charging(tick, path, one, (volts, current), &mut sights);
            }
        }
        for ((check, sight), latch) in CHECKS.iter().zip(&sights).zip(&mut path.latches) {
            let seen = Seen {
                measured: sight.measured,
                limit: sight.limit,
                times: [sight.on_ms, 0.0],
                ..Seen::new(*check, index, sight.look)
            };
            tick.judge(latch, seen);
        }
        path.quiet = !on && path.latches.iter().all(|latch| latch.is_quiet());
    }
}

/// While a path charges the link.
fn charging(
    tick: &Tick<'_>,
    path: &mut Path,
    one: &Precharge,
    ((source, link), current): ((f32, f32), Read),
    [see_short, see_open, see_rise, see_load, _]: &mut [Sight; 5],
) {
    let all = source - path.start_v;
    let tau_s = one.resistance_ohm * one.capacitance_f;
    #[allow(clippy::cast_precision_loss)] // minutes at most
    let seconds_of = |for_ms: u32| for_ms as f32 * 1.0e-3;
    // Its relay may have closed at once, or as late as it may.
    let seconds = seconds_of(path.since_ms.saturating_sub(ms(one.pull_in_ms)));
    let taus = seconds / tau_s;
    let expected = if (0.5..=2.0).contains(&taus) {
        charged(one, &tick.limits.standing, source, path.start_v, seconds)
    } else {
        f32::NAN
    };
    let above = |expected: f32| link > expected + one.above_share * source;
    let high = above(expected) && {
        let seconds = seconds_of(path.since_ms);
        above(charged(
            one,
            &tick.limits.standing,
            source,
            path.start_v,
            seconds,
        ))
    };
    let least_a = one.open_share * all / one.resistance_ohm;
    let amperes = current.abs().value();
    // Known, and too little.
    let stops = amperes < least_a;
    let rises = link - path.start_v > 0.05 * all;
    let short_v = one.short_share * source;
    // A broken sense wire reads zero too; then the current has gone by now.
    let half = taus >= 0.5;
    let low = half && link < short_v;
    let short = low && !stops;
    let open = taus >= 0.3 && !rises && stops;
    // What is no number is off no course.
    let off = high || link < expected - one.below_share * source;
    let left = source - link;
    // It rises by what is left in a time constant, less what is known to draw.
    let (draws_a, _) = drawn(&tick.limits.standing, link, true);
    let rise = left - one.resistance_ohm * draws_a;
    let least = smaller(one.stand_share * source, 0.5 * rise) / tau_s;
    // Over half a time constant, and where it would rise by more than a sensor's steps.
    let window_ms = larger(0.5e3 * tau_s, one.lasts_ms);
    let gone_ms = path.since_ms.saturating_sub(path.mark_ms);
    if half && (path.mark_ms == 0 || gone_ms >= ms(window_ms)) {
        if path.mark_ms > 0 {
            path.slope = (link - path.mark_v) / seconds_of(gone_ms);
        }
        (path.mark_v, path.mark_ms) = (link, path.since_ms);
    }
    let stands = left > tick.limits.close.within_v
        && !low
        && path.slope < least
        && least * window_ms >= 1.0e3 * STEPS_V;
    let put = |sight: &mut Sight, bad, measured, limit| {
        (sight.look, sight.measured, sight.limit) = (Look::bad(bad), measured, limit);
    };
    put(see_short, short, link, short_v);
    put(see_open, open, amperes, least_a);
    put(see_rise, off && !low && !open, link, expected);
    put(see_load, stands, path.slope, least);
}

/// Heat of the resistor: each try leaves as much in it as in the link.
fn heat(
    tick: &mut Tick<'_>,
    path: &mut Path,
    one: &Precharge,
    (source, flows): (Read, bool),
    index: usize,
) {
    let mut heat = path.heat.unwrap_or(one.tries - 1.0);
    if flows {
        let highest = tick.limits.pack.highest_v;
        let per_try = 0.5 * one.capacitance_f * highest * highest;
        // Not known is taken as the whole voltage across it.
        let across = if source.is_known() && tick.link.is_known() {
            source.value() - tick.link.value()
        } else {
            highest
        };
        heat += across * across / one.resistance_ohm * tick.seconds / per_try;
    } else if !path.on {
        heat /= 1.0 + tick.seconds * 1.0e3 / one.cooling_ms;
    }
    // More than this takes no longer to tell of.
    heat = smaller(heat, 2.0 * one.tries);
    path.heat = Some(heat);
    // A try that is under way is not refused by what it brings itself.
    let left = heat + 1.0;
    let look = if path.on {
        Look::Idle
    } else {
        // Half a per cent: the sum of a try is not exactly one.
        Look::bad(left > 1.005 * one.tries)
    };
    let seen = Seen::new(CheckId::PrechargeBudget, index, look)
        .at(Read::known(left), one.tries)
        .lasting(0.0, one.wait_ms);
    tick.judge(&mut path.budget, seen);
}
