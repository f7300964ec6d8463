//! The hierarchy of grids and the cycle over it.

use std::f64::consts::FRAC_1_SQRT_2;

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use rayon::prelude::*;

use super::galerkin::coarse_operator;
use super::interpolation::Interpolation;
use super::layout::Layout;
use super::level::{Level, NotPositiveDefinite, Real, Transfer};
use super::operator::Operator;
use super::relaxation::{Parity, columns, rows};
use super::sharing::{WORTH_SHARING, each_piece};

/// A grid with at most this many vertices is solved directly.
const COARSEST: usize = 100;
/// A direction with fewer lines than this is not coarsened any further.
const SHORT: usize = 5;
/// The part of the error that one visit of a coarser level may leave. Two visits, a W-cycle, halve the iterations of a V-cycle at half
/// as much work again, since every level has a quarter of the vertices of the one before. They are weighted for errors up to this
/// part: see [`weights_of_visits`].
const LEFT_BY_A_VISIT: f64 = 0.55;

/// The operator on all grids, ready to precondition.
#[derive(Clone, Debug)]
pub struct Hierarchy<R = f32> {
    finest: Operator,
    levels: Vec<Level<R>>,
    transfers: Vec<Transfer<R>>,
    coarsest_layout: Layout,
    coarsest: Cholesky<f64, Dyn>,
}

/// Weights w of the two visits' corrections. A visit turns an error component into its e-th part, 0 ≤ e < 1 as the cycle is symmetric; with
/// weights, both together leave (1 − w₁·(1 − e))·(1 − w₂·(1 − e)). On 0 ≤ e ≤ ρ that is least as the Chebyshev polynomial of degree 2
/// (G. H. Golub, R. S. Varga, Numer. Math. 3 (1961) 147–156), whose roots are e = ρ/2·(1 ± 1/√2): for ρ = 0.55 at most 0.08 instead of 0.30. It
/// stays below 1 for all e, so the preconditioner stays positive definite.
fn weights_of_visits() -> [f64; 2] {
    [1.0, -1.0].map(|sign| 1.0 / (1.0 - 0.5 * LEFT_BY_A_VISIT * (1.0 + sign * FRAC_1_SQRT_2)))
}

/// Arrays for one cycle, one set a level.
pub struct Workspace<R> {
    /// The solution on each level.
    x: Vec<Vec<R>>,
    /// The right-hand side on each level.
    b: Vec<Vec<R>>,
    /// The residual on the even columns of each level.
    residual: Vec<Vec<R>>,
    /// The solution on each level after the first visit.
    visited: Vec<Vec<R>>,
}

impl<R> Workspace<R> {
    /// The finest right-hand side, to be filled before a cycle.
    pub fn right_hand_side(&mut self) -> &mut [R] {
        &mut self.b[0]
    }

    /// The finest solution, the result of a cycle.
    pub fn solution(&self) -> &[R] {
        &self.x[0]
    }
}

impl<R: Real> Hierarchy<R> {
    /// Builds all levels below the finest, whose rows' spans must be set.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a factorisation fails.
    pub fn of(finest: Operator) -> Result<Self, NotPositiveDefinite> {
        let mut levels = Vec::new();
        let mut transfers = Vec::new();
        let mut current: Option<Operator> = None;
        let coarsest = loop {
            let operator = current.as_ref().unwrap_or(&finest);
            let layout = &operator.layout;
            if layout.vertices() <= COARSEST {
                break operator;
            }
            levels.push(Level::of(operator)?);
            let weights = Interpolation::of(operator, layout.columns >= SHORT, layout.rows >= SHORT);
            transfers.push(Transfer::of(operator, &weights));
            current = Some(coarse_operator(operator, &weights));
        };
        let factors = dense(coarsest).cholesky().ok_or(NotPositiveDefinite)?;
        Ok(Self { coarsest_layout: coarsest.layout.clone(), coarsest: factors, finest, levels, transfers })
    }

    /// The finest operator.
    pub fn finest(&self) -> &Operator {
        &self.finest
    }

    /// Number of grids.
    pub fn depth(&self) -> usize {
        self.levels.len() + 1
    }

    fn layout(&self, depth: usize) -> &Layout {
        self.levels.get(depth).map_or(&self.coarsest_layout, |level| &level.layout)
    }

    /// Arrays for [`Self::cycle`].
    pub fn workspace(&self) -> Workspace<R> {
        let arrays = || (0..self.depth()).map(|depth| vec![R::default(); self.layout(depth).size()]).collect();
        // The finest level is visited once, and so is the coarsest, where one visit is exact.
        let is_visited_twice = |depth: usize| depth > 0 && depth + 1 < self.depth();
        let visited = (0..self.depth())
            .map(|depth| vec![R::default(); if is_visited_twice(depth) { self.layout(depth).size() } else { 0 }]);
        let residual = self
            .transfers
            .iter()
            .zip(&self.levels)
            .map(|(transfer, level)| vec![R::default(); transfer.even_columns * level.layout.rows]);
        Workspace { x: arrays(), b: arrays(), residual: residual.collect(), visited: visited.collect() }
    }

    /// One cycle from zero for A·x = b with the workspace's finest b: the preconditioner, symmetric and positive definite.
    pub fn cycle(&self, workspace: &mut Workspace<R>) {
        self.descend(0, true, workspace);
    }

    /// One cycle on a level and all below, improving x[depth].
    fn descend(&self, depth: usize, from_zero: bool, workspace: &mut Workspace<R>) {
        if depth == self.levels.len() {
            self.solve_coarsest(&workspace.b[depth], &mut workspace.x[depth]);
            return;
        }
        let (level, transfer) = (&self.levels[depth], &self.transfers[depth]);
        let (x, b) = (&mut workspace.x[depth], &workspace.b[depth]);
        rows(level, x, b, Parity::Even, from_zero);
        rows(level, x, b, Parity::Odd, false);
        columns(level, x, b, Parity::Even);
        columns(level, x, b, Parity::Odd);
        residual_on_even_columns(level, transfer, x, b, &mut workspace.residual[depth]);
        let coarse = self.layout(depth + 1);
        restrict(transfer, level.layout.rows, &workspace.residual[depth], coarse, &mut workspace.b[depth + 1]);
        self.descend(depth + 1, true, workspace);
        // On the coarsest level the first visit is exact already.
        if depth + 1 < self.levels.len() {
            let [first, second] = weights_of_visits().map(R::of);
            let Workspace { x, visited, .. } = workspace;
            each_pair(coarse, &mut visited[depth + 1], &mut x[depth + 1], |visited, x| {
                for (x, visited) in x.iter_mut().zip(visited) {
                    *x = *x * first;
                    *visited = *x;
                }
            });
            self.descend(depth + 1, false, workspace);
            let Workspace { x, visited, .. } = workspace;
            each_pair(coarse, &mut visited[depth + 1], &mut x[depth + 1], |visited, x| {
                for (x, visited) in x.iter_mut().zip(visited) {
                    *x = *visited + second * (*x - *visited);
                }
            });
        }
        let (finer, coarser) = workspace.x.split_at_mut(depth + 1);
        let (x, b) = (&mut finer[depth], &workspace.b[depth]);
        correct_even_columns(transfer, coarse, &coarser[0], &level.layout, x);
        columns(level, x, b, Parity::Odd);
        columns(level, x, b, Parity::Even);
        rows(level, x, b, Parity::Odd, false);
        rows(level, x, b, Parity::Even, false);
    }

    fn solve_coarsest(&self, b: &[R], x: &mut [R]) {
        let layout = &self.coarsest_layout;
        let places = || (0..layout.rows).flat_map(move |j| (0..layout.columns).map(move |i| layout.at(i, j)));
        let mut solution = DVector::from_iterator(layout.vertices(), places().map(|place| b[place].into()));
        self.coarsest.solve_mut(&mut solution);
        for (place, value) in places().zip(solution.iter()) {
            x[place] = R::of(*value);
        }
    }
}

/// Calls `work` with the parts of two arrays of one layout.
fn each_pair<R: Real>(layout: &Layout, first: &mut [R], second: &mut [R], work: impl Fn(&mut [R], &mut [R]) + Sync) {
    if layout.is_shared() {
        let together = 16 * layout.stride;
        first.par_chunks_mut(together).zip(second.par_chunks_mut(together)).for_each(|(first, second)| work(first, second));
    } else {
        work(first, second);
    }
}

fn dense(operator: &Operator) -> DMatrix<f64> {
    let layout = &operator.layout;
    let columns = layout.columns;
    let mut matrix = DMatrix::zeros(layout.vertices(), layout.vertices());
    for j in 0..layout.rows {
        for i in 0..columns {
            let row = operator.row(i, j);
            let own = j * columns + i;
            // A vertex without unknown is a row of the identity.
            matrix[(own, own)] = if row.center > 0.0 { row.center } else { 1.0 };
            let mut set = |place: Option<usize>, magnitude: f64| {
                if let Some(place) = place.filter(|_| magnitude != 0.0) {
                    matrix[(own, place)] = -magnitude;
                }
            };
            set(own.checked_sub(1), row.west_east[0]);
            set(Some(own + 1), row.west_east[1]);
            for side in 0..3 {
                set((own + side).checked_sub(columns + 1), row.south[side]);
                set((own + columns + side).checked_sub(1), row.north[side]);
            }
        }
    }
    matrix
}

/// r = b − A·x on the even columns; on the odd ones, just solved, it is zero.
///
/// It is summed from differences of x, as heat flows: r = b − slack·x + Σ a·(x_neighbour − x). For the smooth x of fine grids both the
/// product c·x and the sum over the neighbours are far larger than r, and their rounding would drown it.
fn residual_on_even_columns<R: Real>(level: &Level<R>, transfer: &Transfer<R>, x: &[R], b: &[R], residual: &mut [R]) {
    each_piece(residual, transfer.even_columns, level.layout.is_shared(), |j, target| residual_of_row(level, x, b, j, target));
}

fn residual_of_row<R: Real>(level: &Level<R>, x: &[R], b: &[R], j: usize, target: &mut [R]) {
    let layout = &level.layout;
    let s = layout.stride;
    let (from, to) = layout.spans[j].even;
    target.fill(R::default());
    if from >= to {
        return;
    }
    let n = to - from;
    let start = layout.even(j) + from;
    let (west, east) = (start + layout.half - 1, start + layout.half);
    let target = &mut target[from..to];
    let (own, up, down) = (&x[start..start + n], &x[start + s..start + s + n], &x[start - s..start - s + n]);
    let (w, e) = (&x[west..west + n], &x[east..east + n]);
    let (slack, b) = (&level.slack[start..start + n], &b[start..start + n]);
    let (to_west, to_east) = (&level.east[west..west + n], &level.east[start..start + n]);
    let (north, south) = (&level.north[start..start + n], &level.north[start - s..start - s + n]);
    for k in 0..n {
        let x = own[k];
        let flow = to_west[k] * (w[k] - x) + to_east[k] * (e[k] - x) + north[k] * (up[k] - x) + south[k] * (down[k] - x);
        target[k] = b[k] - slack[k] * x + flow;
    }
    if level.is_nine_point() {
        let [nw, ne, sw, se] = [west + s, east + s, west - s, east - s].map(|place| &x[place..place + n]);
        let (to_nw, to_ne) = (&level.north_west[start..start + n], &level.north_east[start..start + n]);
        let (to_sw, to_se) = (&level.north_east[west - s..west - s + n], &level.north_west[east - s..east - s + n]);
        for k in 0..n {
            let x = own[k];
            target[k] += to_nw[k] * (nw[k] - x) + to_ne[k] * (ne[k] - x) + to_sw[k] * (sw[k] - x) + to_se[k] * (se[k] - x);
        }
    }
}

/// Pᵀ on the even columns.
fn restrict<R: Real>(transfer: &Transfer<R>, fine_rows: usize, residual: &[R], coarse: &Layout, b: &mut [R]) {
    let n = transfer.even_columns;
    let row = |jc: usize, target: &mut [R]| {
        let fine = |j: usize| &residual[j * n..(j + 1) * n];
        let j = if transfer.along_y { 2 * jc } else { jc };
        let own = fine(j);
        // The neighbouring rows with their weights towards this coarse row.
        let none: &[R] = &[];
        let (below, below_weight) =
            if transfer.along_y && j > 0 { (fine(j - 1), &transfer.from_above[(jc - 1) * n..jc * n]) } else { (none, none) };
        let (above, above_weight) = if transfer.along_y && j + 1 < fine_rows {
            (fine(j + 1), &transfer.from_below[jc * n..(jc + 1) * n])
        } else {
            (none, none)
        };
        for k in 0..n {
            let mut sum = own[k];
            if let (Some(value), Some(weight)) = (below.get(k), below_weight.get(k)) {
                sum += *value * *weight;
            }
            if let (Some(value), Some(weight)) = (above.get(k), above_weight.get(k)) {
                sum += *value * *weight;
            }
            target[coarse_place(transfer, coarse, k)] = sum;
        }
    };
    each_piece(coarse.rows_of(b), coarse.stride, n * fine_rows >= WORTH_SHARING, row);
}

/// The place within its row of the coarse vertex that the k-th even fine column becomes.
#[inline(always)]
fn coarse_place<R>(transfer: &Transfer<R>, coarse: &Layout, k: usize) -> usize {
    if !transfer.along_x {
        1 + k
    } else if k.is_multiple_of(2) {
        1 + k / 2
    } else {
        coarse.half + 1 + k / 2
    }
}

/// Adds the interpolated coarse correction to the even columns; the odd ones are solved anew next.
fn correct_even_columns<R: Real>(transfer: &Transfer<R>, coarse: &Layout, correction: &[R], fine: &Layout, x: &mut [R]) {
    let n = transfer.even_columns;
    let row = |j: usize, target: &mut [R]| {
        let (from, to) = fine.spans[j].even;
        let target = &mut target[1..=n];
        if !transfer.along_y || j.is_multiple_of(2) {
            let jc = if transfer.along_y { j / 2 } else { j };
            let source = &correction[(jc + 1) * coarse.stride..(jc + 2) * coarse.stride];
            for k in from..to {
                target[k] += source[coarse_place(transfer, coarse, k)];
            }
            return;
        }
        let jc = j / 2;
        let below = &correction[(jc + 1) * coarse.stride..(jc + 2) * coarse.stride];
        let above = &correction[(jc + 2) * coarse.stride..(jc + 3) * coarse.stride];
        let (from_below, from_above) = (&transfer.from_below[jc * n..(jc + 1) * n], &transfer.from_above[jc * n..(jc + 1) * n]);
        for k in from..to {
            let place = coarse_place(transfer, coarse, k);
            target[k] += from_below[k] * below[place] + from_above[k] * above[place];
        }
    };
    each_piece(fine.rows_of(x), fine.stride, fine.is_shared(), row);
}
