//! The bond between a box and chassis: its resistance, and the section that
//! survives a double fault.

use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, Current, CurrentSquaredTime, Resistance, Temperature};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// What a bond connects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the cases of the regulation
pub enum BondPath {
    /// An exposed conductive part and the electric chassis.
    ToChassis,
    /// Two exposed conductive parts that a person can reach together, within 2.5 m.
    BetweenReachable,
}

impl BondPath {
    /// Resistance that the path has to stay below, in ohm, and where that is from.
    pub const fn limit_ohm(self) -> (f32, SourceId) {
        match self {
            Self::ToChassis => (0.1, SourceId::UnR100Bonding),
            Self::BetweenReachable => (0.2, SourceId::UnR100BondingPair),
        }
    }
}

/// Smallest current that a bond is to be measured with, in A (UN R100, 5.1.2.2).
pub const BOND_TEST_CURRENT_A: f32 = 0.2;

/// A check of a bond.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // resistance and section
pub enum BondCheck {
    /// Measured resistance, in ohm.
    Resistance,
    /// Section against the fault, in mm2.
    Section,
}

/// Judges a measured bond resistance.
///
/// Open where nothing was measured, or where the current was below
/// [`BOND_TEST_CURRENT_A`] or not noted: a small current does not show a bad
/// contact, so such a reading proves nothing. A reading that fails, fails.
pub fn judge_bond(
    path: BondPath,
    measured: Option<Resistance>,
    test_current: Option<Current>,
) -> Judged<BondCheck> {
    let (limit, source) = path.limit_ohm();
    let Some(measured) = measured else {
        return Judged::open(
            BondCheck::Resistance,
            None,
            Side::AtMost,
            Some(limit),
            source,
        );
    };
    let value = measured.as_ohms();
    let judged = Judged::below(BondCheck::Resistance, value, limit, source);
    let proven = test_current.is_some_and(|current| current.as_amperes() >= BOND_TEST_CURRENT_A);
    if value < limit && !proven {
        return Judged::open(
            BondCheck::Resistance,
            Some(value),
            Side::AtMost,
            Some(limit),
            source,
        );
    }
    judged
}

/// Metal of a bond strap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the metals of the standard that a strap is made of
pub enum StrapMetal {
    /// Copper, bare or tinned.
    Copper,
    /// Aluminium.
    Aluminium,
    /// Steel.
    Steel,
}

impl StrapMetal {
    /// Every metal.
    pub const ALL: [Self; 3] = [Self::Copper, Self::Aluminium, Self::Steel];

    /// Constant K in A s^0.5 / mm2 and beta in K (IEC 60949; steel and the beta of
    /// aluminium from memory).
    const fn constants(self) -> (f32, f32) {
        match self {
            Self::Copper => (226.0, 234.5),
            Self::Aluminium => (148.0, 228.0),
            Self::Steel => (78.0, 202.0),
        }
    }

    /// Highest temperature in degC that IEC 60364-5-54, Table A.54.6 uses for a bare
    /// conductor, visible and out of reach (from memory).
    const fn highest_degc(self) -> f32 {
        match self {
            Self::Copper | Self::Steel => 500.0,
            Self::Aluminium => 300.0,
        }
    }
}

/// I2t per square of the section, in A2 s / mm4.
fn per_mm4(metal: StrapMetal, start: Temperature, limit: Temperature) -> Result<f32, Error> {
    let (start, limit) = (start.as_degc(), limit.as_degc());
    if limit > metal.highest_degc() {
        return Err(Error::NotInTable {
            table: SourceId::Iec60364ShortCircuit,
            value: limit,
        });
    }
    // The resistance is a straight line over temperature down to here at least.
    if start < -60.0 {
        return Err(Error::NotInTable {
            table: SourceId::Iec60949,
            value: start,
        });
    }
    if limit <= start {
        return Err(Error::Inconsistent(Inconsistency::LimitBelowStart));
    }
    let (k, beta) = metal.constants();
    Ok(k * k * libm::logf((beta + limit) / (beta + start)))
}

/// Section of a strap that carries the fault without getting hotter than a limit.
///
/// Equation: `S = sqrt(I2t) / (K sqrt(ln((beta + T_limit) / (beta + T_start))))`, all
/// heat kept in the metal. The I2t is that of the second of two faults to chassis:
/// the total operating I2t of the fuse that clears it, at the pack's voltage.
///
/// # Errors
/// [`Error::Inconsistent`] where the limit is not above the start;
/// [`Error::NotInTable`] for a limit above 500 degC (aluminium 300 degC) or a start
/// below -60 degC; [`Error::OutOfRange`] for a section beyond 5000 mm2. A fault
/// that asks for less than 0.05 mm2 gives 0.05 mm2.
///
/// Source: IEC 60949:1988, clause 3.
pub fn strap_section(
    metal: StrapMetal,
    fault: CurrentSquaredTime,
    start: Temperature,
    limit: Temperature,
) -> Result<ConductorArea, Error> {
    let per_mm2 = libm::sqrtf(per_mm4(metal, start, limit)?);
    // A limit one step above the start rounds to no heat at all, and the section
    // is then refused as infinite.
    let mm2 = libm::sqrtf(fault.as_a2s()) / per_mm2;
    ConductorArea::from_mm2(if mm2 < ConductorArea::BOUND.min() {
        ConductorArea::BOUND.min()
    } else {
        mm2
    })
}

/// I2t that a strap, or the braid of a cable, bears without getting hotter than a
/// limit: `I2t = K2 S2 ln((beta + T_limit) / (beta + T_start))`.
///
/// # Errors
/// As [`strap_section`], for the temperatures.
///
/// Source: IEC 60949:1988, clause 3.
pub fn strap_withstand(
    metal: StrapMetal,
    section: ConductorArea,
    start: Temperature,
    limit: Temperature,
) -> Result<CurrentSquaredTime, Error> {
    let mm2 = section.as_mm2();
    CurrentSquaredTime::from_a2s(per_mm4(metal, start, limit)? * mm2 * mm2)
}

/// Judges the section of a strap; open where it is not known.
///
/// # Errors
/// As [`strap_section`].
pub fn judge_strap(
    metal: StrapMetal,
    fault: CurrentSquaredTime,
    start: Temperature,
    limit: Temperature,
    section: Option<ConductorArea>,
) -> Result<Judged<BondCheck>, Error> {
    let least = strap_section(metal, fault, start, limit)?.as_mm2();
    let source = SourceId::Iec60949;
    Ok(match section {
        Some(section) => Judged::compare(
            BondCheck::Section,
            section.as_mm2(),
            Side::AtLeast,
            least,
            source,
        ),
        None => Judged::open(BondCheck::Section, None, Side::AtLeast, Some(least), source),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;
    use proptest::prelude::*;

    fn degc(degc: f32) -> Temperature {
        Temperature::from_degc(degc).unwrap()
    }

    fn i2t(a2s: f32) -> CurrentSquaredTime {
        CurrentSquaredTime::from_a2s(a2s).unwrap()
    }

    #[test]
    fn a_bond_is_proven_only_with_enough_current() {
        let judge = |path, ohms: Option<f32>, amperes: Option<f32>| {
            let measured = ohms.map(|ohms| Resistance::from_ohms(ohms).unwrap());
            let current = amperes.map(|amperes| Current::from_amperes(amperes).unwrap());
            judge_bond(path, measured, current).verdict
        };
        for (ohms, amperes, expected) in [
            (Some(0.02), Some(0.2), Verdict::Holds),
            (Some(0.02), Some(0.1), Verdict::Open),
            (Some(0.02), None, Verdict::Open),
            (Some(0.1), Some(1.0), Verdict::Fails),
            (Some(0.3), Some(0.1), Verdict::Fails),
            (None, Some(1.0), Verdict::Open),
        ] {
            assert_eq!(judge(BondPath::ToChassis, ohms, amperes), expected);
        }
        let pair = judge(BondPath::BetweenReachable, Some(0.15), Some(0.2));
        assert_eq!(pair, Verdict::Holds);
    }

    #[test]
    fn copper_from_30_to_200_degc_has_its_printed_k() {
        // k = 159 for bare copper, 30 to 200 degC: IEC 60364-5-54 Table A.54.6, from
        // memory. Tolerance: half of the last printed digit.
        let section = strap_section(
            StrapMetal::Copper,
            i2t(159.0 * 159.0 * 100.0),
            degc(30.0),
            degc(200.0),
        );
        assert!((section.unwrap().as_mm2() - 10.0).abs() < 10.0 * 0.5 / 159.0);
    }

    #[test]
    fn a_braid_of_3_8_mm2_bears_478_a_for_one_second() {
        // Computed independently: 85 to 200 degC, 478.31 A. Tolerance: f32, 1e-5.
        let section = ConductorArea::from_mm2(3.817_035).unwrap();
        let found = strap_withstand(StrapMetal::Copper, section, degc(85.0), degc(200.0)).unwrap();
        assert!((found.as_a2s() / (478.314_82 * 478.314_82) - 1.0).abs() < 1e-5);
        let back = strap_section(StrapMetal::Copper, found, degc(85.0), degc(200.0)).unwrap();
        assert!((back.as_mm2() / section.as_mm2() - 1.0).abs() < 1e-6);
    }

    #[test]
    fn temperatures_out_of_order_or_range_are_refused() {
        let find = |start, limit| {
            strap_section(StrapMetal::Aluminium, i2t(1.0e6), degc(start), degc(limit))
        };
        assert!(matches!(find(100.0, 100.0), Err(Error::Inconsistent(_))));
        assert!(matches!(find(30.0, 301.0), Err(Error::NotInTable { .. })));
        assert!(matches!(find(-61.0, 200.0), Err(Error::NotInTable { .. })));
    }

    #[test]
    fn no_fault_asks_for_the_smallest_section() {
        let section = strap_section(StrapMetal::Copper, i2t(0.0), degc(30.0), degc(200.0)).unwrap();
        assert!((section.as_mm2() - 0.05).abs() < 1e-9);
        let judged = judge_strap(
            StrapMetal::Copper,
            i2t(1.0e6),
            degc(30.0),
            degc(200.0),
            None,
        )
        .unwrap();
        assert_eq!(judged.verdict, Verdict::Open);
    }

    proptest! {
        #[test]
        fn more_let_through_or_a_hotter_start_never_asks_for_less(
            a2s in 1.0e3..1.0e8_f32, start in -40.0..120.0_f32, more in 1.0..4.0_f32, up in 0.0..50.0_f32,
        ) {
            for metal in StrapMetal::ALL {
                let base = strap_section(metal, i2t(a2s), degc(start), degc(200.0)).unwrap().as_mm2();
                let bigger = strap_section(metal, i2t(a2s * more), degc(start), degc(200.0)).unwrap().as_mm2();
                let hotter = strap_section(metal, i2t(a2s), degc(start + up), degc(200.0)).unwrap().as_mm2();
                prop_assert!(bigger >= base && hotter >= base);
            }
        }
    }
}
