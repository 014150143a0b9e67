//! Prints what each call costs: name, instructions, bytes of stack.
//!
//! Needs the emulator with `-icount shift=8`; checks that before it measures.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use cortex_m_semihosting::{debug, hprintln};
use orangeloom_on_target::calls;
use orangeloom_on_target::measure::{Print, check_the_ruler, fail};

orangeloom_on_target::a_panic_fails_the_run!();

#[entry]
fn main() -> ! {
    hprintln!("# {}, opt-level s, Cortex-M4F", env!("COMPILER"));
    if let Err((what, read, right)) = check_the_ruler() {
        fail(format_args!(
            "the ruler is wrong: {what} read as {read}, is {right}"
        ));
    }
    hprintln!("# {:<46} {:>10} {:>7}", "name", "instr.", "stack B");
    calls::all(&mut Print);
    loop {
        debug::exit(debug::EXIT_SUCCESS);
    }
}
