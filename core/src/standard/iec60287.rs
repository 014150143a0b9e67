//! Heat given off by cables in air and in tubes: the constants.
//!
//! IEC 60287-2-1, Table 2 (cables in air) and clause 4.2.7 (cables in tubes).
//! **All from memory.** The single free cable reproduces the spaced columns of
//! IEC 60364-5-52 Table B.52.12, and the trefoil its trefoil column, within 4 %.
//!
//! Validity: black surface, lightly moving room air, cable diameter up to 150 mm.
//! The tube constants are stated for 25 mm to 100 mm of cable or bundle diameter;
//! the cables of a conversion are thinner, so they serve as a check only.

use super::SourceId;
use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::Length;

/// How cables lie in air: a line of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum InAir {
    /// One cable, free, or several spaced so far that they do not warm each other.
    SingleFree,
    /// Two cables touching side by side.
    TwoTouchingHorizontal,
    /// Two cables touching one above the other.
    TwoTouchingVertical,
    /// Three cables touching side by side.
    ThreeTouchingHorizontal,
    /// Three cables in trefoil.
    Trefoil,
    /// One cable clipped to a vertical wall.
    SingleOnWall,
    /// Three cables in trefoil clipped to a vertical wall.
    TrefoilOnWall,
}

/// The constants of one line of Table 2.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct SurfaceConstants {
    /// Z, in `W / (m2 K^1.25)` times metres to the power g.
    pub z: f32,
    /// E, in `W / (m2 K^1.25)`.
    pub e: f32,
    /// The exponent g.
    pub g: f32,
}

/// Source of [`InAir::constants`].
pub const SURFACE_SOURCE: SourceId = SourceId::Iec60287Surface;

impl InAir {
    /// Every line.
    pub const ALL: [Self; 7] = [
        Self::SingleFree,
        Self::TwoTouchingHorizontal,
        Self::TwoTouchingVertical,
        Self::ThreeTouchingHorizontal,
        Self::Trefoil,
        Self::SingleOnWall,
        Self::TrefoilOnWall,
    ];

    /// Z, E and g as printed.
    pub const fn constants(self) -> SurfaceConstants {
        let (z, e, g) = match self {
            Self::SingleFree => (0.21, 3.94, 0.60),
            Self::TwoTouchingHorizontal => (0.29, 2.35, 0.50),
            Self::TwoTouchingVertical => (1.42, 0.86, 0.25),
            Self::ThreeTouchingHorizontal => (0.62, 1.95, 0.25),
            Self::Trefoil => (0.96, 1.25, 0.20),
            Self::SingleOnWall => (1.69, 0.63, 0.25),
            Self::TrefoilOnWall => (0.94, 0.79, 0.20),
        };
        SurfaceConstants { z, e, g }
    }

    /// Heat dissipation coefficient h of one cable, in `W / (m2 K^1.25)`.
    ///
    /// `h = Z / D^g + E`, D the outside diameter in metres; the heat given off per
    /// metre is `pi D h (surface - ambient)^1.25`, radiation included.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a diameter outside [`Bounded::CableInAirDiameter`].
    pub fn heat_dissipation(self, diameter: Length) -> Result<f32, Error> {
        let diameter = Bounded::CableInAirDiameter.check(diameter.as_metres())?;
        let SurfaceConstants { z, e, g } = self.constants();
        Ok(z / libm::powf(diameter, g) + e)
    }

    /// The words of the table.
    #[cfg(feature = "text")]
    pub const fn words(self) -> &'static str {
        match self {
            Self::SingleFree => "single cable in free air",
            Self::TwoTouchingHorizontal => "two cables touching side by side",
            Self::TwoTouchingVertical => "two cables touching one above the other",
            Self::ThreeTouchingHorizontal => "three cables touching side by side",
            Self::Trefoil => "three cables in trefoil",
            Self::SingleOnWall => "single cable clipped to a wall",
            Self::TrefoilOnWall => "three cables in trefoil clipped to a wall",
        }
    }
}

/// What the tube around the cables is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum Tube {
    /// Metal.
    Metallic,
    /// Fibre, in air.
    FibreInAir,
    /// Plastic.
    Plastic,
}

/// The constants of the air gap between cable and tube:
/// `T4' = U / (1 + 0.1 (V + Y theta) D)` in K m/W, with the mean temperature of the
/// gap theta in degC and the diameter D of the cable or bundle in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct TubeConstants {
    /// U, in K m/W.
    pub u: f32,
    /// V, per 10 mm.
    pub v: f32,
    /// Y, per 10 mm and degC.
    pub y: f32,
}

/// Source of [`Tube::constants`].
pub const TUBE_SOURCE: SourceId = SourceId::Iec60287Tube;

impl Tube {
    /// Every line.
    pub const ALL: [Self; 3] = [Self::Metallic, Self::FibreInAir, Self::Plastic];

    /// U, V and Y as printed.
    pub const fn constants(self) -> TubeConstants {
        let (u, v, y) = match self {
            Self::Metallic => (5.2, 1.4, 0.011),
            Self::FibreInAir => (5.2, 0.83, 0.006),
            Self::Plastic => (1.87, 0.312, 0.0037),
        };
        TubeConstants { u, v, y }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f32) -> Length {
        Length::from_mm(value).unwrap()
    }

    #[test]
    fn company_and_walls_hinder_the_heat() {
        for diameter in [5.0, 10.0, 20.0, 50.0] {
            let h = |row: InAir| row.heat_dissipation(mm(diameter)).unwrap();
            for row in InAir::ALL {
                if row != InAir::SingleFree {
                    assert!(h(row) < h(InAir::SingleFree), "{row:?} {diameter}");
                }
            }
            assert!(h(InAir::TrefoilOnWall) < h(InAir::Trefoil));
            assert!(h(InAir::ThreeTouchingHorizontal) < h(InAir::TwoTouchingHorizontal));
        }
    }

    #[test]
    fn h_falls_with_diameter() {
        for row in InAir::ALL {
            let thin = row.heat_dissipation(mm(8.0)).unwrap();
            let thick = row.heat_dissipation(mm(20.0)).unwrap();
            assert!(thin > thick && thick > 0.0, "{row:?}");
        }
    }

    #[test]
    fn a_cable_without_diameter_is_refused() {
        for diameter in [0.0, 0.4, 151.0] {
            assert!(matches!(
                InAir::SingleFree.heat_dissipation(mm(diameter)),
                Err(Error::OutOfRange {
                    what: Bounded::CableInAirDiameter,
                    ..
                })
            ));
        }
    }
}
