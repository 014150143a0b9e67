//! Where a verdict turns by what is stated: solved for without computing again.

use super::super::Studies;
use super::super::aspect::Aspect;
use super::super::finding::Finding;
use super::super::input::Input;
use super::{above, below, kept};
use crate::design::{
    BatteryId, Conductor, ConductorId, ContactorId, Design, End, FuseId, Kind, LugType, LugTypeId,
    Resistor, ResistorId, ServiceDisconnectId, System, Terminal, TerminalId, Thing,
};
use crate::protection::SELECTIVE_SHARE;
use crate::quantity::{Current, Length, Voltage};
use crate::study::sequence::{JoinStudy, StatedWindow};
use crate::verdict::Side;

/// What can be solved for without computing the study again.
#[allow(clippy::too_many_lines)] // one table from end to end
pub(super) fn stated(
    design: &Design,
    studies: Studies<'_>,
    finding: &Finding,
) -> Option<(Thing, Input, f32)> {
    let thing = finding.thing;
    let judged = &finding.judged;
    let (value, limit) = (judged.value?, judged.limit?);
    let fuse = || design.get(thing.id::<FuseId>()?)?.part.map(Thing::from);
    let contactor = || {
        design
            .get(thing.id::<ContactorId>()?)?
            .part
            .map(Thing::from)
    };
    let resistor = || {
        let resistor: &Resistor = design.get(thing.id::<ResistorId>()?)?;
        resistor.part.map(Thing::from)
    };
    // A rating that has to be at least the value, and a value at least the limit.
    let (rating, reached) = (above(value), above(limit));
    Some(match judged.name {
        Aspect::RatedVoltage => match resistor() {
            Some(part) => (part, Input::ResistorVoltage, rating),
            None => (thing, Input::DisconnectVoltage, rating),
        },
        Aspect::LowestVoltage => (thing, Input::LowestVoltage, below(value)),
        Aspect::HighestVoltage => (thing, Input::HighestVoltage, rating),
        Aspect::FuseVoltage => (fuse()?, Input::FuseVoltage, rating),
        Aspect::FuseBreaking | Aspect::LowFuseBreaking => (fuse()?, Input::FuseBreaking, rating),
        Aspect::FuseTimeConstant => (fuse()?, Input::FuseTimeConstant, rating),
        Aspect::SelectiveI2t => (fuse()?, Input::FuseTotal, below(limit)),
        Aspect::CapacitorPeak => match thing.id::<ContactorId>() {
            Some(_) => (contactor()?, Input::WithstandPeak, rating),
            None => (fuse()?, Input::FuseBreaking, rating),
        },
        Aspect::CapacitorI2t => match thing.id::<ContactorId>() {
            Some(_) => (contactor()?, Input::Withstand, rating),
            None => {
                let melting = above(value / SELECTIVE_SHARE.as_fraction());
                (fuse()?, Input::FuseMelting, melting)
            }
        },
        Aspect::ContactPeak => (contactor()?, Input::WithstandPeak, rating),
        Aspect::ContactI2t => (contactor()?, Input::Withstand, rating),
        Aspect::StrapSection => (thing, Input::BondSection, reached),
        Aspect::StringDischarge => cells(design, studies, thing, Input::CellDischarge, value)?,
        Aspect::StringCharge => cells(design, studies, thing, Input::CellCharge, value)?,
        Aspect::BackFeed => {
            let fuse = design.get(join_of(design, studies, finding)?.fuse?)?;
            (fuse.part?.into(), Input::FuseBreaking, rating)
        }
        Aspect::MonitorCapacitance => (Thing::VEHICLE, Input::MonitorCapacitance, rating),
        Aspect::MonitorVoltage => match judged.side {
            Side::AtMost => (Thing::VEHICLE, Input::MonitorHighest, rating),
            Side::AtLeast => (Thing::VEHICLE, Input::MonitorLowest, below(value)),
        },
        Aspect::MonitorTime => (Thing::VEHICLE, Input::MonitorTime, below(limit)),
        Aspect::MonitorAlarm => (Thing::VEHICLE, Input::MonitorAlarm, reached),
        Aspect::StringLost => (Thing::CONTROLLER, Input::StringLimit, below(limit)),
        Aspect::JoinWindow => joining(design, studies, finding)?,
        Aspect::ContactMake => closing(design, studies, finding)?,
        Aspect::PrechargePeakPower => (resistor()?, Input::ResistorPeakPower, rating),
        Aspect::PrechargeTime => (thing, Input::TimeOut, rating),
        Aspect::DischargeLabel => (finding.at?, Input::LabelWait, rating),
        Aspect::DischargeEnergy => (resistor()?, Input::ResistorPulse, rating),
        Aspect::DischargeWelded => (thing, Input::TimeOut, below(limit)),
        Aspect::BleedPower => (resistor()?, Input::ResistorPower, rating),
        Aspect::ContactVoltage => (contactor()?, Input::ContactVoltage, rating),
        Aspect::ContactAltitude => (contactor()?, Input::ContactAltitude, rating),
        Aspect::ContactCarry | Aspect::ContactAllowed => match thing.id::<ServiceDisconnectId>() {
            Some(_) => (thing, Input::DisconnectCarry, rating),
            None => (contactor()?, Input::ContactCarry, rating),
        },
        Aspect::ContactAir => (contactor()?, Input::ContactAir, rating),
        Aspect::ContactBreak => {
            let part = contactor()?;
            (part, breaking(design, part, limit, rating), rating)
        }
        Aspect::ConverterCurrent => (thing, Input::ConverterRated, rating),
        Aspect::Reserve => {
            let now = Input::LowVoltageCapacity.stated(design, thing)?;
            let needed = above(now * limit / value);
            (thing, Input::LowVoltageCapacity, needed)
        }
        Aspect::LugSmall | Aspect::LugLarge => {
            let (part, _) = lug(design, finding)?;
            let lead: &Conductor = design.get(thing.id::<ConductorId>()?)?;
            let section = design.get(lead.cable?)?.conductor.section;
            let barrel = kept(judged.side, section.as_mm2() * limit);
            (part.into(), Input::LugBarrel, barrel)
        }
        Aspect::LugHole => {
            let (part, _) = lug(design, finding)?;
            let stud: &Terminal = design.get(finding.at?.id::<TerminalId>()?)?;
            let hole = below(stud.stud.map(Length::as_mm)? + limit);
            (part.into(), Input::LugHole, hole)
        }
        Aspect::LugOverStud => (lug(design, finding)?.0.into(), Input::LugHole, reached),
        Aspect::LugPalm => {
            let (part, lug) = lug(design, finding)?;
            let thick = lug.palm_thickness.map(Length::as_mm)?;
            let wide = lug.hole.map(Length::as_mm)? + limit / thick;
            (part.into(), Input::LugPalm, above(wide))
        }
        Aspect::GlandThick => (gland(design, finding)?, Input::GlandThickest, rating),
        Aspect::GlandThin => (gland(design, finding)?, Input::GlandThinnest, below(value)),
        Aspect::Clearance => (thing, Input::Clearance, reached),
        Aspect::Creepage => (thing, Input::Creepage, reached),
        Aspect::IsolationBudget => {
            let weakest: Thing = studies.insulation.to_chassis.weakest?.into();
            let own = Input::Isolation.stated(design, weakest)?;
            // 1/R of the others is what the sum has beside the weakest.
            let others = 1.0 / value - 1.0 / own;
            let left = 1.0 / limit - others;
            if own <= 0.0 || left <= 0.0 {
                return None;
            }
            (weakest, Input::Isolation, above(1.0 / left))
        }
        _ => return None,
    })
}

/// What happens when the string that a finding is about joins the others.
fn join_of<'a>(design: &Design, studies: Studies<'a>, finding: &Finding) -> Option<&'a JoinStudy> {
    let strings = design.strings(System::Traction);
    let battery = finding.thing.id::<BatteryId>()?;
    let mut joins = studies.study.sequences.joins.iter();
    joins.find(|one| {
        let string = strings.strings.get(usize::from(one.string));
        string.is_some_and(|string| string.batteries.contains(battery))
    })
}

/// The box of a string whose cells allow least, and what one of its cells would have to.
fn cells(
    design: &Design,
    studies: Studies<'_>,
    thing: Thing,
    input: Input,
    value: f32,
) -> Option<(Thing, Input, f32)> {
    let first = thing.id::<BatteryId>()?;
    let mut strings = studies.study.strings.iter().map(|one| &one.string);
    let string = strings.find(|string| string.batteries.contains(first))?;
    let charging = input == Input::CellCharge;
    let mut least: Option<(Current, BatteryId)> = None;
    for id in string.batteries.iter() {
        let limit = design.get(id)?.current_limit(charging).ok()??;
        if least.is_none_or(|(known, _)| limit < known) {
            least = Some((limit, id));
        }
    }
    let (_, id) = least?;
    let parallel = f32::from(design.get(id)?.in_parallel);
    Some((id.into(), input, above(value / parallel)))
}

/// The difference at which strings are joined: what the controller keeps, or what is left
/// after their resistor. The larger of both counts, so that the other must not be beyond.
fn joining(
    design: &Design,
    studies: Studies<'_>,
    finding: &Finding,
) -> Option<(Thing, Input, f32)> {
    let limit = finding.judged.limit?;
    let join = join_of(design, studies, finding)?;
    let (thing, input) = match (join.stated_as?, join.through) {
        (StatedWindow::ClosesWithin, Some(resistor)) => (resistor.into(), Input::ClosesWithin),
        _ => (Thing::CONTROLLER, Input::JoinWindow),
    };
    let other = join.passed_over.map(Voltage::as_volts);
    let beyond = other.is_some_and(|volts| volts > limit);
    (!beyond).then_some((thing, input, below(limit)))
}

/// What a contactor closes on: the volts that are left, or the resistor that carries it.
fn closing(
    design: &Design,
    studies: Studies<'_>,
    finding: &Finding,
) -> Option<(Thing, Input, f32)> {
    let (value, limit) = (finding.judged.value?, finding.judged.limit?);
    let less = |now: f32| below(now * limit / value);
    let with = match finding.thing.kind {
        Kind::Resistor => finding.thing,
        _ => finding.at?,
    };
    let Some(id) = with.id::<ResistorId>() else {
        let now = Input::JoinWindow.stated(design, Thing::CONTROLLER)?;
        return Some((Thing::CONTROLLER, Input::JoinWindow, less(now)));
    };
    let precharge = studies.study.sequences.precharge(id);
    let path = precharge.and_then(|one| one.path.as_ref().ok());
    let past = match finding.thing.id::<ContactorId>() {
        Some(contactor) => path.is_some_and(|path| path.mains.contains(contactor)),
        None => true,
    };
    if past {
        let now = Input::ClosesWithin.stated(design, with)?;
        return Some((with, Input::ClosesWithin, less(now)));
    }
    let part = design.get(id)?.part?.into();
    let now = Input::ResistorOhms.stated(design, part)?;
    Some((part, Input::ResistorOhms, above(now * value / limit)))
}

/// Which breaking current was the limit. No part breaks more against its arrow than
/// along it, so that more against it than along is more of both.
fn breaking(design: &Design, part: Thing, limit: f32, rating: f32) -> Input {
    let is = |input: Input| {
        let stated = input.stated(design, part);
        stated.is_some_and(|stated| stated.total_cmp(&limit).is_eq())
    };
    let forward = Input::BreakForward.stated(design, part);
    match (is(Input::BreakForward), is(Input::BreakReverse)) {
        (true, false) => Input::BreakForward,
        (_, true) if forward.is_none_or(|forward| rating <= forward) => Input::BreakReverse,
        _ => Input::BreakingCurrent,
    }
}

/// The end of a conductor that a finding is about.
fn end_of<'a>(design: &'a Design, finding: &Finding) -> Option<&'a End> {
    let lead: &Conductor = design.get(finding.thing.id::<ConductorId>()?)?;
    let terminal = finding.at?.id::<TerminalId>()?;
    let [first, second] = &lead.ends;
    if lead.from == terminal {
        Some(first)
    } else {
        (lead.to == terminal).then_some(second)
    }
}

fn lug<'a>(design: &'a Design, finding: &Finding) -> Option<(LugTypeId, &'a LugType)> {
    let part = end_of(design, finding)?.lug?;
    Some((part, design.get(part)?))
}

fn gland(design: &Design, finding: &Finding) -> Option<Thing> {
    end_of(design, finding)?.gland.map(Into::into)
}
