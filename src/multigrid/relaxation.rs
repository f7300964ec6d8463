//! Zebra line relaxation.
//!
//! A line's tridiagonal system with factors f (1/pivot) and entries o along the line is solved in place, forwards and back:
//!
//! ```text
//! yₖ = (rhsₖ + oₖ₋₁·yₖ₋₁)·fₖ          xₖ = yₖ + oₖ·fₖ·xₖ₊₁
//! ```
//!
//! where rhs takes in what the neighbouring lines contribute. Lines of one parity do not touch each other, so they are
//! independent: columns are solved side by side in vector units, rows a few at a time so that their recurrences overlap.

use rayon::prelude::*;

use super::layout::RowSpan;
use super::level::{Level, Real};
use super::sheet::Sheet;

/// Rows solved side by side.
const ROWS_TOGETHER: usize = 4;

/// Even or odd lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parity {
    /// 0, 2, 4, …
    Even,
    /// 1, 3, 5, …
    Odd,
}

/// Solves all rows of one parity. `from_zero` says that the other rows are zero, whatever the array holds there.
pub fn rows<R: Real>(level: &Level<R>, x: &mut [R], b: &[R], parity: Parity, from_zero: bool) {
    let sheet = Sheet::new(x);
    let lines: Vec<usize> = (usize::from(parity == Parity::Odd)..level.layout.rows).step_by(2).collect();
    let solve = |lines: &[usize]| {
        // SAFETY: rows of one parity are written, each by one thread; only those of the other parity are read besides.
        unsafe { solve_rows(level, sheet, b, lines, from_zero) }
    };
    if level.layout.is_shared() {
        lines.par_chunks(ROWS_TOGETHER).with_min_len(4).for_each(solve);
    } else {
        lines.chunks(ROWS_TOGETHER).for_each(solve);
    }
}

/// Solves all columns of one parity.
pub fn columns<R: Real>(level: &Level<R>, x: &mut [R], b: &[R], parity: Parity) {
    let sheet = Sheet::new(x);
    let count = match parity {
        Parity::Even => level.layout.columns.div_ceil(2),
        Parity::Odd => level.layout.columns / 2,
    };
    // Whole rows at a time suit the prefetcher; every thread gets one block.
    let threads = if level.layout.is_shared() { rayon::current_num_threads() } else { 1 };
    let together = count.div_ceil(threads).max(1);
    let solve = |block: usize| {
        let range = (block * together, ((block + 1) * together).min(count));
        // SAFETY: columns of one parity are written, each by one thread; only those of the other parity are read besides.
        unsafe { solve_columns(level, sheet, b, parity, range) }
    };
    let blocks = count.div_ceil(together);
    if level.layout.is_shared() {
        (0..blocks).into_par_iter().for_each(solve);
    } else {
        (0..blocks).for_each(solve);
    }
}

/// What the rows above and below contribute, added to b.
///
/// # Safety
/// Row j is the caller's to write; rows j − 1 and j + 1 must not be written meanwhile.
unsafe fn right_hand_side_of_row<'a, R: Real>(level: &'a Level<R>, x: Sheet<'a, R>, b: &'a [R], j: usize, from_zero: bool) {
    let layout = &level.layout;
    let span = layout.spans[j];
    for (parity, (from, to)) in [(Parity::Even, span.even), (Parity::Odd, span.odd)] {
        if from >= to {
            continue;
        }
        let n = to - from;
        let start = from + if parity == Parity::Even { layout.even(j) } else { layout.odd(j) };
        let (above, below) = (start + layout.stride, start - layout.stride);
        // SAFETY: as the caller promises.
        let (own, up, down) = unsafe { (x.write(start, n), x.read(above, n), x.read(below, n)) };
        let b = &b[start..start + n];
        if from_zero {
            own.copy_from_slice(b);
            continue;
        }
        let (north, south) = (&level.north[start..start + n], &level.north[below..below + n]);
        for k in 0..n {
            own[k] = b[k] + north[k] * up[k] + south[k] * down[k];
        }
        if level.is_nine_point() {
            // The places of the western and eastern neighbours of the first vertex, in the other half of the row.
            let (west, east) = sides(level, parity, start);
            let (s, h) = (layout.stride, n);
            // SAFETY: as above.
            let [nw, ne, sw, se] = unsafe { [west + s, east + s, west - s, east - s].map(|place| x.read(place, h)) };
            let (to_nw, to_ne) = (&level.north_west[start..start + n], &level.north_east[start..start + n]);
            let (to_sw, to_se) = (&level.north_east[west - s..west - s + n], &level.north_west[east - s..east - s + n]);
            for k in 0..n {
                own[k] += to_nw[k] * nw[k] + to_ne[k] * ne[k] + to_sw[k] * sw[k] + to_se[k] * se[k];
            }
        }
    }
}

/// The places west and east of `start`, which has the given parity.
#[inline(always)]
fn sides<R: Real>(level: &Level<R>, parity: Parity, start: usize) -> (usize, usize) {
    let half = level.layout.half;
    match parity {
        Parity::Even => (start + half - 1, start + half),
        Parity::Odd => (start - half, start - half + 1),
    }
}

/// # Safety
/// The rows `lines` are the caller's to write; the rows between them must not be written meanwhile.
unsafe fn solve_rows<R: Real>(level: &Level<R>, x: Sheet<'_, R>, b: &[R], lines: &[usize], from_zero: bool) {
    for &j in lines {
        // SAFETY: as the caller promises.
        unsafe { right_hand_side_of_row(level, x, b, j, from_zero) };
    }
    if let &[first, second, third, fourth] = lines {
        // SAFETY: as the caller promises.
        unsafe { solve_row_systems(level, x, [first, second, third, fourth]) };
    } else {
        for &j in lines {
            // SAFETY: as the caller promises.
            unsafe { solve_row_systems(level, x, [j]) };
        }
    }
}

/// Solves the tridiagonal systems of several rows in step. Where one row's span ends before another's its entries are zero, and
/// so is its solution.
///
/// # Safety
/// The rows are the caller's.
unsafe fn solve_row_systems<R: Real, const N: usize>(level: &Level<R>, x: Sheet<'_, R>, lines: [usize; N]) {
    let layout = &level.layout;
    let spans = lines.map(|j| layout.spans[j]);
    let used = |span: &RowSpan| span.even.0 < span.even.1 || span.odd.0 < span.odd.1;
    let from = spans.iter().filter(|span| used(span)).map(|span| span.even.0.min(span.odd.0)).min();
    let to = spans.iter().filter(|span| used(span)).map(|span| span.even.1.max(span.odd.1)).max();
    let (Some(from), Some(to)) = (from, to) else { return };
    let half = layout.half;
    let starts = lines.map(|j| layout.even(j));
    let end = starts.iter().max().map_or(0, |start| start + half + to);
    assert!(end <= level.east.len() && end <= level.row_factor.len());
    // One index serves all arrays: the place of eₖ; oₖ lies half a row further on, oₖ₋₁ one before that.
    // SAFETY: all places below are within the arrays, as just checked, and x's are in rows of the caller's.
    unsafe {
        let east = |place: usize| *level.east.get_unchecked(place);
        let factor = |place: usize| *level.row_factor.get_unchecked(place);
        let mut y = [R::default(); N];
        for k in from..to {
            for line in 0..N {
                let here = starts[line] + k;
                y[line] = (x.get(here) + east(here + half - 1) * y[line]) * factor(here);
                x.set(here, y[line]);
            }
            for line in 0..N {
                let here = starts[line] + k;
                y[line] = (x.get(here + half) + east(here) * y[line]) * factor(here + half);
                x.set(here + half, y[line]);
            }
        }
        let mut y = [R::default(); N];
        for k in (from..to).rev() {
            for line in 0..N {
                let here = starts[line] + k + half;
                y[line] = x.get(here) + east(here) * factor(here) * y[line];
                x.set(here, y[line]);
            }
            for line in 0..N {
                let here = starts[line] + k;
                y[line] = x.get(here) + east(here) * factor(here) * y[line];
                x.set(here, y[line]);
            }
        }
    }
}

/// Columns `range.0 .. range.1` of one parity, side by side, row by row.
///
/// # Safety
/// These columns are the caller's to write; columns of the other parity must not be written meanwhile.
unsafe fn solve_columns<'a, R: Real>(level: &'a Level<R>, x: Sheet<'a, R>, b: &'a [R], parity: Parity, range: (usize, usize)) {
    let layout = &level.layout;
    let s = layout.stride;
    let part = |j: usize| {
        let span = layout.spans[j];
        let (from, to) = if parity == Parity::Even { span.even } else { span.odd };
        let (from, to) = (from.max(range.0), to.min(range.1));
        let start = if parity == Parity::Even { layout.even(j) } else { layout.odd(j) };
        (start + from.min(to), to.saturating_sub(from))
    };
    for j in 0..layout.rows {
        let (start, n) = part(j);
        if n == 0 {
            continue;
        }
        let (west, east) = sides(level, parity, start);
        // SAFETY: the row below is read in our own columns only, the others belong to the other parity.
        let (own, down) = unsafe { (x.write(start, n), x.read(start - s, n)) };
        // SAFETY: columns of the other parity.
        let (w, e) = unsafe { (x.read(west, n), x.read(east, n)) };
        let (to_west, to_east) = (&level.east[west..west + n], &level.east[start..start + n]);
        let (south, factor) = (&level.north[start - s..start - s + n], &level.column_factor[start..start + n]);
        let b = &b[start..start + n];
        if level.is_nine_point() {
            // SAFETY: columns of the other parity.
            let [nw, ne, sw, se] = unsafe { [west + s, east + s, west - s, east - s].map(|place| x.read(place, n)) };
            let (to_nw, to_ne) = (&level.north_west[start..start + n], &level.north_east[start..start + n]);
            let (to_sw, to_se) = (&level.north_east[west - s..west - s + n], &level.north_west[east - s..east - s + n]);
            for k in 0..n {
                let right = b[k] + to_west[k] * w[k] + to_east[k] * e[k];
                let corners = to_nw[k] * nw[k] + to_ne[k] * ne[k] + to_sw[k] * sw[k] + to_se[k] * se[k];
                own[k] = (right + corners + south[k] * down[k]) * factor[k];
            }
        } else {
            for k in 0..n {
                own[k] = (b[k] + to_west[k] * w[k] + to_east[k] * e[k] + south[k] * down[k]) * factor[k];
            }
        }
    }
    for j in (0..layout.rows - 1).rev() {
        let (start, n) = part(j);
        // SAFETY: our own columns.
        let (own, up) = unsafe { (x.write(start, n), x.read(start + s, n)) };
        let (north, factor) = (&level.north[start..start + n], &level.column_factor[start..start + n]);
        for k in 0..n {
            own[k] += north[k] * factor[k] * up[k];
        }
    }
}
