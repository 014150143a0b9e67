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
    /// Whether it is only called otherwise, or names something that is.
    pub(super) words_only: bool,
    section: &'static str,
    name: String,
    things: Vec<Thing>,
}

impl Edited {
    /// The section that it stands in.
    pub(super) const fn section(&self) -> &'static str {
        self.section
    }

    /// Whether it is a record that the old state did not have: a new one, or one that was read
    /// or looked at another time.
    pub(super) fn is_anew(&self, record: Thing) -> bool {
        self.things.contains(&record)
            && match &self.how {
                How::New => true,
                How::Changed(keys) => {
                    let mut keys = keys.iter();
                    keys.any(|(key, ..)| MOMENT.contains(&key.as_str()))
                }
                How::Gone => false,
            }
    }

    /// Whether it is this entry, in either state.
    pub(super) fn is_of(&self, one: &Listed<'_>) -> bool {
        (self.section, self.name.as_str()) == (one.section, one.name)
    }
}

/// Keys that say when a record was made.
const MOMENT: [&str; 2] = ["date", "time-of-day"];

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
                words_only: false,
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
    mark_renames(&mut edited, &before, &after);
    edited
}

/// Every record that is new, gone or says something else, whatever its order and its file.
/// What was measured again of the same thing is a record that changed where the old one is gone.
pub(super) fn recorded(old: &DesignFile, new: &DesignFile) -> Vec<Edited> {
    let (mut before, mut after) = (old.recorded(), new.recorded());
    #[allow(clippy::redundant_closure_for_method_calls)] // the method has one lifetime for both
    take_pairs(&mut before, &mut after, |was, is| was.says_as(is));
    let same_moment = |was: &Listed<'_>, is: &Listed<'_>| {
        was.question() == is.question() && MOMENT.iter().all(|key| was.value(key) == is.value(key))
    };
    let mut pairs = take_pairs(&mut before, &mut after, same_moment);
    let same = |was: &Listed<'_>, is: &Listed<'_>| was.question() == is.question();
    pairs.extend(take_pairs(&mut before, &mut after, same));
    let one = |read: &DesignFile, one: &Listed<'_>, how: How| Edited {
        told: one.said(),
        line: read.line(one.place),
        how,
        words_only: false,
        section: one.section,
        name: String::new(),
        things: one.things.clone(),
    };
    let changed = pairs
        .iter()
        .map(|(was, is)| one(new, is, How::Changed(changed(was, is))));
    let come = after.iter().map(|is| one(new, is, How::New));
    let gone = before.iter().map(|was| one(old, was, How::Gone));
    changed.chain(come).chain(gone).collect()
}

/// Takes out of both lists what belongs together.
fn take_pairs<'a>(
    before: &mut Vec<Listed<'a>>,
    after: &mut Vec<Listed<'a>>,
    together: impl Fn(&Listed<'a>, &Listed<'a>) -> bool,
) -> Vec<(Listed<'a>, Listed<'a>)> {
    let mut pairs = Vec::new();
    let mut left = Vec::new();
    for was in before.drain(..) {
        let same = |is: &Listed<'a>| is.section == was.section && together(&was, is);
        match after.iter().position(same) {
            Some(at) => pairs.push((was, after.remove(at))),
            None => left.push(was),
        }
    }
    *before = left;
    pairs
}

/// What is called otherwise now: section, old name and new name.
type Renamed<'a> = Vec<(&'static str, &'a str, &'a str)>;

/// Marks what is new and gone and says the same under another name, and what says the same but
/// for such names.
fn mark_renames(edited: &mut [Edited], before: &[Listed<'_>], after: &[Listed<'_>]) {
    let mut renamed = Renamed::new();
    // One that is renamed may be named by another one that is.
    loop {
        let known = renamed.len();
        for was in before.iter().filter(|one| !stays(one, after)) {
            let free = |one: &Listed<'_>| {
                !renamed.iter().any(|(section, old, new)| {
                    *section == one.section && (*old == was.name || *new == one.name)
                })
            };
            let same = |one: &&Listed<'_>| {
                one.section == was.section && !stays(one, before) && says_as(was, one, &renamed)
            };
            let is = after.iter().filter(same).find(|one| free(one));
            renamed.extend(is.map(|is| (is.section, was.name, is.name)));
        }
        if renamed.len() == known {
            break;
        }
    }
    for edit in edited {
        let mut names = renamed
            .iter()
            .filter(|(section, ..)| *section == edit.section);
        edit.words_only = match &edit.how {
            How::New => names.any(|(_, _, is)| *is == edit.name),
            How::Gone => names.any(|(_, was, _)| *was == edit.name),
            How::Changed(keys) => keys.iter().all(|(_, was, is)| {
                let was = was.as_ref().map(|was| with_new_names(was, &renamed));
                was == *is
            }),
        };
    }
}

/// Whether the other state has an entry of this name too.
fn stays(one: &Listed<'_>, others: &[Listed<'_>]) -> bool {
    one.name.is_empty()
        || others
            .iter()
            .any(|other| (other.section, other.name) == (one.section, one.name))
}

/// Whether both say the same but for their own names and others that are known to be new.
fn says_as(was: &Listed<'_>, is: &Listed<'_>, renamed: &Renamed<'_>) -> bool {
    let mut names = renamed.clone();
    names.push((is.section, was.name, is.name));
    let value = |key| was.value(key).map(|was| with_new_names(&was, &names));
    was.keys().count() == is.keys().count() && is.keys().all(|key| value(key) == is.value(key))
}

/// A value with the new names of things, alone or as the beginning of those of their terminals.
fn with_new_names(value: &str, renamed: &Renamed<'_>) -> String {
    let parts: Vec<String> = value
        .split_inclusive('"')
        .map(|part| {
            let new = renamed.iter().find_map(|(_, was, is)| {
                let rest = part.strip_prefix(was)?;
                rest.starts_with(['"', '.']).then(|| format!("{is}{rest}"))
            });
            new.unwrap_or_else(|| part.to_owned())
        })
        .collect();
    parts.concat()
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
