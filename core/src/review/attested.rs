//! Rules that look at attestations alone.

use super::aspect::Aspect;
use super::evidence::{attestations, gap};
use super::finding::{Because, EvidenceGap};
use super::registry::RuleId;
use super::rule::Scope;
use super::subject::{Sink, Subject, plain, without_box};
use crate::design::{AttestationId, Conductor, Contactor, Date, Kind, ServiceDisconnect, Thing};
use crate::verdict::Verdict;

/// Judges every thing of the scope.
pub(super) fn judge(subject: &Subject<'_>, scope: Scope, sink: &mut Sink<'_>) {
    let design = subject.design;
    match scope {
        Scope::Vehicle => one(subject, Thing::VEHICLE, sink),
        Scope::Boxes => {
            for found in &subject.insulation.boxes {
                one(subject, found.enclosure.into(), sink);
            }
            // What is in no box is touched all the same.
            if sink.rule() == RuleId::TouchProtection {
                for (load, because) in without_box(subject) {
                    sink.open(load, Aspect::Proof, because);
                }
            }
        }
        Scope::Conductors => {
            for (id, lead) in design.all::<Conductor>() {
                if subject.is_high(lead.from) {
                    one(subject, id.into(), sink);
                }
            }
        }
        Scope::Contactors => {
            for (id, contactor) in design.all::<Contactor>() {
                if subject.is_high(contactor.from) {
                    one(subject, id.into(), sink);
                }
            }
        }
        Scope::ServiceDisconnects => {
            for (id, _) in design.all::<ServiceDisconnect>() {
                one(subject, id.into(), sink);
            }
        }
        Scope::ChargingSources => {
            for (id, _) in subject.charging_sources() {
                one(subject, id.into(), sink);
            }
        }
        Scope::ParallelStrings => {
            let strings = &subject.strings;
            if strings.strings.len() > usize::from(strings.group_count()) {
                one(subject, Thing::VEHICLE, sink);
            }
        }
    }
}

/// Judges one thing by the attestations about it or the whole vehicle.
pub(super) fn one(subject: &Subject<'_>, thing: Thing, sink: &mut Sink<'_>) {
    let (verdict, because) = stands(subject, sink.rule().slug(), thing);
    sink.put(thing, None, plain(Aspect::Proof, verdict), Some(because));
}

/// The latest of some attestations, with its day.
type Latest = Option<(AttestationId, Option<Date>)>;

/// The later of two that say no.
fn later_no(known: Latest, id: AttestationId, date: Option<Date>) -> Latest {
    match known {
        // Nobody knows whether anything is later than what has no day.
        Some((_, None)) => known,
        Some((_, day)) if date.is_some() && date < day => known,
        _ => Some((id, date)),
    }
}

/// Whether a no stands beside the latest yes that may clear it.
fn outweighs(denied: Latest, held: Option<Date>) -> Option<AttestationId> {
    denied
        .filter(|(_, date)| date.is_none() || held <= *date)
        .map(|(id, _)| id)
}

/// What the attestations of a rule say about a thing: the latest that says no outweighs
/// every yes that does not count or is not of a later day. A no about the thing itself is
/// cleared by a yes about it alone: who stands for the whole vehicle did not say that he
/// looked at what somebody found wanting.
pub(super) fn stands(subject: &Subject<'_>, slug: &str, thing: Thing) -> (Verdict, Because) {
    let mut best = (Verdict::Open, Because::Evidence(EvidenceGap::NoAttestation));
    let (mut held, mut held_here) = (None, None);
    let (mut denied, mut denied_here) = (None, None);
    for (id, attestation) in attestations(subject, slug) {
        let here = attestation.about == thing;
        if !here && attestation.about.kind != Kind::Vehicle {
            continue;
        }
        let signature = attestation.signature;
        let date = signature.and_then(|id| subject.design.get(id)?.date);
        if !attestation.holds {
            let no = if here { &mut denied_here } else { &mut denied };
            *no = later_no(*no, id, date);
            continue;
        }
        match gap(subject.design, signature, false) {
            None => {
                if here && held_here <= date {
                    held_here = date;
                }
                if held <= date {
                    held = date;
                    best = (Verdict::Holds, Because::Attested(id));
                }
            }
            Some(gap) if best.0 == Verdict::Open => best.1 = Because::Evidence(gap),
            Some(_) => {}
        }
    }
    match outweighs(denied_here, held_here).or(outweighs(denied, held)) {
        Some(id) => (Verdict::Fails, Because::Attested(id)),
        None => best,
    }
}
