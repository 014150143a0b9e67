//! The JSON Schema of the design file, for completion and hints in editors.

use serde_json::{Map, Value as Json, json};

use super::keys::{Key, SECTIONS, Section, Value, example_of};
use super::walk::expected;

/// The schema, draft 2020-12, made from the rows that the reader works with.
pub fn schema() -> Json {
    let mut properties = Map::new();
    let mut definitions = Map::new();
    properties.insert(
        "include".into(),
        json!({
            "description": "further files, relative to this one: parts and whatever else is kept apart",
            "type": "array",
            "items": { "type": "string" },
        }),
    );
    for section in SECTIONS {
        let reference = json!({ "$ref": format!("#/$defs/{}", section.key) });
        let property = if section.many {
            json!({ "type": "array", "items": reference })
        } else {
            reference
        };
        properties.insert(section.key.into(), property);
        definitions.insert(section.key.into(), table(section));
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "orangeloom design file",
        "description": "A vehicle or a list of parts, in TOML. Quantities are texts with units.",
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
        "$defs": definitions,
    })
}

fn table(section: &Section) -> Json {
    let mut properties = Map::new();
    for row in section.keys {
        let mut property = value(row);
        if let Json::Object(property) = &mut property {
            let words = format!("{}; {}", row.doc, expected(row));
            property.insert("description".into(), words.into());
        }
        properties.insert(row.key.into(), property);
    }
    let required: Vec<&str> = section
        .keys
        .iter()
        .filter(|row| row.required)
        .map(|row| row.key)
        .collect();
    let mut table = json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    });
    if let (Json::Object(table), false) = (&mut table, section.doc.is_empty()) {
        table.insert("description".into(), section.doc.into());
    }
    table
}

fn value(row: &Key) -> Json {
    let text = || json!({ "type": "string" });
    let texts = || json!({ "type": "array", "items": text() });
    let two = || json!({ "type": "array", "items": text(), "minItems": 2, "maxItems": 2 });
    let each = || json!({ "oneOf": [text(), two()] });
    match row.value {
        Value::Name => {
            let longest = orangeloom_core::design::MAX_TEXT_BYTES;
            json!({ "type": "string", "minLength": 1, "maxLength": longest })
        }
        Value::Text | Value::Refer(_) | Value::Terminal => text(),
        Value::Refers(_) => texts(),
        Value::Terminals => two(),
        Value::EachEnd(_) | Value::EachEndAmount(_) | Value::EachEndShield | Value::PairEnd => {
            each()
        }
        Value::Flag => json!({ "type": "boolean" }),
        Value::Whole(least, most) => {
            json!({ "type": "integer", "minimum": least, "maximum": most })
        }
        // A TOML date; editors differ in what they take it for.
        Value::Day => json!({ "format": "date" }),
        Value::Minute => {
            json!({ "type": "string", "pattern": "^[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?$" })
        }
        Value::Quantity(kind, _) => {
            json!({ "type": "string", "examples": [example_of(row.key, kind)] })
        }
        Value::Draw => json!({ "type": "string", "examples": ["6 kW", "180 A", "24 ohm"] }),
        Value::Word(words) => json!({ "enum": words() }),
        Value::Table(section) => table(section),
        Value::Tables(section) => json!({ "type": "array", "items": table(section) }),
        Value::Draws => json!({ "type": "object", "additionalProperties": text() }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// After a change of the keys: `ORANGELOOM_WRITE=1 cargo test -p orangeloom schema`.
    #[test]
    fn the_committed_schema_is_current() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../schema/design.schema.json");
        let made = format!("{:#}\n", schema());
        if std::env::var_os("ORANGELOOM_WRITE").is_some() {
            std::fs::write(path, &made).unwrap();
        }
        assert_eq!(std::fs::read_to_string(path).unwrap(), made);
    }
}
