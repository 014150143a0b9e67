//! What a design says entry by entry, for comparing two states of it.

use orangeloom_core::design::Thing;

use super::DesignFile;
use super::keys::{SECTIONS, Section, Tag, Value};
use super::source::Place;
use super::tree::{Entry, Node, Tree};

/// One entry as it was written.
#[derive(Debug)]
pub(crate) struct Listed<'a> {
    /// The key of its section.
    pub(crate) section: &'static str,
    /// Whether a design has many of its section.
    pub(crate) many: bool,
    /// Its name; empty where it has none.
    pub(crate) name: &'a str,
    /// Things of the design that come from it.
    pub(crate) things: Vec<Thing>,
    /// Where it stands.
    pub(crate) place: &'a Place,
    entries: &'a [Entry],
    /// Sections and names that it refers to.
    refers: Vec<(&'static str, &'a str)>,
}

impl<'a> Listed<'a> {
    /// Whether it refers to an entry.
    pub(crate) fn refers_to(&self, other: &Self) -> bool {
        let mut refers = self.refers.iter();
        refers.any(|(section, name)| *section == other.section && *name == other.name)
    }

    /// Its keys, in the order in which they were written.
    pub(crate) fn keys(&self) -> impl Iterator<Item = &'a str> {
        self.entries.iter().map(|entry| entry.key.as_str())
    }

    /// What a key says, in one way of writing it.
    pub(crate) fn value(&self, key: &str) -> Option<String> {
        self.node(key).map(|node| written(&node.value))
    }

    /// Whether both say the same in the same keys.
    pub(crate) fn says_as(&self, other: &Self) -> bool {
        let mut keys = self.keys();
        self.entries.len() == other.entries.len()
            && keys.all(|key| self.value(key) == other.value(key))
    }

    /// Where a key has its value.
    pub(crate) fn place_of(&self, key: &str) -> Option<&'a Place> {
        self.node(key).map(|node| &node.place)
    }

    fn node(&self, key: &str) -> Option<&'a Node> {
        let entry = self.entries.iter().find(|entry| entry.key == key)?;
        Some(&entry.node)
    }

    /// What a record is of: thing, end, rule, and what was measured, whatever the result.
    pub(crate) fn question(&self) -> Vec<String> {
        let section = SECTIONS.iter().find(|section| section.key == self.section);
        let amount = |key: &str| {
            let row = section.and_then(|section| section.row(key));
            row.is_some_and(|row| matches!(row.value, Value::Quantity(..) | Value::Whole(..)))
        };
        let asked = self.keys().filter(|key| !SIGNED.contains(key));
        let mut asked: Vec<String> = asked
            .map(|key| match self.value(key) {
                Some(value) if !amount(key) => format!("{key} {value}"),
                _ => key.to_owned(),
            })
            .collect();
        asked.sort();
        asked
    }

    /// A record with what it says, but for who, with what and of which revision.
    pub(crate) fn said(&self) -> String {
        let keys = self.keys().filter(|key| !SIGNED.contains(key));
        let said = keys
            .chain(["holds", "date", "time-of-day"])
            .filter_map(|key| {
                let value = self.value(key)?;
                Some(format!("{key} {}", value.trim_matches('"')))
            });
        format!("{}: {}", self.section, said.collect::<Vec<_>>().join(", "))
    }

    /// Its section with its name: `conductor "03"`.
    pub(crate) fn told(&self) -> String {
        if self.name.is_empty() {
            self.section.to_owned()
        } else {
            format!("{} \"{}\"", self.section, self.name)
        }
    }
}

impl DesignFile {
    /// Every entry but records, which say nothing about what is built.
    pub(crate) fn listed(&self) -> Vec<Listed<'_>> {
        self.listed_of(|tag| !is_record(tag) && tag != Tag::CarryOver)
    }

    /// Every reading and attestation.
    pub(crate) fn recorded(&self) -> Vec<Listed<'_>> {
        self.listed_of(is_record)
    }

    fn listed_of(&self, wanted: impl Fn(Tag) -> bool) -> Vec<Listed<'_>> {
        let mut listed = Vec::new();
        let mut placed: Vec<(&Place, Thing)> = self
            .places
            .iter()
            .map(|(thing, place)| (place, *thing))
            .collect();
        placed.sort_unstable();
        for whole in self.trees.iter().flatten() {
            let Some(section) = SECTIONS.iter().find(|section| section.key == whole.key) else {
                continue;
            };
            if !wanted(section.tag) {
                continue;
            }
            match &whole.node.value {
                Tree::List(list) => {
                    listed.extend(list.iter().filter_map(|node| entry(section, node, &placed)));
                }
                _ => listed.extend(entry(section, &whole.node, &placed)),
            }
        }
        listed
    }
}

const fn is_record(tag: Tag) -> bool {
    matches!(tag, Tag::Reading | Tag::Attestation)
}

/// Keys that say how a record came about, not of what it is.
const SIGNED: [&str; 8] = [
    "initials",
    "date",
    "time-of-day",
    "instrument",
    "accuracy",
    "revision",
    "photo",
    "holds",
];

fn entry<'a>(
    section: &'static Section,
    node: &'a Node,
    placed: &[(&Place, Thing)],
) -> Option<Listed<'a>> {
    let Tree::Table(entries) = &node.value else {
        return None;
    };
    let name_key = section.name_key();
    let name = entries
        .iter()
        .find(|entry| Some(entry.key.as_str()) == name_key);
    let mut refers = Vec::new();
    references(section, entries, &mut refers);
    let own = entries.iter().map(|entry| &entry.node.place);
    let mut things: Vec<Thing> = own
        .chain([&node.place])
        .flat_map(|place| things_at(placed, place))
        .collect();
    things.sort_unstable();
    Some(Listed {
        section: section.key,
        many: section.many,
        name: match name.map(|entry| &entry.node.value) {
            Some(Tree::Text(name)) => name,
            _ => "",
        },
        things,
        place: &node.place,
        entries,
        refers,
    })
}

/// The things that were read from one place.
fn things_at<'a>(placed: &'a [(&Place, Thing)], place: &Place) -> impl Iterator<Item = Thing> + 'a {
    let first = placed.partition_point(|(known, _)| *known < place);
    let after = placed.partition_point(|(known, _)| *known <= place);
    let found = placed.get(first..after).unwrap_or_default();
    found.iter().map(|(_, thing)| *thing)
}

/// A value in one way of writing it: keys of tables in the order of the alphabet.
fn written(tree: &Tree) -> String {
    match tree {
        Tree::Text(text) => format!(
            "\"{}\"",
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        ),
        Tree::Whole(digits, _) | Tree::Decimal(digits) => digits.clone(),
        Tree::Flag(flag) => flag.to_string(),
        Tree::Day(day) => day.to_string(),
        Tree::List(list) => {
            let list: Vec<String> = list.iter().map(|node| written(&node.value)).collect();
            format!("[{}]", list.join(", "))
        }
        Tree::Table(entries) => {
            let mut pairs: Vec<String> = entries
                .iter()
                .map(|entry| format!("{} = {}", entry.key, written(&entry.node.value)))
                .collect();
            pairs.sort();
            format!("{{ {} }}", pairs.join(", "))
        }
    }
}

/// Sections and names that the keys of a table refer to.
fn references<'a>(
    section: &'static Section,
    entries: &'a [Entry],
    refers: &mut Vec<(&'static str, &'a str)>,
) {
    for entry in entries {
        let Some(row) = section.row(&entry.key) else {
            continue;
        };
        match row.value {
            Value::Refer(tag) | Value::Refers(tag) | Value::EachEnd(tag) => {
                let key = super::keys::section(tag).key;
                texts(&entry.node.value, &mut |name| refers.push((key, name)));
            }
            Value::Terminal | Value::Terminals | Value::PairEnd => {
                let key = super::keys::section(Tag::Terminal).key;
                texts(&entry.node.value, &mut |name| refers.push((key, name)));
            }
            Value::Table(inner) | Value::Tables(inner) => match &entry.node.value {
                Tree::Table(entries) => references(inner, entries, refers),
                Tree::List(list) => {
                    for node in list {
                        if let Tree::Table(entries) = &node.value {
                            references(inner, entries, refers);
                        }
                    }
                }
                _ => {}
            },
            _ => {}
        }
    }
}

fn texts<'a>(tree: &'a Tree, each: &mut dyn FnMut(&'a str)) {
    match tree {
        Tree::Text(text) => each(text),
        Tree::List(list) => list.iter().for_each(|node| texts(&node.value, each)),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orangeloom_core::review::RuleId;

    #[test]
    fn rules_read_keys_that_a_design_has() {
        for id in RuleId::ALL {
            for input in id.method().inputs {
                let (section, key) = input.split_once('.').expect("section.key");
                let found = SECTIONS.iter().find(|one| one.key == section);
                let row = found.and_then(|section| section.row(key));
                assert!(row.is_some(), "{} reads {input}", id.slug());
            }
        }
    }
}
