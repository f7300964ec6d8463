//! Every spelling of a number wherever one is read: it means the number, or it is an error with its line;
//! never something else.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeSet;

use coldseam::case::{self, Severity};
use coldseam::{shipped, validation};
use rayon::prelude::*;

/// Documents with the numbers that stand in no shipped or reference document.
const MORE: [&str; 4] = [
    include_str!("numbers/elements.yaml"),
    include_str!("numbers/case.yaml"),
    include_str!("keys/slopes.yaml"),
    include_str!("keys/slope.yaml"),
];

/// Other spellings of a number that is written in decimals.
fn alike(written: &str) -> Vec<String> {
    let (sign, digits) = written.split_at(written.len() - written.trim_start_matches(['+', '-']).len());
    let mut spellings = vec![
        format!("\"{written}\""),
        format!("' {written} '"),
        format!("({written})"),
        format!("{written} * 1"),
        format!("{sign}0{digits}"),
    ];
    if !written.contains(['e', 'E']) {
        spellings.extend([format!("{written}e0"), format!("{written}E+0"), format!("{written}e-0")]);
        spellings.push(if written.contains('.') { format!("{written}0") } else { format!("{written}.") });
        if let Some(fraction) = digits.strip_prefix("0.") {
            spellings.push(format!("{sign}.{fraction}"));
        }
    }
    if sign.is_empty() {
        spellings.push(format!("+{written}"));
    }
    spellings
}

/// What is no number here.
const NONE: [&str; 31] = [
    "1_000",
    "\"1_000\"",
    "0_5.5",
    "_5",
    "5_",
    "0x10",
    "\"0x10\"",
    "0o17",
    "0b11",
    "2,5",
    "\"2,5\"",
    "2'000",
    "2 m",
    "2mm",
    "20%",
    "1:30",
    "nan",
    ".nan",
    ".NaN",
    "infinity",
    "inf",
    "-.inf",
    "~",
    "null",
    "yes",
    "true",
    "2e",
    "e3",
    "1e999",
    "1..5",
    "\"\"",
];

/// Bytes of the numbers of a document that stand alone behind a key or in a list on one line; neither in
/// comments nor in quotes.
fn places(text: &str) -> Vec<(usize, usize, usize)> {
    let (mut found, mut start) = (Vec::new(), 0);
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let code = line.find(" #").map_or(line, |end| &line[..end]).trim_end();
        if !line.trim_start().starts_with('#') && !line.starts_with("coldseam") {
            for (at, _) in code
                .match_indices(|character: char| character.is_ascii_digit() || matches!(character, '-' | '.'))
            {
                let before = &code[..at];
                let is_item = before.trim_end().ends_with([',', '['])
                    && before.matches('[').count() > before.matches(']').count();
                let end = code[at..].find([',', ']', '}']).map_or(code.len(), |end| at + end);
                let end = at + code[at..end].trim_end().len();
                let is_alone = code[at..end].parse::<f64>().is_ok_and(f64::is_finite);
                if (before.ends_with(": ") || is_item) && before.matches('"').count() % 2 == 0 && is_alone {
                    found.push((number + 1, start + at, start + end));
                }
            }
        }
        start += line.len();
    }
    found
}

/// The shipped and reference documents with one number at a time respelled: read as cases, build-up files and
/// climates.
#[test]
fn every_spelling_is_the_number_or_an_error() {
    let texts = shipped::all().map(|file| file.text).chain(validation::CASES.iter().map(|(_, text)| *text));
    let texts: Vec<&str> = texts.chain(MORE).collect();
    let readers: [fn(&str) -> Read; 3] = [as_case, as_library, as_climate];
    let counts: Vec<[usize; 3]> = texts
        .par_iter()
        .enumerate()
        .map(|(document, text)| {
            let sound: Vec<_> =
                readers.iter().filter_map(|reader| Some((reader, reader(text).ok()?.0))).collect();
            let mut counts = [0; 3];
            for (index, (line, from, end)) in places(text).into_iter().enumerate() {
                counts[0] += 1;
                let line_start = text[..from].rfind('\n').map_or(0, |end| end + 1);
                let other = |spelling: &str| format!("{}{spelling}{}", &text[..from], &text[end..]);
                let what = |spelling: &str| {
                    format!("document {document}, line {line}: {}`{spelling}`", &text[line_start..from])
                };
                // One in four, others in the next place.
                let chosen = |number: usize| (number + index + document).is_multiple_of(4);
                for (_, spelling) in
                    alike(&text[from..end]).iter().enumerate().filter(|(number, _)| chosen(*number))
                {
                    for (reader, meaning) in &sound {
                        let read = reader(&other(spelling));
                        assert_eq!(read.as_ref().map(|read| &read.0), Ok(meaning), "{}", what(spelling));
                        counts[1] += 1;
                    }
                }
                for (_, spelling) in NONE.iter().enumerate().filter(|(number, _)| chosen(*number)) {
                    let mut is_told = sound.is_empty();
                    for (reader, meaning) in &sound {
                        match reader(&other(spelling)) {
                            // A key without a value is left out, which is said.
                            Ok((_, true)) if matches!(*spelling, "~" | "null") => is_told = true,
                            // In a list of any length a comma parts two numbers, with or without a space.
                            Ok((read, _)) if *spelling == "2,5" && &read != meaning => {
                                assert_eq!(
                                    Ok(read),
                                    reader(&other("2, 5")).map(|read| read.0),
                                    "{}",
                                    what(spelling)
                                );
                                is_told = true;
                            }
                            // Not everything is read by each.
                            Ok((read, _)) => assert_eq!(&read, meaning, "{}", what(spelling)),
                            Err(lines) => {
                                let is_here = lines.contains(&line) || matches!(*spelling, "~" | "null");
                                assert!(is_here, "{} is told in {lines:?}", what(spelling));
                                is_told = true;
                            }
                        }
                    }
                    assert!(is_told, "{} is taken without a word", what(spelling));
                    counts[2] += 1;
                }
            }
            counts
        })
        .collect();
    let sum = |index: usize| counts.iter().map(|counts| counts[index]).sum::<usize>();
    for (text, reader) in MORE.iter().zip([as_library, as_case, as_case, as_case]) {
        assert!(reader(text).is_ok());
    }
    assert!(
        sum(0) > 500 && sum(1) > 1_000 && sum(2) > 3_000,
        "{} places, {} alike, {} none",
        sum(0),
        sum(1),
        sum(2)
    );
}

/// The keys of the schema that take numbers, by themselves or in lists.
fn numeric_keys(schema: &serde_json::Value, found: &mut BTreeSet<String>) {
    fn takes_numbers(schema: &serde_json::Value) -> bool {
        // Texts that may look like numbers have `string` first.
        let own = schema["type"].as_str() == Some("number") || schema["type"][0].as_str() == Some("number");
        let parts =
            ["anyOf", "oneOf", "prefixItems"].iter().filter_map(|key| schema[*key].as_array()).flatten();
        own || parts.chain([&schema["items"]]).any(|part| !part.is_null() && takes_numbers(part))
    }
    if let Some(properties) = schema["properties"].as_object() {
        found.extend(properties.iter().filter(|(_, value)| takes_numbers(value)).map(|(key, _)| key.clone()));
    }
    match schema {
        serde_json::Value::Object(entries) => entries.values().for_each(|value| numeric_keys(value, found)),
        serde_json::Value::Array(items) => items.iter().for_each(|value| numeric_keys(value, found)),
        _ => {}
    }
}

/// A key that takes numbers stands in one of the documents with a number, so that none is left out of the
/// spellings above.
#[test]
fn every_key_that_takes_numbers_is_among_the_documents() {
    let texts = shipped::all()
        .map(|file| file.text)
        .chain(validation::CASES.iter().map(|(_, text)| *text))
        .chain(MORE);
    let mut met = BTreeSet::new();
    for text in texts {
        for (_, from, _) in places(text) {
            let line = &text[text[..from].rfind('\n').map_or(0, |end| end + 1)..from];
            let before = &line[..line.rfind(':').unwrap_or(0)];
            let is_name = |letter: &char| letter.is_alphanumeric() || *letter == '_';
            met.insert(
                before
                    .chars()
                    .rev()
                    .take_while(is_name)
                    .collect::<String>()
                    .chars()
                    .rev()
                    .collect::<String>(),
            );
        }
    }
    let mut keys = BTreeSet::new();
    numeric_keys(&case::schema::schema(), &mut keys);
    let missing: Vec<&String> = keys.difference(&met).collect();
    assert!(keys.len() > 60, "{} keys", keys.len());
    assert!(missing.is_empty(), "in no document with a number that is respelled: {missing:?}");
}

/// The same rule for parameters, for `--set` and within expressions.
#[test]
fn the_rule_is_the_same_for_sets_and_expressions() {
    let (_, text) = validation::CASES
        .iter()
        .find(|(_, text)| text.contains("\nplan:") && !text.contains("\nparameters:"))
        .unwrap();
    let case = |value: &str, sets: &[String]| {
        let with = format!("{text}\nparameters: {{ spelled: {value} }}\n");
        let case = case::from_text("spelled", &with, sets).map_err(|rejected| lines(&rejected))?;
        Ok::<_, Vec<usize>>(case.parameters.iter().find(|(name, _)| name == "spelled").unwrap().1)
    };
    for (spelling, value) in
        [("1e3", 1e3), (".5", 0.5), ("+5", 5.0), ("5.", 5.0), ("1e-3", 1e-3), (" 5 ", 5.0), ("010", 10.0)]
    {
        assert_eq!(case(spelling, &[]), Ok(value), "{spelling}");
        assert_eq!(case(&format!("'{spelling}'"), &[]), Ok(value), "'{spelling}'");
        assert_eq!(case(&format!("1 * {spelling}"), &[]), Ok(value), "1 * {spelling}");
        assert_eq!(case("1", &[format!("spelled={spelling}")]), Ok(value), "--set {spelling}");
    }
    for spelling in NONE.iter().filter(|spelling| !spelling.starts_with(['"', '~'])) {
        assert!(case(spelling, &[]).is_err(), "{spelling}");
        assert!(case(&format!("'1 * {spelling}'"), &[]).is_err(), "1 * {spelling}");
        assert_eq!(case("1", &[format!("spelled={spelling}")]), Err(vec![1]), "--set {spelling}");
    }
}

/// A claim counts as rounded to the last digit written, however it is spelled: `2.1e-2` had room for 0.05 on
/// either side.
#[test]
fn a_claim_is_as_exact_as_it_is_written() {
    let spellings = [
        ("0.021", 5e-4),
        ("'0.021'", 5e-4),
        ("+.021", 5e-4),
        ("2.1e-2", 5e-4),
        ("21E-3", 5e-4),
        ("0.042 / 2", 5e-4),
        ("0.0210", 5e-5),
    ];
    for (spelling, expected) in spellings {
        let text = MORE[1].replace("psi_internal: 0.021", &format!("psi_internal: {spelling}"));
        let claims = case::from_text("claimed", &text, &[]).unwrap().claims;
        let claim = claims.iter().find(|claim| claim.key == "psi_internal").unwrap();
        assert!(
            claim.value == 0.021 && (claim.rounding / expected - 1.0).abs() < 1e-9,
            "{spelling}: {claim:?}"
        );
    }
    let thirds = MORE[1].replace("psi_internal: 0.021", "psi_internal: 1 / 3");
    assert!(
        case::from_text("claimed", &thirds, &[]).unwrap().claims.iter().any(|claim| claim.rounding < 1e-11)
    );
}

/// What was read, without places, and whether a key without a value was told; or the lines of the errors.
type Read = Result<(String, bool), Vec<usize>>;

fn lines(rejected: &case::Rejected) -> Vec<usize> {
    let errors = rejected.diagnostics.iter().filter(|diagnostic| diagnostic.severity == Severity::Error);
    errors.filter_map(|error| Some(rejected.sources.line_column(error.place?).0)).collect()
}

/// Debug text without places, which move with the spelling.
fn without_places(text: &str) -> String {
    let mut parts = text.split("Place {");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |all, part| all + part.split_once('}').map_or("", |(_, rest)| rest))
}

fn warned(warnings: &[case::Diagnostic]) -> bool {
    warnings.iter().any(|warning| warning.message.contains("has no value"))
}

fn as_case(text: &str) -> Read {
    let case = case::from_text("spelled", text, &[]).map_err(|rejected| lines(&rejected))?;
    let what = (
        &case.model.materials,
        &case.model.environments,
        &case.model.extent,
        &case.model.plan,
        &case.model.surfaces,
        &case.model.psi,
    );
    let claims: Vec<_> = case.claims.iter().map(|claim| (&claim.key, &claim.element, claim.value)).collect();
    let more = (claims, &case.model.condensation, &case.climate, &case.model.points, &case.parameters);
    Ok((without_places(&format!("{what:?}{more:?}")), warned(&case.warnings)))
}

fn as_library(text: &str) -> Read {
    let library = case::library_from_text("spelled", text, &[]).map_err(|rejected| lines(&rejected))?;
    let what = (
        &library.build_ups,
        &library.floors,
        &library.windows,
        &library.dwelling,
        &library.climate,
        &library.sizes,
    );
    Ok((without_places(&format!("{what:?}{:?}", library.parameters)), warned(&library.warnings)))
}

fn as_climate(text: &str) -> Read {
    let climate = case::climate_from_text("spelled", text).map_err(|rejected| lines(&rejected))?;
    // Other blocks of the file are not read for it.
    Ok((format!("{climate:?}"), true))
}
