//! What a controller runs and nothing else: reads the image of its limits, then ticks
//! every monitor. Links only if no panic is reachable.

#![no_std]
#![no_main]

use core::hint::black_box;

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{Inputs, Monitors};
use orangeloom_on_target::board::{self, entry};

orangeloom_on_target::a_panic_does_not_link!();

const IMAGE: &[u8] = include_bytes!("../../../../core/src/limits/sample.image");

#[entry]
fn main() -> ! {
    if let Ok(limits) = Limits::decode(black_box(IMAGE)) {
        let mut monitors = Monitors::new();
        for now_ms in [0, 10] {
            let inputs = black_box(Inputs::NONE);
            black_box(monitors.tick(&limits, now_ms, &inputs, &mut |finding| {
                black_box(finding);
            }));
        }
    }
    board::stop()
}
