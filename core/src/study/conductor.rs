//! What one conductor does: currents, temperatures, drop, loss, mass.

use heapless::Vec;

use super::operation::Operation;
use super::points::Points;
use super::unknown::{Known, Unknown, entry};
use super::warmth::{PieceWarmth, Repeating, piece_warmth, still_air};
use super::window::Steps;
use crate::conductor::cable::Cable;
use crate::conductor::end::{LeadEnd, SettledPiece, end_temperature};
use crate::conductor::heat_balance::{HeatBalance, Steady};
use crate::design::{
    CableType, Conductor, ConductorId, Design, End, Gap, MAX_PIECES_OF_ROUTE, PhaseId, ReadingId,
    Resisting, RoutePieceId, TerminalId, Thing, WhichEnd,
};
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::{
    Current, Length, Mass, Power, Resistance, Temperature, TemperatureDifference, Voltage,
};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// One piece of a route in one operation.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PieceResult {
    /// The piece.
    pub piece: RoutePieceId,
    /// Its balance as installed.
    pub balance: HeatBalance,
    /// The current that keeps the temperature class for ever; `None` where the
    /// place alone is as hot.
    pub ampacity: Option<Current>,
    /// How hot it becomes.
    pub warmth: PieceWarmth,
}

/// How hot each piece and each end of a conductor becomes in one operation.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ConductorWarmth {
    /// Every piece of the route, in order; at least one.
    pub pieces: Vec<PieceResult, MAX_PIECES_OF_ROUTE, u8>,
    /// Temperature at the first and the second end, with the stated resistance of the
    /// joint, or without a joint; `None` where there is none: it melts.
    pub ends: [Option<Temperature>; 2],
    /// What it is held against: the temperature class of the cable.
    pub limit: Temperature,
}

impl ConductorWarmth {
    /// The piece that governs: one that runs away before all others, then the one
    /// with the highest peak.
    pub fn governing(&self) -> Option<&PieceResult> {
        let mut worst = self.pieces.first()?;
        for piece in &self.pieces {
            if piece.warmth.height() > worst.warmth.height() {
                worst = piece;
            }
        }
        Some(worst)
    }
}

/// What a conductor is held against in a study.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum ConductorLimit {
    /// Conductor temperature that the worst r.m.s. current leads to, degC, against
    /// the temperature class of the cable.
    SteadyTemperature,
    /// Highest conductor temperature in the repeating operation, degC, against the same.
    PeakTemperature,
    /// Temperature of the first end, degC, against the limit of its terminal and lug.
    FirstTerminal,
    /// The same of the second end.
    SecondTerminal,
}

/// Limits judged for each conductor.
pub const CONDUCTOR_LIMITS: usize = 4;

/// The operation in which a conductor becomes hottest.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Warmest {
    /// The operation.
    pub operation: Operation,
    /// The piece that governs.
    pub piece: RoutePieceId,
    /// How hot it becomes there.
    pub warmth: PieceWarmth,
    /// The lowest current of all pieces that keeps the temperature class for ever;
    /// `None` where a place alone is as hot.
    pub ampacity: Option<Current>,
}

/// What one conductor does.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ConductorStudy {
    /// The largest current of all phases, and the phase.
    pub largest: Known<(PhaseId, Current)>,
    /// The operation in which it becomes hottest.
    pub warmest: Known<Warmest>,
    /// Length of the route.
    pub length: Known<Length>,
    /// Mass of the cable, lugs left out.
    pub mass: Known<Mass>,
    /// Drop from end to end at the largest current, joints included, all of it as hot
    /// as its hottest piece becomes.
    pub drop: Known<Voltage>,
    /// Loss at the r.m.s. current of its warmest operation, likewise.
    pub loss: Known<Power>,
    /// Every limit.
    pub limits: [Judged<ConductorLimit>; CONDUCTOR_LIMITS],
    /// Why the limits of the first and the second terminal are open, where they are.
    pub terminal_gaps: [Option<Gap>; 2],
}

impl ConductorStudy {
    /// The verdict on the conductor: the worst of its limits.
    pub fn verdict(&self) -> Verdict {
        let worst = |worst: Verdict, judged: &Judged<_>| worst.worse(judged.verdict);
        self.limits.iter().fold(Verdict::NotApplicable, worst)
    }

    /// The smallest distance to a limit, in kelvin; `None` where no limit has a value,
    /// or one has none because nothing settles.
    pub fn margin(&self) -> Option<TemperatureDifference> {
        let mut least = None;
        for judged in &self.limits {
            if judged.verdict == Verdict::Fails && judged.value.is_none() {
                return None;
            }
            if let Some(margin) = judged.margin()
                && least.is_none_or(|least| margin < least)
            {
                least = Some(margin);
            }
        }
        TemperatureDifference::from_kelvin(least?).ok()
    }
}

/// Computes: temperatures of a conductor in one operation, piece by piece and at both
/// ends.
///
/// Each piece: still air of its zone at the altitude of the vehicle, reduced by its
/// installation ([`HeatBalance::installed`]), and [`piece_warmth`] with the currents
/// of the phases. The ends: [`end_temperature`] of what the worst r.m.s. currents lead
/// to, and on top of it what the end piece peaks above that. Inputs: solved points.
///
/// # Errors
/// What is missing, or what could not be computed with it.
pub fn conductor_warmth(
    design: &Design,
    points: &Points,
    operation: Operation,
    conductor: ConductorId,
) -> Known<ConductorWarmth> {
    let steps = points.steps(design, operation, conductor)?;
    warmth_of(design, conductor, &steps)
}

/// The same with the current along the operation.
pub(super) fn warmth_of(
    design: &Design,
    conductor: ConductorId,
    steps: &Steps,
) -> Known<ConductorWarmth> {
    let lead = entry(design, conductor)?;
    let (part, cable) = cable_of(design, conductor, lead)?;
    let missing = |gap| Unknown::missing(conductor, gap);
    let refused = Unknown::refused(conductor);
    let cable_id = lead.cable.ok_or(missing(Gap::CableType))?;
    let limit = part
        .temperature_class
        .ok_or(Unknown::missing(cable_id, Gap::TemperatureClass))?;
    let mut warmth = ConductorWarmth {
        pieces: Vec::new(),
        ends: [None; 2],
        limit,
    };
    for id in lead.route.pieces() {
        let result = piece_result(design, &cable, limit, id, steps)?;
        let full = Error::Capacity(Capacity::RoutePieces);
        let pushed = warmth.pieces.push(result);
        pushed.map_err(|_| refused(full))?;
    }
    if warmth.pieces.is_empty() {
        return Err(missing(Gap::Route));
    }
    let [first, second] = lead_ends(design, (conductor, lead), part)?;
    let inwards = warmth.pieces.iter();
    let first = end_of(design, inwards.clone(), &first).map_err(&refused)?;
    let second = end_of(design, inwards.rev(), &second).map_err(&refused)?;
    warmth.ends = [first, second];
    Ok(warmth)
}

/// Both ends of a conductor with their joints.
fn lead_ends(
    design: &Design,
    (id, lead): (ConductorId, &Conductor),
    part: &CableType,
) -> Known<[LeadEnd; 2]> {
    let length = design.length(lead).map_err(Unknown::refused(id))?;
    let [first, second] = &lead.ends;
    Ok(
        [(first, WhichEnd::From), (second, WhichEnd::To)].map(|(end, which)| LeadEnd {
            contact: joint_at(design, id, end, which).0,
            section: part.conductor.section,
            metal: part.metal,
            length,
        }),
    )
}

/// What is stated of a joint, or what was read of it last, at the worse end of its accuracy,
/// if that is more; with the reading then.
#[inline(never)] // four places call it
pub(crate) fn joint_at(
    design: &Design,
    conductor: ConductorId,
    end: &End,
    which: WhichEnd,
) -> (Resistance, Option<ReadingId>) {
    let stated = end.joint.unwrap_or(NO_JOINT);
    let read = design.latest_reading(conductor.into(), |reading| {
        (reading.end == Some(which)).then(|| reading.joint())?
    });
    let read = read.map(|(id, reading, ohms)| {
        let worse = design.worse_end(&reading, ohms.as_ohms(), Side::AtMost);
        (id, Resistance::from_ohms(worse).unwrap_or(ohms))
    });
    match read {
        Some((id, read)) if read > stated => (read, Some(id)),
        _ => (stated, None),
    }
}

/// What a conductor settles at with a current in air of a temperature, wherever on it
/// somebody reads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SettledLead {
    /// The coolest outside of a cable and the hottest conductor along the route, degC.
    pub(crate) along: [f32; 2],
    /// Both ends, degC; `None` where the joint melts.
    pub(crate) ends: [Option<f32>; 2],
}

/// Computes: the same for a conductor as [`conductor_warmth`] does, with this current for ever
/// and this air in every piece; in the air of each piece where none is given.
pub(crate) fn settled_at(
    design: &Design,
    id: ConductorId,
    current: Current,
    air: Option<Temperature>,
) -> Known<SettledLead> {
    let lead = entry(design, id)?;
    let (part, cable) = cable_of(design, id, lead)?;
    let refused = Unknown::refused(id);
    let cable_id = lead.cable.ok_or(Unknown::missing(id, Gap::CableType))?;
    let limit = part
        .temperature_class
        .ok_or(Unknown::missing(cable_id, Gap::TemperatureClass))?;
    let current = Current::from_amperes(libm::fabsf(current.as_amperes())).map_err(&refused)?;
    let none = Unknown::missing(id, Gap::ConductorTemperature);
    let mut pieces: Vec<(HeatBalance, Steady, Option<Length>), MAX_PIECES_OF_ROUTE, u8> =
        Vec::new();
    let (mut coolest, mut hottest) = (f32::INFINITY, f32::NEG_INFINITY);
    for piece in lead.route.pieces() {
        let (balance, _) = installed_in(design, &cable, limit, piece, air)?;
        let steady = balance.temperature_at(current).map_err(&refused)?;
        let Steady::Settles(state) = steady else {
            return Err(none);
        };
        coolest = libm::fminf(coolest, state.surface.as_degc());
        hottest = libm::fmaxf(hottest, state.conductor.as_degc());
        let full = Error::Capacity(Capacity::RoutePieces);
        let length = entry(design, piece)?.length;
        let pushed = pieces.push((balance, steady, length));
        pushed.map_err(|_| refused(full))?;
    }
    if pieces.is_empty() {
        return Err(Unknown::missing(id, Gap::Route));
    }
    let [first, second] = lead_ends(design, (id, lead), part)?;
    let inwards = pieces.iter().map(|(balance, steady, length)| SettledPiece {
        balance,
        steady: *steady,
        length: *length,
    });
    let from = end_temperature(inwards.clone(), &first, current).map_err(&refused)?;
    let to = end_temperature(inwards.rev(), &second, current).map_err(&refused)?;
    Ok(SettledLead {
        along: [coolest, hottest],
        ends: [from, to].map(|end| end.map(Temperature::as_degc)),
    })
}

const NO_JOINT: Resistance = constant!(Resistance::from_ohms(0.0));

fn cable_of<'a>(
    design: &'a Design,
    id: ConductorId,
    conductor: &Conductor,
) -> Known<(&'a CableType, Cable)> {
    let Some(part) = conductor.cable else {
        return Err(Unknown::missing(id, Gap::CableType));
    };
    let cable = entry(design, part)?;
    Ok((cable, cable.cable().map_err(Unknown::refused(part))?))
}

fn piece_result(
    design: &Design,
    cable: &Cable,
    limit: Temperature,
    id: RoutePieceId,
    steps: &Steps,
) -> Known<PieceResult> {
    let (balance, ampacity) = installed(design, cable, limit, id)?;
    let refused = Unknown::refused(id);
    let warmth = piece_warmth(cable, &balance, steps).map_err(&refused)?;
    Ok(PieceResult {
        piece: id,
        balance,
        ampacity,
        warmth: warmth.ok_or(Unknown::missing(id, Gap::Duration))?,
    })
}

/// The balance of a cable in one piece of a route, and what it carries there for ever.
pub(super) fn installed(
    design: &Design,
    cable: &Cable,
    limit: Temperature,
    id: RoutePieceId,
) -> Known<(HeatBalance, Option<Current>)> {
    installed_in(design, cable, limit, id, None)
}

/// The same in air of another temperature than that of its zone.
fn installed_in(
    design: &Design,
    cable: &Cable,
    limit: Temperature,
    id: RoutePieceId,
    air: Option<Temperature>,
) -> Known<(HeatBalance, Option<Current>)> {
    let piece = entry(design, id)?;
    let refused = Unknown::refused(id);
    let zone = entry(design, piece.zone)?;
    let Some(air) = air.or(zone.air) else {
        return Err(Unknown::missing(piece.zone, Gap::Air));
    };
    let Some(altitude) = design.vehicle.altitude else {
        return Err(Unknown::Missing(Thing::VEHICLE, Gap::Altitude));
    };
    let around = still_air(air, zone.radiant, altitude).map_err(&refused)?;
    let free = HeatBalance::new(cable, &around).map_err(&refused)?;
    let routing = piece.routing(design).map_err(&refused)?;
    let routing = routing.map_err(|gap| Unknown::missing(id, gap))?;
    match free.installed(cable, &routing, limit) {
        Ok((balance, _)) => Ok((balance, balance.current_at(limit).map_err(&refused)?)),
        // Nothing can be carried; the temperature is still worth a look.
        Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit)) => Ok((free, None)),
        Err(other) => Err(refused(other)),
    }
}

/// Temperature of the end that the pieces are counted from.
fn end_of<'a>(
    design: &'a Design,
    mut pieces: impl Iterator<Item = &'a PieceResult> + Clone,
    end: &LeadEnd,
) -> Result<Option<Temperature>, Error> {
    let settled = |piece: &'a PieceResult| SettledPiece {
        balance: &piece.balance,
        steady: piece.warmth.steady,
        length: design.get(piece.piece).and_then(|entry| entry.length),
    };
    let inwards = pieces.clone().map(settled);
    let Some(first) = pieces.next() else {
        return Ok(None);
    };
    let temperature = end_temperature(inwards, end, first.warmth.rms)?;
    let (Some(temperature), Some(swing)) = (temperature, first.warmth.above_steady()) else {
        return Ok(None);
    };
    Ok(Temperature::from_degc(temperature.as_degc() + swing).ok())
}

/// How hot a conductor becomes over all operations.
#[derive(Clone, Copy)]
pub(super) struct Gathered {
    warmest: Known<Warmest>,
    steady: Option<f32>,
    ends: [Option<f32>; 2],
}

impl Gathered {
    /// Goes through all operations.
    pub(super) fn new(design: &Design, points: &Points, id: ConductorId) -> Self {
        let mut gathered = Self {
            warmest: Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase)),
            steady: Some(f32::NEG_INFINITY),
            ends: [Some(f32::NEG_INFINITY); 2],
        };
        for operation in design.operations() {
            match conductor_warmth(design, points, operation, id) {
                Ok(warmth) => gathered.add(operation, &warmth),
                Err(unknown) => {
                    gathered.warmest = Err(unknown);
                    break;
                }
            }
        }
        gathered
    }

    /// That of a conductor that was studied already.
    pub(super) fn again(studied: &ConductorStudy, likeness: Likeness) -> Self {
        let [steady, _, first, second] = &studied.limits;
        Self {
            warmest: studied.warmest,
            steady: steady.value,
            ends: match likeness {
                Likeness::Same => [first.value, second.value],
                Likeness::TurnedRound => [second.value, first.value],
            },
        }
    }

    fn add(&mut self, operation: Operation, warmth: &ConductorWarmth) {
        for piece in &warmth.pieces {
            self.steady = higher(self.steady, piece.warmth.steady.conductor());
        }
        for (end, here) in self.ends.iter_mut().zip(warmth.ends) {
            *end = higher(*end, here);
        }
        let Some(piece) = warmth.governing() else {
            return;
        };
        let hotter = |known: &Warmest| piece.warmth.height() > known.warmth.height();
        if self.warmest.as_ref().map_or(true, hotter) {
            self.warmest = Ok(Warmest {
                operation,
                piece: piece.piece,
                warmth: piece.warmth,
                ampacity: lowest(&warmth.pieces),
            });
        }
    }
}

/// How one conductor is like another.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(in crate::study) enum Likeness {
    /// End for end.
    Same,
    /// Its first end is the other one's second: the return of a circuit.
    TurnedRound,
}

/// Whether two conductors are alike in all that decides how hot they become: cable,
/// route, joints, and the size of the current in every operation.
pub(in crate::study) fn alike(
    design: &Design,
    points: &Points,
    one: ConductorId,
    other: ConductorId,
) -> Option<Likeness> {
    let (a, b) = (design.get(one)?, design.get(other)?);
    let joints = |id, lead: &Conductor| {
        let [from, to] = &lead.ends;
        [(from, WhichEnd::From), (to, WhichEnd::To)]
            .map(|(end, which)| joint_at(design, id, end, which).0)
    };
    let (here, [from, to]) = (joints(one, a), joints(other, b));
    let likeness = if a.cable != b.cable {
        return None;
    } else if a.route == b.route && here == [from, to] {
        Likeness::Same
    } else if a.route == b.route.turned_round() && here == [to, from] {
        Likeness::TurnedRound
    } else {
        return None;
    };
    let size = |id, operation| {
        let mut steps = points.steps(design, operation, id).ok()?;
        for step in &mut steps {
            let amperes = libm::fabsf(step.current.as_amperes());
            step.current = Current::from_amperes(amperes).ok()?;
        }
        Some(steps)
    };
    let same =
        design.operations().all(
            |operation| match (size(one, operation), size(other, operation)) {
                (Some(one), Some(other)) => one == other,
                _ => false,
            },
        );
    same.then_some(likeness)
}

/// Studies one conductor, given how hot it becomes.
pub(super) fn study_conductor(
    design: &Design,
    points: &Points,
    id: ConductorId,
    gathered: &Gathered,
) -> Known<ConductorStudy> {
    let conductor = entry(design, id)?;
    let refused = Unknown::refused(id);
    let limit = conductor
        .cable
        .and_then(|cable| design.get(cable)?.temperature_class);
    let Gathered {
        warmest,
        steady,
        ends,
    } = *gathered;
    let length = design.length(conductor).map_err(&refused)?;
    let length = length.ok_or(Unknown::missing(
        id,
        if conductor.route.piece_count() == 0 {
            Gap::Route
        } else {
            Gap::RouteLength
        },
    ));
    let mass = cable_of(design, id, conductor).and_then(|(_, cable)| {
        let kg = cable.linear_mass().as_kg_per_m() * length?.as_metres();
        Mass::from_kg(kg).map_err(&refused)
    });
    let largest = points.largest(design, id);
    let resistance = warmest.and_then(|warmest| resistance(design, id, conductor, &warmest));
    let product = |ohms: Resistance, current: Current| ohms.as_ohms() * current.as_amperes();
    let drop = resistance.and_then(|ohms| {
        let (_, current) = largest?;
        Voltage::from_volts(libm::fabsf(product(ohms, current))).map_err(&refused)
    });
    let loss = resistance.and_then(|ohms| {
        let rms = warmest?.warmth.rms;
        Power::from_watts(product(ohms, rms) * rms.as_amperes()).map_err(&refused)
    });
    let [first, second] = [0_usize, 1].map(|at| {
        let (terminal, end) = match at {
            0 => (conductor.from, conductor.ends.first()),
            _ => (conductor.to, conductor.ends.last()),
        };
        let value = ends.get(at).copied().flatten();
        judge_terminal(design, at, terminal, end, Reached::of(&warmest, |_| value))
    });
    Ok(ConductorStudy {
        largest,
        warmest,
        length,
        mass,
        drop,
        loss,
        limits: [
            judge_conductor(
                ConductorLimit::SteadyTemperature,
                Reached::of(&warmest, |_| steady),
                limit,
                SourceId::Iec60287,
            ),
            judge_conductor(
                ConductorLimit::PeakTemperature,
                Reached::of(&warmest, |warmest| match warmest.warmth.duty {
                    Repeating::Periodic { peak, .. } => Some(peak.as_degc()),
                    Repeating::RunsAway => None,
                }),
                limit,
                SourceId::RadialChain,
            ),
            first.0,
            second.0,
        ],
        terminal_gaps: [first.1, second.1],
    })
}

/// The higher of two temperatures; nothing once one of them is nothing.
fn higher(known: Option<f32>, here: Option<Temperature>) -> Option<f32> {
    Some(libm::fmaxf(known?, here?.as_degc()))
}

fn lowest(pieces: &[PieceResult]) -> Option<Current> {
    let mut lowest: Option<Current> = None;
    for piece in pieces {
        let here = piece.ampacity?;
        if lowest.is_none_or(|lowest| here < lowest) {
            lowest = Some(here);
        }
    }
    lowest
}

/// Resistance from end to end, all of it as hot as the hottest piece becomes.
fn resistance(
    design: &Design,
    id: ConductorId,
    conductor: &Conductor,
    warmest: &Warmest,
) -> Known<Resistance> {
    let Some(hottest) = warmest.warmth.hottest() else {
        return Err(Unknown::missing(id, Gap::ConductorTemperature));
    };
    design
        .conductor_resistance(conductor, Resisting::Highest, hottest)
        .map_err(Unknown::refused(id))?
        .map_err(|gap| Unknown::missing(id, gap))
}

/// A temperature, degC, as far as there is one.
#[derive(Clone, Copy)]
enum Reached {
    /// It is not known.
    Unknown,
    /// There is none: nothing settles.
    None,
    /// This.
    At(f32),
}

impl Reached {
    fn of<T>(known: &Known<T>, value: impl Fn(&T) -> Option<f32>) -> Self {
        match known {
            Err(_) => Self::Unknown,
            Ok(known) => value(known).map_or(Self::None, Self::At),
        }
    }
}

/// Judges a temperature: open without knowledge or limit, failing without a value.
fn judge_conductor(
    name: ConductorLimit,
    reached: Reached,
    limit: Option<Temperature>,
    source: SourceId,
) -> Judged<ConductorLimit> {
    let limit = limit.map(Temperature::as_degc);
    match (reached, limit) {
        (Reached::At(value), limit) => {
            Judged::known(name, Some(value), Side::AtMost, limit, source)
        }
        (Reached::None, _) => Judged::failed_without_value(name, Side::AtMost, limit, source),
        (Reached::Unknown, _) => Judged::open(name, None, Side::AtMost, limit, source),
    }
}

/// The lower of two limits with where each is stated; of two that are alike the first.
pub(crate) fn lower<T: PartialOrd>(
    known: Option<(T, Thing)>,
    other: Option<(T, Thing)>,
) -> Option<(T, Thing)> {
    match (known, other) {
        (Some(known), Some(other)) if other.0 < known.0 => Some(other),
        (None, other) => other,
        (known, _) => known,
    }
}

/// What a terminal and the lugs of some ends on it stand, and where the least of that is
/// stated.
pub(crate) fn terminal_limit<'a>(
    design: &Design,
    terminal: TerminalId,
    ends: impl IntoIterator<Item = &'a End>,
) -> Option<(Temperature, Thing)> {
    let own = design.get(terminal).and_then(|entry| entry.limit);
    let own = own.map(|limit| (limit, terminal.into()));
    ends.into_iter().fold(own, |least, end| {
        let lug = end
            .lug
            .and_then(|lug| Some((design.get(lug)?.limit?, lug.into())));
        lower(least, lug)
    })
}

/// Judges one end against the lower of the limits of terminal and lug.
///
/// Without the resistance of the joint its heat is not in the value: what fails without
/// it fails, what keeps the limit without it stays open.
fn judge_terminal(
    design: &Design,
    at: usize,
    terminal: TerminalId,
    end: Option<&End>,
    reached: Reached,
) -> (Judged<ConductorLimit>, Option<Gap>) {
    let name = match at {
        0 => ConductorLimit::FirstTerminal,
        _ => ConductorLimit::SecondTerminal,
    };
    let limit = terminal_limit(design, terminal, end).map(|(limit, _)| limit);
    let mut judged = judge_conductor(name, reached, limit, SourceId::FinEquation);
    let gap = match judged.verdict {
        Verdict::Open if limit.is_none() => Some(Gap::TerminalLimit),
        Verdict::Holds if end.is_none_or(|end| end.joint.is_none()) => {
            judged.verdict = Verdict::Open;
            Some(Gap::Joint)
        }
        _ => None,
    };
    (judged, gap)
}
