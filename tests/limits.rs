//! Lists beyond every real file's length: the first entry too many is told with its line, and what is within
//! the limit is handled.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;
use std::fs;

use assert_cmd::Command;
use coldseam::case;
use coldseam::case::keys::{Block, Kind, walk};

/// Every list and table of names of the format: the block that it stands in, the key, and its limit.
fn lists() -> Vec<(String, &'static str, usize, bool)> {
    fn limits(kind: &Kind) -> Vec<(usize, bool)> {
        match kind {
            Kind::List(most, _) => vec![(*most, false)],
            Kind::Named(_, most, _) => vec![(*most, true)],
            Kind::Either(kinds) => kinds.iter().flat_map(limits).collect(),
            _ => Vec::new(),
        }
    }
    let of = |(way, block): (String, &'static Block)| {
        block.keys.iter().flat_map(move |key| {
            let way = way.clone();
            limits(&key.kind).into_iter().map(move |(most, is_named)| (way.clone(), key.name, most, is_named))
        })
    };
    walk().into_iter().flat_map(of).collect()
}

/// A file in which the key of the block on that way has so many entries, one a line.
fn with_entries(way: &str, key: &str, count: usize, is_named: bool) -> String {
    let mut text = String::from("coldseam: 1\n");
    let mut indent = 0;
    let mut block: &Block = &coldseam::case::keys::CASE;
    let mut parts = way.split('.').filter(|part| !part.is_empty()).peekable();
    while let Some(part) = parts.next() {
        let _ = writeln!(text, "{:indent$}{part}:", "");
        indent += 2;
        let kind = &block.key(part).unwrap().kind;
        // Below a name of the user's choice, or an entry of a list, the next table begins.
        if parts.next_if(|next| next.chars().all(char::is_uppercase)).is_some() {
            let _ = writeln!(text, "{:indent$}name:", "");
            indent += 2;
        }
        let next = parts.peek().copied().unwrap_or(key);
        let (inner, in_list) = table_with(kind, next, false).unwrap();
        block = inner;
        if in_list {
            let _ = writeln!(text, "{:indent$}-", "");
            indent += 2;
        }
    }
    let _ = writeln!(text, "{:indent$}{key}:", "");
    for number in 0..count {
        let entry = if is_named { format!("n{number}: 1") } else { "- 1".to_owned() };
        let _ = writeln!(text, "{:indent$}  {entry}", "");
    }
    text
}

/// The table that has a key, among what a kind allows, and whether it is an entry of a list.
fn table_with(kind: &'static Kind, key: &str, in_list: bool) -> Option<(&'static Block, bool)> {
    match kind {
        Kind::Table(block) => block.key(key).map(|_| (*block, in_list)),
        Kind::List(_, kind) | Kind::Lists(_, kind) => table_with(kind, key, true),
        Kind::Named(_, _, kind) => table_with(kind, key, in_list),
        Kind::Either(kinds) => kinds.iter().find_map(|kind| table_with(kind, key, in_list)),
        _ => None,
    }
}

#[test]
fn every_list_tells_its_limit_at_the_first_entry_too_many() {
    let all = lists();
    assert!(all.len() > 25, "{}", all.len());
    for (way, key, most, is_named) in all {
        let text = with_entries(&way, key, most + 1, is_named);
        let rejected = case::from_text("many", &text, &[]).unwrap_err();
        let said = rejected.to_string();
        let wanted = format!("`{key}` has {} entries; at most {most} are handled", most + 1);
        let told = said.lines().find(|line| line.contains(&wanted));
        let line = text.lines().count();
        assert!(
            told.is_some_and(|told| told.starts_with(&format!("many.yaml:{line}:"))),
            "{way} {key}: {said}"
        );
        assert_eq!(said.lines().count(), 1, "nothing else is read then: {said}");
        let text = with_entries(&way, key, most, is_named);
        if let Err(rejected) = case::from_text("many", &text, &[]) {
            assert!(!rejected.to_string().contains("are handled"), "{way} {key}: {rejected}");
        }
    }
}

#[test]
fn includes_together_have_the_limit_of_one_file() {
    let folder = tempfile::tempdir().unwrap();
    let material =
        |file: usize, row: usize| format!("  m{file}_{row}: {{ conductivity: 1, source: test }}\n");
    for file in 0..40 {
        let rows: String = (0..900).map(|row| material(file, row)).collect();
        fs::write(folder.path().join(format!("{file}.yaml")), format!("coldseam: 1\nmaterials:\n{rows}"))
            .unwrap();
    }
    let names: Vec<String> = (0..40).map(|file| format!("{file}.yaml")).collect();
    let main = folder.path().join("main.yaml");
    fs::write(&main, format!("coldseam: 1\ninclude: [{}]\n", names.join(", "))).unwrap();
    let said = case::load(&main, &[]).unwrap_err().to_string();
    assert!(said.contains("main.yaml:2:") && said.contains("are larger than 1024 kB"), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
}

/// So many lines.
fn lines(count: u32, line: impl Fn(u32) -> String) -> String {
    (0..count).fold(String::new(), |text, number| text + &line(number) + "\n")
}

/// A room and outside with a wall between, and more.
fn wall(more: &str, plan: &str) -> String {
    format!(
        "coldseam: 1\ntitle: wall\n{more}environments:\n  room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\nextent: {{ x: [0, 1000], y: [0, 1000] }}\nplan:\n  - {{ space: room }}\n  - {{ fill: aircrete_600, x: [400, 600], y: [0, 1000] }}\n  - {{ space: outside, x: [600, 1000], y: [0, 1000] }}\n{plan}"
    )
}

#[test]
fn a_hundred_findings_are_shown_and_the_others_counted() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("wrong.yaml");
    let plan = lines(4_000, |number| format!("  - {{ fill: none{number}, x: [0, 1], y: [0, 1] }}"));
    fs::write(&file, wall("", &plan)).unwrap();
    let output = Command::cargo_bin("coldseam").unwrap().arg("solve").arg(&file).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(said.matches("error: ").count(), 100, "{said}");
    let end = "and 900 more errors\nnothing was written\n";
    assert!(said.ends_with(end), "reading stops at a thousand: {said}");
    assert!(said.len() < 100_000, "{}", said.len());
}

/// Warnings have a count of their own: however many there are, every error is told.
#[test]
fn no_number_of_warnings_hides_an_error() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("house.yaml");
    // Each element is there before: warnings of one call, errors of later ones.
    let elements = lines(300, |_| "    - { element: wall, area: 10, u_value: 0.2 }".to_owned());
    let text = format!(
        "coldseam: 1\ndwelling:\n  elements:\n{elements}  junctions:\n    - {{ junction: corner, length: 2, case: none.yaml }}\n"
    );
    fs::write(&file, text).unwrap();
    let output = Command::cargo_bin("coldseam").unwrap().arg("dwelling").arg(&file).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("error: "), "{said}");
    assert!(said.matches("warning: ").count() <= 100, "{said}");
}

#[test]
fn errors_come_before_warnings_where_not_all_are_shown() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("wrong.yaml");
    let hidden = "  - { fill: aircrete_600, x: [410, 420], y: [0, 10] }\n".repeat(300);
    let plan = format!(
        "{hidden}  - {{ fill: softwood, x: [400, 600], y: [0, 1000] }}\n  - {{ fill: softwood, x: [2000, 2001], y: [0, 1] }}\n"
    );
    let more = "points: { a: [1, 1] }\n";
    fs::write(&file, wall(more, &plan)).unwrap();
    let output = Command::cargo_bin("coldseam").unwrap().arg("solve").arg(&file).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.starts_with("error: "), "{said}");
}

#[test]
fn parameters_may_follow_each_other_in_any_order() {
    // A chain of a thousand, written backwards: each waits for the next.
    let chain: Vec<String> = (0..999).map(|number| format!("p{number}: p{} + 1", number + 1)).collect();
    let text = wall(&format!("parameters: {{ {}, p999: 1 }}\n", chain.join(", ")), "");
    let case = case::from_text("chain", &text, &[]).unwrap();
    assert_eq!(case.parameters[0], ("p0".to_owned(), 1000.0));
}

#[test]
fn a_plan_of_too_many_edges_is_told_before_anything_is_solved() {
    let squares = lines(400, |number| {
        let (x, y) = (400.0 + 0.5 * f64::from(number), 2.5 * f64::from(number));
        format!("  - {{ fill: softwood, x: [{x}, {}], y: [{y}, {}] }}", x + 0.25, y + 1.25)
    });
    let case = case::from_text("squares", &wall("", &squares), &[]).unwrap();
    let said = coldseam::result::compute(case).unwrap_err().to_string();
    assert!(said.contains("at most 60000 can be handled"), "{said}");
}

#[test]
fn many_dimension_lines_leave_the_plan_its_room() {
    let flanking = lines(60, |number| {
        let to = 1000 - number;
        format!("    - {{ element: wall {number}, u_value: 0.5, along: y, internal: [0, {to}] }}")
    });
    let text = format!("{}psi:\n  flanking:\n{flanking}", wall("", ""));
    let outcome = coldseam::result::compute(case::from_text("many", &text, &[]).unwrap()).unwrap();
    let pictures = coldseam::draw::pictures(&outcome, 800);
    assert!(pictures.iter().any(|(name, _)| *name == "plan"));
}

/// What the ranges admit and no building has: the accuracy wanted is in proportion, so that none of it asks for
/// digits that mean nothing and hundreds of thousands of unknowns.
#[test]
fn extreme_numbers_do_not_ask_for_endless_grids() {
    let two_metals = |resistance: &str| {
        format!(
            "coldseam: 1
title: metal between fixed and nearly fixed temperatures, with a void
materials:
  first: {{ conductivity: 1000, source: test }}
  second: {{ conductivity: 400, source: test }}
environments:
  room: {{ role: internal, temperature: -10 }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ x: [-300, 401], y: [0, 500] }}
plan:
  - {{ space: room, x: [-300, 0] }}
  - {{ space: outside, x: [101, 401] }}
  - {{ layers: [[first, 100], [second, 1]], along: +x, from: 0, y: [0, 500] }}
  - {{ cavity: building, x: [25, 75], y: [100, 300] }}
surfaces:
  - {{ of: room, resistance: {resistance} }}
  - {{ of: outside, resistance: 0 }}
points: {{ foot: [0, 250] }}
"
        )
    };
    let corner = coldseam::shipped::find("outer-corner").unwrap().text;
    let mut documents: Vec<String> =
        ["1e-9", "1e-6", "1e-4", "1e-3", "0.01"].into_iter().map(two_metals).collect();
    documents.extend(
        ["0.02", "-80", "400"].map(|room| corner.replace("temperature: 20", &format!("temperature: {room}"))),
    );
    for text in documents {
        let case = case::from_text("extreme", &text, &[]).unwrap();
        let outcome = coldseam::result::compute(case).unwrap();
        let unknowns = outcome.computed.unknowns();
        assert!(unknowns < 100_000, "{unknowns} unknowns for\n{text}");
        assert!(!outcome.is_limited);
    }
}
