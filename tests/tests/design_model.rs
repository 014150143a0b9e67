//! The three demonstration vehicles, described and solved.
//!
//! Currents are compared with Ohm's law written out here for each vehicle, and
//! with the figures of its description where it states any.

use orangeloom_core::design::{
    Case, Charged, Circuit, Conductor, Design, Fault, Finding, Heat, Kind, Phase, Resisting,
    Supply, System, Thing,
};
use orangeloom_core::network::{Outcome, Workspace};
use orangeloom_core::quantity::Temperature;
use orangeloom_tests::demo::{Build, shunter, tractor, truck};

fn findings(design: &Design) -> Vec<Finding> {
    let mut found = Vec::new();
    design.check(&mut |finding| found.push(finding));
    found
}

/// Solves one phase of the traction side; conductors at 20 degC.
struct Solved {
    build: Build,
    circuit: Circuit,
    workspace: Box<Workspace>,
}

impl Solved {
    fn new(build: Build, phase: &str, charged: Charged, system: System) -> Self {
        let case = Case {
            system,
            phase: build.id::<Phase>(phase),
            charged,
            resisting: Resisting::Highest,
            heat: Heat::All(Temperature::from_degc(20.0).unwrap()),
            supply: Supply::Converter,
        };
        let circuit = Circuit::build(&build.design, &case).unwrap();
        assert_eq!(circuit.guesses(), []);
        Self {
            build,
            circuit,
            workspace: Box::new(Workspace::new()),
        }
    }

    fn amperes(&mut self, name: &str) -> f64 {
        let thing = self.build.design.find_drawn(name);
        let thing = thing.unwrap_or_else(|| panic!("there is no {name}"));
        self.of(thing)
    }

    fn of(&mut self, thing: Thing) -> f64 {
        let outcome = self.workspace.solve(self.circuit.netlist()).unwrap();
        let Outcome::Settled(point) = outcome else {
            panic!("{outcome:?}");
        };
        let branch = self.circuit.branch(thing).unwrap();
        point.current(branch).unwrap().as_amperes().into()
    }
}

/// Six digits: the quantities are `f32`.
fn assert_close(computed: f64, expected: f64, what: &str) {
    let error = (computed - expected).abs();
    assert!(
        error <= 1e-5 * expected.abs().max(1.0),
        "{what}: computed {computed}, expected {expected}"
    );
}

#[test]
fn the_demonstrations_are_consistent() {
    for build in [truck(), tractor(), shunter()] {
        let wrong: Vec<_> = findings(&build.design)
            .into_iter()
            .filter(|finding| !finding.fault.is_gap())
            .map(|f| (build.design.name(f.thing).map(String::from), f.fault))
            .collect();
        // Chassis of the boxes is bonded, not drawn; every terminal has two ends.
        assert!(wrong.is_empty(), "{wrong:#?}");
    }
}

#[test]
fn a_demonstration_without_a_cable_type_says_so_at_that_conductor() {
    let mut build = truck();
    let id = build.id::<Conductor>("05+");
    build.design.get_mut(id).unwrap().cable = None;
    let gap = Finding {
        thing: id.into(),
        fault: Fault::Missing(orangeloom_core::design::Gap::CableType),
    };
    assert!(findings(&build.design).contains(&gap));
}

/// Minimum, nominal and maximum voltage of the pack, kWh of all strings, number of
/// strings: the figures of the descriptions.
#[test]
fn pack_figures_are_those_of_the_descriptions() {
    for (build, volts, kwh, strings, per_string) in [
        (truck(), [288.0, 355.2, 403.2], 42.6, 1, 3),
        (tractor(), [100.0, 128.0, 144.0], 38.4, 2, 1),
        (shunter(), [576.0, 710.4, 806.4], 255.7, 2, 2),
    ] {
        let design = &build.design;
        let pack = design.strings(System::Traction);
        assert!(pack.astray.is_empty());
        assert_eq!(pack.strings.len(), strings);
        assert_eq!(pack.group_count(), 1, "the strings are in parallel");
        for (charged, expected) in Charged::ALL.into_iter().zip(volts) {
            let computed = pack.group_voltage(design, 0, charged).unwrap().unwrap();
            assert_close(computed.as_volts().into(), expected, "pack voltage");
        }
        let mut energy = 0.0;
        for string in &pack.strings {
            assert_eq!(string.batteries.len(), per_string);
            energy += string.energy(design).unwrap().unwrap().as_joules() / 3.6e6;
        }
        // The descriptions round to 0.1 kWh; 2 x 128 for the shunter to 1.
        assert!((energy - kwh).abs() < 0.35, "{energy}");
    }
}

/// Resistance of the strings: 51, 24 and 79 mohm in the descriptions, rounded there
/// to 1 mohm.
#[test]
fn string_resistances_are_those_of_the_descriptions() {
    for (build, milliohms) in [(truck(), 51.0), (tractor(), 24.0), (shunter(), 79.0)] {
        let pack = build.design.strings(System::Traction);
        for string in &pack.strings {
            let computed = string.resistance(&build.design, Resisting::Highest);
            let computed = computed.unwrap().unwrap().as_ohms() * 1e3;
            assert!((computed - milliohms).abs() < 0.6, "{computed}");
        }
    }
}

/// R' of IEC 60228 class 5 at 20 degC, mohm/m (seen).
const R70: f64 = 0.272e-3;
const R35: f64 = 0.554e-3;
const R6: f64 = 3.30e-3;
const R4: f64 = 4.95e-3;

#[test]
fn the_truck_pulls_through_its_boxes_in_series() {
    let mut solved = Solved::new(truck(), "pull", Charged::Nominal, System::Traction);
    // Cells 3 x (16 x 0.9 + 2.6) mohm; 01 2.4 m, 02 4.2 m, 03 3.1 m, 04 1.1 m of 70 mm2.
    let pack = 3.0 * (16.0 * 0.9e-3 + 2.6e-3) + (2.4 + 4.2 + 3.1 + 1.1) * R70;
    // LV: 9+11+14+18+22x0.2+9+28+14+1.5+6+8+6+25 A at 13.8 V over 0.92.
    let low_voltage = 153.9 * 13.8 / 0.92;
    let branches = [
        (6000.0, 2.0 * 1.6 * R6),
        (4000.0, 2.0 * 1.2 * R4),
        (low_voltage, 2.0 * 1.4 * R6),
    ];
    // Fixed point: the voltage at the bars from the currents and back.
    let (mut bars, mut all, mut taps) = (355.2_f64, 0.0, [0.0; 3]);
    for _ in 0..200 {
        for (tap, (watts, ohms)) in taps.iter_mut().zip(branches) {
            // P = U I with U = bars - I R.
            let root: f64 = bars * bars - 4.0 * ohms * watts;
            *tap = 2.0 * watts / (bars + root.sqrt());
        }
        all = 500.0 + taps.iter().sum::<f64>() + bars / 33.0e3;
        bars = 355.2 - pack * all;
    }
    for circuit in [
        "01", "02", "03", "04", "F1", "K+", "K-", "S1", "B1", "B2", "B3",
    ] {
        assert_close(solved.amperes(circuit), all, circuit);
    }
    assert_close(solved.amperes("05+"), 500.0, "05+");
    for (circuit, expected) in ["06+", "07-", "08+"].into_iter().zip(taps) {
        assert_close(solved.amperes(circuit), expected, circuit);
    }
    // The description sizes 08 for 13 A at nominal voltage with the loads full on.
    assert!(solved.amperes("Kp").abs() < 1e-9);
}

#[test]
fn the_truck_charges_and_brakes_with_the_current_the_other_way_round() {
    let mut charging = Solved::new(truck(), "charge", Charged::Minimum, System::Traction);
    assert_close(charging.amperes("10+"), 150.0, "10+");
    // Into the pack: 150 A less bleed and the compressor's electronics, which idle.
    let into = charging.amperes("F1");
    assert!((-150.0..-149.0).contains(&into), "{into}");
    let mut braking = Solved::new(truck(), "brake", Charged::Maximum, System::Traction);
    assert_close(braking.amperes("05+"), -180.0, "05+");
    assert!(braking.amperes("01") < -100.0);
}

/// 0.8 A of electronics and the bleed through 47 ohm: the link stops at 89 to 91 %
/// of the pack, the planted mistake of the truck.
#[test]
fn the_truck_in_precharge_never_reaches_the_pack() {
    let mut solved = Solved::new(truck(), "precharge", Charged::Nominal, System::Traction);
    let r = 47.0 + 3.0 * (16.0 * 0.9e-3 + 2.6e-3) + 10.8 * R70;
    let expected = (355.2 / 33.0e3 + 0.8) / (1.0 + r / 33.0e3);
    let computed = solved.amperes("Rp");
    assert_close(computed, expected, "Rp");
    let reached = 1.0 - computed * r / 355.2;
    assert!((0.885..0.895).contains(&reached), "{reached}");
}

#[test]
fn the_low_voltage_side_of_the_truck_is_fed_by_its_converter() {
    let mut solved = Solved::new(truck(), "pull", Charged::Nominal, System::LowVoltage);
    let converter = Thing {
        kind: Kind::Converter,
        index: 0,
    };
    assert_close(solved.of(converter), 153.9, "converter");
    assert_close(solved.amperes("L fans"), 28.0, "fans");
    assert_close(solved.amperes("L vacuum pump"), 4.4, "vacuum pump");
}

#[test]
fn the_tractor_divides_its_current_by_conductance() {
    let mut solved = Solved::new(tractor(), "row", Charged::Nominal, System::Traction);
    let front = 24.0e-3 + 2.0 * 0.9 * R35;
    let rear = 24.0e-3 + 2.0 * 3.6 * R35;
    let all = solved.amperes("F1");
    // 180 A and the bleed of 10 kohm at about 126 V.
    assert!((180.0..180.02).contains(&all), "{all}");
    for (circuit, own, other) in [("01+", front, rear), ("02-", rear, front)] {
        assert_close(
            solved.amperes(circuit),
            all * other / (own + other),
            circuit,
        );
    }
    // The description has 95.7 A and 84.3 A, with its own resistances.
    assert!((solved.amperes("01+") - 95.7).abs() < 1.0);
    assert!((solved.amperes("02+") - 84.3).abs() < 1.0);
    assert_close(solved.amperes("03+"), 180.0, "03+");
}

#[test]
fn the_shunter_divides_over_two_strings_and_runs_on_one() {
    let mut solved = Solved::new(
        shunter(),
        "start a train",
        Charged::Nominal,
        System::Traction,
    );
    let cells = 2.0 * (48.0 * 0.7e-3 + 5.9e-3);
    let left = cells + (3.0 + 2.0 * 6.5) * R70;
    let right = cells + (3.0 + 2.0 * 9.5) * R70;
    let all = solved.amperes("F1") + solved.amperes("F2");
    assert!((470.0..470.02).contains(&all), "{all}");
    for (circuit, own, other) in [("11", left, right), ("12", right, left)] {
        assert_close(
            solved.amperes(circuit),
            all * other / (own + other),
            circuit,
        );
    }
    // The description has 235 A each; the rear string is 2 % behind.
    assert!((solved.amperes("13+") - 235.0).abs() < 5.0);
    assert_close(solved.amperes("15+"), 235.0, "15+");
    assert_close(solved.amperes("16-"), 235.0, "16-");

    let mut alone = Solved::new(
        shunter(),
        "left string alone",
        Charged::Nominal,
        System::Traction,
    );
    let all = alone.amperes("13+");
    assert!((105.0..105.01).contains(&all), "{all}");
    assert!(alone.amperes("14+").abs() < 1e-9);
    assert!(alone.amperes("R1").abs() < 1e-9);
}

#[test]
fn a_design_survives_the_machine_format() {
    for build in [truck(), tractor(), shunter()] {
        let text = serde_json::to_string(&*build.design).unwrap();
        let back: Box<Design> = serde_json::from_str(&text).unwrap();
        assert!(*back == *build.design);
    }
}
