//! Which columns and rows of cells to cut, and into how many pieces.
//!
//! The mismatch eᵢ of a column (or row) that narrower cells would lower falls with the square of their width,
//! so cut into mᵢ pieces it becomes about eᵢ/mᵢ². The number of cells is the product of the numbers of
//! columns and rows, Nₓ·N_y; the least product for a given sum of eᵢ/mᵢ² has
//!
//! ```text
//! mᵢ³ = μ·eᵢ·N,      N the number of columns for a column, of rows for a row
//! ```
//!
//! with one μ for all, to be found. Near re-entrant corners the mismatch falls more slowly than that, which
//! the next pass sees.

/// Longest cell on the coarsest grid, in lengths of its neighbour.
pub const COARSEST_RATIO: f64 = 8.0;
/// Longest cell on a refined grid, in lengths of its neighbour.
pub const LARGEST_RATIO: f64 = 4.0;
/// Most pieces that one cell is cut into at once.
const MOST_PIECES: usize = 4;
/// A pass lowers the mismatch at most to this part: what it knows of the field is only as good as its grid.
const LARGEST_STEP: f64 = 0.2;

/// Pieces for columns and rows, so that their mismatch becomes about `goal`, or as much of it as one pass
/// should do.
pub fn pieces(by_column: &[f64], by_row: &[f64], goal: f64) -> (Vec<usize>, Vec<usize>) {
    let total: f64 = by_column.iter().chain(by_row).sum();
    let goal = goal.max(LARGEST_STEP * total);
    let (columns, rows) = (by_column.len() as f64, by_row.len() as f64);
    let pieces = |mismatch: f64, count: f64, factor: f64| -> usize {
        (libm::cbrt(factor * mismatch * count).round() as usize).clamp(1, MOST_PIECES)
    };
    let left = |factor: f64| -> f64 {
        let part = |mismatch: &f64, count: f64| mismatch / (pieces(*mismatch, count, factor) as f64).powi(2);
        by_column.iter().map(|mismatch| part(mismatch, columns)).sum::<f64>()
            + by_row.iter().map(|mismatch| part(mismatch, rows)).sum::<f64>()
    };
    // Between cutting nothing and cutting everything as finely as allowed.
    let largest = by_column.iter().chain(by_row).copied().fold(f64::MIN_POSITIVE, f64::max);
    let (mut low, mut high) = (1e-3 / (largest * columns.max(rows)), 1e12 / (largest * columns.min(rows)));
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if left(middle) > goal { low = middle } else { high = middle }
    }
    let of =
        |values: &[f64], count: f64| values.iter().map(|mismatch| pieces(*mismatch, count, high)).collect();
    (of(by_column, columns), of(by_row, rows))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cuts_where_the_mismatch_is_and_reaches_the_goal() {
        let by_column = [1.0, 1e-6, 0.5, 0.0];
        let by_row = [1e-3, 0.2];
        let (columns, rows) = pieces(&by_column, &by_row, 0.6);
        assert!(
            columns[0] >= columns[2] && columns[2] > 1 && columns[1] == 1 && columns[3] == 1,
            "{columns:?} {rows:?}"
        );
        let left: f64 = by_column
            .iter()
            .chain(&by_row)
            .zip(columns.iter().chain(&rows))
            .map(|(e, m)| e / (m * m) as f64)
            .sum();
        assert!(left <= 0.6, "{left}");
    }
}
