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

impl Tree {
    /// Of elements with these centres.
    pub(super) fn of(centres: &[[f64; 2]]) -> Self {
        let mut order: Vec<u32> = (0..centres.len() as u32).collect();
        let mut parts = Vec::new();
        halve(centres, &mut order, 0, &mut parts);
        Self { order, parts }
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

/// Halves a run of elements that begins at `from`; the number of the part it became.
fn halve(centres: &[[f64; 2]], run: &mut [u32], from: usize, parts: &mut Vec<Part>) -> usize {
    let to = from + run.len();
    let halves = (run.len() > UNDIVIDED).then(|| {
        let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for element in run.iter() {
            for axis in 0..2 {
                let at = centres[*element as usize][axis];
                least[axis] = least[axis].min(at);
                most[axis] = most[axis].max(at);
            }
        }
        let axis = usize::from(most[1] - least[1] > most[0] - least[0]);
        let half = run.len() / 2;
        run.select_nth_unstable_by(half, |one, other| {
            let at = |element: u32| centres[element as usize][axis];
            at(*one).total_cmp(&at(*other)).then(one.cmp(other))
        });
        let (before, behind) = run.split_at_mut(half);
        [halve(centres, before, from, parts), halve(centres, behind, from + half, parts)]
    });
    parts.push(Part { from, to, halves });
    parts.len() - 1
}
