//! Rows of layers at any angle: they cover what trigonometry says, and a wall that is turned is the same wall.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;

use coldseam::case::{self, Case};
use coldseam::model::{Area, EnvironmentId};
use coldseam::result::{self, Outcome};
use proptest::prelude::*;

mod common;

fn read(text: &str) -> Case {
    case::from_text("slope", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"))
}

fn solve(text: &str) -> Outcome {
    result::compute(read(text)).unwrap()
}

/// The corners of each shape of a plan that is one polygon.
fn corners(case: &Case) -> Vec<Vec<[f64; 2]>> {
    let outline = |area: &Area| area.polygons().pop().unwrap().outline;
    case.model.plan.iter().map(|shape| outline(&shape.area)).collect()
}

/// m², by the shoelace formula.
fn size(corners: &[[f64; 2]]) -> f64 {
    let pairs = (0..corners.len()).map(|index| (corners[index], corners[(index + 1) % corners.len()]));
    pairs.map(|(a, b)| 0.5 * (a[0] * b[1] - b[0] * a[1])).sum::<f64>().abs()
}

/// A drawing of nothing but one row.
fn row(row: &str) -> String {
    format!(
        "coldseam: 1\ntitle: row\nenvironments: {{ room: {{ role: internal, temperature: 20 }} }}\n\
         extent: {{ x: [-9000, 9000], y: [-9000, 9000] }}\nmaterials:\n  \
         first: {{ conductivity: 0.2, source: test }}\n  second: {{ conductivity: 0.04, source: test }}\n\
         plan:\n  - {{ {row} }}\n"
    )
}

/// A wall of layers, written as what follows `layers:`, whose layers follow each other at an angle; its line begins
/// at the origin. Both spaces are drawn by points and 300 mm deep. `rest` stands at the end of the document.
fn wall(degrees: f64, layers: &str, thickness: f64, length: f64, rest: &str) -> String {
    let space = |name: &str, from: &str, to: &str| {
        // u = (sin, −cos) along the line, n = (cos, sin) to its left.
        let point =
            |along: &str, across: &str| format!("[{along} * s + ({across}) * c, {across} * s - {along} * c]");
        format!(
            "  - {{ space: {name}, points: [{}, {}, {}, {}] }}\n",
            point("0", from),
            point("l", from),
            point("l", to),
            point("0", to)
        )
    };
    format!(
        "coldseam: 1\ntitle: wall\nparameters: {{ a: {degrees}, l: {length}, t: {thickness}, s: sin(a), c: cos(a), d: t + 300 }}\n\
         environments:\n  room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\n\
         extent: {{ x: [-9000, 9000], y: [-9000, 9000] }}\nmaterials:\n  \
         plaster: {{ conductivity: 0.7, source: test }}\n  foil: {{ conductivity: 50, source: test }}\n  \
         wool: {{ conductivity: 0.035, source: test }}\n  sheet: {{ conductivity: 160, source: test }}\n  \
         board: {{ conductivity: 0.13, source: test }}\n  \
         grained: {{ conductivity: {{ x: 0.05, y: 2.5 }}, source: test }}\n\
         plan:\n{}{}  - {{ layers: {layers}, along: {{ angle: a }}, from: [0, 0], length: l }}\n\
         {rest}",
        space("room", "0 - 300", "0"),
        space("outside", "t", "d"),
    )
}

const STATED: &str = "surfaces: [{ of: room, resistance: 0.13 }, { of: outside, resistance: 0.04 }]\n";
const ANGLES: [f64; 16] =
    [0.0, 7.0, 35.0, 45.0, 59.99, 88.0, 90.0, 119.0, 165.0, 180.0, 200.5, -20.0, -61.0, -90.0, -133.0, 359.0];

#[test]
fn a_plane_wall_loses_the_same_at_any_angle() {
    let layers = [("plaster", 15.0, 0.7), ("foil", 0.2, 50.0), ("wool", 240.0, 0.035), ("sheet", 1.0, 160.0)];
    let list: Vec<String> = layers.iter().map(|(name, thick, _)| format!("[{name}, {thick}]")).collect();
    let thickness: f64 = layers.iter().map(|layer| layer.1).sum();
    let resistance: f64 = 0.17 + layers.iter().map(|(_, thick, lambda)| thick * 1e-3 / lambda).sum::<f64>();
    for degrees in ANGLES {
        let text = wall(degrees, &format!("[{}]", list.join(", ")), thickness, 1700.0, STATED);
        let outcome = solve(&text);
        let l2d = outcome.l2d.unwrap();
        let exact = 1.7 / resistance;
        assert!((l2d.middle() - exact).abs() < 1e-9 * exact, "{degrees}°: {l2d} for {exact}");
        let is_level = degrees % 90.0 == 0.0;
        assert_eq!(outcome.on_grid().is_some(), is_level, "{degrees}°");
        assert!(outcome.warnings.is_empty(), "{degrees}°: {:?}", outcome.warnings);
    }
}

/// By a build-up with studs, an air layer and a material that conducts fifty times better along the layer.
#[test]
fn a_painted_build_up_loses_the_same_at_any_angle() {
    let build_up = "build_ups:\n  wall:\n    heat_flow: horizontal\n    inside: 0.13\n    outside: 0.04\n    layers:\n      \
                    - [grained, 60]\n      - { air: 30 }\n      \
                    - { material: wool, thickness: 150, bridged_by: { material: board, fraction: 0.1 } }\n";
    let told = |degrees: f64| {
        solve(&wall(degrees, "{ build_up: wall }", 240.0, 2300.0, &format!("{STATED}{build_up}")))
    };
    let upright = told(0.0);
    let own = upright.l2d.unwrap().middle();
    for degrees in ANGLES {
        let outcome = told(degrees);
        let l2d = outcome.l2d.unwrap();
        assert!((l2d.middle() - own).abs() < 1e-9 * own, "{degrees}°: {l2d} for {own}");
        let painted = &outcome.case.model.painted[0];
        assert!((painted.area.reach(painted.through).length() - 0.24).abs() < 1e-12);
    }
}

/// Heat that enters a layer in one place and leaves it in another goes along the layer too, where it conducts fifty
/// times better: turned, all of it must turn. Grid and triangles share no equation.
#[test]
fn materials_by_direction_turn_with_their_layer() {
    let build_up = "build_ups: { wall: { layers: [[grained, 100], [board, 50]] } }\n";
    // The room, which is drawn first, begins in the middle of its face: the other half is adiabatic.
    let halves = |degrees: f64| {
        let text = wall(degrees, "{ build_up: wall }", 150.0, 1000.0, &format!("{STATED}{build_up}"));
        let text = text.replacen("[0 * s", "[0.5 * l * s", 2);
        text.replacen("* s - 0 * c]", "* s - 0.5 * l * c]", 2)
    };
    let upright = solve(&halves(0.0));
    let own = upright.l2d.unwrap();
    assert!(upright.on_grid().is_some());
    let plain = solve(&wall(0.0, "{ build_up: wall }", 150.0, 1000.0, &format!("{STATED}{build_up}")));
    assert!(own.upper() < 0.9 * plain.l2d.unwrap().lower(), "half of the room is gone: {own}");
    for degrees in [17.0, 45.0, 90.0, 120.0, -75.0] {
        let outcome = solve(&halves(degrees));
        let l2d = outcome.l2d.unwrap();
        assert!(own.overlaps(l2d) && l2d.half_width() < 1.01e-4, "{degrees}°: {l2d}, upright {own}");
    }
    // Unturned it would be another wall.
    let mut case = read(&halves(45.0));
    let grained = case.model.materials.iter_mut().find(|material| material.is_oblique()).unwrap();
    grained.axis = [1.0, 0.0];
    let unturned = result::compute(case).unwrap().l2d.unwrap();
    assert!(!own.overlaps(unturned), "{own} {unturned}");
}

#[test]
fn multiples_of_a_right_angle_are_the_axes() {
    let build_up = "materials: { grained: { conductivity: { x: 0.2, y: 1.5 }, source: test } }\n\
                    build_ups: { wall: { layers: [[grained, 100.3], { air: 20 }, [softwood, 50]] } }\n";
    let head = "coldseam: 1\ntitle: axes\nenvironments: { room: { role: internal, temperature: 20 } }\n\
                extent: { x: [-9000, 9000], y: [-9000, 9000] }\n";
    // The word, then the same by angle and by line.
    let rows = [
        ("along: +x, from: 7.1, y: [-20, 1234.7]", "0", "[7.1, 1234.7]", "[7.1, -20]"),
        ("along: +y, from: 7.1, x: [-20, 1234.7]", "90", "[-20, 7.1]", "[1234.7, 7.1]"),
        ("along: -x, from: 7.1, y: [-20, 1234.7]", "-180", "[7.1, -20]", "[7.1, 1234.7]"),
        ("along: -y, from: 7.1, x: [-20, 1234.7]", "540 / 2", "[1234.7, 7.1]", "[-20, 7.1]"),
    ];
    for (word, angle, from, to) in rows {
        for layers in ["{ build_up: wall }", "[[softwood, 33.3], [softwood, 0.7]]"] {
            let models = [
                word.to_owned(),
                format!("along: {{ angle: {angle} }}, from: {from}, length: 1254.7"),
                format!("along: {{ from: {from}, to: {to} }}"),
            ]
            .map(|where_to| {
                read(&format!("{head}{build_up}plan: [{{ layers: {layers}, {where_to} }}]\n")).model
            });
            let [own, others @ ..] = &models;
            for other in others {
                assert!(own.is_level() && other.is_level());
                for (one, two) in own.plan.iter().zip(&other.plan) {
                    assert_eq!((one.paint, &one.area), (two.paint, &two.area), "{word}");
                }
                assert_eq!((own.plan.len(), &own.materials), (other.plan.len(), &other.materials), "{word}");
                for (one, two) in own.painted.iter().zip(&other.painted) {
                    assert_eq!((one.through, &one.area), (two.through, &two.area), "{word}");
                }
            }
        }
    }
}

/// Where a line parallel to the first face meets the upright, the level or the square through its ends, worked out
/// from the slope of the line alone.
#[test]
fn ends_cut_where_lines_meet() {
    let thick = 0.12;
    for (degrees, length) in
        [(125.0, 3.0), (100.0, 2.0), (70.0, 4.0), (60.0, 3.0), (-55.0, 3.0), (240.0, 3.0)]
    {
        let (sin, cos) = f64::sin_cos(f64::to_radians(degrees));
        let (begin, end) = ([0.4, -0.3], [0.4 + length * sin, -0.3 - length * cos]);
        let off = |[x, y]: [f64; 2]| (x - begin[0]) * cos + (y - begin[1]) * sin;
        for (first, second) in
            [("square", "plumb"), ("plumb", "level"), ("level", "square"), ("plumb", "plumb")]
        {
            let text = row(&format!(
                "layers: [[first, 40], [second, 80]], along: {{ angle: {degrees} }}, from: [400, -300], length: {}, ends: [{first}, {second}]",
                length * 1e3
            ));
            let case = read(&text);
            let shapes = corners(&case);
            // Both layers have the corners of the face between them, bit for bit.
            assert_eq!((shapes[0][3], shapes[0][2]), (shapes[1][0], shapes[1][1]));
            for (own, (from, word)) in [(shapes[1][3], (begin, first)), (shapes[1][2], (end, second))] {
                assert!((off(own) - thick).abs() < 1e-12, "{degrees}° {word}: {own:?}");
                let [x, y] = [own[0] - from[0], own[1] - from[1]];
                let is_cut = match word {
                    "plumb" => x.abs() < 1e-15,
                    "level" => y.abs() < 1e-15,
                    _ => (x * sin - y * cos).abs() < 1e-12,
                };
                assert!(is_cut, "{degrees}° {word}: {own:?} from {from:?}");
            }
        }
    }
}

const EAVES: &str = include_str!("results/sloped.yaml");

/// The same eaves by points and by a row of layers whose lower end is square.
#[test]
fn a_roof_of_points_is_one_of_layers() {
    let by_points = "{ fill: wool, points: [[px, py], [qx, qy], [-600 * c - t * s, 200 - 600 * s + t * c], [-600 * c, 200 - 600 * s]] }";
    let by_line = "{ layers: [[wool, t]], along: { from: [-600 * c, 200 - 600 * s], to: [px, py] } }";
    let by_angle =
        "{ layers: [[wool, t]], along: { angle: 125 }, from: [-600 * c, 200 - 600 * s], length: 600 + l }";
    assert!(EAVES.contains(by_points));
    let own = solve(EAVES);
    for other in [by_line, by_angle] {
        let other = solve(&EAVES.replace(by_points, other));
        // The roof is the fourth shape.
        let [points, row] = [&own, &other].map(|outcome| corners(&outcome.case)[3].clone());
        let is_near = |one: &[f64; 2], two: &[f64; 2]| libm::hypot(one[0] - two[0], one[1] - two[1]) < 1e-12;
        assert!(row.len() == 4 && row.iter().all(|own| points.iter().any(|point| is_near(own, point))));
        let (one, two) = (own.psi[0].bracket, other.psi[0].bracket);
        assert!(own.l2d.unwrap().overlaps(other.l2d.unwrap()) && one.overlaps(two), "{one} {two}");
        let errors = |outcome: &Outcome| {
            (outcome.point_errors(false)[0], outcome.factor_error(EnvironmentId::new(0)).unwrap())
        };
        let (point, factor) = (errors(&own).0 + errors(&other).0, errors(&own).1 + errors(&other).1);
        assert!((own.points[0].1 - other.points[0].1).abs() < point, "{:?} {:?}", own.points, other.points);
        let factors = [&own, &other].map(|outcome| outcome.factors[0].coldest.as_ref().unwrap().factor);
        assert!((factors[0] - factors[1]).abs() < factor, "{factors:?}");
        assert!(other.warnings.is_empty() && own.warnings.is_empty(), "{:?}", other.warnings);
    }
}

/// Half a roof with a plumb ridge at its plane of symmetry: three lines, and half of what the whole loses.
#[test]
fn a_plumb_ridge_is_half_of_a_roof() {
    let head = "coldseam: 1\ntitle: ridge\nmaterials: { board: { conductivity: 0.04, source: test } }\n\
                environments:\n  room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: 0 }\n";
    // Layers lie to the left: the line of the right half runs from the ridge, that of the left half to it.
    let right = "{ layers: [[board, 100 * sqrt(8)]], along: { from: [0, 0], to: [1000, -1000] }, ends: [plumb, square] }";
    let left = "{ layers: [[board, 100 * sqrt(8)]], along: { from: [-1000, -1000], to: [0, 0] }, ends: [square, plumb] }";
    let half = format!(
        "{head}extent: {{ x: [0, 2000], y: [-1500, 1500] }}\nplan:\n\
         \x20 - {{ space: room, points: [[0, 0], [1000, -1000], [900, -1100], [0, -200]] }}\n\
         \x20 - {{ space: outside, points: [[0, 400], [1200, -800], [1300, -700], [0, 600]] }}\n  - {right}\n"
    );
    let whole = format!(
        "{head}extent: {{ x: [-2000, 2000], y: [-1500, 1500] }}\nplan:\n\
         \x20 - {{ space: room, points: [[0, 0], [1000, -1000], [900, -1100], [0, -200], [-900, -1100], [-1000, -1000]] }}\n\
         \x20 - {{ space: outside, points: [[0, 400], [1200, -800], [1300, -700], [0, 600], [-1300, -700], [-1200, -800]] }}\n\
         \x20 - {left}\n  - {right}\n"
    );
    let drawn = read(&half).model.plan[2].area.polygons().pop().unwrap().outline;
    for (own, expected) in drawn.iter().zip([[0.0, 0.0], [1.0, -1.0], [1.2, -0.8], [0.0, 0.4]]) {
        assert!(libm::hypot(own[0] - expected[0], own[1] - expected[1]) < 1e-12, "{drawn:?}");
    }
    let [half, whole] = [&half, &whole].map(|text| solve(text).l2d.unwrap());
    assert!(2.0 * half.lower() <= whole.upper() && whole.lower() <= 2.0 * half.upper(), "{half} {whole}");
}

/// What is said of a build-up's air and its direction holds at an angle too: up to 30° from the horizontal heat flows
/// horizontally (ISO 6946:2017, table 7).
#[test]
fn sloped_build_ups_are_told_of_like_upright_ones() {
    let build_up =
        "build_ups:\n  wall: { heat_flow: horizontal, layers: [[board, 50], { air: 50 }, [wool, 100]] }\n";
    let warnings = |degrees: f64, temperatures: &str| -> Vec<String> {
        let text = wall(degrees, "{ build_up: wall }", 200.0, 2000.0, &format!("{STATED}{build_up}"))
            .replace("temperature: 20 }", temperatures);
        solve(&text).warnings.iter().map(|warning| warning.message.clone()).collect()
    };
    let has = |found: &[String], wanted: &str| found.iter().any(|message| message.contains(wanted));
    for (degrees, way) in [
        (29.0, None),
        (151.0, None),
        (31.0, Some("upwards")),
        (100.0, Some("upwards")),
        (-40.0, Some("downwards")),
    ] {
        let found = warnings(degrees, "temperature: 20 }");
        assert_eq!(has(&found, "heat flows"), way.is_some(), "{degrees}°: {found:?}");
        assert!(way.is_none_or(|way| has(&found, way)), "{degrees}°: {found:?}");
        assert!(!has(&found, "towards the colder side"), "{degrees}°: {found:?}");
    }
    // Written from outside to inside.
    let text = wall(35.0, "{ build_up: wall }", 200.0, 2000.0, &format!("{STATED}{build_up}"))
        .replace("role: internal, temperature: 20", "role: external, temperature: 0")
        .replace(
            "  outside: { role: external, temperature: 0",
            "  outside: { role: internal, temperature: 20",
        );
    let found: Vec<String> = solve(&text).warnings.iter().map(|warning| warning.message.clone()).collect();
    assert!(has(&found, "towards the colder side"), "{found:?}");
}

fn end() -> impl Strategy<Value = &'static str> {
    prop_oneof![Just("square"), Just("plumb"), Just("level")]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    /// Whatever is asked for is drawn, each layer as large as thick times the mean of its two faces' lengths and
    /// with the corners of its neighbours; or refused with what to do.
    #[test]
    fn any_row_is_drawn_or_refused(
        degrees in prop_oneof![-360.0..360.0f64, (-4..5i32).prop_map(|quarter| 90.0 * f64::from(quarter)), -1e-3..1e-3f64],
        length in prop_oneof![1.0..8_000.0f64, 1.0..50.0f64],
        from in (-3_000.0..3_000.0f64, -3_000.0..3_000.0f64),
        layers in prop::collection::vec(prop_oneof![1.0..400.0f64, 0.01..1.0f64], 1..6),
        ends in (end(), end()),
    ) {
        let list: Vec<String> = layers.iter().map(|thick| format!("[first, {thick}]")).collect();
        let mut text = format!("layers: [{}], along: {{ angle: {degrees} }}, from: [{}, {}]", list.join(", "), from.0, from.1);
        write!(text, ", length: {length}, ends: [{}, {}]", ends.0, ends.1).unwrap();
        match case::from_text("row", &row(&text), &[]) {
            Err(rejected) => {
                for finding in &rejected.diagnostics {
                    let is_told = finding.message.contains("fold over") || finding.message.contains("along the line itself");
                    prop_assert!(is_told && finding.hint.is_some(), "{rejected}");
                }
                prop_assert!(ends != ("square", "square"), "{}", text);
            }
            Ok(case) => {
                let shapes = corners(&case);
                prop_assert_eq!(shapes.len(), layers.len());
                let side = |a: [f64; 2], b: [f64; 2]| libm::hypot(b[0] - a[0], b[1] - a[1]);
                if case.model.is_level() {
                    for (shape, thick) in shapes.iter().zip(&layers) {
                        let expected = thick * length * 1e-6;
                        prop_assert!((size(shape) - expected).abs() < 1e-9 * expected + 1e-11, "{}", text);
                    }
                    return Ok(());
                }
                for (shape, thick) in shapes.iter().zip(&layers) {
                    let [a, b, c, d] = [0, 1, 2, 3].map(|corner| shape[corner]);
                    let expected = thick * 1e-3 * 0.5 * (side(a, b) + side(c, d));
                    let rounding = 1e-12 * (1.0 + libm::hypot(c[0], c[1]) + libm::hypot(d[0], d[1])).powi(2);
                    prop_assert!((size(shape) - expected).abs() < rounding, "{}: {} {}", text, size(shape), expected);
                }
                for pair in shapes.windows(2) {
                    prop_assert_eq!((pair[0][3], pair[0][2]), (pair[1][0], pair[1][1]));
                }
            }
        }
    }
}
