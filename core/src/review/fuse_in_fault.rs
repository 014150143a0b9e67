//! Rules about what short circuits do to fuses.

use super::aspect::Aspect;
use super::finding::Because;
use super::short_circuit::{settle, unreached};
use super::subject::{Sink, Subject, renamed};
use crate::design::{Contactor, Fuse, FuseId, FuseType, FuseTypeId, Gap, Load, Thing};
use crate::protection::{Clearing, FuseGap, SELECTIVE_SHARE, judge_breaking};
use crate::quantity::{Current, CurrentSquaredTime};
use crate::standard::SourceId;
use crate::study::{
    FaultBurden, Unknown, bond_missing, least_fault_of, selectivity_of, time_constant_of,
};
use crate::verdict::{Judged, Side, Verdict};

/// Every fuse of the high-voltage side with its type and what short circuits do to it.
fn each(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    aspect: Aspect,
    mut of: impl FnMut(&mut Sink<'_>, FuseId, (FuseTypeId, &FuseType), &FaultBurden),
) {
    for (id, fuse) in subject.design.all::<Fuse>() {
        if !subject.is_high(fuse.from) {
            continue;
        }
        let part = subject.design.part(fuse.part);
        let unknown = match (part, subject.faults.fuse(id)) {
            (Some(part), Some(burden)) => {
                of(sink, id, part, &burden);
                continue;
            }
            (None, _) => Unknown::missing(id, Gap::FuseType),
            (_, None) => {
                let doubt = subject.faults.doubt();
                doubt.unwrap_or(Unknown::missing(id, Gap::Phase))
            }
        };
        sink.open(id, aspect, Because::Unknown(unknown));
    }
}

/// Why a check of a fuse is open.
fn why(judged: &Judged<Aspect>, id: FuseId, part: FuseTypeId) -> Option<Because> {
    match (judged.verdict, judged.limit) {
        (Verdict::Open, None) => Some(Because::NoLimit(part.into())),
        (Verdict::Open, Some(_)) => {
            let missing = Unknown::missing(id, Gap::ShortBehind);
            Some(Because::Unknown(missing))
        }
        _ => None,
    }
}

pub(super) fn time_constant(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::FuseTimeConstant;
    each(subject, sink, aspect, |sink, id, (part, kind), burden| {
        let judged = renamed(&time_constant_of(kind, burden), aspect);
        let because = match (judged.value, judged.limit, burden.inductance) {
            (Some(_), Some(_), Some(battery)) if judged.verdict == Verdict::Open => {
                let unknown = Unknown::missing(battery, Gap::BatteryInductance);
                Some(Because::Unknown(unknown))
            }
            _ => why(&judged, id, part),
        };
        let (judged, because) = settle(subject, judged, because);
        sink.put(id, None, judged, because);
    });
}

/// The largest current against what it breaks, and the smallest one that it has to break.
pub(super) fn breaking(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::FuseBreaking;
    each(subject, sink, aspect, |sink, id, (part, kind), burden| {
        let judged = renamed(&judge_breaking(kind, burden.largest), aspect);
        let because = why(&judged, id, part);
        let (judged, because) = settle(subject, judged, because);
        sink.put(id, None, judged, because);
        least(subject, sink, (id, part, kind), burden);
    });
}

fn least(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    (id, part, kind): (FuseId, FuseTypeId, &FuseType),
    burden: &FaultBurden,
) {
    let aspect = Aspect::LeastFault;
    let highest = match subject.highest() {
        Ok(highest) => highest,
        Err(unknown) => return sink.open(id, aspect, Because::Unknown(unknown)),
    };
    let found = match least_fault_of(kind, burden, highest) {
        Ok(found) => found,
        Err(error) => return sink.open(id, aspect, Because::Refused(error)),
    };
    if found.judged.verdict == Verdict::NotApplicable {
        return unreached(subject, sink, id, aspect);
    }
    let judged = renamed(&found.judged, aspect);
    if let Some(bond) = found.guessed_bond {
        let because = Because::Unknown(bond_missing(bond));
        return sink.put(id, Some(bond), judged, Some(because));
    }
    let because = match (judged.verdict, found.clearing) {
        (_, Some(Clearing::Never(why))) => Some(Because::NotBroken(part.into(), why)),
        (_, Some(Clearing::NotKnown(gap))) => Some(Because::Datasheet(part.into(), gap)),
        (Verdict::Open, Some(Clearing::LaterThan(_))) => {
            Some(Because::Datasheet(part.into(), FuseGap::MeltingThere))
        }
        _ => why(&judged, id, part),
    };
    let (judged, because) = settle(subject, judged, because);
    sink.put(id, None, judged, because);
}

pub(super) fn selectivity(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (design, study, faults) = (subject.design, subject.study, subject.faults);
    let aspect = Aspect::SelectiveI2t;
    each(subject, sink, aspect, |sink, id, (part, _), _| {
        let mut judges = false;
        for upper in faults.upstream(id) {
            let pair = selectivity_of(design, study, faults, id, upper);
            let upstream = design.get(upper).and_then(|fuse| fuse.part);
            let both = [(pair.by_i2t, aspect), (pair.by_time, Aspect::SelectiveTime)];
            for (judged, aspect) in both {
                if judged.verdict == Verdict::NotApplicable {
                    continue;
                }
                judges = true;
                let judged = renamed(&judged, aspect);
                let because = match (judged.verdict, judged.limit, upstream) {
                    (Verdict::Open, ..) if pair.because.is_some() => {
                        pair.because.map(Because::Unknown)
                    }
                    (Verdict::Open, None, Some(upstream)) => {
                        Some(Because::NoLimit(upstream.into()))
                    }
                    (Verdict::Open, ..) if aspect == Aspect::SelectiveTime => {
                        let missing = Unknown::missing(part, Gap::FuseTimes);
                        Some(Because::Unknown(missing))
                    }
                    (Verdict::Open, ..) => Some(Because::NoValue(part.into())),
                    _ => None,
                };
                let (judged, because) = settle(subject, judged, because);
                sink.put(id, Some(upper.into()), judged, because);
            }
        }
        if !judges {
            unreached(subject, sink, id, aspect);
        }
    });
}

/// The peak of link capacitors against what fuses break and contacts stand; their joule
/// integral against what melts a fuse that has no fault behind it, and against what
/// contacts stand.
pub(super) fn capacitors(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::CapacitorPeak;
    each(subject, sink, aspect, |sink, id, (part, kind), burden| {
        let limits = [
            kind.breaking.map(Current::as_amperes),
            kind.melting
                .map(|i2t| i2t.as_a2s() * SELECTIVE_SHARE.as_fraction()),
        ];
        // Its own load's capacitor, into a fault elsewhere.
        let own = burden.surges.iter().filter(|surge| !surge.from_source);
        let backwards = own.map(|surge| surge.i2t.as_a2s());
        let backwards = backwards.fold(0.0, libm::fmaxf);
        put_surge(
            subject,
            sink,
            id.into(),
            part.into(),
            burden,
            limits,
            backwards,
        );
    });
    for (id, contactor) in subject.design.all::<Contactor>() {
        let part = subject.design.part(contactor.part);
        let (Some((part, kind)), Some(burden)) = (part, subject.faults.contactor(id)) else {
            // Said by fuse-contactor-match.
            continue;
        };
        let limits = [
            kind.withstand_peak.map(Current::as_amperes),
            kind.withstand.map(CurrentSquaredTime::as_a2s),
        ];
        let i2t = burden.surges.iter().map(|surge| surge.i2t.as_a2s());
        let most = i2t.fold(0.0, libm::fmaxf);
        put_surge(subject, sink, id.into(), part.into(), &burden, limits, most);
    }
}

fn put_surge(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    thing: Thing,
    part: Thing,
    burden: &FaultBurden,
    [peak, i2t]: [Option<f32>; 2],
    heat: f32,
) {
    let peaks = burden.surges.iter().map(|surge| surge.peak.as_amperes());
    let checks = [
        (Aspect::CapacitorPeak, peaks.fold(0.0, libm::fmaxf), peak),
        (Aspect::CapacitorI2t, heat, i2t),
    ];
    for (aspect, value, limit) in checks {
        if value <= 0.0 {
            match capacitor_not_known(subject) {
                Some(unknown) => sink.open(thing, aspect, Because::Unknown(unknown)),
                None => unreached(subject, sink, thing, aspect),
            }
            continue;
        }
        let source = SourceId::OhmsLaw;
        let judged = Judged::known(aspect, Some(value), Side::AtMost, limit, source);
        let because = limit.is_none().then_some(Because::NoLimit(part));
        let (judged, because) = match capacitor_not_known(subject) {
            Some(unknown) if judged.verdict == Verdict::Holds => {
                let verdict = Verdict::Open;
                (
                    Judged { verdict, ..judged },
                    Some(Because::Unknown(unknown)),
                )
            }
            _ => settle(subject, judged, because),
        };
        sink.put(thing, None, judged, because);
    }
}

/// A load of which nobody has said whether it has a capacitor.
fn capacitor_not_known(subject: &Subject<'_>) -> Option<Unknown> {
    let mut loads = subject.design.all::<Load>();
    let (load, _) =
        loads.find(|(_, load)| subject.is_high(load.positive) && load.link.is_none())?;
    Some(Unknown::missing(load, Gap::LinkCapacitance))
}
