//! The schema of results says what the documents are: all of it, and nothing else.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use assert_cmd::Command;
use coldseam::report::document::schema::schema;
use coldseam::{shipped, validation};
use jsonschema::Validator;
use serde_json::{Value, json};

mod common;

/// A validator of one document, by its name under `$defs`.
fn validator(name: &str) -> Validator {
    let definitions = &schema()["$defs"];
    assert!(definitions[name].is_object(), "{name}");
    jsonschema::validator_for(&json!({ "$ref": format!("#/$defs/{name}"), "$defs": definitions })).unwrap()
}

/// What a command prints with `--format json`.
fn printed(folder: &Path, arguments: &str) -> Value {
    let arguments = arguments.split_whitespace().chain(["--format", "json"]);
    let output =
        Command::cargo_bin("coldseam").unwrap().args(arguments.clone()).current_dir(folder).output().unwrap();
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!("{:?}: {error}\n{}", arguments.collect::<Vec<_>>(), String::from_utf8_lossy(&output.stderr))
    })
}

/// A folder with all files that the commands are asked about.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let files = shipped::all().map(|file| (file.name, file.text)).chain(validation::CASES.iter().copied());
    let more = [
        ("pairs", include_str!("results/pairs.yaml")),
        ("elements", include_str!("results/elements.yaml")),
        ("painted", include_str!("keys/junction.yaml")),
        ("sloped", include_str!("results/sloped.yaml")),
        ("rows", include_str!("keys/slopes.yaml")),
        ("between-points", include_str!("keys/slope.yaml")),
    ];
    for (name, text) in files.chain(more) {
        fs::write(folder.path().join(format!("{name}.yaml")), text).unwrap();
    }
    folder
}

/// The names of all that can be solved.
fn cases() -> Vec<&'static str> {
    let no_junctions = ["build-ups", "climate", "dwelling"];
    let shipped = shipped::all().map(|file| file.name).filter(|name| !no_junctions.contains(name));
    shipped.chain(validation::CASES.iter().map(|(name, _)| *name)).chain(["pairs", "painted"]).collect()
}

/// Commands that together show every key of every document, with the documents they print.
const COMMANDS: [(&str, &str); 18] = [
    ("Solve", "solve plinth.yaml --no-pictures"),
    ("Solve", "solve balcony-slab.yaml --no-pictures"),
    ("Solve", "solve pairs.yaml --no-pictures"),
    ("Solve", "solve painted.yaml --no-pictures"),
    ("Solve", "solve sloped.yaml --no-pictures"),
    ("Solve", "solve rows.yaml --no-pictures"),
    ("Solve", "solve between-points.yaml --no-pictures"),
    ("Condensation", "condensation window-reveal.yaml --climate climate.yaml --no-pictures"),
    ("Condensation", "condensation outer-corner.yaml --what-helps --set insulation=60 --no-pictures"),
    ("UValues", "uvalue build-ups.yaml --climate climate.yaml --target 0.2 --vary insulation --no-pictures"),
    ("UValues", "uvalue build-ups.yaml --target 0.01 --vary insulation --no-pictures"),
    ("UValues", "uvalue build-ups.yaml --target 9 --vary insulation --no-pictures"),
    ("UValues", "uvalue elements.yaml --climate climate.yaml --no-pictures"),
    ("Review", "review outer-corner.yaml"),
    ("Compare", "compare outer-corner.yaml outer-corner.yaml --set insulation=200 --no-pictures"),
    ("Compare", "compare outer-corner.yaml inner-corner.yaml --no-pictures"),
    ("Dwelling", "dwelling dwelling.yaml"),
    ("Dwelling", "dwelling dwelling.yaml --set insulation=200"),
];

fn faults(validator: &Validator, document: &Value) -> Vec<String> {
    validator.iter_errors(document).map(|error| format!("{}: {error}", error.instance_path)).collect()
}

#[test]
fn every_case_that_comes_with_the_program_gives_valid_documents() {
    let folder = folder();
    let any = jsonschema::validator_for(&schema()).unwrap();
    let [solve, condensation] = ["Solve", "Condensation"].map(validator);
    for name in cases() {
        let document = printed(folder.path(), &format!("solve {name}.yaml --no-pictures --accuracy 0.01"));
        assert_eq!(faults(&solve, &document), Vec::<String>::new(), "{name}");
        let written = fs::read_to_string(folder.path().join(format!("out/{name}/results.json"))).unwrap();
        assert_eq!(serde_json::from_str::<Value>(&written).unwrap(), document, "{name}");
        let months =
            printed(folder.path(), &format!("condensation {name}.yaml --climate climate.yaml --no-pictures"));
        assert_eq!(faults(&condensation, &months), Vec::<String>::new(), "{name}");
        assert!(any.is_valid(&document) && any.is_valid(&months), "{name}");
    }
}

#[test]
fn lists_of_several_files_are_valid() {
    let folder = folder();
    let any = jsonschema::validator_for(&schema()).unwrap();
    for command in ["solve", "condensation", "review"] {
        let pictures = if command == "review" { "" } else { "--no-pictures" };
        let documents =
            printed(folder.path(), &format!("{command} outer-corner.yaml inner-corner.yaml {pictures}"));
        assert_eq!(documents.as_array().unwrap().len(), 2);
        assert!(any.is_valid(&documents), "{command}");
        // Lists are of one command.
        let solved = printed(folder.path(), "dwelling dwelling.yaml");
        assert!(any.is_valid(&solved) && !any.is_valid(&json!([documents[0], solved])), "{command}");
    }
    assert!(!any.is_valid(&json!({})) && !any.is_valid(&json!({ "coldseam": 1, "title": "" })));
}

/// Every way in which one value of a document, or its keys, can be wrong.
fn spoilt(document: &Value) -> Vec<(String, Value)> {
    fn visit(value: &Value, way: &str, found: &mut Vec<(String, Value)>) {
        let other = match value {
            Value::Null => json!(true),
            Value::Bool(_) | Value::Number(_) => json!("text"),
            Value::String(_) => json!(5),
            Value::Array(items) => {
                items
                    .iter()
                    .enumerate()
                    .for_each(|(index, item)| visit(item, &format!("{way}/{index}"), found));
                json!(5)
            }
            Value::Object(entries) => {
                entries.iter().for_each(|(key, item)| {
                    visit(item, &format!("{way}/{}", key.replace('~', "~0").replace('/', "~1")), found);
                });
                let mut more = value.clone();
                more["surprise"] = json!(true);
                found.push((way.to_owned(), more));
                json!(5)
            }
        };
        found.push((way.to_owned(), other));
    }
    let mut places = Vec::new();
    visit(document, "", &mut places);
    let put = |(way, other): (String, Value)| {
        let mut spoilt = document.clone();
        *spoilt.pointer_mut(&way).unwrap() = other;
        (way, spoilt)
    };
    places.into_iter().map(put).collect()
}

#[test]
fn every_value_has_its_kind_and_no_key_is_unknown() {
    let folder = folder();
    for (name, command) in COMMANDS {
        let validator = validator(name);
        let document = printed(folder.path(), command);
        assert_eq!(faults(&validator, &document), Vec::<String>::new(), "{command}");
        let spoilt = spoilt(&document);
        assert!(spoilt.len() > 40, "{command}: {}", spoilt.len());
        for (way, document) in spoilt {
            assert!(
                !validator.is_valid(&document),
                "{command}: {way} may be {}",
                document.pointer(&way).unwrap()
            );
        }
    }
}

/// The keys of a document.
fn keys(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| keys(item, found)),
        Value::Object(entries) => entries.iter().for_each(|(key, item)| {
            found.insert(key.clone());
            keys(item, found);
        }),
        _ => {}
    }
}

/// The properties in a schema, each with what is said of it.
fn properties(schema: &Value, found: &mut Vec<(String, Value)>) {
    match schema {
        Value::Array(items) => items.iter().for_each(|item| properties(item, found)),
        Value::Object(entries) => {
            for (key, item) in entries {
                match item.as_object() {
                    Some(named) if key == "properties" => {
                        found.extend(named.iter().map(|(name, schema)| (name.clone(), schema.clone())));
                        named.values().for_each(|schema| properties(schema, found));
                    }
                    _ => properties(item, found),
                }
            }
        }
        _ => {}
    }
}

#[test]
fn every_key_is_described_and_written_somewhere() {
    let folder = folder();
    let mut seen = BTreeSet::new();
    for (_, command) in COMMANDS {
        keys(&printed(folder.path(), command), &mut seen);
    }
    let schema = schema();
    let mut all = Vec::new();
    properties(&schema, &mut all);
    assert!(all.len() > 250, "{}", all.len());
    for (name, schema) in &all {
        let description = schema["description"].as_str().unwrap_or_else(|| panic!("{name} is not described"));
        assert!(description.ends_with('.') && !description.contains('\n'), "{name}: {description}");
        assert!(seen.contains(name), "{name} is in none of the documents");
    }
    for (name, definition) in schema["$defs"].as_object().unwrap() {
        assert!(definition["description"].is_string(), "{name}");
        // Two types of one name would be told apart by a number only.
        assert!(!name.ends_with(|letter: char| letter.is_ascii_digit()), "{name}");
    }
}

#[test]
fn the_command_prints_the_schema() {
    let output = Command::cargo_bin("coldseam").unwrap().args(["schema", "--results"]).output().unwrap();
    assert!(output.status.success());
    assert_eq!(serde_json::from_slice::<Value>(&output.stdout).unwrap(), schema());
    assert!(jsonschema::meta::is_valid(&schema()));
}
