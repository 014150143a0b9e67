//! Which type reads which kind of quantity.

use orangeloom_core::quantity::{
    Altitude, Area, Capacitance, Charge, ComparativeTrackingIndex, ConductorArea, Current,
    CurrentMargin, CurrentSquaredTime, Density, Emissivity, Energy, Frequency, Inductance, Length,
    LinearHeatCapacity, LinearMass, LinearPower, LinearResistance, Mass, Power, Pressure,
    Resistance, Resistivity, Share, ShieldLossRatio, SkinConstant, Temperature,
    TemperatureCoefficient, TemperatureDifference, ThermalConductance, ThermalConductivity,
    ThermalResistance, Time, Torque, Voltage, VolumetricHeatCapacity,
};

use super::error::{Problem, TextError};
use super::kind::Kind;
use super::measure::{quantity, to_f32};
use super::number;
use super::section::{Section, names_a_gauge, read_area};

/// Reads a quantity from text.
///
/// ```
/// use orangeloom::quantity_text::{Section, parse};
/// use orangeloom_core::quantity::{Current, Length, Time};
///
/// let route: Length = parse("13 ft 6 in")?;
/// assert_eq!(route.as_metres(), 4.1148);
/// let section: Section = parse("2/0 AWG")?;
/// assert_eq!(section.label, "2/0 AWG");
/// let (peak, lasting): (Current, Time) = parse("450 A for 30 s")?;
/// assert!(parse::<Length>("2,4 m").is_err());
/// # Ok::<(), orangeloom::quantity_text::TextError>(())
/// ```
///
/// # Errors
/// [`TextError`] with the place, what was read, what is accepted and, where
/// there is one, a suggestion.
pub fn parse<Q: FromText>(text: &str) -> Result<Q, TextError> {
    Q::from_text(text)
}

/// What can be read from text; a `clap` value parser is [`parse`] of the type.
pub trait FromText: Sized {
    /// Reads the whole text.
    fn from_text(text: &str) -> Result<Self, TextError>;

    /// What is accepted, for help texts: `a length: m, cm, ... (as "13 ft 6 in")`.
    fn needed() -> String;
}

macro_rules! from_text {
    ($($name:ident: $kind:ident),* $(,)?) => {
        $(
            impl FromText for $name {
                fn from_text(text: &str) -> Result<Self, TextError> {
                    if names_a_gauge(text) {
                        let problem = Problem::OtherKind(vec![Kind::Section]);
                        return Err(TextError::whole(text, problem, Kind::$kind));
                    }
                    quantity(text, Kind::$kind, Self::BOUND)
                }

                fn needed() -> String {
                    needed(Kind::$kind)
                }
            }
        )*
    };
}

from_text!(
    Length: Length,
    Altitude: Altitude,
    Temperature: Temperature,
    TemperatureDifference: TemperatureDifference,
    Current: Current,
    Voltage: Voltage,
    CurrentSquaredTime: CurrentSquaredTime,
    Resistance: Resistance,
    LinearResistance: LinearResistance,
    Resistivity: Resistivity,
    TemperatureCoefficient: TemperatureCoefficient,
    Capacitance: Capacitance,
    Inductance: Inductance,
    Frequency: Frequency,
    Time: Time,
    Power: Power,
    LinearPower: LinearPower,
    Energy: Energy,
    Charge: Charge,
    Mass: Mass,
    LinearMass: LinearMass,
    Density: Density,
    Pressure: Pressure,
    ThermalConductivity: ThermalConductivity,
    ThermalResistance: ThermalResistance,
    ThermalConductance: ThermalConductance,
    VolumetricHeatCapacity: VolumetricHeatCapacity,
    LinearHeatCapacity: LinearHeatCapacity,
    Torque: Torque,
    Share: Share,
    Emissivity: PlainNumber,
    CurrentMargin: PlainNumber,
    ShieldLossRatio: PlainNumber,
    SkinConstant: PlainNumber,
    ComparativeTrackingIndex: PlainNumber,
);

fn needed(kind: Kind) -> String {
    format!("{}: {}", kind.noun(), kind.accepted())
}

impl FromText for Area {
    fn from_text(text: &str) -> Result<Self, TextError> {
        read_area(text)
    }

    fn needed() -> String {
        needed(Kind::Area)
    }
}

/// The area alone; use [`Section`] where the designation has to be kept.
impl FromText for ConductorArea {
    fn from_text(text: &str) -> Result<Self, TextError> {
        Section::from_text(text).map(|section| section.area)
    }

    fn needed() -> String {
        needed(Kind::Section)
    }
}

/// A share that may also be written as a bare fraction below 1: `0.02`.
///
/// Only for fields where the caller says so. [`Share`] itself needs the sign %,
/// because a bare 2 is as likely 2 % as it is a slip. A bare 1 is refused here
/// too: it is read as 1 % by one person and as the whole by another.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(clippy::exhaustive_structs)] // a wrapper and nothing else
pub struct ShareOrFraction(pub Share);

impl FromText for ShareOrFraction {
    fn from_text(text: &str) -> Result<Self, TextError> {
        let error = match parse::<Share>(text) {
            Ok(share) => return Ok(Self(share)),
            Err(error) => error,
        };
        let bare = match number::read(text.trim(), 0) {
            Ok(number) if error.problem == Problem::NoUnit => number.value(),
            _ => return Err(accepting_fractions(error)),
        };
        if (0.0..1.0).contains(&bare)
            && let Ok(share) = Share::from_fraction(to_f32(bare))
            && share.as_fraction() < 1.0
        {
            return Ok(Self(share));
        }
        let reason = "a number without % has to be a fraction below 1";
        let mut error = TextError::whole(text, Problem::Refused(reason), Kind::Share);
        if (0.0..=100.0).contains(&bare) {
            error.suggestions.push(format!("{} %", text.trim()));
        }
        Err(accepting_fractions(error))
    }

    fn needed() -> String {
        format!("{}: {FRACTION_TOO}", Kind::Share.noun())
    }
}

const FRACTION_TOO: &str = "% or a bare fraction below 1 (as \"2 %\" or \"0.02\")";

fn accepting_fractions(mut error: TextError) -> TextError {
    error.accepted = FRACTION_TOO.into();
    error
}

/// One quantity that holds for as long as the other says: `450 A for 30 s`.
impl<A: FromText, B: FromText> FromText for (A, B) {
    fn from_text(text: &str) -> Result<Self, TextError> {
        const WORD: &str = "for";
        let lower = text.to_ascii_lowercase();
        let at = lower.match_indices(WORD).map(|(at, _)| at).find(|&at| {
            let before = lower.get(..at).unwrap_or_default();
            let after = lower.get(at + WORD.len()..).unwrap_or_default();
            before.ends_with(char::is_whitespace)
                && (after.is_empty() || after.starts_with(char::is_whitespace))
        });
        let Some(at) = at else {
            let reason = "two values with the word \"for\" between them were expected";
            let mut error = TextError::whole(text, Problem::Refused(reason), Kind::Current);
            error.needed = "a value and how long it lasts";
            error.accepted = Self::needed().into();
            return Err(error);
        };
        let after = at + WORD.len();
        let first = A::from_text(text.get(..at).unwrap_or_default())?;
        let second = B::from_text(text.get(after..).unwrap_or_default())
            .map_err(|error| error.moved(after))?;
        Ok((first, second))
    }

    fn needed() -> String {
        format!("{}; then the word for; then {}", A::needed(), B::needed())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_with_a_duration() {
        let (current, time): (Current, Time) = parse("450 A for 30 s").unwrap();
        assert_eq!(current, Current::from_amperes(450.0).unwrap());
        assert_eq!(time, Time::from_seconds(30.0).unwrap());
        let (current, time): (Current, Time) = parse("6 kA FOR 8 ms").unwrap();
        assert_eq!(current, Current::from_amperes(6000.0).unwrap());
        assert_eq!(time.as_seconds().to_bits(), 0.008_f32.to_bits());
    }

    #[test]
    fn the_error_of_the_second_half_points_into_the_whole() {
        let text = "450 A for 30 V";
        let error = parse::<(Current, Time)>(text).unwrap_err();
        assert_eq!(&text[error.span.clone()], "30 V");
        assert!(error.to_string().contains("a duration is needed"));
        for text in [
            "450 A",
            "450 A 30 s",
            "450 A/30 s",
            "450 Afor 30 s",
            "for",
            "",
        ] {
            assert!(parse::<(Current, Time)>(text).is_err(), "{text}");
        }
        let empty = parse::<(Current, Time)>("450 A for ").unwrap_err();
        assert!(empty.to_string().contains("nothing was entered"));
    }

    #[test]
    fn a_share_needs_its_sign() {
        let share: Share = parse("2 %").unwrap();
        assert_eq!(share.as_fraction().to_bits(), 0.02_f32.to_bits());
        assert_eq!(parse::<Share>("2 percent").unwrap(), share);
        for bare in ["2", "0.02", "1", "0"] {
            let message = parse::<Share>(bare).unwrap_err().to_string();
            assert!(
                message.contains("has no unit, a share needs one: %"),
                "{message}"
            );
        }
        assert!(
            parse::<Share>("120 %")
                .unwrap_err()
                .to_string()
                .contains("0 to 100 %")
        );
    }

    #[test]
    fn a_bare_fraction_only_where_it_is_allowed() {
        for text in ["2 %", "0.02", "1/50", ".02"] {
            let share = parse::<ShareOrFraction>(text).unwrap().0.as_fraction();
            assert!((share - 0.02).abs() < 1e-9, "{text}");
        }
        for text in [
            "1",
            "2",
            "0.99999999999",
            "-0.1",
            "101",
            "x",
            "0.02 V",
            "0,02",
        ] {
            let message = parse::<ShareOrFraction>(text).unwrap_err().to_string();
            assert!(!message.is_empty(), "{text}");
        }
        let message = parse::<ShareOrFraction>("2").unwrap_err().to_string();
        assert!(message.ends_with("did you mean \"2 %\""), "{message}");
    }

    #[test]
    fn plain_numbers_take_no_unit() {
        assert_eq!(parse::<Emissivity>("0.9").unwrap(), parse("90 %").unwrap());
        let message = parse::<CurrentMargin>("0.1").unwrap_err().to_string();
        assert!(message.contains("0.3 to 1"), "{message}");
        assert!(parse::<Emissivity>("0.9 m").is_err());
        assert!(parse::<Emissivity>("1 2").is_err());
    }

    #[test]
    fn a_gauge_in_a_field_for_something_else_is_called_a_section() {
        let message = parse::<Length>("2/0 AWG").unwrap_err().to_string();
        assert!(
            message.starts_with("\"2/0 AWG\" is a conductor section"),
            "{message}"
        );
        let area: Area = parse("2/0 AWG").unwrap();
        assert!((area.as_mm2() - 67.43).abs() < 0.01);
    }

    #[test]
    fn out_of_range_is_told_in_the_unit_that_was_used() {
        let message = parse::<Length>("20 km").unwrap_err().to_string();
        assert_eq!(
            message,
            "\"20 km\" is out of range: the length has to be 0 to 10 km (0 to 10000 m)"
        );
        let message = parse::<Temperature>("-500 degF").unwrap_err().to_string();
        assert!(message.contains("-459.67 to 5432 degF"), "{message}");
        assert!(parse::<Time>("-3 s").is_err());
    }

    #[test]
    fn every_example_is_accepted_by_its_kind() {
        macro_rules! examples {
            ($($name:ident: $kind:ident),*) => {
                $( parse::<$name>(Kind::$kind.example()).unwrap(); )*
            };
        }
        examples!(
            Length: Length, Altitude: Altitude, Section: Section, Area: Area,
            Temperature: Temperature, TemperatureDifference: TemperatureDifference,
            Current: Current, Voltage: Voltage, CurrentSquaredTime: CurrentSquaredTime,
            Resistance: Resistance, LinearResistance: LinearResistance,
            Resistivity: Resistivity, TemperatureCoefficient: TemperatureCoefficient,
            Capacitance: Capacitance, Inductance: Inductance, Frequency: Frequency,
            Time: Time, Power: Power, LinearPower: LinearPower, Energy: Energy,
            Charge: Charge, Mass: Mass, LinearMass: LinearMass, Density: Density,
            Pressure: Pressure, ThermalConductivity: ThermalConductivity,
            ThermalResistance: ThermalResistance, ThermalConductance: ThermalConductance,
            VolumetricHeatCapacity: VolumetricHeatCapacity,
            LinearHeatCapacity: LinearHeatCapacity, Torque: Torque, Share: Share, Emissivity: PlainNumber
        );
    }
}
