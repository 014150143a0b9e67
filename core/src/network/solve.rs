//! The direct-current operating point.

use super::access::{add, narrow, put};
use super::capacity::{MAX_BRANCHES, MAX_NODES, MAX_POWER_BRANCHES, WORKSPACE_BYTES};
use super::links::link_currents;
use super::netlist::{Branch, Element, Netlist};
use super::outcome::{Outcome, Refusal};
use super::point::OperatingPoint;
use super::power::Ports;
use super::reduction::Reduction;
use super::tree::Tree;
use super::wire::Wire;
use crate::bounds::Bounded;
use crate::error::Error;

/// Worst balance of currents or of power that a result may have, relative to
/// the currents or the power that are balanced. Seen are 1e-12 and better.
pub(super) const WORST_BALANCE: f64 = 1e-6;

/// The memory of the solver.
///
/// Up to [`WORKSPACE_BYTES`]: keep it in a `static` or on the heap of the host, not on the
/// stack of a controller. It carries nothing from one solve to the next.
pub struct Workspace {
    pub(super) tree: Tree,
    pub(super) reduction: Reduction,
    pub(super) ports: Ports,
    /// The branch of each port.
    pub(super) port_branch: [usize; MAX_POWER_BRANCHES],
    pub(super) current: [f64; MAX_BRANCHES],
    pub(super) known: [bool; MAX_BRANCHES],
    pub(super) imbalance: f64,
}

const _: () = assert!(size_of::<Workspace>() <= WORKSPACE_BYTES);

impl Default for Workspace {
    fn default() -> Self {
        Self::new()
    }
}

impl core::fmt::Debug for Workspace {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Workspace").finish_non_exhaustive()
    }
}

impl Workspace {
    /// An empty workspace; all zero, so that a `static` one costs no flash.
    pub const fn new() -> Self {
        Self {
            tree: Tree::new(),
            reduction: Reduction::new(),
            ports: Ports::new(),
            port_branch: [0; MAX_POWER_BRANCHES],
            current: [0.0; MAX_BRANCHES],
            known: [false; MAX_BRANCHES],
            imbalance: 0.0,
        }
    }

    /// Solves the network: all node voltages and branch currents.
    ///
    /// **Computes** the direct-current operating point by star-mesh elimination,
    /// see [`crate::network`]; constant-power branches as described there.
    ///
    /// **Validity**: relative precision of a current 1e-9 down to about 1e-14 of
    /// the largest current of its island; below that it is rounding.
    ///
    /// # Errors
    /// [`crate::error::Capacity::ConstantPowerBranches`] beyond [`MAX_POWER_BRANCHES`];
    /// [`Error::OutOfRange`] when a result lies outside its row of
    /// [`crate::bounds`]. A network without operating point is not an error but
    /// [`Outcome::Refused`].
    pub fn solve<'a>(&'a mut self, netlist: &'a Netlist) -> Result<Outcome<'a>, Error> {
        match self.settle(netlist)? {
            Some(refusal) => Ok(Outcome::Refused(refusal)),
            None => Ok(Outcome::Settled(OperatingPoint {
                netlist,
                workspace: self,
            })),
        }
    }

    fn settle(&mut self, netlist: &Netlist) -> Result<Option<Refusal>, Error> {
        if let Err(refusal) = self.prepare(netlist) {
            return Ok(Some(refusal));
        }
        self.reduction.reduce(&[]);
        let mut injected = self.sources();
        if let Some(refusal) = self.settle_ports(netlist, &injected)? {
            return Ok(Some(refusal));
        }
        self.draw_powers(netlist, &mut injected);
        self.reduction.pass_on(&mut injected);
        self.reduction.expand(&injected);
        self.take_currents();
        self.imbalance = self.worst_imbalance();
        // Written so that NaN is refused.
        if !(self.imbalance <= WORST_BALANCE && self.powers_agree(netlist)) {
            return Ok(Some(Refusal::NotSettled));
        }
        link_currents(&self.tree, &mut self.current, &mut self.known);
        self.check_ranges(netlist)?;
        Ok(None)
    }

    /// Grows the tree, refuses sources without a circuit, enters the conductances.
    pub(super) fn prepare(&mut self, netlist: &Netlist) -> Result<(), Refusal> {
        self.tree.grow(netlist)?;
        for (id, branch) in netlist.branches() {
            let draws = match branch.element {
                Element::ConstantCurrent(current) => current.as_amperes() != 0.0,
                Element::ConstantPower(power) => power.as_watts() != 0.0,
                Element::Resistance(_) | Element::Emf { .. } | Element::Open => false,
            };
            if draws && !self.same_island(branch) {
                return Err(Refusal::NoReturnPath { branch: id });
            }
            if draws && !self.tree.energised(branch.from.index()) {
                return Err(Refusal::NoEmf { branch: id });
            }
        }
        self.reduction.clear(self.tree.merged_count());
        for wire in self.tree.wires() {
            if wire.resists() {
                let (from, to) = wire.merged();
                self.reduction
                    .add_conductance(from, to, 1.0 / wire.resistance());
            }
        }
        Ok(())
    }

    fn same_island(&self, branch: Branch) -> bool {
        self.tree.island(branch.from.index()) == self.tree.island(branch.to.index())
    }

    /// Currents injected by what draws them whatever the voltage is, and by the loop EMFs:
    /// what the EMF of its loop would drive through a chord if all else had no resistance.
    pub(super) fn sources(&self) -> [f64; MAX_NODES] {
        let mut injected = [0.0; MAX_NODES];
        for wire in self.tree.wires() {
            let current = if wire.resists() {
                wire.emf / wire.resistance()
            } else {
                wire.drawn()
            };
            draw(&mut injected, wire, current);
        }
        injected
    }

    /// Currents of everything but the links.
    fn take_currents(&mut self) {
        for (wire, current) in self.tree.wires().iter().zip(&mut self.current) {
            *current = if wire.resists() {
                let (from, to) = wire.merged();
                (self.reduction.drop_between(from, to) + wire.emf) / wire.resistance()
            } else {
                wire.drawn()
            };
        }
        self.known.fill(true);
        for (port, &branch) in self.port_branch.iter().take(self.ports.count()).enumerate() {
            put(&mut self.current, branch, self.ports.current(port));
        }
    }

    /// Kirchhoff's current law at every merged node: the worst sum relative to
    /// the currents that meet there. Where they are all less than a millionth of
    /// the largest current it is taken relative to that: a current that is zero by
    /// symmetry comes out as rounding, about 1e-15 of the largest, and rounding
    /// does not balance.
    fn worst_imbalance(&self) -> f64 {
        let mut sum = [0.0; MAX_NODES];
        let mut met = [0.0; MAX_NODES];
        let mut largest = 0.0;
        for (wire, &current) in self.tree.wires().iter().zip(&self.current) {
            let (from, to) = wire.merged();
            if from == to || wire.is_link() {
                continue;
            }
            if !current.is_finite() {
                return f64::INFINITY;
            }
            largest = current.abs().max(largest);
            add(&mut sum, from, -current);
            add(&mut sum, to, current);
            add(&mut met, from, current.abs());
            add(&mut met, to, current.abs());
        }
        let floor = 1e-6 * largest;
        sum.iter()
            .zip(&met)
            .take(self.tree.merged_count())
            .filter(|(sum, _)| **sum != 0.0)
            .map(|(sum, met)| sum.abs() / met.max(floor))
            .fold(0.0, f64::max)
    }

    /// Voltage from one node to another of the same island.
    pub(super) fn volts(&self, from: usize, to: usize) -> f64 {
        let (a, b) = (self.tree.merged(from), self.tree.merged(to));
        self.tree.lift(from) - self.tree.lift(to) + self.reduction.drop_between(a, b)
    }

    /// Refuses what the public quantities cannot hold, so that reading a result
    /// cannot fail afterwards.
    fn check_ranges(&self, netlist: &Netlist) -> Result<(), Error> {
        for node in 0..netlist.node_count() {
            // Half the row: two nodes may differ by twice their potential.
            let potential = self.volts(node, self.tree.reference(node));
            Bounded::Voltage.check(narrow(2.0 * potential))?;
        }
        for (wire, &current) in self.tree.wires().iter().zip(&self.current) {
            Bounded::Current.check(narrow(current))?;
            let (from, to) = wire.nodes();
            if self.tree.island(from) == self.tree.island(to) {
                Bounded::Power.check(narrow(self.volts(from, to) * current))?;
            }
            if wire.conducts() {
                Bounded::Power.check(narrow(current * current * wire.resistance()))?;
            }
        }
        Ok(())
    }
}

/// Takes a current out at the first end of a branch and puts it in at the second.
pub(super) fn draw(injected: &mut [f64; MAX_NODES], wire: &Wire, current: f64) {
    let (from, to) = wire.merged();
    if from != to {
        add(injected, from, -current);
        add(injected, to, current);
    }
}
