//! How the grid came about, what a finer one gives, and how the equations were solved.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Bracketed, Named};
use crate::multigrid::Info;
use crate::result::{self, Outcome};

/// How the grid came about, and what a finer one gives.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Accuracy {
    /// True if the limit on unknowns was reached before the accuracy wanted.
    pub limit_reached: bool,
    /// The solves that led to the grid, as far as they were for L2D.
    pub passes: Vec<Pass>,
    /// Where L2D comes from triangles, since the grid would need too many unknowns: these; else null.
    pub triangles: Option<Triangles>,
    /// The effect of the subdivision (ISO 10211); null where the finer grid would be too large.
    pub subdivision: Option<Subdivision>,
}

/// The mesh that L2D and the coupling coefficients come from.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Triangles {
    /// Number of triangles.
    pub triangles: usize,
    /// Number of unknowns of temperature or stream function, whichever has more.
    pub unknowns: usize,
    /// The solves that led to the mesh.
    pub passes: Vec<Pass>,
    /// The bracket of L2D by the grid, which confirms that of the triangles.
    pub by_grid: Bracketed,
}

/// A solve on the way to the grid or mesh.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pass {
    /// Number of unknowns.
    pub unknowns: usize,
    /// Lower bound of L2D, W/(m·K).
    pub lower: f64,
    /// Upper bound of L2D, W/(m·K).
    pub upper: f64,
}

/// The results on the grid and on one with every cell halved in both directions.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Subdivision {
    /// Number of cells of solid.
    pub cells: Cells,
    /// Half the sum of the magnitudes of all heat flows, W/m.
    pub heat_flow: HeatFlows,
    /// Temperature factor of each internal environment.
    pub f_rsi: Named<FactorOnBoth>,
}

/// Numbers of cells of solid.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Cells {
    /// Of the grid.
    pub value: usize,
    /// Of the finer one.
    pub finer: usize,
}

/// Heat flow on both grids.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct HeatFlows {
    /// On the grid, W/m.
    pub value: f64,
    /// On the finer one, W/m.
    pub finer: f64,
    /// The relative change.
    pub change: f64,
}

/// f_Rsi on both grids.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FactorOnBoth {
    /// On the grid.
    pub value: f64,
    /// On the finer one.
    pub finer: f64,
    /// Estimated error of the value.
    pub estimated_error: Option<f64>,
}

/// Size of the grid.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Grid {
    /// Number of vertices.
    pub vertices: usize,
    /// Number of columns of vertices.
    pub columns: usize,
    /// Number of rows of vertices.
    pub rows: usize,
    /// Number of unknown temperatures.
    pub unknowns: usize,
}

impl Grid {
    /// That of an outcome.
    pub fn of(outcome: &Outcome) -> Self {
        Self {
            vertices: outcome.grid.vertices(),
            columns: outcome.grid.vertex_columns(),
            rows: outcome.grid.vertex_rows(),
            unknowns: outcome.heat_loss.conduction.unknowns,
        }
    }
}

/// How the equations were solved.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Solver {
    /// Number of iterations.
    pub iterations: usize,
    /// The relative residual left.
    pub residual: f64,
}

impl Solver {
    /// From what the solver tells.
    pub fn of(info: &Info) -> Self {
        Self { iterations: info.iterations, residual: info.residual }
    }
}

/// The accuracy of an outcome.
pub fn accuracy(outcome: &Outcome) -> Accuracy {
    let passes = |passes: &[result::Pass]| -> Vec<Pass> {
        let of = |pass: &result::Pass| Pass {
            unknowns: pass.unknowns,
            lower: pass.l2d.lower(),
            upper: pass.l2d.upper(),
        };
        passes.iter().map(of).collect()
    };
    let triangles = outcome.by_triangles.as_ref().map(|by_triangles| Triangles {
        triangles: by_triangles.triangles,
        unknowns: by_triangles.passes.last().map_or(0, |pass| pass.unknowns),
        passes: passes(&by_triangles.passes),
        by_grid: by_triangles.on_grid.into(),
    });
    let subdivision = outcome.evidence.as_ref().map(|evidence| {
        let factors = evidence.factors.iter().map(|factor| {
            let [value, finer] = factor.values;
            let name = outcome.case.model.environments[factor.environment].name.clone();
            (name, FactorOnBoth { value, finer, estimated_error: outcome.factor_error(factor.environment) })
        });
        Subdivision {
            cells: Cells { value: evidence.cells[0], finer: evidence.cells[1] },
            heat_flow: HeatFlows {
                value: evidence.heat_flow[0],
                finer: evidence.heat_flow[1],
                change: evidence.heat_flow_change(),
            },
            f_rsi: factors.collect(),
        }
    });
    Accuracy { limit_reached: outcome.is_limited, passes: passes(&outcome.passes), triangles, subdivision }
}
