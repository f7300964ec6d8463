//! Relaxation of columns: every second column is solved exactly, with the columns between held.
//!
//! With the factors of [`Level`] a column's system is solved in place, upwards and back:
//!
//! ```text
//! zⱼ = rhsⱼ + zⱼ₋₁ − (1 − ℓⱼ₋₁)·zⱼ₋₁          xⱼ = xⱼ₊₁ + (zⱼ/dⱼ − (1 − ℓⱼ)·xⱼ₊₁)
//! ```
//!
//! where rhs takes in what the columns beside contribute. Columns of one parity do not touch each other, so
//! they are solved side by side in the processor's vector units, row by row.

use super::block::{Block, blocks};
use super::level::{Level, Real, View};
use super::sharing::each_share;
use super::span::Parity;

/// Solves all columns of one parity. `from_zero` says that the other columns are zero, whatever the array
/// holds there.
pub fn columns<R: Real>(level: &Level<R>, x: &mut [R], b: &[R], parity: Parity, from_zero: bool) {
    let level = level.view();
    let size = x.len();
    let [own, others] = level.layout.own_and_other(parity, x);
    let others =
        Others { values: others, from: if parity == Parity::Even { size - others.len() } else { 0 } };
    each_share(blocks(level.layout, parity, own), |mut block| {
        eliminate(level, &mut block, others, b, parity, from_zero);
        substitute(level, &mut block, parity);
    });
}

/// The part of an array in which the neighbours beside are looked up.
#[derive(Clone, Copy)]
struct Others<'a, R> {
    values: &'a [R],
    /// Where it begins in the array.
    from: usize,
}

/// Some neighbouring places of one parity in a row, of which it has been made sure that they and all their
/// neighbours lie within the arrays of a level, and the neighbours beside within `others`. On narrow grids,
/// asking for every array anew takes longer than computing.
#[derive(Clone, Copy)]
struct Places<'a, R> {
    start: usize,
    n: usize,
    west: usize,
    east: usize,
    /// To the row above and to that below, to be added with wrapping.
    rise: usize,
    fall: usize,
    /// Length within which all of them lie.
    size: usize,
    others: Others<'a, R>,
}

impl<'a, R: Real> Places<'a, R> {
    /// The places `start..start + n` of row j. Panics if the arrays of the level, or one of `size`, do not
    /// reach that far, or `others` does not.
    #[inline(always)]
    fn of(
        level: View<'a, R>,
        size: usize,
        others: Others<'a, R>,
        (parity, j): (Parity, usize),
        (start, n): (usize, usize),
    ) -> Self {
        let (west, east) = level.layout.beside(parity, start);
        let (rise, fall) = (level.layout.rise(j), level.layout.fall(j));
        let View { inverse, deficit, east: to_east, north_east, north_west, .. } = level;
        let mut size = size.min(inverse.len()).min(deficit.len()).min(to_east.len());
        if !north_east.is_empty() {
            size = size.min(north_east.len()).min(north_west.len());
        }
        // Distances are differences of places, so as signed numbers they are small.
        let [rise_by, fall_by] = [rise, fall].map(|distance| distance as isize);
        let (lowest, highest) = (rise_by.min(fall_by).min(0), rise_by.max(fall_by).max(0));
        let [start_at, west_at, east_at, n_at] = [start, west, east, n].map(|place| place as isize);
        let [from, to] = [others.from, others.from + others.values.len()].map(|place| place as isize);
        let is_inside =
            start_at.min(west_at) + lowest >= 0 && start_at.max(east_at) + highest + n_at <= size as isize;
        let is_beside_inside =
            west_at.min(east_at) + lowest >= from && west_at.max(east_at) + highest + n_at <= to;
        assert!(is_inside && is_beside_inside, "a row reaches out of the arrays of its grid");
        Self { start, n, west, east, rise, fall, size, others }
    }

    /// The elements of one of those arrays from `place` on.
    ///
    /// # Safety
    /// `place` is that of these places or of their neighbours, and `values` an array that has been looked at.
    #[inline(always)]
    unsafe fn at(self, values: &'a [R], place: usize) -> &'a [R] {
        debug_assert!(place + self.n <= self.size && self.size <= values.len());
        // SAFETY: as the caller promises.
        unsafe { values.get_unchecked(place..place + self.n) }
    }

    /// The values from a place beside on.
    ///
    /// # Safety
    /// `place` is that of a neighbour in a column beside.
    #[inline(always)]
    unsafe fn other(self, place: usize) -> &'a [R] {
        let Others { values, from } = self.others;
        debug_assert!(from <= place && place - from + self.n <= values.len());
        // SAFETY: as the caller promises.
        unsafe { values.get_unchecked(place - from..place - from + self.n) }
    }
}

/// Entries and the values they belong to.
type Pair<'a, R> = (&'a [R], &'a [R]);

/// What the columns beside contribute to the right-hand sides at some places: entries and values to W and E,
/// and on a nine-point level to NW, NE, SW and SE.
struct Beside<'a, R> {
    level: [Pair<'a, R>; 2],
    corners: Option<[Pair<'a, R>; 4]>,
}

impl<'a, R: Real> Beside<'a, R> {
    #[inline(always)]
    fn of(level: View<'a, R>, places: Places<'a, R>) -> Self {
        let View { east: to_east, north_east, north_west, .. } = level;
        let Places { start, west, east, rise, fall, .. } = places;
        let (above, below) =
            (|place: usize| place.wrapping_add(rise), |place: usize| place.wrapping_add(fall));
        // SAFETY: neighbours of the places, and arrays of the level.
        let pair = |entries: &'a [R], from: usize, neighbour: usize| unsafe {
            (places.at(entries, from), places.other(neighbour))
        };
        let corners = (!north_east.is_empty()).then(|| {
            [
                pair(north_west, start, above(west)),
                pair(north_east, start, above(east)),
                pair(north_east, below(west), below(west)),
                pair(north_west, below(east), below(east)),
            ]
        });
        Self { level: [pair(to_east, west, west), pair(to_east, start, east)], corners }
    }

    /// target = them.
    #[inline(always)]
    fn set(&self, target: &mut [R]) {
        match self.corners {
            None => set_five(target, self.level),
            Some(corners) => set_nine(target, self.level, corners),
        }
    }
}

#[inline]
fn set_five<R: Real>(target: &mut [R], [(a, w), (b, e)]: [Pair<'_, R>; 2]) {
    let n = target.len();
    let (a, w, b, e) = (&a[..n], &w[..n], &b[..n], &e[..n]);
    for k in 0..n {
        target[k] = a[k] * w[k] + b[k] * e[k];
    }
}

#[inline]
fn set_nine<R: Real>(target: &mut [R], [(a, w), (b, e)]: [Pair<'_, R>; 2], corners: [Pair<'_, R>; 4]) {
    let n = target.len();
    let (a, w, b, e) = (&a[..n], &w[..n], &b[..n], &e[..n]);
    let [(c, nw), (d, ne), (f, sw), (g, se)] = corners.map(|(entry, value)| (&entry[..n], &value[..n]));
    for k in 0..n {
        target[k] =
            (a[k] * w[k] + b[k] * e[k]) + ((c[k] * nw[k] + d[k] * ne[k]) + (f[k] * sw[k] + g[k] * se[k]));
    }
}

/// z of a row whose neighbours beside are zero.
#[inline]
fn up_alone<R: Real>(own: &mut [R], b: &[R], deficit: &[R], down: &[R]) {
    let n = own.len();
    let (b, deficit, down) = (&b[..n], &deficit[..n], &down[..n]);
    for k in 0..n {
        own[k] = b[k] + (down[k] - deficit[k] * down[k]);
    }
}

/// z of a row of a five-point level.
#[inline]
fn up_five<R: Real>(
    own: &mut [R],
    b: &[R],
    deficit: &[R],
    down: &[R],
    [(to_w, w), (to_e, e)]: [Pair<'_, R>; 2],
) {
    let n = own.len();
    let (b, deficit, down) = (&b[..n], &deficit[..n], &down[..n]);
    let (to_w, w, to_e, e) = (&to_w[..n], &w[..n], &to_e[..n], &e[..n]);
    for k in 0..n {
        own[k] = (b[k] + (to_w[k] * w[k] + to_e[k] * e[k])) + (down[k] - deficit[k] * down[k]);
    }
}

/// z of a row of a nine-point level.
#[inline]
fn up_nine<R: Real>(
    own: &mut [R],
    b: &[R],
    deficit: &[R],
    down: &[R],
    [(to_w, w), (to_e, e)]: [Pair<'_, R>; 2],
    corners: [Pair<'_, R>; 4],
) {
    let n = own.len();
    let (b, deficit, down) = (&b[..n], &deficit[..n], &down[..n]);
    let (to_w, w, to_e, e) = (&to_w[..n], &w[..n], &to_e[..n], &e[..n]);
    let [(c, nw), (d, ne), (f, sw), (g, se)] = corners.map(|(entry, value)| (&entry[..n], &value[..n]));
    for k in 0..n {
        let corners = (c[k] * nw[k] + d[k] * ne[k]) + (f[k] * sw[k] + g[k] * se[k]);
        own[k] = (b[k] + (to_w[k] * w[k] + to_e[k] * e[k]) + corners) + (down[k] - deficit[k] * down[k]);
    }
}

/// x of a row.
#[inline]
fn back<R: Real>(own: &mut [R], inverse: &[R], deficit: &[R], up: &[R]) {
    let n = own.len();
    let (inverse, deficit, up) = (&inverse[..n], &deficit[..n], &up[..n]);
    for k in 0..n {
        own[k] = up[k] + (inverse[k] * own[k] - deficit[k] * up[k]);
    }
}

/// The way up: rhs and z.
fn eliminate<'a, R: Real>(
    level: View<'a, R>,
    block: &mut Block<'_, R>,
    others: Others<'a, R>,
    b: &'a [R],
    parity: Parity,
    from_zero: bool,
) {
    for j in 0..level.layout.rows {
        let columns = block.columns(j);
        if columns.is_empty() {
            continue;
        }
        let (start, n) = (level.layout.start(parity, j) + columns.start, columns.len());
        let places = Places::of(level, b.len(), others, (parity, j), (start, n));
        let (own, down) = block.row_and_below(j, &columns);
        // SAFETY: these places and those below.
        let (deficit, b) =
            unsafe { (places.at(level.deficit, start.wrapping_add(places.fall)), places.at(b, start)) };
        if from_zero {
            up_alone(own, b, deficit, down);
            continue;
        }
        let beside = Beside::of(level, places);
        match beside.corners {
            None => up_five(own, b, deficit, down, beside.level),
            Some(corners) => up_nine(own, b, deficit, down, beside.level, corners),
        }
    }
}

/// The way back: x.
fn substitute<R: Real>(level: View<'_, R>, block: &mut Block<'_, R>, parity: Parity) {
    for j in (0..level.layout.rows).rev() {
        let columns = block.columns(j);
        if columns.is_empty() {
            continue;
        }
        let start = level.layout.start(parity, j) + columns.start;
        let places = start..start + columns.len();
        // Above the last row there is a row of zeros.
        let (own, up) = block.row_and_above(j, &columns);
        back(own, &level.inverse[places.clone()], &level.deficit[places], up);
    }
}

/// The columns beside those of one parity in row j, times the entries that couple them: what they contribute
/// to the right-hand side. Written to `target` from the column's number on.
#[inline]
pub fn contribution<R: Real>(
    level: View<'_, R>,
    x: &[R],
    parity: Parity,
    j: usize,
    (from, to): (usize, usize),
    target: &mut [R],
) {
    let start = from + level.layout.start(parity, j);
    let places = Places::of(level, x.len(), Others { values: x, from: 0 }, (parity, j), (start, to - from));
    Beside::of(level, places).set(&mut target[..places.n]);
}

/// b − A·x in a line of the layout, in place of b.
///
/// It is summed from differences of x, as heat flows: b − slack·x + Σ a·(x_neighbour − x). For a smooth x
/// both the diagonal's part and the neighbours' are far larger than the result, and their rounding would
/// drown it.
pub fn subtract_product<R: Real>(level: View<'_, R>, x: &[R], line: usize, b: &mut [R]) {
    let layout = level.layout;
    let (within, own) = (layout.within(line), layout.places(line));
    let Some((parity, j)) = layout.row(line).filter(|_| !own.is_empty()) else { return };
    let places =
        Places::of(level, x.len(), Others { values: x, from: 0 }, (parity, j), (own.start, own.len()));
    let beside = Beside::of(level, places);
    let part = |place: usize| place..place + own.len();
    let (above, below) = (own.start.wrapping_add(places.rise), own.start.wrapping_add(places.fall));
    let [west, east] = beside.level;
    let north = (&level.north[own.clone()], &x[part(above)]);
    let south = (&level.north[part(below)], &x[part(below)]);
    let (target, slack) = (&mut b[within], &level.slack[own.clone()]);
    let own = &x[own];
    subtract_flows(target, own, slack, [west, east, north, south]);
    if let Some(corners) = beside.corners {
        subtract_flows(target, own, &[], corners);
    }
}

#[inline]
fn subtract_flows<R: Real>(target: &mut [R], own: &[R], slack: &[R], neighbours: [Pair<'_, R>; 4]) {
    let n = target.len();
    let own = &own[..n];
    let [(a, w), (b, x), (c, y), (d, z)] = neighbours.map(|(entry, value)| (&entry[..n], &value[..n]));
    for k in 0..n {
        let own = own[k];
        target[k] +=
            (a[k] * (w[k] - own) + b[k] * (x[k] - own)) + (c[k] * (y[k] - own) + d[k] * (z[k] - own));
    }
    for (target, (slack, own)) in target.iter_mut().zip(slack.iter().zip(own)) {
        *target = *target - *slack * *own;
    }
}
