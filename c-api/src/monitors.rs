//! Preparing, acknowledging, keeping over a restart.

use orangeloom_core::monitor::{self as core_monitor, CheckId, KeptError, Reset};

use crate::image::{decoded, held};
use crate::inputs::{MAX_CONTACTORS, MAX_CURRENTS};
use crate::memory::{Alone, MONITORS_BYTES, Memory, fill, forget, place, prepared};
use crate::pointers::{Span, apart, span};
use crate::status::{Status, told};

/// Bytes that `orangeloom_keep` writes at most.
pub const KEPT_BYTES: usize = 512;

/// Size of `OrangeloomCounters`, bytes.
pub const COUNTERS_BYTES: usize = 144;

const _: () = assert!(core_monitor::MAX_KEPT_BYTES <= KEPT_BYTES);
const _: () = assert!(COUNTERS_BYTES == size_of::<Counters>());

/// Counts since the parts were new. Each stops at 65535.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counters {
    /// Openings under load of each contactor of the image, by the current in it: up to half
    /// of what it breaks; up to all of it; above; not known.
    pub openings: [[u16; 4]; MAX_CONTACTORS],
    /// Pulses of the fuse of each current of the image, by how much of its melting integral
    /// they took: from 30 %, from 50 %, from 80 %.
    pub pulses: [[u16; 3]; MAX_CURRENTS],
}

/// What was prepared, with nothing else that leads into it or works on it.
///
/// # Safety
/// The caller vouches for the memory.
unsafe fn alone<'a>(
    memory: *mut Memory,
    memory_size: usize,
    others: [Result<Span, Status>; 2],
) -> Result<Alone<'a>, Status> {
    let [first, second] = others;
    apart(&[place(memory, memory_size)?, first?, second?])?;
    // SAFETY: `place` accepted it, and nothing else leads into it.
    unsafe { prepared(memory) }
}

const NOTHING: Result<Span, Status> = Ok(Span::NONE);

/// Reads an image into the caller's memory and begins with nothing seen: no check has held
/// yet, so nothing may be closed at first. Call it at every start of the program, and again
/// for another image. Every tick forbids closing until `orangeloom_restore` succeeds or
/// `orangeloom_start_without_store` is called, whatever was so before.
///
/// `interface_version`: `ORANGELOOM_INTERFACE_VERSION` of the header you compile with.
/// `memory`, `memory_size`: memory for one vehicle and its size. `image`, `image_size`: as of
/// `orangeloom_image_check`; it is copied, and need not stay.
///
/// If this fails keep everything open. Memory that was prepared before is not prepared any
/// more then, unless it is the memory itself that is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_monitors_prepare(
    interface_version: u32,
    memory: *mut Memory,
    memory_size: usize,
    image: *const u8,
    image_size: usize,
) -> Status {
    // SAFETY: the caller vouches for both.
    told(unsafe { prepare(interface_version, memory, memory_size, image, image_size) })
}

unsafe fn prepare(
    interface_version: u32,
    memory: *mut Memory,
    memory_size: usize,
    image: *const u8,
    image_size: usize,
) -> Result<(), Status> {
    let whole = place(memory, memory_size)?;
    // SAFETY: `place` accepted it.
    unsafe { forget(memory) };
    if interface_version != crate::INTERFACE_VERSION {
        return Err(Status::OtherInterface);
    }
    apart(&[whole, held(image, image_size)?])?;
    // SAFETY: `held` accepted it, and the caller vouches for the bytes.
    let limits = unsafe { decoded(image, image_size) }?;
    // SAFETY: `place` accepted it.
    unsafe { fill(memory, limits) };
    Ok(())
}

/// Somebody looked after the cause of a finding. Clears only what waits for that
/// (`OrangeloomFinding.reset` is `ORANGELOOM_RESET_ACKNOWLEDGE`); what still does not hold is
/// found again. Never call it without a person who decided so.
///
/// `check`: one of `OrangeloomCheck`, as in `OrangeloomFinding.check`. `part`: as in
/// `OrangeloomFinding.part`.
///
/// `ORANGELOOM_STATUS_OK` where nothing was found of it, too. Nothing is cleared with
/// `ORANGELOOM_STATUS_UNKNOWN_VALUE` (no such check), `ORANGELOOM_STATUS_NO_SUCH_PART` or
/// `ORANGELOOM_STATUS_CLEARS_OTHERWISE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_acknowledge(
    memory: *mut Memory,
    memory_size: usize,
    check: u8,
    part: u8,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    told(unsafe { acknowledge(memory, memory_size, check, part) })
}

unsafe fn acknowledge(
    memory: *mut Memory,
    memory_size: usize,
    check: u8,
    part: u8,
) -> Result<(), Status> {
    // SAFETY: the caller vouches for the memory.
    let mut alone = unsafe { alone(memory, memory_size, [NOTHING, NOTHING]) }?;
    let prepared = &mut *alone;
    let check = CheckId::ALL.get(usize::from(check));
    let check = *check.ok_or(Status::UnknownValue)?;
    if usize::from(part) >= check.parts(&prepared.limits) {
        return Err(Status::NoSuchPart);
    }
    if check.reset() != Reset::Acknowledge {
        return Err(Status::ClearsOtherwise);
    }
    prepared.monitors.acknowledge(check, part);
    Ok(())
}

/// Writes what has to outlast a restart (counters, locks, heat, overloads) into `kept`, and
/// its length, bytes, to `kept_size`. Store both, with a copy that a loss of power while
/// writing cannot damage. Do it
///   - when the vehicle is switched off,
///   - whenever a finding with `ORANGELOOM_ADVICE_FORBID_CLOSING` or with
///     `ORANGELOOM_RESET_ACKNOWLEDGE` or `ORANGELOOM_RESET_START` comes or goes,
///   - at least every few seconds while `ORANGELOOM_CHECK_OVERCURRENT_BAND` or
///     `ORANGELOOM_CHECK_CONDUCTOR_HOT` is told: after a brown-out a conductor is taken for as
///     warm, and an overload for as far gone, as what was stored says, not as they were.
///
/// `capacity`: bytes of room at `kept`, at least `ORANGELOOM_KEPT_BYTES`.
///
/// `ORANGELOOM_STATUS_NOT_RESTORED` before `orangeloom_restore` or
/// `orangeloom_start_without_store`: a record of then has no locks and must not take the place
/// of the one that is stored. Nothing is written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_keep(
    memory: *mut Memory,
    memory_size: usize,
    kept: *mut u8,
    capacity: usize,
    kept_size: *mut usize,
) -> Status {
    // SAFETY: the caller vouches for all of it.
    told(unsafe { keep(memory, memory_size, kept, capacity, kept_size) })
}

unsafe fn keep(
    memory: *mut Memory,
    memory_size: usize,
    kept: *mut u8,
    capacity: usize,
    kept_size: *mut usize,
) -> Result<(), Status> {
    let (room, size) = (span(kept, KEPT_BYTES)?, span(kept_size, 1)?);
    if capacity < KEPT_BYTES {
        return Err(Status::WrongSize);
    }
    apart(&[room, size])?;
    // SAFETY: the caller vouches for the memory.
    let mut alone = unsafe { alone(memory, memory_size, [Ok(room), Ok(size)]) }?;
    let prepared = &mut *alone;
    let mut buffer = [0; KEPT_BYTES];
    let written = prepared.monitors.keep(&prepared.limits, &mut buffer);
    let length = written.map_err(|error| match error {
        KeptError::Unrestored => Status::NotRestored,
        _ => Status::WrongSize,
    })?;
    // SAFETY: `kept` has room for the whole buffer, which is apart; `kept_size` is neither
    // null nor unaligned; the caller owns both.
    unsafe {
        kept.copy_from_nonoverlapping(buffer.as_ptr(), KEPT_BYTES);
        kept_size.write(length);
    }
    Ok(())
}

/// Takes over what `orangeloom_keep` wrote before the restart: `kept_size` bytes at `kept`.
/// Call it after `orangeloom_monitors_prepare`, before the first `orangeloom_tick`; later it
/// gives `ORANGELOOM_STATUS_TOO_LATE`.
///
/// If it fails nothing is taken over and locks, such as that of a welded contactor, may be
/// lost: every tick forbids closing, though no finding says why. Try another copy if there is
/// one, else have somebody look at the vehicle; `orangeloom_start_without_store` is for his
/// decision. A record that is damaged or of another vehicle forbids closing again after an
/// earlier one was taken over, too. Where nothing was ever kept, as with a new controller, call
/// `orangeloom_start_without_store` instead.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_restore(
    memory: *mut Memory,
    memory_size: usize,
    kept: *const u8,
    kept_size: usize,
) -> Status {
    // SAFETY: the caller vouches for both.
    told(unsafe { restore(memory, memory_size, kept, kept_size) })
}

unsafe fn restore(
    memory: *mut Memory,
    memory_size: usize,
    kept: *const u8,
    kept_size: usize,
) -> Result<(), Status> {
    // SAFETY: the caller vouches for the memory.
    let mut alone = unsafe { alone(memory, memory_size, [span(kept, kept_size), NOTHING]) }?;
    let prepared = &mut *alone;
    if prepared.ticked {
        return Err(Status::TooLate);
    }
    // SAFETY: not null, no longer than memory can be; the caller vouches for the bytes.
    let kept = unsafe { core::slice::from_raw_parts(kept, kept_size) };
    let taken = prepared.monitors.restore(&prepared.limits, kept);
    taken.map_err(|error| match error {
        KeptError::Length => Status::WrongSize,
        _ => Status::KeptDamaged,
    })
}

/// The vehicle starts without what was kept: closing is no longer forbidden for it. Call it
/// where nothing was ever kept, as with a new controller, or when somebody has looked after
/// everything that a lock may have been about, a welded contactor above all, and decided so;
/// then also after the first tick. Never because `orangeloom_restore` gave an error: that is
/// the case which closing is forbidden for. Nothing else is changed; after
/// `orangeloom_restore` succeeded it does nothing.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_start_without_store(
    memory: *mut Memory,
    memory_size: usize,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    match unsafe { alone(memory, memory_size, [NOTHING, NOTHING]) } {
        Ok(mut prepared) => {
            prepared.monitors.start_without_store();
            Status::Ok
        }
        Err(status) => status,
    }
}

/// What wears, since the parts were new. `counters_size`: the size of
/// `struct OrangeloomCounters`. It may be called at any time after
/// `orangeloom_monitors_prepare`.
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
    // SAFETY: the caller vouches for both.
    match unsafe { alone(memory, memory_size, [span(counters, 1), NOTHING]) } {
        Ok(prepared) => {
            let since_new = prepared.monitors.counters();
            let read = Counters {
                openings: since_new.openings,
                pulses: since_new.pulses,
            };
            // SAFETY: neither null nor unaligned, of this size; the caller owns the memory.
            unsafe { counters.write(read) };
            Status::Ok
        }
        Err(status) => status,
    }
}

/// A contactor was replaced: its openings are counted anew. `contactor`: its place in the
/// image, from 0; `ORANGELOOM_STATUS_NO_SUCH_PART` where the image has none there.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_contactor_replaced(
    memory: *mut Memory,
    memory_size: usize,
    contactor: u8,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    match unsafe { alone(memory, memory_size, [NOTHING, NOTHING]) } {
        Ok(mut prepared) if usize::from(contactor) < prepared.limits.switches.len() => {
            prepared.monitors.contactor_replaced(contactor);
            Status::Ok
        }
        Ok(_) => Status::NoSuchPart,
        Err(status) => status,
    }
}

/// The fuse of a current was replaced: its pulses are counted anew. `current`: the place of
/// the current in the image, from 0; `ORANGELOOM_STATUS_NO_SUCH_PART` where the image has
/// none there, or no fuse is known in it.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_fuse_replaced(
    memory: *mut Memory,
    memory_size: usize,
    current: u8,
) -> Status {
    // SAFETY: the caller vouches for the memory.
    match unsafe { alone(memory, memory_size, [NOTHING, NOTHING]) } {
        Ok(mut prepared) => {
            let channel = prepared.limits.channels.get(usize::from(current));
            if channel.is_none_or(|channel| channel.fuse_a.is_none()) {
                return Status::NoSuchPart;
            }
            prepared.monitors.fuse_replaced(current);
            Status::Ok
        }
        Err(status) => status,
    }
}

/// Writes the reckoned temperature of a conductor, degC, to `degc`; NaN before the first
/// tick. `conductor`: its place in the image, from 0; `ORANGELOOM_STATUS_NO_SUCH_PART` where
/// the image has none there. It says nothing of a loose joint.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_conductor_temperature(
    memory: *mut Memory,
    memory_size: usize,
    conductor: u8,
    degc: *mut f32,
) -> Status {
    // SAFETY: the caller vouches for both.
    match unsafe { alone(memory, memory_size, [span(degc, 1), NOTHING]) } {
        Ok(prepared) if usize::from(conductor) < prepared.limits.circuits.len() => {
            let warm = prepared
                .monitors
                .conductor_degc(&prepared.limits, conductor);
            // SAFETY: neither null nor unaligned; the caller owns the memory.
            unsafe { degc.write(warm.unwrap_or(f32::NAN)) };
            Status::Ok
        }
        Ok(_) => Status::NoSuchPart,
        Err(status) => status,
    }
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

/// The size of `OrangeloomCounters` that this library expects, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_counters_size() -> usize {
    size_of::<Counters>()
}
