//! One precharge circuit at its worst corners, judged.

use super::charging::{ChargingCircuit, Reached, Settled, StandingLoad};
use super::rating::{Lock, ResistorRating, Stands, Tries};
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Capacitance, Current, Energy, Power, Resistance, Share, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// Tolerance of link capacitors where nobody states it (own choice).
pub const CAPACITANCE_TOLERANCE: Share = constant!(Share::from_fraction(0.2));

/// Tolerance of resistors where nobody states it (own choice).
pub const RESISTOR_TOLERANCE: Share = constant!(Share::from_fraction(0.05));

/// Share of the pack voltage at which the contactor closes where nobody states a
/// threshold; common practice, no source.
pub const THRESHOLD_SHARE: Share = constant!(Share::from_fraction(0.95));

/// From a time-out to an open relay where nobody states it (own choice).
pub const REACTION: Time = constant!(Time::from_seconds(0.1));

/// Tries in a row where nobody states them; common practice, no source.
pub const TRIES: u8 = 3;

/// When the contactor may close.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_enums)] // a share, or volts
pub enum Threshold {
    /// The link has reached this share of the pack voltage.
    Share(Share),
    /// So many volts are left between pack and link.
    Left(Voltage),
}

impl Threshold {
    /// Voltage that is left across the contactor when it closes.
    ///
    /// # Errors
    /// [`Inconsistency::ThresholdBeyondPack`] where nothing is left, or all of it.
    pub fn left(self, source: Voltage) -> Result<Voltage, Error> {
        let volts = source.as_volts();
        let left = match self {
            Self::Share(share) => volts * (1.0 - share.as_fraction()),
            Self::Left(left) => left.as_volts(),
        };
        if left > 0.0 && left < volts {
            Voltage::from_volts(left)
        } else {
            Err(Error::Inconsistent(Inconsistency::ThresholdBeyondPack))
        }
    }

    /// Voltage of the link at which the contactor closes.
    ///
    /// # Errors
    /// As [`Self::left`].
    pub fn link(self, source: Voltage) -> Result<Voltage, Error> {
        Voltage::from_volts(source.as_volts() - self.left(source)?.as_volts())
    }
}

/// A precharge circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct PrechargeInput<'a> {
    /// Highest voltage of the pack.
    pub highest: Voltage,
    /// Lowest voltage of the pack.
    pub lowest: Voltage,
    /// All capacitors between the poles.
    pub capacitance: Capacitance,
    /// Tolerance of the capacitors.
    pub capacitance_tolerance: Share,
    /// Resistor.
    pub resistance: Resistance,
    /// Tolerance of the resistor.
    pub resistance_tolerance: Share,
    /// Voltage of the link when it begins.
    pub start: Voltage,
    /// What draws from the link meanwhile.
    pub loads: &'a [StandingLoad],
    /// When the contactor closes.
    pub threshold: Threshold,
    /// After this time the controller gives up.
    pub time_out: Option<Time>,
    /// From there until the relay is really open.
    pub reaction: Time,
    /// Loop that the contactor closes, without the resistor.
    pub loop_resistance: Option<Resistance>,
    /// Largest current that the contactor may close on.
    pub make: Option<Current>,
    /// Largest current of the precharge relay, its fuse and its wires.
    pub peak_current: Option<Current>,
    /// Ratings of the resistor.
    pub rating: ResistorRating,
    /// Whether a thermal cut-out opens its circuit without software.
    pub cut_out: bool,
    /// Tries in a row.
    pub tries: Tries,
}

/// A check of a precharge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum PrechargeCheck {
    /// Voltage where the link settles against that of the threshold, in V.
    Settles,
    /// Time to the threshold against the time-out, in s.
    Time,
    /// First current against what relay and fuse may carry, in A.
    PeakCurrent,
    /// First power against the peak power of the resistor, in W.
    PeakPower,
    /// Energy of one try against one pulse, in J.
    TryEnergy,
    /// What is stored after the last try in a row against one pulse, in J.
    SeriesEnergy,
    /// Time-out and reaction against what the resistor stands with the link shorted, in s;
    /// not applicable with a thermal cut-out.
    Stuck,
    /// Current on closing against what the contactor may make, in A.
    Inrush,
}

/// What a precharge does at its worst.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Precharge {
    /// Resistance times capacitance, as nominal.
    pub time_constant: Time,
    /// Where the link settles, at the end of the pack voltage where it is worse.
    pub settled: Settled,
    /// Pack voltage that this belongs to.
    pub settled_at: Voltage,
    /// Voltage that it has to reach there.
    pub needed: Voltage,
    /// Time to the threshold, the longest of all corners.
    pub reached: Reached,
    /// First current.
    pub peak_current: Current,
    /// First power in the resistor.
    pub peak_power: Power,
    /// Energy of one try in the resistor, the most of all corners: until the time-out,
    /// or until the threshold where no time-out is stated. Absent where that never comes.
    pub try_energy: Option<Energy>,
    /// Most that is stored in the resistor at the end of the last try.
    pub series_energy: Option<Energy>,
    /// How long to wait before a whole series may begin again.
    pub lock: Lock,
    /// Power in the resistor with the link shorted.
    pub shorted_power: Power,
    /// How long the resistor stands that.
    pub stands: Stands,
    /// Most between pack and link when the contactor closes, over both ends of the pack
    /// voltage: what the threshold leaves, or by how much the link began above the pack.
    pub left: Voltage,
    /// Current on closing; absent without a loop resistance.
    pub inrush: Option<Current>,
    /// Energy that closing moves at once.
    pub closing_energy: Energy,
    /// The verdicts.
    pub checks: [Judged<PrechargeCheck>; 8],
}

impl<'a> PrechargeInput<'a> {
    /// The circuit at one corner of its tolerances.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where a tolerance leads beyond the bounds.
    pub fn circuit(&self, source: Voltage, worst: bool) -> Result<ChargingCircuit<'a>, Error> {
        let sign = if worst { 1.0 } else { -1.0 };
        Ok(ChargingCircuit {
            source,
            resistance: self.resistance_at(sign)?,
            capacitance: self.largest_capacitance()?,
            start: self.start,
            loads: self.loads,
        })
    }

    fn resistance_at(&self, sign: f32) -> Result<Resistance, Error> {
        let factor = 1.0 + sign * self.resistance_tolerance.as_fraction();
        let ohms = self.resistance.as_ohms() * factor;
        Resistance::from_ohms(Bounded::LinkResistance.check(ohms)?)
    }

    /// By how many volts the link begins above the lowest pack voltage: it then feeds the
    /// pack, and the threshold lets the contactor close at once.
    fn above_pack(&self) -> f32 {
        (self.start.as_volts() - self.lowest.as_volts()).max(0.0)
    }

    /// Most across the resistor at the beginning, whichever way.
    pub(super) fn first_across(&self) -> f32 {
        (self.highest.as_volts() - self.start.as_volts()).max(self.above_pack())
    }

    fn largest_capacitance(&self) -> Result<Capacitance, Error> {
        let factor = 1.0 + self.capacitance_tolerance.as_fraction();
        Capacitance::from_farads(self.capacitance.as_farads() * factor)
    }

    pub(super) fn checked_voltages(&self) -> Result<[Voltage; 2], Error> {
        if self.lowest.as_volts() > self.highest.as_volts() {
            return Err(Error::Inconsistent(Inconsistency::LowestAboveHighest));
        }
        Ok([self.highest, self.lowest])
    }

    /// Longest time to the threshold over both ends of the pack voltage.
    pub(super) fn longest(&self) -> Result<Reached, Error> {
        let mut longest: Option<Reached> = None;
        for source in self.checked_voltages()? {
            let circuit = self.circuit(source, true)?;
            let reached = circuit.reaches(self.threshold.link(source)?)?;
            longest = Some(match (longest, reached) {
                (Some(Reached::Never(settled)), _) => Reached::Never(settled),
                (Some(Reached::After { time, energy }), Reached::After { time: other, .. })
                    if time >= other =>
                {
                    Reached::After { time, energy }
                }
                (_, reached) => reached,
            });
        }
        longest.ok_or(Error::Inconsistent(Inconsistency::EmptyRoute))
    }

    /// Where it settles at the end of the pack voltage that leaves less room, with that
    /// voltage and the one it has to reach.
    fn settles(&self) -> Result<(Settled, Voltage, Voltage), Error> {
        let mut worst: Option<(Settled, Voltage, Voltage, f32)> = None;
        for source in self.checked_voltages()? {
            let settled = self.circuit(source, true)?.settles()?;
            let needed = self.threshold.link(source)?;
            let room = (settled.voltage.as_volts() - needed.as_volts()) / source.as_volts();
            if worst.is_none_or(|(.., least)| room < least) {
                worst = Some((settled, source, needed, room));
            }
        }
        let (settled, source, needed, _) =
            worst.ok_or(Error::Inconsistent(Inconsistency::EmptyRoute))?;
        Ok((settled, source, needed))
    }

    /// Energy of one try, the most over both ends of the resistance; of the pack voltage
    /// too where the link begins above the lowest.
    pub(super) fn try_energy(&self) -> Result<Option<Energy>, Error> {
        let lowest = (self.above_pack() > 0.0).then_some(self.lowest);
        let mut most = None;
        for source in [Some(self.highest), lowest].into_iter().flatten() {
            for worst in [true, false] {
                let circuit = self.circuit(source, worst)?;
                let energy = match self.time_out {
                    Some(time) => {
                        let whole = time.as_seconds() + self.reaction.as_seconds();
                        Some(circuit.after(Time::from_seconds(whole)?)?.energy)
                    }
                    None => match circuit.reaches(self.threshold.link(source)?)? {
                        Reached::After { energy, .. } => Some(energy),
                        Reached::Never(_) => return Ok(None),
                    },
                };
                if most.is_none() || energy > most {
                    most = energy;
                }
            }
        }
        Ok(most)
    }

    /// Most between pack and link when the contactor closes.
    fn left_on_closing(&self) -> Result<Voltage, Error> {
        let left = self.threshold.left(self.highest)?.as_volts();
        Voltage::from_volts(left.max(self.above_pack()))
    }

    /// From the beginning of a try until its relay is open, where it fails.
    pub(super) fn closed_time(&self) -> Option<f32> {
        self.time_out
            .map(|time| time.as_seconds() + self.reaction.as_seconds())
    }
}

impl Precharge {
    /// Longest time-out at which a shorted link or a stuck relay is stood, with that
    /// reaction after it; absent where nothing limits it or nobody can say.
    pub fn longest_time_out(&self, reaction: Time) -> Option<Time> {
        let Stands::For(time) = self.stands else {
            return None;
        };
        Time::from_seconds((time.as_seconds() - reaction.as_seconds()).max(0.0)).ok()
    }
}

/// Computes and judges a precharge.
///
/// Time and settling: highest resistance and capacitance, both ends of the pack voltage.
/// Peaks, a shorted link: highest voltage, lowest resistance. Energy: highest voltage and
/// capacitance, both ends of the resistance. A link that begins above the lowest pack voltage
/// is judged there too: first current, energy, current on closing. A check without its limit
/// stays open.
///
/// # Errors
/// As [`ChargingCircuit::settles`]; [`Error::Inconsistent`] for a lowest voltage above
/// the highest and a threshold that leaves nothing or all.
///
/// Source: circuit; contacts, relay and wires of the precharge path count as resistor.
pub fn precharge(input: &PrechargeInput<'_>) -> Result<Precharge, Error> {
    let (settled, settled_at, needed) = input.settles()?;
    let reached = input.longest()?;
    let lowest_ohms = input.resistance_at(-1.0)?.as_ohms();
    let volts = input.highest.as_volts();
    let across = input.first_across();
    let peak_current = Current::from_amperes(across / lowest_ohms)?;
    let peak_power = Power::from_watts(across * across / lowest_ohms)?;
    let shorted_power = Power::from_watts(volts * volts / lowest_ohms)?;
    let try_energy = input.try_energy()?;
    let rating = &input.rating;
    let series_energy = try_energy
        .map(|each| rating.stored_by_tries(each, input.tries))
        .transpose()?;
    let lock = match try_energy {
        Some(each) => rating.lock(each, input.tries)?,
        None => Lock::NotKnown,
    };
    let stands = rating.stands(shorted_power)?;
    let left = input.left_on_closing()?;
    let inrush = match input.loop_resistance {
        Some(ohms) if ohms.as_ohms() > 0.0 => Some((left / ohms)?),
        _ => None,
    };
    let farads = input.largest_capacitance()?.as_farads();
    let closing_energy = Energy::from_joules(0.5 * farads * left.as_volts() * left.as_volts())?;
    let mut found = Precharge {
        time_constant: Time::from_seconds(
            input.resistance.as_ohms() * input.capacitance.as_farads(),
        )?,
        settled,
        settled_at,
        needed,
        reached,
        peak_current,
        peak_power,
        try_energy,
        series_energy,
        lock,
        shorted_power,
        stands,
        left,
        inrush,
        closing_energy,
        checks: [Judged::open(
            PrechargeCheck::Settles,
            None,
            Side::AtLeast,
            None,
            SourceId::CapacitorCircuit,
        ); 8],
    };
    found.checks = checks(input, &found);
    Ok(found)
}

fn checks(input: &PrechargeInput<'_>, found: &Precharge) -> [Judged<PrechargeCheck>; 8] {
    use PrechargeCheck as Check;
    let circuit = SourceId::CapacitorCircuit;
    let most = |name, value, limit, source| Judged::known(name, value, Side::AtMost, limit, source);
    let rating = &input.rating;
    let pulse = rating.pulse.map(Energy::as_joules);
    // Settling exactly at the threshold takes for ever.
    let settled_v = found.settled.voltage.as_volts();
    let mut settles = Judged::known(
        Check::Settles,
        Some(settled_v),
        Side::AtLeast,
        Some(found.needed.as_volts()),
        circuit,
    );
    let time_out = input.time_out.map(Time::as_seconds);
    let time = match found.reached {
        Reached::After { time, .. } => {
            most(Check::Time, Some(time.as_seconds()), time_out, circuit)
        }
        Reached::Never(_) => {
            settles.verdict = crate::verdict::Verdict::Fails;
            Judged::failed_without_value(Check::Time, Side::AtMost, time_out, circuit)
        }
    };
    let make = input.make.map(Current::as_amperes);
    let inrush = match (found.inrush, input.loop_resistance) {
        // No resistance at all in the loop: nothing limits the current.
        (None, Some(_)) => {
            Judged::failed_without_value(Check::Inrush, Side::AtMost, make, SourceId::OhmsLaw)
        }
        (inrush, _) => most(
            Check::Inrush,
            inrush.map(Current::as_amperes),
            make,
            SourceId::OhmsLaw,
        ),
    };
    let series = series_check(rating, found.series_energy, found.try_energy, pulse);
    [
        settles,
        time,
        most(
            Check::PeakCurrent,
            Some(found.peak_current.as_amperes()),
            input.peak_current.map(Current::as_amperes),
            SourceId::OhmsLaw,
        ),
        most(
            Check::PeakPower,
            Some(found.peak_power.as_watts()),
            rating.peak_power.map(Power::as_watts),
            SourceId::OhmsLaw,
        ),
        most(
            Check::TryEnergy,
            found.try_energy.map(Energy::as_joules),
            pulse,
            circuit,
        ),
        series,
        stuck_check(input, found.stands),
        inrush,
    ]
}

/// Without a known cooling the sum of all tries is an upper bound: it can hold, but a
/// sum above the limit says nothing unless one try is too much already.
fn series_check(
    rating: &ResistorRating,
    series: Option<Energy>,
    each: Option<Energy>,
    pulse: Option<f32>,
) -> Judged<PrechargeCheck> {
    let (name, source) = (PrechargeCheck::SeriesEnergy, SourceId::ResistorHeat);
    let value = series.map(Energy::as_joules);
    let judged = Judged::known(name, value, Side::AtMost, pulse, source);
    let one_fits = match (each.map(Energy::as_joules), pulse) {
        (Some(each), Some(pulse)) => each <= pulse,
        _ => true,
    };
    if judged.verdict == crate::verdict::Verdict::Fails && rating.cooling().is_none() && one_fits {
        return Judged::open(name, value, Side::AtMost, pulse, source);
    }
    judged
}

/// A thermal cut-out takes the place of the computation.
fn stuck_check(input: &PrechargeInput<'_>, stands: Stands) -> Judged<PrechargeCheck> {
    let closed = input.closed_time();
    let (name, side, source) = (PrechargeCheck::Stuck, Side::AtMost, SourceId::ResistorHeat);
    if input.cut_out {
        let mut judged = Judged::open(name, None, side, None, source);
        judged.verdict = crate::verdict::Verdict::NotApplicable;
        return judged;
    }
    match stands {
        Stands::For(time) => Judged::known(name, closed, side, Some(time.as_seconds()), source),
        Stands::NotKnown => Judged::open(name, closed, side, None, source),
        Stands::Always => {
            let mut judged = Judged::open(name, closed, side, None, source);
            judged.verdict = crate::verdict::Verdict::Holds;
            judged
        }
    }
}
