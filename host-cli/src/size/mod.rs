//! `orangeloom size`: the smallest conductor that holds, or a verdict on one.

mod args;
mod ask;
mod explain;
mod json;
mod names;
mod route_text;
mod text;

pub use args::SizeArgs;

use orangeloom_core::error::{Error, Inconsistency};
use orangeloom_core::size::candidate::{Candidate, LimitName};
use orangeloom_core::size::headroom::{Headroom, headroom};
use orangeloom_core::size::question::Question;
use orangeloom_core::size::search::smallest;
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use ask::Asked;

/// Everything that the renderers show.
pub(crate) struct Report {
    asked: Asked,
    /// Ascending in section.
    candidates: Vec<Candidate>,
    /// Index of the choice among the candidates.
    choice: Option<usize>,
    /// Index of the choice of the other series.
    other_choice: Option<usize>,
    /// How far the inputs may move for the choice, or for the judged section.
    room: Option<Headroom>,
    /// The next smaller section of the same series, and what it would take.
    smaller: Option<(usize, Headroom)>,
}

impl Report {
    fn question(&self) -> &Question {
        &self.asked.question
    }

    /// The section that the answer is about: the choice, or the one to judge.
    fn subject(&self) -> Option<&Candidate> {
        self.candidates.get(self.choice?)
    }

    fn holds(&self) -> bool {
        self.subject()
            .is_some_and(|candidate| candidate.verdict != Verdict::Fails)
    }

    /// Whether somebody entered what a limit is there for.
    fn is_asked(&self, limit: LimitName) -> bool {
        match limit {
            LimitName::VoltageDrop => !self.asked.is_default("drop"),
            LimitName::ShortCircuit => self.question().let_through.is_some(),
            // The temperatures are judged only where their inputs are there; rather asked
            // once too often than a pass too many.
            _ => true,
        }
    }

    fn exit(&self) -> Exit {
        match self.subject() {
            Some(subject) => Exit::of(
                (subject.limits.iter()).map(|limit| (limit.verdict, self.is_asked(limit.name))),
            ),
            None => Exit::Fails,
        }
    }
}

/// Answers one sizing question.
pub fn run(args: &SizeArgs) -> Outcome {
    let asked = match args.ask() {
        Ok(asked) => asked,
        Err(message) => return Outcome::unusable(&message),
    };
    let report = match answer(asked) {
        Ok(report) => report,
        Err(error) => return Outcome::unusable(&ask::advice(error)),
    };
    let exit = report.exit();
    let rendered = if args.json {
        json::render(&report, args.explain)
    } else {
        Ok(text::render(&report, args.explain))
    };
    Outcome::rendered(rendered, exit)
}

fn answer(asked: Asked) -> Result<Report, Error> {
    if let Some(conductor) = asked.judge {
        let candidate = Candidate::evaluate(&asked.question, conductor)?;
        let room = headroom(&asked.question, conductor)?;
        return Ok(Report {
            asked,
            candidates: vec![candidate],
            choice: Some(0),
            other_choice: None,
            room: Some(room),
            smaller: None,
        });
    }
    let own = smallest(&asked.question, asked.series)?;
    let other = smallest(&asked.question, asked.other_series)?;
    if own.candidates.is_empty() && other.candidates.is_empty() {
        // The one reason for which sections are left out.
        return Err(Error::Inconsistent(Inconsistency::TubeTooNarrow));
    }
    let chosen = own.chosen().map(|candidate| candidate.conductor);
    let other_chosen = other.chosen().map(|candidate| candidate.conductor);
    let smaller_one = own.one_smaller().map(|candidate| candidate.conductor);
    let mut candidates: Vec<Candidate> =
        own.candidates.into_iter().chain(other.candidates).collect();
    candidates.sort_by(|a, b| {
        a.conductor
            .section
            .as_mm2()
            .total_cmp(&b.conductor.section.as_mm2())
    });
    let place = |wanted: Option<_>| {
        wanted.and_then(|wanted| candidates.iter().position(|one| one.conductor == wanted))
    };
    let (choice, other_choice) = (place(chosen), place(other_chosen));
    let room = chosen
        .map(|conductor| headroom(&asked.question, conductor))
        .transpose()?;
    let smaller = match (smaller_one, place(smaller_one)) {
        (Some(conductor), Some(index)) => Some((index, headroom(&asked.question, conductor)?)),
        _ => None,
    };
    Ok(Report {
        asked,
        candidates,
        choice,
        other_choice,
        room,
        smaller,
    })
}
