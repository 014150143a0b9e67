//! Properties of air, as free convection needs them.

use crate::error::Error;
use crate::quantity::{Altitude, Pressure};

/// 0 degC in kelvin.
pub(crate) const ZERO_CELSIUS: f32 = 273.15;

/// Pressure at sea level in the standard atmosphere, Pa.
pub(crate) const SEA_LEVEL_PRESSURE: f32 = 101_325.0;

/// Computes: air pressure at a height above sea level.
///
/// Equation: p = 101325 Pa (1 - 2.25577e-5 z)^5.25588, the troposphere of the
/// standard atmosphere. Source: [`crate::standard::SourceId::Isa`], from memory.
/// Valid up to 11 km, the end of [`Altitude`].
pub fn pressure_at(altitude: Altitude) -> Result<Pressure, Error> {
    let base = 1.0 - 2.25577e-5 * altitude.as_metres();
    Pressure::from_pascals(SEA_LEVEL_PRESSURE * libm::powf(base, 5.25588))
}

/// Air at one film temperature and pressure, in SI units.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Air {
    /// Thermal conductivity, W/(m K).
    pub(crate) conductivity: f32,
    /// Kinematic viscosity, m2/s.
    pub(crate) viscosity: f32,
    /// Prandtl number.
    pub(crate) prandtl: f32,
}

impl Air {
    /// Viscosity and conductivity of the US Standard Atmosphere 1976, ideal gas.
    ///
    /// Single properties deviate by 1 to 2 % from a reference equation of state,
    /// but the errors cancel in the heat loss: the permissible current differs by
    /// less than 1e-4 (computed for 125 degC over 40 degC).
    pub(crate) fn at(film_kelvin: f32, pressure: f32) -> Self {
        const GAS_CONSTANT: f32 = 287.055;
        const HEAT_CAPACITY: f32 = 1007.0;
        const VISCOSITY: f32 = 1.458e-6;
        const CONDUCTIVITY: f32 = 2.64638e-3;
        let t = film_kelvin;
        let t_1_5 = t * libm::sqrtf(t);
        let viscous = t + 110.4;
        let conducting = t + 245.4 * libm::expf(-12.0 * core::f32::consts::LN_10 / t);
        let density = pressure / (GAS_CONSTANT * t);
        Self {
            conductivity: CONDUCTIVITY * t_1_5 / conducting,
            viscosity: VISCOSITY * t_1_5 / (viscous * density),
            // Dynamic viscosity times heat capacity over conductivity.
            prandtl: HEAT_CAPACITY * VISCOSITY / CONDUCTIVITY * (conducting / viscous),
        }
    }
}

/// Computes: heat transfer coefficient of free convection around a horizontal
/// cylinder in still air, W/(m2 K).
///
/// Equation: Nu = {0.60 + 0.387 Ra^(1/6) [1 + (0.559/Pr)^(9/16)]^(-8/27)}^2,
/// Ra = g dT D^3 Pr / (T nu^2), properties at the film temperature. Source:
/// [`crate::standard::SourceId::ChurchillChu`]. Valid for 1e-5 < Ra < 1e12, which
/// every cable and bar in a vehicle keeps; at dT = 0 it tends to pure conduction
/// (Nu = 0.36).
pub(crate) fn convection_coefficient(
    surface_kelvin: f32,
    air_kelvin: f32,
    diameter: f32,
    pressure: f32,
) -> f32 {
    let film = 0.5 * (surface_kelvin + air_kelvin);
    let air = Air::at(film, pressure);
    let difference = libm::fabsf(surface_kelvin - air_kelvin);
    let rayleigh = rayleigh(&air, film, difference, diameter);
    let sixth = libm::sqrtf(cube_root(rayleigh));
    let root = 0.60 + 0.387 * sixth * cylinder_share(air.prandtl);
    root * root * air.conductivity / diameter
}

/// [1 + (0.559/Pr)^(9/16)]^(-8/27) by a polynomial: with the roots it would take most of a
/// heat balance, and air hardly changes its Prandtl number. Valid for 0.6066 to 0.7418, that
/// of [`Air::at`] from -80 to 1000 degC: within 2e-8 there, and what `f32` rounds.
fn cylinder_share(prandtl: f32) -> f32 {
    // Interpolated at the Chebyshev points of that range, computed for this project; the
    // test holds it against the powers.
    const MIDDLE: f32 = 0.674_163_65;
    const EVEN: [f32; 3] = [0.826_812_2, -0.087_398_79, -0.106_208_43];
    const ODD: [f32; 2] = [0.096_821_86, 0.092_906_14];
    let x = prandtl - MIDDLE;
    let x2 = x * x;
    let ([a, c, e], [b, d]) = (EVEN, ODD);
    (a + b * x) + x2 * ((c + d * x) + x2 * e)
}

/// x^(9/16). A square root is one instruction on a controller with single precision.
pub(crate) fn nine_sixteenths(x: f32) -> f32 {
    let half = libm::sqrtf(x);
    half * libm::sqrtf(libm::sqrtf(libm::sqrtf(half)))
}

/// Ra^(1/6) / shape^(8/27) = (Ra shape^(2/9) / shape^2)^(1/6), by cube roots. Zero at Ra = 0.
pub(crate) fn sixth_root_over(rayleigh: f32, shape: f32) -> f32 {
    let ninth = cube_root(cube_root(shape));
    libm::sqrtf(cube_root(rayleigh * (ninth * ninth) / (shape * shape)))
}

/// x^(1/3) of what is not negative, to a few roundings of f32; zero below 1e-30. In single
/// precision: `libm::cbrtf` takes double, which many a controller has to imitate at ten times
/// the cost.
pub(crate) fn cube_root(x: f32) -> f32 {
    const SMALLEST: f32 = 1.0e-30;
    // A third of the exponent, with what its bias leaves over, (127 - 127/3 - 0.033) 2^23:
    // within 4 %. As in the C libraries that descend from FreeBSD's, from memory.
    const BIAS: u32 = 709_958_130;
    if x < SMALLEST {
        return 0.0;
    }
    let mut root = f32::from_bits(x.to_bits() / 3 + BIAS);
    // Halley's method takes the error to its cube each time: 2e-5, then rounding.
    for _ in 0..2 {
        let cube = root * root * root;
        root *= (x + x + cube) / (x + cube + cube);
    }
    root
}

/// Rayleigh number for a length `size` in m.
pub(crate) fn rayleigh(air: &Air, film_kelvin: f32, difference: f32, size: f32) -> f32 {
    const GRAVITY: f32 = 9.80665;
    GRAVITY / film_kelvin * difference * size * size * size * air.prandtl
        / (air.viscosity * air.viscosity)
}

/// Stefan-Boltzmann constant, W/(m2 K4). Source: CODATA 2018, from memory.
const STEFAN_BOLTZMANN: f32 = 5.670_374_4e-8;

/// How much more a grey surface radiates for each kelvin, W/(m2 K).
pub(crate) fn radiant_slope(emissivity: f32, surface_kelvin: f32) -> f32 {
    4.0 * emissivity * STEFAN_BOLTZMANN * surface_kelvin * surface_kelvin * surface_kelvin
}

/// Computes: net radiant heat flux of a grey surface facing large surroundings, W/m2.
///
/// Equation: eps sigma (Ts^4 - Tr^4), factorised so that `f32` keeps its digits at
/// a small rise.
pub(crate) fn radiant_flux(emissivity: f32, surface_kelvin: f32, radiant_kelvin: f32) -> f32 {
    let (s, r) = (surface_kelvin, radiant_kelvin);
    emissivity * STEFAN_BOLTZMANN * (s - r) * (s + r) * (s * s + r * r)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_standard_atmosphere_at_round_heights() {
        // ISO 2533 (from memory): 1000 m 89 875 Pa, 3000 m 70 109 Pa, 5000 m 54 020 Pa.
        // Tolerance 0.02 %: the two-constant formula against the printed table.
        for (metres, pascals) in [
            (0.0, 101_325.0),
            (1000.0, 89_875.0),
            (3000.0, 70_109.0),
            (5000.0, 54_020.0),
        ] {
            let p = pressure_at(Altitude::from_metres(metres).unwrap())
                .unwrap()
                .as_pascals();
            assert!((p / pascals - 1.0).abs() < 2e-4, "{metres} m: {p} Pa");
        }
    }

    #[test]
    fn air_at_300_kelvin() {
        // Incropera, Fundamentals of Heat and Mass Transfer, table A.4 (from memory):
        // k 0.0263 W/mK, nu 15.89e-6 m2/s, Pr 0.707. Tolerance 1.5 %: the simple laws.
        let air = Air::at(300.0, SEA_LEVEL_PRESSURE);
        assert!((air.conductivity / 0.0263 - 1.0).abs() < 0.015, "{air:?}");
        assert!((air.viscosity / 15.89e-6 - 1.0).abs() < 0.015, "{air:?}");
        assert!((air.prandtl / 0.707 - 1.0).abs() < 0.015, "{air:?}");
    }

    #[test]
    fn the_roots_are_the_powers_they_replace() {
        // 4e-6: half a dozen roundings of f32.
        for x in [0.5_f32, 0.77, 0.8, 1.0, 1.9, 3.0] {
            let power = libm::powf(x, 9.0 / 16.0);
            assert!((nine_sixteenths(x) / power - 1.0).abs() < 4e-6, "{x}");
            assert_eq!(sixth_root_over(0.0, x).to_bits(), 0.0_f32.to_bits());
            for rayleigh in [1.0e-2_f32, 10.0, 1.0e4, 1.0e9] {
                let power = libm::powf(rayleigh, 1.0 / 6.0) * libm::powf(x, -8.0 / 27.0);
                let root = sixth_root_over(rayleigh, x);
                assert!((root / power - 1.0).abs() < 4e-6, "{rayleigh} {x}");
            }
        }
    }

    #[test]
    fn the_polynomial_of_a_cylinder_is_the_power_it_replaces() {
        // 3e-7: two or three roundings of f32 and 2e-8 of the polynomial.
        for kelvin in 193..=1273_u16 {
            let prandtl = f64::from(Air::at(f32::from(kelvin), SEA_LEVEL_PRESSURE).prandtl);
            let power = libm::pow(1.0 + libm::pow(0.559 / prandtl, 9.0 / 16.0), -8.0 / 27.0);
            #[allow(clippy::cast_possible_truncation)] // back to what it was
            let share = f64::from(cylinder_share(prandtl as f32));
            assert!(
                (share / power - 1.0).abs() < 3e-7,
                "{kelvin} K: {share} {power}"
            );
        }
    }

    #[test]
    fn the_cube_root_is_that_of_the_library() {
        // 3e-7: two or three roundings of f32. The library takes double inside.
        for step in -280..=300_i16 {
            let x = libm::powf(10.0, 0.1 * f32::from(step));
            let root = cube_root(x);
            assert!((root / libm::cbrtf(x) - 1.0).abs() < 3e-7, "{x} {root}");
        }
        for none in [0.0, 1.0e-40] {
            assert_eq!(cube_root(none).to_bits(), 0.0_f32.to_bits());
        }
        assert!(cube_root(f32::NAN).is_nan());
        assert!(cube_root(f32::INFINITY).is_nan());
    }

    #[test]
    fn without_a_difference_only_conduction_is_left() {
        let diameter = 0.02;
        let h = convection_coefficient(313.15, 313.15, diameter, SEA_LEVEL_PRESSURE);
        let air = Air::at(313.15, SEA_LEVEL_PRESSURE);
        assert!((h * diameter / air.conductivity - 0.36).abs() < 1e-6);
    }
}
