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

use super::cycle::Hierarchy;
use super::layout::Layout;
use super::level::{NotPositiveDefinite, Real};
use super::operator::{Operator, product, sum_rows};

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

/// Multiples of the unit roundoff that a product A·x carries in each entry: five terms, added up.
const ROUNDING: f64 = 4.0;

/// The residual at which x is good enough to tell the rounding floor.
const NEARLY: f64 = 1e-6;

/// Iterations after which the cycle in single precision has failed; it takes a third of them where it works.
const MOST_IN_SINGLE: usize = 40;

/// Solves A·x = b from the start `x`, which becomes the solution. All arrays have the layout of the finest operator.
///
/// # Errors
/// [`SolveError`], with `x` at its last value.
pub fn solve(hierarchy: &Hierarchy, b: &[f64], x: &mut [f64], parameters: Parameters) -> Result<Info, SolveError> {
    let most_iterations = parameters.most_iterations.min(MOST_IN_SINGLE);
    let single = iterate(hierarchy, b, x, Parameters { most_iterations, ..parameters });
    if single.is_ok() || parameters.most_iterations <= MOST_IN_SINGLE {
        return single;
    }
    // Very thin cells beside long ones can be too much for single precision; the cycle in double precision takes over.
    if x.iter().any(|value| !value.is_finite()) {
        x.fill(0.0);
    }
    let double =
        Hierarchy::<f64>::of(hierarchy.finest().clone()).map_err(|NotPositiveDefinite| SolveError::NotPositiveDefinite)?;
    let mut info = iterate(&double, b, x, parameters)?;
    info.iterations += most_iterations;
    Ok(info)
}

/// The same with one hierarchy.
fn iterate<R: Real>(hierarchy: &Hierarchy<R>, b: &[f64], x: &mut [f64], parameters: Parameters) -> Result<Info, SolveError> {
    let operator = hierarchy.finest();
    let layout = &operator.layout;
    let mut r = b.to_vec();
    let norm = sum(layout, |start, end| product(&b[start..end], &b[start..end])).sqrt();
    if norm == 0.0 {
        x.fill(0.0);
        return Ok(Info { iterations: 0, residual: 0.0 });
    }
    let mut workspace = hierarchy.workspace();
    let mut p = vec![0.0; r.len()];
    let mut q = vec![0.0; r.len()];
    let mut history: Vec<f64> = Vec::new();
    loop {
        operator.apply(x, &mut q);
        let squares = update(layout, &mut r, |start, r| {
            let (b, q) = (&b[start..start + r.len()], &q[start..start + r.len()]);
            for k in 0..r.len() {
                r[k] = b[k] - q[k];
            }
            product(r, r)
        });
        let true_residual = squares.sqrt() / norm;
        let mut floor = ROUNDING * rounding_of_product(operator, x) / norm;
        if true_residual <= parameters.tolerance.max(floor) && (!history.is_empty() || true_residual == 0.0) {
            return Ok(Info { iterations: history.len(), residual: true_residual });
        }
        floor = 0.0;
        p.fill(0.0);
        let mut rz = 0.0;
        let mut scale = squares.sqrt();
        loop {
            if history.len() >= parameters.most_iterations {
                return Err(SolveError::NoConvergence { history });
            }
            // z = M·r, in single precision. The residual is scaled to 1, so that it cannot leave the range of that.
            round(layout, &r, 1.0 / scale, workspace.right_hand_side());
            hierarchy.cycle(&mut workspace);
            let z = workspace.solution();
            let next = scale * sum(layout, |start, end| product(&r[start..end], &z[start..end]));
            let turn = if rz == 0.0 { 0.0 } else { next / rz };
            rz = next;
            update(layout, &mut p, |start, p| {
                let z = &z[start..start + p.len()];
                for k in 0..p.len() {
                    p[k] = scale * z[k].into() + turn * p[k];
                }
                0.0
            });
            let curvature = operator.apply(&p, &mut q);
            if curvature.is_nan() || curvature <= 0.0 {
                return Err(SolveError::NotPositiveDefinite);
            }
            let step = rz / curvature;
            update(layout, x, |start, x| {
                let p = &p[start..start + x.len()];
                for k in 0..x.len() {
                    x[k] += step * p[k];
                }
                0.0
            });
            let squares = update(layout, &mut r, |start, r| {
                let q = &q[start..start + r.len()];
                for k in 0..r.len() {
                    r[k] -= step * q[k];
                }
                product(r, r)
            });
            scale = squares.sqrt();
            let relative = scale / norm;
            history.push(relative);
            // Once x is nearly there, so is the floor; below it the recurrence would go on with noise.
            if floor == 0.0 && relative <= NEARLY {
                floor = ROUNDING * rounding_of_product(operator, x) / norm;
            }
            let is_small = relative <= 0.5 * parameters.tolerance.max(floor);
            if scale == 0.0 || is_small && step.abs() * largest(layout, &p) <= parameters.last_change * largest(layout, x) {
                break;
            }
        }
    }
}

/// Calls `work` for both halves of every row with the place of the first entry and the entries, and adds up what it returns in the
/// order of rows.
fn update(layout: &Layout, target: &mut [f64], work: impl Fn(usize, &mut [f64]) -> f64 + Sync) -> f64 {
    let s = layout.stride;
    sum_rows(layout, target, |j, row| {
        let span = layout.spans[j];
        let half = |row: &mut [f64], offset: usize, (from, to): (usize, usize)| {
            if from < to { work((j + 1) * s + offset + from, &mut row[offset + from..offset + to]) } else { 0.0 }
        };
        half(row, 1, span.even) + half(row, layout.half + 1, span.odd)
    })
}

/// Rounds the entries times `factor` to the precision of the cycle.
fn round<R: Real>(layout: &Layout, values: &[f64], factor: f64, rounded: &mut [R]) {
    let s = layout.stride;
    let row = |(target, source): (&mut [R], &[f64])| {
        for (target, source) in target.iter_mut().zip(source) {
            *target = R::of(source * factor);
        }
    };
    if layout.is_shared() {
        rounded.par_chunks_mut(s).with_min_len(8).zip(values.par_chunks(s)).for_each(row);
    } else {
        row((rounded, values));
    }
}

/// ε·‖D·x‖₂.
fn rounding_of_product(operator: &Operator, x: &[f64]) -> f64 {
    let squares = operator.center.iter().zip(x).map(|(center, x)| (center * x) * (center * x));
    f64::EPSILON * squares.sum::<f64>().sqrt()
}

fn largest(layout: &Layout, values: &[f64]) -> f64 {
    let largest = |row: &[f64]| row.iter().fold(0.0, |largest: f64, value| largest.max(value.abs()));
    if layout.is_shared() {
        values.par_chunks(layout.stride).with_min_len(8).map(largest).reduce(|| 0.0, f64::max)
    } else {
        largest(values)
    }
}

/// The sum of a term over the halves of all rows, given by the places of their first entry and behind their last, in a fixed order.
fn sum(layout: &Layout, term: impl Fn(usize, usize) -> f64 + Sync) -> f64 {
    let row = |j: usize| -> f64 {
        let span = layout.spans[j];
        let half = |start: usize, (from, to): (usize, usize)| if from < to { term(start + from, start + to) } else { 0.0 };
        half(layout.even(j), span.even) + half(layout.odd(j), span.odd)
    };
    if layout.is_shared() {
        let rows: Vec<f64> = (0..layout.rows).into_par_iter().with_min_len(8).map(row).collect();
        rows.iter().sum()
    } else {
        (0..layout.rows).map(row).sum()
    }
}
