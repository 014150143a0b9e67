//! What lies between two terminals beside batteries, conductors and loads.

use super::index::{ContactorTypeId, EnclosureId, FuseTypeId, ResistorTypeId, TerminalId, TextId};
use crate::quantity::{ConductorArea, Current, Resistance, Time, Voltage};

/// A fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Fuse {
    /// What it is called.
    pub name: TextId,
    /// The side of its source.
    pub from: TerminalId,
    /// The other side.
    pub to: TerminalId,
    /// Its type.
    pub part: Option<FuseTypeId>,
    /// The box it is in.
    pub enclosure: Option<EnclosureId>,
}

impl Fuse {
    /// A fuse of which only the ends are known.
    pub const fn new(name: TextId, [from, to]: [TerminalId; 2]) -> Self {
        Self {
            name,
            from,
            to,
            part: None,
            enclosure: None,
        }
    }
}

/// How the polarity arrow of a contactor points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // two ways round, or no arrow
pub enum Arrow {
    /// From its first terminal to its second.
    Along,
    /// From its second terminal to its first.
    Against,
    /// It breaks alike both ways.
    Without,
}

/// A contactor or relay.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Contactor {
    /// What it is called.
    pub name: TextId,
    /// First terminal.
    pub from: TerminalId,
    /// Second terminal.
    pub to: TerminalId,
    /// Its type.
    pub part: Option<ContactorTypeId>,
    /// The box it is in.
    pub enclosure: Option<EnclosureId>,
    /// How its arrow points.
    pub arrow: Option<Arrow>,
    /// The two low-voltage terminals of its coil, supply first.
    pub coil: Option<[TerminalId; 2]>,
    /// Resistance of everything between the source and the coil, both ways, hot: wires,
    /// joints, the switch.
    pub coil_wire: Option<Resistance>,
    /// Smallest bar or wire on its terminals inside of the box.
    pub section: Option<ConductorArea>,
    /// Whether the controller reads an auxiliary contact of it, which shows whether its
    /// main contacts are closed.
    pub auxiliary_contact: Option<bool>,
}

impl Contactor {
    /// A contactor of which only the ends are known.
    pub const fn new(name: TextId, [from, to]: [TerminalId; 2]) -> Self {
        Self {
            name,
            from,
            to,
            part: None,
            enclosure: None,
            arrow: None,
            coil: None,
            coil_wire: None,
            section: None,
            auxiliary_contact: None,
        }
    }
}

/// A plug or link that is pulled before work.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ServiceDisconnect {
    /// What it is called.
    pub name: TextId,
    /// First terminal.
    pub from: TerminalId,
    /// Second terminal.
    pub to: TerminalId,
    /// The box it is on.
    pub enclosure: Option<EnclosureId>,
    /// Highest direct voltage.
    pub voltage: Option<Voltage>,
    /// Lasting current.
    pub carry: Option<Current>,
    /// Resistance when it is in.
    pub resistance: Option<Resistance>,
    /// Whether it may be pulled under load.
    pub breaks_load: Option<bool>,
}

impl ServiceDisconnect {
    /// A service disconnect of which only the ends are known.
    pub const fn new(name: TextId, [from, to]: [TerminalId; 2]) -> Self {
        Self {
            name,
            from,
            to,
            enclosure: None,
            voltage: None,
            carry: None,
            resistance: None,
            breaks_load: None,
        }
    }
}

/// What a resistor is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum Purpose {
    /// Charges the link capacitor before the contactor closes; in series with its
    /// relay, which is a contactor of its own.
    Precharge,
    /// Discharges the link capacitor always.
    Bleed,
    /// Discharges the link capacitor when it is switched on.
    Discharge,
    /// Anything else.
    Other,
}

/// A resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Resistor {
    /// What it is called.
    pub name: TextId,
    /// First terminal.
    pub from: TerminalId,
    /// Second terminal.
    pub to: TerminalId,
    /// What it is there for.
    pub purpose: Purpose,
    /// Its type.
    pub part: Option<ResistorTypeId>,
    /// The box it is in.
    pub enclosure: Option<EnclosureId>,
    /// Longest time that the controller leaves it on.
    pub time_out: Option<Time>,
    /// Voltage still across the contactor when precharge ends and it closes. In
    /// volts, not as a share: what the contactor makes on follows from volts.
    pub closes_within: Option<Voltage>,
}

impl Resistor {
    /// A resistor of which only ends and purpose are known.
    pub const fn new(name: TextId, purpose: Purpose, [from, to]: [TerminalId; 2]) -> Self {
        Self {
            name,
            from,
            to,
            purpose,
            part: None,
            enclosure: None,
            time_out: None,
            closes_within: None,
        }
    }
}
