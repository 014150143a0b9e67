//! The working of an answer: each equation with the numbers in it, and its source.

use core::fmt::Write;

use orangeloom_core::standard::SourceId;
use orangeloom_core::verdict::Side;
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
        significant(f64::from(value), 4)
    }
}

/// How a value and its limit are printed, each rounded to the side on which the two never
/// look better than they are.
pub(crate) fn rounded_to(side: Side) -> [fn(f32) -> String; 2] {
    match side {
        Side::AtMost => [n_up, n_down],
        Side::AtLeast => [n_down, n_up],
    }
}

/// The same, rounded up: for what is required.
pub(crate) fn n_up(value: f32) -> String {
    n_to(value, significant_up)
}

/// The same, rounded down: for what is left of a limit.
pub(crate) fn n_down(value: f32) -> String {
    n_to(value, significant_down)
}

fn n_to(value: f32, rounded: fn(f64, usize) -> String) -> String {
    let value = f64::from(value);
    if value != 0.0 && !(1.0e-4..1.0e6).contains(&value.abs()) {
        let digits = rounded(value, 4);
        digits
            .parse::<f64>()
            .map_or(digits, |value| format!("{value:.3e}"))
    } else {
        rounded(value, 4)
    }
}
