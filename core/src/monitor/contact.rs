//! Contactors: whether they did what they were told, and what flowed when they opened.

use super::counters::Counters;
use super::finding::{Advice, CheckId, State};
use super::input::{Blind, Contact, ms};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick};
use crate::limits::{NONE, Switch};
use crate::link::discharge_time;
use crate::quantity::{Capacitance, Resistance, Voltage};

/// Role of a relay that precharges; it is opened without current.
pub(super) const RELAY: u8 = 2;
/// Role of a contactor that joins a load to the link; those above join something else than
/// a battery too.
pub(super) const BRANCH: u8 = 3;

/// One contactor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Position {
    /// Since its command changed, or since the start of the program.
    since_ms: u32,
    commanded: bool,
    /// Whether it was seen to be opened. After a restart a charged link says nothing.
    was_opened: bool,
    verify: Latch,
    weld: Latch,
    no_open: Latch,
}

impl Position {
    pub(super) const START: Self = Self {
        since_ms: 0,
        commanded: false,
        was_opened: false,
        verify: Latch::IDLE,
        weld: Latch::IDLE,
        no_open: Latch::IDLE,
    };

    pub(super) fn latches(&mut self) -> [&mut Latch; 2] {
        [&mut self.verify, &mut self.weld]
    }

    pub(super) fn acknowledge(&mut self, check: CheckId) {
        match check {
            CheckId::MainCloseVerify => self.verify.acknowledge(),
            CheckId::Weld => self.weld.acknowledge(),
            _ => {}
        }
    }
}

/// Notes what was commanded, and which strings are closed. Gives whether one moved.
pub(super) fn follow(
    tick: &mut Tick<'_>,
    positions: &mut [Position],
    counters: &mut Counters,
) -> bool {
    let limits = tick.limits;
    let (mut moved, mut still_ms, mut opened) = (false, u32::MAX, false);
    // Strings that have a contactor, and those of which one is not closed, a bit for each.
    let (mut any, mut lacks) = (0_u8, 0_u8);
    for (index, (switch, position)) in limits.switches.iter().zip(&mut *positions).enumerate() {
        let commanded = tick.commanded(index);
        position.since_ms = position.since_ms.saturating_add(tick.dt_ms);
        if commanded != position.commanded {
            moved = true;
            position.since_ms = 0;
            position.was_opened = position.commanded;
            position.commanded = commanded;
            if !commanded && switch.role != RELAY {
                parted(tick, index, switch, counters);
            }
        }
        still_ms = still_ms.min(position.since_ms);
        opened |= position.was_opened && !commanded;
        if switch.role > 1 {
            continue;
        }
        let strings = match switch.string {
            NONE => u8::MAX,
            string => 1_u8.checked_shl(u32::from(string)).unwrap_or(0),
        };
        any |= strings;
        let tells = matches!(tick.contact(index), Contact::Absent | Contact::Closed);
        if !(commanded && position.since_ms >= ms(switch.closing_ms) && tells) {
            lacks |= strings;
        }
    }
    let strings = (1_u8 << (limits.strings.len() & 7)).wrapping_sub(1);
    tick.closed = any & !lacks & strings;
    tick.still_ms = still_ms;
    tick.opened = opened;
    moved
}

/// Largest current that a contactor breaks in the direction of a current.
fn breaks(switch: &Switch, current: f32) -> f32 {
    if current < 0.0 {
        switch.breaks_charge_a
    } else {
        switch.breaks_discharge_a
    }
}

/// It was told to open: with how much in it?
fn parted(tick: &mut Tick<'_>, index: usize, switch: &Switch, counters: &mut Counters) {
    let soft = tick.limits.opening.soft_a;
    let current = tick.current(switch.channel);
    let (state, look) = match current {
        Ok(amperes) if libm::fabsf(amperes) <= soft => return,
        Ok(_) => (State::Found, Look::Bad),
        Err(blind) => (State::Blind, Look::blind(blind)),
    };
    let broken = current.map_or(f32::NAN, |amperes| {
        libm::fabsf(amperes) / breaks(switch, amperes)
    });
    counters.opened(index, broken);
    let seen = Seen::new(CheckId::OpenUnderLoad, index, look).at(current, soft);
    tick.report(&seen, state, 0);
}

/// How long the bleed takes until an opened link has lost its share, ms.
fn decay_ms(tick: &Tick<'_>) -> Option<f32> {
    let link = &tick.limits.link;
    let resistance = Resistance::from_ohms(link.bleed_ohm?).ok()?;
    let capacitance = Capacitance::from_farads(link.capacitance_f).ok()?;
    let full = Voltage::from_volts(1.0).ok()?;
    let left = Voltage::from_volts(1.0 - link.weld_share).ok()?;
    let time = discharge_time(resistance, capacitance, full, left).ok()?;
    Some(time.as_seconds() * 1.0e3)
}

/// Every contactor.
pub(super) fn check(tick: &mut Tick<'_>, positions: &mut [Position]) {
    let limits = tick.limits;
    // A logarithm: only where a link has to fall. It falls from the moment that the last of
    // them moved: a relay that opened long ago says nothing while its positive contactor held
    // the link up.
    let decay = if tick.opened { decay_ms(tick) } else { None };
    let decayed = decay.is_some_and(|decay| tick.still_ms >= ms(decay));
    // A link that was dead when the others closed and is charged now.
    let rose = tick.moved_v < limits.pack.touchable_v;
    let stands = !tick.moves();
    for (index, (switch, position)) in limits.switches.iter().zip(positions).enumerate() {
        let tells = tick.contact(index);
        verify(tick, index, switch, position, tells);
        let seen = decayed && position.was_opened || rose;
        // The link lies ahead of a branch.
        let link_tells = seen
            && stands
            && !position.commanded
            && switch.role < BRANCH
            && alone(tick, index, switch);
        weld(tick, (index, switch), position, tells, link_tells);
        if switch.role != RELAY {
            band(tick, index, switch, position);
        }
    }
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
fn parts(tick: &Tick<'_>, switch: &Switch) -> Look {
    let mut look = Look::Idle;
    for string in 0..tick.limits.strings.len() {
        let own = switch.string == NONE || usize::from(switch.string) == string;
        if !own || !tick.is_closed(string) {
            continue;
        }
        match (tick.string(string), tick.link) {
            (Err(blind), _) | (_, Err(blind)) => return Look::blind(blind),
            (Ok(volts), Ok(link)) => {
                if tick.agree(volts, link) {
                    return Look::Good;
                }
                look = Look::Bad;
            }
        }
    }
    look
}

/// Closed when it was told to: its contact says so, or, without one, the voltages do.
fn verify(
    tick: &mut Tick<'_>,
    index: usize,
    switch: &Switch,
    position: &mut Position,
    tells: Contact,
) {
    let due = position.commanded && position.since_ms >= ms(switch.closing_ms);
    let look = match tells {
        _ if !due => Look::Idle,
        Contact::Closed => Look::Good,
        Contact::Open => Look::Bad,
        Contact::Blind(blind) => Look::blind(blind),
        // A relay charges; what it leads to is judged there.
        Contact::Absent if switch.role > 1 => Look::Idle,
        Contact::Absent => parts(tick, switch),
    };
    let lasts_ms = match tells {
        Contact::Absent => tick.limits.sensors.differ_ms,
        _ => 0.0,
    };
    tick.judge(
        &mut position.verify,
        Seen::new(CheckId::MainCloseVerify, index, look).lasting(lasts_ms, 0.0),
    );
}

/// Open when it was told to: its contact says so, or the link falls with it alone open, or
/// stays dead when the others close.
fn weld(
    tick: &mut Tick<'_>,
    (index, switch): (usize, &Switch),
    position: &mut Position,
    tells: Contact,
    link_tells: bool,
) {
    let due = !position.commanded && position.since_ms >= ms(switch.opening_ms);
    let stays = 1.0 - tick.limits.link.weld_share;
    let by_voltage = if link_tells {
        match (tick.link, tick.source(switch.string)) {
            (Ok(link), Ok(source)) => Look::bad(link >= stays * source),
            (Err(blind), _) | (_, Err(blind)) => Look::blind(blind),
        }
    } else {
        Look::Idle
    };
    let look = match tells {
        _ if !due => Look::Idle,
        Contact::Closed => Look::Bad,
        Contact::Blind(blind) => Look::blind(blind),
        // A contact that tells of an open one may be torn off itself.
        Contact::Open if by_voltage == Look::Bad => Look::Bad,
        Contact::Open => Look::Good,
        Contact::Absent => by_voltage,
    };
    if position.weld.stays_quiet(look) {
        return;
    }
    let source = tick.source(switch.string);
    let limit = source.map_or(f32::NAN, |source| stays * source);
    tick.judge(
        &mut position.weld,
        Seen::new(CheckId::Weld, index, look)
            .at(tick.link, limit)
            .lasting(50.0, 0.0),
    );
}

/// More than it breaks: kept closed until the fuse has had its time.
fn band(tick: &mut Tick<'_>, index: usize, switch: &Switch, position: &mut Position) {
    /// A current this near to the range of its sensor is saturated.
    const SATURATED: f32 = 0.99;
    if !position.commanded && position.no_open.stays_quiet(Look::Good) {
        return;
    }
    let current = tick.current(switch.channel);
    let channel = tick.limits.channels.get(usize::from(switch.channel));
    let range = channel.map_or(f32::INFINITY, |channel| SATURATED * channel.range_a);
    let limit = breaks(switch, current.unwrap_or(0.0));
    let look = match current {
        _ if !position.commanded => Look::Good,
        Ok(amperes) => {
            let size = libm::fabsf(amperes);
            Look::bad(size > limit || size >= range)
        }
        // Beyond what the sensor shows is beyond what it breaks.
        Err(Blind::OutOfRange) => Look::Bad,
        Err(blind) => Look::blind(blind),
    };
    let held = position.no_open;
    let waited = held.state() == State::Found && held.for_ms() >= ms(switch.hold_ms);
    let advice = if waited {
        Advice::OPEN_NOW
    } else {
        Advice::DO_NOT_OPEN
    };
    // Gone for 5 ms: a fuse that clears is faster.
    tick.judge(
        &mut position.no_open,
        Seen::new(CheckId::DoNotOpenBand, index, look)
            .at(current, limit)
            .lasting(0.0, 5.0)
            .with(advice),
    );
}

/// Supply of the coils.
pub(super) fn coils(tick: &mut Tick<'_>, latch: &mut Latch) {
    let coils = &tick.limits.coils;
    let supply = tick
        .inputs
        .supply
        .read(0.0, coils.range_v, tick.limits.sensors.switch_age_ms);
    let look = match supply {
        Ok(volts) => Look::bad(volts < coils.hold_v),
        Err(blind) => Look::blind(blind),
    };
    let seen = Seen::new(CheckId::CoilDip, 0, look)
        .at(supply, coils.hold_v)
        .lasting(coils.dip_ms, coils.again_ms);
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
    let waited = latch.for_ms() >= ms(opening.settle_ms);
    // A current that was measured before the request says nothing.
    let channels = tick.limits.channels.iter().zip(&tick.inputs.current);
    let fresh = latch.state() == State::Watching
        && channels
            .filter(|(channel, _)| channel.kind <= 1)
            .all(|(_, signal)| signal.age_ms < latch.for_ms());
    let look = match tick.inputs.open {
        OpenRequest::None => Look::Good,
        OpenRequest::Soft | OpenRequest::AtOnce => Look::Bad,
    };
    let now = tick.inputs.open == OpenRequest::AtOnce
        || waited && fresh && current.is_ok_and(|amperes| amperes < opening.soft_a);
    let on_ms = if now { 0.0 } else { opening.time_out_ms };
    let seen = Seen::new(CheckId::SoftOpen, 0, look)
        .at(current, opening.soft_a)
        .lasting(on_ms, 0.0);
    tick.judge(latch, seen);
    if look == Look::Bad {
        tick.summary.advice = tick.summary.advice.and(Advice::ZERO_TORQUE);
    }
}
