//! Pairs of segments that may meet.
//!
//! The plane is halved until a cell has few segments left, across its longer side, else its shorter side. Where
//! neither parts the segments, as with long ones side by side, they are halved by how far they reach across the
//! direction that most of them have, the cell staying as it is. Where that does not part them either (many
//! through one point) the pairs of the cell are gone through, so memory stays in proportion to the segments. A
//! pair may be told more than once.

use super::places::SNAP;

/// A cell with so few segments is not halved.
const FEW: usize = 10;
/// A cell is halved where its halves have together at most this many times its segments.
const MOST_SHARED: f64 = 1.4;
const DEEPEST: u32 = 64;
/// Nor once halving has gone through so many times all segments.
const MOST_PASSES: usize = 200;

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
pub fn each_pair<E>(
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
    let mut budget = MOST_PASSES * segments.len();
    while let Some((cell, inside, depth)) = open.pop() {
        budget = budget.saturating_sub(inside.len());
        let halves = if budget > 0 { field.halves(cell, &inside, depth) } else { None };
        match halves {
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
        let worth = |halves: &[(Cell, Vec<u32>); 2]| {
            let together = halves[0].1.len() + halves[1].1.len();
            together as f64 <= MOST_SHARED * inside.len() as f64
        };
        let size = [cell.high[0] - cell.low[0], cell.high[1] - cell.low[1]];
        let longer = usize::from(size[1] > size[0]);
        [longer, 1 - longer]
            .into_iter()
            .map(|axis| self.halves_of_cell(cell, inside, axis))
            .chain(std::iter::once_with(|| self.halves_across(cell, inside)))
            .find(worth)
    }

    fn halves_of_cell(&self, cell: Cell, inside: &[u32], axis: usize) -> [(Cell, Vec<u32>); 2] {
        let middle = f64::midpoint(cell.low[axis], cell.high[axis]);
        let (mut lower, mut upper) = (cell, cell);
        lower.high[axis] = middle;
        upper.low[axis] = middle;
        [lower, upper].map(|half| {
            (half, inside.iter().copied().filter(|&segment| self.touches(segment, half)).collect())
        })
    }

    /// Those that reach to either side of a line along the direction that most segments have. That is the
    /// direction u for which the sum of squares Σ(u·d)² over the segments' vectors d is largest; it has twice
    /// the angle of (Σ(dx² − dy²), Σ2·dx·dy).
    fn halves_across(&self, cell: Cell, inside: &[u32]) -> [(Cell, Vec<u32>); 2] {
        let (mut level, mut mixed) = (0.0, 0.0);
        for &segment in inside {
            let [a, b] = self.ends(segment);
            let [x, y] = [b[0] - a[0], b[1] - a[1]];
            level += x * x - y * y;
            mixed += 2.0 * x * y;
        }
        let length = (level * level + mixed * mixed).sqrt();
        // Half the angle, from the larger of its sine and cosine.
        let normal = if level >= 0.0 { [-mixed, length + level] } else { [level - length, mixed] };
        let size = (normal[0] * normal[0] + normal[1] * normal[1]).sqrt();
        let off = |point: [f64; 2]| {
            if size > 0.0 { (normal[0] * point[0] + normal[1] * point[1]) / size } else { 0.0 }
        };
        let reach = |segment: u32| {
            let [a, b] = self.ends(segment).map(off);
            [a.min(b), a.max(b)]
        };
        let mut middles: Vec<f64> =
            inside.iter().map(|&segment| reach(segment)).map(|[from, to]| f64::midpoint(from, to)).collect();
        let half = middles.len() / 2;
        let (_, &mut line, _) = middles.select_nth_unstable_by(half, f64::total_cmp);
        let there = |is_there: &dyn Fn([f64; 2]) -> bool| {
            (cell, inside.iter().copied().filter(|&segment| is_there(reach(segment))).collect())
        };
        [there(&|[from, _]| from <= line + 2.0 * SNAP), there(&|[_, to]| to >= line - 2.0 * SNAP)]
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers between 0 and 1 (linear congruential generator; D. E. Knuth, MMIX).
    fn random(state: &mut u64) -> f64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (*state >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn told(points: &[[f64; 2]]) -> (Vec<[u32; 2]>, Vec<(usize, usize)>, usize) {
        let segments: Vec<[u32; 2]> = (0..points.len() as u32 / 2).map(|s| [2 * s, 2 * s + 1]).collect();
        let mut pairs = Vec::new();
        each_pair(points, &segments, |one, other| {
            pairs.push((one.max(other), one.min(other)));
            Ok::<(), ()>(())
        })
        .unwrap();
        let calls = pairs.len();
        pairs.sort_unstable();
        pairs.dedup();
        (segments, pairs, calls)
    }

    #[test]
    fn tells_all_that_cross() {
        let mut state = 3;
        for size in [0.05, 0.2, 1.0] {
            let points: Vec<[f64; 2]> = (0..600)
                .flat_map(|_| {
                    let from = [random(&mut state), random(&mut state)];
                    [from, from.map(|x| x + size * (random(&mut state) - 0.5))]
                })
                .collect();
            let (segments, pairs, _) = told(&points);
            let side = |s: usize, point: u32| {
                let [a, b] = segments[s].map(|end| points[end as usize]);
                let p = points[point as usize];
                (b[0] - a[0]) * (p[1] - a[1]) > (b[1] - a[1]) * (p[0] - a[0])
            };
            let parts = |s: usize, t: usize| side(s, segments[t][0]) != side(s, segments[t][1]);
            let mut crossing = 0;
            for s in 0..segments.len() {
                for t in (0..s).filter(|&t| parts(s, t) && parts(t, s)) {
                    assert!(pairs.binary_search(&(s, t)).is_ok(), "{s} and {t} of {size} m");
                    crossing += 1;
                }
            }
            assert!(crossing > 3, "{crossing}");
        }
    }

    #[test]
    fn tells_few_pairs_of_many_segments() {
        // Short ones anywhere, and long ones side by side in two directions.
        let mut state = 5;
        let short = (0..4000).flat_map(|_| {
            let from = [random(&mut state), random(&mut state)];
            [from, from.map(|x| x + 0.01 * (random(&mut state) - 0.5))]
        });
        let level = (0..4000).flat_map(|row| [[0.0, f64::from(row)], [10.0, f64::from(row)]]);
        let sloping =
            (0..4000).flat_map(|row| [[0.0, 1e-3 * f64::from(row)], [10.0, 7.0 + 1e-3 * f64::from(row)]]);
        for points in [short.collect::<Vec<_>>(), level.collect(), sloping.collect()] {
            let (segments, _, calls) = told(&points);
            assert!(calls < 40 * segments.len(), "{calls} pairs of {} segments", segments.len());
        }
    }
}
