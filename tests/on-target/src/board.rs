//! The emulated boards: where a program begins, prints and ends.
//!
//! | target | board |
//! |---|---|
//! | thumbv7em-none-eabihf | mps2-an386, Cortex-M4F |
//! | thumbv6m-none-eabi | microbit, run as the Cortex-M0 that it has |
//! | riscv32imac-unknown-none-elf | virt |
//!
//! Nothing here can panic, so that an image with it can be a proof and print.

#[cfg(target_arch = "arm")]
mod device {
    use cortex_m_semihosting::{debug, hio};

    /// Hands bytes to the host.
    pub fn write(bytes: &[u8]) {
        if let Ok(mut out) = hio::hstdout() {
            // Nobody to tell; the output that lacks is noticed on the host.
            let _ = out.write_all(bytes);
        }
    }

    /// Ends the emulation.
    pub fn stop() -> ! {
        loop {
            debug::exit(debug::EXIT_SUCCESS);
        }
    }
}

#[cfg(target_arch = "riscv32")]
mod device {
    use core::ptr::{with_exposed_provenance_mut, write_volatile};

    /// Where the serial port takes a byte.
    const PORT: usize = 0x1000_0000;
    /// Where the emulator is told to end, and how it is told that all went well.
    const END: usize = 0x0010_0000;
    const WELL: u32 = 0x5555;

    /// Hands bytes to the host.
    pub fn write(bytes: &[u8]) {
        for byte in bytes {
            // SAFETY: the serial port of this board; a write has no effect on memory.
            unsafe { write_volatile(with_exposed_provenance_mut(PORT), *byte) };
        }
    }

    /// Ends the emulation.
    pub fn stop() -> ! {
        loop {
            // SAFETY: the device of this board that ends the emulation.
            unsafe { write_volatile(with_exposed_provenance_mut(END), WELL) };
        }
    }
}

#[cfg(target_arch = "arm")]
pub use cortex_m_rt::entry;
#[cfg(target_arch = "riscv32")]
pub use riscv_rt::entry;

pub use device::stop;

/// Bytes of stack that a call takes below its caller, for a board without a timer to measure
/// with: what lies there is painted before and looked at after.
#[inline(never)]
pub fn stack(call: &mut dyn FnMut()) -> u32 {
    const PAINT: u32 = 0xC5C5_C5C5;
    /// Words that are painted, and as many above them that are left to this function.
    const PAINTED: usize = 1024;
    const OWN: usize = 32;
    let top: usize;
    #[cfg(target_arch = "arm")]
    // SAFETY: reads a register.
    unsafe {
        core::arch::asm!("mov {}, sp", out(reg) top)
    };
    #[cfg(target_arch = "riscv32")]
    // SAFETY: reads a register.
    unsafe {
        core::arch::asm!("mv {}, sp", out(reg) top)
    };
    let word = |place: usize| top - 4 * (OWN + place);
    for place in 1..=PAINTED {
        let at = core::ptr::with_exposed_provenance_mut(word(place));
        // SAFETY: below the stack pointer, where nothing lives: there are no interrupts, and
        // the stack has more room than this.
        unsafe { core::ptr::write_volatile::<u32>(at, PAINT) };
    }
    call();
    let painted = |place: usize| {
        let at = core::ptr::with_exposed_provenance(word(place));
        // SAFETY: as above, read as what it is.
        unsafe { core::ptr::read_volatile::<u32>(at) == PAINT }
    };
    let mut used = PAINTED;
    while used > 0 && painted(used) {
        used -= 1;
    }
    4 * (OWN + used) as u32
}

/// Prints a name and 32 bits as eight hexadecimal digits.
pub fn line(name: &str, bits: u32) {
    device::write(name.as_bytes());
    device::write(b" ");
    for place in (0..8).rev() {
        let digit = (bits >> (4 * place)) as u8 & 15;
        let letter = if digit < 10 { b'0' } else { b'a' - 10 };
        device::write(&[letter + digit]);
    }
    device::write(b"\n");
}
