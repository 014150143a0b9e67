//! Contactors: whether they did what they were told, and what flowed when they opened.

use super::closing::left;
use super::counters::Counters;
use super::finding::{Advice, CheckId, State};
use super::input::ms;
use super::latch::{Latch, Look};
use super::overload::Load;
use super::tick::{Seen, Tick, all_strings, bits, larger, smaller, strings_of};
use crate::limits::{MAX_SWITCHES, NONE, SATURATED, Switch};

/// Role of a relay that precharges; it is opened without current.
pub(super) const RELAY: u8 = 2;
/// Role of a contactor that joins a load to the link; those above join something else than
/// a battery too.
pub(super) const BRANCH: u8 = 3;

/// One contactor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Position {
    /// Since its command changed, or since the start of the program; stands still once it is
    /// due.
    since_ms: u32,
    verify: Latch,
    weld: Latch,
    no_open: Latch,
}

impl Position {
    const START: Self = Self {
        since_ms: 0,
        verify: Latch::IDLE,
        weld: Latch::IDLE,
        no_open: Latch::IDLE,
    };

    pub(super) fn latches(&mut self) -> [&mut Latch; 2] {
        [&mut self.verify, &mut self.weld]
    }

    const fn is_quiet(&self) -> bool {
        self.verify.is_quiet() && self.weld.is_quiet() && self.no_open.is_quiet()
    }

    pub(super) fn acknowledge(&mut self, check: CheckId) {
        match check {
            CheckId::MainCloseVerify => self.verify.acknowledge(),
            CheckId::Weld => self.weld.acknowledge(),
            _ => {}
        }
    }
}

/// All contactors; of each a bit.
#[derive(Clone, Debug)]
pub(super) struct Contactors {
    pub(super) positions: [Position; MAX_SWITCHES],
    commanded: u32,
    /// Seen to be opened. After a restart a charged link says nothing.
    was_opened: u32,
    /// They have had the time that they take to close or to open.
    due: u32,
    /// Nothing is found about them, nor watched.
    quiet: u32,
    /// Those of strings that are the only way of their current.
    ways: u32,
    /// Whether, by the commands, some string is joined to the link.
    joined: bool,
    /// Since one of them moved last, or since the start of the program, ms.
    still_ms: u32,
}

impl Contactors {
    pub(super) const START: Self = Self {
        positions: [Position::START; MAX_SWITCHES],
        commanded: 0,
        was_opened: 0,
        due: 0,
        // What was kept over a restart stands in the latches.
        quiet: 0,
        ways: 0,
        joined: false,
        still_ms: 0,
    };

    /// Since one of them was seen to move.
    pub(super) fn moved_ms(&self) -> u32 {
        if self.commanded | self.was_opened == 0 {
            return u32::MAX;
        }
        self.still_ms
    }

    /// Latches were changed from outside.
    pub(super) fn look_at_all(&mut self) {
        self.quiet = 0;
    }

    /// Notes what was commanded, and which strings are closed. Gives whether one moved.
    pub(super) fn follow(&mut self, tick: &mut Tick<'_>, counters: &mut Counters) -> bool {
        let limits = tick.limits;
        let now = tick.switches.commanded;
        let changed = now ^ self.commanded;
        self.still_ms = self.still_ms.saturating_add(tick.dt_ms);
        if changed != 0 {
            self.still_ms = 0;
            self.due &= !changed;
            self.was_opened = self.was_opened & !changed | changed & !now;
            self.commanded = now;
            self.joined = joined(tick);
            for (index, switch) in limits.switches.iter().enumerate() {
                if changed & !now & 1 << index != 0 && switch.role != RELAY {
                    parted(tick, index, switch, counters);
                }
            }
        }
        tick.joined = self.joined;
        let moving = tick.switches.all & !self.due;
        // Nearly always none.
        let all = if moving == 0 {
            &mut []
        } else {
            self.positions.as_mut_slice()
        };
        for (index, (switch, position)) in limits.switches.iter().zip(all).enumerate() {
            let bit = 1 << index;
            if moving & bit == 0 {
                continue;
            }
            if changed & bit != 0 {
                position.since_ms = 0;
            } else {
                position.since_ms = position.since_ms.saturating_add(tick.dt_ms);
            }
            let takes_ms = if now & bit != 0 {
                switch.closing_ms
            } else {
                switch.opening_ms
            };
            if position.since_ms >= ms(takes_ms) {
                self.due |= bit;
            }
            if switch.only_way != 0 {
                self.ways |= bit;
            }
        }
        tick.switches.moving = tick.switches.all & !self.due;
        // Strings that have a contactor, and those of which one is not closed, a bit for each.
        let (mut any, mut lacks) = (0_u8, 0_u8);
        let mut shut = now & self.due & tick.switches.shut;
        for switch in &limits.switches {
            if switch.role <= 1 {
                let strings = strings_of(switch);
                any |= strings;
                if shut & 1 == 0 {
                    lacks |= strings;
                }
            }
            shut >>= 1;
        }
        tick.closed = any & !lacks & all_strings(limits);
        changed != 0
    }

    /// Every contactor of which something may be found: nearly always none. `differ`: whether
    /// the voltage of some string is not what it should be.
    pub(super) fn check(&mut self, tick: &mut Tick<'_>, differ: bool, loads: &[Load]) {
        let limits = tick.limits;
        let seen = tick.switches;
        let on = seen.commanded;
        let off = seen.all & !on;
        // What their contacts do not tell to be as it is commanded.
        let told = on & seen.shut & !seen.silent | off & (seen.open | seen.silent);
        let mut wrong = seen.all & !self.quiet | self.due & seen.all & !told;
        for index in bits(on) {
            if let Some(switch) = limits.switches.get(index)
                && switch.role != RELAY
                && !within(tick, switch)
            {
                wrong |= 1 << index;
            }
        }
        if differ {
            wrong |= on & self.due;
        }
        // Nearly always nothing flows while something is open.
        let soft = limits.opening.soft_a;
        let mut currents = tick.currents.iter();
        let mut open = off & self.due & self.ways;
        if open != 0 && !currents.any(|one| one.abs().value() > soft) {
            open = 0;
        }
        for index in bits(open) {
            if let Some(switch) = limits.switches.get(index)
                && flows(tick, switch)
            {
                wrong |= 1 << index;
            }
        }
        // It falls from the moment that the last of them moved: a relay that opened long ago
        // says nothing while its positive contactor held the link up.
        let opened = self.was_opened & off;
        // A link that was dead when the others closed and is charged now.
        let rose = tick.moved_v < limits.pack.touchable_v;
        let mut by_link = match tick.moves {
            true => 0,
            false if rose => off,
            false => opened,
        };
        let below = by_link != 0 && below_all(tick);
        let idle = below && wrong == 0;
        if idle || by_link != 0 && !rose && !decayed_by_now(tick, self.still_ms) {
            by_link = 0;
        }
        if !below {
            wrong |= by_link & self.due;
        }
        if wrong == 0 {
            return;
        }
        let switches = limits.switches.iter().zip(&mut self.positions);
        for (index, (switch, position)) in switches.enumerate() {
            let bit = 1 << index;
            if wrong & bit == 0 {
                continue;
            }
            let (commanded, due) = (on & bit != 0, self.due & bit != 0);
            let tells = tick.contact(index);
            verify(tick, (index, switch), position, tells, due && commanded);
            // The link lies ahead of a branch. With everything open it falls as with one.
            let all_open = !rose && switch.role < RELAY && !tick.any_commanded();
            let link_tells = by_link & bit != 0
                && switch.role < BRANCH
                && (all_open || alone(tick, index, switch));
            weld(
                tick,
                (index, switch),
                position,
                (tells, link_tells),
                due && !commanded,
            );
            if switch.role != RELAY {
                let load = loads.get(usize::from(switch.channel));
                let melted = load.is_some_and(Load::melted);
                band(tick, index, switch, (position, commanded, melted));
            }
            if position.is_quiet() {
                self.quiet |= bit;
            } else {
                self.quiet &= !bit;
            }
        }
    }
}

/// Largest current that a contactor breaks in the direction of a current.
fn breaks(switch: &Switch, current: f32) -> f32 {
    if current < 0.0 {
        switch.breaks_charge_a
    } else {
        switch.breaks_discharge_a
    }
}

/// Whether the current is known, and no more than a contactor breaks in either direction nor
/// than its sensor shows.
fn within(tick: &Tick<'_>, switch: &Switch) -> bool {
    let channel = usize::from(switch.channel);
    let range = tick.limits.channels.get(channel);
    match (tick.currents.get(channel), range) {
        (Some(current), Some(channel)) => {
            let size = current.abs().value();
            size <= switch.breaks_charge_a
                && size <= switch.breaks_discharge_a
                && size <= channel.sure_a
        }
        _ => false,
    }
}

/// Whether a string is joined to the link, as far as commands go: of each contactor in series
/// none lacks, a relay standing for the one that it bridges.
fn joined(tick: &Tick<'_>) -> bool {
    let limits = tick.limits;
    let (mut cut, mut mains, mut pulled, mut others) = (0_u8, 0_u8, 0_u8, false);
    for (index, switch) in limits.switches.iter().enumerate() {
        let strings = strings_of(switch);
        let on = tick.commanded(index);
        match switch.role {
            0 => mains |= strings,
            1 if !on => cut |= strings,
            _ => {}
        }
        if on && matches!(switch.role, 0 | RELAY) {
            pulled |= strings;
        }
        others |= on && switch.role < BRANCH;
    }
    others && all_strings(limits) & !(cut | mains & !pulled) != 0
}

/// Share of its range by which a current sensor may be off at rest: no current is believed
/// below it (common practice, no source).
const OFFSET_SHARE: f32 = 0.005;

/// Whether a current flows that has no other way than through this contactor. A relay takes it
/// past the one that it bridges.
fn flows(tick: &Tick<'_>, switch: &Switch) -> bool {
    let limits = tick.limits;
    let channel = limits.channels.get(usize::from(switch.channel));
    let offset = channel.map_or(f32::INFINITY, |channel| OFFSET_SHARE * channel.range_a);
    let amperes = tick.current(switch.channel).abs().value();
    switch.only_way != 0
        && switch.role < RELAY
        && amperes > larger(offset, limits.opening.soft_a)
        && !(switch.role == 0
            && limits.switches.iter().enumerate().any(|(place, relay)| {
                relay.role == RELAY && relay.string == switch.string && tick.commanded(place)
            }))
}

/// Whether a contactor is closed for what flows through it. An offset of a sensor flows through
/// an open one too: then the link leaves its string.
fn carries(tick: &Tick<'_>, switch: &Switch) -> bool {
    let limits = tick.limits;
    let own = limits.strings.get(usize::from(switch.string));
    let ohms = own
        .or(limits.strings.first())
        .map_or(0.0, |string| string.resistance_ohm);
    let amperes = tick.current(switch.channel).abs().value();
    let volts = tick.source(switch.string);
    let drop = amperes * (limits.sensors.drop_ohm + ohms);
    let leaves = volts.apart(tick.link).value() > tick.voltage_error(volts.value()) + drop;
    !leaves && flows(tick, switch)
}

/// Lowest voltage at which a string holds the link through a welded contactor: what a bleed
/// leaves may read higher than it is.
// Once, and not where it is called: a few bytes less in all.
#[inline(never)]
fn held_v(tick: &Tick<'_>, volts: f32) -> f32 {
    let lost = tick.limits.link.weld_share * volts;
    volts - lost + smaller(tick.voltage_error(volts), 0.5 * lost)
}

/// Whether the link is known to be lower than any string leaves it through a welded contactor.
fn below_all(tick: &Tick<'_>) -> bool {
    let link = tick.link;
    let mut strings = tick.strings.iter();
    link.is_known() && strings.all(|volts| link.value() < held_v(tick, volts.value()))
}

/// Whether the bleed has had the time in which an opened link loses its share.
fn decayed_by_now(tick: &Tick<'_>, still_ms: u32) -> bool {
    let link = &tick.limits.link;
    link.bleed_ohm
        .is_some_and(|ohms| left(ohms, link, 1.0, still_ms) <= 1.0 - link.weld_share)
}

/// It was told to open: with how much in it?
fn parted(tick: &mut Tick<'_>, index: usize, switch: &Switch, counters: &mut Counters) {
    let soft = tick.limits.opening.soft_a;
    let current = tick.current(switch.channel);
    let amperes = current.abs().value();
    if amperes <= soft {
        return;
    }
    let (state, look) = if current.is_known() {
        (State::Found, Look::Bad)
    } else {
        (State::Blind, current.look())
    };
    counters.opened(index, amperes / breaks(switch, current.value()));
    let seen = Seen::new(CheckId::OpenUnderLoad, index, look).at(current, soft);
    tick.once(&seen, state);
}

/// Whether all others on the way of a contactor are commanded, and nothing else that joins
/// the link to a battery.
fn alone(tick: &Tick<'_>, index: usize, switch: &Switch) -> bool {
    for (other, one) in tick.limits.switches.iter().enumerate() {
        if other == index || one.role == BRANCH {
            continue;
        }
        // A relay is bridged by its positive contactor, the others are in series.
        let series = one.role <= 1
            && !(switch.role == RELAY && one.role == 0)
            && (one.string == switch.string || one.string == NONE);
        if tick.commanded(other) != series {
            return false;
        }
    }
    true
}

/// Whether the voltages tell that a contactor is open although its strings are closed as
/// far as commands and contacts go: of which of those without a contact they cannot tell.
/// `shut`: its own contact says that it is closed.
fn parts(tick: &Tick<'_>, switch: &Switch, shut: bool) -> Look {
    let mut look = Look::Idle;
    for string in 0..tick.limits.strings.len() {
        let own = switch.string == NONE || usize::from(switch.string) == string;
        if !own || !tick.is_closed(string) {
            continue;
        }
        let (volts, link) = (tick.string(string), tick.link);
        let known = volts.look().and(link.look());
        if known != Look::Good || tick.agree(volts.value(), link.value()) {
            return known;
        }
        // What carries a current is closed; which sensor is wrong is told elsewhere. Where
        // another string holds the link, a fuse does the same as a contactor, and drift tells
        // of both.
        let carries = if shut {
            // Only a dead link tells against its contact too.
            flows(tick, switch) && link.value() >= tick.limits.pack.touchable_v
        } else {
            carries(tick, switch)
        };
        if carries || another_holds(tick, string) {
            return Look::Good;
        }
        look = Look::Bad;
    }
    look
}

/// Whether another string is closed and has the voltage of the link.
pub(super) fn another_holds(tick: &Tick<'_>, string: usize) -> bool {
    let mut strings = tick.strings.iter().enumerate();
    strings.any(|(other, volts)| {
        other != string && tick.is_closed(other) && tick.agree(volts.value(), tick.link.value())
    })
}

/// Closed when it was told to: its contact and the voltages say so.
fn verify(
    tick: &mut Tick<'_>,
    (index, switch): (usize, &Switch),
    position: &mut Position,
    tells: Look,
    due: bool,
) {
    let look = match tells {
        _ if !due => Look::Idle,
        // It cannot be right while the current flows.
        Look::Bad if carries(tick, switch) => Look::OutOfRange,
        // A relay charges; what it leads to is judged there.
        Look::Idle | Look::Good if switch.role > 1 => tells,
        Look::Idle => parts(tick, switch, false),
        // It may stick.
        Look::Good => Look::bad(parts(tick, switch, true) == Look::Bad),
        open_or_blind => open_or_blind,
    };
    if look == Look::Bad && tells != Look::Bad && tick.ramps && !position.verify.holds() {
        // The time that they have to differ stands still.
        return;
    }
    let lasts_ms = match tells {
        Look::Bad => 0.0,
        _ => tick.limits.sensors.differ_ms,
    };
    tick.judge(
        &mut position.verify,
        Seen::new(CheckId::MainCloseVerify, index, look).lasting(lasts_ms, 0.0),
    );
}

/// Open when it was told to: its contact says so, or the link falls with it alone open or with
/// all of them, or stays dead when the others close.
fn weld(
    tick: &mut Tick<'_>,
    (index, switch): (usize, &Switch),
    position: &mut Position,
    (tells, link_tells): (Look, bool),
    due: bool,
) {
    let source = tick.source(switch.string);
    // A link that was charged higher when they opened has fallen from there.
    let limit = held_v(tick, larger(tick.moved_v, source.value()));
    let by_voltage = if link_tells {
        let link = tick.link;
        if link.value() >= limit {
            Look::Bad
        } else {
            link.look().and(source.look())
        }
    } else {
        Look::Idle
    };
    let by_current = due && flows(tick, switch);
    let look = match tells {
        _ if !due => Look::Idle,
        Look::Good => Look::Bad,
        _ if by_current => Look::Bad,
        // A contact that tells of an open one may be torn off itself.
        Look::Bad if by_voltage == Look::Bad => Look::Bad,
        Look::Bad => Look::Good,
        Look::Idle => by_voltage,
        blind => blind,
    };
    if position.weld.stays_quiet(look) {
        return;
    }
    let lasts_ms = if by_current {
        CURRENT_GOES_MS
    } else if by_voltage == Look::Bad && tick.moved_v < tick.limits.pack.touchable_v {
        // Nothing else charges a dead link at once, and the relay may be next.
        0.0
    } else {
        50.0
    };
    tick.judge(
        &mut position.weld,
        Seen::new(CheckId::Weld, index, look)
            .at(tick.link, limit)
            .lasting(lasts_ms, 0.0),
    );
}

/// In this time the current sensor has followed what an opened contactor broke, ms.
const CURRENT_GOES_MS: f32 = 300.0;

/// More than it breaks: kept closed until the fuse has had its time.
fn band(
    tick: &mut Tick<'_>,
    index: usize,
    switch: &Switch,
    (position, commanded, melted): (&mut Position, bool, bool),
) {
    if !commanded && position.no_open.stays_quiet(Look::Good) {
        return;
    }
    let current = tick.current(switch.channel);
    let channel = tick.limits.channels.get(usize::from(switch.channel));
    let range = channel.map_or(f32::INFINITY, |channel| SATURATED * channel.range_a);
    let breaks_a = breaks(switch, current.value());
    let limit = smaller(breaks_a, channel.map_or(0.0, |channel| channel.sure_a));
    let size = current.abs().value();
    let look = match current.look() {
        _ if !commanded => Look::Good,
        // Beyond what the sensor shows is beyond what it breaks.
        Look::OutOfRange => Look::Bad,
        _ => current.bad_if(size > limit),
    };
    let held = position.no_open;
    let waited = held.state() == State::Found && held.for_ms() >= ms(switch.hold_ms);
    // As long as the fuse needs, unless somebody asks for opening at once; what it carries for
    // ever is only taken back.
    let fused = channel.is_some_and(|channel| matches!(channel.late_a, [first, ..] if first > 0.0));
    let asked = tick.inputs.open == super::input::OpenRequest::AtOnce;
    let over = waited && (!fused || melted || asked);
    // What it breaks if the sensor tells all of it, and what a drive may draw.
    let perhaps = size <= breaks_a && size < range;
    let advice = match (over, perhaps) {
        (true, true) => Advice::NONE,
        (true, false) => Advice::OPEN_NOW,
        (false, true) => Advice::DO_NOT_OPEN,
        (false, false) => Advice::DO_NOT_OPEN
            .and(Advice::DERATE)
            .and(Advice::ZERO_TORQUE),
    };
    // Gone for 5 ms: a fuse that clears is faster.
    tick.judge_share(
        &mut position.no_open,
        Seen::new(CheckId::DoNotOpenBand, index, look)
            .at(current, limit)
            .lasting(0.0, 5.0)
            .with(advice),
        0.0,
    );
}

/// Supply of the coils.
pub(super) fn coils(tick: &mut Tick<'_>, latch: &mut Latch) {
    let coils = &tick.limits.coils;
    let supply = tick
        .inputs
        .supply
        .read(0.0, coils.range_v, ms(tick.limits.sensors.switch_age_ms));
    let look = supply.bad_if(supply.value() < coils.hold_v);
    if latch.stays_quiet(look) {
        return;
    }
    let (mut fallen, mut near) = (false, tick.any_commanded());
    for (index, volts) in tick.strings.iter().enumerate() {
        if tick.is_closed(index) && !tick.agree(volts.value(), tick.link.value()) {
            near = false;
            fallen |= volts.is_known() && tick.link.is_known();
        }
    }
    // A contactor that let go must not pull in onto a link that has fallen meanwhile.
    let also = if fallen {
        Advice::OPEN_NOW
    } else if near && !tick.summary.advice.has(Advice::OPEN_NOW) {
        Advice::PULL_IN_AGAIN
    } else {
        Advice::NONE
    };
    let seen = Seen::new(CheckId::CoilDip, 0, look)
        .at(supply, coils.hold_v)
        .lasting(coils.dip_ms, coils.again_ms)
        .with(also);
    tick.judge(latch, seen);
}

/// Opening without load: zero current is asked for, waited for, then it is opened.
pub(super) fn opening(tick: &mut Tick<'_>, latch: &mut Latch) {
    use super::input::OpenRequest;
    let opening = &tick.limits.opening;
    if tick.inputs.open == OpenRequest::None && latch.stays_quiet(Look::Good) {
        return;
    }
    // Of all that opens: strings that equalise carry current when the pack has none.
    let current = super::closing::at_rest(tick);
    // Since the tick that saw the request; a current that was measured before says nothing.
    let waits = latch.state() == State::Watching;
    let since_ms = latch.for_ms().saturating_add(tick.dt_ms);
    let waited = since_ms >= ms(opening.settle_ms);
    let channels = tick.limits.channels.iter().zip(&tick.inputs.current);
    let fresh = waits
        && channels
            .filter(|(channel, _)| channel.kind <= 1)
            .all(|(_, signal)| signal.age_ms < since_ms);
    let look = match tick.inputs.open {
        OpenRequest::None => Look::Good,
        OpenRequest::Soft | OpenRequest::AtOnce => Look::Bad,
    };
    let now = tick.inputs.open == OpenRequest::AtOnce
        || waited && fresh && current.value() < opening.soft_a;
    let on_ms = if now { 0.0 } else { opening.time_out_ms };
    let seen = Seen::new(CheckId::SoftOpen, 0, look)
        .at(current, opening.soft_a)
        .lasting(on_ms, 0.0);
    tick.judge(latch, seen);
    if !waits && latch.state() == State::Watching {
        *latch = Latch::new(State::Watching);
    }
    if look == Look::Bad {
        tick.summary.advice = tick.summary.advice.and(Advice::ZERO_TORQUE);
    }
}
