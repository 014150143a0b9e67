//! Computations for the high-voltage side of one-off electric conversions.
//!
//! The same numbers on the bench and in the vehicle: `no_std`, no allocation, no
//! unsafe code, no panic, all transcendental mathematics through `libm`, so that
//! x86-64 and Cortex-M4F agree bit for bit.
//!
//! | module | what it is about |
//! |---|---|
//! | [`quantity`] | typed quantities and the products that have a meaning |
//! | [`bounds`] | every accepted range, once |
//! | [`standard`] | published values with their source |
//! | [`conductor`] | what one conductor does: resistance, heat, drop, short circuit |
//! | [`size`] | the smallest conductor that holds |
//! | [`design`] | what a builder describes |
//! | [`network`] | what flows where: the direct-current network of a vehicle |
//! | [`fault`] | short circuits: what feeds them, what clears them, which loop has no fuse |
//! | [`study`] | everything computed once from a design: currents, temperatures |
//! | [`review`] | the checklist: rules over a design and its study |
//! | [`limits`] | what a vehicle controller keeps of a design, as a checked image |
//! | [`monitor`] | what a vehicle controller looks at in every tick |
//! | [`protection`] | fuses and contactors: melting, clearing, their verdicts |
//! | [`insulation`] | clearance, creepage, isolation resistance, touch energy, bonding, withstand tests |
//! | [`link`] | precharge and discharge of the link capacitor, strings in parallel |
//! | [`shield`] | coverage, resistance and circulating current of a braid |
//! | [`verdict`] | holds, fails, open, not applicable, with the evidence |
//! | [`error`] | why a computation was refused |
//!
//! **This work can kill.** A result is a calculation from entered values. It
//! replaces neither measurement nor local codes nor licensed practice; see
//! SAFETY.md.

#![no_std]
#![forbid(unsafe_code)]
#![deny(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::unreachable,
    clippy::indexing_slicing,
    clippy::alloc_instead_of_core
)]
#![cfg_attr(
    test,
    allow(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::indexing_slicing
    )
)]

#[cfg(test)]
extern crate std;

#[macro_use]
mod constant;
#[macro_use]
mod worded;

pub mod bounds;
pub mod conductor;
pub mod design;
pub mod error;
pub mod fault;
pub mod insulation;
pub mod limits;
pub mod link;
pub mod monitor;
pub mod network;
pub mod protection;
pub mod quantity;
pub mod review;
pub mod shield;
pub mod size;
pub mod standard;
pub mod study;
pub mod verdict;
