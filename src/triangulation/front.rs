//! One front: a small dense symmetric matrix of which the first unknowns are eliminated.
//!
//! ```text
//! its own p unknowns    │ c₀              column k: c_k = L_k·d_k, its first entry the pivot d_k
//!                       │ ·  c₁           F_j ← F_j − c_k·(c_jk/d_k) for all columns j > k
//!    ───────────────────┼───────
//! b unknowns of others  │ ·  ·  │ Schur complement, b × b, lower half, by columns
//! ```
//!
//! Columns are kept as they are when their turn comes, not divided by the pivot: what is subtracted from a later
//! column is divided once for each pair.

use super::sparse::Elements;

/// A pivot was not positive: the matrix is not positive definite, or not within rounding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct NotPositiveDefinite;

/// Why a matrix has no factors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoFactor {
    /// A pivot was not positive.
    NotPositiveDefinite,
    /// They would take more work or memory than anything that is drawn for a building.
    TooLarge,
}

impl From<NotPositiveDefinite> for NoFactor {
    fn from(_: NotPositiveDefinite) -> Self {
        Self::NotPositiveDefinite
    }
}

/// So many columns are eliminated together: each entry of the others is fetched once for all of them.
const TOGETHER: usize = 4;

/// A front in numbers: lower halves by columns.
pub(super) struct Dense<'a> {
    /// How many are eliminated.
    pub(super) pivots: usize,
    /// Rows in all.
    pub(super) size: usize,
    /// The columns to eliminate, whole.
    pub(super) own: &'a mut [f64],
    /// The columns below, without the rows of the pivots.
    pub(super) others: Vec<f64>,
}

impl Dense<'_> {
    /// A column from its own row or an earlier one on, and the row it begins with.
    fn column(&mut self, column: usize) -> (&mut [f64], usize) {
        match column.checked_sub(self.pivots) {
            None => (&mut self.own[column * self.size..(column + 1) * self.size], 0),
            Some(other) => {
                let border = self.size - self.pivots;
                (&mut self.others[other * border..(other + 1) * border], self.pivots)
            }
        }
    }

    /// Adds what a half has left over. Both number their unknowns in the order of elimination, so lower halves
    /// fall on lower halves.
    pub(super) fn add_rest(&mut self, numbers: &[u32], rest: &[f64], place: &[u32]) {
        for (number, values) in rest.chunks_exact(numbers.len().max(1)).enumerate() {
            let (column, begins) = self.column(place[numbers[number] as usize] as usize);
            for (row, value) in numbers[number..].iter().zip(&values[number..]) {
                column[place[*row as usize] as usize - begins] += value;
            }
        }
    }

    /// Adds an element.
    pub(super) fn add_element(&mut self, matrix: &Elements, element: usize, number: &[u32], place: &[u32]) {
        let unknowns = matrix.unknowns(element);
        let mut values = matrix.values(element).iter();
        let at = |unknown: u32| place[number[unknown as usize] as usize] as usize;
        for (row, unknown) in unknowns.iter().enumerate() {
            for (other, value) in unknowns[..=row].iter().zip(&mut values) {
                let (one, other) = (at(*unknown), at(*other));
                let (column, begins) = self.column(one.min(other));
                column[one.max(other) - begins] += value;
            }
        }
    }

    /// Eliminates the pivots.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`].
    pub(super) fn eliminate(&mut self) -> Result<(), NotPositiveDefinite> {
        let (size, pivots, border) = (self.size, self.pivots, self.size - self.pivots);
        for from in (0..pivots).step_by(TOGETHER) {
            let to = (from + TOGETHER).min(pivots);
            let (done, behind) = self.own.split_at_mut(to * size);
            let panel = &mut done[from * size..];
            for k in from..to {
                let (before, column) = panel.split_at_mut((k - from) * size);
                let column = &mut column[k..size];
                for (earlier, pivot) in before.chunks_exact(size).zip(from..) {
                    subtract_one(column, &earlier[k..], earlier[k] / earlier[pivot]);
                }
                if !(column[0] > 0.0 && column[0].is_finite()) {
                    return Err(NotPositiveDefinite);
                }
            }
            for j in to..size {
                let target = match j.checked_sub(pivots) {
                    None => &mut behind[(j - to) * size + j..(j - to + 1) * size],
                    Some(other) => &mut self.others[other * border + other..(other + 1) * border],
                };
                let from_row = |k: usize| &panel[k * size + j..(k + 1) * size];
                let factor = |k: usize| panel[k * size + j] / panel[k * size + from + k];
                if to - from == TOGETHER {
                    let columns = [0, 1, 2, 3].map(from_row);
                    subtract_four(target, columns, [0, 1, 2, 3].map(factor));
                } else {
                    for k in 0..to - from {
                        subtract_one(target, from_row(k), factor(k));
                    }
                }
            }
        }
        Ok(())
    }
}

/// target − column·factor.
fn subtract_one(target: &mut [f64], column: &[f64], factor: f64) {
    for (value, entry) in target.iter_mut().zip(column) {
        *value -= entry * factor;
    }
}

/// target − the sum of four columns times their factors.
fn subtract_four(target: &mut [f64], columns: [&[f64]; TOGETHER], factor: [f64; TOGETHER]) {
    let [a, b, c, d] = columns.map(|column| &column[..target.len()]);
    for (row, value) in target.iter_mut().enumerate() {
        *value -= (a[row] * factor[0] + b[row] * factor[1]) + (c[row] * factor[2] + d[row] * factor[3]);
    }
}
