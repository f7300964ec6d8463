//! Handing work to threads where that is worth it.

use rayon::prelude::*;

/// Grids with fewer vertices are worked on by one thread: handing work over would cost more than it saves.
pub const WORTH_SHARING: usize = 30_000;
/// Lines that a thread takes at a time at least.
pub const LINES_AT_LEAST: usize = 16;

/// Runs `work` on one of the pool's threads. Work handed out from there begins at once on the same thread, while a thread that is not of the pool
/// would fall asleep and be woken again each time.
pub fn on_the_pool<T: Send>(shared: bool, work: impl FnOnce() -> T + Send) -> T {
    if shared { rayon::scope(|_| work()) } else { work() }
}

/// Calls `work` with the number and the content of each piece of `length` elements, on several threads if `shared`.
pub fn each_piece<T: Send>(values: &mut [T], length: usize, shared: bool, work: impl Fn(usize, &mut [T]) + Sync) {
    if shared {
        let pieces = values.par_chunks_mut(length).with_min_len(LINES_AT_LEAST).enumerate();
        pieces.for_each(|(number, piece)| work(number, piece));
    } else {
        values.chunks_mut(length).enumerate().for_each(|(number, piece)| work(number, piece));
    }
}

/// Calls `work` with the number and the content of each pair of pieces of `length` elements.
pub fn each_pair<T: Send>(values: [&mut [T]; 2], length: usize, shared: bool, work: impl Fn(usize, [&mut [T]; 2]) + Sync) {
    let [a, b] = values;
    if shared {
        let pieces = a.par_chunks_mut(length).zip(b.par_chunks_mut(length)).with_min_len(LINES_AT_LEAST).enumerate();
        pieces.for_each(|(number, (a, b))| work(number, [a, b]));
    } else {
        a.chunks_mut(length).zip(b.chunks_mut(length)).enumerate().for_each(|(number, (a, b))| work(number, [a, b]));
    }
}

/// Calls `work` with the bounds of blocks of the columns `0..count`, one for each thread if `shared`, else all in one. Whole
/// rows suit the prefetcher, so blocks are as wide as can be.
pub fn each_block<T: Send>(count: usize, shared: bool, work: impl Fn(usize, usize) -> T + Sync) -> Vec<T> {
    let threads = if shared { rayon::current_num_threads() } else { 1 };
    let width = count.div_ceil(threads).max(1);
    let blocks = count.div_ceil(width);
    let bounds = |block: usize| (block * width, ((block + 1) * width).min(count));
    if blocks > 1 {
        (0..blocks).into_par_iter().map(|block| work(bounds(block).0, bounds(block).1)).collect()
    } else {
        (0..blocks).map(|block| work(bounds(block).0, bounds(block).1)).collect()
    }
}
