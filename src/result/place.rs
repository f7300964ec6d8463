//! How exact the temperature at a place is, and where the grid must be finer for it: the named points and the
//! coldest places.
//!
//! Let T be the temperature sought at a place (a weighted mean of vertices), and G the response of the
//! construction to a heat source of the same weights there, 1 W/m in all, with every environment at 0. With
//! T_h and G_h the solutions on the grid, the error of T_h is an integral over the cells of the error of one
//! gradient times that of the other (R. Becker and R. Rannacher, Acta Numerica 10 (2001) 1–102). The mismatch
//! of a field in a cell (`bounds`) measures the square of the error of its gradient there, so that
//!
//! ```text
//! |error| ≲ Σ over cells √(mismatch of T_h · mismatch of G_h)
//! ```
//!
//! This is an estimate, not a bound: errors travel from cell to cell, and signs are lost. Beside it stands
//! what halving every cell changes; the larger of the two is stated. The sum also says where to cut: it falls
//! with the square of a cell's width, as the mismatch of one field does.

use super::coupling::Temperatures;
use super::refinement::ON_THE_WAY;
use super::temperature_factor::{self, TemperatureFactor};
use super::{Solved, point};
use crate::bounds::{Evaluation, Mismatch};
use crate::finding::Diagnostic;
use crate::grid::{Grid, pieces};
use crate::material::four_digits;
use crate::model::{EnvironmentId, Model};
use crate::multigrid::SolveError;
use crate::plan::Raster;

/// Estimated error of a point that is asked for, K.
pub const POINT_ERROR: f64 = 0.02;
/// K: in a building temperatures differ by no more. Where they do, points are wanted in proportion.
const USUAL_DIFFERENCE: f64 = 50.0;
/// The error, in parts of what halving the cells changes. Where it falls with the power p of the cell size,
/// that is 1/(1 − 2⁻ᵖ): 4/3 for the p = 2 of smooth fields and 1.66 for the 4/3 of re-entrant corners, but p
/// falls below 1 where very different conductivities meet in a point. 4 stands for p = 0.415. Chosen with the
/// next on 660 random walls of two seeds, tried on 1 000 of a third (tests/places.rs).
const OF_CHANGE: f64 = 4.0;
/// The error as a part of the sum over cells, whose signs are lost: up to 0.44 at places whose change by
/// halving hides it.
const OF_SUM: f64 = 0.5;
/// What the solver may leave, K: far more than its last change, 1e-9 of the largest temperature difference.
const OF_SOLVER: f64 = 1e-6;

/// Whose temperature is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Subject {
    /// A named point of the case.
    Point(usize),
    /// The coldest place of the surfaces of an environment, or of those that the case excludes.
    Coldest {
        /// Its index.
        environment: EnvironmentId,
        /// Whether of those excluded.
        is_excluded: bool,
    },
}

/// A temperature wanted.
#[derive(Clone, Debug)]
pub struct Place {
    /// Whose.
    pub subject: Subject,
    /// With the surface resistances for condensation instead of those for heat loss.
    pub is_condensation: bool,
    /// Vertices and weights of the temperature.
    weights: Vec<(usize, f64)>,
    /// The same of the heat source whose response tells where the grid must be finer.
    sources: Vec<(usize, f64)>,
    /// The error allowed, K.
    pub allowed: f64,
}

/// A temperature with its error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaceError {
    /// Whose.
    pub subject: Subject,
    /// With the surface resistances for condensation instead of those for heat loss.
    pub is_condensation: bool,
    /// °C.
    pub temperature: f64,
    /// The error allowed, K.
    pub allowed: f64,
    /// The error stated, K.
    pub error: f64,
}

impl PlaceError {
    /// True if it is as exact as wanted.
    pub fn is_exact(&self) -> bool {
        self.error <= self.allowed
    }
}

/// The error allowed of a point, K.
pub(super) fn of_a_point(model: &Model) -> f64 {
    let (highest, lowest) = Temperatures::of(model).range();
    POINT_ERROR * ((highest - lowest) / USUAL_DIFFERENCE).max(1.0)
}

/// All places of a case on one grid. `factors` come from the solution for condensation if there is one.
pub fn places(
    model: &Model,
    (grid, plan): (&Grid, &Raster),
    points: &[(f64, f64)],
    factors: &[TemperatureFactor],
    basis: &Solved,
    (has_condensation, factor_error): (bool, f64),
) -> Vec<Place> {
    let of_a_point = of_a_point(model);
    let mut places = Vec::new();
    for is_condensation in [false, true].into_iter().take(1 + usize::from(has_condensation)) {
        for (index, at) in points.iter().enumerate() {
            let weights: Vec<(usize, f64)> = point::weights(grid, plan, *at)
                .into_iter()
                .flatten()
                .filter(|(_, weight)| weight.abs() > 1e-9)
                .collect();
            let sources = weights.clone();
            places.push(Place {
                subject: Subject::Point(index),
                is_condensation,
                weights,
                sources,
                allowed: of_a_point,
            });
        }
    }
    for factor in factors.iter().filter(|_| factor_error.is_finite()) {
        let range = model.environments[factor.environment].temperature - factor.external_temperature;
        for (coldest, is_excluded) in [(&factor.coldest, false), (&factor.coldest_excluded, true)] {
            let Some(coldest) = coldest else { continue };
            places.push(Place {
                subject: Subject::Coldest { environment: factor.environment, is_excluded },
                is_condensation: has_condensation,
                weights: vec![(coldest.vertex, 1.0)],
                sources: coldest_parts(model, basis, factor.environment, is_excluded, NEARLY_COLDEST * range),
                allowed: factor_error * range,
            });
        }
    }
    places
}

/// Difference from the lowest temperature, as a part of the whole difference, at which a place still counts
/// as coldest to 37 %.
const NEARLY_COLDEST: f64 = 2e-4;

/// Vertices that are coldest or nearly so, with weights whose sum is 1. Along a plane wall and in alike
/// corners the lowest of equal temperatures is a matter of rounding; no such chance may decide the grid, so
/// that the weight falls smoothly, as exp(−(T − T_min)/`nearly`).
fn coldest_parts(
    model: &Model,
    basis: &Solved,
    environment: EnvironmentId,
    is_excluded: bool,
    nearly: f64,
) -> Vec<(usize, f64)> {
    let field = &basis.field.temperature;
    let mut vertices: Vec<usize> = temperature_factor::surface(model, basis, environment, is_excluded)
        .map(|(vertex, _)| vertex)
        .collect();
    vertices.sort_unstable();
    vertices.dedup();
    let lowest = vertices.iter().map(|vertex| field[*vertex]).fold(f64::INFINITY, f64::min);
    let weighted = vertices.into_iter().map(|vertex| (vertex, libm::exp(-(field[vertex] - lowest) / nearly)));
    let mut parts: Vec<(usize, f64)> = weighted.filter(|(_, weight)| *weight > 1e-9).collect();
    let sum: f64 = parts.iter().map(|(_, weight)| weight).sum();
    for (_, weight) in &mut parts {
        *weight /= sum;
    }
    parts
}

impl Place {
    /// Its temperature in a field, °C.
    pub fn temperature(&self, field: &[f64]) -> f64 {
        self.weights.iter().map(|(vertex, weight)| weight * field[*vertex]).sum()
    }
}

/// The errors of all places on a grid, and by column and row how much of them, in units of those allowed.
pub struct Assessed {
    /// In the order of the places.
    pub errors: Vec<PlaceError>,
    /// By columns of cells, of the places that are not exact enough.
    pub by_column: Vec<f64>,
    /// By rows.
    pub by_row: Vec<f64>,
}

/// Part of the error allowed that a pass aims at, since the prediction is somewhat hopeful.
const SAFETY: f64 = 0.5;
/// Part of the largest share of an error at which a column or row counts as one of the worst.
const WORST: f64 = 0.3;

impl Assessed {
    /// Pieces of columns and rows of cells that make the places exact; ones if they are.
    pub fn cuts(&self) -> (Vec<usize>, Vec<usize>) {
        // All of them together to what one may have: the next pass sees what is left.
        let inexact = self.errors.iter().filter(|error| !error.is_exact()).count();
        if inexact == 0 {
            return (vec![1; self.by_column.len()], vec![1; self.by_row.len()]);
        }
        let (mut columns, mut rows) = pieces(&self.by_column, &self.by_row, SAFETY * inexact as f64);
        if columns.iter().chain(&rows).all(|pieces| *pieces == 1) {
            // The sum thinks little of what halving shows: the worst lines are cut, so that refining goes on.
            let largest = self.by_column.iter().chain(&self.by_row).copied().fold(0.0, f64::max);
            let worst = |values: &[f64], pieces: &mut [usize]| {
                for (value, pieces) in values.iter().zip(pieces) {
                    *pieces += usize::from(*value >= WORST * largest && largest > 0.0);
                }
            };
            worst(&self.by_column, &mut columns);
            worst(&self.by_row, &mut rows);
        }
        (columns, rows)
    }
}

/// Assesses places on the grid of two solutions, one evaluation for each.
///
/// # Errors
/// [`SolveError`] if the equations cannot be solved.
pub fn assess(
    places: &[Place],
    solutions: [Option<(&Evaluation<'_>, &Solved)>; 2],
    environment_temperatures: &[f64],
    (columns, rows): (usize, usize),
    changes: Option<&[f64]>,
) -> Result<Assessed, SolveError> {
    let own: [Vec<Mismatch>; 2] = solutions.map(|solution| {
        solution.map_or_else(Vec::new, |(evaluation, solved)| {
            evaluation.mismatch_in_cells(&solved.field.temperature, environment_temperatures)
        })
    });
    let still = vec![0.0; environment_temperatures.len()];
    let mut assessed =
        Assessed { errors: Vec::new(), by_column: vec![0.0; columns], by_row: vec![0.0; rows] };
    for (number, place) in places.iter().enumerate() {
        let which = usize::from(place.is_condensation);
        let Some((evaluation, solved)) = solutions[which] else { continue };
        let response = solved.conduction.response(&place.sources, ON_THE_WAY)?;
        let cells = evaluation.mismatch_in_cells(&response, &still);
        let (mut by_column, mut by_row) = (vec![0.0; columns], vec![0.0; rows]);
        for (cell, (own, of_response)) in own[which].iter().zip(&cells).enumerate() {
            by_column[cell % columns] += (own.along_x * of_response.along_x).sqrt();
            by_row[cell / columns] += (own.along_y * of_response.along_y).sqrt();
        }
        let by_sum: f64 = by_column.iter().chain(&by_row).sum();
        // Without the change where the finer grid would be too large.
        let change = changes.map_or(0.0, |changes| changes[number]);
        let error = PlaceError {
            subject: place.subject,
            is_condensation: place.is_condensation,
            temperature: place.temperature(&solved.field.temperature),
            allowed: place.allowed,
            error: OF_SOLVER + (OF_SUM * by_sum).max(OF_CHANGE * change),
        };
        assessed.errors.push(error);
        if !error.is_exact() && by_sum > 0.0 {
            // Where the change by halving is the larger, the sum still says where it comes from.
            let scale = error.error / by_sum / place.allowed;
            assessed.by_column.iter_mut().zip(&by_column).for_each(|(sum, part)| *sum += scale * part);
            assessed.by_row.iter_mut().zip(&by_row).for_each(|(sum, part)| *sum += scale * part);
        }
    }
    Ok(assessed)
}

/// A warning if a place is not as exact as wanted, about the worst one; `most` says where most is missing, if that is
/// known.
pub fn warning(
    model: &Model,
    errors: &[PlaceError],
    (unknowns, is_at_its_limit): (usize, bool),
    most: &str,
) -> Option<Diagnostic> {
    let excess = |place: &PlaceError| place.error / place.allowed;
    let worst =
        errors.iter().filter(|place| !place.is_exact()).max_by(|a, b| excess(a).total_cmp(&excess(b)))?;
    let of = match worst.subject {
        Subject::Point(index) => format!("at the point `{}`", model.points[index].name),
        Subject::Coldest { environment, .. } => {
            format!("at the coldest surface of `{}`", model.environments[environment].name)
        }
    };
    let message = format!(
        "the accuracy wanted was not reached with {unknowns} unknowns: the temperature {of} is known to ± {} K (estimated), not ± {} K{most}",
        four_digits(worst.error),
        four_digits(worst.allowed)
    );
    let hint = if is_at_its_limit {
        "triangles are given no more unknowns or work: draw very thin layers and very good conductors as what they do, and fewer details far from there"
    } else {
        "allow more unknowns (`solve --unknowns`), or draw very thin layers and very good conductors as what they do; on a grid so coarse the estimated errors may be too small"
    };
    Some(Diagnostic::warning(model.extent_place, message).hint(hint))
}
