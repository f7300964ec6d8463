//! How the grid came about, what a finer one gives, and how the equations were solved.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Bracketed, Named};
use crate::bounds;
use crate::result::Outcome;
use crate::result::computed::Computed;

/// How the grid came about, and what a finer one gives.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Accuracy {
    /// True if the limit on unknowns was reached before the accuracy wanted.
    pub limit_reached: bool,
    /// The solves that led to the grid, as far as they were for L2D.
    pub passes: Vec<Pass>,
    /// Where triangles took over, since the grid would have needed too many unknowns: these; else null.
    pub triangles: Option<Triangles>,
    /// The effect of the subdivision (ISO 10211); null where the finer grid would be too large.
    pub subdivision: Option<Subdivision>,
}

/// The mesh that took over from the grid.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Triangles {
    /// Number of triangles.
    pub triangles: usize,
    /// Number of unknowns of temperature or stream function, whichever has more.
    pub unknowns: usize,
    /// The solves that led to the mesh.
    pub passes: Vec<Pass>,
    /// The bracket of L2D by the last grid, which confirms that of the triangles.
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

/// The results on the grid and on one with every cell halved in both directions, or on the triangles and with each
/// of them cut in four.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Subdivision {
    /// Number of cells of solid.
    pub cells: Cells,
    /// Half the sum of the magnitudes of all heat flows, W/m.
    pub heat_flow: HeatFlows,
    /// Temperature factor of each internal environment.
    pub f_rsi: Named<FactorOnBoth>,
}

/// Numbers of cells of solid, or of triangles.
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

/// What the temperatures were computed on.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Grid {
    /// `grid` of level and upright lines, or `triangles` where an edge of the drawing slopes or the grid would need
    /// too many unknowns.
    pub method: &'static str,
    /// Number of vertices.
    pub vertices: usize,
    /// Number of columns of vertices; null on triangles.
    pub columns: Option<usize>,
    /// Number of rows of vertices; null on triangles.
    pub rows: Option<usize>,
    /// Number of triangles; null on a grid.
    pub triangles: Option<usize>,
    /// Number of unknown temperatures; on triangles, of the larger of the two systems, for temperatures and for the
    /// stream function.
    pub unknowns: usize,
}

impl Grid {
    /// That of an outcome.
    pub fn of(outcome: &Outcome) -> Self {
        let unknowns = outcome.computed.unknowns();
        match &outcome.computed {
            Computed::Grid(on) => Self {
                method: "grid",
                vertices: on.grid.vertices(),
                columns: Some(on.grid.vertex_columns()),
                rows: Some(on.grid.vertex_rows()),
                triangles: None,
                unknowns,
            },
            Computed::Triangles(on) => Self {
                method: "triangles",
                vertices: on.mesh.points.len(),
                columns: None,
                rows: None,
                triangles: Some(on.mesh.corners.len()),
                unknowns,
            },
        }
    }
}

/// How the equations were solved.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Solver {
    /// `conjugate_gradients` with multigrid, or `factorisation`.
    pub method: &'static str,
    /// Number of iterations; null for a factorisation.
    pub iterations: Option<usize>,
    /// The relative residual left.
    pub residual: f64,
}

impl Solver {
    /// That of an outcome.
    pub fn of(outcome: &Outcome) -> Self {
        match &outcome.computed {
            Computed::Grid(on) => {
                let info = &on.heat_loss.field.info;
                let iterations = Some(info.iterations);
                Self { method: "conjugate_gradients", iterations, residual: info.residual }
            }
            Computed::Triangles(on) => {
                let residual = on.heat_loss.system.residual(&on.heat_loss.pair);
                Self { method: "factorisation", iterations: None, residual }
            }
        }
    }
}

/// The accuracy of an outcome.
pub fn accuracy(outcome: &Outcome) -> Accuracy {
    let passes = |passes: &[bounds::Pass]| -> Vec<Pass> {
        let of = |pass: &bounds::Pass| Pass {
            unknowns: pass.unknowns,
            lower: pass.l2d.lower(),
            upper: pass.l2d.upper(),
        };
        passes.iter().map(of).collect()
    };
    let handed_over = outcome.handed_over.as_ref();
    let triangles = handed_over.zip(outcome.on_triangles()).map(|(handed_over, on)| Triangles {
        triangles: on.mesh.corners.len(),
        unknowns: outcome.computed.unknowns(),
        passes: passes(&outcome.passes),
        by_grid: handed_over.on_grid.into(),
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
    let on_grid = handed_over.map_or(&outcome.passes, |handed_over| &handed_over.passes);
    Accuracy { limit_reached: outcome.is_limited, passes: passes(on_grid), triangles, subdivision }
}
