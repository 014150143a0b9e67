//! How a link loses its voltage: bleed, active discharge, the label.

use super::rating::{ResistorRating, Stands};
use crate::bounds::Bounded;
use crate::error::Error;
use crate::insulation::Domain;
use crate::quantity::{Capacitance, Energy, Power, Resistance, Share, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Longest time to a safe voltage where opening takes a tool, in s (ISO 6469-3, in part
/// from memory; the same 5 s in rules for student cars).
pub const OPENED_WITH_TOOL_S: f32 = 5.0;

/// The same where a connector parts without a tool, in s.
pub const OPENED_WITHOUT_TOOL_S: f32 = 1.0;

/// Waiting times that a label prints, in s.
///
/// A choice of this project: times that people can count or read off a watch.
pub const LABEL_TIMES_S: [f32; 14] = [
    5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 120.0, 180.0, 300.0, 600.0, 900.0, 1200.0, 1800.0,
];

/// A resistor across the link for its whole life.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Bleed {
    /// Resistance.
    pub resistance: Resistance,
    /// Its tolerance.
    pub tolerance: Share,
    /// Lasting power of the resistor at its place.
    pub power: Option<Power>,
}

/// A resistor that a switch puts across the link.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ActiveDischarge {
    /// Resistance.
    pub resistance: Resistance,
    /// Its tolerance.
    pub tolerance: Share,
    /// Ratings of the resistor.
    pub rating: ResistorRating,
    /// After this time the switch opens again, whatever the voltage is.
    pub cut_off: Option<Time>,
}

/// A link and what discharges it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct DischargeInput {
    /// Highest voltage of the pack.
    pub highest: Voltage,
    /// Voltage that may be touched; see [`touchable`].
    pub safe: Voltage,
    /// All capacitors between the poles.
    pub capacitance: Capacitance,
    /// Capacitors from the positive pole to chassis.
    pub y_positive: Capacitance,
    /// Capacitors from the negative pole to chassis.
    pub y_negative: Capacitance,
    /// Tolerance of all capacitors.
    pub capacitance_tolerance: Share,
    /// The bleed.
    pub bleed: Option<Bleed>,
    /// The active discharge.
    pub active: Option<ActiveDischarge>,
    /// Longest time that the discharge may take; [`OPENED_WITH_TOOL_S`] and
    /// [`OPENED_WITHOUT_TOOL_S`] are what rules ask for.
    pub wanted: Option<Time>,
    /// Waiting time that the label prints.
    pub label: Option<Time>,
}

/// A check of a discharge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum DischargeCheck {
    /// Time to the safe voltage against the wanted one, in s: the active discharge where
    /// there is one, else the bleed.
    Time,
    /// Time by the bleed alone against the label, in s.
    Label,
    /// Power of the bleed at the highest voltage against its lasting power, in W.
    BleedPower,
    /// Energy of one active discharge against the pulse of its resistor, in J.
    ActiveEnergy,
    /// How long the active discharge stays on against what it stands on the pack with a
    /// welded contactor, in s.
    Welded,
}

/// How a link loses its voltage, at its worst.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Discharge {
    /// Capacitance that was reckoned with: largest, with the larger of both capacitors to
    /// chassis beside it, as when the other pole lies at chassis.
    pub capacitance: Capacitance,
    /// Time by the bleed alone; absent without one.
    pub passive: Option<Time>,
    /// The waiting time to print; absent without a bleed.
    pub label: Option<Time>,
    /// Power of the bleed at the highest voltage.
    pub bleed_power: Option<Power>,
    /// Time with the active discharge and the bleed, of the bleed alone from its cut-off
    /// on; absent without an active discharge, and where its cut-off ends it before the
    /// link is safe and nothing bleeds the rest.
    pub active: Option<Time>,
    /// Time that the active discharge has to stay on for that; absent without one.
    pub uncut: Option<Time>,
    /// Voltage at which the cut-off leaves the link to the bleed; absent where it does not.
    pub left: Option<Voltage>,
    /// Energy in the link at the highest voltage.
    pub energy: Energy,
    /// Power of the active discharge held on the pack.
    pub welded_power: Option<Power>,
    /// How long its resistor stands that.
    pub stands: Option<Stands>,
    /// The verdicts.
    pub checks: [Judged<DischargeCheck>; 5],
}

/// Voltage that may be touched in a domain, with its source.
pub fn touchable(domain: Domain) -> Result<(Voltage, SourceId), Error> {
    let limits = domain.limits();
    Ok((Voltage::from_volts(limits.touchable_dc_v)?, limits.source))
}

/// Time in which a capacitor falls from one voltage to another: `t = R C ln(U/Us)`;
/// zero where it is there already.
///
/// # Errors
/// [`Error::OutOfRange`] outside [`Bounded::LinkResistance`] and
/// [`Bounded::LinkCapacitance`], for voltages not above zero, and beyond the bounds of a
/// time.
pub fn discharge_time(
    resistance: Resistance,
    capacitance: Capacitance,
    from: Voltage,
    to: Voltage,
) -> Result<Time, Error> {
    let tau = tau(resistance, capacitance)?;
    let (from, to) = (above_zero(from)?, above_zero(to)?);
    Time::from_seconds(tau * libm::logf(from / to).max(0.0))
}

/// Voltage of a capacitor after a time: `U exp(-t/(R C))`.
///
/// # Errors
/// [`Error::OutOfRange`] outside [`Bounded::LinkResistance`] and
/// [`Bounded::LinkCapacitance`].
pub fn discharged_after(
    resistance: Resistance,
    capacitance: Capacitance,
    from: Voltage,
    time: Time,
) -> Result<Voltage, Error> {
    let tau = tau(resistance, capacitance)?;
    Voltage::from_volts(from.as_volts() * libm::expf(-time.as_seconds() / tau))
}

/// The next time that a label prints, never earlier; whole ten minutes above half an
/// hour.
///
/// # Errors
/// [`Error::OutOfRange`] beyond the bounds of a time.
pub fn label_time(time: Time) -> Result<Time, Error> {
    let seconds = time.as_seconds();
    for printed in LABEL_TIMES_S {
        if seconds <= printed {
            return Time::from_seconds(printed);
        }
    }
    Time::from_seconds(libm::ceilf(seconds / 600.0) * 600.0)
}

/// Which bleeds reach the safe voltage in a time, and which stand the highest voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct BleedWindow {
    /// Largest nominal resistance that is fast enough; absent where the link is safe from
    /// the beginning.
    pub largest: Option<Resistance>,
    /// Power of that one at the highest voltage and its lowest resistance.
    pub power_of_largest: Option<Power>,
    /// Smallest nominal resistance that the lasting power allows; absent without one.
    pub smallest: Option<Resistance>,
}

/// The resistors that discharge a link in a time.
///
/// Computes: `R = t/(C ln(U/Us)) / (1 + tolerance)`, and `U2/P / (1 - tolerance)`.
///
/// # Errors
/// As [`discharge`].
pub fn bleed_window(
    input: &DischargeInput,
    tolerance: Share,
    power: Option<Power>,
    wanted: Time,
) -> Result<BleedWindow, Error> {
    let volts = Bounded::SystemVoltage.check(input.highest.as_volts())?;
    let tolerance = tolerance.as_fraction();
    let farads = input.largest_capacitance()?.as_farads();
    let log = libm::logf(volts / above_zero(input.safe)?);
    let largest = if log > 0.0 {
        let ohms = wanted.as_seconds() / (farads * log) / (1.0 + tolerance);
        Some(Resistance::from_ohms(Bounded::LinkResistance.check(ohms)?)?)
    } else {
        None
    };
    let lowest = |ohms: f32| ohms * (1.0 - tolerance);
    Ok(BleedWindow {
        largest,
        power_of_largest: largest
            .map(|ohms| Power::from_watts(volts * volts / lowest(ohms.as_ohms())))
            .transpose()?,
        smallest: power
            .map(|power| Resistance::from_ohms(volts * volts / lowest(power.as_watts())))
            .transpose()?,
    })
}

/// Computes and judges a discharge.
///
/// Time: highest voltage, resistance and capacitance; an active discharge that is cut off
/// before the link is safe leaves the rest to the bleed. Power: highest voltage, lowest
/// resistance. What loads draw is not counted on. A check without its limit stays open; a
/// link without a bleed has no waiting time, and its label stays open.
///
/// # Errors
/// [`Error::OutOfRange`] outside [`Bounded::SystemVoltage`], [`Bounded::LinkResistance`],
/// [`Bounded::LinkCapacitance`], and for a safe voltage not above zero.
///
/// Source: circuit; how long rules allow: ISO 6469-3, in part from memory.
pub fn discharge(input: &DischargeInput) -> Result<Discharge, Error> {
    let volts = Bounded::SystemVoltage.check(input.highest.as_volts())?;
    let capacitance = input.largest_capacitance()?;
    let energy = Energy::from_joules(0.5 * capacitance.as_farads() * volts * volts)?;
    let time = |ohms: f32| -> Result<Time, Error> {
        let resistance = Resistance::from_ohms(ohms)?;
        discharge_time(resistance, capacitance, input.highest, input.safe)
    };
    let highest =
        |ohms: Resistance, tolerance: Share| ohms.as_ohms() * (1.0 + tolerance.as_fraction());
    let power = |ohms: Resistance, tolerance: Share| -> Result<Power, Error> {
        let lowest = ohms.as_ohms() * (1.0 - tolerance.as_fraction());
        Power::from_watts(volts * volts / Bounded::LinkResistance.check(lowest)?)
    };
    let bleed_ohms = input
        .bleed
        .map(|bleed| highest(bleed.resistance, bleed.tolerance));
    let passive = bleed_ohms.map(time).transpose()?;
    // Both in parallel.
    let both = input.active.map(|active| {
        let own = highest(active.resistance, active.tolerance);
        bleed_ohms.map_or(own, |bleed| own * bleed / (own + bleed))
    });
    let uncut = both.map(time).transpose()?;
    let (mut active, mut left) = (uncut, None);
    let cut_off = input.active.and_then(|active| active.cut_off);
    if let (Some(both), Some(needed), Some(cut_off)) = (both, uncut, cut_off)
        && cut_off < needed
    {
        let at_cut_off = discharged_after(
            Resistance::from_ohms(both)?,
            capacitance,
            input.highest,
            cut_off,
        )?;
        left = Some(at_cut_off);
        active = bleed_ohms
            .map(|bleed| -> Result<Time, Error> {
                let bleed = Resistance::from_ohms(bleed)?;
                let rest = discharge_time(bleed, capacitance, at_cut_off, input.safe)?;
                Time::from_seconds(cut_off.as_seconds() + rest.as_seconds())
            })
            .transpose()?;
    }
    let welded_power = input
        .active
        .map(|active| power(active.resistance, active.tolerance))
        .transpose()?;
    let stands = match (input.active, welded_power) {
        (Some(active), Some(power)) => Some(active.rating.stands(power)?),
        _ => None,
    };
    let bleed_power = input
        .bleed
        .map(|bleed| power(bleed.resistance, bleed.tolerance))
        .transpose()?;
    let mut found = Discharge {
        capacitance,
        passive,
        label: passive.map(label_time).transpose()?,
        bleed_power,
        active,
        uncut,
        left,
        energy,
        welded_power,
        stands,
        checks: [not_applicable(DischargeCheck::Time, SourceId::CapacitorCircuit); 5],
    };
    found.checks = checks(input, &found);
    Ok(found)
}

fn checks(input: &DischargeInput, found: &Discharge) -> [Judged<DischargeCheck>; 5] {
    use DischargeCheck as Check;
    let seconds = |time: Option<Time>| time.map(Time::as_seconds);
    let most = |name, value, limit, source| Judged::known(name, value, Side::AtMost, limit, source);
    let circuit = SourceId::CapacitorCircuit;
    let bleed_power = match input.bleed {
        None => not_applicable(Check::BleedPower, SourceId::OhmsLaw),
        Some(bleed) => most(
            Check::BleedPower,
            found.bleed_power.map(Power::as_watts),
            bleed.power.map(Power::as_watts),
            SourceId::OhmsLaw,
        ),
    };
    let (energy, welded) = match input.active {
        None => (
            not_applicable(Check::ActiveEnergy, circuit),
            not_applicable(Check::Welded, SourceId::ResistorHeat),
        ),
        Some(active) => (
            most(
                Check::ActiveEnergy,
                Some(found.energy.as_joules()),
                active.rating.pulse.map(Energy::as_joules),
                circuit,
            ),
            welded(active.cut_off, found.stands),
        ),
    };
    let (wanted, rules) = (seconds(input.wanted), SourceId::Iso6469Discharge);
    let time = match (found.active, found.left) {
        // Cut off, and nothing takes the rest.
        (None, Some(_)) => Judged::failed_without_value(Check::Time, Side::AtMost, wanted, rules),
        (active, _) => most(
            Check::Time,
            seconds(active.or(found.passive)),
            wanted,
            rules,
        ),
    };
    [
        time,
        most(
            Check::Label,
            seconds(found.passive),
            seconds(input.label),
            circuit,
        ),
        bleed_power,
        energy,
        welded,
    ]
}

/// A discharge that nothing cuts off has to stand the pack for ever.
fn welded(cut_off: Option<Time>, stands: Option<Stands>) -> Judged<DischargeCheck> {
    let (name, side, source) = (DischargeCheck::Welded, Side::AtMost, SourceId::ResistorHeat);
    let held = cut_off.map(Time::as_seconds);
    match stands {
        Some(Stands::For(time)) => Judged::known(name, held, side, Some(time.as_seconds()), source),
        Some(Stands::Always) => {
            let mut judged = Judged::open(name, held, side, None, source);
            judged.verdict = Verdict::Holds;
            judged
        }
        Some(Stands::NotKnown) | None => Judged::open(name, held, side, None, source),
    }
}

fn not_applicable(name: DischargeCheck, source: SourceId) -> Judged<DischargeCheck> {
    let mut judged = Judged::open(name, None, Side::AtMost, None, source);
    judged.verdict = Verdict::NotApplicable;
    judged
}

impl DischargeInput {
    /// The largest capacitance that has to lose its charge.
    fn largest_capacitance(&self) -> Result<Capacitance, Error> {
        let [positive, negative] = [self.y_positive, self.y_negative].map(Capacitance::as_farads);
        let all = self.capacitance.as_farads() + positive.max(negative);
        let largest = all * (1.0 + self.capacitance_tolerance.as_fraction());
        Capacitance::from_farads(Bounded::LinkCapacitance.check(largest)?)
    }
}

fn tau(resistance: Resistance, capacitance: Capacitance) -> Result<f32, Error> {
    Ok(Bounded::LinkResistance.check(resistance.as_ohms())?
        * Bounded::LinkCapacitance.check(capacitance.as_farads())?)
}

fn above_zero(voltage: Voltage) -> Result<f32, Error> {
    let volts = voltage.as_volts();
    if volts > 0.0 {
        return Ok(volts);
    }
    Err(Error::OutOfRange {
        what: Bounded::Voltage,
        value: volts,
    })
}
