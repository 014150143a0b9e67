//! The shortest way over a surface that is allowed.

use super::steps::{StepKind, StepValue, Steps, mark, push};
use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::{Length, Voltage};
use crate::standard::SourceId;
use crate::standard::iec60664::{Insulation, MaterialGroup, PollutionDegree};
use crate::standard::iec60664_creepage::{
    RIB_HEIGHT_MM, RIB_HEIGHT_SHARE, RIB_WIDTH_SHARE, Surface, creepage_distance, groove_width,
    not_recommended, rib_counted_at,
};

/// What a creepage distance depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct CreepageInput {
    /// Working voltage across the surface, direct or r.m.s.; the highest that
    /// lasts, not a transient.
    pub working: Voltage,
    /// Pollution degree.
    pub pollution: PollutionDegree,
    /// Material group of the surface.
    pub group: MaterialGroup,
    /// What the path runs over.
    pub surface: Surface,
    /// What the insulation is relied upon for.
    pub insulation: Insulation,
    /// Required clearance of the same insulation.
    pub clearance: Length,
}

/// The rib that a smaller creepage distance relies upon.
///
/// Height `max(2 mm, 25 % d)`, width `20 % d`. The standard takes the shares of the
/// required creepage distance with the rib in it (from memory). Here `d` is the
/// distance that would be required without the rib, which is never less, so the rib
/// comes out large enough whichever of both is meant. Several ribs in a row are outside
/// this rule: enter the surface and take the plain distance.
///
/// Source: IEC 60664-1:2007, Table F.4 footnote 4 (seen); clause on ribs, 5.2.5 (from
/// memory).
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Rib {
    /// Least height.
    pub height: Length,
    /// Least width.
    pub width: Length,
}

/// A required creepage distance.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Creepage {
    /// The requirement.
    pub distance: Length,
    /// Grooves narrower than this do not lengthen the path.
    pub groove_width: Length,
    /// The standard does not recommend this material here: group `IIIb` in
    /// pollution degree 3 above 630 V. Take a better one or keep the box clean.
    pub material_not_recommended: bool,
    /// The rib that this distance relies upon; absent where no rib was entered or where
    /// a rib asks for no less: outside pollution degree 3, below 7.9 mm, above 2000 V, or
    /// where the clearance decides.
    pub rib: Option<Rib>,
    /// How it came about; the step that decided is flagged.
    pub steps: Steps,
}

/// What the computation of a creepage distance finds.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::large_enum_variant)] // both live on the stack for a moment
#[allow(clippy::exhaustive_enums)] // there is a distance or there is none
pub enum CreepageOutcome {
    /// This distance.
    Distance(Creepage),
    /// Pollution degree 4: the surface conducts while it is wet and no distance
    /// helps. Keep water and dirt off it (a sealed box, a coating, a
    /// drip edge), then compute with the degree that is left.
    NoDistanceHelps,
}

/// Creepage distance required over a surface.
///
/// Equation: `max(n d_F4(U), clearance)` with n = 2 for reinforced insulation,
/// otherwise 1. The voltage is taken as it is, not rounded to a rationalised one
/// (Table F.3a would round 440 V to 500 V and 600 V to 630 V). Not corrected for
/// altitude other than through the clearance.
///
/// Valid from 1 V to 10 kV; below 10 V the row for 10 V holds.
///
/// # Errors
/// [`Error::OutOfRange`] outside that range.
///
/// Source: IEC 60664-1:2007, 5.2 with Table F.4.
pub fn creepage(input: &CreepageInput) -> Result<CreepageOutcome, Error> {
    Bounded::WorkingVoltage.check(input.working.as_volts())?;
    let mut steps = Steps::new();
    let working = StepValue::Voltage(input.working);
    push(
        &mut steps,
        StepKind::WorkingVoltage,
        working,
        SourceId::Entered,
    )?;
    let Some((basic, source)) =
        creepage_distance(input.working, input.pollution, input.group, input.surface)?
    else {
        return Ok(CreepageOutcome::NoDistanceHelps);
    };
    push(
        &mut steps,
        StepKind::BasicCreepage,
        StepValue::Length(basic),
        source,
    )?;
    let mut distance = basic;
    let mut governing = StepKind::BasicCreepage;
    if input.insulation == Insulation::Reinforced {
        distance = Length::from_metres(basic.as_metres() * 2.0)?;
        governing = StepKind::ReinforcedCreepage;
        let doubled = StepValue::Length(distance);
        push(
            &mut steps,
            governing,
            doubled,
            SourceId::Iec60664ReinforcedCreepage,
        )?;
    }
    if input.clearance.as_metres() > distance.as_metres() {
        distance = input.clearance;
        governing = StepKind::CreepageFloor;
        let floor = StepValue::Length(distance);
        push(
            &mut steps,
            governing,
            floor,
            SourceId::Iec60664CreepageFloor,
        )?;
    }
    mark(&mut steps, governing);
    let deciding = steps
        .iter()
        .find(|step| step.governs)
        .map_or(source, |step| step.source);
    push(
        &mut steps,
        StepKind::Creepage,
        StepValue::Length(distance),
        deciding,
    )?;
    let groove_width = groove_width(input.pollution, input.clearance)?;
    let groove = StepValue::Length(groove_width);
    push(
        &mut steps,
        StepKind::GrooveWidth,
        groove,
        SourceId::Iec60664Groove,
    )?;
    let rib = rib(input, distance)?;
    if let Some(rib) = rib {
        for (kind, length) in [
            (StepKind::RibHeight, rib.height),
            (StepKind::RibWidth, rib.width),
        ] {
            let value = StepValue::Length(length);
            push(&mut steps, kind, value, SourceId::Iec60664Rib)?;
        }
    }
    Ok(CreepageOutcome::Distance(Creepage {
        distance,
        rib,
        groove_width,
        material_not_recommended: not_recommended(input.working, input.pollution, input.group),
        steps,
    }))
}

/// The rib that a distance relies upon, if it is smaller for it.
fn rib(input: &CreepageInput, distance: Length) -> Result<Option<Rib>, Error> {
    if input.surface != Surface::Ribbed {
        return Ok(None);
    }
    let plain_at =
        |working| creepage_distance(working, input.pollution, input.group, Surface::Plain);
    let counted_at = rib_counted_at(input.working, input.group);
    let (Some((plain, _)), Some((larger, _))) = (plain_at(input.working)?, plain_at(counted_at)?)
    else {
        return Ok(None);
    };
    let times = if input.insulation == Insulation::Reinforced {
        2.0
    } else {
        1.0
    };
    let without = (plain.as_metres() * times).max(input.clearance.as_metres());
    if without <= distance.as_metres() {
        return Ok(None);
    }
    let least = Length::from_mm(RIB_HEIGHT_MM)?.as_metres();
    let belongs_to = (larger.as_metres() * times).max(without);
    Ok(Some(Rib {
        height: Length::from_metres((belongs_to * RIB_HEIGHT_SHARE).max(least))?,
        width: Length::from_metres(belongs_to * RIB_WIDTH_SHARE)?,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn input() -> CreepageInput {
        CreepageInput {
            working: Voltage::from_volts(800.0).unwrap(),
            pollution: PollutionDegree::Three,
            group: MaterialGroup::Iiib,
            surface: Surface::Plain,
            insulation: Insulation::Reinforced,
            clearance: Length::from_mm(8.0).unwrap(),
        }
    }

    fn distance(input: &CreepageInput) -> Creepage {
        match creepage(input).unwrap() {
            CreepageOutcome::Distance(found) => found,
            CreepageOutcome::NoDistanceHelps => panic!("a distance was expected"),
        }
    }

    #[test]
    fn reinforced_is_twice_the_basic_distance() {
        let found = distance(&input());
        // 12.5 mm at 800 V, group III, pollution degree 3, Table F.4.
        assert!((found.distance.as_mm() - 25.0).abs() < 1e-5);
        assert!(found.material_not_recommended);
        assert_eq!(found.steps.iter().filter(|step| step.governs).count(), 1);
    }

    #[test]
    fn the_clearance_is_the_floor() {
        let found = distance(&CreepageInput {
            clearance: Length::from_mm(30.0).unwrap(),
            ..input()
        });
        assert!((found.distance.as_mm() - 30.0).abs() < 1e-5);
        let governing = found.steps.iter().find(|step| step.governs).unwrap();
        assert_eq!(governing.kind, StepKind::CreepageFloor);
    }

    // Table F.4 (seen); shares of 5.2.5 from memory.
    #[test]
    fn a_smaller_distance_names_the_rib_it_relies_upon() {
        let ribbed = CreepageInput {
            surface: Surface::Ribbed,
            insulation: Insulation::Basic,
            clearance: Length::from_mm(5.5).unwrap(),
            ..input()
        };
        let found = distance(&ribbed);
        // 12.5 mm at 800 V, 10.2 mm with a rib.
        assert!((found.distance.as_mm() - 10.2).abs() < 1e-5);
        let rib = found.rib.unwrap();
        assert!((rib.height.as_mm() - 0.25 * 12.5).abs() < 1e-5);
        assert!((rib.width.as_mm() - 0.2 * 12.5).abs() < 1e-5);
        let named = |kind| found.steps.iter().any(|step| step.kind == kind);
        assert!(named(StepKind::RibHeight) && named(StepKind::RibWidth));
        // 25 % of 8 mm: the 2 mm of the footnote and the share meet.
        let low = distance(&CreepageInput {
            working: Voltage::from_volts(500.0).unwrap(),
            ..ribbed
        });
        assert!((low.rib.unwrap().height.as_mm() - 2.0).abs() < 1e-5);
        // 499 V is insulated as 500 V, so its rib is that of 8.0 mm.
        let between = distance(&CreepageInput {
            working: Voltage::from_volts(499.0).unwrap(),
            ..ribbed
        });
        assert!((between.distance.as_mm() - 7.9).abs() < 1e-5);
        assert_eq!(between.rib, low.rib);
    }

    #[test]
    fn a_rib_that_changes_nothing_is_not_named() {
        let ribbed = CreepageInput {
            surface: Surface::Ribbed,
            insulation: Insulation::Basic,
            ..input()
        };
        for useless in [
            CreepageInput {
                pollution: PollutionDegree::Two,
                ..ribbed
            },
            CreepageInput {
                working: Voltage::from_volts(450.0).unwrap(),
                ..ribbed
            },
            // The clearance decides with and without it.
            CreepageInput {
                clearance: Length::from_mm(13.0).unwrap(),
                ..ribbed
            },
            CreepageInput {
                surface: Surface::Plain,
                ..ribbed
            },
        ] {
            let found = distance(&useless);
            assert_eq!(found.rib, None);
            assert!(!found.steps.iter().any(|s| s.kind == StepKind::RibHeight));
        }
    }

    #[test]
    fn a_wet_surface_has_no_distance() {
        let found = creepage(&CreepageInput {
            pollution: PollutionDegree::Four,
            ..input()
        });
        assert_eq!(found, Ok(CreepageOutcome::NoDistanceHelps));
    }

    #[test]
    fn twenty_kilovolts_and_zero_are_refused_with_their_range() {
        for bad in [0.0, 20_000.0] {
            let refused = creepage(&CreepageInput {
                working: Voltage::from_volts(bad).unwrap(),
                ..input()
            });
            assert!(matches!(
                refused,
                Err(Error::OutOfRange {
                    what: Bounded::WorkingVoltage,
                    ..
                })
            ));
        }
    }
}
