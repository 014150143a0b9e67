//! The shortest way through air that is allowed between two live parts, or
//! between a live part and one that can be touched.

use super::steps::{StepKind, StepValue, Steps, mark, push};
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Altitude, Length, Voltage};
use crate::standard::SourceId;
use crate::standard::iec60664::{
    Insulation, OvervoltageCategory, PollutionDegree, rated_impulse, reinforced_impulse_v,
};
use crate::standard::iec60664_altitude::{AltitudeCorrection, altitude_correction};
use crate::standard::iec60664_clearance::{TABLE_F2, impulse_clearance, peak_clearance};

/// Where the impulse voltage across the clearance comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_enums)] // looked up or known, there is no third way
pub enum Impulse {
    /// From the table, by system voltage and overvoltage category.
    Rated {
        /// Voltage of the system. A traction battery is not earthed: enter its
        /// highest voltage from pole to pole.
        system: Voltage,
        /// Overvoltage category.
        category: OvervoltageCategory,
    },
    /// Known from a datasheet or a measurement, peak.
    Entered(Voltage),
}

/// Overvoltage that lasts, other than an impulse.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_enums)] // connected or not, or known
pub enum TemporaryOvervoltage {
    /// The circuit is never conductively connected to the mains.
    NotFromMains,
    /// The circuit can be connected to the mains: nominal voltage + 1200 V r.m.s.
    /// for up to 5 s.
    Mains {
        /// Nominal voltage, r.m.s., line to neutral, or line to line where the
        /// system is not earthed.
        nominal: Voltage,
    },
    /// Known, as a peak.
    Entered(Voltage),
}

/// What a clearance depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct ClearanceInput {
    /// Peak of the working voltage across the clearance, recurring peaks included.
    pub working_peak: Voltage,
    /// Impulse voltage.
    pub impulse: Impulse,
    /// Temporary overvoltage.
    pub temporary: TemporaryOvervoltage,
    /// Pollution degree.
    pub pollution: PollutionDegree,
    /// Highest altitude of use.
    pub altitude: Altitude,
    /// What the insulation is relied upon for.
    pub insulation: Insulation,
}

/// A required clearance.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Clearance {
    /// The requirement, at the altitude.
    pub distance: Length,
    /// Which voltage decided: one of [`StepKind::ImpulseClearance`],
    /// [`StepKind::PeakClearance`], [`StepKind::TemporaryClearance`].
    pub governed_by: StepKind,
    /// How it came about; the step that decided is flagged.
    pub steps: Steps,
}

/// Clearance required between two conductive parts in air.
///
/// Equation: `d = k_A2 max(d_F2(U_imp), d_F7a(U_peak), d_F7a(U_temporary))` with
/// `U_imp` one preferred step higher and the peaks at 160 % for reinforced
/// insulation; inhomogeneous field; `k_A2` of Table A.2 above 2000 m.
///
/// Functional insulation is treated as basic. The standard lets it take the
/// impulse that can really appear across it: enter that one.
///
/// Valid for working and temporary peaks to 50 kV, impulses to 100 kV, system
/// voltages to 1500 V, altitudes to 11 km. Electric strength of solid insulation,
/// partial discharge and frequencies above 30 kHz are not covered.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage that is zero, negative or absurd;
/// [`Error::NotInTable`] above the last row of a table.
///
/// Source: IEC 60664-1:2007, 5.1 with Tables A.2, F.1, F.2, F.7a.
pub fn clearance(input: &ClearanceInput) -> Result<Clearance, Error> {
    let mut steps = Steps::new();
    let by_impulse = for_impulse(input, &mut steps)?;
    let working_v = Bounded::PeakVoltage.check(input.working_peak.as_volts())?;
    let by_peak = for_peak(&mut steps, input.insulation, working_v, &WORKING)?;
    let by_temporary = match temporary_peak_v(input.temporary)? {
        None => None,
        Some((peak_v, source)) => Some(for_peak(
            &mut steps,
            input.insulation,
            peak_v,
            &Peaks {
                source,
                ..TEMPORARY
            },
        )?),
    };

    let mut largest = by_impulse;
    let mut governed_by = StepKind::ImpulseClearance;
    if by_peak.as_metres() > largest.as_metres() {
        largest = by_peak;
        governed_by = StepKind::PeakClearance;
    }
    if let Some(by_temporary) = by_temporary
        && by_temporary.as_metres() > largest.as_metres()
    {
        largest = by_temporary;
        governed_by = StepKind::TemporaryClearance;
    }
    mark(&mut steps, governed_by);

    let altitude = altitude_correction(input.altitude)?;
    let pressure = StepValue::Pressure(altitude.pressure);
    let factor = StepValue::Factor(altitude.factor);
    push(
        &mut steps,
        StepKind::AirPressure,
        pressure,
        AltitudeCorrection::SOURCE,
    )?;
    push(
        &mut steps,
        StepKind::AltitudeFactor,
        factor,
        AltitudeCorrection::SOURCE,
    )?;
    let distance = Length::from_metres(largest.as_metres() * altitude.factor)?;
    let source = steps
        .iter()
        .find(|step| step.governs)
        .map_or(SourceId::Iec60664Clearance, |step| step.source);
    push(
        &mut steps,
        StepKind::Clearance,
        StepValue::Length(distance),
        source,
    )?;
    Ok(Clearance {
        distance,
        governed_by,
        steps,
    })
}

fn for_impulse(input: &ClearanceInput, steps: &mut Steps) -> Result<Length, Error> {
    let (basic, source) = match input.impulse {
        Impulse::Rated { system, category } => {
            Bounded::WorkingVoltage.check(system.as_volts())?;
            let (impulse, row) = rated_impulse(system, category)?;
            let counted = StepValue::Voltage(Voltage::from_volts(row.system_v)?);
            push(
                steps,
                StepKind::SystemVoltageRow,
                counted,
                SourceId::Iec60664Unearthed,
            )?;
            (impulse, row.source)
        }
        Impulse::Entered(impulse) => {
            Bounded::ImpulseVoltage.check(impulse.as_volts())?;
            (impulse, SourceId::Entered)
        }
    };
    push(
        steps,
        StepKind::BasicImpulse,
        StepValue::Voltage(basic),
        source,
    )?;
    let mut required = basic;
    if input.insulation == Insulation::Reinforced {
        let volts = reinforced_impulse_v(basic.as_volts());
        let last_kv = TABLE_F2.last().map_or(0.0, |row| row.impulse_kv);
        if volts > last_kv * 1000.0 {
            return Err(Error::NotInTable {
                table: SourceId::Iec60664Clearance,
                value: volts * 1.0e-3,
            });
        }
        required = Voltage::from_volts(volts)?;
        let value = StepValue::Voltage(required);
        push(
            steps,
            StepKind::ReinforcedImpulse,
            value,
            SourceId::Iec60664ReinforcedClearance,
        )?;
    }
    let (length, source) = impulse_clearance(required, input.pollution)?;
    push(
        steps,
        StepKind::ImpulseClearance,
        StepValue::Length(length),
        source,
    )?;
    Ok(length)
}

/// Names of the steps of one kind of peak.
struct Peaks {
    peak: StepKind,
    reinforced: StepKind,
    clearance: StepKind,
    source: SourceId,
}

const WORKING: Peaks = Peaks {
    peak: StepKind::WorkingPeak,
    reinforced: StepKind::ReinforcedPeak,
    clearance: StepKind::PeakClearance,
    source: SourceId::Entered,
};

const TEMPORARY: Peaks = Peaks {
    peak: StepKind::TemporaryPeak,
    reinforced: StepKind::ReinforcedTemporaryPeak,
    clearance: StepKind::TemporaryClearance,
    source: SourceId::Entered,
};

fn for_peak(
    steps: &mut Steps,
    insulation: Insulation,
    peak_v: f32,
    names: &Peaks,
) -> Result<Length, Error> {
    let mut required = Voltage::from_volts(peak_v)?;
    push(
        steps,
        names.peak,
        StepValue::Voltage(required),
        names.source,
    )?;
    if insulation == Insulation::Reinforced {
        required = Voltage::from_volts(peak_v * 1.6)?;
        let value = StepValue::Voltage(required);
        push(
            steps,
            names.reinforced,
            value,
            SourceId::Iec60664ReinforcedClearance,
        )?;
    }
    let length = peak_clearance(required)?;
    let value = StepValue::Length(length);
    push(
        steps,
        names.clearance,
        value,
        SourceId::Iec60664PeakClearance,
    )?;
    Ok(length)
}

/// Peak of the temporary overvoltage in V, and where it comes from.
fn temporary_peak_v(temporary: TemporaryOvervoltage) -> Result<Option<(f32, SourceId)>, Error> {
    match temporary {
        TemporaryOvervoltage::NotFromMains => Ok(None),
        TemporaryOvervoltage::Mains { nominal } => {
            let nominal_v = Bounded::WorkingVoltage.check(nominal.as_volts())?;
            let peak_v = (nominal_v + MAINS_TEMPORARY_V) * core::f32::consts::SQRT_2;
            Ok(Some((peak_v, SourceId::Iec60664Temporary)))
        }
        TemporaryOvervoltage::Entered(peak) => {
            let peak_v = Bounded::PeakVoltage.check(peak.as_volts())?;
            Ok(Some((peak_v, SourceId::Entered)))
        }
    }
}

/// What a mains supply can add to its nominal voltage for up to 5 s, r.m.s. in V
/// (IEC 60664-1:2007, 5.3.3.2.3).
pub const MAINS_TEMPORARY_V: f32 = 1200.0;

/// Computes: peak of a working voltage: the entered one, or that of a direct or sinusoidal
/// voltage.
///
/// Inputs: working voltage, direct or r.m.s.; whether it alternates; the entered recurring
/// peak. Source: geometry of the sine, U sqrt(2).
///
/// # Errors
/// [`Error::Inconsistent`] where the entered peak is below that.
pub fn working_peak(
    working: Voltage,
    alternating: bool,
    entered: Option<Voltage>,
) -> Result<Voltage, Error> {
    let factor = if alternating {
        core::f32::consts::SQRT_2
    } else {
        1.0
    };
    let peak_v = working.as_volts() * factor;
    match entered {
        None => Voltage::from_volts(peak_v),
        // A square wave has its r.m.s. value as peak, so only less is impossible.
        Some(entered) if entered.as_volts() < working.as_volts() => {
            Err(Error::Inconsistent(Inconsistency::PeakBelowWorking))
        }
        Some(entered) => Ok(entered),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    fn input() -> ClearanceInput {
        ClearanceInput {
            working_peak: volts(1000.0),
            impulse: Impulse::Rated {
                system: volts(1000.0),
                category: OvervoltageCategory::Two,
            },
            temporary: TemporaryOvervoltage::Mains {
                nominal: volts(1000.0),
            },
            pollution: PollutionDegree::Two,
            altitude: Altitude::from_metres(5000.0).unwrap(),
            insulation: Insulation::Reinforced,
        }
    }

    #[test]
    fn the_longest_derivation_fits_exactly() {
        let found = clearance(&input()).unwrap();
        assert_eq!(found.steps.len(), MAX_CLEARANCE_STEPS);
        assert_eq!(found.steps.iter().filter(|step| step.governs).count(), 1);
    }

    const MAX_CLEARANCE_STEPS: usize = super::super::steps::MAX_STEPS;

    #[test]
    fn the_altitude_factor_is_the_last_to_act() {
        let found = clearance(&input()).unwrap();
        // 8 kV: 8.0 mm, Table F.2; x 1.48 at 5000 m, Table A.2.
        assert!((found.distance.as_mm() - 11.84).abs() < 1e-4);
        assert_eq!(found.governed_by, StepKind::ImpulseClearance);
    }

    #[test]
    fn a_high_recurring_peak_governs() {
        let found = clearance(&ClearanceInput {
            working_peak: volts(5000.0),
            altitude: Altitude::from_metres(0.0).unwrap(),
            ..input()
        })
        .unwrap();
        // 160 % of 5 kV is 8 kV: 11.0 mm, Table F.7a from memory.
        assert!((found.distance.as_mm() - 11.0).abs() < 1e-4);
        assert_eq!(found.governed_by, StepKind::PeakClearance);
    }

    #[test]
    fn zero_volts_is_refused_with_its_range() {
        for bad in [0.0, -400.0] {
            let refused = clearance(&ClearanceInput {
                working_peak: volts(bad),
                ..input()
            });
            assert!(matches!(
                refused,
                Err(Error::OutOfRange {
                    what: Bounded::PeakVoltage,
                    ..
                })
            ));
        }
    }
}
