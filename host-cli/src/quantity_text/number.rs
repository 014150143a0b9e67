//! One number, and the slips of the pen that are recognised.
//!
//! `2.4`, `.5`, `-3`, `2.0e5`, `5/16`, `1 1/2`, `1-1/2`, `1½`. A comma, and any
//! sign between groups of digits, is refused: `2,5` and `1,000` mean different
//! things in different countries.

use core::ops::Range;

use super::error::Problem;

/// A number that was read.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Number {
    /// Without its sign.
    pub(crate) magnitude: f64,
    pub(crate) negative: bool,
    /// A digit other than 0 is in it, also if the magnitude rounds to zero.
    pub(crate) not_zero: bool,
    pub(crate) span: Range<usize>,
}

impl Number {
    pub(crate) fn value(&self) -> f64 {
        if self.negative {
            -self.magnitude
        } else {
            self.magnitude
        }
    }
}

/// What is wrong, where, and texts for that place that were perhaps meant.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Slip {
    pub(crate) problem: Problem,
    pub(crate) span: Range<usize>,
    pub(crate) instead: Vec<String>,
}

impl Slip {
    fn new(problem: Problem, span: Range<usize>) -> Self {
        Self {
            problem,
            span,
            instead: Vec::new(),
        }
    }
}

/// Reads the number that begins at a byte of the text.
pub(crate) fn read(text: &str, at: usize) -> Result<Number, Slip> {
    let mut cursor = Cursor { text, at };
    let mut negative = false;
    match cursor.peek() {
        Some('+') => cursor.step(),
        Some('-' | '\u{2212}' | '\u{2013}') => {
            negative = true;
            cursor.step();
        }
        _ => {}
    }
    let whole = cursor.digits();
    let mut decimals = None;
    if cursor.peek() == Some('.') && (!whole.is_empty() || cursor.digit_follows(1)) {
        cursor.step();
        decimals = Some(cursor.digits());
    }
    if whole.is_empty() && decimals.is_none() {
        return match cursor.vulgar() {
            Some((over, under)) => Ok(Number {
                magnitude: f64::from(over) / f64::from(under),
                negative,
                not_zero: true,
                span: at..cursor.at,
            }),
            None => Err(Slip::new(Problem::NotANumber, at..word_end(text, at))),
        };
    }
    refuse_grouping(text, at, &cursor, whole, decimals)?;

    let mut digits = format!("{whole}.{}", decimals.unwrap_or("0"));
    let mut not_zero = digits.contains(|c: char| c.is_ascii_digit() && c != '0');
    let mut has_exponent = false;
    if let Some(exponent) = cursor.exponent() {
        has_exponent = true;
        digits.push('e');
        digits.push_str(&exponent);
    }
    // A text of digits, one point and an exponent is always a number for Rust.
    let mut magnitude: f64 = digits.parse().unwrap_or(f64::INFINITY);

    if decimals.is_none() && !has_exponent {
        match cursor.fraction(whole) {
            Fraction::None => {}
            Fraction::Added(over, under) if under > 0.0 => {
                magnitude += over / under;
                not_zero |= over > 0.0;
            }
            Fraction::Over(under) if under > 0.0 => magnitude /= under,
            Fraction::Added(..) | Fraction::Over(_) => {
                return Err(Slip::new(Problem::ZeroDenominator, at..cursor.at));
            }
        }
    }
    let span = at..cursor.at;
    if !magnitude.is_finite() {
        return Err(Slip::new(Problem::TooLarge, span));
    }
    if let Some('×' | '⋅' | '·' | '*' | 'x' | 'X') = cursor.after_space()
        && cursor
            .rest()
            .trim_start()
            .chars()
            .skip(1)
            .find(|c| !c.is_whitespace())
            == Some('1')
    {
        return Err(Slip::new(
            Problem::PowerOfTen,
            at..word_end(text, cursor.at),
        ));
    }
    Ok(Number {
        magnitude,
        negative,
        not_zero,
        span,
    })
}

/// Refuses commas, and spaces, underscores and apostrophes between groups of
/// three digits.
fn refuse_grouping(
    text: &str,
    at: usize,
    cursor: &Cursor<'_>,
    whole: &str,
    decimals: Option<&str>,
) -> Result<(), Slip> {
    let rest = cursor.rest();
    let Some(sign) = rest.chars().next() else {
        return Ok(());
    };
    let after = &rest[sign.len_utf8()..];
    let group = after.bytes().take_while(u8::is_ascii_digit).count();
    let part_of_number =
        |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '_' | '\'' | '\u{2019}');
    let end = cursor.at + rest.find(|c| !part_of_number(c)).unwrap_or(rest.len());
    let run = text.get(at..end).unwrap_or_default();
    let joined: String = run.chars().filter(|&c| c != sign).collect();
    let mut slip = Slip::new(Problem::Thousands, at..end);
    match sign {
        ',' => {
            slip.problem = Problem::Comma;
            let commas = run.matches(',').count();
            if decimals.is_none() && commas == 1 && group > 0 {
                let pointed = run.replace(',', ".");
                let one_point = pointed.matches('.').count() == 1;
                if group == 3 && whole != "0" {
                    slip.instead.push(joined);
                }
                if one_point {
                    slip.instead.push(pointed);
                }
            } else if decimals.is_none() && commas > 1 {
                slip.instead.push(joined);
            }
            Err(slip)
        }
        '.' if decimals.is_some() && group > 0 => {
            let groups_of_three = run.split('.').skip(1).all(|group| group.len() == 3);
            if groups_of_three {
                slip.instead.push(joined);
            }
            Err(slip)
        }
        '_' => {
            slip.instead.push(joined);
            Err(slip)
        }
        // 13'6" is feet and inches, 1'000 is not.
        '\'' | '\u{2019}' if group == 3 && !inches_follow(&after[group..]) => {
            slip.instead.push(joined);
            Err(slip)
        }
        space if space.is_whitespace() && decimals.is_none() && (1..=3).contains(&whole.len()) => {
            let digits = after.trim_start();
            let group = digits.bytes().take_while(u8::is_ascii_digit).count();
            let next = digits[group..].chars().next();
            if group != 3 || matches!(next, Some('/' | '\u{2044}' | '\u{2215}')) {
                return Ok(());
            }
            let digits_at = text.len() - digits.len();
            let end = digits_at
                + digits
                    .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ' '))
                    .unwrap_or(digits.len());
            let run = text.get(at..end).unwrap_or_default().trim_end();
            slip.span = at..at + run.len();
            slip.instead
                .push(run.chars().filter(|c| !c.is_whitespace()).collect());
            Err(slip)
        }
        _ => Ok(()),
    }
}

fn inches_follow(text: &str) -> bool {
    let text = text.trim_start();
    ["\"", "\u{2033}", "\u{201d}", "''", "in"]
        .iter()
        .any(|mark| text.starts_with(mark))
}

/// Where the word that begins here ends; at least one letter further.
fn word_end(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or_default();
    rest.char_indices()
        .find(|&(offset, letter)| offset > 0 && letter.is_whitespace())
        .map_or(text.len(), |(offset, _)| at + offset)
}

enum Fraction {
    None,
    /// The digits so far are a whole number and this comes on top.
    Added(f64, f64),
    /// The digits so far are the numerator.
    Over(f64),
}

/// Common fractions that have a sign of their own.
const VULGAR: &[(char, u8, u8)] = &[
    ('½', 1, 2),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
];

struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn after_space(&self) -> Option<char> {
        self.rest().trim_start().chars().next()
    }

    fn step(&mut self) {
        self.at += self.peek().map_or(0, char::len_utf8);
    }

    fn digit_follows(&self, bytes: usize) -> bool {
        self.rest()
            .as_bytes()
            .get(bytes)
            .is_some_and(u8::is_ascii_digit)
    }

    fn digits(&mut self) -> &'a str {
        let rest = self.rest();
        let count = rest.bytes().take_while(u8::is_ascii_digit).count();
        self.at += count;
        &rest[..count]
    }

    /// `e5`, `E-5`; a lone `e` is left where it is.
    fn exponent(&mut self) -> Option<String> {
        let start = self.at;
        let mut exponent = String::new();
        if matches!(self.peek(), Some('e' | 'E')) {
            self.step();
            match self.peek() {
                Some('+') => self.step(),
                Some('-' | '\u{2212}') => {
                    exponent.push('-');
                    self.step();
                }
                _ => {}
            }
            let digits = self.digits();
            if !digits.is_empty() {
                exponent.push_str(digits);
                return Some(exponent);
            }
        }
        self.at = start;
        None
    }

    fn vulgar(&mut self) -> Option<(u8, u8)> {
        let sign = self.peek()?;
        let &(_, over, under) = VULGAR.iter().find(|(known, ..)| *known == sign)?;
        self.step();
        Some((over, under))
    }

    fn slash(&mut self) -> bool {
        let is_slash = matches!(self.peek(), Some('/' | '\u{2044}' | '\u{2215}'));
        if is_slash {
            self.step();
        }
        is_slash
    }

    /// `/16`, ` 1/2`, `-1/2`, `½` after a whole number.
    fn fraction(&mut self, whole: &str) -> Fraction {
        let start = self.at;
        if !whole.is_empty() && self.slash() {
            let under = self.digits();
            if !under.is_empty() {
                return Fraction::Over(under.parse().unwrap_or(0.0));
            }
        }
        self.at = start;
        if self.peek() == Some('-') {
            self.step();
        } else {
            self.at += self.rest().len() - self.rest().trim_start().len();
        }
        if let Some((over, under)) = self.vulgar() {
            return Fraction::Added(f64::from(over), f64::from(under));
        }
        let over = self.digits();
        if !over.is_empty() && self.slash() {
            let under = self.digits();
            let (over, under) = (
                over.parse().unwrap_or(f64::INFINITY),
                under.parse().unwrap_or(0.0),
            );
            // 1 3/2 is more likely two numbers than two and a half.
            if over < under || under == 0.0 {
                return Fraction::Added(over, under);
            }
        }
        self.at = start;
        Fraction::None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_written() {
        for (text, value, length) in [
            ("2.4", 2.4, 3),
            (".5", 0.5, 2),
            ("5.", 5.0, 2),
            ("-3 V", -3.0, 2),
            ("\u{2212}3 V", -3.0, 4),
            ("+3", 3.0, 2),
            ("2.0e5 A2s", 2.0e5, 5),
            ("2E-5", 2.0e-5, 4),
            ("2e\u{2212}5", 2.0e-5, 6),
            ("5e", 5.0, 1),
            ("5/16 in", 0.3125, 4),
            ("1 1/2 in", 1.5, 5),
            ("1-1/2 in", 1.5, 5),
            ("1½ in", 1.5, 3),
            ("1 ½ in", 1.5, 4),
            ("½\"", 0.5, 2),
            ("5\u{2044}16", 0.3125, 6),
            ("1 2 3", 1.0, 1),
            ("1 3/2 in", 1.0, 1),
            ("13'6\"", 13.0, 2),
            ("13'100\"", 13.0, 2),
        ] {
            let number = read(text, 0).unwrap();
            assert!((number.value() - value).abs() < 1e-15, "{text}");
            assert_eq!(number.span, 0..length, "{text}");
        }
    }

    #[test]
    fn separators_are_refused_with_what_was_perhaps_meant() {
        let cases: &[(&str, Problem, &[&str])] = &[
            ("2,5 mm2", Problem::Comma, &["2.5"]),
            ("0,125 mm2", Problem::Comma, &["0.125"]),
            ("1,000 V", Problem::Comma, &["1000", "1.000"]),
            ("1,000,000 V", Problem::Comma, &["1000000"]),
            ("1,000.5 V", Problem::Comma, &["1000.5"]),
            ("1.000,5 V", Problem::Comma, &[]),
            ("2, V", Problem::Comma, &[]),
            ("1.000.000 V", Problem::Thousands, &["1000000"]),
            ("3.5.2 V", Problem::Thousands, &[]),
            ("1_000 V", Problem::Thousands, &["1000"]),
            ("1'000 V", Problem::Thousands, &["1000"]),
            ("1 000 V", Problem::Thousands, &["1000"]),
            ("1\u{a0}000 V", Problem::Thousands, &["1000"]),
            ("1 000 000 V", Problem::Thousands, &["1000000"]),
            ("2x10^5 A2s", Problem::PowerOfTen, &[]),
            ("2 × 10^5 A2s", Problem::PowerOfTen, &[]),
            ("1/0 m", Problem::ZeroDenominator, &[]),
            ("1 1/0 m", Problem::ZeroDenominator, &[]),
            ("1e400 m", Problem::TooLarge, &[]),
            ("nan", Problem::NotANumber, &[]),
            ("inf V", Problem::NotANumber, &[]),
            (".", Problem::NotANumber, &[]),
            ("", Problem::NotANumber, &[]),
        ];
        for (text, problem, instead) in cases {
            let slip = read(text, 0).unwrap_err();
            assert_eq!(slip.problem, *problem, "{text}");
            assert_eq!(slip.instead, *instead, "{text}");
            assert!(text.get(slip.span).is_some(), "{text}");
        }
    }

    #[test]
    fn a_number_that_rounds_to_zero_is_remembered_as_not_zero() {
        let number = read("1e-400 m", 0).unwrap();
        assert!(number.magnitude.abs() < f64::MIN_POSITIVE && number.not_zero);
        assert!(!read("0.00", 0).unwrap().not_zero);
    }
}
