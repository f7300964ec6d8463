//! The JSON Schema (draft 2020-12) of all documents of results.

use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform};
use schemars::{Schema, json_schema};
use serde_json::Value;

use super::compare::Compare;
use super::condensation::Condensation;
use super::dwelling::Dwelling;
use super::review::Review;
use super::solve::Solve;
use super::uvalue::UValues;

/// The schema: a document of any command, or the list that a command prints for several files. Each document
/// stands under `$defs` by its name.
pub fn schema() -> Value {
    let mut generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let of_files = [
        generator.subschema_for::<Solve>(),
        generator.subschema_for::<Condensation>(),
        generator.subschema_for::<UValues>(),
        generator.subschema_for::<Review>(),
    ];
    let lists = of_files.iter().map(|document| json_schema!({ "type": "array", "items": document }));
    let alone = [generator.subschema_for::<Compare>(), generator.subschema_for::<Dwelling>()];
    let any: Vec<Schema> = of_files.iter().cloned().chain(alone).chain(lists).collect();
    let mut schema = json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "coldseam results",
        "description": "What solve, condensation, uvalue, review, compare and dwelling print with --format json; of several \
                        files the first four print a list.",
        "anyOf": any,
        "$defs": generator.take_definitions(true),
    });
    RecursiveTransform(finish).transform(&mut schema);
    schema.to_value()
}

/// No key of a document is unknown to the schema; descriptions are one line each; how wide numbers are in
/// memory concerns nobody.
fn finish(schema: &mut Schema) {
    schema.remove("format");
    if let Some(Value::String(description)) = schema.get_mut("description") {
        *description = description.replace('\n', " ");
    }
    if schema.get("properties").is_some() {
        schema.insert("additionalProperties".to_owned(), false.into());
    }
}
