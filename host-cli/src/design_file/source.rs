//! The files that were read, and places in them.

use core::ops::Range;

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
    /// What is in it.
    pub text: String,
}

impl Source {
    /// Where its lines end.
    pub(super) fn line_ends(&self) -> Vec<usize> {
        let ends = self.text.match_indices('\n');
        ends.map(|(at, _)| at).collect()
    }
}

/// Line and column of a place, both counted from one, the column in letters.
pub fn line_and_column(sources: &[Source], place: &Place) -> (usize, usize) {
    let text = sources.get(place.file).map_or("", |s| s.text.as_str());
    let start = on_letter(text, place.start);
    let before = text.get(..start).unwrap_or("");
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = before.bytes().filter(|&byte| byte == b'\n').count() + 1;
    let column = before.get(line_start..).unwrap_or("").chars().count() + 1;
    (line, column)
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
        let sources = [Source {
            path: "a".into(),
            text: "one\nzwei \u{b0}x\n".into(),
        }];
        let at = |start| line_and_column(&sources, &Place::new(0, start..start));
        assert_eq!(at(0), (1, 1));
        assert_eq!(at(4), (2, 1));
        assert_eq!(at(11), (2, 7));
        assert_eq!(at(10), (2, 6));
        assert_eq!(at(999), (3, 1));
        assert_eq!(line_and_column(&sources, &Place::new(7, 3..4)), (1, 1));
    }
}
