//! Types of fuse.

use heapless::Vec;

use super::capacity::{MAX_CURVE_POINTS, MAX_DERATING_POINTS};
use super::index::TextId;
use crate::quantity::{
    Current, CurrentSquaredTime, Power, Resistance, Share, Temperature, Time, Voltage,
};

/// What a fuse is made to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum Utilisation {
    /// Semiconductors, partial range: breaks from its minimum breaking current up.
    Ar,
    /// Semiconductors, full range.
    Gr,
    /// Photovoltaic strings, full range, direct current.
    Gpv,
    /// General purpose, full range.
    Gg,
    /// Traction batteries.
    Battery,
    /// Low-voltage blade and bolt-down fuses of vehicles.
    Vehicle,
}

impl Utilisation {
    /// Whether it breaks every current that melts it.
    pub const fn full_range(self) -> bool {
        match self {
            Self::Ar => false,
            Self::Gr | Self::Gpv | Self::Gg | Self::Battery | Self::Vehicle => true,
        }
    }
}

/// A point of a melting curve.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // a point has two coordinates
pub struct CurvePoint {
    /// Time until it melts.
    pub time: Time,
    /// At this current.
    pub current: Current,
}

/// A point of a derating curve.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // a point has two coordinates
pub struct DeratingPoint {
    /// Air around the fuse.
    pub air: Temperature,
    /// Share of the rated current that it carries there.
    pub carries: Share,
}

/// A type of fuse, from its datasheet.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct FuseType {
    /// What it is called.
    pub name: TextId,
    /// What it is made to do.
    pub utilisation: Option<Utilisation>,
    /// Rated current.
    pub rated: Option<Current>,
    /// Rated direct voltage. A rating for alternating voltage is not one.
    pub voltage: Option<Voltage>,
    /// Time constant L/R of the test behind that voltage.
    pub time_constant: Option<Time>,
    /// Breaking capacity.
    pub breaking: Option<Current>,
    /// Smallest current that it breaks.
    pub least_breaking: Option<Current>,
    /// Melting curve, shortest time first.
    pub curve: Vec<CurvePoint, MAX_CURVE_POINTS, u8>,
    /// Melting I2t.
    pub melting: Option<CurrentSquaredTime>,
    /// Total I2t, melting and arcing.
    pub total: Option<CurrentSquaredTime>,
    /// Voltage that the total I2t holds for.
    pub total_at: Option<Voltage>,
    /// Derating by the temperature of the air, coolest first.
    pub derating: Vec<DeratingPoint, MAX_DERATING_POINTS, u8>,
    /// What the holder and the conductors on it leave of the rated current.
    pub holder: Option<Share>,
    /// Resistance.
    pub resistance: Option<Resistance>,
    /// Loss at rated current.
    pub loss: Option<Power>,
}

impl FuseType {
    /// A fuse of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            utilisation: None,
            rated: None,
            voltage: None,
            time_constant: None,
            breaking: None,
            least_breaking: None,
            curve: Vec::new(),
            melting: None,
            total: None,
            total_at: None,
            derating: Vec::new(),
            holder: None,
            resistance: None,
            loss: None,
        }
    }
}
