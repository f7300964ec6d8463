//! Which triangle a point lies in: buckets of equal size, each with the triangles that reach into it.

use crate::polygons::plane::orientation;

/// Triangles, ready to be looked up.
pub struct Triangles<'a> {
    points: &'a [[f64; 2]],
    corners: &'a [[u32; 3]],
    /// Lower left corner of the buckets and their size, m.
    low: [f64; 2],
    size: [f64; 2],
    /// How many there are along x and along y.
    count: [usize; 2],
    /// By bucket, where its triangles begin in `members`.
    starts: Vec<usize>,
    members: Vec<u32>,
}

/// A point counts as within a triangle if it lies no further outside than this part of the triangle's size.
const ROUNDING: f64 = 1e-7;

impl<'a> Triangles<'a> {
    /// Sorts triangles into buckets, about one for each.
    pub fn of(points: &'a [[f64; 2]], corners: &'a [[u32; 3]]) -> Self {
        let bound = |axis: usize, pick: fn(f64, f64) -> f64, start: f64| {
            points.iter().map(|point| point[axis]).fold(start, pick)
        };
        let low = [0, 1].map(|axis| bound(axis, f64::min, f64::INFINITY));
        let high = [0, 1].map(|axis| bound(axis, f64::max, f64::NEG_INFINITY));
        let side = ((high[0] - low[0]) * (high[1] - low[1]) / corners.len().max(1) as f64).sqrt();
        let count = [0, 1].map(|axis| (((high[axis] - low[axis]) / side) as usize).clamp(1, 2_000));
        let size = [0, 1].map(|axis| (high[axis] - low[axis]) / count[axis] as f64);
        let mut sorted = Self { points, corners, low, size, count, starts: Vec::new(), members: Vec::new() };
        // Counted first, then filled in.
        let mut starts = vec![0; count[0] * count[1] + 1];
        for triangle in 0..corners.len() {
            sorted.buckets(triangle).for_each(|bucket| starts[bucket + 1] += 1);
        }
        for bucket in 1..starts.len() {
            starts[bucket] += starts[bucket - 1];
        }
        let mut next = starts.clone();
        let mut members = vec![0; starts[starts.len() - 1]];
        for triangle in 0..corners.len() {
            for bucket in sorted.buckets(triangle) {
                members[next[bucket]] = triangle as u32;
                next[bucket] += 1;
            }
        }
        (sorted.starts, sorted.members) = (starts, members);
        sorted
    }

    /// The triangle that a point lies in, and how much each of its corners weighs there; none outside all.
    pub fn at(&self, x: f64, y: f64) -> Option<(usize, [f64; 3])> {
        let point = [x, y];
        let slack = [0, 1].map(|axis| ROUNDING * self.size[axis]);
        let is_outside = |axis: usize| {
            let high = self.low[axis] + self.size[axis] * self.count[axis] as f64;
            !(self.low[axis] - slack[axis]..=high + slack[axis]).contains(&point[axis])
        };
        if self.corners.is_empty() || is_outside(0) || is_outside(1) {
            return None;
        }
        let bucket = self.along(1, y) * self.count[0] + self.along(0, x);
        let members = &self.members[self.starts[bucket]..self.starts[bucket + 1]];
        members.iter().find_map(|triangle| {
            let triangle = *triangle as usize;
            let corners = self.corners[triangle].map(|corner| self.points[corner as usize]);
            let whole = orientation(corners[0], corners[1], corners[2]);
            let weights =
                [0, 1, 2].map(|k| orientation(corners[(k + 1) % 3], corners[(k + 2) % 3], point) / whole);
            weights.iter().all(|weight| *weight >= -ROUNDING).then_some((triangle, weights))
        })
    }

    fn along(&self, axis: usize, value: f64) -> usize {
        // A negative number becomes 0.
        (((value - self.low[axis]) / self.size[axis]) as usize).min(self.count[axis] - 1)
    }

    /// The buckets that the box round a triangle reaches into.
    fn buckets(&self, triangle: usize) -> impl Iterator<Item = usize> + use<> {
        let corners = self.corners[triangle].map(|corner| self.points[corner as usize]);
        let [columns, rows] = [0, 1].map(|axis| {
            let values = corners.map(|corner| corner[axis]);
            let low = values.into_iter().fold(f64::INFINITY, f64::min);
            let high = values.into_iter().fold(f64::NEG_INFINITY, f64::max);
            // What lies on a bound may be looked for on either side of it.
            let slack = ROUNDING * self.size[axis];
            self.along(axis, low - slack)..=self.along(axis, high + slack)
        });
        let across = self.count[0];
        rows.flat_map(move |row| columns.clone().map(move |column| row * across + column))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_of_a_square_is_found_with_its_weights_and_none_beyond() {
        let points = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.9, 0.95]];
        let corners = [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]];
        let triangles = Triangles::of(&points, &corners);
        for step in 0..=100 {
            for other in 0..=100 {
                let (x, y) = (f64::from(step) / 100.0, f64::from(other) / 100.0);
                let (triangle, weights) = triangles.at(x, y).unwrap_or((0, [f64::NAN; 3]));
                let middle = |axis: usize| {
                    (0..3).map(|k| weights[k] * points[corners[triangle][k] as usize][axis]).sum::<f64>()
                };
                assert!((middle(0) - x).abs() < 1e-12 && (middle(1) - y).abs() < 1e-12, "{x} {y}");
            }
        }
        assert!(triangles.at(1.001, 0.5).is_none() && triangles.at(0.5, -0.001).is_none());
    }
}
