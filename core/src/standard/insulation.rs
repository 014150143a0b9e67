//! What insulations and jackets do with heat.
//!
//! Thermal conductivity as the reciprocal of the thermal resistivity of
//! IEC 60287-2-1, Table 1; heat capacity per volume of the same table and of
//! IEC 60853-2; both **from memory**. Density from handbooks, from memory, rounded:
//! compounds differ by 10 % with their filler.
//!
//! Validity: unfilled or lightly filled compounds between room temperature and
//! their limit temperature. Silicone, which many orange cables use, is in neither
//! standard and therefore not here; take its values from the maker's sheet.

use super::SourceId;
use crate::quantity::{Density, ThermalConductivity, VolumetricHeatCapacity};

/// The compound of an insulation or a jacket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum Compound {
    /// Cross-linked polyethylene.
    Xlpe,
    /// Polyvinyl chloride, cables up to 3 kV.
    Pvc,
}

impl Compound {
    /// Every compound.
    pub const ALL: [Self; 2] = [Self::Xlpe, Self::Pvc];

    /// Source of [`Self::thermal_conductivity`].
    pub const CONDUCTIVITY_SOURCE: SourceId = SourceId::Iec60287Insulation;
    /// Source of [`Self::heat_capacity`].
    pub const HEAT_SOURCE: SourceId = SourceId::Iec60853;
    /// Source of [`Self::density`].
    pub const DENSITY_SOURCE: SourceId = SourceId::MaterialHandbook;

    /// Thermal conductivity: one over 3.5 K m/W for XLPE, one over 5 K m/W for PVC.
    pub const fn thermal_conductivity(self) -> ThermalConductivity {
        match self {
            Self::Xlpe => constant!(ThermalConductivity::from_w_per_m_k(1.0 / 3.5)),
            Self::Pvc => constant!(ThermalConductivity::from_w_per_m_k(1.0 / 5.0)),
        }
    }

    /// Heat capacity per volume.
    pub const fn heat_capacity(self) -> VolumetricHeatCapacity {
        match self {
            Self::Xlpe => constant!(VolumetricHeatCapacity::from_j_per_m3_k(2.4e6)),
            Self::Pvc => constant!(VolumetricHeatCapacity::from_j_per_m3_k(1.7e6)),
        }
    }

    /// Density.
    pub const fn density(self) -> Density {
        match self {
            Self::Xlpe => constant!(Density::from_kg_per_m3(930.0)),
            Self::Pvc => constant!(Density::from_kg_per_m3(1400.0)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heat_capacity_per_mass_is_that_of_a_polymer() {
        // Polymers lie between 1.0 and 2.7 kJ/(kg K) (handbooks, from memory).
        for compound in Compound::ALL {
            let per_kg =
                compound.heat_capacity().as_j_per_m3_k() / compound.density().as_kg_per_m3();
            assert!((1000.0..2700.0).contains(&per_kg), "{compound:?} {per_kg}");
        }
    }
}
