//! What the JSON of every answer shares.

use serde::Serialize;

/// A value, and whether it is a default that nobody stated.
#[derive(Serialize)]
pub(crate) struct Stated<T> {
    pub(crate) value: T,
    pub(crate) default: bool,
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
