//! What the controller allows to last, where that is more than what the duties ask for.

use super::aspect::Aspect;
use super::conductor;
use super::finding::Because;
use super::subject::{Check, Sink, Subject};
use crate::design::{Conductor, ConductorId, Gap, Thing};
use crate::quantity::Current;
use crate::standard::SourceId;
use crate::study::{
    Known, Operation, Unknown, allowed_to_last, lasting, settled_at, terminal_limit,
};
use crate::verdict::{Judged, Side, Verdict};

/// The lasting current that the controller allows through something, A; `None` where the
/// duties ask for no less, which is judged by itself.
pub(super) fn beyond_duties(
    subject: &Subject<'_>,
    thing: impl Into<Thing>,
    found: Known<(Operation, Current)>,
) -> Option<Current> {
    let allowed = allowed_to_last(subject.design, subject.study, thing.into())?;
    let less = found.map_or(true, |(_, lasting)| {
        libm::fabsf(lasting.as_amperes()) < allowed.as_amperes()
    });
    less.then_some(allowed)
}

/// Holds it against what a contactor or a service disconnect carries for ever.
pub(super) fn carried(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    thing: Thing,
    found: Known<(Operation, Current)>,
    (carry, stated_in): (Option<Current>, Thing),
) {
    let Some(allowed) = beyond_duties(subject, thing, found) else {
        return;
    };
    let check = Check {
        aspect: Aspect::ContactAllowed,
        value: Ok(allowed.as_amperes()),
        side: Side::AtMost,
        limit: carry.map(Current::as_amperes),
        stated_in,
        source: SourceId::Entered,
    };
    let (judged, because) = check.judge();
    sink.put(thing, Some(Thing::CONTROLLER), judged, because);
}

/// Each end of a conductor with what the controller allows to last, as with the duties.
pub(super) fn terminals(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    conductor::terminals(subject, sink);
    for (id, lead) in subject.design.all::<Conductor>() {
        // What comes of the duties is dear, and so is this.
        if !sink.wants(id, Aspect::TerminalAllowed) || !subject.is_high(lead.from) {
            continue;
        }
        let found = lasting(subject.design, &subject.study.points, id.into());
        if let Some(allowed) = beyond_duties(subject, id, found) {
            ends(subject, sink, (id, lead), allowed);
        }
    }
}

fn ends(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    (id, lead): (ConductorId, &Conductor),
    allowed: Current,
) {
    let (aspect, source) = (Aspect::TerminalAllowed, SourceId::FinEquation);
    let settled = match settled_at(subject.design, id, allowed, None) {
        Ok(settled) => settled,
        Err(unknown) => return sink.open(id, aspect, Because::Unknown(unknown)),
    };
    let at = [lead.from, lead.to];
    for ((end, terminal), degc) in lead.ends.iter().zip(at).zip(settled.ends) {
        let limit = terminal_limit(subject.design, terminal, [end]);
        let limit = limit.map(|(limit, _)| limit.as_degc());
        let (mut judged, mut because) = match (degc, limit) {
            (_, None) => (
                Judged::open(aspect, degc, Side::AtMost, None, source),
                Some(Unknown::missing(terminal, Gap::TerminalLimit)),
            ),
            (None, limit) => (
                Judged::failed_without_value(aspect, Side::AtMost, limit, source),
                None,
            ),
            (Some(degc), Some(limit)) => (
                Judged::compare(aspect, degc, Side::AtMost, limit, source),
                None,
            ),
        };
        // The heat of a joint that nobody states is not in the value.
        if judged.verdict == Verdict::Holds && end.joint.is_none() {
            judged.verdict = Verdict::Open;
            because = Some(Unknown::missing(id, Gap::Joint));
        }
        sink.put(
            id,
            Some(terminal.into()),
            judged,
            because.map(Because::Unknown),
        );
    }
}
