//! What was read, what was needed, what to do.

use core::fmt;
use core::ops::Range;

use super::kind::Kind;

/// Why a text is not a quantity.
///
/// [`fmt::Display`] is one line for a person. The span serves a reader of files
/// that points at line and column.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct TextError {
    /// The bytes of the text that the problem is about; ends on letters.
    pub span: Range<usize>,
    /// The text at the span as it was read.
    pub read: Box<str>,
    /// What is wrong with it.
    pub problem: Problem,
    /// What was needed, with its article: `a length`.
    pub needed: &'static str,
    /// The accepted units and an example.
    pub accepted: Box<str>,
    /// Whole texts that were perhaps meant. More than one where two readings
    /// are equally likely.
    pub suggestions: Vec<String>,
}

/// What is wrong with a text.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Problem {
    /// Nothing but space.
    Empty,
    /// No number where one has to begin.
    NotANumber,
    /// A comma in a number; decimal sign in one country, thousands in another.
    Comma,
    /// A space, underscore or apostrophe between groups of three digits.
    Thousands,
    /// A power of ten written with a cross.
    PowerOfTen,
    /// A fraction with denominator zero.
    ZeroDenominator,
    /// Beyond what any quantity can be.
    TooLarge,
    /// Not zero, but rounded to zero.
    TooSmall,
    /// A number without unit.
    NoUnit,
    /// A unit of another kind of quantity.
    OtherKind(Vec<Kind>),
    /// Not a unit of anything.
    UnknownUnit,
    /// `m` and `M`: milli and mega.
    CaseDecides,
    /// Understood, and not accepted for this reason.
    Refused(&'static str),
    /// Outside the accepted range, which follows in words.
    OutOfRange(String),
}

impl TextError {
    /// A problem with a part of a text.
    pub(crate) fn new(text: &str, span: Range<usize>, problem: Problem, kind: Kind) -> Self {
        Self {
            read: text.get(span.clone()).unwrap_or(text).into(),
            span,
            problem,
            needed: kind.noun(),
            accepted: kind.accepted().into(),
            suggestions: Vec::new(),
        }
    }

    /// A problem with a text as a whole; the span leaves out space around it.
    pub(crate) fn whole(text: &str, problem: Problem, kind: Kind) -> Self {
        let start = text.len() - text.trim_start().len();
        let end = start + text.trim().len();
        Self::new(text, start..end, problem, kind)
    }

    #[must_use]
    pub(crate) fn suggesting(mut self, text: String) -> Self {
        self.suggestions.push(text);
        self
    }

    /// The same error seen from a text that has `offset` more bytes in front.
    #[must_use]
    pub(crate) fn moved(mut self, offset: usize) -> Self {
        self.span = self.span.start + offset..self.span.end + offset;
        self
    }
}

impl fmt::Display for TextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let read = Quoted(&self.read);
        let (needed, accepted) = (self.needed, &self.accepted);
        match &self.problem {
            Problem::Empty => write!(f, "nothing was entered, {needed} is needed: {accepted}"),
            Problem::NotANumber => {
                write!(
                    f,
                    "{read} does not begin with a number, {needed} is needed: {accepted}"
                )
            }
            Problem::Comma => write!(
                f,
                "{read} has a comma: write a point for decimals and no sign between thousands"
            ),
            Problem::Thousands => {
                write!(
                    f,
                    "{read} has a sign between digits: write the digits together"
                )
            }
            Problem::PowerOfTen => write!(f, "{read} is not read: write powers of ten as 2.0e5"),
            Problem::ZeroDenominator => write!(f, "the fraction {read} divides by zero"),
            Problem::TooLarge => {
                write!(
                    f,
                    "{read} is too large for {needed}: check the number of digits"
                )
            }
            Problem::TooSmall => write!(
                f,
                "{read} is too small to be told from zero: check the exponent, or write 0"
            ),
            Problem::NoUnit => write!(f, "{read} has no unit, {needed} needs one: {accepted}"),
            Problem::OtherKind(kinds) => {
                let nouns: Vec<&str> = kinds.iter().map(|kind| kind.noun()).collect();
                write!(
                    f,
                    "{read} is {}, {needed} is needed: {accepted}",
                    nouns.join(" or ")
                )
            }
            Problem::UnknownUnit => write!(
                f,
                "{read} is not a known unit, {needed} is needed: {accepted}"
            ),
            Problem::CaseDecides => write!(
                f,
                "{read} is not accepted, m is milli, M is mega and the case decides; \
                 {needed} is needed: {accepted}"
            ),
            Problem::Refused(reason) => {
                write!(f, "{read}: {reason}; {needed} is needed: {accepted}")
            }
            Problem::OutOfRange(range) => write!(f, "{read} is out of range: {range}"),
        }?;
        for (at, suggestion) in self.suggestions.iter().enumerate() {
            let join = if at == 0 { "; did you mean" } else { " or" };
            write!(f, "{join} {}", Quoted(suggestion))?;
        }
        Ok(())
    }
}

impl core::error::Error for TextError {}

/// A text in quotes, short, with what cannot be seen made visible.
struct Quoted<'a>(&'a str);

impl fmt::Display for Quoted<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const LONGEST: usize = 60;
        let quote = if self.0.contains('"') { '`' } else { '"' };
        write!(f, "{quote}")?;
        for (count, letter) in self.0.chars().enumerate() {
            if count == LONGEST {
                write!(f, "...")?;
                break;
            }
            let hidden = !letter.is_ascii() && !letter.is_alphanumeric() && !printable(letter);
            if letter.is_control() || hidden {
                write!(f, "{}", letter.escape_unicode())?;
            } else {
                write!(f, "{letter}")?;
            }
        }
        write!(f, "{quote}")
    }
}

/// Signs outside ASCII that a person can see and that occur in quantities.
fn printable(letter: char) -> bool {
    "°²³·×½¼¾⅛⅜⅝⅞′″’”“‘−–—µΩ‰€£±≈".contains(letter)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_seen_is_shown() {
        assert_eq!(
            Quoted("5\u{a0}V\u{200b}").to_string(),
            "\"5\\u{a0}V\\u{200b}\""
        );
        assert_eq!(Quoted("13'6\"").to_string(), "`13'6\"`");
        assert_eq!(Quoted("70 mm²").to_string(), "\"70 mm²\"");
        assert!(Quoted(&"x".repeat(500)).to_string().len() < 70);
    }

    #[test]
    fn a_command_line_parser_can_carry_it() {
        fn carried<E: core::error::Error + Send + Sync + 'static>() {}
        carried::<TextError>();
    }

    #[test]
    fn the_span_of_a_whole_text_leaves_out_the_space_around() {
        let error = TextError::whole("  3 V ", Problem::Empty, Kind::Length);
        assert_eq!(error.span, 2..5);
        assert_eq!(&*error.read, "3 V");
    }
}
