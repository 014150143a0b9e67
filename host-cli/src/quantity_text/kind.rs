//! The kinds of quantity that text can name, one row each.

use super::units::{self, Unit};

macro_rules! kinds {
    ($( $(#[$doc:meta])* $name:ident: $noun:literal, $example:literal, $units:ident; )*) => {
        /// A kind of quantity: what a unit can be a unit of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[non_exhaustive]
        pub enum Kind {
            $( $(#[$doc])* $name, )*
        }

        impl Kind {
            /// Every kind, in the order of the table.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// The name with its article.
            pub const fn noun(self) -> &'static str {
                match self { $( Self::$name => $noun, )* }
            }

            /// How one is written.
            pub const fn example(self) -> &'static str {
                match self { $( Self::$name => $example, )* }
            }

            /// The units that are accepted for it.
            pub const fn units(self) -> &'static [Unit] {
                match self { $( Self::$name => units::$units, )* }
            }
        }
    };
}

kinds! {
    /// Length, diameter, wall thickness.
    Length: "a length", "13 ft 6 in", LENGTH;
    /// Height above sea level.
    Altitude: "an altitude", "1500 m", ALTITUDE;
    /// Conductor section; also AWG, which has no factor.
    Section: "a conductor section", "2/0 AWG", SECTION;
    /// Any cross-sectional area; also AWG.
    Area: "an area", "70 mm2", AREA;
    /// Point on the temperature scale.
    Temperature: "a temperature", "85 degC", TEMPERATURE;
    /// Distance between two temperatures.
    TemperatureDifference: "a temperature difference", "30 K", TEMPERATURE_DIFFERENCE;
    /// Current.
    Current: "a current", "450 A", CURRENT;
    /// Voltage.
    Voltage: "a voltage", "400 V", VOLTAGE;
    /// Joule integral I2t.
    CurrentSquaredTime: "a joule integral (I2t)", "2.0e5 A2s", CURRENT_SQUARED_TIME;
    /// Resistance.
    Resistance: "a resistance", "0.9 mohm", RESISTANCE;
    /// Resistance per length of conductor.
    LinearResistance: "a resistance per length", "0.272 ohm/km", LINEAR_RESISTANCE;
    /// Resistivity.
    Resistivity: "a resistivity", "1.724e-8 ohm m", RESISTIVITY;
    /// Temperature coefficient of resistance.
    TemperatureCoefficient: "a temperature coefficient", "0.00393 1/K", TEMPERATURE_COEFFICIENT;
    /// Capacitance.
    Capacitance: "a capacitance", "680 uF", CAPACITANCE;
    /// Inductance.
    Inductance: "an inductance", "14 uH", INDUCTANCE;
    /// Frequency.
    Frequency: "a frequency", "10 kHz", FREQUENCY;
    /// Duration.
    Time: "a duration", "30 s", TIME;
    /// Power.
    Power: "a power", "6.6 kW", POWER;
    /// Power per length.
    LinearPower: "a power per length", "25 W/m", LINEAR_POWER;
    /// Energy.
    Energy: "an energy", "42.6 kWh", ENERGY;
    /// Electric charge.
    Charge: "a charge", "60 Ah", CHARGE;
    /// Mass.
    Mass: "a mass", "12 kg", MASS;
    /// Mass per length.
    LinearMass: "a mass per length", "0.85 kg/m", LINEAR_MASS;
    /// Density.
    Density: "a density", "8890 kg/m3", DENSITY;
    /// Pressure.
    Pressure: "a pressure", "101.3 kPa", PRESSURE;
    /// Thermal conductivity.
    ThermalConductivity: "a thermal conductivity", "0.25 W/(m K)", THERMAL_CONDUCTIVITY;
    /// Thermal resistance of one metre.
    ThermalResistance: "a thermal resistance of one metre", "0.8 K m/W", THERMAL_RESISTANCE;
    /// Heat flow per kelvin.
    ThermalConductance: "a thermal conductance", "1.5 W/K", THERMAL_CONDUCTANCE;
    /// Heat capacity per volume.
    VolumetricHeatCapacity: "a heat capacity per volume", "3.45e6 J/(m3 K)", VOLUMETRIC_HEAT_CAPACITY;
    /// Heat capacity per length.
    LinearHeatCapacity: "a heat capacity per length", "240 J/(m K)", LINEAR_HEAT_CAPACITY;
    /// Tightening torque.
    Torque: "a torque", "9 N m", TORQUE;
    /// Part of a whole; the sign % is needed.
    Share: "a share", "2 %", SHARE;
    /// A number by nature without unit: emissivity, margin factor.
    PlainNumber: "a plain number", "0.9", PLAIN_NUMBER;
}

impl Kind {
    /// The accepted units and an example, as error messages and help print them.
    pub fn accepted(self) -> String {
        self.accepted_as(self.example())
    }

    /// The accepted units and another example.
    pub fn accepted_as(self, example: &str) -> String {
        let mut names: Vec<&str> = Vec::new();
        for unit in self.units() {
            names.push(if unit.symbol.is_empty() {
                "no unit"
            } else {
                unit.symbol
            });
        }
        if self.takes_gauges() {
            names.push("AWG");
        }
        format!("{} (as \"{example}\")", names.join(", "))
    }

    /// Whether American wire gauge is accepted besides the units.
    pub const fn takes_gauges(self) -> bool {
        matches!(self, Self::Section | Self::Area)
    }

    /// Whether several terms add up to one value, as in `13 ft 6 in`.
    pub const fn adds_up(self) -> bool {
        matches!(
            self,
            Self::Length | Self::Altitude | Self::Time | Self::Mass
        )
    }

    /// Whether another kind already names the same units to people.
    pub(crate) const fn is_special_case(self) -> bool {
        matches!(self, Self::Altitude | Self::Section | Self::PlainNumber)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_units_and_reads_well() {
        for &kind in Kind::ALL {
            assert!(!kind.units().is_empty(), "{kind:?}");
            assert!(
                kind.noun().starts_with("a ") || kind.noun().starts_with("an "),
                "{kind:?}"
            );
        }
    }
}
