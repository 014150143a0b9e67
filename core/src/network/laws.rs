//! The laws that every solved network has to obey, on random networks, and the
//! cases at the edge. In f64, below the rounding of the public quantities.

use std::boxed::Box;
use std::vec::Vec;

use proptest::prelude::*;

use super::*;
use crate::error::{Capacity, Error};
use crate::quantity::{Current, Power, Resistance, Voltage};

/// One branch of a random network: ends, element.
type Plan = Vec<(usize, usize, Element)>;

#[allow(clippy::cast_possible_truncation)]
fn ohms(value: f64) -> Resistance {
    Resistance::from_ohms(value as f32).unwrap()
}

#[allow(clippy::cast_possible_truncation)]
fn volts(value: f64) -> Voltage {
    Voltage::from_volts(value as f32).unwrap()
}

fn resistance(value: f64) -> Element {
    Element::Resistance(ohms(value))
}

fn battery(emf: f64, resistance: f64) -> Element {
    Element::Emf {
        emf: volts(emf),
        resistance: ohms(resistance),
    }
}

#[allow(clippy::cast_possible_truncation)]
fn current(value: f64) -> Element {
    Element::ConstantCurrent(Current::from_amperes(value as f32).unwrap())
}

#[allow(clippy::cast_possible_truncation)]
fn power(value: f64) -> Element {
    Element::ConstantPower(Power::from_watts(value as f32).unwrap())
}

fn build(nodes: usize, plan: &Plan) -> (Netlist, Vec<Node>, Vec<BranchId>) {
    let mut netlist = Netlist::new();
    let nodes: Vec<_> = (0..nodes).map(|_| netlist.add_node().unwrap()).collect();
    let ids = plan
        .iter()
        .map(|&(a, b, element)| netlist.add_branch(nodes[a], nodes[b], element).unwrap())
        .collect();
    (netlist, nodes, ids)
}

/// Branch currents; panics when the network is refused.
fn currents(nodes: usize, plan: &Plan) -> Vec<f64> {
    let (netlist, _, ids) = build(nodes, plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    ids.iter().map(|&id| point.amperes(id).unwrap()).collect()
}

fn refusal(nodes: usize, plan: &Plan) -> Refusal {
    let (netlist, _, _) = build(nodes, plan);
    let mut workspace = Box::new(Workspace::new());
    match workspace.solve(&netlist).unwrap() {
        Outcome::Settled(point) => panic!("settled: {point:?}"),
        Outcome::Refused(refusal) => refusal,
    }
}

fn largest(values: &[f64]) -> f64 {
    values.iter().map(|v| v.abs()).fold(0.0, f64::max)
}

/// 10 uohm to 10 kohm, evenly over the decades.
fn any_resistance() -> impl Strategy<Value = f64> {
    (-5.0..4.0_f64).prop_map(|exponent| libm::pow(10.0, exponent))
}

fn any_element() -> impl Strategy<Value = Element> {
    prop_oneof![
        4 => any_resistance().prop_map(resistance),
        1 => (1.0..450.0_f64, 0.05..10.0_f64).prop_map(|(e, r)| battery(e, r)),
        1 => (-4.0..4.0_f64).prop_map(current),
        1 => Just(Element::Open),
    ]
}

/// A connected network: each node hangs on an earlier one by a resistance, then
/// come a battery and chords of any kind.
///
/// 38 sources of 4 A over 18 stems of 10 ohm and 38 EMFs of 450 V stay below the
/// 50 kV that two nodes may differ from a third.
fn any_network(with_links: bool) -> impl Strategy<Value = (usize, Plan)> {
    (3..20_usize).prop_flat_map(move |nodes| {
        let stem = proptest::collection::vec(
            (
                any::<proptest::sample::Index>(),
                any_resistance().prop_map(|r| r.min(10.0)),
                0..8_u8,
            ),
            nodes - 1,
        );
        let chords = proptest::collection::vec((0..nodes, 1..nodes, any_element()), 1..2 * nodes);
        (stem, chords, 10.0..450.0_f64).prop_map(move |(stem, chords, emf)| {
            let mut plan: Plan = Vec::new();
            for (k, (parent, r, link)) in stem.iter().enumerate() {
                let r = if with_links && *link == 0 { 0.0 } else { *r };
                plan.push((parent.index(k + 1), k + 1, resistance(r)));
            }
            plan.push((0, nodes - 1, battery(emf, 0.05)));
            for (a, offset, element) in chords {
                plan.push((a, (a + offset) % nodes, element));
            }
            (nodes, plan)
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn kirchhoffs_laws_hold((nodes, plan) in any_network(true)) {
        let (netlist, node, ids) = build(nodes, &plan);
        let mut workspace = Box::new(Workspace::new());
        let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
            panic!("refused");
        };
        let all: Vec<f64> = ids.iter().map(|&id| point.amperes(id).unwrap()).collect();
        let floor = 1e-12 * largest(&all);
        // Current law at every node, links included.
        for at in 0..nodes {
            let mut sum = 0.0;
            let mut met = 0.0;
            for (&(a, b, _), &i) in plan.iter().zip(&all) {
                if a == at { sum -= i; met += i.abs(); }
                if b == at { sum += i; met += i.abs(); }
            }
            prop_assert!(sum.abs() <= 1e-9 * met + floor, "node {}: {} of {}", at, sum, met);
        }
        // Voltage law: the drop of each branch is what its element says.
        let mut taken = 0.0;
        let mut moved = 0.0;
        for (&(a, b, element), &i) in plan.iter().zip(&all) {
            let v = point.volts(node[a], node[b]).unwrap();
            if let Some((r, emf)) = element.conducts() {
                let size = v.abs() + emf.abs() + (r * i).abs();
                prop_assert!((v + emf - r * i).abs() <= 1e-12 * size + r * floor);
            }
            taken += v * i;
            moved += (v * i).abs();
        }
        // Tellegen: what is delivered is taken up.
        prop_assert!(taken.abs() <= 1e-9 * moved);
    }

    #[test]
    fn the_order_of_nodes_and_branches_does_not_matter(
        (nodes, plan) in any_network(false),
        seed in any::<u64>(),
    ) {
        let first = currents(nodes, &plan);
        // A fixed little shuffle of both lists.
        let mut state = seed | 1;
        let mut below = |n: usize| {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            usize::try_from(state >> 33).unwrap() % n
        };
        let mut name: Vec<usize> = (0..nodes).collect();
        let mut place: Vec<usize> = (0..plan.len()).collect();
        for k in (1..nodes).rev() { name.swap(k, below(k + 1)); }
        for k in (1..plan.len()).rev() { place.swap(k, below(k + 1)); }
        let shuffled: Plan = place
            .iter()
            .map(|&k| (name[plan[k].0], name[plan[k].1], plan[k].2))
            .collect();
        let second = currents(nodes, &shuffled);
        let floor = 1e-13 * largest(&first);
        for (&k, &found) in place.iter().zip(&second) {
            let expected = first[k];
            prop_assert!(
                (found - expected).abs() <= 1e-9 * expected.abs() + floor,
                "{} {}", found, expected
            );
        }
    }

    #[test]
    fn sources_superpose((nodes, plan) in any_network(false)) {
        let only = |keep: &dyn Fn(usize, Element) -> bool| -> Vec<f64> {
            let part: Plan = plan
                .iter()
                .enumerate()
                .map(|(k, &(a, b, element))| {
                    let off = match element {
                        _ if keep(k, element) => element,
                        Element::Emf { resistance, .. } => Element::Resistance(resistance),
                        Element::ConstantCurrent(_) => Element::Open,
                        other => other,
                    };
                    (a, b, off)
                })
                .collect();
            currents(nodes, &part)
        };
        let is_emf = |element| matches!(element, Element::Emf { .. });
        let emfs = only(&|_, e| is_emf(e));
        let even = only(&|k, e| is_emf(e) && k % 2 == 0);
        let odd = only(&|k, e| is_emf(e) && k % 2 == 1);
        let with_even = only(&|k, e| is_emf(e) || k % 2 == 0);
        let with_odd = only(&|k, e| is_emf(e) || k % 2 == 1);
        let all = only(&|_, _| true);
        let scale = largest(&even) + largest(&odd);
        for ((&sum, &a), &b) in emfs.iter().zip(&even).zip(&odd) {
            prop_assert!((sum - a - b).abs() <= 1e-9 * (a.abs() + b.abs()) + 1e-12 * scale);
        }
        let scale = largest(&with_even) + largest(&with_odd) + largest(&emfs);
        for (k, &found) in all.iter().enumerate() {
            let (a, b, c) = (with_even[k], with_odd[k], emfs[k]);
            let size = a.abs() + b.abs() + c.abs();
            prop_assert!((found - (a + b - c)).abs() <= 1e-9 * size + 1e-12 * scale);
        }
    }

    #[test]
    fn a_link_between_two_nodes_carries_their_prospective_current(
        (nodes, plan) in any_network(true),
        pair in (0..20_usize, 1..19_usize),
    ) {
        let (a, b) = (pair.0 % nodes, (pair.0 + 1 + pair.1 % (nodes - 1)) % nodes);
        let (netlist, node, _) = build(nodes, &plan);
        let mut workspace = Box::new(Workspace::new());
        let Seen::Source(source) = workspace.thevenin(&netlist, node[a], node[b]).unwrap() else {
            panic!("no path");
        };
        let mut shorted = plan.clone();
        shorted.push((a, b, resistance(0.0)));
        match source.prospective {
            Prospective::Current(prospective) => {
                let all = currents(nodes, &shorted);
                let (found, expected) = (*all.last().unwrap(), f64::from(prospective.as_amperes()));
                // The public result is rounded to f32.
                let floor = 1e-12 * largest(&all);
                prop_assert!((found - expected).abs() <= 1.5e-7 * found.abs() + floor);
            }
            Prospective::AlreadyJoined => {
                let (netlist, _, ids) = build(nodes, &shorted);
                let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
                    panic!("refused");
                };
                prop_assert!(point.current(*ids.last().unwrap()).is_none());
            }
            Prospective::Unlimited => prop_assert!(false, "no ideal EMF was entered"),
        }
    }

    #[test]
    fn the_open_circuit_voltage_is_that_of_the_unloaded_network(
        (nodes, plan) in any_network(true),
        load in 0.001..1000.0_f64,
    ) {
        let (mut netlist, node, _) = build(nodes, &plan);
        let mut workspace = Box::new(Workspace::new());
        let Seen::Source(source) = workspace.thevenin(&netlist, node[0], node[1]).unwrap() else {
            panic!("no path");
        };
        let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
            panic!("refused");
        };
        let idle = point.volts(node[0], node[1]).unwrap();
        let tolerance = 1e-6 * idle.abs() + 1e-9;
        prop_assert!((f64::from(source.open_circuit.as_volts()) - idle).abs() <= tolerance);
        // And a resistance between the two divides it as the source says.
        netlist.add_branch(node[0], node[1], resistance(load)).unwrap();
        let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
            panic!("refused");
        };
        let inner = f64::from(source.resistance.as_ohms());
        let expected = idle * load / (load + inner);
        let found = point.volts(node[0], node[1]).unwrap();
        prop_assert!((found - expected).abs() <= 1e-6 * expected.abs() + 1e-9);
    }

    #[test]
    fn a_constant_power_load_equals_the_resistance_that_takes_the_same(
        draws in proptest::collection::vec(-20e3..40e3_f64, 1..8),
    ) {
        // Rails of 0 and 1, feeders of unlike length.
        let mut plan: Plan = std::vec![(0, 1, battery(400.0, 0.06))];
        for (k, &draw) in draws.iter().enumerate() {
            let feeder = 1e-3 * f64::from(u32::try_from(k).unwrap() + 1);
            plan.push((1, k + 2, resistance(feeder)));
            plan.push((k + 2, 0, power(draw)));
        }
        let nodes = draws.len() + 2;
        let (netlist, node, ids) = build(nodes, &plan);
        let mut workspace = Box::new(Workspace::new());
        let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
            // 280 kW at most against 400^2 / (4 * 0.06) = 667 kW.
            panic!("refused");
        };
        let mut replaced = plan.clone();
        for (k, &(a, b, element)) in plan.iter().enumerate() {
            if let Element::ConstantPower(watts) = element {
                let (v, i) = (point.volts(node[a], node[b]).unwrap(), point.amperes(ids[k]).unwrap());
                let wanted = f64::from(watts.as_watts());
                prop_assert!((v * i - wanted).abs() <= 1e-9 * wanted.abs());
                prop_assert!(v > 200.0);
                replaced[k].2 = if wanted > 0.0 { resistance(v / i) } else { current(i) };
            }
        }
        let found = currents(nodes, &replaced);
        for (&id, &i) in ids.iter().zip(&found) {
            let expected = point.amperes(id).unwrap();
            // V/I and I were rounded to f32.
            prop_assert!((i - expected).abs() <= 1e-5 * largest(&found));
        }
    }
}

/// Anything that the quantities accept, from denormal ohms to teraohms.
fn any_accepted_element() -> impl Strategy<Value = Element> {
    let wide = (-40.0..12.0_f64).prop_map(|exponent| libm::pow(10.0, exponent));
    let ohm = prop_oneof![Just(0.0), wide, any_resistance()];
    prop_oneof![
        ohm.clone().prop_map(resistance),
        (-1e5..1e5_f64, ohm).prop_map(|(e, r)| battery(e, r)),
        (-1e6..1e6_f64).prop_map(current),
        (-1e9..1e9_f64).prop_map(power),
        (-1e3..1e3_f64).prop_map(power),
        Just(Element::Open),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn whatever_is_entered_gives_finite_numbers_or_a_named_reason(
        nodes in 2..12_usize,
        branches in proptest::collection::vec(
            (0..12_usize, 1..12_usize, any_accepted_element()), 0..30),
    ) {
        let plan: Plan = branches
            .into_iter()
            .map(|(a, offset, element)| {
                (a % nodes, (a % nodes + 1 + offset % (nodes - 1)) % nodes, element)
            })
            .collect();
        let (netlist, node, ids) = build(nodes, &plan);
        let mut workspace = Box::new(Workspace::new());
        if let Ok(Outcome::Settled(point)) = workspace.solve(&netlist) {
            prop_assert!(point.imbalance() <= 1e-6);
            for &id in &ids {
                let Some(amperes) = point.amperes(id) else { continue };
                prop_assert!(amperes.is_finite());
                // Nothing is lost between the check and the reading.
                prop_assert!(point.current(id).is_some());
                prop_assert!(point.power(id).is_some() && point.heat(id).is_some());
            }
            for &at in &node {
                let energised = point.island_state(at) == Some(IslandState::Energised);
                prop_assert_eq!(point.potential(at).is_some(), energised);
            }
        }
        // Only that it returns: the errors have tests of their own.
        let _ = workspace.thevenin(&netlist, node[0], node[1]);
    }
}

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
