//! What the review makes of each record, and what is still open.

use std::collections::BTreeSet;

use orangeloom_core::design::{
    Attestation, AttestationId, Conductor, Design, Kind, Measured, Moment, Reading, ReadingId,
    Thing, WhichEnd,
};
use orangeloom_core::review::{
    Because, EvidenceGap, Finding, Proof, RuleId, Stage, rules_that_read,
};
use orangeloom_core::verdict::Verdict;

use super::reads::reads;
use crate::design_file::{Known, listed};
use crate::review::Reviewed;

/// One record with what the review finds by it.
pub(super) struct Judged {
    /// The reading or the attestation.
    pub(super) record: Thing,
    /// What it is about.
    pub(super) about: Thing,
    /// What was read; nothing for an attestation.
    pub(super) read: Option<String>,
    /// What the review finds by it.
    pub(super) findings: Vec<Finding>,
    /// What it finds by another record, which counts in place of this one.
    pub(super) superseded: Vec<Superseded>,
    /// Whether the design had it already.
    pub(super) known: bool,
    /// Why nothing is found by any record, and what it takes that something is.
    pub(super) unused: String,
    /// Whether a rule reads such a record, of other things than this one.
    pub(super) misplaced: bool,
}

/// A finding that rests on another record.
pub(super) struct Superseded {
    pub(super) finding: Finding,
    /// The record that counts.
    pub(super) by: Thing,
    /// Why that one counts.
    pub(super) why: &'static str,
}

impl Judged {
    /// Whether no rule finds anything of this thing by such a record.
    pub(super) fn is_unused(&self) -> bool {
        self.findings.is_empty() && self.superseded.is_empty()
    }

    /// Everything that the rules say which read such a record of this thing.
    pub(super) fn verdicts(&self) -> impl Iterator<Item = Verdict> {
        let superseded = self.superseded.iter().map(|one| &one.finding);
        let all = self.findings.iter().chain(superseded);
        all.map(|finding| finding.judged.verdict)
    }
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
    let unused = if rules.is_empty() {
        format!("no rule reads this; {}", for_papers(entry.measured))
    } else {
        read_elsewhere(reviewed, rules)
    };
    let misplaced = found.is_empty() && !rules.is_empty();
    let own = [Some(id), first];
    let (mut findings, mut superseded) = (Vec::new(), Vec::new());
    for (index, finding) in found.iter().enumerate() {
        // Of those that say the same of several readings, which one this is.
        let before = found.iter().take(index).filter(|one| alike(one, finding));
        match rests_on(design, finding, before.count()) {
            Some(other) if !own.contains(&Some(other)) => superseded.push(Superseded {
                finding: *finding,
                by: other.into(),
                why: why_later(design, entry, other),
            }),
            _ => findings.push(*finding),
        }
    }
    Some(Judged {
        record: id.into(),
        about: entry.at,
        read: Some(reads(entry.measured)),
        findings,
        superseded,
        known: first.is_some(),
        unused,
        misplaced,
    })
}

/// Whether a finding says that its rule does not judge what was read there.
fn is_astray(finding: &Finding) -> bool {
    finding.because == Some(Because::Evidence(EvidenceGap::NotJudgedThere))
}

/// Whether two findings hold the same against the same.
fn alike(one: &Finding, other: &Finding) -> bool {
    (one.rule, one.thing, one.at, one.judged.name)
        == (other.rule, other.thing, other.at, other.judged.name)
}

/// The reading that a finding rests on, whether its record counts or not; of temperatures
/// several stand beside each other, each with its finding.
fn rests_on(design: &Design, finding: &Finding, nth: usize) -> Option<ReadingId> {
    let found = finding.reading(design)?;
    if matches!(finding.because, Some(Because::Read(_))) {
        return Some(found);
    }
    let latest = design.get(found)?;
    let Measured::Temperature { .. } = latest.measured else {
        return Some(found);
    };
    standing_temperatures(design, latest).nth(nth)
}

/// The temperatures that were read at the place of a reading and that no later one with as much
/// current replaces.
fn standing_temperatures<'a>(
    design: &'a Design,
    place: &'a Reading,
) -> impl Iterator<Item = ReadingId> + 'a {
    let here = move || {
        let all = design.all::<Reading>();
        all.filter_map(move |(id, one)| match one.measured {
            Measured::Temperature { at, .. } if one.at == place.at && one.end == place.end => {
                Some((id, at.as_amperes().abs(), design.moment(one.signature)))
            }
            _ => None,
        })
    };
    here().filter_map(move |(id, amperes, when)| {
        let replaced = here()
            .any(|(other, flowed, then)| then.outdates(when, other > id) && flowed >= amperes);
        (!replaced).then_some(id)
    })
}

/// Why, for all that is known of when they were made, another record counts in place of one.
fn why_at_that_time(one: Moment, other: Moment) -> &'static str {
    if other.date > one.date {
        "it is of a later day"
    } else if other.is_after(one) {
        "it is of a later time-of-day"
    } else {
        "of one day, or of none, the worse one counts, else the one that was written last"
    }
}

/// Why another reading counts in place of one.
fn why_later(design: &Design, one: &Reading, other: ReadingId) -> &'static str {
    let Some(other) = design.get(other) else {
        return "it counts";
    };
    match (one.end, other.end) {
        (None, Some(_)) => "it says at which end it was read, and this one does not",
        _ => why_at_that_time(design.moment(one.signature), design.moment(other.signature)),
    }
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
            "it is kept for your papers. What counts is an attestation of the rule joint-torque \
             with its conductor, initials and date"
        }
        Measured::Withstood(_) => {
            "it is kept for your papers. What counts is an attestation of the rule hipot-scope \
             with initials and date"
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
    let misplaced = found.is_empty();
    let (superseded, findings) = found.into_iter().partition::<Vec<Finding>, _>(superseded);
    let superseded = superseded.into_iter().filter_map(|finding| {
        let Some(Because::Attested(by)) = finding.because else {
            return None;
        };
        let why = why_attested(design, entry, by);
        let by = by.into();
        Some(Superseded { finding, by, why })
    });
    Some(Judged {
        record: id.into(),
        about: entry.about,
        read: None,
        findings: findings
            .into_iter()
            .map(|one| by_its_own(design, entry, one))
            .collect(),
        superseded: superseded.collect(),
        known: first.is_some(),
        unused: read_elsewhere(reviewed, &[rule]),
        misplaced,
    })
}

/// Why another attestation counts in place of one.
fn why_attested(design: &Design, one: &Attestation, other: AttestationId) -> &'static str {
    let Some(other) = design.get(other) else {
        return "it counts";
    };
    let [own, its] = [one, other].map(|one| design.moment(one.signature));
    if !other.holds && one.holds {
        "it says no, and only a later yes that counts clears that: of one thing a yes about it alone"
    } else if one.holds && !its.is_after(own) && revision_gap(design, one).is_some() {
        "this one is not of the revision in force"
    } else {
        why_at_that_time(own, its)
    }
}

/// What is missing of the revision of an attestation.
fn revision_gap(design: &Design, one: &Attestation) -> Option<EvidenceGap> {
    let own = one.signature.and_then(|id| design.get(id)?.revision);
    match (design.vehicle.revision, own) {
        (None, _) => Some(EvidenceGap::DesignWithoutRevision),
        (Some(_), None) => Some(EvidenceGap::NoRevision),
        (Some(design), Some(own)) => (design != own).then_some(EvidenceGap::OtherRevision),
    }
}

/// Of several attestations that do not count a finding tells what the last one lacks; here it
/// tells of this one.
fn by_its_own(design: &Design, entry: &Attestation, finding: Finding) -> Finding {
    match (finding.because, revision_gap(design, entry)) {
        (Some(Because::Evidence(_)), Some(gap)) => {
            let mut own = finding;
            own.because = Some(Because::Evidence(gap));
            own
        }
        _ => finding,
    }
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
