//! Junctions of a dwelling: which pair of a case is meant, and what a junction keeps for itself.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use coldseam::case;
use serde_json::Value;

mod common;

fn run(file: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output =
        Command::cargo_bin("coldseam").unwrap().arg("dwelling").arg(file).args(arguments).output().unwrap();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

/// An outer wall between two rooms and the outside, and the partition of the rooms.
fn junction(psi: &str) -> String {
    format!(
        "coldseam: 1
title: party wall
cut: horizontal
materials:
  brick: {{ conductivity: 0.5, source: the test }}
  board: {{ conductivity: 0.04, source: the test }}
environments:
  room: {{ role: internal, temperature: 20 }}
  store: {{ role: unheated, temperature: 8 }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ x: [-1200, 600], y: [-1200, 1200] }}
plan:
  - {{ space: room, x: [-1200, 0], y: [-1200, 0] }}
  - {{ space: store, x: [-1200, 0], y: [100, 1200] }}
  - {{ space: outside, x: [300, 600] }}
  - {{ layers: [[brick, 200], [board, 100]], along: +x, from: 0, y: [-1200, 1200] }}
  - {{ fill: brick, x: [-1200, 0], y: [0, 100] }}
psi: {psi}
"
    )
}

const FRONT: &str = "flanking: [{ element: front, section: { y: -1200 }, internal: [-1200, 0] }]";
const SIDE: &str = "flanking: [{ element: side, section: { y: 1200 }, internal: [100, 1200] }]";
const PARTITION: &str = "flanking: [{ element: partition, section: { x: -1200 }, internal: [-1200, 0] }]";

fn house(junction: &str) -> String {
    format!(
        "coldseam: 1\ntitle: house\ndwelling:\n  convention: internal\n  junctions:\n    - {{ junction: joint, length: 3, case: case.yaml, {junction} }}\n"
    )
}

/// Each pair of a case, in every order of its blocks and of its sides: what is added is the ψ that the case
/// has for it, and it goes where the pair goes.
#[test]
fn a_junction_names_its_pair() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("house.yaml");
    let blocks = [
        format!("{{ between: [room, outside], {FRONT} }}"),
        format!("{{ between: [outside, store], {SIDE} }}"),
        format!("{{ between: [room, store], {PARTITION} }}"),
    ];
    let pairs = [["room", "outside"], ["store", "outside"], ["store", "room"]];
    for order in [[0, 1, 2], [2, 0, 1], [1, 2, 0]] {
        let text = junction(&format!("[{}]", order.map(|index| blocks[index].as_str()).join(", ")));
        fs::write(folder.path().join("case.yaml"), &text).unwrap();
        let outcome = common::solve_text(&text);
        for (index, [one, other]) in pairs.into_iter().enumerate() {
            let b = if index == 2 { "reduction: { space: store }, " } else { "" };
            for (between, matched) in
                [(format!("[{one}, {other}]"), "none"), (format!("[[{other}], [{one}]]"), "none")]
            {
                let element = ["front", "side", "partition"][index];
                fs::write(&file, house(&format!("{b}between: {between}, match: {{ {element}: {matched} }}")))
                    .unwrap();
                let (code, text, errors) = run(&file, &["--format", "json"]);
                if index == 1 {
                    // What an unheated space loses to outside is in its b, not in H.
                    assert!(code == Some(2) && errors.contains("none is heated"), "{errors}");
                    continue;
                }
                assert_eq!(code, Some(0), "{errors}");
                let document: Value = serde_json::from_str(&text).unwrap();
                let psi = &document["junctions"][0]["psi"];
                let expected = outcome.pair([&[one], &[other]]).unwrap().psi[0].bracket;
                let [lower, upper] = ["lower", "upper"].map(|end| psi[end].as_f64().unwrap());
                assert!(lower <= expected.upper() && upper >= expected.lower(), "{psi} for {expected}");
                assert!(
                    document["junctions"][0]["origin"].as_str().unwrap().contains("between ["),
                    "{document:#}"
                );
            }
        }
        // Without a pair, or with one that the case does not have, the message says what to write.
        for (between, expected) in [
            (String::new(), "does not say which"),
            ("between: [room, cellar]".to_owned(), "no environment named `cellar`"),
            ("between: [room, [outside, store]]".to_owned(), "states no ψ between [room, [outside, store]]"),
        ] {
            fs::write(&file, house(&between)).unwrap();
            let (code, text, errors) = run(&file, &[]);
            assert_eq!((code, text.as_str()), (Some(2), ""), "{errors}");
            assert!(errors.contains(expected) && errors.contains("house.yaml:6:"), "{errors}");
            if !expected.contains("cellar") {
                for pair in
                    ["`between: [room, outside]`", "`between: [outside, store]`", "`between: [room, store]`"]
                {
                    assert!(errors.contains(pair), "{pair} in {errors}");
                }
            }
        }
    }
    for between in ["room", "[room]", "[room, outside, store]", "[room, 3, outside]"] {
        fs::write(&file, house(&format!("between: {between}"))).unwrap();
        let (code, _, errors) = run(&file, &[]);
        assert!(code == Some(2) && errors.contains("house.yaml:6:"), "{errors}");
    }
}

/// A case of one pair takes `between` too, where it is right.
#[test]
fn the_only_pair_may_be_named() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("house.yaml");
    for psi in [format!("{{ between: [room, outside], {FRONT} }}"), format!("{{ {FRONT} }}")] {
        let text = junction(&psi);
        let text = if psi.contains("between") {
            text
        } else {
            text.replace("temperature: 8", "temperature: 20").replace("unheated", "internal")
        };
        fs::write(folder.path().join("case.yaml"), &text).unwrap();
        let right = if psi.contains("between") { "[outside, room]" } else { "[[store, room], outside]" };
        for (between, code) in [(right, Some(0)), ("[room, store]", Some(2))] {
            fs::write(&file, house(&format!("between: {between}, match: {{ front: none }}"))).unwrap();
            let (found, _, errors) = run(&file, &[]);
            assert_eq!(found, code, "{errors}");
            assert!(code == Some(0) || errors.contains("between [room, store]"), "{errors}");
        }
    }
}

/// A wall drawn from parameters of which some follow from others, in the case and in the dwelling.
fn wall(parameters: &str) -> String {
    format!(
        "coldseam: 1
title: wall
cut: horizontal
parameters: {{ {parameters} }}
materials: {{ brick: {{ conductivity: 0.5, source: the test }}, board: {{ conductivity: 0.04, source: the test }} }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ x: [-500, 1500], y: [0, 1000] }}
plan:
  - {{ space: room, x: [-500, 0] }}
  - {{ space: outside, x: [face, 1500] }}
  - {{ fill: brick, x: [0, block] }}
  - {{ fill: board, x: [block, face] }}
psi: {{ flanking: [{{ element: wall, section: {{ y: 0 }}, internal: [0, 1000] }}] }}
"
    )
    .replace("x: [0, block] }", "x: [0, block], y: [0, 1000] }")
    .replace("x: [block, face] }", "x: [block, face], y: [0, 1000] }")
}

/// Exceptions as numbers and expressions, of parameters that others follow: what the case is computed with is
/// what a person would work out.
#[test]
fn exceptions_hold_for_what_follows_from_them() {
    let folder = tempfile::tempdir().unwrap();
    let (house, case) = (folder.path().join("house.yaml"), folder.path().join("case.yaml"));
    // In the case, in the dwelling, the exception; block and face as used.
    for (own, of_dwelling, set, block, face) in [
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240",
            "insulation: 60 + 20",
            240.0,
            320.0,
        ),
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240, insulation: 150",
            "insulation: 80",
            240.0,
            320.0,
        ),
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240",
            "insulation: block / 4",
            240.0,
            300.0,
        ),
        // The dwelling's own face follows too, with the exception put in.
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240, insulation: 150, face: block + insulation",
            "insulation: 80",
            240.0,
            320.0,
        ),
        (
            "block: 200, insulation: 100, face: 300",
            "block: 240, insulation: 150, face: block + insulation",
            "insulation: 80",
            240.0,
            320.0,
        ),
        (
            "block: 200, insulation: 100, face: 300",
            "block: 240, insulation: 150, face: block + insulation",
            "insulation: block / 4",
            240.0,
            300.0,
        ),
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240, insulation: 150, face: block + insulation",
            "face: block + 33",
            240.0,
            273.0,
        ),
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240, face: 500",
            "block: 100, face: 200",
            100.0,
            200.0,
        ),
        (
            "block: 200, insulation: 100, face: block + insulation",
            "block: 240",
            "\"block\": \"max(150, 100)\"",
            150.0,
            250.0,
        ),
    ] {
        fs::write(&case, wall(own)).unwrap();
        let text = format!(
            "coldseam: 1\ntitle: house\nparameters: {{ {of_dwelling} }}\ndwelling:\n  convention: internal\n  junctions:\n    - {{ junction: joint, length: 3, case: case.yaml, set: {{ {set} }} }}\n"
        );
        fs::write(&house, &text).unwrap();
        let library = case::load_library(&house, &[]).unwrap();
        let sets: Vec<String> =
            set.split(", ").map(|set| set.replace('"', "").replacen(": ", "=", 1)).collect();
        let sets = if set.contains("max") { vec!["block=max(150, 100)".to_owned()] } else { sets };
        let (used, _) =
            case::load_for_dwelling(&case, &sets, &library).unwrap_or_else(|rejected| panic!("{rejected}"));
        let value = |name: &str| used.parameters.iter().find(|(known, _)| known == name).unwrap().1;
        assert_eq!([value("block"), value("face")], [block, face], "{own} | {of_dwelling} | {set}");
        let (code, text, errors) = run(&house, &["--format", "json"]);
        assert_eq!(code, Some(0), "{errors}");
        assert_eq!(
            serde_json::from_str::<Value>(&text).unwrap()["junctions"][0]["exceptions"]
                .as_array()
                .unwrap()
                .len(),
            sets.len()
        );
    }
}

/// A build-up of the dwelling that the case paints takes a junction's exception as well.
#[test]
fn exceptions_reach_the_build_ups_that_a_case_paints() {
    let folder = tempfile::tempdir().unwrap();
    let block = "parameters: { insulation: 100 }\nmaterials: { board: { conductivity: 0.04, source: the test } }\nbuild_ups:\n  wall: { layers: [[board, insulation]] }\n";
    let case = format!(
        "coldseam: 1\ntitle: wall\n{block}environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}\n\
         extent: {{ x: [-500, 1500], y: [0, 1000] }}\nplan:\n  - {{ space: room, x: [-500, 0] }}\n  - {{ space: outside, x: [0, 1500] }}\n  \
         - {{ layers: {{ build_up: wall }}, along: +x, from: 0, y: [0, 1000] }}\n"
    );
    fs::write(folder.path().join("case.yaml"), case).unwrap();
    let house = format!(
        "coldseam: 1\ntitle: house\n{}dwelling:\n  convention: internal\n  elements: [{{ element: wall, area: 10, build_up: wall }}]\n",
        block.replace("100", "160")
    );
    fs::write(folder.path().join("house.yaml"), house).unwrap();
    let library = case::load_library(&folder.path().join("house.yaml"), &[]).unwrap();
    for (sets, thickness) in [(Vec::new(), 0.16), (vec!["insulation=60 + 20".to_owned()], 0.08)] {
        let (case, _) = case::load_for_dwelling(&folder.path().join("case.yaml"), &sets, &library).unwrap();
        let u = 1.0 / (0.17 + thickness / 0.04);
        let l2d = coldseam::result::compute(case).unwrap().l2d.unwrap().middle();
        assert!((l2d - u).abs() < 1e-6, "{l2d} for {u}");
    }
}

/// What is wrong with an exception is told at its place in the dwelling, with what was meant; what is wrong
/// with its value names value and line.
#[test]
fn wrong_exceptions_are_told_where_they_stand() {
    let folder = tempfile::tempdir().unwrap();
    let house = folder.path().join("house.yaml");
    fs::write(folder.path().join("case.yaml"), wall("block: 200, insulation: 100, face: block + insulation"))
        .unwrap();
    for (set, at_set, expected) in [
        ("insulatoin: 80", true, "did you mean `insulation`"),
        ("insulation: blok", true, "did you mean `block`"),
        ("insulation: 60 +", true, "cannot understand the expression"),
        ("insulation: 1e15", true, "must lie between"),
        ("insulation: insulation + 20", true, "depends on itself"),
        ("insulation: 8/(block - block)", true, "no finite value"),
        ("insulation: [80]", true, "must be a number"),
        ("insulation: -20", false, ""),
        ("block: -1", false, ""),
    ] {
        let text = format!(
            "coldseam: 1\ntitle: house\ndwelling:\n  convention: internal\n  junctions:\n    - junction: joint\n      length: 3\n      case: case.yaml\n      set:\n        {set}\n"
        );
        fs::write(&house, text).unwrap();
        let (code, text, errors) = run(&house, &[]);
        assert_eq!((code, text.as_str()), (Some(2), ""), "{errors}");
        if at_set {
            assert!(errors.contains("house.yaml:10:") && errors.contains(expected), "{errors}");
        } else {
            let set = set.replace(": ", "=");
            assert!(
                errors.contains(&format!("case.yaml cannot be used for the junction `joint` with {set}")),
                "{errors}"
            );
            assert!(errors.contains("case.yaml:1"), "the line of the case: {errors}");
        }
        assert!(!errors.contains("--set"), "{errors}");
    }
    let (code, _, errors) = run(&house, &["--set", "insulatoin=3"]);
    assert!(code == Some(2) && errors.contains("--set:1:1"), "{errors}");
}

/// Of three pairs a case states, each that counts must be some junction's, whatever the order of names and
/// however the file is spelled; one between unheated spaces counts in their b.
#[test]
fn a_pair_that_no_junction_takes_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("house.yaml");
    let psi = format!(
        "[{{ between: [room, outside], {FRONT} }}, {{ between: [outside, store], {SIDE} }}, {{ between: [room, store], {PARTITION} }}]"
    );
    fs::write(folder.path().join("case.yaml"), junction(&psi)).unwrap();
    let front = "between: [outside, room], match: { front: none }";
    let partition = "between: [[store], room], reduction: { space: store }, match: { partition: none }";
    let told = "case.yaml states ψ between";
    for (taken, missing) in [
        (vec![front], vec!["[room, store]"]),
        (vec![partition], vec!["[room, outside]"]),
        (vec![front, partition], vec![]),
    ] {
        let mut text =
            "coldseam: 1\ntitle: house\ndwelling:\n  convention: internal\n  junctions:\n".to_owned();
        for (index, rest) in taken.iter().enumerate() {
            let name = ["case.yaml", "./case.yaml"][index];
            text += &format!("    - {{ junction: joint {index}, length: 3, case: {name}, {rest} }}\n");
        }
        fs::write(&file, &text).unwrap();
        let (code, _, errors) = run(&file, &[]);
        assert_eq!(code, Some(0), "{errors}");
        assert_eq!(errors.matches(told).count(), missing.len(), "{errors}");
        for pair in missing {
            assert!(
                errors.contains(&format!("{told} {pair} too"))
                    && errors.contains(&format!("`between: {pair}`")),
                "{errors}"
            );
            assert!(errors.contains("house.yaml:6:"), "{errors}");
        }
    }
}

/// A flanking element that is none of the dwelling's elements: told, unless the junction says so.
#[test]
fn an_element_without_counterpart_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("house.yaml");
    fs::write(folder.path().join("case.yaml"), junction(&format!("{{ between: [room, outside], {FRONT} }}")))
        .unwrap();
    for (matched, count) in [("", 1), (", match: { front: none }", 0)] {
        fs::write(&file, house(&format!("between: [room, outside]{matched}"))).unwrap();
        let (code, text, errors) = run(&file, &["--format", "json"]);
        assert_eq!(code, Some(0), "{errors}");
        let told = "`front` of case.yaml has no counterpart among the dwelling's elements";
        assert_eq!(errors.matches(told).count(), count, "{errors}");
        let document: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(
            document["junctions"][0]["warnings"].to_string().matches(told).count(),
            count,
            "{document:#}"
        );
        assert!(
            count == 0 || (errors.contains("match: { front: none }") && errors.contains("house.yaml:6:")),
            "{errors}"
        );
    }
}
