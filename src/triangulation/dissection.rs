//! In which order to eliminate: nested dissection of the elements by their coordinates.
//!
//! The elements are halved at the median of their centres along the longer side of the box round these, the
//! halves again, and so on (George, SIAM J. Numer. Anal. 10 (1973) 345–363, for squares, from memory; here by
//! elements rather than unknowns, since unknowns of quadratic triangles hang together over two rows). An
//! unknown belongs to the smallest part that holds all elements it occurs in, and is eliminated when both
//! halves of that part have been. So what is eliminated in one half never meets what is in the other, and only
//! the unknowns on the lines between them fill in: n·log n entries and n^(3/2) operations for a plane mesh of n
//! unknowns. Unknowns that many elements share, as the value of a stretch of boundary, need no care: they wait
//! for the part that holds all of it.
//!
//! Where triangles are needles, as in materials that conduct better one way than the other, a straight cut may
//! cross most of them. So a cut with too many links between both halves is compared with one along the other axis
//! and with one by a walk from neighbour to neighbour, which begins at an end of the part and to which needles are as
//! long as they are wide (A. George, J. W. H. Liu, ACM Trans. Math. Softw. 5 (1979) 284–286, from memory).
//!
//! The parts are a tree, and this tree is the elimination tree (Liu, SIAM J. Matrix Anal. Appl. 11 (1990)
//! 134–172) of whole blocks, known without looking at the matrix.

/// A run of elements in the order of the tree.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    /// Its first element.
    pub(super) from: usize,
    /// Behind its last one.
    pub(super) to: usize,
    /// Its halves.
    pub(super) halves: Option<[usize; 2]>,
}

/// The parts of a set of elements, halves before what they are halves of.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    /// The elements in the order of the tree.
    pub(super) order: Vec<u32>,
    /// The last one is the whole.
    pub(super) parts: Vec<Part>,
}

/// So many elements are not halved any more.
const UNDIVIDED: usize = 3;
/// A cut with up to this many links, times the root of the number of elements, is good: squares in halves have 0.7.
const GOOD: f64 = 1.0;
/// Fewer elements than this are cut straight, however many links that takes.
const FEW: usize = 48;

impl Tree {
    /// Of elements with these centres, and the elements beside each.
    pub(super) fn of(centres: &[[f64; 2]], beside: &[[Option<usize>; 3]]) -> Self {
        let mut order: Vec<u32> = (0..centres.len() as u32).collect();
        let count = centres.len();
        let (is_marked, run_of) = (vec![false; count], vec![0; count]);
        let mut dissection = Dissection { centres, beside, is_marked, run_of, runs: 0, parts: Vec::new() };
        dissection.halve(&mut order, 0);
        Self { order, parts: dissection.parts }
    }

    /// The part that eliminates each unknown, for unknowns given by their first and last element in the order
    /// of the tree.
    pub(super) fn owner(&self, first: usize, last: usize) -> usize {
        let mut at = self.parts.len() - 1;
        while let Some([before, behind]) = self.parts[at].halves {
            let middle = self.parts[behind].from;
            if last < middle {
                at = before;
            } else if first >= middle {
                at = behind;
            } else {
                break;
            }
        }
        at
    }
}

struct Dissection<'a> {
    centres: &'a [[f64; 2]],
    beside: &'a [[Option<usize>; 3]],
    /// Whether an element was met, or is in the second half.
    is_marked: Vec<bool>,
    /// The last run, by number, that the element was seen in.
    run_of: Vec<u32>,
    runs: u32,
    parts: Vec<Part>,
}

impl Dissection<'_> {
    /// Halves a run of elements that begins at `from`; the number of the part it became.
    fn halve(&mut self, run: &mut [u32], from: usize) -> usize {
        let to = from + run.len();
        let halves = (run.len() > UNDIVIDED).then(|| {
            self.order(run);
            let half = run.len() / 2;
            let (before, behind) = run.split_at_mut(half);
            [self.halve(before, from), self.halve(behind, from + half)]
        });
        self.parts.push(Part { from, to, halves });
        self.parts.len() - 1
    }

    /// Orders a run so that few elements of its first half lie beside one of its second half.
    fn order(&mut self, run: &mut [u32]) {
        let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for element in run.iter() {
            for axis in 0..2 {
                let at = self.centres[*element as usize][axis];
                least[axis] = least[axis].min(at);
                most[axis] = most[axis].max(at);
            }
        }
        let longer = usize::from(most[1] - least[1] > most[0] - least[0]);
        self.straight(run, longer);
        let few = GOOD * (run.len() as f64).sqrt();
        if run.len() < FEW || self.beside.is_empty() {
            return;
        }
        self.runs += 1;
        for element in run.iter() {
            self.run_of[*element as usize] = self.runs;
        }
        let mut links = self.links(run);
        let mut best = run.to_vec();
        for other in 0..2 {
            if links as f64 <= few {
                break;
            }
            if other == 0 {
                self.straight(run, 1 - longer);
            } else {
                self.walk(run);
            }
            let found = self.links(run);
            if found < links {
                links = found;
                best.copy_from_slice(run);
            }
        }
        run.copy_from_slice(&best);
    }

    /// Halves along an axis.
    fn straight(&self, run: &mut [u32], axis: usize) {
        run.select_nth_unstable_by(run.len() / 2, |one, other| {
            let at = |element: u32| self.centres[element as usize][axis];
            at(*one).total_cmp(&at(*other)).then(one.cmp(other))
        });
    }

    /// Puts a run in the order in which a walk meets its elements, all neighbours of one before those of the next:
    /// first from anywhere, then from where that walk ended.
    fn walk(&mut self, run: &mut [u32]) {
        for _ in 0..2 {
            let starts = run.to_vec();
            for element in run.iter() {
                self.is_marked[*element as usize] = false;
            }
            let (mut met, mut next) = (0, 0);
            // Backwards, so that the second walk begins where the first one ended.
            for start in starts.into_iter().rev() {
                if self.is_marked[start as usize] {
                    continue;
                }
                self.is_marked[start as usize] = true;
                run[met] = start;
                met += 1;
                while next < met {
                    for other in self.beside[run[next] as usize].into_iter().flatten() {
                        if self.run_of[other] == self.runs && !self.is_marked[other] {
                            self.is_marked[other] = true;
                            run[met] = other as u32;
                            met += 1;
                        }
                    }
                    next += 1;
                }
            }
        }
    }

    /// How many links lead from one half of a run to the other.
    fn links(&mut self, run: &[u32]) -> usize {
        let half = run.len() / 2;
        for (place, element) in run.iter().enumerate() {
            self.is_marked[*element as usize] = place >= half;
        }
        let leads_across = |other: &usize| self.run_of[*other] == self.runs && self.is_marked[*other];
        let beside = run[..half].iter().flat_map(|element| self.beside[*element as usize]).flatten();
        beside.filter(leads_across).count()
    }
}

#[cfg(test)]
mod tests {
    use super::super::ldlt::Factor;
    use super::super::sparse::Elements;
    use super::*;

    /// The entries of L for squares in halves, `n` a side, their places stretched and turned.
    fn entries_of_triangles(n: usize, stretch: f64, degrees: f64) -> usize {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        let (mut matrix, mut centres, mut beside) = (Elements::new(), Vec::new(), Vec::new());
        for j in 0..n {
            for i in 0..n {
                let at = |i: usize, j: usize| (j * (n + 1) + i) as u32;
                let triangle = |i: usize, j: usize, half: usize| Some(2 * (j * n + i) + half);
                let here = |is_inside: bool, other: Option<usize>| other.filter(|_| is_inside);
                let below = here(j > 0, triangle(i, j.wrapping_sub(1), 1));
                let left = here(i > 0, triangle(i.wrapping_sub(1), j, 0));
                let (above, right) =
                    (here(j + 1 < n, triangle(i, j + 1, 0)), here(i + 1 < n, triangle(i + 1, j, 1)));
                for (half, corners) in
                    [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]]
                        .into_iter()
                        .enumerate()
                {
                    matrix.push(&corners, |row, column| if row == column { 2.5 } else { -1.0 });
                    let (x, y) = (i as f64 + if half == 0 { 0.67 } else { 0.33 }, stretch * j as f64);
                    centres.push([cosine * x - sine * y, sine * x + cosine * y]);
                    let other = triangle(i, j, 1 - half);
                    beside.push(if half == 0 { [below, right, other] } else { [above, left, other] });
                }
            }
        }
        let unknowns = (n + 1) * (n + 1);
        Factor::of(&matrix, &Tree::of(&centres, &beside), unknowns).unwrap().entries()
    }

    /// Straight cuts alone fill up to six times as much as squares.
    #[test]
    fn needles_fill_little_more_than_squares() {
        let squares = entries_of_triangles(64, 1.0, 0.0);
        for stretch in [0.01, 0.05, 0.3, 1.0, 4.0, 20.0, 300.0] {
            for degrees in [0.0, 10.0, 30.0, 45.0, 75.0, 90.0, 140.0] {
                let needles = entries_of_triangles(64, stretch, degrees);
                assert!(
                    needles <= 2 * squares,
                    "{needles} against {squares}, stretched to {stretch}, {degrees}°"
                );
            }
        }
    }
}
