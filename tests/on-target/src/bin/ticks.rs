//! Ticks the monitors in each moment that is measured, so that an emulator can be asked
//! which function takes how many instructions: `ci/on-target where`.

#![no_std]
#![no_main]

use core::hint::black_box;

use cortex_m_rt::entry;
use cortex_m_semihosting::{debug, hprintln};
use orangeloom_core::error::Error;
use orangeloom_on_target::calls::{Visit, monitor};
use orangeloom_on_target::measure::cost;

orangeloom_on_target::a_panic_fails_the_run!();

struct Measure;

impl Visit for Measure {
    fn call<T, R>(&mut self, name: &'static str, input: T, function: fn(&T) -> R) {
        let cost = cost(black_box(&input), function);
        hprintln!("{:<48} {:>10} {:>7}", name, cost.instructions, cost.stack);
    }

    fn brief<T, R>(&mut self, _: T, _: fn(&T) -> R) {}

    fn given<T>(&mut self, _: &'static str, input: Result<T, Error>) -> Option<T> {
        input.ok()
    }
}

#[entry]
fn main() -> ! {
    monitor::ticks(&mut Measure);
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
