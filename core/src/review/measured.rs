//! Rules that look at readings.

use super::aspect::Aspect;
use super::attested::stands;
use super::evidence::{gap, readings_at};
use super::finding::{Because, EvidenceGap};
use super::sequence::discharge_reading;
use super::subject::{Sink, Subject, plain, renamed, without_box};
use crate::design::{
    Battery, Charged, Conductor, ConductorId, Contactor, Converter, Design, Enclosure, Index, Kind,
    Load, Measured, Reading, ReadingId, Role, System, Thing, WhichEnd,
};
use crate::insulation::{BondPath, judge_bond, judge_isolation};
use crate::quantity::{Resistance, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// A resistance at most so many times the best of its kind; common practice.
pub(super) const JOINT_FACTOR: f32 = 1.5;

/// Least number of full strokes of the brake without supply; common practice.
pub(super) const LEAST_STROKES: f32 = 3.0;

/// Puts a judged reading: what holds stays open while its record does not count.
fn put(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    thing: Thing,
    at: Option<Thing>,
    judged: Judged<Aspect>,
    (id, reading): (ReadingId, &Reading),
) {
    let mut judged = judged;
    let because = match (judged.verdict, gap(subject.design, reading.signature, true)) {
        (Verdict::Holds, Some(gap)) => {
            judged.verdict = Verdict::Open;
            Because::Evidence(gap)
        }
        (Verdict::Open, _) => Because::Evidence(EvidenceGap::TesterTooWeak),
        _ => Because::Read(id),
    };
    sink.put(thing, at, judged, Some(because));
}

fn nothing_read(sink: &mut Sink<'_>, thing: Thing, aspect: Aspect) {
    sink.open(thing, aspect, Because::Evidence(EvidenceGap::NoReading));
}

const fn isolation_of(reading: &Reading) -> Option<(Resistance, Voltage)> {
    match reading.measured {
        Measured::Isolation { resistance, at } => Some((resistance, at)),
        _ => None,
    }
}

/// What a tester below the highest voltage reads is no proof that it holds.
fn if_tested(judged: Judged<Aspect>, at: Voltage, highest: Voltage) -> Judged<Aspect> {
    match judged.verdict {
        Verdict::Holds if at < highest => Judged {
            verdict: Verdict::Open,
            ..judged
        },
        _ => judged,
    }
}

/// Both limits of the isolation of the whole vehicle.
fn isolation_against(subject: &Subject<'_>, sink: &mut Sink<'_>, new: bool) {
    let aspect = if new {
        Aspect::IsolationNew
    } else {
        Aspect::Isolation
    };
    let Some((id, reading, (resistance, at))) =
        subject.design.latest_reading(Thing::VEHICLE, isolation_of)
    else {
        return nothing_read(sink, Thing::VEHICLE, aspect);
    };
    let case = subject.insulation.to_chassis.case;
    let highest = match subject.highest() {
        Ok(highest) => highest,
        Err(unknown) => return sink.open(Thing::VEHICLE, aspect, Because::Unknown(unknown)),
    };
    match judge_isolation(case, highest, resistance) {
        Err(error) => sink.open(Thing::VEHICLE, aspect, Because::Refused(error)),
        Ok([limit, five_times]) => {
            let judged = renamed(if new { &five_times } else { &limit }, aspect);
            let judged = if_tested(judged, at, highest);
            put(subject, sink, Thing::VEHICLE, None, judged, (id, &reading));
        }
    }
}

pub(super) fn isolation(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    isolation_against(subject, sink, false);
}

pub(super) fn isolation_new(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    isolation_against(subject, sink, true);
}

/// The tester of the isolation reading works at the highest voltage at least.
pub(super) fn test_level(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::TesterVoltage;
    let Some((id, reading, (_, at))) = subject.design.latest_reading(Thing::VEHICLE, isolation_of)
    else {
        return nothing_read(sink, Thing::VEHICLE, aspect);
    };
    match subject.highest() {
        Err(unknown) => sink.open(Thing::VEHICLE, aspect, Because::Unknown(unknown)),
        Ok(highest) => {
            let judged = Judged::compare(
                aspect,
                at.as_volts(),
                Side::AtLeast,
                highest.as_volts(),
                SourceId::Iso6469VehicleTest,
            );
            put(subject, sink, Thing::VEHICLE, None, judged, (id, &reading));
        }
    }
}

fn bond(subject: &Subject<'_>, sink: &mut Sink<'_>, thing: Thing) {
    let aspect = Aspect::Bond;
    let found = subject
        .design
        .latest_reading(thing, |reading| match reading.measured {
            Measured::Bond { resistance, at } => Some((resistance, at)),
            _ => None,
        });
    let Some((id, reading, (resistance, at))) = found else {
        let (limit, source) = BondPath::ToChassis.limit_ohm();
        let judged = Judged::open(aspect, None, Side::AtMost, Some(limit), source);
        let because = Because::Evidence(EvidenceGap::NoReading);
        return sink.put(thing, None, judged, Some(because));
    };
    let judged = judge_bond(BondPath::ToChassis, Some(resistance), at);
    put(
        subject,
        sink,
        thing,
        None,
        renamed(&judged, aspect),
        (id, &reading),
    );
}

/// Every box that is not known to be of plastic.
pub(super) fn bonds(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for found in &subject.insulation.boxes {
        let entry: Option<&Enclosure> = subject.design.get(found.enclosure);
        if entry.and_then(|entry| entry.metal) != Some(false) {
            bond(subject, sink, found.enclosure.into());
        }
    }
    // Readings of other boxes count as well.
    for (id, entry) in subject.design.all::<Enclosure>() {
        let has_reading = readings_at(subject, id.into())
            .any(|(_, reading)| matches!(reading.measured, Measured::Bond { .. }));
        if entry.metal != Some(false) && has_reading && subject.insulation.in_box(id).is_none() {
            bond(subject, sink, id.into());
        }
    }
    for (load, because) in without_box(subject) {
        sink.open(load, Aspect::Bond, because);
    }
}

/// The protective conductor of every charging source: read at the source.
pub(super) fn charge_earth(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (id, load) in subject.design.all::<Load>() {
        if load.role == Role::ChargingSource && subject.is_high(load.positive) {
            bond(subject, sink, id.into());
        }
    }
}

/// Isolation between the two sides of each converter, read at the converter.
pub(super) fn separate(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::Isolation;
    for (converter, _) in subject.design.all::<Converter>() {
        let thing: Thing = converter.into();
        let Some((id, reading, (resistance, at))) =
            subject.design.latest_reading(thing, isolation_of)
        else {
            nothing_read(sink, thing, aspect);
            continue;
        };
        let case = subject.insulation.to_chassis.case;
        let highest = match subject.highest() {
            Ok(highest) => highest,
            Err(unknown) => {
                sink.open(thing, aspect, Because::Unknown(unknown));
                continue;
            }
        };
        match judge_isolation(case, highest, resistance) {
            Err(error) => sink.open(thing, aspect, Because::Refused(error)),
            Ok([limit, _]) => {
                let judged = if_tested(renamed(&limit, aspect), at, highest);
                put(subject, sink, thing, None, judged, (id, &reading));
            }
        }
    }
}

fn joint_of(reading: &Reading) -> Option<Resistance> {
    match reading.measured {
        Measured::Joint(ohms) => Some(ohms),
        _ => None,
    }
}

/// Why an end of a conductor counts as not read: nothing was, or not said at which end.
pub(super) fn unread<T>(
    design: &Design,
    lead: ConductorId,
    of: impl Fn(&Reading) -> Option<T>,
) -> EvidenceGap {
    let somewhere = design.all::<Reading>().any(|(_, reading)| {
        reading.at == lead.into() && reading.end.is_none() && of(reading).is_some()
    });
    if somewhere {
        EvidenceGap::NoEnd
    } else {
        EvidenceGap::NoReading
    }
}

/// Every joint of the high-voltage side against the best on the same cable.
pub(super) fn joints(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::Joint, subject.design);
    for (id, lead) in design.all::<Conductor>() {
        if !subject.is_high(lead.from) {
            continue;
        }
        let best = design
            .all::<Reading>()
            .filter(|(_, reading)| {
                let other = (reading.at.kind == Kind::Conductor)
                    .then(|| ConductorId::at(usize::from(reading.at.index)))
                    .flatten()
                    .and_then(|other| design.get(other));
                other.is_some_and(|other| other.cable == lead.cable)
            })
            .filter_map(|(_, reading)| joint_of(reading).map(Resistance::as_ohms))
            .fold(f32::INFINITY, libm::fminf);
        for (which, end) in [(WhichEnd::From, lead.from), (WhichEnd::To, lead.to)] {
            let at = Some(end.into());
            let of_end = |reading: &Reading| {
                (reading.end == Some(which))
                    .then_some(())
                    .and_then(|()| joint_of(reading))
            };
            match subject.design.latest_reading(id.into(), of_end) {
                None => {
                    let because = Because::Evidence(unread(design, id, joint_of));
                    sink.put(id, at, plain(aspect, Verdict::Open), Some(because));
                }
                Some((reading, entry, ohms)) => {
                    let judged = Judged::compare(
                        aspect,
                        ohms.as_ohms(),
                        Side::AtMost,
                        JOINT_FACTOR * best,
                        SourceId::CommonPractice,
                    );
                    put(subject, sink, id.into(), at, judged, (reading, &entry));
                }
            }
        }
    }
}

fn number(count: u32) -> f32 {
    #[allow(clippy::cast_precision_loss)] // exact to 16 million, then 1 in 16 million
    let number = count as f32;
    number
}

const fn count_of(reading: &Reading) -> Option<u32> {
    match reading.measured {
        Measured::Count(count) => Some(count),
        _ => None,
    }
}

/// Full strokes of the brake, counted at the vehicle. A vehicle without vacuum brakes is
/// attested as keeping the rule.
pub(super) fn brake(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::Strokes;
    match subject.design.latest_reading(Thing::VEHICLE, count_of) {
        Some((id, reading, count)) => {
            let source = SourceId::CommonPractice;
            let value = number(count);
            let judged = Judged::compare(aspect, value, Side::AtLeast, LEAST_STROKES, source);
            put(subject, sink, Thing::VEHICLE, None, judged, (id, &reading));
        }
        None => {
            let (verdict, because) = stands(subject, sink.rule().slug(), Thing::VEHICLE);
            let because = match because {
                Because::Evidence(EvidenceGap::NoAttestation) => {
                    Because::Evidence(EvidenceGap::NoReading)
                }
                other => other,
            };
            sink.put(Thing::VEHICLE, None, plain(aspect, verdict), Some(because));
        }
    }
}

/// The voltage of every traction battery before the first closing.
pub(super) fn test_points(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (battery, entry) in subject.design.all::<Battery>() {
        if entry.system != System::Traction {
            continue;
        }
        let thing: Thing = battery.into();
        let found = subject
            .design
            .latest_reading(thing, |reading| match reading.measured {
                Measured::Voltage(voltage) => Some(voltage.as_volts()),
                _ => None,
            });
        let Some((id, reading, volts)) = found else {
            nothing_read(sink, thing, Aspect::TestPointHigh);
            continue;
        };
        let of = |charged| entry.voltage(charged).ok().flatten().map(Voltage::as_volts);
        let (Some(empty), Some(full)) = (of(Charged::Minimum), of(Charged::Maximum)) else {
            sink.open(thing, Aspect::TestPointHigh, Because::NoLimit(thing));
            continue;
        };
        let source = SourceId::CommonPractice;
        let judged = if volts > full {
            Judged::compare(Aspect::TestPointHigh, volts, Side::AtMost, full, source)
        } else {
            Judged::compare(Aspect::TestPointLow, volts, Side::AtLeast, empty, source)
        };
        put(subject, sink, thing, None, judged, (id, &reading));
    }
}

/// Closings of every contactor against its endurance.
pub(super) fn closings(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::Closings, subject.design);
    for (id, contactor) in design.all::<Contactor>() {
        if !subject.is_high(contactor.from) {
            continue;
        }
        let Some((reading, entry, count)) = subject.design.latest_reading(id.into(), count_of)
        else {
            nothing_read(sink, id.into(), aspect);
            continue;
        };
        let endurance = contactor.part.and_then(|part| design.get(part)?.endurance);
        let Some(endurance) = endurance else {
            let part = contactor.part.map_or(id.into(), Into::into);
            sink.open(id, aspect, Because::NoLimit(part));
            continue;
        };
        let source = SourceId::Entered;
        let judged = Judged::compare(
            aspect,
            number(count),
            Side::AtMost,
            number(endurance),
            source,
        );
        put(subject, sink, id.into(), None, judged, (reading, &entry));
    }
}

/// Most that a time constant may be off without a reason; common practice.
const TIME_CONSTANT_OFF: f32 = 0.2;

/// Most that a discharge or a drop may be above what was computed without a reason; common
/// practice.
const MORE_THAN_COMPUTED: f32 = 0.3;

/// Time constant of each precharge, time of each discharge, drop of each conductor that
/// was read, against what was computed.
pub(super) fn against_computed(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let source = SourceId::CommonPractice;
    for one in &subject.study.sequences.precharges {
        let (thing, aspect) = (one.resistor.into(), Aspect::TimeConstantOff);
        let read = |reading: &Reading| match reading.measured {
            Measured::Precharge(time) => Some(time.as_seconds()),
            _ => None,
        };
        let Some((id, reading, seconds)) = subject.design.latest_reading(thing, read) else {
            nothing_read(sink, thing, aspect);
            continue;
        };
        match &one.found {
            Err(unknown) => sink.open(thing, aspect, Because::Unknown(*unknown)),
            Ok(found) => {
                let off = libm::fabsf(seconds / found.time_constant.as_seconds() - 1.0);
                let judged = Judged::compare(aspect, off, Side::AtMost, TIME_CONSTANT_OFF, source);
                put(subject, sink, thing, None, judged, (id, &reading));
            }
        }
    }
    for one in &subject.study.sequences.discharges {
        let aspect = Aspect::DischargeOff;
        let first = one.loads.iter().next().map_or(Thing::VEHICLE, Into::into);
        let Some((thing, id, reading, seconds)) = discharge_reading(subject, one) else {
            nothing_read(sink, first, aspect);
            continue;
        };
        let computed = one.found.as_ref().map_err(|unknown| *unknown);
        match computed.map(|found| found.active.or(found.passive)) {
            Err(unknown) => sink.open(thing, aspect, Because::Unknown(unknown)),
            Ok(None) => sink.open(thing, aspect, Because::NoLimit(thing)),
            Ok(Some(time)) => {
                let more = seconds / time.as_seconds() - 1.0;
                let judged =
                    Judged::compare(aspect, more, Side::AtMost, MORE_THAN_COMPUTED, source);
                put(subject, sink, thing, None, judged, (id, &reading));
            }
        }
    }
    drops(subject, sink);
}

/// Drops that were read along conductors, scaled to the current that flowed. A cold
/// conductor drops less than was computed, which is no finding.
fn drops(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::DropOff;
    for (id, lead) in subject.design.all::<Conductor>() {
        let read = |reading: &Reading| match reading.measured {
            Measured::Drop { voltage, at } if reading.end.is_none() => {
                Some((voltage.as_volts(), at.as_amperes()))
            }
            _ => None,
        };
        let found = subject.design.latest_reading(id.into(), read);
        let Some((reading, entry, (volts, amperes))) = found.filter(|_| subject.is_high(lead.from))
        else {
            continue;
        };
        let studied = subject.study.conductor(id);
        let computed = studied.and_then(|studied| {
            let (_, current) = studied.largest?;
            Ok(studied.drop?.as_volts() * amperes / current.as_amperes())
        });
        match computed {
            Err(unknown) => sink.open(id, aspect, Because::Unknown(unknown)),
            Ok(computed) => {
                let more = libm::fabsf(volts / computed) - 1.0;
                let judged = Judged::compare(
                    aspect,
                    more,
                    Side::AtMost,
                    MORE_THAN_COMPUTED,
                    SourceId::CommonPractice,
                );
                put(subject, sink, id.into(), None, judged, (reading, &entry));
            }
        }
    }
}
