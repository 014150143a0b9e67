//! What a vehicle controller looks at in every tick.
//!
//! [`Monitors::tick`] takes the limits of the vehicle ([`crate::limits`]) and what is
//! measured and commanded, and tells of every check that does not hold: what was measured,
//! what it is held against, how long it lasts, what clears it, what to do. **It advises; it
//! never drives a contactor.** The caller decides and drives, and has a way in hardware to
//! open without this program; see SAFETY.md.
//!
//! - **Not known is never good.** A value that is no number, out of the range of its sensor
//!   or too old makes its checks [`State::Blind`], with an advice that allows no more closing
//!   than what the check leads to when it does not hold.
//! - **What was found stays** until what clears it comes; each finding tells what that is.
//!   What forbids closing is not cleared by anything else.
//! - **What flickers is found.** Isolation, temperatures, shares and drift of strings have to be
//!   bad for seconds. Meanwhile good ticks are taken off that time at a quarter of their
//!   length, rounded up to a millisecond each: bad in more than a quarter of the time is found
//!   (more than half in ticks of a millisecond), bad once is forgotten. All other checks have
//!   to be bad without a gap.
//! - **Time** is a clock of milliseconds that may wrap. A tick that comes late is a finding;
//!   no more than ten seconds are counted for it. So is a clock that stands still for a
//!   hundred ticks.
//! - **A restart clears nothing** of what was kept ([`Monitors::keep`]). What was kept and cannot
//!   be taken over forbids closing ([`Monitors::restore`]). A start that is asked for in the
//!   first tick is none: its beginning has to be seen.
//! - Bounded in time and memory; no `f64`; nothing is kept but what stands in [`Monitors`].
//!   Advice about opening is advice about current as well: while [`Advice::DO_NOT_OPEN`]
//!   stands, keep closed.
//!
//! | file | what it is about |
//! |---|---|
//! | `input` | what is measured and commanded, each with its age |
//! | `finding` | the checks, their advice, what clears them |
//! | `latch` | how long something has to last |
//! | `tick` | what all checks of one tick share |
//! | `contact` | contactors: closed, open, welded, opened under load, more than they break |
//! | `closing` | the empty link, permission to close, discharge |
//! | `precharge` | whether the link rises |
//! | `course` | which way a voltage goes |
//! | `strings` | plausible voltages, share, drift |
//! | `overload` | currents that last, pulses of fuses |
//! | `warmth` | temperature of conductors by their current |
//! | `around` | isolation, interlock, plug, measured temperatures |
//! | `parts` | of how many parts each check tells |
//! | `counters`, `keep` | what wears, and what is kept over a restart |
//!
//! Source of the checks and their usual thresholds: common practice, no source; what they
//! are in one vehicle stands in its limits.

mod around;
mod closing;
mod contact;
mod counters;
mod course;
mod finding;
mod input;
mod keep;
mod latch;
mod overload;
mod parts;
mod precharge;
mod ramp;
mod strings;
mod tick;
pub(crate) mod warmth;

#[cfg(test)]
mod tests;

pub use counters::*;
pub use finding::{Advice, CheckId, Finding, Reset, State};
pub use input::*;
pub use keep::KeptError;
pub use parts::MAX_FINDINGS;
pub use tick::Summary;

use crate::limits::{Limits, MAX_CHANNELS, MAX_CIRCUITS, MAX_PATHS, MAX_STRINGS, MAX_SWITCHES};
use latch::Latch;
use tick::{Seen, Tick};

/// Bytes that [`Monitors::keep`] writes.
pub const MAX_KEPT_BYTES: usize = 10
    + 2 * (OPENING_BINS * MAX_SWITCHES + PULSE_BINS * MAX_CHANNELS)
    + keep::LOCK_BYTES
    + 4 * MAX_PATHS
    + 4 * MAX_CHANNELS
    + 8 * MAX_CIRCUITS
    + 4;

/// The state of all checks.
#[derive(Clone, Debug)]
pub struct Monitors {
    /// The clock at the last tick.
    last_ms: u32,
    /// Whether there was one.
    ticked: bool,
    started: bool,
    /// Whether there may be locks that were kept and not taken over.
    unrestored: bool,
    /// Ticks in a row in which the clock stood still.
    standing: u8,
    ramp: ramp::Ramp,
    late: Latch,
    opening: Latch,
    coils: Latch,
    link: closing::LinkSeen,
    permissions: [[Latch; 2]; MAX_STRINGS],
    strings: [strings::StringSeen; MAX_STRINGS],
    contactors: contact::Contactors,
    paths: [precharge::Path; MAX_PATHS],
    loads: [overload::Load; MAX_CHANNELS],
    watched: [warmth::Watched; MAX_CIRCUITS],
    gathered: warmth::Gathered,
    around: around::Around,
    counters: Counters,
}

impl Default for Monitors {
    fn default() -> Self {
        Self::new()
    }
}

impl Monitors {
    /// Nothing seen yet: conductors as warm as their duty makes them, one try of precharge
    /// left, no lock. [`Self::restore`] brings back what was kept; a controller that keeps
    /// something begins with [`Self::before_restore`].
    pub const fn new() -> Self {
        Self {
            last_ms: 0,
            ticked: false,
            started: false,
            unrestored: false,
            standing: 0,
            ramp: ramp::Ramp::START,
            late: Latch::IDLE,
            opening: Latch::IDLE,
            coils: Latch::IDLE,
            link: closing::LinkSeen::START,
            permissions: [[Latch::IDLE; 2]; MAX_STRINGS],
            strings: [strings::StringSeen::START; MAX_STRINGS],
            contactors: contact::Contactors::START,
            paths: [precharge::Path::START; MAX_PATHS],
            loads: [overload::Load::START; MAX_CHANNELS],
            watched: [warmth::Watched::START; MAX_CIRCUITS],
            gathered: warmth::Gathered::NONE,
            around: around::Around::START,
            counters: Counters::NEW,
        }
    }

    /// As [`Self::new`], for a controller that stores what [`Self::keep`] gives: every tick
    /// forbids closing until [`Self::restore`] took that over, or
    /// [`Self::start_without_store`] says that there is nothing.
    pub const fn before_restore() -> Self {
        Self {
            unrestored: true,
            ..Self::new()
        }
    }

    /// Somebody decided that the vehicle starts without what was kept: nothing ever was, as
    /// with a new controller, or he has looked after everything that a lock may have been
    /// about. Closing is no longer forbidden for it; nothing else changes.
    pub const fn start_without_store(&mut self) {
        self.unrestored = false;
    }

    /// Looks at everything once.
    ///
    /// Inputs: the limits; a clock, ms, that may wrap; what is measured and commanded. Each
    /// check that does not hold is handed to `tell`; the result sums up their advice.
    // By itself: within a caller with much at hand it takes 1 kB more.
    #[inline(never)]
    pub fn tick(
        &mut self,
        limits: &Limits,
        now_ms: u32,
        inputs: &Inputs,
        tell: &mut dyn FnMut(&Finding),
    ) -> Summary {
        let first = !self.ticked;
        let elapsed = if first {
            0
        } else {
            now_ms.wrapping_sub(self.last_ms)
        };
        (self.last_ms, self.ticked) = (now_ms, true);
        // A clock that went back says nothing about the time that went by.
        let dt_ms = if elapsed > u32::MAX / 2 {
            0
        } else {
            elapsed.min(LONGEST_MS)
        };
        let mut tick = Tick::new(limits, inputs, dt_ms, tell);
        tick.read();
        // A start that was asked for before has no beginning.
        tick.start = inputs.start && !self.started && !first;
        self.started = inputs.start;
        self.ramp.follow(&mut tick);

        #[allow(clippy::cast_precision_loss)] // what is that late may be told roughly
        let late = elapsed as f32;
        self.standing = if elapsed == 0 {
            self.standing.saturating_add(1)
        } else {
            0
        };
        let late = if self.standing > STANDING_TICKS {
            Read::blind(Blind::Stale)
        } else {
            Read::known(late)
        };
        let seen = Seen::most(CheckId::TickLate, 0, late, limits.sensors.tick_ms)
            .lasting(0.0, limits.sensors.tick_ms);
        tick.judge(&mut self.late, seen);
        let moved = self.contactors.follow(&mut tick, &mut self.counters);
        self.link.follow(&mut tick, moved);
        let mut strings = self.strings.iter().take(limits.strings.len());
        let differ = strings.any(|string| !string.agrees());
        self.contactors.check(&mut tick, differ, &self.loads);
        contact::opening(&mut tick, &mut self.opening);
        self.link.check(&mut tick);
        self.link.discharge(&mut tick);
        precharge::check(&mut tick, &mut self.paths);
        closing::permission(&mut tick, &mut self.permissions);
        strings::check(&mut tick, &mut self.strings);
        overload::check(&mut tick, &mut self.loads, &mut self.counters);
        warmth::check(&mut tick, &mut self.watched, &mut self.gathered);
        self.around.check(&mut tick, self.contactors.moved_ms());
        // Last: what is to be opened is not pulled in again.
        contact::coils(&mut tick, &mut self.coils);
        if self.unrestored {
            let advice = &mut tick.summary.advice;
            *advice = advice.and(Advice::WARN).and(Advice::FORBID_CLOSING);
        }
        tick.summary
    }

    /// Somebody looked after the cause of what a check found. Clears nothing that clears
    /// otherwise, and what still does not hold is found again.
    pub fn acknowledge(&mut self, check: CheckId, part: u8) {
        if check.rule().reset != Reset::Acknowledge {
            return;
        }
        let part = usize::from(part);
        if let Some(position) = self.contactors.positions.get_mut(part) {
            position.acknowledge(check);
        }
        if let Some(path) = self.paths.get_mut(part) {
            path.acknowledge(check);
        }
        if let Some(string) = self.strings.get_mut(part) {
            string.acknowledge(check);
        }
        if part == 0 {
            self.link.acknowledge(check);
        }
    }

    /// What wears, since the parts were new.
    pub const fn counters(&self) -> &Counters {
        &self.counters
    }

    /// A part was replaced: its openings are counted anew.
    pub fn contactor_replaced(&mut self, switch: u8) {
        if let Some(bins) = self.counters.openings.get_mut(usize::from(switch)) {
            *bins = [0; OPENING_BINS];
        }
    }

    /// The fuse of a current was replaced: its pulses are counted anew.
    pub fn fuse_replaced(&mut self, channel: u8) {
        if let Some(bins) = self.counters.pulses.get_mut(usize::from(channel)) {
            *bins = [0; PULSE_BINS];
        }
    }

    /// Reckoned temperature of a conductor of the limits, degC; `None` before the first tick.
    pub fn conductor_degc(&self, limits: &Limits, circuit: u8) -> Option<f32> {
        let circuit = usize::from(circuit);
        let rise = self.watched.get(circuit)?.warmth.inner;
        let air = limits.circuits.get(circuit)?.air_degc;
        if rise.is_nan() {
            None
        } else {
            Some(air + rise)
        }
    }
}

/// Ticks in a row in which the clock of milliseconds may stand still.
const STANDING_TICKS: u8 = 100;

/// Longest time that one tick counts for, ms.
const LONGEST_MS: u32 = 10_000;
