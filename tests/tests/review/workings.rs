//! Workings: every number of a finding comes out of its working, and every equation gives
//! its result with the numbers put in, by an evaluator apart from the core.

use std::collections::BTreeSet;

use orangeloom_core::fault::{FaultResult, FaultWorkspace};
use orangeloom_core::review::{Finding, How, Proof, RuleId, Step, working};
use orangeloom_core::study::FaultBurdens;
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::fixture;
use orangeloom_tests::reviewed::Reviewed;

use crate::edit;
use crate::harness::rows;

/// Single precision over a handful of steps.
const SAME: f64 = 2.0e-5;

fn alike(one: f64, other: f64) -> bool {
    (one - other).abs() <= SAME * one.abs().max(other.abs()).max(1.0e-12)
}

fn shorts(reviewed: &Reviewed) -> Vec<FaultResult> {
    let mut all = Vec::new();
    let mut burdens = Box::new(FaultBurdens::new());
    let _ = burdens.solve(
        &reviewed.design,
        &mut Box::new(FaultWorkspace::new()),
        &mut |_, result| all.extend(result.ok().cloned()),
    );
    all
}

/// Rules whose values are what was read.
const READ: [RuleId; 9] = [
    RuleId::DischargeActive,
    RuleId::IsolationNewBuild,
    RuleId::BondResistance,
    RuleId::JointResistance,
    RuleId::ShieldContinuity,
    RuleId::EnergisingOrder,
    RuleId::MeasuredVsComputed,
    RuleId::ConductorTemperature,
    RuleId::TerminalTemperature,
];

/// Designs, each with the only rule that is looked at, if there is only one.
fn designs() -> Vec<(String, Reviewed, Option<RuleId>)> {
    let rows = rows();
    let parallel = rows
        .iter()
        .find(|row| row.rule == RuleId::ParallelConductorsEqual);
    let edits = parallel.unwrap().probes[0].edits;
    let mut all = vec![
        ("base".to_owned(), edit::reviewed(&[]), None),
        ("parallel".to_owned(), edit::reviewed(edits), None),
    ];
    // Every probe of what was read: at the worse end of an accuracy, beyond either limit.
    for row in rows.iter().filter(|row| READ.contains(&row.rule)) {
        for probe in row.probes.iter().filter(|probe| probe.numbers.is_some()) {
            let name = format!("{} {:?}", row.rule.slug(), probe.edits);
            if name.contains("reading") {
                all.push((name, edit::reviewed(probe.edits), Some(row.rule)));
            }
        }
    }
    let twins = fixture::TWINS.iter().map(|name| format!("{name}-mended"));
    let names = fixture::TWINS.map(String::from).into_iter().chain(twins);
    for name in names.chain(["lock-keepers-punt".to_owned(), "starter".to_owned()]) {
        let reviewed = Reviewed::new(fixture::design(&name));
        all.push((name, reviewed, None));
    }
    all
}

/// The right side of an equation with the terms of its step put in.
struct Reader<'a> {
    rest: &'a str,
    step: &'a Step,
}

impl Reader<'_> {
    fn skip(&mut self, token: &str) -> bool {
        let trimmed = self.rest.trim_start();
        let found = trimmed.strip_prefix(token);
        self.rest = found.unwrap_or(trimmed);
        found.is_some()
    }

    fn sum(&mut self) -> f64 {
        let mut value = self.product();
        loop {
            if self.skip("+") {
                value += self.product();
            } else if self.skip("-") {
                value -= self.product();
            } else {
                return value;
            }
        }
    }

    fn product(&mut self) -> f64 {
        let mut value = self.power();
        loop {
            if self.skip("*") {
                value *= self.power();
            } else if self.skip("/") {
                value /= self.power();
            } else {
                return value;
            }
        }
    }

    fn power(&mut self) -> f64 {
        if self.skip("-") {
            return -self.power();
        }
        let base = self.atom();
        if self.skip("^") {
            return base.powf(self.atom());
        }
        base
    }

    fn atom(&mut self) -> f64 {
        if self.skip("(") {
            let value = self.sum();
            assert!(self.skip(")"), "{:?}", self.step.how);
            return value;
        }
        let end = self
            .rest
            .find(|letter: char| !letter.is_ascii_alphanumeric() && letter != '.')
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        if let Ok(number) = word.parse::<f64>() {
            return number;
        }
        if self.skip("(") {
            let one = self.sum();
            let other = self.skip(",").then(|| self.sum());
            assert!(self.skip(")"), "{:?}", self.step.how);
            return match (word, other) {
                ("sqrt", None) => one.sqrt(),
                ("ln", None) => one.ln(),
                ("exp", None) => one.exp(),
                ("min", Some(other)) => one.min(other),
                ("max", Some(other)) => one.max(other),
                _ => panic!("{word} in {:?}", self.step.how),
            };
        }
        let term = self.step.terms.iter().find(|term| term.symbol == word);
        let term = term.unwrap_or_else(|| panic!("no {word} in {:?}", self.step));
        f64::from(term.value)
    }
}

/// Whether an equation gives its result; what it gives where not.
fn wrong(step: &Step) -> Option<f64> {
    let How::Equation(equation) = step.how else {
        return None;
    };
    let mut reader = Reader {
        rest: equation,
        step,
    };
    let value = reader.sum();
    let whole = reader.rest.trim().is_empty();
    (!whole || !alike(value, f64::from(step.result.value))).then_some(value)
}

fn steps(reviewed: &Reviewed, shorts: &[FaultResult], finding: &Finding) -> Vec<Step> {
    let mut steps = Vec::new();
    let studies = reviewed.studies();
    working(&reviewed.design, studies, shorts, finding, &mut |step| {
        steps.push(step);
    });
    steps
}

#[test]
fn every_number_of_a_rule_comes_out_of_its_working() {
    let mut faulty = Vec::new();
    let (mut worked, mut numbered) = (BTreeSet::new(), BTreeSet::new());
    let numeric = RuleId::ALL
        .iter()
        .copied()
        .filter(|id| id.rule().proof != Proof::Attested);
    for (name, reviewed, only) in designs() {
        let shorts = shorts(&reviewed);
        let asked = |rule: &RuleId| only.is_none_or(|only| only == *rule);
        for rule in numeric.clone().filter(asked) {
            for finding in reviewed.findings(rule) {
                let judged = &finding.judged;
                if judged.verdict == Verdict::NotApplicable {
                    continue;
                }
                let steps = steps(&reviewed, &shorts, &finding);
                let slug = rule.slug();
                if !steps.is_empty() {
                    worked.insert(slug);
                }
                for step in &steps {
                    if let Some(value) = wrong(step) {
                        faulty.push(format!("{name} {slug}: gives {value}: {step:?}"));
                    }
                }
                // A number is the result of a step: an equation, or what somebody stated.
                for (what, number) in [("value", judged.value), ("limit", judged.limit)] {
                    let Some(number) = number else { continue };
                    numbered.insert(slug);
                    let found = steps
                        .iter()
                        .any(|step| alike(f64::from(step.result.value), f64::from(number)));
                    if !found {
                        faulty.push(format!("{name} {slug}: no {what} {number}: {finding:?}"));
                    }
                }
            }
        }
    }
    // One of each kind is enough to read.
    faulty.truncate(20);
    assert!(faulty.is_empty(), "{}", faulty.join("\n"));
    assert_eq!(worked, numbered);
    assert!(numbered.len() > 60, "{numbered:?}");
}

/// The evaluator is not blind.
#[test]
fn an_equation_with_a_wrong_number_is_found() {
    let base = edit::reviewed(&[]);
    let findings = base.findings(RuleId::PrechargeStuck);
    let steps = steps(&base, &[], &findings[0]);
    assert!(steps.iter().all(|step| wrong(step).is_none()));
    let stands = |step: &&Step| matches!(step.how, How::Equation(one) if one.contains("ln("));
    let mut step = steps.iter().find(stands).unwrap().clone();
    step.result.value *= 1.001;
    assert!(wrong(&step).is_some());
}
