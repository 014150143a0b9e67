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
//! On the way back the potential of `k` against every node `j` that is already
//! known follows from `D_kj = sum_i w_i D_ij + J_k / S`. The term of `j` itself is
//! zero, so the drop over a strong branch is the sum of what the weak branches
//! contribute, not a difference of two potentials.
//!
//! Bound: `n^3 / 6` steps each way for a full mesh of `n` nodes; about `n^2` for
//! a network that is nearly a tree.

use heapless::Vec;

use super::access::{add, at, put};
use super::capacity::MAX_NODES;
use super::pairs::Pairs;

pub(super) struct Reduction {
    /// Conductances while reducing; then, in the row of each eliminated node,
    /// its shares; then, on the way back, drops. Each replaces what is no longer needed.
    pairs: Pairs,
    /// Sum of the conductances of a node when it was eliminated; zero for the
    /// last node of an island.
    sum: [f64; MAX_NODES],
    order: [usize; MAX_NODES],
    nodes: usize,
}

impl Reduction {
    pub(super) const fn new() -> Self {
        Self {
            pairs: Pairs::new(),
            sum: [0.0; MAX_NODES],
            order: [0; MAX_NODES],
            nodes: 0,
        }
    }

    pub(super) fn clear(&mut self, nodes: usize) {
        self.nodes = nodes.min(MAX_NODES);
        self.pairs.clear(self.nodes);
        self.sum.fill(0.0);
    }

    pub(super) fn add_conductance(&mut self, a: usize, b: usize, conductance: f64) {
        self.pairs.set(a, b, self.pairs.get(a, b) + conductance);
    }

    /// Eliminates every node; those in `last` after all others.
    pub(super) fn reduce(&mut self, last: &[usize]) {
        let mut gone = [false; MAX_NODES];
        let mut degree = [0usize; MAX_NODES];
        for node in 0..self.nodes {
            let neighbours = (0..self.nodes).filter(|&other| self.pairs.get(node, other) > 0.0);
            put(&mut degree, node, neighbours.count());
        }
        for step in 0..self.nodes {
            let free = |node: &usize| !at(&gone, *node);
            let Some(node) = (0..self.nodes)
                .filter(free)
                .filter(|node| !last.contains(node))
                .min_by_key(|&node| at(&degree, node))
                .or_else(|| (0..self.nodes).find(free))
            else {
                return;
            };
            put(&mut self.order, step, node);
            put(&mut gone, node, true);
            self.eliminate(node, &gone, &mut degree);
        }
    }

    fn eliminate(&mut self, node: usize, gone: &[bool], degree: &mut [usize]) {
        let mut star: Vec<(usize, f64), MAX_NODES> = Vec::new();
        let mut sum = 0.0;
        for other in 0..self.nodes {
            let conductance = self.pairs.get(node, other);
            if conductance > 0.0 && !at(gone, other) {
                sum += conductance;
                // Never full: a node has fewer neighbours than there are nodes.
                let _ = star.push((other, conductance));
            }
        }
        put(&mut self.sum, node, sum);
        for (place, &(a, conductance)) in star.iter().enumerate() {
            let share = conductance / sum;
            self.pairs.set(node, a, share);
            put(degree, a, at(degree, a).saturating_sub(1));
            for &(b, other) in star.iter().skip(place + 1) {
                let before = self.pairs.get(a, b);
                if before <= 0.0 {
                    put(degree, a, at(degree, a) + 1);
                    put(degree, b, at(degree, b) + 1);
                }
                self.pairs.set(a, b, before + share * other);
            }
        }
    }

    /// Passes the current injected at each node on to the nodes eliminated later.
    pub(super) fn pass_on(&self, injected: &mut [f64; MAX_NODES]) {
        for (step, &node) in self.order.iter().take(self.nodes).enumerate() {
            let current = at(injected, node);
            if current == 0.0 {
                continue;
            }
            for &other in self.later(step) {
                let share = self.pairs.get(node, other);
                if share > 0.0 {
                    add(injected, other, current * share);
                }
            }
        }
    }

    /// The nodes that were eliminated after this step.
    fn later(&self, step: usize) -> &[usize] {
        self.order.get(step + 1..self.nodes).unwrap_or_default()
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
        for (step, &node) in self.order.iter().take(self.nodes).enumerate().rev() {
            let sum = at(&self.sum, node);
            if sum > 0.0 {
                let mut value = at(passed, node) / sum;
                for &other in self.later(step) {
                    value += self.pairs.get(node, other) * at(&potential, other);
                }
                put(&mut potential, node, value);
            }
        }
        potential
    }

    /// Turns the reduced network into the drops between all pairs of nodes. The
    /// shares are overwritten: after this only [`Self::drop_between`] has a meaning.
    pub(super) fn expand(&mut self, passed: &[f64; MAX_NODES]) {
        for step in (0..self.nodes).rev() {
            let node = at(&self.order, step);
            let sum = at(&self.sum, node);
            let mut star: Vec<(usize, f64), MAX_NODES> = Vec::new();
            for &other in self.later(step) {
                let share = self.pairs.get(node, other);
                if share > 0.0 {
                    let _ = star.push((other, share));
                }
            }
            let own = if sum > 0.0 {
                at(passed, node) / sum
            } else {
                0.0
            };
            let mut row = [0.0; MAX_NODES];
            for &other in self.later(step) {
                let carried: f64 = star
                    .iter()
                    .map(|&(via, share)| share * self.pairs.get_directed(via, other))
                    .sum();
                put(&mut row, other, carried + own);
            }
            for place in step + 1..self.nodes {
                let other = at(&self.order, place);
                self.pairs.set_directed(node, other, at(&row, other));
            }
        }
    }

    /// How far the first node lies above the second. Only within one island.
    pub(super) fn drop_between(&self, first: usize, second: usize) -> f64 {
        self.pairs.get_directed(first, second)
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
