//! Cases whose results must be the same, bit for bit, on the host and on a
//! controller.
//!
//! One source for both sides: `examples/print.rs` runs it here, the `vectors`
//! image in `tests/on-target` runs it on a Cortex-M4F, and `ci/on-target`
//! compares the two outputs line by line. The host is a check only because its
//! numbers are held against published tables elsewhere; this crate says nothing
//! about whether a number is right, only that it is the same.
//!
//! To add cases: write `pub(crate) fn cases(lines: &mut Lines<'_>)` in a file
//! named after the area and list it in [`run`].

#![no_std]
#![forbid(unsafe_code)]

#[cfg(test)]
extern crate std;

mod bounds;
mod conductor;
mod fault;
mod insulation;
mod lines;
mod link;
mod maths;
mod monitor;
mod network;
mod protection;
mod quantity;
#[cfg(feature = "study")]
pub mod review;
mod sample;
mod scenes;
mod size;
mod standard;
#[cfg(feature = "study")]
mod study;
#[cfg(feature = "study")]
pub mod vehicle;

pub use monitor::quiet;

use lines::Lines;

/// Runs every case and hands each line, a name and its bits, to `line`.
pub fn run(line: &mut dyn FnMut(&str, u32)) {
    let lines = &mut Lines::new(line);
    maths::cases(lines);
    bounds::cases(lines);
    quantity::cases(lines);
    standard::cases(lines);
    conductor::cases(lines);
    size::cases(lines);
    network::cases(lines);
    insulation::cases(lines);
    link::cases(lines);
    scenes::cases(lines);
    protection::cases(lines);
    fault::cases(lines);
    monitor::cases(lines);
    #[cfg(feature = "study")]
    study::cases(lines);
    #[cfg(feature = "study")]
    review::cases(lines);
}

/// Runs the cases of what a controller runs in every tick and no others: they fit into a
/// controller with 16 KiB of memory.
pub fn run_monitors(line: &mut dyn FnMut(&str, u32)) {
    monitor::cases(&mut Lines::new(line));
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::string::{String, ToString};
    use std::vec::Vec;

    fn lines() -> Vec<(String, u32)> {
        let mut lines = Vec::new();
        run(&mut |name, bits| lines.push((name.to_string(), bits)));
        lines
    }

    #[test]
    fn every_case_has_its_own_name_without_spaces() {
        let mut seen = BTreeSet::new();
        for (name, _) in lines() {
            assert!(!name.contains(char::is_whitespace), "{name}");
            assert!(seen.insert(name.clone()), "{name} twice");
        }
        assert!(!seen.is_empty());
    }
}
