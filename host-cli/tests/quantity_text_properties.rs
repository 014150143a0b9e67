//! Properties of reading and showing quantities, for every unit of every kind.

use orangeloom::quantity_text::{FromText, Kind, Section, ShareOrFraction, ToText, Units, parse};
use orangeloom_core::quantity::{
    Altitude, Area, Capacitance, Charge, ConductorArea, Current, CurrentMargin, CurrentSquaredTime,
    Density, Emissivity, Energy, Frequency, Inductance, Length, LinearHeatCapacity, LinearMass,
    LinearPower, LinearResistance, Mass, Power, Pressure, Resistance, Resistivity, Share,
    ShieldLossRatio, SkinConstant, Temperature, TemperatureCoefficient, TemperatureDifference,
    ThermalConductance, ThermalConductivity, ThermalResistance, Time, Torque, Voltage,
    VolumetricHeatCapacity,
};
use proptest::prelude::*;

/// Calls a macro for every quantity type that is read from text, with its kind.
macro_rules! for_every_type {
    ($call:ident) => {
        $call!(Length: Length);
        $call!(Altitude: Altitude);
        $call!(ConductorArea: Section);
        $call!(Area: Area);
        $call!(Temperature: Temperature);
        $call!(TemperatureDifference: TemperatureDifference);
        $call!(Current: Current);
        $call!(Voltage: Voltage);
        $call!(CurrentSquaredTime: CurrentSquaredTime);
        $call!(Resistance: Resistance);
        $call!(LinearResistance: LinearResistance);
        $call!(Resistivity: Resistivity);
        $call!(TemperatureCoefficient: TemperatureCoefficient);
        $call!(Capacitance: Capacitance);
        $call!(Inductance: Inductance);
        $call!(Frequency: Frequency);
        $call!(Time: Time);
        $call!(Power: Power);
        $call!(LinearPower: LinearPower);
        $call!(Energy: Energy);
        $call!(Charge: Charge);
        $call!(Mass: Mass);
        $call!(LinearMass: LinearMass);
        $call!(Density: Density);
        $call!(Pressure: Pressure);
        $call!(ThermalConductivity: ThermalConductivity);
        $call!(ThermalResistance: ThermalResistance);
        $call!(ThermalConductance: ThermalConductance);
        $call!(VolumetricHeatCapacity: VolumetricHeatCapacity);
        $call!(LinearHeatCapacity: LinearHeatCapacity);
        $call!(Torque: Torque);
        $call!(Share: Share);
        $call!(Emissivity: PlainNumber);
        $call!(CurrentMargin: PlainNumber);
        $call!(ShieldLossRatio: PlainNumber);
        $call!(SkinConstant: PlainNumber);
    };
}

/// A value of the row from a position in 0..=1, spread over the magnitudes
/// because most rows span many decades.
fn spread(min: f32, max: f32, position: f32, negative: bool) -> f32 {
    let smallest = if min > 0.0 { min } else { max * 1.0e-12 };
    let size = smallest * (max / smallest).powf(position);
    let value = if negative { -size } else { size };
    if value < min {
        min
    } else if value > max {
        max
    } else {
        value
    }
}

#[test]
fn every_kind_is_read_by_a_type() {
    let mut read: Vec<Kind> = Vec::new();
    macro_rules! note {
        ($name:ident: $kind:ident) => {
            read.push(Kind::$kind);
        };
    }
    for_every_type!(note);
    for kind in Kind::ALL {
        assert!(read.contains(kind), "{kind:?}");
    }
}

#[test]
fn the_stored_unit_is_that_of_the_row_of_bounds() {
    macro_rules! check {
        ($name:ident: $kind:ident) => {
            let stored = $name::BOUND.unit();
            let unit = Kind::$kind
                .units()
                .iter()
                .find(|unit| unit.symbol == stored);
            let unit = unit.unwrap_or_else(|| panic!("{stored} of {}", stringify!($name)));
            if stored != "" {
                assert_eq!(unit.write(2.5), format!("2.5 {stored}"));
            }
            assert_eq!(unit.to_stored(1.0).to_bits(), 1.0_f64.to_bits());
            assert_eq!(unit.to_stored(0.0).to_bits(), 0.0_f64.to_bits());
        };
    }
    // A share is stored as a fraction and only written with the sign %.
    macro_rules! check_all_but_share {
        (Share: Share) => {};
        ($name:ident: $kind:ident) => {
            check!($name: $kind);
        };
    }
    for_every_type!(check_all_but_share);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn what_is_written_is_read_back(position in 0.0_f32..=1.0, negative: bool) {
        macro_rules! round_trip {
            ($name:ident: $kind:ident) => {
                let (min, max) = ($name::BOUND.min(), $name::BOUND.max());
                let value = spread(min, max, position, negative && min < 0.0);
                for unit in Kind::$kind.units() {
                    let text = unit.write(value);
                    let read = match parse::<$name>(&text) {
                        Ok(read) => f32::from(read),
                        Err(error) => return Err(TestCaseError::fail(error.to_string())),
                    };
                    // The arithmetic in between is f64, so the nearest f32 is the
                    // same one. A scale with another zero subtracts 273.15 or 32:
                    // below that only the absolute error of f64 is kept.
                    let lost = if unit.zero == 0.0 { 0.0 } else { 1.0e-12 + value.abs() * f32::EPSILON };
                    prop_assert!((read - value).abs() <= lost, "{text}: {read} is not {value}");
                }
            };
        }
        for_every_type!(round_trip);
    }

    #[test]
    fn what_is_shown_is_read_back_to_four_digits(position in 0.0_f32..=1.0, negative: bool) {
        macro_rules! round_trip {
            ($name:ident: $kind:ident) => {
                let (min, max) = ($name::BOUND.min(), $name::BOUND.max());
                let value = spread(min, max, position, negative && min < 0.0);
                let shown = $name::try_from(value).map_err(|e| TestCaseError::fail(e.to_string()))?;
                for units in [Units::Metric, Units::Us] {
                    let text = shown.to_text(units);
                    prop_assert!(text.is_ascii());
                    // At the ends of a row four digits may round to the outside.
                    let near_end = value <= min + min.abs() * 1.0e-3 || value >= max * 0.999;
                    match parse::<$name>(&text) {
                        Ok(read) => {
                            // Half of the fourth digit is at most 5e-4 of the reading;
                            // a shifted scale adds its zero of 32 degF.
                            let shift = if Kind::$kind == Kind::Temperature { 32.0 } else { 0.0 };
                            let lost = 5.1e-4 * (value.abs() + shift);
                            prop_assert!((f32::from(read) - value).abs() <= lost, "{text}: {value}");
                        }
                        Err(error) => prop_assert!(near_end, "{error}"),
                    }
                }
            };
        }
        for_every_type!(round_trip);
    }

    #[test]
    fn a_decimal_comma_is_never_read(
        whole in 0_u32..100_000,
        decimals in "[0-9]{1,6}",
        kind in prop::sample::select(Kind::ALL),
        position: prop::sample::Index,
    ) {
        let unit = position.get(kind.units());
        let text = format!("{whole},{decimals} {}", unit.symbol);
        prop_assert!(read_as_everything(&text)?.is_empty(), "{text}");
    }

    #[test]
    fn any_text_gives_a_quantity_or_a_message(text: String) {
        read_as_everything(&text)?;
    }

    #[test]
    fn any_text_behind_a_number_gives_a_quantity_or_a_message(
        number in -1.0e6_f64..1.0e6,
        text: String,
    ) {
        read_as_everything(&format!("{number}{text}"))?;
        read_as_everything(&format!("{number:e} {text}"))?;
    }

    #[test]
    fn any_heap_of_known_pieces_gives_a_quantity_or_a_message(
        pieces in prop::collection::vec(prop::sample::select(PIECES), 0..9),
    ) {
        read_as_everything(&pieces.concat())?;
    }
}

/// What quantities are made of, right and wrong.
const PIECES: &[&str] = &[
    "1",
    "000",
    "2.5",
    "0",
    "6",
    "-",
    "\u{2212}",
    "+",
    ".",
    ",",
    "_",
    "'",
    "\"",
    "\u{2032}",
    "\u{2033}",
    "/",
    "½",
    "⅞",
    "e",
    "e5",
    "E-3",
    "e999",
    "×10^",
    " ",
    "\u{a0}",
    "\t",
    "m",
    "M",
    "mm",
    "mm2",
    "ft",
    "in",
    "yd",
    "µ",
    "Ω",
    "ohm",
    "mohm",
    "Mohm",
    "/km",
    "/1000 ft",
    " per ",
    "degF",
    "°",
    "C",
    "K",
    "1/K",
    "A",
    "kA",
    "A2s",
    "kA2s",
    "V",
    "W",
    "Wh",
    "AWG",
    "2/0",
    "awg",
    "kcmil",
    "MCM",
    "#",
    "%",
    " for ",
    "for",
    "s",
    "h",
    "min",
    "nan",
    "inf",
    "\u{0}",
    "\u{200b}",
    "日",
    "é",
    "\u{1f980}",
];

/// Reads a text as every type; checks each error, gives the names of the types
/// that took it.
fn read_as_everything(text: &str) -> Result<Vec<&'static str>, TestCaseError> {
    let mut read = Vec::new();
    macro_rules! one {
        ($name:ident: $kind:ident) => {
            if let Some(value) = checked::<$name>(text)? {
                prop_assert!(f32::from(value).is_finite());
                read.push(stringify!($name));
            }
        };
    }
    for_every_type!(one);
    if let Some(section) = checked::<Section>(text)? {
        prop_assert_eq!(&section.designation, text.trim());
        // The label names the same conductor.
        let again: Section = match parse(&section.label) {
            Ok(again) => again,
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        };
        let (one, other) = (section.area.as_mm2(), again.area.as_mm2());
        prop_assert!(
            (one - other).abs() <= one * f32::EPSILON,
            "{}",
            section.label
        );
        prop_assert_eq!(section.series, again.series);
        read.push("Section");
    }
    if checked::<ShareOrFraction>(text)?.is_some() {
        read.push("ShareOrFraction");
    }
    if checked::<(Current, Time)>(text)?.is_some() {
        read.push("(Current, Time)");
    }
    Ok(read)
}

fn checked<Q: FromText>(text: &str) -> Result<Option<Q>, TestCaseError> {
    let error = match parse::<Q>(text) {
        Ok(value) => return Ok(Some(value)),
        Err(error) => error,
    };
    prop_assert!(
        text.get(error.span.clone()).is_some(),
        "{:?} of {text:?}",
        error.span
    );
    let message = error.to_string();
    prop_assert!(message.len() > 10, "{message}");
    prop_assert!(message.len() < 1500, "{message}");
    prop_assert!(!message.ends_with('.'), "{message}");
    prop_assert!(!message.contains(char::is_control), "{message:?}");
    for suggestion in &error.suggestions {
        prop_assert_ne!(suggestion.as_str(), text);
    }
    Ok(None)
}
