//! The files that were read, and places in them.

use core::ops::Range;
use std::path::Path;

/// A place in one of the files.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(clippy::exhaustive_structs)] // a file and bytes of it are all there is
pub struct Place {
    /// Which file, counted in the order in which they were read.
    pub file: usize,
    /// First byte and one past the last.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Place {
    pub(super) fn new(file: usize, range: Range<usize>) -> Self {
        Self {
            file,
            start: range.start,
            end: range.end,
        }
    }
}

/// One file.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Source {
    /// Its path as it is shown.
    pub path: String,
    /// The last part of that.
    name: String,
    /// What is in it.
    pub text: String,
    /// Where its lines end: an answer asks for hundreds of them.
    line_ends: Vec<usize>,
}

impl Source {
    pub(super) fn new(path: String, text: String) -> Self {
        let ends = text.match_indices('\n');
        let name = Path::new(&path).file_name();
        Self {
            name: name.map_or_else(|| path.clone(), |name| name.to_string_lossy().into_owned()),
            path,
            line_ends: ends.map(|(at, _)| at).collect(),
            text,
        }
    }
}

/// The name of a file for people: its directory is left out where no other file that was
/// read has the same name.
pub(super) fn short_name(sources: &[Source], file: usize) -> &str {
    let Some(source) = sources.get(file) else {
        return "";
    };
    let alike = |other: &&Source| other.name == source.name;
    match sources.iter().filter(alike).nth(1) {
        Some(_) => &source.path,
        None => &source.name,
    }
}

/// Line and column of a place, both counted from one, the column in letters.
pub fn line_and_column(sources: &[Source], place: &Place) -> (usize, usize) {
    let Some(source) = sources.get(place.file) else {
        return (1, 1);
    };
    let start = on_letter(&source.text, place.start);
    let before = source.line_ends.partition_point(|&end| end < start);
    let last_end = before
        .checked_sub(1)
        .and_then(|last| source.line_ends.get(last));
    let line_start = last_end.map_or(0, |end| end + 1);
    let within = source.text.get(line_start..start).unwrap_or("");
    (before + 1, within.chars().count() + 1)
}

/// The nearest start of a letter at or before a byte.
pub(super) fn on_letter(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_are_counted_from_one_in_letters() {
        let sources = [Source::new("a".into(), "one\nzwei \u{b0}x\n".into())];
        let at = |start| line_and_column(&sources, &Place::new(0, start..start));
        assert_eq!(at(0), (1, 1));
        assert_eq!(at(4), (2, 1));
        assert_eq!(at(11), (2, 7));
        assert_eq!(at(10), (2, 6));
        assert_eq!(at(999), (3, 1));
        assert_eq!(line_and_column(&sources, &Place::new(7, 3..4)), (1, 1));
    }
}
