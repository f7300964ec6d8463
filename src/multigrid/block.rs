//! Columns of one array, shared out among threads.
//!
//! Relaxation, factors and weights change every second column, each column by itself, and every thread has
//! columns of its own. The columns of one parity lie in one half of an array, row after row, so that the
//! columns of two threads alternate in memory, and no splitting of slices gives each its own. A [`Block`]
//! does: it stands for some columns of a half and hands out no other place of it.

use std::marker::PhantomData;
use std::ops::Range;

use super::layout::Layout;
use super::sharing::shares;
use super::span::Parity;

/// Neighbouring columns of one parity in a half of an array: all their places, and no others.
pub struct Block<'a, R> {
    layout: &'a Layout,
    parity: Parity,
    from: usize,
    to: usize,
    half: *mut R,
    array: PhantomData<&'a mut [R]>,
}

// SAFETY: a block reaches only its own columns of the half that it was made of, and `blocks` gives no column
// to two of them. So it may go to another thread wherever a mutable slice may.
unsafe impl<R: Send> Send for Block<'_, R> {}

/// Divides the columns of one parity into blocks, one for each thread if the grid is large enough to be
/// shared, else one. `half` holds a place for each column of that parity, as one half of an array of the
/// layout does. Whole rows suit the prefetcher, so blocks are as wide as can be.
///
/// # Panics
/// If `half` is shorter than half an array of the layout.
pub fn blocks<'a, R>(layout: &'a Layout, parity: Parity, half: &'a mut [R]) -> Vec<Block<'a, R>> {
    assert!(
        layout.half() <= half.len(),
        "half an array has {} places, {} are given",
        layout.half(),
        half.len()
    );
    let half = half.as_mut_ptr();
    let block =
        |Range { start, end }| Block { layout, parity, from: start, to: end, half, array: PhantomData };
    shares(layout.columns_of(parity), layout.is_shared()).map(block).collect()
}

impl<R> Block<'_, R> {
    /// The first column of the block, and that behind its last one.
    pub fn bounds(&self) -> (usize, usize) {
        (self.from, self.to)
    }

    /// Its columns that have unknowns in row j.
    #[inline(always)]
    pub fn columns(&self, j: usize) -> Range<usize> {
        self.layout.columns_within(self.parity, j, (self.from, self.to))
    }

    /// Columns in row j.
    ///
    /// # Panics
    /// If they are not the block's, or the row has no places for them.
    #[inline(always)]
    pub fn row(&mut self, j: usize, columns: &Range<usize>) -> &mut [R] {
        let place = self.place(j + 1, columns);
        // SAFETY: `place` tells that the places are the block's.
        unsafe { std::slice::from_raw_parts_mut(self.half.add(place), columns.len()) }
    }

    /// The same, and what stands below.
    ///
    /// # Panics
    /// As [`Self::row`].
    #[inline(always)]
    pub fn row_and_below(&mut self, j: usize, columns: &Range<usize>) -> (&mut [R], &[R]) {
        self.two_rows(j + 1, j, columns)
    }

    /// The same, and what stands above.
    ///
    /// # Panics
    /// As [`Self::row`].
    #[inline(always)]
    pub fn row_and_above(&mut self, j: usize, columns: &Range<usize>) -> (&mut [R], &[R]) {
        self.two_rows(j + 1, j + 2, columns)
    }

    #[inline(always)]
    fn two_rows(&mut self, line: usize, other: usize, columns: &Range<usize>) -> (&mut [R], &[R]) {
        let (place, beside) = (self.place(line, columns), self.place(other, columns));
        // SAFETY: `place` tells that the places are the block's; those of two lines do not meet.
        unsafe {
            let own = std::slice::from_raw_parts_mut(self.half.add(place), columns.len());
            (own, std::slice::from_raw_parts(self.half.add(beside), columns.len()))
        }
    }

    /// Where columns lie in a line of the half, the line of row j being j + 1.
    #[inline(always)]
    fn place(&self, line: usize, columns: &Range<usize>) -> usize {
        let places = self.layout.line(line);
        let place = self.layout.line_start(line).wrapping_add(columns.start);
        // Lines do not meet (`Layout::within_spans`), and `blocks` has made sure that all lie within the
        // half.
        let is_own = self.from <= columns.start && columns.start <= columns.end && columns.end <= self.to;
        let is_in_line =
            places.start <= place && place.wrapping_add(columns.end - columns.start) <= places.end;
        assert!(is_own && is_in_line && place <= places.end, "columns {columns:?} are not the block's");
        place
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout() -> Layout {
        Layout::of(90, [0..90, 20..90, 0..0, 3..40, 3..90].into_iter())
    }

    /// Every place of a half is in one block at most, and those with unknowns in one exactly.
    #[test]
    fn blocks_share_nothing_and_miss_nothing() {
        let layout = layout();
        for parity in [Parity::Even, Parity::Odd] {
            for shared in [1, 2, 3, 7] {
                let count = layout.columns_of(parity);
                let width = count.div_ceil(shared);
                let mut half = vec![0; layout.half()];
                for number in 0..shared {
                    let (from, to) = (number * width, ((number + 1) * width).min(count));
                    let start = half.as_mut_ptr();
                    let mut block =
                        Block { layout: &layout, parity, from, to, half: start, array: PhantomData };
                    for j in 0..5 {
                        let columns = block.columns(j);
                        if !columns.is_empty() {
                            block.row(j, &columns).iter_mut().for_each(|value| *value += 1);
                        }
                    }
                }
                assert!(half.iter().all(|value| *value <= 1));
                let unknowns: usize =
                    (0..5).map(|j| layout.columns_within(parity, j, (0, count)).len()).sum();
                assert_eq!(half.iter().sum::<usize>(), unknowns);
            }
        }
    }

    #[test]
    #[should_panic(expected = "are not the block's")]
    fn columns_of_another_block_are_refused() {
        let layout = layout();
        let mut half = vec![0.0; layout.half()];
        let mut block = blocks(&layout, Parity::Even, &mut half).remove(0);
        block.to = 10;
        block.row(0, &(5..11));
    }

    #[test]
    #[should_panic(expected = "are not the block's")]
    fn columns_that_a_row_has_no_places_for_are_refused() {
        let layout = Layout::of(90, [0..90, 0..0, 0..0, 0..0, 40..90].into_iter());
        let mut half = vec![0.0; layout.half()];
        blocks(&layout, Parity::Even, &mut half).remove(0).row(3, &(0..10));
    }

    #[test]
    #[should_panic(expected = "half an array")]
    fn short_arrays_are_refused() {
        let (small, tall) = (Layout::new(10, 10), Layout::new(10, 1_000));
        blocks(&tall, Parity::Even, &mut vec![0.0; small.half()]);
    }
}
