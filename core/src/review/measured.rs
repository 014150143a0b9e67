//! Rules that look at readings.

use super::aspect::Aspect;
use super::attested::stands;
use super::evidence::{gap, readings_at};
use super::finding::{Because, EvidenceGap};
use super::subject::{Sink, Subject, plain, renamed, without_box};
use crate::design::{
    Battery, BatteryString, Charged, Conductor, ConductorId, Contactor, Converter, Design,
    Enclosure, Index, Kind, Measured, Reading, ReadingId, System, Thing, TimeOfDay, WhichEnd,
};
use crate::error::Error;
use crate::insulation::{BondPath, judge_bond, judge_isolation};
use crate::link::JOIN_CEILING_V;
use crate::quantity::{Resistance, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// A resistance at most so many times the best of its kind; common practice.
pub(super) const JOINT_FACTOR: f32 = 1.5;

/// Least number of full strokes of the brake without supply; common practice.
pub(super) const LEAST_STROKES: f32 = 3.0;

/// Puts a judged reading: what holds stays open while its record does not count.
pub(super) fn put(
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

/// A resistance of which the instrument shows nothing proves nothing.
pub(super) const SHOWS_NOTHING: Because = Because::Evidence(EvidenceGap::BelowInstrument);

pub(super) fn nothing_read(sink: &mut Sink<'_>, thing: Thing, aspect: Aspect) {
    sink.open(thing, aspect, Because::Evidence(EvidenceGap::NoReading));
}

const fn isolation_of(reading: &Reading) -> Option<(Resistance, Voltage)> {
    match reading.measured {
        Measured::Isolation { resistance, at } => Some((resistance, at)),
        _ => None,
    }
}

/// A resistance that has to be large, at the worse end of its accuracy.
fn at_least(
    subject: &Subject<'_>,
    reading: &Reading,
    read: Resistance,
) -> Result<Resistance, Error> {
    let worse = subject
        .design
        .worse_end(reading, read.as_ohms(), Side::AtLeast);
    Resistance::from_ohms(libm::fmaxf(worse, 0.0))
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
    match at_least(subject, &reading, resistance)
        .and_then(|ohms| judge_isolation(case, highest, ohms))
    {
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
    let worse = subject
        .design
        .worse_end(&reading, resistance.as_ohms(), Side::AtMost);
    if worse <= 0.0 {
        let (limit, source) = BondPath::ToChassis.limit_ohm();
        let judged = Judged::open(aspect, None, Side::AtMost, Some(limit), source);
        return sink.put(thing, None, judged, Some(SHOWS_NOTHING));
    }
    let worse = Resistance::from_ohms(worse).unwrap_or(resistance);
    let judged = judge_bond(BondPath::ToChassis, Some(worse), at);
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
        let judged = entry.metal != Some(false) && subject.insulation.in_box(id).is_some();
        if has_reading && !judged {
            bond(subject, sink, id.into());
        }
    }
    for (load, because) in without_box(subject) {
        sink.open(load, Aspect::Bond, because);
    }
}

/// The protective conductor of every charging source: read at the source.
pub(super) fn charge_earth(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (id, _) in subject.charging_sources() {
        bond(subject, sink, id.into());
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
        let worse = at_least(subject, &reading, resistance);
        match worse.and_then(|ohms| judge_isolation(case, highest, ohms)) {
            Err(error) => sink.open(thing, aspect, Because::Refused(error)),
            Ok([limit, _]) => {
                let judged = if_tested(renamed(&limit, aspect), at, highest);
                put(subject, sink, thing, None, judged, (id, &reading));
            }
        }
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
            .filter_map(|(_, reading)| reading.joint().map(Resistance::as_ohms))
            // What the instrument does not show is not the best.
            .filter(|ohms| *ohms > 0.0)
            .fold(f32::INFINITY, libm::fminf);
        for (which, end) in [(WhichEnd::From, lead.from), (WhichEnd::To, lead.to)] {
            let at = Some(end.into());
            let of_end = |reading: &Reading| {
                (reading.end == Some(which))
                    .then_some(())
                    .and_then(|()| reading.joint())
            };
            match subject.design.latest_reading(id.into(), of_end) {
                None => {
                    let because = Because::Evidence(unread(design, id, Reading::joint));
                    sink.put(id, at, plain(aspect, Verdict::Open), Some(because));
                }
                Some((.., ohms)) if ohms.as_ohms() <= 0.0 => {
                    sink.put(id, at, plain(aspect, Verdict::Open), Some(SHOWS_NOTHING));
                }
                Some((reading, entry, ohms)) => {
                    let judged = Judged::compare(
                        aspect,
                        design.worse_end(&entry, ohms.as_ohms(), Side::AtMost),
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
/// attested as keeping the rule; a no that no later count clears outweighs the count.
pub(super) fn brake(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::Strokes, subject.design);
    let counted = design.latest_reading(Thing::VEHICLE, count_of);
    let (verdict, because) = stands(subject, sink.rule().slug(), Thing::VEHICLE);
    let denied = match because {
        Because::Attested(id) if verdict == Verdict::Fails => {
            let no = design.get(id).map(|one| design.moment(one.signature));
            let counted = counted.map(|(_, reading, _)| design.moment(reading.signature));
            !matches!((no, counted), (Some(no), Some(counted)) if counted.is_after(no))
        }
        _ => false,
    };
    match counted {
        Some((id, reading, count)) if !denied => {
            let source = SourceId::CommonPractice;
            let value = number(count);
            let judged = Judged::compare(aspect, value, Side::AtLeast, LEAST_STROKES, source);
            put(subject, sink, Thing::VEHICLE, None, judged, (id, &reading));
        }
        _ => {
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

const fn voltage_of(reading: &Reading) -> Option<f32> {
    match reading.measured {
        Measured::Voltage(voltage) => Some(voltage.as_volts()),
        _ => None,
    }
}

/// The voltage of every traction battery before the first closing, and that of each string
/// against the others in parallel.
pub(super) fn test_points(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    for (battery, entry) in design.all::<Battery>() {
        if entry.system != System::Traction {
            continue;
        }
        let thing: Thing = battery.into();
        let Some((id, reading, volts)) = design.latest_reading(thing, voltage_of) else {
            nothing_read(sink, thing, Aspect::TestPointHigh);
            continue;
        };
        let of = |charged| entry.voltage(charged).ok().flatten().map(Voltage::as_volts);
        let (Some(empty), Some(full)) = (of(Charged::Minimum), of(Charged::Maximum)) else {
            sink.open(thing, Aspect::TestPointHigh, Because::NoLimit(thing));
            continue;
        };
        let source = SourceId::CommonPractice;
        let highest = design.worse_end(&reading, volts, Side::AtMost);
        let judged = if highest > full {
            Judged::compare(Aspect::TestPointHigh, highest, Side::AtMost, full, source)
        } else {
            let lowest = design.worse_end(&reading, volts, Side::AtLeast);
            Judged::compare(Aspect::TestPointLow, lowest, Side::AtLeast, empty, source)
        };
        put(subject, sink, thing, None, judged, (id, &reading));
    }
    strings_apart(subject, sink);
}

/// What was read of all batteries of a string, where it was read of each.
pub(super) fn string_read(design: &Design, string: &BatteryString) -> Option<f32> {
    let mut volts = 0.0;
    for battery in string.batteries.iter() {
        let (.., read) = design.latest_reading(battery.into(), voltage_of)?;
        volts += read;
    }
    Some(volts)
}

/// The string in parallel with one whose voltage was read farthest from its own, with both.
pub(super) fn farthest(subject: &Subject<'_>, string: &BatteryString) -> Option<[f32; 2]> {
    let own = string_read(subject.design, string)?;
    let others = subject.strings.strings.iter();
    let others = others.filter(|other| other.group == string.group && *other != string);
    let mut worst: Option<[f32; 2]> = None;
    for other in others {
        let Some(volts) = string_read(subject.design, other) else {
            continue;
        };
        let off = libm::fabsf(volts - own);
        if worst.is_none_or(|[one, known]| off > libm::fabsf(known - one)) {
            worst = Some([own, volts]);
        }
    }
    worst
}

/// Minutes within which strings have been read together, where that was written down: a battery
/// that rests after work still moves by hours (common practice, no source).
const TOGETHER_MINUTES: u16 = 60;

/// Whether all batteries of strings in parallel were read on one day, within the hour, with one
/// instrument: a battery that rests or warms up moves, and two meters differ by what both are
/// off.
fn read_together(subject: &Subject<'_>, group: u8) -> bool {
    let design = subject.design;
    let strings = subject.strings.strings.iter();
    let of_group = strings.filter(|string| string.group == group);
    let mut read = of_group.flat_map(|string| {
        string.batteries.iter().filter_map(|battery| {
            let (_, reading, _) = design.latest_reading(battery.into(), voltage_of)?;
            let signature = design.get(reading.signature?)?;
            Some((signature.date, signature.instrument, signature.time))
        })
    });
    let Some((date, instrument, first)) = read.next() else {
        return true;
    };
    let mut ends = first.map(|first| [first.minutes(); 2]);
    read.all(|(then, with, time)| {
        if let Some(time) = time.map(TimeOfDay::minutes) {
            let [early, late] = ends.unwrap_or([time, time]);
            ends = Some([early.min(time), late.max(time)]);
        }
        let apart = ends.map_or(0, |[early, late]| late - early);
        then == date && with == instrument && apart <= TOGETHER_MINUTES
    })
}

/// Strings that are joined by hand or by a controller for the first time: no farther apart
/// than they may be joined.
fn strings_apart(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::TestPointApart, subject.design);
    let stated = design.controller.join_window.map(Voltage::as_volts);
    for string in &subject.strings.strings {
        let Some([own, other]) = farthest(subject, string) else {
            continue;
        };
        let together = read_together(subject, string.group);
        for battery in string.batteries.iter() {
            let thing: Thing = battery.into();
            let Some((id, reading, _)) = design.latest_reading(thing, voltage_of) else {
                continue;
            };
            let judged = Judged::compare(
                aspect,
                libm::fabsf(own - other),
                Side::AtMost,
                stated.unwrap_or(JOIN_CEILING_V),
                SourceId::CommonPractice,
            );
            if judged.verdict == Verdict::Holds && !together {
                let verdict = Verdict::Open;
                let because = Because::Evidence(EvidenceGap::NotTogether);
                sink.put(thing, None, Judged { verdict, ..judged }, Some(because));
            } else {
                put(subject, sink, thing, None, judged, (id, &reading));
            }
        }
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
