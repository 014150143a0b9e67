//! Rules about what happens step by step: precharge and discharge of the link.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Sink, Subject};
use crate::design::{Measured, Reading, ReadingId, Thing};
use crate::link::{DischargeCheck, PrechargeCheck};
use crate::quantity::Time;
use crate::study::Checked;
use crate::study::sequence::DischargeStudy;
use crate::verdict::{Judged, Side, Verdict};

/// One check of every precharge resistor.
fn precharge(subject: &Subject<'_>, sink: &mut Sink<'_>, name: PrechargeCheck, aspect: Aspect) {
    for one in &subject.study.sequences.precharges {
        let main = one
            .path
            .as_ref()
            .ok()
            .and_then(|path| path.mains.iter().next());
        let at = match name {
            PrechargeCheck::Inrush => main.map(Into::into),
            _ => None,
        };
        sink.checked(one.resistor, at, aspect, one.check(name));
    }
}

pub(super) fn energy(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    precharge(
        subject,
        sink,
        PrechargeCheck::TryEnergy,
        Aspect::PrechargeTry,
    );
    precharge(
        subject,
        sink,
        PrechargeCheck::SeriesEnergy,
        Aspect::PrechargeSeries,
    );
}

pub(super) fn peak(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    precharge(
        subject,
        sink,
        PrechargeCheck::PeakCurrent,
        Aspect::PrechargePeakCurrent,
    );
    precharge(
        subject,
        sink,
        PrechargeCheck::PeakPower,
        Aspect::PrechargePeakPower,
    );
}

pub(super) fn stuck(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    precharge(subject, sink, PrechargeCheck::Stuck, Aspect::PrechargeStuck);
}

pub(super) fn time(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    precharge(subject, sink, PrechargeCheck::Time, Aspect::PrechargeTime);
}

/// The loads that draw meanwhile are what keeps the link down: the first is named.
pub(super) fn standing_load(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.precharges {
        let at = one.standing.iter().next().map(Into::into);
        let check = one.check(PrechargeCheck::Settles);
        sink.checked(one.resistor, at, Aspect::PrechargeSettles, check);
    }
}

pub(super) fn threshold(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    precharge(subject, sink, PrechargeCheck::Inrush, Aspect::ContactMake);
}

/// Every load of the high-voltage side with a capacitor.
pub(super) fn all_paths(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.reached {
        let at = one.through.map(Into::into);
        sink.checked(one.load, at, Aspect::PrechargePath, &one.check);
    }
}

/// The first load of a link stands for it.
fn named(one: &DischargeStudy) -> Thing {
    one.loads.iter().next().map_or(Thing::VEHICLE, Into::into)
}

/// The time that counts of those that were read of how a link loses its charge, wherever on
/// it, at the longer end of its accuracy.
pub(super) fn discharge_reading(
    subject: &Subject<'_>,
    one: &DischargeStudy,
) -> Option<(Thing, ReadingId, Reading, f32)> {
    let read = |reading: &Reading| match reading.measured {
        Measured::Discharge(time) => Some(time.as_seconds()),
        _ => None,
    };
    let mut found: Option<(Thing, ReadingId, Reading, f32)> = None;
    for thing in things_of(one) {
        let Some((id, reading, seconds)) = subject.design.latest_reading(thing, read) else {
            continue;
        };
        let longest = subject.design.worse_end(&reading, seconds, Side::AtMost);
        if found
            .as_ref()
            .is_none_or(|(_, _, known, _)| subject.design.replaces(&reading, known))
        {
            found = Some((thing, id, reading, longest));
        }
    }
    found
}

/// Where a discharge is read: at the loads of its link and at the resistors across it.
pub(super) fn things_of(one: &DischargeStudy) -> impl Iterator<Item = Thing> {
    let loads = one.loads.iter().map(Thing::from);
    let resistors = one.bleeds.iter().chain(one.active).map(Thing::from);
    loads.chain(resistors)
}

/// A time that was computed, or the one that was read where that is longer.
fn longer(
    sink: &mut Sink<'_>,
    (thing, at): (Thing, Option<Thing>),
    aspect: Aspect,
    check: &Checked<DischargeCheck>,
    read: Option<(Thing, ReadingId, Reading, f32)>,
) {
    let judged = &check.judged;
    if let (Some(value), Some(limit), Some((_, id, _, seconds))) =
        (judged.value, judged.limit, read)
        && seconds > value
    {
        let judged = Judged::compare(aspect, seconds, Side::AtMost, limit, judged.source);
        // What is open does not hold for having been read once.
        if check.verdict() != Verdict::Open || judged.verdict == Verdict::Fails {
            return sink.put(thing, at, judged, Some(Because::Read(id)));
        }
    }
    sink.checked(thing, at, aspect, check);
}

pub(super) fn passive(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.discharges {
        let at = one.label.map(|(enclosure, _)| enclosure.into());
        let check = one.check(DischargeCheck::Label);
        let read = discharge_reading(subject, one).filter(|_| one.active.is_none());
        longer(sink, (named(one), at), Aspect::DischargeLabel, check, read);
    }
}

pub(super) fn active(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.discharges {
        let at = one.active.or(one.bleeds.iter().next()).map(Into::into);
        let check = one.check(DischargeCheck::Time);
        let read = discharge_reading(subject, one);
        longer(sink, (named(one), at), Aspect::DischargeTime, check, read);
        if let Some(active) = one.active {
            let check = one.check(DischargeCheck::ActiveEnergy);
            sink.checked(active, None, Aspect::DischargeEnergy, check);
        }
    }
}

/// What is switched on stands a welded contactor; what is always on stands the battery.
pub(super) fn against_weld(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.discharges {
        let held = one.held.ok().flatten();
        if let Some(active) = one.active {
            let check = one.check(DischargeCheck::Welded);
            // Its time-out may be longer than any phase holds it.
            let longest = held.filter(|held| held.time.map(Time::as_seconds) == check.judged.value);
            let at = longest.map(|held| held.operation.into());
            sink.checked(active, at, Aspect::DischargeWelded, check);
        }
        if let Some((bleed, check)) = &one.bleed_power {
            let at = held.filter(|_| !one.bleeds.contains(*bleed));
            let at = at.map(|held| held.operation.into());
            sink.checked(*bleed, at, Aspect::BleedPower, check);
        }
    }
}
