//! What a vehicle controller looks at in every tick.
//!
//! Two scenes: the one that the goal is for (one string, four contactors, one current, eight
//! conductors, precharge, discharge, isolation, interlock, plausible voltages), and the same
//! with two strings in parallel and three currents.

use core::cell::{Cell, RefCell};
use core::hint::black_box;

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{
    Advice, CheckId, Flag, Inputs, MAX_KEPT_BYTES, Monitors, Signal, Summary,
};
use orangeloom_vectors::quiet;

use super::Visit;
use super::limits::IMAGE;

/// A moment of a scene.
struct Moment {
    limits: Limits,
    /// Of it alone a tick changes something.
    monitors: RefCell<Monitors>,
    inputs: Inputs,
    now_ms: Cell<u32>,
    /// Time from the tick before to the one that is measured.
    after_ms: u32,
}

impl Moment {
    fn tick(&self, after_ms: u32) -> Option<Summary> {
        self.now_ms.set(self.now_ms.get().wrapping_add(after_ms));
        let mut monitors = self.monitors.try_borrow_mut().ok()?;
        let tell = &mut |finding: &_| {
            black_box(finding);
        };
        Some(monitors.tick(&self.limits, self.now_ms.get(), &self.inputs, tell))
    }

    /// Parked and quiet.
    fn parked(strings: usize) -> Option<Self> {
        let mut limits = Limits::decode(IMAGE).ok()?;
        limits.switches.truncate(4);
        limits.precharge.truncate(1);
        let one = *limits.circuits.first()?;
        while limits.circuits.len() < 8 {
            limits.circuits.push(one).ok()?;
        }
        if strings == 1 {
            limits.strings.truncate(1);
            limits.parallel = None;
            limits.channels.truncate(1);
            for switch in &mut limits.switches {
                switch.channel = 0;
                // The fourth contactor is that of a load.
                if switch.string != 0 {
                    (switch.role, switch.string) = (3, 0);
                }
            }
            for circuit in &mut limits.circuits {
                circuit.channel = 0;
            }
        }
        let mut inputs = quiet();
        inputs.string_voltage = [Signal::now(360.0); 4];
        inputs.current = [Signal::now(0.0); 8];
        let mut moment = Self {
            limits,
            monitors: RefCell::new(Monitors::new()),
            inputs,
            now_ms: Cell::new(0),
            after_ms: 100,
        };
        moment.tick(0);
        moment.command([false; 4]);
        for _ in 0..20 {
            moment.tick(10);
        }
        Some(moment)
    }

    fn command(&mut self, on: [bool; 4]) {
        for (switch, on) in self.inputs.switches.iter_mut().zip(on) {
            switch.commanded = on;
            switch.contact = Flag::now(on);
        }
    }

    /// Halfway through precharge.
    fn precharging(strings: usize) -> Option<Self> {
        let mut moment = Self::parked(strings)?;
        moment.command([false, true, true, false]);
        for volts in [0.0, 30.0, 120.0, 190.0, 230.0] {
            moment.inputs.link_voltage = Signal::now(volts);
            moment.tick(28);
        }
        moment.inputs.link_voltage = Signal::now(300.0);
        Some(moment)
    }

    /// The same on its way, with a load of constant power; off its way, everything about it is
    /// told, and what was expected is computed.
    fn feeding(link_v: f32) -> Option<Self> {
        let mut moment = Self::precharging(1)?;
        for load in &mut moment.limits.standing {
            (load.kind, load.amount, load.from_v) = (0, 50.0, 100.0);
        }
        moment.inputs.link_voltage = Signal::now(link_v);
        Some(moment)
    }

    /// Opened after the drive, while the link still falls.
    fn opened(strings: usize) -> Option<Self> {
        let mut moment = Self::driving(strings)?;
        moment.inputs.current = [Signal::now(0.0); 8];
        moment.command([false; 4]);
        for volts in [359.0, 340.0, 322.0, 305.0] {
            moment.inputs.link_voltage = Signal::now(volts);
            moment.tick(200);
        }
        Some(moment)
    }

    /// Driving with 60 A.
    fn driving(strings: usize) -> Option<Self> {
        let mut moment = Self::parked(strings)?;
        moment.command([true, true, false, false]);
        moment.inputs.link_voltage = Signal::now(359.0);
        moment.inputs.current = [Signal::now(60.0); 8];
        moment.inputs.speed = Signal::now(50.0);
        for _ in 0..20 {
            moment.tick(10);
        }
        Some(moment)
    }

    /// After a tick of 0.1 s as well: none waits for the heat of ticks before.
    fn steady(self) -> Self {
        self.tick(100);
        self
    }

    /// In ticks of 10 ms, and in the one of them in which most is done about heat.
    fn soon(mut self) -> Self {
        for _ in 0..9 {
            self.tick(10);
        }
        self.after_ms = 10;
        self
    }

    /// An overload while much is unknown: most is told.
    fn troubled(strings: usize) -> Option<Self> {
        let mut moment = Self::driving(strings)?;
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

/// One tick; 0.1 s later than the one before, the heat of every conductor is due.
#[inline(never)]
fn tick(moment: &Moment) -> Option<Summary> {
    moment.tick(moment.after_ms)
}

/// One tick in each moment of each scene.
pub fn ticks(visit: &mut impl Visit) {
    for (name, moment) in [
        ("monitor/tick-parked", Moment::parked(1).map(Moment::steady)),
        (
            "monitor/tick-parked-10ms",
            Moment::parked(1).map(Moment::soon),
        ),
        ("monitor/tick-precharging", Moment::precharging(1)),
        ("monitor/tick-precharging-power", Moment::feeding(290.0)),
        ("monitor/tick-precharging-off", Moment::feeding(230.0)),
        (
            "monitor/tick-driving",
            Moment::driving(1).map(Moment::steady),
        ),
        (
            "monitor/tick-driving-10ms",
            Moment::driving(1).map(Moment::soon),
        ),
        ("monitor/tick-opened", Moment::opened(1)),
        (
            "monitor/tick-troubled",
            Moment::troubled(1).map(Moment::steady),
        ),
        (
            "monitor/two-strings-parked",
            Moment::parked(2).map(Moment::steady),
        ),
        ("monitor/two-strings-precharging", Moment::precharging(2)),
        (
            "monitor/two-strings-driving",
            Moment::driving(2).map(Moment::steady),
        ),
        (
            "monitor/two-strings-troubled",
            Moment::troubled(2).map(Moment::steady),
        ),
    ] {
        if let Some(moment) = moment {
            visit.call(name, moment, tick);
        }
    }
}

pub(super) fn all(visit: &mut impl Visit) {
    ticks(visit);
    if let Some(moment) = Moment::driving(2) {
        visit.call("monitor/keep-and-restore", moment, |moment| {
            let mut monitors = moment.monitors.try_borrow().ok()?.clone();
            let mut kept = [0; MAX_KEPT_BYTES];
            let length = monitors.keep(&moment.limits, &mut kept);
            let taken = Monitors::restore(&mut monitors, &moment.limits, &kept);
            Some((length, taken))
        });
    }
    if let Some(moment) = Moment::driving(2) {
        visit.brief(moment, |moment| {
            let mut monitors = moment.monitors.try_borrow().ok()?.clone();
            for check in CheckId::ALL {
                black_box(CheckId::parts(*check, &moment.limits));
                black_box(CheckId::reset(*check));
                Monitors::acknowledge(&mut monitors, *check, black_box(1));
            }
            Monitors::contactor_replaced(&mut monitors, black_box(1));
            Monitors::fuse_replaced(&mut monitors, black_box(1));
            black_box(Monitors::before_restore());
            Monitors::start_without_store(&mut monitors);
            black_box(Monitors::counters(&monitors));
            let summary = tick(moment)?;
            let string = black_box(1);
            let answers = [
                Summary::may_close(&summary),
                Summary::may_close_main(&summary, string),
                Summary::may_precharge(&summary, string),
                Summary::open(&summary),
                Advice::has(summary.advice, Advice::WARN),
            ];
            let bits = Advice::bits(Advice::and(summary.advice, Advice::WARN));
            let degc = Monitors::conductor_degc(&monitors, &moment.limits, string);
            Some((answers, bits, degc))
        });
    }
}
