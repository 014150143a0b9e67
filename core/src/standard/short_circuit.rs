//! Adiabatic short-circuit constants k.
//!
//! IEC 60364-5-54:2011, Tables A.54.1 to A.54.6, and IEC 60364-4-43, Table 43A:
//! `S = sqrt(I2t) / k` for at most 5 s. Each line of [`K_TABLE`] says whether it was
//! seen or is from memory; the metal constants are seen in part.
//!
//! Validity: all heat stays in the metal and the resistance is `rho / S` of the
//! nominal section. Real strands have more: with the class 5 limit of IEC 60228, k
//! promises 5 % to 6.5 % too much current from 16 mm2 to 120 mm2 (computed). Use k
//! beside a withstand that is computed from the cable's own resistance, not instead
//! of it.

use super::{Evidence, SourceId};
use crate::error::{Error, Inconsistency};
use crate::quantity::Temperature;

/// A metal of the short-circuit tables; shields and armour included.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum HeatedMetal {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
    /// Lead, as a sheath.
    Lead,
    /// Steel, as armour or a bare conductor.
    Steel,
}

/// What Table A.54.1 says of one metal.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct MetalConstants {
    /// Heat capacity per volume at 20 degC, in J/(K mm3).
    pub heat_capacity: f32,
    /// Reciprocal of the temperature coefficient at 0 degC, in K.
    pub beta: f32,
    /// Resistivity at 20 degC, in ohm mm.
    pub resistivity: f32,
    /// `sqrt(Qc (beta + 20) / rho20)` as printed, in `A s^0.5 / mm2`.
    pub k0: f32,
}

/// Source of every value in this file; the evidence of a line of [`K_TABLE`] is
/// more precise.
pub const SOURCE: SourceId = SourceId::Iec60364ShortCircuit;

impl HeatedMetal {
    /// Every metal.
    pub const ALL: [Self; 4] = [Self::Copper, Self::Aluminium, Self::Lead, Self::Steel];

    /// The constants of the metal, as printed.
    pub const fn constants(self) -> MetalConstants {
        let (heat_capacity, beta, resistivity, k0) = match self {
            Self::Copper => (3.45e-3, 234.5, 17.241e-6, 226.0),
            Self::Aluminium => (2.5e-3, 228.0, 28.264e-6, 148.0),
            Self::Lead => (1.45e-3, 230.0, 214.0e-6, 41.0),
            Self::Steel => (3.8e-3, 202.0, 138.0e-6, 78.0),
        };
        MetalConstants {
            heat_capacity,
            beta,
            resistivity,
            k0,
        }
    }

    /// The word people read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::Aluminium => "aluminium",
            Self::Lead => "lead",
            Self::Steel => "steel",
        }
    }
}

/// The constant k between two temperatures, in `A s^0.5 / mm2`.
///
/// `k = k0 sqrt( ln((beta + end) / (beta + start)) )` with the printed
/// `k0 = sqrt(Qc (beta + 20) / rho20)`, IEC 60364-5-54, Annex A, seen. The unrounded
/// k0 (225.7 for copper) would miss five printed k of [`K_TABLE`]; the printed one
/// (226) gives every one of them.
///
/// # Errors
/// [`Inconsistency::LimitBelowStart`] unless `end` is above `start`,
/// [`Inconsistency::NoResistanceLeft`] if `start` is at or below minus beta.
pub fn k_factor(metal: MetalConstants, start: Temperature, end: Temperature) -> Result<f32, Error> {
    let (start, end) = (start.as_degc(), end.as_degc());
    if end <= start {
        return Err(Error::Inconsistent(Inconsistency::LimitBelowStart));
    }
    let above_zero = metal.beta + start;
    if above_zero <= 0.0 {
        return Err(Error::Inconsistent(Inconsistency::NoResistanceLeft));
    }
    // ln(1 + x) keeps its digits where the two temperatures are close.
    let growth = libm::log1pf((end - start) / above_zero);
    Ok(metal.k0 * libm::sqrtf(growth))
}

/// Where the heated metal is and what it may heat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum KCase {
    /// Core of a PVC cable.
    CorePvc,
    /// Core of a PVC cable above 300 mm2.
    CorePvcLarge,
    /// Core of a cable with PVC for 90 degC.
    CorePvc90,
    /// Core of a cable with PVC for 90 degC above 300 mm2.
    CorePvc90Large,
    /// Core of an XLPE or EPR cable.
    CoreXlpe,
    /// Core of a cable with rubber for 60 degC.
    CoreRubber60,
    /// Core of a cable with rubber for 85 degC or butyl.
    CoreRubber85,
    /// Core of a silicone-rubber cable.
    CoreSilicone,
    /// Separate conductor in PVC.
    SeparatePvc,
    /// Separate conductor in XLPE or EPR.
    SeparateXlpe,
    /// Separate conductor in butyl.
    SeparateButyl,
    /// Bare, visible and in a restricted area.
    BareVisible,
    /// Bare, normal conditions.
    BareNormal,
    /// Bare, with a risk of fire.
    BareFireRisk,
    /// Armour, screen or sheath of a PVC cable.
    SheathPvc,
    /// Armour or sheath of an XLPE cable.
    SheathXlpe,
}

impl KCase {
    /// The words of the table.
    #[cfg(feature = "text")]
    pub const fn words(self) -> &'static str {
        match self {
            Self::CorePvc => "core of a PVC cable",
            Self::CorePvcLarge => "core of a PVC cable above 300 mm2",
            Self::CorePvc90 => "core of a PVC 90 degC cable",
            Self::CorePvc90Large => "core of a PVC 90 degC cable above 300 mm2",
            Self::CoreXlpe => "core of an XLPE or EPR cable",
            Self::CoreRubber60 => "core of a rubber 60 degC cable",
            Self::CoreRubber85 => "core of a rubber 85 degC or butyl cable",
            Self::CoreSilicone => "core of a silicone-rubber cable",
            Self::SeparatePvc => "separate conductor in PVC",
            Self::SeparateXlpe => "separate conductor in XLPE or EPR",
            Self::SeparateButyl => "separate conductor in butyl",
            Self::BareVisible => "bare and visible in a restricted area",
            Self::BareNormal => "bare in normal conditions",
            Self::BareFireRisk => "bare with a risk of fire",
            Self::SheathPvc => "armour or screen or sheath of a PVC cable",
            Self::SheathXlpe => "armour or sheath of an XLPE cable",
        }
    }
}

/// One printed k.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct KRow {
    /// The heated metal.
    pub metal: HeatedMetal,
    /// Where it is.
    pub case: KCase,
    /// Temperature at the start in degC.
    pub start_degc: f32,
    /// Limit temperature in degC.
    pub end_degc: f32,
    /// The printed constant in `A s^0.5 / mm2`.
    pub k: f32,
    /// Whether this line was seen.
    pub evidence: Evidence,
}

const fn row(
    metal: HeatedMetal,
    case: KCase,
    start_degc: f32,
    end_degc: f32,
    k: f32,
    evidence: Evidence,
) -> KRow {
    KRow {
        metal,
        case,
        start_degc,
        end_degc,
        k,
        evidence,
    }
}

/// The printed constants.
pub const K_TABLE: [KRow; 39] = {
    use Evidence::{FromMemory, PartlySeen, Seen};
    use HeatedMetal::{Aluminium, Copper, Lead, Steel};
    use KCase::{
        BareFireRisk, BareNormal, BareVisible, CorePvc, CorePvc90, CorePvc90Large, CorePvcLarge,
        CoreRubber60, CoreRubber85, CoreSilicone, CoreXlpe, SeparateButyl, SeparatePvc,
        SeparateXlpe, SheathPvc, SheathXlpe,
    };
    [
        row(Copper, CorePvc, 70.0, 160.0, 115.0, Seen),
        row(Aluminium, CorePvc, 70.0, 160.0, 76.0, Seen),
        row(Copper, CorePvcLarge, 70.0, 140.0, 103.0, FromMemory),
        row(Aluminium, CorePvcLarge, 70.0, 140.0, 68.0, FromMemory),
        row(Copper, CorePvc90, 90.0, 160.0, 100.0, FromMemory),
        row(Copper, CorePvc90Large, 90.0, 140.0, 86.0, FromMemory),
        row(Aluminium, CorePvc90, 90.0, 160.0, 66.0, FromMemory),
        row(Copper, CoreXlpe, 90.0, 250.0, 143.0, Seen),
        row(Aluminium, CoreXlpe, 90.0, 250.0, 94.0, Seen),
        row(Copper, CoreRubber60, 60.0, 200.0, 141.0, FromMemory),
        row(Aluminium, CoreRubber60, 60.0, 200.0, 93.0, FromMemory),
        row(Copper, CoreRubber85, 85.0, 220.0, 134.0, Seen),
        row(Aluminium, CoreRubber85, 85.0, 220.0, 89.0, Seen),
        row(Copper, CoreSilicone, 180.0, 350.0, 132.0, PartlySeen),
        row(Copper, SeparatePvc, 30.0, 160.0, 143.0, Seen),
        row(Aluminium, SeparatePvc, 30.0, 160.0, 95.0, Seen),
        row(Steel, SeparatePvc, 30.0, 160.0, 52.0, Seen),
        row(Copper, SeparateXlpe, 30.0, 250.0, 176.0, Seen),
        row(Aluminium, SeparateXlpe, 30.0, 250.0, 116.0, Seen),
        row(Steel, SeparateXlpe, 30.0, 250.0, 64.0, Seen),
        row(Copper, SeparateButyl, 30.0, 220.0, 166.0, Seen),
        row(Aluminium, SeparateButyl, 30.0, 220.0, 110.0, Seen),
        row(Steel, SeparateButyl, 30.0, 220.0, 60.0, Seen),
        row(Copper, BareVisible, 30.0, 500.0, 228.0, Seen),
        row(Aluminium, BareVisible, 30.0, 300.0, 125.0, Seen),
        row(Steel, BareVisible, 30.0, 500.0, 82.0, Seen),
        row(Copper, BareNormal, 30.0, 200.0, 159.0, Seen),
        row(Aluminium, BareNormal, 30.0, 200.0, 105.0, Seen),
        row(Steel, BareNormal, 30.0, 200.0, 58.0, Seen),
        row(Copper, BareFireRisk, 30.0, 150.0, 138.0, Seen),
        row(Aluminium, BareFireRisk, 30.0, 150.0, 91.0, Seen),
        row(Steel, BareFireRisk, 30.0, 150.0, 50.0, Seen),
        row(Copper, SheathPvc, 60.0, 200.0, 141.0, FromMemory),
        row(Aluminium, SheathPvc, 60.0, 200.0, 93.0, FromMemory),
        row(Steel, SheathPvc, 60.0, 200.0, 51.0, FromMemory),
        row(Lead, SheathPvc, 60.0, 200.0, 26.0, FromMemory),
        row(Steel, SheathXlpe, 80.0, 200.0, 46.0, FromMemory),
        row(Aluminium, SheathXlpe, 80.0, 200.0, 85.0, FromMemory),
        row(Lead, SheathXlpe, 80.0, 200.0, 23.0, FromMemory),
    ]
};

/// The printed line of a metal and a case; absent where the standard prints none.
pub fn printed_k(metal: HeatedMetal, case: KCase) -> Option<KRow> {
    K_TABLE
        .into_iter()
        .find(|row| row.metal == metal && row.case == case)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn degc(value: f32) -> Temperature {
        Temperature::from_degc(value).unwrap()
    }

    #[test]
    fn each_metal_and_case_is_printed_once() {
        for (at, row) in K_TABLE.iter().enumerate() {
            for other in &K_TABLE[at + 1..] {
                assert!(
                    (row.metal, row.case) != (other.metal, other.case),
                    "{row:?}"
                );
            }
            assert_eq!(printed_k(row.metal, row.case), Some(*row));
        }
        assert_eq!(printed_k(HeatedMetal::Lead, KCase::CorePvc), None);
    }

    #[test]
    fn a_limit_at_or_below_the_start_is_refused() {
        let copper = HeatedMetal::Copper.constants();
        for end in [90.0, 89.9] {
            assert_eq!(
                k_factor(copper, degc(90.0), degc(end)),
                Err(Error::Inconsistent(Inconsistency::LimitBelowStart))
            );
        }
    }

    #[test]
    fn the_resistance_law_ends_at_minus_beta() {
        for metal in HeatedMetal::ALL {
            let constants = metal.constants();
            assert_eq!(
                k_factor(constants, degc(-constants.beta), degc(100.0)),
                Err(Error::Inconsistent(Inconsistency::NoResistanceLeft))
            );
            assert!(k_factor(constants, degc(-constants.beta + 1.0), degc(100.0)).is_ok());
        }
    }

    proptest! {
        #[test]
        fn k_grows_with_the_limit_and_falls_with_the_start(
            start in -60.0_f32..300.0, rise in 1.0_f32..300.0, step in 1.0_f32..50.0
        ) {
            for metal in HeatedMetal::ALL {
                let k = |start: f32, end: f32| {
                    k_factor(metal.constants(), degc(start), degc(end)).unwrap()
                };
                let base = k(start, start + rise);
                prop_assert!(base.is_finite() && base > 0.0);
                prop_assert!(k(start, start + rise + step) > base);
                prop_assert!(k(start - step, start + rise) > base);
            }
        }
    }
}
