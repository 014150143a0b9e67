//! Starts and stops. What another image is larger by is what it calls.

#![no_std]
#![no_main]

use orangeloom_on_target::board::{self, entry};

orangeloom_on_target::a_panic_does_not_link!();

#[entry]
fn main() -> ! {
    board::stop()
}
