//! A sparse symmetric matrix as the sum of small dense ones, one a cell, as it arises and as it is factorised.
//!
//! ```text
//! element 0: unknowns 4 7 9      its values by rows: a₄₄ | a₇₄ a₇₇ | a₉₄ a₉₇ a₉₉
//! element 1: unknowns 7 9 2      …                    the matrix has the sum of both at (9, 7)
//! ```

/// The elements.
#[derive(Clone, Debug, Default)]
pub(super) struct Elements {
    /// Where the unknowns of each element begin, and where the last ones end.
    start: Vec<usize>,
    unknown: Vec<u32>,
    /// Where the values begin.
    value_start: Vec<usize>,
    value: Vec<f64>,
}

impl Elements {
    /// None yet.
    pub(super) fn new() -> Self {
        Self { start: vec![0], ..Self::default() }
    }

    /// Adds an element from its unknowns, each once, and the rows of its lower triangle.
    pub(super) fn push(&mut self, unknowns: &[u32], value: impl Fn(usize, usize) -> f64) {
        self.unknown.extend_from_slice(unknowns);
        self.start.push(self.unknown.len());
        self.value_start.push(self.value.len());
        for row in 0..unknowns.len() {
            self.value.extend((0..=row).map(|column| value(row, column)));
        }
    }

    /// How many elements there are.
    pub(super) fn count(&self) -> usize {
        self.value_start.len()
    }

    /// The unknowns of an element.
    pub(super) fn unknowns(&self, element: usize) -> &[u32] {
        &self.unknown[self.start[element]..self.start[element + 1]]
    }

    /// The lower triangle of an element, row by row.
    pub(super) fn values(&self, element: usize) -> &[f64] {
        let from = self.value_start[element];
        let size = self.start[element + 1] - self.start[element];
        &self.value[from..from + size * (size + 1) / 2]
    }
}
