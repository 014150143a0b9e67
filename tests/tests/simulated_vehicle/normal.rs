//! Drives with nothing wrong, and the traps that look like faults.

use orangeloom_tests::drive::Drive;
use orangeloom_tests::plant::STEP;

use super::faults::Script;
use super::{Case, Expect, start, stop};

const fn nothing(name: &'static str, run: fn(&mut Drive)) -> Case {
    Case {
        name,
        expect: Expect::Nothing,
        script: Script::Own(run),
    }
}

/// Ten minutes of hills: the current follows a table.
pub(crate) fn hills(drive: &mut Drive, repeats: usize) {
    for _ in 0..repeats {
        for (current, speed, seconds) in [
            (60.0, 20.0, 20.0),
            (180.0, 50.0, 40.0),
            (260.0, 70.0, 8.0),
            (120.0, 70.0, 60.0),
            (-80.0, 40.0, 15.0),
            (0.0, 0.0, 12.0),
        ] {
            drive.wanted = current;
            drive.plant.around.speed = Some(speed);
            drive.run(seconds);
        }
    }
    drive.wanted = 0.0;
    drive.run(1.0);
}

pub(crate) const CASES: &[Case] = &[
    nothing("start, drive, stop", |drive| {
        start(drive);
        hills(drive, 1);
        stop(drive);
    }),
    nothing("key off and on again at once", |drive| {
        start(drive);
        drive.key = false;
        drive.run(0.3);
        drive.key = true;
        drive.run(0.3);
        drive.key = false;
        drive.run(8.0);
        drive.key = true;
        drive.run(20.0);
        assert!(drive.closed());
        stop(drive);
    }),
    nothing("pack nearly empty", |drive| {
        for string in &mut drive.plant.strings {
            string.rest = 262.0;
        }
        start(drive);
        drive.wanted = 60.0;
        drive.run(20.0);
        stop(drive);
    }),
    nothing("pack full", |drive| {
        for string in &mut drive.plant.strings {
            string.rest = 408.0;
        }
        start(drive);
        drive.wanted = 100.0;
        drive.run(20.0);
        stop(drive);
    }),
    nothing("strings 0.2 V apart join", |drive| {
        drive.plant.strings[1].rest -= 0.2;
        start(drive);
        drive.run(1.0);
        assert!(drive.plant.strings[1].path().is_some());
        stop(drive);
    }),
    nothing("strings 6 V apart: one of them drives", |drive| {
        drive.plant.strings[1].rest -= 6.0;
        start(drive);
        drive.wanted = 80.0;
        drive.run(20.0);
        assert!(drive.plant.strings[1].path().is_none());
        stop(drive);
    }),
    nothing("a hard drive", |drive| {
        start(drive);
        hills(drive, 3);
        stop(drive);
    }),
    nothing("ramps of 500 A/s and more", |drive| {
        start(drive);
        for _ in 0..30 {
            drive.wanted = 260.0;
            drive.run(0.6);
            drive.wanted = -60.0;
            drive.run(0.6);
        }
        stop(drive);
    }),
    nothing(
        "isolation is spoilt for some seconds after closing",
        |drive| {
            drive.plant.isolation.settling = 9.0;
            start(drive);
            drive.run(30.0);
            stop(drive);
        },
    ),
    nothing("the interlock buzzes for 15 ms on bumps", |drive| {
        start(drive);
        drive.plant.around.speed = Some(40.0);
        for _ in 0..40 {
            drive.plant.around.interlock = Some(false);
            drive.run(0.015);
            drive.plant.around.interlock = Some(true);
            drive.run(0.1);
        }
        drive.plant.around.speed = Some(0.0);
        stop(drive);
    }),
    nothing("the sun shines on one side", |drive| {
        drive.plant.joints[0].extra = 10.0;
        start(drive);
        hills(drive, 1);
        stop(drive);
    }),
    nothing("the pump pulls the supply to 9.6 V", |drive| {
        start(drive);
        for _ in 0..10 {
            drive.plant.around.supply = 9.6;
            drive.run(0.4);
            drive.plant.around.supply = 13.8;
            drive.run(1.0);
        }
        stop(drive);
    }),
    nothing("a dip of the supply between two ticks", |drive| {
        start(drive);
        drive.plant.around.supply = 6.0;
        drive.run(STEP);
        drive.plant.around.supply = 13.8;
        drive.run(2.0);
        stop(drive);
    }),
    nothing("off and on after a long climb", |drive| {
        start(drive);
        drive.wanted = 200.0;
        drive.run(60.0);
        drive.wanted = 0.0;
        drive.run(1.0);
        stop(drive);
        drive.key = true;
        drive.run(20.0);
        assert!(drive.closed());
        stop(drive);
    }),
    nothing("charging while parked", |drive| {
        start(drive);
        drive.plant.around.plugged = true;
        drive.wanted = -60.0;
        drive.run(60.0);
        drive.wanted = 0.0;
        drive.run(1.0);
        drive.plant.around.plugged = false;
        stop(drive);
    }),
    nothing("stopped from 200 A", |drive| {
        start(drive);
        drive.wanted = 200.0;
        drive.run(5.0);
        drive.key = false;
        drive.run(15.0);
        assert!(!drive.closed());
        assert_eq!(drive.plant.parted_under_load, 0, "parted under load");
        let openings = &drive.monitors.counters().openings;
        assert_eq!(openings.iter().flatten().sum::<u16>(), 0, "counted");
    }),
    nothing("voltage sensors 0.15 % apart", |drive| {
        drive.plant.sensors.link.gain = 1.0008;
        drive.plant.sensors.strings[0].voltage.gain = 0.9993;
        drive.plant.sensors.strings[1].voltage.gain = 0.9993;
        start(drive);
        hills(drive, 1);
        stop(drive);
    }),
    nothing("a current sensor with an offset of 1 A", |drive| {
        drive.plant.sensors.current.offset = 1.0;
        start(drive);
        hills(drive, 1);
        stop(drive);
    }),
    nothing("capacitors 15 % smaller than stated", |drive| {
        drive.plant.link.capacitance = 0.85e-3;
        start(drive);
        stop(drive);
    }),
    nothing("capacitors 12 % larger than stated", |drive| {
        drive.plant.link.capacitance = 1.12e-3;
        start(drive);
        stop(drive);
    }),
    nothing("started three times within two minutes", |drive| {
        for _ in 0..3 {
            start(drive);
            stop(drive);
            drive.run(20.0);
        }
    }),
    nothing("negative pole opens first", |drive| {
        drive.first_pole = orangeloom_tests::drive::Pole::Negative;
        start(drive);
        stop(drive);
    }),
];

/// Behind all others, so that each of those keeps its noise.
pub(crate) const LATER: &[Case] = &[nothing(
    "a duty of pulls above the lasting current",
    |drive| {
        start(drive);
        // 420 A of 300 A for 2 s, 100 A for 18 s.
        for _ in 0..60 {
            drive.wanted = 420.0;
            drive.run(2.0);
            drive.wanted = 100.0;
            drive.run(18.0);
        }
        drive.wanted = 0.0;
        stop(drive);
    },
)];
