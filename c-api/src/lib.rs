//! The monitors of orangeloom for a controller that is written in C or C++.
//!
//! The library holds no state of its own and allocates nothing: the caller owns every
//! byte. It reads an image of limits that `orangeloom limits` made, looks at one set of
//! inputs per tick and advises. It switches nothing: the caller drives the contactors,
//! and needs a way to open them that works without this library. `SAFETY.md` states what
//! else is assumed.
//!
//! What holds for every function:
//!
//! - A null pointer, a size that is not the one of this library, memory that is not
//!   aligned or not prepared and a number that no enumeration has are refused with a
//!   [`Status`]; nothing is written then but what is said at the function.
//! - A pointer that is not null must point to as many bytes as the size beside it says,
//!   and to memory that nothing else changes meanwhile. No two may overlap.
//! - No function waits, prints, or calls back. None may run twice at once on the same
//!   memory; on different memory they may.
//!
//! | module | what it is about |
//! |---|---|
//! | [`status`] | what every function gives |
//! | [`image`] | what an image is of |
//! | [`inputs`] | what a controller measures and commands |
//! | [`told`] | findings and their sum |
//! | [`monitors`] | preparing, ticking, acknowledging, keeping over a restart |

#![cfg_attr(not(test), no_std)]

pub mod image;
pub mod inputs;
pub mod monitors;
pub mod status;
pub mod told;

pub use image::*;
pub use inputs::*;
pub use monitors::*;
pub use status::*;
pub use told::*;

/// Version of this interface: it grows when a program that was built with an older header
/// must not use the library.
pub const INTERFACE_VERSION: u32 = 1;

/// The version of the interface that the library was built with. Compare it with
/// `ORANGELOOM_INTERFACE_VERSION` of the header at start.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_interface_version() -> u32 {
    INTERFACE_VERSION
}

/// The version of the images that the library reads.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_image_version() -> u32 {
    u32::from(orangeloom_core::limits::VERSION)
}

/// It calls what does not exist: the library links only if no panic can be reached.
#[cfg(not(any(test, debug_assertions)))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    unsafe extern "C" {
        #[link_name = "a panic is reachable from the library"]
        fn panic_is_reachable() -> !;
    }
    // SAFETY: never runs; what contains this call does not link.
    unsafe { panic_is_reachable() }
}

/// Without optimisation the proof above cannot hold.
#[cfg(all(not(test), debug_assertions))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    loop {
        core::hint::spin_loop();
    }
}
