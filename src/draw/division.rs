//! What the equations were set up on, cells of a grid or triangles, and all that a picture of it asks.

use std::collections::BTreeSet;

use super::chains::Point;
use super::triangles::Triangles;
use super::view::View;
use crate::grid::Grid;
use crate::plan::{Raster, interval};
use crate::polygons::delaunay::{edge, ordered};
use crate::polygons::plane::orientation;
use crate::result::Outcome;
use crate::result::computed::{Computed, OnGrid, OnTriangles};
use crate::triangulation::Mesh;

/// Lines closer than this (units of the layout) would only blacken a picture.
const CLOSEST: f32 = 3.0;

/// Cells or triangles, ready to be asked.
pub(super) enum Division<'a> {
    /// The cells of a grid.
    Cells(&'a OnGrid),
    /// Triangles.
    Triangles { on: &'a OnTriangles, lookup: Triangles<'a> },
}

impl<'a> Division<'a> {
    /// Of an outcome.
    pub fn of(outcome: &'a Outcome) -> Self {
        match &outcome.computed {
            Computed::Grid(on) => Self::Cells(on),
            Computed::Triangles(on) => {
                Self::Triangles { on, lookup: Triangles::of(&on.mesh.points, &on.mesh.corners) }
            }
        }
    }

    /// What it is, with its size.
    pub fn name(&self, unknowns: usize) -> String {
        match self {
            Self::Cells(_) => format!("Computing grid of {unknowns} unknowns"),
            Self::Triangles { on, .. } => {
                format!("{} triangles with {unknowns} unknowns", on.mesh.corners.len())
            }
        }
    }

    /// What one part is, and what the lines between them are.
    pub fn words(&self) -> [&'static str; 2] {
        match self {
            Self::Cells(_) => ["cell", "lines of the grid"],
            Self::Triangles { .. } => ["triangle", "sides of triangles"],
        }
    }

    /// The number of the part of solid at a point, m.
    pub fn at(&self, x: f64, y: f64) -> Option<usize> {
        match self {
            Self::Cells(OnGrid { raster, grid, .. }) => {
                let (i, j) = (interval(&grid.x.positions, x)?, interval(&grid.y.positions, y)?);
                let is_solid = grid.filling(raster, i, j).is_solid();
                is_solid.then(|| j * (grid.vertex_columns() - 1) + i)
            }
            Self::Triangles { lookup, .. } => lookup.at(x, y).map(|(triangle, _)| triangle),
        }
    }

    /// The sides of solid parts, without those that lie too close for a picture.
    pub fn sides(&self, view: &View, unit: f32) -> Vec<[Point; 2]> {
        match self {
            Self::Cells(OnGrid { raster, grid, .. }) => sides_of_cells(raster, grid, view, unit),
            Self::Triangles { on, .. } => sides_of_triangles(&on.mesh, view, unit),
        }
    }
}

/// The sides of triangles that are at least as wide as lines may be close.
fn sides_of_triangles(mesh: &Mesh, view: &View, unit: f32) -> Vec<[Point; 2]> {
    let closest = f64::from(CLOSEST * unit) / view.scale;
    let mut sides: BTreeSet<[u32; 2]> = BTreeSet::new();
    for corners in &mesh.corners {
        let [a, b, c] = corners.map(|corner| mesh.points[corner as usize]);
        let length = |p: [f64; 2], q: [f64; 2]| libm::hypot(q[0] - p[0], q[1] - p[1]);
        let longest = length(a, b).max(length(b, c)).max(length(c, a));
        if orientation(a, b, c) / longest >= closest {
            sides.extend((0..3).map(|k| ordered(edge(*corners, k))));
        }
    }
    let place = |point: u32| {
        let [x, y] = mesh.points[point as usize];
        (x, y)
    };
    sides.into_iter().map(|ends| ends.map(place)).collect()
}

/// Runs of sides along one line, as one.
fn sides_of_cells(raster: &Raster, grid: &Grid, view: &View, unit: f32) -> Vec<[Point; 2]> {
    let (xs, ys) = (&grid.x.positions, &grid.y.positions);
    let sparse = |positions: &[f64], at: &dyn Fn(f64) -> f32| -> Vec<usize> {
        let mut shown = Vec::new();
        let mut last = f32::NEG_INFINITY;
        for (index, position) in positions.iter().enumerate() {
            if (at(*position) - last).abs() >= CLOSEST * unit {
                last = at(*position);
                shown.push(index);
            }
        }
        shown
    };
    let is_solid = |i: Option<usize>, j: Option<usize>| {
        i.zip(j).is_some_and(|(i, j)| {
            i + 1 < xs.len() && j + 1 < ys.len() && grid.filling(raster, i, j).is_solid()
        })
    };
    let mut sides = Vec::new();
    for i in sparse(xs, &|x| view.x(x)) {
        let beside = |j: usize| is_solid(i.checked_sub(1), Some(j)) || is_solid(Some(i), Some(j));
        sides.extend(
            runs(ys.len() - 1, beside).iter().map(|(from, to)| [(xs[i], ys[*from]), (xs[i], ys[*to])]),
        );
    }
    for j in sparse(ys, &|y| view.y(y)) {
        let beside = |i: usize| is_solid(Some(i), j.checked_sub(1)) || is_solid(Some(i), Some(j));
        sides.extend(
            runs(xs.len() - 1, beside).iter().map(|(from, to)| [(xs[*from], ys[j]), (xs[*to], ys[j])]),
        );
    }
    sides
}

/// The unbroken runs of indices below `count` that `holds`, as first and one past the last.
fn runs(count: usize, holds: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for index in (0..count).filter(|index| holds(*index)) {
        match runs.last_mut() {
            Some(last) if last.1 == index => last.1 = index + 1,
            _ => runs.push((index, index + 1)),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_are_unbroken() {
        assert_eq!(runs(6, |index| index != 2 && index != 5), [(0, 2), (3, 5)]);
    }
}
