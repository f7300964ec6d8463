//! Polygons and their holes: taken apart into rectangles where all edges are level or upright.

use crate::geometry::{Rectangle, SAME_EDGE, Span};
use crate::model::{Area, Polygon};
use crate::polygons::faces::Faces;
use crate::polygons::places::SNAP;
use crate::polygons::{Arrangement, Drawing, Filling, Stroke, TriangulationError, plane};

/// Why a polygon cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub struct PolygonFault {
    /// The number of the hole that has the fault; none if it is the outline.
    pub hole: Option<usize>,
    /// What is wrong.
    pub kind: FaultKind,
}

/// What is wrong with a polygon or a hole in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FaultKind {
    /// Two edges meet that do not follow each other, or an edge lies in a part that is covered twice.
    CrossesItself {
        /// Index of the corner that the edge leaves.
        corner: usize,
        /// The corner that the other edge leaves, if there is one.
        other: Option<usize>,
    },
    /// It encloses nothing.
    NoArea,
    /// A part of the hole lies outside the outline.
    LeavesOutline,
    /// A part of the hole lies in a later one, of this number.
    OverlapsHole(usize),
    /// The holes are all there is of it.
    NothingLeft,
    /// It is thinner than what corners are joined within.
    TooThin,
}

/// Sloped polygons thinner than this vanish where corners are joined, m; as for edges of a level drawing.
const THINNEST: f64 = 1e-5;

/// True if a ring is thinner than anything that keeps its shape: twice its area over the longest way across.
fn is_too_thin(ring: &[[f64; 2]]) -> bool {
    let across = |one: &[f64; 2]| {
        ring.iter().map(|other| libm::hypot(one[0] - other[0], one[1] - other[1])).fold(0.0, f64::max)
    };
    let longest = ring.iter().map(across).fold(0.0, f64::max);
    2.0 * plane::area(ring).abs() < THINNEST * longest
}

/// What a polygon with holes covers. Corners in order, m, the last joined to the first. Coordinates may differ by what
/// the rounding of an expression leaves: `a + b` beside 0.3.
///
/// # Errors
/// [`PolygonFault`].
pub fn area(outline: &[[f64; 2]], holes: &[Vec<[f64; 2]>]) -> Result<Area, PolygonFault> {
    ring(outline, None)?;
    for (number, hole) in holes.iter().enumerate() {
        ring(hole, Some(number))?;
    }
    let polygon = Polygon { outline: outline.to_vec(), holes: holes.to_vec() };
    if !holes.is_empty() {
        placed(&polygon)?;
    }
    if is_too_thin(outline) {
        return Err(PolygonFault { hole: None, kind: FaultKind::TooThin });
    }
    match rectangles(&polygon) {
        Some(rectangles) if rectangles.is_empty() => {
            Err(PolygonFault { hole: None, kind: FaultKind::NothingLeft })
        }
        Some(rectangles) => Ok(Area::Rectangles(rectangles)),
        None => Ok(Area::Polygon(polygon)),
    }
}

/// Whether a ring is the outline of something.
fn ring(corners: &[[f64; 2]], hole: Option<usize>) -> Result<(), PolygonFault> {
    let kind = match painted(&[(Filling::Solid(0), corners.to_vec())]) {
        Err(TriangulationError::CrossesItself { edges: [one, other], .. }) => {
            FaultKind::CrossesItself { corner: one, other: Some(other) }
        }
        Err(TriangulationError::OverlapsItself { edge, .. }) => {
            FaultKind::CrossesItself { corner: edge, other: None }
        }
        Err(TriangulationError::NoArea { .. } | TriangulationError::TooFewVertices { .. }) => {
            FaultKind::NoArea
        }
        // What lies too far away is told with the plan.
        Err(_) | Ok(_) => return Ok(()),
    };
    Err(PolygonFault { hole, kind })
}

/// Whether all holes lie within the outline and beside each other, and leave something of it. They may touch.
fn placed(polygon: &Polygon) -> Result<(), PolygonFault> {
    let fault = |hole: Option<usize>, kind: FaultKind| Err(PolygonFault { hole, kind });
    let solid = |number: usize| Filling::Solid(number as u32);
    let holes = || polygon.holes.iter().enumerate().map(|(number, hole)| (solid(number), hole.clone()));
    // What can be seen of the holes under the outline lies outside it.
    let covered: Vec<_> = holes().chain([(Filling::Nothing, polygon.outline.clone())]).collect();
    if let Some(hole) = painted(&covered).ok().and_then(|found| found.is_seen.iter().position(|seen| *seen))
        && hole < polygon.holes.len()
    {
        return fault(Some(hole), FaultKind::LeavesOutline);
    }
    // What is lacking of a hole lies in later ones.
    let count = polygon.holes.len();
    let mut seen = vec![0.0; count + 1];
    let all: Vec<_> = [(solid(count), polygon.outline.clone())].into_iter().chain(holes()).collect();
    let Some(faces) = painted(&all).and_then(|found| Faces::of(&found)).ok() else { return Ok(()) };
    for face in &faces.faces {
        if let Filling::Solid(number) = face.filling {
            seen[number as usize] += face.area;
        }
    }
    let is_less = |number: usize, hole: &Vec<[f64; 2]>| {
        // What joining of close points can change.
        seen[number] < plane::area(hole).abs() - SNAP * plane::perimeter(hole)
    };
    for (number, hole) in polygon.holes.iter().enumerate().filter(|(number, hole)| is_less(*number, hole)) {
        let beneath = |other: &usize| {
            let others = polygon.holes[*other].clone();
            let pair = [(solid(0), hole.clone()), (Filling::Nothing, others)];
            painted(&pair).and_then(|found| Faces::of(&found)).is_ok_and(|faces| {
                let left = faces.faces.iter().filter(|face| face.filling == solid(0)).map(|face| face.area);
                left.sum::<f64>() < plane::area(hole).abs() - SNAP * plane::perimeter(hole)
            })
        };
        if let Some(other) = (number + 1..count).find(beneath) {
            return fault(Some(number), FaultKind::OverlapsHole(other));
        }
    }
    if seen[count] <= SNAP * plane::perimeter(&polygon.outline) {
        return fault(None, FaultKind::NothingLeft);
    }
    Ok(())
}

/// Rings painted one over the other.
fn painted(rings: &[(Filling, Vec<[f64; 2]>)]) -> Result<Arrangement, TriangulationError> {
    let corners = rings.iter().flat_map(|(_, ring)| ring.iter().copied()).collect();
    let Rectangle { x, y } = Area::Polygon(Polygon::of(corners)).bounds();
    let around = Rectangle::new([x.from - 1.0, x.to + 1.0], [y.from - 1.0, y.to + 1.0]);
    let stroke = |(filling, outline): &(Filling, Vec<[f64; 2]>)| Stroke {
        filling: *filling,
        outline: outline.clone(),
        holes: Vec::new(),
    };
    let strokes = rings.iter().map(stroke).collect();
    Arrangement::of(&Drawing { strokes, extent: around.corners().to_vec(), cuts: Vec::new() })
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
fn rectangles(polygon: &Polygon) -> Option<Vec<Rectangle>> {
    let all = || polygon.rings().flatten();
    let (x, y) = (merged(all().map(|corner| corner[0])), merged(all().map(|corner| corner[1])));
    let corners: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
    let mut uprights = Vec::new();
    let mut first = 0;
    for count in polygon.rings().map(Vec::len) {
        let ring = &corners[first..first + count];
        first += count;
        for (corner, &(x, y)) in ring.iter().enumerate() {
            let (next_x, next_y) = ring[(corner + 1) % count];
            if x != next_x && y != next_y {
                return None;
            }
            if y != next_y {
                uprights.push((x, y.min(next_y), y.max(next_y)));
            }
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

    fn ring(corners: &[(f64, f64)]) -> Vec<[f64; 2]> {
        corners.iter().map(|(x, y)| [*x, *y]).collect()
    }

    fn plain(corners: &[(f64, f64)]) -> Result<Area, PolygonFault> {
        area(&ring(corners), &[])
    }

    fn size(corners: &[(f64, f64)]) -> f64 {
        rectangles(&Polygon::of(ring(corners)))
            .unwrap()
            .iter()
            .map(|part| part.x.length() * part.y.length())
            .sum()
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
        assert!(matches!(plain(&sloped), Ok(Area::Polygon(found)) if found.outline.len() == 4));
        let level = [(0.0, 0.0), (0.1 + 0.2, 0.0), (0.3, 1.0), (0.0, 1.0)];
        assert!(matches!(plain(&level), Ok(Area::Rectangles(parts)) if parts.len() == 1));
        assert!((size(&level) - 0.3).abs() < 1e-15);
    }

    #[test]
    fn names_the_faulty_edge() {
        let crossed = [(0.0, 0.0), (3.0, 1.0), (3.0, 0.0), (0.0, 1.0)];
        let kind = |found: Result<Area, PolygonFault>| found.map_err(|fault| fault.kind);
        let expected = FaultKind::CrossesItself { corner: 0, other: Some(2) };
        assert_eq!(kind(plain(&crossed)), Err(expected));
        for flat in [[(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)], [(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]] {
            assert_eq!(kind(plain(&flat)), Err(FaultKind::NoArea));
        }
    }

    fn square(left: f64, bottom: f64, side: f64) -> Vec<[f64; 2]> {
        Rectangle::new([left, left + side], [bottom, bottom + side]).corners().to_vec()
    }

    #[test]
    fn level_holes_leave_rectangles() {
        let outline = square(0.0, 0.0, 10.0);
        let holes = [square(1.0, 1.0, 2.0), square(3.0, 1.0, 2.0), square(8.0, 0.0, 1.0)];
        let Ok(Area::Rectangles(parts)) = area(&outline, &holes) else { panic!("no rectangles") };
        let size: f64 = parts.iter().map(|part| part.x.length() * part.y.length()).sum();
        assert!((size - (100.0 - 4.0 - 4.0 - 1.0)).abs() < 1e-12);
        let is_within = |x: f64, y: f64| parts.iter().any(|part| part.contains(x, y));
        assert!(is_within(0.5, 1.5) && !is_within(1.5, 1.5) && !is_within(8.5, 0.5) && is_within(9.5, 0.5));
        let tilted = vec![[5.0, 5.0], [7.0, 6.0], [5.0, 7.0]];
        assert!(matches!(area(&outline, &[tilted]), Ok(Area::Polygon(found)) if found.holes.len() == 1));
    }

    #[test]
    fn holes_out_of_place_are_told() {
        let outline = square(0.0, 0.0, 10.0);
        let told = |holes: &[Vec<[f64; 2]>]| area(&outline, holes).map_err(|fault| (fault.hole, fault.kind));
        let inner = square(1.0, 1.0, 2.0);
        let at = |hole: Option<usize>, kind: FaultKind| Err((hole, kind));
        let across = square(9.0, 9.0, 2.0);
        assert_eq!(told(&[inner.clone(), across]), at(Some(1), FaultKind::LeavesOutline));
        assert_eq!(told(&[square(20.0, 0.0, 1.0)]), at(Some(0), FaultKind::LeavesOutline));
        assert_eq!(told(&[square(-1.0, -1.0, 12.0)]), at(Some(0), FaultKind::LeavesOutline));
        let over = [square(6.0, 6.0, 1.0), inner.clone(), square(2.0, 2.0, 3.0)];
        assert_eq!(told(&over), at(Some(1), FaultKind::OverlapsHole(2)));
        let nested = [inner.clone(), square(1.5, 1.5, 0.5)];
        assert_eq!(told(&nested), at(Some(0), FaultKind::OverlapsHole(1)));
        let nested = [square(1.5, 1.5, 0.5), inner];
        assert_eq!(told(&nested), at(Some(0), FaultKind::OverlapsHole(1)));
        assert_eq!(told(std::slice::from_ref(&outline)), at(None, FaultKind::NothingLeft));
        let flat = vec![[1.0, 1.0], [2.0, 2.0], [3.0, 3.0]];
        assert_eq!(told(&[flat]), at(Some(0), FaultKind::NoArea));
        let crossed = vec![[1.0, 1.0], [3.0, 2.0], [3.0, 1.0], [1.0, 2.0]];
        let kind = FaultKind::CrossesItself { corner: 0, other: Some(2) };
        assert_eq!(told(&[crossed]), at(Some(0), kind));
    }
}
