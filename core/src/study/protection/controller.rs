//! What the limits of the controller mean for one thing of the design.

use super::{in_series, lasting};
use crate::design::{
    Battery, BatteryId, Conductor, ConductorId, ContactorId, Design, FuseId, FuseType, Gap, Load,
    LoadId, Phase, PhaseId, Resistor, ResistorId, Strings, System, Thing,
};
use crate::protection::{FuseCheck, Opened, Trip, judge_overload_owner, smaller};
use crate::quantity::Current;
use crate::study::points::Points;
use crate::study::sequence::{JoinStudy, SequenceStudy};
use crate::study::series::{carries_all, sum_of_strings};
use crate::study::unknown::{Known, Unknown};
use crate::study::whole::Study;
use crate::verdict::{Judged, Verdict};

/// The traction battery whose current something carries in every phase: one string and
/// nothing else.
fn string_of(design: &Design, points: &Points, thing: Thing) -> Option<BatteryId> {
    let batteries = design.all::<Battery>();
    let mut traction = batteries.filter(|(_, one)| one.system == System::Traction);
    let found = traction.find(|(id, _)| in_series(design, points, (*id).into(), thing));
    found.map(|(id, _)| id)
}

/// How many strings feed the link at most.
fn strings_together(design: &Design) -> f32 {
    let strings = design.strings(System::Traction);
    (0..strings.group_count())
        .map(|group| strings.group(group).map(|_| 1.0).sum())
        .fold(1.0, libm::fmaxf)
}

/// Lasting current that the controller allows through something: that of a string where it
/// is in one, that of the whole battery where it carries all of that or a part of it.
/// `None` where it keeps no such limit, and for a branch into which others than the battery
/// deliver: a charging source, a braking drive; nor on the low-voltage side. Nor is one kept
/// that an operation does not keep to, by its r.m.s. current.
pub(super) fn lasting_limit(design: &Design, study: &Study, thing: Thing) -> Option<Current> {
    if study.points.is_low_voltage(thing) {
        return None;
    }
    let points = &study.points;
    let part = || {
        let own = |phase| {
            let current = points.known_current(phase, thing)?;
            Ok(libm::fabsf(current.as_amperes()))
        };
        let behind = |load: LoadId| in_series(design, points, load.into(), thing);
        is_part(design, study, own, behind)
    };
    let whole = whole_limit(design).filter(|_| carries_all(design, study, thing) || part());
    let string = design
        .controller
        .string_limit
        .filter(|_| string_of(design, &study.points, thing).is_some());
    let stated = match (string, whole) {
        (Some(string), Some(whole)) if whole < string => Some(whole),
        (string, whole) => string.or(whole),
    }?;
    let asked = lasting(design, points, thing).map_or(0.0, |(_, rms)| rms.as_amperes());
    (asked <= (1.0 + ROUNDING) * stated.as_amperes()).then_some(stated)
}

/// Lasting current that the controller allows to flow through all of something: that of a
/// string where it is in one, that of the whole battery where it carries all of that; the
/// smaller where both are kept. `None` for what carries a part of that only, which its load
/// bounds, and on the low-voltage side.
pub(crate) fn allowed_to_last(design: &Design, study: &Study, thing: Thing) -> Option<Current> {
    if study.points.is_low_voltage(thing) {
        return None;
    }
    let controller = &design.controller;
    let past = past_resistor(design, study, thing);
    let in_string = past == Some(1) || string_of(design, &study.points, thing).is_some();
    let string = controller.string_limit.filter(|_| in_string);
    let all = past == Some(study.strings.len()) || carries_all(design, study, thing);
    // Of one direction alone it is known that as much may flow, not that no more does.
    let one = controller.discharge_limit.or(controller.charge_limit);
    match (string, whole_limit(design).filter(|_| all)) {
        (Some(string), Some(whole)) if whole < string => Some(whole),
        (string, whole) => string.or(whole).or(one.filter(|_| all)),
    }
}

/// Of how many strings a contactor that leads past a precharge resistor carries the current in
/// every phase in which it carries any: while the resistor does, it carries none, and is in
/// series with nothing.
fn past_resistor(design: &Design, study: &Study, thing: Thing) -> Option<usize> {
    let id: ContactorId = thing.id()?;
    let amperes = |phase, thing| study.points.current(phase, thing).map(Current::as_amperes);
    let paths = study.sequences.precharges.iter();
    let mut paths = paths.filter_map(|one| one.path.as_ref().ok());
    let path = paths.find(|path| path.mains.contains(id))?;
    let mut carries = false;
    for (phase, _) in design.all::<Phase>() {
        let own = libm::fabsf(amperes(phase, thing)?);
        if own <= ROUNDING {
            continue;
        }
        let mut sum = 0.0;
        for number in &path.strings {
            let string = study.strings.get(usize::from(*number))?;
            sum += amperes(phase, string.string.batteries.iter().next()?.into())?;
        }
        let sum = libm::fabsf(sum);
        if libm::fabsf(own - sum) > ROUNDING * libm::fmaxf(own, sum) {
            return None;
        }
        carries = true;
    }
    carries.then_some(path.strings.len())
}

/// Lasting current that the controller allows the whole battery, in either direction.
pub(super) fn whole_limit(design: &Design) -> Option<Current> {
    let controller = &design.controller;
    let both = controller.discharge_limit.zip(controller.charge_limit);
    both.map(|(out, into)| if out < into { into } else { out })
}

/// What rounding may make of a sum of currents, as a share, and of none, in A.
pub(super) const ROUNDING: f32 = 1.0e-3;

/// Whether what something carries is a part of what the battery gives or takes: in no phase
/// more than that, and in none in which it carries current another load delivers than
/// one that is behind it. Its size in each phase is handed over, A.
pub(super) fn is_part(
    design: &Design,
    study: &Study,
    own: impl Fn(PhaseId) -> Known<f32>,
    behind: impl Fn(LoadId) -> bool,
) -> bool {
    let points = &study.points;
    let mut carries = false;
    for (phase, _) in design.all::<Phase>() {
        let amperes = |thing: Thing| points.known_current(phase, thing).map(Current::as_amperes);
        let Ok(own) = own(phase) else {
            return false;
        };
        if own == 0.0 {
            continue;
        }
        let Some(all) = sum_of_strings(study, |battery| amperes(battery.into()).ok()) else {
            return false;
        };
        let others = design.all::<Load>().any(|(id, _)| {
            let delivers = amperes(id.into()).is_ok_and(|current| current < 0.0);
            delivers && !behind(id)
        });
        if others || own > (1.0 + ROUNDING) * libm::fabsf(all) {
            return false;
        }
        carries = true;
    }
    carries
}

/// The trip as something sees it: outside a string the currents of all strings meet, each
/// up to the trip. On the low-voltage side there is none.
pub(super) fn trip_at(design: &Design, points: &Points, thing: Thing) -> Option<Trip> {
    if points.is_low_voltage(thing) {
        return None;
    }
    let controller = &design.controller;
    let (current, time) = controller.trip_current.zip(controller.trip_time)?;
    let strings = match string_of(design, points, thing) {
        Some(_) => 1.0,
        None => strings_together(design),
    };
    let current = Current::from_amperes(current.as_amperes() * strings).ok()?;
    Some(Trip { current, time })
}

/// What a contactor is opened on, by direction.
///
/// A contactor of the battery's own path opens on the largest current of the phases that way,
/// on what the controller opens at while the battery is discharged or charged, or trips at
/// where that is not stated, on what it allows to last, which what opens without software
/// knows nothing of, and on what flows when its string is joined; the largest counts. One in
/// series with a precharge resistor opens on the first current through it, all others on the
/// largest of the phases.
///
/// With it: whether its main direction is from its first terminal to its second.
///
/// # Errors
/// As [`Points::known_current`].
pub(crate) fn opened(design: &Design, study: &Study, id: ContactorId) -> Known<(Opened, bool)> {
    let (points, sequences) = (&study.points, &study.sequences);
    let (mut along, mut against) = (0.0, 0.0);
    for (phase, _) in design.all::<Phase>() {
        let amperes = points.known_current(phase, id)?.as_amperes();
        along = libm::fmaxf(along, amperes);
        against = libm::fmaxf(against, -amperes);
    }
    let along_is_main = along >= against;
    let main = sequences
        .precharges
        .iter()
        .filter_map(|one| one.path.as_ref().ok())
        .any(|path| path.mains.contains(id));
    let in_string = string_of(design, points, id.into()).is_some();
    if let Some(first) = first_current(design, points, sequences, id) {
        along = if along > 0.0 { first } else { along };
        against = if against > 0.0 { first } else { against };
    } else if main || in_string || carries_all(design, study, id.into()) {
        let [out, into] = [false, true].map(|charging| opens_on(design, charging, in_string));
        let strings = design.strings(System::Traction);
        let [first, second] = if discharges_along(design, points, &strings, id) {
            [out, into]
        } else {
            [into, out]
        };
        let joined = joined_on(sequences, id);
        along = largest([Some(along), first, joined]);
        against = largest([Some(against), second, joined]);
    }
    let current = |amperes| Current::from_amperes(amperes).map_err(Unknown::refused(id));
    let opened = Opened {
        along: Some(current(along)?),
        against: Some(current(against)?),
    };
    Ok((opened, along_is_main))
}

/// Of some currents the largest, A.
fn largest(all: impl IntoIterator<Item = Option<f32>>) -> f32 {
    all.into_iter().flatten().fold(0.0, libm::fmaxf)
}

/// What flows when a contactor joins its string to another, in whichever direction, A.
fn joined_on(sequences: &SequenceStudy, id: ContactorId) -> Option<f32> {
    let of_it = sequences.joins.iter();
    let of_it = of_it.filter(|one| one.contactors.contains(id));
    of_it.filter_map(JoinStudy::closes_on).reduce(libm::fmaxf)
}

/// On what the controller opens a contactor of the battery's path while the battery is charged
/// or discharged: no less than what may last, in a string that of a string where it is stated;
/// and the trip, where it is not stated on what it opens.
fn opens_on(design: &Design, charging: bool, in_string: bool) -> Option<f32> {
    let controller = &design.controller;
    let (stated, whole) = if charging {
        (controller.opens_charging, controller.charge_limit)
    } else {
        let stated = controller.opens_discharging.or(controller.trip_current);
        (stated, controller.discharge_limit)
    };
    let of_string = [
        controller.string_limit,
        controller.string_charge_limit.filter(|_| charging),
    ];
    let limits = of_string.into_iter().filter(|_| in_string).chain([whole]);
    let lasts = limits
        .flatten()
        .reduce(|one, other| if other < one { other } else { one });
    let both = [stated, lasts].map(|one| one.map(Current::as_amperes));
    both.into_iter().flatten().reduce(libm::fmaxf)
}

/// The current up to which the controller opens a contactor, each way: what that breaks, at
/// most what is stated for discharging or charging. Above it the fuse has to act.
pub(super) fn opens_up_to(
    design: &Design,
    points: &Points,
    strings: &Strings,
    id: ContactorId,
    [along, against]: [Option<Current>; 2],
) -> [Option<Current>; 2] {
    let controller = &design.controller;
    let [out, into] = [controller.opens_discharging, controller.opens_charging];
    let stated = if discharges_along(design, points, strings, id) {
        [out, into]
    } else {
        [into, out]
    };
    // Where nothing is stated nobody knows whether it opens on what it could break.
    [smaller(along, stated[0]), smaller(against, stated[1])]
}

/// The first current through the precharge resistor that a contactor is in series with.
fn first_current(
    design: &Design,
    points: &Points,
    sequences: &SequenceStudy,
    id: ContactorId,
) -> Option<f32> {
    let in_series = |resistor: ResistorId| in_series(design, points, id.into(), resistor.into());
    let mut resistors = design.all::<Resistor>();
    let (resistor, _) = resistors.find(|(resistor, _)| in_series(*resistor))?;
    let found = sequences.precharge(resistor)?.found.as_ref().ok()?;
    Some(found.peak_current.as_amperes())
}

/// Whether the current of a contactor goes from its first terminal to its second while the
/// battery as a whole is discharged.
fn discharges_along(design: &Design, points: &Points, strings: &Strings, id: ContactorId) -> bool {
    let battery = |phase: PhaseId| -> f32 {
        let first = |string: &crate::design::BatteryString| {
            let battery = string.batteries.iter().next();
            let current = battery.and_then(|battery| points.current(phase, battery));
            current.map_or(0.0, Current::as_amperes)
        };
        strings.strings.iter().map(first).sum()
    };
    let mut phases = design.all::<Phase>();
    let product = phases.find_map(|(phase, _)| {
        let own = points.current(phase, id)?.as_amperes();
        let product = own * battery(phase);
        (product.is_normal()).then_some(product)
    });
    product.is_none_or(|product| product > 0.0)
}

/// The conductor in series with a fuse that carries least, and how much; `None` where it is
/// on bars alone.
///
/// # Errors
/// Why the current of the fuse, or the lasting current of a conductor, is not known.
pub(super) fn weakest_in_series(
    design: &Design,
    study: &Study,
    fuse: FuseId,
) -> Known<Option<(ConductorId, Current)>> {
    // What is in series with it is told by currents.
    for (phase, _) in design.all::<Phase>() {
        study.points.known_current(phase, fuse)?;
    }
    let mut least: Option<(ConductorId, Current)> = None;
    for (id, _) in design.all::<Conductor>() {
        // One that carries nothing in the phases may be overloaded all the same.
        if !study.points.series().together(fuse.into(), id.into()) {
            continue;
        }
        let warmest = study.conductor(id)?.warmest?;
        let missing = Unknown::missing(id, Gap::TemperatureClass);
        let lasting = warmest.ampacity.ok_or(missing)?;
        if least.is_none_or(|(_, known)| lasting < known) {
            least = Some((id, lasting));
        }
    }
    Ok(least)
}

/// Who keeps a lasting overload off the conductors in series with a fuse: the fuse by its
/// rated current, or the controller by its limit. With it the conductor that carries least.
///
/// # Errors
/// As [`weakest_in_series`].
pub(crate) fn overload_owner(
    design: &Design,
    study: &Study,
    fuse: FuseId,
    part: &FuseType,
) -> Known<(Option<ConductorId>, Judged<FuseCheck>)> {
    let Some((weakest, lasting)) = weakest_in_series(design, study, fuse)? else {
        // On bars alone there is no conductor to guard.
        let none = Judged {
            verdict: Verdict::NotApplicable,
            ..judge_overload_owner(part, None, None)
        };
        return Ok((None, none));
    };
    let limit = lasting_limit(design, study, fuse.into());
    let judged = judge_overload_owner(part, Some(lasting), limit);
    Ok((Some(weakest), judged))
}
