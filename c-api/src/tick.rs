//! One look at everything.

use orangeloom_core::monitor as core_monitor;

use crate::inputs::Inputs;
use crate::memory::{MONITORS_BYTES, Memory, place, prepared};
use crate::pointers::{Span, apart, span};
use crate::status::{Status, told};
use crate::told::{Finding, Summary};

/// Findings of one tick at most. With room for so many, none is ever left out.
pub const MAX_FINDINGS: usize = 123;

// A literal, because the header shows it.
const _: () = assert!(MAX_FINDINGS == core_monitor::MAX_FINDINGS);

/// Looks at everything once, and advises. Call it every 10 ms or so, never less often than
/// the limits state.
///
/// `now_ms`: a clock of milliseconds that runs evenly and may wrap; ten seconds at most are
/// counted since the tick before. `inputs`: what was
/// measured and commanded, with `inputs_size` the size of `struct OrangeloomInputs`.
/// `findings`: room for `capacity` findings; each check that does not hold is written there,
/// their number to `found`. It may be null with a capacity of 0. `summary`: where the sum of
/// all of them is written, of those without room too.
///
/// `ORANGELOOM_STATUS_OK`: everything is written. `ORANGELOOM_STATUS_MORE_FINDINGS`: as much
/// as there was room for, and the whole sum; that cannot happen with a capacity of
/// `ORANGELOOM_MAX_FINDINGS`. Any other status: the tick did not happen, 0 is written to
/// `found`, and a sum that forbids all closing and charging and advises half the lasting
/// current to `summary`, each unless its pointer is null, misaligned or leads into `memory`.
/// Then close nothing, warn the driver, and stop on your own account if it goes on; the sum
/// does not tell you to open, for nothing is known about the current.
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
    let given = Given {
        memory,
        memory_size,
        now_ms,
        inputs,
        inputs_size,
        findings,
        capacity,
        found,
        summary,
    };
    // SAFETY: the caller vouches for all of it.
    let done = unsafe { given.tick() };
    if done.is_err_and(|status| status != Status::MoreFindings) {
        // SAFETY: as before.
        unsafe { given.refuse() };
    }
    told(done)
}

struct Given {
    memory: *mut Memory,
    memory_size: usize,
    now_ms: u32,
    inputs: *const Inputs,
    inputs_size: usize,
    findings: *mut Finding,
    capacity: usize,
    found: *mut usize,
    summary: *mut Summary,
}

impl Given {
    unsafe fn tick(&self) -> Result<(), Status> {
        let memory = place(self.memory, self.memory_size)?;
        if self.inputs_size != size_of::<Inputs>() {
            return Err(Status::WrongSize);
        }
        let findings = if self.capacity == 0 {
            Span::NONE
        } else {
            // More than this are never written.
            span(self.findings, self.capacity.min(MAX_FINDINGS))?
        };
        apart(&[
            memory,
            span(self.inputs, 1)?,
            findings,
            span(self.found, 1)?,
            span(self.summary, 1)?,
        ])?;
        // SAFETY: neither null nor unaligned, of this size; any bytes are inputs.
        let inputs = unsafe { &*self.inputs }.core()?;
        // SAFETY: `place` accepted the memory, and nothing else leads into it.
        let mut alone = unsafe { prepared(self.memory) }?;
        let prepared = &mut *alone;
        let mut count = 0_usize;
        let mut lost = false;
        let sum = prepared
            .monitors
            .tick(&prepared.limits, self.now_ms, &inputs, &mut |told| {
                let Some(finding) = Finding::new(told) else {
                    return;
                };
                if count < self.capacity.min(MAX_FINDINGS) {
                    // SAFETY: there is room for so many.
                    unsafe { self.findings.add(count).write(finding) };
                    count += 1;
                } else {
                    lost = true;
                }
            });
        prepared.ticked = true;
        // SAFETY: neither null nor unaligned; the caller owns the memory.
        unsafe {
            self.found.write(count);
            self.summary.write(Summary::new(&sum));
        }
        if lost {
            Err(Status::MoreFindings)
        } else {
            Ok(())
        }
    }

    /// Leaves nothing of an earlier tick that a caller might go by.
    unsafe fn refuse(&self) {
        // What is not accepted as memory may hold something prepared all the same.
        let held = self.memory_size.min(MONITORS_BYTES);
        let memory = span(self.memory.cast::<u8>(), held).unwrap_or(Span::NONE);
        if span(self.found, 1).is_ok_and(|place| place.is_apart(memory)) {
            // SAFETY: neither null nor unaligned; the caller owns the memory.
            unsafe { self.found.write(0) };
        }
        // Last: should both be one, it is the sum that counts.
        if span(self.summary, 1).is_ok_and(|place| place.is_apart(memory)) {
            // SAFETY: as before.
            unsafe { self.summary.write(Summary::REFUSED) };
        }
    }
}
