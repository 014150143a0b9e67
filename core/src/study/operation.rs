//! What the vehicle does over time: duties, and phases that belong to none.

use super::points::Points;
use super::unknown::{Known, Unknown, entry};
use super::window::{Step, Steps};
use crate::design::{Design, Duty, DutyId, Gap, MAX_DUTIES, MAX_PHASES, Phase, PhaseId, Thing};
use crate::error::{Capacity, Error};
use crate::quantity::Time;

/// Most operations of one design.
pub const MAX_OPERATIONS: usize = MAX_DUTIES + MAX_PHASES;

/// What the vehicle may do for as long as it likes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // a sequence or one state
pub enum Operation {
    /// The phases of a duty, again and again.
    Duty(DutyId),
    /// A phase that no duty contains: nothing says what comes after it, so it
    /// counts as lasting.
    Lasting(PhaseId),
}

impl From<Operation> for Thing {
    fn from(operation: Operation) -> Self {
        match operation {
            Operation::Duty(duty) => duty.into(),
            Operation::Lasting(phase) => phase.into(),
        }
    }
}

/// How long a step of a lasting phase is taken to be. Any value gives the same
/// result, since the current never changes.
const LASTING: Time = constant!(Time::from_seconds(3600.0));

impl Design {
    /// Every operation: the duties, then the phases that no duty contains.
    pub fn operations(&self) -> impl Iterator<Item = Operation> {
        let in_duty = |phase| {
            self.all::<Duty>()
                .any(|(_, duty)| duty.phases.contains(&phase))
        };
        let duties = self.all::<Duty>().map(|(id, _)| Operation::Duty(id));
        let lasting = self.all::<Phase>().map(|(id, _)| id);
        duties.chain(
            lasting
                .filter(move |id| !in_duty(*id))
                .map(Operation::Lasting),
        )
    }

    /// The phases of an operation, in order.
    pub fn phases_of(&self, operation: Operation) -> impl Iterator<Item = PhaseId> {
        let duty = match operation {
            Operation::Duty(duty) => self.get(duty),
            Operation::Lasting(_) => None,
        };
        let single = match operation {
            Operation::Duty(_) => None,
            Operation::Lasting(phase) => Some(phase),
        };
        let several = duty
            .into_iter()
            .flat_map(|duty| duty.phases.iter().copied());
        several.chain(single)
    }
}

impl Points {
    /// The current of a thing along an operation.
    ///
    /// # Errors
    /// [`Unknown::Missing`] for a phase without duration or without an operating
    /// point.
    pub fn steps(
        &self,
        design: &Design,
        operation: Operation,
        thing: impl Into<Thing>,
    ) -> Known<Steps> {
        let thing = thing.into();
        let mut steps = Steps::new();
        for phase in design.phases_of(operation) {
            let duration = match operation {
                Operation::Lasting(_) => Some(LASTING),
                Operation::Duty(_) => entry(design, phase)?.duration,
            };
            let Some(duration) = duration else {
                return Err(Unknown::missing(phase, Gap::Duration));
            };
            let current = self.known_current(phase, thing)?;
            let full = Error::Capacity(Capacity::DutySteps);
            steps
                .push(Step { current, duration })
                .map_err(|_| Unknown::Refused(operation.into(), full))?;
        }
        Ok(steps)
    }
}
