//! What a design says entry by entry, for comparing two states of it.

use orangeloom_core::design::Thing;

use super::DesignFile;
use super::keys::{SECTIONS, Section, Tag, Value};
use super::source::Place;
use super::tree::{Entry, Node, Tree};

/// One entry as it was written.
#[derive(Debug)]
pub(crate) struct Listed {
    /// The key of its section.
    pub(crate) section: &'static str,
    /// Whether a design has many of its section.
    pub(crate) many: bool,
    /// Its name; empty where it has none.
    pub(crate) name: String,
    /// Its keys with their values, in one way of writing them.
    pub(crate) values: Vec<(String, String)>,
    /// Things of the design that come from it.
    pub(crate) things: Vec<Thing>,
    /// Where it stands.
    pub(crate) place: Place,
    /// Where each of its keys has its value.
    keys: Vec<(String, Place)>,
    /// Sections and names that it refers to.
    refers: Vec<(&'static str, String)>,
}

impl Listed {
    /// Whether it refers to an entry.
    pub(crate) fn refers_to(&self, other: &Self) -> bool {
        let mut refers = self.refers.iter();
        refers.any(|(section, name)| *section == other.section && *name == other.name)
    }

    /// Where a key has its value.
    pub(crate) fn place_of(&self, key: &str) -> Option<&Place> {
        let mut keys = self.keys.iter();
        keys.find(|(known, _)| known == key).map(|(_, place)| place)
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
    pub(crate) fn listed(&self) -> Vec<Listed> {
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
            if matches!(section.tag, Tag::Reading | Tag::Attestation) {
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

fn entry(section: &'static Section, node: &Node, placed: &[(&Place, Thing)]) -> Option<Listed> {
    let Tree::Table(entries) = &node.value else {
        return None;
    };
    let name_key = section.name_key();
    let name = entries
        .iter()
        .find(|entry| Some(entry.key.as_str()) == name_key);
    let mut values: Vec<(String, String)> = entries
        .iter()
        .map(|entry| (entry.key.clone(), written(&entry.node.value)))
        .collect();
    values.sort();
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
            Some(Tree::Text(name)) => name.clone(),
            _ => String::new(),
        },
        values,
        things,
        place: node.place.clone(),
        keys: entries
            .iter()
            .map(|entry| (entry.key.clone(), entry.node.place.clone()))
            .collect(),
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
fn references(
    section: &'static Section,
    entries: &[Entry],
    refers: &mut Vec<(&'static str, String)>,
) {
    for entry in entries {
        let Some(row) = section.row(&entry.key) else {
            continue;
        };
        match row.value {
            Value::Refer(tag) | Value::Refers(tag) | Value::EachEnd(tag) => {
                let key = super::keys::section(tag).key;
                texts(&entry.node.value, &mut |name| {
                    refers.push((key, name.to_owned()));
                });
            }
            Value::Terminal | Value::Terminals | Value::PairEnd => {
                let key = super::keys::section(Tag::Terminal).key;
                texts(&entry.node.value, &mut |name| {
                    refers.push((key, name.to_owned()));
                });
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

fn texts(tree: &Tree, each: &mut dyn FnMut(&str)) {
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
