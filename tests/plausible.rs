//! Numbers that no element of a building has: refused at their line, or told, never a U-value in silence.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::element::{correction, ground, limits, resistance};

/// What is said of a file: of each finding the line and the words; notes beside U-values have no line.
struct Said {
    is_refused: bool,
    findings: Vec<(usize, String)>,
    notes: usize,
    /// Every U-value of the file.
    u_values: Vec<f64>,
}

fn said(text: &str) -> Said {
    let lines = |diagnostics: &[case::Diagnostic], sources: &case::Sources| {
        let of = |finding: &case::Diagnostic| {
            (sources.line_column(finding.place.unwrap()).0, finding.message.clone())
        };
        diagnostics.iter().map(of).collect()
    };
    match case::library_from_text("file", text, &[]) {
        Err(rejected) => {
            let findings = lines(&rejected.diagnostics, &rejected.sources);
            Said { is_refused: true, findings, notes: 0, u_values: Vec::new() }
        }
        Ok(library) => {
            let mut notes = 0;
            let mut u_values = Vec::new();
            for build_up in &library.build_ups {
                let total = resistance::total(build_up);
                let corrected = correction::corrected(build_up, &total);
                notes += limits::notes(build_up, &total, &corrected).len();
                u_values.push(corrected.u_value);
            }
            u_values.extend(library.floors.iter().map(|floor| ground::u_value(&floor.floor).u_value));
            u_values.extend(library.windows.iter().map(|window| window.window.u_value()));
            Said { is_refused: false, findings: lines(&library.warnings, &library.sources), notes, u_values }
        }
    }
}

const MATERIALS: &str = "coldseam: 1\nmaterials:\n  wool: { conductivity: 0.035, source: the test }\n";

/// A wall, its main layer as wanted, in line 8.
fn wall(layer: &str) -> String {
    format!(
        "{MATERIALS}build_ups:\n  wall:\n    layers:\n      - [plaster_gypsum, 13]\n      - {layer}\n      - [render, 8]\n"
    )
}

/// A file and the line of the number that is wrong.
fn nonsense() -> Vec<(String, usize)> {
    let mut files = Vec::new();
    let mut layers: Vec<String> = Vec::new();
    for thickness in ["-100", "0", "1e5", "50000", "1e-5", "0.0001", "0.14", ".nan", ".inf", "1/0", "-1e-9"] {
        layers.push(format!("{{ material: wool, thickness: {thickness} }}"));
    }
    let with = |rest: &str| format!("{{ material: wool, thickness: 140, {rest} }}");
    for [number, conductivity, section] in [
        ["-6", "17", "12.5"],
        ["0", "17", "12.5"],
        ["1e4", "17", "12.5"],
        ["6", "-17", "12.5"],
        ["6", "0", "12.5"],
        ["6", "5000", "12.5"],
        ["6", "17", "-12.5"],
        ["6", "17", "0"],
        ["6", "17", "1e5"],
        ["6", "17", "1.25e-5"],
        ["6", "17", "10000"],
        ["1000", "17", "2000"],
        ["100", "50", "10000"],
    ] {
        layers.push(with(&format!(
            "fixings: {{ number: {number}, conductivity: {conductivity}, cross_section: {section} }}"
        )));
    }
    for length in ["-10", "0", "0.1", "500", "10000", "1e5"] {
        layers.push(with(&format!(
            "fixings: {{ number: 6, conductivity: 17, cross_section: 12.5, length: {length} }}"
        )));
    }
    for transmittance in ["-0.1", "0", "100"] {
        layers.push(with(&format!("fixings: {{ number: 6, point_transmittance: {transmittance} }}")));
    }
    for pattern in [
        "fraction: -0.1",
        "fraction: 1.0001",
        "fraction: 12",
        "fraction: 1",
        "fraction: 0.7",
        "width: -45, spacing: 600",
        "width: 600, spacing: 45",
        "width: 45, spacing: 45",
        "width: 0.045, spacing: 0.6",
        "block: [-440, 215], joint: 10",
        "block: [440, 215], joint: 900",
        "block: [0.44, 0.215], joint: 10",
        "block: [440, 215], joint: -1",
    ] {
        layers.push(with(&format!("bridged_by: {{ material: softwood, {pattern} }}")));
    }
    for rest in [
        "air_gaps: -1",
        "air_gaps: 1.5",
        "air_gaps: 3",
        "rain: { precipitation: -3, drainage: 0.04 }",
        "rain: { precipitation: 700, drainage: 0.04 }",
        "rain: { precipitation: 3, drainage: 4 }",
    ] {
        layers.push(with(rest));
    }
    for air in [
        "air: -50",
        "air: 0",
        "air: 0.05",
        "air: 0.2",
        "air: 301",
        "air: 50, openings: -1",
        "air: 50, openings: 1e9",
        "air: 50, emissivity: 2",
    ] {
        layers.push(format!("{{ {air} }}"));
    }
    for given in ["resistance: -1", "resistance: 1e5", "resistance: 0, vapour_thickness: -3"] {
        layers.push(format!("{{ {given} }}"));
    }
    files.extend(layers.iter().map(|layer| (wall(layer), 8)));
    // The whole element tells: nothing says which number is wrong.
    for layer in ["{ resistance: 200 }", "{ material: wool, thickness: 9000 }"] {
        files.push((wall(layer), 6));
    }
    for conductivity in ["0", "-0.03", "1e-9", "0.00035", "1e4"] {
        files.push((wall("[wool, 140]").replace("0.035", conductivity), 3));
    }
    files.push((wall("[wool, 140]").replace("0.035", "35"), 8));
    for rest in [
        "density: 1e9",
        "heat_capacity: 0",
        "vapour_resistance: 0.5",
        "convert: { class: mineral_wool, moisture: [0, 1] }",
    ] {
        files.push((wall("[wool, 140]").replace("source", &format!("{rest}, source")), 3));
    }
    for film in ["inside: -0.13", "inside: 100", "outside: 13", "outside: 25", "inside: 1e9"] {
        files.push((format!("{MATERIALS}build_ups:\n  wall: {{ {film}, layers: [[wool, 140]] }}\n"), 5));
    }
    let floor = |area: &str, perimeter: &str, thick: &str, rest: &str| {
        let text = format!(
            "coldseam: 1\nfloors:\n  f: {{ area: {area}, perimeter: {perimeter}, wall_thickness: {thick}, ground: soil_clay, {rest} }}\n"
        );
        (text, 3)
    };
    for [area, perimeter, thick, rest] in [
        ["-50", "30", "300", "resistance: 2"],
        ["1e6", "30", "300", "resistance: 2"],
        ["50", "-30", "300", "resistance: 2"],
        ["50", "30000", "300", "resistance: 2"],
        ["50", "30", "-300", "resistance: 2"],
        ["50", "30", "0.3", "resistance: 2"],
        ["50", "30", "1e5", "resistance: 2"],
        ["50", "30", "300", "resistance: -1"],
        ["50", "30", "300", "resistance: 500"],
    ] {
        files.push(floor(area, perimeter, thick, rest));
    }
    let suspended = ["300", "1.5", "0.0015", "5", "0.05"];
    for (index, value) in [
        (0, "-300"),
        (0, "1e6"),
        (0, "0.3"),
        (1, "-1"),
        (1, "90"),
        (2, "1500"),
        (2, "1"),
        (3, "-1"),
        (3, "500"),
        (4, "0"),
        (4, "1"),
    ] {
        let mut values = suspended;
        values[index] = value;
        let [height, wall, openings, wind, shielding] = values;
        let rest = format!(
            "resistance: 2, suspended: {{ height: {height}, wall_u_value: {wall}, openings: {openings}, wind_speed: {wind}, shielding: {shielding} }}"
        );
        files.push(floor("50", "30", "300", &rest));
    }
    for (depth, walls) in [("-2500", "2"), ("2.5", "2"), ("1e6", "2"), ("2500", "-2")] {
        files.push(floor(
            "50",
            "30",
            "300",
            &format!("resistance: 2, basement: {{ depth: {depth}, wall_resistance: {walls} }}"),
        ));
    }
    let window = ["1230", "1480", "110", "1.3", "1.1", "0.08"];
    for (index, value) in [
        (0, "-1230"),
        (0, "1.23"),
        (1, "1e6"),
        (2, "0.11"),
        (2, "700"),
        (3, "0"),
        (3, "100"),
        (4, "-1"),
        (4, "50"),
        (5, "-10"),
        (5, "10"),
        (5, "-0.5"),
    ] {
        let mut values = window;
        values[index] = value;
        let [width, height, frame, of_frame, of_glazing, psi] = values;
        let text = format!(
            "coldseam: 1\nwindows:\n  w: {{ width: {width}, height: {height}, frame_width: {frame}, frame_u_value: {of_frame}, glazing_u_value: {of_glazing}, edge_psi: {psi} }}\n"
        );
        files.push((text, 3));
    }
    for parts in [
        "frame: [], glazing: [], edges: []",
        "frame: [[0.3, 1.5]], glazing: [[1.2, 1.1]], edges: [[6, -1]]",
        "frame: [[0.3, 1.5]], glazing: [[1.2, 1.1]], edges: [[100000, 0.04]]",
        "frame: [[-0.3, 1.5]], glazing: [[1.2, 1.1]], edges: [[6, 0.04]]",
        "frame: [[0.3, 150]], glazing: [[1.2, 1.1]], edges: [[6, 0.04]]",
    ] {
        files.push((format!("coldseam: 1\nwindows:\n  w: {{ {parts} }}\n"), 3));
    }
    files
}

#[test]
fn no_nonsense_passes_in_silence() {
    let files = nonsense();
    assert!(files.len() > 110, "{}", files.len());
    let mut refused = 0;
    for (text, line) in &files {
        let said = said(text);
        refused += usize::from(said.is_refused);
        assert!(
            said.findings.iter().any(|(at, _)| at == line),
            "nothing at line {line}: {:?}\n{text}",
            said.findings
        );
        assert!(said.u_values.iter().all(|u| u.is_finite() && *u > 0.0), "{:?}\n{text}", said.u_values);
    }
    assert!(refused > 80, "{refused}");
}

/// Corrections that outweigh U are told beside it, without a line: which number is wrong cannot be known.
#[test]
fn corrections_without_measure_are_told_beside_u() {
    for fixings in [
        "number: 1000, conductivity: 17, cross_section: 12.5",
        "number: 6, conductivity: 380, cross_section: 200",
        "number: 6, point_transmittance: 0.5",
    ] {
        let said = said(&wall(&format!("{{ material: wool, thickness: 140, fixings: {{ {fixings} }} }}")));
        assert!(!said.is_refused && said.notes > 0, "{fixings}");
    }
}

/// What buildings have passes without a word: the shipped build-ups, thin and thick, metal and foil.
#[test]
fn what_buildings_have_is_not_asked_about() {
    let shipped = said(coldseam::shipped::find("build-ups").unwrap().text);
    assert!(!shipped.is_refused && shipped.findings.is_empty(), "{:?}", shipped.findings);
    for layer in [
        "[wool, 600]",
        "[aluminium, 0.05]",
        "[steel, 12]",
        "{ material: wool, thickness: 8 }",
        "{ air: 1 }",
        "{ resistance: 0, vapour_thickness: 0.02 }",
        "{ material: wool, thickness: 140, bridged_by: { material: softwood, width: 45, spacing: 400 } }",
        "{ material: wool, thickness: 140, bridged_by: { material: steel, width: 0.6, spacing: 600 } }",
        "{ material: wool, thickness: 140, bridged_by: { material: render, block: [240, 71], joint: [12, 10] } }",
        "{ material: wool, thickness: 140, fixings: { number: 8, conductivity: 50, cross_section: 50, length: 80 } }",
    ] {
        let said = said(&wall(layer));
        assert!(!said.is_refused && said.findings.is_empty(), "{layer}: {:?}", said.findings);
    }
    // The bare sheet of a hall and a single pane.
    for element in ["[[steel, 0.75]]", "[[glass, 4]]"] {
        let said = said(&format!("coldseam: 1\nbuild_ups:\n  sheet: {{ layers: {element} }}\n"));
        assert!(!said.is_refused && said.findings.is_empty(), "{element}: {:?}", said.findings);
    }
    let floor = said(
        "coldseam: 1\nfloors:\n  f: { area: 50, perimeter: 20, wall_thickness: 900, ground: soil_clay, resistance: 12 }\n",
    );
    assert!(!floor.is_refused && floor.findings.is_empty(), "{:?}", floor.findings);
    let door = said("coldseam: 1\nwindows:\n  w: { frame: [[0.3, 7]], glazing: [[1.2, 5.7]], edges: [] }\n");
    assert!(!door.is_refused && door.findings.is_empty(), "{:?}", door.findings);
}
