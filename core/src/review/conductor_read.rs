//! Temperatures that were read at conductors, terminals and contactors: what they are held
//! against, whatever was computed.

use super::aspect::Aspect;
use super::conductor::STEADY_RESERVE_K;
use super::evidence::gap;
use super::finding::Because;
use super::measured::put;
use super::subject::{Sink, Subject};
use crate::design::{
    Conductor, ConductorId, Contactor, ContactorId, Design, Gap, Kind, Measured, Moment, Reading,
    ReadingId, RoutePiece, TerminalId, Thing, WhichEnd, Zone,
};
use crate::quantity::{Current, Temperature};
use crate::standard::SourceId;
use crate::study::{Known, Unknown, lower, settled_at, terminal_limit};
use crate::verdict::{Judged, Side, Verdict};

/// A temperature that was read, and where.
#[derive(Clone, Copy)]
pub(super) struct ReadAt {
    pub(super) thing: Thing,
    /// The terminal, where the end of a conductor is meant.
    pub(super) at: Option<Thing>,
    pub(super) reading: Reading,
}

/// Current and moment of a reading of a temperature.
fn conditions(design: &Design, reading: &Reading) -> Option<(Current, Moment)> {
    let Measured::Temperature { at, .. } = reading.measured else {
        return None;
    };
    Some((at, design.moment(reading.signature)))
}

/// Every reading of a temperature that no later one at the same place replaces: one with as
/// much current at least. What was cool at little current clears nothing.
pub(super) fn standing(subject: &Subject<'_>, put: &mut dyn FnMut(ReadingId, ReadAt)) {
    let design = subject.design;
    for (id, reading) in design.all::<Reading>() {
        let Some((current, when)) = conditions(design, reading) else {
            continue;
        };
        let amperes = |current: Current| libm::fabsf(current.as_amperes());
        let replaced = design.all::<Reading>().any(|(other, later)| {
            let same = later.at == reading.at && later.end == reading.end;
            let Some((flowed, then)) = conditions(design, later).filter(|_| same) else {
                return false;
            };
            then.outdates(when, other > id) && amperes(flowed) >= amperes(current)
        });
        if replaced {
            continue;
        }
        let at = reading.at.id::<ConductorId>().and_then(|lead| {
            let lead: &Conductor = design.get(lead)?;
            Some(match reading.end? {
                WhichEnd::From => lead.from.into(),
                WhichEnd::To => lead.to.into(),
            })
        });
        let read = ReadAt {
            thing: reading.at,
            at,
            reading: *reading,
        };
        put(id, read);
    }
}

/// What a terminal and all lugs on it stand, and where that is stated.
fn limit_at(design: &Design, terminal: TerminalId) -> Option<(Temperature, Thing)> {
    let ends = design.all::<Conductor>().flat_map(|(_, lead)| {
        let both = lead.ends.iter().zip([lead.from, lead.to]);
        both.filter_map(|(end, at)| (at == terminal).then_some(end))
    });
    terminal_limit(design, terminal, ends)
}

/// Of a rise that is smaller, K, no share tells anything: a meter is off by as much (own choice).
const LEAST_RISE_K: f32 = 2.0;

/// What a reading at one current in some air tells of the duty in the hottest air: it becomes
/// as many times warmer than was computed as it was when it was read. degC.
#[derive(Clone, Copy)]
pub(super) struct Carried {
    /// At the worse end of its accuracy.
    pub(super) read: f32,
    /// Air beside the reading.
    pub(super) read_air: f32,
    /// What was computed for the current and air of the reading.
    pub(super) computed: f32,
    /// What was computed for the duty.
    pub(super) duty: f32,
    /// Air of the duty.
    pub(super) air: f32,
    /// What is allowed of that.
    pub(super) limit: f32,
}

impl Carried {
    pub(super) fn in_duty(&self) -> f32 {
        let times = (self.read - self.read_air) / (self.computed - self.read_air);
        self.air + (self.duty - self.air) * times
    }
}

impl ReadAt {
    /// The end of a conductor that it is about: the one that is named, or the only one at a
    /// terminal.
    fn end(&self, design: &Design) -> Option<(ConductorId, WhichEnd)> {
        if let Some(id) = self.thing.id::<ConductorId>() {
            return Some((id, self.reading.end?));
        }
        let terminal = self.thing.id::<TerminalId>()?;
        let mut ends = design.all::<Conductor>().flat_map(|(id, lead)| {
            [(lead.from, WhichEnd::From), (lead.to, WhichEnd::To)]
                .into_iter()
                .filter(move |(end, _)| *end == terminal)
                .map(move |(_, which)| (id, which))
        });
        match (ends.next(), ends.next()) {
            (Some(only), None) => Some(only),
            _ => None,
        }
    }

    /// Whether something is computed for a thing of its kind.
    pub(super) const fn is_compared(&self) -> bool {
        matches!(self.thing.kind, Kind::Conductor | Kind::Terminal)
    }

    /// The least and the most that was computed for the current and air of the reading, degC;
    /// `None` where nothing is.
    pub(super) fn computed(&self, subject: &Subject<'_>) -> Option<Known<[f32; 2]>> {
        let Measured::Temperature { at, air, .. } = self.reading.measured else {
            return None;
        };
        let design = subject.design;
        let end = self.end(design);
        let id = match end {
            Some((id, _)) => id,
            None => self.thing.id::<ConductorId>()?,
        };
        let settled = match settled_at(design, id, at, Some(air)) {
            Ok(settled) => settled,
            Err(unknown) => return Some(Err(unknown)),
        };
        let [from, to] = settled.ends;
        let one = match end {
            None => return Some(Ok(settled.along)),
            Some((_, WhichEnd::From)) => from,
            Some((_, WhichEnd::To)) => to,
        };
        let none = Unknown::missing(id, Gap::ConductorTemperature);
        Some(one.map(|degc| [degc, degc]).ok_or(none))
    }

    /// What stands it, and where that is stated.
    pub(super) fn limit(&self, design: &Design) -> Option<(Temperature, Thing)> {
        if let Some(id) = self.thing.id::<ConductorId>() {
            let lead: &Conductor = design.get(id)?;
            let of_end = self
                .at
                .and_then(|at| limit_at(design, at.id::<TerminalId>()?));
            let cable = lead.cable.and_then(|cable| {
                let class = design.get(cable)?.temperature_class?;
                Some((class, cable.into()))
            });
            return lower(of_end, cable);
        }
        if let Some(id) = self.thing.id::<ContactorId>() {
            let entry: &Contactor = design.get(id)?;
            let [from, to] = [entry.from, entry.to].map(|end| limit_at(design, end));
            return lower(from, to);
        }
        limit_at(design, self.thing.id::<TerminalId>()?)
    }

    /// What it tells of the duty; `None` where that is not known, and where no more was read
    /// than was computed for the same current and air: then what was computed of the duty
    /// stands.
    pub(super) fn carried(&self, subject: &Subject<'_>) -> Option<Carried> {
        let Measured::Temperature {
            temperature, air, ..
        } = self.reading.measured
        else {
            return None;
        };
        let design = subject.design;
        let (id, end) = match self.end(design) {
            Some((id, which)) => (id, Some(which)),
            None => (self.thing.id::<ConductorId>()?, None),
        };
        let [_, computed] = self.computed(subject)?.ok()?;
        let studied = subject.study.conductor(id).ok()?;
        let [steady, _, from, to] = &studied.limits;
        let (duty, reserve) = match end {
            None => (steady, STEADY_RESERVE_K),
            Some(WhichEnd::From) => (from, 0.0),
            Some(WhichEnd::To) => (to, 0.0),
        };
        let piece: &RoutePiece = design.get(studied.warmest.ok()?.piece)?;
        let zone: &Zone = design.get(piece.zone)?;
        let worse = design.worse_end(&self.reading, temperature.as_degc(), Side::AtMost);
        let carried = Carried {
            read: worse,
            read_air: air.as_degc(),
            computed,
            duty: duty.value?,
            air: zone.air?.as_degc(),
            limit: duty.limit? - reserve,
        };
        let warms_up = carried.computed - carried.read_air > LEAST_RISE_K;
        (warms_up && carried.read > carried.computed).then_some(carried)
    }

    fn judge_carried(&self, subject: &Subject<'_>, sink: &mut Sink<'_>, id: ReadingId) {
        let Some(carried) = self.carried(subject) else {
            return;
        };
        let (value, limit) = (carried.in_duty(), carried.limit);
        let source = SourceId::CommonPractice;
        let aspect = Aspect::TemperatureCarried;
        let judged = Judged::compare(aspect, value, Side::AtMost, limit, source);
        let found = (id, &self.reading);
        put(subject, sink, self.thing, self.at, judged, found);
    }

    /// Holds it against what stands it. One that holds and does not count is told by the rule
    /// that compares it.
    fn judge(&self, subject: &Subject<'_>, sink: &mut Sink<'_>, id: ReadingId) {
        let (aspect, design) = (Aspect::TemperatureRead, subject.design);
        let Measured::Temperature { temperature, .. } = self.reading.measured else {
            return;
        };
        let Some((limit, _)) = self.limit(design) else {
            return sink.open_at(self.thing, self.at, aspect, Because::NoLimit(self.thing));
        };
        let value = design.worse_end(&self.reading, temperature.as_degc(), Side::AtMost);
        let source = SourceId::CommonPractice;
        let judged = Judged::compare(aspect, value, Side::AtMost, limit.as_degc(), source);
        let counts = gap(design, self.reading.signature, true).is_none();
        if judged.verdict == Verdict::Fails || counts || !self.is_compared() {
            put(
                subject,
                sink,
                self.thing,
                self.at,
                judged,
                (id, &self.reading),
            );
        }
    }
}

/// What was read along conductors.
pub(super) fn conductors(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    standing(subject, &mut |id, read| {
        if read.thing.kind == Kind::Conductor && read.at.is_none() {
            read.judge(subject, sink, id);
            read.judge_carried(subject, sink, id);
        }
    });
}

/// What was read at the ends of conductors, at terminals and contactors.
pub(super) fn ends(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    standing(subject, &mut |id, read| {
        let at_contactor = read.thing.kind == Kind::Contactor;
        if read.at.is_some() || read.thing.kind == Kind::Terminal || at_contactor {
            read.judge(subject, sink, id);
            read.judge_carried(subject, sink, id);
        }
    });
}
