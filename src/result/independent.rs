//! L2D once more by another path: plain conjugate gradients on the sprs matrix of a graded grid, instead of
//! multigrid on the refined one.
//!
//! Both give brackets that hold for certain, so that they must overlap.

use super::coupling::Temperatures;
use super::refinement::Target;
use super::{Failure, Outcome, psi};
use crate::bounds::{Bracket, Evaluation};
use crate::conduction::conjugate_gradients::{self, Parameters};
use crate::conduction::network::Network;
use crate::conduction::system::System;
use crate::grid::Grid;
use crate::grid::lines::Fineness;
use crate::multigrid::SolveError;

/// Coarser than for convergence studies: the bracket counts, not its width.
const COARSER: [f64; 4] = [2.0, 4.0, 8.0, 16.0];
/// A grid of more vertices is made coarser, as far as that goes.
const MOST_VERTICES: usize = 100_000;
/// Unknowns times iterations, a few seconds of work: the bracket holds for an unfinished solution too.
const MOST_WORK: usize = 400_000_000;
/// Iterations that are worth trying on any grid.
const LEAST_ITERATIONS: usize = 100;
/// The bracket includes what the solver leaves.
const TOLERANCE: f64 = 1e-10;

/// The other bracket of L2D and the number of its unknowns; none where L2D has no finite value.
///
/// # Errors
/// [`Failure`] if the grid would be too large or the equations cannot be solved.
pub fn bracket(outcome: &Outcome) -> Result<Option<(Bracket, usize)>, Failure> {
    let (case, plan) = (&outcome.case, &outcome.plan);
    let temperatures = Temperatures::of(&case.model);
    let sides = psi::sides(&case.model, &temperatures, &mut Vec::new());
    let target = Target::of(&temperatures, &sides);
    let graded = |coarser: f64| {
        Grid::graded(&case.model, plan, Fineness::default().scaled(coarser))
            .map_err(|findings| case.rejected(findings.0))
    };
    let mut grid = graded(COARSER[0])?;
    for coarser in &COARSER[1..] {
        if grid.vertices() > MOST_VERTICES {
            grid = graded(*coarser)?;
        }
    }
    let network = Network::of(&case.model, plan, &outcome.surfaces, &grid);
    if outcome.l2d.is_none() || target.has_jump(&network) {
        return Ok(None);
    }
    let system = System::of(&network);
    let fields: Result<Vec<Vec<f64>>, SolveError> =
        target.loads.iter().map(|load| field(&network, &system, load)).collect();
    let evaluation = Evaluation::of(&case.model, plan, &grid, &network);
    Ok(Some((target.assess(&evaluation, &fields?)?.0, system.unknowns())))
}

/// The temperatures of all vertices; NaN where there is no solid.
fn field(network: &Network, system: &System, temperatures: &[f64]) -> Result<Vec<f64>, SolveError> {
    let fixed = network.fixed_temperatures(temperatures);
    let right = system.right_hand_side(network, temperatures, &fixed);
    let mean = temperatures.iter().sum::<f64>() / temperatures.len() as f64;
    let mut solution = vec![mean; system.unknowns()];
    let usual = Parameters::default().most_iterations;
    let most_iterations = (MOST_WORK / system.unknowns().max(1)).clamp(LEAST_ITERATIONS, usual);
    let parameters = Parameters { tolerance: TOLERANCE, most_iterations };
    match conjugate_gradients::solve(&system.matrix, &right, &mut solution, parameters) {
        // Plain conjugate gradients may tire of conductors that differ by thousands. The bracket holds for
        // what they reached, and is the wider for it.
        Ok(_) | Err(SolveError::NoConvergence { .. }) => {}
        Err(error) => return Err(error),
    }
    let mut field = vec![f64::NAN; network.is_free().len()];
    for (vertex, value) in system.vertex_of.iter().zip(solution) {
        field[*vertex] = value;
    }
    for ((vertex, _), value) in network.fixed.iter().zip(fixed) {
        field[*vertex] = value;
    }
    Ok(field)
}
