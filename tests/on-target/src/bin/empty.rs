//! Starts and stops. What another image is larger by is what it calls.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use cortex_m_semihosting::debug;

orangeloom_on_target::a_panic_does_not_link!();

#[entry]
fn main() -> ! {
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
