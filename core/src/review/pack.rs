//! Rules about the traction battery.

use super::aspect::Aspect;
use super::attested::stands;
use super::finding::Because;
use super::subject::{Check, Sink, Subject, plain, renamed, why};
use super::topology::{alive_with_contactors_open, battery_at};
use crate::design::{
    Battery, BatteryString, Charged, Conductor, Gap, LoadId, Phase, PhaseId, Resistor,
    ServiceDisconnect, Set, System, Thing,
};
use crate::link::PrechargeCheck;
use crate::network::Refusal;
use crate::quantity::{Current, Voltage};
use crate::standard::SourceId;
use crate::study::{Known, Solved, StringStudy, Unknown};
use crate::verdict::{Judged, Side, Verdict};

/// The first battery of a string stands for it.
fn named(string: &BatteryString) -> Thing {
    string
        .batteries
        .iter()
        .next()
        .map_or(Thing::VEHICLE, Into::into)
}

pub(super) fn voltage_window(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    let value = subject.rated().map(Voltage::as_volts);
    let limits = design.vehicle.domain.limits();
    sink.against(
        Thing::VEHICLE,
        Check {
            aspect: Aspect::DomainVoltage,
            value: subject.highest().map(Voltage::as_volts),
            side: Side::AtMost,
            limit: Some(limits.highest_dc_v),
            stated_in: Thing::VEHICLE,
            source: limits.source,
        },
    );
    let rated = |thing: Thing, limit: Option<Voltage>| Check {
        aspect: Aspect::RatedVoltage,
        value,
        side: Side::AtMost,
        limit: limit.map(Voltage::as_volts),
        stated_in: thing,
        source: SourceId::Entered,
    };
    let mut reversed = Set::<LoadId>::EMPTY;
    for (phase, solved) in ended(subject) {
        // A load is drawn once: one phase is enough.
        if let Solved::Reversed { load, .. } = solved {
            if reversed.contains(load) || pulls_down(subject, phase, load) {
                continue;
            }
            reversed.insert(load);
        }
        not_settled(phase, solved, sink);
    }
    if let Some((first, second)) = design.opposed(System::Traction) {
        let judged = plain(Aspect::BatteryPoles, Verdict::Fails);
        sink.put(second, Some(first.into()), judged, None);
    }
    for (id, disconnect) in design.all::<ServiceDisconnect>() {
        if subject.is_high(disconnect.from) {
            sink.against(id, rated(id.into(), disconnect.voltage));
        }
    }
    for (id, resistor) in design.all::<Resistor>() {
        if !subject.is_high(resistor.from) {
            continue;
        }
        match design.part(resistor.part) {
            Some((part, kind)) => sink.against(id, rated(part.into(), kind.voltage)),
            None => sink.open(
                id,
                Aspect::RatedVoltage,
                Because::Unknown(Unknown::missing(id, Gap::ResistorType)),
            ),
        }
    }
}

/// Whether a load hangs on a precharge resistor that cannot bring what is drawn in this phase,
/// which precharge-standing-load tells: a voltage below zero is no answer then, no polarity.
fn pulls_down(subject: &Subject<'_>, phase: PhaseId, load: LoadId) -> bool {
    let mut all = subject.study.sequences.precharges.iter();
    all.any(|one| {
        let fed = one.path.as_ref();
        let here = fed.is_ok_and(|path| path.phase == Some(phase) && path.loads.contains(load));
        here && one.check(PrechargeCheck::Settles).verdict() == Verdict::Fails
    })
}

/// How both networks ended up in each phase.
fn ended(subject: &Subject<'_>) -> impl Iterator<Item = (PhaseId, Solved)> {
    subject.design.all::<Phase>().flat_map(|(phase, _)| {
        [System::Traction, System::LowVoltage]
            .map(|system| (phase, subject.study.points.solved(phase, system)))
    })
}

/// Tells of a network that has no operating point, or one that destroys a load.
fn not_settled(phase: PhaseId, solved: Solved, sink: &mut Sink<'_>) {
    let aspect = Aspect::OperatingPoint;
    let (thing, judged, because) = match solved {
        Solved::Reversed { load, voltage } => {
            let (aspect, volts) = (Aspect::Polarity, voltage.as_volts());
            let judged =
                Judged::compare(aspect, volts, Side::AtLeast, 0.0, SourceId::CommonPractice);
            (load.into(), judged, None)
        }
        // What cannot be fed is a matter of the load's window.
        Solved::Refused {
            why: Refusal::CannotBeFed(_),
            ..
        }
        | Solved::NotAsked
        | Solved::Settled { .. } => return,
        Solved::Refused { thing, why } => {
            let verdict = match why {
                Refusal::NotSettled => Verdict::Open,
                _ => Verdict::Fails,
            };
            let judged = plain(aspect, verdict);
            let thing = thing.unwrap_or(phase.into());
            (thing, judged, Some(Because::NotSolved(why)))
        }
        Solved::Unbuildable(error) => {
            let because = Because::Refused(error);
            (phase.into(), plain(aspect, Verdict::Open), Some(because))
        }
    };
    let at = Some(phase.into()).filter(|at| *at != thing);
    sink.put(thing, at, judged, because);
}

pub(super) fn load_window(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (phase, solved) in ended(subject) {
        if let Solved::Refused {
            thing: Some(thing),
            why: Refusal::CannotBeFed(shortfall),
        } = solved
        {
            // With several loads the power that one wants may be less than it could have alone.
            let judged = Judged {
                verdict: Verdict::Fails,
                ..Judged::compare(
                    Aspect::FedPower,
                    shortfall.power.as_watts(),
                    Side::AtMost,
                    shortfall.most.as_watts(),
                    SourceId::MostPower,
                )
            };
            sink.put(thing, Some(phase.into()), judged, None);
        }
    }
    for load in &subject.study.loads {
        let thing: Thing = load.load.into();
        let [low, high] = &load.limits;
        let at = load.lowest.ok().map(|(phase, _)| phase.into());
        let because = why(low, load.lowest.err(), thing);
        sink.put(thing, at, renamed(low, Aspect::LowestVoltage), because);
        let because = why(high, subject.rated().err(), thing);
        sink.put(thing, None, renamed(high, Aspect::HighestVoltage), because);
    }
}

pub(super) fn strings_alike(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let strings = &subject.strings;
    for group in 0..strings.group_count() {
        let mut of_group = strings.group(group);
        let Some(first) = of_group.next() else {
            continue;
        };
        for other in of_group {
            alike(subject, first, other, sink);
        }
    }
}

fn alike(subject: &Subject<'_>, first: &BatteryString, other: &BatteryString, sink: &mut Sink<'_>) {
    let design = subject.design;
    let thing = named(other);
    let at = Some(named(first));
    let series = |string: &BatteryString| -> f32 {
        let batteries = string.batteries.iter().filter_map(|id| design.get(id));
        batteries.map(|battery| f32::from(battery.in_series)).sum()
    };
    let equal = |aspect, one: f32, two: f32| Judged {
        verdict: if one.total_cmp(&two).is_eq() {
            Verdict::Holds
        } else {
            Verdict::Fails
        },
        ..Judged::compare(aspect, one, Side::AtMost, two, SourceId::CommonPractice)
    };
    let judged = equal(Aspect::CellsInSeries, series(other), series(first));
    sink.put(thing, at, judged, None);
    let full = |string: &BatteryString| string.voltage(design, Charged::Maximum).ok().flatten();
    match (full(other), full(first)) {
        (Some(one), Some(two)) => {
            let judged = equal(Aspect::FullVoltage, one.as_volts(), two.as_volts());
            sink.put(thing, at, judged, None);
        }
        _ => sink.put(
            thing,
            at,
            plain(Aspect::FullVoltage, Verdict::Open),
            Some(Because::NoValue(thing)),
        ),
    }
    let mut chemistries = first
        .batteries
        .iter()
        .chain(other.batteries.iter())
        .map(|id| {
            design
                .get(id)
                .and_then(|battery: &Battery| battery.chemistry)
        });
    let one = chemistries.next().flatten();
    let (mut known, mut same) = (one.is_some(), true);
    for chemistry in chemistries {
        known &= chemistry.is_some();
        same &= chemistry.is_none() || one.is_none() || chemistry == one;
    }
    let (verdict, because) = match (same, known) {
        (false, _) => (Verdict::Fails, None),
        (true, true) => (Verdict::Holds, None),
        (true, false) => (Verdict::Open, Some(Because::NoValue(thing))),
    };
    sink.put(thing, at, plain(Aspect::Chemistry, verdict), because);
}

pub(super) fn string_current(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for string in &subject.study.strings {
        let thing = named(&string.string);
        let [discharge, charge] = &string.limits;
        for (judged, found, aspect) in [
            (discharge, string.discharge, Aspect::StringDischarge),
            (charge, string.charge, Aspect::StringCharge),
        ] {
            let at = found.ok().map(|(phase, _)| phase.into());
            let because = why(judged, found.err(), thing);
            sink.put(thing, at, renamed(judged, aspect), because);
        }
    }
}

/// Whether strings are in parallel.
fn in_parallel(subject: &Subject<'_>) -> bool {
    subject.strings.strings.len() > usize::from(subject.strings.group_count())
}

/// The difference at which each string is joined, and what the others feed into it when it
/// is shorted.
pub(super) fn join_window(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let name = |number: u8| {
        let strings = &subject.strings.strings;
        strings
            .get(usize::from(number))
            .map_or(Thing::VEHICLE, named)
    };
    for one in &subject.study.sequences.joins {
        let (thing, at) = (name(one.string), Some(name(one.with)));
        sink.checked(thing, at, Aspect::JoinWindow, &one.window_check);
        sink.checked(thing, at, Aspect::JoinSensors, &one.sensors_check);
        sink.checked(thing, at, Aspect::BackFeed, &one.back_feed);
    }
}

/// One string lost: the others share what it carried, unless the controller derates,
/// which somebody has to stand for.
pub(super) fn string_lost(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    if !in_parallel(subject) {
        return;
    }
    // The controller keeps each string below its own limits, however many are closed.
    let controller = &subject.design.controller;
    let kept = [controller.string_limit, controller.string_charge_limit];
    for string in &subject.study.strings {
        lost_beside(subject, string, [kept[0], None], Aspect::StringLost, sink);
        lost_beside(subject, string, kept, Aspect::StringLostCharge, sink);
    }
}

/// What strings carry together in one direction, in the phase in which that is most.
pub(super) fn largest_together<'a, I: Iterator<Item = &'a BatteryString>>(
    subject: &Subject<'_>,
    strings: impl Fn() -> I,
    direction: f32,
) -> Known<f32> {
    let mut most = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for (phase, _) in subject.design.all::<Phase>() {
        let mut sum = 0.0;
        for string in strings() {
            // Of its batteries the one that carries most.
            let mut largest = 0.0;
            for battery in string.batteries.iter() {
                let current = subject.study.points.known_current(phase, battery)?;
                largest = libm::fmaxf(largest, direction * current.as_amperes());
            }
            sum += largest;
        }
        most = Ok(libm::fmaxf(most.unwrap_or(0.0), sum));
    }
    most
}

/// One of the other strings lost, in one direction of the current.
fn lost_beside(
    subject: &Subject<'_>,
    string: &StringStudy,
    kept: [Option<Current>; 2],
    aspect: Aspect,
    sink: &mut Sink<'_>,
) {
    let [discharge, charge] = &string.limits;
    let charging = aspect == Aspect::StringLostCharge;
    let limit = if charging { charge } else { discharge }.limit;
    let mates = || subject.strings.group(string.string.group);
    let count = mates().fold(0.0, |count, _| count + 1.0);
    if count < 2.0 {
        return;
    }
    let all = largest_together(subject, mates, if charging { -1.0 } else { 1.0 });
    let unknown = all.err();
    let thing = named(&string.string);
    let each = kept
        .into_iter()
        .flatten()
        .map(Current::as_amperes)
        .fold(all.unwrap_or(0.0) / (count - 1.0), libm::fminf);
    let source = SourceId::OhmsLaw;
    let (judged, because) = match (unknown, limit) {
        (Some(unknown), limit) => (
            Judged::open(aspect, None, Side::AtMost, limit, source),
            Some(Because::Unknown(unknown)),
        ),
        (None, None) => (
            Judged::open(aspect, Some(each), Side::AtMost, None, source),
            Some(Because::NoLimit(thing)),
        ),
        (None, Some(limit)) => {
            let judged = Judged::compare(aspect, each, Side::AtMost, limit, source);
            if judged.verdict == Verdict::Fails {
                let slug = sink.rule().slug();
                let (verdict, because) = stands(subject, slug, Thing::VEHICLE);
                (Judged { verdict, ..judged }, Some(because))
            } else {
                (judged, None)
            }
        }
    };
    sink.put(thing, None, judged, because);
}

/// Cables outside a box that stay joined to a battery with all contactors open: open
/// until somebody stands for guard and label.
pub(super) fn live_cables(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    let metal = alive_with_contactors_open(design);
    let slug = sink.rule().slug();
    for (id, lead) in design.all::<Conductor>() {
        let (from, to) = (subject.box_of(lead.from), subject.box_of(lead.to));
        let inside = from.is_some() && from == to;
        if !subject.is_high(lead.from) || inside {
            continue;
        }
        match battery_at(design, &metal, lead.from) {
            None => sink.verdict(id, Aspect::LiveCable, Verdict::Holds),
            Some(battery) => {
                let (verdict, because) = stands(subject, slug, id.into());
                let judged = plain(Aspect::LiveCable, verdict);
                sink.put(id, Some(battery.into()), judged, Some(because));
            }
        }
    }
}
