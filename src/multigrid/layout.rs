//! Where a vertex lies in an array.
//!
//! An array holds all rows of even columns, then all rows of odd columns. Each has zeros on both sides, and below the first and above the
//! last there is a row of zeros, so no kernel has to ask whether it stands at a border; and a sweep over the columns of one parity runs through memory without
//! gaps:
//!
//! ```text
//!          ┌ stride ──────────┐            ┌ stride ──────────┐
//! row j:   0  e₀ e₁ e₂ … e_m  0  …         0  o₀ o₁ o₂ … o_n  0       eₖ is column 2k, oₖ is column 2k + 1
//!          └ apart ────────────────────────┘
//!
//! neighbours of eₖ: oₖ₋₁ to the west, oₖ to the east;  of oₖ: eₖ to the west, eₖ₊₁ to the east
//! ```
//!
//! Rows know the span of their solid vertices; outside of it arrays stay zero and nothing is computed.

use std::ops::Range;

use super::sharing::WORTH_SHARING;

/// Even or odd columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parity {
    /// 0, 2, 4, …
    Even,
    /// 1, 3, 5, …
    Odd,
}

impl Parity {
    /// That of column i.
    #[inline(always)]
    pub fn of(i: usize) -> Self {
        if i.is_multiple_of(2) { Self::Even } else { Self::Odd }
    }
}

/// The part of a row that has unknowns, as ranges of k.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RowSpan {
    /// First and one past the last even column.
    pub even: (usize, usize),
    /// First and one past the last odd column.
    pub odd: (usize, usize),
}

impl RowSpan {
    /// The columns `from..to`.
    pub fn of(from: usize, to: usize) -> Self {
        if from < to { Self { even: (from.div_ceil(2), to.div_ceil(2)), odd: (from / 2, to / 2) } } else { Self::default() }
    }
}

/// The arrangement of a grid's vertices in memory.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Vertices along x.
    pub columns: usize,
    /// Vertices along y.
    pub rows: usize,
    /// Distance of vertically neighbouring vertices: the length of a row of one parity, zeros included.
    pub stride: usize,
    /// Distance of the odd columns from the even ones.
    pub apart: usize,
    /// The spans of the rows.
    pub spans: Vec<RowSpan>,
}

impl Layout {
    /// A grid whose rows are all empty of unknowns so far.
    pub fn new(columns: usize, rows: usize) -> Self {
        let stride = columns.div_ceil(2) + 2;
        Self { columns, rows, stride, apart: stride * (rows + 2), spans: vec![RowSpan::default(); rows] }
    }

    /// Length of an array.
    pub fn size(&self) -> usize {
        2 * self.apart
    }

    /// Number of vertices.
    pub fn vertices(&self) -> usize {
        self.columns * self.rows
    }

    /// True if the grid is large enough to be shared among threads.
    pub fn is_shared(&self) -> bool {
        self.vertices() >= WORTH_SHARING
    }

    /// The rows of even and those of odd columns of an array, without the zeros below and above.
    pub fn rows_of<'a, T>(&self, values: &'a mut [T]) -> [&'a mut [T]; 2] {
        let (even, odd) = values.split_at_mut(self.apart);
        [even, odd].map(|rows| &mut rows[self.stride..self.stride * (self.rows + 1)])
    }

    /// The number of a row of one parity in an array: those of even columns first, with the zeros below and above.
    #[inline(always)]
    pub fn line(&self, parity: Parity, j: usize) -> usize {
        match parity {
            Parity::Even => j + 1,
            Parity::Odd => j + self.rows + 3,
        }
    }

    /// Parity and row of the line of that number; `None` for one of zeros.
    #[inline(always)]
    pub fn row(&self, line: usize) -> Option<(Parity, usize)> {
        let (parity, j) = if line < self.rows + 2 { (Parity::Even, line) } else { (Parity::Odd, line - self.rows - 2) };
        (1..=self.rows).contains(&j).then(|| (parity, j - 1))
    }

    /// The places with unknowns in the line of that number, counted from its start.
    #[inline(always)]
    pub fn within(&self, line: usize) -> Range<usize> {
        match self.row(line) {
            None => 1..1,
            Some((Parity::Even, j)) => 1 + self.spans[j].even.0..1 + self.spans[j].even.1,
            Some((Parity::Odd, j)) => 1 + self.spans[j].odd.0..1 + self.spans[j].odd.1,
        }
    }

    /// The same, counted from the start of the array.
    #[inline(always)]
    pub fn places(&self, line: usize) -> Range<usize> {
        let within = self.within(line);
        line * self.stride + within.start..line * self.stride + within.end
    }

    /// Start of the columns of one parity in row j.
    #[inline(always)]
    pub fn start(&self, parity: Parity, j: usize) -> usize {
        self.line(parity, j) * self.stride + 1
    }

    /// Start of the even columns of row j.
    #[inline(always)]
    pub fn even(&self, j: usize) -> usize {
        self.start(Parity::Even, j)
    }

    /// Start of the odd columns of row j.
    #[inline(always)]
    pub fn odd(&self, j: usize) -> usize {
        self.start(Parity::Odd, j)
    }

    /// Place of vertex (i, j).
    #[inline(always)]
    pub fn at(&self, i: usize, j: usize) -> usize {
        self.start(Parity::of(i), j) + i / 2
    }

    /// The places west and east of a place of the given parity.
    #[inline(always)]
    pub fn beside(&self, parity: Parity, place: usize) -> (usize, usize) {
        match parity {
            Parity::Even => (place + self.apart - 1, place + self.apart),
            Parity::Odd => (place - self.apart, place - self.apart + 1),
        }
    }

    /// Sets the spans from the vertices that have unknowns.
    pub fn set_spans(&mut self, is_active: impl Fn(usize, usize) -> bool) {
        for j in 0..self.rows {
            let first = (0..self.columns).find(|i| is_active(*i, j));
            let last = (0..self.columns).rev().find(|i| is_active(*i, j));
            self.spans[j] = match (first, last) {
                (Some(first), Some(last)) => RowSpan::of(first, last + 1),
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
                    assert_eq!(layout.beside(Parity::of(i), here).0, layout.at(i - 1, 1));
                    assert_eq!(layout.beside(Parity::of(i - 1), layout.at(i - 1, 1)).1, here);
                }
            }
            layout.set_spans(|i, j| j == 1 && i > 0);
            let span = layout.spans[1];
            assert_eq!(span.even.1.saturating_sub(span.even.0) + span.odd.1.saturating_sub(span.odd.0), columns - 1);
            assert_eq!(layout.spans[0], RowSpan::default());
        }
    }
}
