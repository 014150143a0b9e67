//! Isolation resistance measured with a voltmeter and an inserted resistor.
//!
//! The regulation's formula returns the resistance of *one* side, the smaller one
//! when the resistor goes where the larger voltage was. It is not the parallel
//! value that many instruments show: with 1 Mohm on each side it says 1 Mohm while
//! both together are 500 kohm. The results here are named by side for that reason.

use super::isolation::{IsolationCase, IsolationCheck};
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Power, Resistance, Share, Voltage};
use crate::verdict::{Judged, Side, Verdict};

/// One pole of the battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a battery has two
pub enum Pole {
    /// The positive pole.
    Positive,
    /// The negative pole.
    Negative,
}

/// Readings of the measurement. Voltages are magnitudes, taken at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct InsertedResistor {
    /// Pack voltage, pole to pole. With it the result does not depend on the meter.
    pub pack: Option<Voltage>,
    /// Negative pole to chassis (V1 of UN R100).
    pub negative_to_chassis: Voltage,
    /// Positive pole to chassis (V2 of UN R100).
    pub positive_to_chassis: Voltage,
    /// The resistor (Ro of UN R100).
    pub resistor: Resistance,
    /// Between which pole and chassis the resistor was put; best where the larger
    /// voltage was.
    pub inserted_at: Pole,
    /// The voltage of that pole to chassis with the resistor (V1' or V2').
    pub with_resistor: Voltage,
    /// Input resistance of the voltmeter; used only where the pack voltage is not
    /// known. Without it an ideal meter is assumed, which reads low.
    pub meter: Option<Resistance>,
    /// Accuracy of the meter as a share of each reading.
    pub accuracy: Share,
}

/// What the measurement says.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // measured or not
pub enum IsolationMeasured {
    /// Resistances.
    Reading(IsolationReading),
    /// Neither pole shows a voltage to chassis, or the resistor takes all of it: the
    /// isolation is beyond what this resistor shows, or a lead is open. Prove the
    /// setup with a known resistor.
    BeyondRange,
}

/// Resistances to chassis that the readings lead to.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct IsolationReading {
    /// The smaller of both sides: the isolation resistance of UN R100.
    pub smaller_side: Resistance,
    /// Which pole that is.
    pub weaker_pole: Pole,
    /// The other side; absent where it is too good to show.
    pub larger_side: Option<Resistance>,
    /// Both sides in parallel: what many instruments show.
    pub parallel: Resistance,
    /// Least that the smaller side can be with every reading off by its accuracy.
    pub at_least: Resistance,
    /// Most that it can be; absent where the accuracy does not bound it.
    pub at_most: Option<Resistance>,
    /// V1 + V2 as a share of the pack voltage; a low value shows how much the
    /// meter loads. Absent where the pack voltage is not known.
    pub poles_over_pack: Option<f32>,
    /// The resistor was where the larger voltage was, as UN R100 asks.
    pub inserted_as_asked: bool,
}

/// Isolation resistance by the inserted-resistor method.
///
/// Equation with pack voltage: R = Ro Ub (1/V' - 1/V) is the side opposite to the
/// resistor (UN R100); it is exact for any meter as long as one meter is moved
/// from place to place, because the meter loads both readings alike. Without pack
/// voltage: G = 1/Ro V'/(V - V') - 1/Rm is the conductance of both sides together,
/// shared as V1 : V2. With an ideal meter that is the older printed form
/// R = Ro (1 + V2/V1)(V1 - V1')/V1', which reads low by 1 - (V1 + V2)/Ub. The
/// other side follows from R- : R+ = V1 : V2, whatever the meter.
///
/// Bounds of error: every reading off by its accuracy in the worst direction. Gain
/// errors of one meter cancel in part, so the truth lies inside.
///
/// The side opposite to the resistor is computed in `f64`, because V - V' cancels
/// when the isolation is bad.
///
/// # Errors
/// [`Error::OutOfRange`] for readings that are not in range,
/// [`Error::Inconsistent`] where the resistor raised the voltage, where the poles
/// add to more than the pack, or where the meter leaks more than was measured.
///
/// Source: UN R100 Rev.3, Annex 5 (old Annex 4), 1.2.3; 49 CFR 571.305, S7.6.6.
pub fn isolation_by_resistor(reading: &InsertedResistor) -> Result<IsolationMeasured, Error> {
    let resistor = f64::from(Bounded::InsertedResistance.check(reading.resistor.as_ohms())?);
    let d = f64::from(Bounded::MeterAccuracy.check(reading.accuracy.as_fraction())?);
    let negative = magnitude(reading.negative_to_chassis)?;
    let positive = magnitude(reading.positive_to_chassis)?;
    let with = magnitude(reading.with_resistor)?;
    let (here, there) = match reading.inserted_at {
        Pole::Negative => (negative, positive),
        Pole::Positive => (positive, negative),
    };
    let pack = match reading.pack {
        Some(pack) => Some(f64::from(Bounded::WorkingVoltage.check(pack.as_volts())?)),
        None => None,
    };
    if let Some(pack) = pack
        && (negative + positive) * (1.0 - d) > pack * (1.0 + d) * (1.0 + REST_TOLERANCE)
    {
        return Err(Error::Inconsistent(Inconsistency::PolesExceedPack));
    }
    if with * (1.0 - d) > here * (1.0 + d) {
        return Err(Error::Inconsistent(Inconsistency::ResistorRaisesVoltage));
    }
    if here <= 0.0 || with <= 0.0 {
        return Ok(IsolationMeasured::BeyondRange);
    }
    let meter = match reading.meter {
        Some(meter) => 1.0 / f64::from(Bounded::MeterResistance.check(meter.as_ohms())?),
        None => 0.0,
    };
    // The side opposite to the resistor; the ratio of the poles apart from their
    // readings, so that each can err its own way.
    let ratio = here / there;
    let opposite = |here: f64, with: f64, there_over_here: f64, pack: Option<f64>| {
        let drop = here - with;
        if drop <= 0.0 {
            return Some(0.0);
        }
        if let Some(pack) = pack {
            return Some(resistor * pack * drop / (here * with));
        }
        let both = with / (resistor * drop) - meter;
        (both > 0.0).then(|| (1.0 + there_over_here) / both)
    };
    let spread = (1.0 + d) / (1.0 - d);
    let middle = opposite(here, with, there / here, pack)
        .ok_or(Error::Inconsistent(Inconsistency::MeterHidesLeak))?;
    let low = opposite(
        here * (1.0 - d),
        with * (1.0 + d),
        there / here / spread,
        pack.map(|pack| pack * (1.0 - d)),
    )
    .unwrap_or(0.0);
    let high = opposite(
        here * (1.0 + d),
        with * (1.0 - d),
        there / here * spread,
        pack.map(|pack| pack * (1.0 + d)),
    );

    // Resistances to chassis are as the voltages of the poles to chassis.
    let inserted_as_asked = here >= there;
    let own = (there > 0.0).then_some(middle * ratio);
    let (smaller, larger, scale) = if inserted_as_asked {
        // Nearly equal sides may change places within the accuracy of the readings.
        (middle, own, ((ratio / spread).min(1.0), 1.0))
    } else {
        (
            middle * ratio,
            Some(middle),
            (ratio / spread, ratio * spread),
        )
    };
    let opposite_pole = match reading.inserted_at {
        Pole::Negative => Pole::Positive,
        Pole::Positive => Pole::Negative,
    };
    let parallel = match larger {
        Some(larger) if smaller > 0.0 => smaller * larger / (smaller + larger),
        _ => smaller,
    };
    Ok(IsolationMeasured::Reading(IsolationReading {
        smaller_side: ohms(smaller)?,
        weaker_pole: if inserted_as_asked {
            opposite_pole
        } else {
            reading.inserted_at
        },
        larger_side: match larger {
            Some(larger) => ohms(larger).ok(),
            None => None,
        },
        parallel: ohms(parallel)?,
        at_least: ohms(low * scale.0)?,
        at_most: high.and_then(|high| ohms(high * scale.1).ok()),
        poles_over_pack: pack.map(|pack| narrow((negative + positive) / pack)),
        inserted_as_asked,
    }))
}

/// How far V1 + V2 may exceed the pack voltage beyond the meter's accuracy: the
/// readings are taken one after the other and a resting battery still moves.
const REST_TOLERANCE: f64 = 0.01;

/// Judges the smaller side, as UN R100 does.
///
/// Holds only when the least that the readings allow keeps the limit; stays open
/// when the reading does but the accuracy of the meter could hide a failure.
///
/// # Errors
/// As [`IsolationCase::limit`].
pub fn judge_reading(
    case: IsolationCase,
    working: Voltage,
    reading: &IsolationReading,
) -> Result<Judged<IsolationCheck>, Error> {
    let limit = case.limit(working)?.as_ohms();
    // Three readings rounded to f32 and amplified a few times: a resistance exactly
    // at the limit may come back lower by that much, far below any meter.
    let at_limit = |ohms: f32| {
        if ohms >= limit * (1.0 - 1.0e-6) {
            ohms.max(limit)
        } else {
            ohms
        }
    };
    let value = at_limit(reading.smaller_side.as_ohms());
    let mut judged = Judged::compare(
        IsolationCheck::Limit,
        value,
        Side::AtLeast,
        limit,
        IsolationCase::SOURCE,
    );
    if judged.verdict == Verdict::Holds && at_limit(reading.at_least.as_ohms()) < limit {
        judged.verdict = Verdict::Open;
    }
    Ok(judged)
}

/// The resistor to take for a measurement, and what it must bear.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ResistorChoice {
    /// Resistance; 20 % either way does not matter.
    pub resistance: Resistance,
    /// Heat in it when the other side is a dead short: U2/R.
    pub power: Power,
}

/// The resistor that UN R100 recommends: the limit of the case itself.
///
/// Equation: Ro = (ohm per volt) U. Source: UN R100 Rev.3, Annex 5, note 1.
///
/// # Errors
/// As [`IsolationCase::limit`].
pub fn recommended_resistor(
    case: IsolationCase,
    working: Voltage,
) -> Result<ResistorChoice, Error> {
    let resistance = case.limit(working)?;
    let volts = working.as_volts();
    Ok(ResistorChoice {
        resistance,
        power: Power::from_watts(volts / case.ohm_per_volt())?,
    })
}

fn magnitude(voltage: Voltage) -> Result<f64, Error> {
    let volts = voltage.as_volts();
    if volts < 0.0 {
        Bounded::WorkingVoltage.check(volts)?;
    }
    if volts > Bounded::WorkingVoltage.max() {
        Bounded::WorkingVoltage.check(volts)?;
    }
    Ok(f64::from(volts))
}

fn ohms(ohms: f64) -> Result<Resistance, Error> {
    Resistance::from_ohms(narrow(ohms))
}

#[allow(clippy::cast_possible_truncation)] // to the precision of every interface
fn narrow(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    /// Readings of an ideal circuit with a meter of conductance `gm`.
    fn readings(u: f64, rp: f64, rn: f64, ro: f64, gm: f64, at: Pole) -> InsertedResistor {
        let (gp, gn, go) = (1.0 / rp, 1.0 / rn, 1.0 / ro);
        let all = gp + gn + gm;
        let with = match at {
            Pole::Negative => u * gp / (all + go),
            Pole::Positive => u * gn / (all + go),
        };
        InsertedResistor {
            pack: Some(volts(narrow(u))),
            negative_to_chassis: volts(narrow(u * gp / all)),
            positive_to_chassis: volts(narrow(u * gn / all)),
            resistor: ohms(ro).unwrap(),
            inserted_at: at,
            with_resistor: volts(narrow(with)),
            meter: (gm > 0.0).then(|| ohms(1.0 / gm).unwrap()),
            accuracy: Share::from_percent(0.5).unwrap(),
        }
    }

    fn reading(input: &InsertedResistor) -> IsolationReading {
        match isolation_by_resistor(input).unwrap() {
            IsolationMeasured::Reading(reading) => reading,
            IsolationMeasured::BeyondRange => panic!("a reading was expected"),
        }
    }

    #[test]
    fn equal_sides_give_one_side_and_not_the_parallel_value() {
        let found = reading(&readings(400.0, 1.0e6, 1.0e6, 2.0e5, 0.0, Pole::Negative));
        assert!((found.smaller_side.as_ohms() / 1.0e6 - 1.0).abs() < 1e-5);
        assert!((found.parallel.as_ohms() / 5.0e5 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn a_dead_short_reads_zero_and_fails() {
        let found = reading(&InsertedResistor {
            negative_to_chassis: volts(400.0),
            positive_to_chassis: volts(0.0),
            with_resistor: volts(400.0),
            ..readings(400.0, 1.0e6, 1.0e6, 2.0e5, 0.0, Pole::Negative)
        });
        assert!(found.smaller_side.as_ohms() <= 0.0);
        assert_eq!(found.weaker_pole, Pole::Positive);
        assert_eq!(found.larger_side, None);
        let judged = judge_reading(IsolationCase::Connected, volts(400.0), &found).unwrap();
        assert_eq!(judged.verdict, Verdict::Fails);
    }

    #[test]
    fn nothing_on_either_pole_is_not_a_good_reading() {
        let nothing = InsertedResistor {
            negative_to_chassis: volts(0.0),
            positive_to_chassis: volts(0.0),
            with_resistor: volts(0.0),
            ..readings(400.0, 1.0e6, 1.0e6, 2.0e5, 0.0, Pole::Negative)
        };
        assert_eq!(
            isolation_by_resistor(&nothing),
            Ok(IsolationMeasured::BeyondRange)
        );
    }

    #[test]
    fn contradictions_are_named() {
        let base = readings(400.0, 1.0e6, 2.0e6, 2.0e5, 1.0e-7, Pole::Negative);
        let raised = InsertedResistor {
            with_resistor: volts(300.0),
            ..base
        };
        assert_eq!(
            isolation_by_resistor(&raised),
            Err(Error::Inconsistent(Inconsistency::ResistorRaisesVoltage))
        );
        let more = InsertedResistor {
            pack: Some(volts(300.0)),
            ..base
        };
        assert_eq!(
            isolation_by_resistor(&more),
            Err(Error::Inconsistent(Inconsistency::PolesExceedPack))
        );
        let leaky = InsertedResistor {
            pack: None,
            meter: Some(ohms(5.0e5).unwrap()),
            ..base
        };
        assert_eq!(
            isolation_by_resistor(&leaky),
            Err(Error::Inconsistent(Inconsistency::MeterHidesLeak))
        );
    }

    #[test]
    fn a_reading_that_only_its_accuracy_can_save_stays_open() {
        let at_limit = readings(400.0, 2.01e5, 4.0e5, 2.0e5, 1.0e-7, Pole::Negative);
        let found = reading(&at_limit);
        let judged = judge_reading(IsolationCase::Connected, volts(400.0), &found).unwrap();
        assert_eq!(judged.verdict, Verdict::Open);
    }

    #[test]
    fn the_recommended_resistor_bears_the_whole_pack() {
        let choice = recommended_resistor(IsolationCase::DirectSeparate, volts(800.0)).unwrap();
        assert!((choice.resistance.as_ohms() - 80_000.0).abs() < 0.1);
        assert!((choice.power.as_watts() - 8.0).abs() < 1e-5);
    }

    fn poles() -> impl Strategy<Value = Pole> {
        prop_oneof![Just(Pole::Positive), Just(Pole::Negative)]
    }

    proptest! {
        #[test]
        fn both_sides_come_back_for_any_meter_and_either_pole(
            u in 60.0..1000.0_f64, rp in 2.0e4..2.0e6_f64, rn in 2.0e4..2.0e6_f64,
            ro in 2.0e4..5.0e5_f64, gm in prop_oneof![Just(0.0), 5.0e-8..1.0e-6_f64],
            at in poles(), known in any::<bool>(),
        ) {
            let mut input = readings(u, rp, rn, ro, gm, at);
            if !known {
                input.pack = None;
            }
            let found = reading(&input);
            // f32 readings (6e-8) times the largest gain 1 + Ro/Rp here, about 51,
            // and without pack voltage times the share of the meter, at most 2 more.
            let tolerance = 2.0e-5;
            let smaller = f64::from(found.smaller_side.as_ohms());
            let larger = f64::from(found.larger_side.unwrap().as_ohms());
            prop_assert!((smaller / rp.min(rn) - 1.0).abs() < tolerance, "{found:?}");
            prop_assert!((larger / rp.max(rn) - 1.0).abs() < tolerance, "{found:?}");
            prop_assert!((f64::from(found.parallel.as_ohms()) * (1.0 / rp + 1.0 / rn) - 1.0).abs() < tolerance);
        }

        #[test]
        fn the_bounds_hold_whatever_the_errors_of_the_readings(
            u in 60.0..1000.0_f64, rp in 2.0e4..2.0e6_f64, rn in 2.0e4..2.0e6_f64,
            ro in 2.0e4..5.0e5_f64, at in poles(), known in any::<bool>(),
            errors in any::<[bool; 4]>(),
        ) {
            let mut input = readings(u, rp, rn, ro, 1.0e-7, at);
            let off = |voltage: Voltage, up: bool| {
                // The bound takes the reading, not the truth, as 100 %: 1e-4 more covers that.
                volts(voltage.as_volts() * if up { 1.004_97 } else { 0.995_03 })
            };
            input.negative_to_chassis = off(input.negative_to_chassis, errors[0]);
            input.positive_to_chassis = off(input.positive_to_chassis, errors[1]);
            input.with_resistor = off(input.with_resistor, errors[2]);
            input.pack = known.then(|| off(volts(narrow(u)), errors[3]));
            let measured = isolation_by_resistor(&input);
            prop_assume!(!matches!(measured, Err(Error::Inconsistent(_))));
            let found = reading(&input);
            let truth = narrow(rp.min(rn));
            prop_assert!(found.at_least.as_ohms() <= truth * 1.0001, "{found:?}");
            if let Some(most) = found.at_most {
                prop_assert!(most.as_ohms() >= truth * 0.9999, "{found:?}");
            }
        }
    }
}
