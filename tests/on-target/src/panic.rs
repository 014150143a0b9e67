//! The two answers to a panic.

/// A panic handler that no image can be linked with: it calls a function that
/// does not exist. An image with it links only if the optimiser and the linker
/// removed the handler, that is, if nothing can reach it.
#[macro_export]
macro_rules! a_panic_does_not_link {
    () => {
        #[panic_handler]
        fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
            unsafe extern "C" {
                #[link_name = "a panic is reachable from the core"]
                fn panic_is_reachable() -> !;
            }
            // SAFETY: never runs; an image with this call does not link.
            unsafe { panic_is_reachable() }
        }
    };
}

/// A panic handler that prints the message and ends the emulator with status 1.
#[macro_export]
macro_rules! a_panic_fails_the_run {
    () => {
        #[panic_handler]
        fn panic(info: &core::panic::PanicInfo<'_>) -> ! {
            cortex_m_semihosting::hprintln!("{}", info);
            loop {
                cortex_m_semihosting::debug::exit(cortex_m_semihosting::debug::EXIT_FAILURE);
            }
        }
    };
}
