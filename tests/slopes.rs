//! Plans with slopes: a drawing that is turned, or told in polygons, is the same junction.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;

use coldseam::geometry::Rectangle;
use coldseam::model::{Area, Polygon};
use coldseam::result::independent;
use coldseam::result::{self, Demand, Outcome};
use coldseam::{case, shipped};

fn solve(text: &str) -> Outcome {
    let case = case::from_text("slope", text, &[]).unwrap_or_else(|error| panic!("{error}\n{text}"));
    result::compute(case).unwrap()
}

fn warnings(outcome: &Outcome) -> Vec<String> {
    outcome.all_warnings().map(|warning| warning.message.clone()).collect()
}

/// A plane wall between two spaces, turned by an angle (degrees) and cut square at both ends: its L2D is U times its
/// length, whatever the angle, but for the resistance that the inclination gives.
fn wall(degrees: f64, layers: &[(f64, f64)], length: f64) -> (String, f64) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let point = |along: f64, across: f64| {
        format!("[{:?}, {:?}]", along * cos - across * sin, along * sin + across * cos)
    };
    let quad = |from: f64, to: f64| {
        format!("[{}, {}, {}, {}]", point(0.0, from), point(length, from), point(length, to), point(0.0, to))
    };
    let mut text = String::from(
        "coldseam: 1\ntitle: wall\nenvironments:\n  room: { role: internal, temperature: 20 }\n  \
         outside: { role: external, temperature: 0 }\nextent: { x: [-9000, 9000], y: [-9000, 9000] }\nmaterials:\n",
    );
    for (number, (_, conductivity)) in layers.iter().enumerate() {
        writeln!(text, "  m{number}: {{ conductivity: {conductivity}, source: test }}").unwrap();
    }
    let thickness: f64 = layers.iter().map(|layer| layer.0).sum();
    writeln!(text, "plan:\n  - {{ space: room, points: {} }}", quad(-300.0, 0.0)).unwrap();
    writeln!(text, "  - {{ space: outside, points: {} }}", quad(thickness, thickness + 300.0)).unwrap();
    let (mut from, mut resistance) = (0.0, 0.0);
    for (number, (thickness, conductivity)) in layers.iter().enumerate() {
        writeln!(text, "  - {{ fill: m{number}, points: {} }}", quad(from, from + thickness)).unwrap();
        from += thickness;
        resistance += thickness * 1e-3 / conductivity;
    }
    (text, resistance)
}

/// ISO 6946:2017, table 7 and 6.8: 0.13 for flow within 30° of the horizontal, 0.10 upwards, 0.17 downwards. The room
/// lies below the wall for angles between −90° and 90°.
fn internal_resistance(degrees: f64) -> f64 {
    let inclination = degrees.abs();
    if inclination > 60.0 && inclination < 120.0 {
        0.13
    } else if inclination < 90.0 {
        0.10
    } else {
        0.17
    }
}

#[test]
fn a_plane_wall_has_its_u_value_at_any_angle() {
    let layers = [(15.0, 0.7), (0.2, 50.0), (240.0, 0.035), (1.0, 160.0), (22.0, 0.13)];
    for degrees in [7.0, 35.0, 59.0, 61.0, 88.0, 119.0, 121.0, 165.0, -20.0, -61.0, -133.0] {
        let (text, resistance) = wall(degrees, &layers, 1700.0);
        let outcome = solve(&text);
        let exact = 1.7 / (internal_resistance(degrees) + resistance + 0.04);
        let l2d = outcome.l2d.unwrap();
        let rounding = 1e-9 * exact;
        assert!(
            l2d.lower() <= exact + rounding && exact <= l2d.upper() + rounding && l2d.half_width() < 1e-7,
            "{degrees}°: {exact} {l2d:?}"
        );
        let factor = outcome.factors[0].coldest.as_ref().unwrap().factor;
        let expected = 1.0 - internal_resistance(degrees) * exact / 1.7;
        assert!((factor - expected).abs() < 1e-7, "{degrees}°: f {factor}, {expected}");
        assert!(outcome.heat_balance < 1e-9 && outcome.on_triangles().is_some());
    }
}

/// A shipped case with its shapes as polygons that are no rectangles for the reader: a corner moved by so little that
/// nothing measurable changes makes the whole plan one of edges. Everything must come out as on the grid.
#[test]
fn shipped_cases_come_out_the_same_as_edges() {
    let mut compared = 0;
    for shipped in shipped::all() {
        // Build-ups, climate and dwelling are no junctions.
        let Ok(case) = case::from_text(shipped.name, shipped.text, &[]) else { continue };
        let model = &case.model;
        let has_floor = model
            .psi
            .iter()
            .flat_map(|psi| &psi.flanking)
            .any(|item| matches!(item.u_value, coldseam::model::UValueSource::Floor { .. }));
        if has_floor || !model.cavities.is_empty() {
            continue;
        }
        compared += 1;
        let mut sloped = case.clone();
        for shape in &mut sloped.model.plan {
            let [only] = shape.area.rectangles() else { continue };
            shape.area = Area::Polygon(Polygon::of(only.corners().to_vec()));
        }
        let demand = Demand::default();
        let level = result::compute_to(case, &demand).unwrap();
        let other = result::compute_to(sloped, &demand).unwrap();
        assert!(other.on_triangles().is_some(), "{}", shipped.name);
        let name = shipped.name;
        let (one, two) = (level.l2d.unwrap(), other.l2d.unwrap());
        assert!(one.overlaps(two) && two.half_width() <= 1.01e-4, "{name}: {one:?} {two:?}");
        assert_eq!(warnings(&level), warnings(&other), "{name}");
        assert_eq!(level.notes, other.notes, "{name}");
        for (own, others) in level.elements.iter().zip(&other.elements) {
            assert!((own.u_value - others.u_value).abs() < 1e-12, "{name}: {}", own.element);
        }
        for (own, others) in level.psi.iter().zip(&other.psi) {
            assert!(own.bracket.overlaps(others.bracket), "{name}: {own:?} {others:?}");
        }
        assert_eq!(level.plan.level.runs.len(), other.plan.level.runs.len(), "{name}");
        for (own, others) in level.plan.level.runs.iter().zip(&other.plan.level.runs) {
            assert_eq!(
                (own.heat_flow, own.told),
                (others.heat_flow, others.told),
                "{name}: {own:?} {others:?}"
            );
        }
        for (own, others) in level.factors.iter().zip(&other.factors) {
            for (is_excluded, pair) in [
                (false, own.coldest.as_ref().zip(others.coldest.as_ref())),
                (true, own.coldest_excluded.as_ref().zip(others.coldest_excluded.as_ref())),
            ] {
                let Some((one, two)) = pair else { continue };
                let errors = [&level, &other]
                    .map(|outcome| outcome.coldest_error(own.environment, is_excluded).unwrap())
                    .iter()
                    .sum::<f64>();
                assert!(
                    (one.factor - two.factor).abs() <= errors,
                    "{name}: f {} {} ± {errors}",
                    one.factor,
                    two.factor
                );
            }
        }
        for is_condensation in [false, true] {
            let points = |outcome: &Outcome| {
                let own = if is_condensation { &outcome.points_condensation } else { &outcome.points };
                own.iter().cloned().zip(outcome.point_errors(is_condensation)).collect::<Vec<_>>()
            };
            for (((point, one), own), ((_, two), others)) in points(&level).into_iter().zip(points(&other)) {
                assert!((one - two).abs() <= own + others, "{name}: {point} {one} ± {own}, {two} ± {others}");
            }
        }
        let length = |outcome: &Outcome| -> f64 {
            outcome
                .profiles
                .iter()
                .filter_map(|profile| profile.stations.last())
                .map(|last| last.distance)
                .sum()
        };
        assert!((length(&level) - length(&other)).abs() < 1e-9, "{name}");
        // The second solution of a plan of edges is another mesh, and agrees.
        let again = independent::solve(&other).unwrap();
        assert!(again.l2d.unwrap().overlaps(two), "{name}");
        assert!(again.places.iter().all(|place| !place.contradicts()), "{name}: {:?}", again.places);
    }
    assert!(compared >= 8, "{compared}");
}

const EAVES: &str = include_str!("results/sloped.yaml");

/// ψ of a junction does not depend on where the roof is cut, if it is cut square and far enough away.
#[test]
fn psi_does_not_depend_on_where_a_slope_is_cut() {
    let longer = EAVES
        .replace("l: 1800", "l: 2300")
        .replace("x: [-900, 2300]", "x: [-900, 3300]")
        .replace("2300] }\nmaterials", "2900] }\nmaterials");
    let [one, two] = [EAVES, &longer].map(solve);
    assert!(warnings(&one).is_empty(), "{:?}", warnings(&one));
    assert!(warnings(&two).is_empty(), "{:?}", warnings(&two));
    let far = two.psi[0].bracket;
    assert!(one.psi[0].bracket.overlaps(far), "{} {far}", one.psi[0].bracket);
    assert!(two.l2d.unwrap().lower() > one.l2d.unwrap().upper());
    let run = &one.plan.level.runs[0];
    assert!((run.length() - 1.8).abs() < 1e-9 && one.plan.level.runs.len() == 1);
    assert!(independent::solve(&one).unwrap().l2d.unwrap().overlaps(one.l2d.unwrap()));
}

/// The mirror image of a junction is as good as itself.
#[test]
fn a_mirrored_eaves_is_the_same() {
    let mut case = case::from_text("eaves", EAVES, &[]).unwrap();
    let own = solve(EAVES);
    for shape in &mut case.model.plan {
        shape.area = match &shape.area {
            Area::Rectangles(areas) => Area::Rectangles(
                areas
                    .iter()
                    .map(|area| Rectangle::new([-area.x.to, -area.x.from], [area.y.from, area.y.to]))
                    .collect(),
            ),
            Area::Polygon(polygon) => {
                let mirrored = polygon.outline.iter().map(|[x, y]| [-x, *y]);
                Area::Polygon(Polygon::of(mirrored.collect()))
            }
            Area::Round(_) => panic!("there is no circle in it"),
        };
    }
    case.model.extent = Rectangle::new([-2.3, 0.9], [-1.5, 2.3]);
    case.model.psi = None;
    case.model.points[0].x = -case.model.points[0].x;
    let mirrored = result::compute(case).unwrap();
    let (one, two) = (own.l2d.unwrap(), mirrored.l2d.unwrap());
    assert!(one.overlaps(two), "{one} {two}");
    let factors = [&own, &mirrored].map(|outcome| outcome.factors[0].coldest.as_ref().unwrap().factor);
    assert!((factors[0] - factors[1]).abs() < 2e-3, "{factors:?}");
    assert!((own.points[0].1 - mirrored.points[0].1).abs() < 0.04);
}

#[test]
fn what_a_slope_makes_doubtful_is_said() {
    let told = |text: &str, wanted: &str| {
        let found = warnings(&solve(text));
        assert!(found.iter().any(|message| message.contains(wanted)), "{wanted}: {found:?}");
    };
    // Without the roof among the flanking elements.
    let without = EAVES.replace("    - { element: roof, u_value: u, internal: [0, l] }\n", "");
    told(&without, "no flanking element takes off what is cut between");
    // One element more than there are planes.
    let more = EAVES.replace(
        "points: {",
        "    - { element: another, u_value: 0.2, along: x, internal: [0, l] }\npoints: {",
    );
    told(&more, "another is taken off, but its length ends at no cut-off plane");
    // Corners that were rounded: the gap is filled with what was painted before.
    let gap = EAVES.replace(
        "{ fill: block, x: [-175, 0], y: [-1500, 200] }",
        "{ fill: block, points: [[-175, -1500], [0, -1500], [0, 198.5], [-175, 76]] }",
    );
    told(&gap, "a gap of");
    // A level cut through what slopes.
    let level = EAVES.replace("x: [-900, 2300], y", "x: [-900, 1000], y").replace("[0, l]", "[0, 1000]");
    told(&level, "cuts what slopes");
    // A U-value, a length and a cut that are not those of what is drawn.
    told(&EAVES.replace("u_value: u", "u_value: 0.2"), "what is drawn where it is cut");
    told(
        &EAVES.replace("u_value: u, internal: [0, l]", "u_value: u, internal: [0, 1500]"),
        "is shorter than the surface",
    );
    told(
        &EAVES.replace("u_value: u, internal: [0, l]", "u_value: u, internal: [0, 2100]"),
        "is longer than the surface",
    );
    let askew = EAVES.replace("qx: px - t * s", "qx: px - t * s - 70");
    told(&askew, "off square to the surfaces");
}

/// Half a ridge at its plane of symmetry has half the loss of the whole, and nothing about it is doubtful.
#[test]
fn half_a_ridge_is_half_of_the_whole() {
    let head = "coldseam: 1\ntitle: ridge\nmaterials: { board: { conductivity: 0.04, source: test } }\n\
                environments:\n  room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: 0 }\n";
    let roof =
        "{ element: roof, u_value: 1 / (0.1 + sqrt(0.08) / 0.04 + 0.04), internal: [0, 1000 * sqrt(2)] }";
    let half = format!(
        "{head}extent: {{ x: [0, 2000], y: [-1500, 1500] }}\nplan:\n\
         \x20 - {{ fill: board, points: [[0, 0], [1000, -1000], [1200, -800], [0, 400]] }}\n\
         \x20 - {{ space: room, points: [[0, 0], [1000, -1000], [900, -1100], [0, -200]] }}\n\
         \x20 - {{ space: outside, points: [[0, 400], [1200, -800], [1300, -700], [0, 600]] }}\n\
         psi:\n  symmetry: [{{ x: 0 }}]\n  flanking: [{roof}]\n"
    );
    let whole = format!(
        "{head}extent: {{ x: [-2000, 2000], y: [-1500, 1500] }}\nplan:\n\
         \x20 - {{ fill: board, points: [[0, 0], [1000, -1000], [1200, -800], [0, 400], [-1200, -800], [-1000, -1000]] }}\n\
         \x20 - {{ space: room, points: [[0, 0], [1000, -1000], [900, -1100], [0, -200], [-900, -1100], [-1000, -1000]] }}\n\
         \x20 - {{ space: outside, points: [[0, 400], [1200, -800], [1300, -700], [0, 600], [-1300, -700], [-1200, -800]] }}\n\
         psi:\n  flanking:\n    - {roof}\n    - {}\n",
        roof.replace("element: roof", "element: other roof")
    );
    let [half, whole] = [&half, &whole].map(|text| solve(text));
    for outcome in [&half, &whole] {
        assert!(warnings(outcome).is_empty(), "{:?}", warnings(outcome));
    }
    let (one, two) = (half.psi[0].bracket, whole.psi[0].bracket);
    assert!(2.0 * one.lower() <= two.upper() && two.lower() <= 2.0 * one.upper(), "{one} {two}");
}
