//! How the six values of a field in each cell hang on the unknowns of its equations, and the equations in
//! them.
//!
//! A value is the sum of unknowns times coefficients: one unknown as a rule, none where the value is given,
//! more where an enclosed space adds its own (`strips.rs`). With C the matrix of the coefficients and K the sum
//! of the cells' matrices, the equations are CᵀKC·x = Cᵀ·f.
//!
//! **Solving by corrections.** A residual is not taken from the matrix, whose rows are sums of numbers up to
//! 10¹⁰ times what they come to in thin metal, but from the field: gradients are differences of neighbouring
//! values, and the flux out of each node is summed from these. So each correction x ← x + A⁻¹·r (Wilkinson's
//! iterative refinement; the first one is the solution itself) also mends what the factors have lost.

use super::dissection::Tree;
use super::front::NoFactor;
use super::ldlt::Factor;
use super::sparse::Elements;

/// The coefficients.
#[derive(Clone, Debug)]
pub(super) struct Values {
    /// How many unknowns there are.
    pub(super) unknowns: usize,
    /// Where the terms of value i of cell c begin: at 6c + i.
    start: Vec<u32>,
    /// Unknowns and their coefficients.
    terms: Vec<(u32, f64)>,
}

impl Values {
    /// From the terms of each value of each cell, cell by cell.
    pub(super) fn of(
        unknowns: usize,
        values: impl Iterator<Item = impl IntoIterator<Item = (u32, f64)>>,
    ) -> Self {
        let (mut start, mut terms) = (vec![0], Vec::new());
        for value in values {
            terms.extend(value);
            start.push(terms.len() as u32);
        }
        Self { unknowns, start, terms }
    }

    /// The terms of a value.
    fn terms(&self, cell: usize, value: usize) -> &[(u32, f64)] {
        let at = 6 * cell + value;
        &self.terms[self.start[at] as usize..self.start[at + 1] as usize]
    }

    /// The values in a cell, for given unknowns; 0 where a value is no unknown.
    pub(super) fn within(&self, cell: usize, unknowns: &[f64]) -> [f64; 6] {
        [0, 1, 2, 3, 4, 5].map(|value| {
            self.terms(cell, value).iter().map(|(unknown, part)| part * unknowns[*unknown as usize]).sum()
        })
    }

    /// Adds what belongs to a cell's values to what belongs to the unknowns (the transpose).
    pub(super) fn gather(&self, cell: usize, values: &[f64; 6], into: &mut [f64]) {
        for (value, amount) in values.iter().enumerate() {
            for (unknown, part) in self.terms(cell, value) {
                into[*unknown as usize] += part * amount;
            }
        }
    }

    /// The matrix of the unknowns, from the matrix of the six values of each cell.
    pub(super) fn elements(&self, matrix: impl Fn(usize) -> [[f64; 6]; 6]) -> Elements {
        let mut elements = Elements::new();
        let mut unknowns: Vec<u32> = Vec::new();
        let mut dense: Vec<f64> = Vec::new();
        for cell in 0..(self.start.len() - 1) / 6 {
            unknowns.clear();
            let mut places = [const { Vec::new() }; 6];
            for (value, places) in places.iter_mut().enumerate() {
                for (unknown, part) in self.terms(cell, value) {
                    let at = unknowns.iter().position(|known| known == unknown).unwrap_or_else(|| {
                        unknowns.push(*unknown);
                        unknowns.len() - 1
                    });
                    places.push((at, *part));
                }
            }
            let size = unknowns.len();
            dense.clear();
            dense.resize(size * size, 0.0);
            let matrix = matrix(cell);
            for (row, of_row) in matrix.iter().zip(&places) {
                for (value, of_column) in row.iter().zip(&places) {
                    for (one, first) in of_row {
                        for (other, second) in of_column {
                            dense[one * size + other] += first * second * value;
                        }
                    }
                }
            }
            elements.push(&unknowns, |row, column| dense[row * size + column]);
        }
        elements
    }
}

/// Equations that are factorised.
#[derive(Clone, Debug)]
pub(super) struct Equations {
    /// What the values hang on.
    pub(super) values: Values,
    factor: Factor,
}

/// So many corrections at most; one is the solution.
const MOST_CORRECTIONS: usize = 4;
/// A correction below this part of the largest unknown is rounding.
const ROUNDING: f64 = 1e-13;

impl Equations {
    /// From the matrix of the six values of each cell.
    ///
    /// # Errors
    /// [`NoFactor`].
    pub(super) fn of(
        values: Values,
        tree: &Tree,
        matrix: impl Fn(usize) -> [[f64; 6]; 6],
    ) -> Result<Self, NoFactor> {
        let factor = Factor::of(&values.elements(matrix), tree, values.unknowns)?;
        Ok(Self { values, factor })
    }

    /// Multiply-adds that the factors took.
    pub(super) fn work(&self) -> f64 {
        self.factor.work()
    }

    /// The unknowns at which nothing is left: `residual` gives the force on each value of each cell for given
    /// unknowns.
    pub(super) fn solve(&self, residual: impl Fn(usize, &[f64]) -> [f64; 6], cells: usize) -> Vec<f64> {
        let mut solution = vec![0.0; self.values.unknowns];
        for _ in 0..MOST_CORRECTIONS {
            let mut right = vec![0.0; solution.len()];
            for cell in 0..cells {
                self.values.gather(cell, &residual(cell, &solution), &mut right);
            }
            let correction = self.factor.solve(&right);
            solution.iter_mut().zip(&correction).for_each(|(value, change)| *value += change);
            let largest = |values: &[f64]| values.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
            if largest(&correction) <= ROUNDING * largest(&solution) {
                break;
            }
        }
        solution
    }
}
