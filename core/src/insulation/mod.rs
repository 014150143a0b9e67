//! What keeps the high voltage where it belongs.
//!
//! | file | what it is about |
//! |---|---|
//! | `steps` | how a requirement came about, step by step |
//! | `clearance` | the shortest way through air that is allowed |
//! | `creepage` | the shortest way over a surface that is allowed |
//! | `profile` | the way over a surface with grooves and ribs, as built |
//! | `spacing` | both requirements at once, and the entered distances judged |
//! | `withstand` | test voltages, and what to disconnect before |
//! | `isolation` | resistance to chassis: limits, budget, monitor |
//! | `inserted_resistor` | resistance to chassis measured with a voltmeter and a resistor |
//! | `touch` | current and energy through a person, voltage limits by domain |
//! | `bonding` | resistance and section of a bond to chassis |

mod bonding;
mod clearance;
mod creepage;
mod inserted_resistor;
mod isolation;
mod profile;
mod remedy;
mod spacing;
mod steps;
mod touch;
mod withstand;

pub use bonding::*;
pub use clearance::*;
pub use creepage::*;
pub use inserted_resistor::*;
pub use isolation::*;
pub use profile::*;
pub use remedy::*;
pub use spacing::*;
pub use steps::*;
pub use touch::*;
pub use withstand::*;
