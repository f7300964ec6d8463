//! A dwelling's values flow into the cases of its junctions, and ψ must belong to the elements it is added
//! to.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use coldseam::case;
use coldseam::shipped::CASES;
use serde_json::Value;

use common::dice::Dice;

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

fn json(file: &Path) -> Value {
    let (code, text, errors) = run(file, &["--format", "json"]);
    assert_eq!(code, Some(0), "{errors}");
    serde_json::from_str(&text).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// A jamb: masonry with insulation, and a panel for the window. The names of its parameters and materials are
/// as wanted.
fn jamb(names: [&str; 4], [block, insulation]: [i64; 2], [masonry, board, window]: [f64; 3]) -> String {
    let [insulation_name, masonry_name, board_name, window_name] = names;
    format!(
        "coldseam: 1
title: jamb
cut: horizontal
parameters: {{ block: {block}, {insulation_name}: {insulation}, {window_name}: {window} }}
materials:
  {masonry_name}: {{ conductivity: {masonry}, source: test }}
  {board_name}: {{ conductivity: {board}, source: test }}
  panel: {{ conductivity: 0.07 / (1 / {window_name} - 0.17), source: test }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ x: [-200, 900], y: [-1000, 1000] }}
plan:
  - {{ space: room, x: [-200, 0] }}
  - {{ space: room, x: [0, 100], y: [0, 1000] }}
  - {{ space: outside, x: [100, 900] }}
  - {{ layers: [[{masonry_name}, block], [{board_name}, {insulation_name}]], along: +x, from: 0, y: [-1000, 0] }}
  - {{ fill: panel, x: [100, 170], y: [0, 1000] }}
psi:
  flanking:
    - {{ element: wall, section: {{ y: -1000 }}, internal: [-1000, 0] }}
    - {{ element: window, section: {{ y: 1000 }}, internal: [0, 1000] }}
"
    )
}

/// Random dwellings whose generator knows what matches. Where the names agree the dwelling's values are used,
/// joints counted, and ψ is that of a case written with them; where a name differs the U-values differ, and
/// both are named with both files.
#[test]
fn random_dwellings_match_or_say_what_does_not() {
    let folder = tempfile::tempdir().unwrap();
    let (house, case) = (folder.path().join("house.yaml"), folder.path().join("jamb.yaml"));
    let mut dice = Dice(2);
    for round in 0..28 {
        let (block, insulation) = (dice.between(150, 300), dice.between(60, 240));
        let masonry = dice.between(10, 60) as f64 / 100.0;
        let board = dice.between(20, 45) as f64 / 1000.0;
        let window = dice.between(70, 140) as f64 / 100.0;
        // The masonry's joints, a share of the area.
        let joints = dice.between(0, 2) as f64 / 25.0;
        let bridged = if joints > 0.0 {
            format!(", bridged_by: {{ material: mortar, fraction: {joints} }}")
        } else {
            String::new()
        };
        let kind = round % 7;
        let junction = match kind {
            4 => format!("set: {{ insulation: {} }}", insulation + 60),
            5 => format!("set: {{ insulation: {} }}, match: {{ wall: none }}", insulation + 60),
            _ => "reduction: 1".to_owned(),
        };
        let text = format!(
            "coldseam: 1
title: house
parameters: {{ block: {block}, insulation: {insulation}, window: {window} }}
materials:
  masonry: {{ conductivity: {masonry}, source: test }}
  board: {{ conductivity: {board}, source: test }}
  mortar: {{ conductivity: 0.9, source: test }}
build_ups:
  wall:
    layers:
      - {{ material: masonry, thickness: block{bridged} }}
      - {{ material: board, thickness: insulation, fixings: {{ number: 6, point_transmittance: 0.002 }} }}
dwelling:
  convention: internal
  elements:
    - {{ element: external walls, area: 80, build_up: wall }}
    - {{ element: windows, area: 15, u_value: window }}
  junctions:
    - {{ junction: jambs, length: 30, case: jamb.yaml, {junction} }}
"
        );
        fs::write(&house, text).unwrap();
        let used = match kind {
            5 => insulation + 60,
            _ => insulation,
        };
        // By ISO 6946 (combined method): what the masonry layer has of the total; an exception holds for the
        // whole wall.
        let (thick, rest) = (block as f64 * 1e-3, 0.17 + used as f64 * 1e-3 / board);
        let upper = 1.0 / ((1.0 - joints) / (rest + thick / masonry) + joints / (rest + thick / 0.9));
        let lower = rest + thick / ((1.0 - joints) * masonry + joints * 0.9);
        let total = f64::midpoint(upper, lower);
        let laid = thick / (total - rest);
        let names = match kind {
            1 => ["thickness", "masonry", "board", "window"],
            2 => ["insulation", "masonry", "foam", "window"],
            3 => ["insulation", "masonry", "board", "pane"],
            _ => ["insulation", "masonry", "board", "window"],
        };
        // What the case says where it is not replaced.
        let (own_insulation, own_board, own_window) = (insulation + 50, board + 0.02, window + 0.2);
        fs::write(&case, jamb(names, [200, own_insulation], [0.33, own_board, own_window])).unwrap();
        match kind {
            0 | 5 | 6 => {
                let document = json(&house);
                let junction = &document["junctions"][0];
                let expected =
                    common::solve_text(&jamb(names, [block, used], [laid, board, window])).psi[0].value;
                let psi = number(&junction["psi"]["value"]);
                assert!((psi - expected).abs() < 1e-6, "{psi} for {expected} in round {round}");
                assert!((number(&junction["loss"]["value"]) - 30.0 * psi).abs() < 1e-9);
                let wall = if kind == 5 { Value::Null } else { Value::from("external walls") };
                assert_eq!(
                    junction["counterparts"][0],
                    serde_json::json!({ "flanking": "wall", "element": wall })
                );
                assert_eq!(junction["counterparts"][1]["element"], "windows");
                let exceptions = junction["exceptions"].as_array().unwrap();
                assert_eq!(exceptions.len(), usize::from(kind == 5));
                let taken: Vec<&str> = junction["from_dwelling"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|taken| taken["name"].as_str().unwrap())
                    .collect();
                assert!(
                    taken.contains(&"window") && taken.contains(&"board") && taken.contains(&"masonry"),
                    "{taken:?}"
                );
                assert_eq!(taken.contains(&"insulation"), kind != 5, "{taken:?}");
                let (_, text, _) = run(&house, &[]);
                let exception = format!("exception: insulation={}", insulation + 60);
                assert_eq!(text.contains(&exception), kind == 5, "{text}");
            }
            _ => {
                let (code, _, errors) = run(&house, &[]);
                assert_eq!(code, Some(2), "kind {kind}: {errors}");
                let wall = |insulation: i64, board: f64| {
                    1.0 / (0.17 + thick / laid + insulation as f64 * 1e-3 / board)
                };
                let (own, other) = match kind {
                    1 => (wall(own_insulation, board), 1.0 / total),
                    2 => (wall(insulation, own_board), 1.0 / total),
                    3 => (own_window, window),
                    _ => (wall(insulation + 60, board), 1.0 / total),
                };
                for part in [
                    format!("{own:.4}"),
                    format!("{other:.4}"),
                    "jamb.yaml".to_owned(),
                    "house.yaml".to_owned(),
                ] {
                    assert!(errors.contains(&part), "kind {kind}: `{part}` in {errors}");
                }
            }
        }
    }
}

/// Every parameter and every material of every shipped case comes from a dwelling that has one of that name,
/// unless the junction sets it.
#[test]
fn every_parameter_and_material_flows() {
    let house = |blocks: &str| {
        let text = format!(
            "coldseam: 1\n{blocks}dwelling: {{ convention: internal, elements: [{{ element: a, area: 1, u_value: 1 }}] }}\n"
        );
        case::library_from_text("house", &text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"))
    };
    for shipped in CASES {
        let file = common::root(&format!("cases/{}.yaml", shipped.name));
        let alone = case::load(&file, &[]).unwrap();
        for (name, value) in &alone.parameters {
            let other = value + 1e-4 * value.abs().max(1.0);
            let library = house(&format!("parameters: {{ {name}: {other}, unknown_to_the_case: 3 }}\n"));
            let (case, taken) =
                case::load_for_dwelling(&file, &[], &library).unwrap_or_else(|rejected| panic!("{rejected}"));
            let set = case::load(&file, &[format!("{name}={other}")]).unwrap();
            assert_eq!(case.parameters, set.parameters, "{} {name}", shipped.name);
            assert_eq!(case.model.extent, set.model.extent);
            assert_eq!(taken.iter().map(|taken| taken.name.as_str()).collect::<Vec<_>>(), [name.as_str()]);
            let exception = [format!("{name}={value}")];
            let (case, taken) = case::load_for_dwelling(&file, &exception, &library).unwrap();
            assert_eq!(case.parameters, alone.parameters);
            assert!(taken.is_empty());
        }
        for material in &alone.model.materials {
            let is_own = shipped.text.contains(&format!("\n  {}:", material.name));
            if !is_own && coldseam::material::generic::find(&material.name).is_none() {
                continue;
            }
            let library = house(&format!(
                "materials: {{ {}: {{ conductivity: 0.0777, source: test }} }}\n",
                material.name
            ));
            let (case, taken) = case::load_for_dwelling(&file, &[], &library).unwrap();
            let own = case.model.materials.iter().find(|own| own.name == material.name).unwrap();
            assert_eq!(own.conductivity_x, 0.0777, "{} {}", shipped.name, material.name);
            assert_eq!(taken.len(), 1);
        }
    }
}

/// A build-up of the dwelling takes the place of the case's of that name.
#[test]
fn build_ups_flow_too() {
    let folder = tempfile::tempdir().unwrap();
    let (house, case) = (folder.path().join("house.yaml"), folder.path().join("corner.yaml"));
    let wall = |thickness: i64| {
        format!(
            "build_ups: {{ wall: {{ layers: [{{ material: aircrete_600, thickness: {thickness}, bridged_by: {{ material: softwood, fraction: 0.1 }} }}] }} }}\n"
        )
    };
    let text = "coldseam: 1
title: wall
WALLcut: horizontal
environments: { room: { role: internal, temperature: 20 }, outside: { role: external, temperature: 0 } }
extent: { x: [-100, 1000], y: [0, 1000] }
plan:
  - { space: room, x: [-100, 0] }
  - { space: outside, x: [0, 1000] }
  - { layers: { build_up: wall }, along: +x, from: 0, y: [0, 1000] }
psi: { flanking: [{ element: wall, section: { y: 0 }, internal: [0, 1000] }] }
";
    fs::write(&case, text.replace("WALL", &wall(300))).unwrap();
    let dwelling = "dwelling: { convention: internal, elements: [{ element: walls, area: 80, build_up: wall }], junctions: [{ junction: none, length: 1, case: corner.yaml }] }\n";
    fs::write(&house, format!("coldseam: 1\n{}{dwelling}", wall(400))).unwrap();
    let document = json(&house);
    assert_eq!(document["junctions"][0]["counterparts"][0]["element"], "walls");
    assert!(number(&document["junctions"][0]["psi"]["value"]).abs() < 1e-4, "an undisturbed wall has no ψ");
}

/// The shipped house with one thing changed that no longer fits.
#[test]
fn floors_and_windows_are_matched() {
    let folder = tempfile::tempdir().unwrap();
    for (file, from, to, expected) in [
        (
            "dwelling",
            "wall_thickness: 13 + block + insulation + 8",
            "wall_thickness: 500",
            "w 376 and 500 mm",
        ),
        ("dwelling", "ground: soil_sand", "ground: soil_clay", "λ of the ground"),
        ("plinth", "fill: soil_sand", "fill: soil_clay", "λ of the ground"),
        ("plinth", "[perimeter_board, floor_insulation]", "[perimeter_board, floor_insulation + 40]", "R_f"),
        ("dwelling", "floor: slab }", "floor: ground_with_edge }", "edge insulation"),
        ("dwelling", "window_u: 0.805", "window_u: 0.9", "`window` of window-sill.yaml has U 0.9000"),
        ("dwelling", "half_width: 3000", "slab: 150", "B' 8.00 m"),
        (
            "dwelling",
            "case: plinth.yaml",
            "case: plinth.yaml, match: { wall: roof }",
            "`roof` of dwelling.yaml",
        ),
        ("dwelling", "case: plinth.yaml", "case: plinth.yaml, match: { wall: rof }", "did you mean `roof`?"),
        (
            "dwelling",
            "case: plinth.yaml",
            "case: plinth.yaml, match: { wal: roof }",
            "no flanking element named `wal`",
        ),
        (
            "dwelling",
            "case: plinth.yaml",
            "case: plinth.yaml, reduction: 0.5",
            "b is 0.5 for the junction `plinth`",
        ),
        (
            "dwelling",
            "convention: internal, source",
            "convention: external, source",
            "external dimensions and the dwelling",
        ),
        ("dwelling", "convention: internal, source", "source", "does not say by which dimensions"),
        ("dwelling", "area: 52,", "area: 52, convention: external,", "external dimensions and the dwelling"),
        ("dwelling", "floor, area: 48,", "floor, area: 60,", "60 m² here, and the floor `slab` 48 m²"),
    ] {
        for name in [
            "build-ups",
            "dwelling",
            "plinth",
            "outer-corner",
            "intermediate-floor",
            "window-sill",
            "window-jamb",
            "window-head",
        ] {
            let text = fs::read_to_string(common::root(&format!("cases/{name}.yaml"))).unwrap();
            let changed = if name == file { text.replacen(from, to, 1) } else { text.clone() };
            assert!(name != file || changed != text, "{from}");
            fs::write(folder.path().join(format!("{name}.yaml")), changed).unwrap();
        }
        let (code, text, errors) = run(&folder.path().join("dwelling.yaml"), &[]);
        let is_warning = ["B' 8.00", "b is 0.5", "does not say", "60 m² here"]
            .iter()
            .any(|part| expected.starts_with(part));
        assert_eq!(code, Some(if is_warning { 0 } else { 2 }), "{to}: {errors}");
        assert!(errors.contains(expected) || text.contains(expected), "{to}: `{expected}` in {errors}{text}");
    }
}

/// A heated basement loses A·U_bf + z·P·U_bw (ISO 13370:2017): U 0.4965 and 1.1457 W/(m²K) by an independent
/// calculation for A 100 m², P 40 m, z 2.5 m, λ 2, w 0.3 m, nothing insulated.
#[test]
fn a_basement_counts_its_walls() {
    let folder = tempfile::tempdir().unwrap();
    let house = folder.path().join("house.yaml");
    let text = "coldseam: 1
floors: { cellar: { area: 100, perimeter: 40, wall_thickness: 300, ground: soil_sand, resistance: 0, basement: { depth: 2500, wall_resistance: 0 } } }
dwelling: { convention: internal, elements: [{ element: cellar, area: 100, floor: cellar }] }
";
    fs::write(&house, text).unwrap();
    let document = json(&house);
    let [floor, walls] = [0, 1].map(|index| document["elements"][index].clone());
    assert!(
        (number(&floor["u_value"]) - 0.4965).abs() < 6e-5
            && (number(&walls["u_value"]) - 1.1457).abs() < 6e-5
    );
    assert_eq!(number(&walls["area"]), 100.0);
    assert!((number(&document["transmission"]["value"]) - (49.65 + 114.57)).abs() < 0.02);
    assert!(run(&house, &[]).1.contains("cellar: basement walls"));
}

/// b is asked for where a junction leads to a space that is not heated, and comes from the temperatures of a
/// case: (20 − 8)/(20 − 0) = 0.6.
#[test]
fn b_comes_from_temperatures() {
    let folder = tempfile::tempdir().unwrap();
    let (house, case) = (folder.path().join("house.yaml"), folder.path().join("garage.yaml"));
    let text = "coldseam: 1
title: wall to the garage
environments:
  room: { role: internal, temperature: 20 }
  garage: { role: unheated, temperature: 8 }
  outside: { role: external, temperature: 0 }
extent: { x: [-200, 700], y: [0, 1000] }
plan:
  - { space: room, x: [-200, 0] }
  - { fill: aircrete_600, x: [0, 200], y: [0, 1000] }
  - { fill: concrete_2200, x: [0, 200], y: [450, 550] }
  - { space: garage, x: [200, 400] }
  - { fill: concrete_2200, x: [400, 500], y: [0, 1000] }
  - { space: outside, x: [500, 700] }
psi:
  between: [room, garage]
  flanking: [{ element: wall, section: { y: 0, x: [0, 200] }, internal: [0, 1000] }]
";
    fs::write(&case, text).unwrap();
    let write = |element: &str, junction: &str| {
        let text = format!(
            "coldseam: 1
dwelling:
  convention: internal
  elements: [{{ element: wall, area: 20, u_value: 0.73{element} }}]
  junctions: [{{ junction: pier, length: 3, case: garage.yaml, match: {{ wall: none }}{junction} }}]
"
        );
        fs::write(&house, text).unwrap();
    };
    write("", "");
    let (code, _, errors) = run(&house, &[]);
    assert_eq!(code, Some(2));
    assert!(errors.contains("towards `garage`") && errors.contains("b = 0.600"), "{errors}");
    for junction in [
        ", reduction: { space: garage }",
        ", reduction: {}",
        ", reduction: 0.6",
        ", reduction: { case: garage.yaml }",
    ] {
        write(", reduction: { case: garage.yaml, space: garage }", junction);
        let document = json(&house);
        let [element, junction] = [&document["elements"][0], &document["junctions"][0]];
        assert!(
            (number(&element["reduction"]) - 0.6).abs() < 1e-12
                && (number(&junction["reduction"]) - 0.6).abs() < 1e-12
        );
        assert!(
            (number(&junction["loss"]["value"]) - 0.6 * 3.0 * number(&junction["psi"]["value"])).abs()
                < 1e-12
        );
        assert!((number(&element["loss"]) - 0.6 * 20.0 * 0.73).abs() < 1e-12);
        assert!(run(&house, &[]).1.lines().filter(|line| line.contains("b = 0.6")).count() == 2);
    }
    for (junction, expected) in [
        (", reduction: { space: attic }", "no unheated environment named `attic`"),
        (", reduction: { space: outside }", "no unheated environment named `outside`"),
        (", reduction: { case: nowhere.yaml }", "nowhere.yaml cannot be used"),
        (", reduction: 1.5", "reduction must lie between 0 and 1, found 1.5"),
    ] {
        write("", junction);
        let (code, _, errors) = run(&house, &[]);
        assert_eq!(code, Some(2), "{junction}");
        assert!(errors.contains(expected), "{junction}: {errors}");
    }
    write(", reduction: { space: garage }", ", reduction: 0.6");
    assert!(run(&house, &[]).2.contains("names no case"));
}
