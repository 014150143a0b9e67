//! A whole review of a whole vehicle and nothing else: reads the bytes of a design,
//! studies it, asks every rule. Prints what that costs.
//!
//! Needs the emulator with `-icount shift=8`; checks that before it measures.

#![no_std]
#![no_main]

use core::cell::RefCell;
use core::hint::black_box;

use cortex_m_rt::entry;
use cortex_m_semihosting::{debug, hprintln};
use orangeloom_core::design::Design;
use orangeloom_on_target::measure::{check_the_ruler, cost};
use orangeloom_vectors::review::{Memory, whole};
use orangeloom_vectors::vehicle::truck;

orangeloom_on_target::a_panic_fails_the_run!();

fn reviewed((design, memory): &(Design, RefCell<Memory>)) -> Option<u32> {
    let mut memory = memory.try_borrow_mut().ok()?;
    whole(design, &mut memory, &mut |finding| {
        black_box(finding);
    })
}

#[entry]
fn main() -> ! {
    let ruler = check_the_ruler();
    if let (Some(design), Ok(())) = (truck(), ruler) {
        let input = (design, RefCell::new(Memory::default()));
        if reviewed(&input).is_some() {
            let cost = cost(black_box(&input), reviewed);
            hprintln!("review/truck {} {}", cost.instructions, cost.stack);
            debug::exit(debug::EXIT_SUCCESS);
        }
    }
    loop {
        debug::exit(debug::EXIT_FAILURE);
    }
}
