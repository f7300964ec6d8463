//! Handing rows to threads where that is worth it.

use rayon::prelude::*;

/// Grids with fewer vertices are worked on by one thread: handing work over would cost more than it saves.
pub const WORTH_SHARING: usize = 30_000;
/// Rows that a thread takes at a time at least.
const ROWS_AT_LEAST: usize = 8;

/// Calls `work` with the number and the content of each piece of `length` elements, on several threads if `shared`.
pub fn each_piece<T: Send>(values: &mut [T], length: usize, shared: bool, work: impl Fn(usize, &mut [T]) + Sync) {
    if shared {
        let pieces = values.par_chunks_mut(length).with_min_len(ROWS_AT_LEAST).enumerate();
        pieces.for_each(|(number, piece)| work(number, piece));
    } else {
        values.chunks_mut(length).enumerate().for_each(|(number, piece)| work(number, piece));
    }
}
