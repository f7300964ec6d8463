//! L2D on triangles, where the grid would need too many unknowns for the bracket wanted.
//!
//! Grid lines run through the whole drawing, so a corner of four materials is refined along all of both lines;
//! triangles are refined there alone. Both brackets hold for certain. So where the bracket asks for more cells
//! than [`MOST_CELLS_FOR_BRACKET`], the grid is left to the temperatures, which need fewer, and L2D and the
//! coupling coefficients come from triangles, if these reach what is wanted. The grid's bracket is kept: it
//! confirms the other.

use super::coupling::{self, Coupling, Temperatures, units};
use super::refinement::{Demand, Pass, Target};
use super::triangulated;
use crate::bounds::{Bracket, NoBracket};
use crate::model::Model;
use crate::plan::Plan;
use crate::plan::surface::Surfaces;
use crate::triangulation::{Pair, Refined, System, Wanted, assess, refine};

/// Cells of solid that a grid may be given for the sake of the bracket. Measured (DEVELOPERS.md, Decisions).
pub const MOST_CELLS_FOR_BRACKET: usize = 5_000;
/// Unknowns of a field that no mesh may exceed, some tenths of a second.
const MOST_UNKNOWNS: usize = 60_000;

/// What triangles say of the heat loss.
#[derive(Clone, Debug)]
pub struct ByTriangles {
    /// L2D of the target, W/(m·K).
    pub l2d: Bracket,
    /// As wide as the grid left it, W/(m·K).
    pub on_grid: Bracket,
    /// For three and more temperatures, the coupling coefficient of each pair of environments.
    pub coupling: Vec<Coupling>,
    /// Triangles of the last mesh.
    pub triangles: usize,
    /// The solves that led to it; unknowns of the larger of both systems.
    pub passes: Vec<Pass>,
}

/// Solves for a target on triangles; none if these cannot be made of the plan, or do not reach what is wanted
/// either.
pub fn solve(
    model: &Model,
    plan: &Plan,
    surfaces: &Surfaces,
    target: &Target,
    on_grid: Bracket,
    demand: &Demand,
) -> Option<ByTriangles> {
    let half_width = demand.half_width_of(on_grid);
    let (mesh, physics) = triangulated::mesh(model, plan, &[surfaces]).ok()?;
    let wanted = Wanted { half_width, most_unknowns: demand.most_unknowns.min(MOST_UNKNOWNS) };
    let Refined { mesh, system, l2d, passes, .. } =
        refine(mesh, physics.first()?, &target.loads, wanted).ok()?;
    let l2d = l2d.filter(|l2d| l2d.half_width() <= half_width)?;
    let coupling = if target.is_of_groups() { coupling(model, &system).ok()? } else { Vec::new() };
    let passes = passes.iter().map(|pass| Pass { unknowns: pass.unknowns, l2d: pass.l2d }).collect();
    Some(ByTriangles { l2d, on_grid, coupling, triangles: mesh.corners.len(), passes })
}

/// The coefficients of all pairs of environments that take part.
pub(super) fn coupling(model: &Model, system: &System) -> Result<Vec<Coupling>, NoBracket> {
    let units = units(model.environments.len());
    let pairs: Vec<Pair> = units.iter().map(|unit| system.solve(unit)).collect();
    let jumps: Vec<bool> = units.iter().map(|unit| system.has_jump(unit)).collect();
    let is_touched = Temperatures::of(model).is_touched;
    coupling::of_pairs(&is_touched, &jumps, |one, other| {
        Ok(assess(system, &[pairs[one].clone(), pairs[other].clone()])?.0)
    })
}
