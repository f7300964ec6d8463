//! The computing grid: a tensor product of lines that subdivides the plan's raster.

pub mod lines;
mod refinement;
mod transfer;

use crate::finding::{Diagnostic, Unusable};
use crate::geometry::{Rectangle, Span};
use crate::model::Model;
use crate::plan::{Filling, Raster};
use lines::{Fineness, Lines};
use refinement::COARSEST_RATIO;
pub use refinement::pieces;
pub use transfer::interpolate;

/// Vertices beyond this number are refused before any memory is asked for.
pub const MOST_VERTICES: usize = 20_000_000;

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
    /// [`Unusable`] if the grid would have more vertices than the program can hold.
    pub fn graded(model: &Model, plan: &Raster, fineness: Fineness) -> Result<Self, Unusable> {
        let (columns, rows) = has_solid(plan);
        let x = Lines::graded(&plan.xs, &columns, fineness);
        let y = Lines::graded(&plan.ys, &rows, fineness);
        Self { x, y }.within_limit(model)
    }

    /// The grid, if the program can hold it.
    fn within_limit(self, model: &Model) -> Result<Self, Unusable> {
        let vertices = self.vertices();
        if vertices <= MOST_VERTICES {
            return Ok(self);
        }
        let message =
            format!("this plan needs a grid of {vertices} vertices; at most {MOST_VERTICES} can be handled");
        let hint = "leave out details that do not matter for heat, or draw the junction in parts";
        Err(Unusable(vec![Diagnostic::error(model.extent_place, message).hint(hint)]))
    }

    /// The edges of the plan and little more: where refinement starts.
    ///
    /// # Errors
    /// As [`Self::graded`].
    pub fn coarsest(model: &Model, plan: &Raster) -> Result<Self, Unusable> {
        let (columns, rows) = has_solid(plan);
        let x = Lines::coarsest(&plan.xs, &columns, COARSEST_RATIO);
        let y = Lines::coarsest(&plan.ys, &rows, COARSEST_RATIO);
        Self { x, y }.within_limit(model)
    }

    /// Cuts columns and rows of cells into the given numbers of pieces, and their neighbours where these
    /// would become too long beside them.
    #[must_use]
    pub fn split(&self, plan: &Raster, columns: &[usize], rows: &[usize]) -> Self {
        let (columns_solid, rows_solid) = has_solid(plan);
        // Rounding eats up the temperature differences across thinner cells.
        const THINNEST: f64 = 1e-6;
        let allowed = |lines: &Lines, pieces: &[usize]| -> Vec<usize> {
            let lengths = lines.positions.windows(2).map(|ends| ends[1] - ends[0]);
            lengths
                .zip(pieces)
                .map(|(length, pieces)| (*pieces).min((length / THINNEST) as usize).max(1))
                .collect()
        };
        let (columns, rows) = (allowed(&self.x, columns), allowed(&self.y, rows));
        Self {
            x: self.x.split(&columns).balanced(&columns_solid, refinement::LARGEST_RATIO),
            y: self.y.split(&rows).balanced(&rows_solid, refinement::LARGEST_RATIO),
        }
    }

    /// Cells within an area cut until none is longer than `longest`, m.
    #[must_use]
    pub fn with_cells_within(&self, plan: &Raster, area: Rectangle, longest: f64) -> Self {
        let (columns, rows) = has_solid(plan);
        let cut = |lines: &Lines, has_solid: &[bool], span: Span| {
            let pieces = |ends: &[f64], interval: usize| {
                let is_seen = has_solid[interval] && ends[1] > span.from && ends[0] < span.to;
                if is_seen { (((ends[1] - ends[0]) / longest).ceil() as usize).clamp(1, 200) } else { 1 }
            };
            let pieces: Vec<usize> = lines
                .positions
                .windows(2)
                .zip(&lines.plan_interval)
                .map(|(ends, interval)| pieces(ends, *interval))
                .collect();
            lines.split(&pieces)
        };
        Self { x: cut(&self.x, &columns, area.x), y: cut(&self.y, &rows, area.y) }
    }

    /// Every column and row of cells halved, unless there is no solid in it.
    #[must_use]
    pub fn doubled(&self, plan: &Raster) -> Self {
        let (columns, rows) = has_solid(plan);
        let halve = |lines: &Lines, has_solid: &[bool]| {
            let pieces: Vec<usize> =
                lines.plan_interval.iter().map(|interval| 1 + usize::from(has_solid[*interval])).collect();
            lines.split(&pieces)
        };
        Self { x: halve(&self.x, &columns), y: halve(&self.y, &rows) }
    }

    /// Number of cells filled with solid.
    pub fn solid_cells(&self, plan: &Raster) -> usize {
        let columns = 0..self.x.plan_interval.len();
        (0..self.y.plan_interval.len())
            .map(|j| columns.clone().filter(|i| self.filling(plan, *i, j).is_solid()).count())
            .sum()
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
        self.vertex_columns().saturating_mul(self.vertex_rows())
    }

    /// What fills grid cell (i, j).
    pub fn filling(&self, plan: &Raster, i: usize, j: usize) -> Filling {
        plan.at(self.x.plan_interval[i], self.y.plan_interval[j])
    }

    /// Coordinates of a vertex, m.
    pub fn position(&self, vertex: usize) -> (f64, f64) {
        let columns = self.vertex_columns();
        (self.x.positions[vertex % columns], self.y.positions[vertex / columns])
    }
}

/// Whether each column and each row of the plan has solid in it.
fn has_solid(plan: &Raster) -> (Vec<bool>, Vec<bool>) {
    let columns = (0..plan.columns()).map(|i| (0..plan.rows()).any(|j| plan.at(i, j).is_solid())).collect();
    let rows = (0..plan.rows()).map(|j| (0..plan.columns()).any(|i| plan.at(i, j).is_solid())).collect();
    (columns, rows)
}
