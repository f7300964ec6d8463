//! The coarse operator PᵀAP.
//!
//! With φ_I the basis function of coarse vertex I (nonzero on 3 × 3 fine vertices), the coarse entry of I and K is φ_Kᵀ·A·φ_I. So for each
//! I, A·φ_I is formed on the 5 × 5 fine vertices around it and multiplied with the basis functions of I itself and of its
//! neighbours to E, N, NE and NW; the other half follows from symmetry.

use rayon::prelude::*;

use super::interpolation::{Basis, Interpolation};
use super::operator::Operator;

/// Entries C, E, N, NE, NW.
type Entries = [f64; 5];

/// PᵀAP on the coarse grid.
pub fn coarse_operator(fine: &Operator, weights: &Interpolation) -> Operator {
    let compute = |jc: usize| match (weights.along_x, weights.along_y) {
        (true, true) => coarse_row::<2, 2>(fine, weights, jc),
        (true, false) => coarse_row::<2, 1>(fine, weights, jc),
        (false, true) => coarse_row::<1, 2>(fine, weights, jc),
        (false, false) => coarse_row::<1, 1>(fine, weights, jc),
    };
    let rows: Vec<Vec<Entries>> = if fine.layout.is_shared() {
        (0..weights.rows).into_par_iter().with_min_len(4).map(compute).collect()
    } else {
        (0..weights.rows).map(compute).collect()
    };
    let mut coarse = Operator::zeros(weights.columns, weights.rows, true);
    for (jc, row) in rows.into_iter().enumerate() {
        for (ic, [center, east, north, north_east, north_west]) in row.into_iter().enumerate() {
            let here = coarse.layout.at(ic, jc);
            coarse.center[here] = center;
            coarse.east[here] = -east;
            coarse.north[here] = -north;
            coarse.north_east[here] = -north_east;
            coarse.north_west[here] = -north_west;
        }
    }
    coarse.set_spans();
    coarse
}

/// One row of the coarse operator; `STEP_X` and `STEP_Y` are the distances of coarse vertices on the fine grid.
fn coarse_row<const STEP_X: usize, const STEP_Y: usize>(fine: &Operator, weights: &Interpolation, jc: usize) -> Vec<Entries> {
    let columns = weights.columns;
    let basis_row = |jc: usize| -> Vec<Basis> {
        if jc < weights.rows { (0..columns).map(|ic| weights.basis(ic, jc)).collect() } else { Vec::new() }
    };
    let (own, above) = (basis_row(jc), basis_row(jc + 1));
    let mut entries = vec![[0.0; 5]; columns];
    for (ic, entry) in entries.iter_mut().enumerate() {
        let Some(image) = image(fine, &own[ic], ic * STEP_X, jc * STEP_Y) else { continue };
        entry[0] = product::<1, 1>(&image, &own[ic]);
        if ic + 1 < columns {
            entry[1] = if STEP_X == 2 { product::<3, 1>(&image, &own[ic + 1]) } else { product::<2, 1>(&image, &own[ic + 1]) };
        }
        if above.is_empty() {
            continue;
        }
        entry[2] = if STEP_Y == 2 { product::<1, 3>(&image, &above[ic]) } else { product::<1, 2>(&image, &above[ic]) };
        if let Some(basis) = above.get(ic + 1) {
            entry[3] = match (STEP_X, STEP_Y) {
                (2, 2) => product::<3, 3>(&image, basis),
                (2, _) => product::<3, 2>(&image, basis),
                (_, 2) => product::<2, 3>(&image, basis),
                _ => product::<2, 2>(&image, basis),
            };
        }
        if let Some(west) = ic.checked_sub(1) {
            entry[4] = match (STEP_X, STEP_Y) {
                (2, 2) => product::<-1, 3>(&image, &above[west]),
                (2, _) => product::<-1, 2>(&image, &above[west]),
                (_, 2) => product::<0, 3>(&image, &above[west]),
                _ => product::<0, 2>(&image, &above[west]),
            };
        }
    }
    entries
}

/// A·φ on the 5 × 5 vertices around (i, j): `[dy + 2][dx + 2]`; `None` if there is no unknown under φ.
#[inline(always)]
fn image(fine: &Operator, basis: &Basis, i: usize, j: usize) -> Option<[[f64; 5]; 5]> {
    let mut image = [[0.0; 5]; 5];
    let mut is_empty = true;
    for (y, weights) in basis.iter().enumerate() {
        for (x, weight) in weights.iter().enumerate() {
            // Weights beyond the grid are zero, so the indices of all others are within it.
            if *weight == 0.0 {
                continue;
            }
            let row = fine.row(i + x - 1, j + y - 1);
            if row.center == 0.0 {
                continue;
            }
            is_empty = false;
            image[y + 1][x + 1] += row.center * weight;
            image[y + 1][x] -= row.west_east[0] * weight;
            image[y + 1][x + 2] -= row.west_east[1] * weight;
            for side in 0..3 {
                image[y][x + side] -= row.south[side] * weight;
                image[y + 2][x + side] -= row.north[side] * weight;
            }
        }
    }
    (!is_empty).then_some(image)
}

/// The scalar product of an image with a basis function whose lower left corner lies at column `LEFT` and row `DOWN` of the image.
#[inline(always)]
fn product<const LEFT: isize, const DOWN: isize>(image: &[[f64; 5]; 5], basis: &Basis) -> f64 {
    let mut sum = 0.0;
    for (y, weights) in basis.iter().enumerate() {
        for (x, weight) in weights.iter().enumerate() {
            let (column, row) = (x as isize + LEFT, y as isize + DOWN);
            if (0..5).contains(&column) && (0..5).contains(&row) {
                sum += image[row as usize][column as usize] * weight;
            }
        }
    }
    sum
}
