//! What a controller runs, on a controller without a floating-point unit and without
//! atomic exchange: limits and monitors. Links only if no panic is reachable, and prints
//! the cases that the host compares.

#![no_std]
#![no_main]

use orangeloom_on_target::board::{self, entry};

orangeloom_on_target::a_panic_does_not_link!();

#[entry]
fn main() -> ! {
    orangeloom_vectors::run_monitors(&mut board::line);
    #[cfg(feature = "bad")]
    core::hint::black_box([1_u8, 2][core::hint::black_box(2)]);
    board::stop()
}
