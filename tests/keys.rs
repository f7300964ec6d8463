//! The tables of keys: what they say is what the reader does, and an example is one.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeSet;

use coldseam::case::Severity;
use coldseam::case::keys::{Block, Kind, Need, walk};
use coldseam::case::schema::schema;
use coldseam::{case, shipped, validation};
use serde_json::{Value, json};

/// Documents with the keys that stand in no shipped or reference document.
const MORE: [&str; 7] = [
    include_str!("numbers/elements.yaml"),
    include_str!("numbers/case.yaml"),
    include_str!("keys/junction.yaml"),
    include_str!("keys/slopes.yaml"),
    include_str!("keys/slope.yaml"),
    include_str!("keys/floor.yaml"),
    include_str!("keys/house.yaml"),
];

fn documents() -> Vec<Value> {
    let texts = shipped::all()
        .map(|file| file.text)
        .chain(validation::CASES.iter().map(|(_, text)| *text))
        .chain(MORE);
    texts.map(|text| with_includes(serde_yaml::from_str(text).unwrap())).collect()
}

/// The blocks of shipped files that a document includes, put into it.
fn with_includes(mut document: Value) -> Value {
    let include = document.as_object_mut().unwrap().remove("include");
    let names =
        include.iter().flat_map(|value| value.as_array().cloned().unwrap_or_else(|| vec![value.clone()]));
    for name in names.collect::<Vec<Value>>() {
        let file = shipped::find(name.as_str().unwrap().trim_end_matches(".yaml")).unwrap();
        let included: Value = with_includes(serde_yaml::from_str(file.text).unwrap());
        for (key, value) in included.as_object().unwrap() {
            let own = document.as_object_mut().unwrap().entry(key).or_insert_with(|| value.clone());
            let (Value::Object(own), Value::Object(value)) = (own, value) else { continue };
            for (name, value) in value {
                own.entry(name).or_insert_with(|| value.clone());
            }
        }
    }
    document
}

/// Which of the ways to read a file accept this one.
fn accepted(document: &Value) -> [bool; 3] {
    let text = document.to_string();
    [
        case::from_text("test", &text, &[]).is_ok(),
        case::library_from_text("test", &text, &[]).is_ok(),
        case::climate_from_text("test", &text).is_ok(),
    ]
}

/// Every place of a document where a key of a table stands: the table, the key, and the way there.
fn places(value: &Value, kind: &Kind, way: &str, found: &mut Vec<(*const Block, &'static str, String)>) {
    match (kind, value) {
        (Kind::Table(block), Value::Object(entries)) => {
            for (name, inner) in entries {
                let Some(key) = block.key(name) else { continue };
                let way = format!("{way}/{name}");
                found.push((std::ptr::from_ref(*block), key.name, way.clone()));
                places(inner, &key.kind, &way, found);
            }
        }
        (Kind::Named(_, _, kind), Value::Object(entries)) => {
            for (name, inner) in entries {
                places(inner, kind, &format!("{way}/{name}"), found);
            }
        }
        (Kind::List(_, kind) | Kind::Lists(_, kind), Value::Array(items)) => {
            for (index, item) in items.iter().enumerate() {
                places(item, kind, &format!("{way}/{index}"), found);
            }
        }
        (Kind::Either(kinds), _) => {
            // Of several tables it is the one that has all these keys.
            let suits = |kind: &&Kind| match (kind, value) {
                (Kind::Table(block), Value::Object(entries)) => {
                    entries.keys().all(|name| block.key(name).is_some())
                }
                _ => true,
            };
            kinds.iter().filter(suits).for_each(|kind| places(value, kind, way, found));
        }
        _ => {}
    }
}

/// Every key of every table stands in some document, and nonsense in its place is refused: no key is known
/// and then ignored.
#[test]
fn every_key_is_read() {
    static FILE: Kind = Kind::Table(&case::keys::CASE);
    let mut seen: BTreeSet<(*const Block, &str)> = BTreeSet::new();
    // Files are put in the place of `include`, so that it stands in none of these documents.
    let include = json!({ "coldseam": 1, "title": "none", "include": { "nonsense": [] } });
    let refused = case::from_text("test", &include.to_string(), &[]).unwrap_err();
    assert!(
        refused.diagnostics.iter().any(|finding| finding.message.contains("include must be")),
        "{refused}"
    );
    seen.insert((&raw const case::keys::CASE, "include"));
    for document in documents() {
        let before = accepted(&document);
        let is_right = if document.get("plan").is_some() { before[0] } else { before.contains(&true) };
        assert!(is_right, "{document:#}");
        let mut found = Vec::new();
        places(&document, &FILE, "", &mut found);
        for (block, key, way) in found {
            if !seen.insert((block, key)) {
                continue;
            }
            let mut nonsense = document.clone();
            *nonsense.pointer_mut(&way).unwrap() = json!({ "nonsense": { "nonsense": [] } });
            let after = accepted(&nonsense);
            assert!(
                before.iter().zip(after).any(|(before, after)| *before && !after),
                "nonsense is accepted at {way}"
            );
        }
    }
    let missing: Vec<String> = walk()
        .iter()
        .flat_map(|(way, block)| {
            let unseen = block.names().filter(|key| !seen.contains(&(std::ptr::from_ref(*block), key)));
            unseen.map(move |key| format!("{way}.{key}")).collect::<Vec<_>>()
        })
        .collect();
    assert!(missing.is_empty(), "no document has {missing:?}");
}

/// The errors without advice in what a reader says of a document.
fn without_advice(document: &Value) -> Vec<String> {
    let text = document.to_string();
    let refused = [
        case::from_text("test", &text, &[]).err(),
        case::library_from_text("test", &text, &[]).err(),
        case::climate_from_text("test", &text).err(),
    ];
    let errors = refused.into_iter().flatten().flat_map(|rejected| rejected.diagnostics);
    let bare = errors.filter(|finding| finding.severity == Severity::Error && finding.hint.is_none());
    bare.map(|finding| finding.message).collect()
}

/// Whatever stands at a key instead of what belongs there, every error says what to do.
#[test]
fn every_error_has_advice() {
    static FILE: Kind = Kind::Table(&case::keys::CASE);
    let wrong = [
        json!(5),
        json!(-1e7),
        json!("no such thing"),
        json!("1 +"),
        json!(""),
        json!(true),
        json!(null),
        json!([]),
        json!([1]),
        json!([1, 2, 3]),
        json!(["a", "b"]),
        json!([[1, 2], [3]]),
        json!({}),
        json!({ "nonsense": 1 }),
        json!({ "x": [0, 1], "y": "b" }),
    ];
    let mut seen: BTreeSet<(*const Block, &str)> = BTreeSet::new();
    let mut bare: BTreeSet<String> = BTreeSet::new();
    for document in documents() {
        let mut found = Vec::new();
        places(&document, &FILE, "", &mut found);
        for (block, key, way) in found {
            if !seen.insert((block, key)) {
                continue;
            }
            for value in &wrong {
                let mut document = document.clone();
                *document.pointer_mut(&way).unwrap() = value.clone();
                bare.extend(
                    without_advice(&document).into_iter().map(|said| format!("{way} {value}: {said}")),
                );
            }
            let mut document = document.clone();
            let (table, last) = way.rsplit_once('/').unwrap();
            document.pointer_mut(table).unwrap().as_object_mut().unwrap().remove(last);
            bare.extend(without_advice(&document).into_iter().map(|said| format!("{way} left out: {said}")));
        }
    }
    assert!(seen.len() > 120, "{}", seen.len());
    let bare: Vec<String> = bare.into_iter().collect();
    assert!(bare.is_empty(), "{} errors without advice:\n{}", bare.len(), bare.join("\n"));
}

/// An example is a value that the schema admits for its key; a key without one has a table or a list of
/// tables, whose keys have some.
#[test]
fn every_example_is_one() {
    let mut count = 0;
    for (way, block) in walk() {
        for key in block.keys {
            assert!(!key.meaning.is_empty() && !key.meaning.ends_with('.'), "{way}.{}", key.name);
            if key.example.is_empty() {
                assert!(
                    key.kind.quantities().is_empty() && key.need != Need::Unless(""),
                    "{way}.{} has no example",
                    key.name
                );
                continue;
            }
            let value: Value =
                serde_yaml::from_str(&format!("{}: {}", key.name, quoted(key.example))).unwrap();
            let table = json!({ "type": "object", "properties": { key.name: of_key(&way, key.name) } });
            let validator = jsonschema::validator_for(&table).unwrap();
            let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
            assert!(errors.is_empty(), "{way}.{}: {errors:?}", key.name);
            count += 1;
        }
    }
    assert!(count > 120, "{count}");
}

/// `y` is a word here, as the reader has it.
fn quoted(example: &str) -> String {
    if example == "y" { "\"y\"".to_owned() } else { example.to_owned() }
}

/// The schema of a key, found again by its way in the whole schema.
fn of_key(way: &str, name: &str) -> Value {
    let mut found = vec![schema()];
    let steps: Vec<&str> = way.split('.').filter(|step| !step.is_empty()).chain([name]).collect();
    for step in steps {
        let mut next = Vec::new();
        for schema in found {
            descend(&schema, step, &mut next);
        }
        found = next;
    }
    assert!(!found.is_empty(), "{way}.{name} is not in the schema");
    json!({ "anyOf": found })
}

fn descend(schema: &Value, step: &str, found: &mut Vec<Value>) {
    if step.chars().all(char::is_uppercase) {
        if let Some(inner) = schema.get("additionalProperties").filter(|inner| inner.is_object()) {
            found.push(inner.clone());
        }
    } else if let Some(inner) = schema.get("properties").and_then(|properties| properties.get(step)) {
        found.push(inner.clone());
    }
    for inner in
        schema.get("anyOf").and_then(Value::as_array).into_iter().flatten().chain(schema.get("items"))
    {
        descend(inner, step, found);
    }
}

fn printed(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output =
        assert_cmd::Command::cargo_bin("coldseam").unwrap().arg("keys").args(arguments).output().unwrap();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

/// The README shows what the program prints.
#[test]
fn the_readme_has_the_overview() {
    let (code, text, _) = printed(&[]);
    assert_eq!(code, Some(0));
    assert!(
        include_str!("../README.md").contains(&format!("```text\n{text}```")),
        "README.md needs:\n{text}"
    );
}

/// Every block and every key can be asked for, by its way and by its name; lines are no wider than a
/// terminal.
#[test]
fn everything_can_be_asked_for() {
    for (way, block) in walk() {
        let (code, text, _) = if way.is_empty() { printed(&[]) } else { printed(&[&way]) };
        assert_eq!(code, Some(0), "{way}");
        assert!(text.lines().all(|line| line.chars().count() <= 110), "{text}");
        for key in block.keys {
            assert!(text.contains(key.name), "{way}.{} is not in\n{text}", key.name);
            assert!(
                way.is_empty() || key.example.is_empty() || text.contains(&format!("{}: ", key.name)),
                "{way}.{}",
                key.name
            );
            let own = printed(&[&format!("{way}.{}", key.name)]);
            assert!(own.0 == Some(0) && own.1.contains(key.name), "{way}.{}: {own:?}", key.name);
        }
    }
    let (code, text, errors) = printed(&["flankign"]);
    assert_eq!((code, text.as_str()), (Some(1), ""));
    assert!(errors.contains("did you mean `flanking`?") || errors.contains("psi.flanking"), "{errors}");
}
