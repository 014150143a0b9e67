//! The direct-current network of a vehicle: what flows where.
//!
//! A [`Netlist`] holds nodes and branches, a [`Workspace`] solves it, an
//! [`OperatingPoint`] is read. The same workspace gives what two nodes see of
//! the network ([`Workspace::thevenin`]): open-circuit voltage, resistance,
//! prospective short-circuit current.
//!
//! ```
//! use orangeloom_core::network::{Element, Netlist, Outcome, Workspace};
//! use orangeloom_core::quantity::{Power, Resistance, Voltage};
//! # fn main() -> Result<(), orangeloom_core::error::Error> {
//! let mut netlist = Netlist::new();
//! let (minus, plus, load) = (netlist.add_node()?, netlist.add_node()?, netlist.add_node()?);
//! let battery = netlist.add_branch(minus, plus, Element::Emf {
//!     emf: Voltage::from_volts(400.0)?,
//!     resistance: Resistance::from_ohms(0.1)?,
//! })?;
//! netlist.add_branch(plus, load, Element::Resistance(Resistance::from_ohms(0.002)?))?;
//! netlist.add_branch(load, minus, Element::ConstantPower(Power::from_watts(60.0e3)?))?;
//!
//! let mut workspace = Box::new(Workspace::new());
//! let Outcome::Settled(point) = workspace.solve(&netlist)? else { panic!() };
//! // V = (400 + sqrt(400^2 - 4 * 0.102 * 60e3)) / 2 = 384.07 V
//! assert!((point.voltage(load, minus).unwrap().as_volts() - 384.07).abs() < 0.005);
//! assert!((point.current(battery).unwrap().as_amperes() - 156.22).abs() < 0.005);
//! # Ok(())
//! # }
//! ```
//!
//! # The method, for a contributor
//!
//! A vehicle has contacts of 10 uohm beside bleed resistors of 10 kohm and
//! insulation of megohms. Subtracting two node voltages of 400 V to get the drop
//! of a contact throws away nine digits, and factorising a conductance matrix
//! with such a spread may throw away more. So nothing is computed as a
//! difference where a sum will do, and all internals are `f64`, the documented
//! exception to the `f32` of the rest of the crate. Inputs and results are the
//! `f32` quantities.
//!
//! 1. **Tree** (`tree.rs`). A spanning tree of least resistance finds the islands,
//!    merges the nodes joined by zero-ohm links, and shifts the potentials so that
//!    no branch of the tree has an EMF left. What remains is one loop EMF in each
//!    branch outside the tree, the weakest branch of its loop: 400 V sit at the
//!    load, and the batteries, cables and contacts become plain resistances.
//!    Ideal EMFs are links with a shift. A loop of links whose EMFs do not cancel
//!    is refused.
//! 2. **Reduction** (`reduction.rs`). Star-mesh elimination of the merged nodes;
//!    it subtracts nothing.
//! 3. **Constant power** (`feed.rs`, `power.rs`). The reduced network as the `m` constant-power
//!    branches see it, and Newton's method from above, which settles at the
//!    operating point or proves that there is none. Then these branches are
//!    constant currents.
//! 4. **Expansion** (`reduction.rs`). The drops between all pairs of nodes,
//!    smallest first, each from the currents that cause it. A branch current is
//!    `(drop + loop EMF) / resistance`: for a branch of the tree this is the drop
//!    alone, for the others the loop EMF less a drop that is small beside it
//!    unless the branch really carries little.
//! 5. **Links** (`links.rs`). Currents of zero-ohm links from the balance of
//!    currents beyond them.
//! 6. **Checks** (`solve.rs`). Balance of currents at every node and of power at
//!    every constant-power branch; a result that fails is refused, and so is one
//!    beyond the range of its quantity. Reading a result cannot fail.
//!
//! Parallel strings need no treatment of their own: their share follows from
//! EMF and resistance of each, a string left out is an [`Element::Open`] contactor.
//!
//! What stays ill-conditioned is what is so in the vehicle: the small current of
//! a balanced bridge, the small difference of two large currents in one link.
//!
//! What is not a number or out of range cannot be entered: the quantities refuse it.
//! Loops are bounded by the capacities in `capacity.rs` and by the named
//! step counts in `power.rs`. The result depends on nothing but the netlist.

mod access;
mod capacity;
mod feed;
mod links;
mod netlist;
mod nodes;
mod outcome;
mod pairs;
mod point;
mod power;
mod reduction;
mod solve;
mod thevenin;
mod tree;
mod wire;

#[cfg(test)]
mod tests;

pub use capacity::{MAX_BRANCHES, MAX_NODES, MAX_POWER_BRANCHES, WORKSPACE_BYTES};
pub use netlist::{Branch, BranchId, Element, Netlist, Node};
pub use outcome::{Outcome, Refusal, Shortfall};
pub use point::{IslandState, OperatingPoint};
pub use solve::Workspace;
pub use thevenin::{Prospective, Seen, Thevenin};
