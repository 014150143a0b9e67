//! Which findings somebody accepted, and which acceptances are about nothing.

use std::path::Path;

use orangeloom_core::design::{Date, TimeOfDay};
use orangeloom_core::quantity::{
    Capacitance, Charge, ConductorArea, Current, CurrentSquaredTime, Energy, Length, Power,
    Resistance, Temperature, TemperatureDifference, Time, Voltage,
};
use orangeloom_core::review::{Aspect, Finding, Unit};
use orangeloom_core::verdict::Verdict;

use super::Reviewed;
use super::evidence::{record_of, signature};
use super::told::{about_by_name, margin, numbers};
use crate::aspect_text;
use crate::cli::Outcome;
use crate::design_file::{
    Acceptance, Acceptances, Problem, ProblemName, quoted, read_acceptances, refuse_for,
};
use crate::quantity_text::{FromText, parse};
use crate::study::names;

impl Acceptance {
    /// Whether it is about this finding, whatever its verdict.
    fn is_about(&self, finding: &Finding) -> bool {
        self.rule == finding.rule
            && self.thing == finding.thing
            && (self.at.is_empty() || finding.at.is_some_and(|at| self.at.contains(&at)))
            && self
                .aspect
                .is_none_or(|aspect| aspect == finding.judged.name)
    }

    /// Whether both are about one rule, thing, place and aspect.
    fn overlaps(&self, other: &Self) -> bool {
        let aspects = self.aspect.zip(other.aspect);
        (self.rule, self.thing, &self.at) == (other.rule, other.thing, &other.at)
            && aspects.is_none_or(|(own, other)| own == other)
    }

    /// Who, when, how much of it and why.
    pub(super) fn told(&self, finding: &Finding) -> String {
        let up_to = match (&self.up_to, margin(finding)) {
            (Some((up_to, _)), _) => format!(", up to {up_to}"),
            (None, Some(now)) => format!(", however much it is (up-to would bind it), now {now}"),
            (None, None) => String::new(),
        };
        let (who, date) = (&self.who, day(self.date));
        format!("accepted by {who} on {date}{up_to}: {}", self.reason)
    }

    /// What is wrong where a finding rests on a record that is later than the acceptance.
    fn too_early(&self, reviewed: &Reviewed, finding: &Finding) -> Option<Problem> {
        let record = record_of(reviewed, finding)?;
        let found = signature(reviewed.design(), record).date?;
        if found <= self.date {
            return None;
        }
        let slug = self.rule.slug();
        let of = about_by_name(reviewed, finding);
        let what = format!(
            "{slug} of {of} was accepted on {}, before it was found on {}",
            day(self.date),
            day(found)
        );
        let problem = Problem::new(ProblemName::StaleAcceptance, self.place.clone(), what);
        Some(problem.here("accepted before").advice(
            "mend it, or let whoever answers for it look at what was found and accept that",
        ))
    }

    /// What is wrong where a finding is farther beyond its limit than was accepted.
    fn not_covered(&self, reviewed: &Reviewed, finding: &Finding) -> Option<Problem> {
        let (text, place) = self.up_to.as_ref()?;
        let judged = &finding.judged;
        let slug = self.rule.slug();
        let of = about_by_name(reviewed, finding);
        let unit = match judged.name.unit() {
            Unit::DegC => Unit::Kelvin,
            other => other,
        };
        let accepted = match in_unit(unit, text) {
            Ok(accepted) => accepted,
            Err(why) => {
                let what = format!("{slug} of {of}: {why}");
                let problem = Problem::new(ProblemName::NoAmount, place.clone(), what);
                return Some(problem.here("not understood").advice(
                    "write how much too much or too little the review prints, as \"7.4 A\"; at \
                     says which of several places is meant",
                ));
            }
        };
        // It is written as it was printed, with four digits.
        let covered = 1.001 * accepted.abs();
        if judged.margin().is_some_and(|left| -left <= covered) {
            return None;
        }
        let now = numbers(finding);
        let what = format!("{slug} of {of} is farther off than was accepted: {now}");
        let problem = Problem::new(ProblemName::StaleAcceptance, place.clone(), what);
        Some(problem.here("accepted up to here").advice(
            "mend it, or let whoever answers for it look again and accept what it is today",
        ))
    }
}

/// An amount as the review prints it, in a unit.
fn in_unit(unit: Unit, text: &str) -> Result<f32, String> {
    fn read<Q: FromText>(text: &str, value: fn(Q) -> f32) -> Result<f32, String> {
        parse::<Q>(text)
            .map(value)
            .map_err(|error| error.to_string())
    }
    match unit {
        Unit::Volt => read(text, Voltage::as_volts),
        Unit::Ampere => read(text, Current::as_amperes),
        Unit::DegC => read(text, Temperature::as_degc),
        Unit::Ohm => read(text, Resistance::as_ohms),
        Unit::Mm2 => read(text, ConductorArea::as_mm2),
        Unit::Mm => read(text, Length::as_mm),
        Unit::Metre => read(text, Length::as_metres),
        Unit::Second => read(text, Time::as_seconds),
        Unit::Joule => read(text, Energy::as_joules),
        Unit::Watt => read(text, Power::as_watts),
        Unit::Farad => read(text, Capacitance::as_farads),
        Unit::A2s => read(text, CurrentSquaredTime::as_a2s),
        Unit::AmpereHour => read(text, Charge::as_ampere_hours),
        Unit::Share => {
            let percent = text
                .strip_suffix('%')
                .map(|digits| digits.trim().parse::<f32>());
            match percent {
                Some(Ok(percent)) => Ok(percent / 100.0),
                _ => Err(format!("{} is no share; write it as 49.87 %", quoted(text))),
            }
        }
        Unit::Number => text
            .parse()
            .map_err(|_| format!("{} is no number", quoted(text))),
        Unit::Kelvin => read(text, TemperatureDifference::as_kelvin),
        _ => Err("it has no value that could be accepted".to_owned()),
    }
}

/// A day as everybody reads it.
pub(crate) fn day(date: Date) -> String {
    let (year, month, day) = date.parts();
    format!("{year:04}-{month:02}-{day:02}")
}

/// A minute of a day: `09:05`.
pub(super) fn minute(time: TimeOfDay) -> String {
    let (hour, minute) = time.parts();
    format!("{hour:02}:{minute:02}")
}

/// A day with the minute that is known of it: `2026-03-14 14:30`.
pub(crate) fn moment(date: Date, time: Option<TimeOfDay>) -> String {
    time.map_or_else(
        || day(date),
        |time| format!("{} {}", day(date), minute(time)),
    )
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

    /// What is accepted and does not fail, what fails worse, and what is accepted twice.
    fn stale(&self, read: &Acceptances) -> Vec<Problem> {
        let mut problems = Vec::new();
        for (index, one) in read.list.iter().enumerate() {
            let mut before = read.list.iter().take(index);
            if let Some(first) = before.find(|other| one.overlaps(other)) {
                let what = format!("{} is accepted twice for one thing", one.rule.slug());
                problems.push(
                    Problem::new(ProblemName::StaleAcceptance, one.place.clone(), what)
                        .here("here again")
                        .and(first.place.clone(), "first here")
                        .advice("keep one of them"),
                );
            } else if let Some(problem) = self.about_nothing(one) {
                problems.push(problem);
            } else {
                let fails: Vec<&Finding> = self.failing(one).collect();
                match self.in_several_aspects(one, &fails) {
                    Some(problem) => problems.push(problem),
                    None => problems.extend(fails.iter().filter_map(|found| {
                        one.too_early(self, found)
                            .or_else(|| one.not_covered(self, found))
                    })),
                }
            }
        }
        problems
    }

    /// What fails and is accepted by one entry.
    fn failing<'a>(&'a self, one: &'a Acceptance) -> impl Iterator<Item = &'a Finding> {
        let of = self.of_rule(one.rule).filter(|found| one.is_about(found));
        of.filter(|found| found.judged.verdict == Verdict::Fails)
    }

    /// What is wrong where one entry would accept several things that have nothing to do with
    /// each other: who accepted one of them may never have seen the other.
    fn in_several_aspects(&self, one: &Acceptance, fails: &[&Finding]) -> Option<Problem> {
        let mut aspects: Vec<Aspect> = Vec::new();
        for found in fails {
            if !aspects.contains(&found.judged.name) {
                aspects.push(found.judged.name);
            }
        }
        if aspects.len() < 2 {
            return None;
        }
        let thing = names::thing(self.design(), one.thing);
        let what = format!(
            "{} fails for {thing} in {} aspects, and each has to be accepted by itself",
            one.rule.slug(),
            aspects.len()
        );
        let problem = Problem::new(ProblemName::StaleAcceptance, one.place.clone(), what);
        let problem = problem.here("which of them");
        let advice = fails.iter().map(|found| {
            let key = quoted(&aspect_text::slug(found.judged.name));
            let about = about_by_name(self, found);
            format!("aspect = {key}: {about}: {}", numbers(found))
        });
        let problem = advice.fold(problem, Problem::advice);
        Some(problem.advice(
            "write an [[accepted]] with its aspect, reason and up-to for each that is accepted",
        ))
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
        if let Some(aspect) = one.aspect {
            thing = format!("{thing} in the aspect {}", aspect_text::slug(aspect));
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
                "take this entry out, or name the thing, place and aspect that the review names",
            ),
        };
        let problem = Problem::new(ProblemName::StaleAcceptance, one.place.clone(), what);
        Some(problem.here("no deviation").advice(advice))
    }
}
