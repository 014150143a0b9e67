//! The network as two nodes see it.

use super::access::narrow;
use super::netlist::{Netlist, Node};
use super::outcome::Refusal;
use super::solve::Workspace;
use crate::error::Error;
use crate::quantity::{Current, Resistance, Voltage};

/// What two nodes see of the network.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Seen {
    /// A voltage behind a resistance.
    Source(Thevenin),
    /// The two nodes lie in different islands: no current can flow between them.
    NoPath,
    /// The network itself has no operating point.
    Refused(Refusal),
}

/// A network reduced to a voltage behind a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Thevenin {
    /// Voltage of the first node above the second.
    pub open_circuit: Voltage,
    /// Resistance between them with every EMF replaced by its resistance.
    pub resistance: Resistance,
    /// What a joint without resistance between them would carry.
    pub prospective: Prospective,
}

/// Prospective current of a bolted short circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // limited or not
pub enum Prospective {
    /// From the first node to the second through the short circuit.
    Current(Current),
    /// The two nodes are joined without resistance and without voltage between
    /// them: the current is not defined.
    AlreadyJoined,
    /// An EMF without any resistance lies between them: nothing limits the current.
    Unlimited,
}

impl Workspace {
    /// Open-circuit voltage, resistance and prospective bolted short-circuit
    /// current between two nodes.
    ///
    /// **Equation**: everything but the two nodes is eliminated; what remains is
    /// one conductance and one current, so neither is a difference.
    ///
    /// **Constant-power branches** are left out: at a collapsed voltage a
    /// converter stops, and a source of power gives little beside a battery.
    /// Constant-current branches stay. Enter what a converter really feeds into
    /// a fault as a constant current.
    ///
    /// # Errors
    /// [`crate::error::Inconsistency::UnknownNode`] for a node of another network,
    /// [`Error::OutOfRange`] when a result lies outside its row of [`crate::bounds`].
    pub fn thevenin(&mut self, netlist: &Netlist, above: Node, below: Node) -> Result<Seen, Error> {
        netlist.node(above.index())?;
        netlist.node(below.index())?;
        if let Err(refusal) = self.prepare(netlist) {
            return Ok(Seen::Refused(refusal));
        }
        let (a, b) = (above.index(), below.index());
        if self.tree.island(a) != self.tree.island(b) {
            return Ok(Seen::NoPath);
        }
        let lift = self.tree.lift(a) - self.tree.lift(b);
        let (merged_a, merged_b) = (self.tree.merged(a), self.tree.merged(b));
        if merged_a == merged_b {
            return Ok(Seen::Source(Thevenin {
                open_circuit: Voltage::from_volts(narrow(lift))?,
                resistance: Resistance::from_ohms(0.0)?,
                prospective: if lift == 0.0 {
                    Prospective::AlreadyJoined
                } else {
                    Prospective::Unlimited
                },
            }));
        }
        self.reduction.reduce(&[merged_a, merged_b]);
        let mut injected = self.sources();
        self.reduction.pass_on(&mut injected);
        let (conductance, current) = self.reduction.between_last(merged_a, merged_b, &injected);
        let open_circuit = lift + current / conductance;
        Ok(Seen::Source(Thevenin {
            open_circuit: Voltage::from_volts(narrow(open_circuit))?,
            resistance: Resistance::from_ohms(narrow(1.0 / conductance))?,
            prospective: Prospective::Current(Current::from_amperes(narrow(
                lift * conductance + current,
            ))?),
        }))
    }
}
