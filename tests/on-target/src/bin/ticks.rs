//! Ticks the monitors in each moment that is measured, so that an emulator can be asked
//! which function takes how many instructions: `ci/on-target where`.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use orangeloom_on_target::board::stop;
use orangeloom_on_target::calls::monitor;
use orangeloom_on_target::measure::Print;

orangeloom_on_target::a_panic_fails_the_run!();

#[entry]
fn main() -> ! {
    monitor::ticks(&mut Print);
    stop()
}
