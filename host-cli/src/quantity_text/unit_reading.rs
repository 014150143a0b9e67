//! The unit behind a number: where it ends, which it is, what is wrong with it.

use core::ops::Range;

use super::error::{Problem, TextError};
use super::kind::Kind;
use super::number::Number;
use super::refused::refused;
use super::spelling::{Found, find, kinds_of, normalised};
use super::units::Unit;

/// The unit that follows a number.
pub(crate) fn unit_of(
    text: &str,
    number: &Number,
    span: Range<usize>,
    kind: Kind,
) -> Result<&'static Unit, TextError> {
    let written = text.get(span.clone()).unwrap_or_default();
    let spelling = match normalised(written) {
        inches if inches == "''" => "\"".into(),
        spelling => spelling,
    };
    if let Found::Unit(unit) = find(kind, &spelling) {
        return Ok(unit);
    }
    let instead = |unit: &str| replaced(text, number.span.end..span.end, &format!(" {unit}"));
    let value_span = number.span.start..span.end.max(number.span.end);
    if spelling.is_empty() {
        let rest = text.get(span.end..).unwrap_or_default();
        let problem = if rest.trim().is_empty() {
            Problem::NoUnit
        } else {
            Problem::Refused("one value was expected and more were read")
        };
        return Err(TextError::whole(text, problem, kind));
    }
    let error = |problem| TextError::new(text, value_span.clone(), problem, kind);
    if let Some(row) = refused(kind, &spelling) {
        let error = error(Problem::Refused(row.reason));
        return Err(match row.instead {
            Some(unit) => error.suggesting(instead(unit)),
            None => error,
        });
    }
    if find(kind, &spelling) == Found::CaseDecides {
        return Err(error(Problem::CaseDecides));
    }
    let kinds = kinds_of(&spelling);
    if !kinds.is_empty() {
        let error = error(Problem::OtherKind(kinds));
        return Err(match only_case_differs(kind, &spelling) {
            Some(unit) => error.suggesting(instead(unit.symbol)),
            None => error,
        });
    }
    let error = TextError::new(text, span.clone(), Problem::UnknownUnit, kind);
    Err(match nearest(kind, &spelling) {
        Some(unit) => error.suggesting(instead(unit.symbol)),
        None => error,
    })
}

/// The unit of this kind that differs in case only: `h` for `H`.
fn only_case_differs(kind: Kind, spelling: &str) -> Option<&'static Unit> {
    let mut fits = kind
        .units()
        .iter()
        .filter(|unit| unit.symbol.eq_ignore_ascii_case(spelling));
    match (fits.next(), fits.next()) {
        (Some(unit), None) if !spelling.starts_with(['m', 'M']) => Some(unit),
        _ => None,
    }
}

/// The unit with the nearest spelling; none if two are equally near.
///
/// Only words and symbols of three letters and more are compared: of shorter
/// ones each is near to each other. The first letter has to agree, it is often a prefix.
fn nearest(kind: Kind, spelling: &str) -> Option<&'static Unit> {
    let bare = spelling.trim_end_matches(['.', ',', ';', ':']);
    if let Found::Unit(unit) = find(kind, bare) {
        return Some(unit);
    }
    let mut best: Option<(usize, &'static Unit)> = None;
    let mut tied = false;
    for unit in kind.units() {
        for known in unit.spellings() {
            let length = known.chars().count().min(spelling.chars().count());
            if length < 3 || known.chars().next() != spelling.chars().next() {
                continue;
            }
            let distance = strsim::osa_distance(known, spelling);
            let allowed = if length < 6 { 1 } else { 2 };
            if distance > allowed {
                continue;
            }
            match best {
                Some((nearer, _)) if nearer < distance => {}
                Some((equal, other)) if equal == distance => tied |= other != unit,
                _ => {
                    best = Some((distance, unit));
                    tied = false;
                }
            }
        }
    }
    best.filter(|_| !tied).map(|(_, unit)| unit)
}

/// The bytes of the unit after a number, without space around.
///
/// A unit ends where a space and then a digit follows (`13 ft 6 in`), unless the
/// space stands behind a division (`ohm / 1000 ft`), and at a foot or inch mark.
/// A unit that is only known if it is cut off before a digit (`13ft6in`) is cut.
pub(crate) fn unit_span(text: &str, number_end: usize, kind: Kind) -> Range<usize> {
    let start = skip_space(text, number_end);
    let rest = text.get(start..).unwrap_or_default();
    for mark in [
        "''", "\"", "'", "\u{2033}", "\u{2032}", "\u{201d}", "\u{2019}", "\u{201c}",
    ] {
        if rest.starts_with(mark) {
            return start..start + mark.len();
        }
    }
    let mut end = text.len();
    let mut word_start = start;
    for (offset, letter) in rest.char_indices() {
        let here = start + offset;
        if letter.is_whitespace() {
            let next = skip_space(text, here);
            let word = text.get(word_start..here).unwrap_or_default();
            let divides = word.ends_with('/') || word.eq_ignore_ascii_case("per");
            if begins_number(text, next) && !divides {
                end = here;
                break;
            }
            word_start = next;
        } else if offset == 0 && begins_number(text, here) {
            end = here;
            break;
        }
    }
    let full = text.get(start..end).unwrap_or_default().trim_end();
    let known = |unit: &str| {
        let spelling = normalised(unit);
        find(kind, &spelling) != Found::Nothing || refused(kind, &spelling).is_some()
    };
    let elsewhere = || !kinds_of(&normalised(full)).is_empty();
    if kind.adds_up() && !known(full) && !elsewhere() {
        let letters = full
            .find(|c: char| !c.is_alphabetic())
            .unwrap_or(full.len());
        let (head, tail) = full.split_at(letters);
        let cut = tail.starts_with(|c: char| c.is_ascii_digit());
        if cut && known(head) {
            return start..start + head.len();
        }
    }
    start..start + full.len()
}

/// Whether a number begins here; the 1 of the unit `1/K` is none.
fn begins_number(text: &str, at: usize) -> bool {
    let rest = text.get(at..).unwrap_or_default();
    if let Some(unit) = rest.strip_prefix("1/") {
        return unit.starts_with(|c: char| c.is_ascii_digit());
    }
    let mut letters = rest.chars();
    match letters.next() {
        Some('+' | '-' | '.' | '\u{2212}' | '\u{2013}') => letters
            .next()
            .is_some_and(|c| c.is_ascii_digit() || c == '.'),
        Some(first) => first.is_ascii_digit() || "½⅓⅔¼¾⅛⅜⅝⅞".contains(first),
        None => false,
    }
}

pub(crate) fn skip_space(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or_default();
    at + (rest.len() - rest.trim_start().len())
}

/// The text with one part replaced, without space around.
pub(crate) fn replaced(text: &str, span: Range<usize>, by: &str) -> String {
    let before = text.get(..span.start).unwrap_or_default();
    let after = text.get(span.end..).unwrap_or_default();
    format!("{before}{by}{after}").trim().to_owned()
}
