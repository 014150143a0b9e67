//! Types of cable.

use super::battery::Resisting;
use super::index::TextId;
use crate::conductor::cable::Cable;
use crate::conductor::generic::{Dimensions, VoltageClass, generic_build};
use crate::error::{Error, Inconsistency};
use crate::quantity::{Length, LinearResistance, Temperature};
use crate::shield::{BraidBuild, CableVoltageClass};
use crate::size::series::Conductor;
use crate::standard::metal::Metal;

/// A type of cable, from its datasheet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct CableType {
    /// What it is called.
    pub name: TextId,
    /// Metal of the conductor.
    pub metal: Metal,
    /// Size and highest resistance, from a table or entered.
    pub conductor: Conductor,
    /// Whether it has a shield; `None` while nobody has looked.
    pub shielded: Option<bool>,
    /// Walls, as far as they are known.
    pub dimensions: Dimensions,
    /// Diameter over everything. Walls that are not stated are made to fit it.
    pub outer_diameter: Option<Length>,
    /// Highest lasting conductor temperature.
    pub temperature_class: Option<Temperature>,
    /// Highest conductor temperature in an overload of some hours in the life of the cable;
    /// the temperature class where it is not stated.
    pub overload: Option<Temperature>,
    /// Voltage class printed on it.
    pub voltage_class: Option<CableVoltageClass>,
    /// How its braid is built.
    pub braid: Option<BraidBuild>,
    /// Smallest bend when it is fixed.
    pub bend_radius: Option<Length>,
}

impl CableType {
    /// A cable of which only the conductor is known.
    pub fn new(name: TextId, metal: Metal, conductor: Conductor) -> Self {
        Self {
            name,
            metal,
            conductor,
            shielded: None,
            dimensions: Dimensions::default(),
            outer_diameter: None,
            temperature_class: None,
            overload: None,
            voltage_class: None,
            braid: None,
            bend_radius: None,
        }
    }

    /// Computes: the build that the heat balance reckons with.
    ///
    /// Stated walls first. What is not stated comes from the generic build; if the
    /// outer diameter is stated, the outermost wall that is not stated (jacket,
    /// else insulation) takes what is left. A cable of which nobody knows whether
    /// it has a shield is taken as unshielded.
    ///
    /// # Errors
    /// [`Inconsistency::OuterDiameterTooSmall`] when nothing is left for the
    /// outermost wall, or stated walls miss the stated diameter by more than
    /// 5 % or 0.2 mm; those of [`generic_build`] and [`Cable::new`].
    pub fn cable(&self) -> Result<Cable, Error> {
        let free = self.build(&self.dimensions)?;
        let Some(stated) = self.outer_diameter else {
            return Ok(free);
        };
        let (over, computed) = (stated.as_mm(), free.outer_diameter().as_mm());
        let jacket = free.build().jacket;
        let mut fitted = self.dimensions;
        match jacket {
            Some(jacket) if self.dimensions.jacket_wall.is_none() => {
                let left = jacket.thickness.as_mm() + 0.5 * (over - computed);
                fitted.jacket_wall = Some(wall_left(left)?);
            }
            None if self.dimensions.insulation_wall.is_none() => {
                let left = free.build().insulation.thickness.as_mm() + 0.5 * (over - computed);
                fitted.insulation_wall = Some(wall_left(left)?);
            }
            _ => {
                let tolerance = libm::fmaxf(TOLERANCE_MM, TOLERANCE * over);
                if libm::fabsf(over - computed) > tolerance {
                    return Err(Error::Inconsistent(Inconsistency::OuterDiameterTooSmall));
                }
                return Ok(free);
            }
        }
        self.build(&fitted)
    }

    fn build(&self, dimensions: &Dimensions) -> Result<Cable, Error> {
        // The class only thickens the generic insulation wall.
        let class = match self.voltage_class {
            Some(CableVoltageClass::Dc1500) => VoltageClass::V1500,
            Some(CableVoltageClass::Dc60 | CableVoltageClass::Dc900) | None => VoltageClass::V900,
        };
        Cable::new(generic_build(
            self.metal,
            self.conductor.section,
            self.conductor.resistance_20,
            class,
            self.shielded == Some(true),
            dimensions,
        )?)
    }

    /// Computes: resistance per metre at 20 degC.
    ///
    /// The tables and datasheets print the highest. The lowest is that of a solid
    /// rod of the nominal section, resistivity / section: nobody sells more metal
    /// than he has to. Where the printed value is lower still, it is the lowest.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a resistance per metre.
    pub fn resistance_20(&self, resisting: Resisting) -> Result<LinearResistance, Error> {
        let printed = self.conductor.resistance_20;
        match resisting {
            Resisting::Highest => Ok(printed),
            Resisting::Lowest => {
                let rho = self.metal.resistivity_20().as_ohm_m();
                let rod = rho / self.conductor.section.as_m2();
                LinearResistance::from_ohm_per_m(libm::fminf(rod, printed.as_ohm_per_m()))
            }
        }
    }

    /// Computes: resistance per metre at a conductor temperature.
    ///
    /// Equation: R20 [1 + a20 (T - 20)].
    ///
    /// # Errors
    /// [`Inconsistency::NoResistanceLeft`] where the straight law gives nothing above zero;
    /// [`Error::OutOfRange`] beyond the bounds.
    pub fn resistance_at(
        &self,
        resisting: Resisting,
        temperature: Temperature,
    ) -> Result<LinearResistance, Error> {
        let r20 = self.resistance_20(resisting)?.as_ohm_per_m();
        let alpha = self.metal.temperature_coefficient_20().as_per_kelvin();
        let factor = 1.0 + alpha * (temperature.as_degc() - 20.0);
        if factor <= 0.0 {
            return Err(Error::Inconsistent(Inconsistency::NoResistanceLeft));
        }
        LinearResistance::from_ohm_per_m(r20 * factor)
    }
}

/// What stated walls may miss the stated diameter by: cables are round to 5 %.
const TOLERANCE: f32 = 0.05;
/// The same for thin cables, mm: what a calliper reads on soft polymer.
const TOLERANCE_MM: f32 = 0.2;

fn wall_left(mm: f32) -> Result<Length, Error> {
    if mm <= 0.0 {
        return Err(Error::Inconsistent(Inconsistency::OuterDiameterTooSmall));
    }
    Length::from_mm(mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Index;
    use crate::quantity::ConductorArea;
    use crate::size::series::MetricTable;

    fn cable(mm2: f32) -> CableType {
        let section = ConductorArea::from_mm2(mm2).unwrap();
        let conductor =
            Conductor::metric(MetricTable::Iec60228Class5, Metal::Copper, section).unwrap();
        CableType::new(TextId::at(0).unwrap(), Metal::Copper, conductor)
    }

    fn with_outer(mm2: f32, outer: f32, shielded: bool) -> CableType {
        CableType {
            shielded: Some(shielded),
            outer_diameter: Some(Length::from_mm(outer).unwrap()),
            ..cable(mm2)
        }
    }

    #[test]
    fn a_stated_outer_diameter_is_met() {
        // The cables of the three demonstrations.
        for (mm2, outer) in [
            (4.0, 8.2),
            (6.0, 9.0),
            (10.0, 10.5),
            (16.0, 11.5),
            (35.0, 15.0),
            (50.0, 17.5),
            (70.0, 19.6),
            (70.0, 21.5),
            (95.0, 24.0),
        ] {
            for shielded in [true, false] {
                let built = with_outer(mm2, outer, shielded).cable().unwrap();
                let computed = built.outer_diameter().as_mm();
                assert!((computed - outer).abs() < 1e-3, "{mm2}: {computed}");
                assert_eq!(built.build().shield.is_some(), shielded);
            }
        }
    }

    #[test]
    fn a_diameter_that_the_conductor_does_not_leave_room_in_is_refused() {
        let refused = Err(Error::Inconsistent(Inconsistency::OuterDiameterTooSmall));
        assert_eq!(with_outer(70.0, 10.0, false).cable(), refused);
        let mut stated = with_outer(70.0, 25.0, false);
        stated.dimensions.insulation_wall = Some(Length::from_mm(1.4).unwrap());
        assert_eq!(stated.cable(), refused);
    }

    #[test]
    fn the_lowest_resistance_is_below_the_printed_one_and_both_rise_with_temperature() {
        let cable = cable(70.0);
        let at = |resisting, degc| {
            cable
                .resistance_at(resisting, Temperature::from_degc(degc).unwrap())
                .unwrap()
                .as_ohm_per_km()
        };
        // IEC 60228 class 5 prints 0.272 ohm/km for 70 mm2 (seen); 17.241 nohm m / 70 mm2.
        assert!((at(Resisting::Highest, 20.0) - 0.272).abs() < 1e-6);
        assert!((at(Resisting::Lowest, 20.0) - 0.24630).abs() < 1e-5);
        // 0.272 (1 + 0.00393 x 70)
        assert!((at(Resisting::Highest, 90.0) - 0.346_827).abs() < 1e-5);
    }
}
