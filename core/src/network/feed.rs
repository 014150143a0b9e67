//! Between the network and its constant-power branches: which they are, what
//! they see of the rest, what they draw.

use super::access::{at, narrow, put};
use super::capacity::{MAX_NODES, MAX_POWER_BRANCHES};
use super::netlist::{BranchId, Element, Netlist};
use super::outcome::{Refusal, Shortfall};
use super::power::{Collapse, Fed};
use super::solve::{WORST_BALANCE, Workspace, draw};
use super::wire::Wire;
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::{Power, Resistance, Share, Voltage};

impl Workspace {
    /// Finds the currents of the constant-power branches, or why there are none.
    pub(super) fn settle_ports(
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
            if let Some((wire, power)) = self.port(netlist, port) {
                let (from, to) = wire.nodes();
                let lift = self.tree.lift(from) - self.tree.lift(to);
                let (from, to) = wire.merged();
                let open_circuit = lift + at(&potential, from) - at(&potential, to);
                self.ports.set_port(port, power, open_circuit);
            }
        }
        for drawn_at in 0..self.ports.count() {
            let mut unit = [0.0; MAX_NODES];
            if let Some((wire, _)) = self.port(netlist, drawn_at) {
                draw(&mut unit, &wire, 1.0);
            }
            self.reduction.pass_on(&mut unit);
            let potential = self.reduction.potentials(&unit);
            for port in 0..self.ports.count() {
                if let Some((wire, _)) = self.port(netlist, port) {
                    let (from, to) = wire.merged();
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

    /// A constant-power branch and its power.
    fn port(&self, netlist: &Netlist, port: usize) -> Option<(Wire, f64)> {
        let position = at(&self.port_branch, port);
        let (_, branch) = netlist.branches().nth(position)?;
        match branch.element {
            Element::ConstantPower(power) => {
                let wire = self.tree.wires().get(position)?;
                Some((*wire, f64::from(power.as_watts())))
            }
            _ => None,
        }
    }

    fn port_id(&self, netlist: &Netlist, port: usize) -> Result<BranchId, Error> {
        netlist
            .branches()
            .nth(at(&self.port_branch, port))
            .map(|(id, _)| id)
            .ok_or(Error::Inconsistent(Inconsistency::UnknownBranch))
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

    /// Injects the currents found.
    pub(super) fn draw_powers(&self, netlist: &Netlist, injected: &mut [f64; MAX_NODES]) {
        for port in 0..self.ports.count() {
            if let Some((wire, _)) = self.port(netlist, port) {
                draw(injected, &wire, self.ports.current(port));
            }
        }
    }

    /// Every constant-power branch gets its power at the voltage of the full solution.
    pub(super) fn powers_agree(&self, netlist: &Netlist) -> bool {
        (0..self.ports.count()).all(|port| {
            let Some((wire, power)) = self.port(netlist, port) else {
                return false;
            };
            let (from, to) = wire.nodes();
            let voltage = self.volts(from, to);
            let found = voltage * self.ports.current(port);
            (found - power).abs() <= WORST_BALANCE * power.abs()
        })
    }
}
