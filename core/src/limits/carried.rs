//! Which watched current flows through which thing of a design. For a host.
//!
//! Two things carry one current where they are in series by the drawing and by the currents
//! of every phase.

use heapless::Vec;

use super::{MAX_CHANNELS, MAX_STRINGS, NONE};
use crate::design::{Design, Load, LoadId, Thing};
use crate::study::{Study, carries_all, in_series};

/// A watched current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Carried {
    /// Of all strings together.
    All,
    /// Of one of several strings.
    Of(u8),
    /// Of a load that tells it.
    Branch(u8),
}

impl Carried {
    /// The string, as the limits name it.
    pub(super) const fn string(self) -> u8 {
        match self {
            Self::Of(string) => string,
            Self::All | Self::Branch(_) => NONE,
        }
    }
}

/// The currents that a controller of a design measures.
pub(super) struct Currents<'a> {
    design: &'a Design,
    study: &'a Study,
    /// One battery of each string.
    strings: Vec<Thing, MAX_STRINGS, u8>,
    branches: Vec<LoadId, MAX_CHANNELS, u8>,
}

impl<'a> Currents<'a> {
    /// Loads of which there are more than channels are left out.
    pub(super) fn new(
        design: &'a Design,
        study: &'a Study,
        strings: Vec<Thing, MAX_STRINGS, u8>,
    ) -> Self {
        let mut currents = Self {
            design,
            study,
            strings,
            branches: Vec::new(),
        };
        let taken = 1 + currents.of_strings();
        let systems = design.systems();
        for (id, load) in design.all::<Load>() {
            let measured = load.current_measured == Some(true) && systems.is_high(load.positive);
            // What draws everything is measured as that.
            if measured
                && currents.of(id.into()).is_none()
                && currents.branches.len() + usize::from(taken) < MAX_CHANNELS
            {
                let _ = currents.branches.push(id);
            }
        }
        currents
    }

    pub(super) fn branches(&self) -> &[LoadId] {
        &self.branches
    }

    /// How many strings have a measured current of their own.
    fn of_strings(&self) -> u8 {
        // There are fewer strings than a byte counts.
        #[allow(clippy::cast_possible_truncation)]
        let strings = self.strings.len() as u8;
        if strings > 1 { strings } else { 0 }
    }

    /// Its place among the measured currents.
    pub(super) fn channel(&self, carried: Carried) -> u8 {
        match carried {
            Carried::All => 0,
            Carried::Of(string) => string + 1,
            Carried::Branch(branch) => branch + 1 + self.of_strings(),
        }
    }

    /// What flows through a thing, if it is one of the measured currents.
    pub(super) fn of(&self, thing: Thing) -> Option<Carried> {
        let alike = |other: Thing| in_series(self.design, &self.study.points, other, thing);
        let mut strings = (0..).zip(&self.strings);
        match strings.find(|(_, one)| alike(**one)) {
            Some((place, _)) if self.strings.len() > 1 => return Some(Carried::Of(place)),
            Some(_) => return Some(Carried::All),
            None if carries_all(self.design, self.study, thing) => return Some(Carried::All),
            None => {}
        }
        let loads = self.design.all::<Load>();
        let mut loads = loads.filter(|(id, _)| alike((*id).into()));
        let (load, _) = loads.next()?;
        let alone = loads.next().is_none();
        let mut branches = (0..).zip(&self.branches);
        let (place, _) = branches.find(|(_, branch)| **branch == load && alone)?;
        Some(Carried::Branch(place))
    }
}
