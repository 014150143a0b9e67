//! Short circuit: what the conductor stands before its insulation is spoilt.

use super::cable::Wall;
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, CurrentSquaredTime, LinearResistance, Temperature, Time};
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
/// [`Inconsistency::LimitBelowStart`] unless the final temperature is the higher;
/// [`Error::OutOfRange`] for a start outside -80 to 1000 degC.
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
    Bounded::Surroundings.check(ti)?;
    let k = k_factor(heated(metal).constants(), start, end)?;
    let alpha = metal.temperature_coefficient_20().as_per_kelvin();
    let beta = 1.0 / alpha - 20.0;
    let capacity = section.as_m2() * metal.heat_capacity().as_j_per_m3_k();
    let warming = libm::log1pf((tf - ti) / (ti + beta));
    let own = capacity / (resistance_20.as_ohm_per_m() * alpha) * warming;
    let ks = k * section.as_mm2();
    Ok(Withstand {
        own_resistance: CurrentSquaredTime::from_a2s(own)?,
        standard_form: CurrentSquaredTime::from_a2s(ks * ks)?,
        k,
    })
}

/// Computes: by how much more current the conductor stands than the adiabatic limit,
/// because the insulation around it takes heat up.
///
/// Equation: eps = sqrt(1 + F A sqrt(t/S) + F2 B t/S), A = 2464/Cv sqrt(Ci/ri),
/// B = 1.22 Ci/(ri Cv), F = 0.7 (imperfect contact between metal and insulation).
/// Inputs: metal (Cv); section S, mm2; insulation (Ci and ri, the reciprocal of its
/// conductivity); time t, 0 to 60 s. Result: factor on the current, at least 1.
/// Source: [`crate::standard::SourceId::Iec60949`].
///
/// Validity: up to 60 s, since the equation knows no outside surface: at 600 s it
/// promises 8 to 24 % too much current against the radial chain. Multiply it with the
/// limit from the cable's own resistance, never with k S: that product is up to 5 %
/// too high at 1 s for a class 5 conductor.
///
/// # Errors
/// [`Error::OutOfRange`] for a time outside its row.
pub fn non_adiabatic_factor(
    metal: Metal,
    section: ConductorArea,
    insulation: &Wall,
    time: Time,
) -> Result<f32, Error> {
    const CONTACT: f32 = 0.7;
    let time = Bounded::NonAdiabaticTime.check(time.as_seconds())?;
    let conductor = metal.heat_capacity().as_j_per_m3_k();
    let insulation =
        insulation.heat_capacity.as_j_per_m3_k() * insulation.conductivity.as_w_per_m_k();
    let a = 2464.0 / conductor * libm::sqrtf(insulation);
    let b = 1.22 * insulation / conductor;
    let ratio = time / section.as_mm2();
    let square = 1.0 + CONTACT * a * libm::sqrtf(ratio) + CONTACT * CONTACT * b * ratio;
    Ok(libm::sqrtf(square))
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
    use crate::quantity::Length;
    use crate::standard::insulation::Compound;
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
        // 0.4 %: K printed as 226 for 225.7, and beta 234.5 K for 1/0.00393 - 20 = 234.45 K.
        let both = withstand(70.0, 17.241 / 70.0, 90.0, 250.0).unwrap();
        let ratio = both.own_resistance.as_a2s() / both.standard_form.as_a2s();
        assert!((ratio - 1.0).abs() < 0.004, "{ratio}");
    }

    #[test]
    fn the_resistance_a_class_5_conductor_may_have_costs_a_tenth_of_the_withstand() {
        // IEC 60228 Table 3 (seen): 70 mm2 0.272 ohm/km, 10.4 % above rho/S.
        let both = withstand(70.0, 0.272, 90.0, 250.0).unwrap();
        let ratio = both.standard_form.as_a2s() / both.own_resistance.as_a2s();
        assert!((ratio - 1.104).abs() < 0.005, "{ratio}");
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

    #[test]
    fn a_start_off_the_scale_is_refused() {
        // Below minus beta the resistance would be negative and the logarithm no number.
        assert!(matches!(
            withstand(50.0, 0.386, -250.0, 90.0),
            Err(Error::OutOfRange {
                what: Bounded::Surroundings,
                ..
            })
        ));
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

        #[test]
        fn the_insulation_only_ever_helps(
            mm2 in 0.5_f32..240.0, earlier in 0.0_f32..60.0, later in 0.0_f32..60.0,
        ) {
            let wall = Wall {
                thickness: Length::from_mm(1.3).unwrap(),
                conductivity: Compound::Xlpe.thermal_conductivity(),
                heat_capacity: Compound::Xlpe.heat_capacity(),
                density: Compound::Xlpe.density(),
            };
            let factor = |time: f32| {
                let section = ConductorArea::from_mm2(mm2).unwrap();
                let time = Time::from_seconds(time).unwrap();
                non_adiabatic_factor(Metal::Copper, section, &wall, time)
            };
            let (first, second) = (factor(earlier).unwrap(), factor(later).unwrap());
            prop_assert!(first >= 1.0 && second >= 1.0);
            prop_assert!((second - first) * (later - earlier) >= 0.0);
            prop_assert!(factor(60.5).is_err());
        }
    }
}
