//! The caller's memory, and how it is known to be prepared.

use core::ptr::{addr_of, addr_of_mut};

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::Monitors;

use crate::pointers::{Span, span};
use crate::status::Status;

/// Words of four bytes that the caller keeps for one vehicle.
pub const MONITORS_WORDS: usize = 1024;

/// Memory of one vehicle. Declare it `static`, hand it to `orangeloom_monitors_prepare`, then
/// to every other function; never look at its words, copy nothing into it, and let nothing
/// else write there (a memory protection unit is the right guard).
#[repr(C)]
pub struct Memory {
    /// Not to be looked at.
    pub words: [u32; MONITORS_WORDS],
}

pub(crate) const MONITORS_BYTES: usize = size_of::<Memory>();

const _: () = assert!(size_of::<Prepared>() <= MONITORS_BYTES);
const _: () = assert!(align_of::<Prepared>() <= align_of::<Memory>());

/// Stands before what was prepared. Another build of the library lays it out otherwise.
#[repr(C)]
#[derive(Clone, Copy, PartialEq, Eq)]
struct Mark {
    name: [u8; 4],
    interface: u32,
    bytes: u32,
    build: [u32; 2],
}

const MARK: Mark = Mark {
    name: *b"OLMO",
    interface: crate::INTERFACE_VERSION,
    #[allow(clippy::cast_possible_truncation)] // some thousand
    bytes: size_of::<Prepared>() as u32,
    build: build(),
};

/// A number of these sources, this compiler and these settings; `build.rs` makes it.
const fn build() -> [u32; 2] {
    let Ok(number) = u64::from_str_radix(env!("ORANGELOOM_BUILD"), 10) else {
        panic!("build.rs gives a number")
    };
    #[allow(clippy::cast_possible_truncation)] // the lower half
    [(number >> 32) as u32, number as u32]
}

/// What stands in the caller's memory.
#[repr(C)]
pub(crate) struct Prepared {
    mark: Mark,
    /// Whether there was a tick.
    pub(crate) ticked: bool,
    pub(crate) limits: Limits,
    pub(crate) monitors: Monitors,
}

/// Where the caller's memory lies, if it can hold what is prepared.
pub(crate) fn place(memory: *const Memory, size: usize) -> Result<Span, Status> {
    let place = span(memory, 1)?;
    if size < MONITORS_BYTES {
        return Err(Status::WrongSize);
    }
    Ok(place)
}

/// What was prepared.
///
/// # Safety
/// `place` accepted the memory, whose bytes nothing else changes; no other reference to what
/// is in it lives.
pub(crate) unsafe fn prepared<'a>(memory: *mut Memory) -> Result<&'a mut Prepared, Status> {
    let prepared = memory.cast::<Prepared>();
    // SAFETY: aligned, large enough; any bytes are a mark.
    if unsafe { addr_of!((*prepared).mark).read() } != MARK {
        return Err(Status::NotPrepared);
    }
    // SAFETY: only `fill` of this very build writes this mark, behind a whole value; the
    // caller changes nothing in between.
    Ok(unsafe { &mut *prepared })
}

/// From here on it is not prepared.
///
/// # Safety
/// `place` accepted the memory.
pub(crate) unsafe fn forget(memory: *mut Memory) {
    // SAFETY: aligned, large enough.
    unsafe { memory.cast::<u32>().write(0) };
}

/// Prepares it with these limits.
///
/// # Safety
/// `place` accepted the memory.
pub(crate) unsafe fn fill(memory: *mut Memory, limits: Limits) {
    let place = memory.cast::<Prepared>();
    // Part by part: the whole would lie on the stack first. The mark comes last.
    // SAFETY: aligned, large enough.
    unsafe {
        addr_of_mut!((*place).ticked).write(false);
        addr_of_mut!((*place).limits).write(limits);
        addr_of_mut!((*place).monitors).write(Monitors::new());
        addr_of_mut!((*place).mark).write(MARK);
    }
}
