//! Fuses and contactors: what they do to a fault, and whether they stand their duty.
//!
//! Functions over the part types of [`crate::design`] and over quantities. None of
//! them knows a whole vehicle: a study finds the currents and calls them.
//!
//! | file | what it is about |
//! |---|---|
//! | `melting` | melting time of a fuse from its datasheet, on the safe side |
//! | `accumulator` | how far a fuse has melted under any current |
//! | `clearing` | melting and arcing: time, I2t, and whether it breaks at all |

mod accumulator;
mod clearing;
mod melting;

#[cfg(test)]
mod tests;

pub use accumulator::*;
pub use clearing::*;
pub use melting::*;
