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
//! | `fuse` | voltage, breaking, lasting current, pulses |
//! | `coordination` | fuse against fuse, fuse against contactor |
//! | `guarded` | what a fuse protects, over all currents |
//! | `window` | which rated currents and I2t a circuit allows |
//! | `series` | the fuses of a series, and the search along it |
//! | `remedy` | what opens an empty window |
//! | `contactor` | carry, make, break, withstand, the band where it stays closed |
//! | `coil` | pull-in and hold at the lowest supply |
//! | `verdicts` | all of them at once |

mod accumulator;
mod clearing;
mod coil;
mod contactor;
mod coordination;
mod fuse;
mod guarded;
mod melting;
mod remedy;
mod series;
mod verdicts;
mod window;
mod words;

#[cfg(test)]
mod tests;

pub use accumulator::*;
pub use clearing::*;
pub use coil::*;
pub use contactor::*;
pub use coordination::*;
pub use fuse::*;
pub use guarded::*;
pub use melting::*;
pub use remedy::*;
#[cfg(feature = "text")]
pub(crate) use series::of_series;
pub(crate) use verdicts::guards;
pub use verdicts::*;
pub use window::*;

use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// Judges a value against a limit of the same kind; open where either is missing.
fn at_most<N, Q: Into<f32>>(
    name: N,
    value: Option<Q>,
    limit: Option<Q>,
    source: SourceId,
) -> Judged<N> {
    at_most_of(name, value.map(Into::into), limit.map(Into::into), source)
}

/// The same with plain numbers in the unit of the check.
fn at_most_of<N>(name: N, value: Option<f32>, limit: Option<f32>, source: SourceId) -> Judged<N> {
    Judged::known(name, value, Side::AtMost, limit, source)
}

/// The same with a limit that has to be reached.
fn at_least_of<N>(name: N, value: Option<f32>, limit: Option<f32>, source: SourceId) -> Judged<N> {
    Judged::known(name, value, Side::AtLeast, limit, source)
}
