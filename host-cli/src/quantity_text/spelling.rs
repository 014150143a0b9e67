//! How a spelling is found in the table of units.

use std::borrow::Cow;

use super::kind::Kind;
use super::units::Unit;

/// One spelling for what is written in many ways: micro sign and mu, ohm sign
/// and omega, degree sign, raised digits, dots and crosses between units, "per".
pub(crate) fn normalised(text: &str) -> Cow<'_, str> {
    if is_normal(text) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(rewritten(text))
    }
}

/// Whether a text has nothing that could be written otherwise: most units in a file.
fn is_normal(text: &str) -> bool {
    let letters = |c: u8| c.is_ascii_alphanumeric() || c == b'/';
    let many_ohms = |ending: &[u8]| ending.eq_ignore_ascii_case(b"hms");
    text.bytes().all(letters)
        && !text.as_bytes().windows(3).any(many_ohms)
        && !text.eq_ignore_ascii_case("per")
}

fn rewritten(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.trim().chars() {
        match letter {
            'µ' | 'μ' => plain.push('u'),
            'Ω' | '\u{2126}' => plain.push_str("ohm"),
            '°' | 'º' => plain.push_str("deg"),
            '℃' => plain.push_str("degC"),
            '℉' => plain.push_str("degF"),
            '²' => plain.push('2'),
            '³' => plain.push('3'),
            '^' => {}
            '″' | '”' | '“' => plain.push('"'),
            '′' | '’' => plain.push('\''),
            '·' | '⋅' | '*' => plain.push(' '),
            '∕' | '⁄' => plain.push('/'),
            space if space.is_whitespace() => plain.push(' '),
            other => plain.push(other),
        }
    }
    let mut joined = String::with_capacity(plain.len());
    for word in plain.split_whitespace() {
        let word = if word.eq_ignore_ascii_case("per") {
            "/"
        } else {
            word
        };
        if !joined.is_empty() && !joined.ends_with('/') && !word.starts_with('/') {
            joined.push(' ');
        }
        joined.push_str(word);
    }
    joined
        .replace("ohms", "ohm")
        .replace("Ohms", "Ohm")
        .replace("OHMS", "OHM")
}

/// What a spelling is within one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Found {
    /// This unit.
    Unit(&'static Unit),
    /// A unit if `m` and `M` did not differ.
    CaseDecides,
    /// Nothing in this kind.
    Nothing,
}

/// Looks a normalised spelling up in one kind.
///
/// Wrong case is forgiven (`kv`, `DEGC`) unless the wrong letter is a leading
/// `m` or `M`, milli or mega, or the spelling is right for another kind (`H` is
/// no hour).
pub(crate) fn find(kind: Kind, spelling: &str) -> Found {
    let units = kind.units();
    if let Some(unit) = units.iter().find(|unit| unit.spelled_exactly(spelling)) {
        return Found::Unit(unit);
    }
    if spelling.is_empty() || !kinds_of(spelling).is_empty() {
        return Found::Nothing;
    }
    let first = spelling.chars().next();
    let (mut same_prefix, mut other_prefix) = (Vec::new(), false);
    for unit in units {
        for known in unit.exact_case_spellings() {
            if !known.eq_ignore_ascii_case(spelling) {
                continue;
            }
            if matches!(first, Some('m' | 'M')) && known.chars().next() != first {
                other_prefix = true;
            } else if !same_prefix.contains(&unit) {
                same_prefix.push(unit);
            }
        }
    }
    let both_cases = spelling.contains(|c: char| c.is_ascii_uppercase())
        && spelling.contains(|c: char| c.is_ascii_lowercase());
    match same_prefix.as_slice() {
        [unit] if !other_prefix || both_cases => Found::Unit(unit),
        [] if !other_prefix => Found::Nothing,
        _ => Found::CaseDecides,
    }
}

/// The kinds that a normalised spelling is a unit of.
pub(crate) fn kinds_of(spelling: &str) -> Vec<Kind> {
    Kind::ALL
        .iter()
        .copied()
        .filter(|kind| !kind.is_special_case())
        .filter(|kind| {
            kind.units()
                .iter()
                .any(|unit| unit.spelled_exactly(spelling))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_spelling_names_two_units_of_one_kind() {
        for &kind in Kind::ALL {
            for unit in kind.units() {
                for spelling in unit.spellings() {
                    assert_eq!(
                        find(kind, spelling),
                        Found::Unit(unit),
                        "{kind:?} {spelling}"
                    );
                    // Otherwise a text in this spelling could never match.
                    assert_eq!(normalised(spelling), *spelling, "{kind:?}");
                    assert_eq!(rewritten(spelling), *spelling, "{kind:?}");
                }
                assert!(unit.symbol.is_ascii());
                assert!(unit.factor > 0.0 && unit.factor.is_finite());
            }
        }
    }

    #[test]
    fn milli_and_mega_are_never_confused() {
        for (spelling, factor) in [("mohm", 1e-3), ("mOhm", 1e-3), ("Mohm", 1e6), ("MOhm", 1e6)] {
            let Found::Unit(unit) = find(Kind::Resistance, spelling) else {
                panic!("{spelling}")
            };
            assert!((unit.factor / factor - 1.0).abs() < 1e-12, "{spelling}");
        }
        for (kind, spelling) in [
            (Kind::Resistance, "MOHM"),
            (Kind::Power, "mw"),
            (Kind::Voltage, "MV"),
            (Kind::Current, "MA"),
            (Kind::Length, "MM"),
            (Kind::Pressure, "mpa"),
        ] {
            assert_eq!(find(kind, spelling), Found::CaseDecides, "{spelling}");
        }
    }

    #[test]
    fn wrong_case_is_forgiven_where_it_changes_nothing() {
        for (kind, spelling, symbol) in [
            (Kind::Voltage, "kv", "kV"),
            (Kind::Voltage, "v", "V"),
            (Kind::Temperature, "DEGC", "degC"),
            (Kind::Temperature, "c", "degC"),
            (Kind::Section, "KCMIL", "kcmil"),
            (Kind::Frequency, "hz", "Hz"),
            (Kind::Length, "FT", "ft"),
            (Kind::Length, "Metres", "m"),
            (Kind::Resistance, "Ohm", "ohm"),
        ] {
            let Found::Unit(unit) = find(kind, spelling) else {
                panic!("{spelling}")
            };
            assert_eq!(unit.symbol, symbol);
        }
        assert_eq!(find(Kind::Time, "H"), Found::Nothing);
    }

    #[test]
    fn signs_are_one_spelling() {
        for (text, plain) in [
            ("µΩ", "uohm"),
            ("μF", "uF"),
            ("°C", "degC"),
            ("mm²", "mm2"),
            ("mm^2", "mm2"),
            ("A²·s", "A2 s"),
            ("ohms / km", "ohm/km"),
            ("Ohms per 1000  ft", "Ohm/1000 ft"),
            ("W/(m·K)", "W/(m K)"),
        ] {
            assert_eq!(normalised(text), plain);
        }
    }
}
