//! What the cycle needs of one grid, in single precision: the couplings between columns, and the factors of
//! the columns.
//!
//! Along a column the matrix is tridiagonal, with diagonal c and entries −n. Its factorisation L·D·Lᵀ has
//! pivots d and multipliers ℓ = n/d. Where heat flows along the column far more easily than out of it, ℓ is
//! so close to 1 that rounding it to single precision would swamp what leaves the column. So 1 − ℓ is
//! computed and stored, from σ = c − n_below − n_above, all that leaves the column at a vertex:
//!
//! ```text
//! s₀ = σ₀,    dⱼ = nⱼ + sⱼ,    1 − ℓⱼ = sⱼ/dⱼ,    sⱼ₊₁ = σⱼ₊₁ + nⱼ·(1 − ℓⱼ)
//! ```
//!
//! Adding where the usual recurrence subtracts keeps every factor accurate to the last bits, as in the method
//! of W. K. Grassmann, M. I. Taksar, D. P. Heyman, Oper. Res. 33 (1985) 1107–1116, for Markov chains. The
//! factors take the place of diagonal and entries, which the cycle needs nowhere else (see [the
//! cycle](super::cycle) on why). Single precision halves the memory that the cycle moves. Conjugate gradients
//! around it compute in double precision, so the accuracy of the solution does not suffer.

use std::ops::{Add, AddAssign, Mul, Range, Sub};

use super::array::Set;
use super::block::{Block, blocks};
use super::layout::Layout;
use super::operator::Operator;
use super::sharing::each_share;
use super::span::Parity;

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
    + bytemuck::Pod
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
pub struct Level<R: Real> {
    /// The arrangement of its arrays.
    pub layout: Layout,
    is_nine_point: bool,
    has_residual: bool,
    arrays: Set<R>,
}

impl<R: Real> Level<R> {
    /// Factors all columns, and rounds everything. `has_residual` says whether residuals will be computed on
    /// this level.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a pivot is not positive.
    pub fn of(operator: &Operator, has_residual: bool) -> Result<Self, NotPositiveDefinite> {
        let layout = operator.layout.clone();
        let is_nine_point = operator.is_nine_point();
        let mut arrays =
            Set::zeros(3 + 2 * (usize::from(is_nine_point) + usize::from(has_residual)), layout.size());
        let mut entries: Vec<&[f64]> = vec![&operator.east];
        if is_nine_point {
            entries.extend::<[&[f64]; 2]>([&operator.north_east, &operator.north_west]);
        }
        if has_residual {
            entries.push(&operator.north);
        }
        let is_sound = [Parity::Even, Parity::Odd].map(|parity| {
            let of = |array| {
                let [half, _] = layout.own_and_other(parity, array);
                blocks(&layout, parity, half).into_iter()
            };
            let mut by_array: Vec<_> = arrays.iter_mut().map(of).collect();
            let count = by_array[0].len();
            let shares: Vec<Vec<Block<'_, R>>> =
                (0..count).map(|_| by_array.iter_mut().filter_map(Iterator::next).collect()).collect();
            let is_sound = each_share(shares, |mut share| {
                let [inverse, deficit, others @ ..] = share.as_mut_slice() else { return false };
                for (target, entries) in others.iter_mut().zip(&entries) {
                    for j in 0..layout.rows {
                        let (columns, places) = part(&layout, parity, target, j);
                        if !columns.is_empty() {
                            round(target.row(j, &columns), &entries[places]);
                        }
                    }
                }
                if let Some(slack) = others.last_mut().filter(|_| has_residual) {
                    set_slack(operator, parity, slack);
                }
                factor(operator, parity, [inverse, deficit])
            });
            !is_sound.contains(&false)
        });
        if is_sound.contains(&false) {
            return Err(NotPositiveDefinite);
        }
        Ok(Self { layout, is_nine_point, has_residual, arrays })
    }

    /// The arrays as slices, taken once a sweep.
    pub fn view(&self) -> View<'_, R> {
        let mut arrays = self.arrays.iter();
        let mut next = |is_there: bool| if is_there { arrays.next().unwrap_or_default() } else { &[] };
        View {
            inverse: next(true),
            deficit: next(true),
            east: next(true),
            north_east: next(self.is_nine_point),
            north_west: next(self.is_nine_point),
            north: next(self.has_residual),
            slack: next(self.has_residual),
            layout: &self.layout,
        }
    }
}

/// The arrays of a [`Level`], all of its layout.
#[derive(Clone, Copy, Debug)]
pub struct View<'a, R> {
    /// The arrangement.
    pub layout: &'a Layout,
    /// 1/d of the factors of the columns; 0 where there is no unknown.
    pub inverse: &'a [R],
    /// 1 − ℓ towards the vertex to the north; 1 where nothing couples the two.
    pub deficit: &'a [R],
    /// Magnitude of the entry towards the east.
    pub east: &'a [R],
    /// Magnitude towards the north-east; empty on a five-point level.
    pub north_east: &'a [R],
    /// Magnitude towards the north-west; empty on a five-point level.
    pub north_west: &'a [R],
    /// Magnitude towards the north; empty unless residuals are wanted.
    pub north: &'a [R],
    /// What the diagonal exceeds the magnitudes of its row by; empty unless residuals are wanted.
    pub slack: &'a [R],
}

fn round<R: Real>(target: &mut [R], source: &[f64]) {
    for (target, source) in target.iter_mut().zip(source) {
        *target = R::of(*source);
    }
}

/// The columns of a block that have unknowns in row j, and their places in the operator.
fn part<R>(layout: &Layout, parity: Parity, block: &Block<'_, R>, j: usize) -> (Range<usize>, Range<usize>) {
    let columns = block.columns(j);
    let start = if columns.is_empty() { 0 } else { layout.start(parity, j) };
    (columns.clone(), start + columns.start..start + columns.end)
}

/// Factors the columns of a block. False if a pivot is not positive.
fn factor<R: Real>(operator: &Operator, parity: Parity, [inverse, deficit]: [&mut Block<'_, R>; 2]) -> bool {
    let layout = &operator.layout;
    let (from, to) = inverse.bounds();
    // n·(1 − ℓ) and n of the row below.
    let (mut passed_on, mut below) = (vec![0.0; to - from], vec![0.0; to - from]);
    let mut is_sound = true;
    for j in 0..layout.rows {
        let (columns, places) = part(layout, parity, inverse, j);
        let within = columns.start - from..columns.end - from;
        for values in [&mut passed_on, &mut below] {
            values[..within.start].fill(0.0);
            values[within.end..].fill(0.0);
        }
        if columns.is_empty() {
            continue;
        }
        let (passed_on, below) = (&mut passed_on[within.clone()], &mut below[within]);
        let (center, north) = (&operator.center[places.clone()], &operator.north[places]);
        let (inverse, deficit) = (inverse.row(j, &columns), deficit.row(j, &columns));
        for k in 0..center.len() {
            let is_free = center[k] != 0.0;
            let leaving = center[k] - (north[k] + below[k]) + passed_on[k];
            let pivot = north[k] + leaving;
            is_sound &= !is_free || pivot > 0.0 && pivot < f64::INFINITY;
            let one_over = if is_free { 1.0 / pivot } else { 0.0 };
            let short_of_one = if is_free { leaving * one_over } else { 1.0 };
            inverse[k] = R::of(one_over);
            deficit[k] = R::of(short_of_one);
            passed_on[k] = north[k] * short_of_one;
            below[k] = north[k];
        }
    }
    is_sound
}

/// Sets what the diagonals of the columns of a block exceed the magnitudes of their rows by.
fn set_slack<R: Real>(operator: &Operator, parity: Parity, block: &mut Block<'_, R>) {
    for j in 0..operator.layout.rows {
        let columns = block.columns(j);
        if columns.is_empty() {
            continue;
        }
        for (k, slack) in columns.clone().zip(block.row(j, &columns)) {
            let row = operator.row(2 * k + usize::from(parity == Parity::Odd), j);
            *slack = R::of(row.center - row.total());
        }
    }
}
