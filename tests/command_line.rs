//! The program as scripts and people use it.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use faer::Side;
use faer::linalg::solvers::Solve;
use faer::sparse::{SparseColMat, Triplet};
use serde_json::Value;

mod common;

fn coldseam() -> Command {
    Command::cargo_bin("coldseam").unwrap()
}

fn solve(arguments: &[&str], out: &Path) -> std::process::Output {
    coldseam().arg("solve").args(arguments).arg("--out").arg(out).output().unwrap()
}

fn sill() -> String {
    common::root("cases/window-sill.yaml").display().to_string()
}

#[test]
fn alone_it_says_what_to_type_first() {
    let output = coldseam().output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success());
    for line in ["coldseam new", "coldseam solve", "coldseam materials", "coldseam validate"] {
        assert!(text.contains(line), "{line} in {text}");
    }
}

#[test]
fn solve_prints_the_subtraction_and_writes_everything() {
    let folder = tempfile::tempdir().unwrap();
    let output = solve(&[&sill()], folder.path());
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    for part in [
        "= ψ",
        "− wall",
        "− window",
        "0.1602 W/(m²K) × 1.2000 m",
        "f_Rsi = 0.88",
        "local codes and licensed practice decide",
        "Written to",
    ] {
        assert!(text.contains(part), "{part} in\n{text}");
    }
    let mut files: Vec<String> = fs::read_dir(folder.path().join("window-sill"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    files.sort();
    assert_eq!(
        files,
        [
            "grid.png",
            "heat-flow.png",
            "plan.png",
            "profile.csv",
            "results.json",
            "summary.txt",
            "temperature-factor.png",
            "temperature.png"
        ]
    );
}

#[test]
fn json_is_the_document_alone_with_the_fixed_keys() {
    let folder = tempfile::tempdir().unwrap();
    let output = solve(&[&sill(), "--format", "json", "--no-pictures"], folder.path());
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(document["coldseam"], 1);
    let number = |pointer: &str| {
        document
            .pointer(pointer)
            .and_then(Value::as_f64)
            .unwrap_or_else(|| panic!("{pointer} in {document:#}"))
    };
    let l2d = number("/l2d/value");
    let psi = number("/psi/internal/value");
    let subtracted: f64 = document["psi"]["internal"]["subtracted"]
        .as_array()
        .unwrap()
        .iter()
        .map(|term| term["product"].as_f64().unwrap())
        .sum();
    assert!((l2d - subtracted - psi).abs() < 1e-12);
    assert!((number("/heat_flow/room") - 20.0 * l2d).abs() < 1e-9);
    assert!((number("/heat_flow/room") + number("/heat_flow/outside")).abs() < 1e-6);
    assert!(number("/heat_balance") < 1e-6);
    assert!(
        (number("/u_values/wall") - 0.16018).abs() < 1e-4 && (number("/u_values/window") - 0.9).abs() < 1e-9
    );
    let factor = number("/f_rsi/room/value");
    assert!((number("/f_rsi/room/temperature") - 20.0 * factor).abs() < 1e-9);
    assert_eq!(document["f_rsi"]["room"]["at"].as_array().unwrap().len(), 2);
    assert_eq!(document["f_rsi"]["room"]["material"], "softwood");
    assert!(number("/points/frame_foot") > 10.0);
    assert!(document["coupling"].as_array().unwrap().is_empty());
    assert!(number("/grid/vertices") >= number("/grid/unknowns"));
    assert!(number("/solver/iterations") > 0.0 && number("/solver/residual") < 1e-9);
    assert_eq!(document["parameters"]["set_out"], 70.0);
    let written: Value =
        serde_json::from_slice(&fs::read(folder.path().join("window-sill/results.json")).unwrap()).unwrap();
    assert_eq!(written, document);
}

#[test]
fn several_cases_make_a_list_and_set_changes_a_variant() {
    let folder = tempfile::tempdir().unwrap();
    let jamb = common::root("cases/window-jamb.yaml").display().to_string();
    let output = solve(
        &[&sill(), &jamb, "--set", "set_out=20 + 20", "--format", "json", "--no-pictures"],
        folder.path(),
    );
    let documents: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(documents.as_array().unwrap().len(), 2);
    assert_eq!(documents[0]["parameters"]["set_out"], 40.0);
    assert!(folder.path().join("window-jamb/profile.csv").exists());
}

#[test]
fn two_cases_of_one_name_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("window-sill.yaml");
    fs::copy(sill(), &copy).unwrap();
    let output = solve(&[&sill(), copy.to_str().unwrap()], &folder.path().join("out"));
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("same folder"));
    assert!(!folder.path().join("out").exists());
}

#[test]
fn results_are_identical_for_any_number_of_threads() {
    let folder = tempfile::tempdir().unwrap();
    let plinth = common::root("cases/plinth.yaml").display().to_string();
    let results: Vec<Vec<u8>> = ["1", "2", "5"]
        .iter()
        .map(|threads| {
            solve(&[&plinth, "--format", "json", "--no-pictures", "--threads", threads], folder.path()).stdout
        })
        .collect();
    assert!(!results[0].is_empty());
    assert!(results[0] == results[1] && results[1] == results[2]);
}

#[test]
fn the_profile_is_a_table_along_the_surface() {
    let folder = tempfile::tempdir().unwrap();
    solve(&[&sill(), "--no-pictures"], folder.path());
    let mut reader = csv::Reader::from_path(folder.path().join("window-sill/profile.csv")).unwrap();
    assert_eq!(reader.headers().unwrap().iter().next(), Some("environment"));
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let column = |row: &csv::StringRecord, index: usize| row[index].parse::<f64>().unwrap();
    let last = column(rows.last().unwrap(), 2);
    // Wall 1180 mm to under the board, the board's overhang (30), edge (20) and top (30 + 13 + 215), panel
    // 1000 mm.
    assert!((last - (1_180.0 + 30.0 + 20.0 + 258.0 + 1_000.0)).abs() < 1e-6, "length {last}");
    assert!(rows.windows(2).all(|pair| column(&pair[1], 2) > column(&pair[0], 2)));
    let lowest =
        rows.iter().filter(|row| &row[5] != "window_panel").map(|row| column(row, 8)).fold(1.0, f64::min);
    assert!((lowest - 0.8822).abs() < 1e-3, "{lowest}");
}

#[test]
fn new_lists_writes_and_never_overwrites() {
    let folder = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str]| {
        coldseam().arg("new").args(arguments).current_dir(folder.path()).output().unwrap()
    };
    let list = String::from_utf8(run(&[]).stdout).unwrap();
    assert!(list.contains("window-sill") && list.contains("balcony-slab"));
    assert!(run(&["window-head"]).status.success());
    let file = folder.path().join("window-head.yaml");
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        fs::read_to_string(common::root("cases/window-head.yaml")).unwrap()
    );
    fs::write(&file, "mine").unwrap();
    assert_eq!(run(&["window-head"]).status.code(), Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    let unknown = run(&["window-had"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&unknown.stderr).contains("did you mean `window-head`?"));
}

#[test]
fn materials_can_be_searched() {
    let run = |arguments: &[&str]| coldseam().arg("materials").args(arguments).output().unwrap();
    let all = String::from_utf8(run(&[]).stdout).unwrap();
    assert!(all.lines().count() > 80);
    let steel = String::from_utf8(run(&["steel"]).stdout).unwrap();
    assert!(steel.contains("stainless_steel") && steel.contains("ISO 10456") && !steel.contains("softwood"));
    let none = run(&["softwod"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&none.stderr).contains("softwood"));
}

#[test]
fn validate_prints_every_value_and_succeeds_from_any_folder() {
    let folder = tempfile::tempdir().unwrap();
    let output = coldseam().arg("validate").current_dir(folder.path()).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{text}");
    assert!(text.contains("iso-10211-case-2") && text.contains(", 0 outside") && !text.contains("FAILS"));
}

#[test]
fn unwritable_results_are_a_failure_and_not_a_panic() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("out/window-sill/results.json")).unwrap();
    let output = solve(&[&sill(), "--no-pictures"], &folder.path().join("out"));
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("results.json is a folder"));
}

/// Each command that writes results, on a case or on elements.
fn writing<'a>(case: &'a str, elements: &'a str) -> [Vec<&'a str>; 5] {
    [
        vec!["solve", case],
        vec!["condensation", case],
        vec!["report", case],
        vec!["compare", case, case],
        vec!["uvalue", elements],
    ]
}

/// A file where a folder is wanted is a wrong argument, told before anything is computed, by every command
/// that writes.
#[test]
fn results_cannot_go_to_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("occupied");
    fs::write(&file, "mine").unwrap();
    let (sill, elements) = (sill(), common::root("cases/build-ups.yaml").display().to_string());
    for arguments in writing(&sill, &elements) {
        for out in [file.clone(), file.join("deeper")] {
            let output = coldseam().args(&arguments).arg("--out").arg(&out).output().unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
            assert!(said.contains("occupied is no folder"), "{said}");
            assert!(said.ends_with("nothing was written\n") && output.stdout.is_empty(), "{said}");
            assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
        }
    }
}

/// A link that leads nowhere, as the folder of all results, on the way to it and as that of one case.
#[cfg(unix)]
#[test]
fn results_cannot_go_through_a_link_that_leads_nowhere() {
    let folder = tempfile::tempdir().unwrap();
    let link = |at: &str| {
        let at = folder.path().join(at);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        std::os::unix::fs::symlink(folder.path().join("gone"), at).unwrap();
    };
    for at in ["all", "one/window-sill", "one/build-ups", "one/compared"] {
        link(at);
    }
    let (sill, elements) = (sill(), common::root("cases/build-ups.yaml").display().to_string());
    for arguments in writing(&sill, &elements) {
        for out in ["all", "all/deeper", "one"] {
            let out = folder.path().join(out);
            let output = coldseam().args(&arguments).arg("--out").arg(&out).output().unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{arguments:?} {}: {said}", out.display());
            assert!(said.contains("is a link that leads nowhere; name another with --out"), "{said}");
            assert!(said.ends_with("nothing was written\n") && output.stdout.is_empty(), "{said}");
            assert!(!folder.path().join("gone").exists());
        }
    }
}

/// The equations take no file that holds something else.
#[test]
fn equations_are_written_over_equations_only() {
    let folder = tempfile::tempdir().unwrap();
    let place = |name: &str| folder.path().join(name);
    let case = place("case.yaml");
    fs::copy(sill(), &case).unwrap();
    fs::copy(sill(), place("own.mtx")).unwrap();
    fs::copy(sill(), place("half.rhs.mtx")).unwrap();
    fs::create_dir(place("folder.mtx")).unwrap();
    // Equations, of somebody else.
    let others = "%%MatrixMarket matrix coordinate real general\n% a bridge\n1 1 1\n1 1 2\n";
    fs::write(place("others.mtx"), others).unwrap();
    let run = |matrix: &str| {
        let (case, matrix) = (case.display().to_string(), place(matrix).display().to_string());
        let output = solve(&[&case, "--no-pictures", "--matrix", &matrix], &place("out"));
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    for matrix in ["case.yaml", "new", "own.mtx", "half.mtx", "folder.mtx", "others.mtx"] {
        let (code, said) = run(matrix);
        assert_eq!(code, Some(2), "{matrix}: {said}");
        assert!(said.contains("--matrix") && said.contains("nothing was written"), "{said}");
        assert!(!place("out").exists());
    }
    for (matrix, expected) in
        [(".mtx", "has an ending and no name; write one before it"), ("equations", "does not end in `.mtx`")]
    {
        let (code, said) = run(matrix);
        assert!(code == Some(2) && said.contains(expected), "{matrix}: {said}");
    }
    // Nor through a link under the name that they have on their way.
    fs::write(place("precious.txt"), "mine").unwrap();
    std::os::unix::fs::symlink(place("precious.txt"), place(".new.mtx.coldseam")).unwrap();
    for _ in 0..2 {
        assert_eq!(run("new.mtx").0, Some(0), "the second time over those of the first");
    }
    assert_eq!(fs::read_to_string(place("others.mtx")).unwrap(), others);
    assert_eq!(fs::read_to_string(place("precious.txt")).unwrap(), "mine");
    for kept in ["case.yaml", "own.mtx", "half.rhs.mtx"] {
        assert_eq!(fs::read(place(kept)).unwrap(), fs::read(sill()).unwrap(), "{kept}");
    }
}

/// Numbers beyond what can be asked for are told with an example of what can, also those with a minus sign.
#[test]
fn numbers_of_options_have_ranges() {
    let elements = common::root("cases/build-ups.yaml").display().to_string();
    for (arguments, expected) in [
        (&["solve", "--accuracy", "-1"][..], "such as 0.0001"),
        (&["solve", "--accuracy", "nan"], "such as 0.0001"),
        (&["report", "--accuracy", "0"], "such as 0.0001"),
        (&["uvalue", "--vary", "insulation", "--target", "-0.15"], "such as 0.15"),
        (&["uvalue", "--vary", "insulation", "--target", "0"], "such as 0.15"),
        (&["solve", "--unknowns", "-5"], "a whole number from 1"),
        (&["solve", "--threads", "0"], "a whole number from 1 on"),
        (&["solve", "--threads", "-2"], "a whole number from 1 on"),
        (&["dwelling", "--set", "=5"], "such as insulation=160"),
        (&["solve", "--set", "a=5", "--set", " a =6"], "--set a stands twice"),
        (&["report", "--set", "a=5", "--set", "a=5"], "--set a stands twice"),
        (&["condensation", "--set", "a=5", "--set", "a=5"], "--set a stands twice"),
        (&["dwelling", "--set", "a=5", "--set", "b=1", "--set", "a=5"], "--set a stands twice"),
        (&["uvalue", "--set", "a=5", "--set", "a=5"], "--set a stands twice"),
    ] {
        let file = if arguments[0] == "uvalue" { elements.clone() } else { sill() };
        let output = coldseam().args(arguments).arg(file).output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(expected) && !said.contains("-- -"), "{arguments:?}: {said}");
    }
}

#[test]
fn claims_are_shown_beside_what_was_computed() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(sill()).unwrap() + "claims: { psi_internal: 0.021, f_rsi: 0.93 }\n";
    let case = folder.path().join("claimed.yaml");
    fs::write(&case, text).unwrap();
    let output = solve(&[case.to_str().unwrap(), "--no-pictures"], &folder.path().join("out"));
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("Claimed psi_internal = 0.021; computed 0.0133"), "{text}");
}

/// ψ of a plain wall is zero, and zero has no sign.
#[test]
fn a_plain_wall_has_no_negative_zero() {
    let folder = tempfile::tempdir().unwrap();
    let case = folder.path().join("plain.yaml");
    for conductivity in ["0.13", "0.7", "1.1"] {
        let text = format!(
            "coldseam: 1\ntitle: plain\nmaterials: {{ m: {{ conductivity: {conductivity}, source: test }} }}\nenvironments:\n  room: {{ role: internal, temperature: 20 }}\n  \
             outside: {{ role: external, temperature: 0 }}\nextent: {{ x: [-100, 400], y: [0, 1700] }}\nplan:\n  - {{ space: room, x: [-100, 0] }}\n  \
             - {{ space: outside, x: [300, 400] }}\n  - {{ fill: m, x: [0, 300], y: [0, 1700] }}\n\
             psi: {{ flanking: [{{ element: wall, section: {{ y: 0 }}, internal: [0, 1700] }}] }}\n"
        );
        fs::write(&case, text).unwrap();
        let output = solve(&[case.to_str().unwrap(), "--no-pictures"], &folder.path().join("out"));
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(text.contains(" 0.0000 W/(m·K)\n") && !text.contains("-0.000"), "{text}");
    }
}

/// The exported equations, solved by a general-purpose direct solver, give the heat flow of the results.
#[test]
fn the_exported_equations_are_those_that_were_solved() {
    let folder = tempfile::tempdir().unwrap();
    let matrix = folder.path().join("sill.mtx");
    let output = solve(
        &[&sill(), "--no-pictures", "--format", "json", "--matrix", matrix.to_str().unwrap()],
        &folder.path().join("out"),
    );
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    let numbers = |path: &Path| -> Vec<Vec<f64>> {
        let text = fs::read_to_string(path).unwrap();
        assert!(text.starts_with("%%MatrixMarket matrix "));
        let lines = text.lines().filter(|line| !line.starts_with('%'));
        lines.map(|line| line.split_whitespace().map(|word| word.parse().unwrap()).collect()).collect()
    };
    let entries = numbers(&matrix);
    let right: Vec<f64> =
        numbers(&matrix.with_extension("rhs.mtx"))[1..].iter().map(|line| line[0]).collect();
    let size = entries[0][0] as usize;
    assert_eq!(document["grid"]["unknowns"], size);
    assert_eq!((right.len(), entries[0][2] as usize), (size, entries.len() - 1));
    // Outside is at 0 °C, so b is H·20 of the room's surfaces, and its heat flow Σ H·(20 − T) is Σ b −
    // b·T/20.
    let triplets: Vec<Triplet<usize, usize, f64>> = entries[1..]
        .iter()
        .flat_map(|entry| {
            let (row, column, value) = (entry[0] as usize - 1, entry[1] as usize - 1, entry[2]);
            let mirrored = (row != column).then(|| Triplet::new(column, row, value));
            [Some(Triplet::new(row, column, value)), mirrored].into_iter().flatten()
        })
        .collect();
    let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(size, size, &triplets).unwrap();
    let solution =
        matrix.sp_cholesky(Side::Lower).unwrap().solve(&faer::Mat::from_fn(size, 1, |row, _| right[row]));
    let flow: f64 = right.iter().enumerate().map(|(row, b)| b - b * solution[(row, 0)] / 20.0).sum();
    // The heat flow stated first follows from the middle of the bracket; that of the equations themselves
    // stands with the subdivision.
    let stated = document["accuracy"]["subdivision"]["heat_flow"]["value"].as_f64().unwrap();
    assert!((flow - stated).abs() < 1e-6 * stated, "{flow} and {stated}");
    let several = solve(
        &[&sill(), &common::root("cases/window-jamb.yaml").display().to_string(), "--matrix", "x.mtx"],
        folder.path(),
    );
    assert_eq!(several.status.code(), Some(2));
}

/// `--accuracy` is met or reported: with a warning, or with exit code 3 if `--strict`.
#[test]
fn accuracy_is_met_or_reported() {
    let folder = tempfile::tempdir().unwrap();
    let half_width = |output: &std::process::Output| {
        let document: Value = serde_json::from_slice(&output.stdout).unwrap();
        let psi = |key: &str| document["psi"]["internal"][key].as_f64().unwrap();
        assert!(psi("lower") <= psi("value") && psi("value") <= psi("upper"));
        0.5 * (psi("upper") - psi("lower"))
    };
    let base = [&sill(), "--no-pictures", "--format", "json"];
    let with = |more: &[&str]| solve(&[&base[..], more].concat(), folder.path());
    for accuracy in ["0.01", "0.00005"] {
        let output = with(&["--accuracy", accuracy, "--strict"]);
        assert_eq!(output.status.code(), Some(0));
        assert!(half_width(&output) <= accuracy.parse().unwrap());
    }
    let limited = ["--accuracy", "1e-7", "--unknowns", "2000"];
    let output = with(&limited);
    assert_eq!(output.status.code(), Some(0));
    assert!(half_width(&output) > 1e-7);
    let message = String::from_utf8_lossy(&output.stderr);
    assert!(
        message.contains("the accuracy wanted was not reached") && message.contains("--unknowns"),
        "{message}"
    );
    assert_eq!(with(&[&limited[..], &["--strict"]].concat()).status.code(), Some(3));
    for wrong in ["0", "-1", "NaN", "fine"] {
        let output = with(&[&format!("--accuracy={wrong}")]);
        assert_eq!(output.status.code(), Some(2), "{wrong}");
        assert!(String::from_utf8_lossy(&output.stderr).contains("a number from 1e-9 to 1e3 is wanted"));
    }
}

#[test]
fn uvalue_prints_draws_and_finds_the_thickness() {
    let folder = tempfile::tempdir().unwrap();
    let [file, climate] = ["build-ups", "climate"]
        .map(|name| common::root(&format!("cases/{name}.yaml")).display().to_string());
    let run = |arguments: &[&str]| {
        coldseam().args(["uvalue", &file, "--out"]).arg(folder.path()).args(arguments).output().unwrap()
    };
    let output = run(&["--climate", &climate, "--target", "0.15", "--vary", "insulation"]);
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    for part in [
        "upper limit",
        "solved in two dimensions",
        "needs insulation at least 180.5; the next size is 200",
        "U does not depend on insulation",
        "none in any month",
        "slab on ground by ISO 13370",
        "licensed practice decide",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
    let written = folder.path().join("build-ups");
    for name in ["u-values.json", "u-values.txt", "wall.png", "roof.png"] {
        assert!(written.join(name).is_file(), "{name}");
    }
    let picture = image::open(written.join("wall.png")).unwrap().into_rgb8();
    assert_eq!(picture.width(), 1600);
    let document: Value = serde_json::from_slice(&fs::read(written.join("u-values.json")).unwrap()).unwrap();
    let wall = &document["build_ups"][0];
    assert_eq!(wall["target"]["size"], 200.0);
    assert!(wall["two_dimensional"]["lower"].as_f64() < wall["two_dimensional"]["upper"].as_f64());

    // No size on the list is enough: the answer is no.
    let output = run(&["--no-pictures", "--target", "0.05", "--vary", "insulation"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("no size on the list reaches it"));
    let output = run(&["--no-pictures", "--target", "0.15", "--vary", "insulatoin"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("did you mean `insulation`?"));
    let output = run(&["--climate", &file]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("there is no `climate:` in this file"));
}

#[test]
fn compare_shows_what_was_put_in_and_what_came_out() {
    let folder = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str]| {
        let output =
            coldseam().args(["compare", "--out"]).arg(folder.path()).args(arguments).output().unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap())
    };
    let (code, text) = run(&[&sill(), &sill(), "--set", "set_out=0"]);
    assert_eq!(code, Some(0));
    for part in ["parameter set_out", "70  →  0", "U of wall", "same", "f_Rsi of room", "−0.08"] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
    assert!(folder.path().join("compared/window-sill/window-sill/difference.png").is_file());
    // Nothing differs from itself; other extents have no picture.
    let (_, text) = run(&[&sill(), &sill(), "--format", "json"]);
    let document: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(document["inputs"].as_array().unwrap().len(), 0);
    assert_eq!(document["results"][0]["first"], document["results"][0]["second"]);
    let corner = common::root("cases/outer-corner.yaml").display().to_string();
    assert!(!run(&[&sill(), &corner]).1.contains("difference.png"));
}
