//! What is not known: each gap once, with its line and what waits for it.

use orangeloom_core::design::{Gap, Thing};
use orangeloom_core::study::{Known, Unknown};

use super::{Report, names};
use crate::page::wrap;
use crate::thing_text::thing_at;

/// Gaps, each once.
#[derive(Default)]
pub(crate) struct Gaps {
    found: Vec<(Unknown, Vec<String>)>,
}

impl Gaps {
    /// Everything that is not known in a report.
    pub(crate) fn of(report: &Report) -> Self {
        let mut gaps = Self { found: Vec::new() };
        let (design, study) = (report.design(), &report.study);
        for (id, _) in design.all::<orangeloom_core::design::Conductor>() {
            let name = names::circuit(design, id);
            match study.conductor(id) {
                Err(unknown) => gaps.add(unknown, &name),
                Ok(studied) => {
                    gaps.from(&studied.warmest, &name);
                    gaps.from(&studied.largest, &name);
                    gaps.from(&studied.length, &name);
                    if studied.warmest.is_ok() {
                        gaps.from(&studied.drop, &name);
                    }
                    let ends = design.get(id).map(|lead| [lead.from, lead.to]);
                    for (at, gap) in studied.terminal_gaps.iter().enumerate() {
                        let terminal = ends.and_then(|ends| ends.get(at).copied());
                        if let (Some(gap), Some(terminal)) = (gap, terminal) {
                            let thing = match gap {
                                Gap::Joint => Thing::from(id),
                                _ => terminal.into(),
                            };
                            gaps.add(Unknown::Missing(thing, *gap), &name);
                        }
                    }
                }
            }
        }
        for string in &study.strings {
            let name = "the traction battery";
            for voltage in &string.voltages {
                gaps.from(voltage, name);
            }
            for resistance in &string.resistances {
                gaps.from(resistance, name);
            }
            gaps.from(&string.energy, name);
            gaps.from(&string.cell_mass, name);
            gaps.from(&string.discharge, name);
        }
        for converter in &study.converters {
            let name = names::name(design, converter.converter);
            gaps.from(&converter.largest, &name);
        }
        gaps
    }

    fn from<T>(&mut self, known: &Known<T>, waits: &str) {
        if let Err(unknown) = known {
            self.add(*unknown, waits);
        }
    }

    pub(crate) fn add(&mut self, unknown: Unknown, waits: &str) {
        let place = self.found.iter_mut().find(|(known, _)| *known == unknown);
        match place {
            Some((_, waiting)) if waiting.iter().any(|one| one == waits) => {}
            Some((_, waiting)) => waiting.push(waits.to_owned()),
            None => self.found.push((unknown, vec![waits.to_owned()])),
        }
    }

    /// The block; empty when everything is known. Things that lack the same are told
    /// together.
    pub(crate) fn block(&self, report: &Report) -> String {
        if self.found.is_empty() {
            return String::new();
        }
        let mut alike: Vec<(String, Vec<String>, Vec<String>)> = Vec::new();
        for (unknown, waiting) in &self.found {
            let what = what(*unknown);
            let thing = thing_at(&report.read, unknown.thing());
            match alike.iter_mut().find(|(known, ..)| *known == what) {
                Some((_, things, waiters)) => {
                    things.push(thing);
                    for one in waiting {
                        if !waiters.contains(one) {
                            waiters.push(one.clone());
                        }
                    }
                }
                None => alike.push((what, vec![thing], waiting.clone())),
            }
        }
        let lines: Vec<String> = alike
            .iter()
            .map(|(what, things, waiting)| {
                let prose = format!(
                    "{what}: {}; waiting for it: {}",
                    shortened(things),
                    shortened(waiting)
                );
                wrap("  - ", &prose)
            })
            .collect();
        format!(
            "Open: not known, so nothing is said to hold\n{}",
            lines.join("\n")
        )
    }

    /// One text for each gap.
    pub(crate) fn texts(&self, report: &Report) -> Vec<String> {
        self.found
            .iter()
            .map(|(unknown, waiting)| {
                format!(
                    "{}: {}; waiting for it: {}",
                    thing_at(&report.read, unknown.thing()),
                    what(*unknown),
                    waiting.join(", ")
                )
            })
            .collect()
    }
}

/// What is missing, or why the computation was refused.
fn what(unknown: Unknown) -> String {
    match unknown {
        Unknown::Missing(_, gap) => gap.words().to_owned(),
        Unknown::Refused(_, error) => error.to_string(),
    }
}

/// Long lists are cut.
fn shortened(waiting: &[String]) -> String {
    const SHOWN: usize = 6;
    let shown: Vec<&str> = waiting.iter().take(SHOWN).map(String::as_str).collect();
    let shown = shown.join(", ");
    match waiting.len().checked_sub(SHOWN) {
        None | Some(0) => shown,
        Some(more) => format!("{shown} and {more} more"),
    }
}

/// Why a result is missing, for the place where it would stand.
pub(crate) fn why(report: &Report, unknown: Unknown) -> String {
    format!(
        "{}: {}",
        names::thing(report.design(), unknown.thing()),
        what(unknown)
    )
}
