//! Random drawings of polygons, and what is painted in them by slow means of its own.
#![allow(dead_code, clippy::unwrap_used)]

pub mod checks;

#[path = "../common/dice.rs"]
mod dice;

use std::collections::BTreeMap;

use coldseam::triangulation::{Drawing, Filling, Stroke};
pub use dice::Dice;

pub type Point = [f64; 2];

/// What a random drawing may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Rectangles with edges on a raster of 10 mm.
    Level,
    /// Everything, in any direction.
    Any,
    /// Everything, with vertices moved by up to 30 nm: some fall together, some do not.
    Nearly,
}

/// Between two ends, in steps of a millionth.
fn real(dice: &mut Dice, least: f64, most: f64) -> f64 {
    least + (most - least) * dice.between(0, 1_000_000) as f64 * 1e-6
}

pub fn rectangle(from: Point, to: Point) -> Vec<Point> {
    vec![from, [to[0], from[1]], to, [from[0], to[1]]]
}

fn turned(points: &[Point], about: Point, angle: f64) -> Vec<Point> {
    let (sine, cosine) = angle.sin_cos();
    points.iter().map(|[x, y]| [about[0] + cosine * x - sine * y, about[1] + sine * x + cosine * y]).collect()
}

fn star(dice: &mut Dice, middle: Point, size: f64) -> Vec<Point> {
    let corners = dice.between(3, 12);
    let start = real(dice, 0.0, 6.3);
    (0..corners)
        .map(|corner| {
            let angle = start + std::f64::consts::TAU * corner as f64 / corners as f64;
            let radius = size * real(dice, 0.1, 1.0);
            [middle[0] + radius * angle.cos(), middle[1] + radius * angle.sin()]
        })
        .collect()
}

fn filling(dice: &mut Dice) -> Filling {
    match dice.between(0, 9) {
        0 => Filling::Nothing,
        1..=3 => Filling::Space(dice.between(0, 2) as u32),
        _ => Filling::Solid(dice.between(0, 3) as u32),
    }
}

/// One more polygon, which may have to do with those that are there.
fn polygon(dice: &mut Dice, others: &[Stroke]) -> (Vec<Point>, Vec<Vec<Point>>) {
    let place = [real(dice, -1.0, 6.0), real(dice, -1.0, 4.0)];
    let angle = real(dice, 0.0, 6.3);
    let known = (!others.is_empty()).then(|| {
        let other = &others[dice.between(0, others.len() as i64 - 1) as usize].outline;
        let at = dice.between(0, other.len() as i64 - 1) as usize;
        (other.clone(), other[at], other[(at + 1) % other.len()])
    });
    let is_long = known.as_ref().is_some_and(|(_, a, b)| (b[0] - a[0]).hypot(b[1] - a[1]) > 0.01);
    match (dice.between(0, 9), known) {
        // A foil of 0.05 mm.
        (0, _) => (turned(&rectangle([0.0, 0.0], [6.0, 5e-5]), place, angle), vec![]),
        (1, _) => {
            let size = [real(dice, 0.05, 5.0), real(dice, 0.001, 0.4)];
            (turned(&rectangle([0.0, 0.0], size), place, angle), vec![])
        }
        // A wedge of 1° or a hundredth.
        (2, _) => {
            let width = 3.0 * 0.01745 * if dice.between(0, 2) == 0 { 0.01 } else { 1.0 };
            (turned(&[[0.0, 0.0], [3.0, 0.0], [3.0, width]], place, angle), vec![])
        }
        // Along a part of an edge, on either side.
        (3 | 4, Some((_, a, b))) if is_long => {
            let (from, to) = (real(dice, -0.3, 0.6), real(dice, 0.61, 1.3));
            let depth = real(dice, 0.01, 0.5) * if dice.between(0, 1) == 0 { 1.0 } else { -1.0 };
            let at = |part: f64, off: f64| {
                [
                    a[0] + part * (b[0] - a[0]) - off * (b[1] - a[1]),
                    a[1] + part * (b[1] - a[1]) + off * (b[0] - a[0]),
                ]
            };
            (vec![at(from, 0.0), at(to, 0.0), at(to, depth), at(from, depth)], vec![])
        }
        // Touches a vertex.
        (5, Some((_, a, _))) => {
            let mut star = star(dice, [a[0] + 0.7, a[1] + 0.2], 0.6);
            star[0] = a;
            if crosses_itself(&star) {
                (rectangle(a, [a[0] + 0.3, a[1] + 0.2]), vec![])
            } else {
                (star, vec![])
            }
        }
        // Once more.
        (6, Some((other, ..))) => (other.into_iter().rev().collect(), vec![]),
        (7, _) => {
            let outline = star(dice, place, 1.5);
            let hole = outline.iter().map(|p| [0, 1].map(|axis| place[axis] + 0.6 * (p[axis] - place[axis])));
            (outline.clone(), vec![hole.collect()])
        }
        (8, _) => {
            let size = [real(dice, 0.2, 3.0), real(dice, 0.2, 3.0)];
            (rectangle(place, [place[0] + size[0], place[1] + size[1]]), vec![])
        }
        _ => (star(dice, place, 1.5), vec![]),
    }
}

fn crosses_itself(points: &[Point]) -> bool {
    let edges = edges_of(points);
    edges.iter().enumerate().any(|(one, s)| edges[..one].iter().any(|t| crossing(*s, *t).is_some()))
}

pub fn random_drawing(dice: &mut Dice, kind: Kind) -> Drawing {
    let mut strokes: Vec<Stroke> = Vec::new();
    for _ in 0..dice.between(1, 9) {
        let (outline, holes) = if kind == Kind::Level {
            let mut ends = |least, most| {
                let from = dice.between(least, most);
                [from, from + dice.between(1, 30)].map(|steps| steps as f64 / 100.0)
            };
            let (x, y) = (ends(-10, 70), ends(-10, 70));
            (rectangle([x[0], y[0]], [x[1], y[1]]), vec![])
        } else {
            polygon(dice, &strokes)
        };
        strokes.push(Stroke { filling: filling(dice), outline, holes });
    }
    let extent = match kind {
        Kind::Level => rectangle([0.0, 0.0], [0.7, 0.7]),
        _ if dice.between(0, 1) == 0 => rectangle([0.0, 0.0], [5.0, 3.0]),
        _ => vec![[0.0, 0.0], [5.0, 0.5], [2.5, 1.0], [5.0, 3.0], [-0.5, 2.5]],
    };
    let cuts = (0..dice.between(0, 2)).map(|_| star(dice, [2.0, 1.5], 1.5)).collect();
    let mut drawing = Drawing { strokes, extent, cuts };
    if kind == Kind::Nearly {
        let outlines = drawing
            .strokes
            .iter_mut()
            .flat_map(|stroke| std::iter::once(&mut stroke.outline).chain(stroke.holes.iter_mut()));
        for x in outlines.flatten().flatten() {
            *x += dice.between(-30, 30) as f64 * 1e-9;
        }
    }
    drawing
}

/// The same drawing elsewhere.
pub fn moved(drawing: &Drawing, by: Point) -> Drawing {
    let mut moved = drawing.clone();
    let strokes = moved.strokes.iter_mut();
    let outlines =
        strokes.flat_map(|stroke| std::iter::once(&mut stroke.outline).chain(stroke.holes.iter_mut()));
    for point in outlines.chain(moved.cuts.iter_mut()).chain([&mut moved.extent]).flatten() {
        *point = [point[0] + by[0], point[1] + by[1]];
    }
    moved
}

pub fn edges_of(points: &[Point]) -> Vec<[Point; 2]> {
    (0..points.len()).map(|at| [points[at], points[(at + 1) % points.len()]]).collect()
}

/// All edges that may separate fillings.
pub fn all_edges(drawing: &Drawing) -> Vec<[Point; 2]> {
    let strokes = drawing.strokes.iter();
    let outlines = strokes.flat_map(|stroke| std::iter::once(&stroke.outline).chain(&stroke.holes));
    outlines.chain([&drawing.extent]).flat_map(|points| edges_of(points)).collect()
}

pub fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

pub fn distance(p: Point, [a, b]: [Point; 2]) -> f64 {
    let [x, y] = [b[0] - a[0], b[1] - a[1]];
    let part = (((p[0] - a[0]) * x + (p[1] - a[1]) * y) / (x * x + y * y)).clamp(0.0, 1.0);
    (p[0] - a[0] - part * x).hypot(p[1] - a[1] - part * y)
}

fn crossing([a, b]: [Point; 2], [c, d]: [Point; 2]) -> Option<Point> {
    let (from, to) = (cross(a, b, c), cross(a, b, d));
    if from * to >= 0.0 || cross(c, d, a) * cross(c, d, b) >= 0.0 {
        return None;
    }
    let part = from / (from - to);
    Some([c[0] + part * (d[0] - c[0]), c[1] + part * (d[1] - c[1])])
}

fn is_inside(p: Point, polygon: &[Point]) -> bool {
    edges_of(polygon).iter().fold(false, |inside, [a, b]| {
        let meets =
            (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0];
        inside != meets
    })
}

/// The filling of a point by going through the strokes.
pub fn painted(drawing: &Drawing, p: Point) -> Filling {
    let covers = |stroke: &&Stroke| {
        is_inside(p, &stroke.outline) && !stroke.holes.iter().any(|hole| is_inside(p, hole))
    };
    match drawing.strokes.iter().rev().find(covers) {
        Some(stroke) if is_inside(p, &drawing.extent) => stroke.filling,
        _ => Filling::Nothing,
    }
}

/// The area of every filling but nothing: between levels through all vertices and crossings the edges part the
/// plane into trapezoids, whose area is their width half-way up times their height.
pub fn areas(drawing: &Drawing) -> BTreeMap<Filling, f64> {
    let edges = all_edges(drawing);
    let mut levels: Vec<f64> = edges.iter().flatten().map(|p| p[1]).collect();
    for (one, s) in edges.iter().enumerate() {
        levels.extend(edges[..one].iter().filter_map(|t| crossing(*s, *t)).map(|p| p[1]));
    }
    levels.sort_by(f64::total_cmp);
    let mut areas = BTreeMap::new();
    for level in levels.windows(2).filter(|level| level[1] > level[0]) {
        let y = f64::midpoint(level[0], level[1]);
        let mut xs: Vec<f64> = edges
            .iter()
            .filter(|[a, b]| (a[1] > y) != (b[1] > y))
            .map(|[a, b]| a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
            .collect();
        xs.sort_by(f64::total_cmp);
        for x in xs.windows(2) {
            let filling = painted(drawing, [f64::midpoint(x[0], x[1]), y]);
            if filling != Filling::Nothing {
                *areas.entry(filling).or_insert(0.0) += (x[1] - x[0]) * (level[1] - level[0]);
            }
        }
    }
    areas
}
