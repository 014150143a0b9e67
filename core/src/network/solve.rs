//! The direct-current operating point.

use super::access::{add, at, narrow, put};
use super::capacity::{MAX_BRANCHES, MAX_NODES, MAX_POWER_BRANCHES, WORKSPACE_BYTES};
use super::links::{is_link, link_currents};
use super::netlist::{Branch, BranchId, Element, Netlist};
use super::outcome::{Outcome, Refusal, Shortfall};
use super::point::OperatingPoint;
use super::power::{Collapse, Fed, Ports};
use super::reduction::Reduction;
use super::tree::{Role, Tree};
use crate::bounds::Bounded;
use crate::error::{Capacity, Error};
use crate::quantity::{Power, Resistance, Share, Voltage};

/// Worst balance of currents or of power that a result may have, relative to
/// the currents or the power that are balanced. Seen are 1e-12 and better.
const WORST_BALANCE: f64 = 1e-6;

/// The memory of the solver.
///
/// Up to [`WORKSPACE_BYTES`]: keep it in a `static` or on the heap of the host, not on the
/// stack of a controller. It carries nothing from one solve to the next.
pub struct Workspace {
    pub(super) tree: Tree,
    pub(super) reduction: Reduction,
    ports: Ports,
    port_branch: [usize; MAX_POWER_BRANCHES],
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
    /// [`Capacity::ConstantPowerBranches`] beyond [`MAX_POWER_BRANCHES`];
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
        let mut injected = self.sources(netlist);
        if let Some(refusal) = self.settle_ports(netlist, &injected)? {
            return Ok(Some(refusal));
        }
        for (port, branch) in self.port_branches(netlist) {
            draw(&mut injected, &self.tree, branch, self.ports.current(port));
        }
        self.reduction.pass_on(&mut injected);
        self.reduction.expand(&injected);
        self.take_currents(netlist);
        self.imbalance = self.worst_imbalance(netlist);
        // Written so that NaN is refused.
        if !(self.imbalance <= WORST_BALANCE && self.powers_agree(netlist)) {
            return Ok(Some(Refusal::NotSettled));
        }
        link_currents(netlist, &self.tree, &mut self.current, &mut self.known);
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
        for (_, branch) in netlist.branches() {
            if let Some((resistance, _)) = branch.element.conducts()
                && resistance > 0.0
            {
                let (from, to) = ends(&self.tree, branch);
                self.reduction.add_conductance(from, to, 1.0 / resistance);
            }
        }
        Ok(())
    }

    fn same_island(&self, branch: Branch) -> bool {
        self.tree.island(branch.from.index()) == self.tree.island(branch.to.index())
    }

    /// Currents injected by the loop EMFs and the constant-current branches.
    pub(super) fn sources(&self, netlist: &Netlist) -> [f64; MAX_NODES] {
        let mut injected = [0.0; MAX_NODES];
        for (id, branch) in netlist.branches() {
            let current = match branch.element {
                Element::ConstantCurrent(current) => f64::from(current.as_amperes()),
                Element::Resistance(_) | Element::Emf { .. } => self.loop_current(netlist, id),
                Element::ConstantPower(_) | Element::Open => 0.0,
            };
            draw(&mut injected, &self.tree, branch, current);
        }
        injected
    }

    /// What the EMF of its loop would drive through a chord if all else had no resistance.
    fn loop_current(&self, netlist: &Netlist, id: BranchId) -> f64 {
        let resistance = netlist
            .branch(id)
            .ok()
            .and_then(|branch| branch.element.conducts())
            .map_or(0.0, |(resistance, _)| resistance);
        if self.tree.role(id) == Role::Chord && resistance > 0.0 {
            self.tree.loop_emf(netlist, id) / resistance
        } else {
            0.0
        }
    }

    fn port_branches<'a>(
        &'a self,
        netlist: &'a Netlist,
    ) -> impl Iterator<Item = (usize, Branch)> + 'a {
        let ids = self.port_branch.iter().take(self.ports.count());
        ids.enumerate().filter_map(|(port, &index)| {
            let (_, branch) = netlist.branches().nth(index)?;
            Some((port, branch))
        })
    }

    fn settle_ports(
        &mut self,
        netlist: &Netlist,
        injected: &[f64; MAX_NODES],
    ) -> Result<Option<Refusal>, Error> {
        self.collect_ports(netlist)?;
        if self.ports.count() == 0 {
            return Ok(None);
        }
        let mut passed = *injected;
        self.reduction.pass_on(&mut passed);
        let potential = self.reduction.potentials(&passed);
        for port in 0..self.ports.count() {
            if let Some((branch, power)) = self.port(netlist, port) {
                let lift = self.tree.lift(branch.from.index()) - self.tree.lift(branch.to.index());
                let (from, to) = ends(&self.tree, branch);
                let open_circuit = lift + at(&potential, from) - at(&potential, to);
                self.ports.set_port(port, power, open_circuit);
            }
        }
        for drawn_at in 0..self.ports.count() {
            let mut unit = [0.0; MAX_NODES];
            if let Some((branch, _)) = self.port(netlist, drawn_at) {
                draw(&mut unit, &self.tree, branch, 1.0);
            }
            self.reduction.pass_on(&mut unit);
            let potential = self.reduction.potentials(&unit);
            for port in 0..self.ports.count() {
                if let Some((branch, _)) = self.port(netlist, port) {
                    let (from, to) = ends(&self.tree, branch);
                    let drop = at(&potential, to) - at(&potential, from);
                    self.ports.set_resistance(port, drawn_at, drop);
                }
            }
        }
        match self.ports.settle() {
            Fed::Yes => Ok(None),
            Fed::WrongPolarity { port } => Ok(Some(Refusal::WrongPolarity {
                branch: self.port_id(netlist, port)?,
                voltage: Voltage::from_volts(narrow(self.ports.open_circuit(port)))?,
            })),
            Fed::No(collapse) => self.shortfall(netlist, collapse).map(Some),
            Fed::Unknown => Ok(Some(Refusal::NotSettled)),
        }
    }

    /// Sources first, as [`Ports`] wants them.
    fn collect_ports(&mut self, netlist: &Netlist) -> Result<(), Error> {
        let mut count = 0;
        let mut sources = 0;
        for wanted_sources in [true, false] {
            for (id, branch) in netlist.branches() {
                let Element::ConstantPower(power) = branch.element else {
                    continue;
                };
                let power = power.as_watts();
                if power == 0.0 || (power < 0.0) != wanted_sources {
                    continue;
                }
                if count >= MAX_POWER_BRANCHES {
                    return Err(Error::Capacity(Capacity::ConstantPowerBranches));
                }
                put(&mut self.port_branch, count, id.index());
                count += 1;
                sources += usize::from(wanted_sources);
            }
        }
        self.ports.clear(count, sources);
        Ok(())
    }

    fn port(&self, netlist: &Netlist, port: usize) -> Option<(Branch, f64)> {
        let (_, branch) = netlist.branches().nth(at(&self.port_branch, port))?;
        match branch.element {
            Element::ConstantPower(power) => Some((branch, f64::from(power.as_watts()))),
            _ => None,
        }
    }

    fn port_id(&self, netlist: &Netlist, port: usize) -> Result<BranchId, Error> {
        netlist
            .branches()
            .nth(at(&self.port_branch, port))
            .map(|(id, _)| id)
            .ok_or(Error::Inconsistent(
                crate::error::Inconsistency::UnknownBranch,
            ))
    }

    fn shortfall(&self, netlist: &Netlist, collapse: Collapse) -> Result<Refusal, Error> {
        let Collapse {
            port,
            open_circuit,
            resistance,
            feedable,
        } = collapse;
        let power = self.ports.power(port);
        Ok(Refusal::CannotBeFed(Shortfall {
            branch: self.port_id(netlist, port)?,
            power: Power::from_watts(narrow(power))?,
            open_circuit: Voltage::from_volts(narrow(open_circuit))?,
            resistance: Resistance::from_ohms(narrow(resistance))?,
            most: Power::from_watts(narrow(feedable * power))?,
            feedable: Share::from_fraction(narrow(feedable.min(1.0)))?,
        }))
    }

    /// Currents of everything but the links.
    fn take_currents(&mut self, netlist: &Netlist) {
        self.known.fill(true);
        self.current.fill(0.0);
        for (id, branch) in netlist.branches() {
            let current = match branch.element {
                Element::ConstantCurrent(current) => f64::from(current.as_amperes()),
                Element::Resistance(_) | Element::Emf { .. } => {
                    let (from, to) = ends(&self.tree, branch);
                    match branch.element.conducts() {
                        Some((resistance, _)) if resistance > 0.0 => {
                            (self.reduction.drop_between(from, to)
                                + self.tree.loop_emf(netlist, id))
                                / resistance
                        }
                        _ => 0.0,
                    }
                }
                Element::ConstantPower(_) | Element::Open => 0.0,
            };
            put(&mut self.current, id.index(), current);
        }
        for port in 0..self.ports.count() {
            let current = self.ports.current(port);
            put(&mut self.current, at(&self.port_branch, port), current);
        }
    }

    /// Kirchhoff's current law at every merged node: the worst sum relative to
    /// the currents that meet there. Where they are all less than a millionth of
    /// the largest current it is taken relative to that: a current that is zero by
    /// symmetry comes out as rounding, about 1e-15 of the largest, and rounding
    /// does not balance.
    fn worst_imbalance(&self, netlist: &Netlist) -> f64 {
        let mut sum = [0.0; MAX_NODES];
        let mut met = [0.0; MAX_NODES];
        let mut largest = 0.0;
        for (id, branch) in netlist.branches() {
            let (from, to) = ends(&self.tree, branch);
            if from == to || is_link(netlist, id) {
                continue;
            }
            let current = at(&self.current, id.index());
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
            .filter(|(sum, _)| **sum != 0.0)
            .map(|(sum, met)| sum.abs() / met.max(floor))
            .fold(0.0, f64::max)
    }

    /// Every constant-power branch gets its power at the voltage of the full solution.
    fn powers_agree(&self, netlist: &Netlist) -> bool {
        (0..self.ports.count()).all(|port| {
            let Some((branch, power)) = self.port(netlist, port) else {
                return false;
            };
            let voltage = self.volts(branch.from.index(), branch.to.index());
            let found = voltage * self.ports.current(port);
            (found - power).abs() <= WORST_BALANCE * power.abs()
        })
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
        for (id, branch) in netlist.branches() {
            let current = at(&self.current, id.index());
            Bounded::Current.check(narrow(current))?;
            if self.same_island(branch) {
                let voltage = self.volts(branch.from.index(), branch.to.index());
                Bounded::Power.check(narrow(voltage * current))?;
            }
            if let Some((resistance, _)) = branch.element.conducts() {
                Bounded::Power.check(narrow(current * current * resistance))?;
            }
        }
        Ok(())
    }
}

/// The merged nodes at the ends of a branch.
pub(super) fn ends(tree: &Tree, branch: Branch) -> (usize, usize) {
    (
        tree.merged(branch.from.index()),
        tree.merged(branch.to.index()),
    )
}

/// Takes a current out at the first end of a branch and puts it in at the second.
pub(super) fn draw(injected: &mut [f64; MAX_NODES], tree: &Tree, branch: Branch, current: f64) {
    let (from, to) = ends(tree, branch);
    if from != to {
        add(injected, from, -current);
        add(injected, to, current);
    }
}
