//! Charging the link: does it rise as it should, and if not, why.

use heapless::Vec;

use super::finding::CheckId;
use super::input::{Blind, Contact, Read, ms};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick, larger};
use crate::design::Draw;
use crate::limits::{MAX_STANDING, Precharge, Standing};
use crate::link::{ChargingCircuit, StandingLoad};
use crate::quantity::{Capacitance, Current, Power, Resistance, Time, Voltage};

/// Its relay is not commanded.
const OFF: u32 = u32::MAX;

/// One precharge path.
#[derive(Clone, Copy, Debug)]
pub(super) struct Path {
    /// Since the relay was commanded, ms; [`OFF`] while it is not.
    since_ms: u32,
    /// Voltage of the link then.
    start_v: f32,
    /// Heat in the resistor, as a share of what one try leaves.
    heat: f32,
    rise: Latch,
    short: Latch,
    open: Latch,
    load: Latch,
    time_out: Latch,
    budget: Latch,
}

impl Path {
    /// After a restart nobody knows how many tries there were: one more is allowed.
    pub(super) const START: Self = Self {
        since_ms: OFF,
        start_v: 0.0,
        heat: f32::INFINITY,
        rise: Latch::IDLE,
        short: Latch::IDLE,
        open: Latch::IDLE,
        load: Latch::IDLE,
        time_out: Latch::IDLE,
        budget: Latch::IDLE,
    };

    pub(super) fn acknowledge(&mut self, check: CheckId) {
        match check {
            CheckId::PrechargeRise => self.rise.acknowledge(),
            CheckId::PrechargeShort => self.short.acknowledge(),
            _ => {}
        }
    }

    pub(super) fn latches(&mut self) -> [&mut Latch; 6] {
        let Self {
            rise,
            short,
            open,
            load,
            time_out,
            budget,
            ..
        } = self;
        [rise, short, open, load, time_out, budget]
    }

    /// Heat in the resistor, as a share of what one try leaves.
    pub(super) fn heat_mut(&mut self) -> &mut f32 {
        &mut self.heat
    }
}

/// Share of the source's voltage by which two ways of computing a voltage differ at most.
const ROUNDING: f32 = 2.0e-3;

/// Voltage of the link that the circuit leads to; `None` where it is not known, and where it
/// certainly lies between `least` and `most`.
#[inline(never)]
fn expected(
    limits: &Precharge,
    standing: &[Standing],
    (source, start): (f32, f32),
    seconds: f32,
    [least, most]: [f32; 2],
) -> Option<f32> {
    let mut loads: Vec<StandingLoad, MAX_STANDING, u8> = Vec::new();
    for one in standing {
        let draw = match one.kind {
            0 => Draw::Power(Power::from_watts(one.amount).ok()?),
            1 => Draw::Current(Current::from_amperes(one.amount).ok()?),
            _ => Draw::Resistance(Resistance::from_ohms(one.amount).ok()?),
        };
        let from = Voltage::from_volts(one.from_v).ok()?;
        // There are as many places as standing loads.
        let _ = loads.push(StandingLoad { draw, from });
    }
    let circuit = ChargingCircuit {
        source: Voltage::from_volts(source).ok()?,
        resistance: Resistance::from_ohms(limits.resistance_ohm).ok()?,
        capacitance: Capacitance::from_farads(limits.capacitance_f).ok()?,
        start: Voltage::from_volts(start.max(0.0)).ok()?,
        loads: &loads,
    };
    // Nearly always, and with constant power a thirtieth of what the voltage itself takes.
    let rounding = ROUNDING * source;
    if circuit.rises_between(least + rounding, most - rounding, seconds) == Some(true) {
        return None;
    }
    let state = circuit.after(Time::from_seconds(seconds).ok()?).ok()?;
    Some(state.voltage.as_volts())
}

/// What is measured while a path charges the link.
struct Charging {
    /// Since the relay has pulled in, in time constants.
    taus: f32,
    tau_s: f32,
    source: f32,
    link: f32,
    current: Read,
    slope: Read,
    expected: Option<f32>,
}

pub(super) fn check(tick: &mut Tick<'_>, paths: &mut [Path]) {
    let limits = tick.limits;
    for (index, (one, path)) in limits.precharge.iter().zip(paths).enumerate() {
        let relay = usize::from(one.relay);
        let switch = limits.switches.get(relay);
        let (string, channel) = switch.map_or((0, 0), |switch| (switch.string, switch.channel));
        let on = tick.commanded(relay);
        let bridged = on
            && limits.switches.iter().enumerate().any(|(place, switch)| {
                switch.role == 0 && switch.string == string && tick.commanded(place)
            });
        path.since_ms = match path.since_ms {
            _ if !on => OFF,
            OFF => {
                path.start_v = tick.link.unwrap_or(0.0);
                0
            }
            since => since.saturating_add(tick.dt_ms).min(OFF - 1),
        };
        // Before its contact closes nothing flows, and a welded one heats uncommanded. A
        // contact that lies is found elsewhere; without one the command is what counts.
        let flows = match tick.contact(relay) {
            Contact::Closed => true,
            Contact::Open => false,
            Contact::Absent | Contact::Blind(_) => on,
        };
        let source = if on || flows {
            tick.source(string)
        } else {
            Err(Blind::NotANumber)
        };
        heat(tick, path, one, (source, flows), index);
        let since = Some(path.since_ms).filter(|since| *since != OFF && !bridged);
        let blind = since.and_then(|_| tick.link.err().or(source.err()));
        let charging = since.and_then(|since| {
            let (link, source) = (tick.link.ok()?, source.ok()?);
            // Nothing is left to charge.
            if source - path.start_v <= limits.close.within_v {
                return None;
            }
            let tau_s = one.resistance_ohm * one.capacitance_f;
            #[allow(clippy::cast_precision_loss)] // minutes at most
            let seconds = (since.saturating_sub(ms(one.pull_in_ms)) as f32) * 1.0e-3;
            let taus = seconds / tau_s;
            let expected = if (0.5..=2.0).contains(&taus) {
                // Where it is told, it is told exactly.
                let within = if path.rise.stays_quiet(Look::Good) {
                    [
                        link - one.above_share * source,
                        link + one.below_share * source,
                    ]
                } else {
                    [f32::INFINITY, f32::NEG_INFINITY]
                };
                let volts = (source, path.start_v);
                expected(one, &limits.standing, volts, seconds, within)
            } else {
                None
            };
            Some(Charging {
                taus,
                tau_s,
                source,
                link,
                current: tick.current(channel),
                slope: tick.slope,
                expected,
            })
        });
        judge(tick, path, one, index, charging.as_ref(), blind);
        let over = since.map_or(Look::Idle, |since| Look::bad(since > ms(one.time_out_ms)));
        let seen = Seen::new(CheckId::PrechargeTimeOut, index, over).at(
            #[allow(clippy::cast_precision_loss)] // minutes at most
            Ok(since.unwrap_or(0) as f32),
            one.time_out_ms,
        );
        tick.judge(&mut path.time_out, seen);
    }
}

fn judge(
    tick: &mut Tick<'_>,
    path: &mut Path,
    one: &Precharge,
    index: usize,
    charging: Option<&Charging>,
    blind: Option<Blind>,
) {
    let look = |bad: Option<bool>| match (blind, bad) {
        (Some(blind), _) => Look::blind(blind),
        (None, Some(bad)) => Look::bad(bad),
        (None, None) => Look::Idle,
    };
    let lasts = [one.lasts_ms, 0.0];
    let Some(now) = charging else {
        let all = [
            (&mut path.rise, CheckId::PrechargeRise),
            (&mut path.short, CheckId::PrechargeShort),
            (&mut path.open, CheckId::PrechargeOpen),
            (&mut path.load, CheckId::PrechargeLoad),
        ];
        for (latch, check) in all {
            let mut seen = Seen::new(check, index, look(None));
            seen.times = lasts;
            tick.judge(latch, seen);
        }
        return;
    };
    let mut put = |latch: &mut Latch, check, look, measured, limit| {
        let mut seen = Seen::new(check, index, look);
        (seen.times, seen.measured, seen.limit) = (lasts, measured, limit);
        tick.judge(latch, seen);
    };
    let first = (now.source - path.start_v) / one.resistance_ohm;
    let amperes = now.current.map(libm::fabsf);
    let rises = now.link - path.start_v > 0.05 * (now.source - path.start_v);
    let flows = amperes.map(|amperes| amperes >= one.open_share * first);
    let (low, high) = (
        now.expected
            .map(|volts| volts - one.below_share * now.source),
        now.expected
            .map(|volts| volts + one.above_share * now.source),
    );
    let short_v = one.short_share * now.source;
    let short = now.taus >= 0.5 && now.link < short_v;
    // A broken sense wire reads zero too; then the current has gone by now.
    put(
        &mut path.short,
        CheckId::PrechargeShort,
        look(Some(short && flows != Ok(false))),
        now.link,
        short_v,
    );
    let open = (0.3..=1.0).contains(&now.taus) && !rises && flows == Ok(false);
    put(
        &mut path.open,
        CheckId::PrechargeOpen,
        look(Some(open)),
        amperes.unwrap_or(f32::NAN),
        one.open_share * first,
    );
    let off = match (low, high) {
        (Some(low), Some(high)) => now.link < low || now.link > high,
        _ => false,
    };
    put(
        &mut path.rise,
        CheckId::PrechargeRise,
        look(Some(off && !short && !open)),
        now.link,
        now.expected.unwrap_or(f32::NAN),
    );
    let left = now.source - now.link;
    // Without a load it rises by what is left in a time constant.
    let least = (one.stand_share * now.source).min(0.5 * left) / now.tau_s;
    let stands = now.taus >= 0.5
        && left > tick.limits.close.within_v
        && !short
        && now.slope.is_ok_and(|slope| slope < least);
    let mut seen =
        Seen::new(CheckId::PrechargeLoad, index, look(Some(stands))).at(now.slope, least);
    seen.times = [larger(0.3e3 * now.tau_s, one.lasts_ms), 0.0];
    tick.judge(&mut path.load, seen);
}

/// Heat of the resistor: each try leaves as much in it as in the link.
fn heat(
    tick: &mut Tick<'_>,
    path: &mut Path,
    one: &Precharge,
    (source, flows): (Read, bool),
    index: usize,
) {
    let tries = f32::from(one.tries);
    if path.heat.is_infinite() {
        path.heat = tries - 1.0;
    }
    if flows {
        let highest = tick.limits.pack.highest_v;
        let per_try = 0.5 * one.capacitance_f * highest * highest;
        // Not known is taken as the whole voltage across it.
        let across = match (source, tick.link) {
            (Ok(source), Ok(link)) => source - link,
            _ => highest,
        };
        path.heat += across * across / one.resistance_ohm * tick.seconds / per_try;
    } else if path.since_ms == OFF {
        path.heat /= 1.0 + tick.seconds * 1.0e3 / one.cooling_ms;
    }
    // More than this takes no longer to tell of.
    let most = 2.0 * tries;
    path.heat = if path.heat < most { path.heat } else { most };
    // A try that is under way is not refused by what it brings itself.
    let left = path.heat + 1.0;
    let look = if path.since_ms == OFF {
        // Half a per cent: the sum of a try is not exactly one.
        Look::bad(left > 1.005 * tries)
    } else {
        Look::Idle
    };
    let seen = Seen::new(CheckId::PrechargeBudget, index, look)
        .at(Ok(left), tries)
        .lasting(0.0, one.wait_ms);
    tick.judge(&mut path.budget, seen);
}
