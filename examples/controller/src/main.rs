//! A vehicle controller that runs the monitors of orangeloom: begin your own with it.
//!
//! | file | what it is about |
//! |---|---|
//! | `main.rs` | boot, limits, one tick after the other, the log |
//! | `contactors.rs` | what the controller does about what the monitors advise |
//! | `truck.rs` | an invented truck and its drive, in place of sensors and contactors |
//! | `limits.rs` | the limits, and which contactor or current has which place, as `orangeloom limits --rust` wrote them |
//!
//! `ci/on-target example` builds it, runs it in an emulator, and holds its log, as the
//! host reads it, against `drive.log`. On your board replace `truck.rs` and the log's way
//! out; what stands in SAFETY.md under "Assumptions of use" is yours to keep.

#![no_std]
#![no_main]

mod contactors;
mod limits;
mod truck;

use core::panic::PanicInfo;
use core::sync::atomic::{AtomicU32, Ordering};

use cortex_m_rt::entry;
use cortex_m_semihosting::debug;
use defmt::{error, info, warn};
use defmt_semihosting as _;
use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{MAX_KEPT_BYTES, Monitors, State};
use orangeloom_core::quantity::Temperature;

use contactors::{Contactors, Phase};
use limits::place;
use truck::Truck;

/// Milliseconds between two ticks. AoU-20: at least as often as the limits state.
const TICK_MS: u32 = 10;

/// The time that stands before every line of the log.
static CLOCK_MS: AtomicU32 = AtomicU32::new(0);
defmt::timestamp!("{=u32:ms}", CLOCK_MS.load(Ordering::Relaxed));

#[entry]
fn main() -> ! {
    // Any wrong bit refuses the whole image, and without limits nothing is ever closed.
    let limits = match Limits::decode(&limits::ORANGELOOM_LIMITS) {
        Ok(limits) => limits,
        Err(refused) => {
            error!("limits refused, everything stays open: {}", refused);
            stop(false)
        }
    };
    info!(
        "limits of revision {=str}, fingerprint {=u32:08x}: {} contactors, {} conductors watched",
        text(&limits.revision.letters),
        limits.revision.fingerprint,
        limits.switches.len(),
        limits.circuits.len()
    );
    // Where each input goes and what a finding is about stands in the program; an image that
    // comes from elsewhere has to be of the same design.
    if limits.revision.fingerprint != place::FINGERPRINT {
        error!("limits of another design, everything stays open");
        stop(false)
    }
    if !limits.reason.is_empty() {
        warn!(
            "made although the review does not pass: {=str}",
            text(&limits.reason)
        );
    }

    // What `keep` gave before the restart is restored here, from memory that outlasts the
    // supply; until then closing is forbidden. This truck is new, and nothing was ever kept.
    // Never call this because `restore` was refused: somebody has to look at the vehicle.
    let mut monitors = Monitors::before_restore();
    monitors.start_without_store();
    let mut contactors = Contactors::new(&limits);
    let mut truck = Truck::new();
    let mut may_close = true;
    let mut phase = Phase::Open;

    // The first tick only starts the clock of the monitors.
    let inputs = truck.measure(&contactors);
    monitors.tick(&limits, truck.now_ms(), &inputs, &mut |_| {});
    while let Some(event) = truck.next(TICK_MS) {
        let now_ms = truck.now_ms();
        CLOCK_MS.store(now_ms, Ordering::Relaxed);
        if let Some(event) = event {
            info!("-- {=str}", event);
        }

        let inputs = truck.measure(&contactors);
        let summary = monitors.tick(&limits, now_ms, &inputs, &mut |finding| {
            // Told in every tick; what has lasted for longer than one is in the log already.
            if finding.for_ms <= TICK_MS {
                match finding.state {
                    State::Found | State::Blind => warn!("{}", finding),
                    _ => info!("{}", finding),
                }
            }
        });
        if may_close != summary.may_close() {
            may_close = summary.may_close();
            info!(
                "closing is {=str}",
                if may_close { "allowed" } else { "forbidden" }
            );
        }

        contactors.decide(&limits, &summary, truck.key(), truck.current());
        if phase != contactors.phase() {
            phase = contactors.phase();
            info!("contactors: {}", phase);
        }
        truck.advance(&contactors, TICK_MS);
    }

    let counters = monitors.counters();
    info!(
        "pulses of the main fuse from 30, 50, 80 % of melting: {}",
        counters.pulses[place::CURRENT_PACK]
    );
    info!(
        "openings under load: {}",
        counters.openings.as_flattened().iter().sum::<u16>()
    );
    let degc = monitors.conductor_degc(&limits, place::CONDUCTOR_01 as u8);
    if let Some(Ok(warm)) = degc.map(Temperature::from_degc) {
        info!("conductor 01 at the end: {}", warm);
    }
    // Into memory that outlasts the supply: wear, locks and heat go on from here. Not only at
    // the end: AoU-20 says when.
    let mut kept = [0; MAX_KEPT_BYTES];
    match monitors.keep(&limits, &mut kept) {
        Ok(length) => info!("{} bytes to keep", length),
        Err(why) => error!("nothing could be kept: {}", why),
    }
    stop(true)
}

/// Letters of the limits. An image with others than printable ones is refused.
fn text(letters: &[u8]) -> &str {
    core::str::from_utf8(letters).unwrap_or_default()
}

/// Ends the emulation. A controller goes on ticking.
fn stop(well: bool) -> ! {
    loop {
        debug::exit(if well {
            debug::EXIT_SUCCESS
        } else {
            debug::EXIT_FAILURE
        });
    }
}

/// Nothing in the monitors can panic, that is proven; your own code may. Here is the place
/// to open the contactors, before the watchdog does.
#[panic_handler]
fn panic(_: &PanicInfo<'_>) -> ! {
    stop(false)
}
