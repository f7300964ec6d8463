//! A connected region on a raster of its own, and its maximal rectangles.

use crate::geometry::{Axis, Rectangle, Span};
use crate::material::cavity::CLOSED_SLIT;

/// Lengths closer than this (m) are equal, written with different rounding.
pub(super) const SAME: f64 = 1e-9;
/// A region whose raster takes more steps than this to look through has more corners than a cavity that
/// somebody drew.
const MOST_STEPS: usize = 200_000_000;
/// The same for its maximal rectangles, which are compared in pairs.
const MOST_RECTANGLES: usize = 2_000;

/// For each cell whether it belongs to something, row by row.
pub(super) type Mask = Vec<bool>;
/// Numbers of cells.
pub(super) type Cells = Vec<usize>;

/// A region on a raster of its own, which has only the lines at which it changes.
pub(super) struct Region {
    pub(super) xs: Vec<f64>,
    pub(super) ys: Vec<f64>,
    pub(super) inside: Mask,
}

/// Columns `left..right` and rows `bottom..top`.
#[derive(Clone, Copy)]
pub(super) struct Block {
    pub(super) left: usize,
    pub(super) right: usize,
    pub(super) bottom: usize,
    pub(super) top: usize,
}

impl Block {
    pub(super) fn overlap(self, other: Self) -> Option<Self> {
        let overlap = Self {
            left: self.left.max(other.left),
            right: self.right.min(other.right),
            bottom: self.bottom.max(other.bottom),
            top: self.top.min(other.top),
        };
        (overlap.left < overlap.right && overlap.bottom < overlap.top).then_some(overlap)
    }
}

impl Region {
    pub(super) fn of(xs: &[f64], ys: &[f64], cells: &[(usize, usize)]) -> Self {
        let bounds = |place: fn(&(usize, usize)) -> usize| {
            let low = cells.iter().map(place).min().unwrap_or(0);
            (low, cells.iter().map(place).max().map_or(low, |high| high + 1))
        };
        let ((left, right), (bottom, top)) = (bounds(|cell| cell.0), bounds(|cell| cell.1));
        let (columns, rows) = (right - left, top - bottom);
        let mut inside = vec![false; columns * rows];
        for (i, j) in cells {
            inside[(j - bottom) * columns + i - left] = true;
        }
        let same_columns =
            |i: usize| (0..rows).all(|j| inside[j * columns + i] == inside[j * columns + i - 1]);
        let same_rows =
            |j: usize| (0..columns).all(|i| inside[j * columns + i] == inside[(j - 1) * columns + i]);
        // The first of each run of equal columns and of equal rows.
        let kept_columns: Vec<usize> = (0..columns).filter(|i| *i == 0 || !same_columns(*i)).collect();
        let kept_rows: Vec<usize> = (0..rows).filter(|j| *j == 0 || !same_rows(*j)).collect();
        let lines = |lines: &[f64], kept: &[usize], first: usize, last: usize| -> Vec<f64> {
            kept.iter().map(|line| lines[first + line]).chain([lines[last]]).collect()
        };
        let kept = kept_rows
            .iter()
            .flat_map(|j| kept_columns.iter().map(|i| inside[*j * columns + *i]).collect::<Vec<_>>());
        let kept = kept.collect();
        Self {
            xs: lines(xs, &kept_columns, left, right),
            ys: lines(ys, &kept_rows, bottom, top),
            inside: kept,
        }
    }

    pub(super) fn columns(&self) -> usize {
        self.xs.len() - 1
    }

    pub(super) fn rows(&self) -> usize {
        self.ys.len() - 1
    }

    pub(super) fn all(&self) -> Cells {
        (0..self.inside.len()).filter(|cell| self.inside[*cell]).collect()
    }

    pub(super) fn mask(&self, cells: &[usize]) -> Mask {
        let mut mask = vec![false; self.inside.len()];
        for cell in cells {
            mask[*cell] = true;
        }
        mask
    }

    /// Width and height, m.
    pub(super) fn sides(&self, block: Block) -> [f64; 2] {
        [self.xs[block.right] - self.xs[block.left], self.ys[block.top] - self.ys[block.bottom]]
    }

    pub(super) fn is_passable(&self, block: Block) -> bool {
        self.sides(block).iter().all(|side| *side > CLOSED_SLIT + SAME)
    }

    /// The maximal rectangles of some cells; `None` if there are too many.
    pub(super) fn maximal(&self, cells: &Mask) -> Option<Vec<Block>> {
        let (columns, rows) = (self.columns(), self.rows());
        if columns.checked_mul(rows)?.checked_mul(rows.max(columns))? > MOST_STEPS {
            return None;
        }
        let row = |j: usize| &cells[j * columns..(j + 1) * columns];
        let is_filled = |j: Option<usize>, block: &Block| {
            j.filter(|j| *j < rows).is_some_and(|j| row(j)[block.left..block.right].iter().all(|cell| *cell))
        };
        let mut found = Vec::new();
        for bottom in 0..rows {
            let mut common = row(bottom).to_vec();
            for top in bottom + 1..=rows {
                common.iter_mut().zip(row(top - 1)).for_each(|(common, cell)| *common &= *cell);
                if !common.contains(&true) {
                    break;
                }
                for (left, right) in runs(&common) {
                    let block = Block { left, right, bottom, top };
                    if !is_filled(bottom.checked_sub(1), &block) && !is_filled(Some(top), &block) {
                        found.push(block);
                    }
                }
                if found.len() > MOST_RECTANGLES {
                    return None;
                }
            }
        }
        Some(found)
    }

    pub(super) fn cells_of(&self, block: Block) -> impl Iterator<Item = usize> {
        let columns = self.columns();
        (block.bottom..block.top).flat_map(move |j| (block.left..block.right).map(move |i| j * columns + i))
    }

    /// Cells that share an edge with a cell.
    pub(super) fn beside(&self, cell: usize) -> impl Iterator<Item = usize> {
        let (columns, rows) = (self.columns(), self.rows());
        let (i, j) = (cell % columns, cell / columns);
        let west = (i > 0).then(|| cell - 1);
        let east = (i + 1 < columns).then(|| cell + 1);
        let south = (j > 0).then(|| cell - columns);
        let north = (j + 1 < rows).then(|| cell + columns);
        [west, east, south, north].into_iter().flatten()
    }

    /// The connected pieces of cells that have the same label; cells without one belong to none.
    pub(super) fn connected(&self, label: impl Fn(usize) -> Option<usize>) -> Vec<Cells> {
        let mut is_free: Mask = (0..self.inside.len()).map(|cell| label(cell).is_some()).collect();
        let mut pieces = Vec::new();
        for start in 0..is_free.len() {
            if !std::mem::take(&mut is_free[start]) {
                continue;
            }
            let (mut piece, mut open) = (Vec::new(), vec![start]);
            while let Some(cell) = open.pop() {
                piece.push(cell);
                for other in self.beside(cell) {
                    if is_free[other] && label(other) == label(start) {
                        is_free[other] = false;
                        open.push(other);
                    }
                }
            }
            piece.sort_unstable();
            pieces.push(piece);
        }
        pieces
    }

    /// m².
    pub(super) fn area(&self, cells: &Cells) -> f64 {
        let columns = self.columns();
        let area = |cell: &usize| {
            let (i, j) = (cell % columns, cell / columns);
            (self.xs[i + 1] - self.xs[i]) * (self.ys[j + 1] - self.ys[j])
        };
        cells.iter().map(area).sum()
    }

    /// How far cells reach along an axis, m.
    pub(super) fn extent(&self, cells: &Cells, axis: Axis) -> f64 {
        let columns = self.columns();
        let reach = |lines: &[f64], lane: &dyn Fn(usize) -> usize| {
            let lanes = || cells.iter().map(|cell| lane(*cell));
            lines[lanes().max().map_or(0, |high| high + 1)] - lines[lanes().min().unwrap_or(0)]
        };
        match axis {
            Axis::X => reach(&self.xs, &|cell| cell % columns),
            Axis::Y => reach(&self.ys, &|cell| cell / columns),
        }
    }

    pub(super) fn rectangles(&self, cells: &Cells) -> Vec<Rectangle> {
        let (columns, mask) = (self.columns(), self.mask(cells));
        let row = |j: usize| {
            let y = Span { from: self.ys[j], to: self.ys[j + 1] };
            let spans = runs(&mask[j * columns..(j + 1) * columns]);
            spans.into_iter().map(move |(left, right)| Rectangle {
                x: Span { from: self.xs[left], to: self.xs[right] },
                y,
            })
        };
        let mut joined: Vec<Rectangle> = Vec::new();
        for rectangle in (0..self.rows()).flat_map(row) {
            match joined.iter_mut().find(|below| below.x == rectangle.x && below.y.to == rectangle.y.from) {
                Some(below) => below.y.to = rectangle.y.to,
                None => joined.push(rectangle),
            }
        }
        joined
    }
}

/// Where runs of true begin and end.
pub(super) fn runs(cells: &[bool]) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut start = None;
    for (index, cell) in cells.iter().copied().chain([false]).enumerate() {
        match (cell, start) {
            (true, None) => start = Some(index),
            (false, Some(from)) => {
                found.push((from, index));
                start = None;
            }
            _ => {}
        }
    }
    found
}
