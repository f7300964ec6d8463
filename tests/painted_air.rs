//! Build-ups painted into plans: one direction of heat flow for their air layers, their surfaces and the
//! plan.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::result::Outcome;

mod common;

/// A build-up of two boards and an air layer in a plan of one dimension. `along` is the axis and sense from
/// inside to outside.
fn solved(stated: &str, along: &str, cut: &str, outside: f64, air: &str) -> Outcome {
    let (axis, across) = if along.ends_with('x') { ("x", "y") } else { ("y", "x") };
    let [inner, outer] =
        if along.starts_with('+') { ["[-300, 0]", "[90, 300]"] } else { ["[0, 300]", "[-300, -90]"] };
    common::solve_text(&format!(
        "coldseam: 1
title: a painted build-up
cut: {cut}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: {outside} }} }}
build_ups:
  element: {{ heat_flow: {stated}, layers: [[aircrete_600, 20], {{ air: 50{air} }}, [aircrete_600, 20]] }}
extent: {{ {axis}: [-300, 300], {across}: [0, 1000] }}
plan:
  - {{ space: room, {axis}: {inner} }}
  - {{ space: outside, {axis}: {outer} }}
  - {{ layers: {{ build_up: element }}, along: {along}, from: 0, {across}: [0, 1000] }}
psi: {{ flanking: [{{ element: element, section: {{ {across}: 500 }}, internal: [0, 1000] }}] }}
"
    ))
}

fn warnings(outcome: &Outcome, word: &str) -> usize {
    outcome.all_warnings().filter(|warning| warning.message.contains(word)).count()
}

/// Surface resistance (ISO 6946:2017, Table 7) and h_a of a 50 mm layer by direction, by hand: downwards
/// 0.12·d^−0.44 is 0.448, less than 0.025/d.
const DIRECTIONS: [(&str, f64, f64); 3] =
    [("horizontal", 0.13, 1.25), ("up", 0.10, 1.95), ("down", 0.17, 0.5)];

#[test]
fn a_direction_other_than_the_plans_is_said_and_the_same_gives_one_u_value() {
    for (along, cut, real) in [
        ("+y", "vertical", "up"),
        ("-y", "vertical", "down"),
        ("+x", "vertical", "horizontal"),
        ("-x", "vertical", "horizontal"),
        ("+y", "horizontal", "horizontal"),
        ("-y", "horizontal", "horizontal"),
    ] {
        for (stated, surface, convection) in DIRECTIONS {
            let outcome = solved(stated, along, cut, 12.0, "");
            assert_eq!(
                warnings(&outcome, "which is computed with heat flow"),
                usize::from(stated != real),
                "{along} {cut} {stated}"
            );
            if stated == real {
                // Board, air between faces of emissivity 0.9, board; the layer's h_r0 is 5.1.
                let air = 1.0 / (convection + 5.1 / (2.0 / 0.9 - 1.0));
                let u = 1.0 / (surface + 2.0 * 0.02 / 0.15 + air + 0.04);
                assert!(
                    (outcome.elements[0].u_value / u - 1.0).abs() < 1e-4,
                    "{along}: {} for {u}",
                    outcome.elements[0].u_value
                );
            }
        }
    }
}

/// Colder inside than outside, heat flows the other way.
#[test]
fn the_direction_is_that_of_the_solution() {
    for (along, real) in [("+y", "down"), ("-y", "up"), ("+x", "horizontal")] {
        for (stated, ..) in DIRECTIONS {
            let outcome = solved(stated, along, "vertical", 28.0, "");
            assert_eq!(
                warnings(&outcome, "which is computed with heat flow"),
                usize::from(stated != real),
                "{along} {stated}"
            );
        }
    }
}

/// The constants of an air layer hold up to 5 K across it: beyond, the plan says so. The difference follows
/// from the resistances by hand.
#[test]
fn a_large_difference_across_an_air_layer_is_said() {
    for (air, exchange) in
        [("", 1.0 / (2.0 / 0.9 - 1.0)), (", emissivity: 0.05", 1.0 / (1.0 / 0.05 + 1.0 / 0.9 - 1.0))]
    {
        let layer = 1.0 / (1.25 + 5.1 * exchange);
        let share = layer / (0.13 + 2.0 * 0.02 / 0.15 + layer + 0.04);
        for (difference, expected) in [(4.8, 0), (5.2, 1)] {
            let outcome = solved("horizontal", "+x", "vertical", 20.0 - difference / share, air);
            assert_eq!(warnings(&outcome, "K across it"), expected, "{difference} K{air}");
        }
    }
}
