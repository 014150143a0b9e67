//! What all checks of one tick share.

// At opt-level s little would be inlined, and a check that is quiet is nothing else.
#![allow(clippy::inline_always)]

use heapless::Vec;

use super::contact::BRANCH;
use super::finding::{Advice, CheckId, Finding, State};
use super::input::{Inputs, Read, ms};
use super::latch::{Latch, Look};
use crate::limits::{Limits, MAX_CHANNELS, MAX_STRINGS, MAX_SWITCHES, NONE, Switch};

/// Everything that was told in one tick, together.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Summary {
    /// All advice together.
    pub advice: Advice,
    /// With [`Advice::DERATE`]: the largest share of the lasting current, 0 to 1.
    pub derate: f32,
    /// Strings whose positive contactor may not close, a bit for each.
    pub held: u8,
    /// Precharge paths whose relay may not close, a bit for each.
    pub hot: u8,
    /// Checks that do not hold.
    pub found: u8,
    /// Checks with an input that cannot be used.
    pub blind: u8,
}

impl Summary {
    const NONE: Self = Self {
        advice: Advice::NONE,
        derate: 1.0,
        held: 0,
        hot: 0,
        found: 0,
        blind: 0,
    };

    /// Whether something that is open may be closed: not while anything is to be opened.
    pub const fn may_close(&self) -> bool {
        !self.advice.has(Advice::FORBID_CLOSING) && !self.advice.has(Advice::OPEN_NOW)
    }

    /// Whether the relay of a precharge path may be closed.
    pub const fn may_precharge(&self, path: u8) -> bool {
        self.may_close() && path < 8 && self.hot & (1 << path) == 0
    }

    /// Whether the positive contactor of a string may be closed.
    pub const fn may_close_main(&self, string: u8) -> bool {
        self.may_close() && string < 8 && self.held & (1 << string) == 0
    }

    /// Whether to open now: advised, and not more current than contactors break.
    pub const fn open(&self) -> bool {
        self.advice.has(Advice::OPEN_NOW) && !self.advice.has(Advice::DO_NOT_OPEN)
    }
}

/// What one check brings.
#[derive(Clone, Copy)]
pub(super) struct Seen {
    pub(super) check: CheckId,
    pub(super) part: usize,
    pub(super) look: Look,
    /// How long it has to last, and how long to be gone, ms.
    pub(super) times: [f32; 2],
    pub(super) measured: f32,
    pub(super) limit: f32,
    /// While found, beside what the rule of the check says.
    pub(super) also: Advice,
}

impl Seen {
    /// Found at once, gone at once.
    #[inline(always)]
    pub(super) const fn new(check: CheckId, part: usize, look: Look) -> Self {
        Self {
            check,
            part,
            look,
            times: [0.0; 2],
            measured: f32::NAN,
            limit: f32::NAN,
            also: Advice::NONE,
        }
    }

    /// A value that must not exceed a limit.
    #[inline(always)]
    pub(super) fn most(check: CheckId, part: usize, value: Read, limit: f32) -> Self {
        let look = value.bad_if(value.value() > limit);
        Self::new(check, part, look).at(value, limit)
    }

    #[inline(always)]
    pub(super) fn at(mut self, value: Read, limit: f32) -> Self {
        self.measured = value.value();
        self.limit = limit;
        self
    }

    #[inline(always)]
    pub(super) fn lasting(mut self, on_ms: f32, off_ms: f32) -> Self {
        self.times = [on_ms, off_ms];
        self
    }

    #[inline(always)]
    pub(super) fn with(mut self, also: Advice) -> Self {
        self.also = also;
        self
    }
}

/// What is left of the lasting current where nobody knows better.
pub(super) const HALF: f32 = 0.5;

/// What a check is about and what it leads to beside its rule: one register, and in this order a
/// short constant.
#[derive(Clone, Copy)]
#[repr(C)]
struct What {
    check: CheckId,
    part: u8,
    also: Advice,
}

impl What {
    #[inline(always)]
    const fn of(seen: &Seen) -> Self {
        Self {
            check: seen.check,
            #[allow(clippy::cast_possible_truncation)] // a place in a short list
            part: seen.part as u8,
            also: seen.also,
        }
    }
}

/// The larger of two numbers. Without `max`'s rule for what is no number it is a third as
/// long on a Cortex-M4F; the second is returned if the first is none.
pub(super) fn larger(one: f32, other: f32) -> f32 {
    if one > other { one } else { other }
}

/// The smaller of two numbers; the second is returned if the first is none.
pub(super) fn smaller(one: f32, other: f32) -> f32 {
    if one < other { one } else { other }
}

const _: () = assert!(MAX_SWITCHES <= 16, "a bit for each");

/// One tick.
#[allow(clippy::struct_excessive_bools)] // what several checks ask, seen once
pub(super) struct Tick<'a> {
    pub(super) limits: &'a Limits,
    pub(super) inputs: &'a Inputs,
    pub(super) dt_ms: u32,
    pub(super) seconds: f32,
    /// A start begins.
    pub(super) start: bool,
    pub(super) link: Read,
    /// Of each string.
    pub(super) strings: Vec<Read, MAX_STRINGS, u8>,
    /// Of each channel.
    pub(super) currents: Vec<Read, MAX_CHANNELS, u8>,
    /// What is known of the contactors.
    pub(super) switches: Switches,
    /// Strings whose contactors are all closed, a bit for each.
    pub(super) closed: u8,
    /// Voltage of the link when a contactor moved last; no number where that was not seen.
    pub(super) moved_v: f32,
    /// Slope of the link voltage, V/s.
    pub(super) slope: Read,
    /// Whether the pack current changes so fast that two voltages are not compared: filters of
    /// different length show it at different times.
    pub(super) ramps: bool,
    /// Whether, by the commands, some string is joined to the link.
    pub(super) joined: bool,
    pub(super) speed: Read,
    /// Good while something is plugged in, bad while nothing is; idle where nobody tells.
    pub(super) plugged: Look,
    /// Whether the vehicle moves. Not known counts as moving, because less is opened then; but
    /// what is plugged in stands.
    pub(super) moves: bool,
    /// Share of the lasting current that is left where the advice is to derate: half, unless
    /// a check knows better.
    derate: f32,
    pub(super) summary: Summary,
    pub(super) tell: &'a mut dyn FnMut(&Finding),
}

/// Contactors, a bit for each.
#[derive(Clone, Copy, Default)]
pub(super) struct Switches {
    /// Commanded.
    pub(super) commanded: u32,
    /// Commanded, and joining a battery to the link.
    pub(super) joining: u32,
    /// Without an auxiliary contact, or with one that tells of a closed contactor.
    pub(super) shut: u32,
    /// Without an auxiliary contact.
    pub(super) silent: u32,
    /// With one that tells of an open contactor.
    pub(super) open: u32,
    /// All of them.
    pub(super) all: u32,
    /// Those that have not had their time to close or to open.
    pub(super) moving: u32,
}

impl Switches {
    fn of(limits: &Limits, inputs: &Inputs) -> Self {
        let oldest_ms = ms(limits.sensors.switch_age_ms);
        let mut seen = Self::default();
        let mut bit = 1_u32;
        for (switch, input) in limits.switches.iter().zip(&inputs.switches) {
            if input.commanded {
                seen.commanded |= bit;
                if switch.role < BRANCH {
                    seen.joining |= bit;
                }
            }
            if switch.feedback == 0 {
                seen.silent |= bit;
                seen.shut |= bit;
            } else if input.contact.age_ms <= oldest_ms {
                match input.contact.on {
                    Some(true) => seen.shut |= bit,
                    Some(false) => seen.open |= bit,
                    None => {}
                }
            }
            seen.all |= bit;
            bit <<= 1;
        }
        seen
    }
}

/// The strings that something switches, a bit for each: one, or all of them.
pub(super) fn strings_of(switch: &Switch) -> u8 {
    match switch.string {
        NONE => u8::MAX,
        string => 1_u8.checked_shl(u32::from(string)).unwrap_or(0),
    }
}

/// All strings, a bit for each.
pub(super) fn all_strings(limits: &Limits) -> u8 {
    (1_u8 << (limits.strings.len() & 7)).wrapping_sub(1)
}

/// A list of those whose bits are set.
pub(super) fn bits(mut set: u32) -> impl Iterator<Item = usize> {
    core::iter::from_fn(move || {
        let next = (set != 0).then(|| set.trailing_zeros() as usize);
        set &= set.wrapping_sub(1);
        next
    })
}

impl<'a> Tick<'a> {
    #[inline(always)]
    pub(super) fn new(
        limits: &'a Limits,
        inputs: &'a Inputs,
        dt_ms: u32,
        tell: &'a mut dyn FnMut(&Finding),
    ) -> Self {
        let sensors = &limits.sensors;
        let link = inputs.link_voltage.read(
            -sensors.voltage_offset_v,
            sensors.voltage_range_v,
            ms(sensors.fast_age_ms),
        );
        let interlock = &limits.interlock;
        let range = interlock.range_km_per_h;
        let slow_ms = ms(sensors.switch_age_ms);
        let speed = inputs.speed.read(-range, range, slow_ms).abs();
        let plugged = inputs.plugged.map_or(Look::Idle, |flag| flag.look(slow_ms));
        let moves = if speed.is_known() {
            speed.value() > interlock.slow_km_per_h
        } else {
            plugged != Look::Good
        };
        #[allow(clippy::cast_precision_loss)] // at most ten seconds
        let seconds = dt_ms as f32 * 1.0e-3;
        Self {
            limits,
            inputs,
            dt_ms,
            seconds,
            start: false,
            link,
            strings: Vec::new(),
            currents: Vec::new(),
            switches: Switches::of(limits, inputs),
            closed: 0,
            moved_v: f32::NAN,
            slope: Read::NONE,
            ramps: false,
            joined: false,
            speed,
            plugged,
            moves,
            derate: HALF,
            summary: Summary::NONE,
            tell,
        }
    }

    /// Reads currents and strings where they stay: returned with the rest, all of it would be
    /// copied.
    #[inline(always)]
    pub(super) fn read(&mut self) {
        let (limits, inputs) = (self.limits, self.inputs);
        let sensors = &limits.sensors;
        let fast_ms = ms(sensors.fast_age_ms);
        // There are as many places as channels and strings.
        for (channel, signal) in limits.channels.iter().zip(&inputs.current) {
            let read = signal.read(-channel.range_a, channel.range_a, fast_ms);
            let _ = self.currents.push(read);
        }
        for (_, signal) in limits.strings.iter().zip(&inputs.string_voltage) {
            let low = -sensors.voltage_offset_v;
            // It changes less than its sum of many cells takes to be sent.
            let oldest_ms = ms(sensors.switch_age_ms);
            let read = signal.read(low, sensors.voltage_range_v, oldest_ms);
            let _ = self.strings.push(read);
        }
    }

    /// Good, unless a current cannot be used.
    #[inline(always)]
    pub(super) fn known(&self, channel: u8) -> Look {
        self.current(channel).look()
    }

    // Once, as `string`: 0.1 kB less in all.
    #[inline(never)]
    pub(super) fn current(&self, channel: u8) -> Read {
        let read = self.currents.get(usize::from(channel));
        read.copied().unwrap_or(Read::NONE)
    }

    /// Size of a current for what adds up: beyond its sensor it is at least what that shows,
    /// and one that is too old goes on as it was.
    pub(super) fn size(&self, channel: usize) -> Read {
        let read = self.currents.get(channel).copied().unwrap_or(Read::NONE);
        let (limits, signal) = (&self.limits.channels, self.inputs.current.get(channel));
        match (limits.get(channel), signal) {
            (Some(channel), _) if read.look() == Look::OutOfRange => Read::known(channel.range_a),
            (_, Some(signal)) if read.look() == Look::Stale => read.of(libm::fabsf(signal.value)),
            _ => read.abs(),
        }
    }

    // Once, and not where it is called: 0.1 kB less in all.
    #[inline(never)]
    pub(super) fn string(&self, string: usize) -> Read {
        let read = self.strings.get(string);
        read.copied().unwrap_or(Read::NONE)
    }

    /// Voltage ahead of a contactor: of its string, or the highest of all.
    pub(super) fn source(&self, string: u8) -> Read {
        if string != NONE {
            return self.string(usize::from(string));
        }
        let mut most = Read::NONE;
        for read in &self.strings {
            most = if most.is_known() {
                Read::known(larger(read.value(), most.value()))
            } else {
                *read
            };
        }
        most
    }

    pub(super) fn is_closed(&self, string: usize) -> bool {
        string < 8 && self.closed & (1 << string) != 0
    }

    /// What the auxiliary contact of a contactor tells: good while it is closed, bad while it is
    /// open; idle where there is none.
    pub(super) fn contact(&self, switch: usize) -> Look {
        let seen = &self.switches;
        let bit = 1_u32 << (switch & 15);
        if seen.silent & bit != 0 {
            Look::Idle
        } else if seen.shut & bit != 0 {
            Look::Good
        } else if seen.open & bit != 0 {
            Look::Bad
        } else {
            let input = self.inputs.switches.get(switch);
            match input.map(|input| input.contact.on) {
                Some(Some(_)) => Look::Stale,
                _ => Look::NotANumber,
            }
        }
    }

    /// Whether a contactor is commanded.
    pub(super) fn commanded(&self, switch: usize) -> bool {
        switch < MAX_SWITCHES && self.switches.commanded & 1 << switch != 0
    }

    /// Whether any contactor is commanded that joins a battery to the link.
    pub(super) fn any_commanded(&self) -> bool {
        self.switches.joining != 0
    }

    /// Largest error between two voltages.
    pub(super) fn voltage_error(&self, volts: f32) -> f32 {
        let sensors = &self.limits.sensors;
        sensors.voltage_share * libm::fabsf(volts) + sensors.voltage_offset_v
    }

    /// Whether the voltages of a string and of the link are the same, as far as their sensors
    /// tell and what lies between them.
    pub(super) fn agree(&self, volts: f32, link: f32) -> bool {
        let beyond = libm::fabsf(volts - link) - self.voltage_error(volts);
        if beyond <= 0.0 {
            return true;
        }
        let current = self.current(0);
        let lasting = self.limits.channels.first().map(|one| one.discharge_a);
        let amperes = if current.is_known() {
            current.abs().value()
        } else {
            lasting.unwrap_or(0.0)
        };
        beyond <= self.limits.sensors.drop_ohm * amperes
    }

    /// Puts what a check saw into its latch and tells of it, unless it holds.
    ///
    /// Nearly always nothing changes. So that is seen where it is called, and what was seen
    /// is put together only where something does.
    #[inline(always)]
    pub(super) fn judge(&mut self, latch: &mut Latch, seen: Seen) {
        if latch.stays_quiet(seen.look) {
            return;
        }
        let [on_ms, off_ms] = seen.times;
        let (measured, limit) = (seen.measured, seen.limit);
        self.news(
            latch,
            What::of(&seen),
            seen.look,
            measured,
            limit,
            on_ms,
            off_ms,
        );
    }

    /// The same of a check that knows how much of the lasting current is left.
    #[inline(always)]
    pub(super) fn judge_share(&mut self, latch: &mut Latch, seen: Seen, left: f32) {
        self.derate = left;
        self.judge(latch, seen);
        self.derate = HALF;
    }

    /// Something changed, or something is told. What was seen comes in registers: that is a
    /// third as long as putting it into memory.
    #[allow(clippy::too_many_arguments)]
    #[cold]
    #[inline(never)]
    fn news(
        &mut self,
        latch: &mut Latch,
        what: What,
        look: Look,
        measured: f32,
        limit: f32,
        on_ms: f32,
        off_ms: f32,
    ) {
        let times = [ms(on_ms), ms(off_ms)];
        latch.step(look, self.dt_ms, times, *what.check.rule(), self.start);
        if latch.is_quiet() {
            return;
        }
        self.report(what, look, *latch, measured, limit);
    }

    /// Tells of what is told once.
    pub(super) fn once(&mut self, seen: &Seen, state: State) {
        self.report(
            What::of(seen),
            seen.look,
            Latch::new(state),
            seen.measured,
            seen.limit,
        );
    }

    /// Sums up and tells.
    #[inline(never)]
    fn report(&mut self, what: What, look: Look, latch: Latch, measured: f32, limit: f32) {
        let rule = what.check.rule();
        let mut finding = Finding {
            check: what.check,
            part: what.part,
            state: latch.state(),
            for_ms: latch.for_ms(),
            measured,
            limit,
            blind: look.why(),
            advice: Advice::NONE,
            reset: rule.reset,
        };
        let summary = &mut self.summary;
        if finding.blind.is_some() {
            finding.advice = rule.blind;
            summary.blind = summary.blind.saturating_add(1);
            if finding.state == State::Watching {
                finding.state = State::Blind;
            }
        }
        match finding.state {
            State::Found | State::Clearing => {
                finding.advice = finding.advice.and(rule.found).and(what.also);
                summary.found = summary.found.saturating_add(1);
            }
            State::Blind => finding.reset = super::Reset::Input,
            State::Idle | State::Good | State::Watching => {}
        }
        if finding.advice.has(Advice::DERATE) {
            summary.derate = smaller(larger(self.derate, 0.0), summary.derate);
        }
        let part = if finding.part < 8 {
            1 << finding.part
        } else {
            0
        };
        if finding.advice.has(Advice::FORBID_MAIN) {
            summary.held |= part;
        }
        if finding.advice.has(Advice::FORBID_PRECHARGE) {
            summary.hot |= part;
        }
        summary.advice = summary.advice.and(finding.advice);
        (self.tell)(&finding);
    }
}
