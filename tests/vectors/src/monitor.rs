//! Limits and monitors: drives with troubles, everything that is told of them.

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{
    Finding, Flag, Inputs, MAX_KEPT_BYTES, Monitors, OpenRequest, Signal, Summary,
};

use crate::lines::{Fingerprint, Lines, NONE, bits};
use crate::sample::Sample;

/// Two strings, six contactors, three conductors; written by a test of the core.
const IMAGE: &[u8] = include_bytes!("../../../core/src/limits/sample.image");

/// Ticks of one drive.
const TICKS: u16 = 300;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    let Ok(limits) = Limits::decode(IMAGE) else {
        lines.word("monitor/no-limits", NONE);
        return;
    };
    lines.few("monitor/drives", |s| drive(&limits, s, &mut |_| {}));
}

/// A start of the first string, a drive, and a trouble every now and then. All that is told
/// goes into the fingerprint, and to `also`.
fn drive(limits: &Limits, s: &mut Sample, also: &mut dyn FnMut(&Finding)) -> u32 {
    let mut told = Fingerprint::default();
    let mut monitors = Monitors::new();
    let mut now_ms = s.word();
    let mut inputs = parked();
    for tick in 0..TICKS {
        now_ms = now_ms.wrapping_add(if s.up_to(50) == 0 { 250 } else { 10 });
        follow(&mut inputs, tick, s);
        if s.up_to(15) == 0 {
            trouble(&mut inputs, s);
        }
        let summary = monitors.tick(limits, now_ms, &inputs, &mut |one| {
            hear(&mut told, one);
            also(one);
        });
        sum_up(&mut told, &summary);
    }
    for circuit in 0..3 {
        let degc = monitors.conductor_degc(limits, circuit);
        told.add(bits(degc.unwrap_or(f32::NAN)));
    }
    let mut kept = [0; MAX_KEPT_BYTES];
    told.add(u32::from(monitors.keep(limits, &mut kept).is_ok()));
    for byte in kept {
        told.add(u32::from(byte));
    }
    told.add(u32::from(monitors.restore(limits, &kept).is_ok()));
    told.finish()
}

/// What the sensors of a parked vehicle show that are there once.
pub fn quiet() -> Inputs {
    Inputs {
        link_voltage: Signal::now(0.0),
        isolation: Signal::now(5.0e6),
        interlock: Some(Flag::now(true)),
        plugged: Some(Flag::now(false)),
        speed: Signal::now(0.0),
        supply: Signal::now(13.8),
        ..Inputs::NONE
    }
}

fn parked() -> Inputs {
    let mut inputs = Inputs {
        resistor: Some(Signal::now(40.0)),
        ..quiet()
    };
    inputs.joints[0] = Some([Signal::now(45.0), Signal::now(47.0)]);
    for string in inputs.string_voltage.iter_mut().take(2) {
        *string = Signal::now(390.0);
    }
    for current in inputs.current.iter_mut().take(3) {
        *current = Signal::now(0.0);
    }
    inputs
}

/// What commands do: the order of a start, and what the sensors show of it.
fn follow(inputs: &mut Inputs, tick: u16, s: &mut Sample) {
    inputs.start = tick >= 15;
    let [positive, negative, relay, ..] = &mut inputs.switches;
    match tick {
        20 => negative.commanded = true,
        35 => relay.commanded = true,
        100 => positive.commanded = true,
        115 => relay.commanded = false,
        250 => inputs.open = OpenRequest::Soft,
        270 => positive.commanded = false,
        _ => {}
    }
    for switch in &mut inputs.switches {
        switch.contact = Flag::now(switch.commanded);
    }
    let [positive, negative, relay, ..] = inputs.switches;
    let link = inputs.link_voltage.value;
    let link = if link.is_finite() { link } else { 200.0 };
    let (link, amperes) = if positive.commanded && negative.commanded {
        let wanted = if tick < 250 {
            s.between(-80.0, 200.0)
        } else {
            0.0
        };
        (390.0 - 0.06 * wanted, wanted)
    } else if relay.commanded && negative.commanded {
        (link + 0.095 * (390.0 - link), 0.01 * (390.0 - link))
    } else {
        (0.98 * link, 0.0)
    };
    inputs.link_voltage = Signal::now(link + s.between(-0.5, 0.5));
    inputs.speed = Signal::now(if amperes > 0.0 { 30.0 } else { 0.0 });
    let [pack, string, ..] = &mut inputs.current;
    *pack = Signal::now(amperes);
    *string = Signal::now(amperes);
}

/// Something that a sensor or a driver does; most of it stays.
fn trouble(inputs: &mut Inputs, s: &mut Sample) {
    let chosen = usize::from(s.up_to(5));
    let value = match s.up_to(2) {
        0 => Signal::NONE,
        1 => Signal::now(s.any()),
        _ => Signal {
            value: s.between(-100.0, 2000.0),
            age_ms: s.word() >> 23,
        },
    };
    match s.up_to(11) {
        0 => inputs.link_voltage = value,
        1 => inputs.isolation = value,
        2 => inputs.supply = value,
        3 => inputs.resistor = Some(value),
        4 => inputs.interlock = Some(Flag::now(s.up_to(1) == 0)),
        5 => inputs.plugged = Some(Flag::now(s.up_to(1) == 0)),
        6 => inputs.discharging = !inputs.discharging,
        7 => inputs.torque = !inputs.torque,
        8 => inputs.joints[0] = Some([value, Signal::now(50.0)]),
        9 => {
            for current in inputs.current.iter_mut().skip(chosen).take(1) {
                *current = value;
            }
        }
        10 => {
            for switch in inputs.switches.iter_mut().skip(chosen).take(1) {
                switch.commanded = !switch.commanded;
            }
        }
        _ => {
            for string in inputs.string_voltage.iter_mut().take(chosen) {
                *string = Signal::now(s.between(380.0, 400.0));
            }
        }
    }
}

fn hear(told: &mut Fingerprint, finding: &Finding) {
    told.add(finding.check as u32);
    told.add(u32::from(finding.part));
    told.add(finding.state as u32);
    told.add(finding.for_ms);
    told.add(bits(finding.measured));
    told.add(bits(finding.limit));
    told.add(finding.blind.map_or(NONE, |blind| blind as u32));
    told.add(u32::from(finding.advice.bits()));
    told.add(finding.reset as u32);
}

fn sum_up(told: &mut Fingerprint, summary: &Summary) {
    told.add(u32::from(summary.advice.bits()));
    told.add(bits(summary.derate));
    told.add(u32::from_le_bytes([
        summary.held,
        summary.hot,
        summary.found,
        summary.blind,
    ]));
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// Drives that find little would compare little.
    #[test]
    fn the_drives_find_most_of_what_there_is_to_find() {
        let limits = Limits::decode(IMAGE).expect("the sample image is readable");
        let mut s = Sample::new();
        let mut found = BTreeSet::new();
        for _ in 0..20 {
            drive(&limits, &mut s, &mut |one| {
                found.insert(one.check);
            });
        }
        assert!(found.len() >= 20, "{found:?}");
    }
}
