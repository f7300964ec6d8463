//! Handing work to threads where that is worth it.

use std::ops::Range;

use rayon::prelude::*;

use super::layout::Layout;

/// Grids with fewer vertices are worked on by one thread: handing work over would cost more than it saves.
pub const WORTH_SHARING: usize = 30_000;
/// Lines that a thread takes at a time at least.
pub const LINES_AT_LEAST: usize = 16;

/// Runs `work` on one of the pool's threads. Work handed out from there begins at once on the same thread,
/// while a thread that is not of the pool would fall asleep and be woken again each time.
pub fn on_the_pool<T: Send>(shared: bool, work: impl FnOnce() -> T + Send) -> T {
    if shared { rayon::scope(|_| work()) } else { work() }
}

/// Calls `work` with the number and the content of each line of an array, on several threads if the grid is
/// large.
pub fn each_line<T: Send>(layout: &Layout, values: &mut [T], work: impl Fn(usize, &mut [T]) + Sync) {
    each(layout.lines(values), layout.is_shared(), work);
}

/// Calls `work` with the number and the lines of even and odd columns of each row of an array, on several
/// threads if `shared`.
pub fn each_row<T: Send>(
    layout: &Layout,
    values: &mut [T],
    shared: bool,
    work: impl Fn(usize, [&mut [T]; 2]) + Sync,
) {
    each(layout.rows_of(values), shared, work);
}

/// Calls `work` with the number and each of the items.
fn each<T: Send>(items: Vec<T>, shared: bool, work: impl Fn(usize, T) + Sync) {
    if shared {
        items
            .into_par_iter()
            .enumerate()
            .with_min_len(LINES_AT_LEAST)
            .for_each(|(number, item)| work(number, item));
    } else {
        items.into_iter().enumerate().for_each(|(number, item)| work(number, item));
    }
}

/// Divides the numbers `0..count` into ranges, one for each thread if `shared`, else into one.
pub fn shares(count: usize, shared: bool) -> impl Iterator<Item = Range<usize>> {
    let threads = if shared { rayon::current_num_threads() } else { 1 };
    let width = count.div_ceil(threads).max(1);
    (0..count).step_by(width).map(move |from| from..(from + width).min(count))
}

/// Calls `work` with each of the shares that threads have, at the same time.
pub fn each_share<S: Send, T: Send>(shares: Vec<S>, work: impl Fn(S) -> T + Sync) -> Vec<T> {
    if shares.len() > 1 {
        shares.into_par_iter().map(&work).collect()
    } else {
        shares.into_iter().map(work).collect()
    }
}
