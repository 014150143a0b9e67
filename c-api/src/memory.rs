//! The caller's memory, and how it is known to be prepared.

use core::marker::PhantomData;
use core::ops::{Deref, DerefMut};
use core::ptr::{addr_of, addr_of_mut};
use core::sync::atomic::{AtomicU8, Ordering};

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::Monitors;

use crate::pointers::{Span, span};
use crate::status::Status;

/// Words of four bytes that the caller keeps for one vehicle.
pub const MONITORS_WORDS: usize = 1152;

/// Memory of one vehicle. Declare it `static`, hand it to `orangeloom_monitors_prepare`, then
/// to every other function; never look at its words, copy nothing into it, and let nothing
/// else write there (a memory protection unit is the right guard).
#[repr(C)]
pub struct Memory {
    /// Not to be looked at.
    pub words: [u32; MONITORS_WORDS],
}

pub(crate) const MONITORS_BYTES: usize = size_of::<Memory>();

const _: () = assert!(size_of::<Held>() <= MONITORS_BYTES);
const _: () = assert!(align_of::<Held>() <= align_of::<Memory>());

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
    bytes: size_of::<Held>() as u32,
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
struct Held {
    mark: Mark,
    /// Whether a function works on it now: 0 where none does.
    busy: AtomicU8,
    prepared: Prepared,
}

/// What was prepared.
pub(crate) struct Prepared {
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

/// What was prepared, for as long as a function works on it: until then every other one is
/// refused.
pub(crate) struct Alone<'a> {
    held: *mut Held,
    of: PhantomData<&'a mut Prepared>,
}

impl Deref for Alone<'_> {
    type Target = Prepared;

    fn deref(&self) -> &Prepared {
        // SAFETY: prepared, and nobody else comes to it before this is dropped.
        unsafe { &(*self.held).prepared }
    }
}

impl DerefMut for Alone<'_> {
    fn deref_mut(&mut self) -> &mut Prepared {
        // SAFETY: as before.
        unsafe { &mut (*self.held).prepared }
    }
}

impl Drop for Alone<'_> {
    fn drop(&mut self) {
        // SAFETY: prepared; only ever looked at as an atomic.
        unsafe { &(*self.held).busy }.store(0, Ordering::Release);
    }
}

/// Whether it was taken. A processor without such an instruction has one core: what comes in
/// between is an interrupt that has ended before this goes on.
fn take(busy: &AtomicU8) -> bool {
    #[cfg(target_has_atomic = "8")]
    let taken = busy.swap(1, Ordering::Acquire);
    #[cfg(not(target_has_atomic = "8"))]
    let taken = {
        let taken = busy.load(Ordering::Acquire);
        busy.store(1, Ordering::Relaxed);
        taken
    };
    taken == 0
}

/// What was prepared, if no function works on it.
///
/// # Safety
/// `place` accepted the memory, whose bytes nothing but this library changes.
pub(crate) unsafe fn prepared<'a>(memory: *mut Memory) -> Result<Alone<'a>, Status> {
    let held = memory.cast::<Held>();
    // SAFETY: aligned, large enough; any bytes are a mark.
    if unsafe { addr_of!((*held).mark).read() } != MARK {
        return Err(Status::NotPrepared);
    }
    // SAFETY: only `fill` of this very build writes this mark, behind a whole value; the
    // caller changes nothing in between.
    if !take(unsafe { &(*held).busy }) {
        return Err(Status::Busy);
    }
    let of = PhantomData;
    Ok(Alone { held, of })
}

/// From here on it is not prepared.
///
/// # Safety
/// `place` accepted the memory.
pub(crate) unsafe fn forget(memory: *mut Memory) {
    // SAFETY: aligned, large enough.
    unsafe { memory.cast::<u32>().write(0) };
}

/// Prepares it with these limits, to restore what was kept.
///
/// # Safety
/// `place` accepted the memory.
pub(crate) unsafe fn fill(memory: *mut Memory, limits: Limits) {
    let held = memory.cast::<Held>();
    // Part by part: the whole would lie on the stack first. The mark comes last.
    // SAFETY: aligned, large enough.
    unsafe {
        addr_of_mut!((*held).busy).write(AtomicU8::new(0));
        addr_of_mut!((*held).prepared.ticked).write(false);
        addr_of_mut!((*held).prepared.limits).write(limits);
        addr_of_mut!((*held).prepared.monitors).write(Monitors::before_restore());
        addr_of_mut!((*held).mark).write(MARK);
    }
}
