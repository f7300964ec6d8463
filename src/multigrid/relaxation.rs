//! Relaxation of columns: every second column is solved exactly, with the columns between held.
//!
//! With the factors of [`Level`] a column's system is solved in place, upwards and back:
//!
//! ```text
//! zⱼ = rhsⱼ + zⱼ₋₁ − (1 − ℓⱼ₋₁)·zⱼ₋₁          xⱼ = xⱼ₊₁ + (zⱼ/dⱼ − (1 − ℓⱼ)·xⱼ₊₁)
//! ```
//!
//! where rhs takes in what the columns beside contribute. Columns of one parity do not touch each other, so they are solved side
//! by side in the processor's vector units, row by row.

use super::layout::Parity;
use super::level::{Level, Real, View};
use super::sharing::each_block;
use super::sheet::Sheet;

/// Solves all columns of one parity. `from_zero` says that the other columns are zero, whatever the array holds there.
pub fn columns<R: Real>(level: &Level<R>, x: &mut [R], b: &[R], parity: Parity, from_zero: bool) {
    let sheet = Sheet::new(x);
    let level = level.view();
    let count = match parity {
        Parity::Even => level.layout.columns.div_ceil(2),
        Parity::Odd => level.layout.columns / 2,
    };
    each_block(count, level.layout.is_shared(), |from, to| {
        // SAFETY: columns of one parity are written, each by one thread; only those of the other parity are read besides.
        unsafe {
            eliminate(level, sheet, b, parity, (from, to), from_zero);
            substitute(level, sheet, parity, (from, to));
        }
    });
}

/// Some neighbouring places of one parity in a row, of which it has been made sure that they and all their neighbours lie within the arrays of
/// a level. On narrow grids, asking for every array anew takes longer than computing.
#[derive(Clone, Copy)]
struct Places {
    start: usize,
    n: usize,
    west: usize,
    east: usize,
    /// To the row above and to that below, to be added with wrapping.
    rise: usize,
    fall: usize,
}

impl Places {
    /// The places `start..start + n` of row j. Panics if the arrays of the level, or `x` of `size`, do not reach that far.
    #[inline(always)]
    fn of<R: Real>(level: View<'_, R>, size: usize, parity: Parity, j: usize, start: usize, n: usize) -> Self {
        let (west, east) = level.layout.beside(parity, start);
        let (rise, fall) = (level.layout.rise(j), level.layout.fall(j));
        let View { inverse, deficit, east: to_east, north_east, north_west, .. } = level;
        let mut shortest = size.min(inverse.len()).min(deficit.len()).min(to_east.len());
        if !north_east.is_empty() {
            shortest = shortest.min(north_east.len()).min(north_west.len());
        }
        // Distances are differences of places, so as signed numbers they are small.
        let [low, high] = [west.min(start), east.max(start)].map(|place| place as isize);
        let [rise_by, fall_by] = [rise, fall].map(|distance| distance as isize);
        let is_inside =
            low + rise_by.min(fall_by).min(0) >= 0 && high + rise_by.max(fall_by).max(0) + n as isize <= shortest as isize;
        assert!(is_inside, "a row reaches out of the arrays of its grid");
        Self { start, n, west, east, rise, fall }
    }

    /// The elements of one of those arrays from `place` on.
    ///
    /// # Safety
    /// `place` is that of these places or of their neighbours.
    #[inline(always)]
    unsafe fn at<R>(self, values: &[R], place: usize) -> &[R] {
        debug_assert!(place + self.n <= values.len());
        // SAFETY: as the caller promises.
        unsafe { values.get_unchecked(place..place + self.n) }
    }
}

/// Entries and the values they belong to.
type Pair<'a, R> = (&'a [R], &'a [R]);

/// What the columns beside contribute to the right-hand sides at some places: entries and values to W and E, and on a nine-point
/// level to NW, NE, SW and SE.
struct Beside<'a, R> {
    level: [Pair<'a, R>; 2],
    corners: Option<[Pair<'a, R>; 4]>,
}

impl<'a, R: Real> Beside<'a, R> {
    /// With `x` giving the values from a place on.
    #[inline(always)]
    fn of(level: View<'a, R>, places: Places, x: impl Fn(usize) -> &'a [R]) -> Self {
        let View { east: to_east, north_east, north_west, .. } = level;
        let Places { start, west, east, rise, fall, .. } = places;
        let (above, below) = (|place: usize| place.wrapping_add(rise), |place: usize| place.wrapping_add(fall));
        // SAFETY: neighbours of the places.
        let pair = |entries: &'a [R], from: usize, neighbour: usize| (unsafe { places.at(entries, from) }, x(neighbour));
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
        target[k] = (a[k] * w[k] + b[k] * e[k]) + ((c[k] * nw[k] + d[k] * ne[k]) + (f[k] * sw[k] + g[k] * se[k]));
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
fn up_five<R: Real>(own: &mut [R], b: &[R], deficit: &[R], down: &[R], [(to_w, w), (to_e, e)]: [Pair<'_, R>; 2]) {
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
///
/// # Safety
/// The columns of this parity in the block are the caller's to write; columns of the other parity must not be written meanwhile.
unsafe fn eliminate<R: Real>(
    level: View<'_, R>,
    x: Sheet<'_, R>,
    b: &[R],
    parity: Parity,
    block: (usize, usize),
    from_zero: bool,
) {
    let size = x.len().min(b.len());
    for j in 0..level.layout.rows {
        let columns = level.layout.columns_within(parity, j, block);
        if columns.is_empty() {
            continue;
        }
        let (start, n) = (level.layout.start(parity, j) + columns.start, columns.len());
        let places = Places::of(level, size, parity, j, start, n);
        let below = start.wrapping_add(places.fall);
        // SAFETY: checked places; the row below is read in our own columns only, the others belong to the other parity.
        unsafe {
            let (own, down) = (x.write(start, n), x.read(below, n));
            let (deficit, b) = (places.at(level.deficit, below), places.at(b, start));
            if from_zero {
                up_alone(own, b, deficit, down);
                continue;
            }
            let beside = Beside::of(level, places, |place| x.read(place, n));
            match beside.corners {
                None => up_five(own, b, deficit, down, beside.level),
                Some(corners) => up_nine(own, b, deficit, down, beside.level, corners),
            }
        }
    }
}

/// The way back: x.
///
/// # Safety
/// The columns of this parity in the block are the caller's.
unsafe fn substitute<R: Real>(level: View<'_, R>, x: Sheet<'_, R>, parity: Parity, block: (usize, usize)) {
    for j in (0..level.layout.rows).rev() {
        let columns = level.layout.columns_within(parity, j, block);
        if columns.is_empty() {
            continue;
        }
        let (start, n) = (level.layout.start(parity, j) + columns.start, columns.len());
        let places = Places::of(level, x.len(), parity, j, start, n);
        // SAFETY: checked places in our own columns; above the last row there is a row of zeros.
        unsafe {
            let (own, up) = (x.write(start, n), x.read(start.wrapping_add(places.rise), n));
            back(own, places.at(level.inverse, start), places.at(level.deficit, start), up);
        }
    }
}

/// The columns beside those of one parity in row j, times the entries that couple them: what they contribute to the right-hand side. Written to
/// `target` from the column's number on.
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
    let places = Places::of(level, x.len(), parity, j, start, to - from);
    // SAFETY: neighbours of checked places.
    let beside = Beside::of(level, places, |place| unsafe { places.at(x, place) });
    beside.set(&mut target[..places.n]);
}

/// b − A·x in a line of the layout, in place of b.
///
/// It is summed from differences of x, as heat flows: b − slack·x + Σ a·(x_neighbour − x). For a smooth x both the diagonal's part
/// and the neighbours' are far larger than the result, and their rounding would drown it.
pub fn subtract_product<R: Real>(level: View<'_, R>, x: &[R], line: usize, b: &mut [R]) {
    let layout = level.layout;
    let (within, own) = (layout.within(line), layout.places(line));
    let Some((parity, j)) = layout.row(line).filter(|_| !own.is_empty()) else { return };
    let places = Places::of(level, x.len(), parity, j, own.start, own.len());
    // SAFETY: neighbours of checked places.
    let beside = Beside::of(level, places, |place| unsafe { places.at(x, place) });
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
        target[k] += (a[k] * (w[k] - own) + b[k] * (x[k] - own)) + (c[k] * (y[k] - own) + d[k] * (z[k] - own));
    }
    for (target, (slack, own)) in target.iter_mut().zip(slack.iter().zip(own)) {
        *target = *target - *slack * *own;
    }
}
