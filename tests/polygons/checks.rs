//! What must hold for any arrangement and any mesh.

use std::collections::BTreeMap;

use coldseam::triangulation::{Arrangement, Drawing, Filling, Mesh, Metric, NONE};
use robust::{Coord, incircle, orient2d};

use super::{Kind, Point, all_edges, cross, distance, painted};

pub fn triangle_area(points: &[Point], corners: [u32; 3]) -> f64 {
    let [a, b, c] = corners.map(|corner| points[corner as usize]).map(|[x, y]| Coord { x, y });
    0.5 * orient2d(a, b, c)
}

pub fn length(points: &[Point], [a, b]: [u32; 2]) -> f64 {
    let [a, b] = [points[a as usize], points[b as usize]];
    (b[0] - a[0]).hypot(b[1] - a[1])
}

pub fn edge(corners: [u32; 3], k: usize) -> [u32; 2] {
    [corners[(k + 1) % 3], corners[(k + 2) % 3]]
}

/// By filling, what the edges around it enclose.
pub fn enclosed(arrangement: &Arrangement) -> BTreeMap<Filling, f64> {
    let mut areas = BTreeMap::new();
    let Some(origin) = arrangement.points.first() else { return areas };
    for segment in &arrangement.segments {
        let [a, b] = segment.ends.map(|end| arrangement.points[end as usize]);
        let half = 0.5 * cross(*origin, a, b);
        *areas.entry(segment.left).or_insert(0.0) += half;
        *areas.entry(segment.right).or_insert(0.0) -= half;
    }
    areas.remove(&Filling::Nothing);
    areas
}

pub fn solid_areas(mesh: &Mesh) -> BTreeMap<Filling, f64> {
    let mut areas = BTreeMap::new();
    for (corners, filling) in mesh.corners.iter().zip(&mesh.filling) {
        *areas.entry(*filling).or_insert(0.0) += triangle_area(&mesh.points, *corners);
    }
    areas
}

pub fn assert_alike(one: &BTreeMap<Filling, f64>, other: &BTreeMap<Filling, f64>, within: f64, what: &str) {
    for filling in one.keys().chain(other.keys()) {
        let [a, b] = [one, other].map(|areas| areas.get(filling).copied().unwrap_or(0.0));
        assert!((a - b).abs() <= within, "{what}: {filling:?} has {a} m² and {b} m², {:e} apart", a - b);
    }
}

/// What must hold for any mesh of an arrangement.
pub fn check(mesh: &Mesh, arrangement: &Arrangement, metrics: &[Metric], what: &str) {
    let mut used = vec![false; mesh.points.len()];
    for t in 0..mesh.corners.len() {
        let corners = mesh.corners[t];
        for corner in corners {
            used[corner as usize] = true;
        }
        assert!(triangle_area(&mesh.points, corners) > 0.0, "{what}: triangle {t} is not positive");
        assert!(
            matches!(mesh.filling[t], Filling::Solid(_)),
            "{what}: triangle {t} of {:?}",
            mesh.filling[t]
        );
        for k in 0..3 {
            let ends = edge(corners, k);
            let (s, segment) = (mesh.beyond[t][k], mesh.segment[t][k]);
            if s != NONE {
                let s = s as usize;
                let j = (0..3).find(|&j| mesh.beyond[s][j] as usize == t).expect("neighbours are mutual");
                assert_eq!(edge(mesh.corners[s], j), [ends[1], ends[0]], "{what}");
                assert_eq!(mesh.segment[s][j], segment, "{what}");
                assert_eq!(segment == NONE, mesh.filling[s] == mesh.filling[t], "{what}");
                if segment == NONE {
                    assert_delaunay(mesh, (t, k), (s, j), metrics, what);
                }
            }
            assert!(s != NONE || segment != NONE, "{what}: edge of nothing");
            if segment != NONE {
                let known = arrangement.segments[segment as usize];
                let [a, b] = known.ends.map(|end| arrangement.points[end as usize]);
                let [p, q] = ends.map(|end| mesh.points[end as usize]);
                assert!(
                    distance(p, [a, b]).max(distance(q, [a, b])) < 1e-11,
                    "{what}: a piece off its segment"
                );
                let along = (b[0] - a[0]) * (q[0] - p[0]) + (b[1] - a[1]) * (q[1] - p[1]);
                let sides = if along > 0.0 { [known.left, known.right] } else { [known.right, known.left] };
                assert_eq!(sides[0], mesh.filling[t], "{what}");
                let beyond = if s == NONE { None } else { Some(mesh.filling[s as usize]) };
                let solid = matches!(sides[1], Filling::Solid(_)).then_some(sides[1]);
                assert_eq!(solid, beyond, "{what}");
            }
        }
    }
    assert!(used.iter().all(|used| *used), "{what}: a point of no triangle");
}

pub fn assert_delaunay(
    mesh: &Mesh,
    (t, k): (usize, usize),
    (s, j): (usize, usize),
    metrics: &[Metric],
    what: &str,
) {
    let metric = match mesh.filling[t] {
        Filling::Solid(number) => metrics.get(number as usize).copied().unwrap_or_default(),
        _ => Metric::default(),
    };
    let [a, b] = edge(mesh.corners[t], k);
    let numbers = [mesh.corners[t][k], a, mesh.corners[s][j], b];
    let along = metric.xx.sqrt();
    let mixed = metric.xy / along;
    let across = (metric.yy - mixed * mixed).sqrt();
    let [c, a, d, b] = numbers
        .map(|number| mesh.points[number as usize])
        .map(|[x, y]| if metric == Metric::default() { [x, y] } else { [along * x + mixed * y, across * y] });
    let coord = |[x, y]: Point| Coord { x, y };
    if incircle(coord(a), coord(b), coord(c), coord(d)) <= 0.0 {
        return;
    }
    // Within the circle: by rounding only, or the quadrilateral is not convex.
    let angle = |o: Point, p: Point, q: Point| {
        let [ux, uy, vx, vy] = [p[0] - o[0], p[1] - o[1], q[0] - o[0], q[1] - o[1]];
        (ux * vy - uy * vx).atan2(ux * vx + uy * vy)
    };
    let excess = angle(c, a, b) + angle(d, b, a) - std::f64::consts::PI;
    let positive = |p: Point, q: Point, r: Point| orient2d(coord(p), coord(q), coord(r)) > 0.0;
    let plain = [[numbers[0], numbers[1], numbers[2]], [numbers[0], numbers[2], numbers[3]]];
    let convex = positive(c, a, d)
        && positive(c, d, b)
        && plain.iter().all(|corners| triangle_area(&mesh.points, *corners) > 0.0);
    assert!(excess < 1e-9 || !convex, "{what}: triangles {t} and {s} should be flipped: {excess:e}");
}

/// For every segment the sum of its pieces beside a solid.
pub fn piece_lengths(mesh: &Mesh, segments: usize) -> Vec<f64> {
    let mut lengths = vec![0.0; segments];
    for t in 0..mesh.corners.len() {
        for k in 0..3 {
            let (s, segment) = (mesh.beyond[t][k], mesh.segment[t][k]);
            if segment != NONE && (s == NONE || (s as usize) > t) {
                lengths[segment as usize] += length(&mesh.points, edge(mesh.corners[t], k));
            }
        }
    }
    lengths
}

pub fn assert_complete(mesh: &Mesh, arrangement: &Arrangement, what: &str) {
    let lengths = piece_lengths(mesh, arrangement.segments.len());
    for (segment, found) in arrangement.segments.iter().zip(lengths) {
        let is_solid = [segment.left, segment.right].iter().any(|side| matches!(side, Filling::Solid(_)));
        let expected = if is_solid { length(&arrangement.points, segment.ends) } else { 0.0 };
        assert!((found - expected).abs() < 1e-10, "{what}: {found} m of {expected} m of {segment:?}");
    }
}

/// The fillings beside every segment, asked from the strokes where no edge is near that the segment is no part
/// of. Returns how many sides could be asked.
pub fn assert_sides(drawing: &Drawing, arrangement: &Arrangement, kind: Kind, what: &str) -> usize {
    let edges = all_edges(drawing);
    let off = 1e-6;
    // Where edges nearly fall together, only one that is alone is sure to be the segment's own.
    let is_clear = |p: Point, middle: Point| {
        let near = edges.iter().filter(|edge| distance(p, **edge) < 3.0 * off);
        match kind {
            Kind::Nearly => near.count() == 1,
            _ => near.map(|edge| distance(middle, *edge)).all(|away| !(1e-11..2.0 * off).contains(&away)),
        }
    };
    let mut asked = 0;
    for segment in &arrangement.segments {
        let [a, b] = segment.ends.map(|end| arrangement.points[end as usize]);
        let long = (b[0] - a[0]).hypot(b[1] - a[1]);
        let [x, y] = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
        for (sign, filling) in [(1.0, segment.left), (-1.0, segment.right)] {
            let p = [x - sign * off * (b[1] - a[1]) / long, y + sign * off * (b[0] - a[0]) / long];
            if is_clear(p, [x, y]) {
                assert_eq!(painted(drawing, p), filling, "{what}: beside {segment:?} at {p:?}");
                asked += 1;
            }
        }
    }
    asked
}
