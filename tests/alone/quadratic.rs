//! Quadratic temperatures on triangles, written for tests: nothing but Galerkin's method, with a direct solver.

use std::collections::BTreeMap;

use coldseam::plan::Edge;
use coldseam::result::Outcome;
use faer::Side;
use faer::linalg::solvers::Solve;
use faer::sparse::{SparseColMat, Triplet};

use super::{Triangles, along, middle};

/// A surface: its ends, m, the temperature beyond it (1 warm, 0 cold), and its resistance.
struct Film {
    ends: [[f64; 2]; 2],
    temperature: f64,
    resistance: f64,
}

/// What is found between the warm and the cold spaces.
pub struct Solution {
    /// Upper bound of L2D, W/(m·K): the energy of a temperature that need not be the right one.
    pub l2d: f64,
    /// At the model's points, from 0 where it is cold to 1.
    pub points: Vec<f64>,
}

/// The surfaces of a case, with the resistances for heat loss that it was solved with.
fn films(outcome: &Outcome) -> Vec<Film> {
    let environments = &outcome.case.model.environments;
    let warmest = environments.iter().map(|space| space.temperature).fold(f64::NEG_INFINITY, f64::max);
    let coldest = environments.iter().map(|space| space.temperature).fold(f64::INFINITY, f64::min);
    let edges = outcome.plan.edges();
    let film = |edge: &Edge| {
        let film = outcome.surfaces.at(edge.id)?;
        let temperature = environments[film.environment].temperature;
        assert!(temperature == warmest || temperature == coldest, "three temperatures");
        assert!(film.resistance > 0.0, "a fixed temperature");
        let temperature = f64::from(u8::from(temperature == warmest));
        Some(Film { ends: edge.ends, temperature, resistance: film.resistance })
    };
    edges.iter().filter_map(film).collect()
}

/// Gradients of the six functions of a triangle where its barycentric coordinates are these: three of its corners,
/// three of the sides opposite them.
fn gradients(of_corner: [[f64; 2]; 3], at: [f64; 3]) -> [[f64; 2]; 6] {
    let mut all = [[0.0; 2]; 6];
    for axis in 0..2 {
        for i in 0..3 {
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            all[i][axis] = (4.0 * at[i] - 1.0) * of_corner[i][axis];
            all[3 + i][axis] = 4.0 * (at[j] * of_corner[k][axis] + at[k] * of_corner[j][axis]);
        }
    }
    all
}

/// Equations of all corners and middles of sides.
#[derive(Default)]
struct Equations {
    /// By side: the number of its middle among the unknowns, and how many triangles have it.
    sides: BTreeMap<(usize, usize), (usize, usize)>,
    unknowns: usize,
    triplets: Vec<Triplet<usize, usize, f64>>,
    right: Vec<f64>,
    /// Sides of the warm spaces: their unknowns, and length over resistance.
    warm: Vec<([usize; 3], f64)>,
}

impl Equations {
    /// The unknowns of a triangle: its corners, and the middles of the sides opposite them.
    fn number(&mut self, corners: [usize; 3]) -> [usize; 6] {
        let middles = [0, 1, 2].map(|i| {
            let (a, b) = (corners[(i + 1) % 3], corners[(i + 2) % 3]);
            let side = self.sides.entry((a.min(b), a.max(b))).or_insert_with(|| {
                self.unknowns += 1;
                (self.unknowns - 1, 0)
            });
            side.1 += 1;
            side.0
        });
        [corners[0], corners[1], corners[2], middles[0], middles[1], middles[2]]
    }

    /// What a triangle of these corners conducts.
    fn conduct(&mut self, own: [usize; 6], [a, b, c]: [[f64; 2]; 3], conductivity: [f64; 2]) {
        let twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        assert!(twice > 0.0, "a triangle without area: {a:?} {b:?} {c:?}");
        let of_corner =
            [[b, c], [c, a], [a, b]].map(|[from, to]| [(from[1] - to[1]) / twice, (to[0] - from[0]) / twice]);
        // Products of linear gradients are integrated exactly by the middles of the sides.
        let middles = [[0.0, 0.5, 0.5], [0.5, 0.0, 0.5], [0.5, 0.5, 0.0]].map(|at| gradients(of_corner, at));
        for i in 0..6 {
            for j in 0..6 {
                let products = middles
                    .iter()
                    .map(|of| conductivity[0] * of[i][0] * of[j][0] + conductivity[1] * of[i][1] * of[j][1]);
                self.triplets.push(Triplet::new(own[i], own[j], twice / 6.0 * products.sum::<f64>()));
            }
        }
    }

    /// What passes the surface of a side of this length.
    fn film(&mut self, own: [usize; 3], length: f64, film: &Film) {
        let conductance = length / film.resistance;
        for (i, row) in [[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]].iter().enumerate() {
            for (j, share) in row.iter().enumerate() {
                self.triplets.push(Triplet::new(own[i], own[j], share / 30.0 * conductance));
            }
            self.right[own[i]] += [1.0, 4.0, 1.0][i] / 6.0 * conductance * film.temperature;
        }
        if film.temperature > 0.0 {
            self.warm.push((own, conductance));
        }
    }

    fn solved(&self) -> Vec<f64> {
        let (size, right) = (self.unknowns, &self.right);
        let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(size, size, &self.triplets).unwrap();
        let right = faer::Mat::from_fn(size, 1, |row, _| right[row]);
        let solution = matrix.sp_cholesky(Side::Lower).unwrap().solve(&right);
        (0..size).map(|row| solution[(row, 0)]).collect()
    }

    /// The heat that the warm spaces give off.
    fn heat(&self, solution: &[f64]) -> f64 {
        let given = self.warm.iter().map(|(own, conductance)| {
            let [from, middle, to] = own.map(|unknown| solution[unknown]);
            conductance * (1.0 - (from + 4.0 * middle + to) / 6.0)
        });
        given.sum()
    }
}

/// Solves a case between warm and cold with the surface resistances for heat loss.
pub fn solve(outcome: &Outcome, mesh: &Triangles) -> Solution {
    let model = &outcome.case.model;
    let films = films(outcome);
    let conductivities: Vec<[f64; 2]> =
        model.materials.iter().map(|material| [material.conductivity_x, material.conductivity_y]).collect();
    let mut equations = Equations { unknowns: mesh.points.len(), ..Equations::default() };
    for (corners, material) in mesh.corners.iter().zip(&mesh.material) {
        let own = equations.number(*corners);
        equations.conduct(own, corners.map(|corner| mesh.points[corner]), conductivities[*material]);
    }
    equations.right = vec![0.0; equations.unknowns];
    for ((a, b), (side, triangles)) in equations.sides.clone() {
        let [one, other] = [mesh.points[a], mesh.points[b]];
        let middle = middle(one, other);
        assert!(triangles <= 2, "triangles overlap at {middle:?}");
        if triangles == 1
            && let Some(film) = films.iter().find(|film| along(film.ends, middle).is_some())
        {
            equations.film([a, side, b], (one[0] - other[0]).hypot(one[1] - other[1]), film);
        }
    }
    let solution = equations.solved();
    let at = |x: f64, y: f64| {
        let found = mesh.points.iter().position(|point| (point[0] - x).hypot(point[1] - y) < 1e-7);
        solution[found.expect("a point at a corner of the mesh")]
    };
    let points = model.points.iter().map(|point| at(point.x, point.y)).collect();
    Solution { l2d: equations.heat(&solution), points }
}
