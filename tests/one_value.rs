//! One case has one value of ψ, of f_Rsi and of its error, whichever command is asked.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

mod common;

/// What a command prints as JSON.
fn json(arguments: &[&str], out: &Path) -> Value {
    let mut command = Command::cargo_bin("coldseam").unwrap();
    let output = command.args(arguments).args(["--format", "json"]).current_dir(out).output().unwrap();
    // A verdict other than safe is exit code 1, and a value all the same.
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{arguments:?}: {error}"))
}

fn bracket(of: &Value) -> [f64; 3] {
    ["value", "lower", "upper"].map(|key| of[key].as_f64().unwrap())
}

#[test]
fn every_command_gives_the_same_values() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["window-sill", "window-reveal", "plinth", "balcony-slab"] {
        let file = common::root(&format!("cases/{name}.yaml")).display().to_string();
        let solved = json(&["solve", &file, "--no-pictures"], folder.path());
        let psi = &solved["psi"]["internal"];
        let factors = solved["f_rsi"].as_object().unwrap();
        assert!(
            !factors.is_empty() && factors.values().all(|factor| factor["estimated_error"].is_f64()),
            "{name}: {solved}"
        );

        let condensation = json(&["condensation", &file, "--no-pictures"], folder.path());
        for judged in condensation["environments"].as_array().unwrap() {
            let factor = &factors[judged["environment"].as_str().unwrap()];
            assert_eq!(judged["coldest"]["f_rsi"], factor["value"], "{name}");
            assert_eq!(judged["estimated_error"], factor["estimated_error"], "{name}");
        }

        let compared = json(&["compare", &file, &file, "--no-pictures"], folder.path());
        let rows = compared["results"].as_array().unwrap();
        let row = |what: &str| {
            rows.iter().find(|row| row["what"] == what).unwrap_or_else(|| panic!("{what} in {compared}"))
        };
        for side in ["first", "second"] {
            assert_eq!(bracket(&row("ψ, internal dimensions")[side]), bracket(psi), "{name}");
            for (environment, factor) in factors {
                assert_eq!(row(&format!("f_Rsi of {environment}"))[side]["value"], factor["value"], "{name}");
            }
        }

        let house = folder.path().join("house.yaml");
        let junction = format!("{{ junction: {name}, length: 1, case: {file} }}");
        fs::write(
            &house,
            format!("coldseam: 1\ntitle: one junction\ndwelling: {{ convention: internal, junctions: [{junction}] }}\n"),
        )
        .unwrap();
        let summed = json(&["dwelling", house.to_str().unwrap()], folder.path());
        assert_eq!(bracket(&summed["junctions"][0]["psi"]), bracket(psi), "{name}");

        // The report states the same, rounded.
        let mut command = Command::cargo_bin("coldseam").unwrap();
        command.args(["report", &file, "--out"]).arg(folder.path()).assert().success();
        let page = fs::read_to_string(folder.path().join(name).join("report.html")).unwrap();
        let lowest = factors
            .values()
            .min_by(|a, b| a["value"].as_f64().partial_cmp(&b["value"].as_f64()).unwrap())
            .unwrap();
        for (key, value, digits) in [("f_rsi", &lowest["value"], 3), ("psi_internal", &psi["value"], 4)] {
            let shown = format!("data-result=\"{key}\">{:.digits$}<", value.as_f64().unwrap());
            assert!(page.contains(&shown), "{name}: {shown}");
        }
    }
}

/// The f_Rsi that a report states is the lowest, wherever the coldest room stands in the case, and its own
/// review agrees.
#[test]
fn a_report_states_the_lowest_factor_of_all_rooms() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(common::root("cases/balcony-slab.yaml")).unwrap();
    let room = |name: &str| {
        text.lines().find(|line| line.trim_start().starts_with(&format!("{name}: {{"))).unwrap().to_owned()
    };
    let rooms = ["kitchen", "bedroom"].map(room);
    let swapped = text.replace(&rooms[0], "FIRST").replace(&rooms[1], &rooms[0]).replace("FIRST", &rooms[1]);
    assert_ne!(text, swapped);
    for (name, text) in [("as-shipped", text), ("swapped", swapped)] {
        let case = folder.path().join(format!("{name}.yaml"));
        fs::write(&case, text).unwrap();
        let mut command = Command::cargo_bin("coldseam").unwrap();
        command.arg("report").arg(&case).arg("--out").arg(folder.path()).assert().success();
        let report = folder.path().join(name).join("report.html");
        let mut command = Command::cargo_bin("coldseam").unwrap();
        let output = command.arg("review").arg(&report).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(output.status.success() && text.contains("f_rsi = 0.893 is stated"), "{name}: {text}");
    }
}
