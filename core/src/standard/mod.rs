//! Published values, one file per standard.
//!
//! Every table is a `const` array that carries its [`SourceId`]. Values are
//! entered as printed, also where a better figure is known; interpolation happens
//! only where the standard allows it, otherwise the next safer step is taken.

pub mod ambient;
pub mod awg;
pub mod din43671;
pub mod grouping;
pub mod iec60228;
pub mod iec60287;
pub mod iec60664;
pub mod iec60664_altitude;
pub mod iec60664_clearance;
pub mod iec60664_creepage;
pub mod insulation;
pub mod iso6722;
pub mod metal;
mod nominal;
pub mod short_circuit;
mod source;

pub use source::{Evidence, Source, SourceId};
