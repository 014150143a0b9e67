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

use super::access::{at, narrow, number_at, put, put_number};
use super::capacity::{MAX_BRANCHES, MAX_NODES};
use super::netlist::{BranchId, Netlist};
use super::outcome::Refusal;

/// Loop EMF that counts as none, relative to the sum of all EMFs: the rounding
/// of some hundred additions in f64.
const EMF_ROUNDING: f64 = 1e-12;

/// What a branch is to the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) enum Role {
    /// Does not conduct by itself: a source, a load, open.
    #[default]
    Outside,
    /// Part of the tree.
    Tree,
    /// Closes a loop.
    Chord,
}

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
    role: [Role; MAX_BRANCHES],
    /// The order in which nodes were reached.
    order: [u8; MAX_NODES],
    parent: [Option<BranchId>; MAX_NODES],
    depth: [u8; MAX_NODES],
}

/// The branches that conduct with their resistances, the least first, of equal ones the
/// first entered.
fn by_resistance(netlist: &Netlist) -> Vec<(f32, BranchId), MAX_BRANCHES> {
    let mut sorted: Vec<(f32, BranchId), MAX_BRANCHES> = Vec::new();
    for (id, branch) in netlist.branches() {
        let Some((resistance, _)) = branch.element.conducts() else {
            continue;
        };
        // Entered in single precision.
        let this = (narrow(resistance), id);
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
            role: [Role::Outside; MAX_BRANCHES],
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
        self.role.fill(Role::Outside);
        for (id, branch) in netlist.branches() {
            if branch.element.conducts().is_some() {
                put(&mut self.role, id.index(), Role::Chord);
            }
        }
        let weakest_last = by_resistance(netlist);

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
            while let Some((id, new, old, lift, is_link)) = self.nearest(netlist, &weakest_last) {
                let merged = if is_link {
                    number_at(&self.merged, old)
                } else {
                    self.next_merged()
                };
                let depth = number_at(&self.depth, old) + 1;
                put(&mut self.role, id.index(), Role::Tree);
                self.reach(new, islands, merged, lift, Some(id), depth, reached);
                reached += 1;
            }
            islands += 1;
        }
        self.check_loops(netlist)
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
        parent: Option<BranchId>,
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

    /// The branch of least resistance with one end reached: its id, the new
    /// node, the old one, the lift of the new node, and whether it is a link.
    fn nearest(
        &self,
        netlist: &Netlist,
        weakest_last: &[(f32, BranchId)],
    ) -> Option<(BranchId, usize, usize, f64, bool)> {
        weakest_last.iter().find_map(|&(_, id)| {
            let branch = netlist.branch(id).ok()?;
            let (from, to) = (branch.from.index(), branch.to.index());
            let forwards = match (at(&self.reached, from), at(&self.reached, to)) {
                (true, false) => true,
                (false, true) => false,
                _ => return None,
            };
            let (resistance, emf) = branch.element.conducts()?;
            let (new, old, emf) = if forwards {
                (to, from, emf)
            } else {
                (from, to, -emf)
            };
            Some((id, new, old, at(&self.lift, old) + emf, resistance <= 0.0))
        })
    }

    /// Marks the islands that have an EMF and refuses an EMF that nothing limits.
    fn check_loops(&mut self, netlist: &Netlist) -> Result<(), Refusal> {
        let mut sum = 0.0;
        for (_, branch) in netlist.branches() {
            if let Some((_, emf)) = branch.element.conducts()
                && emf != 0.0
            {
                sum += emf.abs();
                let island = number_at(&self.island, branch.from.index());
                put(&mut self.energised, island, true);
            }
        }
        for (id, branch) in netlist.branches() {
            let Some((resistance, _)) = branch.element.conducts() else {
                continue;
            };
            if resistance <= 0.0 && self.loop_emf(netlist, id).abs() > EMF_ROUNDING * sum {
                return Err(Refusal::EmfShorted { branch: id });
            }
        }
        Ok(())
    }

    /// The EMF that is left in a branch: that of its loop for a chord, none for
    /// a branch of the tree.
    pub(super) fn loop_emf(&self, netlist: &Netlist, id: BranchId) -> f64 {
        if self.role(id) != Role::Chord {
            return 0.0;
        }
        let Ok(branch) = netlist.branch(id) else {
            return 0.0;
        };
        let emf = branch.element.conducts().map_or(0.0, |(_, emf)| emf);
        emf + self.lift(branch.from.index()) - self.lift(branch.to.index())
    }

    pub(super) fn role(&self, id: BranchId) -> Role {
        at(&self.role, id.index())
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
    pub(super) fn parent(&self, node: usize) -> Option<BranchId> {
        at(&self.parent, node)
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
