//! From tables to the design: names first, then entry by entry.

pub(super) mod carry_over;
mod conductors;
mod devices;
pub(super) mod evidence;
mod names;
mod operation;
mod parts;
mod places;
mod terminals;

use std::collections::{HashMap, HashSet};

use orangeloom_core::design::{Cell, Design, Entry, Kind, TextId, Thing};
use orangeloom_core::error::{Capacity, Error};
use orangeloom_core::insulation::Domain;

use self::carry_over::CarryOver;
use self::names::Names;

use super::keys::{SECTIONS, Section, Tag};
use super::load::Loaded;
use super::near::nearest;
use super::problem::{Problem, ProblemName, listed, quoted};
use super::source::Place;
use super::tree::{Entry as FileEntry, Tree};
use super::walk::{Report, Table, Written, table_of};

/// A design with the way back to its lines.
pub(super) struct Built {
    pub(super) design: Box<Design>,
    pub(super) problems: Vec<Problem>,
    pub(super) trail: Trail,
    pub(super) carry_overs: Vec<CarryOver>,
}

/// Where each thing stands in the files.
#[derive(Default)]
pub(super) struct Trail {
    /// The name of each thing.
    pub(super) places: HashMap<Thing, Place>,
    /// Things with problems of their own: what is missing there is no news.
    pub(super) spoiled: HashSet<Thing>,
    /// Everywhere that something ends at a terminal.
    pub(super) mentions: HashMap<Thing, Vec<Place>>,
    /// Some entry was read without its ends, so that terminals may lack one.
    pub(super) dropped: bool,
}

/// In which order sections are read: what is referred to first.
const ORDER: [Tag; 29] = [
    Tag::Vehicle,
    Tag::Controller,
    Tag::Zone,
    Tag::Box,
    Tag::Terminal,
    Tag::Tube,
    Tag::CellType,
    Tag::CableType,
    Tag::FuseType,
    Tag::ContactorType,
    Tag::ResistorType,
    Tag::LugType,
    Tag::GlandType,
    Tag::Battery,
    Tag::Conductor,
    Tag::Pair,
    Tag::Fuse,
    Tag::Contactor,
    Tag::ServiceDisconnect,
    Tag::Resistor,
    Tag::Load,
    Tag::Converter,
    Tag::Consumer,
    Tag::Phase,
    Tag::Duty,
    Tag::Spacing,
    Tag::CarryOver,
    Tag::Reading,
    Tag::Attestation,
];

/// Builds what was loaded.
pub(super) fn build(loaded: &Loaded) -> Built {
    let mut problems = loaded.problems.clone();
    let sections = sort(loaded, &mut problems);
    let mut builder = Builder {
        design: Box::new(Design::new(Domain::Road)),
        report: Report {
            sources: &loaded.sources,
            problems,
        },
        names: Names::default(),
        trail: Trail::default(),
        cells: HashMap::new(),
        beyond: HashMap::new(),
        carry_overs: Vec::new(),
    };
    builder.collect_names(&sections);
    for tag in ORDER {
        for table in sections.get(&tag).into_iter().flatten() {
            table.check_keys(&mut builder.report);
            builder.entry(tag, *table);
        }
    }
    builder.finish()
}

/// The tables of each section, from all files.
fn sort<'a>(loaded: &'a Loaded, problems: &mut Vec<Problem>) -> HashMap<Tag, Vec<Table<'a>>> {
    let mut sections: HashMap<Tag, Vec<Table<'a>>> = HashMap::new();
    for tree in &loaded.trees {
        for entry in tree {
            if entry.key == "include" {
                continue;
            }
            match SECTIONS.iter().find(|section| section.key == entry.key) {
                Some(section) => {
                    let tables = tables_of(section, entry, problems);
                    sections.entry(section.tag).or_default().extend(tables);
                }
                None => problems.push(unknown_section(entry)),
            }
        }
    }
    if !loaded.trees.is_empty() && !sections.contains_key(&Tag::Vehicle) {
        let what = "no file has the section [vehicle]";
        problems.push(
            Problem::new(ProblemName::MissingSection, Place::new(0, 0..0), what)
                .advice("write [vehicle] with domain = \"road\", \"farm\", \"rail\" or \"craft\""),
        );
    }
    for section in SECTIONS.iter().filter(|section| !section.many) {
        let Some(tables) = sections.get_mut(&section.tag) else {
            continue;
        };
        if let [first, others @ ..] = tables.as_slice() {
            for other in others {
                let what = format!("the {} is described twice", section.one);
                problems.push(
                    Problem::new(ProblemName::NameTaken, other.place.clone(), what)
                        .here("here again")
                        .and(first.place.clone(), "first here")
                        .advice(format!(
                            "a design has one {}; parts files have none",
                            section.heading()
                        )),
                );
            }
        }
        tables.truncate(1);
    }
    sections
}

fn tables_of<'a>(
    section: &'static Section,
    entry: &'a FileEntry,
    problems: &mut Vec<Problem>,
) -> Vec<Table<'a>> {
    let heading = section.heading();
    let wrong = |place: &Place, found: &str| {
        let what = format!("{} is {found}, it is written {heading}", section.key);
        Problem::new(ProblemName::WrongType, place.clone(), what)
            .here(format!("write {heading}"))
            .advice(format!("{heading}: {}", section.doc))
    };
    match &entry.node.value {
        Tree::Table(_) => {
            if section.many {
                let found = "a single table";
                problems.push(wrong(&entry.place, found));
            }
            table_of(&entry.node, section).into_iter().collect()
        }
        Tree::List(list) if section.many => {
            let mut tables = Vec::new();
            for item in list {
                match table_of(item, section) {
                    Some(table) => tables.push(table),
                    None => problems.push(wrong(&item.place, item.value.words())),
                }
            }
            tables
        }
        Tree::List(list) => {
            problems.push(wrong(&entry.place, "a list"));
            list.iter()
                .filter_map(|item| table_of(item, section))
                .take(1)
                .collect()
        }
        other => {
            problems.push(wrong(&entry.place, other.words()));
            Vec::new()
        }
    }
}

fn unknown_section(entry: &FileEntry) -> Problem {
    let keys: Vec<&str> = SECTIONS.iter().map(|section| section.key).collect();
    let what = format!("a design file has no section {}", quoted(&entry.key));
    let near = nearest(&entry.key, keys.iter().copied().chain(["include"]));
    let problem =
        Problem::new(ProblemName::UnknownSection, entry.place.clone(), what).here("not a section");
    match near {
        Some(_) => problem.meant(near),
        None => problem.advice(format!("its sections are {}", listed(&keys, "and"))),
    }
}

pub(super) struct Builder<'a> {
    design: Box<Design>,
    report: Report<'a>,
    names: Names,
    trail: Trail,
    cells: HashMap<String, (Cell, Option<TextId>)>,
    /// For each kind that is full: the first entry beyond, and how many there are.
    beyond: HashMap<Kind, (Place, usize)>,
    carry_overs: Vec<CarryOver>,
}

impl Builder<'_> {
    fn entry(&mut self, tag: Tag, table: Table<'_>) {
        match tag {
            Tag::Vehicle => self.vehicle(table),
            Tag::Controller => self.controller(table),
            Tag::Zone => self.zone(table),
            Tag::Box => self.enclosure(table),
            Tag::Terminal => self.declared_terminal(table),
            Tag::Tube => self.tube(table),
            Tag::CellType => self.cell_type(table),
            Tag::CableType => self.cable_type(table),
            Tag::FuseType => self.fuse_type(table),
            Tag::ContactorType => self.contactor_type(table),
            Tag::ResistorType => self.resistor_type(table),
            Tag::LugType => self.lug_type(table),
            Tag::GlandType => self.gland_type(table),
            Tag::Battery => self.battery(table),
            Tag::Conductor => self.conductor(table),
            Tag::Pair => self.pair(table),
            Tag::Fuse => self.fuse(table),
            Tag::Contactor => self.contactor(table),
            Tag::ServiceDisconnect => self.service_disconnect(table),
            Tag::Resistor => self.resistor(table),
            Tag::Load => self.load(table),
            Tag::Converter => self.converter(table),
            Tag::Consumer => self.consumer(table),
            Tag::Phase => self.phase(table),
            Tag::Duty => self.duty(table),
            Tag::Spacing => self.spacing(table),
            Tag::CarryOver => self.carry_over(table),
            Tag::Reading => self.reading(table),
            Tag::Attestation => self.attestation(table),
            Tag::Inner => {}
        }
    }

    fn finish(mut self) -> Built {
        for (kind, (place, beyond)) in self.beyond {
            let all = kind.most() + beyond;
            let what = format!("{all} {} where {} fit", kind.plural(), kind.most());
            self.report.add(
                Problem::new(ProblemName::TooMany, place, what)
                    .here("the first that does not fit")
                    .advice(format!(
                        "a design holds {} {}; leave out what carries no high voltage and no safety, or ask for more room",
                        kind.most(),
                        kind.plural()
                    )),
            );
        }
        Built {
            design: self.design,
            problems: self.report.problems,
            trail: self.trail,
            carry_overs: self.carry_overs,
        }
    }

    /// How many problems there are now.
    fn mark(&self) -> usize {
        self.report.problems.len()
    }

    /// Adds an entry and keeps its place; `mark` was taken before it was read.
    fn add<E: Entry>(&mut self, entry: E, place: &Place, mark: usize) -> Option<E::Id> {
        match self.design.add(entry) {
            Ok(id) => {
                self.trail.places.insert(id.into(), place.clone());
                if self.mark() > mark {
                    self.trail.spoiled.insert(id.into());
                }
                Some(id)
            }
            Err(error) => {
                self.refused(error, place);
                None
            }
        }
    }

    /// An entry that was not added.
    fn refused(&mut self, error: Error, place: &Place) {
        match error {
            Error::Full(kind) => {
                // Its ends are known all the same, unless they are what is full.
                self.trail.dropped |= matches!(kind, Kind::Terminal | Kind::Text);
                let beyond = self.beyond.entry(kind);
                beyond.or_insert_with(|| (place.clone(), 0)).1 += 1;
            }
            // Told when the names were collected.
            Error::NameTaken(_) => {}
            Error::Capacity(_) => {
                let problem = Problem::new(ProblemName::TooMany, place.clone(), error.to_string());
                self.report.add(problem);
            }
            _ => {
                let what = error.to_string();
                let problem = Problem::new(ProblemName::Contradiction, place.clone(), what);
                self.report.add(problem);
            }
        }
    }

    /// The number of a text.
    fn put(&mut self, text: &str, place: &Place) -> Option<TextId> {
        match self.design.put_text(text) {
            Ok(id) => Some(id),
            Err(Error::Inconsistent(_)) => {
                let what = format!(
                    "{} cannot be printed on a label: it is empty, or has spaces around it or signs in it that cannot be seen",
                    quoted(text)
                );
                let problem = Problem::new(ProblemName::NotPrintable, place.clone(), what);
                self.report.add(problem);
                None
            }
            Err(Error::Capacity(Capacity::TextLength)) => {
                let most = orangeloom_core::design::MAX_TEXT_BYTES;
                let what = format!(
                    "{} is longer than the {most} letters that fit",
                    quoted(text)
                );
                let problem = Problem::new(ProblemName::TooMany, place.clone(), what)
                    .advice("shorten it; it has to fit on a label");
                self.report.add(problem);
                None
            }
            Err(error @ Error::Capacity(_)) => {
                // Once is enough: every further text would say the same.
                if !self.beyond.contains_key(&Kind::Text) {
                    self.refused(error, place);
                }
                self.refused(Error::Full(Kind::Text), place);
                None
            }
            Err(error) => {
                self.refused(error, place);
                None
            }
        }
    }

    /// A key that holds a text.
    fn text(&mut self, table: Table<'_>, key: &str) -> Option<TextId> {
        let written = table.text(key, &mut self.report)?;
        self.put(written.text, written.place)
    }

    /// The name of an entry, from its name key.
    fn name<'t>(&mut self, table: Table<'t>) -> Option<(TextId, Written<'t>)> {
        let key = table.section.name_key()?;
        let named = table.text(key, &mut self.report).and_then(|written| {
            let id = self.put(written.text, written.place)?;
            Some((id, written))
        });
        if named.is_none() {
            self.trail.dropped = true;
        }
        named
    }

    /// A reference to an entry of another section, by its name.
    fn refer<E: Entry>(&mut self, table: Table<'_>, key: &str, tag: Tag) -> Option<E::Id> {
        let written = table.text(key, &mut self.report)?;
        self.find::<E>(key, &written, tag)
    }

    /// References to entries of another section.
    fn refers<E: Entry>(&mut self, table: Table<'_>, key: &str, tag: Tag) -> Vec<E::Id> {
        let texts = table.texts(key, &mut self.report);
        texts
            .iter()
            .filter_map(|written| self.find::<E>(key, written, tag))
            .collect()
    }

    fn find<E: Entry>(&mut self, key: &str, written: &Written<'_>, tag: Tag) -> Option<E::Id> {
        let found = self.design.find::<E>(written.text);
        if found.is_none() {
            self.unknown_name(key, written, tag);
        }
        found
    }
}
