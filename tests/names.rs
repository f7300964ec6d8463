//! What a material is called never decides what it is: names of the case's own, of the generic table and of
//! what the program makes.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::HashSet;

use coldseam::case::{self, Case, Severity};
use coldseam::material::{Origin, generic};
use coldseam::result::{self, Demand, Outcome};
use coldseam::review::{self, Question, Seal, Verdict};

/// A wall of a painted build-up with studs, two cavities and a block of the case's own beside them.
fn text(name: &str) -> String {
    format!(
        "coldseam: 1
title: Names
materials:
  \"{name}\": {{ conductivity: 0.5, source: \"a test, document 1\" }}
build_ups:
  wall:
    layers:
      - {{ material: mineral_wool, thickness: 100, bridged_by: {{ material: softwood, fraction: 0.15 }} }}
      - {{ air: 25 }}
      - [\"{name}\", 50]
environments:
  room: {{ role: internal, temperature: 20 }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ x: [-100, 300], y: [0, 500] }}
plan:
  - {{ space: room, x: [-100, 0] }}
  - {{ space: outside, x: [175, 300] }}
  - {{ layers: {{ build_up: wall }}, along: +x, from: 0, y: [0, 300] }}
  - {{ fill: \"{name}\", x: [0, 175], y: [300, 500] }}
  - {{ cavity: building, x: [50, 75], y: [320, 400] }}
  - {{ cavity: frame, x: [100, 130], y: [420, 470] }}
psi:
  flanking:
    - {{ element: wall, section: {{ y: 0 }}, internal: [0, 500] }}
"
    )
}

fn read(text: &str) -> Case {
    case::from_text("names", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"))
}

fn solved(text: &str) -> Outcome {
    let demand = Demand { half_width: 0.005, ..Demand::default() };
    result::compute_to(read(text), &demand).unwrap()
}

/// Renaming a material renames it in the results and changes nothing else, whatever the program calls its
/// own.
#[test]
fn no_name_stands_for_another_material() {
    let plain = solved(&text("mine"));
    let bracket = plain.l2d.unwrap();
    let numbered = (1..=3).flat_map(|number| {
        [format!("cavity {number}"), format!("wall.{number}"), format!("Air cavity {number}")]
    });
    let others = [
        "wall",
        "air layer",
        "cavity",
        "softwood",
        "mineral_wool.1",
        "cavity 1 (made by coldseam)",
        "1",
        "ψ",
        "x y",
    ];
    for name in numbered.chain(others.map(str::to_owned)).filter(|name| name != "softwood") {
        let outcome = solved(&text(&name));
        assert_eq!(outcome.l2d.unwrap(), bracket, "a material called `{name}`");
        assert_eq!(outcome.psi[0].value, plain.psi[0].value, "a material called `{name}`");
        let own: Vec<_> =
            outcome.case.model.materials.iter().filter(|material| material.origin == Origin::Own).collect();
        assert!(
            own.len() == 1 && own[0].name == name && own[0].conductivity_x == 0.5,
            "a material called `{name}`"
        );
        // Readers can tell all of them apart.
        let names: HashSet<&str> =
            outcome.case.model.materials.iter().map(|material| material.name.as_str()).collect();
        assert_eq!(names.len(), outcome.case.model.materials.len(), "a material called `{name}`");
    }
}

/// Every row of the table may be the name of the case's own material, which is then used, with a warning that
/// names both values.
#[test]
fn the_cases_own_material_wins_over_every_generic_one() {
    for row in generic::table() {
        // Near the table's, so that only the name is odd.
        let own = 1.07 * row.conductivity;
        let text = format!(
            "coldseam: 1\ntitle: Own\nmaterials: {{ {}: {{ conductivity: {1}, source: \"a test, document 1\" }} }}\n\
             environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}\n\
             extent: {{ x: [-100, 300], y: [0, 500] }}\nplan:\n  - {{ space: room, x: [-100, 0] }}\n  - {{ space: outside, x: [200, 300] }}\n  \
             - {{ fill: {0}, x: [0, 200], y: [0, 500] }}\n",
            row.name, own
        );
        let case = read(&text);
        assert_eq!(case.model.materials.len(), 1);
        assert_eq!(
            (case.model.materials[0].conductivity_x, case.model.materials[0].origin),
            (own, Origin::Own),
            "{}",
            row.name
        );
        let [warning] = case.warnings.as_slice() else { panic!("{}: {:?}", row.name, case.warnings) };
        assert_eq!(
            (warning.severity, case.sources.line_column(warning.place.unwrap()).0),
            (Severity::Warning, 3)
        );
        for part in [
            row.name.as_str(),
            &coldseam::material::four_digits(own),
            &coldseam::material::four_digits(row.conductivity),
            "the case's own is used",
        ] {
            assert!(warning.message.contains(part), "{}", warning.message);
        }
    }
}

/// A wall of 200 mm of λ 0.777 between 0.13 and 0.04 m²K/W over half a metre, by hand; the reviewer is told.
#[test]
fn a_taken_name_is_computed_with_and_shown_to_the_reviewer() {
    let text = "coldseam: 1\ntitle: Own\nmaterials: { softwood: { conductivity: 0.777, source: \"a test, document 1\" } }\n\
         environments: { room: { role: internal, temperature: 20 }, outside: { role: external, temperature: 0 } }\n\
         extent: { x: [-100, 300], y: [0, 500] }\nplan:\n  - { space: room, x: [-100, 0] }\n  - { space: outside, x: [200, 300] }\n  \
         - { fill: softwood, x: [0, 200], y: [0, 500] }\n";
    let outcome = solved(text);
    let by_hand = 0.5 / (0.13 + 0.2 / 0.777 + 0.04);
    assert!((outcome.l2d.unwrap().middle() - by_hand).abs() < 1e-9);
    let findings = review::review(&outcome, &Seal::None);
    let told = |finding: &&review::Finding| {
        finding.question == Question::Conductivities
            && finding.evidence.contains("not the generic material of this name")
    };
    assert_eq!(findings.iter().find(told).unwrap().verdict, Verdict::Look);
    assert!(
        coldseam::report::html::page(&outcome, &findings)
            .is_ok_and(|page| page.contains("not the generic one of this name"))
    );
}
