//! The quantity types and their units.

use crate::bounds::Bounded;
use crate::error::Error;

/// Declares a quantity: its row of bounds, the unit it is stored in, and further
/// units as `constructor / getter = how many stored units one of them is`.
macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident, $bound:ident, $from:ident / $get:ident
        $(, $from_other:ident / $get_other:ident = $factor:literal)*
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        #[cfg_attr(
            feature = "serde",
            derive(serde::Serialize, serde::Deserialize),
            serde(try_from = "f32", into = "f32")
        )]
        #[repr(transparent)]
        pub struct $name(f32);

        impl $name {
            /// The row of accepted values.
            pub const BOUND: Bounded = Bounded::$bound;

            /// A value in the unit it is stored in, the unit of [`Self::BOUND`].
            ///
            /// # Errors
            /// [`Error::OutOfRange`] outside [`Self::BOUND`] and for NaN.
            pub const fn $from(value: f32) -> Result<Self, Error> {
                match Self::BOUND.check(value) {
                    Ok(value) => Ok(Self(value)),
                    Err(error) => Err(error),
                }
            }

            /// The value in the unit it is stored in.
            #[must_use]
            pub const fn $get(self) -> f32 {
                self.0
            }

            $(
                /// A value in the unit that the name says.
                ///
                /// # Errors
                /// [`Error::OutOfRange`] outside [`Self::BOUND`] and for NaN; the
                /// value in the error is in the unit of the bound.
                pub const fn $from_other(value: f32) -> Result<Self, Error> {
                    Self::$from(value * $factor)
                }

                /// The value in the unit that the name says.
                #[must_use]
                pub const fn $get_other(self) -> f32 {
                    self.0 / $factor
                }
            )*
        }

        #[cfg(feature = "defmt")]
        impl defmt::Format for $name {
            fn format(&self, f: defmt::Formatter<'_>) {
                Self::BOUND.log(self.0, f);
            }
        }

        impl TryFrom<f32> for $name {
            type Error = Error;

            fn try_from(value: f32) -> Result<Self, Error> {
                Self::$from(value)
            }
        }

        impl From<$name> for f32 {
            fn from(value: $name) -> Self {
                value.0
            }
        }
    };
}

quantity!(
    /// A point on the temperature scale.
    ///
    /// Stored in degrees Celsius as it was given: in kelvin, `f32` would round a
    /// room temperature to 3e-5 K and each conversion would round again.
    Temperature, Temperature, from_degc / as_degc
);
quantity!(
    /// The distance between two temperatures.
    TemperatureDifference, TemperatureDifference, from_kelvin / as_kelvin
);
quantity!(
    /// Direct or r.m.s. current.
    Current, Current, from_amperes / as_amperes
);
quantity!(
    /// The square of a current, as Joule heating needs it.
    CurrentSquared, CurrentSquared, from_a2 / as_a2
);
quantity!(
    /// Joule integral I2t.
    CurrentSquaredTime, CurrentSquaredTime, from_a2s / as_a2s
);
quantity!(
    /// Direct or r.m.s. voltage.
    Voltage, Voltage, from_volts / as_volts
);
quantity!(
    /// Power.
    Power, Power, from_watts / as_watts
);
quantity!(
    /// Power per metre of length.
    LinearPower, LinearPower, from_watts_per_m / as_watts_per_m
);
quantity!(
    /// Energy.
    Energy, Energy, from_joules / as_joules
);
quantity!(
    /// Electric charge.
    Charge, Charge, from_coulombs / as_coulombs, from_ampere_hours / as_ampere_hours = 3600.0
);
quantity!(
    /// Resistance.
    Resistance, Resistance, from_ohms / as_ohms
);
quantity!(
    /// Resistance per metre of conductor.
    LinearResistance, LinearResistance, from_ohm_per_m / as_ohm_per_m,
    from_ohm_per_km / as_ohm_per_km = 1.0e-3
);
quantity!(
    /// Resistivity of a conductor material.
    Resistivity, Resistivity, from_ohm_m / as_ohm_m
);
quantity!(
    /// Temperature coefficient of resistance, referred to 20 degC.
    TemperatureCoefficient, TemperatureCoefficient, from_per_kelvin / as_per_kelvin
);
quantity!(
    /// Capacitance.
    Capacitance, Capacitance, from_farads / as_farads
);
quantity!(
    /// Inductance.
    Inductance, Inductance, from_henries / as_henries
);
quantity!(
    /// Frequency; zero is direct current.
    Frequency, Frequency, from_hertz / as_hertz
);
quantity!(
    /// Duration.
    Time, Time, from_seconds / as_seconds
);
quantity!(
    /// Length, diameter or wall thickness.
    Length, Length, from_metres / as_metres, from_mm / as_mm = 1.0e-3
);
quantity!(
    /// Any cross-sectional area, zero included.
    Area, Area, from_mm2 / as_mm2, from_m2 / as_m2 = 1.0e6
);
quantity!(
    /// Metal area of a conductor; never zero.
    ConductorArea, ConductorArea, from_mm2 / as_mm2, from_m2 / as_m2 = 1.0e6
);
quantity!(
    /// Mass.
    Mass, Mass, from_kg / as_kg
);
quantity!(
    /// Mass per metre.
    LinearMass, LinearMass, from_kg_per_m / as_kg_per_m
);
quantity!(
    /// Density.
    Density, Density, from_kg_per_m3 / as_kg_per_m3
);
quantity!(
    /// Pressure.
    Pressure, Pressure, from_pascals / as_pascals
);
quantity!(
    /// Height above sea level.
    Altitude, Altitude, from_metres / as_metres
);
quantity!(
    /// Thermal conductivity.
    ThermalConductivity, ThermalConductivity, from_w_per_m_k / as_w_per_m_k
);
quantity!(
    /// Thermal resistance of one metre of cable.
    ThermalResistance, ThermalResistance, from_k_m_per_w / as_k_m_per_w
);
quantity!(
    /// Heat flow per kelvin.
    ThermalConductance, ThermalConductance, from_w_per_k / as_w_per_k
);
quantity!(
    /// Heat capacity per volume.
    VolumetricHeatCapacity, VolumetricHeatCapacity, from_j_per_m3_k / as_j_per_m3_k
);
quantity!(
    /// Heat capacity of one metre of cable.
    LinearHeatCapacity, LinearHeatCapacity, from_j_per_m_k / as_j_per_m_k
);
quantity!(
    /// Part of a whole: 0.02 is 2 %.
    Share, Share, from_fraction / as_fraction, from_percent / as_percent = 0.01
);
quantity!(
    /// Emissivity of a surface; 0.9 for a polymer jacket, 0.1 for bright metal.
    Emissivity, Emissivity, from_fraction / as_fraction
);
quantity!(
    /// Factor on current that covers what the model cannot know about the place.
    CurrentMargin, CurrentMargin, from_fraction / as_fraction
);
quantity!(
    /// Heat of the shield as a multiple of the heat of the conductor.
    ShieldLossRatio, ShieldLossRatio, from_fraction / as_fraction
);
quantity!(
    /// Skin-effect constant; 1 unless the strands are known to be transposed.
    SkinConstant, SkinConstant, from_fraction / as_fraction
);
quantity!(
    /// Comparative tracking index of an insulating surface.
    ComparativeTrackingIndex, ComparativeTrackingIndex, from_index / as_index
);
quantity!(
    /// Tightening torque.
    Torque, Torque, from_newton_metres / as_newton_metres
);

impl From<ConductorArea> for Area {
    fn from(area: ConductorArea) -> Self {
        Self(area.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stored_unit_comes_back_as_given() {
        for mm2 in [1.5, 67.43, 70.0, 107.2193] {
            let area = ConductorArea::from_mm2(mm2).unwrap();
            assert_eq!(area.as_mm2().to_bits(), mm2.to_bits());
        }
    }

    #[test]
    fn constructors_work_in_constants() {
        const LIMIT: Result<Temperature, Error> = Temperature::from_degc(125.0);
        assert_eq!(LIMIT.unwrap().as_degc().to_bits(), 125.0_f32.to_bits());
    }

    #[test]
    fn a_quantity_costs_no_more_than_its_number() {
        assert_eq!(size_of::<Temperature>(), size_of::<f32>());
        assert_eq!(size_of::<Result<Current, Error>>(), size_of::<Error>());
    }

    #[test]
    fn below_absolute_zero_is_refused_with_the_row_that_refused_it() {
        let refused = Temperature::from_degc(-274.0);
        assert!(matches!(
            refused,
            Err(Error::OutOfRange { what: Bounded::Temperature, value }) if value < -273.5
        ));
    }
}
