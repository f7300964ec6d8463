//! The plan: what stands where, and which surfaces face which environment.
//!
//! Shapes are painted in order onto the coarsest rectangular raster that contains all their edges. This
//! raster is exact: the computing grid only subdivides it, sections and checks read it directly.
//!
//! ```text
//! ys[2] ┬──────┬────┐      cell (i, j) lies between xs[i], xs[i+1] and ys[j], ys[j+1]
//!       │(0,1) │1,1 │      upright face (i, j): on xs[i], beside row j
//! ys[1] ┼──────┼────┤      level face (i, j): on ys[j], beside column i
//!       │(0,0) │1,0 │
//! ys[0] ┴──────┴────┘
//!     xs[0]  xs[1] xs[2]
//! ```

pub mod cavities;
mod check;
mod components;
mod edges;
mod gaps;
pub mod level;
pub mod openings;
mod paint;
mod region;
pub use paint::hidden_shapes;
pub mod section;
pub mod surface;

use crate::model::{EnvironmentId, MaterialId, Model};
use std::collections::BTreeSet;

use crate::finding::{Diagnostic, Unusable, has_errors};
use crate::geometry::Axis;

/// What a cell of the plan is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Filling {
    /// Never painted: no heat passes.
    Nothing,
    /// An environment, by index.
    Space(EnvironmentId),
    /// A material, by index.
    Solid(MaterialId),
}

impl Filling {
    /// True for a material.
    pub fn is_solid(self) -> bool {
        matches!(self, Self::Solid(_))
    }
}

/// The painted raster.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Positions of the upright lines, rising, m.
    pub xs: Vec<f64>,
    /// Positions of the level lines, rising, m.
    pub ys: Vec<f64>,
    /// `filling[j · columns + i]`.
    filling: Vec<Filling>,
    /// The shape last painted on each cell.
    owner: Vec<Option<usize>>,
    /// The environments that touch a solid.
    pub touched: BTreeSet<EnvironmentId>,
    /// Level surfaces with the direction of heat flow through each.
    pub level: level::LevelRuns,
}

impl Plan {
    /// Paints a case and checks that heat can flow through the result in a meaningful way.
    ///
    /// Returns the plan and warnings.
    ///
    /// # Errors
    /// [`Unusable`] for slivers, isolated solids, solids that touch in a corner only, and plans without two
    /// temperatures.
    pub fn of(model: &Model) -> Result<(Self, Vec<Diagnostic>), Unusable> {
        let mut diagnostics = Vec::new();
        let mut plan = paint::paint(model, &mut diagnostics);
        if let Some(plan) = &mut plan {
            plan.touched = check::check(plan, model, &mut diagnostics);
            plan.level = level::LevelRuns::of(model, plan, &mut diagnostics);
        }
        match plan {
            Some(plan) if !has_errors(&diagnostics) => Ok((plan, diagnostics)),
            _ => Err(Unusable(diagnostics)),
        }
    }

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

    /// The materials that can be seen, by index.
    pub fn materials(&self) -> BTreeSet<MaterialId> {
        let material =
            |filling: &Filling| if let Filling::Solid(material) = filling { Some(*material) } else { None };
        self.filling.iter().filter_map(material).collect()
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

    /// The material and the environment that meet at a face, if it is one of a surface.
    pub fn meeting_at(&self, normal: Axis, i: usize, j: usize) -> Option<(MaterialId, EnvironmentId)> {
        match self.beside_face(normal, i, j) {
            (Filling::Solid(material), Filling::Space(environment))
            | (Filling::Space(environment), Filling::Solid(material)) => Some((material, environment)),
            _ => None,
        }
    }

    /// The cell that contains a point, edges counting to the lower cell; `None` outside.
    pub fn cell_at(&self, x: f64, y: f64) -> Option<(usize, usize)> {
        Some((interval(&self.xs, x)?, interval(&self.ys, y)?))
    }
}

/// Index of the interval of the rising `lines` that contains `value`.
pub fn interval(lines: &[f64], value: f64) -> Option<usize> {
    let (first, last) = (lines.first()?, lines.last()?);
    if !(*first..=*last).contains(&value) {
        return None;
    }
    Some(lines.partition_point(|line| *line < value).saturating_sub(1))
}
