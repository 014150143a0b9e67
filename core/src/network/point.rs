//! Reading a solved network.

use super::access::{at, narrow};
use super::netlist::{BranchId, Netlist, Node};
use super::solve::Workspace;
use crate::quantity::{Current, Power, Voltage};

/// Voltages and currents of a solved network.
///
/// Every number was checked against its row of [`crate::bounds`] when the
/// network was solved. `None` never stands for zero: the network does not define
/// the value, and each function says when.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct OperatingPoint<'a> {
    pub(super) netlist: &'a Netlist,
    pub(super) workspace: &'a Workspace,
}

/// Whether an island of the network has a source of voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // there is an EMF or there is none
pub enum IslandState {
    /// At least one battery is part of it.
    Energised,
    /// No EMF reaches it: it is at no defined potential, and no current flows.
    NoEmf,
}

impl OperatingPoint<'_> {
    /// The number of the island that a node belongs to; nodes with one number
    /// are joined by conducting branches. `None` for a node of another network.
    pub fn island(&self, node: Node) -> Option<usize> {
        self.netlist.node(node.index()).ok()?;
        Some(self.workspace.tree.island(node.index()))
    }

    /// Whether the island of this node has an EMF. `None` for a node of another network.
    pub fn island_state(&self, node: Node) -> Option<IslandState> {
        self.netlist.node(node.index()).ok()?;
        Some(if self.workspace.tree.energised(node.index()) {
            IslandState::Energised
        } else {
            IslandState::NoEmf
        })
    }

    /// Voltage of a node against the first node of its island, which is the one
    /// that was added first. `None` in an island without EMF.
    pub fn potential(&self, node: Node) -> Option<Voltage> {
        if self.island_state(node)? == IslandState::NoEmf {
            return None;
        }
        let reference = self.workspace.tree.reference(node.index());
        let volts = self.workspace.volts(node.index(), reference);
        Voltage::from_volts(narrow(volts)).ok()
    }

    /// How far the first node lies above the second. `None` when they are in
    /// different islands: nothing defines the voltage between those.
    pub fn voltage(&self, above: Node, below: Node) -> Option<Voltage> {
        let volts = self.volts(above, below)?;
        Voltage::from_volts(narrow(volts)).ok()
    }

    pub(crate) fn volts(&self, above: Node, below: Node) -> Option<f64> {
        if self.island(above)? != self.island(below)? {
            return None;
        }
        Some(self.workspace.volts(above.index(), below.index()))
    }

    /// Current of a branch, positive from its first end to its second. `None`
    /// for a link in a loop of zero-ohm links: the sharing inside is not defined.
    pub fn current(&self, branch: BranchId) -> Option<Current> {
        Current::from_amperes(narrow(self.amperes(branch)?)).ok()
    }

    pub(crate) fn amperes(&self, branch: BranchId) -> Option<f64> {
        self.netlist.branch(branch).ok()?;
        at(&self.workspace.known, branch.index())
            .then(|| at(&self.workspace.current, branch.index()))
    }

    /// Power that a branch takes up: positive for a load, negative for a
    /// discharging battery. `None` as for [`Self::current`].
    pub fn power(&self, branch: BranchId) -> Option<Power> {
        let amperes = self.amperes(branch)?;
        if amperes == 0.0 {
            return Power::from_watts(0.0).ok();
        }
        let ends = self.netlist.branch(branch).ok()?;
        // The drop of a resistance from its own current, not from two potentials.
        let watts = match ends.element.conducts() {
            Some((resistance, emf)) => amperes * (resistance * amperes - emf),
            None => amperes * self.volts(ends.from, ends.to)?,
        };
        Power::from_watts(narrow(watts)).ok()
    }

    /// Heat that a branch gives off in its resistance; zero for loads and
    /// sources. `None` as for [`Self::current`].
    pub fn heat(&self, branch: BranchId) -> Option<Power> {
        let amperes = self.amperes(branch)?;
        let (resistance, _) = self
            .netlist
            .branch(branch)
            .ok()?
            .element
            .conducts()
            .unwrap_or((0.0, 0.0));
        Power::from_watts(narrow(resistance * amperes * amperes)).ok()
    }

    /// The worst error of Kirchhoff's current law at any node, as part of the
    /// currents that meet there or of a millionth of the largest current of the
    /// network, whichever is more. A solve whose value exceeds 1e-6 is refused.
    pub fn imbalance(&self) -> f32 {
        narrow(self.workspace.imbalance)
    }
}
