//! Rules about converters and the low-voltage battery.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Check, Sink, Subject, renamed, why};
use crate::design::{Gap, Load, Phase, System, Thing};
use crate::quantity::Time;
use crate::standard::SourceId;
use crate::study::{Known, Unknown};
use crate::verdict::Side;

/// What an aged battery is trusted with; common practice.
pub(super) const AGED_SHARE: f32 = 0.5;

/// Time without converter that steering, brakes and lamps have to last, s; common
/// practice says 10 to 20 minutes, of which this is the safe end.
pub(super) const LEAST_RESERVE_S: f32 = 1200.0;

pub(super) fn converter(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for studied in &subject.study.converters {
        let thing: Thing = studied.converter.into();
        let at = studied.largest.ok().map(|(phase, _)| phase.into());
        let because = why(&studied.output, studied.largest.err(), thing);
        let judged = renamed(&studied.output, Aspect::ConverterCurrent);
        sink.put(thing, at, judged, because);
    }
}

/// Largest current of the loads that must go on without a converter; of all of them
/// while it is not stated of each whether it must.
fn essential(subject: &Subject<'_>) -> Known<f32> {
    let design = subject.design;
    let low = || {
        let all = design.all::<Load>();
        all.filter(|(_, load)| subject.systems.of(load.positive) == Some(System::LowVoltage))
    };
    let told = low().all(|(_, load)| load.essential.is_some());
    let mut largest: Known<f32> = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for (phase, _) in design.all::<Phase>() {
        let mut sum = 0.0;
        for (id, load) in low() {
            if !told || load.essential == Some(true) {
                sum += subject.study.points.known_current(phase, id)?.as_amperes();
            }
        }
        largest = Ok(largest.map_or(sum, |known: f32| libm::fmaxf(known, sum)));
    }
    largest
}

pub(super) fn reserve(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let low = &subject.study.low_voltage;
    if subject.study.converters.is_empty() {
        return;
    }
    let value = low.reserve.and_then(|all| {
        let (_, drawn) = low.drawn?;
        let charge = all.as_seconds() * drawn.as_amperes();
        let amperes = essential(subject)?;
        if amperes <= 0.0 {
            return Err(Unknown::Missing(Thing::VEHICLE, Gap::Draw));
        }
        let seconds = Time::from_seconds(AGED_SHARE * charge / amperes);
        let seconds = seconds.map_err(Unknown::refused(Thing::VEHICLE))?;
        Ok(seconds.as_seconds())
    });
    match value {
        Err(unknown) => sink.open(Thing::VEHICLE, Aspect::Reserve, Because::Unknown(unknown)),
        Ok(_) => sink.against(
            Thing::VEHICLE,
            Check {
                aspect: Aspect::Reserve,
                value,
                side: Side::AtLeast,
                limit: Some(LEAST_RESERVE_S),
                stated_in: Thing::VEHICLE,
                source: SourceId::CommonPractice,
            },
        ),
    }
}
