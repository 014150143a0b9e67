//! The designs under `fixtures/`: their files, what is read of them, their studies.

use std::path::{Path, PathBuf};

use orangeloom::design_file::{DesignFile, Paint};
use orangeloom_core::design::{Design, Entry};
use orangeloom_core::network::Workspace;
use orangeloom_core::study::Study;

/// The demonstrations that have a mended twin, `NAME-mended`.
pub const TWINS: [&str; 3] = ["lake-rescue-truck", "orchard-tractor", "road-rail-shunter"];

/// A file of a fixture.
pub fn path(name: &str, file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(name)
        .join(file)
}

/// The text of a file of a fixture.
///
/// # Panics
/// If it cannot be read.
pub fn text(name: &str, file: &str) -> String {
    let path = path(name, file);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A fixture as it is read, with what is open.
///
/// # Panics
/// If there is any mistake in it.
pub fn file(name: &str) -> DesignFile {
    let read = DesignFile::read(&path(name, "design.toml"));
    assert!(read.problems.is_empty(), "{}", read.render(Paint::Plain));
    read
}

/// The design of a fixture.
///
/// # Panics
/// If there is any mistake in it.
pub fn design(name: &str) -> Box<Design> {
    file(name).design
}

/// What is meant to have no mistake on paper: the mended twins, the small craft and the
/// starter.
pub fn whole() -> impl Iterator<Item = String> {
    let twins = TWINS.iter().map(|name| format!("{name}-mended"));
    twins.chain(["lock-keepers-punt", "starter"].map(String::from))
}

/// The entry of a name.
///
/// # Panics
/// If there is none.
#[track_caller]
pub fn id<E: Entry>(design: &Design, name: &str) -> E::Id {
    let found = design.find::<E>(name);
    found.unwrap_or_else(|| panic!("no {name}"))
}

/// A mended twin with what was read and looked at when it was handed over.
///
/// # Panics
/// When design or readings have mistakes.
pub fn handed_over(name: &str) -> Box<Design> {
    let name = format!("{name}-mended");
    let [design, readings] = ["design.toml", "readings.csv"].map(|file| path(&name, file));
    let read = DesignFile::read_with_records(&design, &readings);
    assert!(read.problems.is_empty(), "{}", read.render(Paint::Plain));
    read.design
}

/// Everything that is computed once of a design.
pub fn study(design: &Design) -> Box<Study> {
    let mut study = Box::new(Study::new());
    study.compute(design, &mut Box::new(Workspace::new()));
    study
}

/// The text of a design with its sections in another order; what stands before the first
/// stays.
///
/// # Panics
/// Never: no design has 2^64 sections.
pub fn shuffled(text: &str, seed: u64) -> String {
    let mut sections: Vec<String> = vec![String::new()];
    for line in text.lines() {
        if line.starts_with('[') {
            sections.push(String::new());
        }
        let last = sections.last_mut().unwrap();
        last.push_str(line);
        last.push('\n');
    }
    let mut state = seed | 1;
    for end in (2..sections.len()).rev() {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        let other = 1 + usize::try_from(state % (end as u64)).unwrap();
        sections.swap(end, other);
    }
    sections.concat()
}
