//! The rule about the pollution degree inside of boxes.

use super::aspect::Aspect;
use super::attested;
use super::rule::Scope;
use super::subject::{Sink, Subject};
use crate::design::Enclosure;
use crate::standard::SourceId;
use crate::standard::iec60664::PollutionDegree;
use crate::study::insulation::least_pollution;
use crate::verdict::{Judged, Side, Verdict};

/// Somebody looked at what keeps it, and that can keep what is stated.
pub(super) fn by_box(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    attested::judge(subject, Scope::Boxes, sink);
    for found in &subject.insulation.boxes {
        let entry: Option<&Enclosure> = subject.design.get(found.enclosure);
        let stated = entry.and_then(|entry| entry.pollution);
        let least = entry.and_then(|entry| least_pollution(subject.design, entry));
        let (Some(stated), Some(least)) = (stated.map(number), least.map(number)) else {
            continue;
        };
        let (aspect, source) = (Aspect::PollutionKept, SourceId::CommonPractice);
        let judged = Judged::compare(aspect, stated, Side::AtLeast, least, source);
        if judged.verdict == Verdict::Fails {
            sink.put(found.enclosure, None, judged, None);
        }
    }
}

const fn number(degree: PollutionDegree) -> f32 {
    match degree {
        PollutionDegree::One => 1.0,
        PollutionDegree::Two => 2.0,
        PollutionDegree::Three => 3.0,
        PollutionDegree::Four => 4.0,
    }
}
