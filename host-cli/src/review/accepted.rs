//! Which findings somebody accepted, and which acceptances are about nothing.

use std::path::Path;

use orangeloom_core::design::Date;
use orangeloom_core::review::Finding;
use orangeloom_core::verdict::Verdict;

use super::Reviewed;
use crate::cli::Outcome;
use crate::design_file::{
    Acceptance, Acceptances, Problem, ProblemName, read_acceptances, refuse_for,
};
use crate::study::names;

impl Acceptance {
    /// Whether it is about this finding, whatever its verdict.
    fn is_about(&self, finding: &Finding) -> bool {
        self.rule == finding.rule
            && self.thing == finding.thing
            && (self.at.is_empty() || finding.at.is_some_and(|at| self.at.contains(&at)))
    }

    /// Who, when and why.
    pub(super) fn told(&self) -> String {
        format!(
            "accepted by {} on {}: {}",
            self.who,
            day(self.date),
            self.reason
        )
    }
}

/// A day as everybody reads it.
pub(crate) fn day(date: Date) -> String {
    let (year, month, day) = date.parts();
    format!("{year:04}-{month:02}-{day:02}")
}

impl Reviewed {
    /// Who accepted a finding that fails, if somebody did.
    pub(super) fn accepted(&self, finding: &Finding) -> Option<&Acceptance> {
        if finding.judged.verdict != Verdict::Fails {
            return None;
        }
        self.accepted.iter().find(|one| one.is_about(finding))
    }

    /// Takes a file of accepted deviations; refuses one that is wrong or stale.
    pub(super) fn accept(&mut self, file: &Path) -> Result<(), Outcome> {
        let read = read_acceptances(file, self.design());
        let mut problems = read.problems.clone();
        if problems.is_empty() {
            problems.extend(self.stale(&read));
        }
        problems.sort_by(|one, other| one.place.cmp(&other.place));
        if !problems.is_empty() {
            return Err(refuse_for(&read.sources, &problems, file));
        }
        self.accepted_from = read.sources.iter().map(|s| s.path.clone()).collect();
        self.accepted = read.list;
        Ok(())
    }

    /// What is accepted and does not fail, and what is accepted twice.
    fn stale(&self, read: &Acceptances) -> Vec<Problem> {
        let mut problems = Vec::new();
        for (index, one) in read.list.iter().enumerate() {
            let twice = read.list.iter().take(index).find(|other| {
                other.rule == one.rule && other.thing == one.thing && other.at == one.at
            });
            if let Some(first) = twice {
                let what = format!("{} is accepted twice for one thing", one.rule.slug());
                problems.push(
                    Problem::new(ProblemName::StaleAcceptance, one.place.clone(), what)
                        .here("here again")
                        .and(first.place.clone(), "first here")
                        .advice("keep one of them"),
                );
            } else if let Some(problem) = self.about_nothing(one) {
                problems.push(problem);
            }
        }
        problems
    }

    fn about_nothing(&self, one: &Acceptance) -> Option<Problem> {
        let about = || self.of_rule(one.rule).filter(|found| one.is_about(found));
        let worst = about()
            .map(|found| found.judged.verdict)
            .reduce(Verdict::worse);
        let mut thing = names::thing(self.design(), one.thing);
        let told = about().find_map(|found| found.at);
        if let Some(at) = told
            .filter(|_| !one.at.is_empty())
            .or(one.at.first().copied())
        {
            thing = format!("{thing}, {}", names::thing(self.design(), at));
        }
        let slug = one.rule.slug();
        let (what, advice) = match worst {
            Some(Verdict::Fails) => return None,
            Some(Verdict::Open) => (
                format!("{slug} is open for {thing}: nobody knows whether it deviates"),
                "find out what is missing; only what fails can be accepted",
            ),
            Some(verdict) => (
                format!("{slug} fails no more for {thing}: {}", verdict.word()),
                "take this entry out",
            ),
            None => (
                format!("{slug} has no finding about {thing}"),
                "take this entry out, or name the thing and place that the review names",
            ),
        };
        let problem = Problem::new(ProblemName::StaleAcceptance, one.place.clone(), what);
        Some(problem.here("no deviation").advice(advice))
    }
}
