//! Rules about what short circuits do to conductors, contactors, bonds and shields.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Sink, Subject, plain, renamed};
use crate::design::{Conductor, ConductorId, Contactor, Enclosure, Gap, Thing};
use crate::error::Error;
use crate::quantity::{ConductorArea, Current};
use crate::shield::braid;
use crate::standard::SourceId;
use crate::study::{
    ChassisGuard, FaultBurden, ShortsAt, Unknown, Withstands, bond_missing, judge_shield_of,
    judge_strap_of, other_of, withstands_faults,
};
use crate::verdict::{Judged, Side, Verdict};

/// Leaves what holds open while the currents are not known for certain.
pub(super) fn settle(
    subject: &Subject<'_>,
    mut judged: Judged<Aspect>,
    because: Option<Because>,
) -> (Judged<Aspect>, Option<Because>) {
    match subject.faults.doubt() {
        Some(unknown) if judged.verdict == Verdict::Holds => {
            judged.verdict = Verdict::Open;
            (judged, Some(Because::Unknown(unknown)))
        }
        _ => (judged, because),
    }
}

/// Nothing is found of a thing that no fault reaches; of one that none is known to reach,
/// because a battery had to be left out, it is open.
pub(super) fn unreached(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    thing: impl Into<Thing>,
    aspect: Aspect,
) {
    if let Some(unknown) = subject.faults.doubt() {
        sink.open(thing, aspect, Because::Unknown(unknown));
    }
}

/// Every conductor at which a short circuit begins.
fn each(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    aspect: Aspect,
    mut of: impl FnMut(&mut Sink<'_>, ConductorId, &ShortsAt),
) {
    if let (false, Some(unknown)) = (subject.faults.is_complete(), subject.faults.doubt()) {
        return sink.open(Thing::VEHICLE, aspect, Because::Unknown(unknown));
    }
    for (id, _) in subject.design.all::<Conductor>() {
        if let Some(shorts) = subject.faults.shorts_at(id)
            && (shorts.largest.is_some() || shorts.gap.is_some())
        {
            of(sink, id, &shorts);
        }
    }
}

pub(super) fn without_fuse(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, source) = (Aspect::WithoutFuse, SourceId::CommonPractice);
    each(subject, sink, aspect, |sink, id, shorts| {
        let judge = |amperes| Judged::compare(aspect, amperes, Side::AtMost, 0.0, source);
        match (shorts.without_fuse, shorts.gap) {
            (Some((current, fault)), _) => {
                let (judged, at) = (judge(current.as_amperes()), other_of(fault, id));
                sink.put(id, Some(at), judged, Some(Because::Short(fault)));
            }
            (None, Some(guess)) => {
                let unknown = Unknown::Missing(guess.thing, guess.gap);
                sink.open(id, aspect, Because::Unknown(unknown));
            }
            (None, None) => sink.put(id, None, judge(0.0), None),
        }
    });
}

pub(super) fn known(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::FaultLargest;
    each(subject, sink, aspect, |sink, id, shorts| {
        if let Some(guess) = shorts.gap {
            let unknown = Unknown::Missing(guess.thing, guess.gap);
            return sink.open(id, aspect, Because::Unknown(unknown));
        }
        let both = [
            (aspect, shorts.largest),
            (Aspect::FaultSmallest, shorts.smallest),
        ];
        for (aspect, found) in both {
            if let Some((current, fault)) = found {
                let judged = Judged {
                    value: Some(current.as_amperes()),
                    source: SourceId::OhmsLaw,
                    ..plain(aspect, Verdict::Holds)
                };
                let at = other_of(fault, id);
                sink.put(id, Some(at), judged, Some(Because::Short(fault)));
            }
        }
    });
}

/// What tells of a thing through which a fault does not go off, or may not.
fn ends(burden: &FaultBurden) -> Option<Because> {
    let found = burden.stays.or(burden.not_known);
    found.map(|(fault, end)| Because::Ends(fault, end))
}

/// What is open only as long as nobody knows a bond.
fn guessed(sink: &mut Sink<'_>, thing: impl Into<Thing>, judged: Judged<Aspect>, bond: Thing) {
    let because = Because::Unknown(bond_missing(bond));
    sink.put(thing, Some(bond), judged, Some(because));
}

pub(super) fn conductors(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::LeadI2t;
    let withstands = Withstands::new(subject.design, subject.study);
    for (id, lead) in subject.design.all::<Conductor>() {
        if !subject.is_high(lead.from) {
            continue;
        }
        let Some(burden) = subject.faults.conductor(id) else {
            let unknown = subject.faults.doubt();
            let unknown = unknown.unwrap_or(Unknown::missing(id, Gap::Phase));
            sink.open(id, aspect, Because::Unknown(unknown));
            continue;
        };
        if burden.i2t.is_none() && burden.all_end() {
            unreached(subject, sink, id, aspect);
            continue;
        }
        let (judged, guess) = withstands.judge(subject.faults, id);
        let judged = renamed(&judged, aspect);
        if let Some(bond) = guess {
            guessed(sink, id, judged, bond);
            continue;
        }
        let because = match judged.verdict {
            Verdict::Open if judged.limit.is_none() => Some(stands_unknown(subject, id, lead)),
            _ => ends(&burden).or(burden.hardest.map(Because::Short)),
        };
        let (judged, because) = settle(subject, judged, because);
        sink.put(id, None, judged, because);
    }
}

/// Why it is not known what a conductor stands.
fn stands_unknown(subject: &Subject<'_>, id: ConductorId, lead: &Conductor) -> Because {
    let studied = subject.study.conductor(id);
    let unknown = studied.and_then(|studied| studied.warmest);
    Because::Unknown(match (unknown, lead.cable) {
        (Err(unknown), _) => unknown,
        (_, Some(part)) => Unknown::missing(part, Gap::TemperatureClass),
        (_, None) => Unknown::missing(id, Gap::CableType),
    })
}

pub(super) fn contactors(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (id, contactor) in subject.design.all::<Contactor>() {
        if !subject.is_high(contactor.from) {
            continue;
        }
        let aspects = [Aspect::ContactPeak, Aspect::ContactI2t];
        let part = subject.design.part(contactor.part);
        let (Some((part, kind)), Some(burden)) = (part, subject.faults.contactor(id)) else {
            let missing = Some(Unknown::missing(id, Gap::ContactorType));
            let unknown = part.map_or(missing, |_| subject.faults.doubt());
            let unknown = unknown.unwrap_or(Unknown::missing(id, Gap::Phase));
            sink.open(id, aspects[0], Because::Unknown(unknown));
            continue;
        };
        let none: Option<Current> = None;
        if burden.largest == none && burden.all_end() {
            unreached(subject, sink, id, aspects[0]);
            continue;
        }
        let (both, guess) = withstands_faults(kind, &burden);
        for (judged, aspect) in both.iter().zip(aspects) {
            let judged = renamed(judged, aspect);
            let bond = guess.filter(|_| aspect == Aspect::ContactI2t && judged.limit.is_some());
            if let Some(bond) = bond {
                guessed(sink, id, judged, bond);
                continue;
            }
            let because = match (judged.verdict, judged.limit) {
                (Verdict::Open, None) => Some(Because::NoLimit(part.into())),
                (Verdict::Open, Some(_)) => ends(&burden),
                _ if aspect == Aspect::ContactI2t => burden.hardest.map(Because::Short),
                _ => None,
            };
            let (judged, because) = settle(subject, judged, because);
            sink.put(id, None, judged, because);
        }
    }
}

/// Straps of boxes, and shields beside them: both carry what a first and a second fault to
/// chassis drive.
pub(super) fn bonds(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let Subject {
        design,
        study,
        faults,
        ..
    } = *subject;
    for (id, entry) in design.all::<Enclosure>() {
        let section = entry.bond.and_then(|bond| bond.section);
        let guard = judge_strap_of(design, study, faults, id);
        metal(subject, sink, id, Aspect::StrapSection, section, guard);
    }
    for (id, lead) in design.all::<Conductor>() {
        if !subject.is_high(lead.from) {
            continue;
        }
        let cable = lead.cable.and_then(|part| Some((part, design.get(part)?)));
        let missing = match cable {
            None => Unknown::missing(id, Gap::CableType),
            Some((part, cable)) if cable.shielded.is_none() => {
                Unknown::missing(part, Gap::Shielded)
            }
            Some((_, cable)) => {
                if cable.shielded == Some(true) {
                    let built = cable.braid.and_then(|build| braid(&build).ok());
                    let section = built.map(|built| built.strand_area);
                    let guard = judge_shield_of(design, study, faults, id);
                    metal(subject, sink, id, Aspect::ShieldSection, section, guard);
                }
                continue;
            }
        };
        sink.open(id, Aspect::ShieldSection, Because::Unknown(missing));
    }
}

/// A strap or shield by the section that it would have to have.
fn metal(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    thing: impl Into<Thing>,
    aspect: Aspect,
    section: Option<ConductorArea>,
    guard: Result<ChassisGuard, Error>,
) {
    let thing = thing.into();
    let guard = match guard {
        Ok(guard) => guard,
        Err(error) => return sink.open(thing, aspect, Because::Refused(error)),
    };
    let verdict = guard.judged.verdict;
    if verdict == Verdict::NotApplicable {
        return unreached(subject, sink, thing, aspect);
    }
    let section = section.map(ConductorArea::as_mm2);
    // What metal stands grows with the square of its section.
    let share = guard.judged.value.map(libm::sqrtf);
    let judged = Judged {
        name: aspect,
        value: section,
        limit: section.zip(share).map(|(section, root)| section * root),
        side: Side::AtLeast,
        verdict,
        source: guard.judged.source,
    };
    let datasheet = guard.worst.and_then(|(fuse, guard)| {
        let part = subject.design.get(fuse)?.part?;
        Some(Because::Datasheet(part.into(), guard.gap?))
    });
    let because = guard.fault.map(|(fault, end)| Because::Ends(fault, end));
    let because = because
        .or(guard.because.map(Because::Unknown))
        .or(datasheet);
    let at = guard.worst.map(|(fuse, _)| fuse.into());
    let (judged, because) = settle(subject, judged, because);
    sink.put(thing, at, judged, because);
}
