//! Values of junctions and climates that no building and no place has: each is told where it stands, and nothing
//! that buildings have comes near.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::{self, Diagnostic, Sources};
use coldseam::{shipped, validation};

mod common;

/// A wall with the parts that are asked about.
const WALL: &str = "coldseam: 1
title: a wall
parameters:
  leg: 1200
  half: 600
  both: leg + half
  insulation: 150
  window_u: 1.2
  factor: 1.5
materials:
  own_eps: { conductivity: 0.031, density: 16, heat_capacity: 1450, source: test }
  own_brick: { conductivity: 0.8, density: 1800, source: test }
  own_steel: { conductivity: 50, density: 7800, source: test }
  panel: { conductivity: 0.07 * window_u, source: test }
environments:
  room: { role: internal, temperature: 20, humidity: 50 }
  outside: { role: external, temperature: 0, humidity: 80 }
extent: { x: [-300, 700], y: [0, both] }
plan:
  - { space: room, x: [-300, 0] }
  - { space: outside, x: [0, 700] }
  - { layers: [[own_brick, 200], [own_eps, insulation]], along: +x, from: 0, y: [0, both] }
  - { fill: own_steel, x: [0, 100], y: [500, 502] }
  - { fill: own_eps, x: [0, 100], y: [502, 512] }
psi:
  flanking:
    - { element: wall, section: { y: 0 }, internal: [0, both] }
points: { one: [0, 1000 * factor] }
";

/// What is said, by line.
fn said(text: &str, sets: &[&str]) -> Vec<(usize, String)> {
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    let lines = |found: &[Diagnostic], sources: &Sources| {
        let line = |finding: &Diagnostic| sources.line_column(finding.place.unwrap()).0;
        found.iter().map(|finding| (line(finding), finding.message.clone())).collect()
    };
    match case::from_text("case", text, &sets) {
        Ok(case) => lines(&case.warnings, &case.sources),
        Err(rejected) => panic!("{rejected}\n{text}"),
    }
}

fn with(written: &str, instead: &str) -> String {
    assert!(WALL.contains(written), "{written}");
    WALL.replacen(written, instead, 1)
}

#[test]
fn what_no_building_has_is_told_in_its_line() {
    assert_eq!(said(WALL, &[]), []);
    for (written, instead, message) in [
        ("humidity: 50", "humidity: 5", "`room` (internal) has 5 % of relative humidity"),
        ("humidity: 50", "humidity: 14.9", "drier than any dwelling"),
        ("density: 16", "density: 16000", "density of 16000 kg/m³, as nothing of its kind"),
        (
            "own_steel: { conductivity: 50, density: 7800",
            "eps_foam: { conductivity: 0.04, density: 15000",
            "density of 15000",
        ),
        ("density: 16", "density: 1600", "own eps (λ 0.031) has a density of 1600"),
        ("density: 16", "density: 0.16", "density of 0.16"),
        ("density: 1800", "density: 18000", "density of 18000"),
        ("density: 1800", "density: 1.8", "density of 1.8 kg/m³"),
        ("density: 7800", "density: 7.8", "density of 7.8 kg/m³"),
        ("heat_capacity: 1450", "heat_capacity: 1.45", "specific heat capacity of 1.45"),
        ("heat_capacity: 1450", "heat_capacity: 16000", "specific heat capacity of 16000"),
        ("[own_eps, insulation]", "[own_eps, 0.15]", "own eps insulates (λ 0.031) and is 0.15 mm thick"),
        ("x: [0, 100], y: [502, 512]", "x: [0, 100], y: [502, 502.8]", "is 0.8 mm thick"),
        ("x: [0, 100], y: [502, 512]", "x: [0.1, 0.9], y: [502, 512]", "is 0.8 mm thick"),
        ("leg: 1200", "leg: 1.200", "`1.200` mm is 1.2 mm, not 1200"),
        ("half: 600", "half: 12.500", "`12.500` mm is 12.5 mm, not 12500"),
        ("leg: 1200", "leg: \"1.200 + 100\"", "`1.200` mm is 1.2 mm, not 1200"),
        ("both: leg + half", "both: leg + 1.250", "`1.250` mm is 1.25 mm, not 1250"),
        ("[own_brick, 200]", "[own_brick, 24.000]", "`24.000` mm is 24 mm, not 24000"),
        ("x: [-300, 0] }", "x: [-1.200, 0] }", "`1.200` mm is 1.2 mm, not 1200"),
        ("internal: [0, both]", "internal: [0, 1.500]", "`1.500` mm is 1.5 mm, not 1500"),
    ] {
        let text = with(written, instead);
        let text = text.replace(
            "fill: own_steel",
            if instead.starts_with("eps_foam") { "fill: eps_foam" } else { "fill: own_steel" },
        );
        let line = text[..text.find(instead).unwrap()].matches('\n').count() + 1;
        let found = said(&text, &[]);
        assert!(found.iter().any(|(at, said)| *at == line && said.contains(message)), "{instead}: {found:?}");
    }
    let found = said(WALL, &["leg=1.200"]);
    assert!(found.iter().any(|(_, said)| said.contains("`1.200` mm is 1.2 mm")), "{found:?}");
    let found = said(WALL, &["insulation=0.15"]);
    assert!(found.iter().any(|(_, said)| said.contains("is 0.15 mm thick")), "{found:?}");
}

#[test]
fn what_buildings_have_is_not_asked_about() {
    for (written, instead) in [
        ("humidity: 50", "humidity: 20"),
        ("humidity: 80", "humidity: 5"),
        ("role: external, temperature: 0, humidity: 80", "role: unheated, temperature: 0, humidity: 10"),
        ("density: 16", "density: 10"),
        ("own_eps: { conductivity: 0.031, density: 16", "wood_fibre: { conductivity: 0.05, density: 300"),
        (
            "own_brick: { conductivity: 0.8, density: 1800",
            "barite_concrete: { conductivity: 2, density: 3800",
        ),
        ("own_brick: { conductivity: 0.8, density: 1800", "softwood_x: { conductivity: 0.11, density: 350"),
        ("own_brick: { conductivity: 0.8, density: 1800", "window_panel: { conductivity: 0.1, density: 20"),
        (
            "own_brick: { conductivity: 0.8, density: 1800",
            "double_glazing: { conductivity: 0.05, density: 1400",
        ),
        (
            "own_brick: { conductivity: 0.8, density: 1800",
            "stud_equivalent: { conductivity: 0.06, density: 1400",
        ),
        ("own_steel: { conductivity: 50, density: 7800", "own_lead: { conductivity: 35, density: 11300"),
        ("heat_capacity: 1450", "heat_capacity: 4190"),
        ("heat_capacity: 1450", "heat_capacity: 130"),
        ("[own_eps, insulation]", "[own_eps, 2]"),
        ("[own_eps, insulation]", "[own_eps, \"max(insulation - 150, 0.1)\"]"),
        ("x: [0, 100], y: [502, 512]", "x: [0, 100], y: [502, \"502 + max(0, 0.1)\"]"),
        ("[own_brick, 200]", "[own_brick, 0.5]"),
        // Numbers that are no lengths, and lengths with decimals that mean some.
        ("window_u: 1.2", "window_u: 1.200"),
        ("factor: 1.5", "factor: 1.500"),
        ("insulation: 150", "insulation: 12.5"),
        ("insulation: 150", "insulation: 12.55"),
        ("insulation: 150", "insulation: 12.555"),
        ("y: [500, 502]", "y: [500, 500.750]"),
        ("y: [500, 502]", "y: [500.250, 502]"),
    ] {
        let name = written.split(':').next().unwrap();
        let new = instead.split(':').next().unwrap();
        let text = with(written, instead);
        let text = if name.starts_with("own") { text.replace(name, new) } else { text };
        let found = said(&text, &[]);
        let asked = found.iter().filter(|(_, said)| !said.contains("hides") && !said.contains("not painted"));
        assert_eq!(asked.count(), 0, "{instead}: {found:?}");
    }
    // A file of a program, which writes all lengths so.
    let written = WALL.replace("leg: 1200", "leg: 1200.000").replace("from: 0", "from: 0.000");
    let written = written.replace("y: [500, 502]", "y: [2.500, 12.500]");
    assert_eq!(said(&written, &[]), []);
}

/// Whatever is shipped, and every case of a test of the program's physics, passes without a word of these.
#[test]
fn no_honest_case_is_asked_about() {
    const WORDS: [&str; 5] =
        ["as nothing of its kind", "specific heat", "drier than", "mm thick", "mm, not "];
    let texts =
        shipped::CASES.iter().map(|case| (case.name, case.text)).chain(validation::CASES.iter().copied());
    let mut asked = 0;
    for (name, text) in texts {
        let found = match case::from_text(name, text, &[]) {
            Ok(case) => case.warnings,
            Err(_) => {
                case::library_from_text(name, text, &[]).map(|library| library.warnings).unwrap_or_default()
            }
        };
        for finding in found {
            assert!(!WORDS.iter().any(|word| finding.message.contains(word)), "{name}: {finding}");
        }
        asked += 1;
    }
    assert!(asked >= 20, "{asked}");
    // Nor any shipped one with a part left out or made as small as it can be.
    let mut variants = 0;
    for shipped in shipped::CASES {
        let Ok(case) = case::from_text(shipped.name, shipped.text, &[]) else { continue };
        for name in &case.free_parameters {
            let Ok(variant) = case::from_text(shipped.name, shipped.text, &[format!("{name}=0")]) else {
                continue;
            };
            for finding in variant.warnings {
                assert!(!WORDS.iter().any(|word| finding.message.contains(word)), "{name}=0: {finding}");
            }
            variants += 1;
        }
    }
    assert!(variants > 20, "{variants}");
}

const YEAR: &str = "coldseam: 1
climate:
  name: Lowfield
  source: test
  months: [[-0.4, 88], [0.8, 84], [4.4, 78], [8.6, 72], [13.3, 71], [16.5, 72], [18.4, 72], [18.1, 74], [14.0, 80], [9.2, 85], [4.1, 89], [0.9, 90]]
  indoor: { temperature: 20, humidity: 50 }
";

/// A climate in YAML is asked what a table is.
#[test]
fn climates_that_no_place_has_are_refused() {
    assert!(case::climate_from_text("year", YEAR).is_ok());
    let months = YEAR.lines().find(|line| line.contains("months")).unwrap();
    let all = |change: &dyn Fn(f64, f64) -> (f64, f64)| {
        let pairs: Vec<String> = months
            .split(['[', ']'])
            .filter_map(|pair| pair.split_once(", "))
            .filter_map(|(one, other)| Some(change(one.parse().ok()?, other.parse().ok()?)))
            .map(|(temperature, humidity)| format!("[{temperature}, {humidity}]"))
            .collect();
        assert_eq!(pairs.len(), 12);
        YEAR.replace(months, &format!("  months: [{}]", pairs.join(", ")))
    };
    for (text, message) in [
        // Fahrenheit, of a place that is cold in winter.
        (all(&|t, h| (t * 1.8 + 32.0, h)), "cannot be the mean of a month"),
        // The same of a cool one: every month may be, the year may not.
        (all(&|t, h| (38.0 + t / 10.0, h)), "the mean of the year would be 38.9 °C"),
        // Absolute humidity in g/m³.
        (all(&|t, h| (t, h / 10.0)), "no month would have more than 9.0 %"),
        (all(&|t, h| (t * 10.0, h)), ""),
    ] {
        let said = case::climate_from_text("year", &text).unwrap_err().to_string();
        assert!(said.contains(message) && said.contains("year.yaml:5:"), "{said}");
    }
    // What deserts and hot coasts have passes.
    for text in
        [all(&|t, h| (t + 18.0, h / 4.0)), all(&|t, _| (25.0 + t / 2.0, 30.0)), all(&|t, h| (t - 40.0, h))]
    {
        assert!(case::climate_from_text("year", &text).is_ok(), "{text}");
    }
    let dry = YEAR.replace("humidity: 50", "humidity: 5");
    let case =
        case::from_text("dry", &dry.replace("coldseam: 1\n", &WALL.replace("points:", "points: ")), &[]);
    let warnings = case.unwrap_or_else(|rejected| panic!("{rejected}")).warnings;
    assert!(
        warnings.iter().any(|finding| finding.message.contains("the air inside has 5 %")),
        "{warnings:?}"
    );
}
