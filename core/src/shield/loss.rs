//! Heat that a circuit's alternating current makes in its shields, for the heat balance.

use super::circulating::{BondedShield, shield_current};
use crate::conductor::heat_balance::ShieldLoss;
use crate::error::{Error, Inconsistency};
use crate::quantity::{
    Current, Frequency, Length, LinearPower, LinearResistance, ShieldLossRatio, Temperature,
};
use crate::standard::SourceId;
use crate::standard::metal::Metal;

/// Which way the alternating current comes back.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // through the pair, or past it
pub enum AlternatingReturn {
    /// Through the other conductor: ripple. Frequency and distance of the axes; absent
    /// where one of them is not known.
    OtherConductor(Option<(Frequency, Length)>),
    /// Through the shields and chassis: common-mode current of an inverter or charger.
    Chassis,
}

/// A circuit whose conductors each have a shield that is bonded at both ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct RippleInShield {
    /// Alternating part of the current of one conductor, r.m.s.
    pub current: Current,
    /// Which way it comes back.
    pub returns: AlternatingReturn,
    /// Resistance of one shield at 20 degC, per metre.
    pub braid: LinearResistance,
    /// Mean diameter of the shield.
    pub diameter: Length,
    /// Hottest that the shield may be.
    pub hottest: Temperature,
}

impl RippleInShield {
    /// Where the equations come from.
    pub const SOURCE: SourceId = SourceId::Iec60287ShieldLoss;
}

/// Heat in one shield, as [`crate::conductor::heat_balance::HeatBalance`] takes it.
///
/// Equation: that of [`shield_current`], at the shield temperature between 20 degC and
/// `hottest` that makes the most heat: the loss `I2 X2 R / (R2 + X2)` is largest at
/// `R = X`. What is not known is taken at its worst: the whole current in the shield,
/// `I2 R` at `hottest`; so are common-mode currents, which below the corner frequency
/// partly go through chassis instead. A copper braid, bonded at both ends; long cable.
/// It does not depend on the direct current, so all of it is `fixed`. Strands are thin
/// enough to have no skin effect of their own to 100 kHz.
///
/// # Errors
/// [`Error::Inconsistent`] where the cables would overlap, or where `hottest` is below
/// 20 degC; [`Error::OutOfRange`] for a loss beyond the bounds of a heat per metre.
///
/// Source: IEC 60287-1-1, 2.3.1, from memory.
pub fn shield_loss(circuit: &RippleInShield) -> Result<ShieldLoss, Error> {
    let rise = circuit.hottest.as_degc() - 20.0;
    if rise < 0.0 {
        return Err(Error::Inconsistent(Inconsistency::LimitBelowStart));
    }
    let alpha = Metal::Copper.temperature_coefficient_20().as_per_kelvin();
    let cold = circuit.braid.as_ohm_per_m();
    let hot = cold * (1.0 + alpha * rise);
    let amperes = circuit.current.as_amperes();
    let whole = LinearPower::from_watts_per_m(amperes * amperes * hot)?;
    let fixed = match circuit.returns {
        AlternatingReturn::Chassis | AlternatingReturn::OtherConductor(None) => whole,
        AlternatingReturn::OtherConductor(Some((frequency, spacing))) => {
            let bonded = |ohm_per_m| {
                shield_current(&BondedShield {
                    current: circuit.current,
                    frequency,
                    resistance: LinearResistance::from_ohm_per_m(ohm_per_m)?,
                    diameter: circuit.diameter,
                    spacing,
                })
            };
            // The corner frequency is where X = R; X is proportional to the frequency.
            let corner = bonded(cold)?.corner.as_hertz();
            let reactance = cold * frequency.as_hertz() / corner;
            bonded(libm::fminf(libm::fmaxf(reactance, cold), hot))?.loss
        }
    };
    Ok(ShieldLoss {
        fixed,
        ratio: ShieldLossRatio::from_fraction(0.0)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::heat_balance::tests::{cable, surroundings};
    use crate::conductor::heat_balance::{HeatBalance, Steady};
    use proptest::prelude::*;

    fn circuit(amperes: f32, returns: AlternatingReturn) -> RippleInShield {
        RippleInShield {
            current: Current::from_amperes(amperes).unwrap(),
            returns,
            braid: LinearResistance::from_ohm_per_m(6.2e-3).unwrap(),
            diameter: Length::from_mm(12.8).unwrap(),
            hottest: Temperature::from_degc(120.0).unwrap(),
        }
    }

    fn pair(hertz: f32, mm: f32) -> AlternatingReturn {
        AlternatingReturn::OtherConductor(Some((
            Frequency::from_hertz(hertz).unwrap(),
            Length::from_mm(mm).unwrap(),
        )))
    }

    fn watts(circuit: &RippleInShield) -> f32 {
        shield_loss(circuit).unwrap().fixed.as_watts_per_m()
    }

    // 10 A at 10 kHz, 25 mm apart: X = 2 w 1e-7 ln(50 / 12.8) = 17.12 mohm/m, above the
    // resistance of 6.2 x 1.393 = 8.637 mohm/m at 120 degC:
    // 100 x 17.12^2 x 8.637 / (8.637^2 + 17.12^2) mW = 0.6885 W/m.
    #[test]
    fn ripple_well_above_the_corner_heats_like_the_whole_current_in_a_hot_shield() {
        assert!((watts(&circuit(10.0, pair(1.0e4, 25.0))) / 0.6885 - 1.0).abs() < 1e-3);
        let whole = watts(&circuit(10.0, AlternatingReturn::Chassis));
        assert!((whole / 0.8637 - 1.0).abs() < 1e-3);
        let unknown = watts(&circuit(10.0, AlternatingReturn::OtherConductor(None)));
        assert!((unknown - whole).abs() < 1e-9);
        assert!(watts(&circuit(10.0, pair(0.0, 25.0))) <= 0.0);
    }

    // What the shield turns into heat is what the conductor loses to it: the reflected
    // resistance X2 R / (R2 + X2) of a coupled circuit, times I2. And what the balance
    // gives off is what conductor and shield make.
    #[test]
    fn the_energy_adds_up() {
        let ripple = circuit(40.0, pair(2.0e3, 25.0));
        let loss = shield_loss(&ripple).unwrap();
        let x = 2.0 * core::f64::consts::TAU * 2.0e3 * 1.0e-7 * (50.0_f64 / 12.8).ln();
        // X lies below the cold resistance, so the cold shield is the worst.
        let r = 6.2e-3_f64;
        assert!(x < r);
        let reflected = x * x * r / (r * r + x * x);
        let taken = 40.0 * 40.0 * reflected;
        assert!((f64::from(loss.fixed.as_watts_per_m()) / taken - 1.0).abs() < 1e-5);

        let cable = cable(70.0, 0.272);
        let free = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        let heated = free.with_shield_loss(loss).unwrap();
        let amperes = Current::from_amperes(200.0).unwrap();
        let Steady::Settles(state) = heated.temperature_at(amperes).unwrap() else {
            panic!("it settles")
        };
        let given_off = heated.outside_heat(state.surface).unwrap().given_off;
        let made = state.conductor_loss.as_watts_per_m() + loss.fixed.as_watts_per_m();
        // Bracketing of the surface temperature in f32: 1e-4 K of some 50 K.
        assert!((given_off.as_watts_per_m() / made - 1.0).abs() < 1e-4);
        let without = free.temperature_at(amperes).unwrap().conductor().unwrap();
        assert!(state.conductor > without);
    }

    #[test]
    fn a_shield_below_20_degrees_and_cables_in_each_other_are_refused() {
        let cold = RippleInShield {
            hottest: Temperature::from_degc(19.0).unwrap(),
            ..circuit(10.0, AlternatingReturn::Chassis)
        };
        assert!(shield_loss(&cold).is_err());
        assert!(shield_loss(&circuit(10.0, pair(1.0e3, 12.0))).is_err());
        // A shield of no resistance, which has no corner, is refused by its own type.
        assert!(LinearResistance::from_ohm_per_m(0.0).is_err());
    }

    proptest! {
        #[test]
        fn no_shield_temperature_makes_more_heat_and_the_whole_current_bounds_it(
            amperes in 0.1..200.0_f32, hertz in 1.0..5.0e4_f32, mm in 13.0..200.0_f32, share in 0.0..1.0_f32,
        ) {
            let asked = circuit(amperes, pair(hertz, mm));
            let most = watts(&asked);
            let whole = watts(&circuit(amperes, AlternatingReturn::Chassis));
            prop_assert!(most <= whole * (1.0 + 1e-6));
            let alpha = Metal::Copper.temperature_coefficient_20().as_per_kelvin();
            let ohms = 6.2e-3 * (1.0 + alpha * 100.0 * share);
            let at = shield_current(&BondedShield {
                current: asked.current,
                frequency: Frequency::from_hertz(hertz).unwrap(),
                resistance: LinearResistance::from_ohm_per_m(ohms).unwrap(),
                diameter: asked.diameter,
                spacing: Length::from_mm(mm).unwrap(),
            }).unwrap();
            prop_assert!(at.loss.as_watts_per_m() <= most * (1.0 + 1e-5));
        }
    }
}
