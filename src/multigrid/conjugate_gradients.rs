//! Conjugate gradients (Hestenes and Stiefel, J. Res. Nat. Bur. Standards 49 (1952) 409–436) preconditioned
//! by one multigrid cycle.
//!
//! Two conditions end the iteration. The residual must be small, and so must the last change of x: where a
//! part of the construction is coupled weakly to the rest, a small residual alone would still allow a large
//! error there.
//!
//! "Residual" always means ‖b − A·x‖₂/‖b‖₂. The method stops by the recurrence for r and then recomputes the
//! true residual, which is the one reported. No solution can have a smaller true residual than the rounding
//! of A·x itself leaves, about ε·‖D·x‖₂/‖b‖₂ with D the diagonal of A; good conductors in small cells lift
//! this floor above the tolerance, and a residual at the floor is then as good as converged. Sums are taken
//! row by row in a fixed order, so that the answer is the same to the last bit for any number of threads.

use std::fmt;
use std::ops::Range;

use rayon::prelude::*;

use super::array::Array;
use super::cycle::Hierarchy;
use super::layout::Layout;
use super::level::{NotPositiveDefinite, Real};
use super::operator::{Operator, product};
use super::sharing::{LINES_AT_LEAST, each_line, on_the_pool};

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

/// Residuals in the message of a solution that failed.
const MOST_SHOWN: usize = 8;

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq)]
pub enum SolveError {
    /// The residual did not reach the tolerance.
    NoConvergence {
        /// Iterations done.
        iterations: usize,
        /// Residuals on the way, the last one at the end.
        history: Vec<f64>,
    },
    /// A factorisation or a direction of no or negative curvature shows that the matrix is not positive
    /// definite.
    NotPositiveDefinite,
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoConvergence { iterations, history } => {
                write!(f, "the equations did not converge in {iterations} iterations; relative residuals:")?;
                // A few of them show whether they fall, stand or grow.
                let step = history.len().div_ceil(MOST_SHOWN).max(1);
                history.iter().rev().step_by(step).rev().try_for_each(|residual| write!(f, " {residual:.1e}"))
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

/// Iterations after which the quick cycle has failed; it takes a third of them nearly everywhere.
const MOST_QUICK: usize = 30;

/// Solves A·x = b from the start `x`, which becomes the solution. All arrays have the layout of the finest
/// operator.
///
/// # Errors
/// [`SolveError`], with `x` at its last value.
pub fn solve(
    hierarchy: &Hierarchy,
    b: &[f64],
    x: &mut [f64],
    parameters: Parameters,
) -> Result<Info, SolveError> {
    on_the_pool(hierarchy.finest().layout.is_shared(), || solve_here(hierarchy, b, x, parameters))
}

/// The same on this thread, which hands out work.
fn solve_here(
    hierarchy: &Hierarchy,
    b: &[f64],
    x: &mut [f64],
    parameters: Parameters,
) -> Result<Info, SolveError> {
    let most_iterations = parameters.most_iterations.min(MOST_QUICK);
    let quick = iterate(hierarchy, b, x, Parameters { most_iterations, ..parameters });
    if quick.is_ok() || parameters.most_iterations <= MOST_QUICK {
        return quick;
    }
    // Conductors that differ by thousands in unlucky places can be too much for the quick cycle; a thorough
    // one in double precision takes over.
    if x.iter().any(|value| !value.is_finite()) {
        x.fill(0.0);
    }
    let thorough = Hierarchy::<f64>::thorough(hierarchy.finest().clone())
        .map_err(|NotPositiveDefinite| SolveError::NotPositiveDefinite)?;
    let mut info = iterate(&thorough, b, x, parameters)?;
    info.iterations += most_iterations;
    Ok(info)
}

/// The same with one hierarchy.
fn iterate<R: Real>(
    hierarchy: &Hierarchy<R>,
    b: &[f64],
    x: &mut [f64],
    parameters: Parameters,
) -> Result<Info, SolveError> {
    let operator = hierarchy.finest();
    let layout = &operator.layout;
    let norm = sum(layout, |places| product(&b[places.clone()], &b[places])).sqrt();
    if norm == 0.0 {
        x.fill(0.0);
        return Ok(Info { iterations: 0, residual: 0.0 });
    }
    let mut workspace = hierarchy.workspace();
    let [mut r, mut p, mut q] = [5, 6, 7].map(|number| Array::zeros(b.len(), number));
    let mut history: Vec<f64> = Vec::new();
    loop {
        operator.apply(x, &mut q);
        let squares = residual(layout, b, &q, &mut r);
        let true_residual = squares.sqrt() / norm;
        let mut floor = ROUNDING * rounding_of_product(operator, x) / norm;
        if true_residual <= parameters.tolerance.max(floor) && (!history.is_empty() || true_residual == 0.0) {
            return Ok(Info { iterations: history.len(), residual: true_residual });
        }
        floor = 0.0;
        // The cycle sees the residual divided by its first norm, so that it cannot leave the range of single
        // precision. p and q = A·p are scaled likewise.
        let scale = squares.sqrt();
        round(layout, &r, 1.0 / scale, workspace.finest()[1]);
        let mut before = f64::INFINITY;
        loop {
            if history.len() >= parameters.most_iterations {
                return Err(SolveError::NoConvergence { iterations: history.len(), history });
            }
            let z_r = hierarchy.cycle(&mut workspace);
            let turn = z_r / before;
            before = z_r;
            let [z, rounded] = workspace.finest();
            let curvature = turn_direction(operator, z, turn, &mut p, &mut q);
            if curvature.is_nan() || curvature <= 0.0 {
                return Err(SolveError::NotPositiveDefinite);
            }
            let step = scale * z_r / curvature;
            let squares = step_along(layout, [&p, &q], step, x, &mut r, 1.0 / scale, rounded);
            let next = squares.sqrt();
            let relative = next / norm;
            history.push(relative);
            // Once x is nearly there, so is the floor; below it the recurrence would go on with noise.
            if floor == 0.0 && relative <= NEARLY {
                floor = ROUNDING * rounding_of_product(operator, x) / norm;
            }
            let is_small = relative <= 0.5 * parameters.tolerance.max(floor);
            if next == 0.0
                || is_small && step.abs() * largest(layout, &p) <= parameters.last_change * largest(layout, x)
            {
                break;
            }
        }
    }
}

/// r = b − q and its sum of squares.
fn residual(layout: &Layout, b: &[f64], q: &[f64], r: &mut [f64]) -> f64 {
    in_order(layout, layout.lines(r), |line, r| {
        let (within, places) = (layout.within(line), layout.places(line));
        let (r, b, q) = (&mut r[within], &b[places.clone()], &q[places]);
        for ((r, b), q) in r.iter_mut().zip(b).zip(q) {
            *r = b - q;
        }
        product(r, r)
    })
}

/// p = z + turn·p and q = A·z + turn·q, which is A·p. Returns p·q.
fn turn_direction<R: Real>(operator: &Operator, z: &[R], turn: f64, p: &mut [f64], q: &mut [f64]) -> f64 {
    let layout = &operator.layout;
    let lines: Vec<_> = layout.lines(p).into_iter().zip(layout.lines(q)).collect();
    in_order(layout, lines, |line, (p, q)| {
        operator.apply_line(z, turn, line, q);
        let within = layout.within(line);
        let (p, q, z) = (&mut p[within.clone()], &q[within], &z[layout.places(line)]);
        for (p, z) in p.iter_mut().zip(z) {
            *p = (*z).into() + turn * *p;
        }
        product(p, q)
    })
}

/// x += step·p, r −= step·q, and r·factor rounded to the precision of the cycle. Returns r·r.
fn step_along<R: Real>(
    layout: &Layout,
    [p, q]: [&[f64]; 2],
    step: f64,
    x: &mut [f64],
    r: &mut [f64],
    factor: f64,
    rounded: &mut [R],
) -> f64 {
    let lines: Vec<_> = layout.lines(x).into_iter().zip(layout.lines(r)).zip(layout.lines(rounded)).collect();
    in_order(layout, lines, |line, ((x, r), rounded)| {
        let (within, places) = (layout.within(line), layout.places(line));
        let (p, q) = (&p[places.clone()], &q[places]);
        for (x, p) in x[within.clone()].iter_mut().zip(p) {
            *x += step * p;
        }
        let r = &mut r[within.clone()];
        for ((r, rounded), q) in r.iter_mut().zip(&mut rounded[within]).zip(q) {
            *r -= step * q;
            *rounded = R::of(*r * factor);
        }
        product(r, r)
    })
}

/// Adds up what `term` makes of each item and its number, in their order, whatever thread does it.
fn in_order<T: Send>(layout: &Layout, items: Vec<T>, term: impl Fn(usize, T) -> f64 + Sync) -> f64 {
    if layout.is_shared() {
        let items = items.into_par_iter().enumerate().with_min_len(LINES_AT_LEAST);
        items.map(|(number, item)| term(number, item)).collect::<Vec<f64>>().iter().sum()
    } else {
        items.into_iter().enumerate().map(|(number, item)| term(number, item)).sum()
    }
}

/// Rounds the entries times `factor` to the precision of the cycle.
fn round<R: Real>(layout: &Layout, values: &[f64], factor: f64, rounded: &mut [R]) {
    each_line(layout, rounded, |line, rounded| {
        for (target, source) in rounded[layout.within(line)].iter_mut().zip(&values[layout.places(line)]) {
            *target = R::of(source * factor);
        }
    });
}

/// ε·‖D·x‖₂.
fn rounding_of_product(operator: &Operator, x: &[f64]) -> f64 {
    let squares = sum(&operator.layout, |places| {
        let squares = operator.center[places.clone()]
            .iter()
            .zip(&x[places])
            .map(|(center, x)| (center * x) * (center * x));
        squares.sum()
    });
    f64::EPSILON * squares.sqrt()
}

fn largest(layout: &Layout, values: &[f64]) -> f64 {
    let line = |line: usize| {
        values[layout.places(line)].iter().fold(0.0, |largest: f64, value| largest.max(value.abs()))
    };
    if layout.is_shared() {
        (0..layout.count()).into_par_iter().with_min_len(LINES_AT_LEAST).map(line).reduce(|| 0.0, f64::max)
    } else {
        (0..layout.count()).map(line).fold(0.0, f64::max)
    }
}

/// The sum of a term over all lines of the layout, given by their places with unknowns, in a fixed order.
pub(super) fn sum(layout: &Layout, term: impl Fn(Range<usize>) -> f64 + Sync) -> f64 {
    in_order(layout, (0..layout.count()).collect(), |_, line| term(layout.places(line)))
}
