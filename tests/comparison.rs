//! `compare`: whatever was put in and differs is told, with its line; what is only spelled differently is not.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::{self, Case};
use coldseam::result::comparison::{Difference, inputs};
use coldseam::{shipped, validation};

fn read(text: &str) -> Option<Case> {
    case::from_text("case", text, &[]).ok()
}

fn differences(first: &Case, text: &str) -> Option<Vec<Difference>> {
    Some(inputs([first, &read(text)?]))
}

/// Byte ranges of what looks like a word or number outside comments and the `coldseam: 1` of the first line.
fn words(text: &str) -> Vec<(usize, usize)> {
    let mut words = Vec::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let code = if line.trim_start().starts_with('#') { 0 } else { line.find(" #").unwrap_or(line.len()) };
        let code = if line.starts_with("coldseam:") { 0 } else { code };
        let is_word = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'.');
        let bytes = line.as_bytes();
        let mut at = 0;
        while at < code {
            if is_word(bytes[at]) {
                let end = (at..code).find(|end| !is_word(bytes[*end])).unwrap_or(code);
                words.push((start + at, start + end));
                at = end;
            } else {
                at += 1;
            }
        }
        start += line.len();
    }
    words
}

fn every_case() -> impl Iterator<Item = (&'static str, &'static str)> {
    shipped::CASES.iter().map(|case| (case.name, case.text)).chain(validation::CASES.iter().copied())
}

/// Any one number of any case made another one, and any one word made another that occurs in the case: told, in the line where it stands.
#[test]
fn any_one_change_is_told() {
    let (mut numbers, mut names) = (0, 0);
    for (name, text) in every_case() {
        let first = read(text).unwrap();
        assert_eq!(inputs([&first, &first]), [], "{name}");
        let words = words(text);
        // Every second one: a matter of time.
        for (index, &(start, end)) in words.iter().enumerate().step_by(2) {
            let word = &text[start..end];
            let other = if let Ok(value) = word.parse::<f64>() {
                format!("{}", value + if index % 4 == 0 { 1e-6 } else { 1.0 })
            } else {
                let (start, end) = words[(index * 7 + 3) % words.len()];
                text[start..end].to_owned()
            };
            if other == word || other.parse::<f64>().is_ok() != word.parse::<f64>().is_ok() {
                continue;
            }
            let parameter = |name: &str| first.parameters.iter().find(|(known, _)| known == name).map(|(_, value)| *value);
            let number = text[..start].matches('\n').count() + 1;
            let line = text.lines().nth(number - 1).unwrap();
            let same = parameter(word).is_some() && parameter(word) == parameter(&other);
            if same || line.contains("max(") || line.contains("min(") {
                continue; // an expression that may have the same value
            }
            let changed = format!("{}{other}{}", &text[..start], &text[end..]);
            let Some(found) = differences(&first, &changed) else { continue };
            *(if word.parse::<f64>().is_ok() { &mut numbers } else { &mut names }) += 1;
            assert!(!found.is_empty(), "{name}: no difference for line {number}, `{word}` made `{other}`");
            // Texts of several lines begin before the word.
            let lines = found.iter().flat_map(|difference| &difference.lines).flatten();
            let nearest =
                lines.filter_map(|line| line.strip_prefix("line ")?.parse::<usize>().ok()).filter(|line| *line <= number).max();
            assert!(nearest.is_some_and(|line| line + 6 >= number), "{name}: line {number} told as {found:?}");
        }
    }
    assert!(numbers > 350 && names > 250, "{numbers} numbers and {names} words");
}

/// Any one line of any case left out, or written twice where that is allowed.
#[test]
fn any_line_left_out_is_told() {
    let mut counted = 0;
    for (name, text) in every_case() {
        let first = read(text).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        for index in 0..lines.len() {
            let is_comment = lines[index].trim().is_empty() || lines[index].trim_start().starts_with('#');
            for twice in [false, true] {
                let mut changed = lines.clone();
                if twice {
                    changed.insert(index, lines[index]);
                } else {
                    changed.remove(index);
                }
                let Some(found) = differences(&first, &changed.join("\n")) else { continue };
                counted += usize::from(!is_comment);
                assert_eq!(found.is_empty(), is_comment, "{name}: line {}: {}", index + 1, lines[index]);
            }
        }
    }
    assert!(counted > 100, "{counted} lines");
}

/// Other spellings of the same numbers, and keys in another order, are no difference.
#[test]
fn spelling_is_no_difference() {
    let mut respelled = 0;
    for (name, text) in every_case() {
        let first = read(text).unwrap();
        for (index, &(start, end)) in words(text).iter().enumerate().step_by(2) {
            let word = &text[start..end];
            let Ok(value) = word.parse::<f64>() else { continue };
            let is_within = |opening: &str| text[..start].ends_with(opening);
            // Alone between brackets, not within a text or an expression.
            if !(is_within(" ") || is_within("[")) || !matches!(text.as_bytes().get(end), Some(b',' | b']' | b' ' | b'\n')) {
                continue;
            }
            if text[end..].starts_with(' ') && !text[end..].starts_with(" }")
                || ["* ", "+ ", "- ", "/ "].iter().any(|operator| is_within(operator))
            {
                continue;
            }
            let other = [
                format!("\"{word}\""),
                format!("{value:e}"),
                format!("({word})"),
                format!("2 * {word} - {word}"),
                format!("{word} + 0"),
            ];
            let changed = format!("{}{}{}", &text[..start], other[index % other.len()], &text[end..]);
            let Some(found) = differences(&first, &changed) else { continue };
            let in_a_text =
                found.iter().all(|found| ["title", "description", "source"].iter().any(|key| found.what.contains(key)));
            assert!(in_a_text, "{name}: {}: {found:?}", other[index % other.len()]);
            respelled += 1;
        }
    }
    assert!(respelled > 200, "{respelled} numbers");
    let wall = |environments: &str, conductivity: &str| {
        read(&format!(
            "coldseam: 1\ntitle: Order\nmaterials: {{ mine: {{ conductivity: {conductivity}, source: \"a test\" }} }}\n\
             environments: {{ {environments} }}\nextent: {{ x: [-100, 300], y: [0, 500] }}\nplan:\n  - {{ space: room, x: [-100, 0] }}\n  \
             - {{ space: outside, x: [200, 300] }}\n  - {{ fill: mine, x: [0, 200], y: [0, 500] }}\n"
        ))
        .unwrap()
    };
    let [room, outside] = ["room: { role: internal, temperature: 20 }", "outside: { temperature: 0, role: external }"];
    let one = wall(&format!("{room}, {outside}"), "0.1 + 0.2");
    assert_eq!(inputs([&one, &wall(&format!("{outside}, {room}"), "0.3")]), []);
    assert_eq!(inputs([&one, &wall(&format!("{outside}, {room}"), "0.3000001")]).len(), 1);
}

/// A shape put in before others moves none of them: the one that is new is named with its line.
#[test]
fn a_new_shape_is_told_alone() {
    let mut told = 0;
    for (name, text) in every_case() {
        let first = read(text).unwrap();
        for (place, _) in text.match_indices("\n  - { fill: ") {
            let changed = format!("{}\n  - {{ fill: steel, x: [1, 2], y: [3, 4] }}{}", &text[..place], &text[place..]);
            let Some(found) = differences(&first, &changed) else { continue };
            let line = text[..place].matches('\n').count() + 2;
            let found: Vec<_> = found.iter().filter(|found| !found.what.starts_with("λ of steel")).collect();
            assert_eq!(found.len(), 1, "{name}: {found:?}");
            assert_eq!(found[0].values, [String::new(), "{ fill: steel, x: [1, 2], y: [3, 4] }".to_owned()]);
            assert_eq!(found[0].lines, [None, Some(format!("line {line}"))]);
            told += 1;
        }
    }
    assert!(told > 20, "{told} shapes");
}
