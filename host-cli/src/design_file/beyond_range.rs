//! Readings that an instrument did not show as a number: above or below what it can show.

use super::problem::{Problem, ProblemName, quoted};
use super::tree::{Node, Tree};
use crate::quantity_text::{FromText, parse};

/// What instruments show above their range, and what people write for it.
const ABOVE: [&str; 20] = [
    "ol",
    "o.l",
    "o.l.",
    ".ol",
    "0l",
    "0.l",
    "0.l.",
    ".0l",
    "ofl",
    "of",
    "or",
    "over",
    "overrange",
    "over-range",
    "overload",
    "overflow",
    "inf",
    "infinite",
    "infinity",
    "\u{221e}",
];

/// The same below it.
const BELOW: [&str; 6] = [
    "ur",
    "ul",
    "under",
    "underrange",
    "under-range",
    "underflow",
];

#[derive(Clone, Copy, PartialEq)]
enum Beyond {
    Above,
    Below,
}

/// To which side a true value may be off what is written without a rule holding that does not.
enum Safe {
    /// It has to be large.
    Above,
    /// It has to be small.
    Below,
    /// Too little of it is told as well as too much.
    Neither,
}

/// What is safe of the value of a key.
fn safe(key: &str) -> Safe {
    match key {
        "isolation" | "withstood" | "cut-back" => Safe::Above,
        "bond" | "joint" | "shield" => Safe::Below,
        _ => Safe::Neither,
    }
}

/// Whether a text says that the true value is above or below something, and the amount behind
/// the sign.
fn read(text: &str) -> Option<(Beyond, &str)> {
    let text = text.trim();
    for (signs, beyond) in [
        (['>', '\u{2265}'], Beyond::Above),
        (['<', '\u{2264}'], Beyond::Below),
    ] {
        if let Some(amount) = text.strip_prefix(signs) {
            return Some((beyond, amount.trim_start_matches('=').trim()));
        }
    }
    let first = text
        .trim_start_matches(['+', '-'])
        .split_whitespace()
        .next()?;
    let word = first.to_ascii_lowercase();
    if ABOVE.contains(&word.as_str()) {
        Some((Beyond::Above, ""))
    } else if BELOW.contains(&word.as_str()) {
        Some((Beyond::Below, ""))
    } else {
        None
    }
}

/// What is wrong with the amount of a reading that is none, and what to write.
pub(super) fn refused<Q: FromText>(key: &str, node: &Node) -> Option<Problem> {
    let Tree::Text(text) = &node.value else {
        return None;
    };
    let (beyond, amount) = read(text)?;
    let side = match beyond {
        Beyond::Above => "above",
        Beyond::Below => "below",
    };
    let what = format!(
        "{key}: {} is no amount but says that it is {side} what was shown",
        quoted(text)
    );
    let problem = Problem::new(ProblemName::NoAmount, node.place.clone(), what);
    let here = format!("{side} the range of the instrument");
    Some(problem.here(here).advice(advice::<Q>(key, beyond, amount)))
}

fn advice<Q: FromText>(key: &str, beyond: Beyond, amount: &str) -> String {
    // An amount without or with an odd unit would be refused as well.
    let example = if parse::<Q>(amount).is_ok() {
        format!(", as {}", quoted(amount))
    } else {
        String::new()
    };
    match (beyond, safe(key)) {
        (Beyond::Above, Safe::Above) => format!(
            "write the largest value that the tester can show at that setting{example}: the true \
             one is above it"
        ),
        (Beyond::Below, Safe::Below) => format!(
            "write the smallest step that the tester shows at that setting{example}: the true one \
             is below it"
        ),
        (Beyond::Above, Safe::Below) => format!(
            "nothing is proven by {key} above a range: read it at a setting that reaches it; above \
             the range of every setting the connection is open"
        ),
        (Beyond::Below, Safe::Above) => format!(
            "nothing is proven by {key} below a range: read it at a setting that shows it; below \
             the smallest step of every setting it is 0"
        ),
        (_, Safe::Neither) => {
            "read it at a setting that shows it, and write what it shows".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orangeloom_core::quantity::Resistance;

    #[test]
    fn what_instruments_show_beyond_their_range_is_told_from_amounts() {
        for (text, wanted) in [
            (">1 GOhm", Some((Beyond::Above, "1 GOhm"))),
            ("> 999 Mohm", Some((Beyond::Above, "999 Mohm"))),
            (">= 2 Gohm", Some((Beyond::Above, "2 Gohm"))),
            ("OL", Some((Beyond::Above, ""))),
            ("0.L Mohm", Some((Beyond::Above, ""))),
            ("inf Mohm", Some((Beyond::Above, ""))),
            ("<0.01 ohm", Some((Beyond::Below, "0.01 ohm"))),
            ("\u{2264} 0.01 ohm", Some((Beyond::Below, "0.01 ohm"))),
            ("550 Mohm", None),
            ("0 ohm", None),
            ("open", None),
            ("", None),
        ] {
            assert!(read(text) == wanted, "{text}");
        }
    }

    #[test]
    fn no_advice_makes_a_value_look_better_than_it_is() {
        let told = advice::<Resistance>;
        let above = told("isolation", Beyond::Above, "550 Mohm");
        assert!(
            above.contains("largest value") && above.contains("\"550 Mohm\""),
            "{above}"
        );
        assert!(!told("isolation", Beyond::Above, "1 GOOhm").contains("GOOhm"));
        let below = told("bond", Beyond::Below, "0.01 ohm");
        assert!(
            below.contains("smallest step") && below.contains("\"0.01 ohm\""),
            "{below}"
        );
        for (key, beyond) in [
            ("isolation", Beyond::Below),
            ("bond", Beyond::Above),
            ("drop", Beyond::Above),
            ("drop", Beyond::Below),
        ] {
            let told = told(key, beyond, "1 ohm");
            assert!(told.contains("at a setting that"), "{key}: {told}");
            assert!(!told.contains("write the"), "{key}: {told}");
        }
    }
}
