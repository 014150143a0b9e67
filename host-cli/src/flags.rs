//! What the flags of every command share: reading, defaults, plain checks.

use clap::ValueEnum;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use orangeloom_core::error::Error;

use crate::quantity_text::{FromText, Units, parse};

/// A clap value parser for every quantity.
pub(crate) fn read<Q: FromText>(text: &str) -> Result<Q, String> {
    parse(text).map_err(|error| error.to_string())
}

/// A clap value parser for the members of a list, by the word of each.
pub(crate) fn one_of<T: Copy + Send + Sync + 'static>(
    all: &'static [T],
    word: fn(T) -> &'static str,
) -> impl TypedValueParser<Value = T> {
    let words: Vec<&str> = all.iter().map(|&one| word(one)).collect();
    PossibleValuesParser::new(words).try_map(move |read| {
        all.iter()
            .copied()
            .find(|&one| word(one).eq_ignore_ascii_case(&read))
            .ok_or("not in the list")
    })
}

/// The same with other spellings of each word, which are accepted and not listed.
pub(crate) fn one_of_spelled<T: Copy + Send + Sync + 'static>(
    all: &'static [T],
    word: fn(T) -> &'static str,
    others: fn(T) -> &'static [&'static str],
) -> impl TypedValueParser<Value = T> {
    let words: Vec<PossibleValue> = all
        .iter()
        .map(|&one| PossibleValue::new(word(one)).aliases(others(one).iter().copied()))
        .collect();
    PossibleValuesParser::new(words).try_map(move |read| {
        let spelled = |one: &str| one.eq_ignore_ascii_case(&read);
        all.iter()
            .copied()
            .find(|&one| spelled(word(one)) || others(one).iter().any(|other| spelled(other)))
            .ok_or("not in the list")
    })
}

/// The same as [`one_of`] with a line of help for each word.
pub(crate) fn one_of_described<T: Copy + Send + Sync + 'static>(
    all: &'static [T],
    word: fn(T) -> &'static str,
    description: fn(T) -> &'static str,
) -> impl TypedValueParser<Value = T> {
    let words: Vec<PossibleValue> = all
        .iter()
        .map(|&one| PossibleValue::new(word(one)).help(description(one)))
        .collect();
    PossibleValuesParser::new(words).try_map(move |read| {
        all.iter()
            .copied()
            .find(|&one| word(one).eq_ignore_ascii_case(&read))
            .ok_or("not in the list")
    })
}

/// Units of the printed text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[allow(clippy::exhaustive_enums)] // the trade uses these two
pub enum UnitSystem {
    /// m, mm, degC, kg; sections in mm2.
    Metric,
    /// ft, in, degF, lb; sections in AWG or kcmil.
    Us,
}

impl From<UnitSystem> for Units {
    fn from(system: UnitSystem) -> Self {
        match system {
            UnitSystem::Metric => Self::Metric,
            UnitSystem::Us => Self::Us,
        }
    }
}

/// The stated value, or the default, which is then noted under the input's name.
pub(crate) fn or_default<T>(
    given: Option<T>,
    input: &'static str,
    defaults: &mut Vec<&'static str>,
    default: Result<T, Error>,
) -> Result<T, String> {
    if let Some(value) = given {
        Ok(value)
    } else {
        defaults.push(input);
        usable(default)
    }
}

/// An error of the core in words.
pub(crate) fn usable<T>(value: Result<T, Error>) -> Result<T, String> {
    value.map_err(|error| error.to_string())
}

/// Refuses what has to be above zero and is not.
pub(crate) fn positive(flag: &str, what: &str, unit: &str, value: f32) -> Result<(), String> {
    if value > 0.0 {
        return Ok(());
    }
    Err(format!(
        "the {what} of {flag} is {value} {unit}: it has to be above zero"
    ))
}
