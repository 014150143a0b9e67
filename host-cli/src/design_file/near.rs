//! The nearest known name to one that is not known.

use core::cmp::Reverse;

/// The nearest of some names, if one is near enough to have been meant.
///
/// Near enough: at most one slip of the pen for every three letters, two for a
/// short name; case and the sign between words do not count. Of those that are equally near
/// the one that begins alike: the first letter is seldom the slip.
pub(crate) fn nearest<'a>(
    written: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    // Longer than any name that fits: nothing is near it, and comparing takes
    // the square of the length.
    if written.len() > LONGEST {
        return None;
    }
    let plain = plain(written);
    let allowed = (written.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|name| {
            let other = self::plain(name);
            // The first word of several may be all that was written.
            let begins = !plain.is_empty() && other.starts_with(&format!("{plain}-"));
            let slips = if begins {
                1
            } else {
                strsim::damerau_levenshtein(&plain, &other)
            };
            let letters = plain.chars().zip(other.chars());
            let alike = letters.take_while(|(one, other)| one == other).count();
            (slips, Reverse(alike), name)
        })
        .filter(|(slips, _, name)| *slips <= allowed && *slips < name.chars().count())
        .min_by_key(|(slips, alike, _)| (*slips, *alike))
        .map(|(_, _, name)| name)
}

const LONGEST: usize = 80;

fn plain(name: &str) -> String {
    name.trim()
        .chars()
        .map(|letter| match letter {
            '_' | ' ' => '-',
            other => other.to_ascii_lowercase(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_recognised_and_strangers_are_not() {
        let keys = ["in-series", "in-parallel", "cell", "links", "box"];
        for (written, meant) in [
            ("in_series", Some("in-series")),
            ("inseries", Some("in-series")),
            ("In-Series", Some("in-series")),
            ("in-paralell", Some("in-parallel")),
            ("cel", Some("cell")),
            ("bxo", Some("box")),
            ("colour", None),
            ("x", None),
            ("", None),
        ] {
            assert_eq!(nearest(written, keys), meant, "{written}");
        }
        assert_eq!(nearest("bnd", ["end", "bond"]), Some("bond"));
        assert_eq!(nearest("Time", ["end", "time-of-day"]), Some("time-of-day"));
        let rules = ["joint-stack", "joint-torque"];
        assert_eq!(nearest("joint-tork", rules), Some("joint-torque"));
        assert_eq!(nearest(&"x".repeat(100_000), keys), None);
    }
}
