//! What the review makes of each record, and what is still open.

use std::collections::BTreeSet;

use orangeloom_core::design::{
    AttestationId, Conductor, Kind, Measured, Reading, ReadingId, Thing, WhichEnd,
};
use orangeloom_core::review::{
    Because, EvidenceGap, Finding, Proof, RuleId, Stage, rules_that_read,
};
use orangeloom_core::verdict::Verdict;

use crate::design_file::{Known, listed};
use crate::review::Reviewed;

/// One record with what the review finds by it.
pub(super) struct Judged {
    /// The reading or the attestation.
    pub(super) record: Thing,
    /// What it is about.
    pub(super) about: Thing,
    pub(super) findings: Vec<Finding>,
    /// Whether the design had it already.
    pub(super) known: bool,
    /// Why there are none, and what it takes that there are.
    pub(super) unused: String,
    /// Whether a rule reads such a record, of other things than this one.
    pub(super) misplaced: bool,
}

/// Judges every record of the file: the new ones, then those that the design had already.
pub(super) fn judge(
    reviewed: &Reviewed,
    readings: &[ReadingId],
    attestations: &[AttestationId],
    known: &[Known],
) -> Vec<Judged> {
    let of_readings = readings.iter();
    let of_readings = of_readings.filter_map(|id| reading(reviewed, *id, None));
    let of_attestations = attestations.iter();
    let of_attestations = of_attestations.filter_map(|id| attestation(reviewed, *id, None));
    let of_known = known.iter().filter_map(|known| match known {
        Known::Reading { again, first } => reading(reviewed, *again, Some(*first)),
        Known::Attestation { again, first } => attestation(reviewed, *again, Some(*first)),
    });
    of_readings.chain(of_attestations).chain(of_known).collect()
}

fn reading(reviewed: &Reviewed, id: ReadingId, first: Option<ReadingId>) -> Option<Judged> {
    let design = reviewed.design();
    let entry = design.get(id)?;
    let end = entry
        .end
        .and_then(|which| terminal(reviewed, entry.at, which));
    let rules = rules_that_read(entry.measured);
    let about = |one: &&Finding| {
        let here = one.thing == entry.at && (end.is_none() || one.at.is_none() || one.at == end);
        // A computed rule finds much about a thing that no reading is looked at for.
        let reads = one.rule.rule().proof != Proof::Computed || one.reading(design).is_some();
        here && reads && !is_astray(one) && reads_drop(one.rule, entry)
    };
    let found: Vec<Finding> = rules
        .iter()
        .flat_map(|rule| reviewed.of_rule(*rule).filter(about))
        .copied()
        .collect();
    // One that rests on another reading was judged by a later one.
    let superseded = |one: &Finding| match one.because {
        Some(Because::Read(other)) => other != id && Some(other) != first,
        _ => false,
    };
    let unused = if rules.is_empty() {
        format!("no rule reads this; {}", for_papers(entry.measured))
    } else if found.is_empty() {
        read_elsewhere(reviewed, rules)
    } else {
        "a later reading counts".to_owned()
    };
    let misplaced = found.is_empty() && !rules.is_empty();
    let findings = found.into_iter().filter(|one| !superseded(one)).collect();
    Some(Judged {
        record: id.into(),
        about: entry.at,
        findings,
        known: first.is_some(),
        unused,
        misplaced,
    })
}

/// Whether a finding says that its rule does not judge what was read there.
fn is_astray(finding: &Finding) -> bool {
    finding.because == Some(Because::Evidence(EvidenceGap::NotJudgedThere))
}

/// A drop across one end is that of a joint, one without an end that of the whole conductor.
const fn reads_drop(rule: RuleId, entry: &Reading) -> bool {
    match entry.measured {
        Measured::Drop { .. } => entry.end.is_some() == matches!(rule, RuleId::JointResistance),
        _ => true,
    }
}

/// What counts in place of a reading that no rule reads.
const fn for_papers(measured: Measured) -> &'static str {
    match measured {
        Measured::Torque(_) => {
            "it is kept for your papers. What counts is an [[attestation]] with \
             rule = \"joint-torque\", its conductor, initials and date"
        }
        Measured::Withstood(_) => {
            "it is kept for your papers. What counts is an [[attestation]] with \
             rule = \"hipot-scope\", initials and date"
        }
        Measured::PoleToChassis { .. } => {
            "it is kept for your papers. What counts is a reading of isolation at the vehicle, \
             with its test-voltage"
        }
        _ => "it is kept for your papers",
    }
}

/// What the rules that read it judge, where it is about nothing of the kind.
fn read_elsewhere(reviewed: &Reviewed, rules: &[RuleId]) -> String {
    let told: Vec<String> = rules
        .iter()
        .filter_map(|rule| {
            let things: BTreeSet<&str> = reviewed
                .of_rule(*rule)
                .filter(|one| one.judged.verdict != Verdict::NotApplicable && !is_astray(one))
                .map(|one| match (one.thing.kind, one.at) {
                    (Kind::Conductor, Some(_)) => "the end of a conductor",
                    (kind, _) => kind.words(),
                })
                .collect();
            let things: Vec<&str> = things.into_iter().collect();
            (!things.is_empty())
                .then(|| format!("{} judges {}", rule.slug(), listed(&things, "and")))
        })
        .collect();
    if told.is_empty() {
        return "the rules that read it have nothing to judge in this design".to_owned();
    }
    format!(
        "no rule judges this thing by it: {}; correct what it is about",
        told.join("; ")
    )
}

fn terminal(reviewed: &Reviewed, thing: Thing, which: WhichEnd) -> Option<Thing> {
    let (_, lead) = reviewed
        .design()
        .all::<Conductor>()
        .find(|(id, _)| Thing::from(*id) == thing)?;
    Some(match which {
        WhichEnd::From => lead.from.into(),
        WhichEnd::To => lead.to.into(),
    })
}

fn attestation(
    reviewed: &Reviewed,
    id: AttestationId,
    first: Option<AttestationId>,
) -> Option<Judged> {
    let design = reviewed.design();
    let entry = design.get(id)?;
    let rule = RuleId::find(design.text(entry.rule)?)?;
    let about = |one: &&Finding| one.thing == entry.about || entry.about.kind == Kind::Vehicle;
    // What somebody found wanting at one thing stays so, and is told, whoever stands for the
    // vehicle as a whole.
    let superseded = |one: &Finding| match one.because {
        Some(Because::Attested(other)) => {
            let stays = one.thing != entry.about && one.judged.verdict == Verdict::Fails;
            other != id && Some(other) != first && !stays
        }
        _ => false,
    };
    let found: Vec<Finding> = reviewed.of_rule(rule).filter(about).copied().collect();
    let unused = if found.is_empty() {
        read_elsewhere(reviewed, &[rule])
    } else {
        "another attestation counts".to_owned()
    };
    let misplaced = found.is_empty();
    let findings = found.into_iter().filter(|one| !superseded(one)).collect();
    Some(Judged {
        record: id.into(),
        about: entry.about,
        findings,
        known: first.is_some(),
        unused,
        misplaced,
    })
}

/// Open findings of rules that are measured or attested, in the order of the work.
pub(super) fn still_open(reviewed: &Reviewed) -> Vec<(Stage, Vec<&Finding>)> {
    Stage::ALL
        .iter()
        .filter(|stage| **stage != Stage::Paper)
        .map(|stage| {
            let open = reviewed.findings.iter().filter(|one| {
                one.judged.verdict == Verdict::Open
                    && one.rule.stage() == *stage
                    && one.rule.rule().proof != Proof::Computed
            });
            (*stage, open.collect())
        })
        .collect()
}

/// How many rules that are computed fail and are open.
pub(super) fn on_paper(reviewed: &Reviewed) -> (usize, usize) {
    let count = |verdict| {
        let rules = RuleId::ALL.iter();
        rules
            .filter(|id| id.stage() == Stage::Paper && reviewed.verdict(**id) == verdict)
            .count()
    };
    (count(Verdict::Fails), count(Verdict::Open))
}
