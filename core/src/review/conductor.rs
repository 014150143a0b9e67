//! Rules about conductors.

use super::aspect::Aspect;
use super::conductor_read;
use super::finding::Because;
use super::subject::{Check, Sink, Subject, plain, renamed, why};
use super::topology::without_sources;
use crate::design::{
    Conductor, ConductorId, ContactorId, Converter, ConverterId, FuseId, Gap, Kind, Load, LoadId,
    Phase, PhaseId, Purpose, Resistor, ServiceDisconnectId, System, Thing,
};
use crate::quantity::{Length, Time, Voltage};
use crate::standard::SourceId;
use crate::study::{ConductorLimit, ConductorStudy, Known, Unknown};
use crate::verdict::{Judged, Side, Verdict};

/// What is kept below the temperature class for what no model knows; common practice.
pub(super) const STEADY_RESERVE_K: f32 = 10.0;

/// Drop that is allowed from the battery to a load of the high-voltage side, of the
/// voltage of the empty battery; common practice.
pub(super) const HIGH_VOLTAGE_DROP: f32 = 0.02;

/// The same on the low-voltage side, of the voltage of its source; common practice.
pub(super) const LOW_VOLTAGE_DROP: f32 = 0.03;

/// How far the lengths of conductors in parallel may differ; common practice.
pub(super) const PARALLEL_SPREAD: f32 = 0.05;

fn each(subject: &Subject<'_>, mut of: impl FnMut(ConductorId, &Conductor, Known<ConductorStudy>)) {
    for (id, lead) in subject.design.all::<Conductor>() {
        of(id, lead, subject.study.conductor(id));
    }
}

fn limit(studied: &ConductorStudy, name: ConductorLimit) -> Option<&Judged<ConductorLimit>> {
    studied.limits.iter().find(|judged| judged.name == name)
}

/// The cable of a conductor, or the conductor, to look a datasheet value up at.
fn cable_or(lead: &Conductor, id: ConductorId) -> Thing {
    lead.cable.map_or(id.into(), Into::into)
}

fn temperature(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    name: ConductorLimit,
    aspect: Aspect,
    reserve: f32,
) {
    each(subject, |id, lead, studied| {
        let studied = match studied {
            Ok(studied) => studied,
            Err(unknown) => return sink.open(id, aspect, Because::Unknown(unknown)),
        };
        let Some(judged) = limit(&studied, name) else {
            return;
        };
        let at = studied.warmest.ok().map(|warmest| warmest.piece.into());
        let because = why(judged, studied.warmest.err(), cable_or(lead, id));
        let mut judged = renamed(judged, aspect);
        judged.limit = judged.limit.map(|limit| limit - reserve);
        if let (Verdict::Holds, Some(value), Some(limit)) =
            (judged.verdict, judged.value, judged.limit)
        {
            judged = Judged::compare(aspect, value, Side::AtMost, limit, judged.source);
        }
        sink.put(id, at, judged, because);
    });
}

pub(super) fn steady(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let name = ConductorLimit::SteadyTemperature;
    let aspect = Aspect::SteadyTemperature;
    temperature(subject, sink, name, aspect, STEADY_RESERVE_K);
    conductor_read::conductors(subject, sink);
}

pub(super) fn peak(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let name = ConductorLimit::PeakTemperature;
    temperature(subject, sink, name, Aspect::PeakTemperature, 0.0);
}

/// The study takes a window as long as the time constant in its place, or the largest
/// current where there is none.
pub(super) fn window(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::DutyWindow;
    each(subject, |id, _, studied| {
        match studied.and_then(|studied| studied.warmest) {
            Err(unknown) => sink.open(id, aspect, Because::Unknown(unknown)),
            Ok(warmest) => match warmest.warmth.window.map(Time::as_seconds) {
                Some(window) => {
                    let source = SourceId::RadialChain;
                    let judged = Judged::compare(aspect, window, Side::AtMost, window, source);
                    sink.put(id, Some(warmest.operation.into()), judged, None);
                }
                None => sink.verdict(id, aspect, Verdict::Holds),
            },
        }
    });
}

pub(super) fn terminals(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::TerminalTemperature;
    each(subject, |id, lead, studied| {
        let studied = match studied {
            Ok(studied) => studied,
            Err(unknown) => return sink.open(id, aspect, Because::Unknown(unknown)),
        };
        let [_, _, first, second] = &studied.limits;
        let [first_gap, second_gap] = studied.terminal_gaps;
        for (judged, gap, end) in [(first, first_gap, lead.from), (second, second_gap, lead.to)] {
            let unknown = match gap {
                Some(Gap::TerminalLimit) => Some(Unknown::missing(end, Gap::TerminalLimit)),
                Some(gap) => Some(Unknown::missing(id, gap)),
                None => studied.warmest.err(),
            };
            let because = (judged.verdict == Verdict::Open)
                .then(|| unknown.map_or(Because::NoLimit(end.into()), Because::Unknown));
            sink.put(id, Some(end.into()), renamed(judged, aspect), because);
        }
    });
    conductor_read::ends(subject, sink);
}

pub(super) fn voltage_class(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for id in subject.insulation.circuits() {
        if let Some(found) = subject.insulation.circuit(subject.design, id, None) {
            let mut checked = found.voltage;
            // Brakes may drive a full battery higher.
            if let (Ok(rated), Some(value), Some(limit)) = (
                subject.rated().map(Voltage::as_volts),
                checked.judged.value,
                checked.judged.limit,
            ) && rated > value
                && checked.verdict() == Verdict::Holds
            {
                let (name, source) = (checked.judged.name, checked.judged.source);
                checked.judged = Judged::compare(name, rated, Side::AtMost, limit, source);
            }
            sink.checked(id, None, Aspect::CableClass, &checked);
        }
    }
}

/// Drop from the source to each load, in the phase in which it is largest of all.
pub(super) fn drop(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let empty = subject
        .study
        .strings
        .first()
        .map_or(Err(NO_BATTERY), |string| string.voltages[0]);
    let silent = silent_contact(subject, System::Traction);
    for load in &subject.study.loads {
        let value = largest_drop(subject, load.load);
        put_drop(
            sink,
            (load.load, None, silent),
            Check {
                aspect: Aspect::Drop,
                value: value.and_then(|value| empty.map(|_| value)),
                side: Side::AtMost,
                limit: empty.ok().map(|empty| HIGH_VOLTAGE_DROP * empty.as_volts()),
                stated_in: Thing::VEHICLE,
                source: SourceId::CommonPractice,
            },
        );
    }
    low_voltage_drop(subject, sink);
}

/// The largest drop of all phases in which the load draws, those left out in which a precharge
/// resistor carries current, unless it draws in no other; zero where it draws in none.
fn largest_drop(subject: &Subject<'_>, load: LoadId) -> Known<f32> {
    let (design, points) = (subject.design, &subject.study.points);
    let (mut largest, mut precharging): (Option<f32>, f32) = (None, 0.0);
    for (phase, _) in design.all::<Phase>() {
        if points.known_current(phase, load)?.as_amperes() <= 0.0 {
            continue;
        }
        let precharges = precharges(subject, phase)?;
        let Some(at_load) = points.load(phase, load) else {
            continue;
        };
        // A string that is not connected sags with nobody.
        let strings = subject.study.strings.iter().enumerate();
        let spans = strings.filter_map(|(index, one)| {
            let battery = one.string.batteries.iter().next()?;
            let current = points.current(phase, battery)?.as_amperes();
            points.string(phase, index).filter(|_| current != 0.0)
        });
        let source = spans.map(|span| span.lowest.as_volts());
        let source = source.fold(f32::NEG_INFINITY, libm::fmaxf);
        let drop = source - at_load.lowest.as_volts();
        if precharges {
            precharging = libm::fmaxf(precharging, drop);
        } else {
            largest = Some(libm::fmaxf(largest.unwrap_or(0.0), drop));
        }
    }
    Ok(largest.unwrap_or(precharging))
}

/// Whether a precharge resistor carries current.
fn precharges(subject: &Subject<'_>, phase: PhaseId) -> Known<bool> {
    let mut precharging = false;
    for (id, resistor) in subject.design.all::<Resistor>() {
        if resistor.purpose == Purpose::Precharge {
            let current = subject.study.points.known_current(phase, id)?;
            precharging |= libm::fabsf(current.as_amperes()) > 0.0;
        }
    }
    Ok(precharging)
}

/// A drop; with a contact in the way that counts as none, a known one is the least.
fn put_drop(
    sink: &mut Sink<'_>,
    (load, at, silent): (LoadId, Option<Thing>, Option<Unknown>),
    check: Check,
) {
    let (judged, because) = match (check.value, check.limit) {
        // Of what feeds it nothing is known: that comes first.
        (Err(unknown), None) => (check.judge().0, Some(Because::Unknown(unknown))),
        _ => check.judge(),
    };
    let (judged, because) = match silent {
        Some(unknown) if judged.verdict == Verdict::Holds => {
            let verdict = Verdict::Open;
            (
                Judged { verdict, ..judged },
                Some(Because::Unknown(unknown)),
            )
        }
        _ => (judged, because),
    };
    sink.put(load, at, judged, because);
}

/// What carries current outside precharge and does not say its resistance: a fuse, a
/// contactor or a service disconnect, which then counts as none.
fn silent_contact(subject: &Subject<'_>, system: System) -> Option<Unknown> {
    let design = subject.design;
    let carries = |thing: Thing| {
        design.all::<Phase>().any(|(phase, _)| {
            let current = subject.study.points.current(phase, thing);
            let flows = current.is_some_and(|current| current.as_amperes() != 0.0);
            // Where it is not known whether a precharge goes on, none does.
            flows && precharges(subject, phase) != Ok(true)
        })
    };
    let drawn = design.drawn().filter(|drawn| {
        let kind = drawn.thing.kind;
        let contact = matches!(kind, Kind::Fuse | Kind::Contactor | Kind::ServiceDisconnect);
        contact && subject.systems.of(drawn.from) == Some(system)
    });
    let stated = |thing: Thing| match thing.kind {
        Kind::Fuse => {
            let part = design.get(thing.id::<FuseId>()?)?.part;
            design.get(part?)?.resistance
        }
        Kind::Contactor => {
            let part = design.get(thing.id::<ContactorId>()?)?.part;
            design.get(part?)?.resistance
        }
        _ => design.get(thing.id::<ServiceDisconnectId>()?)?.resistance,
    };
    let mut silent = drawn.filter(|drawn| stated(drawn.thing).is_none() && carries(drawn.thing));
    silent
        .next()
        .map(|drawn| Unknown::missing(drawn.thing, Gap::Resistance))
}

const NO_BATTERY: Unknown = Unknown::Missing(Thing::VEHICLE, Gap::Battery);

/// The loads of the low-voltage side are held against the converter that feeds them; of
/// several in parallel against the one from which most is lost of what may be.
fn low_voltage_drop(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    let silent = silent_contact(subject, System::LowVoltage);
    let ways = without_sources(design);
    let several = design.all::<Converter>().count() > 1;
    for (id, load) in design.all::<Load>() {
        if subject.systems.of(load.positive) != Some(System::LowVoltage) {
            continue;
        }
        let lowest = lowest_at(subject, id);
        let mut worst: Option<(ConverterId, Check)> = None;
        for (converter, entry) in design.all::<Converter>() {
            if !ways.together(entry.positive, load.positive) {
                continue;
            }
            let missing = Unknown::missing(converter, Gap::OutputVoltage);
            let output = entry.output.map(Voltage::as_volts);
            let check = Check {
                aspect: Aspect::Drop,
                value: output
                    .ok_or(missing)
                    .and_then(|output| Ok(libm::fmaxf(output - lowest?, 0.0))),
                side: Side::AtMost,
                limit: output.map(|output| LOW_VOLTAGE_DROP * output),
                stated_in: converter.into(),
                source: SourceId::CommonPractice,
            };
            if worst
                .as_ref()
                .is_none_or(|(_, known)| lost(&check) > lost(known))
            {
                worst = Some((converter, check));
            }
        }
        if let Some((converter, check)) = worst {
            let at = several.then(|| converter.into());
            put_drop(sink, (id, at, silent), check);
        }
    }
}

/// Share of what may be lost; what is not known may be all.
fn lost(check: &Check) -> f32 {
    match (check.value, check.limit) {
        (Ok(value), Some(limit)) => value / limit,
        _ => f32::INFINITY,
    }
}

fn lowest_at(subject: &Subject<'_>, load: LoadId) -> Known<f32> {
    let mut lowest: Known<f32> = Err(Unknown::missing(load, Gap::Draw));
    for (phase, _) in subject.design.all::<Phase>() {
        subject.study.points.known_current(phase, load)?;
        if let Some(span) = subject.study.points.load(phase, load) {
            let here = span.lowest.as_volts();
            lowest = Ok(lowest.map_or(here, |known| libm::fminf(known, here)));
        }
    }
    lowest
}

/// Conductors with the same two ends carry alike only if they are alike.
pub(super) fn parallel(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    for (id, lead) in design.all::<Conductor>() {
        let twin = design
            .all::<Conductor>()
            .take_while(|(other, _)| *other != id)
            .find(|(_, other)| other.is_between([lead.from, lead.to]));
        let Some((twin, other)) = twin else {
            continue;
        };
        let at = Some(twin.into());
        let aspect = Aspect::ParallelLength;
        if lead.cable != other.cable {
            sink.put(id, at, plain(aspect, Verdict::Fails), None);
            continue;
        }
        let length = |lead: &Conductor| design.length(lead).ok().flatten().map(Length::as_metres);
        match (length(lead), length(other), lead.cable) {
            (Some(one), Some(two), Some(_)) => {
                let most = (1.0 + PARALLEL_SPREAD) * libm::fminf(one, two);
                let longer = libm::fmaxf(one, two);
                let source = SourceId::CommonPractice;
                let judged = Judged::compare(aspect, longer, Side::AtMost, most, source);
                sink.put(id, at, judged, None);
            }
            _ => {
                let because = Because::Unknown(Unknown::missing(id, Gap::RouteLength));
                sink.put(id, at, plain(aspect, Verdict::Open), Some(because));
            }
        }
    }
}

/// The design states bundle and installation of every piece, so that only a missing route
/// leaves it open.
pub(super) fn grouping(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    each(subject, |id, lead, _| {
        let missing = if lead.route.piece_count() == 0 {
            Some(Unknown::missing(id, Gap::Route))
        } else {
            lead.route.pieces().find_map(|piece| {
                let gap = subject.design.get(piece)?.stated().err()?;
                Some(Unknown::missing(piece, gap))
            })
        };
        match missing {
            Some(missing) => sink.open(id, Aspect::Grouping, Because::Unknown(missing)),
            None => sink.verdict(id, Aspect::Grouping, Verdict::Holds),
        }
    });
}
