//! What the images share: which functions are called, how they are measured and
//! what happens when they panic.
//!
//! The only crate of the project with unsafe code: reading a timer, painting the
//! stack and naming a function that does not exist need it.

#![no_std]

pub mod calls;
pub mod measure;
pub mod panic;
