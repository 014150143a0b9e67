//! Readings and attestations from a file of their own, read together with a design.

use std::path::{Path, PathBuf};

use orangeloom_core::design::{
    Attestation, AttestationId, Design, Kind, Moment, Reading, ReadingId, Signature, SignatureId,
    Thing,
};

use time::OffsetDateTime;

use super::keys::{Tag, Value, section};
use super::load::{Disk, Files, Loaded, load, parse, text_of_file};
use super::problem::{Problem, ProblemName, quoted};
use super::source::{Place, Source};
use super::tree::{Entry, Node, Tree};
use super::walk::{Table, table_of};
use super::{DesignFile, sheet};

/// A design with the records of another file.
pub(crate) struct Recorded {
    /// Both together; what is wrong with either is in its problems.
    pub(crate) read: DesignFile,
    /// The readings that are new, with the line of each in `read.places`.
    pub(crate) readings: Vec<ReadingId>,
    /// The attestations that are new.
    pub(crate) attestations: Vec<AttestationId>,
    /// Those that the design had already, word for word.
    pub(crate) known: Vec<Known>,
    /// Which source the records are.
    file: usize,
    /// The new ones as they are written into a design.
    entries: Vec<(Place, String)>,
}

/// A record that stands in the design and in the file of records.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Known {
    /// A reading.
    Reading {
        /// As the file says it.
        again: ReadingId,
        /// As it was before.
        first: ReadingId,
    },
    /// An attestation.
    Attestation {
        /// As the file says it.
        again: AttestationId,
        /// As it was before.
        first: AttestationId,
    },
}

impl Known {
    /// The record of the file.
    fn again(self) -> Thing {
        match self {
            Self::Reading { again, .. } => again.into(),
            Self::Attestation { again, .. } => again.into(),
        }
    }
}

/// Reads a design, and records of it from a TOML file or a sheet.
pub(crate) fn read_records(design: &Path, records: &Path) -> Recorded {
    let mut loaded = load(&Disk, design);
    let file = loaded.sources.len();
    let tree = match text_of_file(&Disk, records) {
        Ok(text) => {
            // Where a byte order mark stands, as many bytes that say nothing.
            let text = text.replacen('\u{feff}', "   ", 1);
            let tree = if is_sheet(records) {
                sheet::read(file, &text, &mut loaded.problems)
            } else {
                parse(file, &text, &mut loaded.problems)
            };
            put_source(&mut loaded, records, text);
            tree
        }
        Err(why) => {
            put_source(&mut loaded, records, String::new());
            let what = format!(
                "{} cannot be read: {why}",
                quoted(&records.to_string_lossy())
            );
            let place = Place::new(file, 0..0);
            loaded
                .problems
                .push(Problem::new(ProblemName::Unreadable, place, what));
            Vec::new()
        }
    };
    let tree = only_records(tree, &mut loaded.problems);
    let entries = written(&tree);
    loaded.trees.push(tree);
    let mut recorded = Recorded {
        read: DesignFile::from_loaded(loaded),
        readings: Vec::new(),
        attestations: Vec::new(),
        known: Vec::new(),
        file,
        entries,
    };
    recorded.sort();
    recorded
}

fn put_source(loaded: &mut Loaded, path: &Path, text: String) {
    let path = path.display().to_string();
    loaded.sources.push(Source::new(path, text));
}

/// Whether a file is a sheet; anything else is TOML.
fn is_sheet(path: &Path) -> bool {
    let extension = path.extension().unwrap_or_default().to_ascii_lowercase();
    ["csv", "tsv", "txt"].iter().any(|one| extension == *one)
}

/// The tables of a section.
fn tables(entry: &Entry) -> impl Iterator<Item = (Tag, Table<'_>)> {
    let tag = match entry.key.as_str() {
        "reading" => Some(Tag::Reading),
        "attestation" => Some(Tag::Attestation),
        _ => None,
    };
    let nodes: &[Node] = match &entry.node.value {
        Tree::List(nodes) => nodes,
        _ => &[],
    };
    let section = tag.map(|tag| (tag, section(tag)));
    nodes.iter().filter_map(move |node| {
        section.and_then(|(tag, section)| Some((tag, table_of(node, section)?)))
    })
}

/// Takes out what is no record, and tells what a record needs to count.
fn only_records(tree: Vec<Entry>, problems: &mut Vec<Problem>) -> Vec<Entry> {
    let mut kept = Vec::new();
    for entry in tree {
        if !matches!(entry.key.as_str(), "reading" | "attestation") {
            let what = format!("a file of readings has no {}", quoted(&entry.key));
            problems.push(
                Problem::new(ProblemName::UnknownSection, entry.place.clone(), what)
                    .here("not understood")
                    .advice("write [[reading]] for what was measured and [[attestation]] for what was looked at; the vehicle itself stays in the design"),
            );
            continue;
        }
        for (tag, table) in tables(&entry) {
            let needed: &[&str] = match tag {
                Tag::Reading => &["initials", "date", "instrument"],
                _ => &["initials", "date"],
            };
            for key in needed.iter().filter(|key| !table.has(key)) {
                let doc = section(tag).row(key).map_or("", |row| row.doc);
                let what = format!("this {} says nothing of {}", section(tag).one, quoted(key));
                problems.push(
                    Problem::new(ProblemName::MissingKey, table.place.clone(), what)
                        .here(format!("{} is needed here", quoted(key)))
                        .advice(format!("{key}: {doc}; without it nothing is proven")),
                );
            }
        }
        kept.push(entry);
    }
    kept
}

/// No vehicle that is designed with this program has older records: a slip of the pen.
const FIRST_YEAR: u16 = 2000;

/// What to say of the date of a record or an acceptance that cannot be.
pub(super) fn slip_of_date(table: Table<'_>) -> Option<Problem> {
    // Where the day begins earliest it is tomorrow already.
    let today = OffsetDateTime::now_utc().date();
    let latest = today.next_day().unwrap_or(today);
    let node = table.node("date")?;
    let Tree::Day(day) = &node.value else {
        return None;
    };
    // What no calendar of ours has is told as that.
    let too_old = day
        .date
        .is_some_and(|day| (1900..FIRST_YEAR).contains(&day.year));
    let (here, advice) = if day.to_string() > latest.to_string() {
        (
            "not yet",
            "look at the date, and at the clock of this computer",
        )
    } else if too_old {
        ("too long ago", "look at the year: none is from before 2000")
    } else {
        return None;
    };
    let what = format!("it is dated {day}, and today is {today}");
    Some(
        Problem::new(ProblemName::Contradiction, node.place.clone(), what)
            .here(here)
            .advice(advice),
    )
}

/// Each record as TOML, with the place that it was read from.
fn written(tree: &[Entry]) -> Vec<(Place, String)> {
    let all = tree.iter().flat_map(tables);
    all.map(|(tag, table)| (table.place.clone(), toml(tag, table)))
        .collect()
}

fn toml(tag: Tag, table: Table<'_>) -> String {
    let section = section(tag);
    let mut text = format!("{}\n", section.heading());
    for row in section.keys {
        let Some(node) = table.node(row.key) else {
            continue;
        };
        let value = match (&node.value, row.value) {
            // What JSON escapes TOML escapes alike.
            (Tree::Text(text), _) => serde_json::Value::from(text.as_str()).to_string(),
            (Tree::Whole(digits, radix), Value::Whole(..)) => {
                u32::from_str_radix(digits, *radix).unwrap_or(0).to_string()
            }
            (Tree::Whole(digits, _) | Tree::Decimal(digits), _) => digits.clone(),
            (Tree::Flag(flag), _) => flag.to_string(),
            (Tree::Day(day), _) => day.to_string(),
            // Refused before anything is written.
            (Tree::List(_) | Tree::Table(_), _) => continue,
        };
        text = format!("{text}{} = {value}\n", row.key);
    }
    text
}

/// A record, for comparing it with others.
struct Record {
    place: Place,
    signature: Signature,
    when: Moment,
}

impl Record {
    /// Whether both are of one day, and nobody knows which was first.
    fn is_of_one_time(&self, other: &Self) -> bool {
        let (one, other) = (self.when, other.when);
        one.date == other.date && !one.is_after(other) && !other.is_after(one)
    }
}

impl Recorded {
    /// The file that something is wrong with: the records, unless all of it is in the
    /// design.
    pub(crate) fn at_fault<'a>(&self, design: &'a Path, records: &'a Path) -> &'a Path {
        let mut problems = self.read.problems.iter();
        if problems.any(|problem| problem.place.file == self.file) {
            records
        } else {
            design
        }
    }

    /// Tells new records from known ones and from those that contradict each other.
    fn sort(&mut self) {
        let file = self.file;
        if !self.read.problems.is_empty() {
            return;
        }
        let mut clashes = Vec::new();
        let design = &self.read.design;
        let record = |thing: Thing, signature: Option<SignatureId>| Record {
            place: self
                .read
                .places
                .get(&thing)
                .cloned()
                .unwrap_or(Place::new(0, 0..0)),
            signature: signature
                .and_then(|id| design.get(id))
                .copied()
                .unwrap_or_default(),
            when: design.moment(signature),
        };
        let readings: Vec<(ReadingId, Reading, Record)> = design
            .all::<Reading>()
            .map(|(id, one)| (id, *one, record(id.into(), one.signature)))
            .collect();
        let attestations: Vec<(AttestationId, Attestation, Record)> = design
            .all::<Attestation>()
            .map(|(id, one)| (id, *one, record(id.into(), one.signature)))
            .collect();
        let mut known = Vec::new();
        for (index, (id, one, record)) in readings.iter().enumerate() {
            if record.place.file != file {
                continue;
            }
            let before = || readings.iter().take(index);
            let alike = |other: &Reading| other.at == one.at && other.end == one.end;
            if let Some((first, ..)) = before().find(|(_, other, then)| {
                alike(other) && other.measured == one.measured && then.signature == record.signature
            }) {
                let (again, first) = (*id, *first);
                known.push(Known::Reading { again, first });
                continue;
            }
            let other = before().find(|(_, other, then)| {
                alike(other)
                    && then.is_of_one_time(record)
                    && one.measured.contradicts(other.measured)
            });
            if let Some((_, _, other)) = other {
                clashes.push(clash(record, other, "reads the same with another result"));
            }
            self.readings.push(*id);
        }
        for (index, (id, one, record)) in attestations.iter().enumerate() {
            if record.place.file != file {
                continue;
            }
            let before = || attestations.iter().take(index);
            let alike = |other: &Attestation| other.rule == one.rule && other.about == one.about;
            if let Some((first, ..)) = before().find(|(_, other, then)| {
                alike(other) && other.holds == one.holds && then.signature == record.signature
            }) {
                let (again, first) = (*id, *first);
                known.push(Known::Attestation { again, first });
                continue;
            }
            let other = before().find(|(_, other, then)| {
                alike(other) && other.holds != one.holds && then.is_of_one_time(record)
            });
            if let Some((_, _, other)) = other {
                clashes.push(clash(record, other, "says the opposite"));
            }
            self.attestations.push(*id);
        }
        let places = &self.read.places;
        self.entries.retain(|(place, _)| {
            let mut known = known.iter();
            !known.any(|known| places.get(&known.again()) == Some(place))
        });
        self.known = known;
        self.read.problems.extend(clashes);
    }

    /// The text of the design with the new records behind everything that it says.
    pub(crate) fn written(&self, records: &Path) -> String {
        let design = self
            .read
            .sources
            .first()
            .map_or("", |one| one.text.as_str());
        let mut text = design.to_owned();
        if !text.ends_with('\n') {
            text.push('\n');
        }
        let name = records.file_name().unwrap_or_default().to_string_lossy();
        // A name may hold what would end the comment.
        let name: String = name.chars().filter(|sign| !sign.is_control()).collect();
        text = format!("{text}\n# Recorded from {name}\n");
        let entries: Vec<&str> = self
            .entries
            .iter()
            .map(|(_, entry)| entry.as_str())
            .collect();
        text.push_str(&entries.join("\n"));
        text
    }

    /// Reads what is to be written as if it were written there, and compares.
    ///
    /// # Errors
    /// In words, where it would not be the design with these records.
    pub(crate) fn check(&self, to: &Path, text: &str) -> Result<(), String> {
        let files = Instead {
            path: Disk.identity(to),
            text: text.as_bytes().to_vec(),
        };
        let again = DesignFile::read_from(&files, to);
        if let Some(problem) = again.problems.first() {
            return Err(format!(
                "with the records in it {} would not be read: {}; write them into it by hand",
                to.display(),
                problem.what
            ));
        }
        let count = |design: &Design, kind| design.count(kind);
        let new = self.readings.len() + self.attestations.len();
        let all = |design: &Design| count(design, Kind::Reading) + count(design, Kind::Attestation);
        if all(&again.design) + self.known.len() != all(&self.read.design)
            || new != self.entries.len()
        {
            return Err(format!(
                "{} would lose records; write them into it by hand",
                to.display()
            ));
        }
        Ok(())
    }
}

fn clash(one: &Record, other: &Record, words: &str) -> Problem {
    Problem::new(
        ProblemName::RecordsClash,
        one.place.clone(),
        format!("another record of the same day {words}"),
    )
    .here("this one")
    .and(other.place.clone(), "the other")
    .advice("find out which is right and keep that one; if both were, as before and after it was mended, state the time-of-day of both: \"14:30\"")
}

/// The disk with one file as it will be.
struct Instead {
    path: PathBuf,
    text: Vec<u8>,
}

impl Files for Instead {
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        if Disk.identity(path) == self.path {
            return Ok(self.text.clone());
        }
        Disk.bytes(path)
    }

    fn identity(&self, path: &Path) -> PathBuf {
        Disk.identity(path)
    }
}
