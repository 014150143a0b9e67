//! Where a fault is, and which points of a design are in one place.

use crate::design::{
    Conductor, ConductorId, Design, Enclosure, EnclosureId, Index, Joined, Kind, MAX_CONDUCTORS,
    Phase, PhaseId, ServiceDisconnect, Systems, Terminal, TerminalId, Thing,
};
use crate::error::{Error, Inconsistency};

/// Where along a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // two ends and what is between them
pub enum Along {
    /// At its first end.
    Start,
    /// In the middle of its length.
    Middle,
    /// At its second end.
    End,
}

/// A point of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a conductor and a place on it are all there is
pub struct Point {
    /// The conductor.
    pub conductor: ConductorId,
    /// Where on it.
    pub along: Along,
}

impl Point {
    /// The terminal that the point is at; `None` in the middle, or for a conductor of
    /// another design.
    pub fn terminal(self, design: &Design) -> Option<TerminalId> {
        let conductor = design.get(self.conductor)?;
        match self.along {
            Along::Start => Some(conductor.from),
            Along::Middle => None,
            Along::End => Some(conductor.to),
        }
    }
}

/// Which way a fault comes about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a vehicle has these three
pub enum FaultKind {
    /// Two conductors touch where they leave one box.
    AtBox,
    /// Two conductors that leave one box touch in the middle of their ways.
    OnRoute,
    /// One conductor touches chassis at one box and a second one at another: each fault
    /// alone carries nothing in a floating system, both together are a short circuit.
    ThroughChassis,
}

/// A bolted short circuit between two conductors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a kind and two points are all there is
pub struct Fault {
    /// Which way it comes about.
    pub kind: FaultKind,
    /// One point. Where several conductors end at one terminal, the first of them
    /// stands for all.
    pub one: Point,
    /// The other point.
    pub other: Point,
}

/// Places in a traction system: what sits in one box, and what one piece of metal joins.
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(super) struct Sites {
    /// Terminals in one place: those of one box, and those that anything but a
    /// conductor lies between, because devices and loads are in one place.
    places: Joined,
    /// Terminals that are one piece of metal while the contactors of the phase are
    /// closed: no voltage between them.
    metal: Joined,
    systems: Systems,
    /// Ends of conductors that stand for their terminal, two bits for each conductor.
    leads: [[bool; 2]; MAX_CONDUCTORS],
}

impl Sites {
    pub(super) fn new(design: &Design, phase: PhaseId) -> Result<Self, Error> {
        let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
        let phase = design.get(phase).ok_or(unknown)?;
        let systems = design.systems();
        let mut sites = Self {
            places: Joined::new(),
            metal: design.metal(|thing| is_closed(design, phase, thing)),
            systems,
            leads: [[false; 2]; MAX_CONDUCTORS],
        };
        for drawn in design.drawn() {
            // The output of a converter belongs to the other system.
            if !matches!(drawn.thing.kind, Kind::Conductor | Kind::Converter) {
                sites.places.join(drawn.from, drawn.to);
            }
        }
        // One pass by boxes: every terminal joins the first one of its box.
        for (box_id, _) in design.all::<Enclosure>() {
            let mut inside = design
                .all::<Terminal>()
                .filter(|(_, terminal)| terminal.enclosure == Some(box_id));
            if let Some((first, _)) = inside.next() {
                for (other, _) in inside {
                    sites.places.join(first, other);
                }
            }
        }
        sites.find_leads(design);
        Ok(sites)
    }

    /// The first conductor on each terminal out of which one leaves its place.
    fn find_leads(&mut self, design: &Design) {
        for (id, conductor) in design.all::<Conductor>() {
            if !self.systems.is_high(conductor.from)
                || self.places.together(conductor.from, conductor.to)
            {
                continue;
            }
            for (end, terminal) in [conductor.from, conductor.to].into_iter().enumerate() {
                let taken = design.all::<Conductor>().take(id.position()).any(|(i, c)| {
                    let [start, finish] = self.leads.get(i.position()).copied().unwrap_or_default();
                    (start && c.from == terminal) || (finish && c.to == terminal)
                });
                let mark = self.leads.get_mut(id.position());
                if let Some(mark) = mark.and_then(|ends| ends.get_mut(end)) {
                    *mark = !taken;
                }
            }
        }
    }

    /// Whether this end of a conductor stands for its terminal.
    pub(super) fn is_lead(&self, conductor: ConductorId, end: usize) -> bool {
        let ends = self.leads.get(conductor.position());
        ends.and_then(|ends| ends.get(end)).copied() == Some(true)
    }

    pub(super) fn same_place(&self, one: TerminalId, other: TerminalId) -> bool {
        self.places.together(one, other)
    }

    /// Whether there can be a voltage between two terminals.
    pub(super) fn apart(&self, one: TerminalId, other: TerminalId) -> bool {
        !self.metal.together(one, other)
    }

    pub(super) fn is_traction(&self, terminal: TerminalId) -> bool {
        self.systems.is_high(terminal)
    }

    /// The box that a terminal is in, its own or that of what it is joined to.
    pub(super) fn enclosure(&self, design: &Design, terminal: TerminalId) -> Option<EnclosureId> {
        let own = design.get(terminal).and_then(|t| t.enclosure);
        own.or_else(|| {
            design
                .all::<Terminal>()
                .filter(|(id, _)| self.places.together(*id, terminal))
                .find_map(|(_, terminal)| terminal.enclosure)
        })
    }
}

/// Whether current can flow through a thing in a phase: only contactors and service
/// disconnects can be open.
pub(super) fn is_closed(design: &Design, phase: &Phase, thing: Thing) -> bool {
    match thing.kind {
        Kind::Contactor => phase.closed.iter().any(|id| Thing::from(id) == thing),
        Kind::ServiceDisconnect => design
            .all::<ServiceDisconnect>()
            .all(|(id, _)| Thing::from(id) != thing || !phase.out.contains(id)),
        _ => true,
    }
}
