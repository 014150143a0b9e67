//! Published factors for ambient temperature: check values.
//!
//! IEC 60364-5-52, Table B.52.14: factor on a current rated in air of 30 degC. Each
//! line says whether it was seen.
//!
//! Nothing in this library computes with these factors: the heat balance takes the
//! ambient temperature itself. They are here so that the balance can be held
//! against them. Validity: conductors limited to 70 degC (PVC) and 90 degC (XLPE,
//! EPR), never another limit temperature.

use super::{Evidence, SourceId};

/// One line of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct AmbientRow {
    /// Ambient temperature in degC.
    pub ambient_degc: f32,
    /// Factor on the current.
    pub factor: f32,
    /// Whether this line was seen.
    pub evidence: Evidence,
}

const fn seen(ambient_degc: f32, factor: f32) -> AmbientRow {
    AmbientRow {
        ambient_degc,
        factor,
        evidence: Evidence::Seen,
    }
}

const fn partly(ambient_degc: f32, factor: f32) -> AmbientRow {
    AmbientRow {
        ambient_degc,
        factor,
        evidence: Evidence::PartlySeen,
    }
}

/// Source of every value in this file.
pub const SOURCE: SourceId = SourceId::Iec60364Ambient;

/// Ambient temperature of the unreduced currents, in degC.
pub const BASE_DEGC: f32 = 30.0;

/// PVC, conductor limit 70 degC.
pub const PVC_70: [AmbientRow; 11] = [
    partly(10.0, 1.22),
    partly(15.0, 1.17),
    partly(20.0, 1.12),
    partly(25.0, 1.06),
    partly(30.0, 1.00),
    seen(35.0, 0.94),
    seen(40.0, 0.87),
    seen(45.0, 0.79),
    seen(50.0, 0.71),
    seen(55.0, 0.61),
    seen(60.0, 0.50),
];

/// XLPE or EPR, conductor limit 90 degC.
pub const XLPE_90: [AmbientRow; 15] = [
    partly(10.0, 1.15),
    partly(15.0, 1.12),
    partly(20.0, 1.08),
    partly(25.0, 1.04),
    partly(30.0, 1.00),
    seen(35.0, 0.96),
    seen(40.0, 0.91),
    seen(45.0, 0.87),
    seen(50.0, 0.82),
    seen(55.0, 0.76),
    seen(60.0, 0.71),
    seen(65.0, 0.65),
    seen(70.0, 0.58),
    seen(75.0, 0.50),
    seen(80.0, 0.41),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factors_are_the_root_of_the_temperature_rises() {
        for (limit, table) in [(70.0, &PVC_70[..]), (90.0, &XLPE_90[..])] {
            for row in table {
                let rise: f32 = (limit - row.ambient_degc) / (limit - BASE_DEGC);
                // Half of the last printed digit, and 1e-4 for ties.
                assert!(
                    (libm::sqrtf(rise) - row.factor).abs() < 0.0051,
                    "{} {row:?}",
                    SOURCE.source().place
                );
            }
        }
    }
}
