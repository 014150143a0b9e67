//! Islands, merged nodes and the potential that the EMFs alone would give.
//!
//! One spanning tree of least resistance does three things in one pass:
//!
//! * what it reaches from one node is one island;
//! * nodes joined by zero-ohm branches of it are merged (a tree of least
//!   resistance takes every zero-ohm branch that does not close a loop);
//! * each node gets a potential `lift` such that no EMF is left in any branch of
//!   the tree. A branch outside the tree, the weakest of the loop that it closes,
//!   keeps the whole EMF of that loop.
//!
//! Bound: nodes x branches and branches squared comparisons.

use heapless::Vec;

use super::access::{at, number_at, put, put_number};
use super::capacity::{MAX_BRANCHES, MAX_NODES};
use super::netlist::{BranchId, Netlist};
use super::outcome::Refusal;
use super::wire::{Role, Wire};

/// Loop EMF that counts as none, relative to the sum of all EMFs: the rounding
/// of some hundred additions in f64.
const EMF_ROUNDING: f64 = 1e-12;

pub(super) struct Tree {
    nodes: usize,
    reached: [bool; MAX_NODES],
    island: [u8; MAX_NODES],
    merged: [u8; MAX_NODES],
    merged_count: usize,
    lift: [f64; MAX_NODES],
    /// First node of the island, by island.
    reference: [u8; MAX_NODES],
    energised: [bool; MAX_NODES],
    /// The branches.
    wires: Vec<Wire, MAX_BRANCHES>,
    /// The order in which nodes were reached.
    order: [u8; MAX_NODES],
    parent: [Option<u8>; MAX_NODES],
    depth: [u8; MAX_NODES],
}

/// The positions of the branches that conduct with their resistances, the least first, of
/// equal ones the first entered.
fn by_resistance(wires: &[Wire]) -> Vec<(f32, u8), MAX_BRANCHES> {
    let mut sorted: Vec<(f32, u8), MAX_BRANCHES> = Vec::new();
    for (wire, position) in wires.iter().zip(0_u8..) {
        if !wire.conducts() {
            continue;
        }
        let this = (wire.ohms(), position);
        let mut place = sorted.len();
        // As many places as branches.
        let _ = sorted.push(this);
        while let Some(before) = place.checked_sub(1)
            && let Some(weaker) = sorted.get(before).copied()
            && weaker.0 > this.0
        {
            put(&mut sorted, place, weaker);
            place = before;
        }
        put(&mut sorted, place, this);
    }
    sorted
}

impl Tree {
    pub(super) const fn new() -> Self {
        Self {
            nodes: 0,
            reached: [false; MAX_NODES],
            island: [0; MAX_NODES],
            merged: [0; MAX_NODES],
            merged_count: 0,
            lift: [0.0; MAX_NODES],
            reference: [0; MAX_NODES],
            energised: [false; MAX_NODES],
            wires: Vec::new(),
            order: [0; MAX_NODES],
            parent: [None; MAX_NODES],
            depth: [0; MAX_NODES],
        }
    }

    pub(super) fn grow(&mut self, netlist: &Netlist) -> Result<(), Refusal> {
        self.nodes = netlist.node_count();
        self.merged_count = 0;
        self.reached.fill(false);
        self.energised.fill(false);
        self.wires.clear();
        for (_, branch) in netlist.branches() {
            // As many places as branches.
            let _ = self.wires.push(Wire::new(&branch));
        }
        let weakest_last = by_resistance(&self.wires);

        let mut reached = 0;
        let mut islands = 0;
        for start in 0..self.nodes {
            if at(&self.reached, start) {
                continue;
            }
            put_number(&mut self.reference, islands, start);
            let merged = self.next_merged();
            self.reach(start, islands, merged, 0.0, None, 0, reached);
            reached += 1;
            // Each step reaches one node more, so this ends after `nodes` steps.
            while let Some((wire, new, old, lift)) = self.nearest(&weakest_last) {
                let Some(way) = self.wires.get_mut(usize::from(wire)) else {
                    break;
                };
                way.role = Role::Tree;
                let merged = if way.is_link() {
                    number_at(&self.merged, old)
                } else {
                    self.next_merged()
                };
                let depth = number_at(&self.depth, old) + 1;
                self.reach(new, islands, merged, lift, Some(wire), depth, reached);
                reached += 1;
            }
            islands += 1;
        }
        self.finish_wires()
    }

    fn next_merged(&mut self) -> usize {
        let merged = self.merged_count;
        self.merged_count += 1;
        merged
    }

    #[allow(clippy::too_many_arguments)] // one row of the tables of this type
    fn reach(
        &mut self,
        node: usize,
        island: usize,
        merged: usize,
        lift: f64,
        parent: Option<u8>,
        depth: usize,
        position: usize,
    ) {
        put(&mut self.reached, node, true);
        put_number(&mut self.island, node, island);
        put_number(&mut self.merged, node, merged);
        put(&mut self.lift, node, lift);
        put(&mut self.parent, node, parent);
        put_number(&mut self.depth, node, depth);
        put_number(&mut self.order, position, node);
    }

    /// The branch of least resistance with one end reached: its position, the new node, the
    /// old one and the lift of the new node.
    fn nearest(&self, weakest_last: &[(f32, u8)]) -> Option<(u8, usize, usize, f64)> {
        weakest_last.iter().find_map(|&(_, position)| {
            let wire = self.wires.get(usize::from(position))?;
            let (from, to) = wire.nodes();
            let (new, old, emf) = match (at(&self.reached, from), at(&self.reached, to)) {
                (true, false) => (to, from, wire.emf),
                (false, true) => (from, to, -wire.emf),
                _ => return None,
            };
            Some((position, new, old, at(&self.lift, old) + emf))
        })
    }

    /// Once the tree is grown: merged ends, islands that have an EMF, what is left of the
    /// EMFs. Refuses one that nothing limits.
    fn finish_wires(&mut self) -> Result<(), Refusal> {
        let mut sum = 0.0;
        for wire in &self.wires {
            if wire.emf != 0.0 {
                sum += wire.emf.abs();
                let island = number_at(&self.island, usize::from(wire.from));
                put(&mut self.energised, island, true);
            }
        }
        for (position, wire) in self.wires.iter_mut().enumerate() {
            let (from, to) = wire.nodes();
            wire.merged_from = at(&self.merged, from);
            wire.merged_to = at(&self.merged, to);
            match wire.role {
                Role::Outside => {}
                Role::Tree => wire.emf = 0.0,
                Role::Chord => {
                    wire.emf = wire.emf + at(&self.lift, from) - at(&self.lift, to);
                    if wire.is_link() && wire.emf.abs() > EMF_ROUNDING * sum {
                        let branch = BranchId::at(position);
                        return Err(Refusal::EmfShorted { branch });
                    }
                }
            }
        }
        Ok(())
    }

    /// Every branch, in the order of the netlist.
    pub(super) fn wires(&self) -> &[Wire] {
        &self.wires
    }

    pub(super) const fn merged_count(&self) -> usize {
        self.merged_count
    }

    pub(super) fn merged(&self, node: usize) -> usize {
        number_at(&self.merged, node)
    }

    pub(super) fn lift(&self, node: usize) -> f64 {
        at(&self.lift, node)
    }

    pub(super) fn island(&self, node: usize) -> usize {
        number_at(&self.island, node)
    }

    pub(super) fn energised(&self, node: usize) -> bool {
        at(&self.energised, self.island(node))
    }

    /// The node that the potentials of this node's island count from.
    pub(super) fn reference(&self, node: usize) -> usize {
        number_at(&self.reference, self.island(node))
    }

    /// The branch over which a node was reached.
    pub(super) fn parent(&self, node: usize) -> Option<usize> {
        at(&self.parent, node).map(usize::from)
    }

    pub(super) fn depth(&self, node: usize) -> usize {
        number_at(&self.depth, node)
    }

    /// Every node, each after the nodes that were reached over it.
    pub(super) fn leaves_first(&self) -> impl Iterator<Item = usize> + '_ {
        let reached = self.order.iter().take(self.nodes);
        reached.rev().copied().map(usize::from)
    }
}
