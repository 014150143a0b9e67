//! The working of an answer: each equation with the numbers in it, and its source.

use core::fmt::Write;

use orangeloom_core::standard::SourceId;
use orangeloom_core::verdict::{Judged, Side};
use serde::Serialize;

use crate::page::wrap;
use crate::quantity_text::{significant, significant_down, significant_up};

/// One line of working.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Step {
    /// What is computed.
    pub(crate) what: &'static str,
    /// The equation in symbols.
    pub(crate) equation: &'static str,
    /// The equation with the numbers in it.
    pub(crate) numbers: String,
    /// The result with its unit.
    pub(crate) result: String,
    /// Where the equation comes from.
    pub(crate) source: String,
}

/// The working for people; `about` says what the numbers belong to.
pub(crate) fn render(about: &str, steps: &[Step]) -> String {
    let mut text = format!("Working ({about})\n");
    for step in steps {
        for (first, words) in [
            ("  ", step.what),
            ("    ", step.equation),
            ("    = ", &step.numbers),
            ("    ", &step.result),
            ("    source: ", &step.source),
        ] {
            // Writing into a string cannot fail.
            let _ = writeln!(text, "{}", wrap(first, words));
        }
    }
    text
}

/// A source as one line.
pub(crate) fn cite(source: SourceId) -> String {
    if matches!(source, SourceId::Entered | SourceId::CommonPractice) {
        return evidence(source).to_owned();
    }
    let source = source.source();
    format!(
        "{}, {} ({})",
        source.standard,
        source.place,
        source.evidence.words()
    )
}

/// How well a source is known; what was entered needs no source.
pub(crate) fn evidence(source: SourceId) -> &'static str {
    match source {
        SourceId::Entered => "as entered",
        other => other.source().evidence.words(),
    }
}

/// Four digits; far from one with a power of ten.
pub(crate) fn n(value: f32) -> String {
    if value != 0.0 && !(1.0e-4..1.0e6).contains(&value.abs()) {
        format!("{value:.3e}")
    } else {
        significant(f64::from(value), DIGITS)
    }
}

/// Value and limit of a judgement as they are printed, both times a factor of their unit:
/// each rounded to the side on which the two never look better than they are, with as many
/// digits as it takes for them to look as they were judged.
pub(crate) fn value_and_limit<N>(judged: &Judged<N>, factor: f32) -> [Option<String>; 2] {
    let rounded: [fn(f64, usize) -> String; 2] = match judged.side {
        Side::AtMost => [significant_up, significant_down],
        Side::AtLeast => [significant_down, significant_up],
    };
    let both = [judged.value, judged.limit].map(|value| value.map(|value| value * factor));
    let printed = |digits| {
        let mut both = both.into_iter().zip(rounded);
        [(); 2].map(|()| {
            let (value, rounded) = both.next()?;
            Some(n_to(value?, digits, rounded))
        })
    };
    let keeps = |value: f64, limit: f64| match judged.side {
        Side::AtMost => value <= limit,
        Side::AtLeast => value >= limit,
    };
    let [Some(value), Some(limit)] = both else {
        return printed(DIGITS);
    };
    let judged = keeps(f64::from(value), f64::from(limit));
    let looks = |shown: &[Option<String>; 2]| {
        let [Some(Ok(value)), Some(Ok(limit))] = shown
            .each_ref()
            .map(|digits| digits.as_ref().map(|digits| digits.parse::<f64>()))
        else {
            return true;
        };
        keeps(value, limit) == judged
    };
    // All digits of single precision tell apart what is not the same.
    let mut all = (DIGITS..=MOST_DIGITS).map(printed);
    all.find(looks).unwrap_or_else(|| printed(MOST_DIGITS))
}

/// Digits of a number.
const DIGITS: usize = 4;

/// Digits that tell any two numbers of single precision apart.
const MOST_DIGITS: usize = 9;

/// The same as [`n`], rounded up: for what is required.
pub(crate) fn n_up(value: f32) -> String {
    n_to(value, DIGITS, significant_up)
}

/// The same, rounded down: for what is left of a limit.
pub(crate) fn n_down(value: f32) -> String {
    n_to(value, DIGITS, significant_down)
}

fn n_to(value: f32, digits: usize, rounded: fn(f64, usize) -> String) -> String {
    let value = f64::from(value);
    let shown = rounded(value, digits);
    if value != 0.0 && !(1.0e-4..1.0e6).contains(&value.abs()) {
        let after_point = digits.saturating_sub(1);
        shown
            .parse::<f64>()
            .map_or(shown, |value| format!("{value:.after_point$e}"))
    } else {
        shown
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn judged(value: f32, side: Side, limit: f32) -> [String; 2] {
        let judged = Judged::compare((), value, side, limit, SourceId::Entered);
        value_and_limit(&judged, 1.0).map(Option::unwrap)
    }

    #[test]
    fn a_stress_is_rounded_up_and_a_limit_down() {
        assert_eq!(judged(99.941, Side::AtMost, 120.06), ["99.95", "120"]);
        assert_eq!(judged(120.06, Side::AtLeast, 99.941), ["120", "99.95"]);
        assert_eq!(
            judged(1.234_56e7, Side::AtMost, 2.0e7),
            ["1.235e7", "2.000e7"]
        );
    }

    #[test]
    fn what_lies_close_looks_as_it_was_judged() {
        // Four digits would read 100 against 99.99.
        assert_eq!(judged(99.996, Side::AtMost, 99.998), ["99.996", "99.998"]);
        // And 100 against 100 here.
        assert_eq!(judged(100.000_05, Side::AtMost, 100.0), ["100.0001", "100"]);
        assert_eq!(judged(0.3, Side::AtMost, 0.3), ["0.3", "0.3"]);
    }

    proptest! {
        #[test]
        fn printed_numbers_never_contradict_the_verdict(
            value in 1.0e-9_f32..1.0e9,
            off in -64_i32..64,
            at_most: bool,
        ) {
            let limit = f32::from_bits(value.to_bits().wrapping_add_signed(off));
            let side = if at_most { Side::AtMost } else { Side::AtLeast };
            let [shown, against] = judged(value, side, limit).map(|one| one.parse::<f64>().unwrap());
            let (keeps, looks) = match side {
                Side::AtMost => (value <= limit, shown <= against),
                Side::AtLeast => (value >= limit, shown >= against),
            };
            prop_assert_eq!(keeps, looks, "{} {}", shown, against);
        }
    }
}
