//! From flags to questions that the core can answer, and from its errors to advice.

use orangeloom_core::bounds::Bounded;
use orangeloom_core::design::Draw;
use orangeloom_core::error::{Error, Inconsistency};
use orangeloom_core::insulation::Domain;
use orangeloom_core::link::{
    ActiveDischarge, Bleed, CAPACITANCE_TOLERANCE, DischargeInput, OPENED_WITH_TOOL_S,
    PrechargeInput, REACTION, RESISTOR_TOLERANCE, ResistorRating, StandingLoad, THRESHOLD_SHARE,
    TRIES, Threshold, Tries, touchable,
};
use orangeloom_core::quantity::{Capacitance, Resistance, Share, Time, Voltage};
use orangeloom_core::standard::SourceId;

use super::args::PrechargeArgs;
use crate::flags::{or_default, positive, usable};
use crate::quantity_text::Units;
use crate::working::n;

/// Everything that was asked, with the defaults put in.
pub(crate) struct Asked {
    pub(crate) highest: Voltage,
    pub(crate) lowest: Voltage,
    pub(crate) nominal: Option<Voltage>,
    pub(crate) capacitance: Capacitance,
    pub(crate) capacitance_tolerance: Share,
    pub(crate) resistor: Option<Resistance>,
    pub(crate) resistor_tolerance: Share,
    pub(crate) rating: ResistorRating,
    /// What draws meanwhile: the loads as given, and the bleed at its least, which lies
    /// across the link for ever.
    pub(crate) loads: Vec<StandingLoad>,
    /// The same on a day without tolerances.
    pub(crate) ordinary_loads: Vec<StandingLoad>,
    pub(crate) start: Voltage,
    pub(crate) threshold: Threshold,
    pub(crate) time_out: Option<Time>,
    pub(crate) reaction: Time,
    pub(crate) tries: Tries,
    /// The flags as they were given, for what needs no default.
    pub(crate) given: PrechargeArgs,
    pub(crate) domain: Domain,
    pub(crate) safe: Voltage,
    pub(crate) safe_source: SourceId,
    pub(crate) wanted: Option<Time>,
    pub(crate) y_capacitance: Capacitance,
    pub(crate) units: Units,
    /// Names of the inputs that nobody stated.
    pub(crate) defaults: Vec<&'static str>,
}

impl Asked {
    pub(crate) fn is_default(&self, input: &str) -> bool {
        self.defaults.contains(&input)
    }

    /// The question about one precharge resistor.
    pub(crate) fn input(&self, resistance: Resistance) -> PrechargeInput<'_> {
        PrechargeInput {
            highest: self.highest,
            lowest: self.lowest,
            capacitance: self.capacitance,
            capacitance_tolerance: self.capacitance_tolerance,
            resistance,
            resistance_tolerance: self.resistor_tolerance,
            start: self.start,
            loads: &self.loads,
            threshold: self.threshold,
            time_out: self.time_out,
            reaction: self.reaction,
            loop_resistance: self.given.loop_resistance,
            make: self.given.make,
            peak_current: self.given.peak_current,
            rating: self.rating,
            cut_out: self.given.cut_out,
            tries: self.tries,
        }
    }

    /// What draws although every load is kept off.
    pub(crate) fn never_off(&self) -> &[StandingLoad] {
        self.loads.get(self.given.load.len()..).unwrap_or_default()
    }

    /// The question about the discharge, where one was asked.
    pub(crate) fn discharge(&self) -> Option<DischargeInput> {
        let given = &self.given;
        let asked =
            given.bleed.is_some() || given.discharge.is_some() || given.discharge_time.is_some();
        if !asked {
            return None;
        }
        Some(DischargeInput {
            highest: self.highest,
            safe: self.safe,
            capacitance: self.capacitance,
            y_positive: self.y_capacitance,
            y_negative: self.y_capacitance,
            capacitance_tolerance: self.capacitance_tolerance,
            bleed: given.bleed.map(|resistance| Bleed {
                resistance,
                tolerance: self.resistor_tolerance,
                power: given.bleed_power,
            }),
            active: given.discharge.map(|resistance| ActiveDischarge {
                resistance,
                tolerance: self.resistor_tolerance,
                rating: ResistorRating {
                    pulse: given.discharge_energy,
                    power: given.discharge_power,
                    ..ResistorRating::default()
                },
                cut_off: given.discharge_cut_off,
            }),
            wanted: self.wanted,
            label: given.label,
        })
    }
}

impl PrechargeArgs {
    /// Puts defaults in, checks each flag, and notes what was a default.
    pub(crate) fn ask(&self) -> Result<Asked, String> {
        self.check_ranges()?;
        let mut defaults = Vec::new();
        let domain = or_default(self.domain, "domain", &mut defaults, Ok(Domain::Road))?;
        let (safe, safe_source) = usable(touchable(domain))?;
        let threshold = match (self.close_below, self.threshold) {
            (Some(left), _) => Threshold::Left(left),
            (None, share) => Threshold::Share(or_default(
                share.map(|share| share.0),
                "threshold",
                &mut defaults,
                Ok(THRESHOLD_SHARE),
            )?),
        };
        let wanted = match (self.discharge_time, self.discharge) {
            (Some(time), _) => Some(time),
            (None, Some(_)) => {
                defaults.push("discharge_time");
                Some(usable(Time::from_seconds(OPENED_WITH_TOOL_S))?)
            }
            (None, None) => None,
        };
        let tries = Tries {
            count: or_default(self.tries, "tries", &mut defaults, Ok(TRIES))?,
            pause: or_default(self.pause, "pause", &mut defaults, Time::from_seconds(0.0))?,
        };
        let share = |given: Option<crate::quantity_text::ShareOrFraction>| given.map(|one| one.0);
        let resistor_tolerance = or_default(
            share(self.resistor_tolerance),
            "resistor_tolerance",
            &mut defaults,
            Ok(RESISTOR_TOLERANCE),
        )?;
        let (mut loads, mut ordinary_loads) = (self.load.clone(), self.load.clone());
        if let Some(bleed) = self.bleed.map(Resistance::as_ohms) {
            let least = bleed * (1.0 - resistor_tolerance.as_fraction());
            loads.push(usable(always_across(least))?);
            ordinary_loads.push(usable(always_across(bleed))?);
        }
        Ok(Asked {
            highest: self.voltage,
            lowest: or_default(self.lowest, "lowest", &mut defaults, Ok(self.voltage))?,
            nominal: self.nominal,
            capacitance: self.capacitance,
            capacitance_tolerance: or_default(
                share(self.capacitance_tolerance),
                "capacitance_tolerance",
                &mut defaults,
                Ok(CAPACITANCE_TOLERANCE),
            )?,
            resistor: self.resistor,
            resistor_tolerance,
            rating: ResistorRating {
                pulse: self.pulse_energy,
                peak_power: self.pulse_power,
                power: self.resistor_power,
                cooling: self.cooling,
            },
            loads,
            ordinary_loads,
            start: or_default(self.start, "start", &mut defaults, Voltage::from_volts(0.0))?,
            threshold,
            time_out: self.time_out,
            reaction: or_default(self.reaction, "reaction", &mut defaults, Ok(REACTION))?,
            tries,
            given: self.clone(),
            domain,
            safe,
            safe_source,
            wanted,
            y_capacitance: or_default(
                self.y_capacitance,
                "y_capacitance",
                &mut defaults,
                Capacitance::from_farads(0.0),
            )?,
            units: self.units.into(),
            defaults,
        })
    }

    /// Amounts that make no sense below or at zero, flag by flag.
    fn check_signs(&self) -> Result<(), String> {
        for (flag, what, unit, value) in [
            (
                "--pulse-energy",
                "energy",
                "J",
                self.pulse_energy.map(f32::from),
            ),
            (
                "--pulse-power",
                "power",
                "W",
                self.pulse_power.map(f32::from),
            ),
            (
                "--resistor-power",
                "power",
                "W",
                self.resistor_power.map(f32::from),
            ),
            ("--cooling", "time", "s", self.cooling.map(f32::from)),
            (
                "--close-below",
                "voltage",
                "V",
                self.close_below.map(f32::from),
            ),
            ("--time-out", "time", "s", self.time_out.map(f32::from)),
            (
                "--peak-current",
                "current",
                "A",
                self.peak_current.map(f32::from),
            ),
            ("--make", "current", "A", self.make.map(f32::from)),
            (
                "--bleed-power",
                "power",
                "W",
                self.bleed_power.map(f32::from),
            ),
            (
                "--discharge-energy",
                "energy",
                "J",
                self.discharge_energy.map(f32::from),
            ),
            (
                "--discharge-power",
                "power",
                "W",
                self.discharge_power.map(f32::from),
            ),
            (
                "--discharge-cut-off",
                "time",
                "s",
                self.discharge_cut_off.map(f32::from),
            ),
            (
                "--discharge-time",
                "time",
                "s",
                self.discharge_time.map(f32::from),
            ),
            ("--label", "time", "s", self.label.map(f32::from)),
        ] {
            if let Some(value) = value {
                positive(flag, what, unit, value)?;
            }
        }
        Ok(())
    }

    fn check_ranges(&self) -> Result<(), String> {
        let system = Bounded::SystemVoltage;
        for (flag, voltage) in [
            ("--voltage", Some(self.voltage)),
            ("--lowest", self.lowest),
            ("--nominal", self.nominal),
        ] {
            if let Some(voltage) = voltage {
                within(flag, system, "V", voltage.as_volts())?;
            }
        }
        within(
            "--capacitance",
            Bounded::LinkCapacitance,
            "F",
            self.capacitance.as_farads(),
        )?;
        for (flag, resistance) in [
            ("--resistor", self.resistor),
            ("--bleed", self.bleed),
            ("--discharge", self.discharge),
            ("--loop-resistance", self.loop_resistance),
        ] {
            if let Some(resistance) = resistance {
                within(flag, Bounded::LinkResistance, "ohm", resistance.as_ohms())?;
            }
        }
        self.check_signs()?;
        if let Some(tolerance) = self.resistor_tolerance
            && tolerance.0.as_fraction() >= 1.0
        {
            return Err(
                "--resistor-tolerance is 100 %: nothing would be left of the resistor; the \
                 datasheet states a few percent"
                    .into(),
            );
        }
        let start = self.start.map_or(0.0, Voltage::as_volts);
        if !(0.0..=system.max()).contains(&start) {
            return Err(format!(
                "--start is {start} V, accepted is 0 to {} V",
                system.max()
            ));
        }
        Ok(())
    }
}

/// A resistor across the link from the first volt on.
fn always_across(ohms: f32) -> Result<StandingLoad, Error> {
    Ok(StandingLoad {
        draw: Draw::Resistance(Resistance::from_ohms(ohms)?),
        from: Voltage::from_volts(0.0)?,
    })
}

fn within(flag: &str, bound: Bounded, unit: &str, value: f32) -> Result<(), String> {
    if bound.check(value).is_ok() {
        return Ok(());
    }
    Err(format!(
        "{flag} is {value} {unit}, accepted is {} to {} {unit}",
        n(bound.min()),
        n(bound.max())
    ))
}

/// What a builder can do about an error of the core.
pub(crate) fn advice(error: Error, asked: &Asked) -> String {
    match error {
        Error::Inconsistent(Inconsistency::LowestAboveHighest) => format!(
            "--lowest is {} V, above --voltage of {} V: --voltage is the full pack, --lowest the \
             empty one under load",
            asked.lowest.as_volts(),
            asked.highest.as_volts()
        ),
        Error::Inconsistent(Inconsistency::ThresholdBeyondPack) => match asked.threshold {
            Threshold::Left(left) => format!(
                "--close-below is {} V and the pack has {} V at its lowest: state what may be \
                 left across the contactor, a few volts",
                left.as_volts(),
                asked.lowest.as_volts()
            ),
            Threshold::Share(share) => format!(
                "--threshold is {} %: the link never reaches all of the pack voltage, and at 0 % \
                 nothing is precharged; 95 % to 98 % is usual",
                share.as_percent()
            ),
        },
        other => other.to_string(),
    }
}
