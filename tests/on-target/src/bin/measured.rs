//! The measured calls and nothing else. What it is larger by than `empty` is the
//! flash that they take together.

#![no_std]
#![no_main]

use core::hint::black_box;

use cortex_m_rt::entry;
use cortex_m_semihosting::debug;
use orangeloom_core::error::Error;
use orangeloom_on_target::calls::{self, Visit};

orangeloom_on_target::a_panic_does_not_link!();

struct Call;

impl Visit for Call {
    fn call<T, R>(&mut self, _: &'static str, input: T, function: fn(&T) -> R) {
        black_box(&function(black_box(&input)));
    }

    fn brief<T, R>(&mut self, _: T, _: fn(&T) -> R) {}

    fn given<T>(&mut self, _: &'static str, input: Result<T, Error>) -> Option<T> {
        if input.is_err() {
            debug::exit(debug::EXIT_FAILURE);
        }
        black_box(input).ok()
    }
}

#[entry]
fn main() -> ! {
    calls::all(&mut Call);
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
