//! Where verdicts turn: at that value the rule holds, just beyond it fails; applied to
//! what fails, it mends it.

use std::collections::BTreeSet;

use orangeloom_core::review::{Aspect, Finding, Input, RuleId, Scratch, Turning, turning};
use orangeloom_core::verdict::Verdict;

use crate::edit::{self, Edit};
use crate::harness::rows;
use orangeloom_tests::fixture;
use orangeloom_tests::reviewed::Reviewed;

/// The verdict about the same thing in a changed design.
fn again(reviewed: &Reviewed, of: &Finding) -> Verdict {
    // Lugs and glands are judged at their end, whatever is too much or too little there;
    // of the rest a phase or a piece of the route may change.
    let kind = |one: &Finding| match one.judged.name {
        Aspect::LugLarge => Aspect::LugSmall,
        Aspect::LugOverStud => Aspect::LugHole,
        name => name,
    };
    let same = |one: &&Finding| {
        one.thing == of.thing
            && kind(one) == kind(of)
            && (!edit::is_terminal(of.at) || one.at == of.at)
            && (edit::is_terminal(of.at) || one.judged.side == of.judged.side)
    };
    let findings = reviewed.findings(of.rule);
    findings
        .iter()
        .filter(same)
        .fold(Verdict::NotApplicable, |worst, one| {
            worst.worse(one.judged.verdict)
        })
}

fn applied(reviewed: &Reviewed, turning: &Turning) -> Reviewed {
    let mut design = reviewed.design.clone();
    let applied = turning.apply(&mut design);
    applied.unwrap_or_else(|| panic!("{turning:?}"));
    Reviewed::new(design)
}

fn turning_of(reviewed: &Reviewed, finding: &Finding) -> Option<Turning> {
    let scratch = &mut Box::<Scratch>::default();
    turning(
        &reviewed.design,
        reviewed.studies(),
        finding,
        &mut **scratch,
    )
}

/// Whatever a row makes fail by a number that a builder can move is mended.
#[test]
fn what_fails_is_mended() {
    let mut mended: BTreeSet<&str> = BTreeSet::new();
    for row in rows() {
        for probe in row
            .probes
            .iter()
            .filter(|probe| probe.verdict == Verdict::Fails)
        {
            let reviewed = edit::reviewed(probe.edits);
            for finding in reviewed.findings(row.rule) {
                if finding.judged.verdict != Verdict::Fails {
                    continue;
                }
                let Some(turning) = turning_of(&reviewed, &finding) else {
                    continue;
                };
                mended.insert(row.rule.slug());
                let after = applied(&reviewed, &turning);
                let verdict = again(&after, &finding);
                assert_eq!(verdict, Verdict::Holds, "{}: {turning:?}", row.rule.slug());
                // Once is enough for pairs of conductors.
                break;
            }
        }
    }
    let expected: BTreeSet<&str> = MENDED.iter().map(|rule| rule.slug()).collect();
    assert_eq!(mended, expected);
}

/// Rules with a change that mends them.
const MENDED: &[RuleId] = &[
    RuleId::PackVoltageWindow,
    RuleId::LoadVoltageWindow,
    RuleId::StringCurrentShare,
    RuleId::StringJoinWindow,
    RuleId::StringLostLimit,
    RuleId::ConductorTemperature,
    RuleId::ConductorPeakTemperature,
    RuleId::TerminalTemperature,
    RuleId::VoltageDrop,
    RuleId::ConductorShortCircuit,
    RuleId::ReducedSectionTap,
    RuleId::OverloadOwner,
    RuleId::FuseDcVoltage,
    RuleId::FuseTimeConstant,
    RuleId::FuseBreakingCapacity,
    RuleId::FuseContinuous,
    RuleId::FuseCyclic,
    RuleId::FuseContactorMatch,
    RuleId::FuseSelectivity,
    RuleId::FuseFedByCapacitor,
    RuleId::BondSection,
    RuleId::ContactorCarry,
    RuleId::ContactorMake,
    RuleId::ContactorBreak,
    RuleId::ContactorDirection,
    RuleId::ContactorVoltage,
    RuleId::CoilSupply,
    RuleId::PrechargeEnergy,
    RuleId::PrechargePeak,
    RuleId::PrechargeStuck,
    RuleId::PrechargeTime,
    RuleId::PrechargeStandingLoad,
    RuleId::PrechargeThreshold,
    RuleId::DischargePassive,
    RuleId::DischargeActive,
    RuleId::DischargeAgainstWeld,
    RuleId::Clearance,
    RuleId::Creepage,
    RuleId::ReinforcedToLv,
    RuleId::IsolationBudget,
    RuleId::IsolationMonitorRange,
    RuleId::LugFitsCable,
    RuleId::LugFitsStud,
    RuleId::GlandFitsCable,
    RuleId::ConverterCapacity,
    RuleId::LvReserve,
];

/// The same of every kind of finding that fails in a demonstration.
#[test]
fn what_fails_in_a_demonstration_is_mended() {
    let mut mended: BTreeSet<&str> = BTreeSet::new();
    for name in fixture::TWINS {
        let reviewed = Reviewed::new(fixture::design(name));
        let mut seen = BTreeSet::new();
        for rule in RuleId::ALL {
            for finding in reviewed.findings(*rule) {
                let kind = (rule, format!("{:?}", finding.judged.name));
                if finding.judged.verdict != Verdict::Fails || seen.contains(&kind) {
                    continue;
                }
                let Some(turning) = turning_of(&reviewed, &finding) else {
                    continue;
                };
                seen.insert(kind);
                let verdict = again(&applied(&reviewed, &turning), &finding);
                // What else is not known would leave it open: then nothing is proposed.
                let slug = rule.slug();
                assert_eq!(verdict, Verdict::Holds, "{name} {slug}: {turning:?}");
                mended.insert(slug);
            }
        }
    }
    for rule in OF_DEMONSTRATIONS {
        assert!(mended.contains(rule.slug()), "{mended:?}");
    }
}

/// Rules that no row makes fail, and one of the demonstrations does.
const OF_DEMONSTRATIONS: &[RuleId] = &[RuleId::LugFitsCable];

/// What holds holds up to its turning point, and not a little further.
#[test]
fn what_holds_holds_up_to_where_it_turns() {
    let reviewed = edit::reviewed(&[]);
    let mut seen = BTreeSet::new();
    for row in rows() {
        for finding in reviewed.findings(row.rule) {
            let Some(turning) = turning_of(&reviewed, &finding) else {
                continue;
            };
            // One of each kind is enough.
            if !seen.insert((row.rule, format!("{:?}", finding.judged.name))) {
                continue;
            }
            let at = applied(&reviewed, &turning);
            let verdict = again(&at, &finding);
            assert_eq!(verdict, Verdict::Holds, "{} {turning:?}", row.rule.slug());
            let now = turning.now.unwrap();
            let step = match turning.input {
                // The last step of the halvings.
                Input::ZoneAir => 0.15,
                // In seconds and farads a hundredth is beyond zero.
                Input::FuseTimeConstant | Input::MonitorCapacitance => 0.01 * turning.turns_at,
                _ => 0.01_f32.max(1.0e-4 * turning.turns_at.abs()),
            };
            let further = turning.turns_at + (turning.turns_at - now).signum() * step;
            let mut step = turning;
            step.turns_at = further;
            let beyond = again(&applied(&reviewed, &step), &finding);
            assert_ne!(beyond, Verdict::Holds, "{} {step:?}", row.rule.slug());
        }
    }
    assert!(seen.len() > 15, "{seen:?}");
}

/// The sections are those of IEC 60228: after 6 mm2 come 10 and 16.
#[test]
fn a_cable_that_is_too_thin_is_told_the_next_that_is_not() {
    let thin = edit::reviewed(&[
        Edit::Set("conductor/02+/cable", "\"HV 6\""),
        Edit::Set("conductor/02-/cable", "\"HV 6\""),
    ]);
    let findings = thin.findings(RuleId::ConductorTemperature);
    let hot: Vec<_> = findings
        .iter()
        .filter(|one| one.judged.verdict == Verdict::Fails)
        .collect();
    assert_eq!(hot.len(), 2);
    for finding in hot {
        let turning = turning_of(&thin, finding).unwrap();
        assert_eq!(turning.input, Input::Section);
        assert_eq!(turning.now, Some(6.0));
        assert!([10.0, 16.0].contains(&turning.turns_at), "{turning:?}");
        // The section below it does not do.
        let after = applied(&thin, &turning);
        assert_eq!(again(&after, finding), Verdict::Holds);
    }
}

/// The row of the rule works the section out by hand: 6.7 mm2, in 216 strands.
#[test]
fn a_shield_that_is_too_thin_is_told_the_section_that_stands() {
    const THIN: &str = "{ under = \"12 mm\", strand = \"0.15 mm\", carriers = 24, ends = 9, lay = \"60 mm\", resistivity = \"1.8e-8 ohm m\" }";
    let thin = edit::reviewed(&[Edit::Set("cable-type/HV 50/braid", THIN)]);
    let mut shields = Vec::new();
    for finding in thin.findings(RuleId::BondSection) {
        let fails = finding.judged.verdict == Verdict::Fails;
        if !fails || finding.judged.name != Aspect::ShieldSection {
            continue;
        }
        let name = thin.design.name(finding.thing).unwrap();
        let turning = turning_of(&thin, &finding).unwrap();
        assert_eq!(turning.input, Input::ShieldSection);
        // 216 strands of 0.15 mm; some roundings of f32.
        let now = 216.0 * core::f32::consts::FRAC_PI_4 * 0.15 * 0.15;
        assert!((turning.now.unwrap() / now - 1.0).abs() < 1.0e-5);
        assert_eq!(again(&applied(&thin, &turning), &finding), Verdict::Holds);
        let mut less = turning;
        less.turns_at *= 0.999;
        assert_eq!(again(&applied(&thin, &less), &finding), Verdict::Fails);
        shields.push((name, turning.turns_at));
    }
    // Strands of 0.2 mm, 6.79 mm2, hold in the base, so that none needs more. Two digits, as
    // the row of the rule has.
    assert!(shields.iter().all(|(_, mm2)| *mm2 < 6.79), "{shields:?}");
    let worst = shields.iter().find(|(name, _)| *name == "05-");
    let (_, worst) = worst.unwrap_or_else(|| panic!("{shields:?}"));
    assert!((worst - 6.7).abs() < 0.05, "{shields:?}");
}
