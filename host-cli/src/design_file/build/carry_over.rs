//! Records of an older revision that still hold after a change.

use orangeloom_core::design::{Date, TextId, Thing};
use orangeloom_core::review::RuleId;

use super::Builder;
use super::evidence::unknown_rule;
use crate::design_file::problem::{Problem, ProblemName, quoted};
use crate::design_file::records::slip_of_date;
use crate::design_file::source::Place;
use crate::design_file::walk::{Table, names_nothing};

/// That the records of one revision hold for another one, but for some.
#[derive(Debug)]
pub(crate) struct CarryOver {
    pub(crate) from: String,
    pub(crate) to: String,
    /// Rules that are proven again, at one thing or everywhere.
    pub(crate) repeat: Vec<(RuleId, Thing)>,
    pub(crate) initials: String,
    pub(crate) date: Date,
    pub(crate) place: Place,
}

impl CarryOver {
    /// Whether it lets a record stand: of nothing that is done again, nor of a later day, which
    /// who signed it cannot have looked at. A record of the vehicle stands for each of its
    /// things, so that one of them is enough to end it.
    fn covers(&self, revision: &str, rules: &[RuleId], about: Thing, made: Option<Date>) -> bool {
        let again = |(rule, thing): &(RuleId, Thing)| {
            let here = *thing == about || [*thing, about].contains(&Thing::VEHICLE);
            here && rules.contains(rule)
        };
        let looked_at = made.is_none_or(|made| made <= self.date);
        self.from == revision && looked_at && !self.repeat.iter().any(again)
    }
}

impl Builder<'_> {
    pub(super) fn carry_over(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let from = table.text("from", &mut self.report);
        let to = table.text("to", &mut self.report);
        let who = table.text("initials", &mut self.report);
        let nobody = who
            .as_ref()
            .and_then(|who| names_nothing("initials", who.text, who.place));
        for problem in nobody.into_iter().chain(slip_of_date(table)) {
            self.report.add(problem);
        }
        let when = table.day("date", &mut self.report);
        let mut repeat = Vec::new();
        for test in table.tables("repeat", &mut self.report) {
            let written = test.text("rule", &mut self.report);
            let about = self.about(test);
            let rule = written.as_ref().and_then(|rule| RuleId::find(rule.text));
            if let (Some(written), None) = (&written, rule) {
                self.report.add(unknown_rule(written));
            }
            repeat.extend(rule.zip(about));
        }
        let (Some(from), Some(to), Some(who), Some(date)) = (from, to, who, when) else {
            return;
        };
        if from.text == to.text {
            let what = "records of a revision count for it without being carried over";
            let problem = Problem::new(ProblemName::Contradiction, to.place.clone(), what);
            let problem = problem
                .here("the same revision")
                .and(from.place.clone(), "as here");
            self.report
                .add(problem.advice("write the revision after the change"));
            return;
        }
        let mut others = self.carry_overs.iter();
        if let Some(other) = others.find(|other| other.from == from.text) {
            let what = format!(
                "records of revision {} are carried over twice",
                quoted(from.text)
            );
            let problem = Problem::new(ProblemName::Contradiction, table.place.clone(), what)
                .here("here")
                .and(other.place.clone(), "and here")
                .advice("write one, to the next revision, with every test to repeat; what is carried over on from there is another one");
            self.report.add(problem);
            return;
        }
        // One that is read in part would let stand what is to be done again.
        if self.mark() == mark {
            self.carry_overs.push(CarryOver {
                from: from.text.to_owned(),
                to: to.text.to_owned(),
                repeat,
                initials: who.text.to_owned(),
                date,
                place: table.place.clone(),
            });
        }
    }

    /// The revision for which a record counts: the one that it names, or the last one to which
    /// it was carried over.
    pub(super) fn revision(
        &mut self,
        table: Table<'_>,
        rules: &[RuleId],
        about: Option<Thing>,
    ) -> Option<TextId> {
        let written = table.text("revision", &mut self.report)?;
        let mut revision = written.text.to_owned();
        let made = table.date("date");
        // Each leads on once: a ring of them ends.
        for _ in 0..self.carry_overs.len() {
            let own = self.design.vehicle.revision;
            if own.and_then(|own| self.design.text(own)) == Some(revision.as_str()) {
                break;
            }
            let mut all = self.carry_overs.iter();
            let next =
                all.find(|one| about.is_some_and(|at| one.covers(&revision, rules, at, made)));
            match next {
                Some(next) => revision.clone_from(&next.to),
                None => break,
            }
        }
        self.put(&revision, written.place)
    }
}
