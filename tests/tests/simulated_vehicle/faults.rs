//! Drives with something wrong.

use orangeloom_core::monitor::{Advice, CheckId, State};
use orangeloom_tests::drive::{Drive, Phase, Pole};
use orangeloom_tests::plant::STEP;
use orangeloom_tests::plant::contactor::Damage;
use orangeloom_tests::plant::link::Standing;
use orangeloom_tests::plant::sensor::Trouble;

use super::{Case, Expect, start, stop};

const STAY_OPEN: Advice = Advice::WARN.and(Advice::FORBID_CLOSING);
const ABORT: Advice = STAY_OPEN.and(Advice::ABORT_PRECHARGE);

/// How a fault comes into a drive.
#[derive(Clone, Copy)]
pub(crate) enum Script {
    /// It is there when it is tried to start.
    Starting(fn(&mut Drive)),
    /// It comes while driving, and is watched for these seconds.
    Driving(f64, fn(&mut Drive)),
    /// Otherwise.
    Own(fn(&mut Drive)),
}

use Script::{Driving, Own, Starting};

impl Script {
    pub(crate) fn play(self, drive: &mut Drive) {
        match self {
            Starting(damage) => {
                damage(drive);
                try_to_start(drive);
            }
            Driving(seconds, damage) => {
                start(drive);
                drive.fault();
                damage(drive);
                drive.run(seconds);
            }
            Own(run) => run(drive),
        }
    }
}

const fn told(
    name: &'static str,
    (check, part, state): (CheckId, u8, State),
    within: f64,
    advice: Advice,
    script: Script,
) -> Case {
    Case {
        name,
        expect: Expect::Told(check, part, state, within, advice),
        script,
    }
}

const fn found(
    name: &'static str,
    (check, part): (CheckId, u8),
    within: f64,
    advice: Advice,
    script: Script,
) -> Case {
    told(name, (check, part, State::Found), within, advice, script)
}

const fn blind(
    name: &'static str,
    (check, part): (CheckId, u8),
    within: f64,
    advice: Advice,
    script: Script,
) -> Case {
    told(name, (check, part, State::Blind), within, advice, script)
}

/// Tries to start with the fault there from the first moment.
fn try_to_start(drive: &mut Drive) {
    drive.run(0.5);
    drive.key = true;
    // The negative contactor comes first, the relay 120 ms after it.
    drive.run(0.12);
    drive.fault();
    drive.run(3.0);
}

/// Stops, with the fault from the moment that the key is turned.
fn stop_with_fault(drive: &mut Drive) {
    drive.key = false;
    drive.fault();
    drive.run(12.0);
}

/// Turns the key off and waits for the moment that the first pole is told to open.
fn to_parting(drive: &mut Drive) {
    drive.key = false;
    while drive.phase != Phase::Parting {
        drive.run(STEP);
    }
}

pub(crate) const CASES: &[Case] = &[
    // ---- contactors: 50 ms of debounce after 50 ms of travel; by voltage after the time
    // in which the bleed takes a tenth: 33 kohm x 1.15 mF x 0.105 = 4.0 s.
    found(
        "positive contactor welded",
        (CheckId::Weld, 0),
        0.5,
        STAY_OPEN.and(Advice::SERVICE_DISCONNECT),
        Own(|drive| {
            start(drive);
            drive.plant.strings[0].positive.damage = Damage::Welded;
            stop_with_fault(drive);
        }),
    ),
    found(
        "positive contactor welded, its auxiliary contact torn off",
        (CheckId::Weld, 0),
        4.6,
        STAY_OPEN,
        Own(|drive| {
            start(drive);
            to_parting(drive);
            drive.plant.strings[0].positive.damage = Damage::Welded;
            drive.plant.strings[0].positive.feedback_stuck = Some(false);
            stop_with_fault(drive);
        }),
    ),
    found(
        "negative contactor welded",
        (CheckId::Weld, 1),
        0.5,
        STAY_OPEN,
        Own(|drive| {
            drive.first_pole = Pole::Negative;
            start(drive);
            drive.plant.strings[0].negative.damage = Damage::Welded;
            stop_with_fault(drive);
        }),
    ),
    found(
        "negative contactor welded, its auxiliary contact torn off",
        (CheckId::Weld, 1),
        4.6,
        STAY_OPEN,
        Own(|drive| {
            drive.first_pole = Pole::Negative;
            start(drive);
            to_parting(drive);
            drive.plant.strings[0].negative.damage = Damage::Welded;
            drive.plant.strings[0].negative.feedback_stuck = Some(false);
            stop_with_fault(drive);
        }),
    ),
    found(
        "positive contactor of the second string welded",
        (CheckId::Weld, 3),
        0.5,
        STAY_OPEN,
        Own(|drive| {
            start(drive);
            drive.plant.strings[1].positive.damage = Damage::Welded;
            stop_with_fault(drive);
        }),
    ),
    found(
        "precharge relay welded",
        (CheckId::Weld, 2),
        0.5,
        STAY_OPEN,
        Own(|drive| {
            drive.run(0.5);
            drive.plant.strings[0].relay.damage = Damage::Welded;
            drive.fault();
            drive.run(2.0);
        }),
    ),
    found(
        "positive contactor does not close",
        (CheckId::MainCloseVerify, 0),
        1.5,
        STAY_OPEN.and(Advice::OPEN_NOW),
        Starting(|drive| {
            drive.plant.strings[0].positive.damage = Damage::Stuck;
        }),
    ),
    found(
        "negative contactor does not close",
        (CheckId::MainCloseVerify, 1),
        0.2,
        STAY_OPEN,
        Own(|drive| {
            drive.plant.strings[0].negative.damage = Damage::Stuck;
            drive.run(0.5);
            drive.key = true;
            drive.fault();
            drive.run(2.0);
        }),
    ),
    found(
        "a contactor drops out while driving",
        (CheckId::MainCloseVerify, 0),
        0.05,
        STAY_OPEN.and(Advice::OPEN_NOW),
        Own(|drive| {
            start(drive);
            drive.wanted = 50.0;
            drive.run(2.0);
            drive.plant.strings[0].positive.damage = Damage::Stuck;
            drive.fault();
            drive.run(2.0);
        }),
    ),
    // ---- precharge: tau is 0.1 s after 30 ms of the relay, findings last 30 ms.
    found(
        "precharge relay does not close",
        (CheckId::PrechargeOpen, 0),
        0.2,
        ABORT,
        Starting(|drive| {
            drive.plant.strings[0].relay.damage = Damage::Stuck;
        }),
    ),
    found(
        "precharge resistor burnt out",
        (CheckId::PrechargeOpen, 0),
        0.2,
        ABORT,
        Starting(|drive| {
            drive.plant.strings[0].precharge_open = true;
        }),
    ),
    found(
        "link shorted",
        (CheckId::PrechargeShort, 0),
        0.2,
        ABORT,
        Starting(|drive| {
            drive.plant.link.fault = Some(1.0);
        }),
    ),
    found(
        "link wet: 60 ohm across it",
        (CheckId::PrechargeRise, 0),
        0.4,
        ABORT,
        Starting(|drive| {
            drive.plant.link.fault = Some(60.0);
        }),
    ),
    found(
        "link wet: 1 kohm across it",
        (CheckId::PrechargeLoad, 0),
        1.6,
        ABORT,
        Starting(|drive| {
            drive.plant.link.fault = Some(1.0e3);
        }),
    ),
    found(
        "a heater of 0.4 A on the link",
        (CheckId::PrechargeLoad, 0),
        1.6,
        ABORT,
        Starting(|drive| {
            drive.plant.link.standing = Standing {
                current: 0.4,
                power: 0.0,
                from: 150.0,
            };
        }),
    ),
    found(
        "a converter of 250 W starts at 150 V",
        (CheckId::PrechargeRise, 0),
        0.4,
        ABORT,
        Starting(|drive| {
            drive.plant.link.standing = Standing {
                current: 0.0,
                power: 250.0,
                from: 150.0,
            };
        }),
    ),
    found(
        "another inverter: three times the capacitance",
        (CheckId::PrechargeRise, 0),
        0.4,
        ABORT,
        Starting(|drive| {
            drive.plant.link.capacitance = 3.0e-3;
        }),
    ),
    found(
        "another inverter: a third of the capacitance",
        (CheckId::PrechargeRise, 0),
        0.2,
        ABORT,
        Starting(|drive| {
            drive.plant.link.capacitance = 0.33e-3;
        }),
    ),
    found(
        "the wire of the link's sensor is open",
        (CheckId::PrechargeShort, 0),
        0.4,
        ABORT,
        Starting(|drive| {
            drive.plant.sensors.link.trouble = Trouble::Stuck(0.0);
        }),
    ),
    // Each try leaves 87 J, the resistor stands three times 84 J (410 V on 1 mF): with two
    // in it there is no room for a third.
    found(
        "tries in a row, with a load on the link",
        (CheckId::PrechargeBudget, 0),
        8.0,
        Advice::WARN.and(Advice::FORBID_PRECHARGE),
        Own(|drive| {
            drive.plant.strings[1].rest -= 0.5;
            drive.run(1.0);
            drive.plant.link.fault = Some(1.0e3);
            drive.fault();
            for _ in 0..3 {
                drive.key = true;
                drive.run(3.0);
                drive.key = false;
                drive.run(1.0);
            }
            // The third was not begun.
            assert!(drive.plant.strings[0].precharge_heat < 190.0);
        }),
    ),
    // ---- voltage sensors: 1.5 % and 2 V, 200 ms.
    found(
        "a string's voltage frozen at a plausible value",
        (CheckId::SensorPlausible, 0),
        4.0,
        STAY_OPEN.and(Advice::DERATE),
        Driving(10.0, |drive| {
            drive.plant.sensors.strings[0].voltage.trouble = Trouble::Frozen;
            drive.wanted = 280.0;
        }),
    ),
    found(
        "the link's voltage frozen at a plausible value",
        (CheckId::SensorPlausible, 0),
        4.0,
        STAY_OPEN,
        Driving(10.0, |drive| {
            drive.plant.sensors.link.trouble = Trouble::Frozen;
            drive.wanted = 280.0;
        }),
    ),
    found(
        "a string's sensor reads 12 V too much",
        (CheckId::SensorPlausible, 1),
        0.3,
        STAY_OPEN,
        Driving(2.0, |drive| {
            drive.plant.sensors.strings[1].voltage.offset = 12.0;
        }),
    ),
    found(
        "a string's voltage above the window",
        (CheckId::SensorPlausible, 0),
        0.4,
        STAY_OPEN,
        Own(|drive| {
            drive.run(1.0);
            drive.plant.sensors.strings[0].voltage.trouble = Trouble::Stuck(440.0);
            drive.fault();
            drive.run(1.0);
        }),
    ),
    blind(
        "the link's sensor sends no number",
        (CheckId::SensorPlausible, 0),
        0.05,
        STAY_OPEN.and(Advice::DERATE),
        Driving(1.0, |drive| {
            drive.plant.sensors.link.trouble = Trouble::NotANumber;
        }),
    ),
    blind(
        "a string's sensor is silent",
        (CheckId::SensorPlausible, 1),
        0.25,
        STAY_OPEN,
        Driving(1.0, |drive| {
            drive.plant.sensors.strings[1].voltage.trouble = Trouble::Silent;
        }),
    ),
    blind(
        "the link's sensor at the end of its range",
        (CheckId::SensorPlausible, 0),
        0.05,
        STAY_OPEN,
        Driving(1.0, |drive| {
            drive.plant.sensors.link.trouble = Trouble::Stuck(1.0e6);
        }),
    ),
    // ---- currents.
    blind(
        "the pack's current sensor sends no number",
        (CheckId::OvercurrentBand, 0),
        0.05,
        Advice::WARN.and(Advice::DERATE),
        Driving(1.0, |drive| {
            drive.plant.sensors.current.trouble = Trouble::NotANumber;
        }),
    ),
    blind(
        "the pack's current sensor is silent",
        (CheckId::OvercurrentBand, 0),
        0.1,
        Advice::DERATE,
        Driving(1.0, |drive| {
            drive.plant.sensors.current.trouble = Trouble::Silent;
        }),
    ),
    // Band: 9e5 A2s at 450 A are 4.4 s.
    found(
        "450 A that do not end",
        (CheckId::OvercurrentBand, 0),
        5.0,
        Advice::WARN.and(Advice::DERATE),
        Driving(8.0, |drive| {
            drive.wanted = 450.0;
        }),
    ),
    // Band: 1.5e5 A2s at 1200 A are 0.10 s.
    found(
        "1200 A that do not end",
        (CheckId::OvercurrentBand, 0),
        0.3,
        Advice::DERATE,
        Driving(2.0, |drive| {
            drive.wanted = 1200.0;
        }),
    ),
    found(
        "a charger that gives 300 A",
        (CheckId::OvercurrentBand, 0),
        15.0,
        Advice::DERATE,
        Driving(16.0, |drive| {
            drive.wanted = -300.0;
        }),
    ),
    found(
        "more current than a contactor breaks",
        (CheckId::DoNotOpenBand, 0),
        0.1,
        Advice::DO_NOT_OPEN,
        Own(|drive| {
            start(drive);
            drive.fault();
            drive.plant.link.fault = Some(0.12);
            drive.run(0.3);
            assert!(drive.openings == 0, "it must not open at a kiloampere");
        }),
    ),
    found(
        "a current sensor that is saturated",
        (CheckId::DoNotOpenBand, 1),
        0.1,
        Advice::DO_NOT_OPEN,
        Driving(0.3, |drive| {
            drive.plant.sensors.strings[0].current.trouble = Trouble::Stuck(1500.0);
        }),
    ),
    found(
        "crash at 200 A",
        (CheckId::OpenUnderLoad, 0),
        0.1,
        Advice::WARN,
        Own(|drive| {
            start(drive);
            drive.wanted = 200.0;
            drive.run(2.0);
            drive.crash = true;
            drive.fault();
            drive.run(1.0);
            assert!(!drive.closed() && drive.plant.parted_under_load > 0);
        }),
    ),
    found(
        "the current does not go when the key is turned",
        (CheckId::OpenUnderLoad, 0),
        5.2,
        Advice::WARN,
        Driving(8.0, |drive| {
            drive.plant.link.fault = Some(20.0);
            drive.key = false;
        }),
    ),
    // ---- strings: 20 %, 10 s.
    found(
        "a loose joint in one string",
        (CheckId::StringShare, 0),
        11.0,
        Advice::WARN,
        Driving(14.0, |drive| {
            drive.plant.strings[0].resistance = 0.16;
            drive.wanted = 150.0;
        }),
    ),
    found(
        "the fuse of one string is open",
        (CheckId::StringDrift, 1),
        12.0,
        Advice::OPEN_SOFTLY.and(Advice::FORBID_MAIN),
        Driving(14.0, |drive| {
            drive.plant.strings[1].fuse_open = true;
            drive.wanted = 150.0;
        }),
    ),
    found(
        "strings 4 V apart are not joined",
        (CheckId::StringJoin, 1),
        3.0,
        Advice::FORBID_MAIN,
        Own(|drive| {
            drive.plant.strings[1].rest -= 4.0;
            drive.fault();
            start(drive);
            drive.run(5.0);
            assert!(drive.plant.strings[1].path().is_none());
        }),
    ),
    // ---- isolation: alarm 500 ohm/V of 410 V = 205 kohm, warning 1.03 Mohm, 10 s and the
    // device's two.
    found(
        "water in a connector while driving",
        (CheckId::IsolationLow, 1),
        13.0,
        STAY_OPEN,
        Own(|drive| {
            start(drive);
            drive.plant.around.speed = Some(50.0);
            drive.wanted = 80.0;
            drive.run(40.0);
            drive.plant.isolation.negative = 150.0e3;
            drive.fault();
            drive.run(15.0);
            assert!(drive.closed(), "a moving vehicle is not opened for it");
        }),
    ),
    found(
        "damp: isolation below the warning",
        (CheckId::IsolationLow, 0),
        13.0,
        Advice::WARN,
        Own(|drive| {
            start(drive);
            drive.run(40.0);
            drive.plant.isolation.positive = 0.8e6;
            drive.fault();
            drive.run(15.0);
        }),
    ),
    found(
        "isolation low while charging",
        (CheckId::IsolationLow, 1),
        13.0,
        Advice::STOP_CHARGING,
        Own(|drive| {
            start(drive);
            drive.plant.around.plugged = true;
            drive.wanted = -50.0;
            drive.run(40.0);
            drive.plant.isolation.positive = 100.0e3;
            drive.fault();
            drive.run(15.0);
        }),
    ),
    found(
        "the isolation monitor is silent",
        (CheckId::IsolationStale, 0),
        23.0,
        STAY_OPEN.and(Advice::STOP_CHARGING),
        Driving(25.0, |drive| {
            drive.plant.isolation.trouble = Trouble::Silent;
        }),
    ),
    found(
        "the isolation monitor sends no number",
        (CheckId::IsolationStale, 0),
        2.5,
        STAY_OPEN,
        Driving(5.0, |drive| {
            drive.plant.isolation.trouble = Trouble::NotANumber;
        }),
    ),
    found(
        "the isolation monitor says zero",
        (CheckId::IsolationLow, 1),
        43.0,
        STAY_OPEN,
        Driving(45.0, |drive| {
            drive.plant.isolation.trouble = Trouble::Stuck(0.0);
        }),
    ),
    // ---- interlock: 30 ms.
    found(
        "interlock opens at 50 km/h",
        (CheckId::InterlockOpen, 0),
        0.1,
        STAY_OPEN.and(Advice::DERATE),
        Own(|drive| {
            start(drive);
            drive.plant.around.speed = Some(50.0);
            drive.wanted = 50.0;
            drive.run(1.0);
            drive.plant.around.interlock = Some(false);
            drive.fault();
            drive.run(2.0);
            assert!(drive.closed(), "a moving vehicle is not opened for it");
        }),
    ),
    found(
        "interlock opens while parked",
        (CheckId::InterlockOpen, 0),
        0.1,
        STAY_OPEN.and(Advice::OPEN_SOFTLY),
        Own(|drive| {
            start(drive);
            drive.plant.around.interlock = Some(false);
            drive.fault();
            drive.run(2.0);
            drive.run(8.0);
            assert!(!drive.closed());
        }),
    ),
    found(
        "interlock opens and the speed is not known",
        (CheckId::InterlockOpen, 0),
        0.1,
        STAY_OPEN.and(Advice::DERATE),
        Own(|drive| {
            start(drive);
            drive.plant.around.speed = None;
            drive.plant.around.interlock = Some(false);
            drive.fault();
            drive.run(2.0);
            assert!(drive.closed(), "what may move is not opened for it");
        }),
    ),
    blind(
        "nobody can tell about the interlock",
        (CheckId::InterlockOpen, 0),
        0.05,
        STAY_OPEN,
        Driving(1.0, |drive| {
            drive.plant.around.interlock = None;
        }),
    ),
    // ---- after off: 5 s.
    found(
        "bleed and active discharge are gone",
        (CheckId::HighVoltageAfterOff, 0),
        12.0,
        Advice::WARN.and(Advice::SHOW_CHARGED),
        Own(|drive| {
            start(drive);
            drive.key = false;
            drive.run(0.05);
            drive.fault();
            drive.plant.link.active = 1.0e9;
            drive.plant.link.bleed = 1.0e9;
            drive.run(14.0);
        }),
    ),
    found(
        "the discharge works against the pack",
        (CheckId::DischargeOnPack, 0),
        0.7,
        STAY_OPEN.and(Advice::STOP_DISCHARGE),
        Driving(2.0, |drive| {
            drive.force_discharge = true;
        }),
    ),
    found(
        "both poles welded, and discharged",
        (CheckId::DischargeOnPack, 0),
        12.0,
        Advice::STOP_DISCHARGE,
        Own(|drive| {
            start(drive);
            drive.plant.strings[0].positive.damage = Damage::Welded;
            drive.plant.strings[0].negative.damage = Damage::Welded;
            stop_with_fault(drive);
        }),
    ),
    found(
        "the link is charged before anything was closed",
        (CheckId::LinkDeadBeforeClose, 0),
        0.1,
        Advice::FORBID_CLOSING.and(Advice::SHOW_CHARGED),
        Own(|drive| {
            drive.run(1.0);
            drive.plant.link.voltage = 200.0;
            drive.fault();
            drive.run(1.0);
        }),
    ),
    // ---- supply of the coils: 9 V, 10 ms.
    found(
        "the supply falls to 6.5 V for a second",
        (CheckId::CoilDip, 0),
        0.1,
        STAY_OPEN.and(Advice::PULL_IN_AGAIN),
        Own(|drive| {
            start(drive);
            drive.plant.around.supply = 6.5;
            drive.fault();
            drive.run(1.0);
            drive.plant.around.supply = 13.8;
            drive.run(1.0);
        }),
    ),
    found(
        "the supply is lost",
        (CheckId::MainCloseVerify, 0),
        0.1,
        STAY_OPEN.and(Advice::OPEN_NOW),
        Driving(1.0, |drive| {
            drive.plant.around.supply = 2.0;
        }),
    ),
    blind(
        "the supply is not measured any more",
        (CheckId::CoilDip, 0),
        0.5,
        STAY_OPEN,
        Driving(1.0, |drive| {
            drive.plant.sensors.supply.trouble = Trouble::Silent;
        }),
    ),
    // ---- heat: 10 s and the sensor's half.
    found(
        "precharge resistor hot",
        (CheckId::ResistorHot, 0),
        80.0,
        STAY_OPEN,
        Driving(90.0, |drive| {
            drive.plant.joints[2].extra = 400.0;
        }),
    ),
    found(
        "one joint 20 K hotter than its twin",
        (CheckId::JointHot, 0),
        250.0,
        Advice::WARN.and(Advice::DERATE),
        Driving(260.0, |drive| {
            drive.plant.joints[0].resistance = 90.0e-6;
            drive.wanted = 200.0;
        }),
    ),
    found(
        "both joints beyond what they may have",
        (CheckId::JointHot, 0),
        400.0,
        Advice::DERATE,
        Driving(410.0, |drive| {
            for joint in &mut drive.plant.joints[..2] {
                joint.extra = 80.0;
            }
        }),
    ),
    blind(
        "a joint's sensor is silent",
        (CheckId::JointHot, 0),
        5.5,
        Advice::WARN.and(Advice::DERATE),
        Driving(7.0, |drive| {
            drive.plant.sensors.joint_negative.trouble = Trouble::Silent;
        }),
    ),
    // ---- plug: 50 ms.
    found(
        "it rolls while plugged",
        (CheckId::PlugMoves, 0),
        0.2,
        Advice::WARN.and(Advice::ZERO_TORQUE),
        Own(|drive| {
            start(drive);
            drive.plant.around.plugged = true;
            drive.run(1.0);
            drive.plant.around.speed = Some(3.0);
            drive.fault();
            drive.run(1.0);
        }),
    ),
    found(
        "torque is asked for while plugged",
        (CheckId::PlugMoves, 0),
        0.2,
        Advice::ZERO_TORQUE,
        Own(|drive| {
            start(drive);
            drive.plant.around.plugged = true;
            drive.run(1.0);
            drive.wanted = 50.0;
            drive.fault();
            drive.run(1.0);
        }),
    ),
    // ---- the controller itself.
    found(
        "the controller hung for half a second",
        (CheckId::TickLate, 0),
        0.6,
        STAY_OPEN,
        Own(|drive| {
            start(drive);
            drive.fault();
            drive.hangs = true;
            drive.run(0.5);
            drive.hangs = false;
            drive.run(1.0);
        }),
    ),
    found(
        "restart with a charged link",
        (CheckId::LinkDeadBeforeClose, 0),
        0.1,
        Advice::FORBID_CLOSING,
        Driving(2.0, |drive| {
            drive.restart(None);
        }),
    ),
    found(
        "a weld is remembered over a restart",
        (CheckId::Weld, 0),
        0.1,
        STAY_OPEN,
        Own(|drive| {
            start(drive);
            drive.plant.strings[0].positive.damage = Damage::Welded;
            drive.key = false;
            drive.run(12.0);
            let mut kept = [0; 512];
            let length = drive.monitors.keep(&drive.limits, &mut kept).unwrap();
            // Somebody hammers it open and tells nobody.
            drive.plant.strings[0].positive.damage = Damage::None;
            drive.restart(Some(&kept[..length]));
            drive.told.clear();
            drive.fault();
            drive.run(1.0);
            drive.key = true;
            drive.run(2.0);
            assert!(!drive.closed(), "it is locked");
        }),
    ),
    // Two voltages have to differ for 0.2 s, behind a ramp of the current.
    found(
        "the only string's contactor drops out, its auxiliary contact sticks",
        (CheckId::MainCloseVerify, 0),
        0.6,
        STAY_OPEN.and(Advice::OPEN_NOW),
        Own(|drive| {
            drive.plant.strings[1].rest -= 6.0;
            start(drive);
            drive.wanted = 50.0;
            drive.run(2.0);
            drive.plant.strings[0].positive.feedback_stuck = Some(true);
            drive.plant.strings[0].positive.damage = Damage::Stuck;
            drive.fault();
            drive.run(2.0);
        }),
    ),
];

/// Contactors whose auxiliary contacts nobody reads.
fn without_contacts(drive: &mut Drive) {
    for switch in &mut drive.limits.switches {
        switch.feedback = 0;
    }
}

/// Behind all others, so that each of those keeps its noise.
pub(crate) const LATER: &[Case] = &[
    found(
        "a dip of the supply lets a contactor go that has no auxiliary contact",
        (CheckId::CoilDip, 0),
        0.1,
        STAY_OPEN.and(Advice::OPEN_NOW),
        Own(|drive| {
            without_contacts(drive);
            drive.plant.strings[1].rest -= 6.0;
            start(drive);
            drive.wanted = 60.0;
            drive.run(2.0);
            drive.plant.around.supply = 2.0;
            drive.fault();
            drive.run(0.06);
            drive.plant.around.supply = 13.8;
            drive.run(1.0);
            let again = drive.told.iter().any(|told| {
                told.advice.has(Advice::PULL_IN_AGAIN) && told.advice.has(Advice::OPEN_NOW)
            });
            assert!(!again && !drive.closed(), "onto a link that has fallen");
        }),
    ),
    found(
        "positive contactor welded since the last drive, no auxiliary contacts",
        (CheckId::Weld, 0),
        0.1,
        STAY_OPEN.and(Advice::SERVICE_DISCONNECT),
        Own(|drive| {
            without_contacts(drive);
            drive.run(0.5);
            drive.plant.strings[0].positive.damage = Damage::Welded;
            drive.key = true;
            drive.fault();
            drive.run(3.0);
            assert!(!drive.closed(), "it is welded");
        }),
    ),
    // The bleed takes a tenth in 4.0 s; the discharge stays off.
    found(
        "all contactors welded, no auxiliary contacts",
        (CheckId::Weld, 1),
        5.0,
        STAY_OPEN.and(Advice::SERVICE_DISCONNECT),
        Own(|drive| {
            without_contacts(drive);
            drive.plant.link.active = 1.0e9;
            drive.limits.link.discharge_ohm = None;
            start(drive);
            for string in &mut drive.plant.strings {
                string.positive.damage = Damage::Welded;
                string.negative.damage = Damage::Welded;
            }
            drive.crash = true;
            drive.fault();
            drive.run(8.0);
        }),
    ),
];

/// What was stopped by a finding that only a person clears stays so until somebody does.
#[test]
fn what_is_locked_stays_locked_until_it_is_acknowledged() {
    let mut drive = super::vehicle(1, 0);
    start(&mut drive);
    drive.plant.strings[0].positive.damage = Damage::Welded;
    stop_with_fault(&mut drive);
    drive.plant.strings[0].positive.damage = Damage::None;
    drive.run(100.0);
    drive.key = true;
    drive.run(5.0);
    assert!(!drive.closed());
    drive.key = false;
    drive.run(1.0);
    drive.monitors.acknowledge(CheckId::Weld, 0);
    start(&mut drive);
    stop(&mut drive);
}
