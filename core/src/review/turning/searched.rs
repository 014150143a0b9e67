//! Where a verdict turns by something that has to be computed again.

use heapless::Vec;

use super::super::ask_into;
use super::super::aspect::Aspect;
use super::super::finding::Finding;
use super::super::input::{Input, cable_at, reset_section, set_section, system_at};
use super::super::subject::{Sink, Studies, Subject, Topology};
use super::narrowed::{End, narrowed};
use super::rooms::{ChangedDesign, ChangedFaults, Rooms};
use super::{Turning, above};
use crate::design::{
    CableTypeId, Conductor, ConductorId, ContactorId, Design, Fuse, FuseId, FuseTypeId, Resistor,
    ResistorId, System, Thing, ZoneId,
};
use crate::quantity::ConductorArea;
use crate::size::series::{Conductor as Section, Designation, MetricTable, Series, conductors};
use crate::study::insulation::InsulationStudy;
use crate::study::{FaultBurdens, SequencePart, Study};
use crate::verdict::{Judged, Verdict};

/// Halvings in the search for the air; the step is then below 0.1 K.
const HALVINGS: u8 = 12;

/// How much cooler air is tried, K: from the hottest air of a vehicle to the coldest, no
/// room is left beyond. Common practice, no source.
const COOLEST_K: f32 = 100.0;

/// How many times larger or smaller a value is tried.
const REACH: f32 = 2000.0;

/// How often what is refused there is brought nearer, by halves.
const NEARER: u8 = 9;

/// Most sections of one series.
const MAX_SECTIONS: usize = 64;

/// What a search works with.
pub(super) struct Search<'a> {
    pub(super) design: &'a Design,
    pub(super) studies: Studies<'a>,
    pub(super) finding: &'a Finding,
    pub(super) rooms: &'a mut dyn Rooms,
}

/// What is said of the thing of a finding in a changed copy of its design, the worst; `None`
/// where nothing is.
fn judged(
    finding: &Finding,
    design: &Design,
    topology: Option<&Topology>,
    studies: Studies<'_>,
) -> Option<Judged<Aspect>> {
    let mut worst: Option<Judged<Aspect>> = None;
    let terminal = finding.judged.name == Aspect::TerminalTemperature;
    let mut put = |one: Finding| {
        let same = one.thing == finding.thing
            && one.judged.name == finding.judged.name
            && (!terminal || one.at == finding.at);
        let is_worse = |known: Judged<Aspect>| {
            let verdict = known.verdict.worse(one.judged.verdict);
            verdict != known.verdict
        };
        if same && worst.is_none_or(is_worse) {
            worst = Some(one.judged);
        }
    };
    let subject = Subject::new(design, studies, topology?);
    let sink = Sink::new(finding.rule, &mut put);
    ask_into(&subject, sink.only(finding.thing, finding.judged.name));
    worst
}

/// The verdict of that.
fn verdict(
    finding: &Finding,
    design: &Design,
    topology: Option<&Topology>,
    studies: Studies<'_>,
) -> Verdict {
    let judged = judged(finding, design, topology, studies);
    judged.map_or(Verdict::NotApplicable, |judged| judged.verdict)
}

/// How far off its limit a value is: the logarithm of their ratio.
fn off(judged: &Judged<Aspect>) -> Option<f32> {
    let off = libm::logf(judged.value? / judged.limit?);
    off.is_finite().then_some(off)
}

/// What came of a try.
#[derive(Default)]
struct Tried {
    /// Whether the finding holds; `None` where the value is refused.
    holds: Option<bool>,
    off: Option<f32>,
}

/// What is computed again after a change.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Again {
    /// Nothing: the rule looks at the part itself.
    Nothing,
    /// One part of what happens step by step.
    Part(SequencePart),
    /// All that happens step by step.
    Sequences,
    /// Distances and what they have to be.
    Insulation,
}

impl Search<'_> {
    /// Of a conductor that is too hot the next section that is not, else cooler air; of one
    /// that is not the air that it still bears.
    pub(super) fn of_temperature(&mut self) -> Option<Turning> {
        if self.finding.judged.verdict == Verdict::Fails
            && let Some(found) = self.section()
        {
            return Some(found);
        }
        self.air()
    }

    /// A fresh copy of the design, to change.
    fn copy_design(&mut self) {
        let changed = self.rooms.changed();
        changed.design.clone_from(self.design);
        // No input that can be moved changes what is drawn where.
        changed.topology = Some(Topology::of(self.design));
    }

    /// One of the study, of which something is computed again.
    fn copy_study(&mut self) {
        self.rooms.changed().study.clone_from(self.studies.study);
    }

    /// What a search that computes this again needs.
    fn copy(&mut self, what: Again) {
        self.copy_design();
        if matches!(what, Again::Part(_) | Again::Sequences) {
            self.copy_study();
        }
    }

    /// The value of an input at which the verdict turns, between what is stated and the far
    /// end on the side that is better (larger or smaller). The end that holds.
    fn turned(
        &mut self,
        (thing, input): (Thing, Input),
        larger_is_better: bool,
        what: Again,
    ) -> Option<Turning> {
        let now = input.stated(self.design, thing)?;
        if now <= 0.0 {
            return None;
        }
        self.copy(what);
        let fails = self.finding.judged.verdict == Verdict::Fails;
        // What fails is mended towards the better side, what holds is moved to the worse.
        let far = if fails == larger_is_better {
            now * REACH
        } else {
            now / REACH
        };
        let at = (thing, input);
        let stated = End {
            value: now,
            off: off(&self.finding.judged),
        };
        let (good, bad) = if fails {
            let (beyond, _) = self.nearest(at, [far, now], what, |holds| holds == Some(true))?;
            (beyond, stated)
        } else {
            // What is refused is no answer.
            let (beyond, holds) = self.nearest(at, [far, now], what, |holds| holds.is_some())?;
            if holds == Some(true) {
                return None;
            }
            (stated, beyond)
        };
        let turns_at = narrowed(good, bad, |value| {
            let tried = self.try_at(at, value, what);
            (tried.holds == Some(true), tried.off)
        });
        Some(Turning {
            thing,
            input,
            now: Some(now),
            turns_at,
        })
    }

    /// The far end, or what is nearer by halves where that goes too far for other things: the
    /// first value that will do, and whether the finding holds there.
    fn nearest(
        &mut self,
        at: (Thing, Input),
        [mut far, now]: [f32; 2],
        what: Again,
        will_do: fn(Option<bool>) -> bool,
    ) -> Option<(End, Option<bool>)> {
        for _ in 0..=NEARER {
            let tried = self.try_at(at, far, what);
            if will_do(tried.holds) {
                let end = End {
                    value: far,
                    off: tried.off,
                };
                return Some((end, tried.holds));
            }
            far = libm::sqrtf(far * now);
        }
        None
    }

    /// Whether the finding holds with this value of an input that may be set again and again,
    /// the only one that is changed in the copy.
    fn try_at(&mut self, at: (Thing, Input), value: f32, what: Again) -> Tried {
        self.tried(at, value, what).unwrap_or_default()
    }

    fn tried(&mut self, (thing, input): (Thing, Input), value: f32, what: Again) -> Option<Tried> {
        let (original, studies) = (self.design, self.studies);
        let ChangedDesign {
            design,
            topology,
            study,
            ..
        } = self.rooms.changed();
        // A fuse of the series, and a braid on another scale, are made from the one there is.
        match input {
            Input::FuseSeries => {
                let fuse: FuseTypeId = thing.id()?;
                design.get_mut(fuse)?.clone_from(original.get(fuse)?);
            }
            Input::ShieldSection => {
                let cable: CableTypeId = thing.id()?;
                design.get_mut(cable)?.braid = original.get(cable)?.braid;
            }
            _ => {}
        }
        input.set(design, thing, value)?;
        let insulation = (what == Again::Insulation).then(|| InsulationStudy::find(design));
        let study = match what {
            Again::Part(part) => {
                study.resequence_part(design, part);
                &*study
            }
            Again::Sequences => {
                study.resequence(design);
                &*study
            }
            Again::Nothing | Again::Insulation => studies.study,
        };
        let insulation = insulation.as_ref().unwrap_or(studies.insulation);
        let studies = Studies {
            study,
            insulation,
            ..studies
        };
        let judged = judged(self.finding, design, topology.as_ref(), studies)?;
        Some(Tried {
            holds: match judged.verdict {
                Verdict::Holds => Some(true),
                Verdict::Fails => Some(false),
                Verdict::Open | Verdict::NotApplicable => None,
            },
            off: off(&judged),
        })
    }

    /// Whether the finding holds with this value.
    pub(super) fn holds_with(&mut self, at: (Thing, Input), value: f32, what: Again) -> bool {
        self.copy(what);
        self.try_at(at, value, what).holds == Some(true)
    }

    /// A fuse of the same series: larger for what it carries, smaller for what it guards.
    pub(super) fn of_series(&mut self) -> Option<Turning> {
        let part = self.design.get(self.finding.thing.id::<FuseId>()?)?.part?;
        let guards = matches!(
            self.finding.judged.name,
            Aspect::OverloadOwner | Aspect::CableAllCurrents
        );
        self.turned((part.into(), Input::FuseSeries), !guards, Again::Nothing)
    }

    /// The shield of the cable: a thicker one stands more, and its fault flows more strongly
    /// and is over sooner.
    pub(super) fn of_shield(&mut self) -> Option<Turning> {
        let lead: &Conductor = self.design.get(self.finding.thing.id::<ConductorId>()?)?;
        let at = (lead.cable?.into(), Input::ShieldSection);
        self.turned(at, true, Again::Nothing)
    }

    /// Resistors, and the wires of coils.
    pub(super) fn of_sequence(&mut self) -> Option<Turning> {
        let thing = self.finding.thing;
        let precharging = |input, larger_is_better| {
            let part = self.part_of(thing.id::<ResistorId>()?)?;
            Some(((part, input), larger_is_better, SequencePart::Precharges))
        };
        let (at, larger_is_better, part) = match self.finding.judged.name {
            Aspect::CoilPullIn | Aspect::CoilHold => {
                thing.id::<ContactorId>()?;
                ((thing, Input::CoilWire), false, SequencePart::Coils)
            }
            Aspect::DischargeTime => {
                let part = self.part_of(self.finding.at?.id::<ResistorId>()?)?;
                let at = (part, Input::ResistorOhms);
                (at, false, SequencePart::Discharges)
            }
            Aspect::PrechargePeakCurrent => precharging(Input::ResistorOhms, true)?,
            Aspect::PrechargeTime | Aspect::PrechargeSettles => {
                precharging(Input::ResistorOhms, false)?
            }
            _ => precharging(Input::ResistorPulse, true)?,
        };
        self.turned(at, larger_is_better, Again::Part(part))
    }

    /// The cable before the first fuse: the conductor itself, or one that it meets.
    pub(super) fn of_tap(&mut self) -> Option<Turning> {
        let design = self.design;
        let own = self.finding.thing.id::<ConductorId>()?;
        let lead: &Conductor = design.get(own)?;
        let tapped = self.finding.at.and_then(Thing::id);
        let meets = |end| [lead.from, lead.to].contains(&end) || tapped == Some(end);
        let all = design.all::<Conductor>();
        let mut near = all.filter(|(id, one)| *id == own || meets(one.from) || meets(one.to));
        // A length that does not matter turns nothing.
        near.find_map(|(id, _)| self.turned((id.into(), Input::RouteLength), false, Again::Nothing))
    }

    fn part_of(&self, resistor: ResistorId) -> Option<Thing> {
        let resistor: &Resistor = self.design.get(resistor)?;
        resistor.part.map(Thing::from)
    }

    /// The zone in which a conductor is hottest, and the air there, degC.
    fn air_of(&self, conductor: ConductorId) -> Option<(ZoneId, f32)> {
        let warmest = self.studies.study.conductor(conductor).ok()?.warmest.ok()?;
        let zone = self.design.get(warmest.piece)?.zone;
        Some((zone, Input::ZoneAir.stated(self.design, zone.into())?))
    }

    /// The air of the zone in which the conductor is hottest.
    fn air(&mut self) -> Option<Turning> {
        let finding = self.finding;
        let conductor = finding.thing.id::<ConductorId>()?;
        let (zone, now) = self.air_of(conductor)?;
        self.copy_design();
        self.copy_study();
        let limit = finding.judged.limit?;
        let ChangedDesign { design, study, .. } = self.rooms.changed();
        let mut holds_at = |degc: f32| {
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

    /// The fuse in series with a conductor of which short circuits ask more than it breaks:
    /// its type, and the breaking capacity that it would need.
    fn exceeded(&self, lead: ConductorId) -> Option<(FuseTypeId, f32)> {
        let points = &self.studies.study.points;
        let mut most: Option<(FuseTypeId, f32)> = None;
        for (id, fuse) in self.design.all::<Fuse>() {
            if !points.series().together(id.into(), lead.into()) {
                continue;
            }
            let largest = self
                .studies
                .faults
                .fuse(id)
                .and_then(|burden| burden.largest);
            let (Some((part, kind)), Some(largest)) = (self.design.part(fuse.part), largest) else {
                continue;
            };
            let largest = largest.as_amperes();
            let breaks = kind
                .breaking
                .is_none_or(|breaks| breaks.as_amperes() >= largest);
            if !breaks && most.is_none_or(|(_, known)| largest > known) {
                most = Some((part, largest));
            }
        }
        most
    }

    /// A fuse that breaks as much, where that alone mends it.
    fn with_breaking(
        &mut self,
        lead: ConductorId,
        part: FuseTypeId,
        breaking: f32,
    ) -> Option<Turning> {
        let (thing, input) = (part.into(), Input::FuseBreaking);
        let now = input.stated(self.design, thing);
        let turns_at = above(breaking);
        self.copy_design();
        self.copy_study();
        input.set(&mut self.rooms.changed().design, thing, turns_at)?;
        (self.holds_in_faults(lead) == Some(true)).then_some(Turning {
            thing,
            input,
            now,
            turns_at,
        })
    }

    /// The next larger section with which a finding that fails holds.
    pub(super) fn section(&mut self) -> Option<Turning> {
        if self.finding.judged.verdict != Verdict::Fails {
            return None;
        }
        // What does not end is not mended by copper.
        let finding = self.finding;
        if finding.judged.name == Aspect::LeadI2t && finding.judged.value.is_none() {
            return None;
        }
        let thing = self.finding.thing;
        // Copper in the place of a fuse that does not break its short circuits is no cure:
        // others behind it end them, too late for what is connected there.
        if let (Aspect::LeadI2t, Some(lead)) = (finding.judged.name, thing.id())
            && let Some((part, breaking)) = self.exceeded(lead)
        {
            return self.with_breaking(lead, part, breaking);
        }
        let cable = *cable_at(self.design, thing)?;
        let mut sections: Vec<Section, MAX_SECTIONS> = Vec::new();
        for section in larger(cable.conductor, cable.metal) {
            sections.push(section).ok()?;
        }
        self.copy_design();
        self.copy_study();
        let changed = &mut self.rooms.changed().design;
        set_section(changed, thing, *sections.first()?)?;
        let system = system_at(self.design, thing)?;
        let last = sections.len() - 1;
        // Where the drop is elsewhere not even the largest helps.
        if finding.judged.name == Aspect::Drop
            && !self.holds_with_section(thing, *sections.get(last)?, system)?
        {
            return None;
        }
        let begin = self.guess(thing, &sections).unwrap_or(last);
        let found = least(begin, sections.len(), |number| {
            let section = *sections.get(number)?;
            self.holds_with_section(thing, section, system)
        })?;
        Some(Turning {
            thing,
            input: Input::Section,
            now: Input::Section.stated(self.design, thing),
            turns_at: ConductorArea::as_mm2(sections.get(found)?.section),
        })
    }

    /// Where to begin to look for the least section that does, by how the value that fails goes
    /// with the section; `None` where that leads beyond the largest.
    fn guess(&mut self, thing: Thing, sections: &[Section]) -> Option<usize> {
        let judged = self.finding.judged;
        let now = Input::Section.stated(self.design, thing)?;
        let over = |value: Option<f32>, zero: f32| Some((value? - zero) / (judged.limit? - zero));
        let enough = |section: f32| sections.iter().position(|s| s.section.as_mm2() >= section);
        match judged.name {
            Aspect::Drop => enough(now * over(judged.value, 0.0)?),
            Aspect::LeadI2t => enough(now * libm::sqrtf(over(judged.value, 0.0)?)),
            // How much a conductor warms up goes with a power of its section that its duty and
            // its surroundings make; with the same currents one more section shows which.
            _ => {
                let lead = thing.id::<ConductorId>()?;
                let (_, air) = self.air_of(lead)?;
                let first = over(judged.value, air)?;
                let near = enough(now * libm::sqrtf(first))?;
                let section = *sections.get(near)?;
                let ChangedDesign { design, study, .. } = self.rooms.changed();
                reset_section(design, thing, section)?;
                study.restudy(design, lead);
                let second = over(temperature(design, study, lead, self.finding), air)?;
                let section = section.section.as_mm2();
                let power = libm::logf(first / second) / libm::logf(section / now);
                enough(section * libm::powf(second, 1.0 / power))
            }
        }
    }

    /// Whether the finding holds with another section at its thing, in a copy in which
    /// nothing else was changed.
    fn holds_with_section(
        &mut self,
        thing: Thing,
        section: Section,
        system: System,
    ) -> Option<bool> {
        let (finding, studies) = (self.finding, self.studies);
        let ChangedDesign {
            design,
            topology,
            study,
            workspace,
        } = self.rooms.changed();
        reset_section(design, thing, section)?;
        study.restudy_currents(design, workspace, system);
        // A drop asks for currents only; everything else is about one conductor.
        if let Some(lead) = thing.id::<ConductorId>() {
            study.restudy(design, lead);
        }
        // Only a short circuit asks for the faults of the copy.
        if finding.judged.name == Aspect::LeadI2t {
            return self.holds_in_faults(thing.id()?);
        }
        let studies = Studies { study, ..studies };
        Some(verdict(finding, design, topology.as_ref(), studies) == Verdict::Holds)
    }

    /// Whether the finding holds in the short circuits of the copy, about a conductor.
    fn holds_in_faults(&mut self, lead: ConductorId) -> Option<bool> {
        let (finding, studies) = (self.finding, self.studies);
        let (changed, ChangedFaults { faults, currents }) = self.rooms.with_faults();
        let ChangedDesign {
            design,
            topology,
            study,
            ..
        } = &*changed;
        let verdict = |faults: &FaultBurdens| {
            let studies = Studies {
                study,
                faults,
                ..studies
            };
            verdict(finding, design, topology.as_ref(), studies)
        };
        // What is hardest now shows most of what does not do.
        let before = studies.faults.conductor(lead);
        if let Some(fault) = before.and_then(|before| before.hardest) {
            faults.solve_one(design, currents, fault).ok()?;
            if verdict(faults) == Verdict::Fails {
                return Some(false);
            }
        }
        faults.solve(design, currents, &mut |_, _| {}).ok()?;
        Some(verdict(faults) == Verdict::Holds)
    }
}

/// The first of so many numbers that holds, where all after one that holds hold too: from
/// one to begin with in steps that double, then by halves.
fn least(
    begin: usize,
    count: usize,
    mut holds: impl FnMut(usize) -> Option<bool>,
) -> Option<usize> {
    let (mut bad, mut good, mut step) = (None, None, 1);
    let mut next = begin;
    loop {
        if holds(next)? {
            good = Some(next);
        } else {
            bad = Some(next);
        }
        let first = bad.map_or(0, |bad| bad + 1);
        next = match (bad, good) {
            (_, Some(good)) if first == good => return Some(good),
            (Some(_), Some(good)) => usize::midpoint(first, good - 1),
            (None, Some(good)) => good.saturating_sub(step),
            (_, None) if first >= count => return None,
            (_, None) => (first + step - 1).min(count - 1),
        };
        step *= 2;
    }
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

/// The next larger sections that can be bought like the one there is.
pub(super) fn larger(
    now: Section,
    metal: crate::standard::metal::Metal,
) -> impl Iterator<Item = Section> {
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

#[cfg(test)]
mod tests {
    use super::least;

    #[test]
    fn the_first_that_holds_is_found_from_wherever_the_search_begins() {
        for count in 1..24 {
            for first in 0..=count {
                for begin in 0..count {
                    let mut asked = std::vec![];
                    let found = least(begin, count, |number| {
                        asked.push(number);
                        Some(number >= first)
                    });
                    assert_eq!(found, (first < count).then_some(first));
                    asked.sort_unstable();
                    assert!(asked.is_sorted_by(|a, b| a < b), "asked twice: {asked:?}");
                }
            }
        }
        assert_eq!(least(0, 3, |_| None), None);
    }
}
