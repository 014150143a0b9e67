//! Whether a file holds a key that nobody knows, asked of the schema and of another
//! reading of the text than the one that is tested.

use serde_json::Value as Json;
use toml::Value as Toml;

/// The first key of a TOML text that the schema of design files does not have, as a
/// path; `None` where there is no such key. A text that is no TOML is such a key itself.
pub(crate) fn unknown_key(schema: &Json, text: &str) -> Option<String> {
    match text.parse::<toml::Table>() {
        Ok(table) => unknown_in(schema, schema, &Toml::Table(table), ""),
        Err(_) => Some("no TOML".into()),
    }
}

fn unknown_in(root: &Json, schema: &Json, value: &Toml, path: &str) -> Option<String> {
    let schema = match schema.get("$ref").and_then(Json::as_str) {
        Some(reference) => root.pointer(reference.trim_start_matches('#'))?,
        None => schema,
    };
    match value {
        Toml::Table(table) => table.iter().find_map(|(key, value)| {
            let path = format!("{path}.{key}");
            // What a phase draws is a table of names that the builder gives.
            let named = || schema.get("additionalProperties").filter(|s| s.is_object());
            match schema.get("properties").and_then(|known| known.get(key)) {
                Some(known) => unknown_in(root, known, value, &path),
                None if named().is_some() => None,
                None => Some(path),
            }
        }),
        Toml::Array(list) => {
            let items = schema.get("items")?;
            let mut values = list.iter();
            values.find_map(|value| unknown_in(root, items, value, path))
        }
        _ => None,
    }
}
