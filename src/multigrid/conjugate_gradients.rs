//! Conjugate gradients (Hestenes and Stiefel, J. Res. Nat. Bur. Standards 49 (1952) 409–436) preconditioned by one multigrid cycle.
//!
//! Two conditions end the iteration. The residual must be small, and so must the last change of x: where a part of the construction is
//! coupled weakly to the rest, a small residual alone would still allow a large error there.
//!
//! "Residual" always means ‖b − A·x‖₂/‖b‖₂. The method stops by the recurrence for r and then recomputes the true residual, which
//! is the one reported. No solution can have a smaller true residual than the rounding of A·x itself leaves, about
//! ε·‖D·x‖₂/‖b‖₂ with D the diagonal of A; good conductors in small cells lift this floor above the tolerance, and a residual at
//! the floor is then as good as converged. Sums are taken row by row in a fixed order, so that the answer is the same to the last bit for any number
//! of threads.

use std::fmt;

use rayon::prelude::*;

use super::cycle::{Hierarchy, residual};
use super::level::Level;
use super::relaxation::WORTH_SHARING;

/// What the solver is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Parameters {
    /// Residual at which to stop.
    pub tolerance: f64,
    /// Largest change of an entry in the last step, as a part of the largest entry.
    pub last_change: f64,
    /// Iterations after which to give up.
    pub most_iterations: usize,
}

impl Default for Parameters {
    fn default() -> Self {
        Self { tolerance: 1e-10, last_change: 1e-9, most_iterations: 100 }
    }
}

/// How a solution came about.
#[derive(Clone, Debug, PartialEq)]
pub struct Info {
    /// Iterations done.
    pub iterations: usize,
    /// True residual, recomputed from the solution.
    pub residual: f64,
}

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq)]
pub enum SolveError {
    /// The residual did not reach the tolerance.
    NoConvergence {
        /// Residual after each iteration.
        history: Vec<f64>,
    },
    /// A factorisation or a direction of no or negative curvature shows that the matrix is not positive definite.
    NotPositiveDefinite,
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoConvergence { history } => {
                write!(f, "the equations did not converge in {} iterations; relative residuals:", history.len())?;
                history.iter().try_for_each(|residual| write!(f, " {residual:.1e}"))
            }
            Self::NotPositiveDefinite => write!(f, "the matrix of the equations is not positive definite"),
        }
    }
}

impl std::error::Error for SolveError {}

/// Multiples of the unit roundoff that a product A·x carries in each entry: five to nine terms, added up.
const ROUNDING: f64 = 4.0;

/// Solves A·x = b from the start `x`, which becomes the solution. All arrays have the layout of the finest level.
///
/// # Errors
/// [`SolveError`], with `x` at its last value.
pub fn solve(hierarchy: &Hierarchy, b: &[f64], x: &mut [f64], parameters: Parameters) -> Result<Info, SolveError> {
    let level = hierarchy.finest();
    let norm = dot(level, b, b).sqrt();
    if norm == 0.0 {
        x.fill(0.0);
        return Ok(Info { iterations: 0, residual: 0.0 });
    }
    let mut workspace = hierarchy.workspace();
    let mut r = vec![0.0; level.size()];
    let (mut z, mut p, mut q) = (r.clone(), r.clone(), r.clone());
    let mut history = Vec::new();
    loop {
        residual(level, x, b, &mut r);
        let true_residual = dot(level, &r, &r).sqrt() / norm;
        let floor = ROUNDING * rounding_of_product(level, x) / norm;
        if true_residual <= parameters.tolerance.max(floor) {
            return Ok(Info { iterations: history.len(), residual: true_residual });
        }
        hierarchy.precondition(&r, &mut z, &mut workspace);
        p.copy_from_slice(&z);
        let mut rz = dot(level, &r, &z);
        loop {
            if history.len() >= parameters.most_iterations {
                return Err(SolveError::NoConvergence { history });
            }
            apply(level, &p, &mut q);
            let curvature = dot(level, &p, &q);
            if curvature.is_nan() || curvature <= 0.0 {
                return Err(SolveError::NotPositiveDefinite);
            }
            let step = rz / curvature;
            add(level, step, &p, x);
            add(level, -step, &q, &mut r);
            let relative = dot(level, &r, &r).sqrt() / norm;
            history.push(relative);
            let change = step.abs() * largest(level, &p) / largest(level, x);
            if relative <= 0.5 * parameters.tolerance && change <= parameters.last_change {
                break;
            }
            hierarchy.precondition(&r, &mut z, &mut workspace);
            let next = dot(level, &r, &z);
            let turn = next / rz;
            rz = next;
            each_row(level, &mut p, |start, row| {
                for (p, z) in row.iter_mut().zip(&z[start..]) {
                    *p = z + turn * *p;
                }
            });
        }
    }
}

/// ε·‖D·x‖₂.
fn rounding_of_product(level: &Level, x: &[f64]) -> f64 {
    let squares = level.center.iter().zip(x).map(|(center, x)| (center * x) * (center * x));
    f64::EPSILON * squares.sum::<f64>().sqrt()
}

fn apply(level: &Level, x: &[f64], product: &mut [f64]) {
    let s = level.stride;
    each_row(level, product, |start, row| level.apply_row(x, start / s - 1, &mut row[1..]));
}

fn add(level: &Level, factor: f64, x: &[f64], y: &mut [f64]) {
    each_row(level, y, |start, row| {
        for (y, x) in row.iter_mut().zip(&x[start..]) {
            *y += factor * x;
        }
    });
}

/// Calls `work` with the start and the content of every stored row without the border's.
fn each_row(level: &Level, values: &mut [f64], work: impl Fn(usize, &mut [f64]) + Sync) {
    let s = level.stride;
    let rows = &mut values[s..s * (level.rows + 1)];
    if level.vertices() < WORTH_SHARING {
        rows.chunks_mut(s).enumerate().for_each(|(j, row)| work((j + 1) * s, row));
    } else {
        rows.par_chunks_mut(s).enumerate().for_each(|(j, row)| work((j + 1) * s, row));
    }
}

fn largest(level: &Level, values: &[f64]) -> f64 {
    let largest = |row: &[f64]| row.iter().fold(0.0, |largest: f64, value| largest.max(value.abs()));
    if level.vertices() < WORTH_SHARING {
        largest(values)
    } else {
        values.par_chunks(level.stride).map(largest).reduce(|| 0.0, f64::max)
    }
}

fn dot(level: &Level, a: &[f64], b: &[f64]) -> f64 {
    let s = level.stride;
    let row = |j: usize| a[j * s..(j + 1) * s].iter().zip(&b[j * s..(j + 1) * s]).map(|(a, b)| a * b).sum::<f64>();
    if level.vertices() < WORTH_SHARING {
        (1..=level.rows).map(row).sum()
    } else {
        let sums: Vec<f64> = (1..=level.rows).into_par_iter().map(row).collect();
        sums.iter().sum()
    }
}
