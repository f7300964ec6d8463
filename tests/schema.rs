//! The JSON Schema accepts what the reader accepts, and catches misspelt keys as an editor would.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::schema::schema;
use coldseam::{shipped, validation};
use serde_json::Value;

fn parsed(text: &str) -> Value {
    serde_yaml::from_str(text).unwrap()
}

#[test]
fn every_file_that_comes_with_the_program_is_valid() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let files = shipped::all().map(|file| (file.name, file.text)).chain(validation::CASES.iter().copied());
    for (name, text) in files {
        let errors: Vec<String> =
            validator.iter_errors(&parsed(text)).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
}

#[test]
fn misspelt_keys_and_wrong_words_are_caught() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let text = shipped::find("window-sill").unwrap().text;
    assert!(validator.is_valid(&parsed(text)));
    for (from, to) in [
        ("parameters:", "parametres:"),
        ("role: internal", "role: inside"),
        ("resistance: 0.25", "resistence: 0.25"),
        ("along: +x", "along: x"),
        ("section: { y: -1200 }", "sections: { y: -1200 }"),
        ("source: \"", "sources: \""),
        ("coldseam: 1", "coldseam: 2"),
    ] {
        assert!(text.contains(from), "{from}");
        assert!(!validator.is_valid(&parsed(&text.replacen(from, to, 1))), "{to}");
    }
}
