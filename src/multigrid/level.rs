//! The operator on one grid, with the factors of its lines.

/// A symmetric operator on a rectangular grid, stored as described in the [module](super).
#[derive(Clone, Debug)]
pub struct Level {
    /// Vertices along x.
    pub columns: usize,
    /// Vertices along y.
    pub rows: usize,
    /// Length of a stored row.
    pub stride: usize,
    /// Diagonal.
    pub center: Vec<f64>,
    /// Magnitude of the entry to the east.
    pub east: Vec<f64>,
    /// Magnitude of the entry to the north.
    pub north: Vec<f64>,
    /// Magnitudes of the entries to the north-east; empty on a five-point level.
    pub north_east: Vec<f64>,
    /// Magnitudes of the entries to the north-west; empty on a five-point level.
    pub north_west: Vec<f64>,
    /// 1/pivot of the Cholesky factors of all rows.
    pub row_factor: Vec<f64>,
    /// 1/pivot of the Cholesky factors of all columns.
    pub column_factor: Vec<f64>,
}

/// A pivot that is not positive: the operator is not positive definite.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotPositiveDefinite;

impl Level {
    /// An operator of zeros; five-point unless `nine_point`.
    pub fn zeros(columns: usize, rows: usize, nine_point: bool) -> Self {
        let stride = columns + 2;
        let size = stride * (rows + 2);
        let diagonal = if nine_point { size } else { 0 };
        Self {
            columns,
            rows,
            stride,
            center: vec![0.0; size],
            east: vec![0.0; size],
            north: vec![0.0; size],
            north_east: vec![0.0; diagonal],
            north_west: vec![0.0; diagonal],
            row_factor: Vec::new(),
            column_factor: Vec::new(),
        }
    }

    /// Length of an array on this level, border included.
    pub fn size(&self) -> usize {
        self.center.len()
    }

    /// Place of vertex (i, j) in the arrays.
    #[inline(always)]
    pub fn at(&self, i: usize, j: usize) -> usize {
        (j + 1) * self.stride + i + 1
    }

    /// True if the level has entries to diagonal neighbours.
    pub fn is_nine_point(&self) -> bool {
        !self.north_east.is_empty()
    }

    /// Number of vertices.
    pub fn vertices(&self) -> usize {
        self.columns * self.rows
    }

    /// Factors all rows and columns as tridiagonal matrices: d₁ = c₁, dₖ = cₖ − oₖ₋₁²/dₖ₋₁, o the entries along the line.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a pivot is not positive.
    pub fn factor_lines(&mut self) -> Result<(), NotPositiveDefinite> {
        self.row_factor = vec![0.0; self.size()];
        self.column_factor = vec![0.0; self.size()];
        for j in 0..self.rows {
            for i in 0..self.columns {
                let here = self.at(i, j);
                let (west, south) = (here - 1, here - self.stride);
                // The border's factors and entries are zero, so the first vertex of a line needs no case of its own.
                let row = self.center[here] - self.east[west] * self.east[west] * self.row_factor[west];
                let column = self.center[here] - self.north[south] * self.north[south] * self.column_factor[south];
                if !(row > 0.0 && column > 0.0 && row.is_finite() && column.is_finite()) {
                    return Err(NotPositiveDefinite);
                }
                self.row_factor[here] = 1.0 / row;
                self.column_factor[here] = 1.0 / column;
            }
        }
        Ok(())
    }

    /// The sum of the off-diagonal entries' products with `x` at `here`: what the neighbours contribute.
    #[inline(always)]
    pub fn neighbours(&self, x: &[f64], here: usize) -> f64 {
        let s = self.stride;
        let mut sum = self.east[here] * x[here + 1]
            + self.east[here - 1] * x[here - 1]
            + self.north[here] * x[here + s]
            + self.north[here - s] * x[here - s];
        if self.is_nine_point() {
            sum += self.north_east[here] * x[here + s + 1]
                + self.north_west[here] * x[here + s - 1]
                + self.north_east[here - s - 1] * x[here - s - 1]
                + self.north_west[here - s + 1] * x[here - s + 1];
        }
        sum
    }

    /// One row of A·x, written to `product`, which begins at the row's first vertex.
    pub fn apply_row(&self, x: &[f64], j: usize, product: &mut [f64]) {
        let start = self.at(0, j);
        for (offset, entry) in product[..self.columns].iter_mut().enumerate() {
            let here = start + offset;
            *entry = self.center[here] * x[here] - self.neighbours(x, here);
        }
    }
}
