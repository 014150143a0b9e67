//! What the JSON of every answer shares.

use orangeloom_core::verdict::{Judged, Verdict};
use serde::Serialize;

use crate::working::cite;

/// A value, and whether it is a default that nobody stated.
#[derive(Serialize)]
pub(crate) struct Stated<T> {
    pub(crate) value: T,
    pub(crate) default: bool,
}

/// A limit with its evidence; the unit is that of value and limit.
#[derive(Serialize)]
#[allow(clippy::struct_field_names)] // the word of every answer
pub(crate) struct Limit {
    unit: &'static str,
    value: Option<f32>,
    limit: Option<f32>,
    margin: Option<f32>,
    /// That of a difference: K where the unit is degC.
    margin_unit: &'static str,
    verdict: Verdict,
    source: String,
}

impl Limit {
    pub(crate) fn new<N>(judged: &Judged<N>, unit: &'static str) -> Self {
        Self {
            unit,
            value: judged.value,
            limit: judged.limit,
            margin: judged.margin(),
            margin_unit: if unit == "degC" { "K" } else { unit },
            verdict: judged.verdict,
            source: cite(judged.source),
        }
    }
}

/// One of several limits.
#[derive(Serialize)]
pub(crate) struct NamedLimit {
    name: String,
    #[serde(flatten)]
    limit: Limit,
}

impl NamedLimit {
    pub(crate) fn new<N>(name: String, judged: &Judged<N>, unit: &'static str) -> Self {
        Self {
            name,
            limit: Limit::new(judged, unit),
        }
    }
}

/// A document as text, ending with a line break.
pub(crate) fn text(document: &impl Serialize) -> Result<String, String> {
    match serde_json::to_string_pretty(document) {
        Ok(mut text) => {
            text.push('\n');
            Ok(text)
        }
        Err(error) => Err(format!("the answer could not be written as JSON: {error}")),
    }
}
