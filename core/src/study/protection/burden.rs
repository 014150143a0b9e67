//! What all faults of a design do to each fuse, contactor and conductor.

use crate::design::{
    ConductorId, ContactorId, Design, FuseId, Index, Kind, MAX_CONDUCTORS, MAX_CONTACTORS,
    MAX_FUSES,
};
use crate::error::Error;
use crate::fault::{Fault, FaultCurrent, FaultResult, FaultStudy, FaultWorkspace};
use crate::quantity::{Current, CurrentSquaredTime, Time};

/// What the faults of a design do to one thing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultBurden {
    /// Largest prospective current through it.
    pub largest: Option<Current>,
    /// Smallest prospective current through it of a fault that it has to end.
    pub smallest: Option<Current>,
    /// Longest L/R of a fault through it.
    pub time_constant: Option<Time>,
    /// Largest joule integral until a fault is off.
    pub i2t: Option<CurrentSquaredTime>,
    /// A fault through it that is not known to go off, if there is one.
    pub stays: Option<Fault>,
    /// Whether a fault flows through a fuse from its first terminal to its second, and
    /// whether one flows the other way.
    pub directions: [bool; 2],
}

impl FaultBurden {
    fn add(&mut self, current: Option<Current>, lowest: Option<Current>, tau: Time) {
        if current > self.largest {
            self.largest = current;
        }
        if let Some(lowest) = lowest
            && self.smallest.is_none_or(|known| lowest < known)
        {
            self.smallest = Some(lowest);
        }
        if self.time_constant.is_none_or(|known| tau > known) {
            self.time_constant = Some(tau);
        }
    }
}

/// What all faults of a design do to its things.
///
/// Large (about 20 KiB): keep it in a `static` or on the heap.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultBurdens {
    fuses: [FaultBurden; MAX_FUSES],
    contactors: [FaultBurden; MAX_CONTACTORS],
    conductors: [FaultBurden; MAX_CONDUCTORS],
    /// Whether a fault could not be solved: then nothing is known for certain.
    incomplete: bool,
}

impl Default for FaultBurdens {
    fn default() -> Self {
        Self::new()
    }
}

const NONE: FaultBurden = FaultBurden {
    largest: None,
    smallest: None,
    time_constant: None,
    i2t: None,
    stays: None,
    directions: [false; 2],
};

impl FaultBurdens {
    /// Nothing yet.
    pub const fn new() -> Self {
        Self {
            fuses: [NONE; MAX_FUSES],
            contactors: [NONE; MAX_CONTACTORS],
            conductors: [NONE; MAX_CONDUCTORS],
            incomplete: false,
        }
    }

    /// Computes: every fault of a design, handed to `each` one by one.
    ///
    /// Bound: see [`FaultStudy::faults`] and [`FaultStudy::solve`].
    ///
    /// # Errors
    /// Those of [`FaultStudy::new`]; a fault that cannot be solved is handed on as an
    /// error and leaves every verdict on faults open.
    pub fn solve(
        &mut self,
        design: &Design,
        workspace: &mut FaultWorkspace,
        each: &mut dyn FnMut(Fault, Result<&FaultResult, Error>),
    ) -> Result<(), Error> {
        *self = Self::new();
        let study = FaultStudy::new(design)?;
        for fault in study.faults(design) {
            match study.solve(design, workspace, fault) {
                Ok(result) => {
                    if !result.is_dead() {
                        self.take(&result);
                    }
                    each(fault, Ok(&result));
                }
                Err(error) => {
                    self.incomplete = true;
                    each(fault, Err(error));
                }
            }
        }
        Ok(())
    }

    fn take(&mut self, result: &FaultResult) {
        let (highest, lowest) = (&result.highest, &result.lowest);
        for carrier in &highest.carriers {
            let low = lowest
                .carriers
                .iter()
                .find(|other| other.fuse == carrier.fuse)
                .map(|other| size(other.current));
            if let Some(place) = self.fuses.get_mut(carrier.fuse.position()) {
                place.add(Some(size(carrier.current)), low, highest.time_constant);
                let [along, against] = &mut place.directions;
                *along |= carrier.current.as_amperes() > 0.0;
                *against |= carrier.current.as_amperes() < 0.0;
            }
        }
        for stage in highest.stages.iter().chain(&lowest.stages) {
            if let Some(place) = self.fuses.get_mut(stage.fuse.position())
                && Some(stage.let_through) > place.i2t
            {
                place.i2t = Some(stage.let_through);
            }
        }
        for current in [highest, lowest] {
            self.burdens(result.fault, current);
        }
    }

    fn burdens(&mut self, fault: Fault, current: &FaultCurrent) {
        for burden in &current.burdens {
            let index = usize::from(burden.thing.index);
            let place = match burden.thing.kind {
                Kind::Contactor => self.contactors.get_mut(index),
                _ => self.conductors.get_mut(index),
            };
            let Some(place) = place else { continue };
            place.add(burden.current, burden.current, current.time_constant);
            match burden.i2t {
                Some(i2t) if Some(i2t) > place.i2t => place.i2t = Some(i2t),
                None if place.stays.is_none() => place.stays = Some(fault),
                Some(_) | None => {}
            }
        }
    }

    /// What faults do to a fuse; `None` where a fault could not be solved.
    pub fn fuse(&self, id: FuseId) -> Option<FaultBurden> {
        self.known(self.fuses.get(id.position()))
    }

    /// The same for a contactor.
    pub fn contactor(&self, id: ContactorId) -> Option<FaultBurden> {
        self.known(self.contactors.get(id.position()))
    }

    /// The same for a conductor.
    pub fn conductor(&self, id: ConductorId) -> Option<FaultBurden> {
        self.known(self.conductors.get(id.position()))
    }

    fn known(&self, burden: Option<&FaultBurden>) -> Option<FaultBurden> {
        if self.incomplete {
            return None;
        }
        burden.copied()
    }
}

pub(super) fn size(current: Current) -> Current {
    // A magnitude keeps the bounds.
    Current::from_amperes(libm::fabsf(current.as_amperes())).unwrap_or(current)
}
