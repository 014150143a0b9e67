//! Networks at the edge of what has an operating point, and beyond it.

use std::boxed::Box;

use super::super::*;
use super::{Plan, battery, build, current, currents, power, refusal, resistance};
use crate::error::{Capacity, Error};

#[test]
fn loads_across_a_split_battery_settle_although_they_lift_each_other() {
    // Three wires: what the upper load draws lifts the middle for the lower one.
    let plan: Plan = std::vec![
        (0, 1, battery(48.0, 0.02)),
        (1, 2, battery(48.0, 0.02)),
        (1, 3, resistance(0.05)),
        (2, 3, power(800.0)),
        (3, 0, power(1500.0)),
        (2, 0, power(3000.0)),
    ];
    let (netlist, node, ids) = build(4, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    for (&(a, b, element), &id) in plan.iter().zip(&ids) {
        if let Element::ConstantPower(wanted) = element {
            let volts = point.volts(node[a], node[b]).unwrap();
            assert!(volts > 40.0, "{volts}");
            let found = volts * point.amperes(id).unwrap();
            assert!((found / f64::from(wanted.as_watts()) - 1.0).abs() < 1e-9);
        }
    }
    // Overloaded there is no proof, so the reason is the careful one.
    let mut heavy = plan.clone();
    heavy[3].2 = power(80e3);
    assert_eq!(refusal(4, &heavy), Refusal::NotSettled);
}

#[test]
fn strings_share_by_their_resistance_and_one_can_be_left_out() {
    // 0.1 and 0.3 ohm at equal EMF share 100 A as 75 and 25.
    let mut plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.1)),
        (0, 2, battery(400.0, 0.3)),
        (1, 3, resistance(0.0)),
        (2, 3, resistance(0.0)),
        (3, 0, current(100.0)),
    ];
    // f32 carries 0.1 and 0.3 to 1e-8.
    let both = currents(4, &plan);
    assert!((both[2] - 75.0).abs() < 1e-5 && (both[3] - 25.0).abs() < 1e-5);
    plan[2].2 = Element::Open;
    let one = currents(4, &plan);
    assert_eq!(one[0].to_bits(), 0.0_f64.to_bits());
    assert!((one[1] - 100.0).abs() < 1e-9 && (one[3] - 100.0).abs() < 1e-9);
}

#[test]
fn nothing_flows_in_a_branch_that_leads_nowhere() {
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.1)),
        (1, 0, resistance(10.0)),
        (1, 2, resistance(0.01)),
        (2, 3, resistance(0.0)),
    ];
    let found = currents(4, &plan);
    assert!((found[0] - 400.0 / 10.1).abs() < 1e-6);
    assert!(found[2].abs() < 1e-15 && found[3].abs() < 1e-15);
}

#[test]
fn loops_in_which_nothing_flows_do_not_spoil_the_balance() {
    // Found by a property: all currents of nodes 2, 4, 9, 11, 13 are rounding of
    // the 19 A elsewhere, and the balance must not be judged relative to them.
    let ends: &[(usize, usize, f64)] = &[
        (0, 1, 10.0),
        (0, 2, 1.0),
        (0, 3, 1.0),
        (0, 4, 1.0),
        (1, 5, 1.0),
        (0, 6, 1.0),
        (0, 7, 1.0),
        (5, 8, 10.0),
        (4, 9, 1.0),
        (0, 10, 1.0),
        (4, 11, 10.0),
        (0, 12, 1.0),
        (2, 13, 1.0),
        (0, 14, 1.0),
        (8, 15, 0.52578557),
        (0, 16, 1.0),
        (0, 17, 1.0),
        (5, 18, 10.0),
        (13, 9, 1.0),
        (15, 18, 0.00074518326),
        (11, 13, 41.668507),
    ];
    let mut plan: Plan = ends
        .iter()
        .map(|&(a, b, r)| (a, b, resistance(r)))
        .collect();
    plan.push((0, 18, battery(393.96393, 0.05)));
    let (netlist, _, ids) = build(19, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    assert!(point.imbalance() < 1e-8, "{}", point.imbalance());
    let quiet = point.amperes(ids[20]).unwrap() / point.amperes(ids[0]).unwrap();
    assert!(quiet.abs() < 1e-13, "{quiet}");
}

#[test]
fn an_island_without_emf_has_no_potential_and_is_named() {
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.1)),
        (2, 3, resistance(10.0)),
        (1, 2, Element::Open),
    ];
    let (netlist, node, ids) = build(5, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    assert_eq!(point.island_state(node[1]), Some(IslandState::Energised));
    for lonely in [node[2], node[3], node[4]] {
        assert_eq!(point.island_state(lonely), Some(IslandState::NoEmf));
        assert_eq!(point.potential(lonely), None);
        assert_eq!(point.voltage(node[1], lonely), None);
    }
    assert_eq!(point.current(ids[1]).unwrap().as_amperes().to_bits(), 0);
    let volts = point.voltage(node[1], node[0]).unwrap().as_volts();
    assert!((volts - 400.0).abs() < 1e-4);
}

#[test]
fn a_load_without_a_battery_or_without_a_way_back_is_refused_by_name() {
    let mut plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.1)),
        (2, 3, resistance(10.0)),
        (2, 3, power(100.0)),
    ];
    assert!(matches!(refusal(4, &plan), Refusal::NoEmf { branch } if branch.index() == 2));
    plan[2] = (1, 3, current(1.0));
    assert!(matches!(refusal(4, &plan), Refusal::NoReturnPath { branch } if branch.index() == 2));
    // Nothing drawn, nothing refused.
    plan[2] = (1, 3, power(0.0));
    assert_eq!(currents(4, &plan).len(), 3);
}

#[test]
fn sharing_in_a_loop_of_links_is_not_defined_but_beyond_it_everything_is() {
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.1)),
        (1, 2, resistance(0.0)),
        (2, 3, resistance(0.0)),
        (3, 1, resistance(0.0)),
        (3, 4, resistance(0.0)),
        (4, 0, current(50.0)),
    ];
    let (netlist, node, ids) = build(5, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    for id in &ids[1..4] {
        assert_eq!(point.current(*id), None);
        assert_eq!(point.power(*id), None);
    }
    assert!((point.amperes(ids[4]).unwrap() - 50.0).abs() < 1e-12);
    assert!(point.volts(node[1], node[4]).unwrap().abs() < 1e-15);
}

#[test]
fn a_network_of_links_only_settles_with_nothing_flowing() {
    let plan: Plan = std::vec![
        (0, 1, resistance(0.0)),
        (1, 2, resistance(0.0)),
        (2, 0, resistance(0.0)),
    ];
    let (netlist, _, ids) = build(3, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    assert_eq!(point.current(ids[0]), None);
}

#[test]
fn an_ideal_emf_shorted_by_a_link_is_refused_and_equal_ideal_emfs_are_not() {
    let mut plan: Plan = std::vec![(0, 1, battery(400.0, 0.0)), (0, 1, resistance(0.0))];
    assert!(matches!(refusal(2, &plan), Refusal::EmfShorted { branch } if branch.index() == 1));
    plan[1].2 = battery(400.0, 0.0);
    plan.push((1, 0, resistance(4.0)));
    let (netlist, _, ids) = build(2, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    // Which of the two ideal sources carries the 100 A is not defined.
    assert_eq!(point.current(ids[0]), None);
    assert!((point.amperes(ids[2]).unwrap() - 100.0).abs() < 1e-9);
}

#[test]
fn a_battery_shorted_by_a_link_carries_its_short_circuit_current() {
    let plan: Plan = std::vec![(0, 1, battery(400.0, 0.5)), (1, 0, resistance(0.0))];
    let found = currents(2, &plan);
    assert!((found[0] - 800.0).abs() < 1e-9 && (found[1] - 800.0).abs() < 1e-9);
}

#[test]
fn two_nodes_joined_by_a_link_or_an_ideal_emf_are_named() {
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.0)),
        (1, 2, resistance(0.0)),
        (2, 0, resistance(5.0)),
        (3, 4, resistance(1.0)),
    ];
    let (netlist, node, _) = build(5, &plan);
    let mut workspace = Box::new(Workspace::new());
    let mut ask = |a: usize, b: usize| workspace.thevenin(&netlist, node[a], node[b]).unwrap();
    assert!(matches!(ask(1, 2), Seen::Source(t) if t.prospective == Prospective::AlreadyJoined));
    assert!(matches!(ask(2, 0), Seen::Source(t) if t.prospective == Prospective::Unlimited));
    assert_eq!(ask(1, 3), Seen::NoPath);
    // An island without EMF: no voltage, but a resistance.
    assert!(matches!(ask(3, 4), Seen::Source(t)
        if t.open_circuit.as_volts() == 0.0 && (t.resistance.as_ohms() - 1.0).abs() < 1e-6));
}

#[test]
fn a_load_beyond_the_limit_is_refused_with_voltage_resistance_and_limit() {
    // 400 V behind 0.5 ohm: 80 kW at most.
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.25)),
        (1, 2, resistance(0.25)),
        (2, 0, power(100e3)),
    ];
    let Refusal::CannotBeFed(shortfall) = refusal(3, &plan) else {
        panic!("other reason");
    };
    assert_eq!(shortfall.branch.index(), 2);
    assert!((shortfall.open_circuit.as_volts() - 400.0).abs() < 1e-3);
    assert!((shortfall.resistance.as_ohms() - 0.5).abs() < 1e-6);
    assert!((shortfall.most.as_watts() - 80e3).abs() < 0.1);
    assert!((shortfall.feedable.as_fraction() - 0.8).abs() < 1e-6);
}

#[test]
fn of_several_loads_the_one_that_collapses_is_named() {
    // The far load hangs on 4 ohm and wants 9 of its 10 kW limit, but the main
    // load has pulled the bar down; the near load alone is far from its limit.
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.25)),
        (1, 0, power(120e3)),
        (1, 2, resistance(4.0)),
        (2, 0, power(9e3)),
    ];
    let Refusal::CannotBeFed(shortfall) = refusal(3, &plan) else {
        panic!("other reason");
    };
    assert_eq!(shortfall.branch.index(), 3);
    let (v, r) = (
        shortfall.open_circuit.as_volts(),
        shortfall.resistance.as_ohms(),
    );
    assert!((v * v / (4.0 * r) / shortfall.most.as_watts() - 1.0).abs() < 1e-5);
    assert!(shortfall.most < shortfall.power && shortfall.feedable.as_fraction() < 1.0);
    // Reduced to a little below the factor named, all loads are fed.
    let factor = 0.9999 * f64::from(shortfall.feedable.as_fraction());
    let mut reduced = plan.clone();
    reduced[1].2 = power(120e3 * factor);
    reduced[3].2 = power(9e3 * factor);
    assert_eq!(currents(3, &reduced).len(), 4);
}

#[test]
fn a_load_the_wrong_way_round_is_refused() {
    let plan: Plan = std::vec![(0, 1, battery(48.0, 0.01)), (0, 1, power(100.0))];
    assert!(
        matches!(refusal(2, &plan), Refusal::WrongPolarity { voltage, .. }
        if (voltage.as_volts() + 48.0).abs() < 1e-3)
    );
}

#[test]
fn what_is_out_of_range_is_an_error_and_not_a_number() {
    // 1000 V over 10 uohm: 1e8 A.
    let plan: Plan = std::vec![(0, 1, battery(1000.0, 1e-5)), (1, 0, resistance(0.0))];
    let (netlist, _, _) = build(2, &plan);
    let mut workspace = Box::new(Workspace::new());
    assert!(matches!(
        workspace.solve(&netlist),
        Err(Error::OutOfRange { .. })
    ));
}

#[test]
fn constant_power_branches_fit_to_the_limit_and_not_one_more() {
    let mut plan: Plan = std::vec![(0, 1, battery(400.0, 0.01))];
    for _ in 0..MAX_POWER_BRANCHES {
        plan.push((1, 0, power(100.0)));
    }
    assert_eq!(currents(2, &plan).len(), MAX_POWER_BRANCHES + 1);
    plan.push((1, 0, power(100.0)));
    let (netlist, _, _) = build(2, &plan);
    let mut workspace = Box::new(Workspace::new());
    assert!(matches!(
        workspace.solve(&netlist),
        Err(Error::Capacity(Capacity::ConstantPowerBranches))
    ));
}

#[test]
fn an_empty_network_and_the_largest_one_settle() {
    let mut workspace = Box::new(Workspace::new());
    assert!(matches!(
        workspace.solve(&Netlist::new()),
        Ok(Outcome::Settled(_))
    ));
    // A grid of 8 x 12 nodes has 172 branches and fills in far; 20 chords more.
    let mut plan: Plan = std::vec![(0, MAX_NODES - 1, battery(800.0, 0.01))];
    for node in 0..MAX_NODES {
        let spread = if node % 3 == 0 { 1e-5 } else { 0.1 };
        if node % 12 != 11 {
            plan.push((node, node + 1, resistance(spread)));
        }
        if node + 12 < MAX_NODES {
            plan.push((node, node + 12, resistance(0.02)));
        }
    }
    while plan.len() < MAX_BRANCHES {
        plan.push((plan.len() % 7, MAX_NODES - 2, resistance(10e3)));
    }
    let (netlist, _, ids) = build(MAX_NODES, &plan);
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    assert!(point.imbalance() < 1e-9, "{}", point.imbalance());
    assert!(point.amperes(ids[0]).unwrap() > 100.0);
}

#[test]
fn the_power_of_all_branches_sums_to_nothing_and_the_heat_is_that_of_the_resistances() {
    let plan: Plan = std::vec![
        (0, 1, battery(400.0, 0.1)),
        (1, 2, resistance(0.05)),
        (2, 0, power(30e3)),
    ];
    let (netlist, _, ids) = build(3, &plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    let watts = |k: usize| point.power(ids[k]).unwrap().as_watts();
    let heat = |k: usize| point.heat(ids[k]).unwrap().as_watts();
    assert!((watts(2) - 30e3).abs() < 0.01);
    assert!(watts(0) < -30e3);
    assert!((watts(0) + watts(1) + watts(2)).abs() < 0.01);
    assert!((watts(1) - heat(1)).abs() < 1e-3);
    assert!((heat(0) - 2.0 * heat(1)).abs() < 1e-2);
    assert_eq!(heat(2).to_bits(), 0);
}
