//! The laws that every solved network has to obey, on random networks.

use std::boxed::Box;
use std::vec::Vec;

use proptest::prelude::*;

use super::super::*;
use super::{Plan, battery, build, current, currents, largest, power, resistance};

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
