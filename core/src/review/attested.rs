//! Rules that look at attestations alone.

use super::aspect::Aspect;
use super::evidence::{attestations, gap};
use super::finding::{Because, EvidenceGap};
use super::registry::RuleId;
use super::rule::Scope;
use super::subject::{Sink, Subject, plain, without_box};
use crate::design::{Conductor, Contactor, Kind, Load, Role, ServiceDisconnect, Thing};
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
            for (id, load) in design.all::<Load>() {
                if load.role == Role::ChargingSource && subject.is_high(load.positive) {
                    one(subject, id.into(), sink);
                }
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

/// What the attestations of a rule say about a thing: the latest that says no outweighs
/// every yes that does not count or is not of a later day.
pub(super) fn stands(subject: &Subject<'_>, slug: &str, thing: Thing) -> (Verdict, Because) {
    let mut best = (Verdict::Open, Because::Evidence(EvidenceGap::NoAttestation));
    let (mut held, mut denied) = (None, None);
    for (id, attestation) in attestations(subject, slug) {
        let about = attestation.about == thing || attestation.about.kind == Kind::Vehicle;
        if !about {
            continue;
        }
        let signature = attestation.signature;
        let date = signature.and_then(|id| subject.design.get(id)?.date);
        if !attestation.holds {
            denied = match denied {
                // Nobody knows whether anything is later than what has no day.
                Some((_, None)) => denied,
                Some((_, known)) if date.is_some() && date < known => denied,
                _ => Some((id, date)),
            };
            continue;
        }
        match gap(subject.design, signature, false) {
            None if held <= date => {
                held = date;
                best = (Verdict::Holds, Because::Attested(id));
            }
            Some(gap) if best.0 == Verdict::Open => best.1 = Because::Evidence(gap),
            _ => {}
        }
    }
    match denied {
        Some((id, date)) if date.is_none() || held <= date => {
            (Verdict::Fails, Because::Attested(id))
        }
        _ => best,
    }
}
