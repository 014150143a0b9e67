//! Skin effect: the resistance of phase leads at the drive's frequency.

use core::f32::consts::PI;

use crate::quantity::{Frequency, LinearResistance, SkinConstant};

/// Computes: by which share alternating current raises the resistance.
///
/// Equation: x2 = 8 pi f 1e-7 ks / R'; y = x4/(192 + 0.8 x4) up to x = 2.8,
/// -0.136 - 0.0177 x + 0.0563 x2 up to 3.8, 0.354 x - 0.733 above. Inputs: R' the
/// direct-current resistance at the conductor's temperature, ohm/m; f, Hz; ks, 1
/// unless the strands are known to be transposed. Result: y, so that
/// R = R' (1 + y). Source: [`crate::standard::SourceId::Iec60287Skin`].
///
/// Validity: round conductors far from others (no proximity effect). Against the
/// Bessel solution R(1 + y) is off by at most +0.57 % (just above x = 3.8) and -0.29 %
/// (near x = 5), up to x = 10; at x = 2.8 and 3.8 it jumps by 0.08 % and 0.16 %.
pub fn skin_increase(resistance: LinearResistance, frequency: Frequency, ks: SkinConstant) -> f32 {
    let x2 =
        8.0 * PI * frequency.as_hertz() * 1.0e-7 * ks.as_fraction() / resistance.as_ohm_per_m();
    let x = libm::sqrtf(x2);
    if x <= 2.8 {
        let x4 = x2 * x2;
        x4 / (192.0 + 0.8 * x4)
    } else if x <= 3.8 {
        -0.136 - 0.0177 * x + 0.0563 * x2
    } else {
        0.354 * x - 0.733
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn increase(ohm_per_m: f32, hertz: f32) -> f32 {
        skin_increase(
            LinearResistance::from_ohm_per_m(ohm_per_m).unwrap(),
            Frequency::from_hertz(hertz).unwrap(),
            SkinConstant::from_fraction(1.0).unwrap(),
        )
    }

    #[test]
    fn direct_current_has_no_skin_effect() {
        assert!(increase(3.86e-4, 0.0).abs() < f32::EPSILON);
    }

    #[test]
    fn the_handbook_point_at_x_2_14() {
        // Neher & McGrath 1957, Table III as quoted in a public discussion (seen):
        // x = 2.14 gives 10.05 %. Tolerance: half of the last printed digit.
        let resistance = 8.0 * PI * 1000.0 * 1.0e-7 / (2.14 * 2.14);
        assert!((increase(resistance, 1000.0) - 0.1005).abs() < 5e-5);
    }

    proptest! {
        #[test]
        fn more_frequency_never_lowers_the_resistance(
            ohm in 1.0e-5_f32..1.0e-2,
            hertz in 0.0_f32..20_000.0,
        ) {
            // 0.16 % is the published jump between the branches, and it is upwards
            // or downwards by no more than that.
            let here = 1.0 + increase(ohm, hertz);
            let there = 1.0 + increase(ohm, hertz * 1.05 + 1.0);
            prop_assert!(there >= here * (1.0 - 0.0017), "{here} {there}");
            prop_assert!(here.is_finite() && here >= 1.0);
        }
    }
}
