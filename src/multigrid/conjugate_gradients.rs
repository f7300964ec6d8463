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
use super::level::Real;
use super::operator::{Operator, sum_rows};
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

/// Multiples of the unit roundoff that a product A·x carries in each entry: five terms, added up.
const ROUNDING: f64 = 4.0;

/// Solves A·x = b from the start `x`, which becomes the solution. All arrays have the layout of the finest operator.
///
/// # Errors
/// [`SolveError`], with `x` at its last value.
pub fn solve(hierarchy: &Hierarchy, b: &[f64], x: &mut [f64], parameters: Parameters) -> Result<Info, SolveError> {
    let operator = hierarchy.finest();
    let layout = &operator.layout;
    let mut r = b.to_vec();
    let norm = sum(layout, |place| b[place] * b[place]).sqrt();
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
        let squares = combine(layout, &mut r, |place, _| {
            let value = b[place] - q[place];
            (value, value * value)
        });
        let true_residual = squares.sqrt() / norm;
        let floor = ROUNDING * rounding_of_product(operator, x) / norm;
        if true_residual <= parameters.tolerance.max(floor) && (!history.is_empty() || true_residual == 0.0) {
            return Ok(Info { iterations: history.len(), residual: true_residual });
        }
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
            let next = scale * sum(layout, |place| r[place] * f64::from(z[place]));
            let turn = if rz == 0.0 { 0.0 } else { next / rz };
            rz = next;
            combine(layout, &mut p, |place, p| (scale * f64::from(z[place]) + turn * p[place], 0.0));
            let curvature = operator.apply(&p, &mut q);
            if curvature.is_nan() || curvature <= 0.0 {
                return Err(SolveError::NotPositiveDefinite);
            }
            let step = rz / curvature;
            combine(layout, x, |place, x| (x[place] + step * p[place], 0.0));
            let squares = combine(layout, &mut r, |place, r| {
                let value = r[place] - step * q[place];
                (value, value * value)
            });
            scale = squares.sqrt();
            let relative = scale / norm;
            history.push(relative);
            let is_small = relative <= 0.5 * parameters.tolerance;
            if scale == 0.0 || is_small && step.abs() * largest(layout, &p) <= parameters.last_change * largest(layout, x) {
                break;
            }
        }
    }
}

/// Replaces every entry within the rows' spans by the first value that `value` returns, and adds up the second. `value` gets the
/// entry's place in other arrays, and an accessor for the entry itself.
fn combine(layout: &Layout, target: &mut [f64], value: impl Fn(usize, &Own<'_>) -> (f64, f64) + Sync) -> f64 {
    let s = layout.stride;
    sum_rows(layout, target, |j, row| {
        let span = layout.spans[j];
        let start = (j + 1) * s;
        let mut sum = 0.0;
        for (offset, (from, to)) in [(1, span.even), (layout.half + 1, span.odd)] {
            for k in offset + from..offset + to.max(from) {
                let (entry, term) = value(start + k, &Own { row, start });
                row[k] = entry;
                sum += term;
            }
        }
        sum
    })
}

/// Reads the array that is being replaced, by place.
struct Own<'a> {
    row: &'a [f64],
    start: usize,
}

impl std::ops::Index<usize> for Own<'_> {
    type Output = f64;

    #[inline(always)]
    fn index(&self, place: usize) -> &f64 {
        &self.row[place - self.start]
    }
}

/// Rounds the entries times `factor` to the precision of the cycle.
fn round(layout: &Layout, values: &[f64], factor: f64, rounded: &mut [Real]) {
    let s = layout.stride;
    let row = |(target, source): (&mut [Real], &[f64])| {
        for (target, source) in target.iter_mut().zip(source) {
            *target = (source * factor) as Real;
        }
    };
    if layout.vertices() < WORTH_SHARING {
        row((rounded, values));
    } else {
        rounded.par_chunks_mut(s).with_min_len(8).zip(values.par_chunks(s)).for_each(row);
    }
}

/// ε·‖D·x‖₂.
fn rounding_of_product(operator: &Operator, x: &[f64]) -> f64 {
    let squares = operator.center.iter().zip(x).map(|(center, x)| (center * x) * (center * x));
    f64::EPSILON * squares.sum::<f64>().sqrt()
}

fn largest(layout: &Layout, values: &[f64]) -> f64 {
    let largest = |row: &[f64]| row.iter().fold(0.0, |largest: f64, value| largest.max(value.abs()));
    if layout.vertices() < WORTH_SHARING {
        largest(values)
    } else {
        values.par_chunks(layout.stride).with_min_len(8).map(largest).reduce(|| 0.0, f64::max)
    }
}

/// The sum of a term over all unknowns, row by row in a fixed order.
fn sum(layout: &Layout, term: impl Fn(usize) -> f64 + Sync) -> f64 {
    let row = |j: usize| -> f64 {
        let span = layout.spans[j];
        let half = |start: usize, (from, to): (usize, usize)| (start + from..start + to.max(from)).map(&term).sum::<f64>();
        half(layout.even(j), span.even) + half(layout.odd(j), span.odd)
    };
    if layout.vertices() < WORTH_SHARING {
        (0..layout.rows).map(row).sum()
    } else {
        let rows: Vec<f64> = (0..layout.rows).into_par_iter().with_min_len(8).map(row).collect();
        rows.iter().sum()
    }
}
