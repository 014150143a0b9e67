//! The rule about thinner conductors that leave thicker ones.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Sink, Subject};
use crate::design::{
    Battery, Conductor, ConductorId, Design, Drawn, Gap, Joined, Kind, MAX_CONDUCTORS, TerminalId,
    Thing,
};
use crate::quantity::{ConductorArea, Length};
use crate::standard::SourceId;
use crate::study::{Known, Unknown};
use crate::verdict::{Judged, Side};

/// Longest piece of a thinner conductor before its own fuse, in a guarded route; common
/// practice, no source.
pub(super) const LONGEST_M: f32 = 0.3;

/// What is followed from one end of a conductor until more than two things meet.
struct Way {
    /// Where they meet.
    end: TerminalId,
    /// Length of cable to there.
    length: Known<f32>,
    /// Length of cable from the conductor to the nearest fuse, and from the end to the
    /// fuse nearest to that.
    fuse: Option<[Known<f32>; 2]>,
    /// A battery is in it: it feeds, and does not leave anything thicker.
    source: bool,
}

/// Bound: conductors times things.
fn follow(design: &Design, from: TerminalId, first: Drawn) -> Way {
    let mut way = Way {
        end: from,
        length: Ok(0.0),
        fuse: None,
        source: false,
    };
    let mut last = first;
    for _ in 0..MAX_CONDUCTORS {
        // Parallel conductors are one.
        let beside = |one: &Drawn| {
            [one.from, one.to] == [last.from, last.to] || [one.to, one.from] == [last.from, last.to]
        };
        let at = way.end;
        let mut others = design
            .drawn()
            .filter(|one| (one.from == at || one.to == at) && !beside(one));
        let (Some(next), None) = (others.next(), others.next()) else {
            break;
        };
        match next.thing.kind {
            Kind::Battery => {
                way.source = true;
                break;
            }
            Kind::Conductor => {
                let more = length(design, next.thing);
                way.length = way.length.and_then(|known| Ok(known + more?));
                if let Some([_, from_end]) = &mut way.fuse {
                    *from_end = from_end.and_then(|known| Ok(known + more?));
                }
            }
            Kind::Fuse => {
                let first = way.fuse.map_or(way.length, |[first, _]| first);
                way.fuse = Some([first, Ok(0.0)]);
            }
            _ => {}
        }
        way.end = if next.from == at { next.to } else { next.from };
        last = next;
    }
    way
}

fn length(design: &Design, thing: Thing) -> Known<f32> {
    let id = thing.id::<ConductorId>();
    let missing = Unknown::Missing(thing, Gap::RouteLength);
    let lead = id.and_then(|id| design.get(id)).ok_or(missing)?;
    let length = design.length(lead).map_err(Unknown::refused(thing))?;
    length.map(Length::as_metres).ok_or(missing)
}

fn section(design: &Design, lead: &Conductor) -> Option<ConductorArea> {
    Some(design.get(lead.cable?)?.conductor.section)
}

/// The thickest conductor on what joins a terminal without cable.
fn thickest(subject: &Subject<'_>, bars: &Joined, at: TerminalId) -> Option<ConductorArea> {
    let design = subject.design;
    let mut thickest = None;
    for (_, lead) in design.all::<Conductor>() {
        let here = bars.together(lead.from, at) || bars.together(lead.to, at);
        let found = section(design, lead).filter(|_| here);
        if found > thickest {
            thickest = found;
        }
    }
    thickest
}

pub(super) fn reduced(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, design) = (Aspect::TapLength, subject.design);
    let bars = design.metal(|thing| thing.kind != Kind::Conductor);
    for drawn in design.drawn() {
        let id = drawn.thing.id::<ConductorId>();
        let Some(lead) = id.and_then(|id| design.get(id)) else {
            continue;
        };
        if !subject.is_high(lead.from) {
            continue;
        }
        let [one, other] = [lead.from, lead.to].map(|end| follow(design, end, drawn));
        if one.source || other.source {
            continue;
        }
        let Some(own) = section(design, lead) else {
            sink.open(drawn.thing, aspect, missing(drawn.thing, Gap::CableType));
            continue;
        };
        // It leaves the end that leads to a battery; one with batteries at both ends joins
        // strings, which have fuses of their own.
        let rest = design.metal(|thing| thing != drawn.thing);
        let fed = [lead.from, lead.to].map(|end| {
            let mut batteries = design.all::<Battery>();
            batteries.any(|(_, one)| {
                rest.together(one.negative, end) || rest.together(one.positive, end)
            })
        });
        let tapped = match fed {
            [true, false] => one.end,
            [false, true] => other.end,
            _ => continue,
        };
        if thickest(subject, &bars, tapped).is_none_or(|thickest| thickest <= own) {
            continue;
        }
        let (source, side) = (SourceId::CommonPractice, Side::AtMost);
        let limit = Some(LONGEST_M);
        // From either end to the first fuse; the loop through the conductor has it then.
        let own_length = length(design, drawn.thing);
        let from = |near: &Way, far: &Way| -> Option<Known<f32>> {
            if let Some([_, from_end]) = near.fuse {
                return Some(from_end);
            }
            let [first, _] = far.fuse?;
            Some(near.length.and_then(|near| Ok(near + own_length? + first?)))
        };
        let found = [from(&one, &other), from(&other, &one)];
        let mut known = found.iter().flatten().filter_map(|found| found.ok());
        let shortest = known.next().map(|first| known.fold(first, libm::fminf));
        let unknown = found.iter().flatten().find_map(|found| found.err());
        let at = Some(tapped.into());
        match (shortest, unknown) {
            (Some(metres), None) | (Some(metres @ ..=LONGEST_M), _) => {
                let judged = Judged::compare(aspect, metres, side, LONGEST_M, source);
                sink.put(drawn.thing, at, judged, None);
            }
            (_, Some(unknown)) => {
                let judged = Judged::open(aspect, None, side, limit, source);
                sink.put(drawn.thing, at, judged, Some(Because::Unknown(unknown)));
            }
            (None, None) => {
                let judged = Judged::failed_without_value(aspect, side, limit, source);
                sink.put(drawn.thing, at, judged, None);
            }
        }
    }
}

fn missing(thing: Thing, gap: Gap) -> Because {
    Because::Unknown(Unknown::Missing(thing, gap))
}
