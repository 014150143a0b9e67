//! Attestations and readings: who, when, with what, of which revision.

use super::finding::EvidenceGap;
use super::subject::Subject;
use crate::design::{Attestation, Design, Reading, ReadingId, SignatureId, Thing};

/// Whether a record counts. `None` where it does.
pub(super) fn gap(
    design: &Design,
    signature: Option<SignatureId>,
    instrument: bool,
) -> Option<EvidenceGap> {
    let signature = signature.and_then(|id| design.get(id)).copied();
    let signature = signature.unwrap_or_default();
    if signature.initials.is_none() {
        return Some(EvidenceGap::NoInitials);
    }
    if signature.date.is_none() {
        return Some(EvidenceGap::NoDate);
    }
    if instrument && signature.instrument.is_none() {
        return Some(EvidenceGap::NoInstrument);
    }
    match (design.vehicle.revision, signature.revision) {
        (None, _) => Some(EvidenceGap::DesignWithoutRevision),
        (Some(_), None) => Some(EvidenceGap::NoRevision),
        (Some(design), Some(record)) if design != record => Some(EvidenceGap::OtherRevision),
        _ => None,
    }
}

/// The attestations of a rule.
pub(super) fn attestations<'a>(
    subject: &'a Subject<'_>,
    slug: &'a str,
) -> impl Iterator<Item = (crate::design::AttestationId, &'a Attestation)> + 'a {
    let design = subject.design;
    design
        .all::<Attestation>()
        .filter(move |(_, one)| design.text(one.rule) == Some(slug))
}

/// The readings at a thing.
pub(super) fn readings_at<'a>(
    subject: &'a Subject<'_>,
    thing: Thing,
) -> impl Iterator<Item = (ReadingId, &'a Reading)> + 'a {
    let all = subject.design.all::<Reading>();
    all.filter(move |(_, reading)| reading.at == thing)
}
