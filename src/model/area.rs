//! What a stroke of the plan covers.

use super::round::Round;
use crate::geometry::{Rectangle, Span};

/// What a stroke covers.
#[derive(Clone, Debug, PartialEq)]
pub enum Area {
    /// Rectangles that do not overlap.
    Rectangles(Vec<Rectangle>),
    /// A polygon with a sloped edge.
    Polygon(Polygon),
    /// A circle, as the polygon that stands for it.
    Round(Round),
}

/// A polygon of any straight edges.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Polygon {
    /// Its corners in order, m; the last is joined to the first.
    pub outline: Vec<[f64; 2]>,
    /// Polygons inside it that it leaves out.
    pub holes: Vec<Vec<[f64; 2]>>,
}

impl Polygon {
    /// One without holes.
    pub fn of(outline: Vec<[f64; 2]>) -> Self {
        Self { outline, holes: Vec::new() }
    }

    /// Its outline, then its holes.
    pub fn rings(&self) -> impl Iterator<Item = &Vec<[f64; 2]>> {
        std::iter::once(&self.outline).chain(&self.holes)
    }

    /// True if a point lies within the outline and in no hole, by how often a ray to the right crosses them.
    pub fn contains(&self, x: f64, y: f64) -> bool {
        let crossings: usize = self.rings().map(|ring| crossings(ring, x, y)).sum();
        crossings % 2 == 1
    }
}

/// True if a point lies within a ring of corners.
pub fn is_within(ring: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    crossings(ring, x, y) % 2 == 1
}

/// How often a ray from a point to the right crosses a ring.
fn crossings(ring: &[[f64; 2]], x: f64, y: f64) -> usize {
    let crosses = |index: &usize| {
        let (from, to) = (ring[*index], ring[(index + 1) % ring.len()]);
        (from[1] > y) != (to[1] > y) && x < from[0] + (y - from[1]) / (to[1] - from[1]) * (to[0] - from[0])
    };
    (0..ring.len()).filter(crosses).count()
}

impl From<Rectangle> for Area {
    fn from(rectangle: Rectangle) -> Self {
        Self::Rectangles(vec![rectangle])
    }
}

impl Area {
    /// Everything there is.
    pub fn everywhere() -> Self {
        let infinite = Span { from: f64::NEG_INFINITY, to: f64::INFINITY };
        Rectangle { x: infinite, y: infinite }.into()
    }

    /// Its rectangles; none if it slopes.
    pub fn rectangles(&self) -> &[Rectangle] {
        match self {
            Self::Rectangles(rectangles) => rectangles,
            Self::Polygon(_) | Self::Round(_) => &[],
        }
    }

    /// True if all its edges are level or upright.
    pub fn is_level(&self) -> bool {
        matches!(self, Self::Rectangles(_))
    }

    /// Polygons that cover it and do not overlap.
    pub fn polygons(&self) -> Vec<Polygon> {
        match self {
            Self::Rectangles(rectangles) => {
                rectangles.iter().map(|area| Polygon::of(area.corners().to_vec())).collect()
            }
            Self::Polygon(polygon) => vec![polygon.clone()],
            Self::Round(round) => vec![Polygon::of(round.corners())],
        }
    }

    /// True if a point (m) lies within, level and upright edges of rectangles included.
    pub fn contains(&self, x: f64, y: f64) -> bool {
        match self {
            Self::Rectangles(rectangles) => rectangles.iter().any(|area| area.contains(x, y)),
            Self::Polygon(polygon) => polygon.contains(x, y),
            Self::Round(round) => Polygon::of(round.corners()).contains(x, y),
        }
    }

    /// The corners of all its edges, m.
    pub fn corners(&self) -> Vec<[f64; 2]> {
        self.polygons().iter().flat_map(|polygon| polygon.rings().flatten().copied()).collect()
    }

    /// The smallest rectangle that holds it, m.
    pub fn bounds(&self) -> Rectangle {
        Rectangle { x: self.reach([1.0, 0.0]), y: self.reach([0.0, 1.0]) }
    }

    /// From where to where it reaches along a direction (a unit vector), m from the origin.
    pub fn reach(&self, direction: [f64; 2]) -> Span {
        let along = |corner: [f64; 2]| corner[0] * direction[0] + corner[1] * direction[1];
        let nowhere = Span { from: f64::INFINITY, to: f64::NEG_INFINITY };
        self.corners()
            .into_iter()
            .map(along)
            .fold(nowhere, |span, value| Span { from: span.from.min(value), to: span.to.max(value) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_is_not_within() {
        let square = |low: f64, high: f64| vec![[low, low], [high, low], [high, high], [low, high]];
        let area = Area::Polygon(Polygon { outline: square(0.0, 3.0), holes: vec![square(1.0, 2.0)] });
        for (x, y, is_within) in [(0.5, 0.5, true), (1.5, 1.5, false), (2.5, 1.5, true), (3.5, 1.5, false)] {
            assert_eq!(area.contains(x, y), is_within, "{x} {y}");
        }
        assert_eq!(area.bounds(), Rectangle::new([0.0, 3.0], [0.0, 3.0]));
        let diagonal = area.reach([std::f64::consts::FRAC_1_SQRT_2; 2]);
        assert!((diagonal.length() - 3.0 * std::f64::consts::SQRT_2).abs() < 1e-12);
    }
}
