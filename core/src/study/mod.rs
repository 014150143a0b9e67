//! Everything computed once from a design.
//!
//! | file | what it is about |
//! |---|---|
//! | `conductor` | how hot one conductor of a design becomes in one of its duties |
//! | `currents` | the current of every conductor in every phase |
//! | `window` | the worst r.m.s. current over a window of a repeating duty |
//! | `warmth` | how hot a conductor becomes in a repeating duty, piece by piece |

mod conductor;
mod currents;
mod warmth;
mod window;

pub use conductor::*;
pub use currents::*;
pub use warmth::*;
pub use window::*;
