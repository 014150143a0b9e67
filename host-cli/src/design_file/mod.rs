//! Reads the description of a vehicle from TOML.
//!
//! Every independent mistake of all files is reported in one run, each with file,
//! line, column, the text underlined, what was expected and what to do. Nothing
//! is read silently that was not understood: a key that is not known is an error.
//!
//! | file | what it is about |
//! |---|---|
//! | `keys` | every section and key, once; from it the walker, the schema, the documentation |
//! | `words` | the words that some keys take |
//! | `load`, `tree`, `source` | files, what they include, their text as trees, places in them |
//! | `walk` | takes keys out of tables and converts their values |
//! | `build` | from tables to the design |
//! | `acceptance` | deviations that somebody accepted, from a file of their own |
//! | `listing` | entries as they were written, for comparing two states of a design |
//! | `records`, `sheet` | readings and attestations from a TOML file of their own, or from a spreadsheet |
//! | `beyond_range` | readings above or below what an instrument shows |
//! | `findings` | what the check of the core says, at its lines |
//! | `near` | the nearest known name |
//! | `problem`, `render` | what is wrong, by name; problems for people |
//! | `schema` | the JSON Schema of the file, for editors |
//! | `starter` | the files that `orangeloom new` writes |
//! | `summary` | what was read |

mod acceptance;
mod beyond_range;
mod build;
mod findings;
mod keys;
mod listing;
mod load;
mod near;
mod problem;
mod records;
mod render;
mod schema;
mod sheet;
mod source;
mod starter;
mod summary;
mod tree;
mod verbs;
mod walk;
mod words;

#[cfg(test)]
mod every_key;

use std::collections::HashMap;
use std::path::Path;

use orangeloom_core::design::{Design, Thing};

pub(crate) use acceptance::{Acceptance, Acceptances, read_acceptances};
pub(crate) use keys::record_key;
pub(crate) use listing::Listed;
pub use load::{Disk, Files, MOST_BYTES, MOST_DEPTH, MOST_FILES};
pub(crate) use near::nearest;
pub use problem::{Problem, ProblemName};
pub(crate) use problem::{listed, one_of, quoted};
pub(crate) use records::{Known, Recorded, read_records};
pub use render::{MOST_SHOWN, MOST_SYNTAX_SHOWN, Paint, render};
pub use schema::schema;
use source::short_name;
pub use source::{Place, Source, line_and_column};
pub use starter::{STARTER_DESIGN, STARTER_PARTS};
pub use summary::summary;
pub use verbs::{CheckArgs, NewArgs, check, new};
pub(crate) use verbs::{refuse, refuse_for};

/// What was read.
#[derive(Debug)]
#[non_exhaustive]
pub struct DesignFile {
    /// The design; to be used only where there is no problem.
    pub design: Box<Design>,
    /// Everything that is wrong, in the order of the files.
    pub problems: Vec<Problem>,
    /// Everything that is not known, in the same order. No error: whoever needs
    /// it leaves his verdict open.
    pub open: Vec<Problem>,
    /// The files.
    pub sources: Vec<Source>,
    /// Where the name of each thing stands.
    pub places: HashMap<Thing, Place>,
    /// Which records of older revisions count.
    pub(crate) carry_overs: Vec<build::carry_over::CarryOver>,
    /// What the files say.
    trees: Vec<Vec<tree::Entry>>,
}

impl DesignFile {
    /// Reads a design file and all that it includes from the disk.
    pub fn read(path: &Path) -> Self {
        Self::read_from(&Disk, path)
    }

    /// Reads a design together with a file of readings, as `orangeloom record` does.
    pub fn read_with_records(path: &Path, records: &Path) -> Self {
        read_records(path, records).read
    }

    /// The same from wherever the files are.
    pub fn read_from(files: &dyn Files, path: &Path) -> Self {
        Self::from_loaded(load::load(files, path))
    }

    fn from_loaded(loaded: load::Loaded) -> Self {
        let built = build::build(&loaded);
        let (wrong, mut open) = findings::findings(&built.design, &built.trail);
        let mut problems = built.problems;
        // What a file that cannot be read lacks is no news.
        let has = |name| {
            problems
                .iter()
                .any(|problem: &Problem| problem.name == name)
        };
        let no_toml = has(ProblemName::Syntax);
        if no_toml || has(ProblemName::Unreadable) || has(ProblemName::IncludeDepth) {
            open.clear();
            problems.retain(|problem| match problem.name {
                ProblemName::UnknownName
                | ProblemName::UnknownPart
                | ProblemName::UnknownTerminal
                | ProblemName::MissingSection => false,
                ProblemName::MissingKey | ProblemName::UnknownKey => !no_toml,
                _ => true,
            });
        } else {
            problems.extend(wrong);
        }
        let by_place = |one: &Problem, other: &Problem| one.place.cmp(&other.place);
        problems.sort_by(by_place);
        open.sort_by(by_place);
        Self {
            design: built.design,
            problems,
            open,
            sources: loaded.sources,
            trees: loaded.trees,
            places: built.trail.places,
            carry_overs: built.carry_overs,
        }
    }

    /// The problems for people.
    pub fn render(&self, paint: Paint) -> String {
        render(&self.sources, &self.problems, paint)
    }

    /// `file:line:column` of a place.
    pub fn position(&self, place: &Place) -> String {
        let (line, column) = line_and_column(&self.sources, place);
        let path = self.sources.get(place.file).map_or("", |s| s.path.as_str());
        format!("{path}:{line}:{column}")
    }

    /// `file:line` of a place, for people: the directory is left out where no other file
    /// that was read has the same name.
    pub fn line(&self, place: &Place) -> String {
        let (line, _) = line_and_column(&self.sources, place);
        format!("{}:{line}", short_name(&self.sources, place.file))
    }
}
