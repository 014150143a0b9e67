//! Where a verdict turns: how far an input may move before what holds fails, and the
//! smallest change that mends what fails. On the host only: a controller mends
//! nothing.

#![cfg(feature = "text")]

use super::aspect::Aspect;
use super::finding::Finding;
use super::input::{Input, cable_at, set_section};
use super::{Studies, review_rule};
use crate::design::{
    Conductor, ConductorId, ContactorId, Design, End, FuseId, LugType, LugTypeId, Resistor,
    ResistorId, Terminal, TerminalId, Thing,
};
use crate::network::Workspace;
use crate::quantity::{ConductorArea, Length};
use crate::size::series::{Conductor as Section, Designation, MetricTable, Series, conductors};
use crate::study::insulation::InsulationStudy;
use crate::study::{FaultBurdens, Study};
use crate::verdict::{Side, Verdict};

/// An input and the value at which a verdict turns.
///
/// Of a finding that holds it is how far that input may move with everything else as it
/// is; of one that fails it is the smallest change of that input that mends it. The
/// value itself holds, by half a part in a million or the last step of the search.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Turning {
    /// Where the input is stated.
    pub thing: Thing,
    /// Which.
    pub input: Input,
    /// What is stated now.
    pub now: Option<f32>,
    /// Where the verdict turns.
    pub turns_at: f32,
}

impl Turning {
    /// Makes the change; `None` where the thing has no such input. Parts are changed for
    /// all that use them.
    pub fn apply(&self, design: &mut Design) -> Option<()> {
        match self.input {
            Input::Section => {
                let cable = cable_at(design, self.thing)?;
                let section = larger(cable.conductor, cable.metal)
                    .find(|section| section.section.as_mm2() >= self.turns_at)?;
                set_section(design, self.thing, section)
            }
            input => input.set(design, self.thing, self.turns_at),
        }
    }
}

/// Room for a changed copy of a design; large, keep it in a `static` or on the heap.
#[derive(Debug)]
pub struct Scratch {
    design: Design,
    study: Study,
    workspace: Workspace,
}

impl Scratch {
    /// Room for copies of a design.
    pub fn new(design: &Design) -> Self {
        Self {
            design: design.clone(),
            study: Study::new(),
            workspace: Workspace::new(),
        }
    }
}

/// Halvings in the search for the air; the step is then below 0.1 K.
const HALVINGS: u8 = 12;

/// How much cooler air is tried, K: from the hottest air of a vehicle to the coldest, no
/// room is left beyond. Common practice, no source.
const COOLEST_K: f32 = 100.0;

/// Beyond the limit by this, so that rounding does not undo it.
const BEYOND: f32 = 5.0e-7;

fn above(value: f32) -> f32 {
    value + BEYOND * libm::fabsf(value)
}

fn below(value: f32) -> f32 {
    value - BEYOND * libm::fabsf(value)
}

/// The limit itself, on the side on which it is kept.
fn kept(side: Side, limit: f32) -> f32 {
    match side {
        Side::AtLeast => above(limit),
        Side::AtMost => below(limit),
    }
}

/// Computes: where the verdict of a finding turns, by the input that a builder would
/// move. `None` for what is open or has no such input, and where no value of it helps.
///
/// Inputs: a design with its studies and a finding of their review. Ratings and distances
/// are solved for; air temperatures are halved down to on a changed copy, 20 studies of
/// one conductor; sections are tried one after the other, one study each.
pub fn turning(
    design: &Design,
    study: &Study,
    insulation: &InsulationStudy,
    finding: &Finding,
    scratch: &mut Scratch,
) -> Option<Turning> {
    if !matches!(finding.judged.verdict, Verdict::Holds | Verdict::Fails) {
        return None;
    }
    let (thing, input, turns_at) = match finding.judged.name {
        Aspect::SteadyTemperature | Aspect::PeakTemperature | Aspect::TerminalTemperature => {
            return of_temperature(design, study, insulation, finding, scratch);
        }
        Aspect::Drop => return section(design, insulation, finding, finding.thing, scratch),
        _ => stated(design, insulation, finding)?,
    };
    Some(Turning {
        thing,
        input,
        now: input.stated(design, thing),
        turns_at,
    })
}

/// What can be solved for without computing the study again.
#[allow(clippy::too_many_lines)] // one table from end to end
fn stated(
    design: &Design,
    insulation: &InsulationStudy,
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
    // A rating that has to be at least the value, and a value at least the limit.
    let (rating, reached) = (above(value), above(limit));
    Some(match judged.name {
        Aspect::RatedVoltage => match thing.id::<ResistorId>() {
            Some(resistor) => {
                let resistor: &Resistor = design.get(resistor)?;
                (resistor.part?.into(), Input::ResistorVoltage, rating)
            }
            None => (thing, Input::DisconnectVoltage, rating),
        },
        Aspect::LowestVoltage => (thing, Input::LowestVoltage, below(value)),
        Aspect::HighestVoltage => (thing, Input::HighestVoltage, rating),
        Aspect::FuseVoltage => (fuse()?, Input::FuseVoltage, rating),
        // What it carries is its rated current times shares.
        Aspect::FuseCarry => {
            let part = fuse()?;
            let rated = Input::FuseRated.stated(design, part)?;
            (part, Input::FuseRated, above(rated * value / limit))
        }
        Aspect::ContactVoltage => (contactor()?, Input::ContactVoltage, rating),
        Aspect::ContactAltitude => (contactor()?, Input::ContactAltitude, rating),
        Aspect::ContactCarry => (contactor()?, Input::ContactCarry, rating),
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
            let weakest: Thing = insulation.to_chassis.weakest?.into();
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

/// Of a conductor that is too hot the next section that is not, else cooler air; of one
/// that is not the air that it still bears.
fn of_temperature(
    design: &Design,
    study: &Study,
    insulation: &InsulationStudy,
    finding: &Finding,
    scratch: &mut Scratch,
) -> Option<Turning> {
    if finding.judged.verdict == Verdict::Fails
        && let Some(found) = section(design, insulation, finding, finding.thing, scratch)
    {
        return Some(found);
    }
    air(design, study, finding, scratch)
}

/// The rules that are asked again, about temperatures and drops, read no fault.
static NO_FAULTS: FaultBurdens = FaultBurdens::new();

/// The verdict on the same thing in the changed copy.
fn again(insulation: &InsulationStudy, finding: &Finding, scratch: &Scratch) -> Verdict {
    let mut verdict = Verdict::NotApplicable;
    let terminal = finding.judged.name == Aspect::TerminalTemperature;
    let mut put = |one: Finding| {
        let same = one.thing == finding.thing
            && one.judged.name == finding.judged.name
            && (!terminal || one.at == finding.at);
        if same {
            verdict = verdict.worse(one.judged.verdict);
        }
    };
    let Scratch { design, study, .. } = scratch;
    let studies = Studies {
        study,
        insulation,
        faults: &NO_FAULTS,
    };
    review_rule(design, studies, finding.rule, &mut put);
    verdict
}

/// The temperature that a finding is about, infinite where nothing settles.
fn temperature(
    design: &Design,
    study: &Study,
    conductor: ConductorId,
    finding: &Finding,
) -> Option<f32> {
    let lead: &Conductor = design.get(conductor)?;
    let [steady, peak, first, second] = study.conductor(conductor).ok()?.limits;
    let judged = match finding.judged.name {
        Aspect::SteadyTemperature => steady,
        Aspect::PeakTemperature => peak,
        _ if finding.at == Some(lead.from.into()) => first,
        _ => second,
    };
    Some(judged.value.unwrap_or(f32::INFINITY))
}

/// The air of the zone in which the conductor is hottest.
fn air(
    design: &Design,
    study: &Study,
    finding: &Finding,
    scratch: &mut Scratch,
) -> Option<Turning> {
    let conductor = finding.thing.id::<ConductorId>()?;
    let warmest = study.conductor(conductor).ok()?.warmest.ok()?;
    let zone = design.get(warmest.piece)?.zone;
    let now = Input::ZoneAir.stated(design, zone.into())?;
    scratch.design.clone_from(design);
    scratch.study.clone_from(study);
    let limit = finding.judged.limit?;
    let mut holds_at = |degc: f32| {
        let Scratch { design, study, .. } = &mut *scratch;
        Input::ZoneAir.set(design, zone.into(), degc)?;
        study.restudy(design, conductor);
        let value = temperature(design, study, conductor, finding)?;
        Some(value <= limit)
    };
    let (mut cool, mut hot) = match finding.judged.verdict {
        Verdict::Holds => (now, now + 2.0 * finding.judged.margin()? + 20.0),
        _ => (now - COOLEST_K, now),
    };
    if !holds_at(cool)? || holds_at(hot)? {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (cool + hot);
        if holds_at(middle)? {
            cool = middle;
        } else {
            hot = middle;
        }
    }
    Some(Turning {
        thing: zone.into(),
        input: Input::ZoneAir,
        now: Some(now),
        turns_at: cool,
    })
}

/// The next larger sections that can be bought like the one there is.
fn larger(now: Section, metal: crate::standard::metal::Metal) -> impl Iterator<Item = Section> {
    let series = match now.designation {
        Designation::American(_) => Series::American,
        Designation::Metric(_) => Series::Metric(MetricTable::usual(metal)),
    };
    let all = conductors(series, metal).ok();
    let least = now.section.as_mm2();
    all.into_iter()
        .flatten()
        .filter(move |section| section.section.as_mm2() > least)
}

/// The next larger section with which a finding that fails holds.
fn section(
    design: &Design,
    insulation: &InsulationStudy,
    finding: &Finding,
    thing: Thing,
    scratch: &mut Scratch,
) -> Option<Turning> {
    if finding.judged.verdict != Verdict::Fails {
        return None;
    }
    let cable = cable_at(design, thing)?;
    for section in larger(cable.conductor, cable.metal) {
        scratch.design.clone_from(design);
        set_section(&mut scratch.design, thing, section)?;
        let Scratch {
            design: changed,
            study,
            workspace,
        } = &mut *scratch;
        study.compute(changed, workspace);
        if again(insulation, finding, scratch) == Verdict::Holds {
            return Some(Turning {
                thing,
                input: Input::Section,
                now: Input::Section.stated(design, thing),
                turns_at: ConductorArea::as_mm2(section.section),
            });
        }
    }
    None
}
