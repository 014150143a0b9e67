//! Whether fuses and contactors of a design stand their duty and end its faults.
//!
//! Reads a [`Study`] and the faults of a design and calls [`crate::protection`]. What is
//! taken for what:
//!
//! - **Lasting current**: the worst r.m.s. current over [`FUSE_WINDOW`] of any operation.
//! - **Pulses**: the steps of every duty above the lasting current.
//! - **In series**: a conductor or contactor whose current has the size of that of the
//!   fuse in every phase, and is not zero in all of them.
//! - **Air**: that inside the box, or of its zone.

use heapless::Vec;

use super::conductor::ConductorStudy;
use super::operation::Operation;
use super::points::Points;
use super::unknown::{Known, Unknown, entry};
use super::whole::Study;
use super::window::{duration, worst_rms};
use crate::conductor::withstand::adiabatic_withstand;
use crate::design::{
    Conductor, ConductorId, Contactor, ContactorId, Design, Fuse, FuseId, FuseType, Gap, Index,
    Kind, MAX_CONDUCTORS, MAX_CONTACTORS, MAX_DUTIES, MAX_DUTY_STEPS, MAX_FUSES, Phase, Thing,
};
use crate::error::Error;
use crate::fault::{Fault, FaultCurrent, FaultResult, FaultStudy, FaultWorkspace};
use crate::protection::{
    CURVE_TOLERANCE, Carrying, ClearingCurve, ClosedBand, ContactorCheck, DISCONNECTION, FuseCheck,
    FuseCircuit, FusePlace, FuseWindow, Guard, Guarded, GuardedCable, Opened, Pulse,
    REPEATED_PULSE, breaks, closed_band, fuse_window, judge_break, judge_breaking, judge_carry,
    judge_contactor_altitude, judge_contactor_voltage, judge_continuous, judge_fuse_voltage,
    judge_gap, judge_guarded, judge_least_fault, judge_overload_owner, judge_pulse,
    judge_time_constant, judge_withstand,
};
use crate::quantity::{Current, CurrentSquaredTime, Temperature, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Window of the r.m.s. current of fuses and contactors: a fuse of 100 to 400 A settles
/// within tens of minutes, so that a shorter window is on the safe side (common practice,
/// no source).
pub const FUSE_WINDOW: Time = constant!(Time::from_seconds(300.0));

/// Limit of a short circuit of cross-linked polyethylene (IEC 60364-5-54 Table A.54.4,
/// seen); the class of a design's cables is that of such insulation.
pub const SHORT_LIMIT: Temperature = constant!(Temperature::from_degc(250.0));

/// What the faults of a design do to one thing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultBurden {
    /// Largest prospective current through it.
    pub largest: Option<Current>,
    /// Smallest prospective current through it of a fault that it has to end.
    pub smallest: Option<Current>,
    /// Longest L/R of a fault through it.
    pub time_constant: Option<Time>,
    /// Largest joule integral until a fault is off.
    pub i2t: Option<CurrentSquaredTime>,
    /// A fault through it that is not known to go off, if there is one.
    pub stays: Option<Fault>,
    /// Whether a fault flows through a fuse from its first terminal to its second, and
    /// whether one flows the other way.
    pub directions: [bool; 2],
}

impl FaultBurden {
    fn add(&mut self, current: Option<Current>, lowest: Option<Current>, tau: Time) {
        if current > self.largest {
            self.largest = current;
        }
        if let Some(lowest) = lowest
            && self.smallest.is_none_or(|known| lowest < known)
        {
            self.smallest = Some(lowest);
        }
        if self.time_constant.is_none_or(|known| tau > known) {
            self.time_constant = Some(tau);
        }
    }
}

/// What all faults of a design do to its things.
///
/// Large (about 20 KiB): keep it in a `static` or on the heap.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultBurdens {
    fuses: [FaultBurden; MAX_FUSES],
    contactors: [FaultBurden; MAX_CONTACTORS],
    conductors: [FaultBurden; MAX_CONDUCTORS],
    /// Whether a fault could not be solved: then nothing is known for certain.
    incomplete: bool,
}

impl Default for FaultBurdens {
    fn default() -> Self {
        Self::new()
    }
}

const NONE: FaultBurden = FaultBurden {
    largest: None,
    smallest: None,
    time_constant: None,
    i2t: None,
    stays: None,
    directions: [false; 2],
};

impl FaultBurdens {
    /// Nothing yet.
    pub const fn new() -> Self {
        Self {
            fuses: [NONE; MAX_FUSES],
            contactors: [NONE; MAX_CONTACTORS],
            conductors: [NONE; MAX_CONDUCTORS],
            incomplete: false,
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
        *self = Self::new();
        let study = FaultStudy::new(design)?;
        for fault in study.faults(design) {
            match study.solve(design, workspace, fault) {
                Ok(result) => {
                    if !result.is_dead() {
                        self.take(&result);
                    }
                    each(fault, Ok(&result));
                }
                Err(error) => {
                    self.incomplete = true;
                    each(fault, Err(error));
                }
            }
        }
        Ok(())
    }

    fn take(&mut self, result: &FaultResult) {
        let (highest, lowest) = (&result.highest, &result.lowest);
        for carrier in &highest.carriers {
            let low = lowest
                .carriers
                .iter()
                .find(|other| other.fuse == carrier.fuse)
                .map(|other| size(other.current));
            if let Some(place) = self.fuses.get_mut(carrier.fuse.position()) {
                place.add(Some(size(carrier.current)), low, highest.time_constant);
                let [along, against] = &mut place.directions;
                *along |= carrier.current.as_amperes() > 0.0;
                *against |= carrier.current.as_amperes() < 0.0;
            }
        }
        for stage in highest.stages.iter().chain(&lowest.stages) {
            if let Some(place) = self.fuses.get_mut(stage.fuse.position())
                && Some(stage.let_through) > place.i2t
            {
                place.i2t = Some(stage.let_through);
            }
        }
        for current in [highest, lowest] {
            self.burdens(result.fault, current);
        }
    }

    fn burdens(&mut self, fault: Fault, current: &FaultCurrent) {
        for burden in &current.burdens {
            let index = usize::from(burden.thing.index);
            let place = match burden.thing.kind {
                Kind::Contactor => self.contactors.get_mut(index),
                _ => self.conductors.get_mut(index),
            };
            let Some(place) = place else { continue };
            place.add(burden.current, burden.current, current.time_constant);
            match burden.i2t {
                Some(i2t) if Some(i2t) > place.i2t => place.i2t = Some(i2t),
                None if place.stays.is_none() => place.stays = Some(fault),
                Some(_) | None => {}
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

    fn known(&self, burden: Option<&FaultBurden>) -> Option<FaultBurden> {
        if self.incomplete {
            return None;
        }
        burden.copied()
    }
}

fn size(current: Current) -> Current {
    // A magnitude keeps the bounds.
    Current::from_amperes(libm::fabsf(current.as_amperes())).unwrap_or(current)
}

/// Most checks of one fuse.
pub const MAX_FUSE_CHECKS: usize = 16;
/// Most pulses of one fuse: the steps of all duties.
pub const MAX_PULSES: usize = MAX_DUTIES * MAX_DUTY_STEPS;
/// Most conductors that are taken as protected by one fuse.
pub const MAX_GUARDED: usize = 12;

/// What one fuse does.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct FuseStudy {
    /// Lasting current: worst r.m.s. over [`FUSE_WINDOW`].
    pub lasting: Known<Current>,
    /// What the faults send through it.
    pub faults: Option<FaultBurden>,
    /// Conductors in series with it.
    pub conductors: Vec<ConductorId, MAX_GUARDED, u8>,
    /// The contactor in series with it that breaks most.
    pub contactor: Option<ContactorId>,
    /// Every check, worst of its kind.
    pub checks: Vec<Judged<FuseCheck>, MAX_FUSE_CHECKS, u8>,
    /// Of the conductors in series, the one with the worst share of what it stands over
    /// all currents, and that.
    pub guard: Option<(ConductorId, Guard)>,
    /// The window of rated currents in the series of its type; `None` where the currents
    /// or the highest voltage are not known.
    pub window: Option<FuseWindow>,
}

impl FuseStudy {
    /// The worst verdict of all checks.
    pub fn verdict(&self) -> Verdict {
        let worst = |worst: Verdict, judged: &Judged<_>| worst.worse(judged.verdict);
        self.checks.iter().fold(Verdict::NotApplicable, worst)
    }
}

/// Computes: what a fuse of the traction side does.
///
/// # Errors
/// What is missing ([`Gap::FuseType`]), or why it could not be computed.
pub fn study_fuse(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: FuseId,
) -> Known<FuseStudy> {
    let fuse = entry(design, id)?;
    let part = fuse.part.ok_or(Unknown::missing(id, Gap::FuseType))?;
    let part = entry(design, part)?;
    FuseQuestion {
        design,
        study,
        id,
        fuse,
        part,
        faults: burdens.fuse(id),
    }
    .answer()
    .map_err(Unknown::refused(id))
}

struct FuseQuestion<'a> {
    design: &'a Design,
    study: &'a Study,
    id: FuseId,
    fuse: &'a Fuse,
    part: &'a FuseType,
    faults: Option<FaultBurden>,
}

impl FuseQuestion<'_> {
    fn answer(&self) -> Result<FuseStudy, Error> {
        let (design, part) = (self.design, self.part);
        let place = FusePlace {
            air: design.air_in(self.fuse.enclosure),
            altitude: design.vehicle.altitude,
        };
        let highest = self.study.pack.highest_voltage.ok();
        let lasting = lasting_in_window(design, self.study, self.id.into());
        let faults = self.faults.unwrap_or_default();
        let contactor = self.contactor(highest);
        let mut result = FuseStudy {
            lasting,
            faults: self.faults,
            conductors: self.in_series(),
            contactor: contactor.map(|(id, _)| id),
            checks: Vec::new(),
            guard: None,
            window: None,
        };
        let mut checks = Checks::default();
        checks.add(judge_fuse_voltage(part, highest));
        checks.add(judge_time_constant(part, faults.time_constant));
        checks.add(judge_breaking(part, faults.largest));
        checks.add(judge_continuous(part, &place, lasting.ok())?);
        let pulses = self.pulses(lasting.ok());
        for pulse in &pulses {
            let judged = judge_pulse(part, &place, *pulse, REPEATED_PULSE, CURVE_TOLERANCE)?;
            checks.add(judged);
        }
        let contactor_breaks = contactor.and_then(|(_, breaks)| breaks);
        for judged in judge_gap(part, contactor_breaks, None, CURVE_TOLERANCE)? {
            checks.add(judged);
        }
        let lead_lasting = self.lead_lasting(&result.conductors);
        checks.add(judge_overload_owner(part, lead_lasting, None));
        if let Some(voltage) = highest {
            let curve = ClearingCurve::new(part, voltage, CURVE_TOLERANCE)?;
            let least = faults.smallest.map(|current| curve.at(current));
            checks.add(judge_least_fault(least, DISCONNECTION));
            result.guard = self.guards(&curve, &result.conductors, &faults)?;
            if let Some((_, guard)) = &result.guard {
                checks.add(guard.judged);
            }
            result.window = self.window(voltage, place, &pulses, contactor_breaks, &result)?;
        }
        result.checks = checks.found;
        Ok(result)
    }

    /// Conductors whose current has the size of the fuse's in every phase.
    fn in_series(&self) -> Vec<ConductorId, MAX_GUARDED, u8> {
        let mut found = Vec::new();
        for (id, _) in self.design.all::<Conductor>() {
            if in_series(self.design, self.study, self.id.into(), id.into()) {
                // The first ones tell; a fuse has two to six.
                let _ = found.push(id);
            }
        }
        found
    }

    /// The contactor in series that breaks most, and what it breaks.
    fn contactor(&self, highest: Option<Voltage>) -> Option<(ContactorId, Option<Current>)> {
        let mut best: Option<(ContactorId, Option<Current>)> = None;
        for (id, contactor) in self.design.all::<Contactor>() {
            if !in_series(self.design, self.study, self.id.into(), id.into()) {
                continue;
            }
            let part = contactor.part.and_then(|part| self.design.get(part));
            let both = part.map_or([None; 2], |part| breaks(part, contactor.arrow, highest));
            let needed = self.directions(id.into());
            let mut needed = both.into_iter().zip(needed).filter(|(_, flows)| *flows);
            let first = needed.next().map_or(both[0], |(breaks, _)| breaks);
            let both = needed.fold(first, |least, (breaks, _)| smaller(least, breaks));
            if best.is_none_or(|(_, known)| both > known) {
                best = Some((id, both));
            }
        }
        best
    }

    /// Which ways faults flow through something in series with the fuse: as through the
    /// fuse if their currents have one sign in the phases, else the other way round. Both
    /// where no fault is known.
    fn directions(&self, other: Thing) -> [bool; 2] {
        let [along, against] = self.faults.unwrap_or_default().directions;
        if !along && !against {
            return [true; 2];
        }
        let same = self.design.all::<Phase>().all(|(phase, _)| {
            let current = |thing: Thing| {
                let current = self.study.points.current(phase, thing);
                current.map_or(0.0, Current::as_amperes)
            };
            current(self.id.into()) * current(other) >= 0.0
        });
        if same {
            [along, against]
        } else {
            [against, along]
        }
    }

    /// The steps of duties above the lasting current; what is below it is part of that.
    fn pulses(&self, lasting: Option<Current>) -> Vec<Pulse, MAX_PULSES> {
        let mut pulses: Vec<Pulse, MAX_PULSES> = Vec::new();
        for operation in self.design.operations() {
            let Operation::Duty(_) = operation else {
                continue;
            };
            let steps = self.study.points.steps(self.design, operation, self.id);
            for step in steps.iter().flatten() {
                let pulse = Pulse {
                    current: size(step.current),
                    duration: step.duration,
                };
                if lasting.is_some_and(|lasting| pulse.current <= lasting) {
                    continue;
                }
                // There are as many places as steps.
                let _ = pulses.push(pulse);
            }
        }
        pulses
    }

    /// The least lasting current of the conductors in series.
    fn lead_lasting(&self, conductors: &[ConductorId]) -> Option<Current> {
        let mut least: Option<Current> = None;
        for id in conductors {
            let lasting = self.study.conductor(*id).ok()?.warmest.ok()?.ampacity?;
            if least.is_none_or(|known| lasting < known) {
                least = Some(lasting);
            }
        }
        least
    }

    /// The conductor in series that is protected worst over all currents.
    fn guards(
        &self,
        curve: &ClearingCurve,
        conductors: &[ConductorId],
        faults: &FaultBurden,
    ) -> Result<Option<(ConductorId, Guard)>, Error> {
        let mut worst: Option<(ConductorId, Guard)> = None;
        for id in conductors {
            let Some(guarded) = guarded(self.design, self.study, *id) else {
                continue;
            };
            let cable = Guarded::Cable(GuardedCable {
                build: &guarded.build,
                ..guarded.cable()
            });
            let guard = judge_guarded(FuseCheck::Cable, curve, &cable, None, faults.largest)?;
            let share = |guard: &Guard| match guard.judged.verdict {
                Verdict::Fails => f32::INFINITY,
                _ => guard.judged.value.unwrap_or(0.0),
            };
            if worst
                .as_ref()
                .is_none_or(|(_, known)| share(&guard) > share(known))
            {
                worst = Some((*id, guard));
            }
        }
        Ok(worst)
    }

    fn window(
        &self,
        voltage: Voltage,
        place: FusePlace,
        pulses: &[Pulse],
        contactor_breaks: Option<Current>,
        result: &FuseStudy,
    ) -> Result<Option<FuseWindow>, Error> {
        let (Ok(lasting), Some(faults)) = (result.lasting, result.faults) else {
            return Ok(None);
        };
        let worst = result.guard.as_ref().map(|(id, _)| *id);
        let guarded = worst.and_then(|id| guarded(self.design, self.study, id));
        let cable = guarded.as_ref().map(|guarded| {
            let cable = GuardedCable {
                build: &guarded.build,
                ..guarded.cable()
            };
            [(FuseCheck::Cable, Guarded::Cable(cable))]
        });
        let circuit = FuseCircuit {
            voltage,
            place,
            lasting: Some(lasting),
            pulses,
            pulse_share: REPEATED_PULSE,
            tolerance: CURVE_TOLERANCE,
            smallest_fault: faults.smallest,
            largest_fault: faults.largest,
            disconnection: DISCONNECTION,
            guarded: cable.as_ref().map_or(&[], |cable| cable.as_slice()),
            conductor_lasting: self.lead_lasting(&result.conductors),
            controller_limit: None,
            contactor_breaks,
            time_constant: faults.time_constant,
            trip: None,
        };
        fuse_window(self.part, &circuit).map(Some)
    }
}

/// Checks, the worst of each kind.
struct Checks<N> {
    found: Vec<Judged<N>, MAX_FUSE_CHECKS, u8>,
}

impl<N> Default for Checks<N> {
    fn default() -> Self {
        Self { found: Vec::new() }
    }
}

impl<N: Copy + PartialEq> Checks<N> {
    fn add(&mut self, judged: Judged<N>) {
        let rank = |judged: &Judged<N>| match judged.verdict {
            Verdict::Fails => 3,
            Verdict::Open => 2,
            Verdict::Holds => 1,
            Verdict::NotApplicable => 0,
        };
        let known = self
            .found
            .iter_mut()
            .find(|known| known.name == judged.name);
        match known {
            Some(known) => {
                let less_left = judged.margin() < known.margin();
                if (rank(&judged), less_left) > (rank(known), false) {
                    *known = judged;
                }
            }
            // There is a place for each kind.
            None => drop(self.found.push(judged)),
        }
    }
}

/// A conductor as something that a fuse protects.
struct GuardedLead {
    build: crate::conductor::cable::CableBuild,
    start: Temperature,
    overload: Temperature,
    lasting: Option<Current>,
}

impl GuardedLead {
    fn cable(&self) -> GuardedCable<'_> {
        GuardedCable {
            build: &self.build,
            start: self.start,
            short_limit: SHORT_LIMIT,
            overload_limit: self.overload,
            heat: None,
            lasting: self.lasting,
        }
    }
}

/// As hot as it becomes in its duty when the fault begins.
fn guarded(design: &Design, study: &Study, id: ConductorId) -> Option<GuardedLead> {
    let studied: ConductorStudy = study.conductor(id).ok()?;
    let part = design.get(design.get(id)?.cable?)?;
    let warmest = studied.warmest.ok()?;
    let start = warmest.warmth.hottest()?;
    let class = part.temperature_class?;
    // A conductor that is hotter than its class fails by itself; what a fault adds is
    // reckoned from the class then.
    let start = if start < class { start } else { colder(class)? };
    Some(GuardedLead {
        build: *part.cable().ok()?.build(),
        start,
        overload: class,
        lasting: warmest.ampacity,
    })
}

/// One kelvin below.
fn colder(class: Temperature) -> Option<Temperature> {
    Temperature::from_degc(class.as_degc() - 1.0).ok()
}

/// The worst r.m.s. current of any operation over a window, or over the operation as a
/// whole, and the operation.
pub(crate) fn lasting(
    design: &Design,
    points: &Points,
    thing: Thing,
    window: Option<Time>,
) -> Known<(Operation, Current)> {
    let mut worst = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for operation in design.operations() {
        let steps = points.steps(design, operation, thing)?;
        let refused = Unknown::refused(thing);
        let window = match window {
            Some(window) => window,
            None => duration(&steps).map_err(&refused)?,
        };
        let rms = worst_rms(&steps, window).map_err(&refused)?;
        let rms = rms.ok_or(Unknown::missing(operation, Gap::Duration))?;
        let more = |known: &(Operation, Current)| rms > known.1;
        if worst.as_ref().map_or(true, more) {
            worst = Ok((operation, rms));
        }
    }
    worst
}

/// [`lasting`] over [`FUSE_WINDOW`].
fn lasting_in_window(design: &Design, study: &Study, thing: Thing) -> Known<Current> {
    lasting(design, &study.points, thing, Some(FUSE_WINDOW)).map(|(_, current)| current)
}

/// Whether two things carry currents of one size in every phase, at least one of them not
/// zero.
fn in_series(design: &Design, study: &Study, one: Thing, other: Thing) -> bool {
    /// What rounding may make of one current.
    const ALIKE: f32 = 1.0e-4;
    let mut carries = false;
    for (phase, _) in design.all::<Phase>() {
        let current = |thing: Thing| study.points.current(phase, thing);
        let (Some(a), Some(b)) = (current(one), current(other)) else {
            return false;
        };
        let (a, b) = (libm::fabsf(a.as_amperes()), libm::fabsf(b.as_amperes()));
        if libm::fabsf(a - b) > ALIKE * libm::fmaxf(a, b) {
            return false;
        }
        carries |= a > 0.0;
    }
    carries
}

/// What one contactor does.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct ContactorStudy {
    /// Lasting current: worst r.m.s. over [`FUSE_WINDOW`].
    pub lasting: Known<Current>,
    /// What the faults send through it.
    pub faults: Option<FaultBurden>,
    /// The fuse in series with it.
    pub fuse: Option<FuseId>,
    /// The currents on which it must not be opened; `None` where it breaks all of them or
    /// it is not known what it breaks.
    pub closed_band: Option<ClosedBand>,
    /// Every check.
    pub checks: Vec<Judged<ContactorCheck>, MAX_FUSE_CHECKS, u8>,
}

impl ContactorStudy {
    /// The worst verdict of all checks.
    pub fn verdict(&self) -> Verdict {
        let worst = |worst: Verdict, judged: &Judged<_>| worst.worse(judged.verdict);
        self.checks.iter().fold(Verdict::NotApplicable, worst)
    }
}

/// Computes: what a contactor of the traction side does.
///
/// The peak of a fault is its largest prospective current: link capacitors may add to it
/// in the first millisecond, see [`FaultStudy::course`].
///
/// # Errors
/// What is missing ([`Gap::ContactorType`]), or why it could not be computed.
pub fn study_contactor(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: ContactorId,
) -> Known<ContactorStudy> {
    let contactor = entry(design, id)?;
    let part = contactor
        .part
        .ok_or(Unknown::missing(id, Gap::ContactorType))?;
    let part = entry(design, part)?;
    let highest = study.pack.highest_voltage.ok();
    let lasting = lasting_in_window(design, study, id.into());
    let faults = burdens.contactor(id);
    let burden = faults.unwrap_or_default();
    let mut checks = Checks::default();
    checks.add(judge_contactor_voltage(part, highest));
    checks.add(judge_contactor_altitude(part, design.vehicle.altitude));
    let carrying = Carrying {
        lasting: lasting.ok(),
        air: design.air_in(contactor.enclosure),
        section: section_at(design, contactor),
    };
    for judged in judge_carry(part, &carrying) {
        checks.add(judged);
    }
    let opened = opened(design, study, id);
    for judged in judge_break(part, contactor.arrow, highest, &opened) {
        checks.add(judged);
    }
    let i2t = burden.i2t.filter(|_| burden.stays.is_none());
    for judged in judge_withstand(part, burden.largest, i2t) {
        checks.add(judged);
    }
    let mut fuses = design.all::<Fuse>().map(|(fuse, _)| fuse);
    let fuse = fuses.find(|fuse| in_series(design, study, id.into(), (*fuse).into()));
    let closed_band = match (fuse, highest, burden.largest) {
        (Some(fuse), Some(voltage), Some(largest)) => {
            let curve = design
                .get(fuse)
                .and_then(|fuse| design.get(fuse.part?))
                .map(|part| ClearingCurve::new(part, voltage, CURVE_TOLERANCE))
                .transpose()
                .map_err(Unknown::refused(fuse))?;
            let [along, against] = breaks(part, contactor.arrow, highest);
            let least = smaller(along, against);
            curve
                .zip(part.coil.opening_time)
                .and_then(|(curve, opening)| closed_band(least, &curve, largest, opening))
        }
        _ => None,
    };
    if let Some(band) = &closed_band {
        checks.add(band.judged);
    }
    Ok(ContactorStudy {
        lasting,
        faults,
        fuse,
        closed_band,
        checks: checks.found,
    })
}

/// The smaller of two currents; not known while one is not.
fn smaller(one: Option<Current>, other: Option<Current>) -> Option<Current> {
    let (one, other) = (one?, other?);
    Some(if other < one { other } else { one })
}

/// The section that takes heat out of a contactor: the largest conductor on a terminal,
/// the smaller of both terminals; a terminal without conductor is on a bar.
pub(crate) fn section_at(
    design: &Design,
    contactor: &Contactor,
) -> Option<crate::quantity::ConductorArea> {
    let largest = |terminal| {
        let mut largest = None;
        for (_, lead) in design.all::<Conductor>() {
            if [lead.from, lead.to].contains(&terminal) {
                let section = Some(design.get(lead.cable?)?.conductor.section);
                if section > largest {
                    largest = section;
                }
            }
        }
        largest
    };
    match (largest(contactor.from), largest(contactor.to)) {
        (Some(one), Some(other)) => Some(if other < one { other } else { one }),
        (one, other) => one.or(other),
    }
}

/// The largest currents of all phases by direction.
fn opened(design: &Design, study: &Study, id: ContactorId) -> Opened {
    let (mut along, mut against) = (0.0, 0.0);
    for (phase, _) in design.all::<Phase>() {
        let Ok(current) = study.points.known_current(phase, id) else {
            return Opened::default();
        };
        let amperes = current.as_amperes();
        along = libm::fmaxf(along, amperes);
        against = libm::fmaxf(against, -amperes);
    }
    let current = |amperes| Current::from_amperes(amperes).ok();
    Opened {
        along: current(along),
        against: current(against),
    }
}

/// What every conductor of a design stands in a short circuit, A2s: from the heat of its
/// duty to [`SHORT_LIMIT`].
#[derive(Clone, Debug, PartialEq)]
pub struct Withstands {
    stands: [Option<CurrentSquaredTime>; MAX_CONDUCTORS],
}

impl Withstands {
    /// Computes: [`adiabatic_withstand`] of every conductor of a studied design.
    pub fn new(design: &Design, study: &Study) -> Self {
        let mut stands = [None; MAX_CONDUCTORS];
        for ((id, _), place) in design.all::<Conductor>().zip(&mut stands) {
            *place = guarded(design, study, id).and_then(|lead| {
                let build = &lead.build;
                let (metal, section, r20) = (build.metal, build.section, build.resistance_20);
                let stands = adiabatic_withstand(metal, section, r20, lead.start, SHORT_LIMIT);
                Some(stands.ok()?.own_resistance)
            });
        }
        Self { stands }
    }

    /// What a conductor stands; `None` where its cable or temperature is not known.
    pub fn of(&self, id: ConductorId) -> Option<CurrentSquaredTime> {
        *self.stands.get(id.position())?
    }

    /// Judges the worst of all faults through a conductor: the joule integral until it is
    /// off against what the conductor stands.
    ///
    /// Fails without a value where a fault through it does not go off; open where the
    /// faults or what it stands are not known.
    pub fn judge(&self, burdens: &FaultBurdens, id: ConductorId) -> Judged<FuseCheck> {
        let burden = burdens.conductor(id);
        let stays = burden.is_some_and(|burden| burden.stays.is_some());
        let none = constant!(CurrentSquaredTime::from_a2s(0.0));
        let i2t = burden.map(|burden| burden.i2t.unwrap_or(none));
        self.judge_one(id, i2t, stays)
    }

    fn judge_one(
        &self,
        id: ConductorId,
        i2t: Option<CurrentSquaredTime>,
        stays: bool,
    ) -> Judged<FuseCheck> {
        let (name, source) = (FuseCheck::Cable, SourceId::AdiabaticBalance);
        let a2s = CurrentSquaredTime::as_a2s;
        let stands = self.of(id).map(a2s);
        if stays {
            return Judged::failed_without_value(name, Side::AtMost, stands, source);
        }
        Judged::known(name, i2t.map(a2s), Side::AtMost, stands, source)
    }

    /// The conductor that one fault is hardest on, judged: one through which the fault
    /// does not go off, else the one with the largest share of what it stands. `None`
    /// where no conductor carries it.
    pub fn hardest(&self, result: &FaultResult) -> Option<(ConductorId, Judged<FuseCheck>)> {
        let mut hardest: Option<(ConductorId, Judged<FuseCheck>, f32)> = None;
        let burdens = [&result.highest, &result.lowest].map(|current| current.burdens.iter());
        for burden in burdens.into_iter().flatten() {
            if burden.thing.kind != Kind::Conductor {
                continue;
            }
            let Some(id) = ConductorId::at(usize::from(burden.thing.index)) else {
                continue;
            };
            let judged = self.judge_one(id, burden.i2t, burden.i2t.is_none());
            let share = match (judged.value, judged.limit) {
                (Some(value), Some(limit)) => value / limit,
                // Does not go off: the smallest conductor first.
                (_, limit) => f32::MAX / (1.0 + limit.unwrap_or(0.0)),
            };
            if hardest.is_none_or(|(.., known)| share > known) {
                hardest = Some((id, judged, share));
            }
        }
        hardest.map(|(id, judged, _)| (id, judged))
    }
}
