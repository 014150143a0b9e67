//! Fuses of the low-voltage side, whose short circuits are not computed one by one.

use super::aspect::Aspect;
use super::finding::Because;
use super::fuse_in_fault;
use super::subject::{Check, Sink, Subject};
use crate::design::{
    Battery, BatteryString, Charged, Conductor, Fuse, FuseId, FuseType, FuseTypeId, Gap, Resisting,
    Strings, System, Thing,
};
use crate::fault::COLDEST;
use crate::quantity::{Current, Resistance};
use crate::standard::SourceId;
use crate::study::{Known, Unknown};
use crate::verdict::Side;

/// What fuses break, on both sides.
pub(super) fn breaking(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    fuse_in_fault::breaking(subject, sink);
    let design = subject.design;
    for (id, fuse) in design.all::<Fuse>() {
        let low = subject.systems.of(fuse.from) == Some(System::LowVoltage);
        // What is joined without each conductor is dear.
        if !low || !sink.wants(id, Aspect::LowFuseBreaking) {
            continue;
        }
        match design.part(fuse.part) {
            Some(part) => of_low_voltage(subject, sink, (id, fuse), part),
            None => {
                let missing = Unknown::missing(id, Gap::FuseType);
                sink.open(id, Aspect::LowFuseBreaking, Because::Unknown(missing));
            }
        }
    }
}

fn of_low_voltage(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    (id, fuse): (FuseId, &Fuse),
    (part, kind): (FuseTypeId, &FuseType),
) {
    sink.against(
        id,
        Check {
            aspect: Aspect::LowFuseBreaking,
            value: prospective(subject, (id, fuse)),
            side: Side::AtMost,
            limit: kind.breaking.map(Current::as_amperes),
            stated_in: part.into(),
            source: SourceId::OhmsLaw,
        },
    );
    // What it lets its cable bear is not computed, but a sheet without it is no sheet.
    if kind.curve.is_empty() || kind.total.is_none() {
        let missing = Unknown::missing(part, Gap::LowFuseTimes);
        sink.open(id, Aspect::LowFuseTimes, Because::Unknown(missing));
    }
}

/// Computes: the most that the batteries of the low-voltage side drive through a fuse, A: each
/// string full, over its least resistance and that of the conductors through which alone it
/// reaches the fuse. What converters add is little, and bounded by them.
fn prospective(subject: &Subject<'_>, fuse: (FuseId, &Fuse)) -> Known<f32> {
    let strings = subject.design.strings(System::LowVoltage);
    let mut sum = 0.0;
    for string in &strings.strings {
        if let Some([volts, ohms, way]) = driven(subject, &strings, string, fuse)? {
            sum += volts / (ohms + way);
        }
    }
    if strings.strings.is_empty() {
        return Err(Unknown::Missing(Thing::VEHICLE, Gap::LowVoltageBattery));
    }
    Ok(sum)
}

/// Voltage and least resistance of one of these strings, and the resistance of its way to a
/// fuse; `None` where others reach the fuse and it does not.
pub(super) fn driven(
    subject: &Subject<'_>,
    strings: &Strings,
    string: &BatteryString,
    fuse: (FuseId, &Fuse),
) -> Known<Option<[f32; 3]>> {
    let reaches = |one: &BatteryString| reaches(subject, one, fuse, None);
    let way = if reaches(string) {
        way(subject, string, fuse)?
    } else if strings.strings.iter().any(reaches) {
        return Ok(None);
    } else {
        // Through what is not drawn: at once, for all that is known.
        0.0
    };
    let [volts, ohms] = source(subject, string)?;
    Ok(Some([volts, ohms, way]))
}

/// Whether a string leads to a fuse, all switches closed, without one conductor.
fn reaches(
    subject: &Subject<'_>,
    string: &BatteryString,
    (id, fuse): (FuseId, &Fuse),
    without: Option<Thing>,
) -> bool {
    let own = Thing::from(id);
    let metal = subject
        .design
        .metal(|thing| Some(thing) != without && thing != own);
    let here = |end| metal.together(end, fuse.from) || metal.together(end, fuse.to);
    here(string.positive) || here(string.negative)
}

/// Voltage and least resistance of a string of the low-voltage side.
fn source(subject: &Subject<'_>, string: &BatteryString) -> Known<[f32; 2]> {
    let design = subject.design;
    let lacking = |of: fn(&Battery) -> bool| design.lacking(string, of);
    let volts = string
        .voltage(design, Charged::Maximum)
        .map_err(Unknown::refused(Thing::VEHICLE))?;
    let no_volts = lacking(|battery| battery.cell.maximum.is_some());
    let volts = volts.ok_or(Unknown::Missing(no_volts, Gap::CellVoltage))?;
    let ohms = string
        .resistance(design, Resisting::Lowest)
        .map_err(Unknown::refused(Thing::VEHICLE))?;
    let no_ohms = Unknown::Missing(
        lacking(|battery| battery.cell.resistance.is_some()),
        Gap::CellResistance,
    );
    let ohms = ohms.filter(|ohms| ohms.as_ohms() > 0.0).ok_or(no_ohms)?;
    Ok([volts.as_volts(), ohms.as_ohms()])
}

/// The least resistance of the conductors without which a string does not reach a fuse: what
/// has another beside it is left out, which is the safe side.
fn way(subject: &Subject<'_>, string: &BatteryString, fuse: (FuseId, &Fuse)) -> Known<f32> {
    let mut ohms = 0.0;
    for (lead, entry) in subject.design.all::<Conductor>() {
        let low = subject.systems.of(entry.from) == Some(System::LowVoltage);
        if !low || reaches(subject, string, fuse, Some(lead.into())) {
            continue;
        }
        let found = (subject.design).conductor_resistance(entry, Resisting::Lowest, COLDEST);
        let found = found.map_err(Unknown::refused(lead))?;
        ohms += found.map_or(0.0, Resistance::as_ohms);
    }
    Ok(ohms)
}
