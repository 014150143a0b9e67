//! Whether fuses and contactors of a design stand their duty and end its faults.
//!
//! Reads a [`Study`] and the faults of a design and calls [`crate::protection`]. What is
//! taken for what:
//!
//! - **Lasting current**: the worst r.m.s. current over [`FUSE_WINDOW`] of any operation.
//! - **Pulses**: the steps of every duty above the lasting current.
//! - **In series**: a conductor or contactor that every ring through the fuse leads
//!   through, and whose current has the size of that of the fuse in every phase and is not
//!   zero in all of them.
//! - **Air**: that inside the box, or of its zone.
//!
//! | file | what it is about |
//! |---|---|
//! | `burden` | what all faults do to each fuse, contactor and conductor |
//! | `fuse`, `contactor` | what one of them does |
//! | `controller` | what the limits of the controller mean for one thing |
//! | `selectivity` | whether a fuse clears before those upstream of it melt |
//! | `chassis` | whether shields and bond straps stand faults through chassis |
//! | `overload` | who keeps overload off what no fuse alone is in series with |
//! | `lead` | what a conductor stands in a short circuit |

mod burden;
mod chassis;
mod contactor;
mod controller;
mod fuse;
mod lead;
mod overload;
mod selectivity;

use heapless::Vec;

use super::operation::Operation;
use super::points::Points;
pub(crate) use super::series::in_series;
use super::unknown::{Known, Unknown};
use super::window::worst_rms;
use crate::design::{Design, Gap, Thing};
use crate::quantity::{Current, Time};
use crate::verdict::{Judged, Verdict};

pub use burden::*;
pub use chassis::*;
pub use contactor::{ContactorStudy, study_contactor};
pub(crate) use contactor::{section_at, takes_over, withstands_faults};
pub(crate) use controller::{allowed_to_last, opened, overload_owner};
pub use fuse::*;
pub use lead::Withstands;
#[cfg(feature = "text")]
pub(crate) use lead::guarded;
pub(crate) use overload::shared_overload;
pub use selectivity::*;

/// Window of the r.m.s. current of fuses and contactors: a fuse of 100 to 400 A settles
/// within tens of minutes, so that a shorter window is on the safe side (common practice,
/// no source).
pub const FUSE_WINDOW: Time = constant!(Time::from_seconds(300.0));

/// Most checks of one fuse or contactor.
pub const MAX_CHECKS: usize = 20;

/// Checks, the worst of each kind.
struct Checks<N> {
    found: Vec<Judged<N>, MAX_CHECKS, u8>,
}

impl<N> Default for Checks<N> {
    fn default() -> Self {
        Self { found: Vec::new() }
    }
}

impl<N: Copy + PartialEq> Checks<N> {
    fn add(&mut self, judged: Judged<N>) {
        // What holds says more than what does not apply.
        let rank = |judged: &Judged<N>| {
            let verdict = judged.verdict;
            (verdict.rank(), verdict == Verdict::Holds)
        };
        let known = self
            .found
            .iter_mut()
            .find(|known| known.name == judged.name);
        match known {
            Some(known) => {
                let less_left = judged.margin() < known.margin();
                if (rank(&judged), less_left) > (rank(known), false) {
                    *known = judged;
                }
            }
            // There is a place for each kind.
            None => drop(self.found.push(judged)),
        }
    }
}

/// The worst r.m.s. current of any operation over [`FUSE_WINDOW`], and the operation.
pub(crate) fn lasting(
    design: &Design,
    points: &Points,
    thing: Thing,
) -> Known<(Operation, Current)> {
    let mut worst = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for operation in design.operations() {
        let steps = points.steps(design, operation, thing)?;
        let refused = Unknown::refused(thing);
        let rms = worst_rms(&steps, FUSE_WINDOW).map_err(&refused)?;
        let rms = rms.ok_or(Unknown::missing(operation, Gap::Duration))?;
        let more = |known: &(Operation, Current)| rms > known.1;
        if worst.as_ref().map_or(true, more) {
            worst = Ok((operation, rms));
        }
    }
    worst
}
