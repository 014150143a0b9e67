//! Currents of zero-ohm links.
//!
//! A link has no drop to compute a current from. Where links form no loop, the
//! current of each is the sum of what all branches beyond it draw: the nodes are
//! visited leaves first and each hands its surplus to the next. In a loop of
//! links the sharing is not defined by the network, and is reported so.
//!
//! Bound: nodes x branches.

use super::access::{add, at, put};
use super::capacity::{MAX_BRANCHES, MAX_NODES};
use super::netlist::{BranchId, Netlist};
use super::tree::{Role, Tree};

/// Fills in the currents of the links and clears `known` for those in a loop.
pub(super) fn link_currents(
    netlist: &Netlist,
    tree: &Tree,
    current: &mut [f64; MAX_BRANCHES],
    known: &mut [bool; MAX_BRANCHES],
) {
    let mut surplus = [0.0; MAX_NODES];
    for (id, branch) in netlist.branches() {
        if is_link(netlist, id) {
            put(current, id.index(), 0.0);
        } else {
            let value = at(current, id.index());
            add(&mut surplus, branch.from.index(), -value);
            add(&mut surplus, branch.to.index(), value);
        }
    }
    for node in tree.leaves_first() {
        let Some((id, beyond, inward)) = link_towards_root(netlist, tree, node) else {
            continue;
        };
        let value = at(&surplus, node);
        put(current, id.index(), if inward { value } else { -value });
        add(&mut surplus, beyond, value);
    }
    for (id, branch) in netlist.branches() {
        if tree.role(id) == Role::Chord && is_link(netlist, id) {
            put(known, id.index(), false);
            mark_loop(netlist, tree, branch.from.index(), branch.to.index(), known);
        }
    }
}

pub(super) fn is_link(netlist: &Netlist, id: BranchId) -> bool {
    netlist
        .branch(id)
        .ok()
        .and_then(|branch| branch.element.conducts())
        .is_some_and(|(resistance, _)| resistance <= 0.0)
}

/// The link over which this node was reached, the node at its other end, and
/// whether the link's positive direction leads there.
fn link_towards_root(
    netlist: &Netlist,
    tree: &Tree,
    node: usize,
) -> Option<(BranchId, usize, bool)> {
    let id = tree.parent(node)?;
    if !is_link(netlist, id) {
        return None;
    }
    let branch = netlist.branch(id).ok()?;
    let inward = branch.from.index() == node;
    let beyond = if inward { branch.to } else { branch.from };
    Some((id, beyond.index(), inward))
}

/// Clears `known` on the way through the tree from one node to the other. Two
/// merged nodes are joined by links of the tree alone.
fn mark_loop(
    netlist: &Netlist,
    tree: &Tree,
    mut a: usize,
    mut b: usize,
    known: &mut [bool; MAX_BRANCHES],
) {
    // Each step goes one level up on one side, so two depths suffice.
    for _ in 0..2 * MAX_NODES {
        if a == b {
            return;
        }
        let lower = if tree.depth(a) >= tree.depth(b) {
            &mut a
        } else {
            &mut b
        };
        let Some((id, beyond, _)) = link_towards_root(netlist, tree, *lower) else {
            return;
        };
        put(known, id.index(), false);
        *lower = beyond;
    }
}
