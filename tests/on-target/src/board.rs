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
