//! One rule explained.

use orangeloom_core::review::{Proof, RuleId};
use orangeloom_core::verdict::Verdict;

use super::Reviewed;
use super::inputs::Inputs;
use super::steps;
use super::told::{about, said};
use crate::design_file::nearest;
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
    let method = id.method();
    let head = format!(
        "{}\n{}, {}, {}, proven {}",
        id.slug(),
        rule.area.words(),
        rule.severity.words(),
        rule.proof.words(),
        id.stage().words()
    );
    let reads = match rule.proof {
        Proof::Attested => "What it reads, and what the look is held against",
        _ => "What it reads",
    };
    let mut blocks = vec![
        head,
        format!("What is checked\n{}", wrap("  ", prose.checks)),
        format!("Why it matters\n{}", wrap("  ", prose.why)),
        format!("How it is judged\n{}", wrap("  ", method.equation)),
        format!(
            "{reads}, as keys of the design\n{}",
            wrap("  ", &method.inputs.join(", "))
        ),
        format!("How to get what is missing\n{}", wrap("  ", method.get)),
        format!("When it fails\n{}", wrap("  ", prose.cure)),
        format!("Beware\n{}", wrap("  ", id.stage().beware())),
        format!("What it cannot see\n{}", wrap("  ", method.blind)),
        format!("Sources\n{}", sources.join("\n")),
    ];
    if let Some(reviewed) = reviewed {
        blocks.push(findings(id, reviewed));
    }
    blocks.push(cautions());
    page::join(&blocks)
}

/// Every finding with its working; where it has none, with the inputs of its thing, and
/// those of the whole vehicle once.
fn findings(id: RuleId, reviewed: &Reviewed) -> String {
    let inputs = Inputs::of(reviewed, id.method().inputs);
    let shorts = steps::shorts(reviewed);
    let mut lines = vec![format!("In this design: {}", reviewed.verdict(id).word())];
    let mut unworked = false;
    for finding in reviewed.of_rule(id) {
        let verdict = finding.judged.verdict.word();
        let said = format!("{verdict}; {}", said(reviewed, finding));
        let said = said.trim_end_matches([';', ' ']);
        let line = format!("{}: {said}", about(reviewed, finding));
        lines.push(wrap("  - ", &line));
        if finding.judged.verdict == Verdict::NotApplicable {
            continue;
        }
        let worked = steps::render(reviewed, &inputs, &shorts, finding);
        if worked.is_empty() {
            unworked = true;
            let own = inputs.near(finding).into_iter();
            lines.extend(own.map(|line| wrap("      ", &line)));
        }
        lines.extend(worked);
    }
    let common = if unworked {
        inputs.common()
    } else {
        Vec::new()
    };
    if !common.is_empty() {
        lines.push("  Of the whole vehicle".to_owned());
        lines.extend(common.iter().map(|line| wrap("      ", line)));
    }
    lines.join("\n")
}

/// What to say of a name that no rule has.
pub(super) fn unknown(name: &str) -> String {
    let slugs = RuleId::ALL.iter().map(|id| id.slug());
    match nearest(name, slugs) {
        Some(slug) => format!("no rule is called \"{name}\"; did you mean {slug}?"),
        None => format!("no rule is called \"{name}\"; orangeloom rules lists them all"),
    }
}
