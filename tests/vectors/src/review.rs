//! The checklist over a whole vehicle: one line for each rule.

use orangeloom_core::design::{Design, Thing};
use orangeloom_core::fault::FaultWorkspace;
use orangeloom_core::network::Workspace;
use orangeloom_core::review::{Finding, RuleId, Studies, review};
use orangeloom_core::study::insulation::InsulationStudy;
use orangeloom_core::study::{FaultBurdens, Study};

use crate::lines::{Fingerprint, Lines, NONE, bits};
use crate::vehicle::truck;

/// What a review is computed in; large.
#[derive(Debug, Default)]
pub struct Memory {
    study: Study,
    network: Workspace,
    faults: FaultBurdens,
    currents: FaultWorkspace,
}

/// Studies a design and asks every rule; says how many findings there are. `None` if its
/// faults cannot be solved.
pub fn whole(design: &Design, memory: &mut Memory, put: &mut dyn FnMut(Finding)) -> Option<u32> {
    let Memory {
        study,
        network,
        faults,
        currents,
    } = memory;
    study.compute(design, network);
    faults.solve(design, currents, &mut |_, _| {}).ok()?;
    let studies = Studies {
        study,
        insulation: &InsulationStudy::find(design),
        faults,
    };
    let mut found = 0;
    review(design, studies, &mut |finding| {
        found += 1;
        put(finding);
    });
    Some(found)
}

pub(crate) fn cases(lines: &mut Lines<'_>) {
    let Some(design) = truck() else {
        lines.word("review/unreadable", NONE);
        return;
    };
    let mut memory = Memory::default();
    let mut last: Option<(RuleId, Fingerprint)> = None;
    let found = whole(&design, &mut memory, &mut |finding| {
        if let Some((rule, sum)) = last.take_if(|(rule, _)| *rule != finding.rule) {
            lines.named("review/", rule.slug(), sum.finish());
        }
        let (_, sum) = last.get_or_insert_with(|| (finding.rule, Fingerprint::default()));
        add(sum, &finding);
    });
    if let Some((rule, sum)) = last {
        lines.named("review/", rule.slug(), sum.finish());
    }
    lines.word("review/findings", found.unwrap_or(NONE));
}

fn add(sum: &mut Fingerprint, finding: &Finding) {
    let thing = |thing: Thing| (thing.kind as u32) << 8 | u32::from(thing.index);
    sum.add(thing(finding.thing));
    sum.add(finding.at.map_or(NONE, thing));
    sum.add(finding.judged.verdict as u32);
    sum.add(finding.judged.value.map_or(NONE, bits));
    sum.add(finding.judged.limit.map_or(NONE, bits));
    sum.add(u32::from(finding.because.is_some()));
}

#[cfg(test)]
mod tests {
    use super::*;
    use orangeloom_core::verdict::Verdict;
    use std::string::{String, ToString};
    use std::vec::Vec;

    #[test]
    fn every_rule_has_a_line_of_its_own() {
        let mut seen: Vec<String> = Vec::new();
        cases(&mut Lines::new(&mut |name, _| seen.push(name.to_string())));
        for rule in RuleId::ALL {
            let name = std::format!("review/{}", rule.slug());
            assert!(seen.contains(&name), "{name}");
        }
        assert_eq!(seen.len(), RuleId::ALL.len() + 1);
    }

    #[test]
    fn another_value_or_verdict_gives_another_line() {
        let design = truck().expect("the truck is readable");
        let mut first = None;
        whole(&design, &mut Memory::default(), &mut |finding| {
            if finding.judged.value.is_some() {
                first.get_or_insert(finding);
            }
        });
        let of = |finding: &Finding| {
            let mut sum = Fingerprint::default();
            add(&mut sum, finding);
            sum.finish()
        };
        let finding = first.expect("something is judged by a value");
        let mut verdict = finding;
        verdict.judged.verdict = Verdict::Fails;
        let mut value = finding;
        value.judged.value = finding.judged.value.map(f32::next_up);
        assert_ne!(of(&finding), of(&verdict));
        assert_ne!(of(&finding), of(&value));
    }
}
