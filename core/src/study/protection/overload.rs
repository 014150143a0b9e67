//! Who keeps a lasting overload off conductors that no fuse alone is in series with: those
//! that carry what several fuses let through, and those that share it with parallel ones.

use super::controller::{ROUNDING, is_part, whole_limit};
use crate::design::{
    Battery, Conductor, ConductorId, Design, Fuse, FuseId, FuseType, Gap, Joined, Kind, Load,
    LoadId, Phase, PhaseId, Resisting, Role, Set, System, TerminalId, Thing, carries,
};
use crate::protection::{FuseCheck, judge_overload};
use crate::quantity::{Current, Temperature};
use crate::study::series::sum_of_strings;
use crate::study::unknown::{Known, Unknown, entry};
use crate::study::whole::Study;
use crate::verdict::Judged;

/// Where resistances of parallel conductors are compared.
const ALIKE: Temperature = constant!(Temperature::from_degc(20.0));

/// What may last in a conductor that no fuse alone is in series with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SharedOverload {
    /// The fuses that let it through together; `None` where a way without fuse leads there.
    pub(crate) fuses: Option<Set<FuseId>>,
    /// Its largest share of that: 1 without parallel conductors.
    pub(crate) share: f32,
    /// Limit that the controller keeps for it and those parallel to it.
    pub(crate) controller: Option<Current>,
    /// The share of the sum of the fuses, or of the limit, against what it carries for ever.
    pub(crate) judged: Judged<FuseCheck>,
}

/// Computes: what may last in a conductor of the high-voltage side, and judges it.
///
/// Method: what flows into one end of it comes through the fuses there that lead to a source,
/// and what flows out of the other goes through the fuses there that lead on; the smaller sum
/// of rated currents bounds each direction, the larger of both directions counts. Parallel
/// conductors, those between the same two terminals, are one conductor of which each carries
/// its share by conductance, itself at its least resistance and the others at their most.
///
/// `None` for a conductor that a fuse is in series with ([`super::overload_owner`] judges it),
/// and for one of the low-voltage side.
///
/// # Errors
/// What is missing: rated current of a fuse, lasting current or resistance of a conductor.
///
/// Bound: things squared.
pub(crate) fn shared_overload(
    design: &Design,
    study: &Study,
    id: ConductorId,
) -> Known<Option<SharedOverload>> {
    let own = id.into();
    let points = &study.points;
    let fused = |(fuse, _): (FuseId, &Fuse)| points.series().together(fuse.into(), own);
    if points.is_low_voltage(own) || design.all::<Fuse>().any(fused) {
        return Ok(None);
    }
    let lead: &Conductor = entry(design, id)?;
    let ends = [lead.from, lead.to];
    let group = || beside(design, ends);
    let sides = Sides::new(design, study, ends);
    let behind = ends.map(|end| sides.alone(end));
    let mut fuses = sides.bound()?;
    // What flows to a load through these conductors comes back through those at its other
    // pole.
    for load in behind.into_iter().flatten() {
        if let Some(other) = return_of(design, load, ends) {
            fuses = smaller_sum(design, fuses, Sides::new(design, study, other).bound()?)?;
        }
    }
    let share = share(design, id, ends)?;
    let own = |phase| {
        group().try_fold(0.0, |sum, one| {
            let current = points.known_current(phase, one)?;
            Ok(sum + libm::fabsf(current.as_amperes()))
        })
    };
    let controller = limit_with(design, study, own, |load| behind.contains(&Some(load)))?;
    let warmest = study.conductor(id)?.warmest?;
    let missing = Unknown::missing(id, Gap::TemperatureClass);
    let lasting = warmest.ampacity.ok_or(missing)?;
    let refused = Unknown::refused(id);
    let shared = |amperes: f32| Current::from_amperes(share * amperes).map_err(&refused);
    let by_fuses = fuses.map(|all| shared(sum(design, all)?)).transpose()?;
    let by_controller = controller
        .map(|limit| shared(limit.as_amperes()))
        .transpose()?;
    Ok(Some(SharedOverload {
        fuses,
        share,
        controller,
        judged: judge_overload(by_fuses.or(by_controller), Some(lasting), by_controller),
    }))
}

/// Lasting current that the controller allows through something of a size in each phase, A:
/// that of the whole battery where it is a part of that; where a load behind it delivers, what
/// the battery takes and other loads draw meanwhile. `None` where it keeps no limit, and where
/// others deliver too.
fn limit_with(
    design: &Design,
    study: &Study,
    own: impl Fn(PhaseId) -> Known<f32>,
    behind: impl Fn(LoadId) -> bool,
) -> Known<Option<Current>> {
    let Some(whole) = whole_limit(design) else {
        return Ok(None);
    };
    if is_part(design, study, &own, &behind) {
        return Ok(Some(whole));
    }
    let charging = design.controller.charge_limit;
    let (mut carries, mut drawn) = (false, 0.0);
    for (phase, _) in design.all::<Phase>() {
        let mut delivers = false;
        for (id, load) in design.all::<Load>() {
            if study.points.known_current(phase, id)?.as_amperes() >= 0.0 {
                continue;
            }
            if behind(id) {
                delivers = true;
            } else if load.role != Role::ChargingSource {
                return Ok(None);
            }
        }
        let own = own(phase)?;
        let all = sum_of_strings(study, |battery| {
            let current = study.points.known_current(phase, battery);
            current.ok().map(Current::as_amperes)
        });
        let Some(all) = all else {
            return Ok(None);
        };
        if own > ROUNDING && !delivers && own > (1.0 + ROUNDING) * all {
            return Ok(None);
        }
        // What the battery gives and this delivers is drawn by others.
        let others = if delivers { all + own } else { all - own };
        carries |= own > ROUNDING;
        drawn = libm::fmaxf(drawn, others);
    }
    let Some(charging) = charging.filter(|_| carries) else {
        return Ok(None);
    };
    let most = libm::fmaxf(whole.as_amperes(), charging.as_amperes() + drawn);
    let most = Current::from_amperes(most);
    most.map(Some).map_err(Unknown::refused(Thing::CONTROLLER))
}

/// Rated currents of several fuses together, A.
fn sum(design: &Design, fuses: Set<FuseId>) -> Known<f32> {
    fuses.iter().try_fold(0.0, |sum, id| {
        let fuse: &Fuse = entry(design, id)?;
        let part = fuse.part.ok_or(Unknown::missing(id, Gap::FuseType))?;
        let kind: &FuseType = entry(design, part)?;
        let rated = kind.rated.ok_or(Unknown::missing(part, Gap::FuseRated))?;
        Ok(sum + rated.as_amperes())
    })
}

/// Of two bounds the smaller, as far as there are any.
fn smaller_sum(
    design: &Design,
    one: Option<Set<FuseId>>,
    other: Option<Set<FuseId>>,
) -> Known<Option<Set<FuseId>>> {
    Ok(match (one, other) {
        (Some(one), Some(other)) if sum(design, other)? < sum(design, one)? => Some(other),
        (one, other) => one.or(other),
    })
}

/// The ends of the conductors at the other pole of a load than some; `None` where they are
/// not all between the same two terminals.
fn return_of(design: &Design, load: LoadId, ends: [TerminalId; 2]) -> Option<[TerminalId; 2]> {
    let load = design.get(load)?;
    let pole = if ends.contains(&load.positive) {
        load.negative
    } else {
        load.positive
    };
    let mut at = design
        .all::<Conductor>()
        .filter(|(_, lead)| lead.from == pole || lead.to == pole)
        .map(|(_, lead)| lead);
    let first = at.next()?;
    let other = [first.from, first.to];
    at.all(|lead| lead.is_between(other)).then_some(other)
}

/// Whether something is a conductor between two terminals.
fn is_between(design: &Design, thing: Thing, ends: [TerminalId; 2]) -> bool {
    let lead = thing.id::<ConductorId>().and_then(|id| design.get(id));
    lead.is_some_and(|lead| lead.is_between(ends))
}

/// The conductors between two terminals.
fn beside(design: &Design, ends: [TerminalId; 2]) -> impl Iterator<Item = ConductorId> {
    let all = design.all::<Conductor>();
    all.filter_map(move |(id, lead)| lead.is_between(ends).then_some(id))
}

/// Largest share of a conductor of what it and those parallel to it carry.
fn share(design: &Design, id: ConductorId, ends: [TerminalId; 2]) -> Known<f32> {
    if beside(design, ends).count() == 1 {
        return Ok(1.0);
    }
    let siemens = |of: ConductorId, resisting| -> Known<f32> {
        let found = design.conductor_resistance(entry(design, of)?, resisting, ALIKE);
        let ohms = found
            .map_err(Unknown::refused(of))?
            .map_err(|gap| Unknown::missing(of, gap))?;
        Ok(1.0 / ohms.as_ohms())
    };
    let own = siemens(id, Resisting::Lowest)?;
    let mut all = own;
    for other in beside(design, ends).filter(|other| *other != id) {
        all += siemens(other, Resisting::Highest)?;
    }
    Ok(own / all)
}

/// What a design is without a conductor, those parallel to it and every fuse: pieces of
/// metal that only these join.
struct Sides<'a> {
    design: &'a Design,
    study: &'a Study,
    ends: [TerminalId; 2],
    metal: Joined,
}

impl<'a> Sides<'a> {
    fn new(design: &'a Design, study: &'a Study, ends: [TerminalId; 2]) -> Self {
        let metal =
            design.metal(|thing| thing.kind != Kind::Fuse && !is_between(design, thing, ends));
        Self {
            design,
            study,
            ends,
            metal,
        }
    }

    /// The fuses whose rated currents bound together what may last between both ends; `None`
    /// where a way without fuse leads there. Each direction: what flows in at one end, and out
    /// at the other.
    fn bound(&self) -> Known<Option<Set<FuseId>>> {
        let [one, other] = self.ends;
        if self.metal.together(one, other) {
            return Ok(None);
        }
        let along = |from, to| smaller_sum(self.design, self.inflow(from), self.outflow(to));
        let (there, back) = (along(one, other)?, along(other, one)?);
        let (Some(there), Some(back)) = (there, back) else {
            return Ok(None);
        };
        let larger = sum(self.design, there)? < sum(self.design, back)?;
        Ok(Some(if larger { back } else { there }))
    }

    /// Whether a load may deliver: a charging source, and what does in a phase or may do so
    /// in one that is not solved.
    fn delivers(&self, id: LoadId, load: &Load) -> bool {
        let mut phases = self.design.all::<Phase>();
        load.role == Role::ChargingSource
            || phases.any(|(phase, _)| {
                let current = self.study.points.known_current(phase, id);
                current.map_or(true, |current| current.as_amperes() < 0.0)
            })
    }

    /// Whether a battery, or a load that delivers, lies at one of these terminals.
    fn source_among(&self, at: impl Fn(TerminalId) -> bool) -> bool {
        let mut batteries = self.design.all::<Battery>();
        let mut loads = self.design.all::<Load>();
        batteries.any(|(_, one)| {
            one.system == System::Traction && (at(one.negative) || at(one.positive))
        }) || loads
            .any(|(id, one)| (at(one.negative) || at(one.positive)) && self.delivers(id, one))
    }

    /// The fuses at a piece of metal, and the terminal on their other side.
    fn fuses(&self, at: TerminalId) -> impl Iterator<Item = (FuseId, TerminalId)> {
        self.design.all::<Fuse>().filter_map(move |(id, fuse)| {
            let here = |end| self.metal.together(end, at);
            match (here(fuse.from), here(fuse.to)) {
                (true, false) => Some((id, fuse.to)),
                (false, true) => Some((id, fuse.from)),
                _ => None,
            }
        })
    }

    /// The only load at the piece of metal at a terminal, which is all that is there.
    fn alone(&self, at: TerminalId) -> Option<LoadId> {
        let mut others = self.design.drawn().filter(|drawn| {
            let here = |end| self.metal.together(end, at);
            let joins = here(drawn.from) || here(drawn.to);
            joins && !is_between(self.design, drawn.thing, self.ends)
        });
        match (others.next(), others.next()) {
            (Some(one), None) => one.thing.id(),
            _ => None,
        }
    }

    /// The fuses through which something may flow into the piece of metal at a terminal;
    /// `None` where it has a source of its own.
    fn inflow(&self, at: TerminalId) -> Option<Set<FuseId>> {
        if self.source_among(|terminal| self.metal.together(terminal, at)) {
            return None;
        }
        // Beyond a fuse others may follow on the way to a source, but no way back through
        // this piece of metal.
        let mut around: Set<FuseId> = Set::EMPTY;
        for (id, _) in self.fuses(at) {
            around.insert(id);
        }
        let beyond = self.design.metal(|thing| {
            let fuse = thing.id::<FuseId>();
            !is_between(self.design, thing, self.ends) && fuse.is_none_or(|id| !around.contains(id))
        });
        let mut feeding: Set<FuseId> = Set::EMPTY;
        for (id, far) in self.fuses(at) {
            if self.source_among(|terminal| beyond.together(terminal, far)) {
                feeding.insert(id);
            }
        }
        Some(feeding)
    }

    /// The fuses through which all must flow that leaves the piece of metal at a terminal;
    /// `None` where a battery or a load takes some of it. What a bleed takes is next to
    /// nothing, and what a precharge lets through as well.
    fn outflow(&self, at: TerminalId) -> Option<Set<FuseId>> {
        let mut others = self
            .design
            .drawn()
            .filter(|drawn| !carries(drawn.thing.kind) && drawn.thing.kind != Kind::Resistor);
        if others.any(|one| self.metal.together(one.from, at) || self.metal.together(one.to, at)) {
            return None;
        }
        let mut out: Set<FuseId> = Set::EMPTY;
        for (id, _) in self.fuses(at) {
            out.insert(id);
        }
        Some(out)
    }
}
