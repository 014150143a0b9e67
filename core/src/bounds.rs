//! Every accepted range, once.
//!
//! One row feeds the check in each constructor, the message a person reads and
//! the generators of the property tests. A value outside its row is refused;
//! nothing is extrapolated.
//!
//! The ranges are deliberately wide: they separate what a vehicle between 60 V
//! and 1000 V can contain from slips of the pen (a length in millimetres typed
//! as metres, a section in circular mils typed as mm2). They are choices of this
//! project, not limits of a standard; where a model is valid in a narrower range
//! the model says so itself.

use crate::error::Error;

macro_rules! bounds {
    ($( $(#[$doc:meta])* $name:ident: $words:literal, $unit:literal, $min:literal, $max:literal; )*) => {
        /// Names a row of the table of accepted ranges.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[non_exhaustive]
        #[repr(u8)]
        pub enum Bounded {
            $( $(#[$doc])* $name, )*
        }

        impl Bounded {
            /// Every row, in the order of the table.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// Smallest accepted value, in the unit of the row.
            pub const fn min(self) -> f32 {
                match self { $( Self::$name => $min, )* }
            }

            /// Largest accepted value, in the unit of the row.
            pub const fn max(self) -> f32 {
                match self { $( Self::$name => $max, )* }
            }

            /// What the value is, in words that read well after "the".
            #[cfg(feature = "text")]
            pub const fn words(self) -> &'static str {
                match self { $( Self::$name => $words, )* }
            }

            /// Unit of [`Self::min`], [`Self::max`] and of the checked value;
            /// empty for a plain number.
            #[cfg(feature = "text")]
            pub const fn unit(self) -> &'static str {
                match self { $( Self::$name => $unit, )* }
            }

            /// Logs a value of the row with its unit.
            #[cfg(feature = "defmt")]
            pub(crate) fn log(self, value: f32, f: defmt::Formatter<'_>) {
                let (unit, none) = match self {
                    $( Self::$name => (defmt::intern!($unit), $unit.is_empty()), )*
                };
                if none {
                    defmt::write!(f, "{=f32}", value);
                } else {
                    defmt::write!(f, "{=f32} {=istr}", value, unit);
                }
            }
        }
    };
}

bounds! {
    /// Position on the temperature scale.
    Temperature: "temperature", "degC", -273.15, 3000.0;
    /// Distance between two temperatures.
    TemperatureDifference: "temperature difference", "K", -3300.0, 3300.0;
    /// Direct or r.m.s. current; negative flows the other way.
    Current: "current", "A", -1.0e6, 1.0e6;
    /// Square of a current.
    CurrentSquared: "square of a current", "A2", 0.0, 1.0e12;
    /// Joule integral.
    CurrentSquaredTime: "joule integral (I2t)", "A2s", 0.0, 1.0e15;
    /// Direct or r.m.s. voltage.
    Voltage: "voltage", "V", -1.0e5, 1.0e5;
    /// Voltage between the poles of a traction battery or of a low-voltage supply.
    SystemVoltage: "system voltage", "V", 1.0, 1500.0;
    /// Electric power.
    Power: "power", "W", -1.0e9, 1.0e9;
    /// Power per metre of length.
    LinearPower: "power per metre", "W/m", -1.0e7, 1.0e7;
    /// Energy.
    Energy: "energy", "J", -1.0e12, 1.0e12;
    /// Electric charge.
    Charge: "charge", "C", -1.0e10, 1.0e10;
    /// Electric resistance.
    Resistance: "resistance", "ohm", 0.0, 1.0e12;
    /// Resistance per metre of conductor.
    LinearResistance: "resistance per metre", "ohm/m", 1.0e-9, 1.0e3;
    /// Resistivity of a conductor material.
    Resistivity: "resistivity", "ohm m", 1.0e-9, 1.0e-3;
    /// Temperature coefficient of resistance at 20 degC.
    TemperatureCoefficient: "temperature coefficient of resistance", "1/K", 0.0, 0.02;
    /// Capacitance.
    Capacitance: "capacitance", "F", 0.0, 1.0e3;
    /// Inductance.
    Inductance: "inductance", "H", 0.0, 1.0e3;
    /// Frequency.
    Frequency: "frequency", "Hz", 0.0, 1.0e7;
    /// Duration.
    Time: "duration", "s", 0.0, 1.0e9;
    /// Length, diameter or wall thickness.
    Length: "length", "m", 0.0, 1.0e4;
    /// Cross-sectional area.
    Area: "cross-sectional area", "mm2", 0.0, 1.0e6;
    /// Metal area of a conductor.
    ConductorArea: "conductor section", "mm2", 0.05, 5000.0;
    /// Outer diameter of a cable or tube.
    OuterDiameter: "outer diameter", "mm", 0.2, 200.0;
    /// Wall of insulation or jacket.
    WallThickness: "thickness of the wall", "mm", 0.05, 50.0;
    /// Air and surfaces around a conductor.
    Surroundings: "temperature of the surroundings", "degC", -80.0, 1000.0;
    /// Temperature that a conductor must not exceed.
    ConductorLimit: "temperature limit of the conductor", "degC", 0.0, 1000.0;
    /// Mass.
    Mass: "mass", "kg", 0.0, 1.0e6;
    /// Mass per metre.
    LinearMass: "mass per metre", "kg/m", 0.0, 1.0e4;
    /// Density.
    Density: "density", "kg/m3", 0.0, 3.0e4;
    /// Pressure.
    Pressure: "pressure", "Pa", 0.0, 1.0e8;
    /// Height above sea level; the model of the atmosphere ends at 11 km.
    Altitude: "altitude", "m", -500.0, 11000.0;
    /// Thermal conductivity.
    ThermalConductivity: "thermal conductivity", "W/(m K)", 0.005, 500.0;
    /// Thermal resistance of one metre of cable.
    ThermalResistance: "thermal resistance of one metre", "K m/W", 0.0, 1.0e4;
    /// Heat flow per kelvin.
    ThermalConductance: "thermal conductance", "W/K", 0.0, 1.0e6;
    /// Heat capacity per volume.
    VolumetricHeatCapacity: "heat capacity per volume", "J/(m3 K)", 1.0e3, 1.0e8;
    /// Heat capacity per metre of length.
    LinearHeatCapacity: "heat capacity per metre", "J/(m K)", 0.0, 1.0e8;
    /// Part of a whole.
    Share: "share", "", 0.0, 1.0;
    /// Emissivity of a surface.
    Emissivity: "emissivity", "", 0.0, 1.0;
    /// Factor on current that covers what the model cannot know.
    CurrentMargin: "current margin factor", "", 0.3, 1.0;
    /// Heat of the shield as a multiple of the heat of the conductor.
    ShieldLossRatio: "shield loss ratio", "", 0.0, 10.0;
    /// Skin-effect constant of a stranded conductor.
    SkinConstant: "skin-effect constant", "", 0.0, 1.0;
    /// Loaded circuits in one bundle.
    GroupedCircuits: "number of loaded circuits", "", 1.0, 20.0;
    /// Outside diameter for which the surface coefficients of cables in air hold.
    CableInAirDiameter: "outside diameter of the cable in air", "m", 0.0005, 0.15;
    /// Bars side by side in one busbar.
    Bars: "number of bars", "", 1.0, 2.0;
    /// Direct or r.m.s. voltage across an insulation; the creepage table ends here.
    WorkingVoltage: "working voltage", "V", 1.0, 10000.0;
    /// Recurring or temporary peak voltage across a clearance.
    PeakVoltage: "peak voltage", "V", 1.0, 50000.0;
    /// Impulse voltage 1.2/50 across a clearance.
    ImpulseVoltage: "impulse voltage", "V", 1.0, 100000.0;
    /// Comparative tracking index; below 100 a material has no group.
    ComparativeTrackingIndex: "comparative tracking index (CTI)", "", 100.0, 1000.0;
    /// Coordinate of a point on a surface.
    Coordinate: "coordinate of a surface point", "m", -10.0, 10.0;
    /// Accuracy of a meter as a share of its reading.
    MeterAccuracy: "accuracy of the meter", "", 0.0, 0.1;
    /// Resistance put in between a pole and chassis for a measurement.
    InsertedResistance: "inserted resistor", "ohm", 100.0, 1.0e8;
    /// Diameter under a braid.
    BraidDiameter: "diameter under the braid", "m", 1.0e-3, 0.1;
    /// Strand of a braid.
    Strand: "strand diameter", "m", 2.0e-5, 1.0e-3;
    /// Lay of a braid.
    BraidLay: "lay of the braid", "m", 1.0e-3, 1.0;
    /// Carriers of a braid.
    Carriers: "number of carriers", "", 4.0, 96.0;
    /// Ends of a carrier.
    Ends: "number of ends per carrier", "", 1.0, 50.0;
    /// Input resistance of a voltmeter.
    MeterResistance: "input resistance of the meter", "ohm", 1.0e4, 1.0e12;
    /// Width or thickness of a busbar; the free convection of its faces holds there.
    BarSide: "width or thickness of the bar", "mm", 0.5, 500.0;
    /// Short circuit during which the insulation takes up heat but the outside none.
    NonAdiabaticTime: "duration of the short circuit", "s", 0.0, 60.0;
    /// Heat that reaches a cable from elsewhere: sun, losses induced in its shield. It
    /// never takes heat away.
    AddedHeat: "heat added per metre", "W/m", 0.0, 1.0e5;
    /// Tightening torque.
    Torque: "torque", "N m", 0.0, 1.0e3;
    /// Tolerance of a printed melting curve.
    CurveTolerance: "tolerance of the melting curve in current", "", 0.0, 0.5;
    /// Resistance that a link is charged or discharged through, or that loads it.
    LinkResistance: "resistance at the link", "ohm", 1.0e-6, 1.0e9;
    /// Capacitance between the poles of a link.
    LinkCapacitance: "capacitance of the link", "F", 1.0e-12, 100.0;
}

impl Bounded {
    /// The value itself if it is finite and within the row.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for NaN, an infinity or a value outside the row.
    pub const fn check(self, value: f32) -> Result<f32, Error> {
        // Written so that NaN fails: every comparison with it is false.
        if value >= self.min() && value <= self.max() {
            Ok(value)
        } else {
            Err(Error::OutOfRange { what: self, value })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_accepts_its_ends_and_refuses_the_next_value_beyond() {
        for &row in Bounded::ALL {
            assert!(row.min() < row.max(), "{row:?}");
            assert!(row.check(row.min()).is_ok(), "{row:?}");
            assert!(row.check(row.max()).is_ok(), "{row:?}");
            assert!(row.check(row.min().next_down()).is_err(), "{row:?}");
            assert!(row.check(row.max().next_up()).is_err(), "{row:?}");
        }
    }

    #[test]
    fn no_row_accepts_what_is_not_a_number() {
        for &row in Bounded::ALL {
            for value in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
                assert!(row.check(value).is_err(), "{row:?} {value}");
            }
        }
    }
}
