//! Short circuit: what the conductor stands before its insulation is spoilt.

use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, CurrentSquaredTime, LinearResistance, Temperature};
use crate::standard::metal::Metal;
use crate::standard::short_circuit::{HeatedMetal, k_factor};

/// Two answers to the same question, side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Withstand {
    /// With the cable's own resistance: the one that verdicts use.
    pub own_resistance: CurrentSquaredTime,
    /// The standard's form k2 S2 with the nominal section.
    pub standard_form: CurrentSquaredTime,
    /// k of the standard's form, A s^0.5 / mm2.
    pub k: f32,
}

/// Computes: joule integral that heats a conductor from one temperature to another
/// when no heat leaves it.
///
/// Equations: own resistance I2t = S Cv/(R20 a20) ln[(Tf + b)/(Ti + b)] with
/// b = 1/a20 - 20 ([`crate::standard::SourceId::AdiabaticBalance`]); standard form
/// I2t = k2 S2 ([`crate::standard::SourceId::Iec60364ShortCircuit`]). Inputs:
/// section, mm2; R20, ohm/m; start and final temperature. Result: A2s.
///
/// Validity: up to 5 s; no heat leaves, which is on the safe side. The standard
/// form takes the resistance as rho/S; the maximum resistance of a class 5
/// conductor is 10 to 13.5 % above it, so k2 S2 promises that much more than the
/// cable holds. Verdicts use the first.
///
/// # Errors
/// [`Inconsistency::LimitBelowStart`] unless the final temperature is the higher.
pub fn adiabatic_withstand(
    metal: Metal,
    section: ConductorArea,
    resistance_20: LinearResistance,
    start: Temperature,
    end: Temperature,
) -> Result<Withstand, Error> {
    let (ti, tf) = (start.as_degc(), end.as_degc());
    if tf <= ti {
        return Err(Error::Inconsistent(Inconsistency::LimitBelowStart));
    }
    let alpha = metal.temperature_coefficient_20().as_per_kelvin();
    let beta = 1.0 / alpha - 20.0;
    let capacity = section.as_m2() * metal.heat_capacity().as_j_per_m3_k();
    let warming = libm::logf((tf + beta) / (ti + beta));
    let own = capacity / (resistance_20.as_ohm_per_m() * alpha) * warming;
    let k = k_factor(heated(metal).constants(), start, end)?;
    let ks = k * section.as_mm2();
    Ok(Withstand {
        own_resistance: CurrentSquaredTime::from_a2s(own)?,
        standard_form: CurrentSquaredTime::from_a2s(ks * ks)?,
        k,
    })
}

/// The line of the short-circuit table for a conductor metal; tin changes nothing.
const fn heated(metal: Metal) -> HeatedMetal {
    match metal {
        Metal::Copper | Metal::TinnedCopper => HeatedMetal::Copper,
        Metal::Aluminium => HeatedMetal::Aluminium,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn withstand(mm2: f32, ohm_per_km: f32, start: f32, end: f32) -> Result<Withstand, Error> {
        adiabatic_withstand(
            Metal::Copper,
            ConductorArea::from_mm2(mm2).unwrap(),
            LinearResistance::from_ohm_per_km(ohm_per_km).unwrap(),
            Temperature::from_degc(start).unwrap(),
            Temperature::from_degc(end).unwrap(),
        )
    }

    #[test]
    fn with_the_resistance_of_rho_over_s_both_forms_agree() {
        // 0.3 %: beta 234.5 K in the standard against 1/0.00393 - 20 = 234.45 K.
        let both = withstand(70.0, 17.241 / 70.0, 90.0, 250.0).unwrap();
        let ratio = both.own_resistance.as_a2s() / both.standard_form.as_a2s();
        assert!((ratio - 1.0).abs() < 0.003, "{ratio}");
    }

    #[test]
    fn the_resistance_a_class_5_conductor_may_have_costs_a_tenth_of_the_withstand() {
        // IEC 60228 Table 3 (seen): 70 mm2 0.272 ohm/km, 10.4 % above rho/S.
        let both = withstand(70.0, 0.272, 90.0, 250.0).unwrap();
        let ratio = both.standard_form.as_a2s() / both.own_resistance.as_a2s();
        assert!((ratio - 1.104).abs() < 0.004, "{ratio}");
    }

    #[test]
    fn a_limit_that_is_no_higher_than_the_start_is_refused() {
        for (start, end) in [(125.0, 125.0), (160.0, 125.0)] {
            assert_eq!(
                withstand(70.0, 0.272, start, end),
                Err(Error::Inconsistent(Inconsistency::LimitBelowStart))
            );
        }
    }

    proptest! {
        #[test]
        fn a_larger_or_cooler_conductor_never_stands_less(
            mm2 in 1.0_f32..500.0, start in -40.0_f32..150.0, rise in 10.0_f32..200.0,
        ) {
            let here = withstand(mm2, 19.3 / mm2, start, start + rise).unwrap();
            let larger = withstand(mm2 * 1.1, 19.3 / (mm2 * 1.1), start, start + rise).unwrap();
            let cooler = withstand(mm2, 19.3 / mm2, start - 5.0, start + rise).unwrap();
            prop_assert!(larger.own_resistance > here.own_resistance);
            prop_assert!(cooler.own_resistance > here.own_resistance);
            prop_assert!(larger.standard_form > here.standard_form);
        }
    }
}
