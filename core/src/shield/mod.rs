//! The braid around a cable, and the class of the cable itself.
//!
//! | file | what it is about |
//! |---|---|
//! | `braid` | coverage, section and resistance from how it is made |
//! | `circulating` | current in a shield that is bonded at both ends |
//! | `loss` | the heat of that current, for the heat balance of the cable |
//! | `need` | whether a circuit needs a shield |
//! | `termination` | cut-back, pigtail, continuity |
//! | `cable_class` | voltage and temperature class of the cable |
//!
//! What a fault to the shield may let through is
//! [`crate::insulation::strap_withstand`] with [`Braid::strand_area`].

mod braid;
mod cable_class;
mod circulating;
mod loss;
mod need;
mod termination;

pub use braid::*;
pub use cable_class::*;
pub use circulating::*;
pub use loss::*;
pub use need::*;
pub use termination::*;
