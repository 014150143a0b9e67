//! Short circuit: what the conductor stands before its insulation is spoilt.

use super::cable::Wall;
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, CurrentSquaredTime, LinearResistance, Temperature, Time};
use crate::standard::metal::Metal;

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
    let k = k_factor(metal, start, end)?;
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

/// Computes: the constant k of the standard's form, A s^0.5 / mm2.
///
/// Equation: k = K sqrt(ln[(b + Tf)/(b + Ti)]). Sources:
/// [`crate::standard::SourceId::Iec60949`] for K and b,
/// [`crate::standard::SourceId::Iec60364ShortCircuit`] for the form. K is the printed
/// constant, not sqrt(Cv (b + 20)/rho20): with 225.7 instead of 226 and 148.1 instead
/// of 148 three of the printed k (86 for copper, 94 and 91 for aluminium) would round
/// to another number.
fn k_factor(metal: Metal, start: Temperature, end: Temperature) -> Result<f32, Error> {
    let start = Bounded::Surroundings.check(start.as_degc())?;
    // ln(1 + x) keeps its digits where the two temperatures are close.
    let growth = libm::log1pf((end.as_degc() - start) / (metal.beta().as_kelvin() + start));
    Ok(printed_constant(metal) * libm::sqrtf(growth))
}

/// The constant K that IEC 60949 prints (from memory; aluminium seen), A s^0.5 / mm2.
const fn printed_constant(metal: Metal) -> f32 {
    match metal {
        Metal::Copper | Metal::TinnedCopper => 226.0,
        Metal::Aluminium => 148.0,
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;
    use crate::standard::insulation::Compound;
    use proptest::prelude::*;

    fn degc(value: f32) -> Temperature {
        Temperature::from_degc(value).unwrap()
    }

    #[test]
    fn k_is_the_printed_one() {
        // IEC 60364-5-54:2011, Tables A.54.2 to A.54.6 (seen, but 86 from memory).
        // Tolerance: half of the printed digit.
        for (metal, start, end, printed) in [
            (Metal::Copper, 70.0, 160.0, 115.0),
            (Metal::Copper, 90.0, 250.0, 143.0),
            (Metal::Copper, 90.0, 140.0, 86.0),
            (Metal::TinnedCopper, 30.0, 200.0, 159.0),
            (Metal::Aluminium, 90.0, 250.0, 94.0),
            (Metal::Aluminium, 30.0, 150.0, 91.0),
        ] {
            let k = k_factor(metal, degc(start), degc(end)).unwrap();
            assert!((k - printed).abs() <= 0.5, "{metal:?} {start} {end}: {k}");
        }
    }
    #[test]
    fn an_end_below_the_start_and_a_start_off_the_scale_are_refused() {
        let section = ConductorArea::from_mm2(50.0).unwrap();
        let resistance = LinearResistance::from_ohm_per_km(0.386).unwrap();
        let withstand =
            |start, end| adiabatic_withstand(Metal::Copper, section, resistance, start, end);
        for (start, end) in [(90.0, 90.0), (90.0, 40.0)] {
            assert_eq!(
                withstand(degc(start), degc(end)),
                Err(Error::Inconsistent(Inconsistency::LimitBelowStart))
            );
        }
        // Below minus beta the resistance would be negative and the logarithm no number.
        assert!(matches!(
            withstand(degc(-250.0), degc(90.0)),
            Err(Error::OutOfRange {
                what: Bounded::Surroundings,
                ..
            })
        ));
    }

    #[test]
    fn the_cables_own_resistance_promises_less_than_the_nominal_section() {
        // IEC 60228 class 5 (seen): 0.386 ohm/km at 50 mm2, 11.9 % above rho/S.
        let withstand = adiabatic_withstand(
            Metal::Copper,
            ConductorArea::from_mm2(50.0).unwrap(),
            LinearResistance::from_ohm_per_km(0.386).unwrap(),
            degc(90.0),
            degc(250.0),
        )
        .unwrap();
        let share = withstand.own_resistance.as_a2s() / withstand.standard_form.as_a2s();
        // rho/(S R20) = 0.893; 0.3 % for the rounded K and b.
        assert!((share - 0.893).abs() < 0.004, "{share}");
    }

    proptest! {
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
