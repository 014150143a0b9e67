//! The metals a conductor is made of.
//!
//! | value | source | evidence |
//! |---|---|---|
//! | resistivity and temperature coefficient at 20 degC | IEC 60287-1-1:2014, Table 1 | seen in part |
//! | `beta`, heat capacity per volume | IEC 60949:1988, Table 1 | from memory |
//! | density | IEC 60028:1925, IEC 60889:1987 | from memory |
//! | thermal conductivity | handbooks | from memory |
//!
//! Validity: annealed copper of 100 % IACS and hard-drawn conductor aluminium of
//! 61 % IACS. The straight resistance law holds from about -50 degC to 300 degC.
//! Copper-clad aluminium is neither of the two: its resistance is about 1.6 times
//! that of copper, and it must not be entered as copper.

use super::SourceId;
use crate::quantity::{
    Density, Resistivity, TemperatureCoefficient, TemperatureDifference, ThermalConductivity,
    VolumetricHeatCapacity,
};

/// The metal of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum Metal {
    /// Bare annealed copper.
    Copper,
    /// Annealed copper, each strand tinned. The metal is copper; only the
    /// resistance allowed per length differs, and the conductor tables hold that.
    TinnedCopper,
    /// Conductor aluminium.
    Aluminium,
}

impl Metal {
    /// Every metal.
    pub const ALL: [Self; 3] = [Self::Copper, Self::TinnedCopper, Self::Aluminium];

    /// Source of [`Self::resistivity_20`] and [`Self::temperature_coefficient_20`].
    pub const RESISTANCE_SOURCE: SourceId = SourceId::Iec60287Conductor;
    /// Source of [`Self::beta`] and [`Self::heat_capacity`].
    pub const HEAT_SOURCE: SourceId = SourceId::Iec60949;
    /// Source of [`Self::density`].
    pub const DENSITY_SOURCE: SourceId = SourceId::MetalDensity;
    /// Source of [`Self::thermal_conductivity`].
    pub const CONDUCTIVITY_SOURCE: SourceId = SourceId::MaterialHandbook;

    /// Resistivity at 20 degC.
    pub const fn resistivity_20(self) -> Resistivity {
        match self {
            Self::Copper | Self::TinnedCopper => constant!(Resistivity::from_ohm_m(1.7241e-8)),
            Self::Aluminium => constant!(Resistivity::from_ohm_m(2.8264e-8)),
        }
    }

    /// Temperature coefficient of resistance at 20 degC:
    /// `R(T) = R20 (1 + alpha (T - 20 degC))`.
    pub const fn temperature_coefficient_20(self) -> TemperatureCoefficient {
        match self {
            Self::Copper | Self::TinnedCopper => {
                constant!(TemperatureCoefficient::from_per_kelvin(0.00393))
            }
            Self::Aluminium => constant!(TemperatureCoefficient::from_per_kelvin(0.00403)),
        }
    }

    /// Reciprocal of the temperature coefficient at 0 degC, as the short-circuit
    /// standards print it. The straight law would reach zero resistance at minus
    /// this many degrees Celsius.
    pub const fn beta(self) -> TemperatureDifference {
        match self {
            Self::Copper | Self::TinnedCopper => {
                constant!(TemperatureDifference::from_kelvin(234.5))
            }
            Self::Aluminium => constant!(TemperatureDifference::from_kelvin(228.0)),
        }
    }

    /// Heat capacity per volume at 20 degC.
    pub const fn heat_capacity(self) -> VolumetricHeatCapacity {
        match self {
            Self::Copper | Self::TinnedCopper => {
                constant!(VolumetricHeatCapacity::from_j_per_m3_k(3.45e6))
            }
            Self::Aluminium => constant!(VolumetricHeatCapacity::from_j_per_m3_k(2.5e6)),
        }
    }

    /// Density at 20 degC.
    pub const fn density(self) -> Density {
        match self {
            Self::Copper | Self::TinnedCopper => constant!(Density::from_kg_per_m3(8890.0)),
            Self::Aluminium => constant!(Density::from_kg_per_m3(2703.0)),
        }
    }

    /// Thermal conductivity at room temperature.
    pub const fn thermal_conductivity(self) -> ThermalConductivity {
        match self {
            Self::Copper | Self::TinnedCopper => {
                constant!(ThermalConductivity::from_w_per_m_k(390.0))
            }
            Self::Aluminium => constant!(ThermalConductivity::from_w_per_m_k(230.0)),
        }
    }

    /// The word people read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::TinnedCopper => "tinned copper",
            Self::Aluminium => "aluminium",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_of_the_temperature_coefficient_agree() {
        for metal in Metal::ALL {
            let from_alpha = 1.0 / metal.temperature_coefficient_20().as_per_kelvin() - 20.0;
            // alpha is printed with three digits: half of its last one is 0.13 %,
            // 0.3 K of beta + 20.
            assert!(
                (from_alpha - metal.beta().as_kelvin()).abs() < 0.35,
                "{metal:?}"
            );
        }
    }

    #[test]
    fn the_four_constants_obey_the_law_of_wiedemann_and_franz() {
        // Lorenz number 2.44e-8 W ohm/K2 (physics, from memory). Metals keep it
        // within about 10 %; a slip of a power of ten would not.
        for metal in Metal::ALL {
            let lorenz = metal.thermal_conductivity().as_w_per_m_k()
                * metal.resistivity_20().as_ohm_m()
                / 293.15;
            assert!((lorenz / 2.44e-8 - 1.0).abs() < 0.1, "{metal:?} {lorenz}");
        }
    }
}
