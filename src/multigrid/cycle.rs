//! The hierarchy of grids and the cycle over it.
//!
//! Ordering the even columns before the odd ones, the matrix of a grid is
//!
//! ```text
//! ⎡  E  −B ⎤     E, O: tridiagonal matrices of the even and the odd columns
//! ⎣ −Bᵀ  O ⎦     B: what couples them, as magnitudes
//! ```
//!
//! A cycle for b, from zero: relax the even columns, then the odd ones,
//!
//! ```text
//! x_e = E⁻¹·b_e,     x_o = O⁻¹·(b_o + Bᵀ·x_e);
//! ```
//!
//! the residual of the odd columns is now zero and that of the even ones B·x_o, since b_e − E·x_e vanished.
//! It is the right-hand side of the coarse grid without any weighting, whose solution is added to x_e. Then
//! the odd columns are relaxed again and the even ones last, so that the cycle is symmetric. Nothing but B
//! and the factors of E and O is needed, and no sum in it cancels.
//!
//! # Two visits
//!
//! Every coarsening leaves a part of the error, and the parts add up over many grids. So two of the grids are
//! solved by two cycles, the second for the residual of the first. That residual is computed in full and from
//! differences of x. Taking it for zero on the columns relaxed last, as before, would do for a rough x, as a
//! first relaxation leaves it; but the rounding of a smooth x would then act on the other columns like heat
//! fed in, and well insulated conductors would warm up by it.

use std::f64::consts::FRAC_1_SQRT_2;

use super::array::Set;
use super::coarsest::{self, Coarsest};
use super::conjugate_gradients::sum;
use super::galerkin::coarse_operator;
use super::interpolation::Interpolation;
use super::layout::Layout;
use super::level::{Level, NotPositiveDefinite, Real};
use super::operator::{Operator, product};
use super::relaxation::{columns, contribution, subtract_product};
use super::sharing::{each_line, each_row, on_the_pool};
use super::span::Parity;

/// The grids that are visited twice, the finest being number 0. Two visits of all grids would save an
/// iteration or two, but since a grid has half as many vertices as the one before, each would then cost as
/// much as the finest.
const VISITED_TWICE: [usize; 2] = [3, 5];
/// The part of the error that one visit of a coarser grid may leave. The two visits are weighted for errors
/// up to this part: see [`weights_of_visits`].
const LEFT_BY_A_VISIT: f64 = 0.3;
/// Columns that transfers take at a time.
const TOGETHER: usize = 64;

/// The operator on all grids, ready to precondition.
#[derive(Clone, Debug)]
pub struct Hierarchy<R: Real = f32> {
    finest: Operator,
    levels: Vec<Level<R>>,
    coarsest: Coarsest,
    is_thorough: bool,
}

fn is_visited_twice(depth: usize, is_thorough: bool) -> bool {
    depth > 0 && (is_thorough || VISITED_TWICE.contains(&depth))
}

/// Weights w of the two visits' corrections. A visit turns an error component into its e-th part, 0 ≤ e < 1
/// as the cycle is symmetric; with weights, both together leave (1 − w₁·(1 − e))·(1 − w₂·(1 − e)). On 0 ≤ e ≤
/// ρ that is least as the Chebyshev polynomial of degree 2 (G. H. Golub, R. S. Varga, Numer. Math. 3 (1961)
/// 147–156), whose roots are e = ρ/2·(1 ± 1/√2). It stays below 1 for all e, so the preconditioner stays
/// positive definite.
fn weights_of_visits() -> [f64; 2] {
    [1.0, -1.0].map(|sign| 1.0 / (1.0 - 0.5 * LEFT_BY_A_VISIT * (1.0 + sign * FRAC_1_SQRT_2)))
}

/// Arrays for the cycle, a set for each grid: solution, right-hand side, and where there are two visits the
/// solution of the first.
pub struct Workspace<R: Real> {
    sheets: Vec<Set<R>>,
}

impl<R: Real> Workspace<R> {
    /// The finest solution, the result of a cycle, and right-hand side, to be filled before.
    pub fn finest(&mut self) -> [&mut [R]; 2] {
        self.sheets[0].split()
    }
}

impl<R: Real> Hierarchy<R> {
    /// Builds all levels down to a few columns.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a factorisation fails.
    pub fn of(finest: Operator) -> Result<Self, NotPositiveDefinite> {
        on_the_pool(finest.layout.is_shared(), || Self::built(finest, false))
    }

    /// The same with two visits of all grids but the finest, which converges where parts differ by much in
    /// unlucky places, and takes four times as long.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn thorough(finest: Operator) -> Result<Self, NotPositiveDefinite> {
        on_the_pool(finest.layout.is_shared(), || Self::built(finest, true))
    }

    fn built(finest: Operator, is_thorough: bool) -> Result<Self, NotPositiveDefinite> {
        let mut levels: Vec<Level<R>> = Vec::new();
        let mut current: Option<Operator> = None;
        let coarsest = loop {
            let operator = current.as_ref().unwrap_or(&finest);
            if operator.layout.columns <= coarsest::COLUMNS {
                break Coarsest::of(operator)?;
            }
            let level = Level::of(operator, is_visited_twice(levels.len(), is_thorough))?;
            let coarse = coarse_operator(operator, &Interpolation::of(operator, &level));
            levels.push(level);
            current = Some(coarse);
        };
        Ok(Self { finest, levels, coarsest, is_thorough })
    }

    /// The finest operator.
    pub fn finest(&self) -> &Operator {
        &self.finest
    }

    /// Number of grids.
    pub fn depth(&self) -> usize {
        self.levels.len() + 1
    }

    /// Arrays for [`Self::cycle`].
    pub fn workspace(&self) -> Workspace<R> {
        let count = |depth: usize| if is_visited_twice(depth, self.is_thorough) { 3 } else { 2 };
        let layouts = self.levels.iter().map(|level| &level.layout).chain([self.coarsest.layout()]);
        Workspace {
            sheets: layouts
                .enumerate()
                .map(|(depth, layout)| Set::zeros(count(depth), layout.size()))
                .collect(),
        }
    }

    /// One cycle from zero for A·x = b with the workspace's finest b: the preconditioner, symmetric and
    /// positive definite. Returns x·b.
    pub fn cycle(&self, workspace: &mut Workspace<R>) -> f64 {
        self.solve(0, &mut workspace.sheets);
        let [x, b] = workspace.finest();
        sum(&self.finest.layout, |places| product(&x[places.clone()], &b[places]))
    }

    /// The approximate solution on a grid, from zero; changes the right-hand side where there are two visits.
    /// `sheets` are those of the grid and all coarser ones.
    fn solve(&self, depth: usize, sheets: &mut [Set<R>]) {
        let Some((sheet, coarser)) = sheets.split_first_mut() else { return };
        let Some(level) = self.levels.get(depth).filter(|_| is_visited_twice(depth, self.is_thorough)) else {
            let [x, b] = sheet.split();
            if depth < self.levels.len() {
                self.visit(depth, x, b, coarser);
            } else {
                self.coarsest.solve(b, x);
            }
            return;
        };
        let [x, b, first] = sheet.split();
        let (layout, view) = (&level.layout, level.view());
        let [w_first, w_second] = weights_of_visits().map(R::of);
        self.visit(depth, first, b, coarser);
        each_line(layout, first, |_, first| first.iter_mut().for_each(|first| *first = w_first * *first));
        let first = &*first;
        each_line(layout, b, |line, b| subtract_product(view, first, line, b));
        self.visit(depth, x, b, coarser);
        each_line(layout, x, |line, x| {
            for (x, first) in x[layout.within(line)].iter_mut().zip(&first[layout.places(line)]) {
                *x = *first + w_second * *x;
            }
        });
    }

    /// One cycle on a grid from zero.
    fn visit(&self, depth: usize, x: &mut [R], b: &[R], coarser: &mut [Set<R>]) {
        let level = &self.levels[depth];
        let coarse = self.levels.get(depth + 1).map_or(self.coarsest.layout(), |level| &level.layout);
        columns(level, x, b, Parity::Even, true);
        columns(level, x, b, Parity::Odd, false);
        let [_, coarse_b] = coarser[0].split();
        restrict(level, x, coarse, coarse_b);
        self.solve(depth + 1, coarser);
        let [correction] = coarser[0].split();
        correct(&level.layout, x, coarse, correction);
        columns(level, x, b, Parity::Odd, false);
        columns(level, x, b, Parity::Even, false);
    }
}

/// The residual of even columns as right-hand side of the coarse grid.
fn restrict<R: Real>(level: &Level<R>, x: &[R], coarse: &Layout, b: &mut [R]) {
    let (fine, level) = (&level.layout, level.view());
    each_row(coarse, b, fine.is_shared(), |j, [even, odd]| {
        let (from, to) = fine.spans[j].even;
        if from >= to {
            return;
        }
        let origin = coarse.origin(j);
        let mut values = [R::default(); TOGETHER];
        // Coarse columns come in pairs; one before the first or beyond the last is zero.
        for start in (from & !1..to).step_by(TOGETHER) {
            let pairs = (to - start).div_ceil(2).min(TOGETHER / 2);
            contribution(level, x, Parity::Even, j, (start, start + 2 * pairs), &mut values);
            let first = origin.wrapping_add(start / 2);
            let targets = even[first..first + pairs].iter_mut().zip(&mut odd[first..first + pairs]);
            for ((even, odd), pair) in targets.zip(values.chunks_exact(2)) {
                (*even, *odd) = (pair[0], pair[1]);
            }
        }
    });
}

/// Adds the coarse solution to the even columns.
fn correct<R: Real>(fine: &Layout, x: &mut [R], coarse: &Layout, correction: &[R]) {
    each_row(fine, x, fine.is_shared(), |j, [target, _]| {
        let (from, to) = fine.spans[j].even;
        if from >= to {
            return;
        }
        let (first, last) = (from / 2, to.div_ceil(2));
        let part = |start: usize| &correction[start + first..start + last];
        let start = fine.origin(j).wrapping_add(2 * first);
        let target = target[start..start + 2 * (last - first)].chunks_exact_mut(2);
        for ((pair, even), odd) in target.zip(part(coarse.even(j))).zip(part(coarse.odd(j))) {
            pair[0] += *even;
            pair[1] += *odd;
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::multigrid::operator::dense;

    /// The cycle's x for a right-hand side of pseudo-random numbers, with that right-hand side.
    fn cycle<R: Real>(hierarchy: &Hierarchy<R>, seed: usize) -> [Vec<f64>; 2] {
        let operator = hierarchy.finest();
        let layout = &operator.layout;
        let mut workspace = hierarchy.workspace();
        for place in (0..layout.size()).filter(|place| operator.center[*place] > 0.0) {
            workspace.finest()[1][place] = R::of(((place * 37 + seed * 101) % 23) as f64 / 11.0 - 1.0);
        }
        let b = workspace.finest()[1].iter().map(|value| (*value).into()).collect();
        hierarchy.cycle(&mut workspace);
        [workspace.finest()[0].iter().map(|value| (*value).into()).collect(), b]
    }

    #[test]
    fn the_cycle_is_symmetric_and_positive_definite() {
        // Wide enough for grids that are visited twice.
        let operator = dense::example(300, 12);
        for hierarchy in
            [Hierarchy::<f64>::of(operator.clone()).unwrap(), Hierarchy::thorough(operator).unwrap()]
        {
            assert!(hierarchy.depth() > VISITED_TWICE[0] + 1);
            let [x, b] = cycle(&hierarchy, 1);
            let [y, c] = cycle(&hierarchy, 2);
            let (forth, back) = (product(&x, &c), product(&y, &b));
            assert!(
                (forth - back).abs() < 1e-10 * product(&x, &b).abs().max(product(&y, &c).abs()),
                "{forth} {back}"
            );
            assert!(product(&x, &b) > 0.0 && product(&y, &c) > 0.0);
        }
    }
}
