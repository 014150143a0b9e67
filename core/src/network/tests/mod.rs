//! The solver as a whole: laws that hold in every network, and the cases at the
//! edge. Here is what both build their networks with. In f64, below the rounding
//! of the public quantities.

mod edges;
mod laws;

use std::boxed::Box;
use std::vec::Vec;

use super::*;
use crate::quantity::{Current, Power, Resistance, Voltage};

/// One branch of a random network: ends, element.
pub(super) type Plan = Vec<(usize, usize, Element)>;

#[allow(clippy::cast_possible_truncation)]
pub(super) fn ohms(value: f64) -> Resistance {
    Resistance::from_ohms(value as f32).unwrap()
}

#[allow(clippy::cast_possible_truncation)]
pub(super) fn volts(value: f64) -> Voltage {
    Voltage::from_volts(value as f32).unwrap()
}

pub(super) fn resistance(value: f64) -> Element {
    Element::Resistance(ohms(value))
}

pub(super) fn battery(emf: f64, resistance: f64) -> Element {
    Element::Emf {
        emf: volts(emf),
        resistance: ohms(resistance),
    }
}

#[allow(clippy::cast_possible_truncation)]
pub(super) fn current(value: f64) -> Element {
    Element::ConstantCurrent(Current::from_amperes(value as f32).unwrap())
}

#[allow(clippy::cast_possible_truncation)]
pub(super) fn power(value: f64) -> Element {
    Element::ConstantPower(Power::from_watts(value as f32).unwrap())
}

pub(super) fn build(nodes: usize, plan: &Plan) -> (Netlist, Vec<Node>, Vec<BranchId>) {
    let mut netlist = Netlist::new();
    let nodes: Vec<_> = (0..nodes).map(|_| netlist.add_node().unwrap()).collect();
    let ids = plan
        .iter()
        .map(|&(a, b, element)| netlist.add_branch(nodes[a], nodes[b], element).unwrap())
        .collect();
    (netlist, nodes, ids)
}

/// Branch currents; panics when the network is refused.
pub(super) fn currents(nodes: usize, plan: &Plan) -> Vec<f64> {
    let (netlist, _, ids) = build(nodes, plan);
    let mut workspace = Box::new(Workspace::new());
    let Outcome::Settled(point) = workspace.solve(&netlist).unwrap() else {
        panic!("refused");
    };
    ids.iter().map(|&id| point.amperes(id).unwrap()).collect()
}

pub(super) fn refusal(nodes: usize, plan: &Plan) -> Refusal {
    let (netlist, _, _) = build(nodes, plan);
    let mut workspace = Box::new(Workspace::new());
    match workspace.solve(&netlist).unwrap() {
        Outcome::Settled(point) => panic!("settled: {point:?}"),
        Outcome::Refused(refusal) => refusal,
    }
}

pub(super) fn largest(values: &[f64]) -> f64 {
    values.iter().map(|v| v.abs()).fold(0.0, f64::max)
}
