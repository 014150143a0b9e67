//! Checks of orangeloom against things outside the project.

pub mod demo;
pub mod published;
