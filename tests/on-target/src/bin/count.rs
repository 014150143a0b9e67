//! Prints what each call costs: name, instructions, bytes of stack.
//!
//! Needs the emulator with `-icount shift=8`; checks that before it measures.

#![no_std]
#![no_main]

use core::hint::black_box;

use cortex_m_rt::entry;
use cortex_m_semihosting::{debug, hprintln};
use orangeloom_core::error::Error;
use orangeloom_on_target::calls::{self, Visit};
use orangeloom_on_target::measure::{PAINTED, check_the_ruler, cost};

orangeloom_on_target::a_panic_fails_the_run!();

struct Measure;

impl Visit for Measure {
    fn call<T, R>(&mut self, name: &'static str, input: T, function: fn(&T) -> R) {
        let cost = cost(black_box(&input), function);
        if cost.stack >= PAINTED {
            fail(format_args!(
                "{name}: uses more stack than the {PAINTED} bytes painted"
            ));
        }
        hprintln!("{:<48} {:>10} {:>7}", name, cost.instructions, cost.stack);
    }

    fn brief<T, R>(&mut self, _: T, _: fn(&T) -> R) {}

    fn given<T>(&mut self, name: &'static str, input: Result<T, Error>) -> Option<T> {
        match input {
            Ok(input) => Some(input),
            Err(error) => fail(format_args!("{name}: refused as {error:?}")),
        }
    }
}

fn fail(why: core::fmt::Arguments<'_>) -> ! {
    hprintln!("{}", why);
    loop {
        debug::exit(debug::EXIT_FAILURE);
    }
}

#[entry]
fn main() -> ! {
    hprintln!("# {}, opt-level s, Cortex-M4F", env!("COMPILER"));
    if let Err((what, read, right)) = check_the_ruler() {
        fail(format_args!(
            "the ruler is wrong: {what} read as {read}, is {right}"
        ));
    }
    hprintln!("# {:<46} {:>10} {:>7}", "name", "instr.", "stack B");
    calls::all(&mut Measure);
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
