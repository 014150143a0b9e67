//! What lets the records of before count for a new revision: the entry, ready but for who
//! stands for it.

use std::collections::BTreeSet;

use orangeloom_core::review::Finding;

use super::Report;
use super::repeat::Done;
use crate::design_file::{quoted, record_key};
use crate::study::names;

impl Report {
    /// The `[[carry-over]]` of a new revision, with everything that the change can reach; `None`
    /// where no revision is new, and where the new state carries records over already.
    pub(super) fn carry_over(&self) -> Option<String> {
        let revision = |design: &orangeloom_core::design::Design| {
            let revision = design.vehicle.revision?;
            design.text(revision).map(str::to_owned)
        };
        let (from, to) = (revision(self.old.design())?, revision(self.new.design())?);
        let carried = &self.new.read.carry_overs;
        if from == to || carried.iter().any(|one| one.to == to) {
            return None;
        }
        let all = self.repeated();
        let again: Vec<&Finding> = all.into_iter().flat_map(|(_, findings)| findings).collect();
        let recorded = |one: &&Finding| self.done(one) != Done::NoRecord;
        let tests: BTreeSet<String> = again
            .iter()
            .copied()
            .filter(recorded)
            .map(|one| {
                // One line for all of its things where it is proven again at each.
                let mut of_rule = self.new.of_rule(one.rule).filter(recorded);
                let everywhere = of_rule.all(|other| again.contains(&other));
                self.test(one, everywhere)
            })
            .collect();
        let tests: Vec<String> = tests.into_iter().collect();
        Some(format!(
            "[[carry-over]]\nfrom = {}\nto = {}\nrepeat = [\n{}\n]\n# initials = \"who stands for it\"\n\
             # date = when, as 2026-03-01",
            quoted(&from),
            quoted(&to),
            tests.join("\n")
        ))
    }

    /// A test to do again, at its thing or everywhere.
    fn test(&self, one: &Finding, everywhere: bool) -> String {
        let key = record_key(one.thing.kind).filter(|_| !everywhere);
        let at = key.map_or_else(String::new, |key| {
            let name = names::name(self.new.design(), one.thing);
            format!(", {key} = {}", quoted(&name))
        });
        format!("  {{ rule = {}{at} }},", quoted(one.rule.slug()))
    }
}
