//! The products and quotients that have a meaning here.
//!
//! This list is the dimension check: what is not in it does not compile. Each is
//! cross-checked against an independent units library in the `tests` crate.

use core::ops::{Add, Div, Mul, Sub};

use super::kinds::{
    Area, Capacitance, Charge, ConductorArea, Current, CurrentSquared, CurrentSquaredTime, Density,
    Energy, Inductance, Length, LinearHeatCapacity, LinearMass, LinearPower, LinearResistance,
    Mass, Power, Resistance, Resistivity, Share, Temperature, TemperatureDifference,
    ThermalConductance, ThermalResistance, Time, Voltage, VolumetricHeatCapacity,
};
use crate::error::{Error, Inconsistency};

/// `a * b = c * scale` in stored units, both ways round, and both quotients.
macro_rules! product {
    ($a:ident * $b:ident = $c:ident, $scale:literal) => {
        product!(@one_way $a * $b = $c, $scale);
        product!(@one_way $b * $a = $c, $scale);
        product!(@quotient $c / $a = $b, $scale);
        product!(@quotient $c / $b = $a, $scale);
    };
    ($a:ident squared = $c:ident, $scale:literal) => {
        product!(@one_way $a * $a = $c, $scale);
        product!(@quotient $c / $a = $a, $scale);
    };
    (@one_way $a:ident * $b:ident = $c:ident, $scale:literal) => {
        impl Mul<$b> for $a {
            type Output = Result<$c, Error>;

            fn mul(self, other: $b) -> Self::Output {
                $c::try_from(f32::from(self) * f32::from(other) * $scale)
            }
        }
    };
    (@quotient $c:ident / $a:ident = $b:ident, $scale:literal) => {
        impl Div<$a> for $c {
            type Output = Result<$b, Error>;

            fn div(self, other: $a) -> Self::Output {
                let divisor = f32::from(other) * $scale;
                if divisor == 0.0 {
                    return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
                }
                $b::try_from(f32::from(self) / divisor)
            }
        }
    };
}

product!(Current * Resistance = Voltage, 1.0);
product!(Current * Voltage = Power, 1.0);
product!(Current squared = CurrentSquared, 1.0);
product!(CurrentSquared * Resistance = Power, 1.0);
product!(CurrentSquared * LinearResistance = LinearPower, 1.0);
product!(CurrentSquared * Time = CurrentSquaredTime, 1.0);
product!(Current * Time = Charge, 1.0);
product!(Capacitance * Voltage = Charge, 1.0);
product!(Charge * Voltage = Energy, 1.0);
product!(Power * Time = Energy, 1.0);
product!(LinearPower * Length = Power, 1.0);
product!(LinearResistance * Length = Resistance, 1.0);
product!(Resistance * Capacitance = Time, 1.0);
product!(Resistance * Time = Inductance, 1.0);
product!(Length squared = Area, 1.0e6);
product!(LinearMass * Length = Mass, 1.0);
product!(Density * Area = LinearMass, 1.0e-6);
product!(VolumetricHeatCapacity * Area = LinearHeatCapacity, 1.0e-6);
product!(LinearPower * ThermalResistance = TemperatureDifference, 1.0);
product!(ThermalConductance * TemperatureDifference = Power, 1.0);
product!(LinearResistance * ConductorArea = Resistivity, 1.0e-6);

impl Sub for Temperature {
    type Output = Result<TemperatureDifference, Error>;

    fn sub(self, other: Self) -> Self::Output {
        TemperatureDifference::from_kelvin(self.as_degc() - other.as_degc())
    }
}

impl Add<TemperatureDifference> for Temperature {
    type Output = Result<Self, Error>;

    fn add(self, rise: TemperatureDifference) -> Self::Output {
        Self::from_degc(self.as_degc() + rise.as_kelvin())
    }
}

impl Sub<TemperatureDifference> for Temperature {
    type Output = Result<Self, Error>;

    fn sub(self, fall: TemperatureDifference) -> Self::Output {
        Self::from_degc(self.as_degc() - fall.as_kelvin())
    }
}

/// A share of something is the same kind of thing, and never more of it.
macro_rules! shares_of {
    ($($name:ident)*) => {
        $(
            impl Mul<Share> for $name {
                type Output = Result<Self, Error>;

                fn mul(self, share: Share) -> Self::Output {
                    Self::try_from(f32::from(self) * share.as_fraction())
                }
            }
        )*
    };
}

shares_of!(Voltage Current Power Energy Charge Length);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_section_times_a_length_keeps_the_unit_of_the_name() {
        let side = Length::from_mm(10.0).unwrap();
        let area = (side * side).unwrap();
        assert!((area.as_mm2() - 100.0).abs() < 1e-4);
        assert!(((area / side).unwrap().as_mm() - 10.0).abs() < 1e-5);
    }

    #[test]
    fn dividing_by_zero_is_an_error_and_not_an_infinity() {
        let drop = Voltage::from_volts(1.0).unwrap();
        let none = Resistance::from_ohms(0.0).unwrap();
        assert_eq!(
            drop / none,
            Err(Error::Inconsistent(Inconsistency::DivisionByZero))
        );
    }

    #[test]
    fn a_product_beyond_its_bound_is_refused() {
        let current = Current::from_amperes(1.0e6).unwrap();
        let resistance = Resistance::from_ohms(1.0e6).unwrap();
        assert!(matches!(
            current * resistance,
            Err(Error::OutOfRange { .. })
        ));
    }
}
