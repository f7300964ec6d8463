//! Zebra line relaxation.
//!
//! A line's tridiagonal system with factors f (1/pivot) and entries o along the line is solved in place, forwards and back:
//!
//! ```text
//! yₖ = (rhsₖ + oₖ₋₁·yₖ₋₁)·fₖ          xₖ = yₖ + oₖ·fₖ·xₖ₊₁
//! ```
//!
//! where rhs takes in what the neighbouring lines contribute. Lines of one parity do not touch each other, so they
//! are independent.

use rayon::prelude::*;

use super::level::Level;
use super::sheet::Sheet;

/// Levels with fewer vertices are relaxed by one thread: handing work over would cost more than it saves.
pub const WORTH_SHARING: usize = 40_000;
/// Rows solved side by side, so that their recurrences overlap.
const ROWS_TOGETHER: usize = 4;
/// Columns handed to a thread at a time; even, so that every block begins with the same parity.
const COLUMNS_TOGETHER: usize = 256;

/// Solves all rows of one parity.
pub fn rows(level: &Level, x: &mut [f64], b: &[f64], parity: usize) {
    let sheet = Sheet::new(x);
    let lines: Vec<usize> = (parity..level.rows).step_by(2).collect();
    if level.vertices() < WORTH_SHARING {
        lines.chunks(ROWS_TOGETHER).for_each(|lines| solve_rows(level, sheet, b, lines));
    } else {
        lines.par_chunks(ROWS_TOGETHER).for_each(|lines| solve_rows(level, sheet, b, lines));
    }
}

/// Solves all columns of one parity.
pub fn columns(level: &Level, x: &mut [f64], b: &[f64], parity: usize) {
    let sheet = Sheet::new(x);
    let solve = |block: usize| {
        let from = block * COLUMNS_TOGETHER + parity;
        let to = ((block + 1) * COLUMNS_TOGETHER).min(level.columns);
        solve_columns(level, sheet, b, from, to);
    };
    let blocks = level.columns.div_ceil(COLUMNS_TOGETHER);
    if level.vertices() < WORTH_SHARING {
        (0..blocks).for_each(solve);
    } else {
        (0..blocks).into_par_iter().for_each(solve);
    }
}

fn solve_rows(level: &Level, x: Sheet<'_>, b: &[f64], lines: &[usize]) {
    let s = level.stride;
    for &j in lines {
        let start = level.at(0, j);
        for here in start..start + level.columns {
            // SAFETY: reads rows j ± 1 of the other parity, which nobody writes in this sweep; writes row j, which is ours.
            unsafe {
                let mut right = b[here] + level.north[here] * x.get(here + s) + level.north[here - s] * x.get(here - s);
                if level.is_nine_point() {
                    right += level.north_east[here] * x.get(here + s + 1)
                        + level.north_west[here] * x.get(here + s - 1)
                        + level.north_east[here - s - 1] * x.get(here - s - 1)
                        + level.north_west[here - s + 1] * x.get(here - s + 1);
                }
                x.set(here, right);
            }
        }
    }
    let (east, factor) = (&level.east, &level.row_factor);
    if let &[a, b, c, d] = lines {
        let starts = [a, b, c, d].map(|j| level.at(0, j));
        let mut before = [0.0; ROWS_TOGETHER];
        for i in 0..level.columns {
            for (before, start) in before.iter_mut().zip(starts) {
                let here = start + i;
                // SAFETY: rows of our own.
                unsafe {
                    *before = (x.get(here) + east[here - 1] * *before) * factor[here];
                    x.set(here, *before);
                }
            }
        }
        let mut after = [0.0; ROWS_TOGETHER];
        for i in (0..level.columns).rev() {
            for (after, start) in after.iter_mut().zip(starts) {
                let here = start + i;
                // SAFETY: rows of our own.
                unsafe {
                    *after = x.get(here) + east[here] * factor[here] * *after;
                    x.set(here, *after);
                }
            }
        }
        return;
    }
    for &j in lines {
        let start = level.at(0, j);
        let mut before = 0.0;
        for here in start..start + level.columns {
            // SAFETY: a row of our own.
            unsafe {
                before = (x.get(here) + east[here - 1] * before) * factor[here];
                x.set(here, before);
            }
        }
        let mut after = 0.0;
        for here in (start..start + level.columns).rev() {
            // SAFETY: a row of our own.
            unsafe {
                after = x.get(here) + east[here] * factor[here] * after;
                x.set(here, after);
            }
        }
    }
}

/// Columns from, from + 2, … below `to`, all at once, row by row.
fn solve_columns(level: &Level, x: Sheet<'_>, b: &[f64], from: usize, to: usize) {
    let s = level.stride;
    let (north, factor) = (&level.north, &level.column_factor);
    for j in 0..level.rows {
        let start = level.at(0, j);
        for here in (start + from..start + to).step_by(2) {
            // SAFETY: reads columns i ± 1 of the other parity, which nobody writes in this sweep, and our own column below.
            unsafe {
                let mut right = b[here] + level.east[here] * x.get(here + 1) + level.east[here - 1] * x.get(here - 1);
                if level.is_nine_point() {
                    right += level.north_east[here] * x.get(here + s + 1)
                        + level.north_west[here] * x.get(here + s - 1)
                        + level.north_east[here - s - 1] * x.get(here - s - 1)
                        + level.north_west[here - s + 1] * x.get(here - s + 1);
                }
                x.set(here, (right + north[here - s] * x.get(here - s)) * factor[here]);
            }
        }
    }
    for j in (0..level.rows - 1).rev() {
        let start = level.at(0, j);
        for here in (start + from..start + to).step_by(2) {
            // SAFETY: columns of our own.
            unsafe { x.set(here, x.get(here) + north[here] * factor[here] * x.get(here + s)) };
        }
    }
}
