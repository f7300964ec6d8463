//! Interpolation weights from the operator.
//!
//! Coarse vertices are the fine ones with even index (in the directions that are coarsened). With a the sum of the magnitudes of
//! a row's entries towards the west, b towards the east, and o of all its entries, a vertex with odd i and even j gets
//!
//! ```text
//! x = (a·x_west + b·x_east) / ((a + b)·(1 + slack/o)),     slack = c − o ≥ 0
//! ```
//!
//! The slack is the row's coupling to an environment (or a fixed neighbour). Dividing by 1 + slack/o lets the interpolant fall off
//! towards a surface as the row itself demands; adding the whole slack to a + b instead spoils the interpolation along surfaces
//! and costs two to three times the iterations. Rows with even i and odd j do the same across; vertices with both odd solve
//! their own row with the neighbours just interpolated.

use super::operator::{Operator, Row};
use super::sharing::each_piece;

/// Interpolation weights of one coarsening, by coarse vertex (I, J).
#[derive(Clone, Debug)]
pub struct Interpolation {
    /// Whether x is coarsened.
    pub along_x: bool,
    /// Whether y is coarsened.
    pub along_y: bool,
    /// Coarse columns.
    pub columns: usize,
    /// Coarse rows.
    pub rows: usize,
    /// Fine (2I+1, 2J) from (I, J) and (I+1, J).
    between_x: Vec<[f64; 2]>,
    /// Fine (2I, 2J+1) from (I, J) and (I, J+1).
    between_y: Vec<[f64; 2]>,
    /// Fine (2I+1, 2J+1) from (I, J), (I+1, J), (I, J+1), (I+1, J+1).
    middle: Vec<[f64; 4]>,
}

/// A coarse vertex's basis function on the fine vertices around it: `[dy + 1][dx + 1]`.
pub type Basis = [[f64; 3]; 3];

/// The two weights of a vertex between coarse ones on the sides a and b.
fn two_weights(a: f64, b: f64, row: &Row) -> [f64; 2] {
    // Rounding leaves a slack of the order of the last bits, which means none.
    const NO_SLACK: f64 = 1e-12;
    if a + b <= 0.0 {
        return [0.0; 2];
    }
    let total = row.total();
    let slack = row.center - total;
    let slack = if slack < NO_SLACK * total { 0.0 } else { slack };
    let divisor = (a + b) * (1.0 + slack / total);
    [a / divisor, b / divisor]
}

/// Sets the entry of each coarse vertex (I, J); an array without entries stays so.
fn fill_rows<T: Send>(entries: &mut [T], columns: usize, is_large: bool, value: impl Fn(usize, usize) -> T + Sync) {
    each_piece(entries, columns, is_large, |jc, row| row.iter_mut().enumerate().for_each(|(ic, entry)| *entry = value(ic, jc)));
}

impl Interpolation {
    /// Computes the weights for coarsening in the given directions.
    pub fn of(fine: &Operator, along_x: bool, along_y: bool) -> Self {
        let coarse = |count: usize, halve: bool| if halve { count.div_ceil(2) } else { count };
        let (columns, rows) = (coarse(fine.layout.columns, along_x), coarse(fine.layout.rows, along_y));
        let size = columns * rows;
        let mut weights = Self {
            along_x,
            along_y,
            columns,
            rows,
            between_x: if along_x { vec![[0.0; 2]; size] } else { Vec::new() },
            between_y: if along_y { vec![[0.0; 2]; size] } else { Vec::new() },
            middle: if along_x && along_y { vec![[0.0; 4]; size] } else { Vec::new() },
        };
        let (step_x, step_y) = (1 + usize::from(along_x), 1 + usize::from(along_y));
        let is_large = fine.layout.is_shared();
        fill_rows(&mut weights.between_x, columns, is_large, |ic, jc| {
            let (i, j) = (ic * step_x + 1, jc * step_y);
            if i >= fine.layout.columns {
                return [0.0; 2];
            }
            let row = fine.row(i, j);
            let west = row.west_east[0] + row.south[0] + row.north[0];
            let east = row.west_east[1] + row.south[2] + row.north[2];
            two_weights(west, east, &row)
        });
        fill_rows(&mut weights.between_y, columns, is_large, |ic, jc| {
            let (i, j) = (ic * step_x, jc * step_y + 1);
            if j >= fine.layout.rows {
                return [0.0; 2];
            }
            let row = fine.row(i, j);
            two_weights(row.south.iter().sum(), row.north.iter().sum(), &row)
        });
        if along_x && along_y {
            weights.set_middle(fine);
        }
        weights
    }

    fn set_middle(&mut self, fine: &Operator) {
        let (columns, rows) = (self.columns, self.rows);
        let (between_x, between_y) = (&self.between_x, &self.between_y);
        let pair = |weights: &[[f64; 2]], ic: usize, jc: usize| {
            if ic < columns && jc < rows { weights[jc * columns + ic] } else { [0.0; 2] }
        };
        fill_rows(&mut self.middle, columns, fine.layout.is_shared(), |ic, jc| {
            let (i, j) = (2 * ic + 1, 2 * jc + 1);
            if i >= fine.layout.columns || j >= fine.layout.rows {
                return [0.0; 4];
            }
            let row = fine.row(i, j);
            if row.total() <= 0.0 {
                return [0.0; 4];
            }
            let [south, north] = [jc, jc + 1].map(|jc| pair(between_x, ic, jc));
            let [west, east] = [ic, ic + 1].map(|ic| pair(between_y, ic, jc));
            [
                (row.south[0] + row.south[1] * south[0] + row.west_east[0] * west[0]) / row.center,
                (row.south[2] + row.south[1] * south[1] + row.west_east[1] * east[0]) / row.center,
                (row.north[0] + row.north[1] * north[0] + row.west_east[0] * west[1]) / row.center,
                (row.north[2] + row.north[1] * north[1] + row.west_east[1] * east[1]) / row.center,
            ]
        });
    }

    /// The weights of fine (2I, 2J+1) from (I, J) and (I, J+1); zeros where y is not coarsened.
    pub fn between_rows(&self, ic: usize, jc: usize) -> [f64; 2] {
        if self.along_y { self.between_y[jc * self.columns + ic] } else { [0.0; 2] }
    }

    /// The basis function of coarse vertex (I, J).
    #[inline(always)]
    pub fn basis(&self, ic: usize, jc: usize) -> Basis {
        let own = jc * self.columns + ic;
        let (has_west, has_south) = (ic > 0, jc > 0);
        let mut basis = [[0.0; 3]; 3];
        basis[1][1] = 1.0;
        if self.along_x {
            basis[1][2] = self.between_x[own][0];
            if has_west {
                basis[1][0] = self.between_x[own - 1][1];
            }
        }
        if self.along_y {
            basis[2][1] = self.between_y[own][0];
            if has_south {
                basis[0][1] = self.between_y[own - self.columns][1];
            }
        }
        if self.along_x && self.along_y {
            basis[2][2] = self.middle[own][0];
            if has_west {
                basis[2][0] = self.middle[own - 1][1];
            }
            if has_south {
                basis[0][2] = self.middle[own - self.columns][2];
                if has_west {
                    basis[0][0] = self.middle[own - self.columns - 1][3];
                }
            }
        }
        basis
    }
}
