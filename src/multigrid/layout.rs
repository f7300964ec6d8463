//! Where a vertex lies in an array.
//!
//! An array holds all rows of even columns, then all rows of odd columns, so that a sweep over the columns of
//! one parity runs through memory without gaps:
//!
//! ```text
//! line of row j:   0 0  e₀ e₁ e₂ … e_m  0 0  …         0 0  o₀ o₁ o₂ … o_n  0 0       eₖ is column 2k, oₖ is column 2k + 1
//!                  └ apart ────────────────────────────┘
//!
//! neighbours of eₖ: oₖ₋₁ to the west, oₖ to the east;  of oₖ: eₖ to the west, eₖ₊₁ to the east
//! ```
//!
//! Rows know the span of their solid vertices; outside of it arrays stay zero and nothing is computed. A line
//! holds the spans of its row and of those above and below, with zeros on both sides, and there is a line of
//! zeros below the first and above the last row; so no kernel has to ask whether it stands at a border. Voids
//! beyond are not stored.

use std::ops::Range;

use super::sharing::WORTH_SHARING;
use super::span::{Parity, RowSpan};

/// The arrangement of a grid's vertices in memory.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Vertices along x.
    pub(super) columns: usize,
    /// Vertices along y.
    pub(super) rows: usize,
    /// Distance of the odd columns from the even ones.
    pub(super) apart: usize,
    /// The spans of the rows.
    pub(super) spans: Vec<RowSpan>,
    /// Where the lines of even columns begin, from that below the first row on, and where the last ends.
    bounds: Vec<usize>,
    /// Where column 0 of those lines would lie.
    starts: Vec<usize>,
}

/// Zeros on either side of a line: one for the neighbour beside, and one more since transfers take columns in
/// pairs.
const MARGIN: usize = 2;

impl Layout {
    /// A grid with unknowns everywhere.
    pub fn new(columns: usize, rows: usize) -> Self {
        Self::within_spans(columns, vec![RowSpan::of(0, columns); rows])
    }

    /// A grid whose rows have unknowns within these ranges of columns only.
    ///
    /// # Panics
    /// If a range reaches beyond the columns.
    pub fn of(columns: usize, ranges: impl Iterator<Item = Range<usize>>) -> Self {
        let spans = ranges.map(|range| {
            assert!(range.end <= columns, "columns {range:?} of {columns}");
            RowSpan::of(range.start, range.end)
        });
        Self::within_spans(columns, spans.collect())
    }

    /// The same for spans of even and odd columns.
    pub(super) fn within_spans(columns: usize, spans: Vec<RowSpan>) -> Self {
        let rows = spans.len();
        // So far in that no start is negative.
        let mut end = columns.div_ceil(2) + MARGIN;
        let (mut bounds, mut starts) = (vec![end], Vec::with_capacity(rows + 2));
        for line in 0..rows + 2 {
            let around = spans[line.saturating_sub(2)..(line + 1).min(rows)]
                .iter()
                .filter(|span| **span != RowSpan::default());
            let from = around.clone().map(|span| span.even.0.min(span.odd.0)).min().unwrap_or(0);
            let to = around.map(|span| span.even.1.max(span.odd.1)).max().unwrap_or(0);
            starts.push(end + MARGIN - from);
            end += to - from + 2 * MARGIN;
            bounds.push(end);
        }
        Self { columns, rows, apart: end, spans, bounds, starts }
    }

    /// Vertices along x.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Vertices along y.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// The vertices of the line of that number that lie within its span, counted row by row, each with its
    /// place in the line.
    pub(crate) fn vertices_in(&self, line: usize) -> impl Iterator<Item = (usize, usize)> {
        let (first, from) = self.row(line).map_or((0, 0), |(parity, j)| {
            (j * self.columns + usize::from(parity == Parity::Odd), self.spans[j].columns(parity).0)
        });
        self.within(line).enumerate().map(move |(number, place)| (first + 2 * (from + number), place))
    }

    /// Length of an array.
    pub fn size(&self) -> usize {
        2 * self.apart
    }

    /// Length of the half of an array that holds the columns of one parity.
    #[inline(always)]
    pub(super) fn half(&self) -> usize {
        self.apart
    }

    /// The half of an array that holds the columns of one parity, and the other.
    pub(super) fn own_and_other<'a, T>(&self, parity: Parity, values: &'a mut [T]) -> [&'a mut [T]; 2] {
        let (even, odd) = values.split_at_mut(self.apart);
        match parity {
            Parity::Even => [even, odd],
            Parity::Odd => [odd, even],
        }
    }

    /// Number of columns of one parity.
    pub(super) fn columns_of(&self, parity: Parity) -> usize {
        match parity {
            Parity::Even => self.columns.div_ceil(2),
            Parity::Odd => self.columns / 2,
        }
    }

    /// The places of a line within its half, the line of row j being j + 1. Lines do not meet.
    #[inline(always)]
    pub(super) fn line(&self, line: usize) -> Range<usize> {
        self.bounds[line]..self.bounds[line + 1]
    }

    /// Where its column 0 lies, or would lie.
    #[inline(always)]
    pub(super) fn line_start(&self, line: usize) -> usize {
        self.starts[line]
    }

    /// Number of vertices.
    pub(super) fn vertices(&self) -> usize {
        self.columns * self.rows
    }

    /// True if the grid is large enough to be shared among threads.
    pub(super) fn is_shared(&self) -> bool {
        self.vertices() >= WORTH_SHARING
    }

    /// Number of lines.
    pub(crate) fn count(&self) -> usize {
        2 * (self.rows + 2)
    }

    /// The lines of an array in their order.
    pub(crate) fn lines<'a, T>(&self, values: &'a mut [T]) -> Vec<&'a mut [T]> {
        let [even, odd] = self.halves(values);
        even.chain(odd).collect()
    }

    /// The lines of even and of odd columns of each row of an array.
    pub(super) fn rows_of<'a, T>(&self, values: &'a mut [T]) -> Vec<[&'a mut [T]; 2]> {
        let [even, odd] = self.halves(values);
        even.zip(odd).skip(1).take(self.rows).map(|(even, odd)| [even, odd]).collect()
    }

    /// The lines of even and those of odd columns.
    fn halves<'a, T>(&self, values: &'a mut [T]) -> [impl Iterator<Item = &'a mut [T]>; 2] {
        let (even, odd) = values.split_at_mut(self.apart);
        [even, odd].map(|half| {
            let mut rest = &mut half[self.bounds[0]..];
            self.bounds.windows(2).map(move |ends| {
                let (line, others) = std::mem::take(&mut rest).split_at_mut(ends[1] - ends[0]);
                rest = others;
                line
            })
        })
    }

    /// Parity and row of the line of that number; `None` for one of zeros.
    #[inline(always)]
    pub(super) fn row(&self, line: usize) -> Option<(Parity, usize)> {
        let (parity, j) =
            if line < self.rows + 2 { (Parity::Even, line) } else { (Parity::Odd, line - self.rows - 2) };
        (1..=self.rows).contains(&j).then(|| (parity, j - 1))
    }

    /// The columns of one parity within a block `from..to` that have unknowns in row j.
    #[inline(always)]
    pub(super) fn columns_within(
        &self,
        parity: Parity,
        j: usize,
        (from, to): (usize, usize),
    ) -> Range<usize> {
        let (first, last) = self.spans[j].columns(parity);
        let (first, last) = (first.max(from), last.min(to));
        if first < last { first..last } else { from..from }
    }

    /// Where the line of that number begins.
    #[inline(always)]
    pub(crate) fn first_place(&self, line: usize) -> usize {
        if line < self.rows + 2 { self.bounds[line] } else { self.apart + self.bounds[line - self.rows - 2] }
    }

    /// Where column 0, or 1, of row j would lie in its line; the sum with k does not overflow for any k in
    /// the line.
    #[inline(always)]
    pub(super) fn origin(&self, j: usize) -> usize {
        self.starts[j + 1].wrapping_sub(self.bounds[j + 1])
    }

    /// From a place of row j to the vertex above; to be added with wrapping.
    #[inline(always)]
    pub(super) fn rise(&self, j: usize) -> usize {
        self.starts[j + 2].wrapping_sub(self.starts[j + 1])
    }

    /// From a place of row j to the vertex below; to be added with wrapping.
    #[inline(always)]
    pub(super) fn fall(&self, j: usize) -> usize {
        self.starts[j].wrapping_sub(self.starts[j + 1])
    }

    /// The places with unknowns in the line of that number, counted from its start.
    #[inline(always)]
    pub(super) fn within(&self, line: usize) -> Range<usize> {
        let Some((parity, j)) = self.row(line) else { return 0..0 };
        let (from, to) = self.spans[j].columns(parity);
        if from < to { self.origin(j).wrapping_add(from)..self.origin(j).wrapping_add(to) } else { 0..0 }
    }

    /// The same, counted from the start of the array.
    #[inline(always)]
    pub(super) fn places(&self, line: usize) -> Range<usize> {
        let (within, first) = (self.within(line), self.first_place(line));
        first + within.start..first + within.end
    }

    /// Where the columns of one parity begin in row j, or would begin; a column's number is to be added
    /// before anything is subtracted.
    #[inline(always)]
    pub(super) fn start(&self, parity: Parity, j: usize) -> usize {
        self.starts[j + 1] + if parity == Parity::Even { 0 } else { self.apart }
    }

    /// Start of the even columns of row j.
    #[inline(always)]
    pub(super) fn even(&self, j: usize) -> usize {
        self.start(Parity::Even, j)
    }

    /// Start of the odd columns of row j.
    #[inline(always)]
    pub(super) fn odd(&self, j: usize) -> usize {
        self.start(Parity::Odd, j)
    }

    /// Place of vertex (i, j).
    #[inline(always)]
    pub fn at(&self, i: usize, j: usize) -> usize {
        self.start(Parity::of(i), j) + i / 2
    }

    /// The places west and east of a place of the given parity.
    #[inline(always)]
    pub(super) fn beside(&self, parity: Parity, place: usize) -> (usize, usize) {
        match parity {
            Parity::Even => (place + self.apart - 1, place + self.apart),
            Parity::Odd => (place - self.apart, place - self.apart + 1),
        }
    }

    /// True for a vertex within the span of its row.
    #[inline(always)]
    pub(super) fn is_within(&self, i: usize, j: usize) -> bool {
        let (from, to) = self.spans[j].columns(Parity::of(i));
        (from..to).contains(&(i / 2))
    }

    /// Narrows the spans to the vertices that have unknowns.
    pub(super) fn set_spans(&mut self, is_active: impl Fn(usize, usize) -> bool) {
        for j in 0..self.rows {
            let first = (0..self.columns).find(|i| is_active(*i, j));
            let last = (0..self.columns).rev().find(|i| is_active(*i, j));
            self.spans[j] = match (first, last) {
                (Some(first), Some(last)) => RowSpan::of(first, last + 1),
                _ => RowSpan::default(),
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_and_spans() {
        for columns in [1, 2, 5, 6] {
            let mut layout = Layout::new(columns, 3);
            for i in 0..columns {
                let here = layout.at(i, 1);
                if i > 0 {
                    assert_eq!(layout.beside(Parity::of(i), here).0, layout.at(i - 1, 1));
                    assert_eq!(layout.beside(Parity::of(i - 1), layout.at(i - 1, 1)).1, here);
                }
            }
            layout.set_spans(|i, j| j == 1 && i > 0);
            let span = layout.spans[1];
            assert_eq!(
                span.even.1.saturating_sub(span.even.0) + span.odd.1.saturating_sub(span.odd.0),
                columns - 1
            );
            assert_eq!(layout.spans[0], RowSpan::default());
        }
    }

    #[test]
    fn lines_hold_the_neighbours_of_their_rows() {
        let ranges = [(0, 0), (4, 9), (8, 30), (29, 30), (0, 0), (0, 3), (2, 31)];
        let layout = Layout::of(31, ranges.iter().map(|(from, to)| *from..*to));
        let mut owner = vec![usize::MAX; layout.size()];
        for (line, places) in (0..layout.count()).map(|line| (line, layout.places(line))) {
            owner[places].fill(line);
        }
        for (j, (from, to)) in ranges.into_iter().enumerate() {
            for i in from..to {
                let (parity, here) = (Parity::of(i), layout.at(i, j));
                let line = owner[here];
                assert_eq!(layout.row(line), Some((parity, j)));
                assert!(layout.is_within(i, j) && layout.places(line).contains(&here));
                // Neighbours are where they should be; where there is none, there is a zero that nobody owns.
                for (above, place) in
                    [(true, here.wrapping_add(layout.rise(j))), (false, here.wrapping_add(layout.fall(j)))]
                {
                    let next = if above { j + 1 } else { j.wrapping_sub(1) };
                    let is_there = ranges.get(next).is_some_and(|(from, to)| (*from..*to).contains(&i));
                    assert_eq!(owner[place] != usize::MAX, is_there, "{i}, {j}");
                    if is_there {
                        assert_eq!(place, layout.at(i, next));
                    }
                }
                let (west, east) = layout.beside(parity, here);
                assert_eq!(
                    (owner[west] != usize::MAX, owner[east] != usize::MAX),
                    (i > from, i + 1 < to),
                    "{i}, {j}"
                );
            }
        }
        let lines = layout.lines(&mut owner);
        assert_eq!(lines.len(), layout.count());
        for (number, line) in lines.into_iter().enumerate() {
            assert!(
                line.iter()
                    .enumerate()
                    .all(|(place, owner)| (*owner == number) == layout.within(number).contains(&place))
            );
        }
    }
}
