//! `orangeloom review`, `rules` and `explain`: a design against the checklist.

mod accepted;
mod args;
mod evidence;
mod explain;
mod inputs;
mod json;
mod junit;
mod list;
mod markdown;
mod mending;
mod steps;
mod text;
pub(crate) mod told;
mod two_threads;
mod xml;

use accepted::day;
pub(crate) use accepted::moment;
pub use args::{ExplainArgs, ReviewArgs, RulesArgs};
pub(crate) use evidence::{record_of, signature};
pub(crate) use json::finding_row;

use core::mem;
use core::ops::Range;
use std::path::Path;

use orangeloom_core::design::Design;
use orangeloom_core::fault::FaultWorkspace;
use orangeloom_core::insulation::Domain;
use orangeloom_core::network::Workspace;
use orangeloom_core::review::{
    Finding, RuleId, Severity, Studies, blocks, blocks_although_accepted, review_rules,
};
use orangeloom_core::study::insulation::InsulationStudy;
use orangeloom_core::study::{FaultBurdens, Study};
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::design_file::{Acceptance, DesignFile, refuse};
use crate::page;
use crate::spacing::names::domain as domain_word;
use crate::working::cite;
use two_threads::at_once;

/// Everything that the renderers show.
pub(crate) struct Reviewed {
    pub(crate) read: DesignFile,
    pub(crate) findings: Vec<Finding>,
    study: Box<Study>,
    insulation: Box<InsulationStudy>,
    faults: Box<FaultBurdens>,
    accepted: Vec<Acceptance>,
    /// The files of accepted deviations.
    accepted_from: Vec<String>,
}

/// Of faults as long as none was looked at.
static NO_FAULTS: FaultBurdens = FaultBurdens::new();

fn found(design: &Design, studies: Studies<'_>, rules: Vec<RuleId>) -> Vec<Finding> {
    let mut findings = Vec::new();
    review_rules(design, studies, rules, &mut |finding| {
        findings.push(finding);
    });
    findings
}

/// Where a rule stands, with what somebody accepted told apart.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Standing {
    Fails,
    Open,
    /// Fails only where somebody accepted it.
    Accepted,
    Holds,
    NotApplicable,
}

impl Reviewed {
    /// Reads a design and reviews it.
    pub(crate) fn of(file: &Path) -> Result<Self, Outcome> {
        let read = DesignFile::read(file);
        if !read.problems.is_empty() {
            return Err(refuse(&read, file));
        }
        Ok(Self::of_design(read))
    }

    /// Reviews a design without problems.
    pub(crate) fn of_design(read: DesignFile) -> Self {
        let (asking, others): (Vec<RuleId>, Vec<RuleId>) =
            RuleId::ALL.iter().partition(|rule| rule.asks_for_faults());
        // Short circuits ask for nothing that the study finds, and most rules for nothing
        // that short circuits do: all of these at the same time.
        let ((study, insulation, mut findings), faults) = at_once(
            || {
                let mut study = Box::new(const { Study::new() });
                let mut workspace = Box::new(const { Workspace::new() });
                study.compute(&read.design, &mut workspace);
                let insulation = Box::new(InsulationStudy::find(&read.design));
                let studies = Studies {
                    study: &study,
                    insulation: &insulation,
                    faults: &NO_FAULTS,
                };
                let findings = found(&read.design, studies, others);
                (study, insulation, findings)
            },
            || {
                let mut faults = Box::new(const { FaultBurdens::new() });
                let mut currents = Box::new(const { FaultWorkspace::new() });
                // What is refused here, the findings tell.
                let _ = faults.solve(&read.design, &mut currents, &mut |_, _| {});
                faults
            },
        );
        let studies = Studies {
            study: &study,
            insulation: &insulation,
            faults: &faults,
        };
        findings.extend(found(&read.design, studies, asking));
        findings.sort_by_key(|finding| finding.rule);
        Self {
            read,
            findings,
            study,
            insulation,
            faults,
            accepted: Vec::new(),
            accepted_from: Vec::new(),
        }
    }

    pub(crate) fn design(&self) -> &Design {
        &self.read.design
    }

    /// What the findings were made of.
    pub(crate) fn studies(&self) -> Studies<'_> {
        Studies {
            study: &self.study,
            insulation: &self.insulation,
            faults: &self.faults,
        }
    }

    pub(crate) fn study(&self) -> &Study {
        &self.study
    }

    /// What a rule found.
    pub(crate) fn of_rule(&self, rule: RuleId) -> impl Iterator<Item = &Finding> {
        let found = self.findings.get(self.places_of(rule));
        found.unwrap_or_default().iter()
    }

    /// Where among all findings those of a rule are: they come in the order of the rules.
    fn places_of(&self, rule: RuleId) -> Range<usize> {
        let first = self.findings.partition_point(|one| one.rule < rule);
        let after = self.findings.partition_point(|one| one.rule <= rule);
        first..after
    }

    /// The worst that a rule found.
    pub(crate) fn verdict(&self, rule: RuleId) -> Verdict {
        self.of_rule(rule)
            .fold(Verdict::NotApplicable, |worst, one| {
                worst.worse(one.judged.verdict)
            })
    }

    /// Whether a finding fails and was accepted, and its rule may be.
    fn excused(&self, finding: &Finding) -> bool {
        self.accepted(finding).is_some() && !blocks_although_accepted(finding)
    }

    /// Every file that was read, the design first.
    fn files(&self) -> impl Iterator<Item = &str> {
        let design = self.read.sources.iter().map(|source| source.path.as_str());
        design.chain(self.accepted_from.iter().map(String::as_str))
    }

    /// Where a rule stands.
    pub(crate) fn standing(&self, rule: RuleId) -> Standing {
        let counts = self.of_rule(rule).filter(|one| !self.excused(one));
        let verdict = counts
            .map(|one| one.judged.verdict)
            .fold(Verdict::NotApplicable, Verdict::worse);
        match verdict {
            Verdict::Fails => Standing::Fails,
            Verdict::Open => Standing::Open,
            _ if self.of_rule(rule).any(|one| self.excused(one)) => Standing::Accepted,
            Verdict::Holds => Standing::Holds,
            Verdict::NotApplicable => Standing::NotApplicable,
        }
    }

    /// The rules that stand so.
    fn standing_so(&self, standing: Standing) -> impl Iterator<Item = RuleId> {
        let rules = RuleId::ALL.iter().copied();
        rules.filter(move |id| self.standing(*id) == standing)
    }

    /// Whether a finding keeps the review from passing.
    pub(crate) fn blocks(&self, finding: &Finding) -> bool {
        match self.accepted(finding) {
            Some(_) => blocks_although_accepted(finding),
            None => blocks(finding),
        }
    }

    pub(crate) fn passes(&self) -> bool {
        !self.findings.iter().any(|one| self.blocks(one))
    }

    /// Whose rules the vehicle falls under.
    fn domain(&self) -> String {
        let domain = self.design().vehicle.domain;
        let limits = domain.limits();
        let borrowed = match domain {
            Domain::Road => "Local codes prevail.",
            _ => "What it sets no limit for is held to that of road vehicles; local codes prevail.",
        };
        format!(
            "Domain {}: protection above {} V d.c., rules up to {} V d.c.: {}. {borrowed}",
            domain_word(domain),
            limits.touchable_dc_v,
            limits.highest_dc_v,
            cite(limits.source),
        )
    }

    /// Which records of older revisions count, who says so, and what is proven again.
    pub(crate) fn carried_over(&self) -> Vec<String> {
        let told = self.read.carry_overs.iter().map(|one| {
            let again = match one.repeat.len() {
                0 => "nothing is to be done again".to_owned(),
                some => format!(
                    "but for {} to do again",
                    page::counted(some, "test", "tests")
                ),
            };
            format!(
                "Records of revision {} count for {}: {}, {} ({}); {again}.",
                one.from,
                one.to,
                one.initials,
                day(one.date),
                self.read.line(&one.place),
            )
        });
        told.collect()
    }

    /// The name of the vehicle.
    pub(crate) fn vehicle(&self) -> &str {
        let design = self.design();
        let name = design.vehicle.name.and_then(|name| design.text(name));
        name.unwrap_or("the vehicle")
    }

    /// The revision in force, in words.
    pub(crate) fn revision(&self) -> String {
        let design = self.design();
        let revision = design.vehicle.revision.and_then(|text| design.text(text));
        revision.map_or_else(
            || "revision not stated".to_owned(),
            |revision| format!("revision {revision}"),
        )
    }

    /// Name and revision of the vehicle, and whether it passes.
    fn title(&self) -> String {
        let mut title = format!(
            "{}, {}: {}",
            self.vehicle(),
            self.revision(),
            if self.passes() {
                "passes"
            } else {
                "does not pass"
            }
        );
        let open = RuleId::ALL.iter().filter(|rule| {
            self.standing(**rule) == Standing::Open && rule.rule().severity == Severity::Fix
        });
        let open = open.count();
        if self.passes() && open > 0 {
            let rules = page::counted(open, "rule", "rules");
            title = format!("{title} for energising, not for handing over ({rules} of fix open)");
        }
        let accepted = self.findings.iter();
        let accepted = accepted.filter(|one| self.accepted(one).is_some()).count();
        if accepted > 0 {
            let told = page::counted(accepted, "accepted deviation", "accepted deviations");
            title = format!("{title}, with {told}");
        }
        title
    }
}

/// A severity with what it means.
pub(crate) const fn meaning(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop: do not energise",
        Severity::Fix => "fix: before it is handed over",
        Severity::Note => "note: tell the owner",
    }
}

/// Reviews one design.
pub fn run(args: &ReviewArgs) -> Outcome {
    let mut reviewed = match Reviewed::of(&args.file) {
        Ok(reviewed) => reviewed,
        Err(outcome) => return outcome,
    };
    if let Some(file) = &args.accepted
        && let Err(outcome) = reviewed.accept(file)
    {
        return outcome;
    }
    let exit = if reviewed.passes() {
        Exit::Holds
    } else {
        Exit::Fails
    };
    let rendered = match (args.json, args.markdown, args.junit) {
        (true, ..) => json::render(&reviewed),
        (_, true, _) => Ok(markdown::render(&reviewed)),
        (.., true) => Ok(junit::render(&reviewed)),
        _ => Ok(text::render(&reviewed, page::width(), args.all)),
    };
    // The process ends with it: nobody needs its memory back piece by piece.
    mem::forget(reviewed);
    Outcome::rendered(rendered, exit)
}

/// Lists the rules.
pub fn rules(args: &RulesArgs) -> Outcome {
    Outcome::rendered(list::render(args.json), Exit::Holds)
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
