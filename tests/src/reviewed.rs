//! A design with everything that a review reads.

use orangeloom_core::design::Design;
use orangeloom_core::error::Error;
use orangeloom_core::fault::FaultWorkspace;
use orangeloom_core::review::{Finding, RuleId, Studies, review_rules};
use orangeloom_core::study::insulation::InsulationStudy;
use orangeloom_core::study::{FaultBurdens, Study};
use orangeloom_core::verdict::Verdict;

use crate::fixture;

/// A design with its studies.
#[derive(Debug)]
pub struct Reviewed {
    /// What was described.
    pub design: Box<Design>,
    /// Currents, temperatures, loads.
    pub study: Box<Study>,
    /// Distances, shields, isolation.
    pub insulation: Box<InsulationStudy>,
    /// What all short circuits do.
    pub faults: Box<FaultBurdens>,
    /// Whether they could be followed; rules that need them stay open where not.
    pub followed: Result<(), Error>,
}

impl Reviewed {
    /// With everything computed.
    pub fn new(design: Box<Design>) -> Self {
        let study = fixture::study(&design);
        let mut reviewed = Self {
            study,
            ..Self::without_study(design)
        };
        let workspace = &mut Box::new(FaultWorkspace::new());
        reviewed.followed = reviewed
            .faults
            .solve(&reviewed.design, workspace, &mut |_, _| {});
        reviewed
    }

    /// For rules that look at no current and no temperature.
    pub fn without_study(design: Box<Design>) -> Self {
        let insulation = Box::new(InsulationStudy::find(&design));
        Self {
            design,
            study: Box::new(Study::new()),
            insulation,
            faults: Box::new(FaultBurdens::new()),
            followed: Ok(()),
        }
    }

    /// What a review reads of it.
    pub fn studies(&self) -> Studies<'_> {
        Studies {
            study: &self.study,
            insulation: &self.insulation,
            faults: &self.faults,
        }
    }

    /// What a rule finds.
    pub fn findings(&self, rule: RuleId) -> Vec<Finding> {
        let mut found = Vec::new();
        let mut put = |one| found.push(one);
        review_rules(&self.design, self.studies(), [rule], &mut put);
        found
    }

    /// The worst verdict of a rule.
    pub fn verdict(&self, rule: RuleId) -> Verdict {
        worst(&self.findings(rule))
    }
}

/// The worst verdict of all findings.
pub fn worst(findings: &[Finding]) -> Verdict {
    findings.iter().fold(Verdict::NotApplicable, |worst, one| {
        worst.worse(one.judged.verdict)
    })
}
