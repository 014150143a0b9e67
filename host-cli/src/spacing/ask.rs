//! From flags to a question that the core can answer, and from its errors to advice.

use orangeloom_core::bounds::Bounded;
use orangeloom_core::error::{Error, Inconsistency};
use orangeloom_core::insulation::{
    Domain, Impulse, SpacingInput, TemporaryOvervoltage, working_peak,
};
use orangeloom_core::quantity::{Altitude, ComparativeTrackingIndex, Length, Voltage};
use orangeloom_core::standard::SourceId;
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree,
};
use orangeloom_core::standard::iec60664_creepage::Surface;

use super::args::SpacingArgs;
use super::profile_text::SurfaceCut;
use crate::flags::{or_default, positive};
use crate::quantity_text::Units;
use crate::working::n;

/// Up to here the tables hold as they are.
const DEFAULT_ALTITUDE_M: f32 = 2000.0;

/// Everything but the working voltage, with what the renderers need to tell about it.
pub(crate) struct Asked {
    /// Working voltages: one, or the rows of a table.
    pub(crate) voltages: Vec<Voltage>,
    pub(crate) is_table: bool,
    pub(crate) alternating: bool,
    pub(crate) peak: Option<Voltage>,
    pub(crate) impulse: Option<Voltage>,
    pub(crate) category: OvervoltageCategory,
    pub(crate) system: Option<Voltage>,
    pub(crate) mains: Option<Voltage>,
    pub(crate) temporary: Option<Voltage>,
    pub(crate) pollution: PollutionDegree,
    pub(crate) cti: Option<ComparativeTrackingIndex>,
    pub(crate) group: MaterialGroup,
    pub(crate) surface: Surface,
    pub(crate) altitude: Altitude,
    pub(crate) insulation: Insulation,
    pub(crate) clearance: Option<Length>,
    pub(crate) creepage: Option<Length>,
    pub(crate) profile: Option<SurfaceCut>,
    pub(crate) domain: Domain,
    /// Whether the text tells tests and limits.
    pub(crate) tests: bool,
    pub(crate) units: Units,
    /// Names of the inputs that nobody stated.
    pub(crate) defaults: Vec<&'static str>,
}

impl Asked {
    pub(crate) fn is_default(&self, input: &str) -> bool {
        self.defaults.contains(&input)
    }

    /// The voltage that the overvoltage category belongs to.
    pub(crate) fn system(&self, working: Voltage) -> Voltage {
        self.system.unwrap_or_else(|| match self.mains {
            Some(mains) if mains > working => mains,
            _ => working,
        })
    }

    /// Whether the category belongs to a voltage that is lower than the working voltage.
    pub(crate) fn system_below(&self, working: Voltage) -> bool {
        self.impulse.is_none() && self.system.is_some_and(|system| system < working)
    }

    /// The question for one working voltage.
    pub(crate) fn input(&self, working: Voltage) -> SpacingInput {
        SpacingInput {
            working,
            alternating: self.alternating,
            recurring_peak: self.peak,
            impulse: match self.impulse {
                Some(impulse) => Impulse::Entered(impulse),
                None => Impulse::Rated {
                    system: self.system(working),
                    category: self.category,
                },
            },
            temporary: match (self.temporary, self.mains) {
                (Some(peak), _) => TemporaryOvervoltage::Entered(peak),
                (None, Some(nominal)) => TemporaryOvervoltage::Mains { nominal },
                (None, None) => TemporaryOvervoltage::NotFromMains,
            },
            pollution: self.pollution,
            group: self.group,
            surface: self.surface,
            altitude: self.altitude,
            insulation: self.insulation,
            built_clearance: self.clearance,
            built_creepage: self.creepage,
        }
    }
}

impl SpacingArgs {
    /// Puts defaults in, checks each flag, and notes what was a default.
    pub(crate) fn ask(&self) -> Result<Asked, String> {
        self.check_ranges()?;
        let mut defaults = Vec::new();
        for (input, given) in [
            ("alternating", self.alternating),
            ("peak", self.peak.is_some()),
            (
                "system_voltage",
                self.system_voltage.is_some() || self.impulse.is_some(),
            ),
            ("mains", self.mains.is_some() || self.temporary.is_some()),
        ] {
            if !given {
                defaults.push(input);
            }
        }
        let category = match self.impulse {
            // The category plays no part where the impulse is known.
            Some(_) => OvervoltageCategory::Two,
            None => or_default(
                self.overvoltage_category,
                "overvoltage_category",
                &mut defaults,
                Ok(OvervoltageCategory::Two),
            )?,
        };
        let group = or_default(
            self.material_group
                .or_else(|| self.cti.map(MaterialGroup::from_cti)),
            "material_group",
            &mut defaults,
            Ok(MaterialGroup::Iiib),
        )?;
        Ok(Asked {
            voltages: match (&self.table, self.voltage) {
                (Some(table), _) => table.0.clone(),
                (None, voltage) => voltage.into_iter().collect(),
            },
            is_table: self.table.is_some(),
            alternating: self.alternating,
            peak: self.peak,
            impulse: self.impulse,
            category,
            system: self.system_voltage,
            mains: self.mains,
            temporary: self.temporary,
            pollution: or_default(
                self.pollution,
                "pollution",
                &mut defaults,
                Ok(PollutionDegree::Three),
            )?,
            cti: self.cti,
            group,
            surface: or_default(self.surface, "surface", &mut defaults, Ok(Surface::Plain))?,
            altitude: or_default(
                self.altitude,
                "altitude",
                &mut defaults,
                Altitude::from_metres(DEFAULT_ALTITUDE_M),
            )?,
            insulation: or_default(
                self.insulation,
                "insulation",
                &mut defaults,
                Ok(Insulation::Basic),
            )?,
            clearance: self.clearance,
            creepage: self.creepage,
            profile: self.profile.clone(),
            domain: or_default(self.domain, "domain", &mut defaults, Ok(Domain::Road))?,
            tests: self.tests,
            units: self.units.into(),
            defaults,
        })
    }

    fn check_ranges(&self) -> Result<(), String> {
        for (flag, bound, voltage) in [
            ("--voltage", Bounded::WorkingVoltage, self.voltage),
            ("--peak", Bounded::PeakVoltage, self.peak),
            ("--impulse", Bounded::ImpulseVoltage, self.impulse),
            (
                "--system-voltage",
                Bounded::SystemVoltage,
                self.system_voltage,
            ),
            ("--mains", Bounded::SystemVoltage, self.mains),
            ("--temporary", Bounded::PeakVoltage, self.temporary),
        ] {
            if let Some(voltage) = voltage {
                within(flag, bound, voltage)?;
            }
        }
        for voltage in self.table.iter().flat_map(|table| &table.0) {
            within("a voltage of --table", Bounded::WorkingVoltage, *voltage)?;
        }
        for (flag, length) in [
            ("--clearance", self.clearance),
            ("--creepage", self.creepage),
        ] {
            if let Some(length) = length {
                positive(flag, "distance", "mm", length.as_mm())?;
            }
        }
        Ok(())
    }
}

fn within(flag: &str, bound: Bounded, voltage: Voltage) -> Result<(), String> {
    let volts = voltage.as_volts();
    if bound.check(volts).is_ok() {
        return Ok(());
    }
    Err(format!(
        "{flag} is {volts} V, accepted is {} to {} V",
        bound.min(),
        bound.max()
    ))
}

/// What a builder can do about an error of the core.
pub(crate) fn advice(error: Error, asked: &Asked, working: Voltage) -> String {
    match error {
        Error::NotInTable {
            table: SourceId::Iec60664ImpulseHigh,
            value,
        } => format!(
            "the system voltage is {value} V (--system-voltage, or else the larger of --voltage \
             and --mains), and rated impulse voltages are tabulated up to 1500 V: state the \
             impulse voltage itself with --impulse"
        ),
        Error::NotInTable {
            table: SourceId::Iec60664Clearance,
            value,
        } => format!(
            "the clearance needs an entry for an impulse of {value} kV (reinforced insulation \
             takes more than what is entered), and the table ends at 100 kV: check --impulse"
        ),
        Error::NotInTable {
            table: SourceId::Iec60664PeakClearance,
            value,
        } => format!(
            "the clearance needs an entry for a peak of {value} kV (reinforced insulation takes \
             160 % of what is entered), and the table ends at 50 kV: check --peak and --temporary"
        ),
        Error::Inconsistent(Inconsistency::PeakBelowWorking) => format!(
            "--peak is {} V, below the working voltage of {} V: no voltage has a peak below its \
             direct or r.m.s. value; leave --peak out, or check both",
            asked.peak.map_or(0.0, Voltage::as_volts),
            working.as_volts()
        ),
        Error::Inconsistent(Inconsistency::ImpulseBelowPeak) => format!(
            "--impulse is {} V, below the peak of the working voltage, {} V: an impulse rides \
             on top of it; leave --impulse out to take it from the table, or enter the highest \
             peak that was measured or that the datasheet states",
            asked.impulse.map_or(0.0, Voltage::as_volts),
            n(working_peak(working, asked.alternating, asked.peak).map_or(0.0, Voltage::as_volts))
        ),
        Error::Inconsistent(Inconsistency::TemporaryBelowWorking) => format!(
            "--temporary is {} V, below the working voltage of {} V: an overvoltage is never \
             lower; leave --temporary out, or enter the peak of the overvoltage",
            asked.temporary.map_or(0.0, Voltage::as_volts),
            working.as_volts()
        ),
        other => other.to_string(),
    }
}
