//! The computing grid: a tensor product of lines that subdivides the plan's raster.

pub mod lines;

use crate::case::{Case, Diagnostic, Rejected};
use crate::plan::{Filling, Plan};
use lines::{Fineness, Lines};

/// Vertices beyond this number are refused before any memory is asked for.
const MOST_VERTICES: usize = 20_000_000;

/// The grid. Vertex (i, j) has the number `j · vertex_columns + i`.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Upright lines.
    pub x: Lines,
    /// Level lines.
    pub y: Lines,
}

impl Grid {
    /// A graded grid through every edge of the plan.
    ///
    /// # Errors
    /// [`Rejected`] if the grid would have more vertices than the program can hold.
    pub fn graded(case: &Case, plan: &Plan, fineness: Fineness) -> Result<Self, Rejected> {
        let column_has_solid: Vec<bool> =
            (0..plan.columns()).map(|i| (0..plan.rows()).any(|j| plan.at(i, j).is_solid())).collect();
        let row_has_solid: Vec<bool> = (0..plan.rows()).map(|j| (0..plan.columns()).any(|i| plan.at(i, j).is_solid())).collect();
        let x = Lines::graded(&plan.xs, &column_has_solid, fineness);
        let y = Lines::graded(&plan.ys, &row_has_solid, fineness);
        let vertices = x.positions.len().saturating_mul(y.positions.len());
        if vertices > MOST_VERTICES {
            let message = format!("this plan needs a grid of {vertices} vertices; at most {MOST_VERTICES} can be handled");
            let hint = "leave out details that do not matter for heat, or draw the junction in parts";
            let diagnostics = vec![Diagnostic::error(case.extent_place, message).hint(hint)];
            return Err(Rejected { diagnostics, sources: case.sources.clone() });
        }
        Ok(Self { x, y })
    }

    /// Number of vertices along x.
    pub fn vertex_columns(&self) -> usize {
        self.x.positions.len()
    }

    /// Number of vertices along y.
    pub fn vertex_rows(&self) -> usize {
        self.y.positions.len()
    }

    /// Number of vertices.
    pub fn vertices(&self) -> usize {
        self.vertex_columns() * self.vertex_rows()
    }

    /// What fills grid cell (i, j).
    pub fn filling(&self, plan: &Plan, i: usize, j: usize) -> Filling {
        plan.at(self.x.plan_interval[i], self.y.plan_interval[j])
    }

    /// Coordinates of a vertex, m.
    pub fn position(&self, vertex: usize) -> (f64, f64) {
        let columns = self.vertex_columns();
        (self.x.positions[vertex % columns], self.y.positions[vertex / columns])
    }
}
