//! Short circuits: where they can happen, what feeds them, what clears them.
//!
//! [`FaultStudy`] reads a design once, lists its faults and solves one at a time in
//! memory that the caller owns ([`FaultWorkspace`]).
//!
//! | file | what it is about |
//! |---|---|
//! | `place` | points, kinds of fault, what is in one place |
//! | `enumerate` | every fault, in order |
//! | `graph` | the network that feeds faults, at the largest and the smallest current |
//! | `reduced` | the loops that contain one fault, solved |
//! | `sequence` | what carries it, which fuse opens after which |
//! | `bond` | the bond of a box in a fault through chassis |
//! | `rise` | I (1 - exp(-t/tau)) and its joule integral, in closed form |
//! | `discharge` | a capacitor through resistance and inductance, in closed form |
//! | `surge` | what link capacitors drive through a fuse or contactor |
//! | `transient` | any network of batteries, inductances, capacitors, step by step |
//! | `precharged` | whether every capacitor has a precharge path |
//! | `study` | all of a design |
//!
//! **Left out**, all of it small beside a battery: what loads, charging sources and
//! converters feed into a fault; currents through bleed and precharge resistors; load
//! currents before the fault. **Not covered**: faults with a resistance or an arc of their
//! own, faults inside cells or devices, faults of the low-voltage side.

mod bond;
mod discharge;
mod enumerate;
mod graph;
mod place;
mod precharged;
mod reduced;
mod rise;
mod sequence;
mod study;
mod surge;
mod transient;

#[cfg(test)]
mod tests;

use crate::quantity::{Inductance, Resistance};

pub use bond::BOND;
pub use discharge::Discharge;
pub(crate) use graph::coldest;
pub use graph::{APART, COLDEST, Extreme, HOTTEST, MAX_FAULT_GAPS, pair_inductance};
pub use place::{Along, Fault, FaultKind, Point};
pub use precharged::{Precharged, precharge_of};
pub(crate) use precharged::{joined, live, precharge_way};
pub use rise::Rise;
pub(crate) use sequence::curves;
pub use sequence::{
    Burden, Carrier, End, FaultCurrent, Feeder, MAX_BURDENS, MAX_CARRIERS, MAX_FEEDERS, MAX_STAGES,
    Stage,
};
pub use study::{FaultCheck, FaultCourse, FaultResult, FaultStudy, FaultWorkspace};
pub use surge::Surge;
pub use transient::{
    Course, LEAST_INDUCTANCE, MAX_CAPACITORS, MAX_LOOPS, MAX_WATCHED, Transient, TransientBranch,
    Watched,
};

/// Series resistance of a link capacitor, as film capacitors of some hundred microfarad
/// have it (common practice, no source). Less would make the peak larger: with 2 mohm of
/// cable beside it, by a third at most.
pub const LINK_RESISTANCE: Resistance = constant!(Resistance::from_ohms(1.0e-3));

/// Series inductance of a link capacitor with its bars (common practice, no source).
pub const LINK_INDUCTANCE: Inductance = constant!(Inductance::from_henries(2.0e-8));
