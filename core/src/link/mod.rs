//! The capacitor between the poles of a link, and strings in parallel.
//!
//! | file | what it is about |
//! |---|---|
//! | `charging` | voltage, current and resistor energy over time, with standing loads |
//! | `piece` | the closed form between two voltages at which loads start |
//! | `rating` | what a resistor may take: pulses, their repetition, a stuck relay |
//! | `precharge` | time, peak, energy, inrush at closing, judged |
//! | `window` | which resistors work, and what binds at either end |
//! | `discharge` | bleed, active discharge, waiting time for the label |
//! | `strings` | joining strings, their share of the current, back-feed |

mod charging;
mod discharge;
mod piece;
mod precharge;
mod rating;
mod strings;
mod window;

#[cfg(test)]
mod tests;

pub use charging::*;
pub use discharge::*;
pub use precharge::*;
pub use rating::*;
pub use strings::*;
pub use window::*;
