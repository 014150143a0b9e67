//! Every name of the files, before anything is read: two things with one name,
//! and names that stand for nothing.

use std::collections::HashMap;

use super::Builder;
use crate::design_file::keys::{SECTIONS, Tag, section};
use crate::design_file::near::nearest;
use crate::design_file::problem::{Problem, ProblemName, quoted};
use crate::design_file::source::Place;
use crate::design_file::tree::Tree;
use crate::design_file::walk::{Table, Written, is_part};

/// The names of each section, with their places.
#[derive(Default)]
pub(super) struct Names {
    names: HashMap<Tag, HashMap<String, Place>>,
}

impl Names {
    pub(super) fn has(&self, tag: Tag, name: &str) -> bool {
        self.names
            .get(&tag)
            .is_some_and(|names| names.contains_key(name))
    }

    /// The names of a section, in the order of the alphabet.
    pub(super) fn of(&self, tag: Tag) -> Vec<&str> {
        let names = self.names.get(&tag).into_iter();
        let mut names: Vec<&str> = names.flat_map(|n| n.keys().map(String::as_str)).collect();
        names.sort_unstable();
        names
    }
}

/// What is drawn between terminals shares its names.
const DRAWN: [Tag; 7] = [
    Tag::Battery,
    Tag::Conductor,
    Tag::Fuse,
    Tag::Contactor,
    Tag::ServiceDisconnect,
    Tag::Resistor,
    Tag::Load,
];

impl Builder<'_> {
    /// Collects the names of all entries and reports those that are given twice.
    pub(super) fn collect_names(&mut self, sections: &HashMap<Tag, Vec<Table<'_>>>) {
        for section in SECTIONS {
            for table in sections.get(&section.tag).into_iter().flatten() {
                self.collect(*table);
            }
        }
    }

    fn collect(&mut self, table: Table<'_>) {
        let Some((name, place)) = table.section.name_key().and_then(|key| plain(table, key)) else {
            return;
        };
        match table.section.tag {
            Tag::Pair => {
                self.claim(Tag::Conductor, format!("{name}+"), place);
                self.claim(Tag::Conductor, format!("{name}-"), place);
            }
            Tag::Consumer => {
                self.claim(Tag::Load, name.to_owned(), place);
                if let Some((circuit, place)) = plain(table, "circuit") {
                    self.claim(Tag::Conductor, circuit.to_owned(), place);
                    self.claim(Tag::Fuse, format!("F-{circuit}"), place);
                }
            }
            tag => self.claim(tag, name.to_owned(), place),
        }
    }

    fn claim(&mut self, tag: Tag, name: String, place: &Place) {
        let sharing: &[Tag] = if DRAWN.contains(&tag) { &DRAWN } else { &[tag] };
        let names = &self.names.names;
        let taken = sharing.iter().find_map(|other| {
            let first = names.get(other)?.get(&name)?;
            Some((*other, first.clone()))
        });
        if let Some((other, first)) = taken {
            let one = section(other).one;
            let what = format!("the name {} is given to a {one} already", quoted(&name));
            self.report.add(
                Problem::new(ProblemName::NameTaken, place.clone(), what)
                    .here("here again")
                    .and(first, "first here")
                    .advice("give one of them another name; a label has to name one thing"),
            );
            return;
        }
        let names = self.names.names.entry(tag).or_default();
        names.insert(name, place.clone());
    }

    /// Reports a name that no entry has. One that an entry has which could not be
    /// read is no news.
    pub(super) fn unknown_name(&mut self, key: &str, written: &Written<'_>, tag: Tag) {
        if self.names.has(tag, written.text) {
            return;
        }
        let section = section(tag);
        let known = self.names.of(tag);
        let near = nearest(written.text, known.iter().copied());
        let (name, whose) = if is_part(tag) {
            (ProblemName::UnknownPart, "no parts file defines")
        } else {
            (ProblemName::UnknownName, "there is no")
        };
        let what = format!(
            "{key}: {whose} the {} {}",
            section.one,
            quoted(written.text)
        );
        let what = what.replace("there is no the", "there is no");
        let mut problem = Problem::new(name, written.place.clone(), what)
            .here(format!("no such {}", section.one))
            .meant(near);
        problem = match known.as_slice() {
            [] => problem.advice(format!(
                "there is no {} yet; write one as {}",
                section.one,
                section.heading()
            )),
            known if near.is_none() => {
                let shown: Vec<String> = known.iter().take(12).map(|name| quoted(name)).collect();
                let more = if known.len() > 12 { ", ..." } else { "" };
                problem.advice(format!("known are {}{more}", shown.join(", ")))
            }
            _ => problem,
        };
        self.report.add(problem);
    }
}

/// A text value, without a word about any other.
fn plain<'a>(table: Table<'a>, key: &str) -> Option<(&'a str, &'a Place)> {
    let node = table.node(key)?;
    match &node.value {
        Tree::Text(text) => Some((text, &node.place)),
        _ => None,
    }
}
