//! What the cycle needs of one grid, in single precision: entries, factors of the lines, weights of the transfer.
//!
//! Single precision halves the memory that the cycle moves, and the cycle does nothing but move memory. Conjugate gradients around
//! it compute in double precision, so the accuracy of the solution does not suffer.

use std::ops::{Add, AddAssign, Mul, Sub};

use super::interpolation::Interpolation;
use super::layout::Layout;
use super::operator::Operator;
use super::sharing::each_piece;

/// The precision of the cycle: single, or double where single is not enough.
pub trait Real:
    Copy
    + Default
    + Send
    + Sync
    + PartialOrd
    + AddAssign
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Into<f64>
    + 'static
{
    /// The nearest number.
    fn of(value: f64) -> Self;
}

impl Real for f32 {
    #[inline(always)]
    fn of(value: f64) -> Self {
        value as Self
    }
}

impl Real for f64 {
    #[inline(always)]
    fn of(value: f64) -> Self {
        value
    }
}

/// A pivot that is not positive: the operator is not positive definite.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotPositiveDefinite;

/// One grid of the hierarchy.
#[derive(Clone, Debug)]
pub struct Level<R> {
    /// The arrangement of its arrays.
    pub layout: Layout,
    /// What the diagonal exceeds the magnitudes of its row by. Rounding the diagonal itself would swamp it.
    pub slack: Vec<R>,
    /// Magnitude towards the east.
    pub east: Vec<R>,
    /// Magnitude towards the north.
    pub north: Vec<R>,
    /// Magnitude towards the north-east; empty on a five-point level.
    pub north_east: Vec<R>,
    /// Magnitude towards the north-west; empty on a five-point level.
    pub north_west: Vec<R>,
    /// 1/pivot of the Cholesky factors of all rows; 0 where there is no unknown.
    pub row_factor: Vec<R>,
    /// 1/pivot of the Cholesky factors of all columns; 0 where there is no unknown.
    pub column_factor: Vec<R>,
}

impl<R: Real> Level<R> {
    /// Factors all rows and columns as tridiagonal matrices, d₁ = c₁, dₖ = cₖ − oₖ₋₁²/dₖ₋₁ with o the entries along the line, and
    /// rounds everything.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a pivot is not positive.
    pub fn of(operator: &Operator) -> Result<Self, NotPositiveDefinite> {
        let layout = &operator.layout;
        let row_factor = row_factors(operator);
        let column_factor = column_factors(operator);
        // Pivots that are not positive give factors that are negative, infinite or not a number.
        let is_sound = |factors: &[R]| factors.iter().all(|factor| (0.0..f64::INFINITY).contains(&(*factor).into()));
        if !is_sound(&row_factor) || !is_sound(&column_factor) {
            return Err(NotPositiveDefinite);
        }
        let round = |values: &[f64]| values.iter().map(|value| R::of(*value)).collect::<Vec<_>>();
        Ok(Self {
            slack: slacks(operator),
            east: round(&operator.east),
            north: round(&operator.north),
            north_east: round(&operator.north_east),
            north_west: round(&operator.north_west),
            row_factor,
            column_factor,
            layout: layout.clone(),
        })
    }

    /// True if there are entries to diagonal neighbours.
    pub fn is_nine_point(&self) -> bool {
        !self.north_east.is_empty()
    }
}

/// The slack of every row, from entries in double precision.
fn slacks<R: Real>(operator: &Operator) -> Vec<R> {
    let layout = &operator.layout;
    let s = layout.stride;
    let mut slacks = vec![R::default(); layout.size()];
    let row = |j: usize, target: &mut [R]| {
        for i in 0..layout.columns {
            let row = operator.row(i, j);
            target[layout.at(i, j) - (j + 1) * s] = R::of(row.center - row.total());
        }
    };
    each_piece(layout.rows_of(&mut slacks), s, layout.is_shared(), row);
    slacks
}

/// Rows factored side by side, so that their divisions overlap.
const ROWS_TOGETHER: usize = 8;

/// 1/pivot along every row; 0 where there is no unknown.
fn row_factors<R: Real>(operator: &Operator) -> Vec<R> {
    let layout = &operator.layout;
    let (s, half) = (layout.stride, layout.half);
    let mut factors = vec![R::default(); layout.size()];
    let factor = |number: usize, target: &mut [R]| {
        let count = target.len() / s;
        let start = (number * ROWS_TOGETHER + 1) * s;
        let mut inverse = [0.0; ROWS_TOGETHER];
        let pivot =
            |center: f64, entry: f64, inverse: f64| if center == 0.0 { 0.0 } else { 1.0 / (center - entry * entry * inverse) };
        for k in 1..half {
            // Column 2(k − 1) with the entry from the column before, then the next. The border's entries are zero, so the first
            // vertex of a row needs no case of its own.
            for (line, inverse) in inverse.iter_mut().enumerate().take(count) {
                let (even, odd) = (start + line * s + k, start + line * s + half + k);
                *inverse = pivot(operator.center[even], operator.east[odd - 1], *inverse);
                target[line * s + k] = R::of(*inverse);
            }
            for (line, inverse) in inverse.iter_mut().enumerate().take(count) {
                let (even, odd) = (start + line * s + k, start + line * s + half + k);
                *inverse = pivot(operator.center[odd], operator.east[even], *inverse);
                target[line * s + half + k] = R::of(*inverse);
            }
        }
    };
    each_piece(layout.rows_of(&mut factors), ROWS_TOGETHER * s, layout.is_shared(), factor);
    factors
}

/// 1/pivot along every column, all columns side by side; 0 where there is no unknown.
fn column_factors<R: Real>(operator: &Operator) -> Vec<R> {
    let s = operator.layout.stride;
    let mut factors = vec![R::default(); operator.layout.size()];
    let mut inverse = vec![0.0; s];
    for (number, target) in factors.chunks_mut(s).enumerate().skip(1).take(operator.layout.rows) {
        let start = number * s;
        let (center, entry) = (&operator.center[start..start + s], &operator.north[start - s..start]);
        for k in 0..s {
            let pivot = center[k] - entry[k] * entry[k] * inverse[k];
            inverse[k] = if center[k] == 0.0 { 0.0 } else { 1.0 / pivot };
            target[k] = R::of(inverse[k]);
        }
    }
    factors
}

/// The transfer between a level and the next coarser one, on even columns alone (see the [module](super) on why).
#[derive(Clone, Debug)]
pub struct Transfer<R> {
    /// Whether x is coarsened.
    pub along_x: bool,
    /// Whether y is coarsened.
    pub along_y: bool,
    /// Even columns of the fine grid.
    pub even_columns: usize,
    /// For fine (2k, 2J+1), at `J · even_columns + k`: the weight of the coarse row J.
    pub from_below: Vec<R>,
    /// The weight of the coarse row J + 1.
    pub from_above: Vec<R>,
}

impl<R: Real> Transfer<R> {
    /// Takes what the cycle needs from the full interpolation.
    pub fn of(fine: &Operator, weights: &Interpolation) -> Self {
        let even_columns = fine.layout.columns.div_ceil(2);
        // Without coarsening along x the coarse column of the fine column 2k is 2k.
        let step = if weights.along_x { 1 } else { 2 };
        let pick = |side: usize| {
            let rows = if weights.along_y { weights.rows } else { 0 };
            (0..rows)
                .flat_map(|jc| (0..even_columns).map(move |k| (k * step, jc)))
                .map(|(ic, jc)| R::of(weights.between_rows(ic, jc)[side]))
                .collect()
        };
        Self { along_x: weights.along_x, along_y: weights.along_y, even_columns, from_below: pick(0), from_above: pick(1) }
    }
}
