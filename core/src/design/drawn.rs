//! Everything that is drawn between two terminals, and which terminals that joins.

use super::battery::{Battery, System};
use super::capacity::MAX_TERMINALS;
use super::conductor::Conductor;
use super::device::{Contactor, Fuse, Resistor, ServiceDisconnect};
use super::index::{Index, Kind, TerminalId, Thing};
use super::load::{Converter, Load};
use super::model::{Design, Entry};

/// A thing between two terminals.
///
/// A positive current flows through it from its first terminal to its second: a
/// battery that is discharged from its negative to its positive terminal, a load
/// from its positive to its negative one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a thing and two ends are all there is
pub struct Drawn {
    /// What.
    pub thing: Thing,
    /// First terminal.
    pub from: TerminalId,
    /// Second terminal.
    pub to: TerminalId,
}

impl Design {
    /// Everything that is drawn between two terminals, the output of a converter
    /// included, kind by kind in the order in which it was added.
    pub fn drawn(&self) -> impl Iterator<Item = Drawn> {
        self.ends(|e: &Battery| [e.negative, e.positive])
            .chain(self.ends(|e: &Conductor| [e.from, e.to]))
            .chain(self.ends(|e: &Fuse| [e.from, e.to]))
            .chain(self.ends(|e: &Contactor| [e.from, e.to]))
            .chain(self.ends(|e: &ServiceDisconnect| [e.from, e.to]))
            .chain(self.ends(|e: &Resistor| [e.from, e.to]))
            .chain(self.ends(|e: &Load| [e.positive, e.negative]))
            .chain(self.ends(|e: &Converter| [e.negative, e.positive]))
    }

    /// Terminals that conductors, fuses, contactors and service disconnects make one piece
    /// of metal, as far as those conduct that `conducts` says.
    pub(crate) fn metal(&self, conducts: impl Fn(Thing) -> bool) -> Joined {
        let mut metal = Joining::new();
        // Kind by kind inside: a loop outside would ask for the kind at every step.
        self.drawn().for_each(|drawn| {
            if carries(drawn.thing.kind) && conducts(drawn.thing) {
                metal.join(drawn.from, drawn.to);
            }
        });
        metal.groups()
    }

    fn ends<E: Entry>(&self, ends: fn(&E) -> [TerminalId; 2]) -> impl Iterator<Item = Drawn> {
        self.all::<E>().map(move |(id, entry)| {
            let [from, to] = ends(entry);
            Drawn {
                thing: id.into(),
                from,
                to,
            }
        })
    }

    /// Which system each terminal belongs to.
    pub fn systems(&self) -> Systems {
        let mut joined = Joining::new();
        self.drawn()
            .for_each(|drawn| joined.join(drawn.from, drawn.to));
        let mut systems = Systems {
            joined: joined.groups(),
            traction: [false; MAX_TERMINALS],
            low_voltage: [false; MAX_TERMINALS],
        };
        for (_, battery) in self.all::<Battery>() {
            systems.mark(battery.positive, battery.system);
        }
        for (_, converter) in self.all::<Converter>() {
            systems.mark(converter.positive, System::LowVoltage);
        }
        systems
    }
}

/// Terminals that are being joined: each leads to another of its group with a lower
/// number, the lowest to itself.
struct Joining {
    lower: [u8; MAX_TERMINALS],
}

impl Joining {
    fn new() -> Self {
        Self {
            lower: Joined::new().groups,
        }
    }

    /// The lowest of the group of a terminal; the ways there become shorter.
    fn lowest(&mut self, terminal: TerminalId) -> Option<u8> {
        let mut here = u8::try_from(terminal.position()).ok()?;
        loop {
            let next = *self.lower.get(usize::from(here))?;
            if next == here {
                return Some(here);
            }
            let beyond = *self.lower.get(usize::from(next))?;
            *self.lower.get_mut(usize::from(here))? = beyond;
            here = beyond;
        }
    }

    /// Makes one group of those of two terminals. Bound: one pass over all terminals.
    fn join(&mut self, one: TerminalId, other: TerminalId) {
        if let (Some(one), Some(other)) = (self.lowest(one), self.lowest(other)) {
            let (low, high) = if one < other {
                (one, other)
            } else {
                (other, one)
            };
            if let Some(place) = self.lower.get_mut(usize::from(high)) {
                *place = low;
            }
        }
    }

    fn groups(mut self) -> Joined {
        for number in 0..MAX_TERMINALS {
            // What it leads to comes earlier and leads to the lowest already.
            let lower = self.lower.get(number).copied().unwrap_or(0);
            let lowest = self.lower.get(usize::from(lower)).copied();
            if let (Some(place), Some(lowest)) = (self.lower.get_mut(number), lowest) {
                *place = lowest;
            }
        }
        Joined { groups: self.lower }
    }
}

/// Terminals joined into groups.
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(crate) struct Joined {
    /// The group of each terminal, named by one of its members.
    groups: [u8; MAX_TERMINALS],
}

impl Joined {
    /// Every terminal by itself.
    pub(crate) fn new() -> Self {
        let mut groups = [0; MAX_TERMINALS];
        for (group, number) in groups.iter_mut().zip(0..) {
            *group = number;
        }
        Self { groups }
    }

    /// Makes one group of those of two terminals. Bound: one pass over all terminals.
    pub(crate) fn join(&mut self, one: TerminalId, other: TerminalId) {
        if let (Some(keep), Some(give)) = (self.group(one), self.group(other))
            && keep != give
        {
            // Without a branch, so that it is done for many terminals at once.
            for group in &mut self.groups {
                *group = if *group == give { keep } else { *group };
            }
        }
    }

    /// The group of a terminal.
    pub(crate) fn group(&self, terminal: TerminalId) -> Option<u8> {
        self.groups.get(terminal.position()).copied()
    }

    /// Whether two terminals are in one group.
    pub(crate) fn together(&self, one: TerminalId, other: TerminalId) -> bool {
        self.group(one) == self.group(other)
    }

    /// Whether one end is in the group of one pole and the other end in that of the other,
    /// either way round.
    pub(crate) fn across(&self, [one, other]: [TerminalId; 2], poles: [TerminalId; 2]) -> bool {
        let [a, b] = poles;
        (self.together(one, a) && self.together(other, b))
            || (self.together(one, b) && self.together(other, a))
    }
}

/// Which system each terminal belongs to: whatever is joined to a traction
/// battery by anything that is drawn, closed or open, is its system; likewise for
/// the low-voltage battery and the output of a converter.
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Systems {
    joined: Joined,
    traction: [bool; MAX_TERMINALS],
    low_voltage: [bool; MAX_TERMINALS],
}

impl Systems {
    fn mark(&mut self, terminal: TerminalId, system: System) {
        let marks = match system {
            System::Traction => &mut self.traction,
            System::LowVoltage => &mut self.low_voltage,
        };
        let group = self.joined.group(terminal).map(usize::from);
        if let Some(mark) = group.and_then(|group| marks.get_mut(group)) {
            *mark = true;
        }
    }

    fn marks(&self, terminal: TerminalId) -> Option<(bool, bool)> {
        let group = usize::from(self.joined.group(terminal)?);
        Some((*self.traction.get(group)?, *self.low_voltage.get(group)?))
    }

    /// Whether anything that is drawn leads from one terminal to the other.
    pub fn together(&self, one: TerminalId, other: TerminalId) -> bool {
        self.joined.together(one, other)
    }

    /// The system of a terminal; `None` where no battery and no converter feeds
    /// it. Where both meet, which [`Design::check`] reports, it is the dangerous one.
    pub fn of(&self, terminal: TerminalId) -> Option<System> {
        match self.marks(terminal)? {
            (true, _) => Some(System::Traction),
            (false, true) => Some(System::LowVoltage),
            (false, false) => None,
        }
    }

    /// Whether a terminal belongs to the high-voltage side.
    pub fn is_high(&self, terminal: TerminalId) -> bool {
        self.of(terminal) == Some(System::Traction)
    }

    /// Whether a traction battery and a low-voltage supply meet at this terminal.
    pub fn meet(&self, terminal: TerminalId) -> bool {
        self.marks(terminal) == Some((true, true))
    }
}

/// Whether current can always flow through things of this kind: neither a source
/// nor a load nor a resistor.
pub(crate) const fn carries(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Conductor | Kind::Fuse | Kind::Contactor | Kind::ServiceDisconnect
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::design::Index;

    proptest! {
        #[test]
        fn what_is_joined_in_one_go_is_joined_as_one_by_one(
            pairs in proptest::collection::vec((0..MAX_TERMINALS, 0..MAX_TERMINALS), 0..200)
        ) {
            let (mut at_once, mut one_by_one) = (Joining::new(), Joined::new());
            for (one, other) in pairs {
                let [one, other] = [one, other].map(|number| TerminalId::at(number).unwrap());
                at_once.join(one, other);
                one_by_one.join(one, other);
            }
            let at_once = at_once.groups();
            let terminals = || (0..MAX_TERMINALS).filter_map(TerminalId::at);
            for one in terminals() {
                for other in terminals() {
                    prop_assert_eq!(at_once.together(one, other), one_by_one.together(one, other));
                }
            }
        }
    }
}
