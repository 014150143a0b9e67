//! What the images share: which functions are called, how they are measured and
//! what happens when they panic.
//!
//! The only crate of the project with unsafe code: reading a timer, painting the
//! stack, a serial port and naming a function that does not exist need it.

#![no_std]

pub mod board;
// What measures is written for a Cortex-M4F; smaller images do not need the calls.
#[cfg(target_abi = "eabihf")]
pub mod calls;
#[cfg(target_abi = "eabihf")]
pub mod measure;
pub mod panic;
