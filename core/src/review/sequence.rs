//! Rules about what happens step by step: precharge and discharge of the link.

use super::aspect::Aspect;
use super::subject::{Sink, Subject};
use crate::design::Thing;
use crate::link::{DischargeCheck, PrechargeCheck};
use crate::study::sequence::DischargeStudy;

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

pub(super) fn passive(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.discharges {
        let at = one.label.map(|(enclosure, _)| enclosure.into());
        let check = one.check(DischargeCheck::Label);
        sink.checked(named(one), at, Aspect::DischargeLabel, check);
    }
}

pub(super) fn active(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.discharges {
        let at = one.active.or(one.bleeds.iter().next()).map(Into::into);
        let check = one.check(DischargeCheck::Time);
        sink.checked(named(one), at, Aspect::DischargeTime, check);
        if let Some(active) = one.active {
            let check = one.check(DischargeCheck::ActiveEnergy);
            sink.checked(active, None, Aspect::DischargeEnergy, check);
        }
    }
}

/// What is switched on stands a welded contactor; what is always on stands the battery.
pub(super) fn against_weld(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for one in &subject.study.sequences.discharges {
        if let Some(active) = one.active {
            let check = one.check(DischargeCheck::Welded);
            sink.checked(active, None, Aspect::DischargeWelded, check);
        }
        if let Some((bleed, check)) = &one.bleed_power {
            sink.checked(*bleed, None, Aspect::BleedPower, check);
        }
    }
}
