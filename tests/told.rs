//! What leads to a number that nobody asked for, or to none, is told: faces on the edge of the drawing, rules
//! that hold nowhere, rooms without a verdict, entries that stand twice.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;

use assert_cmd::Command;
use coldseam::geometry::Rectangle;
use coldseam::material::generic;
use coldseam::model::Area;
use coldseam::result::{self, Outcome};
use coldseam::review::{self, Question, Seal, Verdict};
use coldseam::{case, shipped};

/// A wall beside a pane, as a plan from above; the air beside the wall as stated.
fn wall_and_pane(extent: &str, air: &str, element: &str) -> String {
    format!(
        "coldseam: 1
title: pane in a wall
cut: horizontal
materials:
  panel: {{ conductivity: 0.02, source: test }}
build_ups:
  wall: {{ layers: [[aircrete_600, 300]] }}
environments:
  room: {{ role: internal, temperature: 20 }}
  outside: {{ role: external, temperature: 0 }}
extent: {extent}
plan:
  - {{ space: room, x: [0, 1000], y: [0, 150] }}
  - {{ space: outside, x: [0, 1000], y: [150, 300] }}
{air}
  - {{ fill: aircrete_600, x: [-1500, 0], y: [0, 300] }}
  - {{ fill: panel, x: [0, 1000], y: [140, 160] }}
psi:
  flanking:
    - {{ element: wall, {element}, along: x, internal: [-1500, 0] }}
    - {{ element: pane, section: {{ x: 1000 }}, internal: [0, 1000] }}
"
    )
}

fn solve(text: &str) -> Outcome {
    result::compute(case::from_text("test", text, &[]).unwrap()).unwrap()
}

fn warnings(outcome: &Outcome) -> Vec<String> {
    outcome.all_warnings().map(|warning| warning.message.clone()).collect()
}

#[test]
fn an_element_whose_faces_lie_on_the_edge_of_the_drawing_is_told() {
    let inside = "  - { space: room, x: [-1500, 1000], y: [-100, 0] }";
    let outside = "  - { space: outside, x: [-1500, 1000], y: [300, 400] }";
    let both = format!("{inside}\n{outside}");
    // No air beside the wall, air on one side, on the other; and as it should be.
    let drawings = [
        ("{ x: [-1500, 1000], y: [0, 300] }", "", true),
        ("{ x: [-1500, 1000], y: [-100, 300] }", inside, true),
        ("{ x: [-1500, 1000], y: [0, 400] }", outside, true),
        ("{ x: [-1500, 1000], y: [-100, 400] }", both.as_str(), false),
    ];
    // U of 300 mm between surfaces of 0.13 and 0.04 m²K/W.
    let u_value: f64 = 1.0 / (0.17 + 0.3 / generic::find("aircrete_600").unwrap().conductivity);
    for element in [format!("u_value: {u_value}"), "build_up: wall".to_owned()] {
        for (extent, air, is_told) in drawings {
            let outcome = solve(&wall_and_pane(extent, air, &element));
            let told = warnings(&outcome);
            let about = |said: &&String| said.contains("has no air on both sides");
            assert_eq!(
                told.iter().filter(about).count(),
                usize::from(is_told),
                "{extent} {element}: {told:?}"
            );
            let findings = review::review(&outcome, &Seal::None);
            let fails = findings
                .iter()
                .any(|finding| finding.question == Question::UValues && finding.verdict == Verdict::Fail);
            assert_eq!(fails, is_told, "{extent} {element}: {findings:?}");
        }
    }
}

#[test]
fn ground_has_no_air_below_and_needs_none() {
    let outcome = solve(shipped::find("plinth").unwrap().text);
    assert!(!warnings(&outcome).iter().any(|said| said.contains("no air on both sides")));
}

#[test]
fn a_rule_that_holds_for_no_surface_is_told() {
    let corner = shipped::find("outer-corner").unwrap().text;
    let with = |rules: &str| format!("{corner}\nsurfaces: [{rules}]\n");
    for rules in [
        "{ of: room, x: [5000, 6000], resistance: 0.5 }",
        "{ of: room, resistance: 0.5 }, { of: room, resistance: 0.2 }",
    ] {
        let told = warnings(&solve(&with(rules)));
        let count = told.iter().filter(|said| said.contains("this rule holds for no surface")).count();
        assert_eq!(count, 1, "{rules}: {told:?}");
    }
    let told = warnings(&solve(&with("{ of: room, resistance: 0.2 }")));
    assert!(!told.iter().any(|said| said.contains("holds for no surface")), "{told:?}");
}

#[test]
fn without_a_room_there_is_no_f_rsi_and_that_is_told() {
    let corner = shipped::find("outer-corner").unwrap().text;
    for role in ["external", "unheated"] {
        let outcome = solve(&corner.replace("role: internal", &format!("role: {role}")));
        assert!(outcome.factors.is_empty());
        let told = warnings(&outcome);
        assert!(
            told.iter().any(|said| said.contains("has the role `internal`: there is no f_Rsi")),
            "{told:?}"
        );
    }
    let case = case::from_text("corner", corner, &[]).unwrap();
    let outside = case.model.environments.iter().find(|space| space.temperature < 20.0).unwrap();
    let hot = corner.replace(&format!("temperature: {}", outside.temperature), "temperature: 35");
    let outcome = solve(&hot);
    assert!(outcome.factors.is_empty());
    assert!(warnings(&outcome).iter().any(|said| said.contains("no room is warmer than outside")));
}

#[test]
fn what_nobody_judged_is_not_safe() {
    let folder = tempfile::tempdir().unwrap();
    let condensation = |text: &str| {
        let file = folder.path().join("case.yaml");
        fs::write(&file, text).unwrap();
        let mut program = Command::cargo_bin("coldseam").unwrap();
        program.args(["condensation", "--no-pictures", "--format", "json", "--out"]).arg(folder.path());
        let output = program.arg(&file).output().unwrap();
        let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        (output.status.code(), document["is_safe"].clone(), said)
    };
    for name in shipped::CASES.iter().map(|case| case.name) {
        let text = shipped::find(name).unwrap().text;
        // Neither humidity nor a critical factor, each of which stands last in its table.
        let without = |line: &str| match line.find(", humidity:").or_else(|| line.find(", critical:")) {
            Some(start) => format!("{} }}\n", &line[..start]),
            None => format!("{line}\n"),
        };
        let unknown: String = text.lines().map(without).collect();
        let case = case::from_text(name, &unknown, &[]).unwrap();
        assert!(case.model.environments.iter().all(|space| space.humidity.is_none()), "{name}");
        assert!(case.model.condensation.as_ref().is_none_or(|pass| pass.critical.is_none()), "{name}");
        let (code, is_safe, said) = condensation(&unknown);
        assert_eq!((code, &is_safe), (Some(1), &serde_json::Value::Bool(false)), "{name}: {said}");
        assert!(said.contains("was not judged, since its humidity is not known"), "{name}: {said}");
    }
    let corner = shipped::find("outer-corner").unwrap().text;
    let (code, is_safe, said) = condensation(&corner.replace("role: internal", "role: unheated"));
    assert_eq!((code, is_safe), (Some(1), serde_json::Value::Bool(false)), "{said}");
    assert!(said.contains("nothing was judged"), "{said}");
}

#[test]
fn an_entry_that_stands_twice_in_a_dwelling_is_told() {
    let element = "    - { element: walls, area: 100, u_value: 0.2 }\n";
    let junction = "    - { junction: corners, length: 10, psi: 0.05, source: test, convention: external }\n";
    let text = |elements: usize, junctions: usize| {
        format!(
            "coldseam: 1\ntitle: house\ndwelling:\n  convention: external\n  elements:\n{}  junctions:\n{}",
            element.repeat(elements),
            junction.repeat(junctions)
        )
    };
    let told = |text: &str| {
        let warnings = case::library_from_text("house", text, &[]).unwrap().warnings;
        warnings.into_iter().filter(|warning| warning.message.contains("stands twice")).count()
    };
    assert_eq!([told(&text(1, 1)), told(&text(2, 1)), told(&text(1, 2)), told(&text(3, 1))], [0, 1, 1, 2]);
}

#[test]
fn the_correction_for_rain_is_for_roofs() {
    let text = |flow: &str| {
        format!(
            "coldseam: 1\nbuild_ups: {{ roof: {{ heat_flow: {flow}, layers: [[concrete_reinforced_1, 150], {{ material: xps, thickness: 140, rain: {{ precipitation: 2, drainage: 0.04 }} }}] }} }}\n"
        )
    };
    assert!(case::library_from_text("roof", &text("up"), &[]).is_ok());
    for flow in ["horizontal", "down"] {
        let said = case::library_from_text("roof", &text(flow), &[]).unwrap_err().to_string();
        assert!(said.contains("`rain` is for roofs"), "{said}");
    }
}

#[test]
fn a_model_whose_fields_were_changed_is_refused_and_does_not_panic() {
    use coldseam::model::{EnvironmentId, MaterialId, Paint};
    let model = case::from_text("corner", shipped::find("outer-corner").unwrap().text, &[]).unwrap().model;
    let changes: [&dyn Fn(&mut coldseam::model::Model); 7] = [
        &|model| model.plan[1].paint = Paint::Solid(MaterialId::new(99)),
        &|model| model.plan[1].paint = Paint::Space(EnvironmentId::new(99)),
        &|model| model.materials[MaterialId::new(0)].conductivity_x = f64::NAN,
        &|model| model.materials[MaterialId::new(0)].conductivity_y = 0.0,
        &|model| model.environments[EnvironmentId::new(0)].temperature = f64::INFINITY,
        &|model| model.extent.x.to = f64::NAN,
        &|model| {
            let wrong = Rectangle::new([0.0, 1.0], [0.0, f64::NEG_INFINITY]);
            model.plan[1].area = Area::Rectangles(vec![wrong]);
        },
    ];
    for (number, change) in changes.iter().enumerate() {
        let mut changed = model.clone();
        change(&mut changed);
        assert!(matches!(result::compute(changed), Err(result::Failure::Rejected(_))), "change {number}");
    }
    assert!(result::compute(model).is_ok());
}

#[test]
fn a_set_with_the_other_sign_is_told() {
    let corner = shipped::find("outer-corner").unwrap().text;
    let told = |set: &str| {
        let case = case::from_text("corner", corner, &[set.to_owned()]).unwrap();
        case.warnings.iter().filter(|warning| warning.message.contains("where the file has")).count()
    };
    assert_eq!(told("insulation=-100"), 1);
    assert_eq!(told("insulation=2 * plaster - block"), 1, "-189");
    for as_written in ["insulation=100", "insulation=block", "leg=900", "render_coat=1e-1"] {
        assert_eq!(told(as_written), 0, "{as_written}");
    }
}

/// Only what the drawing is made of draws another with the other sign: temperatures and resistances do not.
#[test]
fn a_set_that_draws_nothing_may_have_any_sign() {
    let text = "coldseam: 1\ntitle: signs\nparameters: { te: -5, left: -300, reach: 300, shift: -20, half: shift / 2, \
                low: -50, spot: -10, cut: -300, rule: -40 }\n\
                materials: { foam: { conductivity: 0.04, source: test } }\n\
                environments: { room: { role: internal, temperature: 20 }, outside: { role: external, temperature: te } }\n\
                extent: { x: [-300, 300], y: [-100, 400] }\n\
                plan:\n  - { space: room, y: [-100, 0] }\n  - { space: outside, y: [300, 400] }\n  \
                - { fill: foam, x: [left, reach], y: [0, 300] }\n  - { fill: foam, x: [0, 50 + half], y: [low + 20, 0] }\n\
                psi: { flanking: [{ element: wall, section: { x: cut }, internal: [-300, 300] }] }\n\
                surfaces: [{ of: room, x: [rule, 30], y: [-40, 10], resistance: 0.2 }]\n\
                points: { one: [spot, 50] }\n";
    let told = |set: &str| {
        let warnings = match case::from_text("signs", text, &[set.to_owned()]) {
            Ok(case) => case.warnings,
            Err(rejected) => rejected.diagnostics,
        };
        warnings.iter().filter(|warning| warning.message.contains("where the file has")).count()
    };
    for drawn in ["left=10", "shift=20", "low=10", "spot=10", "cut=300", "rule=1"] {
        assert_eq!(told(drawn), 1, "{drawn}");
    }
    assert_eq!(told("te=9.9"), 0);
}

#[test]
fn a_junction_that_lost_its_plan_is_no_shared_file() {
    let folder = tempfile::tempdir().unwrap();
    let solve = |lost: &[&str]| {
        // Blocks end where the next line begins at the margin.
        let mut kept = String::new();
        let mut is_lost = false;
        for line in shipped::find("outer-corner").unwrap().text.lines() {
            if !line.starts_with([' ', '#']) && !line.is_empty() {
                is_lost = lost.iter().any(|key| line.starts_with(key));
            }
            if !is_lost {
                kept += &format!("{line}\n");
            }
        }
        let (lost, whole) = (folder.path().join("lost.yaml"), folder.path().join("whole.yaml"));
        fs::write(&lost, kept).unwrap();
        fs::write(&whole, shipped::find("outer-corner").unwrap().text).unwrap();
        let output = Command::cargo_bin("coldseam")
            .unwrap()
            .args(["solve", "--no-pictures", "--out"])
            .args([&folder.path().join("out"), &lost, &whole])
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    for lost in [&["plan"][..], &["plan", "extent"], &["plan", "extent", "environments", "psi"]] {
        let (code, said) = solve(lost);
        assert_eq!(code, Some(2), "{lost:?}: {said}");
        assert!(said.contains("a case needs the key `plan`"), "{lost:?}: {said}");
    }
    // Parameters and materials alone are for others to include.
    let all = ["cut", "plan", "extent", "environments", "psi", "condensation", "points"];
    let (code, said) = solve(&all);
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("lost.yaml is no junction; it holds what others share"), "{said}");
}
