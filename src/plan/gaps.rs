//! Where air that is connected is cut into parts that can be told apart: at throats, and at the bends of long
//! gaps.
//!
//! Everything is told from the *maximal rectangles* of a region, those that fit into it and cannot be made
//! larger. They do not depend on how the region was painted, nor on mirroring or turning it.
//!
//! ```text
//!  throats   a square larger than 2 mm can be moved       bends   ┌──────────┐    long rectangles: at least `long` times as
//!            about in each chamber and not through                │ j │  arm │    long as thick. What lies in an upright and
//!            the throat t                                         ├───┼──────┘    in a level one (j), or in one that is not
//!            ┌──────┐   ┌──────┐                                  │   │           long, is a piece where arms meet. What
//!            │   1  ├───┤  2   │                                  │arm│           sticks out of it is an arm of its own if it
//!            │      ├─t─┤      │                                  │   │           is still long; if not, it belongs to the
//!            └──────┘   └──────┘                                  └───┘           piece that it sticks out of.
//! ```
//!
//! So a rectangle that is merely notched stays whole: what sticks out beside the notch is short. A gap that
//! goes on at another thickness, or aside, is cut there too, if it is long on both sides; in frames only at
//! less than half or more than twice its thickness.

use std::collections::BTreeMap;

use crate::geometry::{Axis, Rectangle, Span};
use crate::material::cavity::{CLOSED_SLIT, Method};
use crate::model::PieceKind;

/// Lengths closer than this (m) are equal, written with different rounding.
const SAME: f64 = 1e-9;
/// In a frame a gap whose thickness changes by more than this factor is another gap from there. ISO 10077-2
/// asks for one rectangle of equal area otherwise; ISO 6946, for building parts, does not.
const OTHER_THICKNESS: f64 = 2.0;
/// A region whose raster takes more steps than this to look through has more corners than a cavity that
/// somebody drew.
const MOST_STEPS: usize = 200_000_000;
/// The same for its maximal rectangles, which are compared in pairs.
const MOST_RECTANGLES: usize = 2_000;
/// The same for what it would be cut into.
const MOST_PIECES: usize = 200;

/// One piece of a region.
pub struct Piece {
    /// What it is.
    pub kind: PieceKind,
    /// Its area, as rectangles that do not overlap.
    pub rectangles: Vec<Rectangle>,
}

/// The pieces of a connected region, given as the cells (i, j) of a raster; `None` if it has too many corners
/// to be looked through.
pub fn cut(xs: &[f64], ys: &[f64], cells: &[(usize, usize)], method: Method) -> Option<Vec<Piece>> {
    let region = Region::of(xs, ys, cells);
    let long = method.long();
    let pieces = region.at_throats(long)?;
    let several = pieces.len() > 1;
    let mut found = Vec::new();
    for (kind, cells) in pieces {
        let parts = region.at_bends(&cells, method)?;
        if found.len() + parts.len() > MOST_PIECES {
            return None;
        }
        match (parts.len(), kind) {
            (1, _) if !several => found.push((PieceKind::Whole, cells)),
            (1, kind) => found.push((kind, cells)),
            (_, PieceKind::Throat) => {
                found.extend(parts.into_iter().map(|(_, cells)| (PieceKind::Throat, cells)));
            }
            _ => found.extend(parts),
        }
    }
    Some(
        found
            .into_iter()
            .map(|(kind, cells)| Piece { kind, rectangles: region.rectangles(&cells) })
            .collect(),
    )
}

/// The area of cells of a raster as rectangles that do not overlap.
pub fn rectangles(xs: &[f64], ys: &[f64], cells: &[(usize, usize)]) -> Vec<Rectangle> {
    let region = Region::of(xs, ys, cells);
    region.rectangles(&region.all())
}

/// For each cell whether it belongs to something, row by row.
type Mask = Vec<bool>;
/// Numbers of cells.
type Cells = Vec<usize>;

/// A region on a raster of its own, which has only the lines at which it changes.
struct Region {
    xs: Vec<f64>,
    ys: Vec<f64>,
    inside: Mask,
}

/// Columns `left..right` and rows `bottom..top`.
#[derive(Clone, Copy)]
struct Block {
    left: usize,
    right: usize,
    bottom: usize,
    top: usize,
}

impl Block {
    fn overlap(self, other: Self) -> Option<Self> {
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
    fn of(xs: &[f64], ys: &[f64], cells: &[(usize, usize)]) -> Self {
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

    fn columns(&self) -> usize {
        self.xs.len() - 1
    }

    fn rows(&self) -> usize {
        self.ys.len() - 1
    }

    fn all(&self) -> Cells {
        (0..self.inside.len()).filter(|cell| self.inside[*cell]).collect()
    }

    fn mask(&self, cells: &[usize]) -> Mask {
        let mut mask = vec![false; self.inside.len()];
        for cell in cells {
            mask[*cell] = true;
        }
        mask
    }

    /// Width and height, m.
    fn sides(&self, block: Block) -> [f64; 2] {
        [self.xs[block.right] - self.xs[block.left], self.ys[block.top] - self.ys[block.bottom]]
    }

    fn is_passable(&self, block: Block) -> bool {
        self.sides(block).iter().all(|side| *side > CLOSED_SLIT + SAME)
    }

    /// The maximal rectangles of some cells; `None` if there are too many.
    fn maximal(&self, cells: &Mask) -> Option<Vec<Block>> {
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

    /// Chambers and throats.
    fn at_throats(&self, long: f64) -> Option<Vec<(PieceKind, Cells)>> {
        let wide: Vec<Block> =
            self.maximal(&self.inside)?.into_iter().filter(|block| self.is_passable(*block)).collect();
        // Which chamber each is in: a square of more than 2 mm passes from one to another where their overlap
        // holds it.
        let mut chamber: Vec<usize> = (0..wide.len()).collect();
        for number in 0..wide.len() {
            for other in 0..number {
                let (own, others) = (chamber[number], chamber[other]);
                let overlap = wide[number].overlap(wide[other]);
                if own != others && overlap.is_some_and(|overlap| self.is_passable(overlap)) {
                    chamber.iter_mut().filter(|of| **of == own).for_each(|of| *of = others);
                }
            }
        }
        // The chamber of each cell. What is in none, or in two that touch at a corner, is narrow.
        let mut chamber_of: Vec<Option<usize>> = vec![None; self.inside.len()];
        let mut narrow = self.inside.clone();
        let mut is_shared = vec![false; self.inside.len()];
        for (block, number) in wide.iter().zip(&chamber) {
            for cell in self.cells_of(*block) {
                is_shared[cell] |= chamber_of[cell].is_some_and(|other| other != *number);
                chamber_of[cell] = Some(*number);
                narrow[cell] = false;
            }
        }
        for cell in (0..is_shared.len()).filter(|cell| is_shared[*cell]) {
            (chamber_of[cell], narrow[cell]) = (None, true);
        }
        let mut pieces = Vec::new();
        for piece in self.connected(|cell| narrow[cell].then_some(0)) {
            let mut touched: Vec<usize> = piece
                .iter()
                .flat_map(|cell| self.beside(*cell))
                .filter_map(|cell| chamber_of[cell])
                .collect();
            touched.sort_unstable();
            touched.dedup();
            let length = self.extent(&piece, Axis::X).max(self.extent(&piece, Axis::Y));
            let is_notch = touched.len() == 1 && length < long * self.area(&piece) / length - SAME;
            if is_notch {
                for cell in &piece {
                    chamber_of[*cell] = Some(touched[0]);
                }
            } else {
                pieces.push((if wide.is_empty() { PieceKind::Chamber } else { PieceKind::Throat }, piece));
            }
        }
        let chambers = self.connected(|cell| chamber_of[cell]);
        pieces.extend(chambers.into_iter().map(|chamber| (PieceKind::Chamber, chamber)));
        Some(pieces)
    }

    /// The arms of a gap and the pieces where they meet; all of it as one piece where there are none.
    fn at_bends(&self, cells: &Cells, method: Method) -> Option<Vec<(PieceKind, Cells)>> {
        let (cells, long) = (self.mask(cells), method.long());
        let [mut upright, mut level, mut compact] = [(); 3].map(|()| vec![false; self.inside.len()]);
        for block in self.maximal(&cells)? {
            let [width, height] = self.sides(block);
            let kind = if height > long * width - SAME {
                &mut upright
            } else if width > long * height - SAME {
                &mut level
            } else {
                &mut compact
            };
            self.cells_of(block).for_each(|cell| kind[cell] = true);
        }
        let mut core: Mask =
            (0..cells.len()).map(|cell| compact[cell] || (upright[cell] && level[cell])).collect();
        let outside: Mask = (0..cells.len()).map(|cell| cells[cell] && !core[cell]).collect();
        let mut pieces = Vec::new();
        for arm in self.connected(|cell| outside[cell].then_some(0)) {
            let axis = if arm.iter().any(|cell| upright[*cell]) { Axis::Y } else { Axis::X };
            if self.is_long(&arm, axis, long) {
                pieces.extend(self.at_steps(&arm, axis, method).into_iter().map(|arm| (PieceKind::Arm, arm)));
            } else {
                for cell in &arm {
                    core[*cell] = true;
                }
            }
        }
        for meeting in self.connected(|cell| core[cell].then_some(0)) {
            let is_compact = meeting.iter().any(|cell| compact[*cell]);
            pieces.push((if is_compact { PieceKind::Chamber } else { PieceKind::Junction }, meeting));
        }
        Some(pieces)
    }

    /// A straight gap cut where it changes and is long on both sides.
    fn at_steps(&self, gap: &Cells, axis: Axis, method: Method) -> Vec<Cells> {
        let lane_of =
            |cell: usize| if axis == Axis::X { cell % self.columns() } else { cell / self.columns() };
        let mut lanes: BTreeMap<usize, Cells> = BTreeMap::new();
        for cell in gap {
            lanes.entry(lane_of(*cell)).or_default().push(*cell);
        }
        let index_of: BTreeMap<usize, usize> =
            lanes.keys().enumerate().map(|(index, lane)| (*lane, index)).collect();
        let lanes: Vec<Cells> = lanes.into_values().collect();
        let thickness = |lane: &Cells| self.area(lane) / self.extent(lane, axis);
        let across = |lane: &Cells| -> Vec<usize> {
            lane.iter()
                .map(|cell| if axis == Axis::X { cell / self.columns() } else { cell % self.columns() })
                .collect()
        };
        let is_step = |lane: &usize| {
            let (before, after) = (&lanes[lane - 1], &lanes[*lane]);
            match method {
                Method::Building => across(before) != across(after),
                Method::Frame => {
                    let (before, after) = (thickness(before), thickness(after));
                    before.max(after) > OTHER_THICKNESS * before.min(after) + SAME
                }
            }
        };
        let ends: Vec<usize> =
            [0].into_iter().chain((1..lanes.len()).filter(is_step)).chain([lanes.len()]).collect();
        let is_long = |from: usize, to: usize| self.is_long(&lanes[from..to].concat(), axis, method.long());
        let stretches: Vec<bool> = ends.windows(2).map(|ends| is_long(ends[0], ends[1])).collect();
        let inner =
            (1..ends.len() - 1).filter(|end| stretches[end - 1] && stretches[*end]).map(|end| ends[end]);
        let kept: Vec<usize> = [0].into_iter().chain(inner).chain([lanes.len()]).collect();
        let stretch_of = |cell: usize| kept.partition_point(|end| *end <= index_of[&lane_of(cell)]);
        let is_own = self.mask(gap);
        self.connected(|cell| is_own[cell].then(|| stretch_of(cell)))
    }

    /// True if cells reach `long` times as far along an axis as they are thick.
    fn is_long(&self, cells: &Cells, axis: Axis, long: f64) -> bool {
        let length = self.extent(cells, axis);
        length > long * self.area(cells) / length - SAME
    }

    fn cells_of(&self, block: Block) -> impl Iterator<Item = usize> {
        let columns = self.columns();
        (block.bottom..block.top).flat_map(move |j| (block.left..block.right).map(move |i| j * columns + i))
    }

    /// Cells that share an edge with a cell.
    fn beside(&self, cell: usize) -> impl Iterator<Item = usize> {
        let (columns, rows) = (self.columns(), self.rows());
        let (i, j) = (cell % columns, cell / columns);
        let west = (i > 0).then(|| cell - 1);
        let east = (i + 1 < columns).then(|| cell + 1);
        let south = (j > 0).then(|| cell - columns);
        let north = (j + 1 < rows).then(|| cell + columns);
        [west, east, south, north].into_iter().flatten()
    }

    /// The connected pieces of cells that have the same label; cells without one belong to none.
    fn connected(&self, label: impl Fn(usize) -> Option<usize>) -> Vec<Cells> {
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
    fn area(&self, cells: &Cells) -> f64 {
        let columns = self.columns();
        let area = |cell: &usize| {
            let (i, j) = (cell % columns, cell / columns);
            (self.xs[i + 1] - self.xs[i]) * (self.ys[j + 1] - self.ys[j])
        };
        cells.iter().map(area).sum()
    }

    /// How far cells reach along an axis, m.
    fn extent(&self, cells: &Cells, axis: Axis) -> f64 {
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

    fn rectangles(&self, cells: &Cells) -> Vec<Rectangle> {
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
fn runs(cells: &[bool]) -> Vec<(usize, usize)> {
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
