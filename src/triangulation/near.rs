//! Pairs of segments that may meet.
//!
//! The plane is halved until a cell has few segments left, along the side that parts them better. Where
//! neither parts them (many through one point, or long ones side by side) the pairs of the cell are gone
//! through as they are, so memory stays in proportion to the segments. A pair may be told more than once.

use super::places::SNAP;

/// A cell with so few segments is not halved.
const FEW: usize = 10;
/// A cell is halved where its halves have together at most this many times its segments.
const MOST_SHARED: f64 = 1.4;
const DEEPEST: u32 = 64;

/// The segments and where they lie.
struct Field<'a> {
    points: &'a [[f64; 2]],
    segments: &'a [[u32; 2]],
}

#[derive(Clone, Copy)]
struct Cell {
    low: [f64; 2],
    high: [f64; 2],
}

/// Calls `meet` for every pair of segments whose boxes come within [`SNAP`], until it fails.
pub(super) fn each_pair<E>(
    points: &[[f64; 2]],
    segments: &[[u32; 2]],
    mut meet: impl FnMut(usize, usize) -> Result<(), E>,
) -> Result<(), E> {
    let mut cell = Cell { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };
    for point in segments.iter().flatten().map(|&end| points[end as usize]) {
        for axis in 0..2 {
            cell.low[axis] = cell.low[axis].min(point[axis]);
            cell.high[axis] = cell.high[axis].max(point[axis]);
        }
    }
    let field = Field { points, segments };
    let mut open = vec![(cell, (0..segments.len() as u32).collect::<Vec<_>>(), 0)];
    while let Some((cell, inside, depth)) = open.pop() {
        match field.halves(cell, &inside, depth) {
            Some(halves) => open.extend(halves.map(|(cell, inside)| (cell, inside, depth + 1))),
            None => field.pairs(&inside, &mut meet)?,
        }
    }
    Ok(())
}

impl Field<'_> {
    fn ends(&self, segment: u32) -> [[f64; 2]; 2] {
        self.segments[segment as usize].map(|end| self.points[end as usize])
    }

    fn pairs<E>(
        &self,
        inside: &[u32],
        meet: &mut impl FnMut(usize, usize) -> Result<(), E>,
    ) -> Result<(), E> {
        for (place, &one) in inside.iter().enumerate() {
            let [a, b] = self.ends(one);
            let low = [a[0].min(b[0]) - 2.0 * SNAP, a[1].min(b[1]) - 2.0 * SNAP];
            let high = [a[0].max(b[0]) + 2.0 * SNAP, a[1].max(b[1]) + 2.0 * SNAP];
            for &other in &inside[..place] {
                let [c, d] = self.ends(other);
                let apart =
                    (0..2).any(|axis| c[axis].max(d[axis]) < low[axis] || c[axis].min(d[axis]) > high[axis]);
                if !apart {
                    meet(one as usize, other as usize)?;
                }
            }
        }
        Ok(())
    }

    fn halves(&self, cell: Cell, inside: &[u32], depth: u32) -> Option<[(Cell, Vec<u32>); 2]> {
        if inside.len() <= FEW || depth >= DEEPEST {
            return None;
        }
        let size = [cell.high[0] - cell.low[0], cell.high[1] - cell.low[1]];
        let longer = usize::from(size[1] > size[0]);
        [longer, 1 - longer].into_iter().find_map(|axis| {
            let middle = f64::midpoint(cell.low[axis], cell.high[axis]);
            let (mut lower, mut upper) = (cell, cell);
            lower.high[axis] = middle;
            upper.low[axis] = middle;
            let halves = [lower, upper].map(|half| {
                let there = inside.iter().copied().filter(|&segment| self.touches(segment, half));
                (half, there.collect::<Vec<_>>())
            });
            let together = halves[0].1.len() + halves[1].1.len();
            (together as f64 <= MOST_SHARED * inside.len() as f64).then_some(halves)
        })
    }

    /// True unless the segment certainly lies farther than [`SNAP`] from the cell.
    fn touches(&self, segment: u32, cell: Cell) -> bool {
        let [a, b] = self.ends(segment);
        for axis in 0..2 {
            let beyond = a[axis].min(b[axis]) > cell.high[axis] + 2.0 * SNAP
                || a[axis].max(b[axis]) < cell.low[axis] - 2.0 * SNAP;
            if beyond {
                return false;
            }
        }
        // The box lies on one side of the line if its middle is farther from it than its corners reach.
        let along = [b[0] - a[0], b[1] - a[1]];
        let middle = [0, 1].map(|axis| f64::midpoint(cell.low[axis], cell.high[axis]) - a[axis]);
        let half = [0, 1].map(|axis| 0.5 * (cell.high[axis] - cell.low[axis]) + 2.0 * SNAP);
        let off = (along[0] * middle[1] - along[1] * middle[0]).abs();
        let reach = along[0].abs() * half[1] + along[1].abs() * half[0];
        off <= reach * (1.0 + 1e-9)
    }
}
