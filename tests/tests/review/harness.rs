//! Every rule has a row, and every row is tried.

use std::collections::BTreeSet;

use orangeloom_core::review::{Finding, Proof, RuleId, Studies, review_rules};
use orangeloom_core::study::FaultBurdens;
use orangeloom_core::verdict::Verdict;

use crate::computed;
use crate::edit::{self, Edit};
use orangeloom_tests::fixture;
use orangeloom_tests::reviewed::{Reviewed, worst};

/// A change and what the rule has to say to it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Probe {
    pub(crate) edits: &'static [Edit],
    pub(crate) verdict: Verdict,
    /// Value and limit of one finding with that verdict, in the unit of its aspect.
    pub(crate) numbers: Option<[f32; 2]>,
}

/// What one rule is tried with.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    pub(crate) rule: RuleId,
    /// The clause that the limit comes from.
    pub(crate) clause: &'static str,
    pub(crate) probes: &'static [Probe],
    /// Why a verdict cannot occur, where it cannot.
    pub(crate) never: &'static [(Verdict, &'static str)],
}

pub(crate) const fn holds(edits: &'static [Edit], numbers: [f32; 2]) -> Probe {
    Probe {
        edits,
        verdict: Verdict::Holds,
        numbers: Some(numbers),
    }
}

pub(crate) const fn fails(edits: &'static [Edit], numbers: [f32; 2]) -> Probe {
    Probe {
        edits,
        verdict: Verdict::Fails,
        numbers: Some(numbers),
    }
}

/// Without numbers.
pub(crate) const fn says(verdict: Verdict, edits: &'static [Edit]) -> Probe {
    Probe {
        edits,
        verdict,
        numbers: None,
    }
}

pub(crate) const fn open(edits: &'static [Edit]) -> Probe {
    says(Verdict::Open, edits)
}

/// Numbers are written to four digits.
const SAME: f32 = 1.0e-3;

fn alike(one: Option<f32>, other: f32) -> bool {
    one.is_some_and(|one| (one - other).abs() <= SAME * other.abs().max(1.0e-9))
}

/// Rules that the base breaks, and why.
const BASE_FAILS: [(RuleId, &str); 1] = [(
    RuleId::ServiceDisconnectPlace,
    "its battery is one piece with the disconnect at its end",
)];

/// Rules that are proven by an attestation but look at the design as well.
pub(crate) const LOOK_TOO: [RuleId; 2] = [RuleId::ShieldBothEnds, RuleId::UnshieldedJustified];

/// Whether attestations alone decide.
pub(crate) fn attested(rule: RuleId) -> bool {
    rule.rule().proof == Proof::Attested && !LOOK_TOO.contains(&rule)
}

pub(crate) fn rows() -> Vec<Row> {
    computed::ROWS.concat()
}

#[test]
fn every_rule_has_one_row() {
    let rows = rows();
    for id in RuleId::ALL {
        let count = rows.iter().filter(|row| row.rule == *id).count();
        let expected = usize::from(!attested(*id));
        assert_eq!(count, expected, "rows for {}", id.slug());
    }
}

#[test]
fn every_row_has_a_clause_and_tries_each_verdict() {
    for row in rows() {
        let slug = row.rule.slug();
        assert!(row.clause.len() > 10, "{slug} names no clause");
        for verdict in [Verdict::Holds, Verdict::Fails, Verdict::Open] {
            let tried = row.probes.iter().any(|probe| probe.verdict == verdict);
            let never = row.never.iter().any(|(one, _)| *one == verdict);
            assert!(tried != never, "{slug}: {}", verdict.word());
        }
        // Numbers are tried close to the limit on both sides.
        let near = |verdict| {
            row.probes
                .iter()
                .filter(|probe| probe.verdict == verdict)
                .filter_map(|probe| probe.numbers)
                // Counts move by one.
                .any(|[value, limit]| {
                    let whole = value.fract() == 0.0 && limit.fract() == 0.0;
                    let room = (0.02 * limit.abs()).max(if whole { 1.0 } else { 0.0 });
                    (value - limit).abs() <= room
                })
        };
        if row.probes.iter().any(|probe| probe.numbers.is_some()) {
            assert!(near(Verdict::Holds), "{slug} is not tried just inside");
            assert!(near(Verdict::Fails), "{slug} is not tried just outside");
        }
    }
}

#[test]
fn the_base_holds_in_every_row() {
    let base = edit::reviewed(&[]);
    for row in rows() {
        let verdict = base.verdict(row.rule);
        let good = matches!(verdict, Verdict::Holds | Verdict::NotApplicable);
        let fails = BASE_FAILS.iter().any(|(rule, _)| *rule == row.rule);
        assert!(
            good != fails,
            "{}: {:#?}",
            row.rule.slug(),
            base.findings(row.rule)
        );
    }
}

#[test]
fn every_probe_gives_its_verdict() {
    let mut wrong = Vec::new();
    for row in rows() {
        for probe in row.probes {
            let findings = edit::reviewed(probe.edits).findings(row.rule);
            let verdict = worst(&findings);
            let shown = |one: &&Finding| match probe.numbers {
                None => true,
                Some([value, limit]) => {
                    alike(one.judged.value, value) && alike(one.judged.limit, limit)
                }
            };
            let of_verdict: Vec<_> = findings
                .iter()
                .filter(|one| one.judged.verdict == probe.verdict)
                .collect();
            if verdict != probe.verdict || !of_verdict.iter().any(shown) {
                let told: Vec<_> = findings
                    .iter()
                    .map(|one| {
                        (
                            one.judged.verdict,
                            one.judged.value,
                            one.judged.limit,
                            one.because,
                        )
                    })
                    .collect();
                wrong.push(format!("{}: {probe:?}\n  found {told:?}", row.rule.slug()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The program asks these rules while short circuits are still computed.
#[test]
fn rules_that_do_not_ask_for_faults_find_the_same_without_them() {
    let none = Box::new(FaultBurdens::new());
    let mut differ = BTreeSet::new();
    let mut look = |reviewed: &Reviewed, rules: &[RuleId]| {
        for rule in rules {
            let mut without = Vec::new();
            let studies = Studies {
                faults: &none,
                ..reviewed.studies()
            };
            review_rules(&reviewed.design, studies, [*rule], &mut |one| {
                without.push(one);
            });
            if reviewed.findings(*rule) != without {
                differ.insert(rule.slug());
            }
        }
    };
    for row in rows() {
        for probe in row.probes {
            look(&edit::reviewed(probe.edits), &[row.rule]);
        }
    }
    for name in fixture::TWINS {
        look(&Reviewed::new(fixture::design(name)), RuleId::ALL);
    }
    let ask = RuleId::ALL.iter().filter(|rule| rule.asks_for_faults());
    let ask: BTreeSet<&str> = ask.map(|rule| rule.slug()).collect();
    assert_eq!(differ, ask);
}
