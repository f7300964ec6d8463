//! Interpolation along x, from the even columns to the odd ones.
//!
//! With O the tridiagonal matrix of an odd column and W, E the entries (as magnitudes) that couple it to the
//! columns beside it, a column that is relaxed takes the values O⁻¹·(W·x_west + E·x_east). Were that the
//! interpolation, the coarse grid would be exact; but O⁻¹ couples all rows with all, and so would the coarse
//! operator. So x_west and x_east are taken to change little along the column, and the weights are (S.
//! Schaffer, *A semicoarsening multigrid method for elliptic partial differential equations with highly
//! discontinuous and anisotropic coefficients*, SIAM J. Sci. Comput. 20 (1998) 228–242,
//! doi:10.1137/S1064827595281587)
//!
//! ```text
//! w = O⁻¹·W·1          e = O⁻¹·E·1
//! ```
//!
//! which costs two solves of the column. Weights lie between 0 and 1; where the odd column touches a surface,
//! their sum is less than 1. Where the column to one side has no unknown, the other takes its weight too.

use super::array::Array;
use super::block::{Block, blocks};
use super::level::{Level, Real, View};
use super::operator::Operator;
use super::sharing::each_share;
use super::span::Parity;

/// The weights of all odd columns. For odd column k of row j they lie where the even column k lies in the
/// [layout](super::Layout); around them there are zeros.
#[derive(Clone, Debug)]
pub struct Interpolation<R: Real> {
    /// Of the even column to the west.
    pub west: Array<R>,
    /// Of the even column to the east.
    pub east: Array<R>,
}

impl<R: Real> Interpolation<R> {
    /// The weights from the factors of a level and its operator.
    pub fn of(operator: &Operator, level: &Level<R>) -> Self {
        let layout = &level.layout;
        let (mut west, mut east) = (Array::zeros(layout.half(), 8), Array::zeros(layout.half(), 9));
        let blocks = |array| blocks(layout, Parity::Odd, array);
        let sides = blocks(&mut west).into_iter().zip(blocks(&mut east)).map(|(west, east)| [west, east]);
        each_share(sides.collect(), |mut sides| {
            solve(level.view(), &mut sides);
            give_to_the_other_side(operator, &mut sides);
        });
        Self { west, east }
    }
}

/// Solves the odd columns of a block for both sides.
fn solve<R: Real>(level: View<'_, R>, sides: &mut [Block<'_, R>; 2]) {
    let View { layout, inverse, deficit, east, north_east, north_west, .. } = level;
    for j in 0..layout.rows {
        let columns = sides[0].columns(j);
        if columns.is_empty() {
            continue;
        }
        let (from, n) = (columns.start, columns.len());
        let below = |place: usize| place.wrapping_add(layout.fall(j));
        let (odd, own_west, own_east) =
            (layout.odd(j) + from, layout.even(j) + from, layout.even(j) + from + 1);
        let slice = |place: usize| place..place + n;
        let deficit = &deficit[slice(below(odd))];
        // From row j to the column in the west: at j, j − 1, j + 1; and to that in the east.
        let entries: [[&[R]; 3]; 2] = if north_east.is_empty() {
            [[&east[slice(own_west)], &[], &[]], [&east[slice(odd)], &[], &[]]]
        } else {
            [
                [&east[slice(own_west)], &north_east[slice(below(own_west))], &north_west[slice(odd)]],
                [&east[slice(odd)], &north_west[slice(below(own_east))], &north_east[slice(odd)]],
            ]
        };
        for (side, [level, from_below, from_above]) in sides.iter_mut().zip(entries) {
            let (own, down) = side.row_and_below(j, &columns);
            if from_below.is_empty() {
                for k in 0..n {
                    own[k] = level[k] + (down[k] - deficit[k] * down[k]);
                }
            } else {
                for k in 0..n {
                    own[k] = level[k] + (from_below[k] + from_above[k]) + (down[k] - deficit[k] * down[k]);
                }
            }
        }
    }
    for j in (0..layout.rows).rev() {
        let columns = sides[0].columns(j);
        if columns.is_empty() {
            continue;
        }
        let (odd, n) = (layout.odd(j) + columns.start, columns.len());
        let (inverse, deficit) = (&inverse[odd..odd + n], &deficit[odd..odd + n]);
        for side in &mut *sides {
            let (own, up) = side.row_and_above(j, &columns);
            for k in 0..n {
                own[k] = up[k] + (inverse[k] * own[k] - deficit[k] * up[k]);
            }
        }
    }
}

/// Moves weights of neighbours without unknown to the other neighbour.
fn give_to_the_other_side<R: Real>(operator: &Operator, [west, east]: &mut [Block<'_, R>; 2]) {
    let layout = &operator.layout;
    for j in 0..layout.rows {
        let columns = west.columns(j);
        if columns.is_empty() {
            continue;
        }
        let (place, n) = (layout.even(j) + columns.start, columns.len());
        let (has_west, has_east) =
            (&operator.center[place..place + n], &operator.center[place + 1..place + 1 + n]);
        let (west, east) = (west.row(j, &columns), east.row(j, &columns));
        for k in 0..n {
            let sum = west[k] + east[k];
            let (w, e) = (west[k], east[k]);
            let (no_west, no_east) = (has_west[k] == 0.0, has_east[k] == 0.0);
            west[k] = if no_west {
                R::default()
            } else if no_east {
                sum
            } else {
                w
            };
            east[k] = if no_east {
                R::default()
            } else if no_west {
                sum
            } else {
                e
            };
        }
    }
}
