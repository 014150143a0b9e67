//! Everything computed once from a design.
//!
//! [`Study::compute`] does all of it; the parts can be had one by one. A result is
//! [`Known`] or says of which thing what is missing.
//!
//! | file | what it is about |
//! |---|---|
//! | `whole` | the study itself |
//! | `checked` | a check with what keeps it open |
//! | `unknown` | why a result is not known |
//! | `points` | the operating point of every phase: currents, voltages |
//! | `series` | which things lie in series |
//! | `operation` | what the vehicle does over time: duties, lasting phases |
//! | `insulation` | distances, shields, isolation: what they have to be, and whether they are |
//! | `window` | the worst r.m.s. current over a window of a repeating duty |
//! | `warmth` | how hot one piece of a cable becomes in a repeating duty |
//! | `conductor` | what one conductor does: temperatures, drop, loss, mass, limits |
//! | `pack` | what the strings of the traction battery do |
//! | `load` | what loads and converters see |
//! | `sequence` | precharge, discharge, joining of strings, coils, step by step |
//! | `protection` | whether fuses and contactors stand their duty and end the faults |

mod checked;
mod conductor;
pub mod insulation;
mod load;
mod operation;
mod pack;
mod points;
mod protection;
pub mod sequence;
mod series;
mod unknown;
mod warmth;
mod whole;
mod window;

pub use checked::*;
pub use conductor::*;
pub use load::*;
pub use operation::*;
#[cfg(feature = "text")] // for the working
pub(crate) use pack::share_by_spread;
pub use pack::*;
pub use points::*;
pub use protection::*;
#[cfg(feature = "text")] // for what mends a finding
pub(crate) use sequence::SequencePart;
#[cfg(feature = "text")] // for the limits
pub(crate) use series::carries_all;
pub use unknown::*;
pub use warmth::*;
pub use whole::*;
pub use window::*;
