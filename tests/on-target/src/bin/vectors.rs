//! Prints the shared cases as `cargo run -p orangeloom-vectors --example print`
//! does on the host.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use cortex_m_semihosting::{debug, hprintln};

orangeloom_on_target::a_panic_fails_the_run!();

#[entry]
fn main() -> ! {
    orangeloom_vectors::run(&mut |name, bits| hprintln!("{} {:08x}", name, bits));
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
