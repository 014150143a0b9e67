//! Every key of every section is read, and read as its row says.

#![allow(clippy::format_push_string, clippy::needless_pass_by_value)] // a generator of test texts

use std::path::{Path, PathBuf};

use super::keys::{ABOUT, Key, SECTIONS, Section, Sign, Tag, Value};
use super::load::{Files, tidy};
use super::{DesignFile, ProblemName};

struct One(String);

impl Files for One {
    fn bytes(&self, _: &Path) -> std::io::Result<Vec<u8>> {
        Ok(self.0.clone().into_bytes())
    }

    fn identity(&self, path: &Path) -> PathBuf {
        tidy(path)
    }
}

fn read(text: String) -> DesignFile {
    DesignFile::read_from(&One(text), Path::new("design.toml"))
}

/// Neither text nor number nor table nor list of texts.
const NONSENSE: &str = "[[1]]";

/// Something that a key takes; names stand for nothing.
fn example(row: &Key) -> String {
    match row.value {
        Value::Name | Value::Refer(_) | Value::EachEnd(_) => "\"x\"".into(),
        Value::Text => "\"y\"".into(),
        Value::Terminal => "\"chassis\"".into(),
        Value::Flag => "true".into(),
        Value::Whole(_, most) => most.min(3).to_string(),
        Value::Day => "2026-03-01".into(),
        Value::Minute => "\"14:30\"".into(),
        Value::Quantity(kind, _) | Value::EachEndAmount(kind) => format!("\"{}\"", kind.example()),
        Value::Draw => "\"6 kW\"".into(),
        Value::Word(words) => format!("\"{}\"", words()[0]),
        Value::Refers(_) => "[\"x\"]".into(),
        Value::EachEndShield => "\"pigtail 30 mm\"".into(),
        Value::Terminals | Value::PairEnd => "[\"bar\", \"chassis\"]".into(),
        Value::Table(section) => format!("{{ {} }}", inner(section, "", "")),
        Value::Tables(section) => format!("[{{ {} }}]", inner(section, "", "")),
        Value::Draws => "{ x = \"6 kW\" }".into(),
    }
}

/// All keys of an inner table, one of them with another value; of those that say what it is
/// about, that one alone.
fn inner(section: &Section, key: &str, value: &str) -> String {
    let about = |row: &&Key| ABOUT.iter().any(|(name, _)| *name == row.key);
    let is_about_one = section.keys.iter().filter(about).count() == ABOUT.len();
    let keys: Vec<String> = section
        .keys
        .iter()
        .filter(|row| !is_about_one || row.key == key || !about(row))
        .map(|row| {
            let example = example(row);
            let value = if row.key == key { value } else { &example };
            format!("{} = {value}", row.key)
        })
        .collect();
    keys.join(", ")
}

/// A file with one entry of a section: the keys it needs, and one with a value.
fn file(section: &Section, key: &str, value: &str) -> String {
    let mut text = String::new();
    if section.tag != Tag::Vehicle {
        text.push_str("[vehicle]\ndomain = \"road\"\n");
    }
    text.push_str(&format!("{}\n", section.heading()));
    for row in section.keys.iter().filter(|row| row.required) {
        if row.key != key {
            text.push_str(&format!("{} = {}\n", row.key, example(row)));
        }
    }
    let measured = section
        .row(key)
        .is_some_and(|row| row.doc.starts_with("measured"));
    if section.tag == Tag::Reading && !measured {
        text.push_str("count = 3\n");
    }
    text.push_str(&format!("{key} = {value}\n"));
    text
}

/// Whether a problem lies within the value of the last line.
fn found_in_value(text: String, section: &Section, key: &str) {
    let line = text.trim_end().rfind('\n').map_or(0, |at| at + 1);
    let read = read(text.clone());
    let found = read.problems.iter().any(|problem| {
        let wrong = matches!(
            problem.name,
            ProblemName::WrongType | ProblemName::NoUnit | ProblemName::UnknownWord
        );
        wrong && problem.place.start > line
    });
    assert!(
        found,
        "{}.{key} is not read:\n{text}\n{:#?}",
        section.key, read.problems
    );
}

#[test]
fn nonsense_is_found_at_every_key() {
    for section in SECTIONS {
        for row in section.keys {
            found_in_value(file(section, row.key, NONSENSE), section, row.key);
            if let Value::Table(within) | Value::Tables(within) = row.value {
                for inner_row in within.keys {
                    let table = format!("{{ {} }}", inner(within, inner_row.key, NONSENSE));
                    let value = match row.value {
                        Value::Tables(_) => format!("[{table}]"),
                        _ => table,
                    };
                    let text = file(section, row.key, &value);
                    found_in_value(text, within, inner_row.key);
                }
            }
        }
    }
}

#[test]
fn what_the_row_says_is_taken_at_every_key() {
    for section in SECTIONS {
        for row in section.keys {
            let text = file(section, row.key, &example(row));
            let read = read(text.clone());
            for problem in &read.problems {
                let harmless = matches!(
                    problem.name,
                    ProblemName::UnknownName
                        | ProblemName::UnknownPart
                        | ProblemName::UnknownTerminal
                        | ProblemName::KeysClash
                        | ProblemName::DanglingTerminal
                        | ProblemName::UnusedTerminal
                        | ProblemName::Contradiction
                        | ProblemName::MissingKey
                );
                assert!(
                    harmless,
                    "{}.{}\n{text}\n{problem:#?}",
                    section.key, row.key
                );
            }
        }
    }
}

#[test]
fn an_amount_below_zero_is_found_wherever_it_makes_no_sense() {
    for section in SECTIONS {
        for row in section.keys {
            let Value::Quantity(kind, Sign::Positive | Sign::NotNegative) = row.value else {
                continue;
            };
            let text = file(section, row.key, &format!("\"-{}\"", kind.example()));
            let read = read(text.clone());
            let found = read.problems.iter().any(|problem| {
                matches!(
                    problem.name,
                    ProblemName::OutOfRange | ProblemName::NotPositive | ProblemName::NoAmount
                )
            });
            assert!(
                found,
                "{}.{}\n{text}\n{:#?}",
                section.key, row.key, read.problems
            );
        }
    }
}

#[test]
fn rows_are_unique_and_read_well() {
    for section in SECTIONS {
        for (at, row) in section.keys.iter().enumerate() {
            let again = section
                .keys
                .iter()
                .skip(at + 1)
                .any(|other| other.key == row.key);
            assert!(!again, "{}.{}", section.key, row.key);
            assert!(
                !row.doc.is_empty() && !row.doc.ends_with('.'),
                "{}",
                row.doc
            );
        }
    }
}
