//! A = L·D·Lᵀ by fronts.
//!
//! Going up the tree of `dissection.rs`, each part gathers a small dense matrix, its front: the sum of its
//! elements, or of what its halves have left over. Unknowns that occur in no element outside the part are
//! complete and are eliminated in dense arithmetic; what remains between the others, the Schur complement,
//! is left to the part above (`front.rs`).
//!
//! (Irons, Int. J. Numer. Methods Eng. 2 (1970) 5–32, for one front; Duff and Reid, ACM Trans. Math. Softw. 9
//! (1983) 302–325, for trees of them; from memory.) No list of the entries of L is needed, all loops run over
//! contiguous columns, and an unknown without pivot is found where it stands. No pivots are exchanged: the
//! matrix is to be positive definite, for which LDLᵀ is stable in any order.
//!
//! Sums are taken in an order that depends on the matrix alone, with neither fused operations nor threads.

use super::dissection::Tree;
use super::front::{Dense, NoFactor};
use super::sparse::Elements;

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

/// Entries of factors, 160 MB. Some 10⁵ unknowns of a drawing have 10⁷.
const MOST_ENTRIES: usize = 20_000_000;
/// Multiply-adds, some seconds. Thousands of strips side by side have long fronts whichever way they are halved.
const MOST_WORK: f64 = 2e9;

impl Factor {
    /// Of a matrix of `unknowns` rows, in the order of a tree of its elements.
    ///
    /// # Errors
    /// [`NoFactor`].
    pub(super) fn of(matrix: &Elements, tree: &Tree, unknowns: usize) -> Result<Self, NoFactor> {
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
    fn arranged(matrix: &Elements, tree: &Tree, unknowns: usize) -> Result<Self, NoFactor> {
        let (mut first, mut last) = (vec![usize::MAX; unknowns], vec![0; unknowns]);
        for (at, element) in tree.order.iter().enumerate() {
            for unknown in matrix.unknowns(*element as usize) {
                let unknown = *unknown as usize;
                first[unknown] = first[unknown].min(at);
                last[unknown] = at;
            }
        }
        if first.contains(&usize::MAX) {
            return Err(NoFactor::NotPositiveDefinite);
        }
        let owner: Vec<usize> =
            first.iter().zip(last).map(|(first, last)| tree.owner(*first, last)).collect();
        let mut pivots = vec![0; tree.parts.len()];
        for part in &owner {
            pivots[*part] += 1;
        }
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
            here.sort_unstable();
            here.dedup();
            let from = border.len();
            border.extend_from_slice(&here);
            fronts.push(Front { first, pivots, border: from..border.len(), at });
            at += pivots * (pivots + here.len());
        }
        let mut factor = Self { fronts, border, column: Vec::new(), number };
        if at > MOST_ENTRIES || factor.work() > MOST_WORK {
            return Err(NoFactor::TooLarge);
        }
        factor.column = vec![0.0; at];
        Ok(factor)
    }

    /// Multiply-adds of the elimination.
    pub(super) fn work(&self) -> f64 {
        let of = |front: &Front| {
            let size = (front.pivots + front.border.len()) as f64;
            front.pivots as f64 * size * size
        };
        self.fronts.iter().map(of).sum()
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
                here[k] -= dot(&column[k + 1..], &here[k + 1..]) / column[k];
            }
            x[front.first..front.first + front.pivots].copy_from_slice(&here[..front.pivots]);
        }
        self.number.iter().map(|number| x[*number as usize]).collect()
    }
}

/// Σ one·other in four sums, none of which waits for another.
fn dot(one: &[f64], other: &[f64]) -> f64 {
    let (fours, others) = (one.chunks_exact(4), other.chunks_exact(4));
    let rest: f64 = fours.remainder().iter().zip(others.remainder()).map(|(one, other)| one * other).sum();
    let mut sums = [0.0; 4];
    for (one, other) in fours.zip(others) {
        for lane in 0..4 {
            sums[lane] += one[lane] * other[lane];
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

#[cfg(test)]
pub(super) mod tests {
    use faer::Side;
    use faer::linalg::solvers::Solve;
    use faer::sparse::{SparseColMat, Triplet};
    use proptest::prelude::*;

    use super::*;

    /// The solution by a general-purpose library.
    pub(in super::super) fn by_library(matrix: &Elements, right: &[f64]) -> Vec<f64> {
        let mut entries = Vec::new();
        for element in 0..matrix.count() {
            let mut values = matrix.values(element).iter();
            for (row, unknown) in matrix.unknowns(element).iter().enumerate() {
                for (other, value) in matrix.unknowns(element)[..=row].iter().zip(&mut values) {
                    let (row, column) = (*unknown.max(other) as usize, *unknown.min(other) as usize);
                    entries.push(Triplet::new(row, column, *value));
                }
            }
        }
        let size = right.len();
        let sparse = SparseColMat::<usize, f64>::try_new_from_triplets(size, size, &entries).unwrap();
        let solution =
            sparse.sp_cholesky(Side::Lower).unwrap().solve(&faer::Mat::from_fn(size, 1, |row, _| right[row]));
        (0..size).map(|row| solution[(row, 0)]).collect()
    }

    /// Elements vvᵀ of up to 7 unknowns of which some are far apart, and a diagonal.
    fn any_matrix() -> impl Strategy<Value = (Elements, Vec<[f64; 2]>, Vec<f64>)> {
        let point = [-1.0..1.0, -1.0..1.0];
        let element = prop::collection::btree_map(0_u32..60, -2.0..2.0, 1..8);
        let elements = prop::collection::vec((element, point), 1..120);
        (elements, prop::collection::vec(-1.0..1.0, 60)).prop_map(|(cliques, right)| {
            let mut matrix = Elements::new();
            let mut centres = Vec::new();
            for (vector, centre) in cliques {
                let (unknowns, values): (Vec<u32>, Vec<f64>) = vector.into_iter().unzip();
                matrix.push(&unknowns, |row, column| values[row] * values[column]);
                centres.push(centre);
            }
            for unknown in 0..60 {
                matrix.push(&[unknown], |_, _| 0.3);
                centres.push([f64::from(unknown) / 30.0 - 1.0, 0.1]);
            }
            (matrix, centres, right)
        })
    }

    proptest! {
        #[test]
        fn any_positive_definite_matrix_is_solved((matrix, centres, right) in any_matrix()) {
            let factor = Factor::of(&matrix, &Tree::of(&centres, &[]), right.len()).unwrap();
            let reference = by_library(&matrix, &right);
            for (value, reference) in factor.solve(&right).iter().zip(reference) {
                prop_assert!((value - reference).abs() < 1e-11, "{value} {reference}");
            }
        }

        #[test]
        fn a_matrix_that_is_not_positive_definite_is_told(
            (mut matrix, mut centres, right) in any_matrix(),
            unknown in 0_u32..60,
        ) {
            matrix.push(&[unknown], |_, _| -1e4);
            centres.push([0.0, 0.0]);
            prop_assert!(Factor::of(&matrix, &Tree::of(&centres, &[]), right.len()).is_err());
            prop_assert!(Factor::of(&matrix, &Tree::of(&centres, &[]), right.len() + 1).is_err());
        }
    }

    #[test]
    fn no_unknowns_and_no_elements() {
        let factor = Factor::of(&Elements::new(), &Tree::of(&[], &[]), 0).unwrap();
        assert!(factor.solve(&[]).is_empty());
        let mut idle = Elements::new();
        idle.push(&[], |_, _| 0.0);
        assert!(Factor::of(&idle, &Tree::of(&[[0.0, 0.0]], &[]), 0).unwrap().solve(&[]).is_empty());
    }

    #[test]
    fn fill_grows_little_faster_than_the_unknowns() {
        // On n × n squares 31/4·n²·log₂ n entries, and fewer before n is large (George).
        let mut fill = Vec::new();
        for n in [16_u32, 32, 64, 128] {
            let (mut matrix, mut centres) = (Elements::new(), Vec::new());
            for j in 0..n {
                for i in 0..n {
                    let at = |i: u32, j: u32| j * (n + 1) + i;
                    let unknowns = [at(i, j), at(i + 1, j), at(i, j + 1), at(i + 1, j + 1)];
                    matrix.push(&unknowns, |row, column| if row == column { 3.5 } else { -1.0 });
                    centres.push([f64::from(i), f64::from(j)]);
                }
            }
            let size = ((n + 1) * (n + 1)) as usize;
            let factor = Factor::of(&matrix, &Tree::of(&centres, &[]), size).unwrap();
            fill.push(factor.entries() as f64 / size as f64 / libm::log2(f64::from(n)));
        }
        assert!(fill.iter().all(|fill| *fill < 31.0 / 4.0 / 1.5), "entries by n²·log₂ n: {fill:?}");
    }
}
