//! Circles, polygons with holes, and surface rules within polygons.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::PI;

use coldseam::case::{self, Case};
use coldseam::report::document;
use coldseam::result::{self, Demand, Outcome, independent};

mod common;

fn read(text: &str) -> Case {
    case::from_text("round", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"))
}

fn solve(text: &str) -> Outcome {
    result::compute(read(text)).unwrap()
}

const HEAD: &str = "coldseam: 1\ntitle: round\nenvironments:\n  pipe: { role: internal, temperature: 60 }\n  \
                    room: { role: internal, temperature: 20 }\nmaterials:\n  \
                    foam: { conductivity: 0.04, source: test }\n  screed: { conductivity: 1.4, source: test }\n";

/// A pipe and its insulation, with fixed surface temperatures.
fn pipe(inner: f64, outer: f64, rest: &str) -> String {
    format!(
        "{HEAD}extent: {{ x: [-500, 500], y: [-500, 500] }}\nplan:\n  - {{ space: room }}\n\
         \x20 - {{ fill: foam, round: {{ at: [10, -20], diameter: {outer} }} }}\n\
         \x20 - {{ space: pipe, round: {{ at: [10, -20], diameter: {inner} }} }}\n{rest}"
    )
}

const FIXED: &str = "surfaces: [{ of: pipe, resistance: 0 }, { of: room, resistance: 0 }]\n";

/// Conductance grows with the inner boundary and falls with the outer one (Dirichlet's principle), so a ring of
/// polygons conducts more than the ring of circles that holds it, and less than that which it holds.
#[test]
fn insulation_of_a_pipe_lies_between_the_rings_of_circles() {
    let demand = Demand { half_width: 1e-6, ..Demand::default() };
    // R·cos(π/48) is the radius of the circle within.
    let within = libm::cos(PI / 48.0);
    for (inner, outer) in [(22.0, 62.0), (22.0, 24.0), (100.0, 400.0), (48.3, 48.8)] {
        let l2d = result::compute_to(read(&pipe(inner, outer, FIXED)), &demand).unwrap().l2d.unwrap();
        let ring = |ratio: f64| 2.0 * PI * 0.04 / libm::log(ratio);
        let (lower, upper) = (ring(outer / (inner * within)), ring(outer * within / inner));
        assert!(lower < l2d.lower() && l2d.upper() < upper, "{inner} {outer}: {lower} {l2d} {upper}");
        // The circle's own value is much nearer: some x⁴ = 2·10⁻⁵ where the insulation is thicker than a side of
        // the polygon is long, and up to tan x/x − 1 = 0.14 % above where it is thin.
        let more = l2d.middle() / ring(outer / inner) - 1.0;
        let allowed = if outer > 2.0 * inner { 1e-4 } else { libm::tan(PI / 48.0) / (PI / 48.0) - 1.0 };
        assert!(more > -1e-5 && more < allowed, "{inner} {outer}: {more}");
    }
}

/// With films on both sides: 1/(R_i/(2π·r_i) + ln(r_o/r_i)/(2π·λ) + R_o/(2π·r_o)), which the longer perimeters raise by
/// less than their 0.1 %.
#[test]
fn films_on_circles_have_nearly_the_circles_length() {
    let films = "surfaces: [{ of: pipe, resistance: 0.1 }, { of: room, resistance: 0.13 }]\n";
    let (inner, outer) = (0.1, 0.14);
    let l2d = solve(&pipe(inner * 1e3, outer * 1e3, films)).l2d.unwrap();
    let resistance = 0.1 / (PI * inner) + libm::log(outer / inner) / (2.0 * PI * 0.04) + 0.13 / (PI * outer);
    let exact = 1.0 / resistance;
    assert!(exact < l2d.upper() && l2d.lower() < exact * 1.000_8, "{l2d} for {exact}");
}

#[test]
fn what_stands_for_circles_is_said_once() {
    let outcome = solve(&pipe(22.0, 62.0, FIXED));
    let told = |text: &str| text.matches("a regular polygon of 48 sides").count();
    assert_eq!(told(&common::summary(&outcome)), 1);
    let document = document::text(&document::solve::Solve::of(&outcome));
    assert_eq!(told(&document), 1, "{document}");
    let plain = solve(
        &pipe(22.0, 62.0, FIXED)
            .replace("round: { at: [10, -20], diameter: 62 }", "x: [-90, 90], y: [-90, 90]"),
    );
    assert_eq!(told(&common::summary(&plain)), 1);
    let none = HEAD.to_owned()
        + "extent: { x: [0, 300], y: [0, 100] }\nplan:\n  - { space: pipe, x: [0, 100] }\n  - { space: room, x: [200, 300] }\n\
           \x20 - { fill: foam, x: [100, 200], y: [0, 100] }\n";
    assert_eq!(told(&common::summary(&solve(&none))), 0);
}

/// A circle of air in a block counts by its area, as ISO 10077-2 has it: the square of the same area.
#[test]
fn a_round_cavity_counts_by_its_area() {
    let text = format!(
        "{HEAD}extent: {{ x: [-200, 300], y: [0, 100] }}\nplan:\n  - {{ space: pipe, x: [-200, 0] }}\n\
         \x20 - {{ space: room, x: [100, 300] }}\n  - {{ fill: screed, x: [0, 100], y: [0, 100] }}\n\
         \x20 - {{ cavity: frame, round: {{ at: [50, 50], diameter: 60 }} }}\n"
    );
    let outcome = solve(&text);
    let state = outcome.cavities[0].state;
    let side = (PI * 0.25 * 0.06 * 0.06).sqrt();
    assert!((state.depth - side).abs() < 1e-9 && (state.width - side).abs() < 1e-9, "{state:?}");
}

/// A frame round an opening: by holes, and by painting the opening over it.
fn framed(hole: bool, slope: f64) -> String {
    // Two openings; a slope of nothing leaves all edges along the axes.
    let openings = [
        format!("[[20, 20], [60, {}], [60, 50], [20, 50]]", 20.0 + slope),
        "[[80, 30], [120, 30], [120, 70], [80, 70]]".to_owned(),
    ];
    let outline = "[[0, 0], [140, 0], [140, 90], [0, 90]]";
    let plan = if hole {
        format!("  - {{ fill: screed, points: {outline}, holes: [{}] }}\n", openings.join(", "))
    } else {
        let foam = openings.map(|opening| format!("  - {{ fill: foam, points: {opening} }}\n"));
        format!("  - {{ fill: screed, points: {outline} }}\n{}", foam.concat())
    };
    format!(
        "{HEAD}extent: {{ x: [-200, 340], y: [0, 90] }}\nplan:\n  - {{ space: pipe, x: [-200, 0] }}\n\
         \x20 - {{ space: room, x: [140, 340] }}\n  - {{ fill: foam, x: [0, 140], y: [0, 90] }}\n{plan}\
         points: {{ within: [40, 40], beside: [100, 50] }}\n"
    )
}

#[test]
fn holes_stay_what_was_painted_before() {
    for slope in [0.0, 7.0] {
        let [by_holes, by_painting] = [true, false].map(|hole| solve(&framed(hole, slope)));
        assert_eq!(by_holes.on_grid().is_some(), slope == 0.0);
        let (one, two) = (by_holes.l2d.unwrap(), by_painting.l2d.unwrap());
        assert!(one.overlaps(two) && one.half_width() < 1.01e-4, "{slope}: {one} {two}");
        let whole = solve(&framed(true, slope).replace(", holes:", " }\n  # holes:")).l2d.unwrap();
        assert!(whole.lower() > 1.1 * one.upper(), "{whole} {one}");
        for (own, other) in by_holes.points.iter().zip(&by_painting.points) {
            assert!((own.1 - other.1).abs() < 0.04, "{own:?} {other:?}");
        }
        assert!(independent::solve(&by_holes).unwrap().l2d.unwrap().overlaps(one));
        assert!(by_holes.warnings.is_empty(), "{:?}", by_holes.warnings);
    }
}

/// A wall, upright or turned, of which a part of the room's face has another resistance.
fn ruled(degrees: f64, within: &str) -> String {
    let (sin, cos) = f64::sin_cos(f64::to_radians(degrees));
    let points = |corners: &[[f64; 2]]| -> String {
        let turned = |[x, y]: &[f64; 2]| format!("[{:?}, {:?}]", x * cos - y * sin, x * sin + y * cos);
        corners.iter().map(turned).collect::<Vec<_>>().join(", ")
    };
    let block = |from: f64, to: f64| points(&[[from, 0.0], [to, 0.0], [to, 800.0], [from, 800.0]]);
    let rule = match within {
        "box" => "x: [-10, 10], y: [0, 300]".to_owned(),
        // It ends on the surface itself.
        "touching" => {
            format!("points: [{}]", points(&[[0.0, 0.0], [0.0, 300.0], [-50.0, 300.0], [-50.0, 0.0]]))
        }
        _ => format!("points: [{}]", points(&[[-40.0, -90.0], [40.0, -90.0], [60.0, 300.0], [-60.0, 300.0]])),
    };
    format!(
        "{HEAD}extent: {{ x: [-1500, 1500], y: [-1500, 1500] }}\nplan:\n  - {{ space: pipe, points: [{}] }}\n\
         \x20 - {{ space: room, points: [{}] }}\n  - {{ fill: screed, points: [{}] }}\nsurfaces:\n\
         \x20 - {{ of: pipe, resistance: 0.13 }}\n  - {{ of: room, resistance: 0.04 }}\n  - {{ of: pipe, resistance: 0.5, {rule} }}\n",
        block(-100.0, 0.0),
        block(200.0, 300.0),
        block(0.0, 200.0)
    )
}

#[test]
fn a_rule_holds_within_a_polygon() {
    let own = solve(&ruled(0.0, "box"));
    let l2d = own.l2d.unwrap();
    assert!(own.on_grid().is_some());
    let resistances = |outcome: &Outcome| {
        let mut found: Vec<u64> =
            outcome.surfaces.all().map(|film| film.resistance).map(f64::to_bits).collect();
        found.sort_unstable();
        found.dedup();
        found
    };
    for (degrees, within) in [
        (0.0, "touching"),
        (0.0, "trapezium"),
        (33.0, "trapezium"),
        (33.0, "touching"),
        (90.0, "touching"),
        (141.0, "trapezium"),
        (-60.0, "touching"),
    ] {
        let outcome = solve(&ruled(degrees, within));
        assert!(outcome.l2d.unwrap().overlaps(l2d), "{degrees}° {within}: {} {l2d}", outcome.l2d.unwrap());
        assert_eq!(resistances(&outcome), resistances(&own), "{degrees}° {within}");
        let is_level = degrees % 90.0 == 0.0 && within == "touching";
        assert_eq!(outcome.on_grid().is_some(), is_level, "{degrees}° {within}");
        assert!(outcome.all_warnings().next().is_none(), "{:?}", outcome.all_warnings().collect::<Vec<_>>());
    }
    let without = solve(&ruled(0.0, "box").replace("resistance: 0.5, x", "resistance: 0.13, x")).l2d.unwrap();
    assert!(without.lower() > l2d.upper() + 0.01, "{without} {l2d}");
    // One that reaches no surface is told of.
    let missed = ruled(33.0, "box")
        .replace("x: [-10, 10], y: [0, 300]", "points: [[900, 900], [950, 900], [900, 950]]");
    let missed = solve(&missed);
    assert!(missed.all_warnings().any(|warning| warning.message.contains("holds for no surface")));
}

/// A duct between inside and outside has sides enough through which heat flows up; what is said of them fits a screen.
#[test]
fn a_curved_surface_is_told_of_in_one_line() {
    let text = "coldseam: 1\ntitle: duct\nmaterials: { m: { conductivity: 0.2, source: s } }\nenvironments:\n  \
                room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: 0 }\n  \
                duct: { role: unheated, temperature: 12 }\nextent: { x: [0, 1000], y: [-300, 800] }\nplan:\n  \
                - { space: room, y: [-300, 0] }\n  - { space: outside, y: [500, 800] }\n  \
                - { fill: m, x: [0, 1000], y: [0, 500] }\n  - { space: duct, round: { at: [500, 250], diameter: 160 } }\n";
    let outcome = solve(text);
    let told = common::summary(&outcome).matches("Heat flow at the").count();
    assert_eq!((told, outcome.plan.level.runs.len()), (2, 33), "16 above, 16 below, and the room's ceiling");
}
