//! How a cable is built: conductor, insulation, shield, jacket.

use core::f32::consts::PI;

use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{
    Area, ConductorArea, Density, Emissivity, Length, LinearMass, LinearResistance,
    ThermalConductivity, ThermalResistance, VolumetricHeatCapacity,
};
use crate::standard::metal::Metal;

/// A wall of polymer around the cable.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Wall {
    /// Thickness of the wall.
    pub thickness: Length,
    /// Thermal conductivity.
    pub conductivity: ThermalConductivity,
    /// Heat capacity per volume.
    pub heat_capacity: VolumetricHeatCapacity,
    /// Density.
    pub density: Density,
}

/// A shield of metal wires or tape.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ShieldLayer {
    /// Radial thickness.
    pub thickness: Length,
    /// Area of the metal in it.
    pub metal_area: Area,
    /// Which metal.
    pub metal: Metal,
}

/// What a cable is made of, as entered or as the generic build says.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct CableBuild {
    /// Metal of the conductor.
    pub metal: Metal,
    /// Section: nominal for IEC sizes, true area for AWG and kcmil.
    pub section: ConductorArea,
    /// Diameter over the strands.
    pub conductor_diameter: Length,
    /// Highest direct-current resistance at 20 degC.
    pub resistance_20: LinearResistance,
    /// Insulation.
    pub insulation: Wall,
    /// Shield; `None` for an unshielded cable.
    pub shield: Option<ShieldLayer>,
    /// Jacket over the shield; `None` for a single wall of insulation.
    pub jacket: Option<Wall>,
    /// Emissivity of the outside.
    pub emissivity: Emissivity,
}

/// A cable whose parts fit together, with what follows from its build.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Cable {
    build: CableBuild,
    over_insulation: Length,
    over_shield: Length,
    outer: Length,
    insulation_resistance: ThermalResistance,
    jacket_resistance: ThermalResistance,
    linear_mass: LinearMass,
}

impl Cable {
    /// Checks that the metal fits into the diameters and that the cable is of a
    /// size that the heat balance holds for (outer diameter up to 200 mm).
    ///
    /// # Errors
    /// [`Inconsistency::ConductorTooThin`], [`Inconsistency::ShieldTooThin`], or
    /// [`Error::OutOfRange`] for a diameter.
    pub fn new(build: CableBuild) -> Result<Self, Error> {
        let conductor = build.conductor_diameter.as_mm();
        if build.section.as_mm2() > 0.25 * PI * conductor * conductor * ROUNDING {
            return Err(Error::Inconsistent(Inconsistency::ConductorTooThin));
        }
        check_conductor(&build)?;
        check_wall(&build.insulation)?;
        let over_insulation = grown(build.conductor_diameter, build.insulation.thickness)?;
        let over_shield = match build.shield {
            Some(shield) => {
                check_shield(&shield, over_insulation)?;
                grown(over_insulation, shield.thickness)?
            }
            None => over_insulation,
        };
        let outer = match build.jacket {
            Some(jacket) => {
                check_wall(&jacket)?;
                grown(over_shield, jacket.thickness)?
            }
            None => over_shield,
        };
        Bounded::OuterDiameter.check(outer.as_mm())?;
        let insulation_resistance =
            ring_resistance(build.conductor_diameter, over_insulation, &build.insulation)?;
        let jacket_resistance = match build.jacket {
            Some(jacket) => ring_resistance(over_shield, outer, &jacket)?,
            None => ThermalResistance::from_k_m_per_w(0.0)?,
        };
        let linear_mass = linear_mass(&build, over_shield)?;
        Ok(Self {
            build,
            over_insulation,
            over_shield,
            outer,
            insulation_resistance,
            jacket_resistance,
            linear_mass,
        })
    }

    /// The build it was made from.
    pub const fn build(&self) -> &CableBuild {
        &self.build
    }

    /// Diameter over the insulation.
    pub const fn diameter_over_insulation(&self) -> Length {
        self.over_insulation
    }

    /// Diameter over the shield; over the insulation where there is none.
    pub const fn diameter_over_shield(&self) -> Length {
        self.over_shield
    }

    /// Outer diameter.
    pub const fn outer_diameter(&self) -> Length {
        self.outer
    }

    /// Thermal resistance T1 from the conductor to the shield.
    ///
    /// Equation: ln(Di/dc)/(2 pi k). Source: [`crate::standard::SourceId::Iec60287`].
    pub const fn insulation_resistance(&self) -> ThermalResistance {
        self.insulation_resistance
    }

    /// Thermal resistance T3 from the shield to the outside; zero without a jacket.
    ///
    /// Equation: ln(Do/Ds)/(2 pi k). Source: [`crate::standard::SourceId::Iec60287`].
    pub const fn jacket_resistance(&self) -> ThermalResistance {
        self.jacket_resistance
    }

    /// Mass of one metre: conductor, insulation, shield and jacket.
    ///
    /// The conductor counts with its section, so a nominal section overstates
    /// the metal of an IEC conductor by up to a few percent.
    pub const fn linear_mass(&self) -> LinearMass {
        self.linear_mass
    }

    /// Smallest radius of a fixed bend, on the inside of the bend.
    ///
    /// Equation: 4 x outer diameter. Source: common practice, no source; a
    /// datasheet's figure comes first.
    ///
    /// # Errors
    /// None in practice: the outer diameter is at most 200 mm.
    pub fn fixed_bend_radius(&self) -> Result<Length, Error> {
        Length::from_metres(4.0 * self.outer.as_metres())
    }
}

/// Tables print nominal sections that a solid rod of the printed diameter may miss
/// by rounding: 0.1 % is far below any stranding.
const ROUNDING: f32 = 1.001;

/// What a slip of the pen makes: a resistance with a zero too many, a diameter in the
/// wrong unit. Both would make a cable look cooler than it can be.
fn check_conductor(build: &CableBuild) -> Result<(), Error> {
    /// Purest metal and tightest section: the best copper wire conducts 3 % better than
    /// the standard's (common practice, no source), and the printed values round.
    const PUREST: f32 = 0.95;
    /// Class 5 strands fill about three quarters of their circle, the finest braids half.
    const LOOSEST_FILL: f32 = 0.25;
    let solid = build.metal.resistivity_20().as_ohm_m() / build.section.as_m2();
    if build.resistance_20.as_ohm_per_m() < PUREST * solid {
        return Err(Error::Inconsistent(Inconsistency::ResistanceTooLow));
    }
    let conductor = build.conductor_diameter.as_mm();
    if build.section.as_mm2() < LOOSEST_FILL * 0.25 * PI * conductor * conductor {
        return Err(Error::Inconsistent(Inconsistency::ConductorTooThick));
    }
    Ok(())
}

fn check_wall(wall: &Wall) -> Result<f32, Error> {
    Bounded::WallThickness.check(wall.thickness.as_mm())
}

fn check_shield(shield: &ShieldLayer, inner: Length) -> Result<(), Error> {
    let thickness = shield.thickness.as_mm();
    let ring = PI * (inner.as_mm() + thickness) * thickness;
    if shield.metal_area.as_mm2() > ring * ROUNDING {
        return Err(Error::Inconsistent(Inconsistency::ShieldTooThin));
    }
    Ok(())
}

/// Diameter after one more wall.
fn grown(inner: Length, wall: Length) -> Result<Length, Error> {
    Length::from_metres(inner.as_metres() + 2.0 * wall.as_metres())
}

fn ring_resistance(inner: Length, outer: Length, wall: &Wall) -> Result<ThermalResistance, Error> {
    let ratio = outer.as_metres() / inner.as_metres();
    let turns = 2.0 * PI * wall.conductivity.as_w_per_m_k();
    ThermalResistance::from_k_m_per_w(libm::logf(ratio) / turns)
}

fn linear_mass(build: &CableBuild, over_shield: Length) -> Result<LinearMass, Error> {
    let conductor = build.metal.density().as_kg_per_m3() * build.section.as_m2();
    let insulation = ring_mass(build.conductor_diameter, &build.insulation);
    let shield = build.shield.map_or(0.0, |shield| {
        shield.metal.density().as_kg_per_m3() * shield.metal_area.as_m2()
    });
    let jacket = build
        .jacket
        .map_or(0.0, |jacket| ring_mass(over_shield, &jacket));
    LinearMass::from_kg_per_m(conductor + insulation + shield + jacket)
}

fn ring_mass(inner: Length, wall: &Wall) -> f32 {
    let thickness = wall.thickness.as_metres();
    PI * (inner.as_metres() + thickness) * thickness * wall.density.as_kg_per_m3()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::heat_balance::tests::cable;

    fn refused(change: impl Fn(&mut CableBuild)) -> Result<Cable, Error> {
        let mut build = *cable(70.0, 0.272).build();
        change(&mut build);
        Cable::new(build)
    }

    #[test]
    fn what_cannot_be_built_is_refused() {
        let metres = |mm: f32| Length::from_mm(mm).unwrap();
        for (change, inconsistency) in [
            (
                &(|build: &mut CableBuild| build.conductor_diameter = metres(5.0))
                    as &dyn Fn(&mut CableBuild),
                Inconsistency::ConductorTooThin,
            ),
            (
                &|build| build.conductor_diameter = metres(50.0),
                Inconsistency::ConductorTooThick,
            ),
            // 0.026 for 0.26 ohm/km: once a cable that carried 683 A.
            (
                &|build| {
                    build.resistance_20 = LinearResistance::from_ohm_per_km(0.026).unwrap();
                },
                Inconsistency::ResistanceTooLow,
            ),
            (
                &|build| {
                    if let Some(shield) = &mut build.shield {
                        shield.metal_area = Area::from_mm2(100.0).unwrap();
                    }
                },
                Inconsistency::ShieldTooThin,
            ),
        ] {
            assert_eq!(refused(change), Err(Error::Inconsistent(inconsistency)));
        }
        assert!(refused(|build| build.insulation.thickness = metres(0.0)).is_err());
        assert!(refused(|_| ()).is_ok());
    }
}
