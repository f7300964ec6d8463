//! Sheets thinner than the pen, which would be lost in a picture.

use super::canvas::Area;
use super::chains::Point;
use super::view::{View, clipped_between};
use crate::geometry::Rectangle;
use crate::plan::{Edge, Filling, Raster};

/// A sheet thinner than this (units of the layout) is drawn as thick as this.
pub(super) const THINNEST: f32 = 4.0;
/// The two sides of a sheet turn by less than this against each other: the cosine of 10°.
const PARALLEL: f64 = 0.985;
/// What is thinner than this is no sheet but what rounding leaves between edges meant to coincide, m.
const LEAST_SHEET: f64 = 1e-5;

/// A rectangle that can be seen of a sheet, thickened to `least` pixels; none if it is no sheet.
pub(super) fn thin_rectangle(raster: &Raster, view: &View, rectangle: Rectangle, least: f32) -> Option<Area> {
    let area = view.visible(rectangle)?;
    let is_thin = area.width().min(area.height()) < least && is_sheet(raster, rectangle);
    is_thin.then(|| thickened(area, least))
}

/// True if the material really is as thin as the rectangle, and not just cut there by the edge of something
/// else.
fn is_sheet(raster: &Raster, rectangle: Rectangle) -> bool {
    let (x, y) =
        (f64::midpoint(rectangle.x.from, rectangle.x.to), f64::midpoint(rectangle.y.from, rectangle.y.to));
    let filling = |x: f64, y: f64| raster.cell_at(x, y).map(|(i, j)| raster.at(i, j));
    let own = filling(x, y);
    // Just beyond the longer sides; edges closer than this do not exist.
    const BEYOND: f64 = 5e-6;
    if rectangle.x.length() < rectangle.y.length() {
        filling(rectangle.x.from - BEYOND, y) != own && filling(rectangle.x.to + BEYOND, y) != own
    } else {
        filling(x, rectangle.y.from - BEYOND) != own && filling(x, rectangle.y.to + BEYOND) != own
    }
}

/// An area at least `least` pixels thick around the same middle.
fn thickened(area: Area, least: f32) -> Area {
    let grow = |from: f32, to: f32| {
        let lack = ((least - (to - from)) / 2.0).max(0.0);
        (from - lack, to + lack)
    };
    let ((left, right), (top, bottom)) = (grow(area.left, area.right), grow(area.top, area.bottom));
    Area { left, top, right, bottom }
}

/// The middle lines of what is thinner than `least` pixels of a filling, m, as far as they can be seen.
pub(super) fn sheets(edges: &[Edge], filling: Filling, view: &View, least: f32) -> Vec<Vec<Point>> {
    let own: Vec<[Point; 2]> = edges
        .iter()
        .filter(|edge| edge.left == filling || edge.right == filling)
        .map(|edge| {
            let [from, to] = edge.ends.map(|[x, y]| (x, y));
            if edge.left == filling { [from, to] } else { [to, from] }
        })
        .collect();
    let thinnest = f64::from(least) / view.scale;
    let mut found = Vec::new();
    for edge in &own {
        let Some((from, to)) = clipped_between(view.shown, edge[0], edge[1]) else { continue };
        let length = libm::hypot(to.0 - from.0, to.1 - from.1);
        let inwards = (-(to.1 - from.1) / length, (to.0 - from.0) / length);
        // In pieces, as the other side may change along it.
        let pieces = (length / (2.0 * thinnest)).ceil().clamp(1.0, 400.0) as usize;
        let at = |piece: usize| {
            let part = piece as f64 / pieces as f64;
            (from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1))
        };
        let mut line = Vec::new();
        for piece in 0..pieces {
            let (begin, end) = (at(piece), at(piece + 1));
            let middle = (f64::midpoint(begin.0, end.0), f64::midpoint(begin.1, end.1));
            let thickness = thickness(&own, middle, inwards);
            let Some(thickness) = thickness.filter(|found| (LEAST_SHEET..thinnest).contains(found)) else {
                found.push(std::mem::take(&mut line));
                continue;
            };
            let inside =
                |point: Point| (point.0 + inwards.0 * thickness / 2.0, point.1 + inwards.1 * thickness / 2.0);
            line.extend([inside(begin), inside(end)]);
        }
        found.push(line);
    }
    found.retain(|line| line.len() > 1);
    found
}

/// How far it is from a place on an edge straight inwards to the other side, m, if that is about parallel.
fn thickness(edges: &[[Point; 2]], from: Point, inwards: Point) -> Option<f64> {
    let cross = |a: Point, b: Point| a.0 * b.1 - a.1 * b.0;
    let met = edges.iter().filter_map(|[start, end]| {
        let along = (end.0 - start.0, end.1 - start.1);
        let to_start = (start.0 - from.0, start.1 - from.1);
        let turn = cross(inwards, along);
        // Only edges with the filling on this side of them face the place: those that go the other way.
        if turn <= 0.0 {
            return None;
        }
        let (distance, part) = (cross(to_start, along) / turn, cross(to_start, inwards) / turn);
        let is_parallel = turn > PARALLEL * libm::hypot(along.0, along.1);
        (distance > 0.0 && (0.0..=1.0).contains(&part)).then_some((distance, is_parallel))
    });
    let (distance, is_parallel) = met.min_by(|a, b| a.0.total_cmp(&b.0))?;
    is_parallel.then_some(distance)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sheet of 1 mm that rises by 1 in 10, and a wedge of 45°.
    #[test]
    fn the_thickness_is_that_across_a_sheet() {
        let corners = [(0.0, 0.0), (1.0, 0.1), (0.9999, 0.101), (-0.0001, 0.001)];
        let edges: Vec<[Point; 2]> = (0..4).map(|k| [corners[k], corners[(k + 1) % 4]]).collect();
        let length = libm::hypot(1.0, 0.1);
        let found = thickness(&edges, (0.5, 0.05), (-0.1 / length, 1.0 / length));
        assert!((found.unwrap_or(0.0) - 0.001 * libm::hypot(0.1, 1.0)).abs() < 1e-5, "{found:?}");
        let wedge = [[(0.0, 0.0), (1.0, 0.0)], [(1.0, 0.0), (1.0, 1.0)], [(1.0, 1.0), (0.0, 0.0)]];
        assert_eq!(thickness(&wedge, (0.01, 0.0), (0.0, 1.0)), None);
    }
}
