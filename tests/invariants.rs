//! What must hold for every case, whatever its numbers.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::model::EnvironmentId;
use coldseam::result::{self, Demand, Outcome};

mod common;

use common::{solve_shipped, solve_text};

const HEAD: &str = "coldseam: 1\ntitle: test\ncut: horizontal\nmaterials:\n  a: { conductivity: 0.2, source: test }\n  b: { conductivity: 2, source: test }\n\
                    \x20 c: { conductivity: { x: 0.5, y: 0.05 }, source: test }\n  ct: { conductivity: { x: 0.05, y: 0.5 }, source: test }\n\
                    environments:\n  room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: -3 }\n";

/// An L-shaped detail whose points are moved by `place`, with the orthotropic material `c` or its turned
/// twin.
fn detail(place: impl Fn(f64, f64) -> (f64, f64), orthotropic: &str) -> Outcome {
    let area = |x0: f64, x1: f64, y0: f64, y1: f64| {
        let ((ax, ay), (bx, by)) = (place(x0, y0), place(x1, y1));
        format!("x: [{}, {}], y: [{}, {}]", ax.min(bx), ax.max(bx), ay.min(by), ay.max(by))
    };
    solve_text(&format!(
        "{HEAD}extent: {{ {} }}\nplan:\n  - {{ space: outside, {} }}\n  - {{ space: room, {} }}\n  - {{ fill: a, {} }}\n  - {{ fill: b, {} }}\n  - {{ fill: {orthotropic}, {} }}\n",
        area(-500.0, 400.0, 0.0, 900.0),
        area(-500.0, 400.0, 0.0, 900.0),
        area(-500.0, 0.0, 0.0, 900.0),
        area(0.0, 300.0, 0.0, 900.0),
        area(-200.0, 350.0, 400.0, 450.0),
        area(100.0, 180.0, 0.0, 700.0),
    ))
}

/// The same so rough that the grid is kept.
fn on_grid(outcome: &Outcome) -> Outcome {
    let demand = Demand { half_width: 1e-2, ..Demand::default() };
    result::compute_to(outcome.case.clone(), &demand).unwrap()
}

/// On the grid: triangles are cut along one diagonal or the other, so that a mirrored drawing has another mesh and
/// another bracket.
fn essence(outcome: &Outcome) -> (f64, f64) {
    let on_grid = on_grid(outcome);
    assert!(on_grid.on_grid().is_some() && outcome.l2d.unwrap().overlaps(on_grid.l2d.unwrap()));
    (on_grid.l2d.unwrap().middle(), on_grid.factors[0].coldest.as_ref().unwrap().factor)
}

#[test]
fn mirrored_and_turned_copies_give_the_same_answer() {
    let (l2d, factor) = essence(&detail(|x, y| (x, y), "c"));
    for (name, copy) in [
        ("mirrored left to right", essence(&detail(|x, y| (-x, y), "c"))),
        ("mirrored upside down", essence(&detail(|x, y| (x, -y), "c"))),
        ("turned by 90°", essence(&detail(|x, y| (-y, x), "ct"))),
        ("turned by 270°", essence(&detail(|x, y| (y, -x), "ct"))),
        ("moved by 12.345 m", essence(&detail(|x, y| (x + 12_345.0, y - 777.0), "c"))),
    ] {
        assert!(
            (copy.0 - l2d).abs() < 1e-8 * l2d && (copy.1 - factor).abs() < 1e-8,
            "{name}: {copy:?} instead of {:?}",
            (l2d, factor)
        );
    }
}

#[test]
fn a_rectangle_painted_in_two_parts_stays_the_same() {
    let text = |parts: &str| {
        format!(
            "{HEAD}extent: {{ x: [-100, 400], y: [0, 500] }}\nplan:\n  - {{ space: room, x: [-100, 0] }}\n  - {{ space: outside, x: [0, 400] }}\n{parts}  - {{ fill: b, x: [50, 80], y: [0, 200] }}\n"
        )
    };
    let whole = solve_text(&text("  - { fill: a, x: [0, 300], y: [0, 500] }\n"));
    let split = solve_text(&text(
        "  - { fill: a, x: [0, 300], y: [0, 237] }\n  - { fill: a, x: [0, 300], y: [237, 500] }\n",
    ));
    // The additional edge changes the grid, so the two agree within their brackets.
    let (whole, split) = (whole.l2d.unwrap(), split.l2d.unwrap());
    assert!(whole.lower() <= split.upper() && split.lower() <= whole.upper(), "{whole:?} and {split:?}");
}

#[test]
fn temperatures_stay_between_those_of_the_environments() {
    for name in ["window-sill-metal", "plinth", "balcony-slab"] {
        let outcome = on_grid(&solve_shipped(name, &[]));
        for temperature in outcome
            .on_grid()
            .unwrap()
            .heat_loss
            .field
            .temperature
            .iter()
            .filter(|temperature| !temperature.is_nan())
        {
            assert!((-1e-7..=20.0 + 1e-7).contains(temperature), "{name}: {temperature}");
        }
    }
}

#[test]
fn heat_loss_does_not_depend_on_the_temperatures() {
    let text = |warm: f64, cold: f64| {
        HEAD.replace("temperature: 20", &format!("temperature: {warm}"))
            .replace("temperature: -3", &format!("temperature: {cold}"))
            + "extent: { x: [-100, 400], y: [0, 500] }\nplan:\n  - { space: room, x: [-100, 0] }\n  - { space: outside, x: [0, 400] }\n  - { fill: a, x: [0, 300], y: [0, 500] }\n  - { fill: b, x: [50, 80], y: [0, 200] }\n"
    };
    let first = essence(&solve_text(&text(20.0, -3.0)));
    let second = essence(&solve_text(&text(1.0, 0.0)));
    assert!((first.0 - second.0).abs() < 1e-9 && (first.1 - second.1).abs() < 1e-8);
}

const THREE: &str = "coldseam: 1\ntitle: three temperatures\nmaterials: { a: { conductivity: 0.4, source: test } }\n\
    environments:\n  room: { role: internal, temperature: 20 }\n  cellar: { role: unheated, temperature: 8 }\n  outside: { role: external, temperature: -5 }\n\
    extent: { x: [-900, 500], y: [-900, 900] }\nplan:\n  - { space: room, x: [-900, 0], y: [0, 900] }\n  - { space: cellar, x: [-900, 0], y: [-900, 0] }\n\
    \x20 - { space: outside, x: [0, 500] }\n  - { fill: a, x: [0, 300], y: [-900, 900] }\n  - { fill: a, x: [-900, 0], y: [-200, 0] }\n";

#[test]
fn three_temperatures_give_coupling_coefficients_and_weights() {
    let outcome = solve_text(&format!(
        "{THREE}psi:\n  between: [room, outside]\n  flanking:\n    - {{ element: wall, section: {{ y: 900 }}, internal: [0, 900] }}\n"
    ));
    let temperatures = [20.0, 8.0, -5.0];
    // Φ_i = Σ_j L_ij·(θ_i − θ_j) must give the heat flows of the solution at these temperatures, and so must
    // what its films let pass.
    let faces = &outcome.on_grid().unwrap().heat_loss.conduction.network.faces;
    let field = &outcome.on_grid().unwrap().heat_loss.field.temperature;
    for (id, flow) in EnvironmentId::all(3).zip(&outcome.heat_flows) {
        let own = faces.iter().filter(|face| face.environment == id);
        let through_films: f64 = own
            .map(|face| {
                let [one, other] = face.vertices.map(|vertex| temperatures[id.index()] - field[vertex]);
                0.5 * (one + other) * face.length / face.resistance
            })
            .sum();
        // The pairs come from bounds, the films from one field: they differ by what the grid leaves open.
        assert!((through_films - flow.unwrap()).abs() < 0.02, "{id:?}: {through_films} for {flow:?}");
    }
    for (index, flow) in outcome.heat_flows.iter().map(|flow| flow.unwrap()).enumerate() {
        let from_pairs: f64 = outcome
            .coupling
            .iter()
            .filter(|pair| pair.between.contains(&EnvironmentId::new(index)))
            .map(|pair| {
                let other = if pair.between[0] == EnvironmentId::new(index) {
                    pair.between[1]
                } else {
                    pair.between[0]
                };
                pair.value().unwrap() * (temperatures[index] - temperatures[other])
            })
            .sum();
        assert!((from_pairs - flow).abs() < 1e-7, "environment {index}: {from_pairs} and {flow}");
    }
    assert_eq!(outcome.coupling.len(), 3);
    let room_outside =
        outcome.coupling.iter().find(|pair| pair.between == [0, 2].map(EnvironmentId::new)).unwrap().bracket;
    assert_eq!(outcome.l2d, room_outside);
    let coldest = outcome.factors[0].coldest.as_ref().unwrap();
    let sum: f64 = coldest.weights.iter().sum();
    assert!((sum - 1.0).abs() < 1e-9, "weights {:?}", coldest.weights);
    let weighted: f64 =
        coldest.weights.iter().zip(temperatures).map(|(weight, temperature)| weight * temperature).sum();
    assert!((weighted - coldest.temperature).abs() < 1e-8);
}

#[test]
fn three_temperatures_without_between_are_an_error_for_psi() {
    let text = format!(
        "{THREE}psi:\n  flanking:\n    - {{ element: wall, section: {{ y: 900 }}, internal: [0, 900] }}\n"
    );
    let case = coldseam::case::from_text("three", &text, &[]).unwrap();
    let failure = coldseam::result::compute(case).unwrap_err();
    assert!(failure.to_string().contains("needs `between`"), "{failure}");
}

/// ISO 6946 resistances by direction in a vertical cut: floor of the room 0.17, wall 0.13, ceiling 0.10; all
/// 0.13 in a horizontal one.
#[test]
fn surface_resistances_follow_the_direction_of_heat_flow() {
    let text = |cut: &str| {
        format!(
            "coldseam: 1\ntitle: room\ncut: {cut}\nenvironments:\n  room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\n\
             extent: {{ x: [-500, 500], y: [-500, 500] }}\nplan:\n  - {{ space: outside }}\n  - {{ fill: glass, x: [-300, 300], y: [-300, 300] }}\n  - {{ space: room, x: [-200, 200], y: [-200, 200] }}\n"
        )
    };
    let resistances = |cut: &str| {
        let outcome = on_grid(&solve_text(&text(cut)));
        let mut found: Vec<(String, f64)> = Vec::new();
        for face in &outcome.on_grid().unwrap().heat_loss.conduction.network.faces {
            let name = &outcome.case.model.environments[face.environment].name;
            let side = match (face.normal, face.solid_is_lower) {
                (coldseam::geometry::Axis::X, _) => "wall",
                (coldseam::geometry::Axis::Y, true) => "floor",
                (coldseam::geometry::Axis::Y, false) => "ceiling",
            };
            let entry = (format!("{name} {side}"), face.resistance);
            if !found.contains(&entry) {
                found.push(entry);
            }
        }
        found.sort_by(|a, b| a.0.cmp(&b.0));
        found
    };
    let expected = [
        ("outside ceiling", 0.04),
        ("outside floor", 0.04),
        ("outside wall", 0.04),
        ("room ceiling", 0.10),
        ("room floor", 0.17),
        ("room wall", 0.13),
    ];
    assert_eq!(resistances("vertical"), expected.map(|(name, value)| (name.to_owned(), value)));
    assert!(
        resistances("horizontal")
            .iter()
            .filter(|(name, _)| name.starts_with("room"))
            .all(|(_, value)| *value == 0.13)
    );
}

/// The later of two rules wins; material, environment and box all narrow a rule down.
#[test]
fn surface_rules_narrow_down_and_the_later_wins() {
    let outcome = solve_text(&format!(
        "{HEAD}extent: {{ x: [-100, 400], y: [0, 500] }}\nplan:\n  - {{ space: room, x: [-100, 0] }}\n  - {{ space: outside, x: [0, 400] }}\n\
         \x20 - {{ fill: a, x: [0, 300], y: [0, 250] }}\n  - {{ fill: b, x: [0, 300], y: [250, 500] }}\n\
         surfaces:\n  - {{ of: room, resistance: 0.2 }}\n  - {{ of: room, on: b, resistance: 0.3 }}\n  - {{ of: outside, y: [0, 100], resistance: 0.5 }}\n"
    ));
    let length = |environment: usize, resistance: f64| -> f64 {
        let faces = outcome.on_grid().unwrap().heat_loss.conduction.network.faces.iter();
        faces
            .filter(|face| {
                face.environment == EnvironmentId::new(environment) && face.resistance == resistance
            })
            .map(|face| face.length)
            .sum()
    };
    assert!((length(0, 0.2) - 0.25).abs() < 1e-9 && (length(0, 0.3) - 0.25).abs() < 1e-9);
    assert!((length(1, 0.5) - 0.1).abs() < 1e-9 && (length(1, 0.04) - 0.4).abs() < 1e-9);
}

#[test]
fn the_condensation_pass_uses_its_own_resistances() {
    let outcome = solve_shipped("window-sill", &[]);
    let faces = &outcome.on_grid().unwrap().condensation.as_ref().unwrap().conduction.network.faces;
    for face in faces {
        let material = &outcome.case.model.materials[face.material].name;
        let expected =
            match (outcome.case.model.environments[face.environment].name.as_str(), material.as_str()) {
                ("room", "window_panel") => 0.13,
                ("room", _) => 0.25,
                _ => 0.04,
            };
        assert_eq!(face.resistance, expected, "{material}");
    }
    let factor = &outcome.factors[0];
    assert!(factor.coldest.is_some() && factor.coldest_excluded.is_some());
}

/// Four ways to paint the same wall.
#[test]
fn layers_in_all_four_directions_and_polygons_paint_the_same_wall() {
    let wall = |spaces: &str, wall: &str| {
        let text = format!("{HEAD}extent: {{ x: [-100, 500], y: [-100, 500] }}\nplan:\n{spaces}  - {wall}\n");
        solve_text(&text).l2d.unwrap().middle()
    };
    let upright = "  - { space: room, x: [-100, 0] }\n  - { space: outside, x: [0, 500] }\n";
    let level = "  - { space: room, y: [-100, 0] }\n  - { space: outside, y: [0, 500] }\n";
    let reference = wall(upright, "{ layers: [[a, 100], [b, 40]], along: +x, from: 0, y: [-100, 500] }");
    for l2d in [
        wall(upright, "{ layers: [[b, 40], [a, 100]], along: -x, from: 140, y: [-100, 500] }"),
        wall(level, "{ layers: [[a, 100], [b, 40]], along: +y, from: 0, x: [-100, 500] }"),
        wall(level, "{ layers: [[b, 40], [a, 100]], along: -y, from: 140, x: [-100, 500] }"),
        wall(
            upright,
            "{ fill: a, points: [[0, -100], [100, -100], [100, 500], [0, 500]] }\n  - { fill: b, x: [100, 140], y: [-100, 500] }",
        ),
    ] {
        assert!((l2d - reference).abs() < 1e-8, "{l2d} and {reference}");
    }
}
