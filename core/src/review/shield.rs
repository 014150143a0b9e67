//! Rules about shields.

use super::aspect::Aspect;
use super::evidence::gap;
use super::finding::{Because, EvidenceGap};
use super::measured::{SHOWS_NOTHING, unread};
use super::subject::{Sink, Subject, renamed};
use crate::design::{Conductor, ConductorId, Measured, Reading, ReadingId, WhichEnd};
use crate::quantity::Length;
use crate::shield::braid;
use crate::standard::SourceId;
use crate::study::insulation::CircuitInsulation;
use crate::verdict::{Judged, Side, Verdict};

/// What contacts of a shield may add to its own resistance; common practice.
pub(super) const CONTACTS_OHM: f32 = 0.01;

fn each(subject: &Subject<'_>, mut of: impl FnMut(ConductorId, &Conductor, &CircuitInsulation)) {
    for id in subject.insulation.circuits() {
        let found = subject.insulation.circuit(subject.design, id, None);
        if let (Some(lead), Some(found)) = (subject.design.get(id), found) {
            of(id, lead, &found);
        }
    }
}

pub(super) fn ends(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    each(subject, |id, lead, found| {
        for (end, checked) in [lead.from, lead.to].into_iter().zip(&found.ends) {
            if checked.verdict() != Verdict::NotApplicable {
                sink.checked(id, Some(end.into()), Aspect::Pigtail, checked);
            }
        }
    });
}

/// A shield, or the distance to low-voltage wiring where that alone makes one needless.
pub(super) fn needed(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    each(subject, |id, _, found| match found.distance.verdict() {
        Verdict::NotApplicable => sink.checked(id, None, Aspect::ShieldPresent, &found.shield),
        _ => sink.checked(id, None, Aspect::LowVoltageDistance, &found.distance),
    });
}

/// The latest reading at an end of a conductor.
fn cut_back_reading(
    subject: &Subject<'_>,
    id: ConductorId,
    end: WhichEnd,
) -> Option<(ReadingId, Option<EvidenceGap>)> {
    let of_end = |one: &Reading| any_cut_back(one).filter(|()| one.end == Some(end));
    let (reading, entry, ()) = subject.design.latest_reading(id.into(), of_end)?;
    Some((reading, gap(subject.design, entry.signature, true)))
}

fn any_cut_back(reading: &Reading) -> Option<()> {
    matches!(reading.measured, Measured::CutBack(_)).then_some(())
}

pub(super) fn cut_back(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    each(subject, |id, lead, found| {
        let ends = [(lead.from, WhichEnd::From), (lead.to, WhichEnd::To)];
        for ((end, which), checked) in ends.into_iter().zip(&found.cut_backs) {
            if checked.verdict() == Verdict::NotApplicable {
                continue;
            }
            let mut judged = renamed(&checked.judged, Aspect::CutBack);
            let mut because = checked.because.map(Because::Unknown);
            match cut_back_reading(subject, id, which) {
                Some((_, Some(gap))) if judged.verdict == Verdict::Holds => {
                    judged.verdict = Verdict::Open;
                    because = Some(Because::Evidence(gap));
                }
                Some((reading, _)) if because.is_none() => because = Some(Because::Read(reading)),
                None if unread(subject.design, id, any_cut_back) == EvidenceGap::NoEnd => {
                    because = Some(Because::Evidence(EvidenceGap::NoEnd));
                }
                _ => {}
            }
            sink.put(id, Some(end.into()), judged, because);
        }
    });
}

pub(super) fn continuity(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::ShieldResistance, subject.design);
    each(subject, |id, lead, _| {
        let Some(cable) = lead.cable.and_then(|cable| design.get(cable)) else {
            return;
        };
        if cable.shielded != Some(true) {
            return;
        }
        let own = cable.braid.and_then(|build| {
            let metre = braid(&build).ok()?.resistance.as_ohm_per_m();
            let length = design.length(lead).ok().flatten().map(Length::as_metres)?;
            Some(2.0 * metre * length + CONTACTS_OHM)
        });
        let read = design.latest_reading(id.into(), |one| match one.measured {
            Measured::Shield(ohms) => Some(ohms),
            _ => None,
        });
        let source = SourceId::CommonPractice;
        let open = |value| Judged::open(aspect, value, Side::AtMost, own, source);
        let (judged, because) = match (read, own) {
            (None, _) => (open(None), Because::Evidence(EvidenceGap::NoReading)),
            (Some((.., ohms)), None) => (
                open(Some(ohms.as_ohms())),
                Because::NoLimit(lead.cable.map_or(id.into(), Into::into)),
            ),
            (Some((.., ohms)), Some(_)) if ohms.as_ohms() <= 0.0 => (open(None), SHOWS_NOTHING),
            (Some((reading, entry, ohms)), Some(limit)) => {
                let value = design.worse_end(&entry, ohms.as_ohms(), Side::AtMost);
                let judged = Judged::compare(aspect, value, Side::AtMost, limit, source);
                match (judged.verdict, gap(design, entry.signature, true)) {
                    (Verdict::Holds, Some(gap)) => (open(Some(value)), Because::Evidence(gap)),
                    _ => (judged, Because::Read(reading)),
                }
            }
        };
        sink.put(id, None, judged, Some(because));
    });
}
