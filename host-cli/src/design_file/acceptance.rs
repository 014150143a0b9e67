//! Deviations that somebody accepted, from a file of their own beside the design.

use std::path::Path;

use orangeloom_core::design::{Date, Design, Kind, Thing};
use orangeloom_core::review::{Aspect, RuleId};

use super::build::evidence::{named_in, unknown_rule};
use super::keys::{ABOUT, ACCEPTED};
use super::load::{Disk, load};
use super::near::nearest;
use super::problem::{Problem, ProblemName, quoted};
use super::records::slip_of_date;
use super::source::{Place, Source};
use super::tree::{Entry, Node, Tree};
use super::walk::{Report, Table, names_nothing, table_of};
use crate::aspect_text;

/// One deviation that somebody accepted.
#[derive(Debug)]
pub(crate) struct Acceptance {
    /// The rule that fails.
    pub(crate) rule: RuleId,
    /// The thing that it fails at.
    pub(crate) thing: Thing,
    /// Where on it: what bears the name that was written. Everywhere where there is none.
    pub(crate) at: Vec<Thing>,
    /// What is held against what there; whatever fails, which is one only, where nothing is
    /// said.
    pub(crate) aspect: Option<Aspect>,
    /// Why it is acceptable.
    pub(crate) reason: String,
    /// By whom.
    pub(crate) who: String,
    /// When.
    pub(crate) date: Date,
    /// How much beyond its limit, as it is written, and where; however much it is where nothing
    /// is said.
    pub(crate) up_to: Option<(String, Place)>,
    /// Where it is written.
    pub(crate) place: Place,
}

/// What a file of accepted deviations says.
pub(crate) struct Acceptances {
    /// Each of them.
    pub(crate) list: Vec<Acceptance>,
    /// Everything that is wrong.
    pub(crate) problems: Vec<Problem>,
    /// The file.
    pub(crate) sources: Vec<Source>,
}

/// Reads a file of deviations that were accepted in a design.
pub(crate) fn read_acceptances(path: &Path, design: &Design) -> Acceptances {
    let loaded = load(&Disk, path);
    let mut report = Report {
        sources: &loaded.sources,
        problems: loaded.problems,
    };
    let mut list = Vec::new();
    for entry in loaded.trees.iter().flatten() {
        let Some(tables) = tables(entry) else {
            let what = format!(
                "a file of accepted deviations has no {}",
                quoted(&entry.key)
            );
            let problem = Problem::new(ProblemName::UnknownSection, entry.place.clone(), what)
                .here("not understood")
                .advice("write each deviation as [[accepted]], and nothing else");
            report.add(problem);
            continue;
        };
        for node in tables {
            if let Some(table) = table_of(node, &ACCEPTED) {
                table.check_keys(&mut report);
                list.extend(acceptance(design, table, &mut report));
            }
        }
    }
    Acceptances {
        list,
        problems: report.problems,
        sources: loaded.sources,
    }
}

fn tables(entry: &Entry) -> Option<&[Node]> {
    match &entry.node.value {
        Tree::List(tables) if entry.key == "accepted" => Some(tables),
        _ => None,
    }
}

fn acceptance(design: &Design, table: Table<'_>, report: &mut Report<'_>) -> Option<Acceptance> {
    let before = report.problems.len();
    let rule = rule(table, report);
    let thing = about(design, table, report);
    let at = places_on(design, table, report);
    let aspect = aspect(table, report);
    let reason = told(table, "reason", report);
    let who = told(table, "who", report);
    let date = table.day("date", report);
    if let Some(problem) = slip_of_date(table) {
        report.add(problem);
    }
    let up_to = if table.has("up-to") {
        told(table, "up-to", report).map(|text| (text, table.place_of("up-to")))
    } else {
        None
    };
    revision(design, table, report);
    if report.problems.len() > before {
        return None;
    }
    Some(Acceptance {
        rule: rule?,
        thing: thing?,
        at: at?,
        aspect,
        reason: reason?,
        who: who?,
        date: date?,
        up_to,
        place: table.place_of("rule"),
    })
}

/// A text that says something.
fn told(table: Table<'_>, key: &str, report: &mut Report<'_>) -> Option<String> {
    let written = table.text(key, report)?;
    let text = written
        .text
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    if text.is_empty() {
        let what = format!("{key} is empty");
        let problem = Problem::new(ProblemName::MissingKey, written.place.clone(), what)
            .here("nothing is said")
            .advice("an acceptance counts with rule, reason, who and date");
        report.add(problem);
        return None;
    }
    if text.chars().any(Design::is_unseen) {
        let what = format!("{key} is {} with signs that cannot be seen", quoted(&text));
        let problem = Problem::new(ProblemName::NotPrintable, written.place.clone(), what);
        report.add(problem.advice("leave them out; it is printed with the review"));
        return None;
    }
    if let Some(problem) = names_nothing(key, &text, written.place) {
        report.add(problem);
        return None;
    }
    Some(text)
}

fn rule(table: Table<'_>, report: &mut Report<'_>) -> Option<RuleId> {
    let written = table.text("rule", report)?;
    let found = RuleId::find(written.text);
    if found.is_none() {
        report.add(unknown_rule(&written));
    }
    found
}

/// What is held against what; nothing where nothing is said.
fn aspect(table: Table<'_>, report: &mut Report<'_>) -> Option<Aspect> {
    let written = table.text("aspect", report)?;
    let found = aspect_text::find(written.text);
    if found.is_none() {
        let all: Vec<String> = Aspect::ALL.iter().copied().map(aspect_text::slug).collect();
        let what = format!("no finding has an aspect {}", quoted(written.text));
        let problem = Problem::new(ProblemName::UnknownName, written.place.clone(), what)
            .here("no such aspect")
            .meant(nearest(written.text, all.iter().map(String::as_str)))
            .advice("orangeloom review --json tells the aspect of every finding");
        report.add(problem);
    }
    found
}

/// What it is about; the vehicle where nothing is said.
fn about(design: &Design, table: Table<'_>, report: &mut Report<'_>) -> Option<Thing> {
    let mut said = ABOUT.iter().filter(|(key, _)| table.has(key));
    if let (Some((key, _)), Some((other, _))) = (said.next(), said.next()) {
        let what = format!("{key} and {other} exclude each other");
        let problem = Problem::new(ProblemName::KeysClash, table.place_of(other), what)
            .here("a second thing")
            .and(table.place_of(key), "the first")
            .advice("write an [[accepted]] for each");
        report.add(problem);
        return None;
    }
    let no = match named_in(design, table, report)? {
        Ok(thing) => return Some(thing),
        Err(no) => no,
    };
    let (kind, text) = (super::keys::section(no.tag).one, no.written.text);
    let what = format!("{}: the design has no {kind} {}", no.key, quoted(text));
    let names = Kind::ALL.iter().filter(|one| one.words() == kind);
    let names = names.flat_map(|kind| names_of(design, *kind));
    let problem = Problem::new(ProblemName::UnknownName, no.written.place.clone(), what)
        .here("no such thing")
        .meant(nearest(text, names));
    report.add(problem);
    None
}

fn things_of(design: &Design, kind: Kind) -> impl Iterator<Item = Thing> {
    let indices = (0..design.count(kind)).filter_map(|index| u16::try_from(index).ok());
    indices.map(move |index| Thing { kind, index })
}

fn names_of(design: &Design, kind: Kind) -> impl Iterator<Item = &str> {
    things_of(design, kind).filter_map(|thing| design.name(thing))
}

/// What a review names as a place on a thing.
const PLACES: [Kind; 10] = [
    Kind::Terminal,
    Kind::Phase,
    Kind::Duty,
    Kind::Conductor,
    Kind::Battery,
    Kind::Fuse,
    Kind::Contactor,
    Kind::Resistor,
    Kind::Load,
    Kind::Enclosure,
];

/// Where on the thing: names are told apart within a kind only, so that several may be
/// meant; none where nothing is said. `None` where nothing bears the name.
fn places_on(design: &Design, table: Table<'_>, report: &mut Report<'_>) -> Option<Vec<Thing>> {
    let Some(written) = table.text("at", report) else {
        return Some(Vec::new());
    };
    let things = PLACES.iter().flat_map(|kind| things_of(design, *kind));
    let found: Vec<Thing> = things
        .filter(|thing| design.name(*thing) == Some(written.text))
        .collect();
    if !found.is_empty() {
        return Some(found);
    }
    let what = format!(
        "at: the design has no place {}: no {}",
        quoted(written.text),
        PLACES.map(Kind::words).join(", no ")
    );
    let names = PLACES.iter().flat_map(|kind| names_of(design, *kind));
    let problem = Problem::new(ProblemName::UnknownName, written.place.clone(), what)
        .here("no such place")
        .meant(nearest(written.text, names));
    report.add(problem);
    None
}

/// What was accepted for another revision has to be looked at again.
fn revision(design: &Design, table: Table<'_>, report: &mut Report<'_>) {
    let in_force = design.vehicle.revision.and_then(|text| design.text(text));
    let Some(written) = table.text("revision", report) else {
        // Else it would hold for every later state.
        if let Some(revision) = in_force {
            let what = "it does not say for which revision it was accepted".to_owned();
            let problem = Problem::new(ProblemName::MissingKey, table.place.clone(), what)
                .here("\"revision\" is needed here")
                .advice(format!(
                    "whoever looked at this state writes revision = {}",
                    quoted(revision)
                ));
            report.add(problem);
        }
        return;
    };
    if in_force == Some(written.text) {
        return;
    }
    let what = format!(
        "it was accepted for revision {}, the design is {}",
        quoted(written.text),
        in_force.map_or_else(
            || "of none that is stated".to_owned(),
            |revision| format!("of revision {}", quoted(revision))
        )
    );
    let problem = Problem::new(ProblemName::StaleAcceptance, written.place.clone(), what)
        .here("another revision")
        .advice("look at it again; whoever accepts it in this revision states so with a new date");
    report.add(problem);
}
