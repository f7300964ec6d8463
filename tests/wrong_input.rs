//! Wrong input: exit code 2, every fault with its line and a hint, nothing written, no panic, no hang.
//!
//! The files in `tests/wrong` say in their first lines what must be found: `# expect line N: part of the
//! message`.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::time::Duration;

use assert_cmd::Command;

mod common;

fn solve(case: &Path, out: &Path) -> Output {
    run(&["solve".as_ref(), "--out".as_ref(), out, case])
}

fn run(arguments: &[&Path]) -> Output {
    Command::cargo_bin("coldseam").unwrap().args(arguments).timeout(Duration::from_secs(20)).output().unwrap()
}

/// Solves `content` as a file of that name and checks that it is refused with all of `expected` on standard
/// error.
fn refused(name: &str, content: &[u8], expected: &[&str]) {
    let folder = tempfile::tempdir().unwrap();
    let (case, out) = (folder.path().join(name), folder.path().join("out"));
    fs::write(&case, content).unwrap();
    refused_file(&case, &out, expected);
}

fn refused_file(case: &Path, out: &Path, expected: &[&str]) {
    refused_output(&solve(case, out), case, out, expected);
}

fn refused_output(output: &Output, case: &Path, out: &Path, expected: &[&str]) {
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{}: {errors}", case.display());
    assert!(output.stdout.is_empty(), "{}: printed results", case.display());
    assert!(!out.exists(), "{}: wrote results", case.display());
    assert!(!errors.contains("panicked"), "{errors}");
    for part in expected {
        assert!(errors.contains(part), "{}: expected `{part}` in\n{errors}", case.display());
    }
}

/// The files of a folder, each with what it expects.
fn wrong_files(folder: &str) -> Vec<(PathBuf, Vec<String>)> {
    let read = |entry: std::io::Result<fs::DirEntry>| {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).unwrap();
        let expected: Vec<String> = text
            .lines()
            .filter_map(|line| line.strip_prefix("# expect line "))
            .flat_map(|line| {
                let (number, message) = line.split_once(": ").expect("`# expect line N: message`");
                [format!("{name}:{number}:"), message.to_owned()]
            })
            .collect();
        assert!(!expected.is_empty(), "{name} says nothing of what it expects");
        (path, expected)
    };
    fs::read_dir(common::root(folder)).unwrap().map(read).collect()
}

#[test]
fn every_wrong_file_is_refused_at_the_right_line_with_a_hint() {
    let folder = tempfile::tempdir().unwrap();
    let files = wrong_files("tests/wrong");
    assert!(files.len() >= 60, "only {} files", files.len());
    for (path, expected) in files {
        let expected: Vec<&str> = expected.iter().map(String::as_str).collect();
        refused_file(&path, &folder.path().join("out"), &expected);
    }
}

/// A key or a name given twice, wherever that is, is one fault.
#[test]
fn what_is_given_twice_is_told_once() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(common::root("cases/window-sill.yaml")).unwrap();
    // Lines that are one key with its value, not parts of a list's items.
    let is_entry = |line: &&str| {
        let key = line.trim_start().split_once(": ").map_or("", |(key, _)| key);
        !key.is_empty()
            && key.chars().all(|letter| letter.is_alphanumeric() || letter == '_')
            && !line.starts_with("      ")
    };
    let repeated = text.lines().filter(is_entry);
    let mut tried = 0;
    for line in repeated {
        let case = folder.path().join("twice.yaml");
        fs::write(&case, text.replacen(&format!("{line}\n"), &format!("{line}\n{line}\n"), 1)).unwrap();
        let output = solve(&case, &folder.path().join("out"));
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{line}: {errors}");
        assert_eq!(errors.matches("error:").count(), 1, "{line}: {errors}");
        assert!(errors.contains("is given twice"), "{line}: {errors}");
        tried += 1;
    }
    assert!(tried >= 20, "{tried} lines repeated");
}

#[test]
fn every_wrong_element_is_refused_at_the_right_line() {
    let files = wrong_files("tests/wrong-elements");
    assert!(files.len() >= 20, "only {} files", files.len());
    for (path, expected) in files {
        let expected: Vec<&str> = expected.iter().map(String::as_str).collect();
        let output = run(&["uvalue".as_ref(), &path]);
        refused_output(&output, &path, Path::new("nowhere/out"), &expected);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(errors.matches("error:").count(), expected.len() / 2, "{}: {errors}", path.display());
    }
}

#[test]
fn files_that_are_no_cases_are_refused() {
    refused("empty.yaml", b"", &["the file is empty", "coldseam new"]);
    refused("blank.yaml", b" \n\n", &["the file is empty"]);
    refused("binary.yaml", &[0, 159, 146, 150, 255, 0, 1], &["not text in UTF-8"]);
    refused("nul.yaml", b"coldseam: 1\ntitle: a\0b\n", &["error"]);
    refused("number.yaml", b"42\n", &["must be a table of keys"]);
    refused("list.yaml", b"- 1\n- 2\n", &["must be a table of keys"]);
    for more in ["---\ncoldseam: 1\n", "title: a\n--- \n", "...\n---\ntitle: b\n", "---\n- 1\n"] {
        let text = format!("coldseam: 1\n{more}");
        let expected = ["a second YAML document begins in this file", "delete the line `---`"];
        refused("two-documents.yaml", text.as_bytes(), &expected);
    }
    refused("large.yaml", &vec![b'#'; 2 << 20], &["larger than 1024 kB"]);
    let folder = tempfile::tempdir().unwrap();
    refused_file(folder.path(), &folder.path().join("out"), &["it is a folder"]);
    refused_file(&folder.path().join("nowhere.yaml"), &folder.path().join("out"), &["there is no such file"]);
}

#[test]
fn bombs_are_defused() {
    let mut aliases = String::from("coldseam: 1\na0: &a0 [1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n");
    for level in 1..12 {
        let below = vec![format!("*a{}", level - 1); 10].join(", ");
        aliases.push_str(&format!("a{level}: &a{level} [{below}]\n"));
    }
    refused("aliases.yaml", aliases.as_bytes(), &["too large or too deeply nested"]);
    refused("lists.yaml", "[".repeat(100_000).as_bytes(), &["too large or too deeply nested"]);
    refused(
        "tables.yaml",
        format!("a: {}", "{a: ".repeat(50_000)).as_bytes(),
        &["too large or too deeply nested"],
    );
    let parentheses = format!("coldseam: 1\nplan: []\nparameters: {{ a: \"{}\" }}\n", "(".repeat(90_000));
    refused("parentheses.yaml", parentheses.as_bytes(), &["too long or too deeply nested"]);
}

fn many_rectangles(count: usize) -> String {
    let mut text = String::from(
        "coldseam: 1\ntitle: many\nenvironments:\n  room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: 0 }\n\
         extent: { x: [-300, 700], y: [0, 1000] }\nplan:\n  - { space: room, x: [-300, 0] }\n  - { space: outside, x: [215, 700] }\n  - { fill: glass, x: [0, 215], y: [0, 1000] }\n",
    );
    for number in 0..count {
        let (x, y) = (0.02 + 0.07 * number as f64, 0.1 + 0.33 * number as f64);
        text.push_str(&format!(
            "  - {{ fill: steel, x: [{x:.4}, {:.4}], y: [{y:.4}, {:.4}] }}\n",
            x + 0.03,
            y + 0.1
        ));
    }
    text
}

#[test]
fn plans_beyond_all_measure_are_refused_before_memory_is_taken() {
    refused("cells.yaml", many_rectangles(2_900).as_bytes(), &["make a raster of", "at most 60000"]);
    refused("shapes.yaml", many_rectangles(6_000).as_bytes(), &["entries; at most 5000 are handled"]);
}

#[test]
fn sets_are_checked() {
    let case = common::root("cases/window-sill.yaml");
    let folder = tempfile::tempdir().unwrap();
    for (set, expected) in [
        ("set_uot=40", "did you mean `set_out`?"),
        ("set_out", "a parameter's name and its value are wanted"),
        ("set_out=far", "there is no parameter named `far`"),
        ("set_out=", "a parameter's name and its value are wanted"),
        ("=5", "a parameter's name and its value are wanted"),
        ("set_out=5 +", "cannot understand the expression"),
        ("insulation=0", "must be greater than 0"),
    ] {
        let output = Command::cargo_bin("coldseam")
            .unwrap()
            .args(["solve", "--set", set, "--out"])
            .args([&folder.path().join("out"), &case])
            .output()
            .unwrap();
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{set}: {errors}");
        assert!(errors.contains(expected), "{set}: {errors}");
        assert!(!folder.path().join("out").exists());
    }
}

/// Signs of word processors in numbers: the hint says which sign of the keyboard is meant, wherever numbers stand.
#[test]
fn typographic_signs_are_told() {
    let text = fs::read_to_string(common::root("cases/window-sill.yaml")).unwrap();
    let places = ["temperature: -5", "y: [-1200, 1000]", "set_out: 70", "resistance: 0.25", "critical: 0.75"]
        .map(|place| {
            let number = place.split([' ', '[', ',']).find(|part| part.parse::<f64>().is_ok()).unwrap();
            (place, number)
        });
    let mut tried = 0;
    for (place, number) in places.iter().filter(|(place, _)| text.contains(place)) {
        for (sign, hint) in [
            ("\u{2212}1", "a minus is the plain `-`"),
            ("–1", "a minus is the plain `-`"),
            ("5 — 1", "a minus is the plain `-`"),
            ("“N”", "a number needs no quotes"),
            ("„N“", "a number needs no quotes"),
            ("’N’", "a number needs no quotes"),
            ("«N»", "a number needs no quotes"),
            ("2 × N", "times is written *"),
            ("N ÷ 2", "divided by /"),
        ] {
            let written = place.replace(number, &sign.replace('N', number));
            refused("signs.yaml", text.replacen(place, &written, 1).as_bytes(), &[hint]);
            tried += 1;
        }
    }
    assert!(tried >= 27, "{tried}");
    let set = run(&[
        "solve".as_ref(),
        "--set".as_ref(),
        "set_out=\u{2212}40".as_ref(),
        &common::root("cases/window-sill.yaml"),
    ]);
    assert!(String::from_utf8_lossy(&set.stderr).contains("a minus is the plain `-`"));
}

#[test]
fn control_characters_never_reach_the_terminal() {
    let case = common::root("tests/wrong/control-characters.yaml");
    let output = solve(&case, &tempfile::tempdir().unwrap().path().join("out"));
    assert!(!output.stderr.contains(&0x1b), "an escape character was printed");
}

#[test]
fn includes_bring_materials_and_parameters() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("parts")).unwrap();
    fs::write(folder.path().join("parts/deep.yaml"), "coldseam: 1\nparameters: { block: 100, extra: 7 }\n")
        .unwrap();
    fs::write(
        folder.path().join("parts/mine.yaml"),
        "coldseam: 1\ninclude: deep.yaml\nmaterials: { mine: { conductivity: extra / 10, source: \"test\" } }\n",
    )
    .unwrap();
    let case = common::root("tests/wrong/unknown-parameter.yaml");
    let text =
        fs::read_to_string(case).unwrap().replace("blok]", "block]").replace("own_block, x", "mine, x");
    let text = text.replace("title: A wall", "title: A wall\ninclude: [parts/mine.yaml]");
    fs::write(folder.path().join("main.yaml"), text).unwrap();
    let case = coldseam::case::load(&folder.path().join("main.yaml"), &[])
        .unwrap_or_else(|rejected| panic!("{rejected}"));
    // The case's own parameters win over included ones.
    assert!(
        case.parameters.contains(&("block".into(), 215.0))
            && case.parameters.contains(&("extra".into(), 7.0))
    );
    let mine = case.model.materials.iter().find(|material| material.name == "mine").unwrap();
    assert_eq!(mine.conductivity_x, 0.7);
}
