//! Published values, one file per standard.
//!
//! Every table is a `const` array that carries its [`SourceId`]. Values are
//! entered as printed, also where a better figure is known; interpolation happens
//! only where the standard allows it, otherwise the next safer step is taken.

mod source;

pub use source::{Evidence, Source, SourceId};
