//! Readings against what was computed or stated: times, drops, temperatures, capacitances.

use super::aspect::Aspect;
#[cfg(feature = "text")]
use super::conductor_read::ReadAt;
use super::conductor_read::standing;
use super::finding::{Because, EvidenceGap};
use super::measured::{nothing_read, put};
use super::sequence::discharge_reading;
#[cfg(feature = "text")]
use super::sequence::things_of;
use super::subject::{Sink, Subject};
#[cfg(feature = "text")]
use crate::design::LoadId;
use crate::design::{
    Conductor, ConductorId, Design, Load, Measured, Reading, ReadingId, Resisting, ResistorId,
    Thing,
};
use crate::link::CAPACITANCE_TOLERANCE;
use crate::quantity::{Capacitance, Temperature};
use crate::standard::SourceId;
use crate::study::sequence::DischargeStudy;
use crate::study::{Known, Unknown};
use crate::verdict::{Judged, Side};

/// Most that a time constant may be off without a reason; common practice.
const TIME_CONSTANT_OFF: f32 = 0.2;

/// Most that a discharge or a drop may be off without a reason; common practice.
const TIME_OR_DROP_OFF: f32 = 0.3;

/// Most that a temperature may be off without a reason, in K; common practice.
const TEMPERATURE_OFF_K: f32 = 15.0;

/// What a drop is the least of: as cold as a workshop.
pub(super) const COLD: Temperature = constant!(Temperature::from_degc(20.0));

/// Something that was read, with what was computed: the least and the most of it.
#[derive(Clone, Copy)]
pub(super) struct Compared {
    /// The end of its accuracy that is farther off.
    pub(super) read: f32,
    pub(super) least: f32,
    pub(super) most: f32,
}

impl Compared {
    /// `None` where nothing can be told from the numbers.
    fn new(design: &Design, reading: &Reading, read: f32, [least, most]: [f32; 2]) -> Option<Self> {
        if !(least.is_finite() && most.is_finite() && read.is_finite()) {
            return None;
        }
        let [low, high] =
            [Side::AtLeast, Side::AtMost].map(|side| design.worse_end(reading, read, side));
        let read = if high - most > least - low { high } else { low };
        Some(Self { read, least, most })
    }

    /// Whether it is more than was computed, less, or neither.
    pub(super) fn beyond(&self) -> Option<Side> {
        if self.read > self.most {
            Some(Side::AtMost)
        } else if self.read < self.least {
            Some(Side::AtLeast)
        } else {
            None
        }
    }

    /// As a share of what was computed.
    fn share(&self) -> f32 {
        match self.beyond() {
            // Something where nothing is stated to be.
            Some(Side::AtMost) if self.most <= 0.0 => 1.0,
            Some(Side::AtMost) => self.read / self.most - 1.0,
            Some(Side::AtLeast) => 1.0 - self.read / self.least,
            None => 0.0,
        }
    }

    /// As a difference.
    fn difference(&self) -> f32 {
        match self.beyond() {
            Some(Side::AtMost) => self.read - self.most,
            Some(Side::AtLeast) => self.least - self.read,
            None => 0.0,
        }
    }
}

/// What a finding of this rule compares, for its working.
#[cfg(feature = "text")]
pub(super) fn compared(
    subject: &Subject<'_>,
    (thing, at): (Thing, Option<Thing>),
    id: ReadingId,
) -> Option<Compared> {
    let reading: Reading = *subject.design.get(id)?;
    let of =
        |read, known: Known<[f32; 2]>| Compared::new(subject.design, &reading, read, known.ok()?);
    match reading.measured {
        Measured::Precharge(time) => {
            let id = thing.id::<ResistorId>()?;
            of(time.as_seconds(), time_constant(subject, id)?)
        }
        Measured::Discharge(time) => {
            let mut all = subject.study.sequences.discharges.iter();
            let one = all.find(|one| things_of(one).any(|own| own == thing))?;
            of(time.as_seconds(), discharge_times(one)?)
        }
        Measured::Drop { voltage, at } => {
            let id = thing.id::<ConductorId>()?;
            let lead = subject.design.get(id)?;
            let read = libm::fabsf(voltage.as_volts());
            of(read, drops(subject, id, lead, at.as_amperes()))
        }
        Measured::Temperature { temperature, .. } => {
            let read = ReadAt { thing, at, reading };
            of(temperature.as_degc(), read.computed(subject)?)
        }
        Measured::Capacitance(farads) => {
            let load: &Load = subject.design.get(thing.id::<LoadId>()?)?;
            let stated = load.link?.as_farads();
            of(farads.as_farads(), Ok([stated, stated]))
        }
        _ => None,
    }
}

/// Judges one reading, or tells why it cannot be.
fn judge(
    subject: &Subject<'_>,
    sink: &mut Sink<'_>,
    (thing, at): (Thing, Option<Thing>),
    aspect: Aspect,
    (id, reading, read): (ReadingId, &Reading, f32),
    computed: Known<[f32; 2]>,
) {
    let most = match aspect {
        Aspect::TimeConstantOff => TIME_CONSTANT_OFF,
        Aspect::TemperatureOff => TEMPERATURE_OFF_K,
        Aspect::CapacitanceOff => CAPACITANCE_TOLERANCE.as_fraction(),
        _ => TIME_OR_DROP_OFF,
    };
    let found = match computed {
        Err(unknown) => return sink.open_at(thing, at, aspect, Because::Unknown(unknown)),
        Ok(computed) => Compared::new(subject.design, reading, read, computed),
    };
    // Nothing was computed that it could be a share of.
    let may_be_nothing = matches!(aspect, Aspect::TemperatureOff | Aspect::CapacitanceOff);
    let positive = |one: &Compared| may_be_nothing || one.least > 0.0;
    let Some(found) = found.filter(positive) else {
        return sink.open_at(thing, at, aspect, Because::NoLimit(thing));
    };
    let off = if aspect == Aspect::TemperatureOff {
        found.difference()
    } else {
        found.share()
    };
    let judged = Judged::compare(aspect, off, Side::AtMost, most, SourceId::CommonPractice);
    put(subject, sink, thing, at, judged, (id, reading));
}

/// The computed time constant of a precharge, as nominal.
fn time_constant(subject: &Subject<'_>, id: ResistorId) -> Option<Known<[f32; 2]>> {
    let studied = subject.study.sequences.precharge(id)?;
    Some(match &studied.found {
        Err(unknown) => Err(*unknown),
        Ok(found) => Ok([found.time_constant.as_seconds(); 2]),
    })
}

/// The time of a discharge as it was computed, at the largest capacitance, and with the
/// capacitors as they are marked; `None` where there is none.
fn discharge_times(one: &DischargeStudy) -> Option<Known<[f32; 2]>> {
    let found = match &one.found {
        Err(unknown) => return Some(Err(*unknown)),
        Ok(found) => found,
    };
    let longest = found.active.or(found.passive)?.as_seconds();
    Some(Ok([
        longest / (1.0 + CAPACITANCE_TOLERANCE.as_fraction()),
        longest,
    ]))
}

/// The drop along a conductor at a current: as cold as a workshop and without its joints, and
/// as hot as it becomes with them.
fn drops(
    subject: &Subject<'_>,
    id: ConductorId,
    lead: &Conductor,
    amperes: f32,
) -> Known<[f32; 2]> {
    let studied = subject.study.conductor(id)?;
    let (_, largest) = studied.largest?;
    let hot = studied.drop?.as_volts() * amperes / largest.as_amperes();
    let cold = subject
        .design
        .conductor_resistance(lead, Resisting::Lowest, COLD)
        .map_err(Unknown::refused(id))?
        .map_err(|gap| Unknown::missing(id, gap))?;
    let cold = libm::fabsf(cold.as_ohms() * amperes);
    Ok([cold, libm::fmaxf(libm::fabsf(hot), cold)])
}

/// Time constant of each precharge, time of each discharge, drop and temperature of each
/// conductor, capacitance of each load that was read, against what was computed.
pub(super) fn against_computed(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let design = subject.design;
    for one in &subject.study.sequences.precharges {
        let (thing, aspect) = (one.resistor.into(), Aspect::TimeConstantOff);
        let read = |reading: &Reading| match reading.measured {
            Measured::Precharge(time) => Some(time.as_seconds()),
            _ => None,
        };
        let Some((id, reading, seconds)) = design.latest_reading(thing, read) else {
            nothing_read(sink, thing, aspect);
            continue;
        };
        if let Some(computed) = time_constant(subject, one.resistor) {
            let found = (id, &reading, seconds);
            judge(subject, sink, (thing, None), aspect, found, computed);
        }
    }
    for one in &subject.study.sequences.discharges {
        let aspect = Aspect::DischargeOff;
        let first = one.loads.iter().next().map_or(Thing::VEHICLE, Into::into);
        let Some((thing, id, reading, _)) = discharge_reading(subject, one) else {
            nothing_read(sink, first, aspect);
            continue;
        };
        let Measured::Discharge(time) = reading.measured else {
            continue;
        };
        match discharge_times(one) {
            None => sink.open(thing, aspect, Because::NoLimit(thing)),
            Some(computed) => {
                let found = (id, &reading, time.as_seconds());
                judge(subject, sink, (thing, None), aspect, found, computed);
            }
        }
    }
    along_conductors(subject, sink);
    temperatures(subject, sink);
    capacitances(subject, sink);
}

/// Drops that were read along conductors, at the current that flowed.
fn along_conductors(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    for (id, lead) in subject.design.all::<Conductor>() {
        let read = |reading: &Reading| match reading.measured {
            Measured::Drop { voltage, at } if reading.end.is_none() => {
                Some((libm::fabsf(voltage.as_volts()), at.as_amperes()))
            }
            _ => None,
        };
        let found = subject.design.latest_reading(id.into(), read);
        if let Some((reading, entry, (volts, amperes))) =
            found.filter(|_| subject.is_high(lead.from))
        {
            let computed = drops(subject, id, lead, amperes);
            let (about, found) = ((id.into(), None), (reading, &entry, volts));
            judge(subject, sink, about, Aspect::DropOff, found, computed);
        }
    }
}

/// Temperatures that were read at conductors, their ends and terminals.
fn temperatures(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::TemperatureOff;
    standing(subject, &mut |id, read| {
        let Measured::Temperature { temperature, .. } = read.reading.measured else {
            return;
        };
        match read.computed(subject) {
            // What is judged by its limit alone.
            None if !read.is_compared() => {}
            None => {
                let because = Because::Evidence(EvidenceGap::NotCompared);
                sink.open_at(read.thing, read.at, aspect, because);
            }
            Some(computed) => {
                let about = (read.thing, read.at);
                let found = (id, &read.reading, temperature.as_degc());
                judge(subject, sink, about, aspect, found, computed);
            }
        }
    });
}

/// Capacitances that were read at loads.
fn capacitances(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let aspect = Aspect::CapacitanceOff;
    for (id, load) in subject.design.all::<Load>() {
        let read = |reading: &Reading| match reading.measured {
            Measured::Capacitance(farads) => Some(farads.as_farads()),
            _ => None,
        };
        let found = subject.design.latest_reading(id.into(), read);
        let Some((reading, entry, farads)) = found else {
            continue;
        };
        let Some(stated) = load.link.map(Capacitance::as_farads) else {
            sink.open(id, aspect, Because::NoLimit(id.into()));
            continue;
        };
        let (about, found) = ((id.into(), None), (reading, &entry, farads));
        judge(subject, sink, about, aspect, found, Ok([stated, stated]));
    }
}
