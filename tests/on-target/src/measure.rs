//! Instructions and stack of one call.
//!
//! The emulator runs with `-icount shift=8`: each instruction takes 2^8 ns of
//! virtual time. The board's timer counts at 25 MHz, 40 ns a tick, so an
//! instruction is 6.4 ticks, and 32 bits last for 670 million instructions. The
//! result counts instructions, not cycles of a real chip, and belongs to one
//! compiler.

use core::fmt::Arguments;
use core::hint::black_box;
use core::ptr::{read_volatile, with_exposed_provenance, write_volatile};

use cortex_m_semihosting::{debug, hprintln};
use orangeloom_core::error::Error;

use crate::calls::Visit;

/// Prints what each call costs: name, instructions, bytes of stack.
pub struct Print;

impl Visit for Print {
    fn call<T, R>(&mut self, name: &'static str, input: T, function: fn(&T) -> R) {
        let cost = cost(black_box(&input), function);
        if cost.stack >= PAINTED {
            fail(format_args!(
                "{name}: uses more stack than the {PAINTED} bytes painted"
            ));
        }
        hprintln!("{:<48} {:>10} {:>7}", name, cost.instructions, cost.stack);
    }

    fn brief<T, R>(&mut self, _: T, _: fn(&T) -> R) {}

    fn given<T>(&mut self, name: &'static str, input: Result<T, Error>) -> Option<T> {
        match input {
            Ok(input) => Some(input),
            Err(error) => fail(format_args!("{name}: refused as {error:?}")),
        }
    }
}

/// Says why, and ends the run as failed.
pub fn fail(why: Arguments<'_>) -> ! {
    hprintln!("{}", why);
    loop {
        debug::exit(debug::EXIT_FAILURE);
    }
}

/// What one call needs beyond an empty one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cost {
    /// Executed instructions.
    pub instructions: u32,
    /// Bytes of stack below the caller's frame, the result included.
    pub stack: usize,
}

/// Measures one call. Deterministic, so once is enough.
pub fn cost<T, R>(input: &T, call: fn(&T) -> R) -> Cost {
    let whole = raw(input, call);
    let empty = raw(&(), |(): &()| ());
    Cost {
        instructions: whole.instructions.saturating_sub(empty.instructions),
        stack: whole.stack.saturating_sub(empty.stack),
    }
}

fn raw<T, R>(input: &T, call: fn(&T) -> R) -> Cost {
    let subject = Subject { input, call };
    // Through a pointer that the optimiser cannot follow: inlined, the frame of the
    // call would be part of the caller's and vanish from the reading.
    let run: fn(&Subject<'_, T, R>) = black_box(run::<T, R>);
    let subject = black_box(&subject);
    Cost {
        instructions: instructions(|| run(subject)),
        stack: stack(|| run(subject)),
    }
}

struct Subject<'a, T, R> {
    input: &'a T,
    call: fn(&T) -> R,
}

#[inline(never)]
fn run<T, R>(subject: &Subject<'_, T, R>) {
    let result = (subject.call)(subject.input);
    black_box(&result);
}

/// The first of the board's two 32-bit timers, counting down at 25 MHz.
mod timer {
    pub const CONTROL: usize = 0x4000_0000;
    pub const VALUE: usize = 0x4000_0004;
    pub const RELOAD: usize = 0x4000_0008;
}

#[inline(always)]
fn write(register: usize, value: u32) {
    // SAFETY: only called with the addresses in `timer`, which exist on this board
    // and which nothing else uses.
    unsafe { write_volatile(core::ptr::with_exposed_provenance_mut(register), value) }
}

#[inline(always)]
fn read(register: usize) -> u32 {
    // SAFETY: as in `write`.
    unsafe { read_volatile(with_exposed_provenance(register)) }
}

/// Instructions of a closure and of the reading itself.
#[inline(never)]
fn instructions(call: impl Fn()) -> u32 {
    write(timer::CONTROL, 0);
    write(timer::RELOAD, u32::MAX);
    write(timer::VALUE, u32::MAX);
    write(timer::CONTROL, 1);
    let before = read(timer::VALUE);
    call();
    let after = read(timer::VALUE);
    write(timer::CONTROL, 0);
    let ticks = u64::from(before.wrapping_sub(after));
    // 6.4 ticks an instruction, to the nearest.
    u32::try_from((ticks * 5 + 16) / 32).unwrap_or(u32::MAX)
}

/// How far below this frame the stack is painted. Deeper use reads as this much.
pub const PAINTED: usize = 256 * 1024;

/// Bytes of stack that a closure overwrote.
#[inline(never)]
fn stack(call: impl Fn()) -> usize {
    const PAINT: u32 = 0xC5C5_C5C5;
    let top: usize;
    // SAFETY: reads a register.
    unsafe { core::arch::asm!("mov {}, sp", out(reg) top) };
    let bottom = top - PAINTED;
    // SAFETY: writes only below the stack pointer, where nothing lives: there are
    // no interrupts, and RAM is 4 MiB with the stack growing from its end. In
    // assembly, because a compiled loop would keep its own variables down there.
    unsafe {
        core::arch::asm!(
            "2: str {paint}, [{at}], #4",
            "cmp {at}, {top}",
            "blo 2b",
            paint = in(reg) PAINT,
            at = inout(reg) bottom => _,
            top = in(reg) top,
        );
    }
    call();
    let mut at = bottom;
    // SAFETY: memory painted above, read as what it is.
    while at < top && unsafe { read_volatile(with_exposed_provenance::<u32>(at)) } == PAINT {
        at += 4;
    }
    top - at
}

/// Checks the ruler itself against code of known length and known stack.
///
/// Returns the first reading that is wrong: its name, what was read and what is right.
pub fn check_the_ruler() -> Result<(), (&'static str, u32, u32)> {
    let readings = [
        ("1000_nops", cost(&(), thousand_nops).instructions, 1000),
        // Three instructions a turn, one to load the number of turns; long enough
        // to overflow the 24 bits of the core's own timer.
        (
            "loop_of_3000000",
            cost(&1_000_000, turns).instructions,
            3_000_000,
        ),
    ];
    for (name, read, right) in readings {
        // Loading an argument or the like is not part of the known length.
        if read.abs_diff(right) > 3 {
            return Err((name, read, right));
        }
    }
    let stack = cost(&(), kibibyte_on_the_stack).stack;
    // The array itself and at most a few saved registers.
    if !(1024..1024 + 64).contains(&stack) {
        return Err((
            "1024_bytes_of_stack",
            u32::try_from(stack).unwrap_or(u32::MAX),
            1024,
        ));
    }
    Ok(())
}

fn thousand_nops(_: &()) {
    // SAFETY: does nothing.
    unsafe { core::arch::asm!(".rept 1000", "nop", ".endr") }
}

fn turns(turns: &u32) {
    // SAFETY: counts a register down to zero.
    unsafe { core::arch::asm!("2: subs {n}, #1", "nop", "bne 2b", n = inout(reg) *turns => _) }
}

fn kibibyte_on_the_stack(_: &()) {
    // Mutable: a constant array would not be on the stack at all.
    black_box(&mut [0_u8; 1024]);
}
