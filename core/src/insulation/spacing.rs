//! Clearance and creepage distance at once, and the entered distances judged.

use super::clearance::{
    Clearance, ClearanceInput, Impulse, TemporaryOvervoltage, clearance, working_peak,
};
use super::creepage::{CreepageInput, CreepageOutcome, creepage};
use super::steps::Step;
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Altitude, Length, Voltage};
use crate::standard::SourceId;
use crate::standard::iec60664::{Insulation, MaterialGroup, PollutionDegree};
use crate::standard::iec60664_creepage::Surface;
use crate::verdict::{Judged, Side, Verdict};

/// What spacing depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct SpacingInput {
    /// Highest working voltage between the two parts, direct or r.m.s.
    pub working: Voltage,
    /// True for an alternating working voltage.
    pub alternating: bool,
    /// Recurring peak of the working voltage; without it that of a direct or
    /// sinusoidal voltage is taken. Enter it for motor and converter outputs.
    pub recurring_peak: Option<Voltage>,
    /// Impulse voltage.
    pub impulse: Impulse,
    /// Temporary overvoltage.
    pub temporary: TemporaryOvervoltage,
    /// Pollution degree.
    pub pollution: PollutionDegree,
    /// Material group of the surface.
    pub group: MaterialGroup,
    /// What the creepage path runs over.
    pub surface: Surface,
    /// Highest altitude of use.
    pub altitude: Altitude,
    /// What the insulation is relied upon for.
    pub insulation: Insulation,
    /// Clearance as built, if known.
    pub built_clearance: Option<Length>,
    /// Creepage distance as built, if known; over grooves and ribs from
    /// [`super::Profile::creepage_path`].
    pub built_creepage: Option<Length>,
}

/// A check of [`spacing`]; its values are in mm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // through air, or over the surface
pub enum SpacingCheck {
    /// The shortest way through air.
    Clearance,
    /// The shortest way over the surface.
    Creepage,
}

/// A distance counts as reached when less than this share is missing.
///
/// A distance read from text and one computed from a table are each rounded to
/// `f32` two or three times, 6e-8 each: "10 mm" must not fail against 10 mm. At
/// 10 mm it is 10 nm, far below what a workshop can measure.
const ROUNDING: f32 = 1.0e-6;

/// Requirements, their derivation, and the entered distances judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Spacing {
    /// The way through air.
    pub clearance: Clearance,
    /// The way over the surface.
    pub creepage: CreepageOutcome,
    /// The clearance as built, in mm; open where none was entered.
    pub clearance_check: Judged<SpacingCheck>,
    /// The creepage distance as built, in mm; open where none was entered or where it
    /// is long enough over a material that is not recommended, failed where no distance
    /// helps.
    pub creepage_check: Judged<SpacingCheck>,
}

impl Spacing {
    /// Every step of both derivations in order.
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        let over_surface = match &self.creepage {
            CreepageOutcome::Distance(found) => found.steps.as_slice(),
            CreepageOutcome::NoDistanceHelps => &[],
        };
        self.clearance.steps.iter().chain(over_surface)
    }

    /// The worse of both checks.
    pub fn verdict(&self) -> Verdict {
        self.clearance_check
            .verdict
            .worse(self.creepage_check.verdict)
    }
}

/// Clearance and creepage distance required between two conductive parts, with
/// each step, and the entered distances judged.
///
/// Equations, ranges and sources: [`clearance`] and [`creepage`].
///
/// # Errors
/// [`Error::OutOfRange`] for a value that is zero, not finite or outside its
/// range, [`Error::NotInTable`] above the last row of a table,
/// [`Error::Inconsistent`] for an entered peak or temporary overvoltage below the
/// working voltage, or an entered impulse below the peak of the working voltage.
pub fn spacing(input: &SpacingInput) -> Result<Spacing, Error> {
    Bounded::WorkingVoltage.check(input.working.as_volts())?;
    let working_peak = working_peak(input.working, input.alternating, input.recurring_peak)?;
    check_overvoltages(input, working_peak)?;
    let clearance = clearance(&ClearanceInput {
        working_peak,
        impulse: input.impulse,
        temporary: input.temporary,
        pollution: input.pollution,
        altitude: input.altitude,
        insulation: input.insulation,
    })?;
    let creepage = creepage(&CreepageInput {
        working: input.working,
        pollution: input.pollution,
        group: input.group,
        surface: input.surface,
        insulation: input.insulation,
        clearance: clearance.distance,
    })?;
    let deciding = clearance
        .steps
        .last()
        .map_or(SourceId::Iec60664Clearance, |step| step.source);
    let clearance_check = judge(
        SpacingCheck::Clearance,
        input.built_clearance,
        clearance.distance,
        deciding,
    );
    let creepage_check = match &creepage {
        CreepageOutcome::Distance(found) => {
            let check = judge(
                SpacingCheck::Creepage,
                input.built_creepage,
                found.distance,
                found
                    .steps
                    .iter()
                    .find(|step| step.governs)
                    .map_or(SourceId::Iec60664Creepage, |step| step.source),
            );
            // Long enough is not a pass over a material that is not recommended at all.
            if found.material_not_recommended && check.verdict == Verdict::Holds {
                Judged {
                    verdict: Verdict::Open,
                    source: SourceId::Iec60664GroupIiib,
                    ..check
                }
            } else {
                check
            }
        }
        CreepageOutcome::NoDistanceHelps => Judged {
            value: input.built_creepage.map(Length::as_mm),
            ..Judged::failed_without_value(
                SpacingCheck::Creepage,
                Side::AtLeast,
                None,
                SourceId::Iec60664Wet,
            )
        },
    };
    Ok(Spacing {
        clearance,
        creepage,
        clearance_check,
        creepage_check,
    })
}

/// An overvoltage below the voltage that it rides on is a slip of the entry; taken as
/// it is, it would ask for a distance that is too short.
fn check_overvoltages(input: &SpacingInput, working_peak: Voltage) -> Result<(), Error> {
    if let Impulse::Entered(impulse) = input.impulse
        && impulse.as_volts() > 0.0
        && impulse.as_volts() < working_peak.as_volts()
    {
        return Err(Error::Inconsistent(Inconsistency::ImpulseBelowPeak));
    }
    if let TemporaryOvervoltage::Entered(peak) = input.temporary
        && peak.as_volts() > 0.0
        && peak.as_volts() < input.working.as_volts()
    {
        return Err(Error::Inconsistent(Inconsistency::TemporaryBelowWorking));
    }
    Ok(())
}

fn judge(
    name: SpacingCheck,
    built: Option<Length>,
    required: Length,
    source: SourceId,
) -> Judged<SpacingCheck> {
    let limit = required.as_mm();
    match built {
        Some(built) => {
            let built = built.as_mm();
            let reached = built < limit && built >= limit * (1.0 - ROUNDING);
            let value = if reached { limit } else { built };
            Judged::compare(name, value, Side::AtLeast, limit, source)
        }
        None => Judged::open(name, None, Side::AtLeast, Some(limit), source),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::ComparativeTrackingIndex;
    use crate::standard::iec60664::OvervoltageCategory;
    use crate::standard::iec60664_creepage::TABLE_F4;
    use proptest::prelude::*;
    use std::string::ToString;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    fn mm(mm: f32) -> Length {
        Length::from_mm(mm).unwrap()
    }

    fn input(working: f32) -> SpacingInput {
        SpacingInput {
            working: volts(working),
            alternating: false,
            recurring_peak: None,
            impulse: Impulse::Rated {
                system: volts(working),
                category: OvervoltageCategory::Two,
            },
            temporary: TemporaryOvervoltage::NotFromMains,
            pollution: PollutionDegree::Two,
            group: MaterialGroup::Iiia,
            surface: Surface::Plain,
            altitude: Altitude::from_metres(500.0).unwrap(),
            insulation: Insulation::Basic,
            built_clearance: None,
            built_creepage: None,
        }
    }

    #[test]
    fn a_distance_that_was_not_measured_stays_open() {
        let found = spacing(&input(400.0)).unwrap();
        assert_eq!(found.verdict(), Verdict::Open);
        // 4.0 mm at 400 V, group III, pollution degree 2, Table F.4.
        assert!((found.creepage_check.limit.unwrap() - 4.0).abs() < 1e-5);
        assert_eq!(found.steps().filter(|step| step.governs).count(), 2);
    }

    #[test]
    fn the_printed_distance_itself_holds_with_no_margin() {
        let found = spacing(&SpacingInput {
            built_clearance: Some(mm(3.0)),
            built_creepage: Some(mm(4.0)),
            ..input(400.0)
        })
        .unwrap();
        assert_eq!(found.verdict(), Verdict::Holds);
        assert_eq!(found.clearance_check.margin(), Some(0.0));
        let short = spacing(&SpacingInput {
            built_clearance: Some(mm(2.9)),
            built_creepage: Some(mm(4.0)),
            ..input(400.0)
        })
        .unwrap();
        assert_eq!(short.clearance_check.verdict, Verdict::Fails);
    }

    #[test]
    fn every_printed_distance_holds_when_it_is_read_from_text() {
        for row in &TABLE_F4 {
            for (times, insulation) in [(1.0, Insulation::Basic), (2.0, Insulation::Reinforced)] {
                let printed: f64 = row.pd3_mm[2].to_string().parse().unwrap();
                let built = |share: f64| {
                    #[allow(clippy::cast_possible_truncation)] // as text is read
                    let metres = (printed * times * share * 1.0e-3) as f32;
                    let found = spacing(&SpacingInput {
                        // As low as it can be, so that the clearance never decides.
                        impulse: Impulse::Entered(volts(row.working_v)),
                        pollution: PollutionDegree::Three,
                        insulation,
                        built_creepage: Some(Length::from_metres(metres).unwrap()),
                        ..input(row.working_v)
                    });
                    found.unwrap().creepage_check
                };
                assert_eq!(built(1.0).verdict, Verdict::Holds, "{printed} mm");
                assert!(built(1.0).margin().unwrap() >= 0.0);
                // Ten times the tolerance.
                assert_eq!(built(1.0 - 1.0e-5).verdict, Verdict::Fails, "{printed} mm");
            }
        }
    }

    #[test]
    fn no_creepage_distance_holds_on_a_wet_surface() {
        let found = spacing(&SpacingInput {
            pollution: PollutionDegree::Four,
            built_clearance: Some(mm(100.0)),
            built_creepage: Some(mm(1000.0)),
            ..input(400.0)
        })
        .unwrap();
        assert_eq!(found.clearance_check.verdict, Verdict::Holds);
        assert_eq!(found.creepage_check.verdict, Verdict::Fails);
    }

    #[test]
    fn a_peak_below_the_working_voltage_is_a_contradiction() {
        let refused = spacing(&SpacingInput {
            recurring_peak: Some(volts(399.0)),
            ..input(400.0)
        });
        assert!(matches!(refused, Err(Error::Inconsistent(_))));
    }

    #[test]
    fn an_overvoltage_below_what_it_rides_on_is_a_contradiction() {
        let low = |impulse: f32, alternating: bool, recurring_peak: Option<Voltage>| {
            spacing(&SpacingInput {
                impulse: Impulse::Entered(volts(impulse)),
                alternating,
                recurring_peak,
                ..input(400.0)
            })
        };
        let refused = Err(Error::Inconsistent(Inconsistency::ImpulseBelowPeak));
        assert_eq!(low(399.0, false, None), refused);
        assert!(low(400.0, false, None).is_ok());
        // 400 V r.m.s. has a peak of 566 V.
        assert_eq!(low(565.0, true, None), refused);
        assert!(low(566.0, true, None).is_ok());
        assert_eq!(low(900.0, false, Some(volts(950.0))), refused);
        let temporary = |peak: f32| {
            spacing(&SpacingInput {
                temporary: TemporaryOvervoltage::Entered(volts(peak)),
                ..input(400.0)
            })
        };
        assert_eq!(
            temporary(399.0),
            Err(Error::Inconsistent(Inconsistency::TemporaryBelowWorking))
        );
        assert!(temporary(400.0).is_ok());
    }

    // Table F.4, footnote on group IIIb (from memory).
    #[test]
    fn long_enough_over_a_material_that_is_not_recommended_stays_open() {
        let over = |working: f32, creepage: f32, pollution, group| {
            let found = spacing(&SpacingInput {
                pollution,
                group,
                built_clearance: Some(mm(50.0)),
                built_creepage: Some(mm(creepage)),
                ..input(working)
            });
            found.unwrap().creepage_check
        };
        let (three, worst) = (PollutionDegree::Three, MaterialGroup::Iiib);
        let open = over(800.0, 50.0, three, worst);
        assert_eq!(open.verdict, Verdict::Open);
        assert_eq!(open.source, SourceId::Iec60664GroupIiib);
        assert!(open.margin().unwrap() > 0.0);
        assert_eq!(over(800.0, 5.0, three, worst).verdict, Verdict::Fails);
        assert_eq!(over(630.0, 50.0, three, worst).verdict, Verdict::Holds);
        let better = over(800.0, 50.0, three, MaterialGroup::Iiia);
        assert_eq!(better.verdict, Verdict::Holds);
        let cleaner = over(800.0, 50.0, PollutionDegree::Two, worst);
        assert_eq!(cleaner.verdict, Verdict::Holds);
    }

    fn kinds() -> impl Strategy<Value = (f32, f32, f32, usize, usize, usize, usize, bool)> {
        (
            1.0..1500.0_f32,
            0.0..11_000.0_f32,
            1.0..60_000.0_f32,
            0..3_usize,
            0..4_usize,
            0..4_usize,
            0..3_usize,
            any::<bool>(),
        )
    }

    fn build(k: (f32, f32, f32, usize, usize, usize, usize, bool)) -> SpacingInput {
        let surfaces = [Surface::Plain, Surface::Ribbed, Surface::PrintedWiring];
        SpacingInput {
            altitude: Altitude::from_metres(k.1).unwrap(),
            impulse: if k.7 {
                Impulse::Entered(volts(k.2.max(k.0)))
            } else {
                Impulse::Rated {
                    system: volts(k.0),
                    category: OvervoltageCategory::ALL[k.4],
                }
            },
            temporary: if k.7 {
                TemporaryOvervoltage::Mains {
                    nominal: volts(k.0),
                }
            } else {
                TemporaryOvervoltage::NotFromMains
            },
            pollution: PollutionDegree::ALL[k.3],
            group: MaterialGroup::ALL[k.5],
            surface: surfaces[k.6],
            ..input(k.0)
        }
    }

    /// Clearance and creepage distance in mm.
    fn both(input: &SpacingInput) -> (f32, f32) {
        let found = spacing(input).unwrap();
        let CreepageOutcome::Distance(creepage) = found.creepage else {
            return (found.clearance.distance.as_mm(), f32::INFINITY);
        };
        (found.clearance.distance.as_mm(), creepage.distance.as_mm())
    }

    fn not_less(worse: &SpacingInput, base: &SpacingInput) -> Result<(), TestCaseError> {
        let (base, worse) = (both(base), both(worse));
        // Two interpolations of one table may round differently: 1e-6 of the value.
        prop_assert!(
            worse.0 >= base.0 * (1.0 - 1e-6),
            "clearance {base:?} {worse:?}"
        );
        prop_assert!(
            worse.1 >= base.1 * (1.0 - 1e-6),
            "creepage {base:?} {worse:?}"
        );
        Ok(())
    }

    fn anything() -> impl Strategy<Value = f32> {
        prop_oneof![
            1 => any::<u32>().prop_map(f32::from_bits),
            1 => prop_oneof![Just(0.0), Just(-0.0), Just(f32::MIN_POSITIVE), Just(f32::NAN)],
            6 => 0.5..20_000.0_f32,
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(512))]

        #[test]
        fn more_voltage_never_asks_for_less(k in kinds(), rise in 1.0..2.0_f32) {
            let base = build(k);
            let more = (k.0 * rise).min(1500.0);
            let mut worse = build((more, k.1, k.2, k.3, k.4, k.5, k.6, k.7));
            not_less(&worse, &base)?;
            worse = base;
            if let Impulse::Entered(impulse) = base.impulse {
                worse.impulse = Impulse::Entered(volts((impulse.as_volts() * rise).min(62_000.0)));
            }
            not_less(&worse, &base)?;
        }

        #[test]
        fn more_altitude_dirt_or_a_worse_material_never_asks_for_less(k in kinds(), up in 0.0..3000.0_f32) {
            let base = build(k);
            let higher = (k.1 + up).min(11_000.0);
            not_less(&SpacingInput { altitude: Altitude::from_metres(higher).unwrap(), ..base }, &base)?;
            not_less(&SpacingInput { pollution: PollutionDegree::ALL[k.3 + 1], ..base }, &base)?;
            if let Some(&group) = MaterialGroup::ALL.get(k.5 + 1) {
                not_less(&SpacingInput { group, ..base }, &base)?;
            }
        }

        #[test]
        fn reinforced_never_asks_for_less_than_basic(k in kinds()) {
            let base = build(k);
            not_less(&SpacingInput { insulation: Insulation::Reinforced, ..base }, &base)?;
        }

        #[test]
        fn the_creepage_distance_is_never_below_the_clearance(k in kinds()) {
            let (clearance, creepage) = both(&build(k));
            prop_assert!(creepage >= clearance);
        }

        #[test]
        fn interpolation_does_not_jump(v in 1.0..1499.0_f32, impulse in 1.0..60_000.0_f32) {
            let base = SpacingInput { impulse: Impulse::Entered(volts(impulse.max(v))), ..input(v) };
            let next = SpacingInput {
                working: volts(v * 1.0001),
                impulse: Impulse::Entered(volts(impulse.max(v) * 1.0001)),
                ..base
            };
            let (base, next) = (both(&base), both(&next));
            // Steepest slopes: creepage 0.4 -> 0.42 in 10 -> 12.5 V and 1.6 -> 2 in 320 -> 400 V,
            // so below twice in proportion; clearance 0.25 -> 0.5 in 1.2 -> 1.5 kV and
            // 0.15 -> 0.25 in 1 -> 1.2 kV (peaks 0.04 -> 0.13 in 0.5 -> 0.8 kV): below 5 times.
            prop_assert!(next.0 - base.0 <= 5.0e-4 * base.0 + 1e-6, "{base:?} {next:?}");
            prop_assert!(next.1 - base.1 <= 5.0e-4 * base.1 + 1e-6, "{base:?} {next:?}");
        }

        #[test]
        fn whatever_is_entered_the_answer_is_finite_or_an_error(
            values in proptest::collection::vec(anything(), 5), insulation in 0..4_usize, pollution in 0..4_usize,
        ) {
            let [a, b, c, d, e] = [values[0], values[1], values[2], values[3], values[4]];
            let (Ok(working), Ok(peak), Ok(impulse), Ok(altitude)) = (
                Voltage::from_volts(a), Voltage::from_volts(b),
                Voltage::from_volts(c), Altitude::from_metres(d),
            ) else { return Ok(()) };
            let _ = ComparativeTrackingIndex::from_index(e);
            let found = spacing(&SpacingInput {
                recurring_peak: Some(peak),
                impulse: Impulse::Entered(impulse),
                temporary: TemporaryOvervoltage::Entered(peak),
                altitude,
                insulation: Insulation::ALL[insulation],
                pollution: PollutionDegree::ALL[pollution],
                working,
                ..input(400.0)
            });
            if let Ok(found) = found {
                prop_assert!(found.clearance.distance.as_mm() > 0.0);
            }
        }
    }
}
