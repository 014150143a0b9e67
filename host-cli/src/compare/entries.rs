//! What was entered otherwise, and what that reaches.

use orangeloom_core::design::Thing;

use crate::design_file::{DesignFile, Listed};

/// One entry that is new, gone or says something else.
pub(super) struct Edited {
    /// The entry, as `conductor "03"`.
    pub(super) told: String,
    /// Where it stands in the new state, or stood in the old one.
    pub(super) line: String,
    pub(super) how: How,
    section: &'static str,
    name: String,
    things: Vec<Thing>,
}

impl Edited {
    /// The section that it stands in.
    pub(super) const fn section(&self) -> &'static str {
        self.section
    }
}

/// What happened to an entry.
pub(super) enum How {
    New,
    Gone,
    /// Keys with what they said and what they say.
    Changed(Vec<(String, Option<String>, Option<String>)>),
}

/// What says nothing about how the vehicle is built.
const WORDS_ONLY: [(&str, &str); 2] = [("vehicle", "revision"), ("vehicle", "name")];

/// Every entry that is not the same in both states, whatever its order and its file.
pub(super) fn edited(old: &DesignFile, new: &DesignFile) -> Vec<Edited> {
    let (before, after) = (old.listed(), new.listed());
    let same = |one: &Listed<'_>, other: &Listed<'_>| {
        one.section == other.section && one.name == other.name
    };
    let mut edited = Vec::new();
    for (list, others, read, how) in [(&after, &before, new, true), (&before, &after, old, false)] {
        for one in list {
            // Entries without a name are told apart by what they say.
            let nameless = one.name.is_empty() && one.many;
            let known = others
                .iter()
                .find(|other| same(one, other) && (!nameless || one.says_as(other)));
            let how = match (known, how) {
                (None, true) => How::New,
                (None, false) => How::Gone,
                (Some(known), true) => {
                    let keys = changed(known, one);
                    if keys.is_empty() {
                        continue;
                    }
                    How::Changed(keys)
                }
                (Some(_), false) => continue,
            };
            edited.push(Edited {
                told: one.told(),
                line: read.line(one.place),
                how,
                section: one.section,
                name: one.name.to_owned(),
                things: if core::ptr::eq(read, new) {
                    one.things.clone()
                } else {
                    Vec::new()
                },
            });
        }
    }
    edited
}

fn changed(old: &Listed<'_>, new: &Listed<'_>) -> Vec<(String, Option<String>, Option<String>)> {
    let mut keys: Vec<&str> = old.keys().chain(new.keys()).collect();
    keys.sort_unstable();
    keys.dedup();
    keys.into_iter()
        .filter(|key| !WORDS_ONLY.contains(&(new.section, key)))
        .filter_map(|key| {
            let (was, is) = (old.value(key), new.value(key));
            (was != is).then(|| (key.to_owned(), was, is))
        })
        .collect()
}

/// Things of the new state that come from an edited entry that counts, or from one that refers
/// to it over any number of steps.
pub(super) fn touched(
    new: &DesignFile,
    edited: &[Edited],
    counts: impl Fn(&Edited) -> bool,
) -> Vec<Thing> {
    let listed = new.listed();
    let counted = || edited.iter().filter(|edit| counts(edit));
    let is_edited = |one: &Listed<'_>| {
        counted().any(|edit| {
            edit.section == one.section && edit.name == one.name && !one.name.is_empty()
        })
    };
    let mut reached: Vec<bool> = listed.iter().map(is_edited).collect();
    loop {
        let mut grew = false;
        for (at, one) in listed.iter().enumerate() {
            let reaches = listed
                .iter()
                .zip(&reached)
                .any(|(other, reached)| *reached && one.refers_to(other));
            if let Some(known) = reached.get_mut(at)
                && reaches
                && !*known
            {
                *known = true;
                grew = true;
            }
        }
        if !grew {
            break;
        }
    }
    let by_reference = listed.iter().zip(&reached).filter(|(_, reached)| **reached);
    let by_reference = by_reference.flat_map(|(one, _)| one.things.clone());
    let direct = counted().flat_map(|edit| edit.things.clone());
    by_reference.chain(direct).collect()
}
