//! Which watched current flows through which thing of a design. For a host.
//!
//! Two things carry one current where the network solves them to the same in every phase.
//! Twins (two strings alike, two heaters alike) do so too without being in series: then the
//! drawing has to tell them apart, and where it does not, the thing is not watched.

use heapless::Vec;

use super::{MAX_CHANNELS, MAX_STRINGS, NONE};
use crate::design::{
    Design, Drawn, Index as _, Joined, Kind, Load, LoadId, MAX_TERMINALS, PhaseId, System,
    TerminalId, Thing,
};
use crate::quantity::Current;
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
    /// The phase in which the strings give most.
    drive: PhaseId,
}

impl<'a> Currents<'a> {
    /// Loads of which there are more than channels are left out.
    pub(super) fn new(
        design: &'a Design,
        study: &'a Study,
        strings: Vec<Thing, MAX_STRINGS, u8>,
        drive: PhaseId,
    ) -> Self {
        let mut currents = Self {
            design,
            study,
            strings,
            branches: Vec::new(),
            drive,
        };
        let taken = 1 + if currents.strings.len() > 1 {
            currents.strings.len()
        } else {
            0
        };
        let systems = design.systems();
        for (id, load) in design.all::<Load>() {
            let measured = load.current_measured == Some(true)
                && systems.of(load.positive) == Some(System::Traction);
            // What draws everything is measured as that.
            if measured
                && currents.of(id.into()).is_none()
                && currents.branches.len() + taken < MAX_CHANNELS
            {
                let _ = currents.branches.push(id);
            }
        }
        currents
    }

    pub(super) fn branches(&self) -> &[LoadId] {
        &self.branches
    }

    /// Its place among the measured currents.
    pub(super) fn channel(&self, carried: Carried) -> u8 {
        match carried {
            Carried::All => 0,
            Carried::Of(string) => string + 1,
            Carried::Branch(branch) => {
                // There are fewer strings than a byte counts.
                #[allow(clippy::cast_possible_truncation)]
                let strings = self.strings.len() as u8;
                branch + 1 + if strings > 1 { strings } else { 0 }
            }
        }
    }

    fn amperes(&self, phase: PhaseId, thing: Thing) -> f32 {
        let current = self.study.points.current(phase, thing);
        libm::fabsf(current.map_or(0.0, Current::as_amperes))
    }

    /// What flows through a thing, if it is one of the measured currents.
    pub(super) fn of(&self, thing: Thing) -> Option<Carried> {
        let alike = |other: Thing| in_series(self.design, &self.study.points, other, thing);
        let mut strings = (0..).zip(&self.strings).filter(|(_, one)| alike(**one));
        match (strings.next(), strings.next()) {
            (Some((place, _)), None) if self.strings.len() > 1 => return Some(Carried::Of(place)),
            (Some(_), None) => return Some(Carried::All),
            (Some(_), Some(_)) => return self.drawn_in(thing).map(Carried::Of),
            (None, _) => {}
        }
        if carries_all(self.design, self.study, thing) {
            return Some(Carried::All);
        }
        let loads = self.design.all::<Load>();
        let mut loads = loads.filter(|(id, _)| alike((*id).into()));
        let (load, _) = loads.next()?;
        let alone = loads.next().is_none();
        let mut branches = (0..).zip(&self.branches);
        let (place, _) = branches.find(|(_, branch)| **branch == load && alone)?;
        Some(Carried::Branch(place))
    }

    /// The one string of twins that a thing is drawn in: joined to its battery by what
    /// carries no other current than a string, without a point where another one ends.
    fn drawn_in(&self, thing: Thing) -> Option<u8> {
        let first = *self.strings.first()?;
        let string_a = self.amperes(self.drive, first);
        let of_string = |thing: Thing| {
            let own = self.amperes(self.drive, thing);
            libm::fabsf(own - string_a) <= 1.0e-3 * string_a
        };
        let idle = |thing: Thing| {
            let own = self.amperes(self.drive, thing);
            own <= 1.0e-3 * string_a && matches!(thing.kind, Kind::Contactor | Kind::Resistor)
        };
        let mut meeting = [false; MAX_TERMINALS];
        for drawn in self.design.drawn() {
            if !of_string(drawn.thing) && !idle(drawn.thing) {
                for end in [drawn.from, drawn.to] {
                    if let Some(place) = meeting.get_mut(end.position()) {
                        *place = true;
                    }
                }
            }
        }
        let within = |end: TerminalId| meeting.get(end.position()).copied() == Some(false);
        let mut joined = Joined::new();
        for drawn in self.design.drawn() {
            if within(drawn.from) && within(drawn.to) {
                joined.join(drawn.from, drawn.to);
            }
        }
        let ends = |thing: Thing| -> Option<Drawn> {
            self.design.drawn().find(|drawn| drawn.thing == thing)
        };
        let own = ends(thing)?;
        let mut strings = (0..).zip(&self.strings).filter(|(_, battery)| {
            ends(**battery).is_some_and(|battery| {
                [own.from, own.to].into_iter().any(|end| {
                    within(end)
                        && [battery.from, battery.to]
                            .into_iter()
                            .any(|pole| joined.together(end, pole))
                })
            })
        });
        match (strings.next(), strings.next()) {
            (Some((place, _)), None) => Some(place),
            _ => None,
        }
    }
}
