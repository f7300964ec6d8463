//! Corners of polygons that should meet and were rounded: those within [`JOINED`] of each other, of an edge of
//! another polygon or of the extent are joined to these.
//!
//! Nobody writes the corners of a slope to the last digit. Without this, a corner a micrometre off the edge beside it
//! leaves a sliver of what was painted before, which is air as a rule.

use std::collections::HashMap;

use crate::polygons::Stroke;

/// Corners this near are one, m: half of what edges of a raster must keep apart.
pub const JOINED: f64 = 5e-6;
/// The number that the extent's corners are known by.
const EXTENT: usize = usize::MAX;
/// What is this near needs no help, m: it is one point for the arrangement.
const EXACT: f64 = 1e-9;

/// Joins the corners of strokes, to each other and to the corners and edges of the extent. A stroke, with its holes, is
/// not joined to itself.
pub fn join(strokes: &mut [Stroke], extent: &[[f64; 2]]) {
    let mut known = Known::default();
    for corner in extent {
        known.joined(*corner, EXTENT);
    }
    for (number, stroke) in strokes.iter_mut().enumerate() {
        for corner in rings(stroke).flatten() {
            *corner = known.joined(on_border(*corner, extent), number);
        }
    }
    let mut corners = known.corners;
    corners.retain(|(_, owner)| *owner != EXTENT);
    corners.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]));
    for (number, stroke) in strokes.iter_mut().enumerate() {
        for ring in rings(stroke) {
            let mut whole = Vec::with_capacity(ring.len());
            for (index, from) in ring.iter().enumerate() {
                let to = ring[(index + 1) % ring.len()];
                whole.push(*from);
                whole.extend(on_edge(&corners, number, *from, to));
            }
            *ring = whole;
        }
    }
}

/// The outline of a stroke, then its holes.
fn rings(stroke: &mut Stroke) -> impl Iterator<Item = &mut Vec<[f64; 2]>> {
    std::iter::once(&mut stroke.outline).chain(&mut stroke.holes)
}

/// A corner beside an edge of the extent, or in line with one, on it.
fn on_border(corner: [f64; 2], extent: &[[f64; 2]]) -> [f64; 2] {
    let mut found = corner;
    for (index, from) in extent.iter().enumerate() {
        let to = extent[(index + 1) % extent.len()];
        let way = [to[0] - from[0], to[1] - from[1]];
        let length = libm::hypot(way[0], way[1]);
        let [x, y] = [found[0] - from[0], found[1] - from[1]];
        let off = (x * way[1] - y * way[0]) / length;
        let is_sloped = way[0] != 0.0 && way[1] != 0.0;
        if length < EXACT || off.abs() >= JOINED || (is_sloped && off.abs() < EXACT) {
            continue;
        }
        for axis in [0, 1] {
            // Exact where an edge is level or upright.
            let foot = found[axis] - off * [way[1], -way[0]][axis] / length;
            found[axis] = if way[axis] == 0.0 { from[axis] } else { foot };
        }
    }
    found
}

/// The corners of other strokes that an edge is led through, in order.
fn on_edge(corners: &[([f64; 2], usize)], number: usize, from: [f64; 2], to: [f64; 2]) -> Vec<[f64; 2]> {
    let way = [to[0] - from[0], to[1] - from[1]];
    let length = libm::hypot(way[0], way[1]);
    let (low, high) = (from[0].min(to[0]) - JOINED, from[0].max(to[0]) + JOINED);
    let (bottom, top) = (from[1].min(to[1]) - JOINED, from[1].max(to[1]) + JOINED);
    let first = corners.partition_point(|corner| corner.0[0] < low);
    let near = corners[first..].iter().take_while(|corner| corner.0[0] <= high);
    let mut found: Vec<(f64, [f64; 2])> = near
        .filter(|(corner, owner)| *owner != number && (bottom..=top).contains(&corner[1]))
        .filter_map(|(corner, _)| {
            let [x, y] = [corner[0] - from[0], corner[1] - from[1]];
            let along = (x * way[0] + y * way[1]) / length;
            let off = ((x * way[1] - y * way[0]) / length).abs();
            let is_beside = off < JOINED && off > EXACT && along > JOINED && along < length - JOINED;
            is_beside.then_some((along, *corner))
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.dedup_by(|one, other| one.1 == other.1);
    found.into_iter().map(|(_, corner)| corner).collect()
}

/// The corners seen, each with the stroke that had it first.
#[derive(Default)]
struct Known {
    corners: Vec<([f64; 2], usize)>,
    /// By square of the plane; only looked up, never gone through in its order.
    in_square: HashMap<[i64; 2], Vec<usize>>,
}

impl Known {
    /// The corner of another stroke within reach, the nearest; else the corner itself, which is known from then.
    fn joined(&mut self, corner: [f64; 2], number: usize) -> [f64; 2] {
        let square = |value: f64| (value / (2.0 * JOINED)).floor() as i64;
        let [i, j] = corner.map(square);
        let mut nearest = (JOINED, None);
        for column in i - 1..=i + 1 {
            for row in j - 1..=j + 1 {
                for index in self.in_square.get(&[column, row]).into_iter().flatten() {
                    let (other, owner) = self.corners[*index];
                    let far = libm::hypot(other[0] - corner[0], other[1] - corner[1]);
                    if far < nearest.0 && (owner != number || far < EXACT) {
                        nearest = (far, Some(other));
                    }
                }
            }
        }
        if let Some(other) = nearest.1 {
            return other;
        }
        self.in_square.entry([i, j]).or_default().push(self.corners.len());
        self.corners.push((corner, number));
        corner
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Rectangle;
    use crate::polygons::Filling;

    fn joined(outlines: Vec<Vec<[f64; 2]>>, extent: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
        let stroke = |outline| Stroke { filling: Filling::Nothing, outline, holes: Vec::new() };
        let mut strokes: Vec<Stroke> = outlines.into_iter().map(stroke).collect();
        join(&mut strokes, extent);
        strokes.into_iter().map(|stroke| stroke.outline).collect()
    }

    fn outlines(step: f64) -> Vec<Vec<[f64; 2]>> {
        let rounded = |value: f64| (value / step).round() * step;
        // Two layers of a slope, the upper one with a joint in the lower one's edge.
        let lower = [[0.0, 0.0], [3.1, 2.17], [2.93, 2.41], [-0.17, 0.24]];
        let upper = [[-0.17, 0.24], [1.381_111_7, 1.325_778_19], [1.211_111_7, 1.565_778_19], [-0.34, 0.48]];
        [lower, upper].map(|outline| outline.map(|corner| corner.map(rounded)).to_vec()).to_vec()
    }

    #[test]
    fn rounded_corners_are_joined_to_edges_and_each_other() {
        let extent = Rectangle::new([-1.0, 4.0], [0.0, 3.0]).corners();
        for step in [1e-6, 2e-6, 4e-6] {
            let joined = joined(outlines(step), &extent);
            // The joint lies in the lower layer's edge now.
            assert_eq!(joined[0].len(), 5, "{step}: {joined:?}");
            assert!(joined[1].iter().filter(|corner| joined[0].contains(corner)).count() >= 2, "{joined:?}");
            for (own, before) in joined[1].iter().zip(&outlines(step)[1]) {
                assert!(libm::hypot(own[0] - before[0], own[1] - before[1]) < 1.01 * JOINED);
            }
        }
    }

    #[test]
    fn what_is_farther_apart_stays() {
        let extent = Rectangle::new([-1.0, 4.0], [0.0, 3.0]).corners();
        let square = |x: f64| vec![[x, 1.0], [x + 1.0, 1.0], [x + 1.0, 2.0], [x, 2.0]];
        let apart = vec![square(0.0), square(1.0 + 1.1e-5)];
        assert_eq!(joined(apart.clone(), &extent), apart);
        // Corners of one outline are not joined, however near they are.
        let thin = vec![vec![[0.0, 1.0], [1.0, 1.0], [1.0, 1.0 + 3e-6], [0.0, 1.0 + 3e-6]]];
        assert_eq!(joined(thin.clone(), &extent), thin);
    }

    /// What fills a hole and was rounded meets its edge; the hole and its own outline stay apart.
    #[test]
    fn holes_are_joined_to_what_fills_them() {
        let extent = Rectangle::new([-1.0, 4.0], [0.0, 3.0]);
        let hole = vec![[1.0, 1.0], [2.0, 1.3], [1.5, 2.0]];
        let filled: Vec<[f64; 2]> = hole.iter().map(|corner| corner.map(|value| value + 3e-6)).collect();
        let outline = vec![[0.0, 0.5], [3.0, 0.5], [3.0, 2.5], [2.0 - 4e-6, 1.3], [0.0, 2.5]];
        let filling = Filling::Nothing;
        let whole = Stroke { filling, outline: outline.clone(), holes: vec![hole.clone()] };
        let mut strokes = [whole, Stroke { filling, outline: filled, holes: Vec::new() }];
        join(&mut strokes, &extent.corners());
        assert_eq!((&strokes[0].outline, &strokes[0].holes[0]), (&outline, &hole));
        assert_eq!(strokes[1].outline, hole);
    }
}
