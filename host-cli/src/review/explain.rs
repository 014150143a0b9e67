//! One rule explained.

use orangeloom_core::review::RuleId;

use super::Reviewed;
use super::told::{about, said};
use crate::page::{self, cautions, wrap};
use crate::working::cite;

/// The page of a rule, with every finding where a design is given.
pub(super) fn render(id: RuleId, reviewed: Option<&Reviewed>) -> String {
    let (rule, prose) = (id.rule(), id.prose());
    let sources: Vec<String> = rule
        .sources
        .iter()
        .map(|source| wrap("  - ", &cite(*source)))
        .collect();
    let mut blocks = vec![
        format!(
            "{}\n{}, {}, {}",
            id.slug(),
            rule.area.words(),
            rule.severity.words(),
            rule.proof.words()
        ),
        format!("What is checked\n{}", wrap("  ", prose.checks)),
        format!("Why it matters\n{}", wrap("  ", prose.why)),
        format!("When it fails or stays open\n{}", wrap("  ", prose.cure)),
        format!("Sources\n{}", sources.join("\n")),
    ];
    if let Some(reviewed) = reviewed {
        blocks.push(findings(id, reviewed));
    }
    blocks.push(cautions());
    page::join(&blocks)
}

fn findings(id: RuleId, reviewed: &Reviewed) -> String {
    let mut lines = vec![format!("In this design: {}", reviewed.verdict(id).word())];
    for finding in reviewed.of_rule(id) {
        let verdict = finding.judged.verdict.word();
        let said = format!("{verdict}; {}", said(reviewed, finding));
        let said = said.trim_end_matches([';', ' ']);
        let line = format!("{}: {said}", about(reviewed, finding));
        lines.push(wrap("  - ", &line));
    }
    lines.join("\n")
}

/// What to say of a name that no rule has.
pub(super) fn unknown(name: &str) -> String {
    let near = RuleId::ALL
        .iter()
        .map(|id| (strsim::jaro_winkler(name, id.slug()), id.slug()))
        .max_by(|(one, _), (other, _)| one.total_cmp(other));
    match near {
        Some((alike, slug)) if alike > 0.8 => {
            format!("no rule is called \"{name}\"; did you mean {slug}?")
        }
        _ => format!("no rule is called \"{name}\"; orangeloom rules lists them all"),
    }
}
