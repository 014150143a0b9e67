//! Rules about lugs and glands.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Check, Sink, Subject, plain};
use crate::design::{CableType, Conductor, ConductorId, End, Gap, LugTypeId, TerminalId, Thing};
use crate::quantity::{ConductorArea, Length};
use crate::shield::CircuitNoise;
use crate::standard::SourceId;
use crate::standard::metal::Metal;
use crate::study::Unknown;
use crate::verdict::{Judged, Side, Verdict};

/// Least and largest section of a barrel over that of its cable; common practice.
pub(super) const BARREL_SHARE: [f32; 2] = [0.95, 1.2];

/// Largest play of a stud in the hole of a lug, mm; common practice.
pub(super) const STUD_PLAY_MM: f32 = 1.0;

/// Every end of every conductor of the high-voltage side whose cable is known.
fn each(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    aspect: Aspect,
    mut of: impl FnMut(&mut Sink<'_>, ConductorId, &Conductor, &CableType, &End, TerminalId),
) {
    for (id, lead) in subject.design.all::<Conductor>() {
        if !subject.is_high(lead.from) {
            continue;
        }
        let Some(cable) = lead.cable.and_then(|cable| subject.design.get(cable)) else {
            let because = Because::Unknown(Unknown::missing(id, Gap::CableType));
            sink.open(id, aspect, because);
            continue;
        };
        for (end, terminal) in lead.ends.iter().zip([lead.from, lead.to]) {
            of(sink, id, lead, cable, end, terminal);
        }
    }
}

fn compare(aspect: Aspect, value: f32, side: Side, limit: f32) -> Judged<Aspect> {
    Judged::compare(aspect, value, side, limit, SourceId::CommonPractice)
}

fn missing(
    sink: &mut Sink<'_>,
    (id, at): (ConductorId, TerminalId),
    aspect: Aspect,
    (stated_in, gap): (Thing, Gap),
) {
    let judged = plain(aspect, Verdict::Open);
    let because = Because::Unknown(Unknown::Missing(stated_in, gap));
    sink.put(id, Some(at.into()), judged, Some(because));
}

pub(super) fn lug_barrel(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::LugSmall;
    each(subject, sink, aspect, |sink, id, _, cable, end, at| {
        let lug = end
            .lug
            .and_then(|lug| Some((lug, subject.design.get(lug)?)));
        let Some((part, lug)) = lug else {
            return missing(sink, (id, at), aspect, (id.into(), Gap::Lug));
        };
        metals(sink, (id, at), cable.metal, (part, lug.metal));
        let Some(barrel) = lug.barrel.map(ConductorArea::as_mm2) else {
            return missing(sink, (id, at), aspect, (part.into(), Gap::LugBarrel));
        };
        let share = barrel / cable.conductor.section.as_mm2();
        let [least, most] = BARREL_SHARE;
        let judged = if share > most {
            compare(Aspect::LugLarge, share, Side::AtMost, most)
        } else {
            compare(aspect, share, Side::AtLeast, least)
        };
        sink.put(id, Some(at.into()), judged, None);
    });
}

/// Copper on aluminium corrodes and creeps: a barrel has the metal of its cable. What is not
/// stated of a lug is asked for where the cable is of aluminium.
fn metals(
    sink: &mut Sink<'_>,
    (id, at): (ConductorId, TerminalId),
    cable: Metal,
    (part, lug): (LugTypeId, Option<Metal>),
) {
    let aspect = Aspect::LugMetal;
    let aluminium = |metal: Metal| metal == Metal::Aluminium;
    let verdict = match lug.map(aluminium) {
        None if aluminium(cable) => {
            return missing(sink, (id, at), aspect, (part.into(), Gap::LugMetal));
        }
        Some(barrel) if barrel != aluminium(cable) => Verdict::Fails,
        Some(true) => Verdict::Holds,
        _ => return,
    };
    sink.put(id, Some(at.into()), plain(aspect, verdict), None);
}

pub(super) fn lug_stud(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::LugHole;
    each(subject, sink, aspect, |sink, id, _, cable, end, at| {
        let lug = end
            .lug
            .and_then(|lug| Some((lug, subject.design.get(lug)?)));
        let Some((part, lug)) = lug else {
            return missing(sink, (id, at), aspect, (id.into(), Gap::Lug));
        };
        let stud = subject.design.get(at).and_then(|terminal| terminal.stud);
        match (lug.hole.map(Length::as_mm), stud.map(Length::as_mm)) {
            (Some(hole), Some(stud)) => {
                let judged = if hole < stud {
                    compare(Aspect::LugOverStud, hole, Side::AtLeast, stud)
                } else {
                    compare(aspect, hole - stud, Side::AtMost, STUD_PLAY_MM)
                };
                sink.put(id, Some(at.into()), judged, None);
            }
            (None, _) => missing(sink, (id, at), aspect, (part.into(), Gap::LugHole)),
            (_, None) => missing(sink, (id, at), aspect, (at.into(), Gap::Stud)),
        }
        let section = cable.conductor.section.as_mm2();
        match (lug.palm_width, lug.palm_thickness, lug.hole) {
            (Some(wide), Some(thick), Some(hole)) => {
                let left = (wide.as_mm() - hole.as_mm()) * thick.as_mm();
                let judged = compare(Aspect::LugPalm, left, Side::AtLeast, section);
                sink.put(id, Some(at.into()), judged, None);
            }
            (Some(_), Some(_), None) => {
                let gap = (part.into(), Gap::LugHole);
                missing(sink, (id, at), Aspect::LugPalm, gap);
            }
            _ => {
                let gap = (part.into(), Gap::LugPalm);
                missing(sink, (id, at), Aspect::LugPalm, gap);
            }
        }
    });
}

pub(super) fn gland(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::GlandThick;
    each(subject, sink, aspect, |sink, id, lead, cable, end, at| {
        // A conductor that stays inside one box passes no wall.
        let boxes = [lead.from, lead.to].map(|end| subject.box_of(end));
        if subject.box_of(at).is_none() || boxes[0] == boxes[1] {
            return;
        }
        let gland = end
            .gland
            .and_then(|gland| Some((gland, subject.design.get(gland)?)));
        let Some((part, gland)) = gland else {
            return missing(sink, (id, at), aspect, (id.into(), Gap::Gland));
        };
        let Some(outer) = cable.outer_diameter.map(Length::as_mm) else {
            let cable = lead.cable.map_or(id.into(), Into::into);
            return missing(sink, (id, at), aspect, (cable, Gap::OuterDiameter));
        };
        for (aspect, side, limit) in [
            (aspect, Side::AtMost, gland.thickest),
            (Aspect::GlandThin, Side::AtLeast, gland.thinnest),
        ] {
            let check = Check {
                aspect,
                value: Ok(outer),
                side,
                limit: limit.map(Length::as_mm),
                stated_in: part.into(),
                source: SourceId::CommonPractice,
            };
            let (judged, because) = check.judge();
            sink.put(id, Some(at.into()), judged, because);
        }
        if lead.noise == Some(CircuitNoise::Switching) && cable.shielded == Some(true) {
            let (verdict, because) = match gland.clamps_shield {
                Some(true) => (Verdict::Holds, None),
                Some(false) => (Verdict::Fails, None),
                None => (Verdict::Open, Some(Because::NoValue(part.into()))),
            };
            let judged = plain(Aspect::GlandShield, verdict);
            sink.put(id, Some(at.into()), judged, because);
        }
    });
}
