//! What a vehicle controller looks at in every tick.
//!
//! The scene that is measured: two strings, four contactors, three currents, eight
//! conductors, precharge, discharge, isolation, interlock, plausible voltages. A tick is
//! measured on a copy of the monitors, so the copy is measured too.

use core::hint::black_box;

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{
    Advice, CheckId, Flag, Inputs, MAX_KEPT_BYTES, Monitors, Signal, Summary,
};
use orangeloom_vectors::quiet;

use super::Visit;
use super::limits::IMAGE;

/// A moment of the scene.
struct Moment {
    limits: Limits,
    monitors: Monitors,
    inputs: Inputs,
    now_ms: u32,
}

impl Moment {
    fn tick(&mut self, after_ms: u32) {
        self.now_ms = self.now_ms.wrapping_add(after_ms);
        let _ = self
            .monitors
            .tick(&self.limits, self.now_ms, &self.inputs, &mut |_| {});
    }

    /// Parked and quiet.
    fn parked() -> Option<Self> {
        let mut limits = Limits::decode(IMAGE).ok()?;
        limits.switches.truncate(4);
        limits.precharge.truncate(1);
        let one = *limits.circuits.first()?;
        while limits.circuits.len() < 8 {
            limits.circuits.push(one).ok()?;
        }
        let mut inputs = quiet();
        inputs.string_voltage = [Signal::now(360.0); 4];
        inputs.current = [Signal::now(0.0); 8];
        let mut moment = Self {
            limits,
            monitors: Monitors::new(),
            inputs,
            now_ms: 0,
        };
        moment.tick(0);
        moment.command([false; 4]);
        moment.tick(10);
        Some(moment)
    }

    fn command(&mut self, on: [bool; 4]) {
        for (switch, on) in self.inputs.switches.iter_mut().zip(on) {
            switch.commanded = on;
            switch.contact = Flag::now(on);
        }
    }

    /// Halfway through precharge.
    fn precharging() -> Option<Self> {
        let mut moment = Self::parked()?;
        moment.command([false, true, true, false]);
        for volts in [0.0, 30.0, 120.0, 190.0, 230.0] {
            moment.inputs.link_voltage = Signal::now(volts);
            moment.tick(28);
        }
        Some(moment)
    }

    /// Driving with 60 A.
    fn driving() -> Option<Self> {
        let mut moment = Self::parked()?;
        moment.command([true, true, false, false]);
        moment.inputs.link_voltage = Signal::now(359.0);
        moment.inputs.current = [Signal::now(60.0); 8];
        moment.inputs.speed = Signal::now(50.0);
        for _ in 0..20 {
            moment.tick(10);
        }
        Some(moment)
    }

    /// An overload while much is unknown: most is told.
    fn troubled() -> Option<Self> {
        let mut moment = Self::driving()?;
        moment.inputs.current = [Signal::now(700.0); 8];
        moment.inputs.string_voltage = [Signal::NONE; 4];
        moment.inputs.isolation = Signal::NONE;
        moment.inputs.interlock = Some(Flag::NONE);
        moment.inputs.supply = Signal::NONE;
        for _ in 0..20 {
            moment.tick(10);
        }
        Some(moment)
    }
}

fn tick(moment: &Moment) -> Summary {
    let mut monitors = moment.monitors.clone();
    // A tenth of a second: the heat of every conductor is due.
    let now = moment.now_ms.wrapping_add(100);
    monitors.tick(&moment.limits, now, &moment.inputs, &mut |finding| {
        black_box(finding);
    })
}

pub(super) fn all(visit: &mut impl Visit) {
    if let Some(moment) = Moment::parked() {
        visit.call("monitor/copy", moment, |moment| moment.monitors.clone());
    }
    for (name, moment) in [
        ("monitor/copy-and-tick-parked", Moment::parked()),
        ("monitor/copy-and-tick-precharging", Moment::precharging()),
        ("monitor/copy-and-tick-driving", Moment::driving()),
        ("monitor/copy-and-tick-troubled", Moment::troubled()),
    ] {
        if let Some(moment) = moment {
            visit.call(name, moment, tick);
        }
    }
    if let Some(moment) = Moment::driving() {
        visit.call("monitor/keep-and-restore", moment, |moment| {
            let mut monitors = moment.monitors.clone();
            let mut kept = [0; MAX_KEPT_BYTES];
            let length = monitors.keep(&moment.limits, &mut kept);
            let taken = Monitors::restore(&mut monitors, &moment.limits, &kept);
            (length, taken)
        });
    }
    if let Some(moment) = Moment::driving() {
        visit.brief(moment, |moment| {
            let mut monitors = moment.monitors.clone();
            for check in CheckId::ALL {
                black_box(CheckId::parts(*check, &moment.limits));
                black_box(CheckId::reset(*check));
                Monitors::acknowledge(&mut monitors, *check, black_box(1));
            }
            Monitors::contactor_replaced(&mut monitors, black_box(1));
            Monitors::fuse_replaced(&mut monitors, black_box(1));
            black_box(Monitors::counters(&monitors));
            let summary = tick(moment);
            let string = black_box(1);
            let answers = [
                Summary::may_close(&summary),
                Summary::may_close_main(&summary, string),
                Summary::may_precharge(&summary, string),
                Summary::open(&summary),
                Advice::has(summary.advice, Advice::WARN),
            ];
            let bits = Advice::bits(Advice::and(summary.advice, Advice::WARN));
            (
                answers,
                bits,
                Monitors::conductor_degc(&monitors, &moment.limits, string),
            )
        });
    }
}
