//! A JSON Schema (draft 2020-12) of case, build-up and climate files, for editors that complete and check
//! while one types.
//!
//! It is made from the tables of keys that the reader checks against ([`super::keys`]). What only the reader
//! can know (expressions, names, geometry) it leaves to the reader.

use serde_json::{Map, Value, json};

use super::keys::{Block, CASE, Key, Kind, Need};
use crate::ranges::Allowed;

/// The schema.
pub fn schema() -> Value {
    let mut schema = table(&CASE);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!("coldseam case, build-up or climate file");
    schema
}

/// A table with none but its keys.
fn table(block: &Block) -> Value {
    let properties: Map<String, Value> =
        block.keys.iter().map(|key| (key.name.to_owned(), property(key))).collect();
    let required: Vec<&str> =
        block.keys.iter().filter(|key| key.need == Need::Needed).map(|key| key.name).collect();
    let mut schema = json!({ "type": "object", "description": block.meaning, "properties": properties, "required": required, "additionalProperties": false });
    let groups: Vec<Value> = block
        .one_of
        .iter()
        .map(|group| json!({ "oneOf": group.iter().map(|key| json!({ "required": [key] })).collect::<Vec<_>>() }))
        .collect();
    if !groups.is_empty() {
        schema["allOf"] = json!(groups);
    }
    schema
}

fn property(key: &Key) -> Value {
    let mut schema = value(&key.kind);
    let otherwise = if let Need::Unless(default) = key.need {
        format!("; {default} unless stated")
    } else {
        String::new()
    };
    let units: Vec<&str> =
        key.kind.quantities().iter().map(|quantity| quantity.unit).filter(|unit| !unit.is_empty()).collect();
    let unit = units
        .first()
        .filter(|first| units.iter().all(|unit| unit == *first))
        .map_or_else(String::new, |unit| format!(", {unit}"));
    let expression = if matches!(key.kind, Kind::Number(_)) {
        "; a number or an expression of the parameters"
    } else {
        ""
    };
    schema["description"] = json!(format!("{}{unit}{otherwise}{expression}", key.meaning));
    schema
}

fn value(kind: &Kind) -> Value {
    match kind {
        Kind::Version(version) => json!({ "const": version }),
        Kind::Text | Kind::Name(_) => json!({ "type": "string" }),
        Kind::Word(words) => json!({ "enum": words }),
        Kind::Number(quantity) => {
            let (least, most) = match quantity.allowed {
                Allowed::Positive(least, most) | Allowed::Between(least, most) => (least, most),
                Allowed::ZeroOr(_, most) => (0.0, most),
            };
            json!({ "type": ["number", "string"], "minimum": least, "maximum": most })
        }
        Kind::Pair(items) => {
            let items: Vec<Value> = items.iter().map(|(_, kind)| value(kind)).collect();
            json!({ "type": "array", "prefixItems": items, "minItems": 2, "maxItems": 2 })
        }
        Kind::List(most, kind) => json!({ "type": "array", "items": value(kind), "maxItems": most }),
        Kind::Lists(count, kind) => {
            json!({ "type": "array", "items": value(kind), "minItems": count, "maxItems": count })
        }
        Kind::Table(block) => table(block),
        Kind::Named(_, most, kind) => {
            json!({ "type": ["object", "null"], "additionalProperties": value(kind), "maxProperties": most })
        }
        Kind::Either(kinds) => json!({ "anyOf": kinds.iter().map(value).collect::<Vec<_>>() }),
    }
}
