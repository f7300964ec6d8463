//! Points that lie closer than [`SNAP`] become one.
//!
//! The first point seen of a place stands for all that follow, with its own coordinates, so that what the
//! drawing states is kept to the last bit.

use std::collections::HashMap;

/// Points within this distance are one, m: far above rounding, far below what is drawn.
pub const SNAP: f64 = 1e-8;
const NONE: u32 = u32::MAX;
/// A circle of radius [`SNAP`] touches at most four squares of this size.
const SQUARE: f64 = 2.0 * SNAP;

/// Numbered points.
#[derive(Default)]
pub struct Places {
    /// m.
    pub points: Vec<[f64; 2]>,
    /// By square of the plane, the last point in it; only looked up, never gone through in its order.
    last: HashMap<[i64; 2], u32>,
    /// For each point, the one before it in its square.
    before: Vec<u32>,
}

impl Places {
    /// The number of a point: that of the nearest within `radius`, at most [`SNAP`]; a new one if there is none.
    pub fn number(&mut self, point: [f64; 2], radius: f64) -> u32 {
        let square = |x: f64| (x / SQUARE).floor() as i64;
        let [left, right] = [point[0] - radius, point[0] + radius].map(square);
        let [below, above] = [point[1] - radius, point[1] + radius].map(square);
        let mut nearest = (radius * radius, NONE);
        for i in left..=right {
            for j in below..=above {
                let mut at = self.last.get(&[i, j]).copied().unwrap_or(NONE);
                while at != NONE {
                    let other = self.points[at as usize];
                    let [x, y] = [other[0] - point[0], other[1] - point[1]];
                    let found = (x * x + y * y, at);
                    if found < nearest {
                        nearest = found;
                    }
                    at = self.before[at as usize];
                }
            }
        }
        if nearest.1 != NONE {
            return nearest.1;
        }
        let new = self.points.len() as u32;
        self.points.push(point);
        self.before.push(self.last.insert(point.map(square), new).unwrap_or(NONE));
        new
    }
}

/// Numbers anew the points that are used, in their order, and returns them.
pub fn renumber<'a>(points: &[[f64; 2]], numbers: impl Iterator<Item = &'a mut u32>) -> Vec<[f64; 2]> {
    let numbers: Vec<&mut u32> = numbers.collect();
    let mut new = vec![NONE; points.len()];
    for number in &numbers {
        new[**number as usize] = 0;
    }
    let mut kept = Vec::new();
    for (point, new) in points.iter().zip(&mut new).filter(|(_, new)| **new == 0) {
        *new = kept.len() as u32;
        kept.push(*point);
    }
    for number in numbers {
        *number = new[*number as usize];
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn close_points_are_one_and_keep_the_first_coordinates() {
        let mut places = Places::default();
        // Across the borders of squares too.
        for (x, y) in [(0.0, 0.0), (1.0, -3.0), (1000.0, 999.0), (-7.5e-9, 2e-8)] {
            let first = places.number([x, y], SNAP);
            for (dx, dy) in [(6e-9, 6e-9), (-6e-9, 6e-9), (6e-9, -6e-9), (-6e-9, -6e-9), (0.0, 9e-9)] {
                assert_eq!(places.number([x + dx, y + dy], SNAP), first);
            }
            assert_eq!(places.points[first as usize], [x, y]);
        }
        let known = places.points.len() as u32;
        assert_eq!(places.number([1.2e-8, 0.0], SNAP), known);
    }
}
