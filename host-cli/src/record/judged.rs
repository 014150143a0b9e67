//! What the review makes of each record, and what is still open.

use orangeloom_core::design::{AttestationId, Conductor, Kind, ReadingId, Thing, WhichEnd};
use orangeloom_core::review::{Because, Finding, Proof, RuleId, Stage, rules_that_read};
use orangeloom_core::verdict::Verdict;

use crate::review::Reviewed;

/// One record with what the review finds by it.
pub(super) struct Judged {
    /// The reading or the attestation.
    pub(super) record: Thing,
    /// What it is about.
    pub(super) about: Thing,
    pub(super) findings: Vec<Finding>,
    /// Why there are none.
    pub(super) unused: &'static str,
    /// Whether a rule reads such a record, of other things than this one.
    pub(super) misplaced: bool,
}

/// Judges every new record.
pub(super) fn judge(
    reviewed: &Reviewed,
    readings: &[ReadingId],
    attestations: &[AttestationId],
) -> Vec<Judged> {
    let of_readings = readings.iter().filter_map(|id| reading(reviewed, *id));
    let of_attestations = attestations.iter();
    let of_attestations = of_attestations.filter_map(|id| attestation(reviewed, *id));
    of_readings.chain(of_attestations).collect()
}

fn reading(reviewed: &Reviewed, id: ReadingId) -> Option<Judged> {
    let design = reviewed.design();
    let entry = design.get(id)?;
    let end = entry
        .end
        .and_then(|which| terminal(reviewed, entry.at, which));
    let rules = rules_that_read(entry.measured);
    let about = |one: &&Finding| {
        one.thing == entry.at && (end.is_none() || one.at.is_none() || one.at == end)
    };
    let found: Vec<Finding> = rules
        .iter()
        .flat_map(|rule| reviewed.of_rule(*rule).filter(about))
        .copied()
        .collect();
    // One that rests on another reading was judged by a later one.
    let superseded = |one: &Finding| match one.because {
        Some(Because::Read(other)) => other != id,
        _ => false,
    };
    let unused = if rules.is_empty() {
        "no rule reads this; it is kept for your papers"
    } else if found.is_empty() {
        "no rule reads this of this thing; look at what it was read at"
    } else {
        "a later reading counts"
    };
    let misplaced = found.is_empty() && !rules.is_empty();
    let findings = found.into_iter().filter(|one| !superseded(one)).collect();
    Some(Judged {
        record: id.into(),
        about: entry.at,
        findings,
        unused,
        misplaced,
    })
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

fn attestation(reviewed: &Reviewed, id: AttestationId) -> Option<Judged> {
    let design = reviewed.design();
    let entry = design.get(id)?;
    let rule = RuleId::find(design.text(entry.rule)?)?;
    let about = |one: &&Finding| one.thing == entry.about || entry.about.kind == Kind::Vehicle;
    let superseded = |one: &Finding| match one.because {
        Some(Because::Attested(other)) => other != id,
        _ => false,
    };
    let found: Vec<Finding> = reviewed.of_rule(rule).filter(about).copied().collect();
    let unused = if found.is_empty() {
        "the rule has nothing to say of this thing; look at what it is about"
    } else {
        "another attestation counts"
    };
    let misplaced = found.is_empty();
    let findings = found.into_iter().filter(|one| !superseded(one)).collect();
    Some(Judged {
        record: id.into(),
        about: entry.about,
        findings,
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
