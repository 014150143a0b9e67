//! The review as XML in the form of `JUnit`: an area is a suite, a finding is a test.
//!
//! | finding | element |
//! |---|---|
//! | fails, stop or fix, accepted fix apart | `failure` |
//! | open, stop | `error`: nothing could be said |
//! | every other that does not hold | `skipped`, with its word: never a pass |

use std::collections::HashMap;

use orangeloom_core::review::{Area, Aspect, Finding, RuleId, Unit};
use orangeloom_core::verdict::{Side, Verdict};

use super::Reviewed;
use super::told::{about, about_by_name, said};
use super::xml::escape;
use crate::working::cite;

/// The schema wants a time and a host. The answer depends on the input alone, so that the
/// same design gives the same bytes; a build server knows when and where it ran.
const TIMESTAMP: &str = "1970-01-01T00:00:00";
const HOST: &str = "localhost";

/// How a test ended.
enum End {
    Passed,
    Failure,
    Error,
    Skipped,
}

fn end(reviewed: &Reviewed, finding: &Finding) -> End {
    match finding.judged.verdict {
        Verdict::Holds => End::Passed,
        Verdict::Fails if reviewed.blocks(finding) => End::Failure,
        Verdict::Open if reviewed.blocks(finding) => End::Error,
        _ => End::Skipped,
    }
}

/// The document.
pub(super) fn render(reviewed: &Reviewed) -> String {
    let suites: Vec<String> = Area::ALL
        .iter()
        .enumerate()
        .map(|(index, area)| suite(reviewed, index, *area))
        .collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites>\n{}</testsuites>\n",
        suites.concat()
    )
}

fn suite(reviewed: &Reviewed, index: usize, area: Area) -> String {
    let findings: Vec<&Finding> = reviewed
        .findings
        .iter()
        .filter(|finding| finding.rule.rule().area == area)
        .collect();
    let count = |wanted: fn(&End) -> bool| {
        let ends = findings.iter().map(|one| end(reviewed, one));
        ends.filter(wanted).count()
    };
    let names = names(reviewed, &findings);
    let cases = findings.iter().zip(&names);
    let cases: Vec<String> = cases.map(|(one, name)| case(reviewed, one, name)).collect();
    format!(
        "  <testsuite package=\"orangeloom\" id=\"{index}\" name=\"{}\" timestamp=\"{TIMESTAMP}\" \
         hostname=\"{HOST}\" tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\" time=\"0\">\n\
         \x20   <properties/>\n{}    <system-out/>\n    <system-err/>\n  </testsuite>\n",
        escape(area.words()),
        findings.len(),
        count(|end| matches!(end, End::Failure)),
        count(|end| matches!(end, End::Error)),
        count(|end| matches!(end, End::Skipped)),
        cases.concat()
    )
}

/// A name for each finding that no other one of its rule has: a build server tells tests apart
/// by nothing else.
fn names(reviewed: &Reviewed, findings: &[&Finding]) -> Vec<String> {
    let mut known: HashMap<(RuleId, String), usize> = HashMap::new();
    findings
        .iter()
        .map(|finding| {
            let name = name(reviewed, finding);
            let count = known.entry((finding.rule, name.clone())).or_default();
            *count += 1;
            match count {
                1 => name,
                // Things without a name in one place.
                again => format!("{name} ({again})"),
            }
        })
        .collect()
}

/// Thing, place, and what is held against what: one thing may be held against several limits
/// of one rule, and against both ends of a range.
fn name(reviewed: &Reviewed, finding: &Finding) -> String {
    let about = about_by_name(reviewed, finding);
    let aspect = finding.judged.name;
    let against = match (aspect.unit(), finding.judged.side) {
        _ if aspect == Aspect::Proof => return about,
        (Unit::None, _) => ": needed:",
        (_, Side::AtMost) => ", at most",
        (_, Side::AtLeast) => ", at least",
    };
    let (value, limit) = (aspect.value_words(), aspect.limit_words());
    format!("{about}: {value}{against} {limit}")
}

fn case(reviewed: &Reviewed, finding: &Finding, name: &str) -> String {
    let rule = finding.rule;
    let word = finding.judged.verdict.word();
    let mut told = said(reviewed, finding);
    if finding.judged.limit.is_some() {
        told = format!("{told}; source: {}", cite(finding.judged.source));
    }
    let mut message = format!("{word}, {}: {told}", rule.rule().severity.words());
    if let Some(acceptance) = reviewed.accepted(finding) {
        message = format!("{message}; {}", acceptance.told(finding));
    }
    let message = message.trim_end_matches([':', ' ']);
    let head = format!(
        "    <testcase name=\"{}\" classname=\"orangeloom.{}\" time=\"0\"",
        escape(name),
        escape(rule.slug()),
    );
    let (element, kind) = match end(reviewed, finding) {
        End::Passed => return format!("{head}/>\n"),
        End::Skipped => {
            let message = escape(message);
            return format!("{head}>\n      <skipped message=\"{message}\"/>\n    </testcase>\n");
        }
        End::Failure => ("failure", "fails"),
        End::Error => ("error", "open"),
    };
    format!(
        "{head}>\n      <{element} message=\"{}\" type=\"{kind}\">{}</{element}>\n    </testcase>\n",
        escape(message),
        escape(&format!(
            "{}\n{}",
            about(reviewed, finding),
            rule.prose().cure
        ))
    )
}
