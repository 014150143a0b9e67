//! Where things are: vehicle, climates, boxes, terminals.

use super::index::{EnclosureId, TerminalId, TextId, ZoneId};
use super::model::Design;
use crate::insulation::{
    Domain, Impulse, IsolationCase, MonitorRange, StrapMetal, TemporaryOvervoltage,
};
use crate::quantity::{
    Altitude, ConductorArea, Length, Mass, Share, Temperature, Time, Torque, Voltage,
};
use crate::standard::iec60664::{Insulation, MaterialGroup, PollutionDegree};
use crate::standard::iec60664_creepage::Surface;

/// The vehicle as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Vehicle {
    /// What it is called.
    pub name: Option<TextId>,
    /// Which rules it falls under; decides what counts as high voltage.
    pub domain: Domain,
    /// Highest place it is used at.
    pub altitude: Option<Altitude>,
    /// Revision of the design; printed on every paper and label.
    pub revision: Option<TextId>,
    /// How far the charging voltage may exceed cells x highest cell voltage;
    /// [`CHARGE_TOLERANCE`] where it is not stated.
    pub charge_tolerance: Option<Share>,
    /// Which limit the isolation resistance has to keep.
    pub isolation_case: Option<IsolationCase>,
    /// The isolation monitoring device.
    pub monitor: Option<MonitorRange>,
    /// Impulse voltage that the high-voltage insulation has to stand.
    pub impulse: Option<Impulse>,
    /// Temporary overvoltage that it has to stand.
    pub temporary: Option<TemporaryOvervoltage>,
}

impl Vehicle {
    /// A vehicle of which only the domain is known.
    pub const fn new(domain: Domain) -> Self {
        Self {
            name: None,
            domain,
            altitude: None,
            revision: None,
            charge_tolerance: None,
            isolation_case: None,
            monitor: None,
            impulse: None,
            temporary: None,
        }
    }
}

/// A part of the vehicle with one climate.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Zone {
    /// What it is called.
    pub name: TextId,
    /// Hottest air.
    pub air: Option<Temperature>,
    /// Hottest surface that cables see there, when it is not the air's temperature.
    pub radiant: Option<Temperature>,
    /// Coldest air, for the lowest resistance.
    pub coldest: Option<Temperature>,
    /// Whether water gets there.
    pub wet: Option<bool>,
    /// Pollution degree outside the boxes.
    pub pollution: Option<PollutionDegree>,
}

impl Zone {
    /// A zone of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            air: None,
            radiant: None,
            coldest: None,
            wet: None,
            pollution: None,
        }
    }
}

/// What keeps the pollution degree inside a box better than outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum PollutionKept {
    /// Nothing: the inside is as the zone around it.
    Nothing,
    /// Sealed, with a breather, no condensation.
    SealedWithBreather,
    /// A coating on everything live.
    Coated,
    /// Potted.
    Potted,
    /// Filtered or dry air blown through.
    CleanAir,
}

/// The strap that bonds a box to chassis.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Bond {
    /// Metal area.
    pub section: Option<ConductorArea>,
    /// Metal.
    pub metal: Option<StrapMetal>,
    /// Length.
    pub length: Option<Length>,
}

/// A box.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Enclosure {
    /// What it is called.
    pub name: TextId,
    /// Where it sits.
    pub zone: Option<ZoneId>,
    /// Air inside, when it is hotter than the zone.
    pub inside: Option<Temperature>,
    /// Whether its outside conducts.
    pub metal: Option<bool>,
    /// Its bond to chassis; `None` where there is none or nothing is known.
    pub bond: Option<Bond>,
    /// Pollution degree inside.
    pub pollution: Option<PollutionDegree>,
    /// What keeps it.
    pub kept_by: Option<PollutionKept>,
    /// Mass without what is described elsewhere.
    pub mass: Option<Mass>,
    /// How long its label says to wait after switching off before it is opened.
    pub label_wait: Option<Time>,
}

impl Enclosure {
    /// A box of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            zone: None,
            inside: None,
            metal: None,
            bond: None,
            pollution: None,
            kept_by: None,
            mass: None,
            label_wait: None,
        }
    }
}

/// How far a charger may go beyond the highest voltage of the cells where nothing is stated
/// (common practice, no source).
pub const CHARGE_TOLERANCE: Share = constant!(Share::from_fraction(0.01));

impl Vehicle {
    /// What charging makes of the highest voltage of cells: 1 and the stated tolerance, else
    /// [`CHARGE_TOLERANCE`].
    pub(crate) fn charging(&self) -> f32 {
        1.0 + self
            .charge_tolerance
            .unwrap_or(CHARGE_TOLERANCE)
            .as_fraction()
    }
}

impl Design {
    /// The box of a device: its own, else that of its first terminal.
    pub(crate) fn box_of(&self, own: Option<EnclosureId>, from: TerminalId) -> Option<EnclosureId> {
        own.or_else(|| self.get(from)?.enclosure)
    }

    /// Hottest air around something in a box: inside the box, else in its zone; no cooler than
    /// that in any case, for what heats a box from outside is there with everything off.
    pub(crate) fn air_in(&self, enclosure: Option<EnclosureId>) -> Option<Temperature> {
        let enclosure = self.get(enclosure?)?;
        let around = enclosure.zone.and_then(|zone| self.get(zone)?.air);
        match (enclosure.inside, around) {
            (Some(inside), Some(around)) if inside < around => Some(around),
            (inside, around) => inside.or(around),
        }
    }
}

/// A point where two or more things are joined: a stud, a bar, a pin.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Terminal {
    /// What it is called.
    pub name: TextId,
    /// The box it is in; `None` for chassis and for what lies open.
    pub enclosure: Option<EnclosureId>,
    /// Highest temperature that its datasheet allows for the conductor's end.
    pub limit: Option<Temperature>,
    /// Diameter of the stud.
    pub stud: Option<Length>,
    /// Tightening torque.
    pub torque: Option<Torque>,
    /// Whether it is the chassis itself.
    pub chassis: bool,
}

impl Terminal {
    /// A terminal of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            enclosure: None,
            limit: None,
            stud: None,
            torque: None,
            chassis: false,
        }
    }
}

/// A distance inside a box, as built.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Spacing {
    /// Between what and what.
    pub name: TextId,
    /// The box.
    pub enclosure: EnclosureId,
    /// What the distance is there for.
    pub insulation: Option<Insulation>,
    /// Shortest way through air.
    pub clearance: Option<Length>,
    /// Shortest way over the surface.
    pub creepage: Option<Length>,
    /// Material of the surface.
    pub group: Option<MaterialGroup>,
    /// Kind of surface.
    pub surface: Option<Surface>,
    /// Voltage across it, when it is not the highest of the system.
    pub working: Option<Voltage>,
}

impl Spacing {
    /// A distance of which only the place is known.
    pub const fn new(name: TextId, enclosure: EnclosureId) -> Self {
        Self {
            name,
            enclosure,
            insulation: None,
            clearance: None,
            creepage: None,
            group: None,
            surface: None,
            working: None,
        }
    }
}
