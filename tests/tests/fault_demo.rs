//! The planted faults of the demonstrations, by value, and what holds for every fault.
//!
//! Expected numbers are worked by hand beside each; cell values and lengths are those of
//! the fixtures. Resistivity of copper 17.241 nohm m at 20 degC and its coefficient
//! 0.00393/K: IEC 60287-1-1 (the lowest resistance of a conductor is that of a solid rod);
//! highest resistance per metre: IEC 60228 class 5.

use orangeloom_core::design::{Conductor, Contactor, Design, Entry, Fuse, Gap, Load};
use orangeloom_core::fault::{
    Along, End, Extreme, Fault, FaultCheck, FaultKind, FaultResult, FaultStudy, FaultWorkspace,
    Point, Precharged, precharge_of,
};
use orangeloom_core::protection::Unbroken;
use orangeloom_core::quantity::{Inductance, Time};
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::fixture;

const FIXTURES: [&str; 4] = [
    "starter",
    "lake-rescue-truck",
    "orchard-tractor",
    "road-rail-shunter",
];

fn id<E: Entry>(design: &Design, name: &str) -> E::Id {
    design
        .find::<E>(name)
        .unwrap_or_else(|| panic!("no {name}"))
}

fn all(design: &Design) -> Vec<FaultResult> {
    let study = FaultStudy::new(design).unwrap();
    let mut workspace = Box::new(FaultWorkspace::new());
    study
        .faults(design)
        .map(|fault| study.solve(design, &mut workspace, fault).unwrap())
        .collect()
}

fn between(design: &Design, kind: FaultKind, ends: [(&str, Along); 2]) -> Fault {
    let [one, other] = ends.map(|(circuit, along)| Point {
        conductor: id::<Conductor>(design, circuit),
        along,
    });
    Fault { kind, one, other }
}

/// A fault that must be among those enumerated.
fn listed(results: &[FaultResult], fault: Fault) -> &FaultResult {
    let found = results.iter().find(|result| result.fault == fault);
    found.unwrap_or_else(|| panic!("{fault:?} is not listed"))
}

fn near(found: f32, expected: f32, relative: f32, what: &str) {
    assert!(
        (found - expected).abs() <= relative * expected,
        "{what}: {found}, expected {expected}"
    );
}

/// Resistance of a metre of 70 mm2 copper rod at -40 degC, and of class 5 at 125 degC.
const COLD_70: f32 = 17.241e-9 / 70.0e-6 * (1.0 - 0.00393 * 60.0);
const HOT_70: f32 = 0.272e-3 * (1.0 + 0.00393 * 105.0);

#[test]
fn the_truck_has_no_fuse_where_its_middle_boxes_are_shorted() {
    let design = fixture::design("lake-rescue-truck");
    let results = all(&design);
    let study = FaultStudy::new(&design).unwrap();
    for (name, ends) in [
        ("B1", [("01", Along::Start), ("04", Along::End)]),
        ("B2", [("01", Along::End), ("02", Along::Start)]),
        ("B3", [("02", Along::End), ("03", Along::Start)]),
    ] {
        let result = listed(&results, between(&design, FaultKind::AtBox, ends));
        let enclosure = study.enclosure(&design, result.fault.one).unwrap();
        assert_eq!(design.name(enclosure.into()), Some(name));
        // 32 cells of 4.2 V, or of 3.0 V, behind 32/2 x 0.9 mohm and 2.6 mohm of links,
        // which are measured. The demonstration's 7.4 kA, full cells behind 18 mohm with the
        // links, lies between.
        near(
            result.highest.prospective.as_amperes(),
            134.4 / 0.017,
            2e-3,
            name,
        );
        near(
            result.lowest.prospective.as_amperes(),
            96.0 / 0.017,
            2e-3,
            name,
        );
        assert!(result.lowest.prospective.as_amperes() < 7.4e3, "{name}");
        assert!(result.highest.prospective.as_amperes() > 7.4e3, "{name}");
        // 4.6 uH over cells and links.
        near(
            result.highest.time_constant.as_seconds(),
            4.6e-6 / 0.017,
            2e-3,
            name,
        );
        assert!(result.loop_without_fuse(), "{name}");
        assert_eq!(result.without_fuse.name, FaultCheck::WithoutFuse);
        assert_eq!(result.without_fuse.verdict, Verdict::Fails);
        assert_eq!(result.without_fuse.limit, Some(0.0));
        assert_eq!(result.highest.end, End::NoFuse);
        assert_eq!(result.cleared_in(), None);
        assert!(result.highest.carriers.is_empty());
        assert_eq!(result.highest.feeders.len(), 1);
        let battery = result.highest.feeders[0].battery;
        assert_eq!(design.name(battery.into()), Some(name));
        assert!(result.gaps.is_empty(), "{:?}", result.gaps);
    }
}

#[test]
fn behind_its_fuse_the_truck_is_cleared() {
    let design = fixture::design("lake-rescue-truck");
    let results = all(&design);
    let ends = [("05+", Along::End), ("05-", Along::Start)];
    let result = listed(&results, between(&design, FaultKind::AtBox, ends));
    // Three boxes; 2.4 + 4.2 + 3.1 + 1.1 + 2 x 0.9 m of 70 mm2.
    let cold = 3.0 * 0.017 + 12.6 * COLD_70;
    near(
        result.highest.prospective.as_amperes(),
        403.2 / cold,
        2e-3,
        "highest",
    );
    let hot = 3.0 * 0.017 + 12.6 * HOT_70;
    near(
        result.lowest.prospective.as_amperes(),
        288.0 / hot,
        5e-3,
        "lowest",
    );
    assert!(!result.loop_without_fuse());
    assert_eq!(result.without_fuse.verdict, Verdict::Holds);
    let (fuse, first) = result.first_to_clear().unwrap();
    assert_eq!(fuse, id::<Fuse>(&design, "F1"));
    assert_eq!(result.highest.carriers.len(), 1);
    assert_eq!(result.highest.feeders.len(), 3);
    // Latest side of its curve, from 1.1 x 1050 A at 10 s to 1.21 x 1.1e5 A2s at 10 ms:
    // at 7.6 kA that I2t is reached in 2.3 ms, 1.5 time constants later than at once.
    let stage = &result.highest.stages[0];
    let tau = result.highest.time_constant.as_seconds();
    let melted = 1.21 * 1.1e5 / stage.current.as_amperes().powi(2) + 1.5 * tau;
    near(stage.melted.as_seconds(), melted, 5e-3, "melted");
    near(
        stage.let_through.as_a2s(),
        1.21 * 1.1e5 + 2.1e5,
        1e-2,
        "I2t",
    );
    near(stage.voltage.as_volts(), 403.2, 1e-5, "voltage");
    assert!(first < result.cleared_in().unwrap());
    assert_eq!(result.highest.end, End::Cleared(first));
}

#[test]
fn a_fuse_on_one_pole_in_the_middle_of_a_pack_is_not_in_every_loop() {
    // F1 of the truck is on the positive pole: a short from the pack side of F1 to the
    // negative pole does not pass it, whatever else does.
    let design = fixture::design("lake-rescue-truck");
    let results = all(&design);
    let ends = [("03", Along::End), ("04", Along::Start)];
    let result = listed(&results, between(&design, FaultKind::AtBox, ends));
    assert_eq!(result.highest.end, End::NoFuse);
    near(
        result.highest.without_fuse.as_amperes(),
        result.highest.prospective.as_amperes(),
        1e-5,
        "all of it",
    );
    // Through chassis as well: B2's negative pole and J1's.
    let ends = [("01", Along::End), ("04", Along::Start)];
    let result = listed(&results, between(&design, FaultKind::ThroughChassis, ends));
    assert!(result.loop_without_fuse());
    // 0.1 ohm for each of two bonds, one box, half of the hot cables.
    let hot = 0.2 + 0.017 + (2.4 + 1.1) * HOT_70;
    near(
        result.lowest.prospective.as_amperes(),
        96.0 / hot,
        5e-3,
        "through bonds",
    );
}

#[test]
fn the_tractor_feeds_a_short_in_one_string_from_both() {
    let design = fixture::design("orchard-tractor");
    let results = all(&design);
    // At S2: its own 40 x 3.6 V behind 20 mohm, and S1 through both cables, there and
    // back: 2 x (0.9 + 3.6) m of 35 mm2.
    let ends = [("02+", Along::Start), ("02-", Along::End)];
    let result = listed(&results, between(&design, FaultKind::AtBox, ends));
    let rod = 17.241e-9 / 35.0e-6 * (1.0 - 0.00393 * 60.0);
    let other = 144.0 / (0.020 + 9.0 * rod);
    let feeders = &result.highest.feeders;
    assert_eq!(feeders.len(), 2);
    for (name, amperes) in [("S1", other), ("S2", 144.0 / 0.020)] {
        let fed = feeders
            .iter()
            .find(|fed| design.name(fed.battery.into()) == Some(name))
            .unwrap();
        near(fed.current.as_amperes(), amperes, 2e-3, name);
    }
    // The demonstration says about 5.0 kA from S1: full cells behind 24 mohm with links
    // and 9 m of class 5 at 20 degC, 0.554 mohm/m. Ours is the highest; 5.0 lies below.
    near(
        144.0 / (0.024 + 9.0 * 0.554e-3),
        5.0e3,
        0.01,
        "S1 as described",
    );
    assert!(other > 5.0e3);
    near(
        result.highest.prospective.as_amperes(),
        other + 144.0 / 0.020,
        2e-3,
        "both",
    );
    assert!(result.loop_without_fuse());
    assert_eq!(result.highest.end, End::NoFuse);
    assert_eq!(result.highest.carriers, []);
    assert_eq!(result.without_fuse.verdict, Verdict::Fails);
    // Neither string states its inductance: time constants are of the cables alone.
    assert_eq!(result.gaps.len(), 2);
    assert!(
        result
            .gaps
            .iter()
            .all(|guess| guess.gap == Gap::BatteryInductance)
    );
}

#[test]
fn the_shunter_has_a_fuse_in_every_loop_and_too_little_voltage_in_it() {
    let design = fixture::design("road-rail-shunter");
    let results = all(&design);
    assert!(results.iter().all(|result| !result.loop_without_fuse()));
    // At the front inverter both strings feed through F1 and F2, then F3 carries all:
    // 806.4 V on 700 V.
    let ends = [("15+", Along::End), ("15-", Along::Start)];
    let result = listed(&results, between(&design, FaultKind::AtBox, ends));
    let fuse = id::<Fuse>(&design, "F3");
    assert_eq!(result.highest.end, End::Unbroken(fuse, Unbroken::Voltage));
    assert_eq!(result.highest.feeders.len(), 4);
    assert_eq!(result.highest.carriers.len(), 7);
    assert_eq!(result.cleared_in(), None);
    // With empty cells, 576 V, it breaks.
    assert!(matches!(result.lowest.end, End::Cleared(_)));
    assert_eq!(result.lowest.stages.len(), 1);
    assert_eq!(result.lowest.stages[0].fuse, fuse);
    // A short of one box is fed by it and, backwards through its sister, by the other
    // string: first its own fuse, then one of the others.
    let ends = [("11", Along::Start), ("13-", Along::End)];
    let result = listed(&results, between(&design, FaultKind::AtBox, ends));
    let [first, second] = result.highest.stages.as_slice() else {
        panic!("{:?}", result.highest.stages);
    };
    assert_eq!(first.fuse, id::<Fuse>(&design, "FL1"));
    // It breaks its own box's voltage only.
    near(first.voltage.as_volts(), 403.2, 1e-3, "voltage of FL1");
    near(
        second.current.as_amperes(),
        first.left.as_amperes(),
        1e-3,
        "the rest",
    );
    assert!(first.cleared < second.melted);
    let back = id::<Fuse>(&design, "FL2");
    let carrier = result.highest.carriers.iter().find(|c| c.fuse == back);
    assert!(
        carrier.unwrap().current.as_amperes() < 0.0,
        "from its far side"
    );
}

#[test]
fn the_order_of_entries_does_not_change_the_answer() {
    for name in FIXTURES {
        let design = fixture::design(name);
        let turned = turned(&design);
        let (one, other) = (all(&design), all(&turned));
        assert_eq!(one.len(), other.len(), "{name}");
        let mut compared = 0;
        let ends = |design: &Design, fault: Fault| {
            let mut ends = [fault.one, fault.other].map(|point| match point.terminal(design) {
                Some(terminal) => design.name(terminal.into()).unwrap().to_owned(),
                None => design.name(point.conductor.into()).unwrap().to_owned(),
            });
            ends.sort();
            (fault.kind, ends)
        };
        for result in &one {
            let what = ends(&design, result.fault);
            let same = other.iter().find(|o| ends(&turned, o.fault) == what);
            let same = same.unwrap_or_else(|| panic!("{name}: {what:?}"));
            for (a, b) in [
                (&result.highest, &same.highest),
                (&result.lowest, &same.lowest),
            ] {
                let pairs = [
                    (a.prospective.as_amperes(), b.prospective.as_amperes()),
                    (a.without_fuse.as_amperes(), b.without_fuse.as_amperes()),
                    (a.time_constant.as_seconds(), b.time_constant.as_seconds()),
                ];
                for (a, b) in pairs {
                    assert!(
                        (a - b).abs() <= 1e-5 * a.abs(),
                        "{name}, {what:?}: {a}, {b}"
                    );
                }
                assert_eq!(a.carriers.len(), b.carriers.len());
                compared += 1;
            }
        }
        assert!(compared > 20, "{name}");
    }
}

/// The design with the conductors in the opposite order.
fn turned(design: &Design) -> Box<Design> {
    let mut turned = Box::new(design.clone());
    let conductors: Vec<Conductor> = design.all::<Conductor>().map(|(_, c)| *c).collect();
    let ids: Vec<_> = design.all::<Conductor>().map(|(id, _)| id).collect();
    for (id, conductor) in ids.into_iter().zip(conductors.into_iter().rev()) {
        *turned.get_mut(id).unwrap() = conductor;
    }
    turned
}

#[test]
fn the_smallest_current_is_not_above_the_largest_and_sums_agree() {
    for name in FIXTURES {
        let design = fixture::design(name);
        for result in all(&design) {
            let what = format!("{name}: {:?}", result.fault);
            let (low, high) = (&result.lowest, &result.highest);
            assert!(low.prospective <= high.prospective, "{what}");
            for current in [low, high] {
                let most = current.prospective.as_amperes() * (1.0 + 1e-6);
                assert!(current.without_fuse.as_amperes() <= most, "{what}");
                let mut last = 0.0;
                for stage in &current.stages {
                    assert!(stage.melted.as_seconds() >= last, "{what}");
                    assert!(stage.cleared >= stage.melted, "{what}");
                    last = stage.cleared.as_seconds();
                }
                // A fault that is cleared has no loop without a fuse, and the other way round.
                if matches!(current.end, End::Cleared(_)) {
                    assert!(current.without_fuse.as_amperes() <= 0.0, "{what}");
                }
                if current.end == End::NoFuse {
                    assert!(current.without_fuse.as_amperes() > 0.0, "{what}");
                }
            }
        }
    }
}

#[test]
fn link_capacitors_make_the_peak_and_the_pack_the_rest() {
    let mut design = fixture::design("lake-rescue-truck");
    let study = FaultStudy::new(&design).unwrap();
    let mut workspace = Box::new(FaultWorkspace::new());
    let ends = [("06+", Along::End), ("06-", Along::Start)];
    let fault = between(&design, FaultKind::AtBox, ends);
    let until = Time::from_seconds(0.02).unwrap();
    let with = study
        .course(&design, &mut workspace, fault, Extreme::Largest, until)
        .unwrap()
        .unwrap();
    let steady = study.solve(&design, &mut workspace, fault).unwrap();
    let steady = steady.highest.prospective.as_amperes();
    // Twenty milliseconds are forty time constants: what is left is the steady current.
    near(with.fault.at_end.as_amperes(), steady, 1e-3, "end");
    assert!(with.fault.peak.as_amperes() > 1.2 * steady);
    // F4 in the branch carries all but what the heater's own capacitor gives; F1 between
    // pack and capacitors does not see the peak.
    let of = |name: &str, course: &orangeloom_core::fault::FaultCourse| {
        let fuse = id::<Fuse>(&design, name);
        let found = course.fuses.iter().find(|(id, _)| *id == fuse);
        found.unwrap().1
    };
    assert!(of("F4", &with).peak.as_amperes() > 1.1 * steady);
    assert!(of("F1", &with).peak.as_amperes() < 1.02 * steady);
    // Without capacitors the course is the rise that the list of faults reckons with.
    let loads: Vec<_> = design.all::<Load>().map(|(id, _)| id).collect();
    for load in loads {
        design.get_mut(load).unwrap().link = None;
    }
    let study = FaultStudy::new(&design).unwrap();
    let without = study
        .course(&design, &mut workspace, fault, Extreme::Largest, until)
        .unwrap()
        .unwrap();
    let rise = study.solve(&design, &mut workspace, fault).unwrap().highest;
    let tau = rise.time_constant.as_seconds();
    near(
        without.fault.i2t.as_a2s(),
        steady * steady * (0.02 - 1.5 * tau),
        2e-3,
        "I2t of the rise",
    );
}

#[test]
fn what_is_not_known_leaves_the_verdict_open() {
    let mut design = fixture::design("road-rail-shunter");
    let battery = id::<orangeloom_core::design::Battery>(&design, "L1 cells");
    let entry = design.get_mut(battery).unwrap();
    entry.cell.resistance = None;
    entry.inductance = Some(Inductance::from_henries(1e-6).unwrap());
    let results = all(&design);
    assert!(results.iter().all(|result| {
        result.without_fuse.verdict == Verdict::Open
            && result
                .gaps
                .iter()
                .any(|guess| guess.gap == Gap::CellResistance)
    }));
}

#[test]
fn every_capacitor_of_the_demonstrations_has_a_precharge_path() {
    for (name, loads) in [
        (
            "lake-rescue-truck",
            vec!["inverter", "heater", "compressor", "converter"],
        ),
        ("orchard-tractor", vec!["drive"]),
        ("road-rail-shunter", vec!["front inverter", "rear inverter"]),
    ] {
        let mut design = fixture::design(name);
        for load in &loads {
            let load = id::<Load>(&design, load);
            assert!(matches!(
                precharge_of(&design, load),
                Precharged::Through { .. }
            ));
        }
        // The same vehicle with both ends of the resistor before and behind the relay: it
        // leads nowhere.
        let relay = id::<Contactor>(&design, "Kp");
        let [from, to] = {
            let relay = design.get(relay).unwrap();
            [relay.from, relay.to]
        };
        let resistor = id::<orangeloom_core::design::Resistor>(&design, "Rp");
        design.get_mut(resistor).unwrap().to = from;
        assert_ne!(from, to);
        for load in &loads {
            let load = id::<Load>(&design, load);
            assert_eq!(precharge_of(&design, load), Precharged::Missing, "{name}");
        }
    }
    let truck = fixture::design("lake-rescue-truck");
    let inverter = id::<Load>(&truck, "inverter");
    let phase = id::<orangeloom_core::design::Phase>(&truck, "precharge");
    let resistor = id::<orangeloom_core::design::Resistor>(&truck, "Rp");
    assert_eq!(
        precharge_of(&truck, inverter),
        Precharged::Through {
            resistor,
            in_phase: Some(phase)
        }
    );
    // The inlet has no capacitor stated, day lamps have none.
    let inlet = id::<Load>(&truck, "inlet");
    assert_eq!(precharge_of(&truck, inlet), Precharged::NoCapacitor);
}
