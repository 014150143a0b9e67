//! What one contactor of a design does.

use heapless::Vec;

use super::burden::{FaultBurden, FaultBurdens};
use super::controller::{opened, opens_up_to};
use super::fuse::directions;
use super::lead::unless_guessed;
use super::{Checks, MAX_CHECKS, in_series, lasting};
use crate::design::{
    Conductor, Contactor, ContactorId, ContactorType, Design, Fuse, FuseId, Gap, Phase, Resistor,
    System, Thing,
};
use crate::link::RESISTOR_TOLERANCE;
use crate::protection::{
    CURVE_TOLERANCE, Carrying, ClearingCurve, ClosedBand, ContactorCheck, Opened, TakenOver,
    breaks, closed_band, judge_break, judge_carry, judge_contactor_altitude,
    judge_contactor_voltage, judge_takes_over, judge_withstand, smaller,
};
use crate::quantity::{Current, Voltage};
use crate::standard::SourceId;
use crate::study::unknown::{Known, Unknown, entry};
use crate::study::whole::Study;
use crate::verdict::{Judged, Side, Verdict};

/// What one contactor does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ContactorStudy {
    /// Lasting current: worst r.m.s. over [`super::FUSE_WINDOW`].
    pub lasting: Known<Current>,
    /// What the faults send through it.
    pub faults: Option<FaultBurden>,
    /// The fuse in series with it.
    pub fuse: Option<FuseId>,
    /// The currents on which it must not be opened; `None` where it breaks all of them or
    /// it is not known what it breaks.
    pub closed_band: Option<ClosedBand>,
    /// Every check.
    pub checks: Vec<Judged<ContactorCheck>, MAX_CHECKS, u8>,
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
/// in the first millisecond, see [`crate::fault::FaultStudy::course`].
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
    let lasting = lasting(design, &study.points, id.into());
    let lasting = lasting.map(|(_, current)| current);
    let faults = burdens.contactor(id);
    let burden = faults.unwrap_or_default();
    let mut checks = Checks::default();
    let rated = study.pack.rated_voltage().ok();
    checks.add(judge_contactor_voltage(part, rated));
    checks.add(judge_contactor_altitude(part, design.vehicle.altitude));
    let carrying = Carrying {
        lasting: lasting.ok(),
        air: design.air_in(design.box_of(contactor.enclosure, contactor.from)),
        section: section_at(design, contactor),
    };
    for judged in judge_carry(part, &carrying) {
        checks.add(judged);
    }
    let opened = opened(design, study, id).map_or(Opened::default(), |(opened, _)| opened);
    for judged in judge_break(part, contactor.arrow, highest, &opened) {
        checks.add(judged);
    }
    let reached = burden.largest.is_some() || !burden.all_end();
    let limited = limited_by_resistor(design, contactor, highest);
    let withstand = match limited.filter(|_| !reached && faults.is_some()) {
        Some(limited) => judge_limited(part, limited),
        None => withstands_faults(part, &burden).0,
    };
    for judged in withstand {
        checks.add(judged);
    }
    let fuse = fuse_with(design, study, id);
    let closed_band = match (fuse, highest, burden.largest) {
        (Some(fuse), Some(voltage), Some(largest)) => {
            let curve = curve_of(design, fuse, voltage)?;
            let breaks = breaks_of_fault(design, study, burdens, (id, fuse));
            curve
                .zip(part.coil.opening_time)
                .and_then(|(curve, opening)| closed_band(breaks, &curve, largest, opening))
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

/// Judges peak and joule integral of all faults through closed contacts; open, with the box
/// or terminal of the bond, where the joule integral fails or is not known only as long as a
/// bond that nobody knows counts as the worst one that is allowed.
pub(crate) fn withstands_faults(
    part: &ContactorType,
    burden: &FaultBurden,
) -> ([Judged<ContactorCheck>; 2], Option<Thing>) {
    let both = |burden: &FaultBurden| {
        let i2t = burden.i2t.filter(|_| burden.all_end());
        judge_withstand(part, burden.largest, i2t)
    };
    let [peak, _] = both(burden);
    let (i2t, guess) = unless_guessed(burden, |burden| {
        let [_, i2t] = both(burden);
        i2t
    });
    let stays = burden.stays_guess.filter(|_| burden.stays_known.is_none());
    ([peak, i2t], guess.or(stays))
}

/// The fuse in series with a contactor.
fn fuse_with(design: &Design, study: &Study, id: ContactorId) -> Option<FuseId> {
    let mut fuses = design.all::<Fuse>().map(|(fuse, _)| fuse);
    fuses.find(|fuse| in_series(design, &study.points, id.into(), (*fuse).into()))
}

/// The clearing curve of a fuse; `None` without a type.
fn curve_of(design: &Design, fuse: FuseId, highest: Voltage) -> Known<Option<ClearingCurve>> {
    let part = design.get(fuse).and_then(|fuse| design.get(fuse.part?));
    part.map(|part| ClearingCurve::new(part, highest, CURVE_TOLERANCE))
        .transpose()
        .map_err(Unknown::refused(fuse))
}

/// Up to which of the currents of faults a contactor is opened: what it breaks, or less
/// where the controller holds it closed above less. They flow through it as through the fuse
/// in series with it; of both directions the smaller where faults flow both ways.
fn breaks_of_fault(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    (id, fuse): (ContactorId, FuseId),
) -> Option<Current> {
    let contactor = design.get(id)?;
    let part = design.get(contactor.part?)?;
    let breaks = breaks(part, contactor.arrow, study.pack.highest_voltage.ok());
    let strings = design.strings(System::Traction);
    let breaks = opens_up_to(design, &study.points, &strings, id, breaks);
    let faults = (fuse, burdens.fuse(fuse));
    let flows = directions(design, &study.points, faults, id.into());
    match (breaks, flows) {
        ([along, _], [true, false]) => along,
        ([_, against], [false, true]) => against,
        ([along, against], _) => smaller(along, against),
    }
}

/// Judges whether the fuse in series takes over what a contactor does not break; with the
/// fuse. `None` where
/// no fuse is in series with it or no fault flows through it.
///
/// # Errors
/// What is missing: a type, the highest voltage, or the currents that tell what is in series.
pub(crate) fn takes_over(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: ContactorId,
) -> Known<Option<(FuseId, TakenOver)>> {
    for (phase, _) in design.all::<Phase>() {
        study.points.known_current(phase, id)?;
    }
    let Some(fuse) = fuse_with(design, study, id) else {
        return Ok(None);
    };
    let Some(largest) = burdens.contactor(id).and_then(|burden| burden.largest) else {
        return match burdens.doubt() {
            Some(unknown) => Err(unknown),
            None => Ok(None),
        };
    };
    let missing = Unknown::missing(fuse, Gap::FuseType);
    let curve = curve_of(design, fuse, study.pack.highest_voltage?)?.ok_or(missing)?;
    let breaks = breaks_of_fault(design, study, burdens, (id, fuse));
    Ok(Some((fuse, judge_takes_over(breaks, &curve, largest))))
}

/// The section that takes heat out of a contactor: the largest conductor on a terminal,
/// the smaller of both terminals and of what is stated for the bars inside of the box.
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
    [largest(contactor.to), contactor.section]
        .into_iter()
        .flatten()
        .fold(largest(contactor.from), |known, other| match known {
            Some(known) if known < other => Some(known),
            _ => Some(other),
        })
}

/// The largest current through a contactor that leads to nothing but a resistor: highest
/// voltage over the lowest resistance. `None` where it leads elsewhere or one of both is not
/// known.
fn limited_by_resistor(
    design: &Design,
    contactor: &Contactor,
    highest: Option<Voltage>,
) -> Option<Current> {
    let ends = [contactor.from, contactor.to];
    let mut resistors = design.all::<Resistor>();
    let (_, resistor) = resistors.find(|(_, resistor)| {
        let shared = [resistor.from, resistor.to];
        let mut shared = shared.iter().filter(|end| ends.contains(end));
        shared.any(|end| {
            let on_it = design.drawn();
            on_it
                .filter(|one| one.from == *end || one.to == *end)
                .count()
                == 2
        })
    })?;
    let part = design.get(resistor.part?)?;
    let tolerance = part.tolerance.unwrap_or(RESISTOR_TOLERANCE);
    let least = part.resistance?.as_ohms() * (1.0 - tolerance.as_fraction());
    Current::from_amperes(libm::fabsf(highest?.as_volts()) / least).ok()
}

/// A fault behind a resistor, through closed contacts: what they carry for ever they stand.
fn judge_limited(part: &ContactorType, limited: Current) -> [Judged<ContactorCheck>; 2] {
    let [peak, i2t] = judge_withstand(part, Some(limited), None);
    let carries = part.carry.map(Current::as_amperes);
    let Some(carries) = carries.filter(|carries| limited.as_amperes() <= *carries) else {
        return [peak, i2t];
    };
    let peak = match peak.limit {
        Some(limit) if limit >= carries => peak,
        _ => Judged::compare(
            peak.name,
            limited.as_amperes(),
            Side::AtMost,
            carries,
            SourceId::OhmsLaw,
        ),
    };
    [
        peak,
        Judged {
            verdict: Verdict::NotApplicable,
            ..i2t
        },
    ]
}
