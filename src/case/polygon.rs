//! Axis-parallel polygons, taken apart into rectangles.

use crate::geometry::{Rectangle, Span};

/// Why a polygon cannot be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PolygonFault {
    /// The edge that leaves corner number `corner` (from 0) is neither level nor upright.
    Sloped {
        /// Index of the corner.
        corner: usize,
    },
    /// It encloses nothing.
    NoArea,
}

/// The polygon's interior (even–odd rule) as rectangles that do not overlap. Corners in order, the last joined to the first.
///
/// # Errors
/// [`PolygonFault`] for sloped edges and empty polygons.
pub fn rectangles(corners: &[(f64, f64)]) -> Result<Vec<Rectangle>, PolygonFault> {
    let next = |index: usize| corners[(index + 1) % corners.len()];
    let mut uprights = Vec::new();
    for (corner, &(x, y)) in corners.iter().enumerate() {
        let (next_x, next_y) = next(corner);
        if x != next_x && y != next_y {
            return Err(PolygonFault::Sloped { corner });
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
        let mut crossings: Vec<f64> =
            uprights.iter().filter(|(_, low, high)| *low < middle && middle < *high).map(|upright| upright.0).collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2).filter(|pair| pair[0] < pair[1]) {
            rectangles.push(Rectangle { x: Span { from: pair[0], to: pair[1] }, y: Span { from: band[0], to: band[1] } });
        }
    }
    if rectangles.is_empty() { Err(PolygonFault::NoArea) } else { Ok(rectangles) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(corners: &[(f64, f64)]) -> f64 {
        rectangles(corners).unwrap().iter().map(|part| part.x.length() * part.y.length()).sum()
    }

    #[test]
    fn takes_apart_an_angle_and_a_frame() {
        assert_eq!(area(&[(0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 4.0), (0.0, 4.0)]), 6.0);
        let u_shape = [(0.0, 0.0), (5.0, 0.0), (5.0, 3.0), (4.0, 3.0), (4.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0)];
        assert_eq!(area(&u_shape), 9.0);
    }

    #[test]
    fn names_the_faulty_corner() {
        let sloped = [(0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (0.0, 2.0)];
        assert_eq!(rectangles(&sloped), Err(PolygonFault::Sloped { corner: 2 }));
        assert_eq!(rectangles(&[(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)]), Err(PolygonFault::NoArea));
    }
}
