//! Rules about distances, isolation and the monitor.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Sink, Subject, without_box};
use crate::design::{Contactor, EnclosureId, Gap, Spacing, SpacingId, Thing};
use crate::insulation::{Impulse, IsolationCheck};
use crate::standard::SourceId;
use crate::standard::iec60664::Insulation;
use crate::study::Unknown;
use crate::study::insulation::{BuiltDistance, least_stated};
use crate::verdict::{Judged, Side};

fn reinforced_one(subject: &Subject<'_>, id: SpacingId) -> bool {
    let built: Option<&Spacing> = subject.design.get(id);
    built.and_then(|built| built.insulation) == Some(Insulation::Reinforced)
}

/// Every stated distance, and every box of the high-voltage side without one between its
/// poles or to chassis: what keeps the low voltage away says nothing of those.
fn distances(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    gap: Gap,
    of: impl Fn(&mut Sink<'_>, Thing, &BuiltDistance),
) {
    let insulation = subject.insulation;
    for built in &insulation.spacings {
        let place = subject.design.get(built.spacing);
        let place = place.map_or(Thing::VEHICLE, |built| built.enclosure.into());
        of(sink, place, built);
    }
    for found in &insulation.boxes {
        let stated = |built: &BuiltDistance| {
            let spacing = subject.design.get(built.spacing);
            let here = spacing.is_some_and(|built| built.enclosure == found.enclosure);
            here && !reinforced_one(subject, built.spacing)
        };
        if !insulation.spacings.iter().any(stated) {
            let unknown = Unknown::missing(found.enclosure, gap);
            sink.open(
                found.enclosure,
                Aspect::Distances,
                Because::Unknown(unknown),
            );
        }
    }
    for (load, because) in without_box(subject) {
        sink.open(load, Aspect::Distances, because);
    }
}

/// A stated overvoltage against what the battery itself asks for: the larger one counts, and
/// the contradiction is told.
fn overvoltage(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let Some(stated) = subject.design.vehicle.impulse else {
        return;
    };
    let (aspect, volts) = match stated {
        Impulse::Rated { system, .. } => (Aspect::SystemVoltage, system),
        Impulse::Entered(volts) => (Aspect::StatedImpulse, volts),
    };
    let (volts, side) = (volts.as_volts(), Side::AtLeast);
    let source = SourceId::Iec60664Impulse;
    let least = subject.highest().map_err(Because::Unknown);
    let least = least.and_then(|highest| least_stated(stated, highest).map_err(Because::Refused));
    let (judged, because) = match least {
        Ok(least) => {
            let judged = Judged::compare(aspect, volts, side, least.as_volts(), source);
            (judged, None)
        }
        Err(because) => {
            let judged = Judged::open(aspect, Some(volts), side, None, source);
            (judged, Some(because))
        }
    };
    sink.put(Thing::VEHICLE, None, judged, because);
}

pub(super) fn clearance(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    overvoltage(subject, sink);
    distances(subject, sink, Gap::Clearance, |sink, place, built| {
        sink.checked(
            built.spacing,
            Some(place),
            Aspect::Clearance,
            &built.clearance,
        );
    });
}

pub(super) fn creepage(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    distances(subject, sink, Gap::Creepage, |sink, place, built| {
        sink.checked(
            built.spacing,
            Some(place),
            Aspect::Creepage,
            &built.creepage,
        );
    });
}

/// A box with a contactor has the low-voltage wires of its coil beside the high voltage.
pub(super) fn reinforced(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for built in &subject.insulation.spacings {
        if reinforced_one(subject, built.spacing) {
            let thing = built.spacing;
            sink.checked(thing, None, Aspect::Clearance, &built.clearance);
            sink.checked(thing, None, Aspect::Creepage, &built.creepage);
        }
    }
    for found in &subject.insulation.boxes {
        let id = found.enclosure;
        let stated = subject.insulation.spacings.iter().any(|built| {
            let spacing = subject.design.get(built.spacing);
            reinforced_one(subject, built.spacing)
                && spacing.is_some_and(|built| built.enclosure == id)
        });
        if !stated && has_coil(subject, id) {
            let unknown = Unknown::missing(id, Gap::Creepage);
            sink.open(id, Aspect::Distances, Because::Unknown(unknown));
        }
    }
}

fn has_coil(subject: &Subject<'_>, enclosure: EnclosureId) -> bool {
    subject.design.all::<Contactor>().any(|(_, contactor)| {
        let place = subject.design.box_of(contactor.enclosure, contactor.from);
        place == Some(enclosure) && subject.is_high(contactor.from)
    })
}

pub(super) fn budget(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let found = &subject.insulation.to_chassis;
    let weakest = found.weakest.map(Into::into);
    sink.checked(
        Thing::VEHICLE,
        weakest,
        Aspect::IsolationBudget,
        &found.budget,
    );
}

pub(super) fn touch_energy(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let found = &subject.insulation.to_chassis;
    sink.checked(Thing::VEHICLE, None, Aspect::TouchEnergy, &found.touch);
}

pub(super) fn monitor(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for checked in &subject.insulation.to_chassis.monitor {
        let aspect = match checked.judged.name {
            IsolationCheck::MonitorCapacitance => Aspect::MonitorCapacitance,
            IsolationCheck::MonitorResponse => Aspect::MonitorTime,
            IsolationCheck::MonitorAlarm => Aspect::MonitorAlarm,
            _ => Aspect::MonitorVoltage,
        };
        sink.checked(Thing::VEHICLE, None, aspect, checked);
    }
}
