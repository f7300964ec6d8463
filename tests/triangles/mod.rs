//! Simple meshes for tests: lattices of quadrilaterals, halved, moved and subdivided.

#![allow(dead_code)] // each test file takes what it needs

#[path = "../common/dice.rs"]
mod dice;
pub mod drawings;
pub mod random;

use std::collections::BTreeMap;

use coldseam::triangulation::{Filling, Film, Mesh, NONE, Pair, System};
pub use dice::Dice;

/// A mesh of these triangles, each anticlockwise; `segment` numbers edges by what lies on both sides (none: no
/// triangle) and their middle.
pub fn mesh(
    points: Vec<[f64; 2]>,
    corners: Vec<[u32; 3]>,
    filling: Vec<Filling>,
    segment: impl Fn(Filling, Option<Filling>, [f64; 2]) -> u32,
) -> Mesh {
    let mut of_edge = BTreeMap::new();
    for (triangle, corner) in corners.iter().enumerate() {
        for side in 0..3 {
            of_edge.insert((corner[(side + 1) % 3], corner[(side + 2) % 3]), triangle as u32);
        }
    }
    let each = |of: &dyn Fn(usize, u32, u32) -> u32| -> Vec<[u32; 3]> {
        let sides = |(triangle, corner): (usize, &[u32; 3])| {
            [0, 1, 2].map(|side| of(triangle, corner[(side + 1) % 3], corner[(side + 2) % 3]))
        };
        corners.iter().enumerate().map(sides).collect()
    };
    let beyond_of = |a: u32, b: u32| of_edge.get(&(b, a)).copied();
    let beyond = each(&|_, a, b| beyond_of(a, b).unwrap_or(NONE));
    let segments = each(&|triangle, a, b| {
        let [one, other] = [a, b].map(|corner| points[corner as usize]);
        let middle = [0, 1].map(|axis| f64::midpoint(one[axis], other[axis]));
        segment(filling[triangle], beyond_of(a, b).map(|beyond| filling[beyond as usize]), middle)
    });
    Mesh { points, corners, beyond, segment: segments, filling }
}

/// Quadrilaterals between lines `x` and `y`, each halved, the vertices moved by `place`; those that hold
/// nothing are left out.
pub fn lattice(
    x: &[f64],
    y: &[f64],
    filling: impl Fn(usize, usize) -> Filling,
    place: impl Fn([f64; 2]) -> [f64; 2],
    segment: impl Fn(Filling, Option<Filling>, [f64; 2]) -> u32,
) -> Mesh {
    let points: Vec<[f64; 2]> = y.iter().flat_map(|y| x.iter().map(|x| [*x, *y])).map(&place).collect();
    let (mut corners, mut fillings) = (Vec::new(), Vec::new());
    for j in 0..y.len() - 1 {
        for i in 0..x.len() - 1 {
            if filling(i, j) == Filling::Nothing {
                continue;
            }
            let at = |i: usize, j: usize| (j * x.len() + i) as u32;
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            let halves = if (i + j) % 2 == 0 { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] };
            corners.extend(halves);
            fillings.extend([filling(i, j); 2]);
        }
    }
    mesh(points, corners, fillings, segment)
}

/// Every triangle in four alike ones.
pub fn subdivided(coarse: &Mesh) -> Mesh {
    let mut points = coarse.points.clone();
    let mut middles: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    let (mut corners, mut fillings) = (Vec::new(), Vec::new());
    let mut inherited: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for (triangle, corner) in coarse.corners.iter().enumerate() {
        let middle = [0, 1, 2].map(|side| {
            let (a, b) = (corner[(side + 1) % 3], corner[(side + 2) % 3]);
            let middle = *middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
                let [one, other] = [a, b].map(|corner| points[corner as usize]);
                points.push([0, 1].map(|axis| f64::midpoint(one[axis], other[axis])));
                points.len() as u32 - 1
            });
            let segment = coarse.segment[triangle][side];
            inherited.insert((a, middle), segment);
            inherited.insert((middle, b), segment);
            middle
        });
        let [a, b, c] = *corner;
        let [opposite_a, opposite_b, opposite_c] = middle;
        corners.extend([
            [a, opposite_c, opposite_b],
            [b, opposite_a, opposite_c],
            [c, opposite_b, opposite_a],
            [opposite_a, opposite_b, opposite_c],
        ]);
        fillings.extend([coarse.filling[triangle]; 4]);
    }
    let mut fine = mesh(points, corners, fillings, |_, _, _| NONE);
    for (triangle, corner) in fine.corners.iter().enumerate() {
        for side in 0..3 {
            let edge = (corner[(side + 1) % 3], corner[(side + 2) % 3]);
            fine.segment[triangle][side] = inherited.get(&edge).copied().unwrap_or(NONE);
        }
    }
    fine
}

/// n + 1 equal steps from 0 to `length`.
pub fn steps(n: usize, length: f64) -> Vec<f64> {
    (0..=n).map(|i| length * i as f64 / n as f64).collect()
}

/// Turned about the origin.
pub fn turned([x, y]: [f64; 2], degrees: f64) -> [f64; 2] {
    let (sin, cos) = degrees.to_radians().sin_cos();
    [cos * x - sin * y, sin * x + cos * y]
}

/// From 0 to 1, in steps of a millionth.
pub fn part(dice: &mut Dice) -> f64 {
    dice.between(0, 1_000_000) as f64 * 1e-6
}

/// 0 to below a number.
pub fn below(dice: &mut Dice, number: usize) -> usize {
    dice.between(0, number as i64 - 1) as usize
}

/// L2D between environments 0 and 1, and the energies' identity checked.
pub fn l2d(system: &System, pair: &Pair) -> [f64; 2] {
    let energies = system.energies(pair);
    let sum: f64 = energies.mismatch.iter().sum();
    let difference = energies.potential - 2.0 * energies.work + energies.dissipation;
    assert!((sum - difference).abs() <= 1e-11 * energies.potential, "{sum} {difference} {energies:?}");
    let bracket = energies.bracket().unwrap();
    let squared = (pair.environments()[0] - pair.environments()[1]).powi(2);
    [bracket.lower() / squared, bracket.upper() / squared]
}

/// The film of a segment.
#[allow(clippy::unnecessary_wraps)] // as lists of films have it
pub fn film(environment: usize, resistance: f64) -> Option<Film> {
    Some(Film { environment, resistance })
}
