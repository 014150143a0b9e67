//! Rules about the coils of contactors.

use super::aspect::Aspect;
use super::contactor::each;
use super::finding::Because;
use super::measured;
use super::subject::{Check, Sink, Subject, plain};
use crate::design::{Contactor, ContactorId, Gap, System, TerminalId, Thing};
use crate::quantity::Voltage;
use crate::standard::SourceId;
use crate::study::{Known, Unknown};
use crate::verdict::{Side, Verdict};

/// Whether each coil pulls in and holds at the lowest supply, and stands the highest.
pub(super) fn supply(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.coils {
        let [pull_in, hold] = &one.checks;
        sink.checked(one.contactor, None, Aspect::CoilPullIn, pull_in);
        sink.checked(one.contactor, None, Aspect::CoilHold, hold);
    }
    highest(subject, sink);
}

/// A coil for 12 V takes four times its power from 24 V, and burns.
fn highest(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::CoilHighest;
    each(subject, sink, aspect, |sink, id, contactor, part, kind| {
        sink.against(
            id,
            Check {
                aspect,
                value: highest_supply(subject, contactor),
                side: Side::AtMost,
                limit: kind.coil.stands(),
                stated_in: part.into(),
                source: SourceId::CommonPractice,
            },
        );
    });
}

/// The highest voltage of what feeds a coil; of the whole low-voltage side where it is not
/// stated where that is.
pub(super) fn highest_supply(subject: &Subject<'_>, contactor: &Contactor) -> Known<f32> {
    let design = subject.design;
    let highest = match contactor.coil {
        Some([supply, _]) => design.low_voltage_highest_at(supply),
        None => design.low_voltage_highest(),
    };
    let missing = Unknown::Missing(Thing::VEHICLE, Gap::OutputVoltage);
    highest.map(Voltage::as_volts).ok_or(missing)
}

/// Isolation between the two sides of each converter, and on which side each coil is: one on
/// the traction side brings that into the wiring of the controller.
pub(super) fn separate(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    measured::separate(subject, sink);
    for (id, contactor) in subject.design.all::<Contactor>() {
        side(subject, sink, id, contactor);
    }
}

fn side(subject: &Subject<'_>, sink: &mut Sink<'_>, id: ContactorId, contactor: &Contactor) {
    let aspect = Aspect::CoilSide;
    let high = |end: &TerminalId| subject.is_high(*end);
    if let Some(live) = contactor
        .coil
        .iter()
        .flatten()
        .copied()
        .find(|end| high(end))
    {
        let judged = plain(aspect, Verdict::Fails);
        return sink.put(id, Some(live.into()), judged, None);
    }
    if !subject.is_high(contactor.from) {
        return;
    }
    let fed = |[supply, _]: [TerminalId; 2]| subject.systems.of(supply) == Some(System::LowVoltage);
    if !contactor.coil.is_some_and(fed) {
        let missing = Unknown::missing(id, Gap::CoilTerminals);
        sink.open(id, aspect, Because::Unknown(missing));
    }
}
