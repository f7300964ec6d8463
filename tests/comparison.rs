//! `compare`: whatever was put in and differs is told, with its line; what is only spelled differently is
//! not. Results are the same, cannot be told apart, or differ, by what is known of them.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;

use coldseam::bounds::Bracket;
use coldseam::case::{self, Case};
use coldseam::result::comparison::{Change, Difference, Relation, inputs, results};
use coldseam::result::{self, Outcome};
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

/// Any one number of any case made another one, and any one word made another that occurs in the case: told,
/// in the line where it stands.
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
            let parameter = |name: &str| {
                first.parameters.iter().find(|(known, _)| known == name).map(|(_, value)| *value)
            };
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
            let nearest = lines
                .filter_map(|line| line.strip_prefix("line ")?.parse::<usize>().ok())
                .filter(|line| *line <= number)
                .max();
            assert!(
                nearest.is_some_and(|line| line + 6 >= number),
                "{name}: line {number} told as {found:?}"
            );
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
            if !(is_within(" ") || is_within("["))
                || !matches!(text.as_bytes().get(end), Some(b',' | b']' | b' ' | b'\n'))
            {
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
            let in_a_text = found
                .iter()
                .all(|found| ["title", "description", "source"].iter().any(|key| found.what.contains(key)));
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
    let [room, outside] =
        ["room: { role: internal, temperature: 20 }", "outside: { temperature: 0, role: external }"];
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
            let changed =
                format!("{}\n  - {{ fill: steel, x: [1, 2], y: [3, 4] }}{}", &text[..place], &text[place..]);
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

/// A result of two cases, by hand.
fn change(values: [Option<(f64, f64)>; 2]) -> Change {
    let bracket = |(middle, error): (f64, f64)| Bracket::around(middle, error).unwrap();
    Change { what: "ψ".to_owned(), unit: "W/(m·K)", values: values.map(|value| value.map(bracket)) }
}

/// Brackets that overlap are told from equal ones and from ones that do not, whichever comes first; what one
/// case lacks is no difference of numbers.
#[test]
fn verdicts_follow_what_is_known() {
    let mut seed = 7_u64;
    let mut next = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as f64 / f64::from(1_u32 << 31)
    };
    let mut counted = [0; 3];
    for round in 0..2_000 {
        let one = (next() - 0.5, next() * 1e-3);
        let other = match round % 4 {
            0 => one,
            1 => (one.0 + (next() - 0.5) * 4e-3, next() * 1e-3),
            2 => (one.0 + next() * 1e-9 + 1e-10, one.1),
            _ => (next() - 0.5, 0.0),
        };
        let verdict = change([Some(one), Some(other)]).verdict();
        let apart = (other.0 - one.0).abs();
        let expected = if round % 4 == 0 {
            "same"
        } else if apart <= one.1 + other.1 {
            "cannot_be_told_apart"
        } else {
            "different"
        };
        counted[["same", "cannot_be_told_apart", "different"]
            .iter()
            .position(|word| *word == expected)
            .unwrap()] += 1;
        assert_eq!(verdict.word(), expected, "{one:?} and {other:?}");
        assert!((verdict.difference().unwrap() - (other.0 - one.0)).abs() < 1e-12);
        let turned = change([Some(other), Some(one)]).verdict();
        assert_eq!(turned.word(), expected);
    }
    assert!(counted.iter().all(|count| *count > 100), "{counted:?}");
    assert_eq!(change([Some((0.1, 0.01)), None]).verdict(), Relation::OnlyFirst);
    assert_eq!(change([None, Some((0.1, 0.01))]).verdict(), Relation::OnlySecond);
    // What is exact differs by any amount.
    assert_eq!(change([Some((0.1, 0.0)), Some((0.1 + 1e-9, 0.0))]).verdict().word(), "different");
}

const WALL: &str = "coldseam: 1
title: corner
cut: horizontal
materials: { brick: { conductivity: 0.5, source: the test }, board: { conductivity: 0.04, source: the test } }
environments:
  room: { role: internal, temperature: 20 }
  store: { role: unheated, temperature: 8 }
  outside: { role: external, temperature: 0 }
extent: { x: [-1200, 600], y: [-1200, 1200] }
plan:
  - { space: room, x: [-1200, 0], y: [-1200, 0] }
  - { space: store, x: [-1200, 0], y: [100, 1200] }
  - { space: outside, x: [300, 600] }
  - { layers: [[brick, 200], [board, 100]], along: +x, from: 0, y: [-1200, 1200] }
  - { fill: brick, x: [-1200, 0], y: [0, 100] }
points: { edge: [0, 0] }
PSI
";

fn solved(psi: &str, change: &dyn Fn(&str) -> String) -> Outcome {
    let text = change(&WALL.replace("PSI", psi));
    result::compute(read(&text).unwrap_or_else(|| panic!("{text}")))
        .unwrap_or_else(|failure| panic!("{failure}\n{text}"))
}

fn verdicts(outcomes: [&Outcome; 2]) -> Vec<(String, &'static str)> {
    results(outcomes).into_iter().map(|change| (change.what.clone(), change.verdict().word())).collect()
}

/// Pairs are compared by their environments whatever their order; a pair, a convention or a point that one
/// case has alone is told as such.
#[test]
fn what_one_case_has_alone_is_told() {
    let front = "{ between: [room, outside], flanking: [{ element: front, section: { y: -1200 }, internal: [-1200, 0] }] }";
    let turned = "{ between: [outside, room], flanking: [{ element: front, section: { y: -1200 }, internal: [-1200, 0] }] }";
    let side = "{ between: [store, outside], flanking: [{ element: side, section: { y: 1200 }, internal: [100, 1200] }] }";
    let as_it_is = |text: &str| text.to_owned();
    let both = solved(&format!("psi: [{front}, {side}]"), &as_it_is);
    let reversed = solved(&format!("psi: [{side}, {turned}]"), &as_it_is);
    let one = solved(&format!("psi: {front}"), &as_it_is);
    let words = |what: &str, found: &[(String, &'static str)]| {
        found.iter().filter(|(name, _)| name.contains(what)).map(|(_, word)| *word).collect::<Vec<_>>()
    };
    // The same pairs in another order: nothing differs, nothing is alone.
    let found = verdicts([&both, &reversed]);
    assert!(found.iter().all(|(_, word)| matches!(*word, "same" | "cannot_be_told_apart")), "{found:?}");
    assert_eq!(words("ψ, outside and", &found).len(), 2, "{found:?}");
    // One pair of two is alone, whichever case has it.
    for (cases, word) in [([&both, &one], "only_in_first"), ([&one, &both], "only_in_second")] {
        let found = verdicts(cases);
        assert_eq!(words("ψ, outside and store", &found), [word], "{found:?}");
        assert_eq!(
            words("ψ, outside and room", &found).iter().filter(|found| found.starts_with("only")).count(),
            0,
            "{found:?}"
        );
    }
    // Another convention: each ψ is alone.
    let external = solved(&format!("psi: {front}"), &|text| {
        text.replace("internal: [-1200, 0]", "external: [-1200, 50]")
    });
    let found = verdicts([&one, &external]);
    assert_eq!(words("ψ, internal", &found), ["only_in_first"], "{found:?}");
    assert_eq!(words("ψ, external", &found), ["only_in_second"], "{found:?}");
    // A point of another name, and one that has moved.
    let renamed = solved(&format!("psi: {front}"), &|text| text.replace("points: { edge", "points: { foot"));
    let found = verdicts([&one, &renamed]);
    assert_eq!(words("temperature at", &found), ["only_in_first", "only_in_second"], "{found:?}");
    let moved = solved(&format!("psi: {front}"), &|text| text.replace("edge: [0, 0]", "edge: [0, -600]"));
    assert_eq!(words("temperature at edge", &verdicts([&one, &moved])), ["different"]);
    // Environments with other names: the only pair is compared, and both names are told.
    let other_names = solved(&format!("psi: {front}"), &|text| text.replace("outside", "street"));
    let found = verdicts([&one, &other_names]);
    assert_eq!(words("ψ (outside and room | room and street)", &found), ["same"], "{found:?}");
    // Whatever differs in the results differs in what was put in.
    for pair in [[&both, &one], [&one, &external], [&one, &renamed], [&one, &moved], [&one, &other_names]] {
        assert!(!inputs(pair.map(|outcome| &outcome.case)).is_empty());
    }
}

/// A change too small for the accuracy is one that cannot be told, in ψ, f_Rsi and points alike, and put in
/// it is one; a large one is told in all of them.
#[test]
fn small_changes_are_not_told_and_large_ones_are() {
    let front = "psi: { between: [room, outside], flanking: [{ element: front, section: { y: -1200 }, internal: [-1200, 0] }] }";
    let with = |conductivity: &str| {
        solved(front, &|text| text.replace("conductivity: 0.5", &format!("conductivity: {conductivity}")))
    };
    let one = with("0.5");
    for (other, expected) in [("0.500001", "cannot_be_told_apart"), ("0.9", "different")] {
        let other = with(other);
        assert!(!inputs([&one.case, &other.case]).is_empty());
        let found = verdicts([&one, &other]);
        for what in ["ψ, internal", "f_Rsi of room", "temperature at edge"] {
            let word = found.iter().find(|(name, _)| name.starts_with(what)).unwrap().1;
            assert_eq!(word, expected, "{what}: {found:?}");
        }
    }
    assert!(verdicts([&one, &one]).iter().all(|(_, word)| *word == "same"));
}

/// Every pair has a folder of its own, whatever its names are, and a picture goes when the pair has none any more.
#[test]
fn each_pair_has_its_own_picture() {
    let place = tempfile::tempdir().unwrap();
    let corner = shipped::find("outer-corner").unwrap().text;
    let sill = shipped::find("window-sill").unwrap().text;
    for name in ["a", "a-b", "b-c", "c", "a-", "-c"] {
        fs::write(place.path().join(format!("{name}.yaml")), corner).unwrap();
    }
    let compare = |first: &str, second: &str, more: &[&str]| {
        let mut program = assert_cmd::Command::cargo_bin("coldseam").unwrap();
        program.current_dir(place.path()).arg("compare").args(more).args(["--set", "insulation=150", "--"]);
        let output = program.args([first, second].map(|name| format!("{name}.yaml"))).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{first} {second}: {said}");
        String::from_utf8(output.stdout).unwrap()
    };
    let written = |text: &str| {
        let line = text.lines().find_map(|line| line.strip_prefix("Written: "));
        line.map(|path| place.path().join(path))
    };
    let mut pictures = Vec::new();
    for (first, second) in [("a", "b-c"), ("a-b", "c"), ("a", "-c"), ("a-", "c"), ("c", "a"), ("a", "c")] {
        let picture = written(&compare(first, second, &[])).unwrap();
        assert!(picture.is_file() && !pictures.contains(&picture), "{picture:?} {pictures:?}");
        pictures.push(picture);
    }
    // Without a picture of its own the pair keeps none; others keep theirs, and so does whoever asks for none.
    let count = || pictures.iter().filter(|picture| picture.is_file()).count();
    assert!(!compare("a", "b-c", &["--no-pictures"]).contains("picture"));
    assert_eq!(count(), pictures.len());
    fs::write(place.path().join("b-c.yaml"), sill).unwrap();
    assert_eq!(written(&compare("a", "b-c", &[])), None);
    assert!(!pictures[0].exists() && !pictures[0].parent().unwrap().exists());
    assert_eq!(count(), pictures.len() - 1);
    // What the user laid beside it stays.
    let letter = pictures[1].with_file_name("letter.txt");
    fs::write(&letter, "mine").unwrap();
    fs::write(place.path().join("c.yaml"), sill).unwrap();
    assert!(compare("a-b", "c", &[]).contains("No picture of the difference: the extents"));
    assert!(letter.is_file() && !pictures[1].exists());
}

/// A name that a folder cannot have is refused before anything is solved.
#[test]
fn pairs_of_names_that_are_no_folders_write_nowhere() {
    let place = tempfile::tempdir().unwrap();
    let corner = shipped::find("outer-corner").unwrap().text;
    fs::write(place.path().join("a.yaml"), corner).unwrap();
    for name in ["...yaml", "..yaml", ".hidden.yaml"] {
        fs::write(place.path().join(name), corner).unwrap();
        for pair in [["a.yaml", name], [name, "a.yaml"]] {
            let mut program = assert_cmd::Command::cargo_bin("coldseam").unwrap();
            let output = program
                .current_dir(place.path())
                .args(["compare", "--out", "deep/out"])
                .args(pair)
                .output()
                .unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{pair:?}: {said}");
            assert!(said.contains("no folder for results can be named after"), "{said}");
            assert!(!place.path().join("deep").exists());
        }
    }
}
