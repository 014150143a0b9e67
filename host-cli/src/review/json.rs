//! The review as JSON; every key of a value carries its unit.

use orangeloom_core::design::TextId;
use orangeloom_core::review::{Finding, RuleId};
use serde::Serialize;
use serde_json::{Map, Value, json};

use super::evidence;
use super::mending::{self, Trial};
use super::told::{because, difference_unit_key, unit_key};
use super::two_threads::shared_out;
use super::{Reviewed, day};
use crate::document;
use crate::page::CAUTIONS;
use crate::study::names;
use crate::thing_text::position;
use crate::working::cite;

/// Raised when a key changes its meaning or goes.
const SCHEMA_VERSION: u32 = 2;

#[derive(Serialize)]
struct Document<'a> {
    schema_version: u32,
    program: &'static str,
    program_version: &'static str,
    vehicle: Option<&'a str>,
    revision: Option<&'a str>,
    passes: bool,
    domain: Value,
    files: Vec<String>,
    carried_over: Vec<String>,
    rules: Vec<Value>,
    cautions: [&'static str; 3],
}

/// The document.
pub(super) fn render(reviewed: &Reviewed) -> Result<String, String> {
    let mut rows = shared_out(&reviewed.findings, |finding, trial: &mut Trial| {
        let mut row = finding_row(reviewed, finding);
        let turning = trial.turning(reviewed, finding);
        row.insert("turning".into(), mending::json(reviewed, turning));
        Value::Object(row)
    })
    .into_iter();
    let rules = RuleId::ALL.iter().map(|id| rule(reviewed, *id, &mut rows));
    let design = reviewed.design();
    let vehicle = &design.vehicle;
    let text = |id: Option<TextId>| id.and_then(|id| design.text(id));
    document::text(&Document {
        schema_version: SCHEMA_VERSION,
        program: "orangeloom",
        program_version: env!("CARGO_PKG_VERSION"),
        vehicle: text(vehicle.name),
        revision: text(vehicle.revision),
        passes: reviewed.passes(),
        domain: domain(reviewed),
        files: reviewed.files().map(String::from).collect(),
        carried_over: reviewed.carried_over(),
        rules: rules.collect(),
        cautions: CAUTIONS,
    })
}

/// A rule with the rows of its findings, which are the next ones.
fn rule(reviewed: &Reviewed, id: RuleId, rows: &mut impl Iterator<Item = Value>) -> Value {
    let rule = id.rule();
    let findings: Vec<Value> = rows.take(reviewed.of_rule(id).count()).collect();
    json!({
        "rule": id.slug(),
        "area": rule.area,
        "severity": rule.severity,
        "proof": rule.proof,
        "stage": id.stage(),
        "verdict": reviewed.verdict(id),
        "findings": findings,
    })
}

/// One finding.
pub(crate) fn finding_row(reviewed: &Reviewed, finding: &Finding) -> Map<String, Value> {
    let judged = &finding.judged;
    let unit = unit_key(judged.name.unit());
    let named = |thing| names::thing(reviewed.design(), thing);
    let mut row = Map::new();
    row.insert("rule".into(), finding.rule.slug().into());
    row.insert("thing".into(), named(finding.thing).into());
    row.insert("at".into(), finding.at.map(named).into());
    row.insert(
        "place".into(),
        position(&reviewed.read, finding.thing).into(),
    );
    row.insert("verdict".into(), json!(judged.verdict));
    row.insert("blocks".into(), reviewed.blocks(finding).into());
    row.insert("accepted".into(), accepted(reviewed, finding));
    row.insert("aspect".into(), json!(judged.name));
    row.insert(format!("value_{unit}"), json!(judged.value));
    row.insert(format!("limit_{unit}"), json!(judged.limit));
    let margin_unit = difference_unit_key(judged.name.unit());
    row.insert(format!("margin_{margin_unit}"), json!(judged.margin()));
    row.insert("because".into(), because(reviewed, finding).into());
    row.insert("record".into(), evidence::row(reviewed, finding));
    row.insert("source".into(), cite(judged.source).into());
    row
}

/// Whose rules it falls under.
fn domain(reviewed: &Reviewed) -> Value {
    let domain = reviewed.design().vehicle.domain;
    let limits = domain.limits();
    json!({
        "name": domain,
        "touchable_V": limits.touchable_dc_v,
        "highest_V": limits.highest_dc_v,
        "source": cite(limits.source),
    })
}

/// Who accepted it; null where nobody did.
fn accepted(reviewed: &Reviewed, finding: &Finding) -> Value {
    reviewed.accepted(finding).map_or(Value::Null, |one| {
        let up_to = one.up_to.as_ref().map(|(up_to, _)| up_to);
        json!({
            "who": one.who,
            "date": day(one.date),
            "up_to": up_to,
            "reason": one.reason,
        })
    })
}
