//! What the vehicle does: phases and the duties they make.

use heapless::Vec;

use super::capacity::MAX_DUTY_STEPS;
use super::index::{ContactorId, LoadId, PhaseId, ServiceDisconnectId, TextId};
use super::load::Draw;
use super::set::Set;
use crate::quantity::Time;

/// A state that the vehicle is in for a while.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Phase {
    /// What it is called.
    pub name: TextId,
    /// How long it lasts.
    pub duration: Option<Time>,
    /// The contactors that are closed; the others are open.
    pub closed: Set<ContactorId>,
    /// The service disconnects that are out; the others are in.
    pub out: Set<ServiceDisconnectId>,
}

impl Phase {
    /// A phase of unknown duration with every contactor open.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            duration: None,
            closed: Set::EMPTY,
            out: Set::EMPTY,
        }
    }
}

/// What one load draws in one phase.
///
/// A load that a phase does not name is not asked to work there: it draws its
/// idle current, and a low-voltage consumer with a duty share that share of what
/// it is rated for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct PhaseDraw {
    /// In this phase
    pub phase: PhaseId,
    /// this load
    pub load: LoadId,
    /// draws this.
    pub draw: Draw,
}

/// A sequence of phases that repeats.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Duty {
    /// What it is called.
    pub name: TextId,
    /// Its phases in order; the first follows the last again.
    pub phases: Vec<PhaseId, MAX_DUTY_STEPS, u8>,
}

impl Duty {
    /// A duty without a phase.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            phases: Vec::new(),
        }
    }
}
