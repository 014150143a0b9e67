//! The proof that no panic is reachable from the core: this image links.

#![no_std]
#![no_main]

use core::hint::black_box;

use cortex_m_rt::entry;
use cortex_m_semihosting::debug;
use orangeloom_core::error::Error;
use orangeloom_on_target::calls::{self, Visit};

orangeloom_on_target::a_panic_does_not_link!();

struct Prove;

impl Visit for Prove {
    fn call<T, R>(&mut self, _: &'static str, input: T, function: fn(&T) -> R) {
        self.brief(input, function);
    }

    fn brief<T, R>(&mut self, input: T, function: fn(&T) -> R) {
        black_box(&function(black_box(&input)));
    }

    fn given<T>(&mut self, _: &'static str, input: Result<T, Error>) -> Option<T> {
        if input.is_err() {
            debug::exit(debug::EXIT_FAILURE);
        }
        black_box(input).ok()
    }
}

#[entry]
fn main() -> ! {
    calls::all(&mut Prove);
    #[cfg(feature = "bad")]
    black_box([1_u8, 2][black_box(2)]);
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
