//! Air cavities in plans and frames of windows.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::element::build_up::HeatFlow;
use coldseam::material::cavity;
use coldseam::result::Outcome;

mod common;

/// A wall 1 m high of 100 mm aircrete, a cavity of 25 mm and 100 mm aircrete, or the same as a floor or roof, with the room on the first side.
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

/// In one dimension the mean temperature and the difference follow from the resistances: the settled state must be consistent with them.
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
        let again = cavity::conductivity(&outcome.case.cavities[0].cavity, &settled.state);
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
    let (up, level, down) = (of("y", true, "vertical"), of("x", true, "vertical"), of("y", false, "vertical"));
    assert_eq!([up.0, level.0, down.0], [HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down]);
    assert!(up.1 > level.1 && level.1 > down.1);
    assert_eq!(of("y", true, "horizontal").0, HeatFlow::Horizontal);
}

/// What later shapes leave of a cavity counts: an L becomes the rectangle of its area and its bounding box's ratio.
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
    assert!((state.depth * state.width - 600e-6).abs() < 1e-15 && (state.depth / state.width - 2.0).abs() < 1e-12, "{state:?}");
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
    let notes =
        common::solve_text(&text.replace("conductivity: 0.035", "conductivity: 0.04").replace("frame + 190", "frame + 100"))
            .notes;
    assert_eq!(notes.len(), 2, "{notes:?}");
}
