//! Rules about contactors.

use super::allowed;
use super::aspect::Aspect;
use super::finding::Because;
use super::fuse::lasting;
use super::subject::{Check, Sink, Subject, air_missing, plain, renamed, why};
use super::topology::{alive_with_contactors_open, battery_at, with_contactors_open};
use crate::design::{
    Arrow, Contactor, ContactorId, ContactorType, ContactorTypeId, Gap, Load, LoadId, Phase,
    ServiceDisconnect, TerminalId, Thing,
};
use crate::protection::{
    Carrying, judge_break, judge_carry, judge_contactor_altitude, judge_contactor_voltage,
};
use crate::quantity::Current;
use crate::standard::SourceId;
use crate::study::{Unknown, opened};
use crate::verdict::{Side, Verdict};

/// Every contactor of the high-voltage side with its type; one without is open.
pub(super) fn each(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    aspect: Aspect,
    mut of: impl FnMut(&mut Sink<'_>, ContactorId, &Contactor, ContactorTypeId, &ContactorType),
) {
    let design = subject.design;
    for (id, contactor) in design.all::<Contactor>() {
        if !subject.is_high(contactor.from) {
            continue;
        }
        match design.part(contactor.part) {
            Some((part, kind)) => of(sink, id, contactor, part, kind),
            None => {
                let because = Because::Unknown(Unknown::missing(id, Gap::ContactorType));
                sink.open(id, aspect, because);
            }
        }
    }
}

/// With every contactor open no end of a string may lead to a load.
pub(super) fn both_poles(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let metal = alive_with_contactors_open(subject.design);
    let aspect = Aspect::PoleOpen;
    for string in &subject.strings.strings {
        let Some(first) = string.batteries.iter().next() else {
            continue;
        };
        for end in [string.positive, string.negative] {
            let reached = subject.design.all::<Load>().find(|(_, load)| {
                metal.together(load.positive, end) || metal.together(load.negative, end)
            });
            match reached {
                Some((load, _)) => {
                    let judged = plain(aspect, Verdict::Fails);
                    sink.put(end, Some(load.into()), judged, None);
                }
                None => {
                    let judged = plain(aspect, Verdict::Holds);
                    sink.put(end, Some(first.into()), judged, None);
                }
            }
        }
    }
}

/// With every contactor open no pole of a direct-current inlet may lead to a battery, nor in
/// a phase in which nothing is plugged in: it delivers nothing then.
pub(super) fn inlet(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    let metal = with_contactors_open(design);
    for (id, load) in subject.charging_sources() {
        // A charger with alternating current on its other side has no pins here.
        if load.alternating == Some(true) {
            continue;
        }
        for end in [load.positive, load.negative] {
            let switched = behind_contactor(subject, &metal, end, id.into());
            let verdict = if switched {
                Verdict::Holds
            } else {
                Verdict::Fails
            };
            let judged = plain(Aspect::PoleOpen, verdict);
            sink.put(id, Some(end.into()), judged, None);
        }
        joined_in_phases(subject, sink, (id, load));
    }
}

/// A phase that joins an inlet to a battery and lets it deliver nothing.
fn joined_in_phases(subject: &Subject<'_>, sink: &mut Sink<'_>, (id, load): (LoadId, &Load)) {
    let (design, points) = (subject.design, &subject.study.points);
    for (phase, entry) in design.all::<Phase>() {
        // Where nobody knows what flows, the phase itself is told.
        let delivers = points
            .current(phase, id)
            .is_none_or(|current| current.as_amperes() < 0.0);
        if delivers {
            continue;
        }
        let metal = design.metal(|thing| match thing.id() {
            Some(contactor) => entry.closed.contains(contactor),
            None => true,
        });
        let live = |end| battery_at(design, &metal, end).is_some();
        if live(load.positive) || live(load.negative) {
            let judged = plain(Aspect::PinsLive, Verdict::Fails);
            sink.put(id, Some(phase.into()), judged, None);
        }
    }
}

/// Whether nothing but contactors leads on from here: no battery and no other load.
fn behind_contactor(
    subject: &Subject<'_>,
    metal: &crate::design::Joined,
    end: TerminalId,
    own: Thing,
) -> bool {
    use crate::design::{Kind, carries};
    let mut others = subject.design.drawn().filter(|drawn| {
        !carries(drawn.thing.kind) && drawn.thing != own && drawn.thing.kind != Kind::Converter
    });
    others.all(|drawn| !metal.together(drawn.from, end) && !metal.together(drawn.to, end))
}

pub(super) fn carry(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::ContactCarry;
    each(subject, sink, aspect, |sink, id, contactor, part, kind| {
        let found = lasting(subject, id);
        let design = subject.design;
        let place = design.box_of(contactor.enclosure, contactor.from);
        let air = design.air_in(place);
        let carrying = Carrying {
            lasting: found.ok().map(|(_, current)| current),
            air,
            section: crate::study::section_at(subject.design, contactor),
        };
        let [current, around, section] = judge_carry(kind, &carrying);
        let at = found.ok().map(|(operation, _)| operation.into());
        let because = why(&current, found.err(), part.into());
        sink.put(id, at, renamed(&current, aspect), because);
        let rating = (kind.carry, part.into());
        allowed::carried(subject, sink, id.into(), found, rating);
        let no_air = air.is_none().then(|| air_missing(design, id, place));
        let because = why(&around, no_air, part.into());
        sink.put(id, None, renamed(&around, Aspect::ContactAir), because);
        // On bars that nobody states it is not known what takes the heat out of it.
        let no_section = carrying
            .section
            .is_none()
            .then(|| Unknown::missing(id, Gap::ContactorSection));
        let because = why(&section, no_section, part.into());
        sink.put(id, None, renamed(&section, Aspect::ContactSection), because);
    });
    disconnects_carry(subject, sink);
}

/// A service disconnect carries the same currents with contacts of its own.
fn disconnects_carry(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (id, one) in subject.design.all::<ServiceDisconnect>() {
        if !subject.is_high(one.from) {
            continue;
        }
        let found = lasting(subject, id);
        let value = found.map(|(_, current)| libm::fabsf(current.as_amperes()));
        let check = Check {
            aspect: Aspect::ContactCarry,
            value,
            side: Side::AtMost,
            limit: one.carry.map(Current::as_amperes),
            stated_in: id.into(),
            source: SourceId::Entered,
        };
        let (judged, because) = check.judge();
        let at = found.ok().map(|(operation, _)| operation.into());
        sink.put(id, at, judged, because);
        allowed::carried(subject, sink, id.into(), found, (one.carry, id.into()));
    }
}

/// Judges opening in the direction of the larger current, or in the other.
fn breaking(subject: &Subject<'_>, sink: &mut Sink<'_>, main: bool) {
    let aspect = Aspect::ContactBreak;
    each(subject, sink, aspect, |sink, id, contactor, part, kind| {
        let study = subject.study;
        let found = opened(subject.design, study, id);
        let (opened, along_is_main) = match found {
            Ok(found) => found,
            Err(unknown) => return sink.open(id, aspect, Because::Unknown(unknown)),
        };
        let highest = subject.highest();
        let [along, against] = judge_break(kind, contactor.arrow, highest.ok(), &opened);
        let judged = if along_is_main == main {
            along
        } else {
            against
        };
        let because = match (judged.verdict, highest) {
            (Verdict::Open, Err(unknown)) => Some(Because::Unknown(unknown)),
            _ => why(&judged, None, part.into()),
        };
        sink.put(id, None, renamed(&judged, aspect), because);
    });
}

pub(super) fn main_break(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    breaking(subject, sink, true);
}

/// The arrow of a polarised part, and what flows the other way.
pub(super) fn direction(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    each(
        subject,
        sink,
        Aspect::Arrow,
        |sink, id, contactor, part, kind| {
            let (verdict, because) = match (kind.polarised, contactor.arrow) {
                (Some(false), _) => (Verdict::NotApplicable, None),
                (Some(true) | None, Some(Arrow::Along | Arrow::Against))
                | (None, Some(Arrow::Without)) => (Verdict::Holds, None),
                (Some(true), Some(Arrow::Without)) => (Verdict::Fails, None),
                (Some(true), None) => (Verdict::Open, Some(Because::NoValue(id.into()))),
                (None, None) => (Verdict::Open, Some(Because::NoValue(part.into()))),
            };
            sink.put(id, None, plain(Aspect::Arrow, verdict), because);
        },
    );
    breaking(subject, sink, false);
}

pub(super) fn voltage(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::ContactVoltage;
    each(subject, sink, aspect, |sink, id, _, part, kind| {
        let highest = subject.rated();
        let judged = judge_contactor_voltage(kind, highest.ok());
        let because = why(&judged, highest.err(), part.into());
        sink.put(id, None, renamed(&judged, aspect), because);
        let altitude = subject.design.vehicle.altitude;
        let judged = judge_contactor_altitude(kind, altitude);
        let missing = Unknown::Missing(Thing::VEHICLE, Gap::Altitude);
        let because = why(&judged, altitude.is_none().then_some(missing), part.into());
        sink.put(id, None, renamed(&judged, Aspect::ContactAltitude), because);
    });
}

/// What each contactor closes on.
pub(super) fn make(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.makes {
        sink.checked(one.contactor, one.with, Aspect::ContactMake, &one.check);
    }
}
