//! Where triangles take over from the grid.
//!
//! Grid lines run through the whole drawing, so a corner of four materials is refined along all of both lines;
//! triangles are refined there alone. Both brackets hold for certain. So where the bracket asks for more cells
//! than [`MOST_CELLS_FOR_BRACKET`], everything is computed on triangles, if these make it as narrow as wanted. The
//! grid's bracket is kept: it confirms the other.

use super::coupling::{self, Coupling, Temperatures};
use crate::bounds::{Bracket, NoBracket, Pass};
use crate::model::Model;
use crate::triangulation::{Pair, System, assess};

/// Cells of solid that a grid may be given for the sake of the bracket. Measured (DEVELOPERS.md, Decisions).
pub const MOST_CELLS_FOR_BRACKET: usize = 5_000;

/// What the grid had come to when triangles took over.
#[derive(Clone, Debug)]
pub struct HandedOver {
    /// L2D of the target, W/(m·K).
    pub on_grid: Bracket,
    /// The solves on grids.
    pub passes: Vec<Pass>,
}

/// The coefficients of all pairs of environments that take part, from the fields with each in turn at 1; none where
/// these were not wanted.
pub(super) fn coupling(model: &Model, system: &System, units: &[Pair]) -> Result<Vec<Coupling>, NoBracket> {
    if units.is_empty() {
        return Ok(Vec::new());
    }
    let jumps: Vec<bool> = units.iter().map(|unit| system.solids.has_jump(unit.environments())).collect();
    let is_touched = Temperatures::of(model).is_touched;
    coupling::of_pairs(&is_touched, &jumps, |one, other| {
        Ok(assess(system, &[units[one].clone(), units[other].clone()])?.0)
    })
}
