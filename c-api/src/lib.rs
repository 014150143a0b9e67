//! The monitors of orangeloom for a controller that is written in C or C++.
//!
//! The library holds no state of its own and allocates nothing: the caller owns every
//! byte. It reads an image of limits that `orangeloom limits` made, looks at one set of
//! inputs per tick and advises. It switches nothing: the caller drives the contactors,
//! and needs a way to open them that works without this library. `SAFETY.md` states what
//! else is assumed.
//!
//! What holds for every function stands at the head of the header: `cbindgen.toml`. In one
//! line: everything is checked before anything is written, and what is refused is refused
//! with a [`Status`].
//!
//! | module | what it is about |
//! |---|---|
//! | [`status`] | what every function gives |
//! | [`image`] | what an image is of |
//! | [`inputs`] | what a controller measures and commands |
//! | [`told`] | findings and their sum |
//! | [`tick`] | one look at everything |
//! | [`monitors`] | preparing, acknowledging, keeping over a restart |
//! | [`memory`] | the caller's memory, and how it is known to be prepared |
//! | `pointers` | what a caller points to, before it is touched |

#![cfg_attr(not(test), no_std)]

pub mod image;
pub mod inputs;
pub mod memory;
pub mod monitors;
mod pointers;
pub mod status;
pub mod tick;
pub mod told;

pub use image::*;
pub use inputs::*;
pub use memory::*;
pub use monitors::*;
pub use status::*;
pub use tick::*;
pub use told::*;

/// Version of this interface: it grows when a program that was compiled with an older header
/// must not use the library. Hand it to `orangeloom_monitors_prepare`.
pub const INTERFACE_VERSION: u32 = 3;

/// The version of the interface that the library was built with: has to be
/// `ORANGELOOM_INTERFACE_VERSION` of the header.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_interface_version() -> u32 {
    INTERFACE_VERSION
}

/// The version of the images that the library reads; it stands in bytes 4 and 5 of an image,
/// the lower byte first.
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
