//! The review as Markdown, for the inspector's file: everything, nothing cut.

use orangeloom_core::review::{Aspect, Finding, RuleId, Severity};
use orangeloom_core::verdict::Verdict;

use super::evidence::uncounted;
use super::told::{about, because, margin, numbers, value_and_limit};
use super::{Reviewed, Standing, meaning};
use crate::page::CAUTIONS;
use crate::working::cite;

/// The whole document.
pub(super) fn render(reviewed: &Reviewed) -> String {
    let mut blocks = vec![
        format!("# Review of {}", text(&reviewed.title())),
        text(&reviewed.domain()),
        text(&reviewed.carried_over().join(" ")),
        read_from(reviewed),
        counts(reviewed),
    ];
    for (verdict, heading) in [
        (Verdict::Fails, "Fails"),
        (Verdict::Open, "Open, which is not a pass"),
    ] {
        for severity in Severity::ALL {
            blocks.push(group(reviewed, verdict, *severity, heading));
        }
        if verdict == Verdict::Fails {
            blocks.push(accepted(reviewed));
        }
    }
    blocks.push(holding(reviewed));
    blocks.push(not_applicable(reviewed));
    blocks.push(CAUTIONS.map(|caution| format!("> {caution}")).join("\n>\n"));
    let mut document = blocks
        .into_iter()
        .filter(|block| !block.is_empty())
        .collect::<Vec<_>>()
        .join("\n\n");
    document.push('\n');
    document
}

/// What Markdown would take for its own is written out.
fn text(plain: &str) -> String {
    let mut escaped = String::with_capacity(plain.len());
    for letter in plain.chars() {
        if matches!(
            letter,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~' | '&'
        ) {
            escaped.push('\\');
        }
        escaped.push(letter);
    }
    escaped
}

fn read_from(reviewed: &Reviewed) -> String {
    let files: Vec<String> = reviewed.files().map(text).collect();
    format!(
        "orangeloom {}, read from {}. Severities: stop, do not energise; fix, before it is handed \
         over; note, tell the owner.",
        env!("CARGO_PKG_VERSION"),
        files.join(", ")
    )
}

fn counts(reviewed: &Reviewed) -> String {
    let mut lines = vec![
        "| severity | fail | accepted | open | hold | not applicable |".to_owned(),
        "|---|--:|--:|--:|--:|--:|".to_owned(),
    ];
    for severity in Severity::ALL {
        let count = |standing| {
            reviewed
                .standing_so(standing)
                .filter(|id| id.rule().severity == *severity)
                .count()
        };
        lines.push(format!(
            "| {} | {} | {} | {} | {} | {} |",
            severity.words(),
            count(Standing::Fails),
            count(Standing::Accepted),
            count(Standing::Open),
            count(Standing::Holds),
            count(Standing::NotApplicable)
        ));
    }
    lines.join("\n")
}

const HEAD: &str =
    "| thing | value | limit | margin | reason | source |\n|---|---|---|---|---|---|";

fn row(reviewed: &Reviewed, finding: &Finding) -> String {
    let judged = &finding.judged;
    let aspect = judged.name;
    // Without any number the words say what is looked at.
    let bare = judged.value.is_none() && judged.limit.is_none();
    let [value, limit] = value_and_limit(finding);
    let told = |words: &str, shown: Option<String>| match shown {
        Some(shown) => format!("{words} {shown}"),
        None if bare && aspect != Aspect::Proof => words.to_owned(),
        None => String::new(),
    };
    let mut reason = because(reviewed, finding).unwrap_or_default();
    if let Some(record) = uncounted(reviewed, finding) {
        reason = format!("{reason}: {record}");
    }
    let cells = [
        about(reviewed, finding),
        told(aspect.value_words(), value),
        told(aspect.limit_words(), limit),
        margin(finding).unwrap_or_default(),
        reason,
        cite(judged.source),
    ];
    format!("| {} |", cells.map(|cell| text(&cell)).join(" | "))
}

/// The rules with findings of a verdict, each as a table.
fn group(reviewed: &Reviewed, verdict: Verdict, severity: Severity, heading: &str) -> String {
    let mut blocks = Vec::new();
    let rules = RuleId::ALL.iter().copied();
    for rule in rules.filter(|id| id.rule().severity == severity) {
        let rows: Vec<String> = reviewed
            .of_rule(rule)
            .filter(|one| one.judged.verdict == verdict && !reviewed.excused(one))
            .map(|one| row(reviewed, one))
            .collect();
        if rows.is_empty() {
            continue;
        }
        let prose = rule.prose();
        blocks.push(format!(
            "### {}\n\n{} {}\n\n{HEAD}\n{}\n\n{}",
            text(rule.slug()),
            text(prose.checks),
            text(prose.why),
            rows.join("\n"),
            text(prose.cure)
        ));
    }
    if blocks.is_empty() {
        return String::new();
    }
    format!(
        "## {heading}; {}\n\n{}",
        meaning(severity),
        blocks.join("\n\n")
    )
}

fn accepted(reviewed: &Reviewed) -> String {
    let rows: Vec<String> = reviewed
        .findings
        .iter()
        .filter_map(|finding| {
            let acceptance = reviewed.accepted(finding)?;
            let rule = finding.rule;
            let severity = rule.rule().severity;
            let effect = match severity {
                Severity::Stop => "still stops: do not energise",
                Severity::Fix | Severity::Note => "does not stop",
            };
            let cells = [
                rule.slug().to_owned(),
                severity.words().to_owned(),
                about(reviewed, finding),
                numbers(finding),
                acceptance.told(finding),
                effect.to_owned(),
            ];
            Some(format!("| {} |", cells.map(|cell| text(&cell)).join(" | ")))
        })
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    format!(
        "## Accepted deviations: they fail; somebody answers for them\n\n\
         | rule | severity | thing | by how much | who, when, why | effect |\n|---|---|---|---|---|---|\n{}",
        rows.join("\n")
    )
}

/// What holds, each finding with its margin.
fn holding(reviewed: &Reviewed) -> String {
    let rows: Vec<String> = reviewed
        .findings
        .iter()
        .filter(|finding| finding.judged.verdict == Verdict::Holds)
        .map(|finding| {
            let row = row(reviewed, finding);
            format!("| {} {row}", text(finding.rule.slug()))
        })
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    format!(
        "## Holds\n\n| rule | thing | value | limit | margin | rests on | source |\n\
         |---|---|---|---|---|---|---|\n{}",
        rows.join("\n")
    )
}

fn not_applicable(reviewed: &Reviewed) -> String {
    let rules: Vec<String> = reviewed
        .standing_so(Standing::NotApplicable)
        .map(|rule| text(rule.slug()))
        .collect();
    if rules.is_empty() {
        return String::new();
    }
    format!("## Not applicable\n\n{}", rules.join(", "))
}
