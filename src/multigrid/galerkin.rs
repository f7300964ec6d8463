//! The coarse operator PᵀAP.
//!
//! The even columns become the coarse ones. An odd column with weights w and e towards its neighbours L and R
//! to the west and east adds to their entries as follows, with primes for row j + 1, `c` its diagonal, and
//! all off-diagonal entries as magnitudes:
//!
//! ```text
//!   L ─ow─ o ─oe─ R     row j       (L, L)   c·w² − 2·ow·w              (Lⱼ, Lⱼ₊₁)   n·w·w' + nw·w + a·w'
//!                                   (R, R)   c·e² − 2·oe·e              (Rⱼ, Rⱼ₊₁)   n·e·e' + ne·e + b·e'
//!   n, nw, ne: from o to N, NW, NE  (L, R)   ow·e + oe·w − c·w·e        (Lⱼ, Rⱼ₊₁)   n·w·e' + ne·w + a·e'
//!   a: from L to NE; b: R to NW                                         (Rⱼ, Lⱼ₊₁)   n·e·w' + nw·e + b·w'
//! ```

use rayon::prelude::*;

use super::interpolation::Interpolation;
use super::layout::Layout;
use super::level::Real;
use super::operator::Operator;
use super::sharing::LINES_AT_LEAST;
use super::span::RowSpan;

/// C, E, N, NE, NW.
const ENTRIES: usize = 5;

/// PᵀAP on the even columns.
pub fn coarse_operator<R: Real>(fine: &Operator, weights: &Interpolation<R>) -> Operator {
    let spans = fine.layout.spans.iter().map(|span| RowSpan::of(span.even.0, span.even.1)).collect();
    let mut coarse = Operator::of(Layout::within_spans(fine.layout.columns.div_ceil(2), spans), true);
    let Operator { layout, center, east, north, north_east, north_west } = &mut coarse;
    let layout = &*layout;
    let mut arrays =
        [center, east, north, north_east, north_west].map(|array| layout.rows_of(array).into_iter());
    let mut rows: Vec<[[&mut [f64]; 2]; ENTRIES]> =
        (0..layout.rows).map(|_| arrays.each_mut().map(|rows| rows.next().unwrap_or_default())).collect();
    // One entry more than there are columns, so that they come in pairs.
    let scratch = || [(); ENTRIES].map(|()| vec![0.0; layout.columns + 1]);
    let compute = |scratch: &mut [Vec<f64>; ENTRIES], (j, row): (usize, &mut [[&mut [f64]; 2]; ENTRIES])| {
        let (from, to) = fine.layout.spans[j].even;
        if from >= to {
            return;
        }
        let values = scratch.each_mut().map(|values| &mut values[..]);
        if fine.is_nine_point() {
            coarse_row::<R, true>(fine, weights, j, (from, to), values);
        } else {
            coarse_row::<R, false>(fine, weights, j, (from, to), values);
        }
        for (values, [even, odd]) in scratch.iter_mut().zip(row) {
            values[to] = 0.0;
            if !from.is_multiple_of(2) {
                values[from - 1] = 0.0;
            }
            let (first, last) = (from / 2, to.div_ceil(2));
            let pairs = values[2 * first..2 * last].chunks_exact(2);
            let start = layout.origin(j).wrapping_add(first);
            for ((pair, even), odd) in pairs.zip(&mut even[start..]).zip(&mut odd[start..]) {
                (*even, *odd) = (pair[0], pair[1]);
            }
        }
    };
    if fine.layout.is_shared() {
        rows.par_iter_mut().enumerate().with_min_len(LINES_AT_LEAST).for_each_init(scratch, compute);
    } else {
        let mut scratch = scratch();
        rows.iter_mut().enumerate().for_each(|row| compute(&mut scratch, row));
    }
    coarse
}

/// The entries of the coarse columns `from..to` of row j, to their places in `row`.
fn coarse_row<R: Real, const NINE_POINT: bool>(
    fine: &Operator,
    weights: &Interpolation<R>,
    j: usize,
    (from, to): (usize, usize),
    row: [&mut [f64]; ENTRIES],
) {
    let layout = &fine.layout;
    let n = to - from;
    let [center, east, north, north_east, north_west] = row.map(|values| &mut values[from..to]);
    let (own, odd) = (layout.even(j) + from, layout.odd(j) + from);
    // The odd column to the east of each coarse one, and that to the west.
    let place = own;
    let above = place.wrapping_add(layout.rise(j));
    let slice = |place: usize| place..place + n;
    let (w, e) = (&weights.west[slice(place)], &weights.east[slice(place)]);
    let (w_above, e_above) = (&weights.west[slice(above)], &weights.east[slice(above)]);
    let (c, o_north) = (&fine.center[slice(odd)], &fine.north[slice(odd)]);
    let (to_odd, to_next) = (&fine.east[slice(own)], &fine.east[slice(odd)]);
    let (own_center, own_north) = (&fine.center[slice(own)], &fine.north[slice(own)]);
    let west_e = &weights.east[slice(place - 1)];
    let (west_w_above, west_e_above) = (&weights.west[slice(above - 1)], &weights.east[slice(above - 1)]);
    let (west_c, west_north) = (&fine.center[slice(odd - 1)], &fine.north[slice(odd - 1)]);
    let to_west = &fine.east[slice(odd - 1)];
    for k in 0..n {
        let [w, e, w_above, e_above] = [w[k], e[k], w_above[k], e_above[k]].map(Into::<f64>::into);
        let [west_e, west_w_above, west_e_above] =
            [west_e[k], west_w_above[k], west_e_above[k]].map(Into::<f64>::into);
        center[k] = own_center[k]
            + w * (c[k] * w - 2.0 * to_odd[k])
            + west_e * (west_c[k] * west_e - 2.0 * to_west[k]);
        east[k] = to_odd[k] * e + w * (to_next[k] - c[k] * e);
        north[k] = own_north[k] + o_north[k] * w * w_above + west_north[k] * west_e * west_e_above;
        north_east[k] = o_north[k] * w * e_above;
        north_west[k] = west_north[k] * west_e * west_w_above;
    }
    if NINE_POINT {
        // Of the odd columns: nw, ne; of the coarse column: a, b.
        let (o_nw, o_ne) = (&fine.north_west[slice(odd)], &fine.north_east[slice(odd)]);
        let (west_nw, west_ne) = (&fine.north_west[slice(odd - 1)], &fine.north_east[slice(odd - 1)]);
        let (a, b) = (&fine.north_east[slice(own)], &fine.north_west[slice(own)]);
        for k in 0..n {
            let [w, w_above, e_above] = [w[k], w_above[k], e_above[k]].map(Into::<f64>::into);
            let [west_e, west_w_above, west_e_above] =
                [west_e[k], west_w_above[k], west_e_above[k]].map(Into::<f64>::into);
            north[k] += o_nw[k] * w + a[k] * w_above + west_ne[k] * west_e + b[k] * west_e_above;
            north_east[k] += o_ne[k] * w + a[k] * e_above;
            north_west[k] += west_nw[k] * west_e + b[k] * west_w_above;
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::DMatrix;

    use super::*;
    use crate::multigrid::level::Level;
    use crate::multigrid::operator::dense;

    #[test]
    fn coarse_entries_are_those_of_the_product() {
        // Twice: from a five-point operator, and from a nine-point one.
        let mut fine = dense::example(19, 8);
        for _ in 0..2 {
            let (columns, rows) = (fine.layout.columns, fine.layout.rows);
            let level = Level::<f64>::of(&fine, false).unwrap();
            let weights = Interpolation::of(&fine, &level);
            let coarse = coarse_operator(&fine, &weights);
            let few = coarse.layout.columns;
            let mut interpolation = DMatrix::zeros(columns * rows, few * rows);
            for j in 0..rows {
                for i in 0..columns {
                    let k = i / 2;
                    if i % 2 == 0 {
                        interpolation[(j * columns + i, j * few + k)] = 1.0;
                        continue;
                    }
                    let place = fine.layout.even(j) + k;
                    assert!(
                        weights.west[place] >= 0.0
                            && weights.west[place] + weights.east[place] <= 1.0 + 1e-12
                    );
                    interpolation[(j * columns + i, j * few + k)] = weights.west[place];
                    if k + 1 < few {
                        interpolation[(j * columns + i, j * few + k + 1)] = weights.east[place];
                    }
                }
            }
            let product = interpolation.transpose() * dense::matrix(&fine) * &interpolation;
            let difference = (&product - dense::matrix(&coarse)).amax();
            assert!(difference <= 1e-12 * product.amax(), "{difference}");
            fine = coarse;
        }
    }
}
