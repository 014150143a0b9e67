//! The three demonstration vehicles, built by hand. All invented.
//!
//! Parts, lengths and currents are those of the demonstrations in the fixtures;
//! where a vehicle there has several equal things, one stands for them here.

mod build;
mod shunter;
mod tractor;
mod truck;

pub use build::Build;
pub use shunter::shunter;
pub use tractor::tractor;
pub use truck::truck;
