//! The network as it is described: nodes, and branches between two nodes.

use heapless::Vec;

use super::capacity::{MAX_BRANCHES, MAX_NODES};
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::{Current, Power, Resistance, Voltage};

/// A point of the network; all that is bolted together without resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Node(usize);

impl Node {
    /// The position among the nodes, from zero.
    pub const fn index(self) -> usize {
        self.0
    }
}

/// A branch of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct BranchId(usize);

impl BranchId {
    pub(super) const fn at(index: usize) -> Self {
        Self(index)
    }

    /// The position among the branches, from zero.
    pub const fn index(self) -> usize {
        self.0
    }
}

/// What lies between the two ends of a branch.
///
/// A current is positive when it flows through the branch from its first end to
/// its second. A load is therefore entered from the positive pole to the
/// negative one, a battery from its negative terminal to its positive one.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Element {
    /// A resistance; zero is a link that makes one node of two.
    Resistance(Resistance),
    /// A battery: its EMF, which raises the second end above the first, in
    /// series with its resistance. Zero resistance is an ideal source.
    Emf {
        /// Voltage without load.
        emf: Voltage,
        /// Resistance in series.
        resistance: Resistance,
    },
    /// Draws this current whatever the voltage is; negative delivers it.
    ConstantCurrent(Current),
    /// Draws this power whatever the voltage is; negative delivers it
    /// (regeneration, charging).
    ConstantPower(Power),
    /// An open contactor, a pulled service disconnect, a blown fuse.
    Open,
}

impl Element {
    /// The resistance and the EMF of a branch that conducts by itself.
    pub(super) fn conducts(self) -> Option<(f64, f64)> {
        match self {
            Self::Resistance(resistance) => Some((f64::from(resistance.as_ohms()), 0.0)),
            Self::Emf { emf, resistance } => {
                Some((f64::from(resistance.as_ohms()), f64::from(emf.as_volts())))
            }
            Self::ConstantCurrent(_) | Self::ConstantPower(_) | Self::Open => None,
        }
    }
}

/// One branch.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Branch {
    /// The end that a positive current enters.
    pub from: Node,
    /// The end that a positive current leaves.
    pub to: Node,
    /// What lies between.
    pub element: Element,
}

/// Nodes and branches, in fixed capacity.
#[derive(Clone, Debug, Default)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Netlist {
    nodes: usize,
    branches: Vec<Branch, MAX_BRANCHES>,
}

impl Netlist {
    /// A network without nodes.
    pub const fn new() -> Self {
        Self {
            nodes: 0,
            branches: Vec::new(),
        }
    }

    /// Adds a node.
    ///
    /// # Errors
    /// [`Capacity::NetworkNodes`] beyond [`MAX_NODES`].
    pub fn add_node(&mut self) -> Result<Node, Error> {
        if self.nodes >= MAX_NODES {
            return Err(Error::Capacity(Capacity::NetworkNodes));
        }
        let node = Node(self.nodes);
        self.nodes += 1;
        Ok(node)
    }

    /// The node at a position.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownNode`] when there is none.
    pub const fn node(&self, index: usize) -> Result<Node, Error> {
        if index < self.nodes {
            Ok(Node(index))
        } else {
            Err(Error::Inconsistent(Inconsistency::UnknownNode))
        }
    }

    /// Joins two nodes by a branch; the order of the ends gives the sign of its current.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownNode`], [`Inconsistency::BothEndsOnOneNode`],
    /// [`Capacity::NetworkBranches`] beyond [`MAX_BRANCHES`].
    pub fn add_branch(
        &mut self,
        from: Node,
        to: Node,
        element: Element,
    ) -> Result<BranchId, Error> {
        self.node(from.0)?;
        self.node(to.0)?;
        if from == to {
            return Err(Error::Inconsistent(Inconsistency::BothEndsOnOneNode));
        }
        let id = BranchId(self.branches.len());
        self.branches
            .push(Branch { from, to, element })
            .map_err(|_| Error::Capacity(Capacity::NetworkBranches))?;
        Ok(id)
    }

    /// Puts another element between the same ends: a contactor opens, a draw changes.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownBranch`] when there is no such branch.
    pub fn set_element(&mut self, branch: BranchId, element: Element) -> Result<(), Error> {
        match self.branches.get_mut(branch.0) {
            Some(place) => {
                place.element = element;
                Ok(())
            }
            None => Err(Error::Inconsistent(Inconsistency::UnknownBranch)),
        }
    }

    /// The branch.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownBranch`] when there is no such branch.
    pub fn branch(&self, branch: BranchId) -> Result<Branch, Error> {
        self.branches
            .get(branch.0)
            .copied()
            .ok_or(Error::Inconsistent(Inconsistency::UnknownBranch))
    }

    /// Every branch with its id, in the order in which they were added.
    pub fn branches(&self) -> impl Iterator<Item = (BranchId, Branch)> + '_ {
        self.branches
            .iter()
            .enumerate()
            .map(|(index, &branch)| (BranchId(index), branch))
    }

    /// Nothing any more, in the same memory.
    pub(crate) fn clear(&mut self) {
        self.nodes = 0;
        self.branches.clear();
    }

    /// How many nodes there are.
    pub const fn node_count(&self) -> usize {
        self.nodes
    }

    /// How many branches there are.
    pub fn branch_count(&self) -> usize {
        self.branches.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_fit_to_the_limit_and_not_one_more() {
        let mut netlist = Netlist::new();
        for _ in 0..MAX_NODES {
            netlist.add_node().unwrap();
        }
        assert_eq!(
            netlist.add_node(),
            Err(Error::Capacity(Capacity::NetworkNodes))
        );
    }

    #[test]
    fn branches_fit_to_the_limit_and_not_one_more() {
        let mut netlist = Netlist::new();
        let (a, b) = (netlist.add_node().unwrap(), netlist.add_node().unwrap());
        for _ in 0..MAX_BRANCHES {
            netlist.add_branch(a, b, Element::Open).unwrap();
        }
        assert_eq!(
            netlist.add_branch(a, b, Element::Open),
            Err(Error::Capacity(Capacity::NetworkBranches))
        );
    }

    #[test]
    fn a_branch_needs_two_different_nodes_of_its_own_network() {
        let mut large = Netlist::new();
        let first = large.add_node().unwrap();
        let second = large.add_node().unwrap();
        let mut small = Netlist::new();
        small.add_node().unwrap();
        assert_eq!(
            small.add_branch(first, second, Element::Open),
            Err(Error::Inconsistent(Inconsistency::UnknownNode))
        );
        assert_eq!(
            large.add_branch(first, first, Element::Open),
            Err(Error::Inconsistent(Inconsistency::BothEndsOnOneNode))
        );
        let id = large.add_branch(first, second, Element::Open).unwrap();
        assert_eq!(
            small.set_element(id, Element::Open),
            Err(Error::Inconsistent(Inconsistency::UnknownBranch))
        );
    }
}
