//! What all faults of a design do to each fuse, contactor, conductor, shield and bond.

use super::chassis::ChassisBurden;
use crate::design::{
    BatteryId, Conductor, ConductorId, Contactor, ContactorId, Design, EnclosureId, Fuse, FuseId,
    Gap, Guess, Index, Kind, MAX_CONDUCTORS, MAX_CONTACTORS, MAX_ENCLOSURES, MAX_FUSES, Thing,
};
use crate::error::Error;
use crate::fault::{
    End, Fault, FaultCurrent, FaultKind, FaultResult, FaultStudy, FaultWorkspace, Point, Surge,
    curves,
};
use crate::quantity::{Current, CurrentSquaredTime, Time};
use crate::study::unknown::Unknown;

/// What the faults of a design do to one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultBurden {
    /// Largest prospective current through it.
    pub largest: Option<Current>,
    /// Smallest prospective current through it of a fault that it has to end.
    pub smallest: Option<Current>,
    /// The same of those faults whose way is known: none through a bond that nobody has read
    /// or described.
    pub smallest_known: Option<Current>,
    /// Where the bond is guessed through which [`Self::smallest`] flows, if one is: a box, or
    /// a terminal in no box.
    pub guessed_bond: Option<Thing>,
    /// Whether a fuse has to end a fault: not where others end all that it carries.
    pub needed: bool,
    /// Longest L/R of a fault through it.
    pub time_constant: Option<Time>,
    /// Largest joule integral until a fault is off.
    pub i2t: Option<CurrentSquaredTime>,
    /// The fault in which that is; of conductors and contactors.
    pub hardest: Option<Fault>,
    /// The largest joule integral of those currents whose way is known, see
    /// [`Self::smallest_known`]; of conductors and contactors.
    pub i2t_known: Option<CurrentSquaredTime>,
    /// Where the bond is guessed through which [`Self::hardest`] flows, if one is.
    pub hardest_guess: Option<Thing>,
    /// A fault through it that does not go off, if there is one, and how it ends.
    pub stays: Option<(Fault, End)>,
    /// One that does not go off at a current whose way is known.
    pub stays_known: Option<(Fault, End)>,
    /// Where the bond is guessed through which [`Self::stays`] flows, if one is.
    pub stays_guess: Option<Thing>,
    /// A fault through it of which it is not known whether it goes off, and why.
    pub not_known: Option<(Fault, End)>,
    /// A battery that feeds a fault through it and does not state its inductance: then
    /// the time constant is too short.
    pub inductance: Option<BatteryId>,
    /// Whether a fault flows through a fuse from its first terminal to its second, and
    /// whether one flows the other way.
    pub directions: [bool; 2],
    /// What link capacitors drive through it into a short circuit beside it, from its
    /// first terminal to its second and the other way; fuses and contactors only.
    pub surges: [Surge; 2],
}

impl Default for FaultBurden {
    fn default() -> Self {
        NONE
    }
}

impl FaultBurden {
    fn add(&mut self, current: Option<Current>, tau: Time) {
        if current > self.largest {
            self.largest = current;
        }
        if self.time_constant.is_none_or(|known| tau > known) {
            self.time_constant = Some(tau);
        }
    }

    /// Takes in what a fault carries at least, and where its way is guessed.
    fn add_least(&mut self, lowest: Option<Current>, guessed_bond: Option<Thing>) {
        let Some(lowest) = lowest else { return };
        if self.smallest.is_none_or(|known| lowest < known) {
            (self.smallest, self.guessed_bond) = (Some(lowest), guessed_bond);
        }
        if guessed_bond.is_none() && self.smallest_known.is_none_or(|known| lowest < known) {
            self.smallest_known = Some(lowest);
        }
    }

    /// Takes in until when a current flows through it, and where its way is guessed.
    fn add_end(
        &mut self,
        fault: Fault,
        i2t: Option<CurrentSquaredTime>,
        end: End,
        guess: Option<Thing>,
    ) {
        let known = guess.is_none();
        if let Some(i2t) = i2t {
            if Some(i2t) > self.i2t {
                (self.i2t, self.hardest, self.hardest_guess) = (Some(i2t), Some(fault), guess);
            }
            if known && Some(i2t) > self.i2t_known {
                self.i2t_known = Some(i2t);
            }
            return;
        }
        let found = Some((fault, end));
        if !is_known(end) {
            self.not_known = self.not_known.or(found);
            return;
        }
        if self.stays.is_none() {
            (self.stays, self.stays_guess) = (found, guess);
        }
        if known {
            self.stays_known = self.stays_known.or(found);
        }
    }

    /// Without the currents whose way is guessed.
    pub(crate) fn of_known_ways(&self) -> Self {
        Self {
            smallest: self.smallest_known,
            guessed_bond: None,
            i2t: self.i2t_known,
            hardest_guess: None,
            stays: self.stays_known,
            stays_guess: None,
            ..*self
        }
    }

    /// Where the bond is guessed through which the worst of it flows, if one is: what does
    /// not go off, else what is hardest.
    pub(crate) const fn worst_guess(&self) -> Option<Thing> {
        match self.stays {
            Some(_) => self.stays_guess,
            None => self.hardest_guess,
        }
    }

    /// Whether it is known that every fault through it goes off.
    pub const fn all_end(&self) -> bool {
        self.stays.is_none() && self.not_known.is_none()
    }
}

/// What the faults that begin at one conductor come to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ShortsAt {
    /// The largest prospective current.
    pub largest: Option<(Current, Fault)>,
    /// The smallest prospective current of a bolted fault that does not lead through
    /// chassis.
    pub smallest: Option<(Current, Fault)>,
    /// The largest current that flows with every fuse open.
    pub without_fuse: Option<(Current, Fault)>,
    /// What these currents were guessed from.
    pub gap: Option<Guess>,
}

impl ShortsAt {
    fn take(&mut self, result: &FaultResult) {
        let fault = result.fault;
        let more = |known: &mut Option<(Current, Fault)>, current: Current| {
            if known.is_none_or(|(most, _)| current > most) {
                *known = Some((current, fault));
            }
        };
        more(&mut self.largest, result.highest.prospective);
        let [one, other] = [&result.highest, &result.lowest].map(|c| c.without_fuse);
        let unguarded = if other > one { other } else { one };
        if unguarded.as_amperes() > 0.0 {
            more(&mut self.without_fuse, unguarded);
        }
        let low = result.lowest.prospective;
        if fault.kind != FaultKind::ThroughChassis
            && self.smallest.is_none_or(|(least, _)| low < least)
        {
            self.smallest = Some((low, fault));
        }
    }
}

/// Fuses as one bit each.
type FuseSet = u64;
const _: () = assert!(MAX_FUSES <= FuseSet::BITS as usize);

/// Currents of two fuses in series differ by rounding only; anything more is a second way.
const MORE: f32 = 1.001;

/// All of the current of a fuse.
const WHOLE: u8 = 250;

/// What all faults of a design do to its things.
///
/// Large (about 100 KiB): keep it in a `static` or on the heap.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct FaultBurdens {
    fuses: [FaultBurden; MAX_FUSES],
    contactors: [FaultBurden; MAX_CONTACTORS],
    conductors: [FaultBurden; MAX_CONDUCTORS],
    shorts: [ShortsAt; MAX_CONDUCTORS],
    pub(super) bonds: [ChassisBurden; MAX_ENCLOSURES],
    pub(super) shields: [ChassisBurden; MAX_CONDUCTORS],
    /// Of each fuse, the fuses that carry current in every fault between poles that it
    /// carries.
    always_with: [FuseSet; MAX_FUSES],
    /// Of each fuse, the fuses that carry more than it in some fault.
    carries_more: [FuseSet; MAX_FUSES],
    /// Of each fuse, how much of its current each other one carries at most, in parts of
    /// [`WHOLE`], rounded up.
    carried: [[u8; MAX_FUSES]; MAX_FUSES],
    /// What currents were guessed from, if they were: then a battery or a resistance is
    /// left out.
    gap: Option<Guess>,
    /// Why nothing is known for certain.
    refused: Option<Unknown>,
}

impl Default for FaultBurdens {
    fn default() -> Self {
        Self::new()
    }
}

const NONE: FaultBurden = FaultBurden {
    largest: None,
    smallest: None,
    smallest_known: None,
    guessed_bond: None,
    needed: false,
    time_constant: None,
    i2t: None,
    hardest: None,
    i2t_known: None,
    hardest_guess: None,
    stays: None,
    stays_known: None,
    stays_guess: None,
    not_known: None,
    inductance: None,
    directions: [false; 2],
    surges: [Surge::NONE; 2],
};

const NO_SHORTS: ShortsAt = ShortsAt {
    largest: None,
    smallest: None,
    without_fuse: None,
    gap: None,
};

impl FaultBurdens {
    /// Nothing yet: every verdict on faults is open.
    #[allow(clippy::large_stack_arrays)] // for a static or the heap
    pub const fn new() -> Self {
        Self {
            fuses: [NONE; MAX_FUSES],
            contactors: [NONE; MAX_CONTACTORS],
            conductors: [NONE; MAX_CONDUCTORS],
            shorts: [NO_SHORTS; MAX_CONDUCTORS],
            bonds: [const { ChassisBurden::NONE }; MAX_ENCLOSURES],
            shields: [const { ChassisBurden::NONE }; MAX_CONDUCTORS],
            always_with: [FuseSet::MAX; MAX_FUSES],
            carries_more: [0; MAX_FUSES],
            carried: [[0; MAX_FUSES]; MAX_FUSES],
            gap: None,
            refused: Some(Unknown::Missing(Thing::VEHICLE, Gap::Phase)),
        }
    }

    /// Computes: every fault of a design, handed to `each` one by one.
    ///
    /// Bound: see [`FaultStudy::faults`] and [`FaultStudy::solve`].
    ///
    /// # Errors
    /// Those of [`FaultStudy::new`]; a fault that cannot be solved is handed on as an
    /// error and leaves every verdict on faults open.
    pub fn solve(
        &mut self,
        design: &Design,
        workspace: &mut FaultWorkspace,
        each: &mut dyn FnMut(Fault, Result<&FaultResult, Error>),
    ) -> Result<(), Error> {
        let study = self.begin(design)?;
        let mut faults = study.faults(design).peekable();
        if let Some(first) = faults.peek() {
            let curves = curves(design);
            let mut result = FaultResult::none(*first);
            for fault in faults {
                let solved = study.solve_into(design, &curves, workspace, fault, &mut result);
                self.meet(design, &study, &result, solved);
                each(fault, solved.map(|()| &result));
            }
        }
        self.capacitors(design, &study);
        Ok(())
    }

    /// What one fault alone does.
    ///
    /// # Errors
    /// Those of [`Self::solve`].
    #[cfg(feature = "text")]
    pub(crate) fn solve_one(
        &mut self,
        design: &Design,
        workspace: &mut FaultWorkspace,
        fault: Fault,
    ) -> Result<(), Error> {
        let study = self.begin(design)?;
        let mut result = FaultResult::none(fault);
        let solved = study.solve_into(design, &curves(design), workspace, fault, &mut result);
        self.meet(design, &study, &result, solved);
        Ok(())
    }

    fn begin(&mut self, design: &Design) -> Result<FaultStudy, Error> {
        self.clear();
        let study = FaultStudy::new(design).inspect_err(|error| {
            self.refused = Some(Unknown::Refused(Thing::VEHICLE, *error));
        })?;
        if study.phase().is_some() {
            self.refused = None;
        }
        Ok(study)
    }

    /// Takes in what a fault does, or why it could not be solved.
    fn meet(
        &mut self,
        design: &Design,
        study: &FaultStudy,
        result: &FaultResult,
        solved: Result<(), Error>,
    ) {
        let fault = result.fault;
        if let Err(error) = solved {
            let at = fault.one.conductor.into();
            self.refused = self.refused.or(Some(Unknown::Refused(at, error)));
            return;
        }
        self.guessed(result);
        if !result.is_dead() {
            self.take(result);
            if fault.kind == FaultKind::ThroughChassis {
                for point in [fault.one, fault.other] {
                    self.through_chassis(design, study, result, point);
                }
            }
        }
    }

    fn capacitors(&mut self, design: &Design, study: &FaultStudy) {
        let fuses = design.all::<Fuse>().map(|(id, _)| Thing::from(id));
        let contactors = design.all::<Contactor>().map(|(id, _)| Thing::from(id));
        for thing in fuses.chain(contactors) {
            let index = usize::from(thing.index);
            let place = match thing.kind {
                Kind::Contactor => self.contactors.get_mut(index),
                _ => self.fuses.get_mut(index),
            };
            match (study.surges(design, thing), place) {
                (Ok(surges), Some(place)) => place.surges = surges,
                (Ok(_), None) => {}
                (Err(error), _) => {
                    self.refused = self.refused.or(Some(Unknown::Refused(thing, error)));
                }
            }
        }
    }

    /// As new, without a second one on the stack.
    fn clear(&mut self) {
        self.fuses.fill(NONE);
        self.contactors.fill(NONE);
        self.conductors.fill(NONE);
        self.shorts.fill(NO_SHORTS);
        for place in self.bonds.iter_mut().chain(&mut self.shields) {
            *place = ChassisBurden::NONE;
        }
        self.always_with.fill(FuseSet::MAX);
        self.carries_more.fill(0);
        self.carried.fill([0; MAX_FUSES]);
        self.gap = None;
        self.refused = Some(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    }

    fn guessed(&mut self, result: &FaultResult) {
        // An inductance changes how fast a current rises, not how large it becomes.
        let mut guesses = result.gaps.iter();
        let guess = guesses.find(|one| one.gap != Gap::BatteryInductance);
        self.gap = self.gap.or(guess.copied());
        for point in [result.fault.one, result.fault.other] {
            if let Some(place) = self.shorts.get_mut(point.conductor.position()) {
                place.gap = place.gap.or(guess.copied());
            }
        }
    }

    fn take(&mut self, result: &FaultResult) {
        let guessed_bond = result.guessed_bond;
        let (highest, lowest) = (&result.highest, &result.lowest);
        let tau = if lowest.time_constant > highest.time_constant {
            lowest.time_constant
        } else {
            highest.time_constant
        };
        let mut guesses = result.gaps.iter();
        let inductance = guesses
            .find(|one| one.gap == Gap::BatteryInductance)
            .and_then(|one| one.thing.id());
        // A fuse that stays whole while others clear the fault need not open.
        let stages = || highest.stages.iter().chain(&lowest.stages);
        let needed = |fuse: FuseId| {
            result.cleared_in().is_none() || stages().any(|stage| stage.fuse == fuse)
        };
        for carrier in &highest.carriers {
            let low = lowest
                .carriers
                .iter()
                .find(|other| other.fuse == carrier.fuse && needed(other.fuse))
                .map(|other| size(other.current));
            if let Some(place) = self.fuses.get_mut(carrier.fuse.position()) {
                place.add(Some(size(carrier.current)), tau);
                place.add_least(low, guessed_bond);
                place.needed |= needed(carrier.fuse);
                place.inductance = place.inductance.or(inductance);
                let [along, against] = &mut place.directions;
                *along |= carrier.current.as_amperes() > 0.0;
                *against |= carrier.current.as_amperes() < 0.0;
            }
        }
        for stage in stages() {
            if let Some(place) = self.fuses.get_mut(stage.fuse.position())
                && Some(stage.let_through) > place.i2t
            {
                place.i2t = Some(stage.let_through);
            }
        }
        for current in [highest, lowest] {
            // A fault through chassis may leave parts of a string out.
            if result.fault.kind != FaultKind::ThroughChassis {
                self.in_series(current);
            }
            self.burdens(result, current, inductance);
        }
        let fault = result.fault;
        let one = fault.one.conductor;
        let other = Some(fault.other.conductor).filter(|other| *other != one);
        for id in core::iter::once(one).chain(other) {
            if let Some(place) = self.shorts.get_mut(id.position()) {
                place.take(result);
            }
        }
    }

    /// Which fuses carry current together.
    fn in_series(&mut self, current: &FaultCurrent) {
        let bit = |fuse: FuseId| 1_u64.wrapping_shl(u32::try_from(fuse.position()).unwrap_or(0));
        let carriers = &current.carriers;
        let all = carriers.iter().fold(0, |set, one| set | bit(one.fuse));
        for carrier in carriers {
            let amperes = size(carrier.current).as_amperes();
            let more = carriers
                .iter()
                .filter(|other| size(other.current).as_amperes() > MORE * amperes)
                .fold(0, |set, other| set | bit(other.fuse));
            let place = carrier.fuse.position();
            if let Some(with) = self.always_with.get_mut(place) {
                *with &= all;
            }
            if let Some(set) = self.carries_more.get_mut(place) {
                *set |= more;
            }
            let Some(row) = self.carried.get_mut(place) else {
                continue;
            };
            for other in carriers {
                let share = size(other.current).as_amperes() / amperes;
                if let Some(most) = row.get_mut(other.fuse.position()) {
                    *most = (*most).max(parts(share));
                }
            }
        }
    }

    fn burdens(
        &mut self,
        result: &FaultResult,
        current: &FaultCurrent,
        inductance: Option<BatteryId>,
    ) {
        let guess = result.guess_of(current);
        for burden in &current.burdens {
            let index = usize::from(burden.thing.index);
            let place = match burden.thing.kind {
                Kind::Contactor => self.contactors.get_mut(index),
                _ => self.conductors.get_mut(index),
            };
            let Some(place) = place else { continue };
            place.add(burden.current, current.time_constant);
            place.add_least(burden.current, result.guessed_bond);
            place.add_end(result.fault, burden.i2t, current.end, guess);
            place.inductance = place.inductance.or(inductance);
        }
    }

    /// What a fault through chassis does to the bond of the box at one of its points and
    /// to the shields that end there.
    fn through_chassis(
        &mut self,
        design: &Design,
        study: &FaultStudy,
        result: &FaultResult,
        point: Point,
    ) {
        if let Some(enclosure) = study.enclosure(design, point)
            && let Some(place) = self.bonds.get_mut(enclosure.position())
        {
            place.take(result);
        }
        let Some(terminal) = point.terminal(design) else {
            return;
        };
        for (id, lead) in design.all::<Conductor>() {
            let shielded = lead.cable.and_then(|part| design.get(part)?.shielded);
            if [lead.from, lead.to].contains(&terminal)
                && shielded == Some(true)
                && let Some(place) = self.shields.get_mut(id.position())
            {
                place.take(result);
            }
        }
    }

    /// What faults do to a fuse; `None` where a fault could not be solved.
    pub fn fuse(&self, id: FuseId) -> Option<FaultBurden> {
        self.known(self.fuses.get(id.position()))
    }

    /// The same for a contactor.
    pub fn contactor(&self, id: ContactorId) -> Option<FaultBurden> {
        self.known(self.contactors.get(id.position()))
    }

    /// The same for a conductor.
    pub fn conductor(&self, id: ConductorId) -> Option<FaultBurden> {
        self.known(self.conductors.get(id.position()))
    }

    /// What the faults that begin at a conductor come to; `None` where a fault could not
    /// be solved.
    pub fn shorts_at(&self, id: ConductorId) -> Option<ShortsAt> {
        self.known(self.shorts.get(id.position()))
    }

    /// What faults through chassis do to the bond of a box; `None` where a fault could
    /// not be solved.
    pub fn bond(&self, id: EnclosureId) -> Option<&ChassisBurden> {
        self.bonds.get(id.position()).filter(|_| self.is_complete())
    }

    /// The same for the shield of a conductor.
    pub fn shield(&self, id: ConductorId) -> Option<&ChassisBurden> {
        let place = self.shields.get(id.position());
        place.filter(|_| self.is_complete())
    }

    /// Whether every fault of a design was solved.
    pub const fn is_complete(&self) -> bool {
        self.refused.is_none()
    }

    /// Why the currents are not known for certain: a fault could not be solved, or
    /// something was guessed.
    pub fn doubt(&self) -> Option<Unknown> {
        let guessed = self
            .gap
            .map(|guess| Unknown::Missing(guess.thing, guess.gap));
        self.refused.or(guessed)
    }

    /// The fuses upstream of one: they carry current in every fault between poles that it
    /// carries, and in others too, so that more goes dark with them.
    pub fn upstream(&self, lower: FuseId) -> impl Iterator<Item = FuseId> + '_ {
        let always = |of: usize, with: usize| {
            self.always_with
                .get(of)
                .is_some_and(|set| (set >> with) & 1 == 1)
        };
        let carries = |fuse: usize| {
            let place = self.fuses.get(fuse);
            place.is_some_and(|place| place.largest.is_some())
        };
        let lower = lower.position();
        (0..MAX_FUSES)
            .filter(move |upper| {
                self.is_complete()
                    && *upper != lower
                    && carries(lower)
                    && carries(*upper)
                    && always(lower, *upper)
                    && !always(*upper, lower)
            })
            .filter_map(FuseId::at)
    }

    /// Whether one fuse carries more current than another in some fault.
    pub(super) fn carries_more(&self, upper: FuseId, lower: FuseId) -> bool {
        let set = self.carries_more.get(lower.position());
        set.is_none_or(|set| (set >> upper.position()) & 1 == 1)
    }

    /// How much of the current of `lower` flows through `upper` at most, of all faults
    /// between poles that both carry; 1 at most.
    pub(super) fn carried(&self, lower: FuseId, upper: FuseId) -> f32 {
        let row = self.carried.get(lower.position());
        let parts = row.and_then(|row| row.get(upper.position()));
        f32::from(parts.copied().unwrap_or(WHOLE)) / f32::from(WHOLE)
    }

    fn known<T: Copy>(&self, burden: Option<&T>) -> Option<T> {
        burden.filter(|_| self.is_complete()).copied()
    }
}

/// What is missing where a bond is guessed: it itself, or the box that would have one.
pub(crate) const fn bond_missing(at: Thing) -> Unknown {
    let gap = match at.kind {
        Kind::Enclosure => Gap::Bond,
        _ => Gap::Box,
    };
    Unknown::Missing(at, gap)
}

/// A share in parts of [`WHOLE`], rounded up; what is no number is all.
fn parts(share: f32) -> u8 {
    let parts = libm::ceilf(share * f32::from(WHOLE));
    if parts < f32::from(WHOLE) {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to 249
        let parts = parts as u8;
        parts
    } else {
        WHOLE
    }
}

/// Whether the end of a fault says for certain that it does not go off.
pub(super) const fn is_known(end: End) -> bool {
    !matches!(
        end,
        End::Cleared(_) | End::NotKnown(..) | End::ShareNotKnown(_) | End::NoSolution
    )
}

pub(super) fn size(current: Current) -> Current {
    // A magnitude keeps the bounds.
    Current::from_amperes(libm::fabsf(current.as_amperes())).unwrap_or(current)
}

/// The other conductor of a fault, as seen from one of its two.
pub(crate) fn other_of(fault: Fault, one: ConductorId) -> Thing {
    if fault.one.conductor == one {
        fault.other.conductor.into()
    } else {
        fault.one.conductor.into()
    }
}
