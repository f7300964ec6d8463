//! A dwelling's sum: A·U and l·ψ.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use coldseam::geometry::Rectangle;
use coldseam::model::{Builder, Cut, Role};
use coldseam::result::dwelling::reduction;
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

/// The shipped house: every sum is that of its parts, computed here anew, and the junctions add what
/// junctions of this kind add.
#[test]
fn the_shipped_house_adds_up() {
    let file = common::root("cases/dwelling.yaml");
    let (code, text, errors) = run(&file, &["--format", "json"]);
    assert_eq!(code, Some(0), "{errors}");
    let house: Value = serde_json::from_str(&text).unwrap();
    let sum = |list: &str, value: &dyn Fn(&Value) -> f64| {
        house[list].as_array().unwrap().iter().map(value).sum::<f64>()
    };
    let number = |value: &Value| value.as_f64().unwrap();
    let elements = sum("elements", &|element| number(&element["area"]) * number(&element["u_value"]));
    let junctions =
        sum("junctions", &|junction| number(&junction["length"]) * number(&junction["psi"]["value"]));
    assert!((number(&house["elements_loss"]) - elements).abs() < 1e-9);
    assert!((number(&house["junctions_loss"]["value"]) - junctions).abs() < 1e-9);
    assert!((number(&house["transmission"]["value"]) - elements - junctions).abs() < 1e-9);
    let per_area = number(&house["junctions_per_area"]["value"]);
    assert!((per_area - junctions / sum("elements", &|element| number(&element["area"]))).abs() < 1e-12);
    // Well detailed dwellings add 0.02 to 0.08 W/(m²K), the default of older rules being 0.15 (common
    // practice, no source).
    assert!((0.01..0.1).contains(&per_area), "{per_area}");
    // ψ is that of the case by the dwelling's convention with the dwelling's values, and of the variant where
    // one is asked for. The block with its joints has what ISO 6946's combined method leaves for it of the
    // wall's total.
    let own = |name: &str| coldseam::material::generic::find(name).unwrap().conductivity;
    let share = 1.0 - 0.44 * 0.215 / (0.45 * 0.225);
    let rest = 0.17 + 0.013 / own("plaster_gypsum") + 0.14 / 0.031 + 0.008 / own("render");
    let upper = 1.0 / ((1.0 - share) / (rest + 0.215 / 0.15) + share / (rest + 0.215 / own("mortar_inner")));
    let lower = rest + 0.215 / ((1.0 - share) * 0.15 + share * own("mortar_inner"));
    let laid = 0.215 / (f64::midpoint(upper, lower) - rest);
    let by_hand = |name: &str, values: &[(&str, &str)]| {
        let mut text = coldseam::shipped::find(name)
            .unwrap()
            .text
            .replace("conductivity: 0.18,", &format!("conductivity: {laid},"));
        for (from, to) in values {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        common::solve_text(&text).psi[0].value
    };
    let psi = |index: usize| number(&house["junctions"][index]["psi"]["value"]);
    let plinth = by_hand(
        "plinth",
        &[("  insulation: 150", "  insulation: 140"), ("half_width: 4000", "half_width: 3000")],
    );
    assert!((psi(0) - plinth).abs() < 1e-6, "{} for {plinth}", psi(0));
    let jamb = by_hand(
        "window-jamb",
        &[
            ("  insulation: 150", "  insulation: 140"),
            ("window_u: 0.9", "window_u: 0.805"),
            ("lap: 30", "lap: 20"),
        ],
    );
    assert!((psi(4) - jamb).abs() < 1e-6, "{} for {jamb}", psi(4));
    // Every flanking element of every junction has found its element.
    for junction in house["junctions"].as_array().unwrap() {
        assert!(
            junction["counterparts"].as_array().unwrap().iter().all(|pair| pair["element"].is_string()),
            "{junction}"
        );
        assert_eq!(junction["remarks"].as_array().unwrap().len(), 0, "{junction}");
    }
    // What is set for the dwelling reaches every case.
    let (code, text, errors) = run(&file, &["--format", "json", "--set", "insulation=200"]);
    assert_eq!(code, Some(0), "{errors}");
    let thicker: Value = serde_json::from_str(&text).unwrap();
    for (index, junction) in
        thicker["junctions"].as_array().unwrap().iter().enumerate().filter(|(index, _)| *index < 6)
    {
        assert_eq!(
            junction["from_dwelling"][0],
            serde_json::json!({ "name": "insulation", "change": "150 → 200" })
        );
        assert!((number(&junction["psi"]["value"]) - psi(index)).abs() > 1e-4, "{junction}");
    }
    let (_, text, _) = run(&file, &[]);
    for part in [
        "plane elements",
        "per area of envelope",
        "computed: window-jamb.yaml with lap=20",
        "stated: invented",
        "licensed practice decide",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
}

#[test]
fn what_cannot_be_added_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("house.yaml");
    let case = common::root("cases/plinth.yaml").display().to_string();
    for (dwelling, expected) in [
        ("{ convention: internal }", "needs `elements` or `junctions`"),
        ("{ convention: inside, elements: [{ element: a, area: 1, u_value: 1 }] }", "convention"),
        ("{ convention: internal, elements: [{ element: a, area: 1 }] }", "one source of its U-value"),
        (
            "{ convention: internal, elements: [{ element: a, area: -1, u_value: 1 }] }",
            "area in m² must be greater than 0",
        ),
        (
            "{ convention: internal, elements: [{ element: a, area: 1, floor: cellar }] }",
            "there is no floor named `cellar`",
        ),
        (
            "{ convention: internal, junctions: [{ junction: a, length: 1, psi: 0.1 }] }",
            "a stated ψ needs a `source`",
        ),
        ("{ convention: internal, junctions: [{ junction: a, length: 1 }] }", "one source of its ψ"),
        (
            "{ convention: internal, junctions: [{ junction: a, length: 1, case: nowhere.yaml }] }",
            "there is no such file",
        ),
        (
            "{ convention: external, junctions: [{ junction: a, length: 1, case: CASE }] }",
            "states no ψ by external dimensions",
        ),
        (
            "{ convention: internal, junctions: [{ junction: a, length: 1, case: CASE, set: { nonsense: 3 } }] }",
            "no parameter named `nonsense`",
        ),
    ] {
        fs::write(&file, format!("coldseam: 1\ndwelling: {}\n", dwelling.replace("CASE", &case))).unwrap();
        let (code, _, errors) = run(&file, &[]);
        assert_eq!(code, Some(2), "{dwelling}: {errors}");
        assert!(errors.contains(expected), "{dwelling}: {errors}");
    }
    fs::write(&file, "coldseam: 1\nbuild_ups: { wall: { layers: [[render, 8]] } }\n").unwrap();
    assert!(run(&file, &[]).2.contains("has no `dwelling:`"));
}

/// b needs one temperature inside: rooms of 20, 18 and 20 °C have two, in whatever order they stand.
#[test]
fn b_counts_temperatures_not_environments() {
    for (temperatures, expected) in [
        ([20.0, 20.0, 20.0], Ok(0.6)),
        ([20.0, 18.0, 20.0], Err("2 temperatures")),
        ([18.0, 20.0, 20.0], Err("2 temperatures")),
    ] {
        let mut model = Builder::new(Cut::Vertical, Rectangle::new([0.0, 1.0], [0.0, 1.0]));
        for (index, temperature) in temperatures.into_iter().enumerate() {
            model.environment(&format!("room {index}"), Role::Internal, temperature);
        }
        model.environment("garage", Role::Unheated, 8.0);
        model.environment("outside", Role::External, 0.0);
        match (reduction(&model.build().unwrap(), None), expected) {
            (Ok(b), Ok(expected)) => assert!((b - expected).abs() < 1e-12_f64, "{b}"),
            (Err(reason), Err(expected)) => assert!(reason.contains(expected), "{reason}"),
            (found, expected) => panic!("{found:?} for {expected:?}"),
        }
    }
}
