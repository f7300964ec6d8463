//! The edge of the drawing: a rectangle, or a polygon whose edges may lie square to what slopes.

use super::area;
use super::keys;
use super::node::Node;
use super::polygon::{self, FaultKind};
use super::reader::Reader;
use crate::geometry::{Rectangle, SAME_EDGE, Stretch};
use crate::model::Area;

/// Where a drawing ends.
pub(super) struct Extent {
    /// The smallest rectangle that holds it.
    pub(super) bounds: Rectangle,
    /// Its corners, m, where it is no rectangle.
    pub(super) border: Option<Vec<[f64; 2]>>,
}

/// `{ x: [from, to], y: [from, to] }` or `{ points: [[x, y], …] }`.
pub(super) fn extent(reader: &mut Reader, node: &Node) -> Option<Extent> {
    let table = reader.table(node, "`extent`", &keys::EXTENT)?;
    let Some(points) = table.get("points") else {
        let bounds = reader.rectangle(&table, None)?;
        return Some(Extent { bounds, border: None });
    };
    for key in ["x", "y"] {
        if let Some(extra) = table.get(key) {
            let message = format!("give `extent` either by `points` or by `{key}`, not both");
            return reader.fault(extra.place, message, None);
        }
    }
    let corners = area::corners(reader, points, "points")?;
    let fault = match polygon::area(&corners, &[]) {
        Ok(area) => return Some(of_area(&area, corners)),
        Err(fault) => fault,
    };
    let FaultKind::CrossesItself { corner, other } = fault.kind else {
        let hint = "it needs three corners that are not on one line, nor nearly".to_owned();
        return reader.fault(points.place, "the extent encloses no area", Some(hint));
    };
    let message = match other {
        Some(other) => {
            format!("the extent crosses itself: its edge from this point meets that from point {}", other + 1)
        }
        None => "the extent overlaps itself beside its edge from this point".to_owned(),
    };
    let place = area::place_of(points, corner);
    reader.fault(place, message, Some("list its corners in order round the drawing".to_owned()))
}

/// A polygon that is a rectangle is one.
fn of_area(area: &Area, mut border: Vec<[f64; 2]>) -> Extent {
    if let [only] = area.rectangles() {
        return Extent { bounds: *only, border: None };
    }
    // Who closes it writes its first corner twice.
    let is_same = |a: [f64; 2], b: [f64; 2]| Stretch { from: a, to: b }.length() < SAME_EDGE;
    border.dedup_by(|next, kept| is_same(*next, *kept));
    if is_same(border[0], border[border.len() - 1]) {
        border.pop();
    }
    Extent { bounds: area.bounds(), border: Some(border) }
}
