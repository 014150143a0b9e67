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
use super::tree::Tree;
use super::wire::{Role, Wire};

/// Fills in the currents of the links and clears `known` for those in a loop.
pub(super) fn link_currents(
    tree: &Tree,
    current: &mut [f64; MAX_BRANCHES],
    known: &mut [bool; MAX_BRANCHES],
) {
    if !tree.wires().iter().any(Wire::is_link) {
        return;
    }
    let mut surplus = [0.0; MAX_NODES];
    for (position, wire) in tree.wires().iter().enumerate() {
        if wire.is_link() {
            put(current, position, 0.0);
        } else {
            let value = at(current, position);
            let (from, to) = wire.nodes();
            add(&mut surplus, from, -value);
            add(&mut surplus, to, value);
        }
    }
    for node in tree.leaves_first() {
        let Some((link, beyond, inward)) = link_towards_root(tree, node) else {
            continue;
        };
        let value = at(&surplus, node);
        put(current, link, if inward { value } else { -value });
        add(&mut surplus, beyond, value);
    }
    for (position, wire) in tree.wires().iter().enumerate() {
        if wire.role == Role::Chord && wire.is_link() {
            put(known, position, false);
            let (from, to) = wire.nodes();
            mark_loop(tree, from, to, known);
        }
    }
}

/// The link over which this node was reached, the node at its other end, and
/// whether the link's positive direction leads there.
fn link_towards_root(tree: &Tree, node: usize) -> Option<(usize, usize, bool)> {
    let position = tree.parent(node)?;
    let wire = tree.wires().get(position).filter(|wire| wire.is_link())?;
    let (from, to) = wire.nodes();
    let inward = from == node;
    Some((position, if inward { to } else { from }, inward))
}

/// Clears `known` on the way through the tree from one node to the other. Two
/// merged nodes are joined by links of the tree alone.
fn mark_loop(tree: &Tree, mut a: usize, mut b: usize, known: &mut [bool; MAX_BRANCHES]) {
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
        let Some((link, beyond, _)) = link_towards_root(tree, *lower) else {
            return;
        };
        put(known, link, false);
        *lower = beyond;
    }
}
