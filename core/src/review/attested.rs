//! Rules that look at attestations alone.

use super::aspect::Aspect;
use super::evidence::{attestations, gap};
use super::finding::{Because, EvidenceGap};
use super::registry::RuleId;
use super::rule::Scope;
use super::subject::{Sink, Subject, plain, without_box};
use crate::design::{AttestationId, Conductor, Contactor, Kind, Moment, ServiceDisconnect, Thing};
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

/// What the attestations of a rule say about a thing: a no outweighs every yes that does not
/// count or is not known to be later. A no about the thing itself is cleared by a yes about it
/// alone: who stands for the whole vehicle did not say that he looked at what somebody found
/// wanting.
pub(super) fn stands(subject: &Subject<'_>, slug: &str, thing: Thing) -> (Verdict, Because) {
    let design = subject.design;
    let mut best = (Verdict::Open, Because::Evidence(EvidenceGap::NoAttestation));
    let mut held: Option<Moment> = None;
    let (mut denied, mut denied_here) = (None, None);
    for (id, attestation) in attestations(subject, slug) {
        let here = attestation.about == thing;
        if !here && attestation.about.kind != Kind::Vehicle {
            continue;
        }
        let signature = attestation.signature;
        let when = design.moment(signature);
        if !attestation.holds {
            let no = if here { &mut denied_here } else { &mut denied };
            *no = harder_no(*no, (id, when));
            continue;
        }
        match gap(design, signature, false) {
            None => {
                if held.is_none_or(|held| when.outdates(held, true)) {
                    held = Some(when);
                    best = (Verdict::Holds, Because::Attested(id));
                }
            }
            Some(gap) if best.0 == Verdict::Open => best.1 = Because::Evidence(gap),
            Some(_) => {}
        }
    }
    let uncleared = |no: Option<(AttestationId, Moment)>, here_only: bool| {
        let (id, when) = no?;
        let cleared = attestations(subject, slug).any(|(_, yes)| {
            let about = yes.about == thing || !here_only && yes.about.kind == Kind::Vehicle;
            about
                && yes.holds
                && design.moment(yes.signature).is_after(when)
                && gap(design, yes.signature, false).is_none()
        });
        (!cleared).then_some(id)
    };
    match uncleared(denied_here, true).or(uncleared(denied, false)) {
        Some(id) => (Verdict::Fails, Because::Attested(id)),
        None => best,
    }
}

/// Of two that say no the one that is harder to clear.
fn harder_no(
    known: Option<(AttestationId, Moment)>,
    new: (AttestationId, Moment),
) -> Option<(AttestationId, Moment)> {
    match known {
        Some((_, when)) if new.1.is_easier_to_follow(when) => known,
        _ => Some(new),
    }
}
