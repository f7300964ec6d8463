//! An independent way to both bounds: nothing of the program but the first mesh's triangles.
//!
//! **Above**: quadratic temperatures assembled plainly, J(T) by quadrature of what came out.
//!
//! **Below**: linear elements that are continuous in the middles of edges only (M. Crouzeix, P.-A. Raviart, RAIRO
//! 7 (1973) R-3, 33–75). Their equation for an edge says that what leaves one triangle through it enters the other, so
//! q = −K∇u is a flux without sources, constant in each triangle, and E ≥ B²/A (L. D. Marini, SIAM J. Numer. Anal.
//! 22 (1985) 493–496). There is no stream function, so spaces enclosed by solids and solids that touch in a point are
//! no special cases. What the equations' solution leaves unbalanced is charged as in `bounds/mod.rs`.

use std::collections::BTreeMap;

use coldseam::triangulation::{Conductivity, Filling, Film, Mesh, NONE, Physics};
use faer::Side;
use faer::linalg::solvers::Solve;
use faer::sparse::{SparseColMat, Triplet};

use super::Point;

/// Triangles and what heat passes on its way. Side k of a triangle lies opposite its corner k.
#[derive(Clone)]
pub struct Plain {
    points: Vec<Point>,
    corners: Vec<[usize; 3]>,
    conductivity: Vec<Conductivity>,
    film: Vec<[Option<Film>; 3]>,
}

/// Places on an edge (part of the way) and weights of Gauss's rule for polynomials up to degree 5.
const GAUSS: [(f64, f64); 3] =
    [(0.112_701_665_379_258_31, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];

/// The quadratic along an edge that is `first` and `last` at its ends and `middle` half-way.
fn along(first: f64, last: f64, middle: f64, part: f64) -> f64 {
    first * (1.0 - part) * (1.0 - 2.0 * part)
        + last * part * (2.0 * part - 1.0)
        + middle * 4.0 * part * (1.0 - part)
}

/// K·v.
fn times(of: Conductivity, [x, y]: Point) -> Point {
    [of.xx * x + of.xy * y, of.xy * x + of.yy * y]
}

impl Plain {
    pub fn of(mesh: &Mesh, physics: &Physics) -> Self {
        let conductivity = |filling: &Filling| match filling {
            Filling::Solid(number) => physics.conductivities[*number as usize],
            _ => panic!("{filling:?} among triangles of solids"),
        };
        let film = |triangle: usize| {
            [0, 1, 2].map(|side| {
                let segment = mesh.segment[triangle][side];
                let is_free = mesh.beyond[triangle][side] == NONE;
                if is_free && segment != NONE { physics.films[segment as usize] } else { None }
            })
        };
        Self {
            points: mesh.points.clone(),
            corners: mesh.corners.iter().map(|corners| corners.map(|corner| corner as usize)).collect(),
            conductivity: mesh.filling.iter().map(conductivity).collect(),
            film: (0..mesh.corners.len()).map(film).collect(),
        }
    }

    pub fn triangles(&self) -> usize {
        self.corners.len()
    }

    /// The edges' numbers by triangle and side, and how many there are.
    fn edges(&self) -> (Vec<[usize; 3]>, usize) {
        let mut numbers = BTreeMap::new();
        let mut number = |a: usize, b: usize| {
            let next = numbers.len();
            *numbers.entry((a.min(b), a.max(b))).or_insert(next)
        };
        let edges =
            self.corners.iter().map(|&[a, b, c]| [number(b, c), number(c, a), number(a, b)]).collect();
        (edges, numbers.len())
    }

    /// Every triangle in four alike ones.
    #[must_use]
    pub fn quartered(&self) -> Self {
        let (edges, count) = self.edges();
        let first = self.points.len();
        let mut points = self.points.clone();
        points.resize(first + count, [0.0; 2]);
        let mut fine = Self { points, corners: Vec::new(), conductivity: Vec::new(), film: Vec::new() };
        for (triangle, &[a, b, c]) in self.corners.iter().enumerate() {
            let [d, e, f] = edges[triangle].map(|edge| first + edge);
            for (middle, one, other) in [(d, b, c), (e, c, a), (f, a, b)] {
                fine.points[middle] =
                    [0, 1].map(|axis| f64::midpoint(self.points[one][axis], self.points[other][axis]));
            }
            let [on_a, on_b, on_c] = self.film[triangle];
            fine.corners.extend([[a, f, e], [f, b, d], [e, d, c], [d, e, f]]);
            fine.film.extend([[None, on_b, on_c], [on_a, None, on_c], [on_a, on_b, None], [None; 3]]);
            fine.conductivity.extend([self.conductivity[triangle]; 4]);
        }
        fine
    }

    /// Area, and the gradients of the three barycentric coordinates.
    fn shape(&self, triangle: usize) -> (f64, [Point; 3]) {
        let [a, b, c] = self.corners[triangle].map(|corner| self.points[corner]);
        let twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let gradient = |from: Point, to: Point| [(from[1] - to[1]) / twice, (to[0] - from[0]) / twice];
        (0.5 * twice, [gradient(b, c), gradient(c, a), gradient(a, b)])
    }

    fn length(&self, triangle: usize, side: usize) -> f64 {
        let [a, b] = [1, 2].map(|step| self.points[self.corners[triangle][(side + step) % 3]]);
        (b[0] - a[0]).hypot(b[1] - a[1])
    }

    /// J of the best quadratic temperature, W·K/m: not below E.
    pub fn upper(&self, load: &[f64]) -> f64 {
        let (edges, count) = self.edges();
        let first = self.points.len();
        let nodes = |triangle: usize| {
            let ([a, b, c], [d, e, f]) = (self.corners[triangle], edges[triangle].map(|edge| first + edge));
            [a, b, c, d, e, f]
        };
        // Nodes of a side: its ends, then its middle.
        let on_side = |side: usize| [(side + 1) % 3, (side + 2) % 3, 3 + side];
        let mut system = Assembled::new(first + count);
        for triangle in 0..self.corners.len() {
            let (nodes, (area, _)) = (nodes(triangle), self.shape(triangle));
            system.join(&nodes);
            let middles = self.gradients(triangle);
            for i in 0..6 {
                for j in 0..6 {
                    let sum: f64 = middles
                        .iter()
                        .map(|at| {
                            let driven = times(self.conductivity[triangle], at[j]);
                            at[i][0] * driven[0] + at[i][1] * driven[1]
                        })
                        .sum();
                    system.add(nodes[i], nodes[j], area / 3.0 * sum);
                }
            }
            for side in 0..3 {
                let Some(film) = self.film[triangle][side] else { continue };
                let (on, length) = (on_side(side).map(|node| nodes[node]), self.length(triangle, side));
                let temperature = load[film.environment];
                if film.resistance == 0.0 {
                    for node in on {
                        system.fix(node, temperature);
                    }
                    continue;
                }
                for (part, weight) in GAUSS {
                    let weight = weight * length / film.resistance;
                    let value =
                        [along(1.0, 0.0, 0.0, part), along(0.0, 1.0, 0.0, part), along(0.0, 0.0, 1.0, part)];
                    for i in 0..3 {
                        system.push(on[i], weight * value[i] * temperature);
                        for j in 0..3 {
                            system.add(on[i], on[j], weight * value[i] * value[j]);
                        }
                    }
                }
            }
        }
        let temperatures = system.solve();
        let mut energy = 0.0;
        for triangle in 0..self.corners.len() {
            let (nodes, (area, _)) = (nodes(triangle), self.shape(triangle));
            for at in self.gradients(triangle) {
                let mut gradient = [0.0; 2];
                for (node, of_node) in nodes.iter().zip(at) {
                    gradient = [0, 1].map(|axis| gradient[axis] + temperatures[*node] * of_node[axis]);
                }
                let driven = times(self.conductivity[triangle], gradient);
                energy += area / 3.0 * (gradient[0] * driven[0] + gradient[1] * driven[1]);
            }
            for side in 0..3 {
                let Some(film) = self.film[triangle][side].filter(|film| film.resistance > 0.0) else {
                    continue;
                };
                let [from, to, middle] = on_side(side).map(|node| temperatures[nodes[node]]);
                for (part, weight) in GAUSS {
                    let above = along(from, to, middle, part) - load[film.environment];
                    energy += weight * self.length(triangle, side) / film.resistance * above * above;
                }
            }
        }
        energy
    }

    /// Gradients of the six quadratics in the middles of the three sides.
    fn gradients(&self, triangle: usize) -> [[Point; 6]; 3] {
        let (_, of) = self.shape(triangle);
        [0, 1, 2].map(|side| {
            let mut at = [0.5; 3];
            at[side] = 0.0;
            let mut gradients = [[0.0; 2]; 6];
            for k in 0..3 {
                let (i, j) = ((k + 1) % 3, (k + 2) % 3);
                // L(2L − 1) and 4·L·L'.
                gradients[k] = [0, 1].map(|axis| (4.0 * at[k] - 1.0) * of[k][axis]);
                gradients[3 + k] = [0, 1].map(|axis| 4.0 * (at[i] * of[j][axis] + at[j] * of[i][axis]));
            }
            gradients
        })
    }

    /// B²/A of the flux of the discontinuous linear temperature, W·K/m: not above E.
    pub fn lower(&self, load: &[f64]) -> f64 {
        let (edges, count) = self.edges();
        let (highest, lowest) =
            load.iter().fold((f64::MIN, f64::MAX), |(high, low), t| (t.max(high), t.min(low)));
        let middle = f64::midpoint(highest, lowest);
        let temperature = |film: Film| load[film.environment] - middle;
        // The function of a side is 1 in its middle, 0 in the others': 1 − 2L.
        let functions = |triangle: usize| {
            let (area, of) = self.shape(triangle);
            (area, of.map(|gradient| [-2.0 * gradient[0], -2.0 * gradient[1]]))
        };
        let mut system = Assembled::new(count);
        for triangle in 0..self.corners.len() {
            let (on, (area, of)) = (edges[triangle], functions(triangle));
            system.join(&on);
            for i in 0..3 {
                for j in 0..3 {
                    let driven = times(self.conductivity[triangle], of[j]);
                    system.add(on[i], on[j], area * (of[i][0] * driven[0] + of[i][1] * driven[1]));
                }
                let Some(film) = self.film[triangle][i] else { continue };
                if film.resistance == 0.0 {
                    system.fix(on[i], temperature(film));
                } else {
                    let conductance = self.length(triangle, i) / film.resistance;
                    system.add(on[i], on[i], conductance);
                    system.push(on[i], conductance * temperature(film));
                }
            }
        }
        let solution = system.solve();
        // What leaves all triangles beside an edge through it, W/m.
        let mut left = vec![0.0; count];
        let (mut dissipation, mut work) = (0.0, 0.0);
        for triangle in 0..self.corners.len() {
            let (area, of) = functions(triangle);
            let mut gradient = [0.0; 2];
            for (edge, of_edge) in edges[triangle].iter().zip(of) {
                gradient = [0, 1].map(|axis| gradient[axis] + solution[*edge] * of_edge[axis]);
            }
            let driven = times(self.conductivity[triangle], gradient);
            dissipation += area * (gradient[0] * driven[0] + gradient[1] * driven[1]);
            for side in 0..3 {
                let out = -area * (of[side][0] * driven[0] + of[side][1] * driven[1]);
                if let Some(film) = self.film[triangle][side] {
                    dissipation += film.resistance * out * out / self.length(triangle, side);
                    work -= temperature(film) * out;
                } else {
                    left[edges[triangle][side]] += out;
                }
            }
        }
        let unbalanced: f64 = left.iter().map(|left| left.abs()).sum();
        let work = (work - 0.5 * (highest - lowest) * unbalanced).max(0.0);
        if dissipation > 0.0 { work * work / dissipation } else { 0.0 }
    }
}

/// Equations assembled entry by entry.
struct Assembled {
    entries: Vec<(usize, usize, f64)>,
    right: Vec<f64>,
    fixed: Vec<Option<f64>>,
    /// For each unknown, another of the same piece of solid, or itself.
    piece: Vec<usize>,
    /// Whether something holds the unknown to a temperature.
    held: Vec<bool>,
}

impl Assembled {
    fn new(size: usize) -> Self {
        Self {
            entries: Vec::new(),
            right: vec![0.0; size],
            fixed: vec![None; size],
            piece: (0..size).collect(),
            held: vec![false; size],
        }
    }

    fn add(&mut self, row: usize, column: usize, value: f64) {
        self.entries.push((row, column, value));
    }

    /// A film's term of the right-hand side.
    fn push(&mut self, row: usize, value: f64) {
        self.right[row] += value;
        self.held[row] = true;
    }

    fn fix(&mut self, row: usize, value: f64) {
        self.fixed[row] = Some(value);
        self.held[row] = true;
    }

    fn root(&mut self, mut at: usize) -> usize {
        while self.piece[at] != at {
            self.piece[at] = self.piece[self.piece[at]];
            at = self.piece[at];
        }
        at
    }

    fn join(&mut self, all: &[usize]) {
        for pair in all.windows(2) {
            let (one, other) = (self.root(pair[0]), self.root(pair[1]));
            self.piece[one] = other;
        }
    }

    /// The solution; 0 throughout pieces that nothing holds.
    fn solve(mut self) -> Vec<f64> {
        let size = self.right.len();
        let mut is_held = vec![false; size];
        for at in (0..size).filter(|at| self.held[*at]).collect::<Vec<_>>() {
            let root = self.root(at);
            is_held[root] = true;
        }
        for at in 0..size {
            let root = self.root(at);
            if !is_held[root] {
                self.fixed[at] = Some(0.0);
            }
        }
        let mut number = vec![usize::MAX; size];
        let free: Vec<usize> = (0..size).filter(|at| self.fixed[*at].is_none()).collect();
        for (new, at) in free.iter().enumerate() {
            number[*at] = new;
        }
        let mut triplets = Vec::new();
        for &(row, column, value) in &self.entries {
            match (self.fixed[row], self.fixed[column]) {
                (None, None) => triplets.push(Triplet::new(number[row], number[column], value)),
                (None, Some(known)) => self.right[row] -= value * known,
                _ => {}
            }
        }
        let mut solution: Vec<f64> = self.fixed.iter().map(|known| known.unwrap_or(0.0)).collect();
        if free.is_empty() {
            return solution;
        }
        let matrix =
            SparseColMat::<usize, f64>::try_new_from_triplets(free.len(), free.len(), &triplets).unwrap();
        let factor = matrix.sp_cholesky(Side::Lower).unwrap();
        let mut residual = faer::Mat::from_fn(free.len(), 1, |row, _| self.right[free[row]]);
        // Once more for what rounding left.
        for _ in 0..2 {
            let change = factor.solve(&residual);
            for (row, at) in free.iter().enumerate() {
                solution[*at] += change[(row, 0)];
            }
            residual -= &matrix * &change;
        }
        solution
    }
}
