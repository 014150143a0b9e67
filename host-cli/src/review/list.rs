//! The list of rules.

use orangeloom_core::review::{Area, RuleId};
use serde_json::{Value, json};

use crate::document;
use crate::page::{self, plain_table};

/// The list, as text or as JSON.
pub(super) fn render(as_json: bool) -> Result<String, String> {
    if as_json {
        let rules: Vec<Value> = RuleId::ALL
            .iter()
            .map(|id| {
                let rule = id.rule();
                json!({
                    "rule": id.slug(),
                    "area": rule.area,
                    "severity": rule.severity,
                    "proof": rule.proof,
                    "stage": id.stage(),
                    "checks": id.prose().checks,
                })
            })
            .collect();
        return document::text(&json!({ "schema_version": 1, "rules": rules }));
    }
    let mut blocks = vec![format!(
        "{} rules; orangeloom explain RULE tells more",
        RuleId::ALL.len()
    )];
    for area in Area::ALL {
        let mut table = plain_table();
        for id in RuleId::ALL.iter().filter(|id| id.rule().area == *area) {
            let rule = id.rule();
            table.add_row([id.slug(), rule.severity.words(), rule.proof.words()]);
        }
        blocks.push(format!("{}\n{}", area.words(), page::table(&mut table)));
    }
    Ok(page::join(&blocks))
}
