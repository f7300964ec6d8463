//! The coarsest grid, of a few columns, solved exactly.
//!
//! Numbered row by row, a vertex is coupled to none that comes more than a row and one column later: the matrix
//! is a band, and stays one when it is factored, A = L·D·Lᵀ.
//!
//! The factors, not inverses of the blocks of a row, which would be multiplied without a chain of dependent
//! operations: where rows are coupled strongly along and hardly to the air, a block is nearly singular, and
//! N·D⁻¹·N loses what leaves a row in what flows along it, long before elimination does. All is done
//! in double precision for the same reason.

use super::layout::Layout;
use super::level::{NotPositiveDefinite, Real};
use super::operator::Operator;

/// Columns at most. So many take less time than the grids of half and a quarter as many would.
pub const COLUMNS: usize = 16;

/// How many later vertices one may be coupled to.
const BAND: usize = COLUMNS + 1;

/// The factors of the coarsest grid's matrix.
#[derive(Clone, Debug)]
pub struct Coarsest {
    layout: Layout,
    /// By vertex, row by row: the entries of its column of L below the diagonal.
    below: Vec<[f64; BAND]>,
    /// 1/D.
    inverse: Vec<f64>,
}

impl Coarsest {
    /// Factors an operator of at most [`COLUMNS`] columns.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a pivot is not positive.
    pub fn of(operator: &Operator) -> Result<Self, NotPositiveDefinite> {
        let layout = operator.layout.clone();
        let count = layout.columns * layout.rows;
        // What is beyond the last vertex takes what its neighbours have nothing of.
        let (mut diagonal, mut below) = (vec![0.0; count + BAND], vec![[0.0; BAND]; count + BAND]);
        for vertex in 0..count {
            let row = operator.row(vertex % layout.columns, vertex / layout.columns);
            // Vertices without unknown are rows of the identity.
            diagonal[vertex] = if row.center == 0.0 { 1.0 } else { row.center };
            below[vertex][0] = -row.west_east[1];
            for (direction, magnitude) in row.north.into_iter().enumerate().filter(|(_, value)| *value != 0.0)
            {
                below[vertex][layout.columns + direction - 2] -= magnitude;
            }
        }
        let mut inverse = Vec::with_capacity(count);
        for vertex in 0..count {
            let pivot = diagonal[vertex];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return Err(NotPositiveDefinite);
            }
            inverse.push(1.0 / pivot);
            let column = below[vertex];
            let scaled = column.map(|entry| entry / pivot);
            for (place, factor) in scaled.into_iter().enumerate().filter(|(_, factor)| *factor != 0.0) {
                let later = vertex + 1 + place;
                diagonal[later] -= factor * column[place];
                for (entry, own) in below[later].iter_mut().zip(&column[place + 1..]) {
                    *entry -= factor * own;
                }
            }
            below[vertex] = scaled;
        }
        below.truncate(count);
        Ok(Self { layout, below, inverse })
    }

    /// The arrangement of its vertices.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// x = A⁻¹·b.
    pub fn solve<R: Real>(&self, b: &[R], x: &mut [R]) {
        let layout = &self.layout;
        let mut y = vec![0.0; self.below.len() + BAND];
        for j in 0..layout.rows {
            for i in (0..layout.columns).filter(|i| layout.is_within(*i, j)) {
                y[j * layout.columns + i] = b[layout.at(i, j)].into();
            }
        }
        for (vertex, below) in self.below.iter().enumerate() {
            let own = y[vertex];
            for (later, entry) in y[vertex + 1..=vertex + BAND].iter_mut().zip(below) {
                *later -= entry * own;
            }
        }
        for (vertex, below) in self.below.iter().enumerate().rev() {
            let later: f64 =
                y[vertex + 1..=vertex + BAND].iter().zip(below).map(|(later, entry)| later * entry).sum();
            y[vertex] = self.inverse[vertex] * y[vertex] - later;
        }
        for j in 0..layout.rows {
            for i in (0..layout.columns).filter(|i| layout.is_within(*i, j)) {
                x[layout.at(i, j)] = R::of(y[j * layout.columns + i]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::DVector;

    use super::*;
    use crate::multigrid::galerkin::coarse_operator;
    use crate::multigrid::interpolation::Interpolation;
    use crate::multigrid::level::Level;
    use crate::multigrid::operator::dense;

    #[test]
    fn the_solution_is_that_of_the_dense_matrix() {
        let fine = dense::example(27, 11);
        let coarse =
            coarse_operator(&fine, &Interpolation::of(&fine, &Level::<f64>::of(&fine, false).unwrap()));
        let layout = &coarse.layout;
        let places: Vec<usize> = (0..layout.rows)
            .flat_map(|j| (0..layout.columns).map(move |i| (i, j)))
            .map(|(i, j)| layout.at(i, j))
            .collect();
        let mut matrix = dense::matrix(&coarse);
        let mut right = vec![0.0; layout.size()];
        for (number, place) in places.iter().enumerate() {
            if coarse.center[*place] > 0.0 {
                right[*place] = ((number * 7) % 5) as f64 - 1.0;
            } else {
                matrix[(number, number)] = 1.0;
            }
        }
        let mut solution = vec![0.0; layout.size()];
        Coarsest::of(&coarse).unwrap().solve(&right, &mut solution);
        let expected = matrix
            .lu()
            .solve(&DVector::from_iterator(places.len(), places.iter().map(|place| right[*place])))
            .unwrap();
        let difference = places
            .iter()
            .zip(expected.iter())
            .map(|(place, value)| (solution[*place] - value).abs())
            .fold(0.0, f64::max);
        assert!(difference <= 1e-9 * expected.amax(), "{difference}");
    }
}
