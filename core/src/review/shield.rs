//! Rules about shields.

use super::aspect::Aspect;
use super::evidence::{gap, readings_at};
use super::finding::{Because, EvidenceGap};
use super::subject::{Sink, Subject, renamed};
use crate::design::{Conductor, ConductorId, Measured, ReadingId, Thing, WhichEnd};
use crate::quantity::{Length, Resistance};
use crate::shield::{ShieldNeed, braid};
use crate::standard::SourceId;
use crate::study::insulation::CircuitInsulation;
use crate::verdict::{Judged, Side, Verdict};

/// What contacts of a shield may add to its own resistance; common practice.
const CONTACTS_OHM: f32 = 0.01;

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

pub(super) fn needed(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    each(subject, |id, _, found| {
        if found.need != ShieldNeed::MayBeUnshielded {
            sink.checked(id, None, Aspect::ShieldPresent, &found.shield);
        }
    });
}

/// A reading at an end of a conductor, the last one that was written down.
fn cut_back_reading(
    subject: &Subject<'_>,
    id: ConductorId,
    end: WhichEnd,
) -> Option<(ReadingId, Option<EvidenceGap>)> {
    let readings = readings_at(subject, id.into());
    let (reading, entry) = readings
        .filter(|(_, one)| one.end == Some(end) && matches!(one.measured, Measured::CutBack(_)))
        .last()?;
    Some((reading, gap(subject.design, entry.signature, true)))
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
        let readings = readings_at(subject, Thing::from(id));
        let read = readings
            .filter_map(|(reading, one)| match one.measured {
                Measured::Shield(ohms) => Some((reading, one.signature, ohms)),
                _ => None,
            })
            .last();
        let source = SourceId::CommonPractice;
        let open = |value| Judged::open(aspect, value, Side::AtMost, own, source);
        let (judged, because) = match (read, own) {
            (None, _) => (open(None), Because::Evidence(EvidenceGap::NoReading)),
            (Some((_, _, ohms)), None) => (
                open(Some(ohms.as_ohms())),
                Because::NoLimit(lead.cable.map_or(id.into(), Into::into)),
            ),
            (Some((reading, signature, ohms)), Some(limit)) => {
                let value = Resistance::as_ohms(ohms);
                let judged = Judged::compare(aspect, value, Side::AtMost, limit, source);
                match (judged.verdict, gap(design, signature, true)) {
                    (Verdict::Holds, Some(gap)) => (open(Some(value)), Because::Evidence(gap)),
                    _ => (judged, Because::Read(reading)),
                }
            }
        };
        sink.put(id, None, judged, Some(because));
    });
}
