//! All verdicts on one fuse or one contactor in its circuit.

use heapless::Vec;

use super::clearing::ClearingCurve;
use super::coil::{CoilSupply, judge_coil};
use super::contactor::{
    Carrying, ContactorCheck, Movements, Opened, judge_break, judge_carry,
    judge_contactor_altitude, judge_contactor_voltage, judge_make, judge_movements,
    judge_withstand,
};
use super::coordination::judge_gap;
use super::fuse::{
    FuseCheck, judge_breaking, judge_continuous, judge_fuse_voltage, judge_least_fault,
    judge_overload_owner, judge_pulse, judge_time_constant,
};
use super::guarded::{Guard, Guarded, judge_guarded};
use super::window::FuseCircuit;
use crate::design::{Arrow, ContactorType, FuseType};
use crate::error::{Capacity, Error};
use crate::quantity::{Altitude, Current, CurrentSquaredTime, Resistance, Time, Voltage};
use crate::verdict::{Judged, Verdict};

/// Most checks of one fuse: nine, and one for each pulse and for each thing guarded.
pub const MAX_FUSE_CHECKS: usize = 32;

/// Judges a fuse in its circuit, in the order of [`FuseCheck`]: one entry for each pulse
/// and for each thing that it guards, in the order in which the circuit names them.
/// Selectivity needs a second fuse: [`super::judge_selectivity`].
///
/// # Errors
/// Those of the checks; [`Capacity::Limits`] for more than [`MAX_FUSE_CHECKS`].
pub fn judge_fuse(
    fuse: &FuseType,
    circuit: &FuseCircuit<'_>,
) -> Result<Vec<Judged<FuseCheck>, MAX_FUSE_CHECKS, u8>, Error> {
    let mut all = Vec::new();
    let mut add = |judged: Judged<FuseCheck>| {
        all.push(judged)
            .map_err(|_| Error::Capacity(Capacity::Limits))
    };
    add(judge_fuse_voltage(fuse, Some(circuit.voltage)))?;
    add(judge_time_constant(fuse, circuit.time_constant))?;
    add(judge_breaking(fuse, circuit.largest_fault))?;
    add(judge_continuous(fuse, &circuit.place, circuit.lasting)?)?;
    for &pulse in circuit.pulses {
        let (share, tolerance) = (circuit.pulse_share, circuit.tolerance);
        add(judge_pulse(fuse, &circuit.place, pulse, share, tolerance)?)?;
    }
    let (breaks, trip) = (circuit.contactor_breaks, circuit.trip);
    for judged in judge_gap(fuse, breaks, trip, circuit.tolerance)? {
        add(judged)?;
    }
    add(least_fault(fuse, circuit, circuit.smallest_fault)?)?;
    let (lasting, limit) = (circuit.conductor_lasting, circuit.controller_limit);
    add(judge_overload_owner(fuse, lasting, limit))?;
    for (name, guarded) in circuit.guarded {
        add(guards(fuse, circuit, *name, guarded)?.judged)?;
    }
    Ok(all)
}

/// Judges the smallest fault in a circuit.
pub(crate) fn least_fault(
    fuse: &FuseType,
    circuit: &FuseCircuit<'_>,
    smallest: Option<Current>,
) -> Result<Judged<FuseCheck>, Error> {
    if circuit.spared {
        return Ok(Judged {
            verdict: Verdict::NotApplicable,
            ..judge_least_fault(None, circuit.disconnection)
        });
    }
    let curve = ClearingCurve::new(fuse, circuit.voltage, circuit.tolerance)?;
    let clearing = smallest.map(|smallest| curve.at(smallest));
    Ok(judge_least_fault(clearing, circuit.disconnection))
}

/// Judges one thing that a fuse guards in a circuit.
///
/// The fuse has to clear the overloads of a cable from [`OVERLOAD_FACTOR`] times its lasting
/// current on. Where the controller keeps a limit within that lasting current and trips, they
/// are its own up to what its contactor breaks, if that is more and the cable stands it until
/// the trip has opened it. Metal sees the faults only.
pub(crate) fn guards(
    fuse: &FuseType,
    circuit: &FuseCircuit<'_>,
    name: FuseCheck,
    guarded: &Guarded<'_>,
) -> Result<Guard, Error> {
    let curve = ClearingCurve::new(fuse, circuit.voltage, circuit.tolerance)?;
    let keeps_within = matches!(
        (circuit.controller_limit, circuit.conductor_lasting),
        (Some(limit), Some(lasting)) if limit <= lasting
    );
    let smallest = match (guarded, circuit.trip) {
        (Guarded::Cable(_), Some(trip)) if keeps_within => {
            let overload = guarded.overload().unwrap_or(0.0);
            let breaks = circuit.contactor_breaks;
            breaks.filter(|breaks| {
                breaks.as_amperes() > overload && stands_until(guarded, *breaks, trip.time)
            })
        }
        (Guarded::Cable(_), _) => None,
        (Guarded::Metal { .. }, _) => circuit.smallest_fault,
    };
    judge_guarded(name, &curve, guarded, smallest, circuit.largest_fault)
}

/// Whether something that is guarded stands a current for a time. What cannot be computed, as
/// of a time beyond all bounds, it does not.
fn stands_until(guarded: &Guarded<'_>, current: Current, time: Time) -> bool {
    let amperes = current.as_amperes();
    let through = CurrentSquaredTime::from_a2s(amperes * amperes * time.as_seconds());
    let used = through.and_then(|through| guarded.used(current, time, through));
    used.is_ok_and(|used| used.share <= 1.0)
}

/// What a contactor has to stand.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ContactorCircuit {
    /// Highest voltage.
    pub voltage: Option<Voltage>,
    /// Highest altitude.
    pub altitude: Option<Altitude>,
    /// What it carries, and where.
    pub carrying: Carrying,
    /// Voltage left across it when it closes.
    pub residual: Option<Voltage>,
    /// Lowest resistance of the loop that it closes.
    pub loop_resistance: Option<Resistance>,
    /// How its arrow points.
    pub arrow: Option<Arrow>,
    /// The largest currents that it may be opened on.
    pub opened: Opened,
    /// Peak of the worst fault while it is closed.
    pub fault_peak: Option<Current>,
    /// I2t of the worst fault until the fuse has broken it.
    pub fault_i2t: Option<CurrentSquaredTime>,
    /// How often it moves.
    pub movements: Movements,
    /// Supply of its coil.
    pub supply: CoilSupply,
}

/// Judges a contactor in its circuit, in the order of [`ContactorCheck`], without
/// [`ContactorCheck::NobodyBreaks`], which needs its fuse: [`super::closed_band`].
///
/// # Errors
/// Those of [`judge_coil`].
pub fn judge_contactor(
    part: &ContactorType,
    circuit: &ContactorCircuit,
) -> Result<[Judged<ContactorCheck>; 14], Error> {
    let [carry, carry_air, carry_section] = judge_carry(part, &circuit.carrying);
    let (arrow, voltage) = (circuit.arrow, circuit.voltage);
    let [along, against] = judge_break(part, arrow, voltage, &circuit.opened);
    let [peak, i2t] = judge_withstand(part, circuit.fault_peak, circuit.fault_i2t);
    let [closings, load_openings] = judge_movements(part, circuit.movements);
    let [pull_in, hold] = judge_coil(&part.coil, &circuit.supply)?;
    Ok([
        judge_contactor_voltage(part, voltage),
        judge_contactor_altitude(part, circuit.altitude),
        carry,
        carry_air,
        carry_section,
        judge_make(part, circuit.residual, circuit.loop_resistance),
        along,
        against,
        peak,
        i2t,
        closings,
        load_openings,
        pull_in,
        hold,
    ])
}
