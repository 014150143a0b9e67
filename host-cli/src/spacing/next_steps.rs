//! What a builder can do where an entered distance fails, or no distance helps.
//!
//! Each alternative is computed by asking the core again with one input changed.

use core::fmt::Write;

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{
    CreepageOutcome, Impulse, Rib, Spacing, SpacingCheck, SpacingInput, StepKind, StepValue,
    barrier_height, groove_depth, spacing,
};
use orangeloom_core::quantity::{Altitude, Length};
use orangeloom_core::standard::iec60664::{Insulation, MaterialGroup, PollutionDegree};
use orangeloom_core::standard::iec60664_creepage::Surface;
use orangeloom_core::verdict::Verdict;

use super::names::{self, distance};
use crate::quantity_text::Units;

/// One thing to do.
pub(crate) struct NextStep {
    pub(crate) about: SpacingCheck,
    pub(crate) action: Action,
    /// What would be required then.
    pub(crate) required: Option<Length>,
    /// What the entered distance would be judged then.
    pub(crate) would: Option<Verdict>,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Action {
    /// Nothing helps while the surface is wet.
    KeepDry,
    /// The material is not recommended here at all.
    OtherMaterial,
    /// So much is missing.
    Missing { built: Length, required: Length },
    /// A groove so wide and deep, or a rib so high.
    GrooveOrRib { width: Length, depth: Length },
    /// A rib of this size, for which the table asks less.
    TableRib(Rib),
    /// A better material.
    Material(MaterialGroup),
    /// A cleaner surface.
    Pollution(PollutionDegree),
    /// A barrier half-way that stands so high above the straight line.
    Barrier(Length),
    /// Know or limit the impulse.
    LimitImpulse,
    /// Use below 2000 m only.
    StayBelow2000m,
    /// Basic insulation and a second protection in place of reinforced insulation.
    BasicAndSecond,
}

pub(crate) fn find(input: &SpacingInput, found: &Spacing) -> Result<Vec<NextStep>, Error> {
    let mut steps = Vec::new();
    match &found.creepage {
        CreepageOutcome::NoDistanceHelps => {
            steps.push(plain(SpacingCheck::Creepage, Action::KeepDry));
            for &pollution in PollutionDegree::ALL.iter().rev().skip(1) {
                let action = Action::Pollution(pollution);
                let dry = SpacingInput {
                    pollution,
                    ..*input
                };
                steps.extend(creepage_with(input, &dry, action)?);
            }
        }
        CreepageOutcome::Distance(required) => {
            if found.creepage_check.verdict == Verdict::Fails
                && let Some(built) = input.built_creepage
            {
                let action = Action::Missing {
                    built,
                    required: required.distance,
                };
                steps.push(plain(SpacingCheck::Creepage, action));
                let groove = Action::GrooveOrRib {
                    width: required.groove_width,
                    depth: groove_depth(required.distance, built)?,
                };
                steps.push(plain(SpacingCheck::Creepage, groove));
                steps.extend(other_surfaces(input, required.distance)?);
            }
            if required.material_not_recommended {
                steps.push(plain(SpacingCheck::Creepage, Action::OtherMaterial));
            }
        }
    }
    if found.clearance_check.verdict == Verdict::Fails
        && let Some(built) = input.built_clearance
    {
        steps.extend(through_air(input, found, built)?);
    }
    if input.insulation == Insulation::Reinforced {
        let basic = SpacingInput {
            insulation: Insulation::Basic,
            ..*input
        };
        let action = Action::BasicAndSecond;
        if found.clearance_check.verdict == Verdict::Fails {
            steps.extend(clearance_with(input, &basic, action)?);
        }
        if found.creepage_check.verdict == Verdict::Fails {
            steps.extend(creepage_with(input, &basic, action)?);
        }
    }
    Ok(steps)
}

/// Ribs, materials and cleanliness that ask for less creepage distance.
fn other_surfaces(input: &SpacingInput, required: Length) -> Result<Vec<NextStep>, Error> {
    let mut steps = Vec::new();
    if input.surface == Surface::Plain {
        let ribbed = SpacingInput {
            surface: Surface::Ribbed,
            ..*input
        };
        if let CreepageOutcome::Distance(found) = spacing(&ribbed)?.creepage
            && let Some(rib) = found.rib
        {
            steps.extend(creepage_with(input, &ribbed, Action::TableRib(rib))?);
        }
    }
    for &group in MaterialGroup::ALL
        .iter()
        .filter(|group| **group < input.group)
        .rev()
    {
        let better = SpacingInput { group, ..*input };
        steps.extend(creepage_with(input, &better, Action::Material(group))?);
    }
    for &pollution in PollutionDegree::ALL
        .iter()
        .filter(|degree| **degree < input.pollution)
        .rev()
    {
        let cleaner = SpacingInput {
            pollution,
            ..*input
        };
        steps.extend(creepage_with(
            input,
            &cleaner,
            Action::Pollution(pollution),
        )?);
    }
    // What changes nothing is no advice.
    steps.retain(|step| step.required.is_some_and(|other| other < required));
    Ok(steps)
}

fn through_air(
    input: &SpacingInput,
    found: &Spacing,
    built: Length,
) -> Result<Vec<NextStep>, Error> {
    let required = found.clearance.distance;
    let mut steps = vec![plain(
        SpacingCheck::Clearance,
        Action::Missing { built, required },
    )];
    steps.push(plain(
        SpacingCheck::Clearance,
        Action::Barrier(barrier_height(required, built)?),
    ));
    if found.clearance.governed_by == StepKind::ImpulseClearance
        && matches!(input.impulse, Impulse::Rated { .. })
    {
        steps.push(plain(SpacingCheck::Clearance, Action::LimitImpulse));
    }
    let raised = found.clearance.steps.iter().any(|step| {
        step.kind == StepKind::AltitudeFactor
            && matches!(step.value, StepValue::Factor(factor) if factor > 1.0)
    });
    if raised {
        let lower = SpacingInput {
            altitude: Altitude::from_metres(2000.0)?,
            ..*input
        };
        steps.extend(clearance_with(input, &lower, Action::StayBelow2000m)?);
    }
    Ok(steps)
}

fn plain(about: SpacingCheck, action: Action) -> NextStep {
    NextStep {
        about,
        action,
        required: None,
        would: None,
    }
}

fn creepage_with(
    input: &SpacingInput,
    changed: &SpacingInput,
    action: Action,
) -> Result<Option<NextStep>, Error> {
    let found = spacing(changed)?;
    let CreepageOutcome::Distance(creepage) = &found.creepage else {
        return Ok(None);
    };
    Ok(Some(NextStep {
        about: SpacingCheck::Creepage,
        action,
        required: Some(creepage.distance),
        would: input.built_creepage.map(|_| found.creepage_check.verdict),
    }))
}

fn clearance_with(
    input: &SpacingInput,
    changed: &SpacingInput,
    action: Action,
) -> Result<Option<NextStep>, Error> {
    let found = spacing(changed)?;
    Ok(Some(NextStep {
        about: SpacingCheck::Clearance,
        action,
        required: Some(found.clearance.distance),
        would: input.built_clearance.map(|_| found.clearance_check.verdict),
    }))
}

impl NextStep {
    /// The step as one line for people.
    pub(crate) fn words(&self, units: Units) -> String {
        let up = |length| distance(length, units);
        let mut words = match self.action {
            Action::KeepDry => "no distance helps while the surface is wet: keep water off it \
                                (a sealed box with breather and drain, a drip edge, potting, a \
                                coating), then ask again with the degree that is left"
                .to_owned(),
            Action::OtherMaterial => "take a material of group IIIa or better (its datasheet \
                                      states the CTI), or keep the surface cleaner"
                .to_owned(),
            Action::Missing { built, required } => {
                format!("{} are missing", names::difference(built, required, units))
            }
            Action::GrooveOrRib { width, depth } => format!(
                "a groove across the whole path at least {} wide and {} deep, or a rib that \
                 high, adds as much; check it with --profile",
                up(width),
                up(depth)
            ),
            Action::TableRib(rib) => format!(
                "with a rib across the whole path at least {} high and {} wide (size from \
                 memory; --surface ribbed)",
                up(rib.height),
                up(rib.width)
            ),
            Action::Material(group) => format!(
                "with a material of group {} ({})",
                group.word(),
                names::group_from(group)
            ),
            Action::Pollution(degree) => format!(
                "with pollution degree {} ({})",
                degree.number(),
                names::kept_by(degree)
            ),
            Action::Barrier(height) => format!(
                "a barrier of solid insulation half-way, without a gap, that stands at least \
                 {} above the straight line",
                up(height)
            ),
            Action::LimitImpulse => "the impulse voltage decides: if it is known to be lower, or \
                                     an arrester limits it, state it with --impulse"
                .to_owned(),
            Action::StayBelow2000m => "up to 2000 m only".to_owned(),
            Action::BasicAndSecond => "with basic insulation and a second protection that is \
                                       independent of it, in place of reinforced"
                .to_owned(),
        };
        if let Some(required) = self.required {
            // Writing into a string cannot fail.
            let _ = write!(words, ": {} are required", up(required));
        }
        match self.would {
            Some(Verdict::Holds) => words.push_str(", the entered distance would hold"),
            Some(Verdict::Open) => words.push_str(
                ", the entered distance would be long enough and stay open: the material is not \
                 recommended",
            ),
            Some(_) => words.push_str(", the entered distance would still fail"),
            None => {}
        }
        format!("{}: {words}", names::check(self.about))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orangeloom_core::insulation::{Profile, TemporaryOvervoltage};
    use orangeloom_core::quantity::Voltage;
    use orangeloom_core::standard::iec60664::OvervoltageCategory;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    fn mm(mm: f32) -> Length {
        Length::from_mm(mm).unwrap()
    }

    fn input(clearance: f32, creepage: f32) -> SpacingInput {
        SpacingInput {
            working: volts(806.4),
            alternating: false,
            recurring_peak: None,
            impulse: Impulse::Rated {
                system: volts(806.4),
                category: OvervoltageCategory::Two,
            },
            temporary: TemporaryOvervoltage::NotFromMains,
            pollution: PollutionDegree::Three,
            group: MaterialGroup::Iiia,
            surface: Surface::Plain,
            altitude: Altitude::from_metres(2300.0).unwrap(),
            insulation: Insulation::Basic,
            built_clearance: Some(mm(clearance)),
            built_creepage: Some(mm(creepage)),
        }
    }

    fn steps(input: &SpacingInput) -> Vec<NextStep> {
        find(input, &spacing(input).unwrap()).unwrap()
    }

    #[test]
    fn the_advised_groove_makes_the_path_long_enough() {
        let input = input(9.0, 10.0);
        let (width, depth) = steps(&input)
            .iter()
            .find_map(|step| match step.action {
                Action::GrooveOrRib { width, depth } => Some((width, depth)),
                _ => None,
            })
            .unwrap();
        let (right, down) = (4.0 + width.as_mm(), -depth.as_mm());
        let points = [
            (0.0, 0.0),
            (4.0, 0.0),
            (4.0, down),
            (right, down),
            (right, 0.0),
            (10.0, 0.0),
        ];
        let path = Profile::from_mm(&points).unwrap().creepage_path(width);
        let grooved = SpacingInput {
            built_creepage: Some(path.unwrap()),
            ..input
        };
        let found = spacing(&grooved).unwrap();
        assert_eq!(found.creepage_check.verdict, Verdict::Holds);
        // Not deeper than needed: f32 alone is left over, in mm.
        assert!(found.creepage_check.margin().unwrap() < 1e-4);
    }

    #[test]
    fn the_advised_barrier_makes_the_way_through_air_long_enough() {
        let input = input(5.0, 14.0);
        let height = steps(&input)
            .iter()
            .find_map(|step| match step.action {
                Action::Barrier(height) => Some(height.as_mm()),
                _ => None,
            })
            .unwrap();
        let points = [
            (0.0, 0.0),
            (2.5, 0.0),
            (2.5, height),
            (2.5, 0.0),
            (5.0, 0.0),
        ];
        let over = Profile::from_mm(&points).unwrap().air_path().unwrap();
        let found = spacing(&input).unwrap();
        // Two square roots in f32, in mm.
        assert!((over.as_mm() - found.clearance.distance.as_mm()).abs() < 1e-4);
    }

    #[test]
    fn an_alternative_that_is_said_to_hold_holds() {
        let input = input(5.0, 10.0);
        let found = steps(&input);
        for step in &found {
            let changed = match step.action {
                Action::Material(group) => SpacingInput { group, ..input },
                Action::Pollution(pollution) => SpacingInput { pollution, ..input },
                _ => continue,
            };
            let check = spacing(&changed).unwrap().creepage_check;
            assert_eq!(step.would, Some(check.verdict));
        }
        assert!(found.iter().any(|step| step.would == Some(Verdict::Holds)));
        assert!(found.iter().any(|step| step.would == Some(Verdict::Fails)));
    }

    #[test]
    fn the_advised_rib_is_the_one_that_the_requirement_relies_upon() {
        let advised = steps(&input(9.0, 10.0))
            .iter()
            .find_map(|step| match step.action {
                Action::TableRib(rib) => Some((rib, step.words(Units::Metric))),
                _ => None,
            });
        let (rib, words) = advised.unwrap();
        let ribbed = SpacingInput {
            surface: Surface::Ribbed,
            ..input(9.0, 10.0)
        };
        let CreepageOutcome::Distance(found) = spacing(&ribbed).unwrap().creepage else {
            panic!("a distance was expected")
        };
        assert_eq!(found.rib, Some(rib));
        // 25 % and 20 % of 12.62 mm, from memory.
        assert!(words.contains("3.16 mm high and 2.53 mm wide"), "{words}");
        // Nothing to gain below 8 mm.
        let low = SpacingInput {
            working: volts(400.0),
            built_creepage: Some(mm(5.0)),
            ..input(9.0, 5.0)
        };
        let none = steps(&low);
        assert!(!none.iter().any(|s| matches!(s.action, Action::TableRib(_))));
    }

    #[test]
    fn a_distance_over_a_material_that_is_not_recommended_is_not_said_to_hold() {
        let worst = SpacingInput {
            group: MaterialGroup::Iiib,
            ..input(9.0, 11.0)
        };
        let found = steps(&worst);
        let rib = found
            .iter()
            .find(|step| matches!(step.action, Action::TableRib(_)))
            .unwrap();
        assert_eq!(rib.would, Some(Verdict::Open));
        assert!(rib.words(Units::Metric).contains("stay open"));
    }

    #[test]
    fn nothing_is_advised_where_everything_holds() {
        assert!(steps(&input(9.0, 13.0)).is_empty());
    }
}
