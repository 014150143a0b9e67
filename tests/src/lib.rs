//! Checks of orangeloom against things outside the project.
//!
//! | module | what it is |
//! |---|---|
//! | [`computed`] | reads the columns under `reference_scripts/` |
//! | [`demo`] | the three demonstration vehicles, built by hand |
//! | [`drive`] | a controller that obeys the monitors, driving the simulated vehicle |
//! | [`fixture`] | the designs under `fixtures/` and their studies |
//! | [`oracle`] | the steady balance, skin effect and radial chain again, in `f64`, written apart from the core |
//! | [`plant`] | a simulated vehicle with faults, for the monitors |
//! | [`published`] | reads the tables under `published/` |
//! | [`reviewed`] | a design with everything that a review reads |

pub mod computed;
pub mod demo;
pub mod drive;
pub mod fixture;
pub mod oracle;
pub mod plant;
pub mod published;
pub mod reviewed;
