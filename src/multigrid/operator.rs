//! The equations on one grid in double precision.
//!
//! Off-diagonal entries are stored as magnitudes (positive for −aᵢⱼ) in the half stencil to E, N, NE and NW:
//!
//! ```text
//!  nw  n  ne      row j+1
//!    \ | /                        (A·x)(i, j) = c·x(i, j) − e·x(i+1, j) − n·x(i, j+1) − … − the entries that point here
//!      c ── e     row j
//! ```

use super::array::Array;
use super::layout::Layout;
use super::sharing::each_line;
use super::span::Parity;

/// A symmetric operator; five-point if it has no entries to diagonal neighbours.
#[derive(Clone, Debug)]
pub struct Operator {
    /// The arrangement of its arrays.
    pub(super) layout: Layout,
    /// Diagonal; 0 where there is no unknown.
    pub(super) center: Array<f64>,
    /// To the east.
    pub(super) east: Array<f64>,
    /// To the north.
    pub(super) north: Array<f64>,
    /// To the north-east; empty on a five-point operator.
    pub(super) north_east: Array<f64>,
    /// To the north-west; empty on a five-point operator.
    pub(super) north_west: Array<f64>,
}

/// The entries of a five-point operator, one for each place of the layout; where the layout has no vertex
/// they stay 0.
pub struct Entries<'a> {
    /// The arrangement.
    pub layout: &'a Layout,
    /// Diagonal; 0 where there is no unknown.
    pub center: &'a mut [f64],
    /// Magnitudes of the entries to the east.
    pub east: &'a mut [f64],
    /// To the north.
    pub north: &'a mut [f64],
}

/// The entries of one row, as magnitudes.
#[derive(Clone, Copy, Debug, Default)]
pub struct Row {
    /// Diagonal.
    pub center: f64,
    /// Towards W and E.
    pub west_east: [f64; 2],
    /// Towards SW, S, SE.
    pub south: [f64; 3],
    /// Towards NW, N, NE.
    pub north: [f64; 3],
}

impl Row {
    /// Sum of the off-diagonal magnitudes.
    pub fn total(&self) -> f64 {
        self.west_east.iter().chain(&self.south).chain(&self.north).sum()
    }
}

impl Operator {
    /// A five-point operator of zeros, to be filled in.
    pub fn five_point(layout: Layout) -> Self {
        Self::of(layout, false)
    }

    /// An operator of zeros.
    pub(super) fn of(layout: Layout, nine_point: bool) -> Self {
        let size = layout.size();
        let diagonal = if nine_point { size } else { 0 };
        Self {
            center: Array::zeros(size, 0),
            east: Array::zeros(size, 1),
            north: Array::zeros(size, 2),
            north_east: Array::zeros(diagonal, 3),
            north_west: Array::zeros(diagonal, 4),
            layout,
        }
    }

    /// The arrangement of its entries and of the vectors that it takes.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// Its entries, to be filled in.
    pub fn entries(&mut self) -> Entries<'_> {
        let Self { layout, center, east, north, .. } = self;
        Entries { layout, center, east, north }
    }

    /// True if there are entries to diagonal neighbours.
    pub(super) fn is_nine_point(&self) -> bool {
        !self.north_east.is_empty()
    }

    /// Narrows the rows' spans to where the diagonal is not zero; to be called once all entries are in.
    pub fn set_spans(&mut self) {
        let Self { layout, center, .. } = self;
        let places = layout.clone();
        layout.set_spans(|i, j| center[places.at(i, j)] > 0.0);
    }

    /// The row of vertex (i, j).
    #[inline(always)]
    pub(super) fn row(&self, i: usize, j: usize) -> Row {
        let layout = &self.layout;
        if !layout.is_within(i, j) {
            return Row::default();
        }
        let here = layout.at(i, j);
        let (west, east) = layout.beside(Parity::of(i), here);
        let below = |place: usize| place.wrapping_add(layout.fall(j));
        let mut row = Row {
            center: self.center[here],
            west_east: [self.east[west], self.east[here]],
            south: [0.0, self.north[below(here)], 0.0],
            north: [0.0, self.north[here], 0.0],
        };
        if self.is_nine_point() {
            row.south[0] = self.north_east[below(west)];
            row.south[2] = self.north_west[below(east)];
            row.north[0] = self.north_west[here];
            row.north[2] = self.north_east[here];
        }
        row
    }

    /// A·x + keep·product for a five-point operator in a line of the layout, in place of `product`, which
    /// holds the line.
    #[inline]
    pub(super) fn apply_line<X: Copy + Into<f64>>(
        &self,
        x: &[X],
        keep: f64,
        line: usize,
        product: &mut [f64],
    ) {
        let Self { layout, center, east, north, .. } = self;
        let Some((parity, j)) = layout.row(line) else { return };
        let within = layout.within(line);
        let (own, n) = (layout.first_place(line) + within.start, within.len());
        if n == 0 {
            return;
        }
        let (to_west, to_east) = layout.beside(parity, own);
        let part = |place: usize| place..place + n;
        five_point(
            &mut product[within],
            keep,
            (&center[part(own)], &x[part(own)]),
            [
                (&east[part(to_west)], &x[part(to_west)]),
                (&east[part(own)], &x[part(to_east)]),
                (&north[part(own)], &x[part(own.wrapping_add(layout.rise(j)))]),
                (&north[part(own.wrapping_add(layout.fall(j)))], &x[part(own.wrapping_add(layout.fall(j)))]),
            ],
        );
    }

    /// A·x for a five-point operator.
    pub fn apply(&self, x: &[f64], product: &mut [f64]) {
        let layout = &self.layout;
        each_line(layout, product, |line, product| self.apply_line(x, 0.0, line, product));
    }
}

type Pair<'a, X> = (&'a [f64], &'a [X]);

/// target = keep·target + diagonal·x − Σ entries·neighbours.
#[inline]
fn five_point<X: Copy + Into<f64>>(
    target: &mut [f64],
    keep: f64,
    (c, x): Pair<'_, X>,
    neighbours: [Pair<'_, X>; 4],
) {
    let n = target.len();
    let (c, x) = (&c[..n], &x[..n]);
    let [(a, w), (b, e), (d, north), (f, south)] =
        neighbours.map(|(entries, values)| (&entries[..n], &values[..n]));
    for k in 0..n {
        let level = a[k] * w[k].into() + b[k] * e[k].into();
        let upright = d[k] * north[k].into() + f[k] * south[k].into();
        target[k] = keep * target[k] + (c[k] * x[k].into() - (level + upright));
    }
}

/// The scalar product, summed in four interleaved parts: always in the same order, but without waiting for
/// each addition.
pub fn product<A: Copy + Into<f64>, B: Copy + Into<f64>>(a: &[A], b: &[B]) -> f64 {
    let mut parts = [0.0; 4];
    let (a_chunks, b_chunks) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 =
        a_chunks.remainder().iter().zip(b_chunks.remainder()).map(|(a, b)| (*a).into() * (*b).into()).sum();
    for (a, b) in a_chunks.zip(b_chunks) {
        for part in 0..4 {
            parts[part] += a[part].into() * b[part].into();
        }
    }
    (parts[0] + parts[1]) + (parts[2] + parts[3]) + rest
}

#[cfg(test)]
pub(super) mod dense {
    //! Operators as dense matrices, to check the kernels by.

    use nalgebra::DMatrix;

    use super::{Layout, Operator};

    /// A five-point operator with voids, jumps of conductivity and surfaces.
    pub(crate) fn example(columns: usize, rows: usize) -> Operator {
        let mut operator = Operator::five_point(Layout::new(columns, rows));
        let is_solid = |i: usize, j: usize| {
            i < columns && j < rows && !(i % 7 == 3 && j % 5 == 2) && !(i > 2 * columns / 3 && j > rows / 2)
        };
        let number = |i: usize, j: usize| {
            10_f64.powi((i * 5 + j * 3) as i32 % 7 - 3) + 0.1 * ((i * i + 3 * j) % 4) as f64
        };
        for j in 0..rows {
            for i in (0..columns).filter(|i| is_solid(*i, j)) {
                let place = operator.layout.at(i, j);
                operator.east[place] = if is_solid(i + 1, j) { number(i, j) } else { 0.0 };
                operator.north[place] = if is_solid(i, j + 1) { number(j, i) } else { 0.0 };
            }
        }
        for j in 0..rows {
            for i in (0..columns).filter(|i| is_solid(*i, j)) {
                let place = operator.layout.at(i, j);
                operator.center[place] =
                    operator.row(i, j).total() + if j == 0 { 0.3 } else { 1e-3 * (i % 2) as f64 };
            }
        }
        operator.set_spans();
        operator
    }

    /// The matrix, row by row; vertices without unknown are rows of zeros.
    pub(crate) fn matrix(operator: &Operator) -> DMatrix<f64> {
        let (columns, rows) = (operator.layout.columns, operator.layout.rows);
        let mut matrix = DMatrix::zeros(columns * rows, columns * rows);
        for j in 0..rows {
            for i in 0..columns {
                let row = operator.row(i, j);
                let own = j * columns + i;
                matrix[(own, own)] = row.center;
                let around = [
                    (-1, 0, row.west_east[0]),
                    (1, 0, row.west_east[1]),
                    (-1, -1, row.south[0]),
                    (0, -1, row.south[1]),
                    (1, -1, row.south[2]),
                    (-1, 1, row.north[0]),
                    (0, 1, row.north[1]),
                    (1, 1, row.north[2]),
                ];
                for (dx, dy, magnitude) in around.into_iter().filter(|(_, _, magnitude)| *magnitude != 0.0) {
                    let (column, row) = ((i as isize + dx) as usize, (j as isize + dy) as usize);
                    assert!(column < columns && row < rows, "an entry leads out of the grid");
                    matrix[(own, row * columns + column)] = -magnitude;
                }
            }
        }
        matrix
    }
}
