//! The direction of heat flow at level surfaces (ISO 6946:2017, Table 7: 0.13 horizontal, 0.10 up, 0.17 down;
//! 0.04 outside), against closed forms of layered constructions and an independent solver with directions of
//! its own.

#![allow(clippy::unwrap_used, clippy::float_cmp)] // a failed unwrap is a failed test; resistances are copied, not computed

use std::fmt::Write;

use coldseam::case;
use coldseam::grid::lines::Fineness;
use coldseam::plan::level::Told;
use coldseam::report::document::solve::Solve;
use coldseam::result::{Outcome, compute_on};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};

mod common;

use common::solve_text;

/// A resistance of the standard by a direction told by hand.
fn internal(direction: &str) -> f64 {
    match direction {
        "up" => 0.10,
        "down" => 0.17,
        _ => 0.13,
    }
}

/// Environment, side, direction and how it was told, from below.
fn told(outcome: &Outcome) -> Vec<(String, &'static str, &'static str, Told)> {
    let name = |index: usize| outcome.case.model.environments[index].name.clone();
    outcome
        .plan
        .level
        .runs
        .iter()
        .map(|run| (name(run.environment.index()), run.side(), run.heat_flow.word(), run.told))
        .collect()
}

fn run(outcome: &Outcome, environment: &str, side: &str) -> (&'static str, Told) {
    let found = told(outcome).into_iter().find(|(name, own, ..)| name == environment && *own == side);
    found.map(|(.., direction, told)| (direction, told)).unwrap()
}

/// A ceiling of 60 mm (λ 0.04) on 200 mm (λ 2) over a cellar, running into the wall.
fn cellar(temperature: f64, more: &str) -> Outcome {
    solve_text(&format!(
        "coldseam: 1
title: Ceiling over a cellar
materials: {{ wall: {{ conductivity: 0.2, source: test }}, slab: {{ conductivity: 2, source: test }}, board: {{ conductivity: 0.04, source: test }} }}
environments:
  room: {{ role: internal, temperature: 20 }}
  cellar: {{ role: unheated, temperature: {temperature} }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ x: [-2000, 500], y: [-1500, 1500] }}
plan:
  - {{ space: outside }}
  - {{ fill: wall, x: [0, 365], y: [-1500, 1500] }}
  - {{ space: room, x: [-2000, 0], y: [0, 1500] }}
  - {{ space: cellar, x: [-2000, 0], y: [-1500, 0] }}
  - {{ fill: slab, x: [-2000, 100], y: [-260, -60] }}
  - {{ fill: board, x: [-2000, 0], y: [-60, 0] }}
psi:
  between: [room, cellar]
  flanking: [{{ element: ceiling, section: {{ x: -2000 }}, internal: [-2000, 0] }}]
{more}"
    ))
}

/// Before, U rose by 5.5 % from 10 to 10.1 °C: half way between 20 and 0 °C.
#[test]
fn a_warmer_cellar_does_not_change_the_ceiling() {
    let exact = 1.0 / (0.17 + 0.06 / 0.04 + 0.2 / 2.0 + 0.17);
    // The grid follows f_Rsi too, so that L2D agrees within its bracket only.
    let first = cellar(10.0, "");
    for temperature in [3.0, 9.9, 10.0, 10.1, 11.0, 17.0] {
        let outcome = cellar(temperature, "");
        assert!(
            (outcome.elements[0].u_value - exact).abs() < 1e-12,
            "{temperature} °C: U {}",
            outcome.elements[0].u_value
        );
        assert!(
            (outcome.l2d.unwrap().middle() - first.l2d.unwrap().middle()).abs() < 5e-4,
            "{temperature} °C"
        );
        assert_eq!(run(&outcome, "cellar", "ceiling"), ("down", Told::Solution), "{temperature} °C");
        assert_eq!(run(&outcome, "room", "floor"), ("down", Told::Certain), "{temperature} °C");
    }
}

/// In a cellar that its wall cools and a warm room heats through the ceiling only, a ceiling colder than the
/// air can be no other way round; where the cellar is the warmer one, heat goes up.
#[test]
fn a_cellar_warmer_than_the_room_heats_it() {
    let outcome = cellar(24.0, "");
    assert_eq!(run(&outcome, "cellar", "ceiling"), ("up", Told::Certain));
    assert_eq!(run(&outcome, "room", "floor"), ("up", Told::Solution));
    assert!((outcome.elements[0].u_value * (0.10 + 0.06 / 0.04 + 0.2 / 2.0 + 0.10) - 1.0).abs() < 1e-12);
}

/// Before, an attic's deck had 0.17 m²K/W (U 2.44), because 4 °C is less than the mean of 20 and −5 °C.
#[test]
fn heat_goes_up_through_the_deck_of_an_attic() {
    let outcome = solve_text(
        "coldseam: 1
title: Attic
materials: { wool: { conductivity: 0.04, source: test }, deck: { conductivity: 0.13, source: test } }
environments:
  room: { role: internal, temperature: 20 }
  attic: { role: unheated, temperature: 4 }
  outside: { role: external, temperature: -5 }
extent: { x: [0, 1000], y: [-500, 2500] }
plan:
  - { space: room, y: [-500, 0] }
  - { fill: wool, x: [0, 1000], y: [0, 200] }
  - { space: attic, y: [200, 2000] }
  - { fill: deck, x: [0, 1000], y: [2000, 2026] }
  - { space: outside, y: [2026, 2500] }
psi:
  between: [attic, outside]
  flanking: [{ element: deck, section: { x: 500, y: [1900, 2100] }, internal: [0, 1000] }]
",
    );
    assert_eq!(run(&outcome, "attic", "ceiling"), ("up", Told::Certain));
    assert!(
        (outcome.elements[0].u_value - 1.0 / (0.10 + 0.2 + 0.04)).abs() < 1e-12,
        "U {}",
        outcome.elements[0].u_value
    );
    assert!((outcome.l2d.unwrap().middle() - 1.0 / 0.34).abs() < 1e-9);
}

/// Before, the ground under the void had 0.10 m²K/W: L2D 1.656 between void and outside.
#[test]
fn heat_goes_down_into_the_ground_under_a_void() {
    let outcome = solve_text(
        "coldseam: 1
title: Void
environments:
  room: { role: internal, temperature: 20 }
  void: { role: unheated, temperature: 6 }
  outside: { role: external, temperature: -5 }
extent: { x: [-4000, 4000], y: [-4000, 1500] }
plan:
  - { space: outside }
  - { fill: soil_sand, x: [-4000, 4000], y: [-4000, 0] }
  - { fill: aircrete_600, x: [0, 365], y: [-1000, 1500] }
  - { space: void, x: [-4000, 0], y: [-500, 300] }
  - { fill: concrete_reinforced_1, x: [-4000, 0], y: [300, 480] }
  - { fill: eps, x: [-4000, 0], y: [480, 580] }
  - { space: room, x: [-4000, 0], y: [580, 1500] }
",
    );
    assert_eq!(run(&outcome, "void", "floor"), ("down", Told::Solution));
    assert_eq!(run(&outcome, "void", "ceiling"), ("down", Told::Solution));
    assert_eq!(run(&outcome, "room", "floor"), ("down", Told::Certain));
}

/// Before, an environment that touched nothing moved L2D from 1.205 to 1.162, and one at −20 °C outside took
/// part in f_Rsi.
#[test]
fn an_environment_that_touches_nothing_changes_no_digit() {
    let text = |unused: &str, shape: &str| {
        format!(
            "coldseam: 1
title: Eaves
environments:
  room: {{ role: internal, temperature: 20, humidity: 50 }}
{unused}  attic: {{ role: unheated, temperature: 9 }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ x: [-2000, 500], y: [-1500, 1500] }}
plan:
  - {{ space: outside }}
  - {{ fill: aircrete_600, x: [0, 365], y: [-1500, 1500] }}
  - {{ space: attic, x: [-2000, 0], y: [0, 1500] }}
  - {{ space: room, x: [-2000, 0], y: [-1500, 0] }}
  - {{ fill: concrete_reinforced_1, x: [-2000, 100], y: [0, 200] }}
  - {{ fill: eps, x: [-2000, 0], y: [200, 260] }}
{shape}psi:
  between: [room, attic]
  flanking: [{{ element: ceiling, section: {{ x: -2000 }}, internal: [-2000, 0] }}]
"
        )
    };
    let essence = |outcome: &Outcome| {
        let mut document = serde_json::to_value(Solve::of(outcome)).unwrap();
        for key in ["warnings", "heat_flow"] {
            document.as_object_mut().unwrap().remove(key);
        }
        let environments = document["environments"].as_array_mut().unwrap();
        environments.retain(|environment| environment["name"] != "elsewhere");
        if let Some(weights) = document["f_rsi"]["room"]["weights"].as_object_mut() {
            weights.remove("elsewhere");
        }
        document
    };
    let shape = "  - { space: attic, x: [-100, 0], y: [1000, 1500] }\n";
    let without = essence(&solve_text(&text("", shape)));
    for temperature in ["20", "-5", "-20", "9", "60"] {
        for role in ["unheated", "external", "internal"] {
            let unused = format!("  elsewhere: {{ role: {role}, temperature: {temperature} }}\n");
            assert_eq!(
                essence(&solve_text(&text(&unused, shape))),
                without,
                "{role} at {temperature} °C, not painted"
            );
            // Painted within the attic, where it meets no solid.
            let within = shape.replace("attic, x: [-100, 0]", "elsewhere, x: [-500, -400]");
            let inner = shape.replace("attic, x: [-100, 0]", "attic, x: [-500, -400]");
            let painted = essence(&solve_text(&text(&unused, &within)));
            assert_eq!(
                painted,
                essence(&solve_text(&text("", &inner))),
                "{role} at {temperature} °C, painted"
            );
        }
    }
}

#[test]
fn with_two_temperatures_an_unused_third_is_no_temperature() {
    let text = |unused: &str| {
        format!(
            "coldseam: 1
title: Floor
environments:
  room: {{ role: internal, temperature: 20 }}
  cellar: {{ role: unheated, temperature: 8 }}
{unused}extent: {{ x: [0, 1000], y: [-500, 500] }}
plan:
  - {{ space: room, y: [0, 500] }}
  - {{ space: cellar, y: [-500, 0] }}
  - {{ fill: aircrete_600, x: [0, 1000], y: [-100, 0] }}
psi: {{ flanking: [{{ element: floor, section: {{ x: 0 }}, internal: [0, 1000] }}] }}
"
        )
    };
    for unused in ["", "  outside: { role: external, temperature: -10 }\n"] {
        let outcome = solve_text(&text(unused));
        let exact = 1.0 / (0.17 + 0.1 / 0.15 + 0.17);
        let conductivity = outcome.case.model.materials[0].conductivity_y;
        let exact = if conductivity == 0.15 { exact } else { 1.0 / (0.34 + 0.1 / conductivity) };
        assert!((outcome.l2d.unwrap().middle() - exact).abs() < 1e-9);
        assert!(outcome.psi[0].value.abs() < 1e-9 && outcome.coupling.is_empty());
        assert_eq!(outcome.factors[0].external_temperature, 8.0);
    }
}

#[test]
fn a_case_may_state_the_direction() {
    let exact = |ceiling: f64| 1.0 / (0.17 + 0.06 / 0.04 + 0.2 / 2.0 + ceiling);
    for direction in ["up", "down", "horizontal"] {
        let outcome = cellar(10.0, &format!("surfaces: [{{ of: cellar, heat_flow: {direction} }}]\n"));
        assert_eq!(run(&outcome, "cellar", "ceiling"), (direction, Told::Stated));
        assert!((outcome.elements[0].u_value - exact(internal(direction))).abs() < 1e-12);
        let answers = coldseam::review::review(&outcome, &coldseam::review::Seal::None);
        let contradicted =
            answers.iter().any(|finding| finding.evidence.contains("is stated at the ceiling of cellar"));
        assert_eq!(contradicted, direction == "up");
        // Upright surfaces keep theirs.
        let edges = outcome.plan.edges();
        let upright = edges.iter().filter(|edge| edge.ends[0][0] == edge.ends[1][0]);
        assert!(upright.filter_map(|edge| outcome.surfaces.at(edge.id)).all(|film| film.resistance < 0.14));
    }
    // The later rule wins, whichever kind it is.
    let outcome =
        cellar(10.0, "surfaces: [{ of: cellar, resistance: 0.3 }, { of: cellar, heat_flow: up }]\n");
    assert!((outcome.elements[0].u_value - exact(0.10)).abs() < 1e-12);
    let outcome =
        cellar(10.0, "surfaces: [{ of: cellar, heat_flow: up }, { of: cellar, resistance: 0.3 }]\n");
    assert!((outcome.elements[0].u_value - exact(0.3)).abs() < 1e-12);
    assert!(outcome.plan.level.runs.iter().all(|run| run.told == Told::Certain));
    // Stated for one half, told for the other.
    let outcome = cellar(10.0, "surfaces: [{ of: cellar, heat_flow: up, x: [-2000, -1000] }]\n");
    let of_cellar: Vec<_> = told(&outcome)
        .into_iter()
        .filter(|(name, ..)| name == "cellar")
        .map(|(.., way, how)| (way, how))
        .collect();
    assert_eq!(of_cellar, [("up", Told::Stated), ("down", Told::Solution)]);
    assert!(outcome.warnings.is_empty());
    let outcome = cellar(10.0, "surfaces: [{ of: outside, heat_flow: up }]\n");
    assert!(outcome.warnings.iter().any(|warning| warning.message.contains("holds for no level surface")));
}

/// Two rooms of one temperature over each other, joined to warm air on the left and to cold air on the right:
/// what enters each of the slab's faces leaves it again.
#[test]
fn a_surface_without_net_flow_counts_as_horizontal() {
    let text = |left: f64, right: f64| {
        format!(
            "coldseam: 1
title: Slab between rooms of one temperature
materials: {{ slab: {{ conductivity: 1, source: test }} }}
environments:
  warm: {{ role: unheated, temperature: {left} }}
  below: {{ role: internal, temperature: 15 }}
  above: {{ role: internal, temperature: 15 }}
  cold: {{ role: external, temperature: {right} }}
extent: {{ x: [-1500, 1500], y: [-1000, 1000] }}
plan:
  - {{ space: below, y: [-1000, 0] }}
  - {{ space: above, y: [0, 1000] }}
  - {{ space: warm, x: [-1500, -1000] }}
  - {{ space: cold, x: [1000, 1500] }}
  - {{ fill: slab, x: [-1000, -800], y: [-1000, 1000] }}
  - {{ fill: slab, x: [800, 1000], y: [-1000, 1000] }}
  - {{ fill: slab, x: [-800, 800], y: [-100, 100] }}
surfaces: [{{ of: warm, resistance: 0.04 }}]
"
        )
    };
    let outcome = solve_text(&text(20.0, 10.0));
    for (room, side) in [("below", "ceiling"), ("above", "floor")] {
        assert_eq!(run(&outcome, room, side), ("horizontal", Told::Undecided));
    }
    assert!(common::summary(&outcome).contains("undecided, so taken as horizontal, R = 0.13 m²K/W"));
    // A little more cold and it is told.
    let outcome = solve_text(&text(20.0, 9.0));
    assert_eq!(run(&outcome, "below", "ceiling"), ("up", Told::Solution));
    assert_eq!(run(&outcome, "above", "floor"), ("down", Told::Solution));
    // Nothing flows at all between two rooms alike.
    let alone = solve_text(
        "coldseam: 1
title: Storeys
environments:
  top: { role: external, temperature: 0 }
  third: { role: internal, temperature: 15 }
  second: { role: internal, temperature: 15 }
  first: { role: internal, temperature: 20 }
extent: { x: [0, 1000], y: [0, 4000] }
plan:
  - { space: first, y: [0, 1000] }
  - { space: second, y: [1000, 2000] }
  - { space: third, y: [2000, 3000] }
  - { space: top, y: [3000, 4000] }
  - { fill: aircrete_600, x: [0, 1000], y: [900, 1000] }
  - { fill: aircrete_600, x: [0, 1000], y: [1900, 2000] }
  - { fill: aircrete_600, x: [0, 1000], y: [2900, 3000] }
",
    );
    let ways: Vec<_> = told(&alone).into_iter().map(|(.., way, how)| (way, how)).collect();
    let (up, none) = (("up", Told::Certain), ("horizontal", Told::Undecided));
    assert_eq!(ways, [up, up, none, none, up]);
}

/// Mirrored left to right all stays; upside down what went up goes down.
#[test]
fn mirrored_plans_have_mirrored_directions() {
    let plan = |sx: f64, sy: f64| {
        let area = |x0: f64, x1: f64, y0: f64, y1: f64| {
            let (x0, x1, y0, y1) = (sx * x0, sx * x1, sy * y0, sy * y1);
            format!("x: [{}, {}], y: [{}, {}]", x0.min(x1), x0.max(x1), y0.min(y1), y0.max(y1))
        };
        let mut text = String::from(
            "coldseam: 1\ntitle: mirrored\nmaterials: { a: { conductivity: 0.7, source: test } }\nenvironments:\n  hot: { role: internal, temperature: 24 }\n  \
             mild: { role: unheated, temperature: 13 }\n  cool: { role: unheated, temperature: 9 }\n  cold: { role: external, temperature: -2 }\n",
        );
        writeln!(text, "extent: {{ {} }}\nplan:", area(-1000.0, 1000.0, -1000.0, 1500.0)).unwrap();
        for (kind, name, [x0, x1, y0, y1]) in [
            ("space", "cold", [-1000.0, 1000.0, -1000.0, 1500.0]),
            ("fill", "a", [-1000.0, 200.0, -1000.0, 1500.0]),
            ("space", "hot", [-1000.0, -100.0, 200.0, 900.0]),
            ("space", "mild", [-1000.0, -50.0, -600.0, 0.0]),
            ("space", "cool", [-1000.0, 0.0, 1000.0, 1300.0]),
        ] {
            writeln!(text, "  - {{ {kind}: {name}, {} }}", area(x0, x1, y0, y1)).unwrap();
        }
        solve_text(&text)
    };
    let first = plan(1.0, 1.0);
    assert!(
        first.plan.level.runs.iter().filter(|run| run.told == Told::Solution).count() >= 3,
        "{:?}",
        told(&first)
    );
    let mirrored = plan(-1.0, 1.0);
    assert_eq!(told(&first), told(&mirrored));
    for (a, b) in first.heat_flows.iter().flatten().zip(mirrored.heat_flows.iter().flatten()) {
        assert!((a - b).abs() < 1e-6, "{a} and {b}");
    }
    let mut turned = told(&plan(1.0, -1.0));
    turned.reverse();
    for (one, other) in told(&first).iter().zip(&turned) {
        assert_eq!((&one.0, one.3), (&other.0, other.3));
        assert!(one.1 != other.1 && one.2 != other.2, "{one:?} and {other:?}");
    }
}

/// Rooms over each other with slabs between: resistances in series, and heat goes from the warmer to the
/// colder. Rooms may occur more than once, environments are defined in any order, and some are never painted.
#[test]
fn stacks_of_rooms_are_resistances_in_series() {
    let room = (0..3usize, 0..12u32);
    let slab = (1..40u32, -1.5..1.0f64);
    let strategy = (
        prop::collection::vec(room, 2..7),
        prop::collection::vec((0..6usize, slab), 2..8),
        any::<u64>(),
        0..3usize,
    );
    let mut runner = runner(150);
    let counted = std::cell::RefCell::new((0, 0));
    let outcome = runner.run(&strategy, |(rooms, storeys, order, unused)| {
        let roles = ["internal", "unheated", "external"];
        let rooms: Vec<(usize, f64)> = rooms.iter().map(|(role, step)| (*role, f64::from(*step) * 2.5 - 5.0)).collect();
        let storeys: Vec<(usize, f64, f64)> = storeys
            .iter()
            .map(|(room, (thickness, logarithm))| (room % rooms.len(), f64::from(*thickness) * 0.01, 10_f64.powf(*logarithm)))
            .collect();
        let painted: Vec<usize> = storeys.iter().map(|(room, ..)| *room).collect();
        let first = rooms[painted[0]].1;
        prop_assume!(painted.iter().any(|room| rooms[*room].1 != first));
        // Two storeys of one environment over each other are two spaces all the same.
        let mut definitions: Vec<String> = rooms
            .iter()
            .enumerate()
            .map(|(index, (role, temperature))| format!("  e{index}: {{ role: {}, temperature: {temperature} }}\n", roles[*role]))
            .chain((0..unused).map(|index| format!("  unused{index}: {{ role: {}, temperature: {} }}\n", roles[index], 40.0 - 35.0 * index as f64)))
            .collect();
        let mut state = order;
        for last in (1..definitions.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            definitions.swap(last, (state >> 33) as usize % (last + 1));
        }
        let (mut materials, mut plan, mut y) = (String::new(), String::new(), 0.0);
        let mut expected = vec![0.0; rooms.len()];
        let mut directions = Vec::new();
        for (number, window) in storeys.windows(2).enumerate() {
            let [(below, thickness, conductivity), (above, ..)] = [window[0], window[1]];
            writeln!(materials, "  m{number}: {{ conductivity: {conductivity:e}, source: test }}").unwrap();
            writeln!(plan, "  - {{ space: e{below}, y: [{}, {}] }}", y * 1e3, (y + 1.0) * 1e3).unwrap();
            writeln!(plan, "  - {{ fill: m{number}, x: [0, 500], y: [{}, {}] }}", (y + 1.0) * 1e3, (y + 1.0 + thickness) * 1e3).unwrap();
            y += 1.0 + thickness;
            let (from, to) = (rooms[below], rooms[above]);
            let direction = if from.1 > to.1 { "up" } else if from.1 < to.1 { "down" } else { "horizontal" };
            let film = |role: usize| if role == 2 { 0.04 } else { internal(direction) };
            let flow = 0.5 * (from.1 - to.1) / (film(from.0) + thickness / conductivity + film(to.0));
            expected[below] += flow;
            expected[above] -= flow;
            for (index, side) in [(below, "ceiling"), (above, "floor")] {
                if rooms[index].0 != 2 {
                    directions.push((format!("e{index}"), side, direction));
                }
            }
        }
        let (top, ..) = storeys[storeys.len() - 1];
        writeln!(plan, "  - {{ space: e{top}, y: [{}, {}] }}", y * 1e3, (y + 1.0) * 1e3).unwrap();
        let text = format!(
            "coldseam: 1\ntitle: stack\nmaterials:\n{materials}environments:\n{}extent: {{ x: [0, 500], y: [0, {}] }}\nplan:\n{plan}",
            definitions.concat(),
            (y + 1.0) * 1e3
        );
        let outcome = solve_text(&text);
        let found: Vec<_> = told(&outcome).into_iter().map(|(name, side, way, _)| (name, side, way)).collect();
        prop_assert_eq!(&found, &directions, "{}", text);
        counted.borrow_mut().1 += directions.iter().filter(|(.., way)| *way == "horizontal").count();
        counted.borrow_mut().0 += 1;
        for (index, expected) in expected.iter().enumerate() {
            let own = outcome.case.model.environments.iter().position(|environment| environment.name == format!("e{index}")).unwrap();
            let flow = outcome.heat_flows[own].unwrap();
            prop_assert!((flow - expected).abs() < 1e-6 * (1.0 + expected.abs()), "e{}: {} and {}\n{}", index, flow, expected, text);
        }
        Ok(())
    });
    let (solved, undecided) = *counted.borrow();
    outcome.unwrap_or_else(|fault| panic!("{fault}"));
    assert!(solved >= 150 && undecided > 20, "{solved} stacks, {undecided} undecided surfaces");
}

fn runner(cases: u32) -> TestRunner {
    TestRunner::new(Config {
        cases,
        rng_seed: RngSeed::Fixed(13),
        failure_persistence: None,
        max_shrink_iters: 0,
        ..Config::default()
    })
}

/// Cells of the plans that [`Independent`] solves, across and upwards.
const ACROSS: usize = 14;
const UPWARDS: usize = 16;
/// Their side, m.
const CELL: f64 = 0.1;

/// What stands in a cell: a solid with its conductivity, or an environment.
#[derive(Clone, Copy, PartialEq)]
enum Cell {
    Solid(f64),
    Air(usize),
}

/// Cell-centred finite volumes with a dense band, which shares nothing with the program: temperatures at the
/// middles of cells, harmonic means between them, half a cell and the surface resistance to the air.
struct Independent<'a> {
    cells: &'a [Cell],
    /// Temperature and whether it is outside.
    air: &'a [(f64, bool)],
    /// Parts that each cell is cut into along each axis.
    parts: usize,
}

/// A flat surface: height in cells, first and last column, environment, solid below.
#[derive(Clone, Debug, PartialEq)]
struct Flat {
    line: usize,
    from: usize,
    to: usize,
    air: usize,
    solid_is_lower: bool,
}

fn at(cells: &[Cell], i: usize, j: usize) -> Option<Cell> {
    (i < ACROSS && j < UPWARDS).then(|| cells[j * ACROSS + i])
}

/// The flat level surfaces towards rooms, from below, then from the left.
fn flats(cells: &[Cell], air: &[(f64, bool)]) -> Vec<Flat> {
    let mut flats: Vec<Flat> = Vec::new();
    for line in 1..UPWARDS {
        for i in 0..ACROSS {
            let (air_index, solid_is_lower) = match (at(cells, i, line - 1), at(cells, i, line)) {
                (Some(Cell::Solid(_)), Some(Cell::Air(index))) => (index, true),
                (Some(Cell::Air(index)), Some(Cell::Solid(_))) => (index, false),
                _ => continue,
            };
            if air[air_index].1 {
                continue;
            }
            match flats.last_mut() {
                Some(last)
                    if *last == (Flat { line, to: i, air: air_index, solid_is_lower, ..last.clone() }) =>
                {
                    last.to = i + 1;
                }
                _ => flats.push(Flat { line, from: i, to: i + 1, air: air_index, solid_is_lower }),
            }
        }
    }
    flats
}

impl Independent<'_> {
    /// Net flow out of the air through each flat surface, and through all surfaces of each environment, W/m.
    fn flows(&self, flats: &[Flat], directions: &[&str]) -> (Vec<f64>, Vec<f64>) {
        let (columns, rows) = (ACROSS * self.parts, UPWARDS * self.parts);
        let step = CELL / self.parts as f64;
        let cell = |i: usize, j: usize| self.cells[j / self.parts * ACROSS + i / self.parts];
        let resistance = |air: usize, is_level: bool, i: usize, line: usize| {
            let flat = |flat: &Flat| {
                flat.line * self.parts == line
                    && (flat.from * self.parts..flat.to * self.parts).contains(&i)
                    && flat.air == air
            };
            match (self.air[air].1, is_level) {
                (true, _) => 0.04,
                (false, false) => 0.13,
                (false, true) => internal(directions[flats.iter().position(flat).unwrap()]),
            }
        };
        // Lower band of the matrix, by rows: band[k] stands `columns − k` before the diagonal.
        let size = columns * rows;
        let mut band = vec![vec![0.0; columns + 1]; size];
        let mut right = vec![0.0; size];
        let mut films: Vec<(usize, usize, f64, Option<usize>)> = Vec::new();
        for j in 0..rows {
            for i in 0..columns {
                let own = j * columns + i;
                let Cell::Solid(conductivity) = cell(i, j) else {
                    band[own][columns] = 1.0;
                    continue;
                };
                let east = (i + 1 < columns).then(|| (i + 1, j, false, 0));
                let west = i.checked_sub(1).map(|west| (west, j, false, 0));
                let north = (j + 1 < rows).then(|| (i, j + 1, true, j + 1));
                let south = j.checked_sub(1).map(|south| (i, south, true, j));
                for (ni, nj, is_level, line) in [east, west, north, south].into_iter().flatten() {
                    match cell(ni, nj) {
                        Cell::Solid(other) => {
                            let conductance = 2.0 / (1.0 / conductivity + 1.0 / other);
                            let neighbour = nj * columns + ni;
                            band[own][columns] += conductance;
                            if neighbour < own {
                                band[own][columns - (own - neighbour)] -= conductance;
                            }
                        }
                        Cell::Air(air) => {
                            let conductance =
                                step / (resistance(air, is_level, i, line) + 0.5 * step / conductivity);
                            band[own][columns] += conductance;
                            right[own] += conductance * self.air[air].0;
                            let flat = |flat: &Flat| {
                                is_level
                                    && flat.line * self.parts == line
                                    && (flat.from * self.parts..flat.to * self.parts).contains(&i)
                                    && flat.air == air
                            };
                            films.push((own, air, conductance, flats.iter().position(flat)));
                        }
                    }
                }
            }
        }
        // Cholesky within the band.
        for row in 0..size {
            let first = row.saturating_sub(columns);
            for column in first..=row {
                let from = column.saturating_sub(columns).max(first);
                let product: f64 = (from..column)
                    .map(|k| band[row][columns - (row - k)] * band[column][columns - (column - k)])
                    .sum();
                let rest = band[row][columns - (row - column)] - product;
                band[row][columns - (row - column)] =
                    if row == column { rest.sqrt() } else { rest / band[column][columns] };
            }
        }
        for row in 0..size {
            let sum: f64 =
                (row.saturating_sub(columns)..row).map(|k| band[row][columns - (row - k)] * right[k]).sum();
            right[row] = (right[row] - sum) / band[row][columns];
        }
        for row in (0..size).rev() {
            let sum: f64 = (row + 1..(row + columns + 1).min(size))
                .map(|k| band[k][columns - (k - row)] * right[k])
                .sum();
            right[row] = (right[row] - sum) / band[row][columns];
        }
        let (mut of_flats, mut of_air) = (vec![0.0; flats.len()], vec![0.0; self.air.len()]);
        for (own, air, conductance, flat) in films {
            let flow = conductance * (self.air[air].0 - right[own]);
            of_air[air] += flow;
            if let Some(flat) = flat {
                of_flats[flat] += flow;
            }
        }
        (of_flats, of_air)
    }

    /// The same with directions told by hand: horizontal flow everywhere, then by the signs until these stay.
    fn settled(&self, flats: &[Flat]) -> Option<(Vec<&'static str>, Vec<f64>, Vec<f64>)> {
        let mut directions = vec!["horizontal"; flats.len()];
        for _ in 0..6 {
            let (of_flats, of_air) = self.flows(flats, &directions);
            let direction = |(flat, flow): (&Flat, &f64)| {
                if (*flow > 0.0) == flat.solid_is_lower { "down" } else { "up" }
            };
            let found: Vec<&str> = flats.iter().zip(&of_flats).map(direction).collect();
            if found == directions {
                return Some((directions, of_flats, of_air));
            }
            directions = found;
        }
        None
    }
}

/// A wall with rooms on both sides, cut into storeys by slabs that run into it; two to six environments of
/// any temperature and role, some of them unused, in any order.
#[test]
fn random_plans_have_the_directions_of_an_independent_solution() {
    let air = prop::collection::vec((0..3usize, -10..26i32), 2..7);
    let storey = (1..4usize, 1..4usize, -1.3..0.4f64, 0..6usize, 0..6usize);
    let strategy = (air, prop::collection::vec(storey, 3..6), 1..4usize, -1.3..0.4f64);
    let mut runner = runner(40);
    let counted = std::cell::RefCell::new((0, 0, 0));
    let outcome = runner.run(&strategy, |(air, storeys, wall, logarithm)| {
        let roles = ["internal", "unheated", "external"];
        let air: Vec<(usize, f64)> = air.iter().map(|(role, temperature)| (*role, f64::from(*temperature))).collect();
        let mut cells = vec![Cell::Solid(10_f64.powf(logarithm)); ACROSS * UPWARDS];
        let mut plan = format!("  - {{ fill: wall, x: [0, {}], y: [0, {}] }}\n", ACROSS * 100, UPWARDS * 100);
        let mut materials = format!("  wall: {{ conductivity: {:e}, source: test }}\n", 10_f64.powf(logarithm));
        let middle = ACROSS / 2;
        let mut y = 0;
        for (number, (height, slab, logarithm, left, right)) in storeys.iter().enumerate() {
            let (left, right) = (left % air.len(), right % air.len());
            let conductivity = 10_f64.powf(*logarithm);
            let (top, ceiling) = ((y + height).min(UPWARDS), (y + height + slab).min(UPWARDS));
            writeln!(materials, "  m{number}: {{ conductivity: {conductivity:e}, source: test }}").unwrap();
            let mut paint = |kind: &str, name: String, x: [usize; 2], y: [usize; 2], cell: Cell| {
                if x[0] < x[1] && y[0] < y[1] {
                    let [x0, x1, y0, y1] = [x[0], x[1], y[0], y[1]].map(|index| index * 100);
                    writeln!(plan, "  - {{ {kind}: {name}, x: [{x0}, {x1}], y: [{y0}, {y1}] }}").unwrap();
                    for j in y[0]..y[1] {
                        cells[j * ACROSS + x[0]..j * ACROSS + x[1]].fill(cell);
                    }
                }
            };
            paint("space", format!("e{left}"), [0, middle - wall], [y, top], Cell::Air(left));
            paint("space", format!("e{right}"), [middle + wall, ACROSS], [y, top], Cell::Air(right));
            paint("fill", format!("m{number}"), [0, ACROSS], [top, ceiling], Cell::Solid(conductivity));
            y = ceiling;
        }
        let used: Vec<f64> = (0..air.len()).filter(|index| cells.contains(&Cell::Air(*index))).map(|index| air[index].1).collect();
        prop_assume!(used.iter().any(|temperature| *temperature != used[0]));
        let definitions: String = air
            .iter()
            .enumerate()
            .map(|(index, (role, temperature))| format!("  e{index}: {{ role: {}, temperature: {temperature} }}\n", roles[*role]))
            .rev()
            .collect();
        let text = format!(
            "coldseam: 1\ntitle: random\nmaterials:\n{materials}environments:\n{definitions}extent: {{ x: [0, {}], y: [0, {}] }}\nplan:\n{plan}",
            ACROSS * 100,
            UPWARDS * 100
        );
        let own: Vec<(f64, bool)> = air.iter().map(|(role, temperature)| (*temperature, *role == 2)).collect();
        let flats = flats(&cells, &own);
        let coarse = Independent { cells: &cells, air: &own, parts: 1 };
        let fine = Independent { cells: &cells, air: &own, parts: 2 };
        let (Some(coarse), Some((directions, of_flats, of_air))) = (coarse.settled(&flats), fine.settled(&flats)) else { return Ok(()) };
        let outcome = solve_text(&text);
        let runs = &outcome.plan.level.runs;
        prop_assert_eq!(runs.len(), flats.len(), "{}", text);
        // Where both grids of the independent solution leave the sign open, so may the program; then nothing
        // can be compared.
        let largest = of_air.iter().map(|flow| flow.abs()).fold(0.0, f64::max);
        let doubtful = |index: &usize| {
            let change = (coarse.1[*index] - of_flats[*index]).abs();
            of_flats[*index].abs() < 2.0 * change + 1e-3 * largest
        };
        let mut differs = coarse.0 != directions;
        for index in 0..flats.len() {
            let same = runs[index].heat_flow.word() == directions[index];
            differs |= !same;
            prop_assert!(same || doubtful(&index), "{:?}: {:?}, not {}\n{}", flats[index], runs[index], directions[index], text);
            counted.borrow_mut().1 += usize::from(same && runs[index].told == Told::Solution);
        }
        counted.borrow_mut().0 += 1;
        if differs {
            return Ok(());
        }
        counted.borrow_mut().2 += 1;
        // Flows are compared on an even grid, since refinement looks at what the case asks for only.
        let even = compute_on(case::from_text("random", &text, &[]).unwrap(), Fineness::default().scaled(2.0)).unwrap();
        prop_assert_eq!(told(&even), told(&outcome));
        for index in 0..flats.len() {
            // Between first and second order at corners: what the step from 100 to 50 mm changes is more than
            // what is left.
            let change = (coarse.1[index] - of_flats[index]).abs();
            let flow = even.level_flows[index];
            let difference = (flow - of_flats[index]).abs();
            prop_assert!(difference < 1.5 * change + 0.005 * largest, "{:?}: {} and {}\n{}", flats[index], flow, of_flats[index], text);
        }
        Ok(())
    });
    outcome.unwrap_or_else(|fault| panic!("{fault}"));
    let (solved, by_solution, compared) = *counted.borrow();
    assert!(
        solved >= 25 && by_solution >= 60 && compared >= 20,
        "{solved} plans, {by_solution} directions, {compared} compared"
    );
}

/// A room whose floor is warm at one end and cold at the other, with such a temperature that the flow turns
/// with the resistance: whichever direction is taken, heat flows the other way.
#[test]
fn a_surface_that_turns_again_and_again_counts_as_horizontal() {
    // The same room with its direction stated, and what flows then.
    let room = |temperature: f64, stated: &str| {
        solve_text(&format!(
            "coldseam: 1
title: Warm and cold ends
materials: {{ good: {{ conductivity: 20, source: test }}, poor: {{ conductivity: 0.15, source: test }} }}
environments:
  room: {{ role: unheated, temperature: {temperature} }}
  warm: {{ role: external, temperature: 30 }}
  cold: {{ role: external, temperature: 0 }}
extent: {{ x: [0, 2000], y: [-400, 1000] }}
plan:
  - {{ space: cold, x: [0, 300], y: [-400, -200] }}
  - {{ space: warm, x: [300, 2000], y: [-400, -200] }}
  - {{ fill: good, x: [0, 200], y: [-200, 0] }}
  - {{ fill: poor, x: [200, 2000], y: [-200, 0] }}
  - {{ space: room, x: [0, 2000], y: [0, 1000] }}
{stated}"
        ))
    };
    let flow = |temperature: f64, direction: &str| {
        room(temperature, &format!("surfaces: [{{ of: room, heat_flow: {direction} }}]\n")).level_flows[0]
    };
    // The temperature without net flow, by each resistance.
    let balance = |direction: &str| {
        let (mut low, mut high) = (0.0, 30.0);
        for _ in 0..14 {
            let middle = f64::midpoint(low, high);
            if flow(middle, direction) > 0.0 { high = middle } else { low = middle }
        }
        f64::midpoint(low, high)
    };
    let (up, down) = (balance("up"), balance("down"));
    // Between them flow down, taken as given, is flow up and the other way round, or each is right by itself;
    // here it is the former.
    let middle = f64::midpoint(up, down);
    assert!(
        (up - down).abs() > 0.05 && flow(middle, "down") < 0.0 && flow(middle, "up") > 0.0,
        "{up} and {down}"
    );
    assert_eq!(run(&room(middle, ""), "room", "floor"), ("horizontal", Told::Undecided));
    for (temperature, direction) in [(up.min(down) - 0.2, "up"), (up.max(down) + 0.2, "down")] {
        assert_eq!(run(&room(temperature, ""), "room", "floor"), (direction, Told::Solution));
    }
}
