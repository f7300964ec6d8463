//! Air cavities in plans and frames of windows.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::material::cavity;
use coldseam::result::Outcome;
use coldseam::standard::HeatFlow;

mod common;

/// A wall 1 m high of 100 mm aircrete, a cavity of 25 mm and 100 mm aircrete, or the same as a floor or roof,
/// with the room on the first side.
fn leaves(kind: &str, axis: &str, room_first: bool, cut: &str) -> Outcome {
    let across = if axis == "x" { "y" } else { "x" };
    let sides = if room_first { ["room", "outside"] } else { ["outside", "room"] };
    common::solve_text(&format!(
        "coldseam: 1
title: leaves
cut: {cut}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ {axis}: [-100, 325], {across}: [0, 1000] }}
plan:
  - {{ space: {}, {axis}: [-100, 0] }}
  - {{ space: {}, {axis}: [225, 325] }}
  - {{ layers: [[aircrete_600, 100], [aircrete_600, 25], [aircrete_600, 100]], along: +{axis}, from: 0, {across}: [0, 1000] }}
  - {{ cavity: {kind}, {axis}: [100, 125], {across}: [0, 1000] }}
psi: {{ flanking: [{{ element: leaves, section: {{ {across}: 500 }}, internal: [0, 1000] }}] }}
",
        sides[0], sides[1]
    ))
}

/// In one dimension the mean temperature and the difference follow from the resistances: the settled state
/// must be consistent with them.
#[test]
fn a_plane_cavity_settles_on_its_own_temperatures() {
    for kind in ["building", "frame"] {
        let outcome = leaves(kind, "x", true, "vertical");
        let settled = outcome.cavities[0];
        let (inner, own) = (0.13 + 0.1 / 0.15, 0.025 / settled.conductivity);
        let total = inner + own + 0.1 / 0.15 + 0.04;
        let at = |resistance: f64| 20.0 - 20.0 * resistance / total;
        assert!((settled.state.difference - (at(inner) - at(inner + own))).abs() < 2e-3, "{settled:?}");
        assert!((settled.state.mean_temperature - at(inner + own / 2.0)).abs() < 2e-3, "{settled:?}");
        assert!((settled.state.depth - 0.025).abs() < 1e-12 && (settled.state.width - 1.0).abs() < 1e-12);
        let again = cavity::conductivity(&outcome.case.model.cavities[0].cavity, &settled.state);
        assert!((again / settled.conductivity - 1.0).abs() < 1e-12);
        assert!((outcome.elements[0].u_value * total - 1.0).abs() < 1e-12);
        assert!(outcome.psi[0].value.abs() < 1e-6);
    }
}

/// Upward flow convects most, downward least (ISO 6946); in a plan seen from above all flow is horizontal.
#[test]
fn the_direction_of_heat_flow_is_seen() {
    let of = |axis, room_first, cut| {
        let outcome = leaves("building", axis, room_first, cut);
        (outcome.cavities[0].state.heat_flow, outcome.cavities[0].conductivity)
    };
    let (up, level, down) =
        (of("y", true, "vertical"), of("x", true, "vertical"), of("y", false, "vertical"));
    assert_eq!([up.0, level.0, down.0], [HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down]);
    assert!(up.1 > level.1 && level.1 > down.1);
    assert_eq!(of("y", true, "horizontal").0, HeatFlow::Horizontal);
}

/// What later shapes leave of a cavity counts: an L becomes the rectangle of its area and its bounding box's
/// ratio.
#[test]
fn the_size_is_that_of_what_can_be_seen() {
    let text = "coldseam: 1
title: an L
environments: { room: { role: internal, temperature: 20 }, outside: { role: external, temperature: 0 } }
extent: { x: [-50, 110], y: [0, 60] }
plan:
  - { space: room, x: [-50, 0] }
  - { space: outside, x: [60, 110] }
  - { fill: pvc, x: [0, 60], y: [0, 60] }
  - { cavity: frame, x: [10, 50], y: [10, 30], slit: 5 }
  - { fill: pvc, x: [30, 50], y: [20, 30] }
";
    let outcome = common::solve_text(text);
    let state = outcome.cavities[0].state;
    assert!(
        (state.depth * state.width - 600e-6).abs() < 1e-15 && (state.depth / state.width - 2.0).abs() < 1e-12,
        "{state:?}"
    );
    let closed = common::solve_text(&text.replace(", slit: 5", ""));
    assert!(closed.cavities[0].conductivity < 0.6 * outcome.cavities[0].conductivity);
}

/// Rigid hollow profiles of three chambers without steel have U_f of 1.1 to 1.6 (common practice, no source).
#[test]
fn the_shipped_frame_lies_where_such_frames_lie() {
    let outcome = common::solve_shipped("window-frame", &[]);
    let u = outcome.frame_u.unwrap();
    assert!(1.1 < u.lower() && u.upper() < 1.6, "{u}");
    assert!(u.half_width() <= 5.5e-4);
    assert!(outcome.notes.is_empty(), "{:?}", outcome.notes);
    let [flow, panel] = [outcome.l2d.unwrap().middle(), outcome.elements[0].u_value * 0.19];
    assert!((u.middle() - (flow - panel) / 0.08).abs() < 1e-12);
    // A panel of another conductivity, and a short one, are remarked.
    let text = coldseam::shipped::find("window-frame").unwrap().text;
    let notes = common::solve_text(
        &text.replace("conductivity: 0.035", "conductivity: 0.04").replace("frame + 190", "frame + 100"),
    )
    .notes;
    assert_eq!(notes.len(), 2, "{notes:?}");
}

/// ISO 6946:2017, Table 8, unventilated layers between surfaces of high emissivity: mm; R up, horizontal,
/// down.
const AIR_LAYERS: [(f64, [f64; 3]); 8] = include!("published/air-layers.txt");

/// A long gap of a plan, level or upright, is the standard's air layer, and that of a build-up painted in its
/// place.
#[test]
fn long_gaps_are_the_air_layers_of_the_table() {
    for (thickness, printed) in AIR_LAYERS {
        let far = 100.0 + thickness;
        for ((axis, across, room_first, heat_flow), printed) in
            [("y", "x", true, "up"), ("x", "y", true, "horizontal"), ("y", "x", false, "down")]
                .into_iter()
                .zip(printed)
        {
            let sides = if room_first { ["room", "outside"] } else { ["outside", "room"] };
            let (along, from) = if room_first { ("+", 0.0) } else { ("-", far + 100.0) };
            let text = |last: &str| {
                format!(
                    "coldseam: 1
title: a gap
environments: {{ room: {{ role: internal, temperature: 13 }}, outside: {{ role: external, temperature: 7 }} }}
build_ups:
  element: {{ heat_flow: {heat_flow}, layers: [[aircrete_600, 100], {{ air: {thickness} }}, [aircrete_600, 100]] }}
extent: {{ {axis}: [-100, {}], {across}: [0, 4000] }}
plan:
  - {{ space: {}, {axis}: [-100, 0] }}
  - {{ space: {}, {axis}: [{}, {}] }}
  - {{ layers: {{ build_up: element }}, along: {along}{axis}, from: {from}, {across}: [0, 4000] }}
{last}
psi: {{ flanking: [{{ element: leaves, section: {{ {across}: 2000 }}, internal: [0, 4000] }}] }}
",
                    far + 200.0,
                    sides[0],
                    sides[1],
                    far + 100.0,
                    far + 200.0
                )
            };
            let painted = common::solve_text(&text(""));
            let cavity = common::solve_text(&text(&format!(
                "  - {{ cavity: building, {axis}: [100, {far}], {across}: [0, 4000] }}"
            )));
            let resistance = thickness * 1e-3 / cavity.cavities[0].conductivity;
            assert!(
                (resistance - printed).abs() < 0.0056,
                "{thickness} mm {heat_flow}: {resistance} for {printed}"
            );
            assert_eq!(cavity.cavities[0].state.heat_flow.word(), heat_flow);
            // Both are one layer but for 4σT³ at 10 °C, 5.15, which the standard rounds to 5.1: 0.6 % of h_a
            // + h_r at most.
            let layer =
                |outcome: &Outcome| outcome.elements[0].section.as_ref().unwrap().layers[1].resistance;
            assert!(
                (layer(&painted) / layer(&cavity) - 1.0).abs() < 0.01,
                "{} {}",
                layer(&painted),
                layer(&cavity)
            );
            assert!(painted.warnings.is_empty(), "{:?}", painted.warnings);
        }
    }
}

/// Voids of building parts beyond 300 mm along the heat flow are remarked, whatever lies round them; frames
/// have no such limit.
#[test]
fn voids_thicker_than_an_air_layer_are_remarked() {
    for (kind, thickness, expected) in [
        ("building", 300, 0),
        ("building", 301, 1),
        ("building", 900, 1),
        ("frame", 400, 0),
        ("building", 25, 0),
    ] {
        for axis in ["x", "y"] {
            let across = if axis == "x" { "y" } else { "x" };
            let outcome = common::solve_text(&format!(
                "coldseam: 1
title: a void
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ {axis}: [-100, 1400], {across}: [0, 2000] }}
plan:
  - {{ space: room, {axis}: [-100, 0] }}
  - {{ space: outside, {axis}: [1200, 1400] }}
  - {{ fill: aircrete_600, {axis}: [0, 1200], {across}: [0, 2000] }}
  - {{ cavity: {kind}, {axis}: [100, {}], {across}: [0, 2000] }}
",
                100 + thickness
            ));
            let remarks =
                outcome.notes.iter().filter(|note| note.contains("along the heat flow: ISO 6946")).count();
            assert_eq!(remarks, expected, "{kind} {thickness} {axis}: {:?}", outcome.notes);
        }
    }
}

/// What an opening makes of a cavity: nothing, twice the conductivity, or no cavity. ISO 10077-2 for frames
/// (2 and 10 mm, from memory), ISO 6946 for building parts (500 and 1500 mm² a metre). To either environment,
/// on any side, in one stroke or two.
#[test]
fn air_that_is_open_is_told() {
    for (kind, width, word, factor) in [
        ("frame", 0.0, "", 1.0),
        ("frame", 1.0, "", 1.0),
        ("frame", 2.0, "", 1.0),
        ("frame", 2.5, "slightly ventilated, with twice", 2.0),
        ("frame", 10.0, "slightly ventilated, with twice", 2.0),
        ("frame", 12.0, "its air is that of the space", 2.0),
        ("building", 0.5, "", 1.0),
        ("building", 1.0, "it is slightly ventilated", 1.0),
        ("building", 1.5, "its air is that of the space", 1.0),
        ("building", 30.0, "its air is that of the space", 1.0),
    ] {
        for (axis, across) in [("x", "y"), ("y", "x")] {
            for (from, to, name, strokes) in
                [(0.0, 20.0, "room", 1), (80.0, 100.0, "outside", 1), (80.0, 100.0, "outside", 2)]
            {
                let part = width / f64::from(strokes);
                let mut slit = String::new();
                for stroke in (0..strokes).filter(|_| width > 0.0) {
                    let [start, end] = [stroke, stroke + 1].map(|number| 50.0 + f64::from(number) * part);
                    slit += &format!(
                        "  - {{ cavity: {kind}, {axis}: [{from}, {to}], {across}: [{start}, {end}] }}\n"
                    );
                }
                let outcome = common::solve_text(&format!(
                    "coldseam: 1
title: an opened box
cut: horizontal
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ {axis}: [-100, 200], {across}: [0, 100] }}
plan:
  - {{ space: room, {axis}: [-100, 0] }}
  - {{ space: outside, {axis}: [100, 200] }}
  - {{ fill: pvc, {axis}: [0, 100], {across}: [0, 100] }}
  - {{ cavity: {kind}, {axis}: [20, 80], {across}: [20, 90] }}
{slit}"
                ));
                let told: Vec<_> =
                    outcome.all_warnings().filter(|warning| warning.message.contains("is open to")).collect();
                let context = format!("{kind} {width} {axis} {name}: {told:?}");
                assert_eq!(told.len(), usize::from(!word.is_empty()), "{context}");
                assert!(
                    told.iter().all(|told| told.message.contains(word) && told.message.contains(name)),
                    "{context}"
                );
                let chamber =
                    outcome.cavities.iter().max_by(|a, b| a.state.width.total_cmp(&b.state.width)).unwrap();
                let closed =
                    cavity::Cavity { slit: 0.0, ..outcome.case.model.cavities[chamber.cavity].cavity };
                let ratio = chamber.conductivity / cavity::conductivity(&closed, &chamber.state);
                assert!((ratio - factor).abs() < 1e-9, "{context}: {ratio}");
            }
        }
    }
}
