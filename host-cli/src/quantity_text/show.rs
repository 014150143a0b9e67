//! Quantities for people, metric or US, with sensible digits.
//!
//! Four significant digits and the prefix that keeps the number short. What is
//! written to be read back goes through [`Unit::write`](super::Unit::write)
//! instead, which loses nothing. Output is ASCII: terminals in workshops are old.

use orangeloom_core::quantity::{
    Altitude, Area, Capacitance, Charge, ConductorArea, Current, CurrentMargin, CurrentSquaredTime,
    Density, Emissivity, Energy, Frequency, Inductance, Length, LinearHeatCapacity, LinearMass,
    LinearPower, LinearResistance, Mass, Power, Pressure, Resistance, Resistivity, Share,
    ShieldLossRatio, SkinConstant, Temperature, TemperatureCoefficient, TemperatureDifference,
    ThermalConductance, ThermalConductivity, ThermalResistance, Time, Torque, Voltage,
    VolumetricHeatCapacity,
};

use super::kind::Kind;

/// Digits shown to people.
const DIGITS: usize = 4;

/// Which units people want to read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[allow(clippy::exhaustive_enums)] // the trade uses these two
pub enum Units {
    /// SI and what is used with it.
    #[default]
    Metric,
    /// US customary for length, temperature, mass and pressure. Sections stay in
    /// mm2 and temperature differences in K.
    Us,
}

/// To which side a shown number may differ from the value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(clippy::exhaustive_enums)] // there are no others
pub enum Rounding {
    /// To the nearest.
    Nearest,
    /// Never below the value: for what is needed at least.
    Up,
    /// Never above the value: for what is allowed at most.
    Down,
}

/// Shows a quantity to people.
pub trait ToText: Sized {
    /// The quantity in words and digits, ASCII only, rounded as told. What `f32` alone
    /// takes away, 1e-6, is no difference.
    fn rounded(self, units: Units, rounding: Rounding) -> String;

    /// The same, rounded to the nearest.
    fn to_text(self, units: Units) -> String {
        self.rounded(units, Rounding::Nearest)
    }

    /// What is needed at least.
    fn at_least(self, units: Units) -> String {
        self.rounded(units, Rounding::Up)
    }

    /// What is allowed at most.
    fn at_most(self, units: Units) -> String {
        self.rounded(units, Rounding::Down)
    }
}

/// A diameter, a wall thickness, a bolt: in mm or in.
pub fn diameter(length: Length, units: Units) -> String {
    let symbol = match units {
        Units::Metric => "mm",
        Units::Us => "in",
    };
    let metres = f64::from(length.as_metres());
    in_unit(Kind::Length, symbol, metres, Rounding::Nearest)
}

/// A number with so many significant digits, trailing zeros left out.
pub fn significant(value: f64, digits: usize) -> String {
    rounded(value, digits).to_string()
}

/// The same rounded down, for what is left of a limit: a spare that is printed is never
/// larger than it is, and what is missing never smaller. What `f32` alone takes away,
/// 1e-6, is not counted as less.
pub fn significant_down(value: f64, digits: usize) -> String {
    const ROUNDING: f64 = 1.0e-6;
    let nearest = rounded(value, digits);
    let exponent = format!("{value:e}")
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse::<i32>().ok());
    let (true, Some(exponent), Ok(places)) = (
        nearest > value + value.abs() * ROUNDING,
        exponent,
        i32::try_from(digits),
    ) else {
        return nearest.to_string();
    };
    let step = 10.0_f64.powi(exponent + 1 - places);
    rounded(nearest - step, digits).to_string()
}

/// The same rounded up, for what is needed at least.
pub fn significant_up(value: f64, digits: usize) -> String {
    let below = significant_down(-value, digits);
    match below.strip_prefix('-') {
        Some(digits) => digits.to_owned(),
        None if value == 0.0 => below,
        None => format!("-{below}"),
    }
}

/// Rounded as told.
fn significant_to(value: f64, digits: usize, rounding: Rounding) -> String {
    match rounding {
        Rounding::Nearest => significant(value, digits),
        Rounding::Up => significant_up(value, digits),
        Rounding::Down => significant_down(value, digits),
    }
}

fn rounded(value: f64, digits: usize) -> f64 {
    let after_point = digits.saturating_sub(1);
    // Adding zero turns -0 into 0.
    format!("{value:.after_point$e}")
        .parse::<f64>()
        .unwrap_or(value)
        + 0.0
}

/// Units from the smallest up, each with the stored value from which it is used.
/// What is smaller than all is shown in the first.
type Ladder = &'static [(&'static str, f64)];

macro_rules! shown {
    ($($name:ident: $kind:ident, $metric:expr, $us:expr;)*) => {
        $(
            impl ToText for $name {
                fn rounded(self, units: Units, rounding: Rounding) -> String {
                    let ladder: Ladder = match units {
                        Units::Metric => &$metric,
                        Units::Us => &$us,
                    };
                    on_ladder(Kind::$kind, ladder, f64::from(f32::from(self)), rounding)
                }
            }
        )*

        #[cfg(test)]
        const LADDERS: &[(Kind, Ladder)] = &[ $( (Kind::$kind, &$metric), (Kind::$kind, &$us), )* ];
    };
    ($($name:ident: $kind:ident, $both:expr;)*) => {
        shown!($($name: $kind, $both, $both;)*);
    };
}

shown! {
    Length: Length, [("m", 0.0)], [("ft", 0.0)];
    Altitude: Altitude, [("m", 0.0)], [("ft", 0.0)];
    Area: Area, [("mm2", 0.0)], [("mm2", 0.0)];
    ConductorArea: Section, [("mm2", 0.0)], [("mm2", 0.0)];
    Temperature: Temperature, [("degC", 0.0)], [("degF", 0.0)];
    TemperatureDifference: TemperatureDifference, [("K", 0.0)], [("K", 0.0)];
    Current: Current, [("mA", 0.0), ("A", 1.0), ("kA", 1.0e4)],
        [("mA", 0.0), ("A", 1.0), ("kA", 1.0e4)];
    Voltage: Voltage, [("mV", 0.0), ("V", 1.0), ("kV", 1.0e4)],
        [("mV", 0.0), ("V", 1.0), ("kV", 1.0e4)];
    Resistance: Resistance,
        [("uohm", 0.0), ("mohm", 1.0e-3), ("ohm", 1.0), ("kohm", 1.0e3), ("Mohm", 1.0e6), ("Gohm", 1.0e9)],
        [("uohm", 0.0), ("mohm", 1.0e-3), ("ohm", 1.0), ("kohm", 1.0e3), ("Mohm", 1.0e6), ("Gohm", 1.0e9)];
    LinearResistance: LinearResistance, [("ohm/km", 0.0), ("ohm/m", 10.0)],
        [("ohm/kft", 0.0), ("ohm/ft", 10.0)];
    Resistivity: Resistivity, [("ohm mm2/m", 0.0)], [("ohm mm2/m", 0.0)];
    TemperatureCoefficient: TemperatureCoefficient, [("1/K", 0.0)], [("1/K", 0.0)];
    Capacitance: Capacitance,
        [("pF", 0.0), ("nF", 1.0e-9), ("uF", 1.0e-6), ("mF", 1.0e-2), ("F", 1.0)],
        [("pF", 0.0), ("nF", 1.0e-9), ("uF", 1.0e-6), ("mF", 1.0e-2), ("F", 1.0)];
    Inductance: Inductance, [("nH", 0.0), ("uH", 1.0e-6), ("mH", 1.0e-3), ("H", 1.0)],
        [("nH", 0.0), ("uH", 1.0e-6), ("mH", 1.0e-3), ("H", 1.0)];
    Frequency: Frequency, [("Hz", 0.0), ("kHz", 1.0e3), ("MHz", 1.0e6)],
        [("Hz", 0.0), ("kHz", 1.0e3), ("MHz", 1.0e6)];
    Time: Time, [("us", 0.0), ("ms", 1.0e-3), ("s", 1.0), ("min", 600.0), ("h", 7200.0)],
        [("us", 0.0), ("ms", 1.0e-3), ("s", 1.0), ("min", 600.0), ("h", 7200.0)];
    Power: Power, [("mW", 0.0), ("W", 1.0), ("kW", 1.0e3), ("MW", 1.0e6)],
        [("mW", 0.0), ("W", 1.0), ("kW", 1.0e3), ("MW", 1.0e6)];
    LinearPower: LinearPower, [("W/m", 0.0), ("kW/m", 1.0e4)], [("W/ft", 0.0)];
    Energy: Energy, [("mJ", 0.0), ("J", 0.1), ("kJ", 1.0e3), ("kWh", 1.0e6)],
        [("mJ", 0.0), ("J", 0.1), ("kJ", 1.0e3), ("kWh", 1.0e6)];
    Charge: Charge, [("C", 0.0), ("Ah", 3.6e3)], [("C", 0.0), ("Ah", 3.6e3)];
    Mass: Mass, [("g", 0.0), ("kg", 1.0)], [("lb", 0.0)];
    LinearMass: LinearMass, [("kg/m", 0.0)], [("lb/ft", 0.0)];
    Density: Density, [("kg/m3", 0.0)], [("kg/m3", 0.0)];
    Pressure: Pressure, [("Pa", 0.0), ("kPa", 1.0e3), ("MPa", 1.0e6)], [("psi", 0.0)];
    ThermalConductivity: ThermalConductivity, [("W/(m K)", 0.0)], [("W/(m K)", 0.0)];
    ThermalResistance: ThermalResistance, [("K m/W", 0.0)], [("K m/W", 0.0)];
    ThermalConductance: ThermalConductance, [("W/K", 0.0)], [("W/K", 0.0)];
    VolumetricHeatCapacity: VolumetricHeatCapacity, [("J/(m3 K)", 0.0), ("MJ/(m3 K)", 1.0e5)],
        [("J/(m3 K)", 0.0), ("MJ/(m3 K)", 1.0e5)];
    LinearHeatCapacity: LinearHeatCapacity, [("J/(m K)", 0.0)], [("J/(m K)", 0.0)];
    Torque: Torque, [("N m", 0.0)], [("lb ft", 0.0)];
    Share: Share, [("%", 0.0)], [("%", 0.0)];
    Emissivity: PlainNumber, [("", 0.0)], [("", 0.0)];
    CurrentMargin: PlainNumber, [("", 0.0)], [("", 0.0)];
    ShieldLossRatio: PlainNumber, [("", 0.0)], [("", 0.0)];
    SkinConstant: PlainNumber, [("", 0.0)], [("", 0.0)];
}

impl ToText for CurrentSquaredTime {
    /// With a power of ten from 1e4 on, as datasheets of fuses print it.
    fn rounded(self, _: Units, rounding: Rounding) -> String {
        let exact = f64::from(self.as_a2s());
        let value = digits_of(exact, rounding);
        if value < 1.0e4 {
            format!("{value} A2s")
        } else {
            format!("{value:e} A2s")
        }
    }
}

fn digits_of(value: f64, rounding: Rounding) -> f64 {
    let digits = significant_to(value, DIGITS, rounding);
    digits.parse().unwrap_or(value)
}

fn on_ladder(kind: Kind, ladder: Ladder, stored: f64, rounding: Rounding) -> String {
    // Rounded first, so that 999.99 mA becomes 1 A and not 1000 mA.
    let size = digits_of(stored, rounding).abs();
    // Zero has no size that would choose a prefix.
    let zero_in = ladder.iter().find(|(_, from)| size == 0.0 && *from >= 0.1);
    let fitting = ladder.iter().rev().find(|(_, from)| size >= *from);
    zero_in.or(fitting).map_or_else(String::new, |(symbol, _)| {
        in_unit(kind, symbol, stored, rounding)
    })
}

/// A stored value in a unit of its kind, digits only: for a table that names the unit
/// once, in its head.
pub(crate) fn digits_in(kind: Kind, symbol: &str, stored: f32, digits: usize) -> String {
    significant(reading_in(kind, symbol, f64::from(stored)), digits)
}

/// The same rounded down, with its unit: for how far something may go.
pub(crate) fn down_in(kind: Kind, symbol: &str, stored: f32) -> String {
    in_unit(kind, symbol, f64::from(stored), Rounding::Down)
}

fn reading_in(kind: Kind, symbol: &str, stored: f64) -> f64 {
    let unit = kind.units().iter().find(|unit| unit.symbol == symbol);
    unit.map_or(stored, |unit| unit.from_stored(stored))
}

fn in_unit(kind: Kind, symbol: &str, stored: f64, rounding: Rounding) -> String {
    let digits = significant_to(reading_in(kind, symbol, stored), DIGITS, rounding);
    if symbol.is_empty() {
        digits
    } else {
        format!("{digits} {symbol}")
    }
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    #[test]
    fn every_unit_of_a_ladder_is_in_the_table() {
        for (kind, ladder) in LADDERS {
            for (symbol, _) in *ladder {
                assert!(
                    kind.units().iter().any(|unit| unit.symbol == *symbol),
                    "{kind:?} {symbol}"
                );
            }
            assert!(ladder.is_sorted_by(|a, b| a.1 < b.1), "{kind:?}");
            assert!(ladder[0].1.abs() < f64::MIN_POSITIVE, "{kind:?}");
        }
    }

    #[test]
    fn what_is_left_is_rounded_down_and_f32_does_not_count_as_less() {
        let down = |value| significant_down(value, 4);
        assert_eq!(down(26.398), "26.39");
        assert_eq!(down(9.9996), "9.999");
        assert_eq!(down(1.0), "1");
        assert_eq!(down(0.0), "0");
        assert_eq!(down(-2.6201), "-2.621");
        assert_eq!(down(-2.62), "-2.62");
        assert_eq!(down(1234.9), "1234");
        assert_eq!(down(f64::from(0.009_f32) * 1000.0), "9");
        assert_eq!(down(f64::from(125.0_f32 - 94.99_f32)), "30.01");
        assert_eq!(down(123_456.0), "123400");
        assert_eq!(down(0.000_123_49), "0.0001234");
    }

    #[test]
    fn people_read_short_numbers() {
        macro_rules! shows {
            ($($name:ident $text:literal: $metric:literal, $us:literal;)*) => {
                $(
                    let quantity: $name = parse($text).unwrap();
                    assert_eq!(quantity.to_text(Units::Metric), $metric);
                    assert_eq!(quantity.to_text(Units::Us), $us);
                )*
            };
        }
        shows! {
            Length "13 ft 6 in": "4.115 m", "13.5 ft";
            Altitude "2000 m": "2000 m", "6562 ft";
            Temperature "185 degF": "85 degC", "185 degF";
            TemperatureDifference "30 K": "30 K", "30 K";
            ConductorArea "2/0 AWG": "67.43 mm2", "67.43 mm2";
            LinearMass "0.85 kg/m": "0.85 kg/m", "0.5712 lb/ft";
            Resistance "0.000456 ohm": "456 uohm", "456 uohm";
            Resistance "51 mohm": "51 mohm", "51 mohm";
            Resistance "2.2 Mohm": "2.2 Mohm", "2.2 Mohm";
            LinearResistance "0.272 ohm/km": "0.272 ohm/km", "0.08291 ohm/kft";
            Current "0.99999 A": "1 A", "1 A";
            Current "0 A": "0 A", "0 A";
            Current "-7600 A": "-7600 A", "-7600 A";
            Current "20 kA": "20 kA", "20 kA";
            Voltage "1000 V": "1000 V", "1000 V";
            CurrentSquaredTime "600000 A2s": "6e5 A2s", "6e5 A2s";
            CurrentSquaredTime "512 A2s": "512 A2s", "512 A2s";
            Capacitance "680 uF": "680 uF", "680 uF";
            Capacitance "1500 uF": "1500 uF", "1500 uF";
            Time "8 ms": "8 ms", "8 ms";
            Time "30 min": "30 min", "30 min";
            Energy "42.6 kWh": "42.6 kWh", "42.6 kWh";
            Share "2 %": "2 %", "2 %";
        }
        let bore = parse::<Length>("5/16 in").unwrap();
        assert_eq!(diameter(bore, Units::Metric), "7.938 mm");
        assert_eq!(diameter(bore, Units::Us), "0.3125 in");
    }

    #[test]
    fn what_is_needed_is_never_shown_smaller_and_what_is_allowed_never_larger() {
        let needed: Voltage = parse("1000.04 V").unwrap();
        assert_eq!(needed.at_least(Units::Metric), "1001 V");
        assert_eq!(needed.at_most(Units::Metric), "1000 V");
        // The prefix follows the rounded number.
        let current: Current = parse("0.99996 A").unwrap();
        assert_eq!(current.at_least(Units::Metric), "1 A");
        assert_eq!(current.at_most(Units::Metric), "999.9 mA");
        let exact: Resistance = parse("54 kohm").unwrap();
        assert_eq!(exact.at_least(Units::Metric), "54 kohm");
        assert_eq!(exact.at_most(Units::Metric), "54 kohm");
        let none: Voltage = parse("0 V").unwrap();
        assert_eq!(none.at_least(Units::Metric), "0 V");
    }

    #[test]
    fn zero_is_never_negative() {
        assert_eq!(significant(-0.0, 4), "0");
        assert_eq!(significant(-1.23456, 4), "-1.235");
        assert_eq!(significant(0.000_123_456, 3), "0.000123");
    }
}
