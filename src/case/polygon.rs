//! Polygons: taken apart into rectangles where all their edges are level or upright.

use crate::geometry::{Rectangle, SAME_EDGE, Span};
use crate::model::Area;
use crate::polygons::{Arrangement, Drawing, Filling, Stroke, TriangulationError};

/// Why a polygon cannot be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PolygonFault {
    /// Two edges meet that do not follow each other, or an edge lies in a part that is covered twice.
    CrossesItself {
        /// Index of the corner that the edge leaves.
        corner: usize,
        /// The corner that the other edge leaves, if there is one.
        other: Option<usize>,
    },
    /// It encloses nothing.
    NoArea,
}

/// What a polygon covers. Corners in order, m, the last joined to the first. Coordinates may differ by what the
/// rounding of an expression leaves: `a + b` beside 0.3.
///
/// # Errors
/// [`PolygonFault`].
pub fn area(corners: &[(f64, f64)]) -> Result<Area, PolygonFault> {
    let outline: Vec<[f64; 2]> = corners.iter().map(|(x, y)| [*x, *y]).collect();
    let polygon = Area::Polygon(outline.clone());
    let Rectangle { x, y } = polygon.bounds();
    let around = Rectangle::new([x.from - 1.0, x.to + 1.0], [y.from - 1.0, y.to + 1.0]);
    let extent = around.corners().to_vec();
    let stroke = Stroke { filling: Filling::Solid(0), outline, holes: Vec::new() };
    match Arrangement::of(&Drawing { strokes: vec![stroke], extent, cuts: Vec::new() }) {
        Err(TriangulationError::CrossesItself { edges: [one, other], .. }) => {
            return Err(PolygonFault::CrossesItself { corner: one, other: Some(other) });
        }
        Err(TriangulationError::OverlapsItself { edge, .. }) => {
            return Err(PolygonFault::CrossesItself { corner: edge, other: None });
        }
        Err(TriangulationError::NoArea { .. } | TriangulationError::TooFewVertices { .. }) => {
            return Err(PolygonFault::NoArea);
        }
        // What lies too far away is told with the plan.
        Err(_) | Ok(_) => {}
    }
    match rectangles(corners) {
        Some(rectangles) if rectangles.is_empty() => Err(PolygonFault::NoArea),
        Some(rectangles) => Ok(Area::Rectangles(rectangles)),
        None => Ok(polygon),
    }
}

/// Coordinates with those that the raster takes for one edge made equal: the lowest stands for all.
fn merged(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let values: Vec<f64> = values.collect();
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup_by(|value, kept| *value - *kept < SAME_EDGE);
    values
        .into_iter()
        .map(|value| sorted[sorted.partition_point(|line| *line <= value).saturating_sub(1)])
        .collect()
}

/// The polygon's interior (even–odd rule) as rectangles that do not overlap; none if an edge slopes.
fn rectangles(corners: &[(f64, f64)]) -> Option<Vec<Rectangle>> {
    let (x, y) =
        (merged(corners.iter().map(|corner| corner.0)), merged(corners.iter().map(|corner| corner.1)));
    let corners: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
    let next = |index: usize| corners[(index + 1) % corners.len()];
    let mut uprights = Vec::new();
    for (corner, &(x, y)) in corners.iter().enumerate() {
        let (next_x, next_y) = next(corner);
        if x != next_x && y != next_y {
            return None;
        }
        if y != next_y {
            uprights.push((x, y.min(next_y), y.max(next_y)));
        }
    }
    let mut levels: Vec<f64> = corners.iter().map(|corner| corner.1).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let mut rectangles = Vec::new();
    for band in levels.windows(2) {
        let middle = f64::midpoint(band[0], band[1]);
        let mut crossings: Vec<f64> = uprights
            .iter()
            .filter(|(_, low, high)| *low < middle && middle < *high)
            .map(|upright| upright.0)
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2).filter(|pair| pair[0] < pair[1]) {
            rectangles.push(Rectangle {
                x: Span { from: pair[0], to: pair[1] },
                y: Span { from: band[0], to: band[1] },
            });
        }
    }
    Some(rectangles)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(corners: &[(f64, f64)]) -> f64 {
        rectangles(corners).unwrap().iter().map(|part| part.x.length() * part.y.length()).sum()
    }

    #[test]
    fn takes_apart_an_angle_and_a_frame() {
        assert_eq!(size(&[(0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 4.0), (0.0, 4.0)]), 6.0);
        let u_shape =
            [(0.0, 0.0), (5.0, 0.0), (5.0, 3.0), (4.0, 3.0), (4.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0)];
        assert_eq!(size(&u_shape), 9.0);
    }

    /// Steps whose coordinates are sums of random parts, added up in one order at one corner and in another
    /// at the next, enclose the area that whole numbers of hundredths of a millimetre give.
    #[test]
    fn sums_in_any_order_are_one_coordinate() {
        let mut dice = 11_u64;
        let mut roll = |sides: u64| {
            dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (dice >> 33) % sides
        };
        let mut differing = 0;
        for _ in 0..500 {
            // Risers and treads in hundredths of a millimetre.
            let steps: Vec<[u64; 2]> =
                (0..2 + roll(6)).map(|_| [1 + roll(40_000), 1 + roll(40_000)]).collect();
            let upwards = |axis: usize, until: usize| {
                steps[..until].iter().map(|step| step[axis] as f64 * 1e-5).sum::<f64>()
            };
            let downwards = |axis: usize, until: usize| {
                steps[..until].iter().rev().map(|step| step[axis] as f64 * 1e-5).sum::<f64>()
            };
            let mut corners = vec![(0.0, 0.0), (upwards(0, steps.len()), 0.0)];
            for step in (0..steps.len()).rev() {
                // Up at the outer end of the step, then back along it.
                corners.push((downwards(0, step + 1), upwards(1, steps.len()) - upwards(1, step)));
                corners.push((upwards(0, step), downwards(1, steps.len()) - downwards(1, step)));
                differing += usize::from(upwards(0, step + 1) != downwards(0, step + 1));
            }
            let exact: u64 = (0..steps.len())
                .map(|step| steps[step][0] * steps[step..].iter().map(|step| step[1]).sum::<u64>())
                .sum();
            assert!((size(&corners) * 1e10 - exact as f64).abs() < 1e-6 * exact as f64, "{corners:?}");
        }
        assert!(differing > 200, "only {differing} coordinates were rounded differently");
    }

    #[test]
    fn edges_that_really_slope_make_a_polygon() {
        let sloped = [(0.0, 0.0), (3.0, 0.0), (3.0 + 2e-9, 1.0), (0.0, 1.0)];
        assert!(matches!(area(&sloped), Ok(Area::Polygon(outline)) if outline.len() == 4));
        let level = [(0.0, 0.0), (0.1 + 0.2, 0.0), (0.3, 1.0), (0.0, 1.0)];
        assert!(matches!(area(&level), Ok(Area::Rectangles(parts)) if parts.len() == 1));
        assert!((size(&level) - 0.3).abs() < 1e-15);
    }

    #[test]
    fn names_the_faulty_edge() {
        let crossed = [(0.0, 0.0), (3.0, 1.0), (3.0, 0.0), (0.0, 1.0)];
        assert_eq!(area(&crossed), Err(PolygonFault::CrossesItself { corner: 0, other: Some(2) }));
        assert_eq!(area(&[(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)]), Err(PolygonFault::NoArea));
        assert_eq!(area(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]), Err(PolygonFault::NoArea));
    }
}
