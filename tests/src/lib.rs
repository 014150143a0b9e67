//! Checks of orangeloom against things outside the project.

pub mod published;
