//! The comparison as JSON.

use orangeloom_core::review::{Finding, Moved};
use serde_json::{Value, json};

use super::Report;
use super::entries::{Edited, How};
use super::findings::Pair;
use super::repeat::Done;
use crate::document;
use crate::limits::SameLimits;
use crate::page::CAUTIONS;
use crate::review::{Reviewed, finding_row, record_of};
use crate::study::names;
use crate::thing_text::position;

/// Raised when a key changes its meaning or goes.
const SCHEMA_VERSION: u32 = 2;

/// The document.
pub(super) fn render(report: &Report) -> Result<String, String> {
    let pairs = |wanted: &dyn Fn(&Pair) -> bool| -> Vec<Value> {
        let pairs = report.pairs.iter().filter(|pair| wanted(pair));
        pairs.map(|pair| both(report, pair)).collect()
    };
    let stages: Vec<Value> = report
        .repeated()
        .into_iter()
        .map(|(stage, findings)| {
            let findings: Vec<Value> = findings
                .into_iter()
                .map(|one| {
                    json!({
                        "rule": one.rule.slug(),
                        "thing": names::thing(report.new.design(), one.thing),
                        "at": one.at.map(|at| names::thing(report.new.design(), at)),
                        "done": match report.done(one) {
                            Done::Yes => Some(true),
                            Done::No | Done::Relabelled => Some(false),
                            Done::NoRecord => None,
                        },
                        "record": record_of(&report.new, one).and_then(|id| position(&report.new.read, id)),
                    })
                })
                .collect();
            json!({ "stage": stage.words(), "tests": findings })
        })
        .collect();
    let touched = report.touched.iter();
    let touched: Vec<String> = touched
        .map(|thing| names::thing(report.new.design(), *thing))
        .collect();
    document::text(&json!({
        "schema_version": SCHEMA_VERSION,
        "program": "orangeloom",
        "program_version": env!("CARGO_PKG_VERSION"),
        "old": state(&report.old),
        "new": state(&report.new),
        "share_fraction": report.share,
        "same_revision": report.revision_is_kept(),
        "worse": pairs(&|pair| pair.moved() == Some(Moved::Worse)),
        "better": pairs(&|pair| pair.moved() == Some(Moved::Better)),
        "came": pairs(&|pair| pair.came().is_some()),
        "gone": pairs(&|pair| pair.went().is_some()),
        "values": pairs(&|pair| pair.moved_by(report.share)),
        "entries": entries(&report.edited),
        "records": entries(&report.recorded),
        "touched": touched,
        "limits": match report.limits {
            SameLimits::Yes => "same",
            SameLimits::No => "differ",
            SameLimits::NotKnown => "not-known",
        },
        "repeat": stages,
        "carry_over": report.carry_over(),
        "cautions": CAUTIONS,
    }))
}

fn state(reviewed: &Reviewed) -> Value {
    let files: Vec<&str> = reviewed
        .read
        .sources
        .iter()
        .map(|source| source.path.as_str())
        .collect();
    json!({ "vehicle": reviewed.vehicle(), "revision": reviewed.revision(), "files": files })
}

fn both(report: &Report, pair: &Pair) -> Value {
    let row = |reviewed: &Reviewed, one: &Option<Finding>| {
        one.as_ref()
            .map_or(Value::Null, |one| Value::Object(finding_row(reviewed, one)))
    };
    json!({
        "newly_blocks": report.newly_blocks(pair),
        "old": row(&report.old, &pair.old),
        "new": row(&report.new, &pair.new),
    })
}

fn entries(edited: &[Edited]) -> Vec<Value> {
    edited
        .iter()
        .map(|edit| {
            let (how, keys) = match &edit.how {
                How::New => ("new", Vec::new()),
                How::Gone => ("gone", Vec::new()),
                How::Changed(keys) => {
                    let keys = keys.iter();
                    let keys =
                        keys.map(|(key, was, is)| json!({ "key": key, "old": was, "new": is }));
                    ("changed", keys.collect())
                }
            };
            json!({ "entry": edit.told, "line": edit.line, "how": how, "keys": keys })
        })
        .collect()
}
