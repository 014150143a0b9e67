//! A cable build for builders without a datasheet.
//!
//! **Invented.** No standard and no maker stands behind these walls; they are of the
//! size that flexible cables of their voltage class commonly have, so that a first
//! answer can be given before a cable is chosen. Enter the datasheet's diameters
//! as soon as there is one. Source: [`SourceId::GenericGeometry`].

use core::f32::consts::PI;

use super::cable::{CableBuild, ShieldLayer, Wall};
use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::{Area, ConductorArea, Emissivity, Length, LinearResistance, Voltage};
use crate::standard::SourceId;
use crate::standard::insulation::Compound;
use crate::standard::metal::Metal;

/// Voltage class of a cable for vehicles.
///
/// ISO 19642 knows 600 V AC / 900 V DC and 1000 V AC / 1500 V DC (seen).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum VoltageClass {
    /// 900 V DC (600 V AC).
    V900,
    /// 1500 V DC (1000 V AC).
    V1500,
}

impl VoltageClass {
    /// The lowest class that a direct voltage allows.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] above 1500 V, below which the classes end.
    pub fn for_voltage(voltage: Voltage) -> Result<Self, Error> {
        let volts = Bounded::SystemVoltage.check(voltage.as_volts())?;
        Ok(if volts <= 900.0 {
            Self::V900
        } else {
            Self::V1500
        })
    }

    /// The highest direct voltage of the class.
    pub const fn highest(self) -> Voltage {
        match self {
            Self::V900 => constant!(Voltage::from_volts(900.0)),
            Self::V1500 => constant!(Voltage::from_volts(1500.0)),
        }
    }
}

/// Walls up to a section: insulation, shield, jacket, in mm.
struct Walls {
    up_to_mm2: f32,
    insulation: f32,
    shield: f32,
    jacket: f32,
}

const fn walls(up_to_mm2: f32, insulation: f32, shield: f32, jacket: f32) -> Walls {
    Walls {
        up_to_mm2,
        insulation,
        shield,
        jacket,
    }
}

/// Invented; see the module.
const WALLS: [Walls; 16] = [
    walls(2.5, 0.8, 0.25, 0.8),
    walls(6.0, 0.9, 0.3, 1.0),
    walls(10.0, 1.0, 0.35, 1.1),
    walls(16.0, 1.1, 0.4, 1.2),
    walls(25.0, 1.2, 0.4, 1.3),
    walls(35.0, 1.2, 0.4, 1.4),
    walls(50.0, 1.3, 0.5, 1.5),
    walls(70.0, 1.4, 0.5, 1.6),
    walls(95.0, 1.5, 0.6, 1.7),
    walls(120.0, 1.6, 0.6, 1.8),
    walls(150.0, 1.7, 0.6, 1.9),
    walls(185.0, 1.8, 0.7, 2.0),
    walls(240.0, 2.0, 0.7, 2.2),
    walls(300.0, 2.1, 0.8, 2.4),
    walls(400.0, 2.3, 0.8, 2.6),
    walls(5000.0, 2.6, 0.9, 2.9),
];

/// Share of the conductor's circle that is metal.
const CONDUCTOR_FILL: f32 = 0.75;
/// Share of the shield's ring that is metal.
const SHIELD_FILL: f32 = 0.5;
/// More insulation for the higher voltage class, mm.
const HIGHER_CLASS_WALL: f32 = 0.4;

/// Dimensions that replace the generic ones.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record
pub struct Dimensions {
    /// Diameter over the strands.
    pub conductor_diameter: Option<Length>,
    /// Insulation wall.
    pub insulation_wall: Option<Length>,
    /// Shield thickness; zero for no shield.
    pub shield_wall: Option<Length>,
    /// Jacket wall; zero for no jacket.
    pub jacket_wall: Option<Length>,
    /// Emissivity of the outside.
    pub emissivity: Option<Emissivity>,
}

impl Dimensions {
    /// Whether nothing is replaced.
    pub fn is_generic(&self) -> bool {
        *self == Self::default()
    }
}

/// Computes: the build of a cable from its section, with entered dimensions first
/// and the generic ones where none are entered.
///
/// Insulation is cross-linked polyethylene, the jacket polyvinyl chloride, the
/// emissivity 0.9. An unshielded cable has a single wall of insulation unless a
/// jacket is entered. The shield's metal fills half of its ring.
///
/// # Errors
/// [`Error::OutOfRange`] for a dimension outside its bounds.
pub fn generic_build(
    metal: Metal,
    section: ConductorArea,
    resistance_20: LinearResistance,
    class: VoltageClass,
    shielded: bool,
    entered: &Dimensions,
) -> Result<CableBuild, Error> {
    let mm2 = section.as_mm2();
    let mut thinnest = WALLS.iter();
    let Some(generic) = thinnest.find(|row| mm2 <= row.up_to_mm2) else {
        return Err(Error::NotInTable {
            table: SourceId::GenericGeometry,
            value: mm2,
        });
    };
    let more = if class > VoltageClass::V900 {
        HIGHER_CLASS_WALL
    } else {
        0.0
    };
    let conductor_diameter = match entered.conductor_diameter {
        Some(diameter) => diameter,
        None => Length::from_mm(libm::sqrtf(4.0 / PI * mm2 / CONDUCTOR_FILL))?,
    };
    let insulation = entered
        .insulation_wall
        .map_or_else(|| Length::from_mm(generic.insulation + more), Ok)?;
    let shield_wall = match entered.shield_wall {
        Some(wall) => wall,
        None => Length::from_mm(if shielded { generic.shield } else { 0.0 })?,
    };
    let jacket_wall = match entered.jacket_wall {
        Some(wall) => wall,
        None => Length::from_mm(if shielded { generic.jacket } else { 0.0 })?,
    };
    let over_insulation = conductor_diameter.as_mm() + 2.0 * insulation.as_mm();
    Ok(CableBuild {
        metal,
        section,
        conductor_diameter,
        resistance_20,
        insulation: wall(insulation, Compound::Xlpe),
        shield: shield_layer(over_insulation, shield_wall)?,
        jacket: (jacket_wall.as_mm() > 0.0).then(|| wall(jacket_wall, Compound::Pvc)),
        emissivity: match entered.emissivity {
            Some(emissivity) => emissivity,
            None => constant!(Emissivity::from_fraction(0.9)),
        },
    })
}

fn wall(thickness: Length, compound: Compound) -> Wall {
    Wall {
        thickness,
        conductivity: compound.thermal_conductivity(),
        heat_capacity: compound.heat_capacity(),
        density: compound.density(),
    }
}

fn shield_layer(inner_mm: f32, thickness: Length) -> Result<Option<ShieldLayer>, Error> {
    let wall = thickness.as_mm();
    if wall <= 0.0 {
        return Ok(None);
    }
    let ring = PI * (inner_mm + wall) * wall;
    Ok(Some(ShieldLayer {
        thickness,
        metal_area: Area::from_mm2(SHIELD_FILL * ring)?,
        metal: Metal::Copper,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::cable::Cable;

    fn build(mm2: f32, class: VoltageClass, shielded: bool) -> Cable {
        let section = ConductorArea::from_mm2(mm2).unwrap();
        let resistance = LinearResistance::from_ohm_per_km(19.3 / mm2).unwrap();
        let entered = Dimensions::default();
        let build = generic_build(
            Metal::Copper,
            section,
            resistance,
            class,
            shielded,
            &entered,
        )
        .unwrap();
        Cable::new(build).unwrap()
    }

    #[test]
    fn a_larger_section_never_has_a_thinner_cable() {
        for shielded in [true, false] {
            let mut last = 0.0;
            for tenth in 1..4000_u16 {
                let diameter = build(f32::from(tenth) * 0.25, VoltageClass::V900, shielded)
                    .outer_diameter()
                    .as_mm();
                assert!(diameter > last, "{tenth}");
                last = diameter;
            }
        }
    }

    #[test]
    fn the_higher_class_and_the_shield_make_the_cable_thicker() {
        let plain = build(70.0, VoltageClass::V900, true).outer_diameter();
        assert!(build(70.0, VoltageClass::V1500, true).outer_diameter() > plain);
        assert!(build(70.0, VoltageClass::V900, false).outer_diameter() < plain);
    }

    #[test]
    fn the_class_ends_where_the_standard_ends() {
        let volts = |v: f32| VoltageClass::for_voltage(Voltage::from_volts(v).unwrap());
        assert_eq!(volts(900.0), Ok(VoltageClass::V900));
        assert_eq!(volts(900.1), Ok(VoltageClass::V1500));
        assert!(volts(1500.1).is_err());
        assert!(volts(0.0).is_err());
        assert!(volts(-400.0).is_err());
    }
}
