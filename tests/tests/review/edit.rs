//! The base design with a change: a key set or dropped, an entry cut or added.

use core::fmt::Write as _;
use std::path::{Path, PathBuf};

use orangeloom::design_file::{DesignFile, Files, Paint};
use orangeloom_core::design::{Conductor, Design, Kind, System, Thing};
use orangeloom_tests::reviewed::Reviewed;

/// One change of the base. A path is `section/name/key`; a comment under the heading of
/// an entry without name serves as its name.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Edit {
    /// Gives a key a value, written as in the file.
    Set(&'static str, &'static str),
    /// Takes a key away.
    Drop(&'static str),
    /// Takes an entry away.
    Cut(&'static str),
    /// Adds entries.
    Add(&'static str),
}

/// The base with its readings.
pub(crate) fn base() -> String {
    format!("{}{}", include_str!("base.toml"), readings())
}

/// Who read it, when and with what.
const SIGNED: &str =
    "initials = \"EM\"\ndate = 2026-03-14\ninstrument = \"meter 1\"\nrevision = \"B\"\n";

/// A reading of every kind that a rule asks for.
fn readings() -> String {
    let mut text = String::new();
    let mut put = |name: &str, about: &str| {
        write!(text, "\n[[reading]]\n# {name}\n{about}\n{SIGNED}").unwrap();
    };
    put(
        "isolation",
        "isolation = \"1 Mohm\"\ntest-voltage = \"250 V\"",
    );
    put("strokes", "count = 4");
    put("trace", "resistor = \"Rp\"\nprecharge = \"60 ms\"");
    put("fall", "resistor = \"Rb\"\ndischarge = \"3 s\"");
    put("cells", "battery = \"cells\"\nvoltage = \"90 V\"");
    put(
        "converter",
        "converter = \"converter\"\nisolation = \"1 Mohm\"\ntest-voltage = \"250 V\"",
    );
    put(
        "earth",
        "load = \"inlet\"\nbond = \"50 mohm\"\ntest-current = \"0.2 A\"",
    );
    for name in ["pack", "J1", "drive", "heater", "converter", "inlet"] {
        let about = format!("box = \"{name}\"\nbond = \"0.5 mohm\"\ntest-current = \"0.2 A\"");
        put(&format!("bond {name}"), &about);
    }
    for name in ["K+", "K-", "Kp", "KI+", "KI-"] {
        put(name, &format!("contactor = \"{name}\"\ncount = 20"));
    }
    for name in ["01", "02", "03", "04", "05"] {
        for pole in ["+", "-"] {
            let about = format!("conductor = \"{name}{pole}\"\nshield = \"1 mohm\"");
            put(&format!("shield {name}{pole}"), &about);
            for end in ["from", "to"] {
                let at = format!("conductor = \"{name}{pole}\"\nend = \"{end}\"");
                put(
                    &format!("joint {name}{pole} {end}"),
                    &format!("{at}\njoint = \"20 uohm\""),
                );
                put(
                    &format!("cut {name}{pole} {end}"),
                    &format!("{at}\ncut-back = \"20 mm\""),
                );
            }
        }
    }
    text
}

/// The text with the changes.
pub(crate) fn edited(edits: &[Edit]) -> String {
    let mut text = base();
    for edit in edits {
        text = apply(&text, *edit);
    }
    text
}

/// Lines of the entry: from its heading to the next.
fn entry(lines: &[String], path: &str) -> core::ops::Range<usize> {
    let (section, name) = path.split_once('/').unwrap();
    let headings = [format!("[[{section}]]"), format!("[{section}]")];
    let names = [
        format!("name = \"{name}\""),
        format!("circuit = \"{name}\""),
        format!("# {name}"),
    ];
    let starts: Vec<usize> = (0..lines.len())
        .filter(|at| lines[*at].starts_with('['))
        .collect();
    for (at, start) in starts.iter().enumerate() {
        let end = starts.get(at + 1).copied().unwrap_or(lines.len());
        if headings.contains(&lines[*start])
            && lines[*start..end].iter().any(|line| names.contains(line))
        {
            return *start..end;
        }
    }
    panic!("there is no {path}");
}

fn apply(text: &str, edit: Edit) -> String {
    let mut lines: Vec<String> = text.lines().map(String::from).collect();
    let split = |path: &'static str| path.rsplit_once('/').unwrap();
    let key_at = |lines: &[String], range: core::ops::Range<usize>, key: &str| {
        let start = format!("{key} = ");
        range.into_iter().find(|at| lines[*at].starts_with(&start))
    };
    match edit {
        Edit::Add(more) => lines.push(more.into()),
        Edit::Cut(path) => drop(lines.drain(entry(&lines, path))),
        Edit::Set(path, value) => {
            let (path, key) = split(path);
            let range = entry(&lines, path);
            let line = format!("{key} = {value}");
            match key_at(&lines, range.clone(), key) {
                Some(at) => lines[at] = line,
                None => lines.insert(range.start + 1, line),
            }
        }
        Edit::Drop(path) => {
            let (path, key) = split(path);
            let range = entry(&lines, path);
            let at = key_at(&lines, range, key);
            lines.remove(at.unwrap_or_else(|| panic!("{path} has no {key}")));
        }
    }
    lines.join("\n") + "\n"
}

/// One file in memory.
pub(crate) struct One<'a>(pub(crate) &'a str);

impl Files for One<'_> {
    fn bytes(&self, _: &Path) -> std::io::Result<Vec<u8>> {
        Ok(self.0.as_bytes().to_vec())
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }
}

/// Reads a design that must have no mistake; what is open may be.
pub(crate) fn read(text: &str) -> Box<Design> {
    let read = DesignFile::read_from(&One(text), Path::new("base.toml"));
    assert!(read.problems.is_empty(), "{}", read.render(Paint::Plain));
    read.design
}

/// The base with these changes, and everything computed.
pub(crate) fn reviewed(edits: &[Edit]) -> Reviewed {
    Reviewed::new(read(&edited(edits)))
}

pub(crate) fn is_terminal(thing: Option<Thing>) -> bool {
    thing.is_some_and(|thing| thing.kind == Kind::Terminal)
}

#[test]
fn the_base_is_read_without_a_mistake() {
    let design = read(&base());
    let systems = design.systems();
    let high = design
        .all::<Conductor>()
        .filter(|(_, lead)| systems.of(lead.from) == Some(System::Traction));
    assert_eq!(high.count(), 10);
}

#[test]
fn an_edit_changes_one_place() {
    let text = edited(&[Edit::Set("fuse-type/main/voltage", "\"99 V\"")]);
    let differ = text
        .lines()
        .zip(base().lines().map(String::from).collect::<Vec<_>>());
    assert_eq!(differ.filter(|(one, other)| one != other).count(), 1);
    let text = edited(&[Edit::Cut("reading/strokes")]);
    assert!(!text.contains("count = 4"));
}
