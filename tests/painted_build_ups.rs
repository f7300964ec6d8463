//! What a name says holds for all that a build-up paints in its place, and what is said of a build-up is said
//! wherever it takes part.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use assert_cmd::Command;
use coldseam::case;
use coldseam::element::{correction, limits, resistance};
use coldseam::report::html;
use coldseam::result::{self, Outcome};
use coldseam::review::{self, Seal};
use serde_json::Value;

mod common;

/// A wall or ceiling of one build-up `element`, painted along a direction, as wide as 1 m.
fn painted(build_up: &str, along: &str, rest: &str) -> String {
    let (room, outside) = match along {
        "+x" => ("x: [-500, 0]", "x: [0, 900]"),
        "-x" => ("x: [0, 900]", "x: [-500, 0]"),
        "+y" => ("y: [-500, 0]", "y: [0, 900]"),
        _ => ("y: [0, 900]", "y: [-500, 0]"),
    };
    let is_along_x = along.ends_with('x');
    // The far end of the layers decides where outside begins, so that what is painted later covers it.
    let (extent, from, across) = if is_along_x {
        ("x: [-500, 900], y: [0, 1000]", if along == "+x" { 0 } else { 500 }, "y: [0, 1000]")
    } else {
        ("y: [-500, 900], x: [0, 1000]", if along == "+y" { 0 } else { 500 }, "x: [0, 1000]")
    };
    let (room, outside) = match along {
        "-x" => ("x: [500, 900]", "x: [-500, 500]"),
        "-y" => ("y: [500, 900]", "y: [-500, 500]"),
        _ => (room, outside),
    };
    format!(
        "coldseam: 1
title: painted
materials:
  board: {{ conductivity: 0.04, source: the test }}
  grained: {{ conductivity: {{ x: 0.2, y: 1.5 }}, source: the test }}
  mortar: {{ conductivity: 0.9, source: the test }}
build_ups:
  element: {{ {build_up} }}
environments: {{ room: {{ role: internal, temperature: 20, humidity: 50 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ {extent} }}
plan:
  - {{ space: room, {room} }}
  - {{ space: outside, {outside} }}
  - {{ layers: {{ build_up: element }}, along: {along}, from: {from}, {across} }}
{rest}
"
    )
}

/// Materials of a layer by the name that is written, what the layer resists by hand, d = 0.1 m, and how it is
/// written.
fn layers() -> Vec<(&'static str, &'static str, f64)> {
    // λ along the element's own x leads through it.
    let grained = 0.1 / 0.2;
    // The combined method beside 0.05 m of board: what the layer has of the total.
    let combined = |conductivity: f64, bridge: f64, share: f64| {
        let rest = 0.17 + 0.05 / 0.04;
        let upper = 1.0 / ((1.0 - share) / (rest + 0.1 / conductivity) + share / (rest + 0.1 / bridge));
        let lower = rest + 0.1 / ((1.0 - share) * conductivity + share * bridge);
        f64::midpoint(upper, lower) - rest
    };
    vec![
        ("mortar", "[mortar, 100]", 0.1 / 0.9),
        ("softwood", "[softwood, 100]", 0.1 / 0.12),
        ("grained", "[grained, 100]", grained),
        (
            "softwood",
            "{ material: softwood, thickness: 100, bridged_by: { material: mortar, fraction: 0.1 } }",
            combined(0.12, 0.9, 0.1),
        ),
        (
            "grained",
            "{ material: grained, thickness: 100, bridged_by: { material: mortar, fraction: 0.1 } }",
            combined(0.2, 0.9, 0.1),
        ),
    ]
}

/// Walls whose inner layer is of each kind, painted in each direction. Excluded by its name, the surface is
/// judged apart, with the resistance of frames and glazing; a rule `on` its name holds on its surface. By the
/// name of its bridge neither does.
#[test]
fn a_name_reaches_what_build_ups_paint_in_its_place() {
    for along in ["+x", "-x", "+y", "-y"] {
        for (name, layer, resistance) in layers() {
            let build_up = format!("heat_flow: horizontal, layers: [{layer}, [board, 50]]");
            let rest = |name: &str| {
                format!(
                    "condensation: {{ exclude: [{name}] }}\nsurfaces: [{{ on: {name}, of: room, resistance: 0.3 }}]"
                )
            };
            let outcome = common::solve_text(&painted(&build_up, along, &rest(name)));
            let inner = resistance + 0.05 / 0.04;
            let u = 1.0 / (0.3 + inner + 0.04);
            let l2d = outcome.l2d.unwrap().middle();
            assert!((l2d - u).abs() < 1e-6, "{layer} along {along}: L2D {l2d} for {u}");
            let factor = &outcome.factors[0];
            assert!(factor.coldest.is_none(), "{layer} along {along}: {:?}", factor.coldest);
            // The stated resistance is higher than that of frames and glazing, and stays.
            let expected = 1.0 - 0.3 * u;
            let found = factor.coldest_excluded.as_ref().unwrap().factor;
            assert!((found - expected).abs() < 1e-5, "{layer} along {along}: f {found} for {expected}");
            if name != "mortar" {
                let outcome = common::solve_text(&painted(&build_up, along, &rest("mortar")));
                assert!(
                    outcome.factors[0].coldest.is_some() && outcome.factors[0].coldest_excluded.is_none(),
                    "{layer}"
                );
            }
        }
    }
}

/// One name for a material that is painted as it is, turned by one build-up and bridged in another: all of it
/// is reached.
#[test]
fn all_variants_of_a_name_are_reached_at_once() {
    let text = "coldseam: 1
title: three variants
materials:
  grained: { conductivity: { x: 0.2, y: 1.5 }, source: the test }
  board: { conductivity: 0.04, source: the test }
build_ups:
  plain: { layers: [[grained, 100]] }
  bridged: { layers: [{ material: grained, thickness: 100, bridged_by: { material: board, fraction: 0.2 } }] }
environments: { room: { role: internal, temperature: 20 }, outside: { role: external, temperature: 0 } }
extent: { x: [0, 3000], y: [-500, 600] }
plan:
  - { space: room, y: [-500, 0] }
  - { space: outside, y: [100, 600] }
  - { fill: grained, x: [0, 1000], y: [0, 100] }
  - { layers: { build_up: plain }, along: +y, from: 0, x: [1000, 2000] }
  - { layers: { build_up: bridged }, along: +y, from: 0, x: [2000, 3000] }
condensation: { exclude: [grained] }
";
    let outcome = common::solve_text(text);
    assert_eq!(outcome.case.model.judged_apart().len(), 3);
    assert!(outcome.factors[0].coldest.is_none() && outcome.factors[0].coldest_excluded.is_some());
}

/// Build-ups about each of whose values something is to be said.
const REMARKABLE: [&str; 7] = [
    "layers: [{ resistance: 0.5, thickness: 20 }, { material: board, thickness: 100, fixings: { number: 5, conductivity: 50, cross_section: 20, length: 60 } }]",
    "layers: [[board, 50], { material: board, thickness: 100, fixings: { number: 5, conductivity: 0.2, cross_section: 20 } }]",
    "layers: [{ material: board, thickness: 100, bridged_by: { material: steel, width: 2, spacing: 600 } }]",
    "layers: [{ resistance: 0.1, thickness: 10 }, { air: 50 }, { resistance: 0.1, thickness: 10 }]",
    "layers: [{ material: board, thickness: 50, fixings: { number: 6, point_transmittance: 0.2 } }]",
    "layers: [[mortar, 100], [phenolic, 60]]",
    "layers: [[mortar, 100], { material: phenolic, thickness: 60, bridged_by: { material: softwood, fraction: 0.1 } }]",
];
/// The same that no plan can paint.
const VENTILATED: [&str; 2] = [
    "layers: [[board, 100], { air: 40, openings: 1000 }, [mortar, 100]]",
    "layers: [[board, 100], { air: 1, openings: 1000 }]",
];

const PHENOLIC: &str = "  phenolic: { conductivity: 0.02, source: the test, convert: { class: phenolic_foam, temperature: [10, 20] } }\nbuild_ups:";

fn solved(text: &str) -> Outcome {
    let case = case::from_text("test", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
    result::compute(case).unwrap_or_else(|failure| panic!("{failure}\n{text}"))
}

/// What `uvalue` says of a build-up stands in the results and the report of each case that paints it or
/// subtracts it, with its name, and in a dwelling with such an element or junction.
#[test]
fn what_is_said_of_a_build_up_is_said_wherever_it_takes_part() {
    let folder = tempfile::tempdir().unwrap();
    for (number, build_up) in REMARKABLE.iter().chain(&VENTILATED).enumerate() {
        let is_painted = number < REMARKABLE.len();
        let psi = if is_painted {
            "psi: { flanking: [{ element: wall, section: { y: 0 }, internal: [0, 1000] }] }"
        } else {
            "psi: { flanking: [{ element: wall, build_up: element, along: y, internal: [0, 1000] }] }"
        };
        let mut text = painted(build_up, "+x", psi).replace("build_ups:", PHENOLIC);
        if !is_painted {
            text = text.replace("layers: { build_up: element }", "layers: [[board, 100]]");
        }
        let library = case::library_from_text("test", &text, &[]).unwrap();
        let element = &library.build_ups[0];
        let total = resistance::total(element);
        let said = limits::notes(element, &total, &correction::corrected(element, &total));
        assert!(!said.is_empty(), "{build_up}");
        let outcome = solved(&text);
        let page = html::page(&outcome, &review::review(&outcome, &Seal::None)).unwrap();
        let page = [("&#x2f;", "/"), ("&#x27;", "'"), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")]
            .into_iter()
            .fold(page, |page, (escaped, plain)| page.replace(escaped, plain));
        for note in &said {
            let named = format!("build-up element: {note}");
            assert!(outcome.notes.contains(&named), "{note} in {:?}", outcome.notes);
            assert!(page.contains(&named), "{note} in the report");
        }
        // Corrections are in no drawing, and that is said once where they count.
        let has_correction = correction::corrected(element, &total).u_value > total.u_value();
        let told =
            outcome.notes.iter().filter(|note| note.contains("left out of drawing and subtraction")).count();
        assert_eq!(told, usize::from(has_correction), "{build_up}: {:?}", outcome.notes);

        std::fs::write(folder.path().join("wall.yaml"), &text).unwrap();
        let house = text.split("environments:").next().unwrap().to_owned()
            + "dwelling:\n  convention: internal\n  elements: [{ element: facade, area: 10, build_up: element }]\n  \
               junctions: [{ junction: joint, length: 3, case: wall.yaml, match: { wall: none } }]\n";
        let file = folder.path().join("house.yaml");
        std::fs::write(&file, house).unwrap();
        let run = |arguments: &[&str]| {
            let output = Command::cargo_bin("coldseam")
                .unwrap()
                .arg("dwelling")
                .arg(&file)
                .args(arguments)
                .output()
                .unwrap();
            assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
            String::from_utf8(output.stdout).unwrap()
        };
        let document: Value = serde_json::from_str(&run(&["--format", "json"])).unwrap();
        let printed = run(&[]);
        for note in &said {
            let named = format!("build-up element: {note}");
            for of in [&document["elements"][0], &document["junctions"][0]] {
                assert!(
                    of["notes"].as_array().unwrap().iter().any(|own| own == named.as_str()),
                    "{note} in {of:#}"
                );
            }
            assert_eq!(printed.matches(&named).count(), 1, "{note} in {printed}");
            assert!(printed.contains(&format!("facade, joint: {named}")), "{printed}");
        }
    }
}

/// A material whose λ is in doubt and that no build-up holds: said by the case that fills with it, and by
/// none that does not.
#[test]
fn a_doubtful_conductivity_is_said_where_it_is_painted() {
    for (material, is_told) in [("phenolic", true), ("board", false)] {
        let text = painted("layers: [[board, 100]]", "+x", "").replace("build_ups:", PHENOLIC);
        let text = text.replace("layers: { build_up: element }", &format!("layers: [[{material}, 100]]"));
        let outcome = solved(&text);
        // exp(0.0053·10) and exp(0.002·10) of 0.02.
        let told = outcome.notes.iter().any(|note| note.contains("λ 0.02109") && note.contains("0.0204"));
        assert_eq!(told, is_told, "{:?}", outcome.notes);
    }
}

/// Heat flows through a build-up the way that the plan tells: up or down where it lies, level where it
/// stands. Whatever it states, a warning comes if and only if that is another way and changes what it
/// resists; and with the way that the warning asks for, ψ of a plain element is 0.
#[test]
fn a_direction_that_the_plan_contradicts_is_told() {
    // R of 50 mm of air and R_si by ISO 6946:2017, Tables 7 and 8 (h_r = 5.1/(2/0.9 − 1), h_a = 1.25, 1.95
    // and 0.025/d: worked by hand).
    for (is_cold, along, way) in [
        (false, "+x", "horizontal"),
        (false, "-x", "horizontal"),
        (true, "+x", "horizontal"),
        (false, "+y", "up"),
        (false, "-y", "down"),
        (true, "+y", "down"),
        (true, "-y", "up"),
    ] {
        for stated in ["horizontal", "up", "down"] {
            for air in [true, false] {
                for subtracted in ["build_up: element", "section: { AXIS: 0 }"] {
                    let layer = if air { "{ air: 50 }" } else { "[board, 50]" };
                    let build_up =
                        format!("heat_flow: {stated}, layers: [[board, 100], {layer}, [board, 20]]");
                    let axis = if along.ends_with('x') { ["y", "x"] } else { ["x", "y"] };
                    let section = subtracted.replace("AXIS", axis[0]);
                    let rest = format!(
                        "psi: {{ flanking: [{{ element: it, {section}, along: {}, internal: [0, 1000] }}] }}",
                        axis[0]
                    );
                    let rest = if subtracted.contains("section") {
                        rest.replace(&format!("along: {}, ", axis[0]), "")
                    } else {
                        rest
                    };
                    let mut text = painted(&build_up, along, &rest)
                        .replace("[500, 900]", "[170, 900]")
                        .replace("[-500, 500]", "[-500, 170]");
                    text = text.replace("from: 500", "from: 170");
                    if is_cold {
                        text = text
                            .replace("temperature: 20", "temperature: 7")
                            .replace("temperature: 0", "temperature: 27");
                    }
                    let outcome = common::solve_text(&text);
                    let warned: Vec<&str> = outcome
                        .warnings
                        .iter()
                        .map(|warning| warning.message.as_str())
                        .filter(|text| text.contains("heat flows"))
                        .collect();
                    let what = format!("{along} {is_cold} {stated} {air} {subtracted}: {warned:?}\n{text}");
                    // What is painted has no films; what is subtracted has.
                    let expected = usize::from(air) + usize::from(subtracted.starts_with("build_up"));
                    assert_eq!(warned.len(), if stated == way { 0 } else { expected }, "{what}");
                    assert!(
                        warned.iter().all(|text| text.contains(&format!("heat flow {stated}"))),
                        "{what}"
                    );
                    if stated == way {
                        assert!(
                            outcome.psi[0].bracket.middle().abs()
                                < 1e-9 + outcome.psi[0].bracket.half_width(),
                            "{what}"
                        );
                        let resistance = 3.0
                            + if air {
                                [("horizontal", 0.184_409), ("up", 0.163_326), ("down", 0.214_007)]
                                    .iter()
                                    .find(|(word, _)| *word == way)
                                    .unwrap()
                                    .1
                            } else {
                                1.25
                            };
                        let film = match way {
                            "horizontal" => 0.13,
                            "up" => 0.10,
                            _ => 0.17,
                        } + 0.04;
                        let l2d = outcome.l2d.unwrap();
                        let by_hand = 1.0 / (resistance + film);
                        assert!(
                            (l2d.middle() - by_hand).abs() < 2e-5,
                            "{} by hand {by_hand}: {what}",
                            l2d.middle()
                        );
                    }
                }
            }
        }
    }
}

/// A name that the plan does not paint does nothing under `exclude` or `on`, and that is told at its line;
/// one that a build-up paints turned or bridged does something.
#[test]
fn names_that_the_plan_does_not_paint_are_told() {
    let build_up = "layers: [{ material: softwood, thickness: 100, bridged_by: { material: mortar, fraction: 0.1 } }, [grained, 50]]";
    for along in ["+x", "+y"] {
        for (name, is_told) in
            [("softwood", false), ("grained", false), ("mortar", true), ("board", true), ("glass", true)]
        {
            for rest in [
                format!("condensation: {{ exclude: [{name}] }}"),
                format!("surfaces: [{{ on: {name}, resistance: 0.2 }}]"),
            ] {
                let text = painted(build_up, along, &rest);
                let case =
                    case::from_text("test", &text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"));
                let found: Vec<_> = case
                    .warnings
                    .iter()
                    .filter(|warning| warning.message.contains("the plan paints no"))
                    .collect();
                assert_eq!(found.len(), usize::from(is_told), "{name}: {found:?}");
                let line = text.lines().position(|line| line == rest).unwrap() + 1;
                assert!(
                    found.iter().all(|warning| case.sources.line_column(warning.place.unwrap()).0 == line)
                );
            }
        }
    }
}
