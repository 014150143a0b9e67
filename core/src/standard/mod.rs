//! Published values, one file per standard.
//!
//! Every table is a `const` array that carries its [`SourceId`]. Values are
//! entered as printed, also where a better figure is known; interpolation happens
//! only where the standard allows it, otherwise the next safer step is taken.

pub mod iec60664;
pub mod iec60664_altitude;
pub mod iec60664_clearance;
pub mod iec60664_creepage;
mod source;

pub use source::{Evidence, Source, SourceId};
