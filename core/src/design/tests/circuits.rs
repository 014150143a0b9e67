//! From the design to currents, compared with Ohm's law written out.

use std::boxed::Box;

use super::*;
use crate::network::{Outcome, Workspace};

fn case(small: &Small, phase: PhaseId, resisting: Resisting) -> Case<'static> {
    let _ = small;
    Case {
        system: System::Traction,
        phase,
        charged: Charged::Nominal,
        resisting,
        heat: Heat::All(degc(20.0)),
        supply: Supply::Converter,
    }
}

/// Current of a thing in a solved circuit.
fn current(circuit: &Circuit, thing: impl Into<Thing>) -> f32 {
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(circuit.netlist()).unwrap() else {
        panic!("no operating point");
    };
    let branch = circuit.branch(thing).unwrap();
    point.current(branch).unwrap().as_amperes()
}

#[test]
fn a_drive_draws_what_the_phase_says_through_everything_in_its_way() {
    let small = small();
    let case = case(&small, small.drive, Resisting::Highest);
    let circuit = Circuit::build(&small.design, &case).unwrap();
    assert_eq!(circuit.guesses(), []);
    assert!(circuit.unfed().is_empty());
    // Converter: 5 A x 12 V / 0.9 = 66.667 W. Series: 100 x 1.2 mohm + 2 x 3 m x
    // 0.272 mohm/m + 0.2 + 0.1 mohm = 0.121932 ohm; V = 370 - 0.121932 (200 + 66.667/V).
    let mut terminal: f64 = 370.0;
    for _ in 0..50 {
        terminal = 370.0 - 0.121_932 * (200.0 + 66.666_67 / terminal);
    }
    let all = 200.0 + 66.666_67 / terminal;
    for thing in [
        Thing::from(small.battery),
        small.cables[0].into(),
        small.fuse.into(),
        small.main.into(),
    ] {
        let computed = f64::from(current(&circuit, thing));
        assert!(
            (computed - all).abs() < 1e-3,
            "{thing:?}: {computed}, {all}"
        );
    }
    // The return conductor is drawn from the battery to the load.
    let back = f64::from(current(&circuit, small.cables[1]));
    assert!((back + all).abs() < 1e-3, "{back}");
    let drawn = current(&circuit, small.inverter);
    assert!((drawn - 200.0).abs() < 1e-4, "{drawn}");
}

/// Once what nobody said of them counted as nothing where they make things worse.
#[test]
fn links_that_nobody_states_are_a_guess_at_the_most_resistance_alone() {
    let mut small = small();
    small.design.get_mut(small.battery).unwrap().links = None;
    for (resisting, guessed) in [(Resisting::Highest, true), (Resisting::Lowest, false)] {
        let case = case(&small, small.drive, resisting);
        let circuit = Circuit::build(&small.design, &case).unwrap();
        let links = |guess: &Guess| guess.gap == Gap::Links;
        assert_eq!(
            circuit.guesses().iter().any(links),
            guessed,
            "{resisting:?}"
        );
    }
}

#[test]
fn the_lowest_resistance_leaves_contacts_and_fuses_out() {
    let small = small();
    let case = case(&small, small.drive, Resisting::Lowest);
    let circuit = Circuit::build(&small.design, &case).unwrap();
    let branch = circuit
        .netlist()
        .branch(circuit.branch(small.fuse).unwrap());
    let crate::network::Element::Resistance(fuse) = branch.unwrap().element else {
        panic!("a fuse conducts");
    };
    assert!(fuse.as_ohms() <= 0.0);
    let branch = circuit
        .netlist()
        .branch(circuit.branch(small.cables[0]).unwrap());
    let crate::network::Element::Resistance(cable) = branch.unwrap().element else {
        panic!("a cable conducts");
    };
    // 3 m of a solid rod of 70 mm2: 3 x 17.241e-9 / 70e-6.
    assert!((cable.as_ohms() - 0.738_9e-3).abs() < 1e-7, "{cable:?}");
}

#[test]
fn in_precharge_the_relay_carries_what_idles() {
    let small = small();
    let case = case(&small, small.precharge, Resisting::Highest);
    let circuit = Circuit::build(&small.design, &case).unwrap();
    // 55 ohm (50 + 10 %), 20 W + 66.667 W: V = (370 + sqrt(370^2 - 4 x 55.12 x 86.667))/2.
    let r = 55.0 + 0.120 + 2.0 * 3.0 * 0.272e-3 + 0.3e-3;
    let p = 20.0 + 66.666_67;
    let v: f64 = 0.5 * (370.0 + libm::sqrt(370.0 * 370.0 - 4.0 * r * p));
    let computed = f64::from(current(&circuit, small.resistor));
    assert!((computed - p / v).abs() < 1e-5, "{computed}");
    assert!(current(&circuit, small.main).abs() <= 0.0);
    assert!((f64::from(current(&circuit, small.relay)) - p / v).abs() < 1e-5);
}

#[test]
fn loads_behind_open_contactors_are_left_out() {
    let mut small = small();
    small.design.get_mut(small.drive).unwrap().closed = Set::EMPTY;
    let case = case(&small, small.drive, Resisting::Highest);
    let circuit = Circuit::build(&small.design, &case).unwrap();
    assert!(circuit.unfed().contains(small.inverter));
    assert_eq!(circuit.branch(small.inverter), None);
    assert!(current(&circuit, small.battery).abs() <= 0.0);
}

#[test]
fn the_low_voltage_side_is_a_network_of_its_own() {
    let small = small();
    let case = Case {
        system: System::LowVoltage,
        ..case(&small, small.drive, Resisting::Highest)
    };
    let circuit = Circuit::build(&small.design, &case).unwrap();
    assert_eq!(circuit.netlist().node_count(), 2);
    let computed = current(&circuit, small.converter);
    assert!((computed - 5.0).abs() < 1e-6, "{computed}");
    // Without the converter, and without a battery, nothing feeds the lamp.
    let dead = Case {
        supply: Supply::Battery,
        ..case
    };
    let circuit = Circuit::build(&small.design, &dead).unwrap();
    assert!(circuit.unfed().contains(small.lamp));
}

#[test]
fn what_had_to_be_guessed_is_listed() {
    let mut small = small();
    let case = case(&small, small.drive, Resisting::Highest);
    small.design.get_mut(small.cables[0]).unwrap().cable = None;
    small.design.get_mut(small.battery).unwrap().cell.resistance = None;
    small.design.get_mut(small.converter).unwrap().efficiency = None;
    let circuit = Circuit::build(&small.design, &case).unwrap();
    let input = small.design.get(small.converter).unwrap().input;
    for (thing, gap) in [
        (Thing::from(small.battery), Gap::CellResistance),
        (small.cables[0].into(), Gap::CableType),
        (input.into(), Gap::ConverterDraw),
    ] {
        assert!(circuit.guesses().contains(&Guess { thing, gap }), "{gap:?}");
    }
    assert_eq!(circuit.guess_count(), 3);
    let hot = Case {
        heat: Heat::Each(&[]),
        ..case
    };
    let circuit = Circuit::build(&small.design, &hot).unwrap();
    assert_eq!(circuit.guess_count(), 2 + 2);
}

#[test]
fn hot_conductors_resist_more() {
    let small = small();
    let conductor = small.design.get(small.cables[0]).unwrap();
    let at = |degrees| {
        let range = Resisting::Highest;
        let known = small
            .design
            .conductor_resistance(conductor, range, degc(degrees));
        known.unwrap().unwrap().as_ohms()
    };
    // 3 m x 0.272 mohm/m x (1 + 0.00393 x 70)
    assert!((at(20.0) - 0.816e-3).abs() < 1e-9);
    assert!((at(90.0) - 1.040_482e-3).abs() < 1e-8, "{}", at(90.0));
}

#[test]
fn the_string_of_one_battery_is_that_battery() {
    let small = small();
    let strings = small.design.strings(System::Traction);
    assert_eq!(strings.group_count(), 1);
    let highest = strings.highest_voltage(&small.design).unwrap().unwrap();
    // 420 V and 1 % that nobody states otherwise.
    assert!((highest.as_volts() - 424.2).abs() < 1e-3);
    let lowest = strings.group_resistance(&small.design, 0, Resisting::Lowest);
    assert!((lowest.unwrap().unwrap().as_ohms() - 0.08).abs() < 1e-6);
    assert_eq!(small.design.strings(System::LowVoltage).group_count(), 0);
}
