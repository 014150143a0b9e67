//! What a builder describes: the vehicle as an electrician reads it off the diagram.
//!
//! Everything later reads this: what flows where, what happens in a fault, the
//! review, the limits of the controller, the papers. It is data, and what follows
//! from the data by adding and multiplying; it judges nothing.
//!
//! **The picture.** Terminals are points. Between two terminals lies one of
//! [`Battery`], [`Conductor`], [`Fuse`], [`Contactor`], [`ServiceDisconnect`],
//! [`Resistor`], [`Load`]; a [`Converter`] is a load of the high-voltage side that
//! feeds the low-voltage side. A precharge path is a resistor and the contactor
//! that is its relay. Terminals sit in boxes ([`Enclosure`]), boxes and routes in
//! zones ([`Zone`]). Types ([`CableType`], [`FuseType`] ...) are entered once and
//! referred to. A [`Phase`] says which contactors are closed and what each load
//! draws, a [`Duty`] is a sequence of phases that repeats. [`Reading`] and
//! [`Attestation`] are kept beside, to be judged by the review.
//!
//! **Signs.** A current is positive from the first terminal to the second:
//! through a battery from negative to positive (it is discharged), through a load
//! from positive to negative (it draws). Sources and regeneration draw negative.
//!
//! **What is not known** is `None` and stays so. Nothing here replaces it by a
//! default; [`Circuit::guesses`] lists what a network had to do without, and
//! whoever computes with that network leaves his verdict open.
//!
//! **Memory.** No allocation: fixed capacities, all in `capacity.rs` with the
//! vehicle they were counted on, [`Design`] below [`DESIGN_BYTES`]. Entries refer
//! to each other by small numbers ([`FuseId`] ...) that [`Design::add`] gives out;
//! names are texts, kept once ([`Design::put_text`]). A number can be turned into
//! a [`Thing`], which a reader of files uses to find the line it read it from.
//!
//! **Faults.** Adding refuses a name that is taken and an entry too many.
//! All else is said by [`Design::check`], every fault in one go, by thing.
//! Reading an unchecked design cannot panic: a number that stands for nothing
//! gives `None` or [`crate::error::Inconsistency::UnknownReference`].
//!
//! **To the solver.** [`Circuit::build`] makes the network of one system (the
//! traction side or the low-voltage side) in one phase, for one state of the cells,
//! one end of every resistance range and given conductor temperatures, and keeps
//! the way back from branches to things.
//!
//! | file | what it is about |
//! |---|---|
//! | `capacity`, `index`, `set`, `text`, `model` | how entries are kept |
//! | `place` | vehicle, zones, boxes, terminals, spacings |
//! | `battery`, `conductor`, `device`, `load` | what is drawn between terminals |
//! | `part_cable`, `part_fuse`, `part_contactor`, `part_small` | types from datasheets |
//! | `controller` | limits and times that the controller keeps |
//! | `operation`, `demand` | phases, duties, what each load draws |
//! | `evidence` | readings and attestations |
//! | `finding`, `check`, `check_parts` | whether it is consistent |
//! | `drawn`, `strings`, `circuit` | what is joined, which strings there are, the network |

mod battery;
mod capacity;
mod check;
mod check_parts;
mod circuit;
mod conductor;
mod controller;
mod demand;
mod device;
mod drawn;
mod evidence;
mod finding;
mod index;
mod load;
mod model;
mod operation;
mod part_cable;
mod part_contactor;
mod part_fuse;
mod part_small;
mod place;
mod set;
mod strings;
mod text;

#[cfg(test)]
mod tests;

pub use battery::*;
pub use capacity::*;
pub use circuit::*;
pub use conductor::*;
pub use controller::*;
pub use demand::*;
pub use device::*;
pub use drawn::{Drawn, Systems};
pub(crate) use drawn::{Joined, carries};
pub use evidence::*;
pub use finding::*;
pub use index::*;
pub use load::*;
pub use model::*;
pub use operation::*;
pub use part_cable::*;
pub use part_contactor::*;
pub use part_fuse::*;
pub use part_small::*;
pub use place::*;
pub use set::*;
pub use strings::*;
