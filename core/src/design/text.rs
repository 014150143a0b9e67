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

/// A text can be printed on a label: not empty, not too long, no control
/// characters, no space at either end.
fn check(text: &str) -> Result<(), Error> {
    if text.len() > MAX_TEXT_BYTES {
        return Err(Error::Capacity(Capacity::TextLength));
    }
    let printable = !text.chars().any(char::is_control) && text.trim() == text;
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
