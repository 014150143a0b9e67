//! Numbers with units become one value in the stored unit of its kind.

use orangeloom_core::bounds::Bounded;
use orangeloom_core::error::Error;

use super::error::{Problem, TextError};
use super::kind::Kind;
use super::number::{self, Number, Slip};
use super::unit_reading::{replaced, skip_space, unit_of, unit_span};
use super::units::Unit;

/// A value in the stored unit of its kind, and the unit it was written in last.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Measured {
    pub(crate) stored: f64,
    pub(crate) unit: &'static Unit,
}

/// Reads a text as a value of one kind, of any size.
pub(crate) fn measure(text: &str, kind: Kind) -> Result<Measured, TextError> {
    if text.trim().is_empty() {
        return Err(TextError::whole(text, Problem::Empty, kind));
    }
    let mut terms: Vec<Term> = Vec::new();
    let mut at = skip_space(text, 0);
    while at < text.len() {
        let number = number::read(text, at).map_err(|slip| of_slip(text, slip, kind))?;
        let unit_span = unit_span(text, number.span.end, kind);
        let unit = match unit_of(text, &number, unit_span.clone(), kind) {
            Ok(unit) => unit,
            Err(error) => return Err(with_inches(text, error, &terms)),
        };
        at = skip_space(text, unit_span.end);
        terms.push(Term { number, unit });
    }
    let value = sum(text, kind, &terms)?;
    let rounded = to_f32(value.stored);
    let not_zero = terms.iter().any(|term| term.number.not_zero);
    let scale_starts_at_zero = value.unit.zero == 0.0;
    if scale_starts_at_zero && not_zero && rounded.abs() < f32::MIN_POSITIVE {
        return Err(TextError::whole(text, Problem::TooSmall, kind));
    }
    if !rounded.is_finite() {
        return Err(TextError::whole(text, Problem::TooLarge, kind));
    }
    Ok(value)
}

/// Reads a text as a quantity type, within its bounds.
pub(crate) fn quantity<Q>(text: &str, kind: Kind, bound: Bounded) -> Result<Q, TextError>
where
    Q: TryFrom<f32, Error = Error>,
{
    let value = measure(text, kind)?;
    within(text, kind, bound, value)
}

/// The one rounding from `f64`, and the check of the range.
pub(crate) fn within<Q>(
    text: &str,
    kind: Kind,
    bound: Bounded,
    value: Measured,
) -> Result<Q, TextError>
where
    Q: TryFrom<f32, Error = Error>,
{
    // Adding zero turns -0 into 0.
    Q::try_from(to_f32(value.stored) + 0.0).map_err(|_| {
        let range = range_in_words(bound, value.unit);
        TextError::whole(text, Problem::OutOfRange(range), kind)
    })
}

#[allow(clippy::cast_possible_truncation)] // rounding to f32 is the purpose
pub(crate) fn to_f32(value: f64) -> f32 {
    value as f32
}

/// The accepted range in the unit the builder used and in the stored one.
pub(crate) fn range_in_words(bound: Bounded, unit: &Unit) -> String {
    // Through text, so that 0.05 stays 0.05.
    let as_written = |limit: f32| limit.to_string().parse::<f64>().unwrap_or(f64::from(limit));
    let (min, max) = (as_written(bound.min()), as_written(bound.max()));
    let stored = match bound.unit() {
        "" => format!("{min} to {max}"),
        name => format!("{min} to {max} {name}"),
    };
    let words = bound.words();
    if unit.symbol == bound.unit() {
        return format!("the {words} has to be {stored}");
    }
    format!(
        "the {words} has to be {} to {} {} ({stored})",
        inward(unit.from_stored(min), true),
        inward(unit.from_stored(max), false),
        unit.symbol
    )
}

/// Six digits, rounded so that the printed limit is itself accepted.
fn inward(limit: f64, up: bool) -> f64 {
    let text = format!("{limit:.5e}");
    let rounded = text.parse().unwrap_or(limit);
    let close_enough = (rounded - limit).abs() <= limit.abs() * 1.0e-12;
    if close_enough || (up && rounded >= limit) || (!up && rounded <= limit) {
        return rounded;
    }
    let exponent: i32 = text
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse().ok())
        .unwrap_or(0);
    let last_digit: f64 = format!("1e{}", exponent - 5).parse().unwrap_or(0.0);
    let inside = if up {
        rounded + last_digit
    } else {
        rounded - last_digit
    };
    format!("{inside:.5e}").parse().unwrap_or(limit)
}

struct Term {
    number: Number,
    unit: &'static Unit,
}

/// One term, or several that add up: 13 ft 6 in, 1 h 30 min.
///
/// Only within one system, from the larger unit to the smaller, whole numbers
/// except for the last, and each less than one of the unit before it. Whatever
/// is written otherwise is more likely a slip than a sum.
fn sum(text: &str, kind: Kind, terms: &[Term]) -> Result<Measured, TextError> {
    let odd = |reason| TextError::whole(text, Problem::Refused(reason), kind);
    let [first, rest @ ..] = terms else {
        return Err(TextError::whole(text, Problem::Empty, kind));
    };
    if rest.is_empty() {
        return Ok(Measured {
            stored: first.unit.to_stored(first.number.value()),
            unit: first.unit,
        });
    }
    if !kind.adds_up() {
        return Err(odd("one value was expected and more were read"));
    }
    let mut total = first.number.magnitude * first.unit.factor;
    let mut before = first;
    for term in rest {
        if term.number.negative {
            return Err(odd("a sign is only possible in front of the whole"));
        }
        if before.number.magnitude.fract() != 0.0 {
            return Err(odd("only the last number may have decimals or a fraction"));
        }
        if term.unit.system != before.unit.system {
            return Err(odd("metric and US units are mixed within one value"));
        }
        if term.unit.factor >= before.unit.factor {
            return Err(odd("the larger unit comes first"));
        }
        let part = term.number.magnitude * term.unit.factor;
        // 12 in is a foot; the tolerance covers the rounding of the factors.
        if part >= before.unit.factor * (1.0 - 1.0e-12) {
            return Err(odd(
                "the smaller unit makes up a whole larger one, use one unit",
            ));
        }
        total += part;
        before = term;
    }
    Ok(Measured {
        stored: if first.number.negative { -total } else { total },
        unit: first.unit,
    })
}

/// `13'6` is most likely feet and inches.
fn with_inches(text: &str, error: TextError, before: &[Term]) -> TextError {
    match before.last() {
        Some(term) if term.unit.symbol == "ft" && error.problem == Problem::NoUnit => {
            error.suggesting(format!("{} in", text.trim()))
        }
        _ => error,
    }
}

fn of_slip(text: &str, slip: Slip, kind: Kind) -> TextError {
    let mut error = TextError::new(text, slip.span.clone(), slip.problem, kind);
    for number in slip.instead {
        error = error.suggesting(replaced(text, slip.span.clone(), &number));
    }
    error
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stored(text: &str, kind: Kind) -> f64 {
        match measure(text, kind) {
            Ok(value) => value.stored,
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn message(text: &str, kind: Kind) -> String {
        measure(text, kind).unwrap_err().to_string()
    }

    #[test]
    fn feet_and_inches_add_up() {
        for text in [
            "13 ft 6 in",
            "13ft 6in",
            "13ft6in",
            "13 feet 6 inches",
            "13'6\"",
            "13' 6\"",
            "13\u{2032} 6\u{2033}",
            "13\u{2019}6\u{201d}",
            "13'6''",
            "13.5 ft",
            "4 yd 1 ft 6 in",
            "162 in",
            "162\"",
        ] {
            assert!(
                (stored(text, Kind::Length) - 4.1148).abs() < 1e-12,
                "{text}"
            );
        }
        assert!((stored("1' 6 1/2\"", Kind::Length) - 0.4699).abs() < 1e-12);
        assert!((stored("-1000 ft", Kind::Altitude) + 304.8).abs() < 1e-9);
        assert!((stored("1 h 30 min", Kind::Time) - 5400.0).abs() < 1e-9);
        assert!((stored("2 lb 8 oz", Kind::Mass) - 1.133_980_925).abs() < 1e-12);
    }

    #[test]
    fn sums_that_look_like_slips_are_refused() {
        for text in [
            "13 ft 14 in",
            "13 ft 12 in",
            "13.5 ft 6 in",
            "6 in 13 ft",
            "13 ft -6 in",
            "13 ft 20 mm",
            "2 m 2 m",
            "13'6",
            "13 6",
            "13 ft 6",
        ] {
            assert!(measure(text, Kind::Length).is_err(), "{text}");
        }
        assert!(measure("5 A 3 mA", Kind::Current).is_err());
    }

    #[test]
    fn temperature_scales_meet_where_they_should() {
        for (text, degc) in [
            ("185 degF", 85.0),
            ("-40 °F", -40.0),
            ("32 F", 0.0),
            ("0 K", -273.15),
            ("358.15 K", 85.0),
            ("85 ℃", 85.0),
        ] {
            assert!(
                (stored(text, Kind::Temperature) - degc).abs() < 1e-10,
                "{text}"
            );
        }
    }

    #[test]
    fn division_by_a_thousand_feet_has_many_spellings() {
        for text in [
            "0.08 ohm/kft",
            "0.08 ohm/1000 ft",
            "0.08 ohm / 1000 ft",
            "0.08 ohms per 1000 ft",
            "0.08 Ω/kft",
            "80 uohm/ft",
        ] {
            let ohm_per_m = stored(text, Kind::LinearResistance);
            assert!((ohm_per_m - 0.08 / 304.8).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn messages_say_what_was_read_and_what_is_needed() {
        assert_eq!(
            message("3 V", Kind::Length),
            "\"3 V\" is a voltage, a length is needed: m, cm, mm, um, km, in, ft, yd, mil \
             (as \"13 ft 6 in\")"
        );
        assert_eq!(
            message("2.5", Kind::Time),
            "\"2.5\" has no unit, a duration needs one: s, ms, us, min, h (as \"30 s\")"
        );
        assert_eq!(
            message("2 H", Kind::Time),
            "\"2 H\" is an inductance, a duration is needed: s, ms, us, min, h (as \"30 s\"); \
             did you mean \"2 h\""
        );
        assert_eq!(
            message("2,5 m", Kind::Length),
            "\"2,5\" has a comma: write a point for decimals and no sign between thousands; \
             did you mean \"2.5 m\""
        );
        assert!(message("13'6", Kind::Length).ends_with("did you mean \"13'6 in\""));
        assert!(message("400 V.", Kind::Voltage).ends_with("did you mean \"400 V\""));
        assert!(message("5 metrs", Kind::Length).ends_with("did you mean \"5 m\""));
        assert!(message("5 kelvn", Kind::TemperatureDifference).ends_with("\"5 K\""));
        assert!(message("70 sqmm", Kind::Section).ends_with("did you mean \"70 mm2\""));
        assert!(message("70 mm", Kind::Section).contains("mm is a length"));
        assert!(message("10 degC", Kind::TemperatureDifference).contains("is 1 K"));
        assert!(message("9 degF", Kind::TemperatureDifference).contains("0.5556 K"));
        assert!(message("5 MV", Kind::Voltage).contains("the case decides"));
        assert!(message("200 kA2s", Kind::CurrentSquaredTime).contains("k(A2s) or (kA)2s"));
        assert!(message("5 C", Kind::Length).contains("a temperature or a charge"));
        assert!(message("10-20 A", Kind::Current).contains("one value was expected"));
        assert!(message("1e300 m", Kind::Length).contains("too large"));
        assert!(message("1e-60 m", Kind::Length).contains("too small"));
        assert!(message("  ", Kind::Length).starts_with("nothing was entered"));
    }

    #[test]
    fn spans_point_at_the_part_that_is_wrong() {
        for (text, kind, part) in [
            ("  3 V ", Kind::Length, "3 V"),
            ("13 ft 6 V", Kind::Length, "6 V"),
            ("13 ft 6,5 in", Kind::Length, "6,5"),
            ("5 metrs", Kind::Length, "metrs"),
            (" 2.5 ", Kind::Time, "2.5"),
        ] {
            let error = measure(text, kind).unwrap_err();
            assert_eq!(&text[error.span.clone()], part, "{text}");
            assert_eq!(&*error.read, part);
        }
    }

    fn unit(kind: Kind, symbol: &str) -> &'static Unit {
        let found = kind.units().iter().find(|unit| unit.symbol == symbol);
        found.unwrap()
    }

    #[test]
    fn printed_limits_are_rounded_to_the_inside() {
        assert_eq!(
            range_in_words(Bounded::Length, unit(Kind::Length, "ft")),
            "the length has to be 0 to 32808.3 ft (0 to 10000 m)"
        );
        assert_eq!(
            range_in_words(Bounded::Temperature, unit(Kind::Temperature, "degF")),
            "the temperature has to be -459.67 to 5432 degF (-273.15 to 3000 degC)"
        );
        assert_eq!(
            range_in_words(Bounded::ConductorArea, unit(Kind::Section, "mm2")),
            "the conductor section has to be 0.05 to 5000 mm2"
        );
    }
}
