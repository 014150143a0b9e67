//! What one fuse of a design does.

use heapless::Vec;

use super::burden::{FaultBurden, FaultBurdens, size};
use super::chassis::{WorstMetal, worst_metal};
use super::controller::{lasting_limit, opens_up_to, overload_owner, trip_at, weakest_in_series};
use super::lead::{GuardedLead, guarded};
use super::selectivity::{Selectivity, selectivity_of};
use super::{Checks, MAX_CHECKS, in_series, lasting};
use crate::design::{
    Conductor, ConductorId, Contactor, ContactorId, Design, EnclosureId, Entry, Fuse, FuseId,
    FuseType, Gap, MAX_DUTIES, MAX_DUTY_STEPS, Phase, Strings, System, Thing,
};
use crate::error::Error;
use crate::protection::{
    CURVE_TOLERANCE, Clearing, ClearingCurve, DISCONNECTION, FuseCheck, FuseCircuit, FusePlace,
    FuseWindow, Guard, Guarded, Pulse, REPEATED_PULSE, breaks, fuse_window, guards, judge_breaking,
    judge_continuous, judge_fuse_voltage, judge_gap, judge_least_fault, judge_overload_owner,
    judge_pulse, judge_time_constant, smaller,
};
use crate::quantity::{Current, Voltage};
use crate::standard::SourceId;
use crate::study::conductor::alike;
use crate::study::operation::Operation;
use crate::study::points::Points;
use crate::study::unknown::{Known, Unknown, entry};
use crate::study::whole::Study;
use crate::verdict::{Judged, Side, Verdict};

/// Most pulses of one fuse: the steps of all duties.
pub const MAX_PULSES: usize = MAX_DUTIES * MAX_DUTY_STEPS;
/// Most conductors that are taken as protected by one fuse.
pub const MAX_GUARDED: usize = 12;
/// Most fuses upstream of one: all that one fault is followed through.
pub const MAX_UPSTREAM: usize = crate::fault::MAX_CARRIERS;

/// What one fuse does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FuseStudy {
    /// Lasting current: worst r.m.s. over `FUSE_WINDOW`.
    pub lasting: Known<Current>,
    /// What the faults send through it.
    pub faults: Option<FaultBurden>,
    /// Conductors in series with it.
    pub conductors: Vec<ConductorId, MAX_GUARDED, u8>,
    /// Contactors in series with it.
    pub contactors: Vec<ContactorId, MAX_GUARDED, u8>,
    /// The contactor in series with it that breaks most; outside the strings that of the
    /// string whose contactor breaks least.
    pub contactor: Option<ContactorId>,
    /// It and each fuse upstream of it.
    pub selectivity: Vec<Selectivity, MAX_UPSTREAM, u8>,
    /// The box whose bond strap it protects worst.
    pub strap: Option<EnclosureId>,
    /// The conductor whose shield it protects worst.
    pub shield: Option<ConductorId>,
    /// Every check, worst of its kind.
    pub checks: Vec<Judged<FuseCheck>, MAX_CHECKS, u8>,
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

/// Computes: what a fuse does. What short circuits of the low-voltage side do to its fuses
/// is not computed: of these every check of them is open.
///
/// # Errors
/// What is missing ([`Gap::FuseType`]), or why it could not be computed.
pub fn study_fuse(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: FuseId,
) -> Known<FuseStudy> {
    let question = FuseQuestion::new(design, study, burdens, id)?;
    question.answer().map_err(Unknown::refused(id))
}

/// Judges who opens the currents that melt a fuse without being broken: [`judge_gap`] with
/// the contactor in series and the trip of the controller. With it that contactor.
///
/// # Errors
/// What is missing: the type of the fuse, or, where the fuse has such a gap, the currents
/// that tell what is in series with it.
pub(crate) fn low_current_gap(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: FuseId,
) -> Known<(Option<ContactorId>, [Judged<FuseCheck>; 3])> {
    let question = FuseQuestion::new(design, study, burdens, id)?;
    let refused = Unknown::refused(id);
    let judge = |breaks, trip| judge_gap(question.part, breaks, trip, CURVE_TOLERANCE);
    let gap = judge(None, None).map_err(&refused)?;
    if gap.iter().all(|one| one.verdict == Verdict::NotApplicable) {
        return Ok((None, gap));
    }
    for (phase, _) in design.all::<Phase>() {
        study.points.known_current(phase, id)?;
    }
    let contactor = question.contactor(study.pack.highest_voltage.ok());
    let breaks = contactor.and_then(|(_, breaks)| breaks);
    let trip = trip_at(design, &study.points, id.into());
    let gap = judge(breaks, trip).map_err(&refused)?;
    Ok((contactor.map(|(contactor, _)| contactor), gap))
}

/// Judges whether a fuse of the high-voltage side protects the conductors in series with it
/// over all currents that the controller and its contactor leave to it: [`guards`]. With it
/// the conductor that is protected worst; `None` where none is in series.
///
/// # Errors
/// What is missing: the type of the fuse, the currents that tell what is in series with it,
/// the heat of a conductor, the highest voltage.
pub(crate) fn cable_guard(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: FuseId,
) -> Known<Option<(ConductorId, Guard)>> {
    let question = FuseQuestion::new(design, study, burdens, id)?;
    for (phase, _) in design.all::<Phase>() {
        study.points.known_current(phase, id)?;
    }
    let conductors = question.in_series::<Conductor>();
    for lead in &conductors {
        if guarded(design, study, *lead).is_none() {
            study.conductor(*lead)?.warmest?;
            return Err(Unknown::missing(*lead, Gap::TemperatureClass));
        }
    }
    let voltage = study.pack.highest_voltage?;
    let breaks = question
        .contactor(Some(voltage))
        .and_then(|(_, breaks)| breaks);
    let circuit = question.circuit(voltage, question.place(), breaks, None);
    let worst = question.guards(&circuit, &conductors);
    let worst = worst.map_err(Unknown::refused(id))?;
    // One that did not fit into the list was not looked at.
    Ok(worst.map(|(lead, mut guard)| {
        if conductors.is_full() && guard.judged.verdict == Verdict::Holds {
            guard.judged.verdict = Verdict::Open;
        }
        (lead, guard)
    }))
}

/// Judges the time constant of a fuse's faults; open where a battery that feeds them does
/// not state its inductance and they hold without it.
pub(crate) fn time_constant_of(part: &FuseType, faults: &FaultBurden) -> Judged<FuseCheck> {
    let judged = judge_time_constant(part, faults.time_constant);
    match (judged.verdict, faults.inductance) {
        (Verdict::Holds, Some(_)) => Judged {
            verdict: Verdict::Open,
            ..judged
        },
        _ => judged,
    }
}

/// What becomes of the smallest fault that a fuse has to end.
pub(crate) struct LeastFault {
    pub(crate) judged: Judged<FuseCheck>,
    /// What the fuse does.
    pub(crate) clearing: Option<Clearing>,
    /// Where the bond is that the verdict is open for: see [`FaultBurden::guessed_bond`].
    pub(crate) guessed_bond: Option<Thing>,
}

/// Judges the smallest fault that a fuse has to end: broken at all, and in
/// [`DISCONNECTION`]. With it what the fuse does then. Not applicable to a fuse that others
/// spare: they end every fault through it. Open where it fails only as long as a bond counts
/// as the worst one that is allowed.
///
/// # Errors
/// Those of [`ClearingCurve::new`].
pub(crate) fn least_fault_of(
    part: &FuseType,
    faults: &FaultBurden,
    highest: Voltage,
) -> Result<LeastFault, Error> {
    let spared = faults.largest.is_some() && !faults.needed;
    if spared {
        let judged = judge_least_fault(None, DISCONNECTION);
        let verdict = Verdict::NotApplicable;
        return Ok(LeastFault {
            judged: Judged { verdict, ..judged },
            clearing: None,
            guessed_bond: None,
        });
    }
    let curve = ClearingCurve::new(part, highest, CURVE_TOLERANCE)?;
    let judge = |smallest: Option<Current>| {
        let clearing = smallest.map(|smallest| curve.at(smallest));
        (judge_least_fault(clearing, DISCONNECTION), clearing)
    };
    let (mut judged, clearing) = judge(faults.smallest);
    let mut guessed_bond = None;
    if judged.verdict == Verdict::Fails
        && faults.guessed_bond.is_some()
        && judge(faults.smallest_known).0.verdict != Verdict::Fails
    {
        judged.verdict = Verdict::Open;
        guessed_bond = faults.guessed_bond;
    }
    Ok(LeastFault {
        judged,
        clearing,
        guessed_bond,
    })
}

struct FuseQuestion<'a> {
    design: &'a Design,
    study: &'a Study,
    id: FuseId,
    fuse: &'a Fuse,
    part: &'a FuseType,
    faults: Option<FaultBurden>,
    burdens: &'a FaultBurdens,
}

impl<'a> FuseQuestion<'a> {
    fn new(
        design: &'a Design,
        study: &'a Study,
        burdens: &'a FaultBurdens,
        id: FuseId,
    ) -> Known<Self> {
        let fuse = entry(design, id)?;
        let part = fuse.part.ok_or(Unknown::missing(id, Gap::FuseType))?;
        Ok(Self {
            design,
            study,
            id,
            fuse,
            part: entry(design, part)?,
            faults: burdens.fuse(id),
            burdens,
        })
    }
}

/// Which ways faults flow through something in series with a fuse: as through the fuse if
/// their currents have one sign in the phases, else the other way round. Both where no fault
/// is known.
pub(super) fn directions(
    design: &Design,
    points: &Points,
    (fuse, faults): (FuseId, Option<FaultBurden>),
    other: Thing,
) -> [bool; 2] {
    let [along, against] = faults.unwrap_or_default().directions;
    if !along && !against {
        return [true; 2];
    }
    let same = design.all::<Phase>().all(|(phase, _)| {
        let current = |thing: Thing| {
            let current = points.current(phase, thing);
            current.map_or(0.0, Current::as_amperes)
        };
        current(fuse.into()) * current(other) >= 0.0
    });
    if same {
        [along, against]
    } else {
        [against, along]
    }
}

impl FuseQuestion<'_> {
    fn answer(&self) -> Result<FuseStudy, Error> {
        let (design, part) = (self.design, self.part);
        let place = self.place();
        let highest = self.highest();
        let lasting = lasting(design, &self.study.points, self.id.into());
        let lasting = lasting.map(|(_, current)| current);
        let faults = self.faults.unwrap_or_default();
        let contactor = self.contactor(highest);
        let mut result = FuseStudy {
            lasting,
            faults: self.faults,
            conductors: self.in_series::<Conductor>(),
            contactors: self.in_series::<Contactor>(),
            contactor: contactor.map(|(id, _)| id),
            selectivity: self.selectivity(),
            strap: None,
            shield: None,
            checks: Vec::new(),
            guard: None,
            window: None,
        };
        let mut checks = Checks::default();
        checks.add(judge_fuse_voltage(part, self.rated()));
        checks.add(time_constant_of(part, &faults));
        checks.add(judge_breaking(part, faults.largest));
        checks.add(judge_continuous(part, &place, lasting.ok())?);
        let pulses = self.pulses(lasting.ok());
        for pulse in &pulses {
            let judged = judge_pulse(part, &place, *pulse, REPEATED_PULSE, CURVE_TOLERANCE)?;
            checks.add(judged);
        }
        let contactor_breaks = contactor.and_then(|(_, breaks)| breaks);
        let trip = trip_at(design, &self.study.points, self.id.into());
        for judged in judge_gap(part, contactor_breaks, trip, CURVE_TOLERANCE)? {
            checks.add(judged);
        }
        let owner = overload_owner(design, self.study, self.id, part);
        let not_known = judge_overload_owner(part, None, None);
        checks.add(owner.map_or(not_known, |(_, judged)| judged));
        for pair in &result.selectivity {
            checks.add(pair.by_i2t);
            checks.add(pair.by_time);
        }
        let metal = worst_metal(design, self.study, self.burdens, self.id)?;
        let [strap, shield] = &metal;
        result.strap = strap.and_then(|strap| strap.at.id());
        result.shield = shield.and_then(|shield| shield.at.id());
        for found in metal.iter().flatten() {
            checks.add(found.judged);
        }
        if let Some(voltage) = highest {
            let circuit = self.circuit(voltage, place, contactor_breaks, lasting.ok());
            checks.add(least_fault_of(part, &faults, voltage)?.judged);
            result.guard = self.guards(&circuit, &result.conductors)?;
            if let Some((_, guard)) = &result.guard {
                checks.add(guard.judged);
            }
            let known = |id: &ConductorId| guarded(design, self.study, *id).is_some();
            if result.conductors.is_full() || !result.conductors.iter().all(known) {
                let (name, source) = (FuseCheck::Cable, SourceId::Iec60949);
                checks.add(Judged::open(name, None, Side::AtMost, Some(1.0), source));
            }
            result.window = self.window(&circuit, &pulses, &metal, &result)?;
        }
        result.checks = checks.found;
        Ok(result)
    }

    fn place(&self) -> FusePlace {
        let design = self.design;
        FusePlace {
            air: design.air_in(design.box_of(self.fuse.enclosure, self.fuse.from)),
            altitude: design.vehicle.altitude,
        }
    }

    fn is_low_voltage(&self) -> bool {
        self.study.points.is_low_voltage(self.id.into())
    }

    /// The highest voltage of its own system.
    fn highest(&self) -> Option<Voltage> {
        if self.is_low_voltage() {
            self.design.low_voltage_highest()
        } else {
            self.study.pack.highest_voltage.ok()
        }
    }

    /// The highest voltage that its rating is held against.
    fn rated(&self) -> Option<Voltage> {
        if self.is_low_voltage() {
            self.design.low_voltage_highest()
        } else {
            self.study.pack.rated_voltage().ok()
        }
    }

    /// It against every fuse upstream.
    fn selectivity(&self) -> Vec<Selectivity, MAX_UPSTREAM, u8> {
        let mut found = Vec::new();
        for upper in self.burdens.upstream(self.id) {
            let pair = selectivity_of(self.design, self.study, self.burdens, self.id, upper);
            // There are as many places as fuses that one fault is followed through.
            let _ = found.push(pair);
        }
        found
    }

    /// Things of a kind whose current has the size of the fuse's in every phase.
    fn in_series<E: Entry>(&self) -> Vec<E::Id, MAX_GUARDED, u8>
    where
        E::Id: Into<Thing> + Copy,
    {
        let mut found = Vec::new();
        for (id, _) in self.design.all::<E>() {
            if in_series(self.design, &self.study.points, self.id.into(), id.into()) {
                // A fuse has two to six; a full list leaves the check open.
                let _ = found.push(id);
            }
        }
        found
    }

    /// The contactor in series that breaks most, and the current up to which the controller
    /// opens it. Of a fuse outside the strings the contactors of every string: each may
    /// have to break all of it, and the one that breaks least counts. None of the
    /// low-voltage side: the controller opens no contactor there.
    fn contactor(&self, highest: Option<Voltage>) -> Option<(ContactorId, Option<Current>)> {
        if self.is_low_voltage() {
            return None;
        }
        let strings = self.design.strings(System::Traction);
        if let Some(own) = self.contactor_with(&strings, self.id.into(), highest) {
            return Some(own);
        }
        let mut least: Option<(ContactorId, Option<Current>)> = None;
        for string in &strings.strings {
            let battery = string.batteries.iter().next()?;
            let here = self.contactor_with(&strings, battery.into(), highest)?;
            if least.is_none_or(|(_, known)| here.1 < known) {
                least = Some(here);
            }
        }
        least
    }

    /// The same for what is in series with one thing.
    fn contactor_with(
        &self,
        strings: &Strings,
        thing: Thing,
        highest: Option<Voltage>,
    ) -> Option<(ContactorId, Option<Current>)> {
        let (design, points) = (self.design, &self.study.points);
        let mut best: Option<(ContactorId, Option<Current>)> = None;
        for (id, contactor) in design.all::<Contactor>() {
            if !in_series(design, points, thing, id.into()) {
                continue;
            }
            let part = contactor.part.and_then(|part| design.get(part));
            let breaks = part.map_or([None; 2], |part| breaks(part, contactor.arrow, highest));
            let up_to = opens_up_to(design, points, strings, id, breaks);
            let needed = directions(design, points, (self.id, self.faults), id.into());
            let mut needed = up_to.into_iter().zip(needed).filter(|(_, flows)| *flows);
            let first = needed.next().map_or(up_to[0], |(up_to, _)| up_to);
            let up_to = needed.fold(first, |least, (up_to, _)| smaller(least, up_to));
            if best.is_none_or(|(_, known)| up_to > known) {
                best = Some((id, up_to));
            }
        }
        best
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

    /// What it carries and protects, all but the guarded.
    fn circuit<'a>(
        &self,
        voltage: Voltage,
        place: FusePlace,
        contactor_breaks: Option<Current>,
        lasting: Option<Current>,
    ) -> FuseCircuit<'a> {
        let faults = self.faults.unwrap_or_default();
        let weakest = weakest_in_series(self.design, self.study, self.id);
        FuseCircuit {
            voltage,
            place,
            lasting,
            pulses: &[],
            pulse_share: REPEATED_PULSE,
            tolerance: CURVE_TOLERANCE,
            smallest_fault: faults.smallest,
            largest_fault: faults.largest,
            spared: faults.largest.is_some() && !faults.needed,
            disconnection: DISCONNECTION,
            guarded: &[],
            conductor_lasting: weakest.ok().flatten().map(|(_, lasting)| lasting),
            controller_limit: lasting_limit(self.design, self.study, self.id.into()),
            contactor_breaks,
            time_constant: faults.time_constant,
            trip: trip_at(self.design, &self.study.points, self.id.into()),
        }
    }

    /// The conductor in series that is protected worst over all currents.
    fn guards(
        &self,
        circuit: &FuseCircuit<'_>,
        conductors: &[ConductorId],
    ) -> Result<Option<(ConductorId, Guard)>, Error> {
        let mut worst: Option<(ConductorId, Guard)> = None;
        for (number, id) in conductors.iter().enumerate() {
            // The other conductor of a circuit stands the same.
            let mut before = conductors.iter().take(number);
            if before.any(|one| alike(self.design, &self.study.points, *one, *id).is_some()) {
                continue;
            }
            let Some(mut lead) = guarded(self.design, self.study, *id) else {
                continue;
            };
            let judge = |lead: &GuardedLead| {
                let cable = Guarded::Cable(lead.cable());
                guards(self.part, circuit, FuseCheck::Cable, &cable)
            };
            // What holds without the heat that it gives off holds the same with it.
            let mut guard = judge(&lead)?;
            if guard.judged.verdict != Verdict::Holds {
                lead.add_heat(self.design, *id);
                guard = judge(&lead)?;
            }
            let rank = |guard: &Guard| {
                let judged = &guard.judged;
                (judged.verdict.rank(), judged.value.unwrap_or(0.0))
            };
            if worst
                .as_ref()
                .is_none_or(|(_, known)| rank(&guard) > rank(known))
            {
                worst = Some((*id, guard));
            }
        }
        Ok(worst)
    }

    fn window(
        &self,
        circuit: &FuseCircuit<'_>,
        pulses: &[Pulse],
        metal: &[Option<WorstMetal>; 2],
        result: &FuseStudy,
    ) -> Result<Option<FuseWindow>, Error> {
        if result.lasting.is_err() || result.faults.is_none() {
            return Ok(None);
        }
        let worst = result.guard.as_ref().map(|(id, _)| *id);
        let lead = worst.and_then(|id| {
            let mut lead = guarded(self.design, self.study, id)?;
            lead.add_heat(self.design, id);
            Some(lead)
        });
        let cable = lead
            .as_ref()
            .map(|lead| (FuseCheck::Cable, Guarded::Cable(lead.cable())));
        let metal = metal.iter().flatten();
        let metal = metal.filter_map(|found| Some((found.judged.name, found.guarded?)));
        let mut guarded: Vec<_, 3> = Vec::new();
        for one in cable.into_iter().chain(metal) {
            // One cable and two pieces of metal at most.
            let _ = guarded.push(one);
        }
        let circuit = FuseCircuit {
            pulses,
            guarded: &guarded,
            ..*circuit
        };
        fuse_window(self.part, &circuit).map(Some)
    }
}
