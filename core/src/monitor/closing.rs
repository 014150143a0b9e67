//! Whether something may be closed: an empty link before, equal voltages then.

use super::course::decayed;
use super::finding::CheckId;
use super::input::{Read, ms};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick, all_strings, larger, smaller};
use crate::limits::Link;

/// What was seen of the link.
#[derive(Clone, Copy, Debug)]
pub(super) struct LinkSeen {
    /// Voltage and age of the mark that the slope is taken from.
    mark_v: f32,
    mark_ms: u32,
    slope: f32,
    /// Since the last contactor opened, ms.
    opened_ms: u32,
    /// Voltage then; no number where that was not seen.
    opened_v: f32,
    /// Voltage when a contactor moved last; no number where that was not seen.
    moved_v: f32,
    /// Voltage one tick ago: what jumps in the tick in which a command is seen has jumped by
    /// what it commands.
    before_v: f32,
    dead: Latch,
    after_off: Latch,
    on_pack: Latch,
    discharge_ms: u32,
    discharge_v: f32,
}

/// Time over which the slope is taken: noise of 1 V gives 40 V/s.
const SLOPE_MS: u32 = 25;

impl LinkSeen {
    pub(super) const START: Self = Self {
        mark_v: 0.0,
        mark_ms: u32::MAX,
        slope: f32::NAN,
        opened_ms: 0,
        opened_v: f32::NAN,
        moved_v: f32::NAN,
        before_v: f32::NAN,
        // It has to be seen dead for its time.
        dead: Latch::LOCKED,
        after_off: Latch::IDLE,
        on_pack: Latch::IDLE,
        discharge_ms: 0,
        discharge_v: 0.0,
    };

    pub(super) fn latches(&mut self) -> [&mut Latch; 2] {
        [&mut self.dead, &mut self.on_pack]
    }

    /// Takes the slope, and notes when everything opened and when something moved.
    pub(super) fn follow(&mut self, tick: &mut Tick<'_>, moved: bool) {
        let link = tick.link.value();
        if moved {
            self.moved_v = smaller(self.before_v, link);
        }
        self.before_v = link;
        tick.moved_v = self.moved_v;
        if !tick.link.is_known() {
            (self.mark_ms, self.slope) = (u32::MAX, f32::NAN);
        } else if self.mark_ms == u32::MAX {
            (self.mark_v, self.mark_ms) = (link, 0);
        } else {
            self.mark_ms = self.mark_ms.saturating_add(tick.dt_ms);
            if self.mark_ms >= SLOPE_MS {
                #[allow(clippy::cast_precision_loss)] // one tick at most
                let seconds = self.mark_ms as f32 * 1.0e-3;
                self.slope = (link - self.mark_v) / seconds;
                (self.mark_v, self.mark_ms) = (link, 0);
            }
        }
        tick.slope = if self.slope.is_nan() {
            Read::NONE
        } else {
            Read::known(self.slope)
        };
        if tick.any_commanded() {
            self.opened_ms = 0;
            self.opened_v = if tick.link.is_known() {
                link
            } else {
                tick.limits.pack.highest_v
            };
        } else {
            self.opened_ms = self.opened_ms.saturating_add(tick.dt_ms);
            // Until the slowest of them is open it may still be charged.
            if tick.switches.moving != 0 {
                self.opened_v = larger(link, self.opened_v);
            }
        }
    }

    pub(super) fn acknowledge(&mut self, check: CheckId) {
        if check == CheckId::DischargeOnPack {
            self.on_pack.acknowledge();
        }
    }

    /// Highest voltage that the bleed has left since everything opened.
    fn explained(&self, tick: &Tick<'_>) -> Option<f32> {
        let link = &tick.limits.link;
        let left = left(link.bleed_ohm?, link, self.opened_v, self.opened_ms);
        Some(left + tick.voltage_error(left))
    }

    /// With everything open: dead before it is closed, and dead in time after it was opened.
    pub(super) fn check(&mut self, tick: &mut Tick<'_>) {
        let touchable = tick.limits.pack.touchable_v;
        let open = !tick.any_commanded();
        let link = tick.link;
        let above = link.bad_if(link.value() >= touchable);
        let charged = if open { above } else { Look::Good };
        let explained = charged == Look::Bad
            && self
                .explained(tick)
                .is_some_and(|most| link.value() <= most);
        let dead = match charged {
            // After a restart in a drive there is nothing left to be seen dead.
            _ if tick.closed != 0 => Look::Good,
            _ if !open => Look::Idle,
            Look::Bad if explained => Look::Good,
            charged => charged,
        };
        let dead_ms = tick.limits.close.dead_ms;
        let seen = Seen::new(CheckId::LinkDeadBeforeClose, 0, dead)
            .at(tick.link, touchable)
            .lasting(0.0, dead_ms);
        tick.judge(&mut self.dead, seen);

        let wait = match tick.limits.link.off_ms {
            // Without a time that is known it is only shown.
            None => f32::INFINITY,
            // Never seen closed: it has had its time.
            Some(_) if self.opened_v.is_nan() => 0.0,
            Some(wait) => wait,
        };
        let seen = Seen::new(CheckId::HighVoltageAfterOff, 0, charged)
            .at(tick.link, touchable)
            .lasting(wait, 0.0);
        tick.judge(&mut self.after_off, seen);
        // The test of a contactor leaves one pole closed for a while: no fault, but no less to
        // be shown.
        if above == Look::Bad && !tick.joined {
            let advice = &mut tick.summary.advice;
            *advice = advice.and(super::Advice::SHOW_CHARGED);
        }
    }

    /// The active discharge has to pull the link down.
    pub(super) fn discharge(&mut self, tick: &mut Tick<'_>) {
        let limits = &tick.limits.link;
        let link = tick.link;
        if !tick.inputs.discharging {
            self.discharge_ms = 0;
            self.discharge_v = link.value();
            let idle = if self.on_pack.holds() {
                Look::Good
            } else {
                Look::Idle
            };
            let seen = Seen::new(CheckId::DischargeOnPack, 0, idle);
            tick.judge(&mut self.on_pack, seen);
            return;
        }
        self.discharge_ms = self.discharge_ms.saturating_add(tick.dt_ms);
        // Judged from the first voltage that is known, and anew from a higher one: what is
        // charged against the discharge later is no less a fault.
        let before = self.discharge_v + tick.voltage_error(self.discharge_v);
        if link.is_known() && (before.is_nan() || link.value() > before) {
            (self.discharge_ms, self.discharge_v) = (0, link.value());
        }
        let due = self.discharge_ms >= ms(limits.stuck_ms);
        let left = limits
            .discharge_ohm
            .map(|ohms| left(ohms, limits, self.discharge_v, self.discharge_ms));
        // Half of the expected fall; of an unknown discharge a tenth of the voltage.
        let most = left.map_or(0.9 * self.discharge_v, |left| {
            0.5 * (self.discharge_v + left)
        });
        let idle = !due || self.discharge_v < tick.limits.pack.touchable_v;
        let look = if link.is_known() && idle {
            Look::Idle
        } else {
            link.bad_if(link.value() > most)
        };
        let seen = Seen::new(CheckId::DischargeOnPack, 0, look)
            .at(link, most)
            .lasting(smaller(limits.stuck_ms, 30.0), 0.0);
        tick.judge(&mut self.on_pack, seen);
    }
}

/// Voltage that a resistor leaves of another one after a time.
// Once, and not where it is called: 0.1 kB less in all.
#[inline(never)]
pub(super) fn left(ohms: f32, link: &Link, volts: f32, for_ms: u32) -> f32 {
    #[allow(clippy::cast_precision_loss)] // the last hour is what matters
    let seconds = for_ms as f32 * 1.0e-3;
    volts * decayed(seconds / (ohms * link.capacitance_f))
}

/// Whether the main contactor of each string may close: precharged, or equal to the
/// strings that are on the link already.
pub(super) fn permission(tick: &mut Tick<'_>, latches: &mut [[Latch; 2]]) {
    let limits = tick.limits;
    let strings = all_strings(limits);
    if tick.closed & strings == strings {
        // What was permitted is done; the next time it has to be seen anew.
        for pair in latches.iter_mut().take(limits.strings.len()) {
            *pair = [Latch::LOCKED; 2];
        }
        return;
    }
    let mut commanded = 0_u8;
    if tick.any_commanded() {
        for (index, switch) in limits.switches.iter().enumerate() {
            if switch.role == 0 && switch.string < 8 && tick.commanded(index) {
                commanded |= 1 << switch.string;
            }
        }
    }
    let close = &limits.close;
    let rested = at_rest(tick);
    for (index, [alone, join]) in latches.iter_mut().enumerate().take(limits.strings.len()) {
        if tick.is_closed(index) {
            (*alone, *join) = (Latch::LOCKED, Latch::LOCKED);
            continue;
        }
        // One that is on its way holds the link as one that is closed.
        let others = (tick.closed | commanded) & !(1 << (index & 7)) != 0;
        let across = tick.string(index).apart(tick.link);
        let joining = limits.parallel.as_ref().filter(|_| others);
        let (check, [within, rest, lasts_ms], slope) = match joining {
            Some(join) => (
                CheckId::StringJoin,
                [join.join_v, join.rest_a, join.join_ms],
                Read::known(0.0),
            ),
            None => (
                CheckId::ClosePermission,
                [close.within_v, close.current_a, close.stable_ms],
                tick.slope.abs(),
            ),
        };
        let known = across.look().and(slope.look()).and(rested.look());
        let look = known.and(Look::bad(
            across.value() > within || slope.value() > close.slope_v_per_s || rested.value() > rest,
        ));
        // The other one has to be seen to hold for its time when its turn comes.
        let (latch, other) = if joining.is_some() {
            (join, alone)
        } else {
            (alone, join)
        };
        *other = Latch::LOCKED;
        // As everything begins that was never looked at.
        if *latch == Latch::IDLE {
            *latch = Latch::LOCKED;
        }
        let seen = Seen::new(check, index, look)
            .at(across, within)
            .lasting(0.0, lasts_ms);
        tick.judge(latch, seen);
    }
}

/// The largest of all currents of the pack and its strings.
pub(super) fn at_rest(tick: &Tick<'_>) -> Read {
    let channels = tick.limits.channels.iter().zip(&tick.currents);
    let mut most = 0.0_f32;
    for (channel, current) in channels {
        if channel.kind <= 1 {
            if !current.is_known() {
                return *current;
            }
            most = larger(current.abs().value(), most);
        }
    }
    Read::known(most)
}
