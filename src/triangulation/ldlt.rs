//! A = L·D·Lᵀ by fronts.
//!
//! Going up the tree of `dissection.rs`, each part gathers a small dense matrix, its front: the sum of its
//! elements, or of what its halves have left over. Unknowns that occur in no element outside the part are
//! complete and are eliminated in dense arithmetic; what remains between the others, the Schur complement,
//! is left to the part above:
//!
//! ```text
//! part's own p unknowns │ c₀              column k: c_k = L_k·d_k, its first entry the pivot d_k
//!                       │ ·  c₁           F_j ← F_j − c_k·(c_jk/d_k) for all columns j > k
//!    ───────────────────┼───────
//! b unknowns of others  │ ·  ·  │ Schur complement, b × b, lower half, by columns
//! ```
//!
//! (Irons, Int. J. Numer. Methods Eng. 2 (1970) 5–32, for one front; Duff and Reid, ACM Trans. Math. Softw. 9
//! (1983) 302–325, for trees of them; from memory.) No list of the entries of L is needed, all loops run over
//! contiguous columns, and an unknown without pivot is found where it stands. No pivots are exchanged: the
//! matrix is to be positive definite, for which LDLᵀ is stable in any order.
//!
//! Sums are taken in an order that depends on the matrix alone, with neither fused operations nor threads.

use super::dissection::Tree;
use super::sparse::Elements;

/// A pivot was not positive: the matrix is not positive definite, or not within rounding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct NotPositiveDefinite;

/// What a part of the tree eliminates.
#[derive(Clone, Debug)]
struct Front {
    /// Its own unknowns, in the order of elimination.
    first: usize,
    pivots: usize,
    /// Where its other unknowns stand in `Factor::border`.
    border: std::ops::Range<usize>,
    /// Where its columns begin in `Factor::column`, each of `pivots` + border rows.
    at: usize,
}

/// The factors.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    fronts: Vec<Front>,
    /// Numbers in the order of elimination, ascending in each front.
    border: Vec<u32>,
    column: Vec<f64>,
    /// The place of each unknown in the order of elimination.
    number: Vec<u32>,
}

/// So many columns are eliminated together: each entry of the others is fetched once for all of them.
const TOGETHER: usize = 4;

impl Factor {
    /// Of a matrix of `unknowns` rows, in the order of a tree of its elements.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`].
    pub(super) fn of(matrix: &Elements, tree: &Tree, unknowns: usize) -> Result<Self, NotPositiveDefinite> {
        let mut factor = Self::arranged(matrix, tree, unknowns)?;
        // What parts have left over and their wholes have not yet taken up.
        let mut left: Vec<Vec<f64>> = Vec::new();
        // Where a number in the order of elimination stands in the present front.
        let mut place = vec![0_u32; unknowns];
        for (part, front) in tree.parts.iter().zip(&factor.fronts) {
            let border = &factor.border[front.border.clone()];
            for number in 0..front.pivots {
                place[front.first + number] = number as u32;
            }
            for (local, number) in (front.pivots as u32..).zip(border) {
                place[*number as usize] = local;
            }
            let mut dense = Dense {
                pivots: front.pivots,
                size: front.pivots + border.len(),
                own: &mut factor.column[front.at..front.at + front.pivots * (front.pivots + border.len())],
                others: vec![0.0; border.len() * border.len()],
            };
            if let Some(halves) = part.halves {
                let rest = left.split_off(left.len() - 2);
                for (half, rest) in halves.iter().zip(rest) {
                    let numbers = &factor.border[factor.fronts[*half].border.clone()];
                    dense.add_rest(numbers, &rest, &place);
                }
            } else {
                for element in &tree.order[part.from..part.to] {
                    dense.add_element(matrix, *element as usize, &factor.number, &place);
                }
            }
            dense.eliminate()?;
            left.push(dense.others);
        }
        Ok(factor)
    }

    /// The fronts and their unknowns, with all values zero.
    fn arranged(matrix: &Elements, tree: &Tree, unknowns: usize) -> Result<Self, NotPositiveDefinite> {
        let (mut first, mut last) = (vec![usize::MAX; unknowns], vec![0; unknowns]);
        for (at, element) in tree.order.iter().enumerate() {
            for unknown in matrix.unknowns(*element as usize) {
                let unknown = *unknown as usize;
                first[unknown] = first[unknown].min(at);
                last[unknown] = at;
            }
        }
        if first.contains(&usize::MAX) {
            return Err(NotPositiveDefinite);
        }
        let owner: Vec<usize> =
            first.iter().zip(last).map(|(first, last)| tree.owner(*first, last)).collect();
        let mut pivots = vec![0; tree.parts.len()];
        owner.iter().for_each(|part| pivots[*part] += 1);
        let mut next: Vec<usize> = Vec::with_capacity(pivots.len());
        let mut sum = 0;
        for pivots in &pivots {
            next.push(sum);
            sum += pivots;
        }
        let mut fronts: Vec<Front> = Vec::with_capacity(pivots.len());
        let mut number = vec![0; unknowns];
        for (unknown, part) in owner.iter().enumerate() {
            number[unknown] = next[*part] as u32;
            next[*part] += 1;
        }
        let (mut border, mut at) = (Vec::new(), 0);
        let mut here: Vec<u32> = Vec::new();
        for (part, pivots) in tree.parts.iter().zip(pivots) {
            here.clear();
            if let Some(halves) = part.halves {
                for half in halves {
                    here.extend_from_slice(&border[fronts[half].border.clone()]);
                }
            } else {
                for element in &tree.order[part.from..part.to] {
                    let unknowns = matrix.unknowns(*element as usize);
                    here.extend(unknowns.iter().map(|unknown| number[*unknown as usize]));
                }
            }
            let first = fronts.last().map_or(0, |front| front.first + front.pivots);
            here.retain(|number| *number as usize >= first + pivots);
            here.sort();
            here.dedup();
            let from = border.len();
            border.extend_from_slice(&here);
            fronts.push(Front { first, pivots, border: from..border.len(), at });
            at += pivots * (pivots + here.len());
        }
        Ok(Self { fronts, border, column: vec![0.0; at], number })
    }

    /// How many entries L has, with its diagonal.
    #[cfg(test)]
    pub(super) fn entries(&self) -> usize {
        self.fronts.iter().map(|front| front.pivots * (front.pivots + 1 + 2 * front.border.len()) / 2).sum()
    }

    /// The solution for a right-hand side.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut x = vec![0.0; right.len()];
        for (value, number) in right.iter().zip(&self.number) {
            x[*number as usize] = *value;
        }
        let mut here = Vec::new();
        for front in &self.fronts {
            let border = &self.border[front.border.clone()];
            let size = front.pivots + border.len();
            here.clear();
            here.extend_from_slice(&x[front.first..front.first + front.pivots]);
            here.resize(size, 0.0);
            for (k, column) in
                self.column[front.at..].chunks_exact(size.max(1)).take(front.pivots).enumerate()
            {
                let z = here[k] / column[k];
                here[k] = z;
                for (value, entry) in here[k + 1..].iter_mut().zip(&column[k + 1..]) {
                    *value -= entry * z;
                }
            }
            x[front.first..front.first + front.pivots].copy_from_slice(&here[..front.pivots]);
            for (number, change) in border.iter().zip(&here[front.pivots..]) {
                x[*number as usize] += change;
            }
        }
        for front in self.fronts.iter().rev() {
            let border = &self.border[front.border.clone()];
            let size = front.pivots + border.len();
            here.clear();
            here.extend_from_slice(&x[front.first..front.first + front.pivots]);
            here.extend(border.iter().map(|number| x[*number as usize]));
            for (k, column) in
                self.column[front.at..].chunks_exact(size.max(1)).take(front.pivots).enumerate().rev()
            {
                let below: f64 = column[k + 1..].iter().zip(&here[k + 1..]).map(|(entry, x)| entry * x).sum();
                here[k] -= below / column[k];
            }
            x[front.first..front.first + front.pivots].copy_from_slice(&here[..front.pivots]);
        }
        self.number.iter().map(|number| x[*number as usize]).collect()
    }
}

/// A front in numbers: lower halves by columns.
struct Dense<'a> {
    pivots: usize,
    /// Rows in all.
    size: usize,
    /// The columns to eliminate, whole.
    own: &'a mut [f64],
    /// The columns below, without the rows of the pivots.
    others: Vec<f64>,
}

impl Dense<'_> {
    /// A column from its own row or an earlier one on, and the row it begins with.
    fn column(&mut self, column: usize) -> (&mut [f64], usize) {
        match column.checked_sub(self.pivots) {
            None => (&mut self.own[column * self.size..(column + 1) * self.size], 0),
            Some(other) => {
                let border = self.size - self.pivots;
                (&mut self.others[other * border..(other + 1) * border], self.pivots)
            }
        }
    }

    /// Adds what a half has left over. Both number their unknowns in the order of elimination, so lower halves
    /// fall on lower halves.
    fn add_rest(&mut self, numbers: &[u32], rest: &[f64], place: &[u32]) {
        for (number, values) in rest.chunks_exact(numbers.len().max(1)).enumerate() {
            let (column, begins) = self.column(place[numbers[number] as usize] as usize);
            for (row, value) in numbers[number..].iter().zip(&values[number..]) {
                column[place[*row as usize] as usize - begins] += value;
            }
        }
    }

    /// Adds an element.
    fn add_element(&mut self, matrix: &Elements, element: usize, number: &[u32], place: &[u32]) {
        let unknowns = matrix.unknowns(element);
        let mut values = matrix.values(element).iter();
        let at = |unknown: u32| place[number[unknown as usize] as usize] as usize;
        for (row, unknown) in unknowns.iter().enumerate() {
            for (other, value) in unknowns[..=row].iter().zip(&mut values) {
                let (one, other) = (at(*unknown), at(*other));
                let (column, begins) = self.column(one.min(other));
                column[one.max(other) - begins] += value;
            }
        }
    }

    /// Eliminates the pivots.
    fn eliminate(&mut self) -> Result<(), NotPositiveDefinite> {
        let (size, pivots, border) = (self.size, self.pivots, self.size - self.pivots);
        for from in (0..pivots).step_by(TOGETHER) {
            let to = (from + TOGETHER).min(pivots);
            let (done, behind) = self.own.split_at_mut(to * size);
            let panel = &mut done[from * size..];
            for k in from..to {
                let (before, column) = panel.split_at_mut((k - from) * size);
                let column = &mut column[k..size];
                for (earlier, pivot) in before.chunks_exact(size).zip(from..) {
                    subtract_one(column, &earlier[k..], earlier[k] / earlier[pivot]);
                }
                if !(column[0] > 0.0 && column[0].is_finite()) {
                    return Err(NotPositiveDefinite);
                }
            }
            for j in to..size {
                let target = match j.checked_sub(pivots) {
                    None => &mut behind[(j - to) * size + j..(j - to + 1) * size],
                    Some(other) => &mut self.others[other * border + other..(other + 1) * border],
                };
                let from_row = |k: usize| &panel[k * size + j..(k + 1) * size];
                let factor = |k: usize| panel[k * size + j] / panel[k * size + from + k];
                if to - from == TOGETHER {
                    let columns = [0, 1, 2, 3].map(from_row);
                    subtract_four(target, columns, [0, 1, 2, 3].map(factor));
                } else {
                    for k in 0..to - from {
                        subtract_one(target, from_row(k), factor(k));
                    }
                }
            }
        }
        Ok(())
    }
}

/// target − column·factor.
fn subtract_one(target: &mut [f64], column: &[f64], factor: f64) {
    for (value, entry) in target.iter_mut().zip(column) {
        *value -= entry * factor;
    }
}

/// target − the sum of four columns times their factors.
fn subtract_four(target: &mut [f64], columns: [&[f64]; TOGETHER], factor: [f64; TOGETHER]) {
    let [a, b, c, d] = columns.map(|column| &column[..target.len()]);
    for (row, value) in target.iter_mut().enumerate() {
        *value -= (a[row] * factor[0] + b[row] * factor[1]) + (c[row] * factor[2] + d[row] * factor[3]);
    }
}
