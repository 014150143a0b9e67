//! Where a verdict turns: how far an input may move before what holds fails, and the
//! smallest change that mends what fails. On the host only: a controller mends
//! nothing.

#![cfg(feature = "text")]

mod narrowed;
mod rooms;
mod searched;
mod stated;

use super::aspect::Aspect;
use super::finding::Finding;
use super::input::{Input, cable_at, set_section};
use super::subject::Studies;
use crate::design::{Design, FuseType, FuseTypeId, ResistorId, Thing};
use crate::link::ResistorWindow;
use crate::protection::of_series;
use crate::study::Study;
use crate::verdict::{Side, Verdict};
pub use rooms::{ChangedDesign, ChangedFaults, Rooms, Scratch};
use searched::Again;

/// An input and the value at which a verdict turns.
///
/// Of a finding that holds it is how far that input may move with everything else as it
/// is; of one that fails it is the smallest change of that input that mends it. The
/// value itself holds, by half a part in a million or the last step of the search.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Turning {
    /// Where the input is stated.
    pub thing: Thing,
    /// Which.
    pub input: Input,
    /// What is stated now.
    pub now: Option<f32>,
    /// Where the verdict turns.
    pub turns_at: f32,
}

impl Turning {
    /// Makes the change; `None` where the thing has no such input. Parts are changed for
    /// all that use them.
    pub fn apply(&self, design: &mut Design) -> Option<()> {
        match self.input {
            Input::Section => {
                let cable = cable_at(design, self.thing)?;
                let section = searched::larger(cable.conductor, cable.metal)
                    .find(|section| section.section.as_mm2() >= self.turns_at)?;
                set_section(design, self.thing, section)
            }
            input => input.set(design, self.thing, self.turns_at),
        }
    }
}

impl Turning {
    /// The fuse of the series that is meant, where one is: curve and joule integrals go
    /// with the rated current.
    pub fn fuse(&self, design: &Design) -> Option<FuseType> {
        if self.input != Input::FuseSeries {
            return None;
        }
        let pattern = design.get(self.thing.id::<FuseTypeId>()?)?;
        of_series(pattern, self.turns_at / self.now?).ok()
    }

    /// How many times the section of the wires of a coil it takes, where they are meant.
    pub fn more_section(&self) -> Option<f32> {
        (self.input == Input::CoilWire).then_some(self.now? / self.turns_at)
    }

    /// The resistors with which every check of a precharge holds, where one is meant.
    pub fn resistors(
        &self,
        design: &Design,
        study: &Study,
        finding: &Finding,
    ) -> Option<ResistorWindow> {
        if self.input != Input::ResistorOhms {
            return None;
        }
        study.resistor_window(design, finding.thing.id::<ResistorId>()?)
    }
}

/// Beyond the limit by this, so that rounding does not undo it.
const BEYOND: f32 = 5.0e-7;

fn above(value: f32) -> f32 {
    value + BEYOND * libm::fabsf(value)
}

fn below(value: f32) -> f32 {
    value - BEYOND * libm::fabsf(value)
}

/// The limit itself, on the side on which it is kept.
fn kept(side: Side, limit: f32) -> f32 {
    match side {
        Side::AtLeast => above(limit),
        Side::AtMost => below(limit),
    }
}

/// What is computed again when a change that is solved for is tried, where other inputs may
/// be missing; `None` where it need not be tried.
const fn is_asked_again(name: Aspect) -> Option<Again> {
    match name {
        Aspect::JoinWindow
        | Aspect::BackFeed
        | Aspect::ContactMake
        | Aspect::PrechargePeakPower
        | Aspect::PrechargeTime
        | Aspect::DischargeLabel
        | Aspect::DischargeEnergy
        | Aspect::DischargeWelded
        | Aspect::BleedPower => Some(Again::Sequences),
        Aspect::FuseBreaking
        | Aspect::FuseTimeConstant
        | Aspect::SelectiveI2t
        | Aspect::CapacitorPeak
        | Aspect::CapacitorI2t
        | Aspect::ContactPeak
        | Aspect::ContactI2t => Some(Again::Nothing),
        Aspect::Clearance | Aspect::Creepage => Some(Again::Insulation),
        _ => None,
    }
}

/// Computes: where the verdict of a finding turns, by the input that a builder would
/// move. `None` for what is open or has no such input, and where no value of it helps.
///
/// Inputs: a design with its studies and a finding of their review. Ratings and distances
/// are solved for. Air temperatures are halved down to on a changed copy, 20 studies of
/// one conductor; resistors, wires, shields and fuses of one series are narrowed down,
/// mostly with few tries, at most 90, each what happens step by step. Sections are tried
/// one after the other, one study each, for a short circuit with all faults.
pub fn turning(
    design: &Design,
    studies: Studies<'_>,
    finding: &Finding,
    rooms: &mut dyn Rooms,
) -> Option<Turning> {
    if !matches!(finding.judged.verdict, Verdict::Holds | Verdict::Fails) {
        return None;
    }
    let mut search = searched::Search {
        design,
        studies,
        finding,
        rooms,
    };
    let (thing, input, turns_at) = match finding.judged.name {
        Aspect::SteadyTemperature | Aspect::PeakTemperature | Aspect::TerminalTemperature => {
            return search.of_temperature();
        }
        Aspect::Drop | Aspect::LeadI2t => return search.section(),
        Aspect::TapLength => return search.of_tap(),
        Aspect::ShieldSection => return search.of_shield(),
        Aspect::FuseCarry
        | Aspect::FusePulse
        | Aspect::OverloadOwner
        | Aspect::CableAllCurrents => {
            return search.of_series();
        }
        Aspect::PrechargeStuck
        | Aspect::PrechargeSettles
        | Aspect::PrechargeTry
        | Aspect::PrechargeSeries
        | Aspect::PrechargePeakCurrent
        | Aspect::DischargeTime
        | Aspect::CoilPullIn
        | Aspect::CoilHold => return search.of_sequence(),
        Aspect::PrechargeTime if finding.judged.value.is_none() => return search.of_sequence(),
        name => {
            let (thing, input, value) = stated::stated(design, studies, finding)?;
            // What else is not known leaves it open: then this alone does not mend it.
            if let (Verdict::Fails, Some(what)) = (finding.judged.verdict, is_asked_again(name))
                && !search.holds_with((thing, input), value, what)
            {
                return None;
            }
            (thing, input, value)
        }
    };
    Some(Turning {
        thing,
        input,
        now: input.stated(design, thing),
        turns_at,
    })
}
