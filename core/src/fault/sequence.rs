//! What a fault carries, and which fuse opens after which.

use heapless::Vec;

use super::graph::Extreme;
use super::reduced::{Flow, MAX_PARTS, Reduced, What, fuse_type};
use super::rise::{Rise, span, steady_seconds};
use crate::design::{
    BatteryId, Design, FuseId, FuseType, FuseTypeId, Index, Kind, MAX_FUSE_TYPES, Thing,
};
use crate::error::Error;
use crate::network::Workspace;
use crate::protection::{
    CURVE_TOLERANCE, ClearingCurve, CurveSide, FuseGap, Melting, MeltingCurve, MeltingTime,
    Unbroken,
};
use crate::quantity::{Current, CurrentSquaredTime, Time, Voltage};

/// Most fuses of one fault that are listed.
pub const MAX_CARRIERS: usize = 16;
/// Most batteries of one fault that are listed.
pub const MAX_FEEDERS: usize = crate::design::MAX_BATTERIES;
/// Most fuses that open one after the other.
pub const MAX_STAGES: usize = 6;

/// A fuse that carries current of the fault.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a fuse and its current are all there is
pub struct Carrier {
    /// The fuse.
    pub fuse: FuseId,
    /// Its prospective current; negative from its second terminal to its first, which is
    /// a feed from its far side.
    pub current: Current,
}

/// A battery that feeds the fault.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a battery and its current are all there is
pub struct Feeder {
    /// The battery.
    pub battery: BatteryId,
    /// Its prospective current; negative where others charge it.
    pub current: Current,
}

/// A fuse that opens.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // one step of a sequence
pub struct Stage {
    /// The fuse.
    pub fuse: FuseId,
    /// Its prospective current before it opens, as an amount.
    pub current: Current,
    /// Voltage that it has to break: what lies across it when it is open.
    pub voltage: Voltage,
    /// From the beginning of the fault until it has melted.
    pub melted: Time,
    /// From the beginning of the fault until its arc is out.
    pub cleared: Time,
    /// Joule integral that it lets through, no more than this.
    pub let_through: CurrentSquaredTime,
    /// What the fault carries after it.
    pub left: Current,
}

/// Most conductors and contactors of one fault that are listed.
pub const MAX_BURDENS: usize = MAX_PARTS;

/// What a conductor or closed contactor has to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a thing and what it carries are all there is
pub struct Burden {
    /// The conductor or contactor.
    pub thing: Thing,
    /// Its prospective current, as an amount; `None` where parallel parts without
    /// resistance share it.
    pub current: Option<Current>,
    /// Joule integral until the fault is off for good; `None` where it does not go off,
    /// or the share is not known.
    pub i2t: Option<CurrentSquaredTime>,
}

/// How the fault ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum End {
    /// Nothing feeds it.
    NoCurrent,
    /// The last fuse that feeds it has opened after this time.
    Cleared(Time),
    /// What is left flows in loops without a fuse.
    NoFuse,
    /// Fuses carry what is left, and none of them opens within the time of its curve.
    NoneOpens,
    /// This fuse melts and does not break the current.
    Unbroken(FuseId, Unbroken),
    /// The datasheet of this fuse does not say whether or when it opens.
    NotKnown(FuseId, FuseGap),
    /// Parallel parts without resistance: what this fuse carries is not defined.
    ShareNotKnown(FuseId),
    /// More fuses open one after the other than are followed.
    TooManyStages,
    /// The network has no solution.
    NoSolution,
}

impl End {
    /// Computes: of two ends of one fault, at its largest and at its smallest current, the
    /// one that is worse for the builder: whatever does not go off before what does, the
    /// later before the sooner, any of these before no current. Of two that do not go off
    /// it is this one.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        match (self, other) {
            (Self::Cleared(one), Self::Cleared(two)) => {
                Self::Cleared(if two > one { two } else { one })
            }
            (Self::Cleared(_), Self::NoCurrent) => self,
            (Self::Cleared(_) | Self::NoCurrent, other) => other,
            (one, _) => one,
        }
    }
}

/// One fault at one end of all ranges.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultCurrent {
    /// Which end.
    pub extreme: Extreme,
    /// Prospective current, from the first point to the second, as an amount.
    pub prospective: Current,
    /// L/R of the steady state: energy in all inductances over half the power in all
    /// resistances. Exact for one loop; with several sources it lies between theirs.
    /// Of known inductances only: see the gaps.
    pub time_constant: Time,
    /// The fuses that carry it.
    pub carriers: Vec<Carrier, MAX_CARRIERS, u8>,
    /// The batteries that feed it.
    pub feeders: Vec<Feeder, MAX_FEEDERS, u8>,
    /// What flows when every fuse of the design is open: the part that no fuse guards.
    pub without_fuse: Current,
    /// The fuses that open, in order.
    pub stages: Vec<Stage, MAX_STAGES, u8>,
    /// Fuses of which the datasheet does not say enough: they are taken to open never, and
    /// may open before those of `stages`.
    pub not_known: Vec<(FuseId, FuseGap), MAX_CARRIERS, u8>,
    /// The conductors and closed contactors that carry it.
    pub burdens: Vec<Burden, MAX_BURDENS, u8>,
    /// Joule integral of the fault itself until it is off for good; `None` where it does
    /// not go off.
    pub i2t: Option<CurrentSquaredTime>,
    /// How it ends.
    pub end: End,
}

impl FaultCurrent {
    /// No current.
    pub(super) const fn none(extreme: Extreme) -> Self {
        Self {
            extreme,
            prospective: NOTHING,
            time_constant: AT_ONCE,
            carriers: Vec::new(),
            feeders: Vec::new(),
            without_fuse: NOTHING,
            stages: Vec::new(),
            not_known: Vec::new(),
            burdens: Vec::new(),
            i2t: None,
            end: End::NoCurrent,
        }
    }

    /// No current any more, in the same memory.
    fn clear(&mut self) {
        let Self {
            extreme: _,
            prospective,
            time_constant,
            carriers,
            feeders,
            without_fuse,
            stages,
            not_known,
            burdens,
            i2t,
            end,
        } = self;
        (*prospective, *time_constant, *without_fuse) = (NOTHING, AT_ONCE, NOTHING);
        carriers.clear();
        feeders.clear();
        stages.clear();
        not_known.clear();
        burdens.clear();
        (*i2t, *end) = (None, End::NoCurrent);
    }
}

/// A fuse on its way.
#[derive(Clone, Debug)]
struct Heated {
    part: usize,
    fuse: FuseId,
    part_type: Option<FuseTypeId>,
    melting: Melting,
    /// Joule integral so far, A2s.
    i2t: f32,
    /// It has been shown not to open.
    fails: bool,
}

/// The latest melting curve of each fuse type; none where the datasheet states nothing, an
/// error where it contradicts itself.
pub(crate) type Curves = Vec<Result<Option<MeltingCurve>, Error>, MAX_FUSE_TYPES, u8>;

/// Reads the curves of all fuse types.
pub(crate) fn curves(design: &Design) -> Curves {
    let mut curves = Vec::new();
    for (_, part) in design.all::<FuseType>() {
        // As many places as types.
        let _ = curves.push(MeltingCurve::new(part, CurveSide::Latest, CURVE_TOLERANCE));
    }
    curves
}

/// The curve of a fuse; none without a type either.
fn curve_of(curves: &Curves, part: Option<FuseTypeId>) -> Result<Option<&MeltingCurve>, Error> {
    match part.and_then(|part| curves.get(part.position())) {
        Some(Ok(curve)) => Ok(curve.as_ref()),
        Some(Err(error)) => Err(*error),
        None => Ok(None),
    }
}

/// Memory of one sequence.
pub(super) type Fuses = Vec<HeatedFuse, MAX_CARRIERS>;
pub(super) struct HeatedFuse(Heated);

const NOTHING: Current = constant!(Current::from_amperes(0.0));
const AT_ONCE: Time = constant!(Time::from_seconds(0.0));

/// Follows a fault that was loaded and built from its prospective current to its end.
pub(super) fn follow(
    design: &Design,
    curves: &Curves,
    reduced: &mut Reduced,
    workspace: &mut Workspace,
    fuses: &mut Fuses,
    result: &mut FaultCurrent,
) -> Result<(), Error> {
    result.clear();
    fuses.clear();
    if reduced.fault().is_none() {
        return Ok(());
    }
    let unguarded = without_fuses(reduced, workspace)?;
    let solved = reduced.solve(workspace, None)?;
    let (Some(unguarded), Some(_)) = (unguarded, solved) else {
        result.end = End::NoSolution;
        return Ok(());
    };
    result.without_fuse = amount(unguarded)?;
    result.prospective = amount(reduced.fault_current())?;
    let floor = reduced.flow.floor();
    if reduced.fault_current().abs() <= floor {
        result.prospective = NOTHING;
        return Ok(());
    }
    result.time_constant = time_constant(reduced);
    for (number, part) in reduced.parts.iter().enumerate() {
        let (battery, fuse): (Option<BatteryId>, _) = (part.id(), part.fuse());
        if battery.is_none() && fuse.is_none() {
            continue;
        }
        let amperes = reduced.flow.of(part);
        if amperes.abs() <= floor {
            continue;
        }
        if let Some(battery) = battery {
            let current = Current::from_amperes(narrow(amperes))?;
            // As many places as batteries.
            let _ = result.feeders.push(Feeder { battery, current });
        }
        let Some(fuse) = fuse else {
            continue;
        };
        if amperes.is_nan() {
            result.end = End::ShareNotKnown(fuse);
            return Ok(());
        }
        let current = Current::from_amperes(narrow(amperes))?;
        let part_type = design.get(fuse).and_then(|fuse| fuse.part);
        // A datasheet that contradicts itself refuses the fault.
        curve_of(curves, part_type)?;
        let heated = Heated {
            part: number,
            fuse,
            part_type,
            melting: Melting::new(),
            i2t: 0.0,
            fails: false,
        };
        if result.carriers.push(Carrier { fuse, current }).is_err()
            || fuses.push(HeatedFuse(heated)).is_err()
        {
            result.end = End::TooManyStages;
            return Ok(());
        }
    }
    let prospective = reduced.flow.clone();
    let mut heats: Vec<f32, MAX_PARTS> = Vec::new();
    heats.resize(reduced.chains.len(), 0.0).ok();
    result.end = open_in_turn(
        design, curves, reduced, workspace, fuses, &mut heats, result,
    )?;
    burdens(reduced, &prospective, &heats, result)?;
    if let (End::Cleared(_), Some(heat)) = (result.end, reduced.of_fault(&heats)) {
        result.i2t = CurrentSquaredTime::from_a2s(heat).ok();
    }
    Ok(())
}

/// What conductors and contactors have to stand, from the prospective currents and the joule
/// integrals of the chains.
fn burdens(
    reduced: &Reduced,
    prospective: &Flow,
    heats: &[f32],
    result: &mut FaultCurrent,
) -> Result<(), Error> {
    let (cleared, burdens) = (matches!(result.end, End::Cleared(_)), &mut result.burdens);
    let floor = prospective.floor();
    for part in &reduced.parts {
        let (What::Thing(thing), Some((chain, _))) = (part.what, part.chain) else {
            continue;
        };
        if !matches!(thing.kind, Kind::Conductor | Kind::Contactor) {
            continue;
        }
        let amperes = prospective.of(part);
        if amperes.abs() <= floor {
            continue;
        }
        let (current, i2t) = if amperes.is_nan() {
            (None, None)
        } else {
            let heat = heats.get(usize::from(chain)).filter(|_| cleared);
            let i2t = heat.and_then(|heat| CurrentSquaredTime::from_a2s(*heat).ok());
            (Some(amount(amperes)?), i2t)
        };
        let burden = Burden {
            thing,
            current,
            i2t,
        };
        // The two halves of a conductor with the fault in its middle are one conductor.
        let mut known = burdens.iter_mut().filter(|_| part.is_half());
        match known.find(|known| known.thing == thing) {
            Some(known) => {
                if burden.current > known.current {
                    *known = burden;
                }
            }
            // There are as many places as parts.
            None => drop(burdens.push(burden)),
        }
    }
    Ok(())
}

/// What the fault carries with every fuse open.
fn without_fuses(reduced: &mut Reduced, workspace: &mut Workspace) -> Result<Option<f64>, Error> {
    if !reduced.joined_without_fuse {
        return Ok(Some(0.0));
    }
    let count = reduced.parts.len();
    for part in 0..count {
        if reduced.parts.get(part).is_some_and(|p| p.fuse().is_some()) {
            reduced.switch(part, false)?;
        }
    }
    let solved = reduced.solve(workspace, None)?;
    let floor = reduced.flow.floor();
    let amperes = reduced.fault_current().abs();
    for part in 0..count {
        if reduced.parts.get(part).is_some_and(|p| p.fuse().is_some()) {
            reduced.switch(part, true)?;
        }
    }
    Ok(solved.map(|_| if amperes > floor { amperes } else { 0.0 }))
}

/// Energy in the inductances over half the power in the resistances.
fn time_constant(reduced: &Reduced) -> Time {
    let (mut energy, mut power) = (0.0, 0.0);
    for (chain, amperes) in reduced.chains.iter().zip(&reduced.flow.chains) {
        if amperes.is_finite() {
            energy += chain.henries * amperes * amperes;
            power += chain.ohms * amperes * amperes;
        }
    }
    span(if power > 0.0 {
        narrow(energy / power)
    } else {
        0.0
    })
}

/// Opens one fuse after the other until nothing flows or none opens.
fn open_in_turn(
    design: &Design,
    curves: &Curves,
    reduced: &mut Reduced,
    workspace: &mut Workspace,
    fuses: &mut Fuses,
    heats: &mut [f32],
    result: &mut FaultCurrent,
) -> Result<End, Error> {
    let tau = result.time_constant;
    let mut now = span(0.0);
    let mut trouble = None;
    // Each round opens a fuse or finds one that does not open.
    for _ in 0..=MAX_CARRIERS {
        let floor = reduced.flow.floor();
        if reduced.fault_current().abs() <= floor {
            return Ok(End::Cleared(now));
        }
        // Only the first current starts from nothing.
        let time_constant = if result.stages.is_empty() {
            tau
        } else {
            span(0.0)
        };
        let rise = |amperes: f64| -> Result<Rise, Error> {
            Ok(Rise {
                steady: amount(amperes)?,
                time_constant,
            })
        };
        let known = result.not_known.len();
        let unknown = &mut result.not_known;
        let (earliest, carried) = next(curves, fuses, reduced, time_constant, now, unknown)?;
        if let Some((fuse, gap)) = result.not_known.get(known) {
            trouble = trouble.or(Some(End::NotKnown(*fuse, *gap)));
        }
        let Some((number, melted)) = earliest else {
            let end = if carried { End::NoneOpens } else { End::NoFuse };
            return Ok(trouble.filter(|_| carried).unwrap_or(end));
        };
        let Some(HeatedFuse(opening)) = fuses.get(number) else {
            return Ok(End::NoSolution);
        };
        let (part, id, so_far) = (opening.part, opening.fuse, opening.i2t);
        let before = reduced.flow.clone();
        let amperes = reduced.current(part).abs();
        reduced.switch(part, false)?;
        let Some(volts) = reduced.solve(workspace, Some(part))? else {
            return Ok(End::NoSolution);
        };
        let voltage = Voltage::from_volts(narrow(volts.abs()))?;
        let at_melting = rise(amperes)?.at(melted)?;
        match breaks(design, id, [amount(amperes)?, at_melting], voltage) {
            Ok(arc) => {
                let cleared = span(melted.as_seconds() + arc.time.as_seconds());
                // What has not melted when the fault is off need not be known.
                if reduced.fault_current().abs() > reduced.flow.floor() {
                    heat_fuses(
                        curves,
                        fuses,
                        reduced,
                        &before,
                        time_constant,
                        [now, cleared],
                    )?;
                }
                let to_melting = Span::new(time_constant, now, melted);
                let to_clearing = Span::new(time_constant, now, cleared);
                let fault = reduced.chain_of_fault();
                for (chain, (heat, current)) in heats.iter_mut().zip(&before.chains).enumerate() {
                    if !current.is_finite() || current.abs() <= floor {
                        continue;
                    }
                    if Some(chain) == fault {
                        *heat += to_melting.i2t(*current)?;
                        *heat += arcing_i2t(narrow(current.abs()), narrow(amperes), arc.time);
                    } else {
                        *heat += to_clearing.i2t(*current)?;
                    }
                }
                let heated = so_far + to_melting.i2t(amperes)? + arc.i2t.as_a2s();
                let stage = Stage {
                    fuse: id,
                    current: amount(amperes)?,
                    voltage,
                    melted,
                    cleared,
                    let_through: CurrentSquaredTime::from_a2s(heated)?,
                    left: amount(reduced.fault_current())?,
                };
                if result.stages.push(stage).is_err() {
                    return Ok(End::TooManyStages);
                }
                now = cleared;
                if let Some(HeatedFuse(fuse)) = fuses.get_mut(number) {
                    fuse.fails = true;
                }
            }
            Err(end) => {
                if let End::NotKnown(fuse, gap) = end {
                    // As many places as fuses.
                    let _ = result.not_known.push((fuse, gap));
                }
                trouble = trouble.or(Some(end));
                if let Some(HeatedFuse(fuse)) = fuses.get_mut(number) {
                    fuse.fails = true;
                }
                reduced.switch(part, true)?;
                reduced.flow = before;
            }
        }
    }
    Ok(End::TooManyStages)
}

/// Heats fuses from one time to another, those that have not been shown not to open.
fn heat_fuses(
    curves: &Curves,
    fuses: &mut Fuses,
    reduced: &Reduced,
    flow: &Flow,
    time_constant: Time,
    [from, until]: [Time; 2],
) -> Result<(), Error> {
    let span = Span::new(time_constant, from, until);
    // Fuses of one type in series melt alike: compute it once.
    let (mut alike, mut heated) = (None, Melting::new());
    for HeatedFuse(fuse) in fuses.iter_mut().filter(|HeatedFuse(fuse)| !fuse.fails) {
        let amperes = reduced.current_in(flow, fuse.part);
        let curve = curve_of(curves, fuse.part_type)?;
        if let (Some(curve), true) = (curve, amperes.abs() > flow.floor()) {
            let rise = Rise {
                steady: amount(amperes)?,
                time_constant,
            };
            let this = Some((fuse.part_type, rise.steady, fuse.melting));
            if alike != this {
                heated = rise.melts(curve, fuse.melting, from, Some(until)).1;
                alike = this;
            }
            fuse.melting = heated;
        }
        fuse.i2t += span.i2t(amperes)?;
    }
    Ok(())
}

/// Finds the fuse that melts next, by its place and with its time, and whether any fuse
/// carries current at all.
fn next(
    curves: &Curves,
    fuses: &mut Fuses,
    reduced: &Reduced,
    time_constant: Time,
    now: Time,
    not_known: &mut Vec<(FuseId, FuseGap), MAX_CARRIERS, u8>,
) -> Result<(Option<(usize, Time)>, bool), Error> {
    // With the steady current from now on each would melt sooner than it does in the rise:
    // what does not come first even so is not followed. The most eager is looked at first.
    let mut carried = false;
    let mut eager: Option<(usize, Time)> = None;
    let mut soonest: Vec<Option<Time>, MAX_CARRIERS, u8> = Vec::new();
    for (number, HeatedFuse(fuse)) in fuses.iter_mut().enumerate() {
        let amperes = reduced.current(fuse.part);
        let carries = amperes.abs() > reduced.flow.floor();
        carried |= carries;
        let curve = curve_of(curves, fuse.part_type)?;
        let melts = match curve {
            _ if !carries || fuse.fails => MeltingTime::LaterThan(now),
            Some(curve) => fuse.melting.time_left(curve, amount(amperes)?),
            None => MeltingTime::NotKnown,
        };
        let soon = match melts {
            MeltingTime::After(left) => Some(span(now.as_seconds() + left.as_seconds())),
            MeltingTime::LaterThan(_) => None,
            MeltingTime::NotKnown => {
                let gap = match curve {
                    Some(_) => FuseGap::MeltingThere,
                    None => FuseGap::Melting,
                };
                fuse.fails = true;
                // As many places as fuses.
                let _ = not_known.push((fuse.fuse, gap));
                None
            }
        };
        if let Some(soon) = soon
            && eager.is_none_or(|(_, known)| soon < known)
        {
            eager = Some((number, soon));
        }
        // As many places as fuses.
        let _ = soonest.push(soon);
    }
    let Some((eager, _)) = eager else {
        return Ok((None, carried));
    };
    let mut earliest: Option<(usize, Time)> = None;
    // Fuses of one type in series melt alike: compute it once.
    let (mut alike, mut same) = (None, MeltingTime::NotKnown);
    let numbers = (0..fuses.len()).filter(|number| *number != eager);
    for number in core::iter::once(eager).chain(numbers) {
        let (Some(HeatedFuse(fuse)), Some(Some(soon))) = (fuses.get(number), soonest.get(number))
        else {
            continue;
        };
        // Of several at the same time it is the first in order.
        let first = |time: Time| {
            earliest.is_none_or(|(other, known)| time < known || (time == known && number < other))
        };
        if !first(*soon) {
            continue;
        }
        let rise = Rise {
            steady: amount(reduced.current(fuse.part))?,
            time_constant,
        };
        let this = Some((fuse.part_type, rise.steady, fuse.melting));
        if alike != this {
            let curve = curve_of(curves, fuse.part_type)?;
            let melts = curve.map(|curve| rise.melts(curve, fuse.melting, now, None).0);
            (alike, same) = (this, melts.unwrap_or(MeltingTime::NotKnown));
        }
        if let MeltingTime::After(time) = same
            && first(time)
        {
            earliest = Some((number, time));
        }
    }
    Ok((earliest, carried))
}

/// A span of a rise that began at zero, the same for all currents of one fault.
struct Span {
    /// For how long the prospective currents would have to flow for the same joule
    /// integrals, s.
    steady: f64,
}

impl Span {
    fn new(time_constant: Time, from: Time, until: Time) -> Self {
        Self {
            steady: steady_seconds(time_constant, until) - steady_seconds(time_constant, from),
        }
    }

    /// Joule integral over it of a current that rises to so many amperes, A2s.
    fn i2t(&self, amperes: f64) -> Result<f32, Error> {
        let a2s = narrow(amperes * amperes * self.steady);
        Ok(CurrentSquaredTime::from_a2s(a2s)?.as_a2s())
    }
}

/// Joule integral of a fault while the current of one of its fuses falls to nothing along
/// a straight line and the rest flows on: T (R2 + R F + F2/3), A2s.
fn arcing_i2t(fault: f32, fuse: f32, time: Time) -> f32 {
    let falls = libm::fminf(fault, fuse);
    let rest = fault - falls;
    time.as_seconds() * (rest * rest + rest * falls + falls * falls / 3.0)
}

struct Arc {
    time: Time,
    i2t: CurrentSquaredTime,
}

/// The arc of a fuse that breaks a current at a voltage, or why it does not.
fn breaks(
    design: &Design,
    id: FuseId,
    [prospective, at_melting]: [Current; 2],
    voltage: Voltage,
) -> Result<Arc, End> {
    let not_known = |gap| End::NotKnown(id, gap);
    let part = fuse_type(design, id).ok_or(not_known(FuseGap::Melting))?;
    let curve = ClearingCurve::without_melting(part, voltage);
    let breaks = curve.breaks(prospective).map_err(not_known)?;
    breaks.map_err(|why| End::Unbroken(id, why))?;
    Ok(Arc {
        i2t: curve.arcing().map_err(not_known)?,
        time: curve.arcing_time(at_melting).map_err(not_known)?,
    })
}

fn amount(amperes: f64) -> Result<Current, Error> {
    Current::from_amperes(narrow(amperes.abs()))
}

#[allow(clippy::cast_possible_truncation)] // to the precision of the quantities
fn narrow(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_go_off_is_worse_than_what_does_and_later_than_sooner() {
        let after = |seconds| End::Cleared(Time::from_seconds(seconds).unwrap());
        assert_eq!(after(0.1).worse(after(2.0)), after(2.0));
        assert_eq!(after(2.0).worse(after(0.1)), after(2.0));
        assert_eq!(after(2.0).worse(End::NoCurrent), after(2.0));
        assert_eq!(End::NoCurrent.worse(after(2.0)), after(2.0));
        assert_eq!(after(2.0).worse(End::NoFuse), End::NoFuse);
        assert_eq!(End::NoFuse.worse(after(2.0)), End::NoFuse);
        assert_eq!(End::NoneOpens.worse(End::NoFuse), End::NoneOpens);
    }
}
