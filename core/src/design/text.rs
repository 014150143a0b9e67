//! The texts of a design: each kept once.

use heapless::{String, Vec};

use super::capacity::{MAX_LETTERS, MAX_TEXT_BYTES, MAX_TEXTS};
use super::index::{Index, Kind, TextId};
use crate::error::{Capacity, Error, Inconsistency};

/// The table of texts: one run of letters and where each text ends in it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub(super) struct Texts {
    letters: String<MAX_LETTERS, u16>,
    ends: Vec<u16, MAX_TEXTS, u16>,
}

impl Texts {
    pub(super) const fn new() -> Self {
        Self {
            letters: String::new(),
            ends: Vec::new(),
        }
    }

    /// The number of a text, new or known.
    pub(super) fn intern(&mut self, text: &str) -> Result<TextId, Error> {
        check(text)?;
        if let Some(known) = self.find(text) {
            return Ok(known);
        }
        let full = Error::Full(Kind::Text);
        let id = TextId::at(self.ends.len()).ok_or(full)?;
        let end = self.letters.len() + text.len();
        let end = u16::try_from(end).map_err(|_| Error::Capacity(Capacity::Letters))?;
        self.letters
            .push_str(text)
            .map_err(|_| Error::Capacity(Capacity::Letters))?;
        // There is room: the number was given out above.
        self.ends.push(end).map_err(|_| full)?;
        Ok(id)
    }

    pub(super) fn len(&self) -> usize {
        self.ends.len()
    }

    pub(super) fn find(&self, text: &str) -> Option<TextId> {
        let mut start = 0;
        let found = self.ends.iter().position(|end| {
            let end = usize::from(*end);
            let here = core::mem::replace(&mut start, end)..end;
            here.len() == text.len() && self.letters.get(here) == Some(text)
        });
        found.and_then(TextId::at)
    }

    pub(super) fn get(&self, id: TextId) -> Option<&str> {
        let position = id.position();
        let end = usize::from(*self.ends.get(position)?);
        let start = match position.checked_sub(1) {
            Some(before) => usize::from(*self.ends.get(before)?),
            None => 0,
        };
        self.letters.get(start..end)
    }
}

/// Signs that nobody sees, or that change how those beside them are read: first and last of
/// each run. Unicode 15: format characters, separators of lines and paragraphs, what is
/// ignorable by default, and the empty braille cell.
const UNSEEN: [(char, char); 26] = [
    ('\u{ad}', '\u{ad}'),
    ('\u{34f}', '\u{34f}'),
    ('\u{600}', '\u{605}'),
    ('\u{61c}', '\u{61c}'),
    ('\u{6dd}', '\u{6dd}'),
    ('\u{70f}', '\u{70f}'),
    ('\u{890}', '\u{891}'),
    ('\u{8e2}', '\u{8e2}'),
    ('\u{115f}', '\u{1160}'),
    ('\u{17b4}', '\u{17b5}'),
    ('\u{180b}', '\u{180f}'),
    ('\u{200b}', '\u{200f}'),
    ('\u{2028}', '\u{202e}'),
    ('\u{2060}', '\u{206f}'),
    ('\u{2800}', '\u{2800}'),
    ('\u{3164}', '\u{3164}'),
    ('\u{fe00}', '\u{fe0f}'),
    ('\u{feff}', '\u{feff}'),
    ('\u{ffa0}', '\u{ffa0}'),
    ('\u{fff0}', '\u{fffb}'),
    ('\u{110bd}', '\u{110bd}'),
    ('\u{110cd}', '\u{110cd}'),
    ('\u{13430}', '\u{1343f}'),
    ('\u{1bca0}', '\u{1bca3}'),
    ('\u{1d173}', '\u{1d17a}'),
    ('\u{e0000}', '\u{e0fff}'),
];

fn is_unseen(sign: char) -> bool {
    let within = |(first, last): &(char, char)| (*first..=*last).contains(&sign);
    sign.is_control() || UNSEEN.iter().any(within)
}

#[cfg(feature = "text")]
impl super::Design {
    /// Whether a sign cannot be seen on paper, or would change how the text around it is
    /// read: control and format characters, signs of no width, separators of lines. No text
    /// of a design has one.
    pub fn is_unseen(sign: char) -> bool {
        is_unseen(sign)
    }
}

/// A text can be printed on a label: not empty, not too long, nothing in it that cannot be
/// seen, no space at either end.
fn check(text: &str) -> Result<(), Error> {
    if text.len() > MAX_TEXT_BYTES {
        return Err(Error::Capacity(Capacity::TextLength));
    }
    let printable = !text.chars().any(is_unseen) && text.trim() == text;
    if text.is_empty() || !printable {
        return Err(Error::Inconsistent(Inconsistency::TextNotPrintable));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::format;

    #[test]
    fn a_text_comes_back_and_is_kept_once() {
        let mut texts = Texts::new();
        let plus = texts.intern("B1+").unwrap();
        let oil = texts.intern("Öl links").unwrap();
        assert_eq!(texts.intern("B1+"), Ok(plus));
        assert_eq!(texts.get(plus), Some("B1+"));
        assert_eq!(texts.get(oil), Some("Öl links"));
        assert_eq!(texts.find("B2+"), None);
        assert_eq!(texts.get(TextId::at(2).unwrap()), None);
    }

    #[test]
    fn what_cannot_stand_on_a_label_is_refused() {
        let mut texts = Texts::new();
        for bad in ["", " ", "B1+ ", "B1\n", "\u{7f}"] {
            assert_eq!(
                texts.intern(bad),
                Err(Error::Inconsistent(Inconsistency::TextNotPrintable)),
                "{bad:?}"
            );
        }
        // Names that look alike and are not, and signs that turn what stands beside them.
        for unseen in [
            '\u{200b}',
            '\u{200d}',
            '\u{200e}',
            '\u{2028}',
            '\u{2029}',
            '\u{202e}',
            '\u{2060}',
            '\u{2066}',
            '\u{2069}',
            '\u{ad}',
            '\u{feff}',
            '\u{fe0f}',
            '\u{3164}',
            '\u{e0041}',
            '\u{e007f}',
            '\u{85}',
        ] {
            let bad = format!("J1{unseen}x");
            assert!(texts.intern(&bad).is_err(), "{bad:?}");
        }
        for good in [
            "\u{d6}l",
            "\u{b5}H",
            "\u{2126}",
            "K1 \u{2013} K2",
            "\u{6cb9}",
            "e\u{301}",
        ] {
            assert!(texts.intern(good).is_ok(), "{good}");
        }
        let long = "x".repeat(MAX_TEXT_BYTES);
        assert!(texts.intern(&long).is_ok());
        assert_eq!(
            texts.intern(&format!("{long}x")),
            Err(Error::Capacity(Capacity::TextLength))
        );
    }

    #[test]
    fn texts_fit_to_the_limit_and_not_one_more() {
        let mut texts = Texts::new();
        for number in 0..MAX_TEXTS {
            texts.intern(&format!("t{number}")).unwrap();
        }
        assert_eq!(texts.intern("one more"), Err(Error::Full(Kind::Text)));
        assert!(
            texts.intern("t0").is_ok(),
            "a known text still has a number"
        );
    }

    #[test]
    fn letters_fit_to_the_limit_and_not_one_more() {
        let mut texts = Texts::new();
        let mut number = 0;
        let refused = loop {
            let text = format!("{number:0MAX_TEXT_BYTES$}");
            match texts.intern(&text) {
                Ok(_) => number += 1,
                Err(refused) => break refused,
            }
        };
        assert_eq!(refused, Error::Capacity(Capacity::Letters));
        assert_eq!(number, MAX_LETTERS / MAX_TEXT_BYTES);
        // What was refused has left nothing behind.
        assert_eq!(texts.ends.len(), number);
    }
}
