//! Columns by parity, and which of them a row has unknowns in.

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
    /// First and one past the last column of one parity.
    #[inline(always)]
    pub fn columns(&self, parity: Parity) -> (usize, usize) {
        if parity == Parity::Even { self.even } else { self.odd }
    }

    /// The columns `from..to`.
    pub fn of(from: usize, to: usize) -> Self {
        if from < to {
            Self { even: (from.div_ceil(2), to.div_ceil(2)), odd: (from / 2, to / 2) }
        } else {
            Self::default()
        }
    }
}
