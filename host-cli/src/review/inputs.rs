//! What a rule reads, as it was entered, beside the finding that it leads to.

use orangeloom_core::design::Kind;
use orangeloom_core::review::{Because, Finding, Stated};
use orangeloom_core::study::Unknown;

use super::Reviewed;
use crate::design_file::{Listed, Place};
use crate::page::SHOWN;

/// How far from a thing its inputs are looked for: a conductor ends at a terminal, which
/// is in a box, which is in a zone.
const STEPS: usize = 3;

/// Entries of a section that concern the whole vehicle: so many may be named without a
/// thing.
const FEW: usize = 3;

/// The entries of a design with the keys that a rule reads.
pub(super) struct Inputs<'a> {
    reviewed: &'a Reviewed,
    listed: Vec<Listed<'a>>,
    /// Section and key.
    wanted: Vec<(&'static str, &'static str)>,
}

impl<'a> Inputs<'a> {
    pub(super) fn of(reviewed: &'a Reviewed, keys: &[&'static str]) -> Self {
        Self {
            reviewed,
            listed: reviewed.read.listed(),
            wanted: keys.iter().filter_map(|key| key.split_once('.')).collect(),
        }
    }

    /// What was entered of the thing of a finding and of what it refers to.
    pub(super) fn near(&self, finding: &Finding) -> Vec<String> {
        let mut near: Vec<bool> = self
            .listed
            .iter()
            .map(|one| {
                one.things.contains(&finding.thing)
                    || finding.at.is_some_and(|at| one.things.contains(&at))
            })
            .collect();
        for _ in 0..STEPS {
            let known = near.clone();
            for (at, other) in self.listed.iter().enumerate() {
                let mut refers = self.listed.iter().zip(&known);
                if let Some(near) = near.get_mut(at) {
                    *near |= refers.any(|(one, known)| *known && one.refers_to(other));
                }
            }
        }
        let near = self.listed.iter().zip(&near).filter(|(_, near)| **near);
        near.filter_map(|(one, _)| self.line(one)).collect()
    }

    /// The keys that the rule of an open finding reads and the entry of what is missing
    /// does not state.
    pub(super) fn unstated(&self, finding: &Finding) -> Vec<&'static str> {
        let Some(
            Because::Unknown(Unknown::Missing(thing, _))
            | Because::NoLimit(thing)
            | Because::NoValue(thing)
            | Because::Datasheet(thing, _),
        ) = finding.because
        else {
            return Vec::new();
        };
        let of_thing = |one: &&Listed<'_>| match thing.kind {
            Kind::Vehicle => one.section == "vehicle",
            Kind::Controller => one.section == "controller",
            _ => one.things.contains(&thing),
        };
        let Some(entry) = self.listed.iter().find(of_thing) else {
            return Vec::new();
        };
        let inputs = finding.rule.method().inputs.iter();
        inputs
            .filter(|input| {
                input.split_once('.').is_some_and(|(section, key)| {
                    is_of(section, entry) && entry.place_of(key).is_none()
                })
            })
            .copied()
            .collect()
    }

    /// The line that states a number; that of its entry where it has no such key.
    pub(super) fn line_of(&self, stated: Stated) -> Option<String> {
        Some(self.reviewed.read.line(self.place_of(stated)?))
    }

    fn place_of(&self, stated: Stated) -> Option<&Place> {
        let (section, key) = stated.key.split_once('.')?;
        if stated.thing.kind == Kind::Reading {
            // Records are told by their entry.
            return self.reviewed.read.places.get(&stated.thing);
        }
        let whole = matches!(stated.thing.kind, Kind::Vehicle | Kind::Controller);
        let own = |one: &&Listed<'_>| {
            if whole {
                one.section == section
            } else {
                one.things.contains(&stated.thing)
            }
        };
        let own: Vec<&Listed<'_>> = self.listed.iter().filter(own).collect();
        let refers = |other: &&Listed<'_>| {
            is_of(section, other) && own.iter().any(|one| one.refers_to(other))
        };
        let of_section = own.iter().copied().find(|one| is_of(section, one));
        let one = of_section
            .or_else(|| self.listed.iter().find(refers))
            .or(own.first().copied())?;
        Some(one.place_of(key).unwrap_or(one.place))
    }

    /// The line itself.
    #[cfg(test)]
    pub(super) fn text_of(&self, stated: Stated) -> Option<String> {
        let place = self.place_of(stated)?;
        let text = &self.reviewed.read.sources.get(place.file)?.text;
        let start = text.get(..place.start)?.rfind('\n').map_or(0, |at| at + 1);
        text.get(start..)?.lines().next().map(String::from)
    }

    /// What was entered where only a few entries can be meant.
    pub(super) fn common(&self) -> Vec<String> {
        let mut sections: Vec<&str> = self.wanted.iter().map(|(section, _)| *section).collect();
        sections.dedup();
        let of_vehicle = ["vehicle", "controller", "cell-type", "battery"];
        let mut lines = Vec::new();
        for section in sections.iter().filter(|one| of_vehicle.contains(one)) {
            let entries: Vec<&Listed<'_>> = self
                .listed
                .iter()
                .filter(|one| one.section == *section)
                .collect();
            if entries.len() <= FEW {
                lines.extend(entries.into_iter().filter_map(|one| self.line(one)));
            }
        }
        if let Some(more @ 1..) = lines.len().checked_sub(SHOWN) {
            lines.truncate(SHOWN);
            lines.push(format!("and {more} more entries of the design"));
        }
        lines
    }

    /// The wanted keys of an entry; nothing where it states none of them.
    fn line(&self, one: &Listed<'_>) -> Option<String> {
        let of_section = self
            .wanted
            .iter()
            .filter(|(section, _)| is_of(section, one));
        let said: Vec<String> = of_section
            .filter_map(|(_, key)| Some(format!("{key} = {}", one.value(key)?)))
            .collect();
        let line = self.reviewed.read.line(one.place);
        (!said.is_empty()).then(|| format!("{} ({line}): {}", one.told(), said.join(", ")))
    }
}

/// Whether an entry is read as one of a section: a pair is two conductors, a consumer a
/// load with its fuse and conductor.
fn is_of(section: &str, one: &Listed<'_>) -> bool {
    match one.section {
        "pair" => section == "conductor",
        "consumer" => matches!(section, "consumer" | "conductor" | "load" | "fuse"),
        own => section == own,
    }
}
