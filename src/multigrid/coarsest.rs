//! The coarsest grid, of a few columns, solved exactly.
//!
//! Row by row the matrix is block tridiagonal, with a small tridiagonal block Cⱼ for row j and a block −Nⱼ
//! that couples it to row j + 1. Block elimination gives
//!
//! ```text
//! D₀ = C₀,    Dⱼ₊₁ = Cⱼ₊₁ − Nⱼᵀ·Dⱼ⁻¹·Nⱼ
//! upwards:    yⱼ = Dⱼ⁻¹·(bⱼ + Nⱼ₋₁ᵀ·yⱼ₋₁)          back:    xⱼ = yⱼ + Dⱼ⁻¹·Nⱼ·xⱼ₊₁
//! ```
//!
//! The inverses are kept, as multiplying by one takes no chain of dependent operations. All is done in double
//! precision, as there is no cheap way here to keep what leaves a row from being swamped by what flows along.

use std::array;

use nalgebra::{SMatrix, SVector};

use super::layout::Layout;
use super::level::{NotPositiveDefinite, Real};
use super::operator::{Operator, Row};

/// Columns at most. A block of so many takes less time than the grids of half and a quarter as many would.
pub const COLUMNS: usize = 16;

type Vector = SVector<f64, COLUMNS>;
type Block = SMatrix<f64, COLUMNS, COLUMNS>;

/// The factors of the coarsest grid's matrix.
#[derive(Clone, Debug)]
pub struct Coarsest {
    layout: Layout,
    /// Dⱼ⁻¹.
    inverses: Vec<Block>,
    /// Entries (as magnitudes) from each vertex to NW, N and NE.
    north: Vec<[Vector; 3]>,
}

impl Coarsest {
    /// Factors an operator of at most [`COLUMNS`] columns.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a pivot is not positive.
    pub fn of(operator: &Operator) -> Result<Self, NotPositiveDefinite> {
        let layout = operator.layout.clone();
        let (mut inverses, mut north) = (Vec::with_capacity(layout.rows), Vec::with_capacity(layout.rows));
        let mut taken = Block::zeros();
        for j in 0..layout.rows {
            // Columns that are not there, and vertices without unknown, are rows of the identity.
            let mut block = -taken;
            let mut towards = [Vector::zeros(); 3];
            for i in 0..COLUMNS {
                let row = if i < layout.columns { operator.row(i, j) } else { Row::default() };
                block[(i, i)] += if row.center == 0.0 { 1.0 } else { row.center };
                if i + 1 < layout.columns {
                    block[(i, i + 1)] -= row.west_east[1];
                    block[(i + 1, i)] -= row.west_east[1];
                }
                for (towards, magnitude) in towards.iter_mut().zip(row.north) {
                    towards[i] = magnitude;
                }
            }
            let inverse = inverse(block, layout.columns).ok_or(NotPositiveDefinite)?;
            let transposed_times = |block: Block| {
                Block::from_columns(&array::from_fn::<_, COLUMNS, _>(|i| {
                    across(&towards, &block.column(i).into())
                }))
            };
            taken = transposed_times(transposed_times(inverse).transpose());
            inverses.push(inverse);
            north.push(towards);
        }
        Ok(Self { layout, inverses, north })
    }

    /// The arrangement of its vertices.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// x = A⁻¹·b.
    pub fn solve<R: Real>(&self, b: &[R], x: &mut [R]) {
        let layout = &self.layout;
        let mut y: Vec<Vector> = Vec::with_capacity(layout.rows);
        let mut from_below = Vector::zeros();
        for j in 0..layout.rows {
            let mut right = from_below;
            for i in (0..layout.columns).filter(|i| layout.is_within(*i, j)) {
                right[i] += b[layout.at(i, j)].into();
            }
            let solution = self.inverses[j] * right;
            from_below = across(&self.north[j], &solution);
            y.push(solution);
        }
        let mut above = Vector::zeros();
        for (j, y) in y.iter().enumerate().rev() {
            above = y + self.inverses[j] * along(&self.north[j], &above);
            for i in (0..layout.columns).filter(|i| layout.is_within(*i, j)) {
                x[layout.at(i, j)] = R::of(above[i]);
            }
        }
    }
}

/// The inverse of a symmetric, positive definite block, of which only the first `count` columns differ from
/// the identity's, by Gauss–Jordan elimination: three times as fast as by a general Cholesky factorisation of
/// all columns. `None` if a pivot is not positive.
fn inverse(mut block: Block, count: usize) -> Option<Block> {
    for pivot in 0..count {
        let value = block[(pivot, pivot)];
        if value.is_nan() || value <= 0.0 || value == f64::INFINITY {
            return None;
        }
        block[(pivot, pivot)] = 1.0;
        let scaled = block.column(pivot) / value;
        for i in 0..COLUMNS {
            let factor = if i == pivot { 0.0 } else { std::mem::take(&mut block[(pivot, i)]) };
            block.column_mut(i).axpy(-factor, &scaled, 1.0);
        }
        block.set_column(pivot, &scaled);
    }
    // Equal entries on both sides of the diagonal keep the preconditioner symmetric.
    block.fill_upper_triangle_with_lower_triangle();
    Some(block)
}

/// Nᵀ·x.
#[inline(always)]
fn across([to_nw, to_n, to_ne]: &[Vector; 3], x: &Vector) -> Vector {
    let mut result = to_n.component_mul(x);
    for i in 0..COLUMNS - 1 {
        result[i] += to_nw[i + 1] * x[i + 1];
        result[i + 1] += to_ne[i] * x[i];
    }
    result
}

/// N·x.
#[inline(always)]
fn along([to_nw, to_n, to_ne]: &[Vector; 3], x: &Vector) -> Vector {
    let mut result = to_n.component_mul(x);
    for i in 0..COLUMNS - 1 {
        result[i] += to_ne[i] * x[i + 1];
        result[i + 1] += to_nw[i + 1] * x[i];
    }
    result
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
