//! The raster: shapes with level and upright edges, painted onto the coarsest rectangular raster that contains
//! all their edges. It is exact: the computing grid only subdivides it, sections and checks read it directly.
//!
//! ```text
//! ys[2] ┬──────┬────┐      cell (i, j) lies between xs[i], xs[i+1] and ys[j], ys[j+1]
//!       │(0,1) │1,1 │      upright face (i, j): on xs[i], beside row j
//! ys[1] ┼──────┼────┤      level face (i, j): on ys[j], beside column i
//!       │(0,0) │1,0 │
//! ys[0] ┴──────┴────┘
//!     xs[0]  xs[1] xs[2]
//! ```

use super::{Edge, EdgeId, Filling, interval};
use crate::geometry::Axis;

/// The painted raster.
#[derive(Clone, Debug)]
pub struct Raster {
    /// Positions of the upright lines, rising, m.
    pub xs: Vec<f64>,
    /// Positions of the level lines, rising, m.
    pub ys: Vec<f64>,
    /// `filling[j · columns + i]`.
    pub(super) filling: Vec<Filling>,
    /// The shape last painted on each cell.
    pub(super) owner: Vec<Option<usize>>,
}

impl Raster {
    /// Number of cells along x.
    pub fn columns(&self) -> usize {
        self.xs.len() - 1
    }

    /// Number of cells along y.
    pub fn rows(&self) -> usize {
        self.ys.len() - 1
    }

    /// What fills cell (i, j).
    pub fn at(&self, i: usize, j: usize) -> Filling {
        self.filling[j * self.columns() + i]
    }

    /// The shape that painted cell (i, j).
    pub fn owner(&self, i: usize, j: usize) -> Option<usize> {
        self.owner[j * self.columns() + i]
    }

    /// The cells on the lower and the higher side of a face with normal along `normal`: `face (i, j)` as
    /// drawn in the module's documentation. Outside the plan there is nothing.
    pub fn beside_face(&self, normal: Axis, i: usize, j: usize) -> (Filling, Filling) {
        let get = |i: Option<usize>, j: Option<usize>| match (i, j) {
            (Some(i), Some(j)) if i < self.columns() && j < self.rows() => self.at(i, j),
            _ => Filling::Nothing,
        };
        match normal {
            Axis::X => (get(i.checked_sub(1), Some(j)), get(Some(i), Some(j))),
            Axis::Y => (get(Some(i), j.checked_sub(1)), get(Some(i), Some(j))),
        }
    }

    /// All faces, the outer ones too: those with their normal along x row by row, then those along y.
    pub fn faces(&self) -> impl Iterator<Item = (Axis, usize, usize)> + use<> {
        let (columns, rows) = (self.columns(), self.rows());
        let of = move |normal: Axis, columns: usize, rows: usize| {
            (0..rows).flat_map(move |j| (0..columns).map(move |i| (normal, i, j)))
        };
        of(Axis::X, columns + 1, rows).chain(of(Axis::Y, columns, rows + 1))
    }

    /// The cell that contains a point, edges counting to the lower cell; `None` outside.
    pub fn cell_at(&self, x: f64, y: f64) -> Option<(usize, usize)> {
        Some((interval(&self.xs, x)?, interval(&self.ys, y)?))
    }

    /// The ends of a face, m: upwards or to the right.
    pub fn ends(&self, normal: Axis, i: usize, j: usize) -> [[f64; 2]; 2] {
        match normal {
            Axis::X => [[self.xs[i], self.ys[j]], [self.xs[i], self.ys[j + 1]]],
            Axis::Y => [[self.xs[i], self.ys[j]], [self.xs[i + 1], self.ys[j]]],
        }
    }

    /// All faces between different fillings.
    pub fn edges(&self) -> Vec<Edge> {
        let edge = |(normal, i, j)| {
            let (low, high) = self.beside_face(normal, i, j);
            let (left, right) = if normal == Axis::X { (low, high) } else { (high, low) };
            let id = EdgeId::face(normal, i, j);
            (low != high).then(|| Edge { id, ends: self.ends(normal, i, j), left, right })
        };
        self.faces().filter_map(edge).collect()
    }
}
