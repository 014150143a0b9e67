//! Rules about fuses.

use super::allowed::beyond_duties;
use super::aspect::Aspect;
use super::finding::Because;
use super::short_circuit::settle;
use super::subject::{Check, Sink, Subject, air_missing, plain, renamed, why};
use super::topology::fuse_before_junction;
use crate::design::{
    Battery, Conductor, ConductorId, Contactor, Design, Fuse, FuseId, FuseType, FuseTypeId, Gap,
    Load, Role, System, Thing,
};
use crate::protection::{
    CURVE_TOLERANCE, FuseCheck, FusePlace, Pulse, REPEATED_PULSE, judge_continuous, judge_pulse,
};
use crate::quantity::{Current, Voltage};
use crate::standard::SourceId;
use crate::study::{Known, Operation, Unknown, takes_over};
use crate::verdict::{Judged, Side, Verdict};

/// Every fuse with its type; one without is open.
fn each(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    aspect: Aspect,
    mut of: impl FnMut(&mut Sink<'_>, FuseId, &Fuse, FuseTypeId, &FuseType),
) {
    let design = subject.design;
    for (id, fuse) in design.all::<Fuse>() {
        match design.part(fuse.part) {
            Some((part, kind)) => of(sink, id, fuse, part, kind),
            None => {
                let because = Because::Unknown(Unknown::missing(id, Gap::FuseType));
                sink.open(id, aspect, because);
            }
        }
    }
}

pub(super) fn voltage(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::FuseVoltage;
    let low = subject.design.low_voltage_highest();
    each(subject, sink, aspect, |sink, id, fuse, part, kind| {
        let value = if subject.systems.of(fuse.from) == Some(System::LowVoltage) {
            low.ok_or(Unknown::Missing(Thing::VEHICLE, Gap::OutputVoltage))
        } else {
            subject.rated()
        };
        sink.against(
            id,
            Check {
                aspect,
                value: value.map(Voltage::as_volts),
                side: Side::AtMost,
                limit: kind.voltage.map(Voltage::as_volts),
                stated_in: part.into(),
                source: SourceId::Entered,
            },
        );
    });
}

/// Lasting current of a fuse or contactor, and of which operation, as in the study.
pub(super) fn lasting(
    subject: &Subject<'_>,
    thing: impl Into<Thing>,
) -> Known<(Operation, Current)> {
    crate::study::lasting(subject.design, &subject.study.points, thing.into())
}

fn place(subject: &Subject<'_>, fuse: Fuse) -> FusePlace {
    let design = subject.design;
    FusePlace {
        air: design.air_in(design.box_of(fuse.enclosure, fuse.from)),
        altitude: design.vehicle.altitude,
    }
}

/// What keeps it from being known what a fuse carries in its place.
fn share_unknown(
    subject: &Subject<'_>,
    id: FuseId,
    (part, kind): (FuseTypeId, &FuseType),
    place: &FusePlace,
) -> Unknown {
    if kind.rated.is_none() {
        Unknown::missing(part, Gap::FuseRated)
    } else if place.air.is_none() {
        let fuse = subject.design.get(id);
        let place = fuse.and_then(|fuse: &Fuse| subject.design.box_of(fuse.enclosure, fuse.from));
        air_missing(subject.design, id, place)
    } else if kind.holder.is_none() {
        Unknown::missing(part, Gap::FuseHolder)
    } else if place.altitude.is_none() {
        Unknown::Missing(Thing::VEHICLE, Gap::Altitude)
    } else {
        Unknown::missing(part, Gap::FuseDerating)
    }
}

pub(super) fn carry(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::FuseCarry;
    each(subject, sink, aspect, |sink, id, fuse, part, kind| {
        let place = place(subject, *fuse);
        let missing = |found: Option<Unknown>| {
            found.unwrap_or(share_unknown(subject, id, (part, kind), &place))
        };
        let mut put = |aspect, at, current, unknown| {
            let judged = match judge_continuous(kind, &place, current) {
                Ok(judged) => judged,
                Err(error) => return sink.open(id, aspect, Because::Refused(error)),
            };
            let open = judged.verdict == Verdict::Open;
            let because = open.then_some(Because::Unknown(missing(unknown)));
            sink.put(id, at, renamed(&judged, aspect), because);
        };
        let found = lasting(subject, id);
        let at = found.ok().map(|(operation, _)| operation.into());
        let current = found.ok().map(|(_, current)| current);
        put(aspect, at, current, found.err());
        if let Some(allowed) = beyond_duties(subject, id, found) {
            let at = Some(Thing::CONTROLLER);
            put(Aspect::FuseAllowed, at, Some(allowed), None);
        }
    });
}

/// The worst pulse of all duties, held against the melting curve. A step that is no
/// larger than the lasting current is no pulse: that is judged by fuse-continuous.
pub(super) fn pulses(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::FusePulse;
    each(subject, sink, aspect, |sink, id, fuse, part, kind| {
        let place = place(subject, *fuse);
        let lasting = lasting(subject, id).ok();
        let lasting = lasting.map(|(_, current)| magnitude(current));
        let mut worst: Option<(Thing, Judged<FuseCheck>)> = None;
        for operation in subject.design.operations() {
            // What lasts for ever is judged by fuse-continuous.
            let Operation::Duty(duty) = operation else {
                continue;
            };
            let steps = match subject.study.points.steps(subject.design, operation, id) {
                Ok(steps) => steps,
                Err(unknown) => return sink.open(id, aspect, Because::Unknown(unknown)),
            };
            for step in &steps {
                if lasting.is_some_and(|lasting| magnitude(step.current) <= lasting) {
                    continue;
                }
                let pulse = Pulse {
                    current: step.current,
                    duration: step.duration,
                };
                let judged = judge_pulse(kind, &place, pulse, REPEATED_PULSE, CURVE_TOLERANCE);
                let judged = match judged {
                    Ok(judged) => judged,
                    Err(error) => return sink.open(id, aspect, Because::Refused(error)),
                };
                if worst.is_none_or(|(_, known)| worse(&judged, &known)) {
                    worst = Some((duty.into(), judged));
                }
            }
        }
        if let Some((duty, judged)) = worst {
            let missing = Unknown::missing(part, Gap::FuseCurve);
            let because = why(&judged, Some(missing), part.into());
            sink.put(id, Some(duty), renamed(&judged, aspect), because);
        }
    });
}

fn magnitude(current: Current) -> f32 {
    libm::fabsf(current.as_amperes())
}

/// The worse verdict, then the smaller share of the limit that is left.
fn worse(one: &Judged<FuseCheck>, other: &Judged<FuseCheck>) -> bool {
    if one.verdict != other.verdict {
        return one.verdict.worse(other.verdict) == one.verdict;
    }
    let used = |judged: &Judged<FuseCheck>| match (judged.value, judged.limit) {
        (Some(value), Some(limit)) if limit > 0.0 => value / limit,
        (Some(value), _) => value,
        _ => 0.0,
    };
    used(one) > used(other)
}

/// Every string has a fuse of its own before anything else joins it.
pub(super) fn per_string(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for string in &subject.strings.strings {
        let Some(first) = string.batteries.iter().next() else {
            continue;
        };
        let fused = string.batteries.iter().find_map(|id| {
            let battery: &Battery = subject.design.get(id)?;
            [battery.positive, battery.negative]
                .into_iter()
                .find_map(|end| fuse_before_junction(subject, end, id.into()))
        });
        own_fuse(first.into(), fused, sink);
    }
}

fn own_fuse(thing: Thing, fuse: Option<FuseId>, sink: &mut Sink<'_>) {
    let verdict = if fuse.is_some() {
        Verdict::Holds
    } else {
        Verdict::Fails
    };
    let judged = plain(Aspect::FuseInSeries, verdict);
    sink.put(thing, fuse.map(Into::into), judged, None);
}

/// Every load but a drive has a fuse of its own.
pub(super) fn auxiliaries(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (id, load) in subject.design.all::<Load>() {
        if load.role == Role::Drive || !subject.is_high(load.positive) {
            continue;
        }
        let fuse = [load.positive, load.negative]
            .into_iter()
            .find_map(|end| fuse_before_junction(subject, end, id.into()));
        own_fuse(id.into(), fuse, sink);
    }
}

/// A limit that keeps a lasting overload off the conductors in series with each fuse.
pub(super) fn overload_owner(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::OverloadOwner;
    each(subject, sink, aspect, |sink, id, _, part, kind| {
        if sink.wants(id, aspect) {
            let found = crate::study::overload_owner(subject.design, subject.study, id, kind);
            match found {
                Ok((lead, judged)) => {
                    let because = why(&judged, None, part.into());
                    sink.put(id, lead.map(Into::into), renamed(&judged, aspect), because);
                }
                Err(unknown) => sink.open(id, aspect, Because::Unknown(unknown)),
            }
        }
        if sink.wants(id, Aspect::CableAllCurrents) {
            all_currents(subject, sink, id, part);
        }
    });
    for (id, _) in subject.design.all::<Conductor>() {
        if sink.wants(id, Aspect::SharedOverload) {
            shared_owner(subject, sink, id);
        }
    }
}

/// The currents between those that last and a short circuit: what each does to the conductors
/// behind the fuse until that opens. Short circuits of the low-voltage side are not computed.
fn all_currents(subject: &Subject<'_>, sink: &mut Sink<'_>, id: FuseId, part: FuseTypeId) {
    let aspect = Aspect::CableAllCurrents;
    let (design, faults) = (subject.design, subject.faults);
    if subject.study.points.is_low_voltage(id.into()) {
        return;
    }
    match crate::study::cable_guard(design, subject.study, faults, id) {
        Ok(None) => {}
        Ok(Some((lead, guard))) => {
            let judged = renamed(&guard.judged, aspect);
            let because = (judged.verdict == Verdict::Open).then(|| match guard.gap {
                Some(gap) => Because::Datasheet(part.into(), gap),
                None if faults
                    .fuse(id)
                    .is_none_or(|burden| burden.largest.is_none()) =>
                {
                    let missing = Unknown::missing(id, Gap::ShortBehind);
                    Because::Unknown(faults.doubt().unwrap_or(missing))
                }
                None if guard.needed_from.is_none() => {
                    Because::Unknown(Unknown::missing(lead, Gap::TemperatureClass))
                }
                None => Because::Unknown(Unknown::missing(part, Gap::FuseTimes)),
            });
            sink.put(id, Some(lead.into()), judged, because);
        }
        Err(unknown) => sink.open(id, aspect, Because::Unknown(unknown)),
    }
}

/// What several fuses let through together, or a conductor shares with parallel ones.
fn shared_owner(subject: &Subject<'_>, sink: &mut Sink<'_>, id: ConductorId) {
    let aspect = Aspect::SharedOverload;
    match crate::study::shared_overload(subject.design, subject.study, id) {
        Ok(None) => {}
        Ok(Some(found)) => {
            let judged = renamed(&found.judged, aspect);
            // Nothing bounds it: a failure, not something that is missing.
            let judged = if judged.verdict == Verdict::Open && found.controller.is_none() {
                Judged::failed_without_value(aspect, judged.side, judged.limit, judged.source)
            } else {
                judged
            };
            let first = found.fuses.and_then(|fuses| fuses.iter().next());
            sink.put(id, first.map(Into::into), judged, None);
        }
        Err(unknown) => sink.open(id, aspect, Because::Unknown(unknown)),
    }
}

/// Who opens the currents that melt a partial-range fuse without being broken, and whether
/// in time; and whether the fuse in series takes over what a contactor does not break.
pub(super) fn low_current_gap(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    below_the_fuse(subject, sink);
    above_the_contactor(subject, sink);
}

/// That nobody says up to which currents the controller opens contactors, both ways.
fn opening_unsaid(design: &Design) -> Option<Because> {
    let controller = &design.controller;
    let said = controller.opens_discharging.is_some() && controller.opens_charging.is_some();
    (!said).then_some(Because::Unknown(Unknown::missing(
        Thing::CONTROLLER,
        Gap::Opens,
    )))
}

/// Nothing is found of a fuse that breaks all that melts it.
fn below_the_fuse(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspects = [
        Aspect::GapBreaks,
        Aspect::GapTripCurrent,
        Aspect::GapTripTime,
    ];
    let (design, study, faults) = (subject.design, subject.study, subject.faults);
    each(subject, sink, aspects[0], |sink, id, fuse, part, _| {
        if !subject.is_high(fuse.from) {
            return;
        }
        let (contactor, checks) = match crate::study::low_current_gap(design, study, faults, id) {
            Ok(found) => found,
            Err(unknown) => return sink.open(id, aspects[0], Because::Unknown(unknown)),
        };
        let opener = contactor.and_then(|contactor| design.get(contactor)?.part);
        let trip = Unknown::Missing(Thing::VEHICLE, Gap::Trip);
        let unsaid = opening_unsaid(design);
        for (judged, aspect) in checks.iter().zip(aspects) {
            if judged.verdict == Verdict::NotApplicable {
                continue;
            }
            let unstated = [judged.value.is_none(), judged.limit.is_none()];
            let because = match (judged.verdict, aspect, unstated) {
                (Verdict::Open, Aspect::GapBreaks, [true, _]) => {
                    Some(Because::NoValue(part.into()))
                }
                (Verdict::Open, Aspect::GapBreaks, _)
                    if contactor.is_some() && unsaid.is_some() =>
                {
                    unsaid
                }
                (Verdict::Open, Aspect::GapBreaks, _) => Some(match opener {
                    Some(opener) => Because::NoLimit(opener.into()),
                    None => Because::Unknown(Unknown::missing(id, Gap::Opener)),
                }),
                (Verdict::Open, _, [true, _]) => Some(Because::Unknown(trip)),
                (Verdict::Open, ..) => Some(Because::NoLimit(part.into())),
                _ => None,
            };
            let at = contactor.map(Thing::from);
            sink.put(id, at, renamed(judged, aspect), because);
        }
    });
}

/// Nothing is found of a contactor without a fuse in series, nor of one that no short circuit
/// reaches.
fn above_the_contactor(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::TakesOver, subject.design);
    for (id, contactor) in design.all::<Contactor>() {
        if !subject.is_high(contactor.from) {
            continue;
        }
        let found = takes_over(design, subject.study, subject.faults, id);
        let (fuse, taken) = match found {
            Ok(Some(found)) => found,
            Ok(None) => continue,
            Err(unknown) => {
                sink.open(id, aspect, Because::Unknown(unknown));
                continue;
            }
        };
        let judged = taken.judged;
        if judged.verdict == Verdict::NotApplicable {
            continue;
        }
        let part = design.get(fuse).and_then(|fuse| fuse.part);
        let unsaid = opening_unsaid(design);
        let because = match (judged.verdict, contactor.part, taken.gap.zip(part)) {
            (Verdict::Open, None, _) => {
                Some(Because::Unknown(Unknown::missing(id, Gap::ContactorType)))
            }
            (Verdict::Open, Some(_), _) if judged.limit.is_none() && unsaid.is_some() => unsaid,
            (Verdict::Open, Some(opener), _) if judged.limit.is_none() => {
                Some(Because::NoLimit(opener.into()))
            }
            (Verdict::Open, _, Some((gap, part))) => Some(Because::Datasheet(part.into(), gap)),
            _ => {
                let unbroken = taken.unbroken.zip(part);
                unbroken.map(|(why, part)| Because::NotBroken(part.into(), why))
            }
        };
        let (judged, because) = settle(subject, renamed(&judged, aspect), because);
        sink.put(id, Some(fuse.into()), judged, because);
    }
}
