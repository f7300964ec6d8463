//! Interpolation from the operator, and the Galerkin coarse operator.
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

use rayon::prelude::*;

use super::level::Level;
use super::relaxation::WORTH_SHARING;

/// Interpolation weights of one coarsening, by coarse vertex (I, J), whose fine vertex is (2I, 2J).
#[derive(Clone, Debug)]
pub struct Transfer {
    /// Whether x is coarsened.
    pub along_x: bool,
    /// Whether y is coarsened.
    pub along_y: bool,
    /// Coarse columns.
    pub columns: usize,
    /// Coarse rows.
    pub rows: usize,
    stride: usize,
    /// Fine (2I+1, 2J) from (I, J) and (I+1, J).
    between_x: Vec<[f64; 2]>,
    /// Fine (2I, 2J+1) from (I, J) and (I, J+1).
    between_y: Vec<[f64; 2]>,
    /// Fine (2I+1, 2J+1) from (I, J), (I+1, J), (I, J+1), (I+1, J+1).
    middle: Vec<[f64; 4]>,
}

/// A vertex's entries: magnitudes towards its eight neighbours.
struct Row {
    e: f64,
    w: f64,
    n: f64,
    s: f64,
    ne: f64,
    nw: f64,
    se: f64,
    sw: f64,
}

impl Row {
    fn of(level: &Level, here: usize) -> Self {
        let s = level.stride;
        let diagonal = |array: &[f64], index: usize| if level.is_nine_point() { array[index] } else { 0.0 };
        Self {
            e: level.east[here],
            w: level.east[here - 1],
            n: level.north[here],
            s: level.north[here - s],
            ne: diagonal(&level.north_east, here),
            nw: diagonal(&level.north_west, here),
            se: diagonal(&level.north_west, here - s + 1),
            sw: diagonal(&level.north_east, here - s - 1),
        }
    }

    fn total(&self) -> f64 {
        self.e + self.w + self.n + self.s + self.ne + self.nw + self.se + self.sw
    }
}

/// The two weights of a vertex between coarse ones on the sides a and b.
fn two_weights(a: f64, b: f64, center: f64, total: f64) -> [f64; 2] {
    // Rounding leaves a slack of the order of the last bits, which means none.
    const NO_SLACK: f64 = 1e-12;
    if a + b <= 0.0 {
        return [0.0; 2];
    }
    let slack = center - total;
    let slack = if slack < NO_SLACK * total { 0.0 } else { slack };
    let divisor = (a + b) * (1.0 + slack / total);
    [a / divisor, b / divisor]
}

impl Transfer {
    /// Computes the weights for coarsening a level in the given directions.
    pub fn of(level: &Level, along_x: bool, along_y: bool) -> Self {
        let coarse = |fine: usize, halve: bool| if halve { fine.div_ceil(2) } else { fine };
        let (columns, rows) = (coarse(level.columns, along_x), coarse(level.rows, along_y));
        // One more on each side than there are coarse vertices, so that sums may run over the edge.
        let stride = columns + 1;
        let size = stride * (rows + 1);
        let mut transfer = Self {
            along_x,
            along_y,
            columns,
            rows,
            stride,
            between_x: if along_x { vec![[0.0; 2]; size] } else { Vec::new() },
            between_y: if along_y { vec![[0.0; 2]; size] } else { Vec::new() },
            middle: if along_x && along_y { vec![[0.0; 4]; size] } else { Vec::new() },
        };
        let (step_x, step_y) = (1 + usize::from(along_x), 1 + usize::from(along_y));
        for jc in 0..rows {
            for ic in 0..columns {
                let (i, j) = (ic * step_x, jc * step_y);
                let own = jc * stride + ic;
                if along_x && i + 1 < level.columns {
                    let here = level.at(i + 1, j);
                    let row = Row::of(level, here);
                    let weights = two_weights(row.w + row.nw + row.sw, row.e + row.ne + row.se, level.center[here], row.total());
                    transfer.between_x[own] = weights;
                }
                if along_y && j + 1 < level.rows {
                    let here = level.at(i, j + 1);
                    let row = Row::of(level, here);
                    let weights = two_weights(row.s + row.sw + row.se, row.n + row.nw + row.ne, level.center[here], row.total());
                    transfer.between_y[own] = weights;
                }
            }
        }
        if along_x && along_y {
            transfer.set_middle(level);
        }
        transfer
    }

    fn set_middle(&mut self, level: &Level) {
        for jc in 0..self.rows {
            for ic in 0..self.columns {
                let (i, j) = (2 * ic + 1, 2 * jc + 1);
                if i >= level.columns || j >= level.rows {
                    continue;
                }
                let here = level.at(i, j);
                let row = Row::of(level, here);
                if row.total() <= 0.0 {
                    continue;
                }
                let own = jc * self.stride + ic;
                let south = self.between_x[own];
                let north = self.between_x[own + self.stride];
                let west = self.between_y[own];
                let east = self.between_y[own + 1];
                let c = level.center[here];
                self.middle[own] = [
                    (row.sw + row.s * south[0] + row.w * west[0]) / c,
                    (row.se + row.s * south[1] + row.e * east[0]) / c,
                    (row.nw + row.n * north[0] + row.w * west[1]) / c,
                    (row.ne + row.n * north[1] + row.e * east[1]) / c,
                ];
            }
        }
    }

    /// The coarse vertices that a fine one is interpolated from, with weights: `(I offset, J offset, weight)`.
    #[inline(always)]
    fn parents(&self, i: usize, j: usize) -> ((usize, usize), [(usize, usize, f64); 4], usize) {
        let (odd_x, odd_y) = (self.along_x && i % 2 == 1, self.along_y && j % 2 == 1);
        let (ic, jc) = (if self.along_x { i / 2 } else { i }, if self.along_y { j / 2 } else { j });
        let own = jc * self.stride + ic;
        let none = (0, 0, 0.0);
        match (odd_x, odd_y) {
            (false, false) => ((ic, jc), [(0, 0, 1.0), none, none, none], 1),
            (true, false) => {
                let [a, b] = self.between_x[own];
                ((ic, jc), [(0, 0, a), (1, 0, b), none, none], 2)
            }
            (false, true) => {
                let [a, b] = self.between_y[own];
                ((ic, jc), [(0, 0, a), (0, 1, b), none, none], 2)
            }
            (true, true) => {
                let [a, b, c, d] = self.middle[own];
                ((ic, jc), [(0, 0, a), (1, 0, b), (0, 1, c), (1, 1, d)], 4)
            }
        }
    }

    /// PᵀAP on the coarse grid.
    pub fn galerkin(&self, fine: &Level) -> Level {
        let mut coarse = Level::zeros(self.columns, self.rows, true);
        let stride = coarse.stride;
        let compute = |jc: usize| self.galerkin_row(fine, jc);
        let rows: Vec<Vec<[f64; 5]>> = if fine.vertices() < WORTH_SHARING {
            (0..self.rows).map(compute).collect()
        } else {
            (0..self.rows).into_par_iter().map(compute).collect()
        };
        for (jc, row) in rows.into_iter().enumerate() {
            for (ic, entry) in row.into_iter().enumerate() {
                let here = (jc + 1) * stride + ic + 1;
                let [center, east, north, north_east, north_west] = entry;
                // A vertex without solid around it interpolates nothing; it stays a row of the identity.
                coarse.center[here] = if center > 0.0 { center } else { 1.0 };
                coarse.east[here] = -east;
                coarse.north[here] = -north;
                coarse.north_east[here] = -north_east;
                coarse.north_west[here] = -north_west;
            }
        }
        coarse
    }

    /// Entries C, E, N, NE, NW of one coarse row: for each fine vertex that has a parent in the row, its fine row's entries
    /// times both weights.
    fn galerkin_row(&self, fine: &Level, jc: usize) -> Vec<[f64; 5]> {
        let mut entries = vec![[0.0; 5]; self.columns];
        let (first, last) = if self.along_y { ((2 * jc).saturating_sub(1), (2 * jc + 1).min(fine.rows - 1)) } else { (jc, jc) };
        for j in first..=last {
            for i in 0..fine.columns {
                let ((ic, own_jc), parents, count) = self.parents(i, j);
                let here = fine.at(i, j);
                let row = Row::of(fine, here);
                let neighbours: [(isize, isize, f64); 9] = [
                    (0, 0, fine.center[here]),
                    (1, 0, -row.e),
                    (-1, 0, -row.w),
                    (0, 1, -row.n),
                    (0, -1, -row.s),
                    (1, 1, -row.ne),
                    (-1, 1, -row.nw),
                    (1, -1, -row.se),
                    (-1, -1, -row.sw),
                ];
                for &(di, dj, weight) in &parents[..count] {
                    let (p_i, p_j) = (ic + di, own_jc + dj);
                    if p_j != jc || p_i >= self.columns || weight == 0.0 {
                        continue;
                    }
                    for &(step_i, step_j, entry) in &neighbours {
                        if entry == 0.0 {
                            continue;
                        }
                        let (ni, nj) = (i.wrapping_add_signed(step_i), j.wrapping_add_signed(step_j));
                        let ((qc, qj), others, other_count) = self.parents(ni, nj);
                        for &(ei, ej, other) in &others[..other_count] {
                            let slot = match ((qc + ei) as isize - p_i as isize, (qj + ej) as isize - jc as isize) {
                                (0, 0) => 0,
                                (1, 0) => 1,
                                (0, 1) => 2,
                                (1, 1) => 3,
                                (-1, 1) => 4,
                                _ => continue,
                            };
                            entries[p_i][slot] += weight * entry * other;
                        }
                    }
                }
            }
        }
        entries
    }

    /// Pᵀ: gathers a fine array (one of residuals, say) on the coarse grid.
    pub fn restrict(&self, fine: &Level, values: &[f64], coarse_stride: usize, coarse: &mut [f64]) {
        let gather = |jc: usize, target: &mut [f64]| {
            for (ic, entry) in target[1..=self.columns].iter_mut().enumerate() {
                *entry = self.gather(fine, values, ic, jc);
            }
        };
        let rows = &mut coarse[coarse_stride..coarse_stride * (self.rows + 1)];
        if fine.vertices() < WORTH_SHARING {
            rows.chunks_mut(coarse_stride).enumerate().for_each(|(jc, target)| gather(jc, target));
        } else {
            rows.par_chunks_mut(coarse_stride).enumerate().for_each(|(jc, target)| gather(jc, target));
        }
    }

    #[inline(always)]
    fn gather(&self, fine: &Level, values: &[f64], ic: usize, jc: usize) -> f64 {
        let (i, j) = (if self.along_x { 2 * ic } else { ic }, if self.along_y { 2 * jc } else { jc });
        let here = fine.at(i, j);
        let s = fine.stride;
        let own = jc * self.stride + ic;
        let mut sum = values[here];
        if self.along_x {
            sum += self.between_x[own][0] * values[here + 1];
            if ic > 0 {
                sum += self.between_x[own - 1][1] * values[here - 1];
            }
        }
        if self.along_y {
            sum += self.between_y[own][0] * values[here + s];
            if jc > 0 {
                sum += self.between_y[own - self.stride][1] * values[here - s];
            }
        }
        if self.along_x && self.along_y {
            sum += self.middle[own][0] * values[here + s + 1];
            if ic > 0 {
                sum += self.middle[own - 1][1] * values[here + s - 1];
            }
            if jc > 0 {
                sum += self.middle[own - self.stride][2] * values[here - s + 1];
                if ic > 0 {
                    sum += self.middle[own - self.stride - 1][3] * values[here - s - 1];
                }
            }
        }
        sum
    }

    /// P: adds the interpolant of a coarse array to a fine one.
    pub fn prolong(&self, fine: &Level, coarse: &[f64], coarse_stride: usize, values: &mut [f64]) {
        let s = fine.stride;
        let spread = |j: usize, target: &mut [f64]| {
            for (i, entry) in target[1..=fine.columns].iter_mut().enumerate() {
                let ((ic, jc), parents, count) = self.parents(i, j);
                let own = (jc + 1) * coarse_stride + ic + 1;
                *entry +=
                    parents[..count].iter().map(|(di, dj, weight)| weight * coarse[own + dj * coarse_stride + di]).sum::<f64>();
            }
        };
        let rows = &mut values[s..s * (fine.rows + 1)];
        if fine.vertices() < WORTH_SHARING {
            rows.chunks_mut(s).enumerate().for_each(|(j, target)| spread(j, target));
        } else {
            rows.par_chunks_mut(s).enumerate().for_each(|(j, target)| spread(j, target));
        }
    }
}
