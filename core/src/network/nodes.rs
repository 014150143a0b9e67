//! A set of nodes, as bits.

use super::capacity::MAX_NODES;

const _: () = assert!(MAX_NODES <= u128::BITS as usize);

#[derive(Clone, Copy, Default)]
pub(super) struct Nodes(u128);

impl Nodes {
    pub(super) const NONE: Self = Self(0);

    /// The first so many nodes.
    pub(super) fn first(count: usize) -> Self {
        Self(bit(count).wrapping_sub(1))
    }

    pub(super) fn insert(&mut self, node: usize) {
        self.0 |= bit(node);
    }

    pub(super) fn remove(&mut self, node: usize) {
        self.0 &= !bit(node);
    }

    pub(super) const fn contains(self, node: usize) -> bool {
        self.0 & bit(node) != 0
    }

    /// The nodes of both.
    pub(super) const fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    #[allow(clippy::cast_possible_truncation)] // 128 at most
    pub(super) const fn len(self) -> u8 {
        self.0.count_ones() as u8
    }

    /// Its nodes, lowest number first.
    pub(super) fn iter(self) -> impl Iterator<Item = usize> {
        let mut left = self.0;
        core::iter::from_fn(move || {
            let first = left.trailing_zeros();
            left &= left.checked_sub(1)?;
            Some(first as usize)
        })
    }
}

/// No bit for a node that does not fit.
#[allow(clippy::cast_possible_truncation)] // only what is below 128
const fn bit(node: usize) -> u128 {
    if node < u128::BITS as usize {
        1 << node as u32
    } else {
        0
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;

    #[test]
    fn nodes_are_told_in_their_order() {
        let mut nodes = Nodes::first(MAX_NODES);
        assert_eq!(usize::from(nodes.len()), MAX_NODES);
        for node in (0..MAX_NODES).filter(|node| node % 7 != 3) {
            nodes.remove(node);
        }
        let left: Vec<usize> = nodes.iter().collect();
        assert!(left.iter().copied().eq((3..MAX_NODES).step_by(7)));
        nodes.insert(4);
        assert_eq!(
            nodes.and(Nodes::first(5)).iter().collect::<Vec<_>>(),
            [3, 4]
        );
        assert!(Nodes::first(0).iter().next().is_none());
    }

    #[test]
    fn what_is_no_node_is_in_no_set() {
        let mut nodes = Nodes::NONE;
        nodes.insert(128);
        nodes.insert(usize::MAX);
        assert_eq!(nodes.len(), 0);
        let mut all = Nodes::first(MAX_NODES);
        all.remove(usize::MAX);
        assert_eq!(usize::from(all.len()), MAX_NODES);
    }
}
