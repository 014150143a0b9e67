//! `orangeloom review`, `rules` and `explain`: a design against the checklist.

mod args;
mod explain;
mod json;
mod list;
mod text;
mod told;

pub use args::{ExplainArgs, ReviewArgs, RulesArgs};

use std::path::Path;

use orangeloom_core::design::Design;
use orangeloom_core::network::Workspace;
use orangeloom_core::review::{Finding, RuleId, blocks, review};
use orangeloom_core::study::Study;
use orangeloom_core::study::insulation::InsulationStudy;
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::design_file::{DesignFile, refuse};

/// Everything that the renderers show.
pub(crate) struct Reviewed {
    read: DesignFile,
    findings: Vec<Finding>,
}

impl Reviewed {
    fn of(file: &Path) -> Result<Self, Outcome> {
        let read = DesignFile::read(file);
        if !read.problems.is_empty() {
            return Err(refuse(&read, file));
        }
        let mut study = Box::new(Study::new());
        study.compute(&read.design, &mut Box::new(Workspace::new()));
        let insulation = Box::new(InsulationStudy::find(&read.design));
        let mut findings = Vec::new();
        review(&read.design, &study, &insulation, &mut |finding| {
            findings.push(finding);
        });
        Ok(Self { read, findings })
    }

    fn design(&self) -> &Design {
        &self.read.design
    }

    /// What a rule found.
    fn of_rule(&self, rule: RuleId) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |one| one.rule == rule)
    }

    /// The worst that a rule found.
    fn verdict(&self, rule: RuleId) -> Verdict {
        self.of_rule(rule)
            .fold(Verdict::NotApplicable, |worst, one| {
                worst.worse(one.judged.verdict)
            })
    }

    fn passes(&self) -> bool {
        !self.findings.iter().any(blocks)
    }
}

/// Reviews one design.
pub fn run(args: &ReviewArgs) -> Outcome {
    let reviewed = match Reviewed::of(&args.file) {
        Ok(reviewed) => reviewed,
        Err(outcome) => return outcome,
    };
    let exit = if reviewed.passes() {
        Exit::Holds
    } else {
        Exit::Fails
    };
    if args.json {
        return match json::render(&reviewed) {
            Ok(text) => Outcome::result(text, exit),
            Err(message) => Outcome::unusable(&message),
        };
    }
    Outcome::result(text::render(&reviewed), exit)
}

/// Lists the rules.
pub fn rules(args: &RulesArgs) -> Outcome {
    match list::render(args.json) {
        Ok(text) => Outcome::result(text, Exit::Holds),
        Err(message) => Outcome::unusable(&message),
    }
}

/// Explains one rule.
pub fn explain(args: &ExplainArgs) -> Outcome {
    let Some(rule) = RuleId::find(&args.rule) else {
        return Outcome::unusable(&explain::unknown(&args.rule));
    };
    let reviewed = match args.file.as_deref().map(Reviewed::of) {
        None => None,
        Some(Ok(reviewed)) => Some(reviewed),
        Some(Err(outcome)) => return outcome,
    };
    Outcome::result(explain::render(rule, reviewed.as_ref()), Exit::Holds)
}
