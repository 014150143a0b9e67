//! Loads, charging sources and converters.

use super::index::{EnclosureId, LoadId, TerminalId, TextId};
use crate::quantity::{Capacitance, Current, Power, Resistance, Share, Voltage};

/// What a load draws. Negative delivers: regeneration, charging.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_enums)] // the network solves these three
pub enum Draw {
    /// This power whatever the voltage is.
    Power(Power),
    /// This current whatever the voltage is.
    Current(Current),
    /// What a resistance draws.
    Resistance(Resistance),
}

impl Draw {
    /// Switched off.
    pub const NOTHING: Self = Self::Current(constant!(Current::from_amperes(0.0)));

    /// Whether it draws and delivers nothing.
    pub fn is_nothing(self) -> bool {
        match self {
            Self::Power(power) => power.as_watts() == 0.0,
            Self::Current(current) => current.as_amperes() == 0.0,
            Self::Resistance(_) => false,
        }
    }

    /// Whether it delivers.
    pub fn delivers(self) -> bool {
        match self {
            Self::Power(power) => power.as_watts() < 0.0,
            Self::Current(current) => current.as_amperes() < 0.0,
            Self::Resistance(_) => false,
        }
    }
}

/// Which way the energy of a load goes by design.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // takes, gives, or both
pub enum Role {
    /// Takes energy.
    Consumer,
    /// Takes energy and gives it back: a drive that brakes.
    Drive,
    /// Gives energy: a charger, a direct-current inlet.
    ChargingSource,
}

/// A load or charging source.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Load {
    /// What it is called.
    pub name: TextId,
    /// Its positive terminal.
    pub positive: TerminalId,
    /// Its negative terminal.
    pub negative: TerminalId,
    /// Which way its energy goes.
    pub role: Role,
    /// The box it is, or is in.
    pub enclosure: Option<EnclosureId>,
    /// What it draws while it works.
    pub rated: Option<Draw>,
    /// What it draws as soon as it has voltage, without being asked to work.
    pub idle: Option<Draw>,
    /// Voltage from which it draws its idle current.
    pub idle_from: Option<Voltage>,
    /// Part of the time that it works, where it is not told by phases. Counts in sums
    /// (converter, batteries, what several loads share); what carries this load alone is
    /// judged by all that it draws while it is on.
    pub duty_share: Option<Share>,
    /// Whether the vehicle cannot be driven or stopped safely without it.
    pub essential: Option<bool>,
    /// Lowest voltage it works at.
    pub lowest: Option<Voltage>,
    /// Highest voltage it stands.
    pub highest: Option<Voltage>,
    /// Capacitance between its terminals.
    pub link: Option<Capacitance>,
    /// Capacitance from its positive terminal to chassis.
    pub y_positive: Option<Capacitance>,
    /// Capacitance from its negative terminal to chassis.
    pub y_negative: Option<Capacitance>,
    /// Resistance to chassis, both terminals together.
    pub isolation: Option<Resistance>,
    /// Resistance between its terminals that discharges its own capacitance.
    pub bleed: Option<Resistance>,
    /// Whether alternating current is conductively connected inside.
    pub alternating: Option<bool>,
    /// Whether the controller is told the current that it takes.
    pub current_measured: Option<bool>,
}

impl Load {
    /// A load of which only ends and role are known.
    pub const fn new(name: TextId, role: Role, [positive, negative]: [TerminalId; 2]) -> Self {
        Self {
            name,
            positive,
            negative,
            role,
            enclosure: None,
            rated: None,
            idle: None,
            idle_from: None,
            duty_share: None,
            essential: None,
            lowest: None,
            highest: None,
            link: None,
            y_positive: None,
            y_negative: None,
            isolation: None,
            bleed: None,
            alternating: None,
            current_measured: None,
        }
    }
}

/// A converter that feeds the low-voltage side: a load of the high-voltage side
/// and a source of the other.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Converter {
    /// What it is called.
    pub name: TextId,
    /// What it is to the high-voltage side.
    pub input: LoadId,
    /// Its negative output terminal.
    pub negative: TerminalId,
    /// Its positive output terminal.
    pub positive: TerminalId,
    /// Output voltage.
    pub output: Option<Voltage>,
    /// Largest lasting output current.
    pub rated: Option<Current>,
    /// Output power over input power.
    pub efficiency: Option<Share>,
}

impl Converter {
    /// A converter of which only the ends are known.
    pub const fn new(name: TextId, input: LoadId, [negative, positive]: [TerminalId; 2]) -> Self {
        Self {
            name,
            input,
            negative,
            positive,
            output: None,
            rated: None,
            efficiency: None,
        }
    }
}
