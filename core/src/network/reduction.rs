//! Star-mesh elimination.
//!
//! A node `k` with conductances `g_i` to its neighbours and their sum `S` is
//! replaced by a mesh: each pair of neighbours gets `g_i g_j / S` more, each
//! neighbour takes over the share `w_i = g_i / S` of the current injected at `k`.
//! Only products, quotients and sums of positive numbers occur, so every
//! conductance keeps its relative precision (about `3 n` roundings) however far
//! apart the resistances are. Nothing has to be pivoted: any order is stable. The
//! order taken is that of fewest neighbours, ties by index, which keeps a vehicle's
//! network, nearly a tree, nearly free of fill-in.
//!
//! On the way back the potential of `k` against each of the neighbours `j` that it had
//! then follows from `D_kj = sum_i w_i D_ij + J_k / S`. The term of `j` itself is
//! zero, so the drop over a strong branch is the sum of what the weak branches
//! contribute, not a difference of two potentials. The mesh has made neighbours of all
//! `i` and `j`, so every drop that is asked for is one of those. Nodes that were never
//! neighbours have no branch between them: the voltage there is the sum of the drops on
//! the way from each to the last node.
//!
//! Bound: `n^3 / 6` steps each way for a full mesh of `n` nodes; about `n` steps of a few
//! neighbours for a network that is nearly a tree.

use heapless::Vec;

use super::access::{add, at, number_at, put, put_number};
use super::capacity::MAX_NODES;
use super::nodes::Nodes;
use super::pairs::Pairs;

pub(super) struct Reduction {
    /// Conductances while reducing; then, in the row of each eliminated node,
    /// its shares; then, on the way back, drops. Each replaces what is no longer needed.
    pairs: Pairs,
    /// The neighbours of each node; of an eliminated one those that it had then. In a
    /// network that is nearly a tree few pairs are anything but zero.
    neighbours: [Nodes; MAX_NODES],
    /// Sum of the conductances of a node when it was eliminated; zero for the
    /// last node of an island. On the way back the potential against that node takes its
    /// place.
    sum: [f64; MAX_NODES],
    /// After the way back: against the last node of each island.
    order: [u8; MAX_NODES],
    nodes: usize,
}

impl Reduction {
    pub(super) const fn new() -> Self {
        Self {
            pairs: Pairs::new(),
            neighbours: [Nodes::NONE; MAX_NODES],
            sum: [0.0; MAX_NODES],
            order: [0; MAX_NODES],
            nodes: 0,
        }
    }

    pub(super) fn clear(&mut self, nodes: usize) {
        self.nodes = nodes.min(MAX_NODES);
        self.pairs.clear(self.nodes);
        let used = self.neighbours.get_mut(..self.nodes);
        used.unwrap_or_default().fill(Nodes::NONE);
        self.sum.fill(0.0);
    }

    pub(super) fn add_conductance(&mut self, a: usize, b: usize, conductance: f64) {
        self.join(a, b, conductance);
    }

    /// Adds a conductance; whether the two nodes are neighbours by that.
    fn join(&mut self, a: usize, b: usize, conductance: f64) -> bool {
        let before = self.pairs.get(a, b);
        let together = before + conductance;
        self.pairs.set(a, b, together);
        // What is too small for a number joins nothing, nor does a node with itself.
        let new = before <= 0.0 && together > 0.0 && a != b;
        if new {
            for (one, other) in [(a, b), (b, a)] {
                if let Some(neighbours) = self.neighbours.get_mut(one) {
                    neighbours.insert(other);
                }
            }
        }
        new
    }

    fn neighbours(&self, node: usize) -> Nodes {
        at(&self.neighbours, node)
    }

    /// Eliminates every node; those in `last` after all others.
    pub(super) fn reduce(&mut self, last: &[usize]) {
        let mut left = Nodes::first(self.nodes);
        let mut degree = [0_u8; MAX_NODES];
        for node in left.iter() {
            put(&mut degree, node, self.neighbours(node).len());
        }
        let mut early = left;
        for node in last {
            early.remove(*node);
        }
        for step in 0..self.nodes {
            let fewest = early.iter().min_by_key(|&node| at(&degree, node));
            let Some(node) = fewest.or_else(|| left.iter().next()) else {
                return;
            };
            put_number(&mut self.order, step, node);
            left.remove(node);
            early.remove(node);
            self.eliminate(node, left, &mut degree);
        }
    }

    fn eliminate(&mut self, node: usize, left: Nodes, degree: &mut [u8]) {
        let still = self.neighbours(node).and(left);
        put(&mut self.neighbours, node, still);
        let mut star: Vec<(usize, f64), MAX_NODES> = Vec::new();
        let mut sum = 0.0;
        for other in still.iter() {
            let conductance = self.pairs.get(node, other);
            sum += conductance;
            // Never full: a node has fewer neighbours than there are nodes.
            let _ = star.push((other, conductance));
        }
        put(&mut self.sum, node, sum);
        for (place, &(a, conductance)) in star.iter().enumerate() {
            let share = conductance / sum;
            self.pairs.set(node, a, share);
            put(degree, a, at(degree, a).saturating_sub(1));
            for &(b, other) in star.iter().skip(place + 1) {
                if self.join(a, b, share * other) {
                    put(degree, a, at(degree, a).saturating_add(1));
                    put(degree, b, at(degree, b).saturating_add(1));
                }
            }
        }
    }

    /// Passes the current injected at each node on to the nodes eliminated later.
    pub(super) fn pass_on(&self, injected: &mut [f64; MAX_NODES]) {
        for node in self.order.iter().take(self.nodes).copied().map(usize::from) {
            let current = at(injected, node);
            if current == 0.0 {
                continue;
            }
            for (other, share) in self.star(node) {
                add(injected, other, current * share);
            }
        }
    }

    /// The neighbours that a node had when it was eliminated, and its shares.
    fn star(&self, node: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let neighbours = self.neighbours(node).iter();
        neighbours.map(move |other| (other, self.pairs.get(node, other)))
    }

    /// Conductance between two nodes that were eliminated last, and the current
    /// that drives the first against the second, from the passed-on currents.
    pub(super) fn between_last(
        &self,
        first: usize,
        second: usize,
        passed: &[f64; MAX_NODES],
    ) -> (f64, f64) {
        let (conductance, current) = (at(&self.sum, first), at(passed, first));
        if conductance > 0.0 {
            (conductance, current)
        } else {
            (at(&self.sum, second), -at(passed, second))
        }
    }

    /// Potentials against the last node of each island, from the passed-on currents.
    pub(super) fn potentials(&self, passed: &[f64; MAX_NODES]) -> [f64; MAX_NODES] {
        let mut potential = [0.0; MAX_NODES];
        for node in self
            .order
            .iter()
            .take(self.nodes)
            .rev()
            .copied()
            .map(usize::from)
        {
            let sum = at(&self.sum, node);
            if sum > 0.0 {
                let mut value = at(passed, node) / sum;
                for (other, share) in self.star(node) {
                    value += share * at(&potential, other);
                }
                put(&mut potential, node, value);
            }
        }
        potential
    }

    /// Turns the reduced network into the drops between neighbours and the potentials of
    /// all nodes. What was there is overwritten: after this only [`Self::drop_between`] has
    /// a meaning.
    pub(super) fn expand(&mut self, passed: &[f64; MAX_NODES]) {
        let order = self.order;
        for step in (0..self.nodes).rev() {
            let node = number_at(&order, step);
            let sum = at(&self.sum, node);
            let mut star: Vec<(usize, f64), MAX_NODES> = Vec::new();
            for one in self.star(node) {
                // Never full, as above.
                let _ = star.push(one);
            }
            let own = if sum > 0.0 {
                at(passed, node) / sum
            } else {
                0.0
            };
            let mut potential = 0.0;
            for &(other, _) in &star {
                let carried: f64 = star
                    .iter()
                    .map(|&(via, share)| share * self.pairs.get_directed(via, other))
                    .sum();
                let drop = carried + own;
                self.pairs.set_directed(node, other, drop);
                potential = at(&self.sum, other) + drop;
            }
            put(&mut self.sum, node, potential);
        }
    }

    /// How far the first node lies above the second. Only within one island.
    pub(super) fn drop_between(&self, first: usize, second: usize) -> f64 {
        let near = |one, other| self.neighbours(one).contains(other);
        if near(first, second) || near(second, first) {
            self.pairs.get_directed(first, second)
        } else {
            at(&self.sum, first) - at(&self.sum, second)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(value: f64, expected: f64) {
        assert!(
            (value - expected).abs() <= 1e-14 * expected.abs(),
            "{value} {expected}"
        );
    }

    #[test]
    fn a_star_of_three_becomes_the_mesh_that_the_formula_gives() {
        let mut reduction = Reduction::new();
        reduction.clear(3);
        reduction.add_conductance(0, 1, 2.0);
        reduction.add_conductance(0, 2, 6.0);
        reduction.reduce(&[1, 2]);
        let (conductance, _) = reduction.between_last(1, 2, &[0.0; MAX_NODES]);
        close(conductance, 1.5);
    }

    #[test]
    fn a_tiny_drop_beside_a_large_one_keeps_its_relative_precision() {
        // 100 A through 10 uohm (0-1) in series with 10 kohm (1-2): 1e6 V beside 1 mV.
        let mut reduction = Reduction::new();
        reduction.clear(3);
        reduction.add_conductance(0, 1, 1e5);
        reduction.add_conductance(1, 2, 1e-4);
        reduction.reduce(&[]);
        let mut injected = [0.0; MAX_NODES];
        injected[0] = 100.0;
        injected[2] = -100.0;
        reduction.pass_on(&mut injected);
        reduction.expand(&injected);
        close(reduction.drop_between(0, 1), 1e-3);
        close(reduction.drop_between(1, 0), -1e-3);
        close(reduction.drop_between(0, 2), 1e6 + 1e-3);
    }
}
