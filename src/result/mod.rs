//! What the temperatures mean: coupling coefficients, ψ, U-values, temperature factors, profiles.
//!
//! [`compute`] runs the pipeline from a case to an [`Outcome`].

pub mod along;
mod beside;
mod border;
pub mod cavity;
pub mod comparison;
pub mod computed;
pub mod condensation;
pub mod counterpart;
pub mod coupling;
pub mod cut_off;
pub mod dwelling;
pub mod evidence;
mod failure;
mod fields;
pub mod finite;
pub mod floor;
pub mod independent;
pub mod lengths;
mod missing;
pub mod months;
mod on_grid;
mod on_triangles;
mod outcome;
mod outline;
pub mod painted;
pub mod pairs;
pub mod pattern;
pub mod place;
mod planes;
pub mod point;
pub mod profile;
pub mod psi;
pub mod refinement;
mod refining;
pub mod settling;
pub mod skin;
mod sloped;
mod solved;
pub mod stated;
pub mod stream;
pub mod taking_over;
mod task;
pub mod temperature_factor;
pub mod triangulated;
pub mod u_value;
pub mod views;
pub mod what_helps;

use crate::case::Case;
use crate::finding::Diagnostic;
use crate::grid::Grid;
use crate::grid::lines::Fineness;
use crate::model::{Model, Psi};
pub use failure::Failure;
pub use fields::{Fields, Ground, Patches};
pub use outcome::Outcome;
pub use refinement::Demand;
pub use solved::Solved;
use task::Task;

/// From a case, or from a model that no file describes, to its results, as accurate as by default.
///
/// # Errors
/// [`Failure`] if the plan cannot be used or the equations cannot be solved.
pub fn compute(case: impl Into<Case>) -> Result<Outcome, Failure> {
    compute_to(case, &Demand::default())
}

/// From a case to its results, as accurate as wanted.
///
/// # Errors
/// As [`compute`].
pub fn compute_to(case: impl Into<Case>, demand: &Demand) -> Result<Outcome, Failure> {
    // f_Rsi and points are those of the first pair: the field is the same for all.
    for_each_pair(case.into(), |case, is_first| {
        compute_pair(case, &if is_first { *demand } else { demand.without_factors() })
    })
}

/// Computes a case for its first pair of environments (`true`), then for the others: each takes a grid of its
/// own, since the bracket of each must be as narrow as wanted.
fn for_each_pair(
    mut case: Case,
    compute: impl Fn(Case, bool) -> Result<Outcome, Failure>,
) -> Result<Outcome, Failure> {
    case.model.sound().map_err(|faults| case.rejected(faults.0))?;
    let further = std::mem::take(&mut case.model.further_psi);
    let alone = |case: &Case, psi: &Psi| Case {
        model: Model { psi: Some(psi.clone()), condensation: None, points: Vec::new(), ..case.model.clone() },
        claims: Vec::new(),
        ..case.clone()
    };
    // Faults of all pairs are told before anything is solved.
    for psi in &further {
        Task::of(alone(&case, psi))?;
    }
    let mut outcome = compute(case, true)?;
    for psi in &further {
        let pair = compute(alone(&outcome.case, psi), false)?;
        for warning in &pair.warnings {
            if !outcome.warnings.contains(warning) {
                outcome.warnings.push(warning.clone());
            }
        }
        for note in &pair.notes {
            if !outcome.notes.contains(note) {
                outcome.notes.push(note.clone());
            }
        }
        outcome.is_limited |= pair.is_limited;
        outcome.further_pairs.push(pair);
    }
    // With the axes that were inferred.
    outcome.case.model.further_psi =
        outcome.further_pairs.iter().filter_map(|pair| pair.case.model.psi.clone()).collect();
    Ok(outcome)
}

fn compute_pair(case: Case, demand: &Demand) -> Result<Outcome, Failure> {
    let mut task = settling::settle(case)?;
    let mut demand = *demand;
    // Where ψ is the difference of two models, each may have half of its uncertainty, or less where external
    // dimensions count more of the floor than the second model has.
    if let Some(share) = floor::largest_share_of_model(&task.case.model, &task.elements) {
        demand.half_width /= 1.0 + share;
    }
    // U_f is wanted as closely as ψ.
    if let Some(frame) = task.case.model.psi.as_ref().and_then(|psi| psi.frame) {
        demand.half_width *= frame.length().min(1.0);
    }
    task.solve_floors(|case| compute_to(case, &demand.without_factors()))?;
    let outcome = task.refined(&demand)?;
    if let Some(what) = finite::first_that_is_not(&outcome) {
        let hint = "a length, a resistance, a conductivity or a difference of temperatures is beyond what can be computed with";
        let diagnostic =
            Diagnostic::error(outcome.case.model.extent_place, format!("{what} is not a finite number"))
                .hint(hint);
        return Err(outcome.case.rejected(vec![diagnostic]).into());
    }
    Ok(outcome)
}

/// The same on a graded grid of a given fineness, for convergence studies.
///
/// # Errors
/// As [`compute`].
pub fn compute_on(case: impl Into<Case>, fineness: Fineness) -> Result<Outcome, Failure> {
    for_each_pair(case.into(), |case, _| compute_pair_on(case, fineness))
}

fn compute_pair_on(case: Case, fineness: Fineness) -> Result<Outcome, Failure> {
    let mut task = settling::settle(case)?;
    task.solve_floors(|case| compute_on(case, fineness))?;
    let Some(raster) = task.plan.raster() else {
        let message = "a graded grid needs a drawing whose edges are all level or upright";
        return Err(task
            .case
            .rejected(vec![Diagnostic::error(task.case.model.extent_place, message)])
            .into());
    };
    let grid = Grid::graded(&task.case.model, raster, fineness)
        .map_err(|findings| task.case.rejected(findings.0))?;
    let solution = task.solve_on(raster, grid)?;
    task.finish(solution, Vec::new(), false, None, Vec::new())
}
