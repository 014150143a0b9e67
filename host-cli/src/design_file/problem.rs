//! What is wrong with a file, by name.

use orangeloom_core::design::Design;

use super::source::Place;

macro_rules! problems {
    ($( $(#[$doc:meta])* $name:ident: $slug:literal; )*) => {
        /// The name of a problem, printed in brackets behind the word error.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[non_exhaustive]
        pub enum ProblemName {
            $( $(#[$doc])* $name, )*
        }

        impl ProblemName {
            /// Every one.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// As it is printed.
            pub const fn slug(self) -> &'static str {
                match self { $( Self::$name => $slug, )* }
            }
        }
    };
}

problems! {
    /// The file cannot be opened, is no text, or is too long.
    Unreadable: "unreadable-file";
    /// The file is not TOML.
    Syntax: "syntax";
    /// A file includes itself, directly or through others.
    IncludeLoop: "include-loop";
    /// Files include files too deeply, or there are too many of them.
    IncludeDepth: "include-depth";
    /// A section that a design file does not have.
    UnknownSection: "unknown-section";
    /// A key that the section does not have.
    UnknownKey: "unknown-key";
    /// A key that the section needs.
    MissingKey: "missing-key";
    /// A section that the file needs.
    MissingSection: "missing-section";
    /// A number where a text is needed, a text where a list is needed, and so on.
    WrongType: "wrong-type";
    /// An amount without unit.
    NoUnit: "no-unit";
    /// A unit of something else.
    WrongUnit: "wrong-unit";
    /// A text that cannot be read as an amount.
    NoAmount: "no-amount";
    /// An amount that no such thing can have.
    OutOfRange: "out-of-range";
    /// An amount that has to be above zero.
    NotPositive: "not-positive";
    /// A word that is not in the list.
    UnknownWord: "unknown-word";
    /// A day that the calendar does not have, or no day.
    NoDay: "no-day";
    /// A name that stands for nothing.
    UnknownName: "unknown-name";
    /// A type that no parts file defines.
    UnknownPart: "unknown-part";
    /// A terminal of a box or device that is not there.
    UnknownTerminal: "unknown-terminal";
    /// Two things with one name.
    NameTaken: "name-taken";
    /// A name that cannot be printed on a label.
    NotPrintable: "not-printable";
    /// More things of a kind than fit.
    TooMany: "too-many";
    /// A section that the metric table does not print.
    NotInTable: "not-in-table";
    /// Two keys that exclude each other, or one that lacks the other.
    KeysClash: "keys-clash";
    /// Only one thing ends at a terminal.
    DanglingTerminal: "dangling-terminal";
    /// Nothing ends at a terminal.
    UnusedTerminal: "unused-terminal";
    /// Values that contradict each other.
    Contradiction: "contradiction";
    /// A deviation that was accepted and is none.
    StaleAcceptance: "stale-acceptance";
    /// An attestation of what is computed.
    NotAttested: "not-attested";
    /// Two records that contradict each other.
    RecordsClash: "records-clash";
    /// Something that is not known; no error.
    Open: "open";
}

/// Something that is wrong, where, and what to do.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Problem {
    /// What kind of thing is wrong.
    pub name: ProblemName,
    /// One clause: what was read, what is wrong with it.
    pub what: String,
    /// Where it is.
    pub place: Place,
    /// A few words at the underlined text.
    pub here: String,
    /// Another place that it is about.
    pub other: Option<(Place, String)>,
    /// What was expected, what to do.
    pub advice: Vec<String>,
}

impl Problem {
    pub(crate) fn new(name: ProblemName, place: Place, what: impl Into<String>) -> Self {
        Self {
            name,
            what: what.into(),
            place,
            here: String::new(),
            other: None,
            advice: Vec::new(),
        }
    }

    #[must_use]
    pub(crate) fn here(mut self, words: impl Into<String>) -> Self {
        self.here = words.into();
        self
    }

    #[must_use]
    pub(crate) fn and(mut self, place: Place, words: impl Into<String>) -> Self {
        self.other = Some((place, words.into()));
        self
    }

    #[must_use]
    pub(crate) fn advice(mut self, words: impl Into<String>) -> Self {
        self.advice.push(words.into());
        self
    }

    /// Adds what was perhaps meant.
    #[must_use]
    pub(crate) fn meant(self, nearest: Option<&str>) -> Self {
        match nearest {
            Some(name) => self.advice(format!("did you mean {}", quoted(name))),
            None => self,
        }
    }
}

/// One thing of a kind: `a fuse`, `an attestation`.
pub(crate) fn one_of(kind: &str) -> String {
    let vowel = kind.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {kind}", if vowel { "an" } else { "a" })
}

/// A text in quotes, short and printable.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut quoted = String::from("\"");
    for (count, letter) in text.chars().enumerate() {
        if count == LONGEST {
            quoted.push_str("...");
            break;
        }
        if Design::is_unseen(letter) {
            quoted.extend(letter.escape_unicode());
        } else {
            quoted.push(letter);
        }
    }
    quoted.push('"');
    quoted
}

/// Words in a row: `a, b or c`.
pub(crate) fn listed<S: AsRef<str>>(words: &[S], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., tail] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", head.join(", "), tail.as_ref())
        }
    }
}
