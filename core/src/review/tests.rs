use std::string::String;
use std::vec::Vec;

use super::*;
use crate::design::{
    Attestation, Battery, Cell, Date, Fuse, FuseType, Load, Role, Signature, Terminal, TerminalId,
    TimeOfDay,
};
use crate::fault::FaultWorkspace;
use crate::insulation::Domain;
use crate::network::Workspace;
use crate::quantity::Voltage;
use crate::study::insulation::InsulationStudy;
use crate::study::{FaultBurdens, Study};

/// Slugs that were published, in the order of the checklist. A line is added here with a
/// rule; none is ever taken away or changed.
const PUBLISHED: &str = include_str!("slugs.txt");

#[test]
fn slugs_never_vanish_or_repeat() {
    let mut known = Vec::new();
    for slug in PUBLISHED.lines() {
        assert!(RuleId::find(slug).is_some(), "{slug} is gone");
        assert!(!known.contains(&slug), "{slug} twice");
        known.push(slug);
    }
    for id in RuleId::ALL {
        assert!(known.contains(&id.slug()), "add {} to slugs.txt", id.slug());
        assert!(!id.rule().sources.is_empty(), "{}", id.slug());
    }
    assert_eq!(known.len(), RuleId::ALL.len());
}

#[cfg(feature = "text")]
#[test]
fn every_rule_is_told_in_sentences() {
    for id in RuleId::ALL {
        let prose = id.prose();
        for text in [prose.checks, prose.why, prose.cure] {
            assert!(text.ends_with('.'), "{}: {text}", id.slug());
        }
    }
    for aspect in Aspect::ALL {
        assert!(!aspect.value_words().is_empty() && !aspect.limit_words().is_empty());
    }
}

fn findings(design: &Design, rule: RuleId) -> Vec<Finding> {
    let mut study = std::boxed::Box::new(Study::new());
    study.compute(design, &mut std::boxed::Box::new(Workspace::new()));
    let insulation = InsulationStudy::find(design);
    let mut faults = std::boxed::Box::new(FaultBurdens::new());
    let workspace = &mut std::boxed::Box::new(FaultWorkspace::new());
    faults.solve(design, workspace, &mut |_, _| {}).unwrap();
    let studies = Studies {
        study: &study,
        insulation: &insulation,
        faults: &faults,
    };
    let mut found = Vec::new();
    review_rules(design, studies, [rule], &mut |one| {
        found.push(one);
    });
    found
}

fn verdict(design: &Design, rule: RuleId) -> Verdict {
    let found = findings(design, rule);
    assert!(!found.is_empty(), "{}", rule.slug());
    found.iter().fold(Verdict::NotApplicable, |worst, one| {
        worst.worse(one.judged.verdict)
    })
}

/// A battery of 100 V full, a fuse on it, a load behind it.
fn small() -> std::boxed::Box<Design> {
    let mut design = std::boxed::Box::new(Design::new(Domain::Road));
    let text = |design: &mut Design, name: &str| design.put_text(name).unwrap();
    let ends: Vec<TerminalId> = ["B.-", "B.+", "out"]
        .into_iter()
        .map(|name| {
            let name = text(&mut design, name);
            design.add(Terminal::new(name)).unwrap()
        })
        .collect();
    let name = text(&mut design, "B");
    let cell = Cell {
        maximum: Some(Voltage::from_volts(4.0).unwrap()),
        ..Cell::default()
    };
    let poles = [ends[0], ends[1]];
    design
        .add(Battery::new(
            name,
            crate::design::System::Traction,
            poles,
            [25, 1],
            cell,
        ))
        .unwrap();
    let name = text(&mut design, "F1");
    design.add(Fuse::new(name, [ends[1], ends[2]])).unwrap();
    let name = text(&mut design, "heater");
    design
        .add(Load::new(name, Role::Consumer, [ends[2], ends[0]]))
        .unwrap();
    design
}

fn with_fuse(volts: Option<f32>) -> std::boxed::Box<Design> {
    let mut design = small();
    let name = design.put_text("type").unwrap();
    let part = design
        .add(FuseType {
            voltage: volts.map(|volts| Voltage::from_volts(volts).unwrap()),
            ..FuseType::new(name)
        })
        .unwrap();
    let fuse = design.find::<Fuse>("F1").unwrap();
    design.get_mut(fuse).unwrap().part = Some(part);
    design
}

#[test]
fn a_fuse_is_judged_at_below_and_above_its_voltage() {
    let rule = RuleId::FuseDcVoltage;
    // 100 V and 1 % that nobody states otherwise.
    assert_eq!(verdict(&with_fuse(Some(101.0)), rule), Verdict::Holds);
    assert_eq!(verdict(&with_fuse(Some(101.1)), rule), Verdict::Holds);
    assert_eq!(verdict(&with_fuse(Some(100.9)), rule), Verdict::Fails);
    assert_eq!(verdict(&with_fuse(None), rule), Verdict::Open);
    assert_eq!(verdict(&small(), rule), Verdict::Open);
}

#[test]
fn a_string_with_a_fuse_at_its_end_has_one() {
    assert_eq!(
        verdict(&small(), RuleId::FusePerStringAtSource),
        Verdict::Holds
    );
}

fn attest(
    design: &mut Design,
    slug: &str,
    holds: bool,
    initials: bool,
    date: bool,
    revision: &str,
) {
    let rule = design.put_text(slug).unwrap();
    let text = design.put_text("EM").unwrap();
    let revision = design.put_text(revision).unwrap();
    let signature = Signature {
        initials: initials.then_some(text),
        date: date.then(|| Date::new(2026, 3, 14).unwrap()),
        revision: Some(revision),
        ..Signature::default()
    };
    let signature = Some(design.add_signature(signature).unwrap());
    let about = Thing::VEHICLE;
    let attestation = Attestation {
        rule,
        about,
        holds,
        photo: None,
        signature,
    };
    design.add(attestation).unwrap();
}

#[test]
fn an_attestation_counts_with_who_when_and_the_revision_in_force() {
    let rule = RuleId::StopAndCrash;
    let judged = |holds, initials, date, revision: &str| {
        let mut design = small();
        design.vehicle.revision = Some(design.put_text("B").unwrap());
        attest(&mut design, rule.slug(), holds, initials, date, revision);
        verdict(&design, rule)
    };
    assert_eq!(verdict(&small(), rule), Verdict::Open);
    assert_eq!(judged(true, true, true, "B"), Verdict::Holds);
    assert_eq!(judged(true, false, true, "B"), Verdict::Open);
    assert_eq!(judged(true, true, false, "B"), Verdict::Open);
    assert_eq!(judged(true, true, true, "A"), Verdict::Open);
    assert_eq!(judged(false, false, false, "A"), Verdict::Fails);
}

#[test]
fn of_two_attestations_the_later_counts_and_of_one_time_the_no() {
    let rule = RuleId::StopAndCrash;
    let at = |records: &[(bool, Option<u8>, Option<u8>)]| {
        let mut design = small();
        let revision = design.put_text("B").unwrap();
        let initials = design.put_text("EM").unwrap();
        design.vehicle.revision = Some(revision);
        for (holds, day, hour) in records {
            let signature = Signature {
                initials: Some(initials),
                date: day.map(|day| Date::new(2026, 3, day).unwrap()),
                time: hour.map(|hour| TimeOfDay::new(hour, 30).unwrap()),
                revision: Some(revision),
                ..Signature::default()
            };
            let attestation = Attestation {
                rule: design.put_text(rule.slug()).unwrap(),
                about: Thing::VEHICLE,
                holds: *holds,
                photo: None,
                signature: Some(design.add_signature(signature).unwrap()),
            };
            design.add(attestation).unwrap();
        }
        verdict(&design, rule)
    };
    let judged = |records: &[(bool, Option<u8>)]| {
        let records: Vec<_> = records
            .iter()
            .map(|(holds, day)| (*holds, *day, None))
            .collect();
        at(&records)
    };
    let (yes, no) = (true, false);
    assert_eq!(judged(&[(no, Some(1)), (yes, Some(2))]), Verdict::Holds);
    assert_eq!(judged(&[(yes, Some(2)), (no, Some(1))]), Verdict::Holds);
    assert_eq!(judged(&[(yes, Some(1)), (no, Some(2))]), Verdict::Fails);
    assert_eq!(judged(&[(no, Some(2)), (yes, Some(1))]), Verdict::Fails);
    assert_eq!(judged(&[(yes, Some(1)), (no, Some(1))]), Verdict::Fails);
    assert_eq!(judged(&[(no, None), (yes, Some(2))]), Verdict::Fails);
    assert_eq!(judged(&[(no, Some(1)), (yes, None)]), Verdict::Fails);
    assert_eq!(
        judged(&[(no, Some(1)), (no, None), (yes, Some(9))]),
        Verdict::Fails
    );
    // Found and mended on one day.
    let (nine, ten, eleven) = (Some(9), Some(10), Some(11));
    let day = Some(1);
    for (records, stands) in [
        (&[(no, day, nine), (yes, day, eleven)][..], Verdict::Holds),
        (&[(no, day, eleven), (yes, day, nine)], Verdict::Fails),
        (&[(no, day, nine), (yes, day, nine)], Verdict::Fails),
        (&[(no, day, None), (yes, day, eleven)], Verdict::Fails),
        (&[(no, day, nine), (yes, day, None)], Verdict::Fails),
        (
            &[(no, day, nine), (no, day, ten), (yes, day, eleven)],
            Verdict::Holds,
        ),
        (
            &[(no, day, nine), (no, day, None), (yes, day, eleven)],
            Verdict::Fails,
        ),
        (
            &[(no, day, nine), (yes, day, ten), (no, day, eleven)],
            Verdict::Fails,
        ),
        (
            &[(no, day, nine), (yes, day, eleven), (yes, day, None)],
            Verdict::Holds,
        ),
    ] {
        let backwards: Vec<_> = records.iter().rev().copied().collect();
        assert_eq!(at(records), stands, "{records:?}");
        assert_eq!(at(&backwards), stands, "{backwards:?}");
    }
}

#[test]
fn an_empty_design_passes_nothing_of_severity_stop_by_silence() {
    let design = std::boxed::Box::new(Design::new(Domain::Road));
    let mut held: Vec<String> = Vec::new();
    for id in RuleId::ALL {
        if verdict(&design, *id) == Verdict::Holds {
            held.push(id.slug().into());
        }
    }
    assert!(held.is_empty(), "{held:?}");
}
