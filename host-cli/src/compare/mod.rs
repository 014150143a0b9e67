//! `orangeloom compare`: two states of one design.

mod args;
mod carry_over;
mod entries;
mod findings;
mod json;
mod opened;
mod repeat;
mod text;

pub use args::CompareArgs;

use orangeloom_core::design::{Kind, Thing};
use orangeloom_core::review::{Finding, Moved, Stage};
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::limits::{SameLimits, same_limits};
use crate::review::Reviewed;
use entries::{Edited, edited, recorded, touched};
use findings::{Pair, pairs};
use opened::opened;
use repeat::is_built;

/// Everything that the renderers show.
struct Report {
    old: Reviewed,
    new: Reviewed,
    share: f32,
    pairs: Vec<Pair>,
    edited: Vec<Edited>,
    /// Readings and attestations that are new, gone or other ones.
    recorded: Vec<Edited>,
    /// Things of the new state that a change reaches, sorted.
    touched: Vec<Thing>,
    /// Those of them that are built otherwise, or opened for what is, sorted.
    built: Vec<Thing>,
    /// Whether the controller would get the same limits.
    limits: SameLimits,
}

/// Share by which a value has to move until its thing counts as touched, however much is
/// shown: the smallest change that a builder's instrument tells. Common practice, no source.
const REACHES: f32 = 0.02;

/// Compares two states.
pub fn run(args: &CompareArgs) -> Outcome {
    let (old, new) = match (Reviewed::of(&args.old), Reviewed::of(&args.new)) {
        (Ok(old), Ok(new)) => (old, new),
        (Err(outcome), _) | (_, Err(outcome)) => return outcome,
    };
    let share = args.share.as_fraction();
    let pairs = pairs(&old, &new);
    let edited = edited(&old.read, &new.read);
    let mut built = touched(&new.read, &edited, is_built);
    let mut touched = touched(&new.read, &edited, |_| true);
    let opened = opened(&old.read, &new.read, &edited);
    built.extend(&opened);
    touched.extend(opened);
    // What is computed of a thing moved: what is built around it is another.
    for pair in &pairs {
        let Some(found) = &pair.new else { continue };
        // A record that is open again says nothing of what is built.
        let fails = found.judged.verdict == Verdict::Fails && pair.moved() == Some(Moved::Worse);
        if fails || pair.moved_by(REACHES) {
            touched.push(found.thing);
        }
    }
    for things in [&mut touched, &mut built] {
        things.retain(|thing| thing.kind != Kind::Vehicle);
        things.sort_unstable();
        things.dedup();
    }
    let recorded = recorded(&old.read, &new.read);
    let limits = same_limits(&old, &new);
    let report = Report {
        old,
        new,
        share,
        pairs,
        edited,
        recorded,
        touched,
        built,
        limits,
    };
    let exit = if report.pairs.iter().any(|pair| report.newly_blocks(pair)) {
        Exit::Fails
    } else {
        Exit::Holds
    };
    let rendered = if args.json {
        json::render(&report)
    } else {
        Ok(text::render(&report))
    };
    Outcome::rendered(rendered, exit)
}

impl Report {
    /// Whether a finding keeps the new review from passing and did not the old one.
    fn newly_blocks(&self, pair: &Pair) -> bool {
        let blocked = pair.old.as_ref().is_some_and(|one| self.old.blocks(one));
        !blocked && pair.new.as_ref().is_some_and(|one| self.new.blocks(one))
    }

    /// Findings of both states whose verdict moved so.
    fn moved(&self, moved: Moved) -> impl Iterator<Item = &Pair> {
        self.pairs
            .iter()
            .filter(move |pair| pair.moved() == Some(moved))
    }

    /// Whether neither entries nor records nor anything that follows from them is another.
    fn is_still(&self) -> bool {
        let moved = |pair: &Pair| pair.moved() != Some(Moved::Not) || pair.moved_by(self.share);
        !self.is_touched() && self.recorded.is_empty() && !self.pairs.iter().any(moved)
    }

    /// Whether anything asks for a new look at the vehicle.
    fn is_touched(&self) -> bool {
        !self.touched.is_empty() || !self.edited.is_empty()
    }

    /// Readings and attestations of the new state that the change asks for again.
    fn repeated(&self) -> Vec<(Stage, Vec<&Finding>)> {
        let asked = |one: &&Finding| {
            one.rule.is_repeated()
                && one.judged.verdict != Verdict::NotApplicable
                && self.asks_again(one)
        };
        let stages = Stage::ALL.iter();
        stages
            .map(|stage| {
                let of_stage = self.new.findings.iter();
                let of_stage = of_stage.filter(|one| one.rule.stage() == *stage);
                let asked = of_stage.filter(asked).filter(|_| self.is_touched());
                (*stage, asked.collect())
            })
            .collect()
    }

    /// Whether something was built otherwise under the same revision, so that records of
    /// the old state count for the new one.
    fn revision_is_kept(&self) -> bool {
        self.is_touched() && self.old.revision() == self.new.revision()
    }
}
