//! The equations on one grid in double precision.
//!
//! Off-diagonal entries are stored as magnitudes (positive for −aᵢⱼ) in the half stencil to E, N, NE and NW:
//!
//! ```text
//!  nw  n  ne      row j+1
//!    \ | /                        (A·x)(i, j) = c·x(i, j) − e·x(i+1, j) − n·x(i, j+1) − … − the entries that point here
//!      c ── e     row j
//! ```

use rayon::prelude::*;

use super::layout::Layout;

/// A symmetric operator; five-point if it has no entries to diagonal neighbours.
#[derive(Clone, Debug)]
pub struct Operator {
    /// The arrangement of its arrays.
    pub layout: Layout,
    /// Diagonal; 0 where there is no unknown.
    pub center: Vec<f64>,
    /// To the east.
    pub east: Vec<f64>,
    /// To the north.
    pub north: Vec<f64>,
    /// To the north-east; empty on a five-point operator.
    pub north_east: Vec<f64>,
    /// To the north-west; empty on a five-point operator.
    pub north_west: Vec<f64>,
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
    /// An operator of zeros.
    pub fn zeros(columns: usize, rows: usize, nine_point: bool) -> Self {
        let layout = Layout::new(columns, rows);
        let size = layout.size();
        let diagonal = if nine_point { size } else { 0 };
        Self {
            center: vec![0.0; size],
            east: vec![0.0; size],
            north: vec![0.0; size],
            north_east: vec![0.0; diagonal],
            north_west: vec![0.0; diagonal],
            layout,
        }
    }

    /// True if there are entries to diagonal neighbours.
    pub fn is_nine_point(&self) -> bool {
        !self.north_east.is_empty()
    }

    /// Sets the rows' spans from the diagonal; to be called once all entries are in.
    pub fn set_spans(&mut self) {
        let Self { layout, center, .. } = self;
        let places = layout.clone();
        layout.set_spans(|i, j| center[places.at(i, j)] > 0.0);
    }

    /// The row of vertex (i, j).
    #[inline(always)]
    pub fn row(&self, i: usize, j: usize) -> Row {
        let layout = &self.layout;
        let here = layout.at(i, j);
        let (west, east) = (layout.west(i, here), layout.east(i, here));
        let below = layout.stride;
        let mut row = Row {
            center: self.center[here],
            west_east: [self.east[west], self.east[here]],
            south: [0.0, self.north[here - below], 0.0],
            north: [0.0, self.north[here], 0.0],
        };
        if self.is_nine_point() {
            row.south[0] = self.north_east[west - below];
            row.south[2] = self.north_west[east - below];
            row.north[0] = self.north_west[here];
            row.north[2] = self.north_east[here];
        }
        row
    }

    /// A·x for a five-point operator, and x·A·x. Sums are taken row by row, in a fixed order.
    pub fn apply(&self, x: &[f64], product: &mut [f64]) -> f64 {
        sum_rows(&self.layout, product, |j, target| {
            let span = self.layout.spans[j];
            let (even, odd, half) = (self.layout.even(j), self.layout.odd(j), self.layout.half);
            let from_even = apply_half(self, x, (even, odd - 1, odd), span.even, &mut target[1..]);
            from_even + apply_half(self, x, (odd, even, even + 1), span.odd, &mut target[half + 1..])
        })
    }
}

/// A·x on the columns `from..to` of one parity in a row, and its scalar product with x there. The starts are those of the columns
/// themselves and of their western and eastern neighbours.
fn apply_half(
    operator: &Operator,
    x: &[f64],
    (own, west, east): (usize, usize, usize),
    (from, to): (usize, usize),
    product: &mut [f64],
) -> f64 {
    if from >= to {
        return 0.0;
    }
    let s = operator.layout.stride;
    let part = |start: usize| start + from..start + to;
    let (center, north) = (&operator.center[part(own)], &operator.north[part(own)]);
    let (to_west, to_east, south) = (&operator.east[part(west)], &operator.east[part(own)], &operator.north[part(own - s)]);
    let (here, w, e) = (&x[part(own)], &x[part(west)], &x[part(east)]);
    let (n, s) = (&x[part(own + s)], &x[part(own - s)]);
    let product = &mut product[from..to];
    for k in 0..product.len() {
        product[k] = center[k] * here[k] - (to_west[k] * w[k] + to_east[k] * e[k] + south[k] * s[k] + north[k] * n[k]);
    }
    self::product(product, here)
}

/// The scalar product, summed in four interleaved parts: always in the same order, but without waiting for each addition.
pub fn product<A: Copy + Into<f64>, B: Copy + Into<f64>>(a: &[A], b: &[B]) -> f64 {
    let mut parts = [0.0; 4];
    let (a_chunks, b_chunks) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a_chunks.remainder().iter().zip(b_chunks.remainder()).map(|(a, b)| (*a).into() * (*b).into()).sum();
    for (a, b) in a_chunks.zip(b_chunks) {
        for part in 0..4 {
            parts[part] += a[part].into() * b[part].into();
        }
    }
    (parts[0] + parts[1]) + (parts[2] + parts[3]) + rest
}

/// Calls `work` with the number and the content of each row of `values`, and adds up what it returns in the order of rows.
pub fn sum_rows(layout: &Layout, values: &mut [f64], work: impl Fn(usize, &mut [f64]) -> f64 + Sync) -> f64 {
    let s = layout.stride;
    let rows = layout.rows_of(values);
    if layout.is_shared() {
        let sums: Vec<f64> = rows.par_chunks_mut(s).with_min_len(8).enumerate().map(|(j, row)| work(j, row)).collect();
        sums.iter().sum()
    } else {
        rows.chunks_mut(s).enumerate().map(|(j, row)| work(j, row)).sum()
    }
}
