//! Preparing, ticking, acknowledging, keeping over a restart.

use core::ptr::addr_of;

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{self as core_monitor, KeptError, Monitors};

use crate::image::decoded;
use crate::inputs::{Inputs, MAX_CONTACTORS, MAX_CURRENTS};
use crate::status::{Status, bytes, read, told, write};
use crate::told::{Finding, Summary, check_of};

/// Words of four bytes that the caller keeps for one vehicle.
pub const MONITORS_WORDS: usize = 1024;

const MONITORS_BYTES: usize = MONITORS_WORDS * 4;

/// Bytes that `orangeloom_keep` writes at most.
pub const KEPT_BYTES: usize = 512;

/// Findings of which room for all of one tick is made.
pub const MAX_FINDINGS: usize = 160;

const _: () = assert!(size_of::<Prepared>() <= MONITORS_BYTES);
const _: () = assert!(align_of::<Prepared>() <= 4);
const _: () = assert!(core_monitor::MAX_KEPT_BYTES <= KEPT_BYTES);

/// Marks memory that was prepared by this version of the library.
const MARK: u32 = 0x4f4c_0000 | crate::INTERFACE_VERSION;

/// What stands in the caller's memory.
#[repr(C)]
struct Prepared {
    mark: u32,
    limits: Limits,
    monitors: Monitors,
}

/// The same memory before anything is known about it.
#[repr(C)]
pub struct Memory {
    /// Not to be looked at.
    pub words: [u32; MONITORS_WORDS],
}

/// Counts since the parts were new.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counters {
    /// Openings under load of each contactor: up to half of what it breaks, up to all of
    /// it, above, with a current that was not known.
    pub openings: [[u16; 4]; MAX_CONTACTORS],
    /// Pulses of the fuse of each current that came to 30, 50, 80 % of melting it.
    pub pulses: [[u16; 3]; MAX_CURRENTS],
}

/// Whether the caller's memory is as it has to be.
fn fits(memory: *const Memory, size: usize) -> Result<(), Status> {
    if memory.is_null() {
        Err(Status::NullPointer)
    } else if size < MONITORS_BYTES {
        Err(Status::WrongSize)
    } else if memory.is_aligned() {
        Ok(())
    } else {
        Err(Status::NotAligned)
    }
}

/// What was prepared.
///
/// # Safety
/// The caller vouches for `size` bytes that nothing else changes.
unsafe fn prepared<'a>(memory: *mut Memory, size: usize) -> Result<&'a mut Prepared, Status> {
    fits(memory, size)?;
    let prepared = memory.cast::<Prepared>();
    // SAFETY: aligned, large enough; any four bytes are a `u32`.
    if unsafe { addr_of!((*prepared).mark).read() } != MARK {
        return Err(Status::NotPrepared);
    }
    // SAFETY: only `orangeloom_monitors_prepare` writes the mark, last, behind a whole
    // value; the caller changes nothing in between.
    Ok(unsafe { &mut *prepared })
}

/// Reads an image into the caller's memory and begins with nothing seen. Memory that was
/// prepared before is not prepared any more if this fails.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_monitors_prepare(
    memory: *mut Memory,
    memory_size: usize,
    image: *const u8,
    image_size: usize,
) -> Status {
    // SAFETY: the caller vouches for both.
    told(unsafe { prepare(memory, memory_size, image, image_size) })
}

unsafe fn prepare(
    memory: *mut Memory,
    memory_size: usize,
    image: *const u8,
    image_size: usize,
) -> Result<(), Status> {
    fits(memory, memory_size)?;
    let place = memory.cast::<Prepared>();
    // SAFETY: aligned, large enough.
    unsafe { core::ptr::addr_of_mut!((*place).mark).write(0) };
    // SAFETY: the caller vouches for `image_size` bytes.
    let limits = decoded(unsafe { bytes(image, image_size) }?)?;
    let fresh = Prepared {
        mark: MARK,
        limits,
        monitors: Monitors::new(),
    };
    // SAFETY: aligned, large enough.
    unsafe { place.write(fresh) };
    Ok(())
}

/// Looks at everything once. `now_ms` is a clock that may wrap. Each check that does not
/// hold is written to `findings`, at most `capacity` of them, their number to `found`;
/// `findings` may be null with a capacity of zero. `summary` is of all of them. With
/// `ORANGELOOM_STATUS_MORE_FINDINGS` everything is written, as far as there is room; with
/// any other error nothing is, the tick did not happen, and nothing may be closed.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_tick(
    memory: *mut Memory,
    memory_size: usize,
    now_ms: u32,
    inputs: *const Inputs,
    inputs_size: usize,
    findings: *mut Finding,
    capacity: usize,
    found: *mut usize,
    summary: *mut Summary,
) -> Status {
    if inputs_size != size_of::<Inputs>() {
        return Status::WrongSize;
    }
    // SAFETY: the caller vouches for all of it.
    told(unsafe {
        tick(
            memory,
            memory_size,
            now_ms,
            inputs,
            (findings, capacity),
            found,
            summary,
        )
    })
}

unsafe fn tick(
    memory: *mut Memory,
    memory_size: usize,
    now_ms: u32,
    inputs: *const Inputs,
    (findings, capacity): (*mut Finding, usize),
    found: *mut usize,
    summary: *mut Summary,
) -> Result<(), Status> {
    // SAFETY: the caller vouches for the memory.
    let prepared = unsafe { prepared(memory, memory_size) }?;
    if found.is_null() || summary.is_null() || (findings.is_null() && capacity != 0) {
        return Err(Status::NullPointer);
    }
    if !(found.is_aligned() && summary.is_aligned() && findings.is_aligned()) {
        return Err(Status::NotAligned);
    }
    // SAFETY: the size was looked at; every byte pattern is an `Inputs`.
    let inputs = unsafe { read(inputs) }?.core()?;
    let mut count = 0_usize;
    let mut lost = false;
    let sum = prepared
        .monitors
        .tick(&prepared.limits, now_ms, &inputs, &mut |told| {
            let Some(finding) = Finding::new(told) else {
                return;
            };
            if count < capacity {
                // SAFETY: `findings` has room for `capacity` of them.
                unsafe { findings.add(count).write(finding) };
                count += 1;
            } else {
                lost = true;
            }
        });
    // SAFETY: neither null nor unaligned; the caller owns the memory.
    unsafe {
        write(found, count)?;
        write(summary, Summary::new(&sum))?;
    }
    if lost {
        Err(Status::MoreFindings)
    } else {
        Ok(())
    }
}

/// Somebody looked after the cause of a finding. Clears only what waits for that; what
/// still does not hold is found again. `check` is one of `OrangeloomCheck`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_acknowledge(
    memory: *mut Memory,
    memory_size: usize,
    check: u8,
    part: u8,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    let prepared = match unsafe { prepared(memory, memory_size) } {
        Ok(prepared) => prepared,
        Err(status) => return status,
    };
    let Some(check) = check_of(check) else {
        return Status::UnknownValue;
    };
    prepared.monitors.acknowledge(check, part);
    Status::Ok
}

/// Writes what has to outlast a restart (counters, locks, heat) into `kept`, and its
/// length to `kept_size`. Do it when the vehicle is switched off and whenever a lock is
/// found. `capacity` is at least `ORANGELOOM_KEPT_BYTES`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_keep(
    memory: *mut Memory,
    memory_size: usize,
    kept: *mut u8,
    capacity: usize,
    kept_size: *mut usize,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    let prepared = match unsafe { prepared(memory, memory_size) } {
        Ok(prepared) => prepared,
        Err(status) => return status,
    };
    if kept.is_null() || kept_size.is_null() {
        return Status::NullPointer;
    }
    if capacity < KEPT_BYTES {
        return Status::WrongSize;
    }
    let mut buffer = [0; KEPT_BYTES];
    let Ok(length) = prepared.monitors.keep(&prepared.limits, &mut buffer) else {
        return Status::WrongSize;
    };
    // SAFETY: `kept` has room for more than the buffer; both are apart.
    unsafe { kept.copy_from_nonoverlapping(buffer.as_ptr(), KEPT_BYTES) };
    // SAFETY: not null; the caller owns the memory.
    told(unsafe { write(kept_size, length) })
}

/// Takes over what `orangeloom_keep` wrote before the restart. If it fails nothing is
/// taken over and locks may be lost: have somebody look at the vehicle before it starts.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_restore(
    memory: *mut Memory,
    memory_size: usize,
    kept: *const u8,
    kept_size: usize,
) -> Status {
    // SAFETY: the caller vouches for both.
    let (prepared, kept) = match unsafe { (prepared(memory, memory_size), bytes(kept, kept_size)) }
    {
        (Ok(prepared), Ok(kept)) => (prepared, kept),
        (Err(status), _) | (_, Err(status)) => return status,
    };
    match prepared.monitors.restore(&prepared.limits, kept) {
        Ok(()) => Status::Ok,
        Err(KeptError::Length) => Status::WrongSize,
        Err(_) => Status::KeptDamaged,
    }
}

/// What wears, since the parts were new.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_counters(
    memory: *mut Memory,
    memory_size: usize,
    counters: *mut Counters,
    counters_size: usize,
) -> Status {
    if counters_size != size_of::<Counters>() {
        return Status::WrongSize;
    }
    // SAFETY: the caller vouches for the memory.
    let prepared = match unsafe { prepared(memory, memory_size) } {
        Ok(prepared) => prepared,
        Err(status) => return status,
    };
    let since_new = prepared.monitors.counters();
    let read = Counters {
        openings: since_new.openings,
        pulses: since_new.pulses,
    };
    // SAFETY: the size was looked at; the caller owns the memory.
    told(unsafe { write(counters, read) })
}

/// A contactor of the image was replaced: its openings are counted anew.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_contactor_replaced(
    memory: *mut Memory,
    memory_size: usize,
    contactor: u8,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    match unsafe { prepared(memory, memory_size) } {
        Ok(prepared) if usize::from(contactor) < prepared.limits.switches.len() => {
            prepared.monitors.contactor_replaced(contactor);
            Status::Ok
        }
        Ok(_) => Status::UnknownValue,
        Err(status) => status,
    }
}

/// The fuse of a current of the image was replaced: its pulses are counted anew.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_fuse_replaced(
    memory: *mut Memory,
    memory_size: usize,
    current: u8,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    match unsafe { prepared(memory, memory_size) } {
        Ok(prepared) if usize::from(current) < prepared.limits.channels.len() => {
            prepared.monitors.fuse_replaced(current);
            Status::Ok
        }
        Ok(_) => Status::UnknownValue,
        Err(status) => status,
    }
}

/// Reckoned temperature of a conductor of the image, degC; no number before the first
/// tick.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_conductor_temperature(
    memory: *mut Memory,
    memory_size: usize,
    conductor: u8,
    degc: *mut f32,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    let prepared = match unsafe { prepared(memory, memory_size) } {
        Ok(prepared) => prepared,
        Err(status) => return status,
    };
    if usize::from(conductor) >= prepared.limits.circuits.len() {
        return Status::UnknownValue;
    }
    let warm = prepared
        .monitors
        .conductor_degc(&prepared.limits, conductor)
        .unwrap_or(f32::NAN);
    // SAFETY: the caller owns the memory.
    told(unsafe { write(degc, warm) })
}

/// Bytes that this library needs for one vehicle: the size of `OrangeloomMemory`.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_monitors_size() -> usize {
    MONITORS_BYTES
}

/// Where they have to begin: at a multiple of so many bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_monitors_alignment() -> usize {
    align_of::<Memory>()
}

/// The size of `OrangeloomInputs` that this library expects.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_inputs_size() -> usize {
    size_of::<Inputs>()
}
