//! What was recorded, as JSON.

use serde_json::{Value, json};

use super::Report;
use super::judged::still_open;
use crate::document;
use crate::page::CAUTIONS;
use crate::review::finding_row;
use crate::study::names;
use crate::thing_text::position;

/// Raised when a key changes its meaning or goes.
const SCHEMA_VERSION: u32 = 2;

/// The document.
pub(super) fn render(report: &Report) -> Result<String, String> {
    let reviewed = &report.reviewed;
    let named = |thing| names::thing(reviewed.design(), thing);
    let records: Vec<Value> = report
        .records
        .iter()
        .map(|record| {
            let findings = &record.findings;
            json!({
                "record": record.record.kind.words(),
                "place": position(&reviewed.read, record.record),
                "thing": named(record.about),
                "reads": record.read,
                "new": !record.known,
                "unused": record.is_unused().then_some(&record.unused),
                "findings": findings
                    .iter()
                    .map(|one| finding_row(reviewed, one))
                    .collect::<Vec<_>>(),
                "superseded": record.superseded.iter().map(|one| {
                    json!({
                        "rule": one.finding.rule.slug(),
                        "verdict": one.finding.judged.verdict,
                        "counts": position(&reviewed.read, one.by),
                        "why": one.why,
                    })
                }).collect::<Vec<_>>(),
            })
        })
        .collect();
    let open: Vec<Value> = still_open(reviewed)
        .into_iter()
        .map(|(stage, findings)| {
            json!({
                "stage": stage.words(),
                "findings": findings
                    .into_iter()
                    .map(|one| finding_row(reviewed, one))
                    .collect::<Vec<_>>(),
            })
        })
        .collect();
    document::text(&json!({
        "schema_version": SCHEMA_VERSION,
        "program": "orangeloom",
        "program_version": env!("CARGO_PKG_VERSION"),
        "written": report.written,
        "known_already": report.known(),
        "records": records,
        "still_open": open,
        "cautions": CAUTIONS,
    }))
}
