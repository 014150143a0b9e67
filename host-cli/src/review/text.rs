//! The review for people: worst first.

use orangeloom_core::review::{Finding, RuleId, Severity};
use orangeloom_core::verdict::Verdict;

use super::Reviewed;
use super::told::{about, because, numbers};
use crate::page::{self, Sources, cautions, wrap};
use crate::working::cite;

/// Most things that one line names.
const SHOWN: usize = 8;

/// The whole page.
pub(super) fn render(reviewed: &Reviewed) -> String {
    let mut sources = Sources::new();
    let mut blocks = vec![head(reviewed), counts(reviewed)];
    for verdict in [Verdict::Fails, Verdict::Open] {
        for severity in Severity::ALL {
            blocks.push(group(reviewed, verdict, *severity, &mut sources));
        }
    }
    blocks.push(named(reviewed, Verdict::Holds, "Holds"));
    blocks.push(named(reviewed, Verdict::NotApplicable, "Not applicable"));
    blocks.push(sources.list());
    blocks.push(cautions());
    page::join(&blocks)
}

fn head(reviewed: &Reviewed) -> String {
    let design = reviewed.design();
    let name = design.vehicle.name.and_then(|name| design.text(name));
    let revision = design.vehicle.revision.and_then(|text| design.text(text));
    let passes = if reviewed.passes() {
        "passes"
    } else {
        "does not pass"
    };
    wrap(
        "",
        &format!(
            "Review of {}, {}: {passes}",
            name.unwrap_or("the vehicle"),
            revision.map_or_else(
                || "revision not stated".to_owned(),
                |revision| format!("revision {revision}")
            )
        ),
    )
}

fn with(reviewed: &Reviewed, verdict: Verdict, severity: Severity) -> Vec<RuleId> {
    let rules = RuleId::ALL.iter().copied();
    rules
        .filter(|id| id.rule().severity == severity && reviewed.verdict(*id) == verdict)
        .collect()
}

fn counts(reviewed: &Reviewed) -> String {
    let lines: Vec<String> = Severity::ALL
        .iter()
        .map(|severity| {
            let count = |verdict| with(reviewed, verdict, *severity).len();
            format!(
                "  {:<5} {:>3} fail {:>3} open {:>3} hold {:>3} not applicable",
                severity.words(),
                count(Verdict::Fails),
                count(Verdict::Open),
                count(Verdict::Holds),
                count(Verdict::NotApplicable)
            )
        })
        .collect();
    format!("Rules by severity\n{}", lines.join("\n"))
}

fn group(
    reviewed: &Reviewed,
    verdict: Verdict,
    severity: Severity,
    sources: &mut Sources,
) -> String {
    let rules = with(reviewed, verdict, severity);
    if rules.is_empty() {
        return String::new();
    }
    let means = match severity {
        Severity::Stop => "stop: do not energise",
        Severity::Fix => "fix: before it is handed over",
        Severity::Note => "note: tell the owner",
    };
    let word = if verdict == Verdict::Fails {
        "Fails"
    } else {
        "Open, which is not a pass"
    };
    let mut lines = vec![format!("{word}; {means}")];
    for rule in rules {
        lines.push(format!("  {}", rule.slug()));
        lines.extend(findings(reviewed, rule, verdict, sources));
        if verdict == Verdict::Fails {
            lines.push(wrap("    -> ", rule.prose().cure));
        }
    }
    lines.join("\n")
}

/// The findings of a rule with one verdict, those alike in one line.
fn findings(
    reviewed: &Reviewed,
    rule: RuleId,
    verdict: Verdict,
    sources: &mut Sources,
) -> Vec<String> {
    let mut alike: Vec<(String, Vec<String>)> = Vec::new();
    let of_verdict = |one: &&Finding| one.judged.verdict == verdict;
    for finding in reviewed.of_rule(rule).filter(of_verdict) {
        let mut said = numbers(finding);
        if let Some(because) = because(reviewed, finding) {
            if !said.is_empty() {
                said.push_str("; ");
            }
            said.push_str(&because);
        }
        if finding.judged.limit.is_some() {
            said.push(' ');
            said.push_str(&sources.mark(&cite(finding.judged.source)));
        }
        let thing = about(reviewed, finding);
        match alike.iter_mut().find(|(known, _)| *known == said) {
            Some((_, things)) if things.contains(&thing) => {}
            Some((_, things)) => things.push(thing),
            None => alike.push((said, vec![thing])),
        }
    }
    // What fails is told in full; of what is open the first few show what to do.
    let most = match verdict {
        Verdict::Fails => alike.len(),
        _ => SHOWN,
    };
    let rest = alike.len().saturating_sub(most);
    let mut lines: Vec<String> = alike
        .iter()
        .take(most)
        .map(|(said, things)| {
            let shown = things.iter().take(SHOWN).cloned().collect::<Vec<_>>();
            let more = things.len().saturating_sub(SHOWN);
            let more = if more > 0 {
                format!("; and {more} more")
            } else {
                String::new()
            };
            wrap("    - ", &format!("{}{more}: {said}", shown.join("; ")))
        })
        .collect();
    if rest > 0 {
        lines.push(format!("    - and {rest} more; --json lists all"));
    }
    lines
}

fn named(reviewed: &Reviewed, verdict: Verdict, heading: &str) -> String {
    let rules: Vec<&str> = RuleId::ALL
        .iter()
        .filter(|id| reviewed.verdict(**id) == verdict)
        .map(|id| id.slug())
        .collect();
    if rules.is_empty() {
        return String::new();
    }
    format!("{heading}\n{}", wrap("  ", &rules.join(", ")))
}
