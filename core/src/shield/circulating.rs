//! Current that a conductor drives in its own shield when that is bonded at both
//! ends.

use crate::error::{Error, Inconsistency};
use crate::quantity::{Current, Frequency, Length, LinearPower, LinearResistance};
use crate::standard::SourceId;

/// Two parallel shielded conductors, go and return, shields bonded at both ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct BondedShield {
    /// Alternating current in the conductor, r.m.s.: phase current or ripple.
    pub current: Current,
    /// Its frequency; zero is direct current and drives nothing.
    pub frequency: Frequency,
    /// Resistance of the shield per metre, at its temperature.
    pub resistance: LinearResistance,
    /// Mean diameter of the shield.
    pub diameter: Length,
    /// Distance of the axes of go and return.
    pub spacing: Length,
}

/// What flows in the shield.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ShieldCurrent {
    /// Current in the shield, r.m.s.
    pub current: Current,
    /// Heat in the shield per metre of cable; enters the cable's heat balance.
    pub loss: LinearPower,
    /// Above this frequency the shield carries more than 70 % of the current.
    pub corner: Frequency,
}

impl ShieldCurrent {
    /// Where the equations come from.
    pub const SOURCE: SourceId = SourceId::Iec60287ShieldLoss;
}

/// Current and heat in a shield bonded at both ends.
///
/// Equations: `X = 2 w 1e-7 ln(2 s / d)` per metre, `Is = I X / sqrt(R2 + X2)`,
/// `P = Is2 R`, corner `f = R / (4 pi 1e-7 ln(2 s / d))`. Long cable: the bonds at
/// the ends count nothing, which gives the largest current. For three phases with
/// one shield each, `s` is the distance of the phases. The largest loss is at
/// `X = R`, so a shield of less resistance is not always the cooler one.
///
/// # Errors
/// [`Error::Inconsistent`] where the cables would overlap (spacing below the
/// diameter); [`Error::OutOfRange`] for a zero diameter (through its ratio).
///
/// Source: IEC 60287-1-1, 2.3.1, from memory.
pub fn shield_current(input: &BondedShield) -> Result<ShieldCurrent, Error> {
    let (d, s) = (input.diameter.as_metres(), input.spacing.as_metres());
    if s < d || d <= 0.0 {
        return Err(Error::Inconsistent(Inconsistency::CablesOverlap));
    }
    // At least ln 2, so never zero.
    let henry_per_m = 2.0e-7 * libm::logf(2.0 * s / d);
    let omega = 2.0 * core::f32::consts::PI * input.frequency.as_hertz();
    let r = input.resistance.as_ohm_per_m();
    let x = omega * henry_per_m;
    let current = input.current.as_amperes().abs() * x / libm::sqrtf(r * r + x * x);
    Ok(ShieldCurrent {
        current: Current::from_amperes(current)?,
        loss: LinearPower::from_watts_per_m(current * current * r)?,
        corner: Frequency::from_hertz(r / (2.0 * core::f32::consts::PI * henry_per_m))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn input(hertz: f32) -> BondedShield {
        BondedShield {
            current: Current::from_amperes(200.0).unwrap(),
            frequency: Frequency::from_hertz(hertz).unwrap(),
            resistance: LinearResistance::from_ohm_per_m(3.0e-3).unwrap(),
            diameter: Length::from_mm(15.5).unwrap(),
            spacing: Length::from_mm(25.0).unwrap(),
        }
    }

    #[test]
    fn phases_200_a_at_800_hz() {
        // Computed independently in double precision; tolerance 1e-5 (f32, logarithm).
        let found = shield_current(&input(800.0)).unwrap();
        assert!((found.current.as_amperes() / 73.067_58 - 1.0).abs() < 1e-5);
        assert!((found.loss.as_watts_per_m() / 16.016_61 - 1.0).abs() < 1e-5);
        assert!((found.corner.as_hertz() / 2038.387 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn at_the_corner_70_percent_flow_and_direct_current_drives_nothing() {
        let corner = shield_current(&input(0.0)).unwrap().corner.as_hertz();
        let at = shield_current(&input(corner)).unwrap();
        assert!((at.current.as_amperes() - 200.0 * core::f32::consts::FRAC_1_SQRT_2).abs() < 1e-3);
        let direct = shield_current(&input(0.0)).unwrap();
        assert!(direct.current.as_amperes() <= 0.0 && direct.loss.as_watts_per_m() <= 0.0);
    }

    #[test]
    fn cables_do_not_overlap() {
        let close = BondedShield {
            spacing: Length::from_mm(15.0).unwrap(),
            ..input(800.0)
        };
        assert_eq!(
            shield_current(&close),
            Err(Error::Inconsistent(Inconsistency::CablesOverlap))
        );
    }
}
