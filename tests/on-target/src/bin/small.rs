//! What a controller runs, on a controller without a floating-point unit and without
//! atomic exchange: limits and monitors. Links only if no panic is reachable, and prints
//! the cases that the host compares, and how much stack a tick takes.

#![no_std]
#![no_main]

use core::hint::black_box;

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{Inputs, Monitors};
use orangeloom_on_target::board::{self, entry};

orangeloom_on_target::a_panic_does_not_link!();

const IMAGE: &[u8] = include_bytes!("../../../../core/src/limits/sample.image");

/// A tick in which nothing is known, so that everything is told.
#[inline(never)]
fn stack_of_a_tick() {
    let Ok(limits) = Limits::decode(black_box(IMAGE)) else {
        return;
    };
    let mut monitors = Monitors::new();
    let tick = board::stack(&mut || {
        black_box(
            monitors.tick(&limits, 0, black_box(&Inputs::NONE), &mut |finding| {
                black_box(finding);
            }),
        );
    });
    board::line("stack/tick", tick);
}

#[entry]
fn main() -> ! {
    orangeloom_vectors::run_monitors(&mut board::line);
    stack_of_a_tick();
    #[cfg(feature = "bad")]
    core::hint::black_box([1_u8, 2][core::hint::black_box(2)]);
    board::stop()
}
