//! Every error of the reader of design files, with its rendering.
//!
//! `tests/wrong/NAME.toml` shows the error NAME and `tests/wrong/NAME.txt` what is
//! printed. After a change that is meant to alter it:
//! `ORANGELOOM_WRITE=1 cargo test -p orangeloom --test design_file_errors`, then
//! read the diff.

#![allow(clippy::items_after_statements)] // a reader made for one test stands in it

use core::fmt::Write as _;
use std::collections::HashMap;
use std::path::{Path, PathBuf};

use orangeloom::design_file::{
    DesignFile, Files, MOST_BYTES, MOST_SHOWN, MOST_SYNTAX_SHOWN, Paint, ProblemName, render,
};

/// Files in memory.
struct Memory(HashMap<PathBuf, String>);

impl Memory {
    fn one(text: &str) -> Self {
        Self(HashMap::from([(PathBuf::from("design.toml"), text.into())]))
    }

    fn read(&self) -> DesignFile {
        DesignFile::read_from(self, Path::new("design.toml"))
    }
}

impl Files for Memory {
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        match self.0.get(path) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => Err(std::io::Error::from(std::io::ErrorKind::NotFound)),
        }
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }
}

/// The wrong files, with the path as it is shown.
fn wrong(name: &str) -> DesignFile {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/wrong");
    struct Below(PathBuf);
    impl Files for Below {
        fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
            std::fs::read(self.0.join(path))
        }
        fn identity(&self, path: &Path) -> PathBuf {
            path.to_owned()
        }
    }
    DesignFile::read_from(&Below(from), Path::new(&format!("{name}.toml")))
}

fn compare(name: &str, printed: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/wrong")
        .join(format!("{name}.txt"));
    if std::env::var_os("ORANGELOOM_WRITE").is_some() {
        std::fs::write(&path, printed).unwrap();
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(committed, printed, "{}", path.display());
}

/// Whether a design alone can show it; the golden answers of `review` and `record` show
/// the others.
fn of_a_design(name: ProblemName) -> bool {
    let beside = [ProblemName::StaleAcceptance, ProblemName::RecordsClash];
    !beside.contains(&name)
}

#[test]
fn every_error_has_a_file_that_shows_it_and_its_rendering_is_committed() {
    for name in ProblemName::ALL.iter().filter(|name| of_a_design(**name)) {
        let slug = name.slug();
        let read = match name {
            ProblemName::TooMany => two_hundred_conductors(),
            _ => wrong(slug),
        };
        let shown = match name {
            ProblemName::Open => &read.open,
            _ => &read.problems,
        };
        assert!(
            shown.iter().any(|problem| problem.name == *name),
            "{slug}: {:#?}",
            read.problems
        );
        compare(slug, &render(&read.sources, shown, Paint::Plain));
    }
}

#[test]
fn a_file_with_only_one_kind_of_mistake_shows_only_that() {
    for name in ProblemName::ALL {
        if matches!(name, ProblemName::Open | ProblemName::TooMany) || !of_a_design(*name) {
            continue;
        }
        let read = wrong(name.slug());
        let others: Vec<_> = read
            .problems
            .iter()
            .filter(|problem| problem.name != *name)
            .collect();
        assert!(others.is_empty(), "{}: {others:#?}", name.slug());
    }
}

#[test]
fn every_independent_mistake_is_told_in_one_run() {
    let read = wrong("many");
    let names: Vec<_> = read.problems.iter().map(|problem| problem.name).collect();
    assert_eq!(
        names,
        [
            ProblemName::NoUnit,
            ProblemName::OutOfRange,
            ProblemName::NameTaken,
            ProblemName::UnknownName,
            ProblemName::UnknownKey,
            ProblemName::UnknownName,
            ProblemName::UnknownPart,
            ProblemName::WrongUnit,
            ProblemName::UnknownWord,
            ProblemName::UnknownPart,
            ProblemName::WrongUnit,
        ]
    );
    compare("many", &read.render(Paint::Plain));
}

fn two_hundred_conductors() -> DesignFile {
    let mut text = String::from("[vehicle]\ndomain = \"road\"\n");
    for circuit in 0..200 {
        let _ = writeln!(
            text,
            "\n[[conductor]]\ncircuit = \"{circuit:03}\"\nfrom = \"chassis\"\nto = \"bar\""
        );
    }
    Memory::one(&text).read()
}

#[test]
fn two_hundred_conductors_are_one_error_at_the_first_that_does_not_fit() {
    let read = two_hundred_conductors();
    let [problem] = read.problems.as_slice() else {
        panic!("{:#?}", read.problems);
    };
    assert_eq!(problem.name, ProblemName::TooMany);
    assert_eq!(problem.what, "200 conductors where 96 fit");
    let (line, _) = orangeloom::design_file::line_and_column(&read.sources, &problem.place);
    // Two lines of the vehicle, then five for each: the heading of number n, counted
    // from zero, is line 5 n + 4, its circuit one below.
    assert_eq!(line, 5 * 96 + 5);
}

#[test]
fn messages_start_low_and_end_without_a_full_stop() {
    for name in ProblemName::ALL {
        let read = wrong(name.slug());
        for problem in read.problems.iter().chain(&read.open) {
            let texts = problem.advice.iter().chain([&problem.what, &problem.here]);
            for text in texts {
                let capital = text.starts_with(|c: char| c.is_uppercase());
                assert!(!capital && !text.ends_with('.'), "{text}");
            }
        }
    }
}

#[test]
fn files_that_are_no_text_or_too_long_are_refused() {
    struct Bytes(Vec<u8>);
    impl Files for Bytes {
        fn bytes(&self, _: &Path) -> std::io::Result<Vec<u8>> {
            Ok(self.0.clone())
        }
        fn identity(&self, path: &Path) -> PathBuf {
            path.to_owned()
        }
    }
    for (bytes, words) in [
        (
            b"[vehicle]\nname = \"\xff\"\n".to_vec(),
            "not UTF-8 text from byte 18 on",
        ),
        (vec![b'#'; MOST_BYTES + 1], "longer than 1024 kB"),
    ] {
        let read = DesignFile::read_from(&Bytes(bytes), Path::new("a.toml"));
        let [problem] = read.problems.as_slice() else {
            panic!("{:#?}", read.problems);
        };
        assert_eq!(problem.name, ProblemName::Unreadable);
        assert!(problem.what.contains(words), "{}", problem.what);
    }
}

#[test]
fn a_file_that_is_not_there_and_a_directory_are_refused() {
    for path in ["/nowhere/at/all.toml", env!("CARGO_MANIFEST_DIR")] {
        let read = DesignFile::read(Path::new(path));
        assert_eq!(read.problems.len(), 1);
        assert_eq!(read.problems[0].name, ProblemName::Unreadable);
        assert!(!read.render(Paint::Plain).is_empty());
    }
}

#[test]
fn a_parts_file_that_two_files_include_is_read_once() {
    let files = Memory(
        [
            (
                "design.toml",
                "include = [\"a.toml\", \"b.toml\"]\n[vehicle]\ndomain = \"road\"\n",
            ),
            ("a.toml", "include = [\"c.toml\"]\n"),
            ("b.toml", "include = [\"c.toml\"]\n"),
            ("c.toml", "[[lug-type]]\nname = \"50 M8\"\n"),
        ]
        .map(|(path, text)| (PathBuf::from(path), text.to_owned()))
        .into(),
    );
    let read = files.read();
    assert!(read.problems.is_empty(), "{:#?}", read.problems);
    assert_eq!(read.sources.len(), 4);
    assert_eq!(
        read.design
            .all::<orangeloom_core::design::LugType>()
            .count(),
        1
    );
}

#[test]
fn a_thousand_mistakes_are_counted_and_the_first_are_shown() {
    let mut text = String::from("[vehicle]\ndomain = \"road\"\n");
    for number in 0..1000 {
        let _ = writeln!(text, "[[load-{number}]]\nx = 1");
    }
    let read = Memory::one(&text).read();
    assert_eq!(read.problems.len(), 1000);
    let shown = read.render(Paint::Plain);
    assert_eq!(shown.matches("error[").count(), MOST_SHOWN);
    assert!(shown.contains(&format!("and {} more", 1000 - MOST_SHOWN)));
}

/// Once a file of another kind filled the screen a hundred times over.
#[test]
fn a_file_of_another_kind_shows_a_few_places() {
    let read = Memory::one(&"This is a letter.\n".repeat(50)).read();
    let shown = read.render(Paint::Plain);
    assert_eq!(shown.matches("error[").count(), MOST_SYNTAX_SHOWN);
    let more = read.problems.len() - MOST_SYNTAX_SHOWN;
    assert!(shown.contains(&format!("and {more} more")), "{shown}");
}

/// Once an empty line stood below the name of a file that is not there.
#[test]
fn a_file_that_is_not_there_has_no_line_to_point_at() {
    let read = DesignFile::read(Path::new("no such file.toml"));
    let shown = read.render(Paint::Plain);
    assert!(shown.contains("no such file.toml"), "{shown}");
    assert!(!shown.contains(" | "), "{shown}");
}

#[test]
fn colour_adds_nothing_that_words_do_not_say() {
    let read = wrong("many");
    let plain = read.render(Paint::Plain);
    let coloured = read.render(Paint::Coloured);
    assert!(!plain.contains('\u{1b}') && coloured.contains('\u{1b}'));
    let mut bare = String::new();
    let mut escaped = false;
    for letter in coloured.chars() {
        match (escaped, letter) {
            (false, '\u{1b}') => escaped = true,
            (true, 'm') => escaped = false,
            (true, _) => {}
            (false, letter) => bare.push(letter),
        }
    }
    assert_eq!(bare, plain);
}

/// What a builder who makes the mistake is told: its name, its line, what to do.
struct Told {
    text: String,
    name: ProblemName,
    line: usize,
    what: &'static str,
    advice: &'static str,
}

#[test]
fn the_mistakes_that_builders_make_are_named_with_line_and_advice() {
    let head = "[vehicle]\ndomain = \"road\"\n"; // lines 1 and 2
    let told = |text: &str, name, line, what, advice| Told {
        text: format!("{head}{text}"),
        name,
        line,
        what,
        advice,
    };
    let mistakes = [
        told(
            "[[conductor]]\ncircuit = \"01\"\nfrom = \"chassis\"\nto = \"bus\"\n\
             [[conductor]]\ncircuit = \"02\"\nfrom = \"chassis\"\nto = \"bus\"\n\
             [[conductor]]\ncircuit = \"03\"\nfrom = \"bus\"\nto = \"bar\"\n",
            ProblemName::DanglingTerminal,
            14,
            "only one thing ends at the terminal \"bar\"",
            "join a second thing to this terminal",
        ),
        told(
            "[[zone]]\nname = \"bay\"\n[[zone]]\nname = \"bay\"\n",
            ProblemName::NameTaken,
            6,
            "the name \"bay\" is given to a zone already",
            "give one of them another name",
        ),
        Told {
            text: format!("include = [\"design.toml\"]\n{head}"),
            name: ProblemName::IncludeLoop,
            line: 1,
            what: "the files include each other in a ring",
            advice: "take this name out of include",
        },
        told(
            "[[conductor]]\ncircuit = \"01\"\nfrom = \"chassis\"\nto = \"chassis 2\"\ncable = \"HV 70\"\n\
             [[resistor]]\nname = \"R\"\npurpose = \"bleed\"\nfrom = \"chassis\"\nto = \"chassis 2\"\n",
            ProblemName::UnknownPart,
            7,
            "no parts file defines the cable type \"HV 70\"",
            "write one as [[cable-type]]",
        ),
        told(
            "[[cable-type]]\nname = \"HV 70\"\nsection = \"70 mm2\"\nouter-diameter = \"19.6 V\"\n",
            ProblemName::WrongUnit,
            6,
            "a length is needed, \"19.6 V\" is a voltage",
            "accepted: m, cm, mm",
        ),
        told(
            "[[cable-type]]\nname = \"HV 70\"\nsection = \"-70 mm2\"\n",
            ProblemName::OutOfRange,
            5,
            "the conductor section has to be 0.05 to 5000 mm2",
            "accepted: mm2, kcmil, AWG",
        ),
        told(
            "[[cell-type]]\nname = \"LFP\"\nresistance = \"0.8 mohm\"\n",
            ProblemName::KeysClash,
            5,
            "resistance says nothing without resistance-spread",
            "state both resistance and resistance-spread, or neither",
        ),
        told(
            "[[zone]]\nname = \"bay\"\nair = \"-300 degC\"\n",
            ProblemName::OutOfRange,
            5,
            "the temperature has to be -273.15 to 3000 degC",
            "accepted: degC, degF, K",
        ),
    ];
    for mistake in mistakes {
        let read = Memory::one(&mistake.text).read();
        let [problem] = read.problems.as_slice() else {
            panic!("{}\n{:#?}", mistake.text, read.problems);
        };
        assert_eq!(problem.name, mistake.name);
        assert!(problem.what.contains(mistake.what), "{}", problem.what);
        let advice = &problem.advice;
        let found = advice.iter().any(|line| line.contains(mistake.advice));
        assert!(found, "{advice:?}");
        let (line, _) = orangeloom::design_file::line_and_column(&read.sources, &problem.place);
        assert_eq!(line, mistake.line, "{}", problem.what);
    }
    let read = two_hundred_conductors();
    let advice = &read.problems[0].advice;
    assert!(
        advice[0].contains("a design holds 96 conductors"),
        "{advice:?}"
    );
}
