//! The check: a sound design is quiet, each fault is found where it is.

use std::vec::Vec;

use super::*;

fn findings(design: &Design) -> Vec<Finding> {
    let mut found = Vec::new();
    design.check(&mut |finding| found.push(finding));
    found
}

fn has(design: &Design, thing: impl Into<Thing>, fault: Fault) -> bool {
    let thing = thing.into();
    findings(design).contains(&Finding { thing, fault })
}

#[test]
fn nothing_contradicts_itself_in_a_sound_design() {
    let found = findings(&small().design);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn every_independent_fault_is_reported_in_one_go() {
    let mut small = small();
    let before = findings(&small.design).len();
    small.design.get_mut(small.cables[0]).unwrap().cable = None;
    small.design.get_mut(small.battery).unwrap().in_parallel = 0;
    small.design.get_mut(small.drive).unwrap().duration = None;
    assert_eq!(findings(&small.design).len(), before + 3);
}

#[test]
fn a_terminal_with_one_end_or_none_is_reported() {
    let mut small = small();
    let text = small.design.put_text("spare").unwrap();
    let spare = small.design.add(Terminal::new(text)).unwrap();
    assert!(has(&small.design, spare, Fault::Unused));
    small.design.get_mut(small.fuse).unwrap().to = spare;
    assert!(has(&small.design, spare, Fault::Dangling));
}

#[test]
fn numbers_that_stand_for_nothing_are_reported() {
    let mut small = small();
    let nowhere = TerminalId::at(MAX_TERMINALS - 1).unwrap();
    small.design.get_mut(small.fuse).unwrap().to = nowhere;
    assert!(has(
        &small.design,
        small.fuse,
        Fault::NoSuch(Kind::Terminal)
    ));
    let unknown = ContactorId::at(MAX_CONTACTORS - 1).unwrap();
    small
        .design
        .get_mut(small.drive)
        .unwrap()
        .closed
        .insert(unknown);
    assert!(has(
        &small.design,
        small.drive,
        Fault::NoSuch(Kind::Contactor)
    ));
    small.design.get_mut(small.cables[0]).unwrap().cable = CableTypeId::at(9);
    assert!(has(
        &small.design,
        small.cables[0],
        Fault::NoSuch(Kind::CableType)
    ));
    let reading = Reading {
        at: Thing {
            kind: Kind::Fuse,
            index: 7,
        },
        end: None,
        measured: Measured::Joint(ohms(1e-4)),
        signature: None,
    };
    let reading = small.design.add(reading).unwrap();
    assert!(has(&small.design, reading, Fault::NoSuch(Kind::Fuse)));
    small.design.vehicle.name = TextId::at(MAX_TEXTS - 1);
    assert!(has(
        &small.design,
        Thing::VEHICLE,
        Fault::NoSuch(Kind::Text)
    ));
}

#[test]
fn a_cell_whose_voltages_are_out_of_order_is_reported() {
    let swap = [
        (3.8, 3.7, 4.2),
        (3.0, 4.3, 4.2),
        (4.3, 3.7, 4.2),
        (0.0, 3.7, 4.2),
    ];
    for (minimum, nominal, maximum) in swap {
        let mut small = small();
        let cell = &mut small.design.get_mut(small.battery).unwrap().cell;
        cell.minimum = Some(volts(minimum));
        cell.nominal = Some(volts(nominal));
        cell.maximum = Some(volts(maximum));
        let fault = Fault::Contradicts(Pair::CellVoltages);
        assert!(has(&small.design, small.battery, fault), "{minimum}");
    }
    let mut small = small();
    let cell = &mut small.design.get_mut(small.battery).unwrap().cell;
    cell.minimum = None;
    let fault = Fault::Missing(Gap::CellVoltage);
    assert!(has(&small.design, small.battery, fault));
}

#[test]
fn a_conductor_without_route_length_is_a_gap_and_not_a_contradiction() {
    let mut small = small();
    small.design.get_mut(small.cables[0]).unwrap().route = Route::UNKNOWN;
    let fault = Fault::Missing(Gap::Route);
    assert!(has(&small.design, small.cables[0], fault));
    assert!(fault.is_gap());
    let zone = small.design.find::<Zone>("engine room").unwrap();
    let piece = RoutePiece {
        zone,
        length: None,
        laid: Some(Laid::FreeAir),
        circuits: Some(0),
    };
    let route = small.design.add_route(&[piece]).unwrap();
    small.design.get_mut(small.cables[1]).unwrap().route = route;
    let fault = Fault::Missing(Gap::RouteLength);
    assert!(has(&small.design, small.cables[1], fault));
    let piece = route.pieces().next().unwrap();
    assert!(has(&small.design, piece, Fault::BundleCount));
}

#[test]
fn contradicting_parts_are_reported() {
    let mut small = small();
    let fuse = small.design.find::<FuseType>("350 A").unwrap();
    let point = |seconds, current| CurvePoint {
        time: Time::from_seconds(seconds).unwrap(),
        current: amperes(current),
    };
    let part = small.design.get_mut(fuse).unwrap();
    part.curve.extend([point(0.1, 2000.0), point(1.0, 2000.0)]);
    part.rated = Some(amperes(350.0));
    part.least_breaking = Some(amperes(300.0));
    part.breaking = Some(amperes(200.0));
    for pair in [Pair::FuseCurve, Pair::FuseRated, Pair::FuseBreaking] {
        assert!(
            has(&small.design, fuse, Fault::Contradicts(pair)),
            "{pair:?}"
        );
    }
    let contactor = small.design.find::<ContactorType>("300 A").unwrap();
    let part = small.design.get_mut(contactor).unwrap();
    part.coil.pull_in = Some(volts(8.0));
    part.coil.drop_out = Some(volts(9.0));
    part.break_forward = Some(amperes(200.0));
    part.break_reverse = Some(amperes(2000.0));
    for pair in [Pair::Coil, Pair::BreakDirections] {
        let fault = Fault::Contradicts(pair);
        assert!(has(&small.design, contactor, fault), "{pair:?}");
    }
    let cable = small.design.find::<CableType>("70 shielded").unwrap();
    let part = small.design.get_mut(cable).unwrap();
    part.outer_diameter = Some(Length::from_mm(9.0).unwrap());
    let unbuildable = findings(&small.design)
        .into_iter()
        .any(|f| f.thing == cable.into() && matches!(f.fault, Fault::Unbuildable(_)));
    assert!(unbuildable);
}

#[test]
fn each_contradiction_of_the_controller_is_reported() {
    let mut small = small();
    let controller = &mut small.design.controller;
    controller.lowest_supply = Some(volts(9.0));
    controller.supply_dip = Some(volts(10.0));
    controller.string_limit = Some(amperes(200.0));
    controller.trip_current = Some(amperes(200.0));
    for pair in [Pair::CoilSupply, Pair::TripAndLimit] {
        let fault = Fault::Contradicts(pair);
        assert!(has(&small.design, Thing::CONTROLLER, fault), "{pair:?}");
    }
}

#[test]
fn what_the_controller_cannot_act_on_is_reported() {
    let mut small = small();
    let never = Fault::Contradicts(Pair::TripAndOpening);
    let unseen = Fault::Contradicts(Pair::ActsOutOfRange);
    small.design.controller.trip_current = Some(amperes(300.0));
    small.design.controller.opens_discharging = Some(amperes(300.0));
    small.design.controller.current_range = Some(amperes(305.0));
    assert!(!has(&small.design, Thing::CONTROLLER, never));
    assert!(!has(&small.design, Thing::CONTROLLER, unseen));
    small.design.controller.opens_discharging = Some(amperes(299.0));
    assert!(has(&small.design, Thing::CONTROLLER, never));
    // 99 % of it are 297 A.
    small.design.controller.current_range = Some(amperes(300.0));
    assert!(has(&small.design, Thing::CONTROLLER, unseen));
    small.design.controller.trip_current = None;
    assert!(has(&small.design, Thing::CONTROLLER, unseen));
    small.design.controller.opens_discharging = None;
    assert!(!has(&small.design, Thing::CONTROLLER, unseen));
    small.design.controller.opens_charging = Some(amperes(298.0));
    assert!(has(&small.design, Thing::CONTROLLER, unseen));
}

#[test]
fn signs_and_doubles_are_reported() {
    let mut small = small();
    let backwards = PhaseDraw {
        phase: small.drive,
        load: small.lamp,
        draw: Draw::Current(amperes(-3.0)),
    };
    let backwards = small.design.add(backwards).unwrap();
    assert!(has(&small.design, backwards, Fault::WrongSign));
    let again = PhaseDraw {
        phase: small.drive,
        load: small.inverter,
        draw: Draw::Current(amperes(-100.0)),
    };
    let again = small.design.add(again).unwrap();
    // A drive may brake, but not twice in one phase.
    assert!(has(&small.design, again, Fault::DrawTwice));
    assert!(!has(&small.design, again, Fault::WrongSign));
    let text = small.design.put_text("day").unwrap();
    let duty = small.design.add(Duty::new(text)).unwrap();
    assert!(has(&small.design, duty, Fault::NoPhase));
}

#[test]
fn a_wire_between_the_two_systems_is_reported() {
    let mut small = small();
    let ends = [small.terminals[0], small.terminals[6]];
    let text = small.design.put_text("wrong").unwrap();
    let wire = small.design.add(Conductor::new(text, ends)).unwrap();
    assert!(has(&small.design, small.battery, Fault::SystemsJoined));
    small.design.get_mut(wire).unwrap().to = small.terminals[1];
    assert!(!has(&small.design, small.battery, Fault::SystemsJoined));
}

#[test]
fn two_batteries_in_a_ring_are_reported() {
    let mut small = small();
    let text = small.design.put_text("B2").unwrap();
    let ends = [small.terminals[1], small.terminals[0]];
    let second = Battery::new(text, System::Traction, ends, [100, 1], cell());
    let second = small.design.add(second).unwrap();
    assert!(has(&small.design, second, Fault::Ring));
    assert!(has(&small.design, small.battery, Fault::Ring));
}
