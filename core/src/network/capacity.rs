//! The fixed capacities of a network, once.
//!
//! Worst case that has to fit, counted on the largest vehicle this project
//! considers: eight battery boxes, twelve consumers or charging sources on one
//! distribution box, and a low-voltage side that is solved with it.
//!
//! | part | nodes | branches |
//! |---|---|---|
//! | battery box (8): battery, fuse, two contactors, two cables to the bar | 8 x 5 = 40 | 8 x 7 = 56 |
//! | main path: service disconnect, main fuse, two contactors, precharge, cables | 6 | 12 |
//! | distribution bars | 2 | 0 |
//! | consumer (12): fuse, two cables, load, bleed resistor, joint resistances | 12 x 3 = 36 | 12 x 7 = 84 |
//! | low-voltage side: battery, converter, fused consumers | 12 | 36 |
//! | sum | 96 | 188 |
//!
//! Working set of the solver at these capacities: [`super::Workspace`] is below
//! [`WORKSPACE_BYTES`], of which the pair storage is 96 x 95 / 2 x 8 = 36,480 bytes
//! and the two constant-power matrices 2 x 32 x 32 x 8 = 16,384 bytes. It belongs
//! to the caller and can be a `static`. A Cortex-M with 128 KiB of RAM holds it
//! together with a [`super::Netlist`] (about 6 KiB). The local arrays of a solve add
//! up to 6 KiB of stack (counted, not measured on target).

/// Most nodes of one network.
pub const MAX_NODES: usize = 96;

/// Most branches of one network, open ones included.
pub const MAX_BRANCHES: usize = 192;

/// Most constant-power branches that draw or deliver something at the same
/// time: twelve on the high-voltage side, twenty fused low-voltage consumers.
pub const MAX_POWER_BRANCHES: usize = 32;

/// Upper limit of the size of [`super::Workspace`]; checked when compiling.
pub const WORKSPACE_BYTES: usize = 64 * 1024;
