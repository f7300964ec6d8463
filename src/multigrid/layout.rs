//! Where a vertex lies in an array.
//!
//! A row holds its even columns, then its odd columns, each half with a zero on both sides; below the first and above the last row
//! there is a row of zeros. So no kernel has to ask whether it stands at a border:
//!
//! ```text
//!            ┌ half ──────────────┐┌ half ──────────────┐
//! row j:     0  e₀ e₁ e₂ … e_m  0  0  o₀ o₁ o₂ … o_n  0        eₖ is column 2k, oₖ is column 2k + 1
//!
//! neighbours of eₖ: oₖ₋₁ to the west, oₖ to the east;  of oₖ: eₖ to the west, eₖ₊₁ to the east
//! ```
//!
//! Rows know the span of their solid vertices; outside of it arrays stay zero and nothing is computed.

use super::sharing::WORTH_SHARING;

/// The part of a row that has unknowns, as ranges of k.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RowSpan {
    /// First and one past the last even column.
    pub even: (usize, usize),
    /// First and one past the last odd column.
    pub odd: (usize, usize),
}

/// The arrangement of a grid's vertices in memory.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Vertices along x.
    pub columns: usize,
    /// Vertices along y.
    pub rows: usize,
    /// Length of a half row, zeros included.
    pub half: usize,
    /// Length of a row.
    pub stride: usize,
    /// The spans of the rows.
    pub spans: Vec<RowSpan>,
}

impl Layout {
    /// A grid whose rows are all empty of unknowns so far.
    pub fn new(columns: usize, rows: usize) -> Self {
        let half = columns.div_ceil(2) + 2;
        Self { columns, rows, half, stride: 2 * half, spans: vec![RowSpan::default(); rows] }
    }

    /// Length of an array.
    pub fn size(&self) -> usize {
        self.stride * (self.rows + 2)
    }

    /// Number of vertices.
    pub fn vertices(&self) -> usize {
        self.columns * self.rows
    }

    /// True if the grid is large enough to be shared among threads.
    pub fn is_shared(&self) -> bool {
        self.vertices() >= WORTH_SHARING
    }

    /// The rows of an array, without the zeros below and above.
    pub fn rows_of<'a, T>(&self, values: &'a mut [T]) -> &'a mut [T] {
        &mut values[self.stride..self.stride * (self.rows + 1)]
    }

    /// Start of the even columns of row j.
    #[inline(always)]
    pub fn even(&self, j: usize) -> usize {
        (j + 1) * self.stride + 1
    }

    /// Start of the odd columns of row j.
    #[inline(always)]
    pub fn odd(&self, j: usize) -> usize {
        (j + 1) * self.stride + self.half + 1
    }

    /// Place of vertex (i, j).
    #[inline(always)]
    pub fn at(&self, i: usize, j: usize) -> usize {
        if i.is_multiple_of(2) { self.even(j) + i / 2 } else { self.odd(j) + i / 2 }
    }

    /// Place of the western neighbour of column i of the row whose vertex (i, j) lies at `here`.
    #[inline(always)]
    pub fn west(&self, i: usize, here: usize) -> usize {
        if i.is_multiple_of(2) { here + self.half - 1 } else { here - self.half }
    }

    /// Place of the eastern neighbour.
    #[inline(always)]
    pub fn east(&self, i: usize, here: usize) -> usize {
        if i.is_multiple_of(2) { here + self.half } else { here - self.half + 1 }
    }

    /// Sets the spans from the vertices that have unknowns.
    pub fn set_spans(&mut self, is_active: impl Fn(usize, usize) -> bool) {
        for j in 0..self.rows {
            let first = (0..self.columns).find(|i| is_active(*i, j));
            let last = (0..self.columns).rev().find(|i| is_active(*i, j));
            self.spans[j] = match (first, last) {
                (Some(first), Some(last)) => {
                    RowSpan { even: (first.div_ceil(2), (last + 1).div_ceil(2)), odd: (first / 2, last.div_ceil(2)) }
                }
                _ => RowSpan::default(),
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_and_spans() {
        for columns in [1, 2, 5, 6] {
            let mut layout = Layout::new(columns, 3);
            for i in 0..columns {
                let here = layout.at(i, 1);
                if i > 0 {
                    assert_eq!(layout.west(i, here), layout.at(i - 1, 1));
                    assert_eq!(layout.east(i - 1, layout.at(i - 1, 1)), here);
                }
            }
            layout.set_spans(|i, j| j == 1 && i > 0);
            let span = layout.spans[1];
            assert_eq!(span.even.1.saturating_sub(span.even.0) + span.odd.1.saturating_sub(span.odd.0), columns - 1);
            assert_eq!(layout.spans[0], RowSpan::default());
        }
    }
}
