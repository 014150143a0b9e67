//! The braid around a cable, and the class of the cable itself.
//!
//! | file | what it is about |
//! |---|---|
//! | `braid` | coverage, section and resistance from how it is made |
//! | `circulating` | current in a shield that is bonded at both ends |
//! | `cable_class` | voltage and temperature class of the cable |
//!
//! What a fault to the shield may let through is
//! [`crate::insulation::strap_withstand`] with [`Braid::strand_area`].

mod braid;
mod cable_class;
mod circulating;

pub use braid::*;
pub use cable_class::*;
pub use circulating::*;
