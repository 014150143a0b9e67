//! The working of a finding: each equation with the numbers in it, and the line that
//! states each number.

use orangeloom_core::fault::{FaultResult, FaultWorkspace};
use orangeloom_core::review::{Finding, How, Step, Term, working};
use orangeloom_core::study::FaultBurdens;
use orangeloom_core::verdict::{Side, Verdict};

use super::Reviewed;
use super::evidence;
use super::inputs::Inputs;
use super::told::{amount_in, margin, value_and_limit};
use crate::page::wrap;
use crate::study::names;
use crate::working::cite;

/// Every short circuit of a design.
pub(super) fn shorts(reviewed: &Reviewed) -> Vec<FaultResult> {
    let mut all = Vec::new();
    // What is refused here, the findings tell.
    let mut burdens = Box::<FaultBurdens>::default();
    let _ = burdens.solve(
        reviewed.design(),
        &mut Box::<FaultWorkspace>::default(),
        &mut |_, result| all.extend(result.ok().cloned()),
    );
    all
}

/// Every step of a finding, and the comparison at the end. Empty where there is no number.
pub(super) fn render(
    reviewed: &Reviewed,
    inputs: &Inputs<'_>,
    shorts: &[FaultResult],
    finding: &Finding,
) -> Vec<String> {
    let mut lines = evidence::lines(reviewed, finding);
    let (design, studies) = (reviewed.design(), reviewed.studies());
    working(design, studies, shorts, finding, &mut |step| {
        lines.extend(one(reviewed, inputs, &step));
    });
    if !lines.is_empty() {
        lines.push(wrap("      => ", &compared(finding)));
    }
    lines
}

/// One step: what, the equation with its numbers, where they are stated, the source.
fn one(reviewed: &Reviewed, inputs: &Inputs<'_>, step: &Step) -> Vec<String> {
    let of = step.of.map_or_else(String::new, |thing| {
        format!(", {}", names::thing(reviewed.design(), thing))
    });
    let mut lines = vec![wrap("      - ", &format!("{}{of}", step.what))];
    let result = amount_in(step.result.unit, step.result.value, None);
    let symbol = step.result.symbol;
    let told = match step.how {
        How::Equation(equation) => {
            let symbols = shown(equation);
            let numbers = shown(&put_in(equation, &step.terms));
            format!("{symbol} = {symbols} = {numbers} = {result}")
        }
        How::Words(_) if step.result.stated.is_some() => format!("{symbol} = {result}"),
        How::Words(words) => {
            let terms: Vec<String> = step.terms.iter().map(valued).collect();
            let terms = terms.join(", ");
            let with = if terms.is_empty() {
                String::new()
            } else {
                format!("; with {terms}")
            };
            format!("{words}{with}; {symbol} = {result}")
        }
    };
    lines.push(wrap("        ", &told));
    let stated = step.terms.iter().chain([&step.result]);
    let stated: Vec<String> = stated.filter_map(|term| origin(inputs, term)).collect();
    if !stated.is_empty() {
        lines.push(wrap("        stated: ", &stated.join(", ")));
    }
    if let (Some(source), None) = (step.source, step.result.stated) {
        lines.push(wrap("        source: ", &cite(source)));
    }
    lines
}

/// A number with its symbol.
fn valued(term: &Term) -> String {
    format!(
        "{} = {}",
        term.symbol,
        amount_in(term.unit, term.value, None)
    )
}

/// Where a number is stated: symbol, key, line.
fn origin(inputs: &Inputs<'_>, term: &Term) -> Option<String> {
    let stated = term.stated?;
    let line = inputs.line_of(stated);
    let line = line.map_or_else(String::new, |line| format!(" ({line})"));
    Some(format!("{} {}{line}", term.symbol, stated.key))
}

/// An equation as it is printed.
fn shown(equation: &str) -> String {
    equation.replace(" * ", " x ")
}

/// An equation with numbers in the place of its symbols.
fn put_in(equation: &str, terms: &[Term]) -> String {
    let mut text = String::new();
    let mut word = String::new();
    for letter in equation.chars().chain([' ']) {
        if letter.is_ascii_alphanumeric() || letter == '.' {
            word.push(letter);
            continue;
        }
        match terms.iter().find(|term| term.symbol == word) {
            Some(term) => {
                let amount = amount_in(term.unit, term.value, None);
                // A power is of the number with its unit; a sign does not stand alone.
                if letter == '^' || term.value < 0.0 {
                    text.push('(');
                    text.push_str(&amount);
                    text.push(')');
                } else {
                    text.push_str(&amount);
                }
            }
            None => text.push_str(&word),
        }
        word.clear();
        text.push(letter);
    }
    text.trim_end().to_owned()
}

/// Value against limit, and the verdict.
fn compared(finding: &Finding) -> String {
    let judged = &finding.judged;
    let aspect = judged.name;
    let [value, limit] = value_and_limit(finding);
    let value = value.unwrap_or_else(|| "no value".to_owned());
    let sign = match judged.side {
        Side::AtMost => "<=",
        Side::AtLeast => ">=",
    };
    let compared = match limit {
        Some(limit) => format!(
            "{} {value} {sign} {} {limit}",
            aspect.value_words(),
            aspect.limit_words()
        ),
        None => format!("{} {value}", aspect.value_words()),
    };
    let margin = margin(finding).map_or_else(String::new, |margin| format!(", {margin}"));
    let source = match judged.verdict {
        Verdict::NotApplicable => String::new(),
        _ => format!("; source: {}", cite(judged.source)),
    };
    format!("{compared}: {}{margin}{source}", judged.verdict.word())
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::collections::BTreeSet;
    use std::path::Path;

    use orangeloom_core::design::Kind;
    use orangeloom_core::review::Proof;

    const FIXTURES: [&str; 8] = [
        "lake-rescue-truck",
        "lake-rescue-truck-mended",
        "orchard-tractor",
        "orchard-tractor-mended",
        "road-rail-shunter",
        "road-rail-shunter-mended",
        "lock-keepers-punt",
        "starter",
    ];

    /// Every number that is stated has its line, and on that line stands its key.
    #[test]
    fn every_stated_number_has_the_line_of_its_key() {
        let mut stated = 0_u32;
        let mut elsewhere = BTreeSet::new();
        for name in FIXTURES {
            let file = Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("../fixtures")
                .join(name)
                .join("design.toml");
            let Ok(reviewed) = Reviewed::of(&file) else {
                panic!("{name} is refused");
            };
            let shorts = shorts(&reviewed);
            let inputs = Inputs::of(&reviewed, &[]);
            for finding in &reviewed.findings {
                if finding.rule.rule().proof == Proof::Attested {
                    continue;
                }
                let (design, studies) = (reviewed.design(), reviewed.studies());
                working(design, studies, &shorts, finding, &mut |step| {
                    for term in step.terms.iter().chain([&step.result]) {
                        let Some(one) = term.stated else { continue };
                        if one.thing.kind == Kind::Reading {
                            assert!(inputs.line_of(one).is_some(), "{one:?}");
                            continue;
                        }
                        stated += 1;
                        let (_, key) = one.key.split_once('.').unwrap();
                        let line = inputs.text_of(one);
                        let told = line.as_deref().is_some_and(|line| {
                            line.split_once('=').is_some_and(|(head, rest)| {
                                head.trim() == key || rest.contains(&format!("{key} ="))
                            })
                        });
                        if !told {
                            elsewhere.insert(one.key);
                        }
                    }
                });
            }
        }
        assert!(stated > 10_000, "{stated}");
        // Without this key it is one; the line of the entry is told.
        assert_eq!(elsewhere, BTreeSet::from(["battery.in-parallel"]));
    }

    #[test]
    fn numbers_take_the_place_of_whole_symbols() {
        assert_eq!(put_in("R * Rhigh", &[]), "R * Rhigh");
        assert_eq!(shown("U * (1 + x)"), "U x (1 + x)");
    }
}
