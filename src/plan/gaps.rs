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

use super::region::{Block, Cells, Mask, Region, SAME};
use crate::geometry::{Axis, Rectangle};
use crate::material::cavity::Method;
use crate::model::PieceKind;

/// In a frame a gap whose thickness changes by more than this factor is another gap from there. ISO 10077-2
/// asks for one rectangle of equal area otherwise; ISO 6946, for building parts, does not.
const OTHER_THICKNESS: f64 = 2.0;
/// A region that would be cut into more pieces than this is no cavity that somebody drew.
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

impl Region {
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
}
