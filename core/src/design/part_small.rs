//! Types of resistor, lug and gland.

use super::battery::Resisting;
use super::index::TextId;
use crate::error::Error;
use crate::quantity::{
    ConductorArea, Energy, Length, Power, Resistance, Share, Temperature, Time, Voltage,
};
use crate::standard::metal::Metal;

/// A type of resistor, from its datasheet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ResistorType {
    /// What it is called.
    pub name: TextId,
    /// Resistance.
    pub resistance: Option<Resistance>,
    /// Tolerance of the resistance.
    pub tolerance: Option<Share>,
    /// Lasting power.
    pub power: Option<Power>,
    /// Energy of one pulse.
    pub pulse: Option<Energy>,
    /// Peak power of one pulse.
    pub peak_power: Option<Power>,
    /// Time constant of its cooling.
    pub cooling: Option<Time>,
    /// Highest voltage.
    pub voltage: Option<Voltage>,
    /// Temperature at which a cut-out opens it, if it has one; see
    /// [`Self::HOTTEST_CUT_OUT`].
    pub cut_out: Option<Temperature>,
}

impl ResistorType {
    /// A resistor of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            resistance: None,
            tolerance: None,
            power: None,
            pulse: None,
            peak_power: None,
            cooling: None,
            voltage: None,
            cut_out: None,
        }
    }
}

impl ResistorType {
    /// Hottest cut-out that protects a resistor: cases and cement of power resistors are made
    /// for 200 to 350 degC, what they are fitted in for less, and a cut-out that sits on the
    /// case opens late (common practice, no source).
    pub const HOTTEST_CUT_OUT: Temperature = constant!(Temperature::from_degc(250.0));

    /// Whether a cut-out opens it before it burns; one above [`Self::HOTTEST_CUT_OUT`] does
    /// not count.
    pub(crate) fn cuts_out(&self) -> bool {
        self.cut_out
            .is_some_and(|opens| opens <= Self::HOTTEST_CUT_OUT)
    }

    /// Computes: its resistance at one end of its tolerance, which counts as none
    /// where it is not stated. `None` when the resistance is not known.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a resistance.
    pub fn resistance_at(&self, resisting: Resisting) -> Result<Option<Resistance>, Error> {
        let tolerance = self.tolerance.map_or(0.0, Share::as_fraction);
        let factor = match resisting {
            Resisting::Lowest => 1.0 - tolerance,
            Resisting::Highest => 1.0 + tolerance,
        };
        self.resistance
            .map(|nominal| Resistance::from_ohms(nominal.as_ohms() * factor))
            .transpose()
    }
}

/// A type of lug.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct LugType {
    /// What it is called.
    pub name: TextId,
    /// Section that its barrel is made for.
    pub barrel: Option<ConductorArea>,
    /// Diameter of its hole.
    pub hole: Option<Length>,
    /// Width of its palm.
    pub palm_width: Option<Length>,
    /// Thickness of its palm.
    pub palm_thickness: Option<Length>,
    /// Metal.
    pub metal: Option<Metal>,
    /// Highest temperature.
    pub limit: Option<Temperature>,
}

impl LugType {
    /// A lug of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            barrel: None,
            hole: None,
            palm_width: None,
            palm_thickness: None,
            metal: None,
            limit: None,
        }
    }
}

/// A type of gland.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct GlandType {
    /// What it is called.
    pub name: TextId,
    /// Thinnest cable that it seals on.
    pub thinnest: Option<Length>,
    /// Thickest cable that goes through.
    pub thickest: Option<Length>,
    /// Whether it clamps the shield all round.
    pub clamps_shield: Option<bool>,
}

impl GlandType {
    /// A gland of which only the name is known.
    pub const fn new(name: TextId) -> Self {
        Self {
            name,
            thinnest: None,
            thickest: None,
            clamps_shield: None,
        }
    }
}
