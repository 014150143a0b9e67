//! What a string carries against what its cells allow and what the controller trips at.

use super::aspect::Aspect;
use super::pack;
use super::subject::{Sink, Subject};
use crate::design::{BatteryId, PhaseId};
use crate::quantity::Current;
use crate::standard::SourceId;
use crate::study::{Known, StringStudy};
use crate::verdict::{Judged, Side};

/// The currents of every string.
pub(super) fn string_current(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    pack::string_current(subject, sink);
    let Some(trip) = subject.design.controller.trip_current else {
        return;
    };
    for string in &subject.study.strings {
        let first: Option<BatteryId> = string.string.batteries.iter().next();
        // What is not known of its currents is told beside it.
        let (Some(first), Ok((phase, amperes))) = (first, largest(string)) else {
            continue;
        };
        let (aspect, limit) = (Aspect::StringTrip, trip.as_amperes());
        let judged = Judged::compare(aspect, amperes, Side::AtMost, limit, SourceId::Entered);
        sink.put(first, Some(phase.into()), judged, None);
    }
}

/// The larger current of both directions, with its phase, A.
pub(super) fn largest(string: &StringStudy) -> Known<(PhaseId, f32)> {
    let amperes = |(phase, current): (PhaseId, Current)| (phase, current.as_amperes());
    let (out, into) = (string.discharge.map(amperes)?, string.charge.map(amperes)?);
    Ok(if into.1 > out.1 { into } else { out })
}
