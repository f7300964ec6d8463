//! Drawings of polygons become the triangles that were drawn, and stay that when the mesh refines itself.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeMap;

use coldseam::triangulation::{
    Drawing, Filling, Mesh, Metric, NONE, Outline, Stroke, TriangulationError, mark,
};

mod polygons;
use polygons::checks::{
    assert_alike, assert_complete, assert_sides, check, edge, enclosed, solid_areas, triangle_area,
};
use polygons::{Dice, Kind, Point, all_edges, areas, moved, random_drawing, rectangle};

/// How many random drawings of each kind; more by `DRAWINGS=10000 cargo test --release --test triangulation_geometry`.
fn drawings() -> u64 {
    std::env::var("DRAWINGS").ok().and_then(|number| number.parse().ok()).unwrap_or(150)
}

fn random_edges(dice: &mut Dice, mesh: &Mesh) -> Vec<[u32; 2]> {
    let triangles = mesh.corners.len() as i64;
    (0..dice.between(1, 30))
        .map(|_| edge(mesh.corners[dice.between(0, triangles - 1) as usize], dice.between(0, 2) as usize))
        .collect()
}

fn metrics(dice: &mut Dice) -> Vec<Metric> {
    match dice.between(0, 2) {
        0 => vec![Metric::of_conductivity([0.13, 0.0, 0.3]), Metric::of_conductivity([1.0, 0.9, 1.0])],
        _ => Vec::new(),
    }
}

#[test]
fn random_drawings_become_what_is_painted_and_stay_so() {
    let (mut asked, mut sides, mut moved_edges) = (0, 0, 0);
    for kind in [Kind::Level, Kind::Any, Kind::Nearly] {
        for seed in 0..drawings() {
            let what = format!("{kind:?} {seed}");
            let mut dice = Dice(seed * 7 + kind as u64);
            let mut drawing = random_drawing(&mut dice, kind);
            let far = dice.between(0, 3) == 0;
            if far {
                drawing = moved(&drawing, [700.0, -900.0]);
            }
            let metrics = metrics(&mut dice);
            let (arrangement, mut mesh) =
                Mesh::of(&drawing, &metrics).unwrap_or_else(|e| panic!("{what}: {e}"));
            // Moving an edge by 1e-8 m changes areas by that times its length. That is for points that nearly
            // fall together, which near the tips of wedges crossings do in any drawing; others stay where they are.
            let round: f64 = all_edges(&drawing).iter().map(|[a, b]| (b[0] - a[0]).hypot(b[1] - a[1])).sum();
            let within = 1e-8 * round;
            let expected = areas(&drawing);
            let found = enclosed(&arrangement);
            assert_alike(&found, &expected, within, &what);
            let rounding = round * if far { 1e-12 } else { 1e-14 };
            let is_exact = |(filling, area): (&Filling, &f64)| {
                (area - found.get(filling).copied().unwrap_or(0.0)).abs() <= rounding
            };
            if kind != Kind::Nearly && !expected.iter().all(is_exact) {
                moved_edges += 1;
            }
            let solid: BTreeMap<_, _> =
                expected.into_iter().filter(|(filling, _)| matches!(filling, Filling::Solid(_))).collect();
            assert_alike(&solid_areas(&mesh), &solid, within, &what);
            asked += assert_sides(&drawing, &arrangement, kind, &what);
            sides += 2 * arrangement.segments.len();
            check(&mesh, &arrangement, &metrics, &what);
            assert_complete(&mesh, &arrangement, &what);
            if mesh.corners.is_empty() {
                continue;
            }
            let before = solid_areas(&mesh);
            for round in 0..10 {
                let edges = random_edges(&mut dice, &mesh);
                let points = mesh.points.len();
                let split = mesh.refine(&edges, &metrics);
                assert_eq!(mesh.points.len(), points + split);
                check(&mesh, &arrangement, &metrics, &format!("{what} round {round}"));
            }
            assert_complete(&mesh, &arrangement, &what);
            assert_alike(&solid_areas(&mesh), &before, 1e-11, &what);
            let fine = mesh.quarter();
            assert_eq!(fine.corners.len(), 4 * mesh.corners.len());
            assert_complete(&fine, &arrangement, &what);
            for (t, corners) in fine.corners.iter().enumerate() {
                let part = 4.0 * triangle_area(&fine.points, *corners);
                let whole = triangle_area(&mesh.points, mesh.corners[t / 4]);
                assert!((part - whole).abs() < 1e-6 * whole + 1e-12, "{what}: {part} of {whole}");
            }
        }
    }
    assert!(asked * 10 > sides * 7, "{asked} of {sides} sides could be asked");
    assert!(moved_edges * 200 <= drawings(), "edges moved in {moved_edges} drawings");
}

fn stroke(filling: Filling, outline: Vec<Point>) -> Stroke {
    Stroke { filling, outline, holes: Vec::new() }
}

fn drawing(strokes: Vec<Stroke>) -> Drawing {
    Drawing { strokes, extent: rectangle([-10.0, -10.0], [10.0, 10.0]), cuts: Vec::new() }
}

const WALL: Filling = Filling::Solid(0);
const BOARD: Filling = Filling::Solid(1);
const ROOM: Filling = Filling::Space(0);

#[test]
fn the_same_drawing_gives_the_same_bits() {
    for seed in 0..40 {
        let drawing = random_drawing(&mut Dice(seed), Kind::Any);
        let run = || {
            let (arrangement, mut mesh) = Mesh::of(&drawing, &[]).unwrap();
            let mismatch: Vec<f64> = (0..mesh.corners.len()).map(|t| mesh.area(t)).collect();
            let edges = mark(&mesh, &mismatch, 0.7, &[]);
            mesh.refine(&edges, &[]);
            let bits = |points: &[Point]| points.iter().map(|p| p.map(f64::to_bits)).collect::<Vec<_>>();
            (bits(&arrangement.points), arrangement.segments, bits(&mesh.points), mesh.corners, mesh.beyond)
        };
        assert!(run() == run(), "{seed}");
    }
}

#[test]
fn what_is_painted_over_leaves_no_trace() {
    let plain = drawing(vec![stroke(WALL, rectangle([0.0, 0.0], [2.0, 1.0]))]);
    let strokes = vec![
        stroke(ROOM, rectangle([0.1, 0.1], [0.4, 0.9])),
        stroke(BOARD, vec![[1.0, -0.5], [1.7, 0.5], [1.0, 1.5], [0.3, 0.5]]),
        // In three parts that share edges only partly.
        stroke(WALL, rectangle([0.0, 0.0], [1.0, 1.0])),
        stroke(WALL, rectangle([1.0, 0.0], [2.0, 0.3])),
        stroke(WALL, rectangle([1.0, 0.3], [2.0, 1.0])),
        stroke(Filling::Nothing, rectangle([0.0, 1.0], [2.0, 2.0])),
        stroke(Filling::Nothing, rectangle([0.0, -1.0], [2.0, 0.0])),
        stroke(WALL, rectangle([0.0, 0.0], [2.0, 1.0])),
    ];
    let (one, mesh) = Mesh::of(&plain, &[]).unwrap();
    let (other, _) = Mesh::of(&drawing(strokes), &[]).unwrap();
    assert_eq!((one.segments.len(), mesh.corners.len()), (4, 2));
    let mut points = [one.points, other.points];
    for points in &mut points {
        points.sort_by(|p, q| p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])));
    }
    assert_eq!(points[0], points[1]);
    assert_eq!(other.segments.len(), 4);
}

#[test]
fn cuts_leave_vertices_on_edges_and_nothing_else() {
    let mut cut = drawing(vec![
        stroke(ROOM, rectangle([-5.0, -5.0], [5.0, 5.0])),
        stroke(WALL, rectangle([0.0, 0.0], [2.0, 1.0])),
    ]);
    cut.cuts = vec![rectangle([0.5, 0.5], [1.0, 3.0]), rectangle([0.2, 0.2], [0.4, 0.4])];
    let (arrangement, mesh) = Mesh::of(&cut, &[]).unwrap();
    let on_top: Vec<f64> =
        arrangement.points.iter().filter(|p| p[1] == 1.0).map(|p| p[0]).collect::<Vec<_>>();
    let mut sorted = on_top.clone();
    sorted.sort_by(f64::total_cmp);
    assert_eq!(sorted, [0.0, 0.5, 1.0, 2.0]);
    assert_eq!(arrangement.points.len(), 4 + 4 + 2);
    check(&mesh, &arrangement, &[], "cuts");
}

#[test]
fn polygons_that_touch_in_a_vertex_or_enclose_spaces_stay_so() {
    let touching = drawing(vec![
        stroke(ROOM, rectangle([-5.0, -5.0], [5.0, 5.0])),
        stroke(WALL, rectangle([0.0, 0.0], [1.0, 1.0])),
        stroke(WALL, rectangle([1.0, 1.0], [2.0, 2.0])),
        Stroke {
            filling: BOARD,
            outline: rectangle([-2.0, -2.0], [3.0, 3.0]),
            holes: vec![rectangle([-1.0, -1.0], [2.5, 2.5])],
        },
    ]);
    let (arrangement, mesh) = Mesh::of(&touching, &[]).unwrap();
    check(&mesh, &arrangement, &[], "touching");
    let areas = solid_areas(&mesh);
    assert_eq!(areas[&WALL], 2.0);
    assert_eq!(areas[&BOARD], 25.0 - 12.25);
    let shared = mesh.points.iter().filter(|p| **p == [1.0, 1.0]).count();
    assert_eq!(shared, 1);
}

#[test]
fn polygons_that_are_none_are_told() {
    let of = |strokes| Mesh::of(&drawing(strokes), &[]).map(|_| ()).unwrap_err();
    let square = || rectangle([0.0, 0.0], [1.0, 1.0]);
    let first = Outline::Stroke(0);
    let bow = vec![[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]];
    let crosses = |outline, edges| TriangulationError::CrossesItself { outline, edges };
    assert_eq!(of(vec![stroke(WALL, bow.clone())]), crosses(first, [0, 2]));
    // Twice over, and where another edge passes through the crossing.
    let through = vec![[0.5, 0.5], [2.0, 0.5], [2.0, 0.7]];
    let strokes = vec![stroke(ROOM, through), stroke(WALL, bow.clone()), stroke(WALL, bow.clone())];
    assert_eq!(of(strokes), crosses(Outline::Stroke(1), [0, 2]));
    let hole = Stroke { filling: WALL, outline: square(), holes: vec![square(), bow.clone()] };
    assert_eq!(of(vec![hole]), crosses(Outline::Hole { stroke: 0, hole: 1 }, [0, 2]));
    // In a vertex of its own, once through an edge and once through a vertex; and twice round.
    let in_edge = vec![[0.0, 0.0], [1.0, 0.0], [0.5, 0.5], [1.0, 1.0], [0.0, 1.0], [0.5, 0.5]];
    assert!(Mesh::of(&drawing(vec![stroke(WALL, in_edge)]), &[]).is_ok(), "touching is not crossing");
    let poking = |depth: f64| vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.5, -depth], [0.0, 1.0]];
    assert!(Mesh::of(&drawing(vec![stroke(WALL, poking(1e-9))]), &[]).is_ok(), "nor is rounding");
    assert_eq!(of(vec![stroke(WALL, poking(1e-7))]), crosses(first, [0, 2]));
    let bow_in_vertex = vec![[0.0, 0.0], [0.5, 0.5], [1.0, 1.2], [1.0, 0.0], [0.5, 0.5], [0.0, 1.0]];
    let twice: Vec<Point> = square().into_iter().chain(square()).collect();
    for outline in [bow_in_vertex, twice] {
        let found = of(vec![stroke(WALL, outline)]);
        assert!(
            matches!(found, TriangulationError::OverlapsItself { outline, .. } if outline == first),
            "{found}"
        );
    }
    let few = |distinct| TriangulationError::TooFewVertices { outline: first, distinct };
    assert_eq!(of(vec![stroke(WALL, vec![])]), few(0));
    assert_eq!(of(vec![stroke(WALL, vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1e-9], [0.0, 0.0]])]), few(2));
    let flat = TriangulationError::NoArea { outline: first };
    assert_eq!(of(vec![stroke(WALL, vec![[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.5, 0.5]])]), flat);
    assert_eq!(of(vec![stroke(WALL, rectangle([0.0, 0.0], [5.0, 4e-9]))]), few(2));
    assert_eq!(of(vec![stroke(WALL, vec![[0.0, 0.0], [1.0, 0.0], [2.0, 4e-9], [3.0, 0.0]])]), flat);
    for wrong in [f64::NAN, f64::INFINITY, -1e5] {
        let found = of(vec![stroke(WALL, vec![[0.0, 0.0], [1.0, 0.0], [1.0, wrong]])]);
        assert_eq!(found, TriangulationError::OutOfRange { outline: first, vertex: 2 });
    }
    let nothing = Drawing { extent: square(), ..Drawing::default() };
    let (arrangement, mesh) = Mesh::of(&nothing, &[]).unwrap();
    assert!(arrangement.segments.is_empty() && mesh.corners.is_empty() && mesh.quarter().points.is_empty());
    let none = Mesh::of(&Drawing::default(), &[]).map(|_| ()).unwrap_err();
    assert_eq!(none, TriangulationError::TooFewVertices { outline: Outline::Extent, distinct: 0 });
}

/// A mismatch that falls with the distance from a place, as at an end of a bridge.
fn near(mesh: &Mesh, place: Point) -> Vec<f64> {
    (0..mesh.corners.len())
        .map(|t| {
            let [a, b, c] = mesh.corners[t].map(|corner| mesh.points[corner as usize]);
            let middle = [0, 1].map(|axis| (a[axis] + b[axis] + c[axis]) / 3.0 - place[axis]);
            mesh.area(t) / (middle[0].hypot(middle[1]) + 1e-3)
        })
        .collect()
}

#[test]
fn marking_turns_thin_layers_into_columns() {
    for (angle, thickness) in [(0.0, 2e-4), (0.6, 2e-4), (0.6, 5e-5), (2.0, 1e-3)] {
        let turn = |points: Vec<Point>| -> Vec<Point> {
            let (sine, cosine) = f64::sin_cos(angle);
            points.iter().map(|[x, y]| [cosine * x - sine * y, sine * x + cosine * y]).collect()
        };
        let foil = Filling::Solid(2);
        let roof = drawing(vec![
            stroke(ROOM, rectangle([-9.0, -9.0], [9.0, 9.0])),
            stroke(WALL, turn(rectangle([0.0, 0.0], [6.0, 0.3]))),
            stroke(foil, turn(rectangle([0.0, 0.1], [6.0, 0.1 + thickness]))),
            stroke(BOARD, turn(rectangle([0.0, 0.1 + thickness], [6.0, 0.1 + 2.0 * thickness]))),
        ]);
        let (arrangement, mut mesh) = Mesh::of(&roof, &[]).unwrap();
        let [place] = turn(vec![[0.0, 0.1]])[..] else { unreachable!() };
        for _ in 0..10 {
            let mismatch = near(&mesh, place);
            let edges = mark(&mesh, &mismatch, 0.7, &[]);
            assert!(!edges.is_empty());
            assert_eq!(mesh.refine(&edges, &[]), edges.len());
            check(&mesh, &arrangement, &[], "roof");
        }
        assert!((60..1000).contains(&mesh.corners.len()), "{} triangles", mesh.corners.len());
        // Columns: every point of the foil lies on one of its long edges.
        let is_foil = |t: &usize| mesh.filling[*t] == foil;
        let inside =
            (0..mesh.corners.len()).filter(is_foil).flat_map(|t| mesh.corners[t]).filter(|&corner| {
                let p = mesh.points[corner as usize];
                let across = -f64::sin(angle) * p[0] + f64::cos(angle) * p[1] - 0.1;
                across > 1e-9 && across < thickness - 1e-9
            });
        assert_eq!(inside.count(), 0);
        // Triangles of the foil, two a column, are as long as those beside it near the place, not as thin as it.
        let columns = (0..mesh.corners.len()).filter(is_foil).count();
        assert!((10..200).contains(&columns), "{columns} triangles in the foil");
    }
}

#[test]
fn an_edge_of_a_thin_layer_is_split_with_those_beyond() {
    // Wall, two foils, wall; the mismatch is in the lower wall alone, whose longest edge is its foil's.
    let strokes = vec![
        stroke(WALL, vec![[0.0, 0.0], [6.0, 0.0], [3.0, -3.0]]),
        stroke(BOARD, rectangle([0.0, 0.0], [6.0, 2e-4])),
        stroke(Filling::Solid(2), rectangle([0.0, 2e-4], [6.0, 4e-4])),
        stroke(Filling::Solid(3), vec![[0.0, 4e-4], [6.0, 4e-4], [3.0, 3.0]]),
    ];
    let (arrangement, mut mesh) = Mesh::of(&drawing(strokes), &[]).unwrap();
    assert_eq!(mesh.corners.len(), 6);
    let mismatch: Vec<f64> = mesh.filling.iter().map(|f| f64::from(u8::from(*f == WALL))).collect();
    let edges = mark(&mesh, &mismatch, 0.7, &[]);
    let mut heights: Vec<f64> = edges.iter().flatten().map(|end| mesh.points[*end as usize][1]).collect();
    heights.sort_by(f64::total_cmp);
    assert_eq!(heights, [0.0, 0.0, 2e-4, 2e-4, 4e-4, 4e-4]);
    assert_eq!(mesh.refine(&edges, &[]), 3);
    check(&mesh, &arrangement, &[], "foils");
    assert_eq!(mesh.corners.len(), 2 + 4 + 4 + 2);
}

#[test]
fn nothing_is_marked_where_nothing_mismatches_and_all_where_all_does() {
    let (_, mesh) = Mesh::of(&drawing(vec![stroke(WALL, rectangle([0.0, 0.0], [2.0, 1.0]))]), &[]).unwrap();
    assert!(mark(&mesh, &[0.0, 0.0], 0.7, &[]).is_empty());
    // Alike but for rounding: both, by their common longest edge.
    assert_eq!(mark(&mesh, &[1.0, 1.0 + 1e-12], 0.4, &[]).len(), 1);
    let mut refined = mesh.clone();
    assert_eq!(
        refined.refine(&[[0, 1], [1, 0], [7, 9], [2, 2]], &[]),
        1,
        "twice the same edge, two that are none"
    );
}

#[test]
fn a_metric_turns_diagonals() {
    // Points on a raster of 1 m by 1 m in a material that conducts well along a diagonal: its triangles run along.
    let strokes = (0..3).flat_map(|i| (0..3).map(move |j| [f64::from(i), f64::from(j)]));
    let mut raster = drawing(vec![stroke(WALL, rectangle([0.0, 0.0], [3.0, 3.0]))]);
    raster.strokes.extend(
        strokes
            .filter(|p| (p[0] + p[1]) % 2.0 == 0.0)
            .map(|p| stroke(BOARD, rectangle(p, [p[0] + 1.0, p[1] + 1.0]))),
    );
    for sign in [1.0, -1.0] {
        let metric = Metric::of_conductivity([1.0, sign * 0.9, 1.0]);
        let (_, mesh) = Mesh::of(&raster, &[metric; 2]).unwrap();
        for t in 0..mesh.corners.len() {
            for k in (0..3).filter(|&k| mesh.segment[t][k] == NONE) {
                let [a, b] = edge(mesh.corners[t], k).map(|end| mesh.points[end as usize]);
                assert_eq!((b[0] - a[0]) * (b[1] - a[1]), sign);
            }
        }
    }
}

#[test]
fn refining_at_the_tip_of_a_wedge_does_not_hang() {
    for (degrees, turned) in [(1.0, 0.0), (1.0, 0.5), (0.01, 0.3), (1e-5, 0.3)] {
        let at = |length: f64, angle: f64| {
            let angle: f64 = angle + turned;
            [700.0 + length * angle.cos(), -300.0 + length * angle.sin()]
        };
        let tip = at(0.0, 0.0);
        let wedge = f64::to_radians(degrees);
        let mut roof = drawing(vec![
            stroke(WALL, vec![at(-1.0, 0.8), at(3.0, 0.0), at(3.0, 1.0)]),
            stroke(BOARD, vec![tip, at(2.9, 0.0), at(2.9, wedge)]),
        ]);
        roof.extent = rectangle([690.0, -310.0], [710.0, -290.0]);
        let (arrangement, mut mesh) = Mesh::of(&roof, &[]).unwrap();
        let mut split = 0;
        for round in 0..80 {
            // As strong a singularity as there is: only the triangles at the tip mismatch.
            let is_at_tip =
                |t: usize| mesh.corners[t].iter().any(|corner| mesh.points[*corner as usize] == tip);
            let mismatch: Vec<f64> =
                (0..mesh.corners.len()).map(|t| f64::from(u8::from(is_at_tip(t)))).collect();
            let edges = mark(&mesh, &mismatch, 0.7, &[]);
            split = mesh.refine(&edges, &[]);
            if round % 10 == 9 {
                check(&mesh, &arrangement, &[], &format!("{degrees}° round {round}"));
                assert_complete(&mesh, &arrangement, "wedge");
            }
        }
        // Some twenty triangles a round, until edges are as short as rounding.
        assert_eq!(split, 0, "{degrees}°");
        assert!((500..1000).contains(&mesh.corners.len()), "{} triangles at {degrees}°", mesh.corners.len());
    }
}
