//! The temperatures of a case, by the method that its drawing asks for.

use super::Solved;
use super::on_triangles::MOST_UNKNOWNS;
use super::skin::Skin;
use crate::grid::Grid;
use crate::plan::Raster;
use crate::triangulation::{Mesh, Pair, System, Temperatures};

/// The temperatures of a case.
#[derive(Clone, Debug)]
pub enum Computed {
    /// All edges are level or upright: finite volumes on a grid.
    Grid(Box<OnGrid>),
    /// Some slope: quadratic functions on triangles.
    Triangles(Box<OnTriangles>),
}

/// Solutions on a grid.
#[derive(Clone, Debug)]
pub struct OnGrid {
    /// The plan's cells, which the grid subdivides.
    pub raster: Raster,
    /// The grid.
    pub grid: Grid,
    /// With the surface resistances for heat loss.
    pub heat_loss: Solved,
    /// The same with those for condensation, if the case has a condensation block.
    pub condensation: Option<Solved>,
}

/// Solutions on triangles.
#[derive(Clone, Debug)]
pub struct OnTriangles {
    /// The triangles of the solids.
    pub mesh: Mesh,
    /// With the surface resistances for heat loss.
    pub heat_loss: OnMesh,
    /// The same with those for condensation, if the case has a condensation block.
    pub condensation: Option<OnMesh>,
}

/// Equations on a mesh with their solution.
#[derive(Clone, Debug)]
pub struct OnMesh {
    /// The equations.
    pub system: System,
    /// Temperature and stream function at the case's temperatures.
    pub pair: Pair,
    /// For three and more temperatures, the same with each environment in turn at 1 and all others at 0.
    pub units: Vec<Pair>,
}

impl OnGrid {
    /// What f_Rsi is computed from: the solution for condensation, or else that for heat loss.
    pub fn factor_basis(&self) -> &Solved {
        self.condensation.as_ref().unwrap_or(&self.heat_loss)
    }
}

impl OnTriangles {
    /// What f_Rsi is computed from: the solution for condensation, or else that for heat loss.
    pub fn factor_basis(&self) -> &OnMesh {
        self.condensation.as_ref().unwrap_or(&self.heat_loss)
    }
}

impl OnMesh {
    /// The temperatures along its surfaces.
    pub fn skin(&self) -> Skin {
        let units: Vec<&Temperatures> = self.units.iter().map(|unit| &unit.temperature).collect();
        Skin::of_triangles(&self.system.solids, &self.pair.temperature, &units)
    }
}

impl Computed {
    /// True if there is a solution with the surface resistances for condensation.
    pub fn has_condensation(&self) -> bool {
        match self {
            Self::Grid(on) => on.condensation.is_some(),
            Self::Triangles(on) => on.condensation.is_some(),
        }
    }

    /// Unknowns of a field.
    pub fn unknowns(&self) -> usize {
        match self {
            Self::Grid(on) => on.heat_loss.conduction.unknowns,
            Self::Triangles(on) => on.heat_loss.system.unknowns(),
        }
    }

    /// True where more unknowns would not be taken, however many are allowed.
    pub fn is_at_its_limit(&self) -> bool {
        matches!(self, Self::Triangles(_)) && self.unknowns() > MOST_UNKNOWNS / 4
    }

    /// The temperatures along the surfaces that f_Rsi is computed from.
    pub fn skin(&self) -> Skin {
        match self {
            Self::Grid(on) => Skin::of_grid(&on.grid, on.factor_basis()),
            Self::Triangles(on) => on.factor_basis().skin(),
        }
    }
}
