//! One number for each unordered pair of nodes.

use super::access::{at, put};
use super::capacity::MAX_NODES;

const PAIRS: usize = MAX_NODES * (MAX_NODES - 1) / 2;

/// Triangular storage: half the memory of a square matrix.
pub(super) struct Pairs {
    values: [f64; PAIRS],
}

impl Pairs {
    #[allow(clippy::large_stack_arrays)] // evaluated at compile time for a static workspace
    pub(super) const fn new() -> Self {
        Self {
            values: [0.0; PAIRS],
        }
    }

    /// Sets the pairs of the first so many nodes to zero; they stand before all others.
    pub(super) fn clear(&mut self, nodes: usize) {
        let used = self.values.get_mut(..place(nodes, 0));
        used.unwrap_or_default().fill(0.0);
    }

    /// The value that belongs to both orders of the pair; zero for a node with itself.
    pub(super) fn get(&self, a: usize, b: usize) -> f64 {
        if a == b {
            return 0.0;
        }
        at(&self.values, place(a, b))
    }

    pub(super) fn set(&mut self, a: usize, b: usize, value: f64) {
        if a != b {
            put(&mut self.values, place(a, b), value);
        }
    }

    /// The value of a pair whose sign turns with its order.
    pub(super) fn get_directed(&self, from: usize, to: usize) -> f64 {
        let value = self.get(from, to);
        if from > to { value } else { -value }
    }

    pub(super) fn set_directed(&mut self, from: usize, to: usize, value: f64) {
        self.set(from, to, if from > to { value } else { -value });
    }
}

fn place(a: usize, b: usize) -> usize {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    high * high.saturating_sub(1) / 2 + low
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_has_a_place_of_its_own_inside_the_storage() {
        let mut taken = [false; PAIRS];
        for high in 1..MAX_NODES {
            for low in 0..high {
                let place = place(low, high);
                assert!(!taken[place], "{high} {low}");
                taken[place] = true;
            }
        }
        assert!(taken.iter().all(|&t| t));
    }

    #[test]
    fn clearing_for_some_nodes_clears_all_pairs_of_them() {
        for nodes in [0, 1, 2, 7, MAX_NODES] {
            let mut pairs = Pairs::new();
            pairs.values.fill(1.0);
            pairs.clear(nodes);
            for high in 1..nodes {
                for low in 0..high {
                    assert!(pairs.get(low, high) < 0.5, "{nodes} {high} {low}");
                }
            }
        }
    }

    #[test]
    fn a_directed_value_turns_its_sign_with_the_order() {
        let mut pairs = Pairs::new();
        pairs.set_directed(2, 7, 3.0);
        assert!((pairs.get_directed(2, 7) - 3.0).abs() < 1e-15);
        assert!((pairs.get_directed(7, 2) + 3.0).abs() < 1e-15);
        assert!(pairs.get_directed(7, 7).abs() < 1e-15);
    }
}
