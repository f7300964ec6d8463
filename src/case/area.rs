//! Where something is: x and y, the corners of a polygon with its holes, or a circle.

use super::diagnostic::Place;
use super::keys::{self, MOST_CORNERS};
use super::node::{Node, Value};
use super::polygon::{self, FaultKind, PolygonFault};
use super::reader::Reader;
use super::table::Table;
use crate::geometry::Rectangle;
use crate::model::{Area, Round};

/// The area that a table gives by `points`, by `round` or by x and y; of these `otherwise` has the sides that are
/// left out.
pub fn read(
    reader: &mut Reader,
    table: &Table<'_>,
    kind: &str,
    otherwise: Option<Rectangle>,
) -> Option<Area> {
    only_one(reader, table);
    if let Some(points) = table.get("points") {
        return polygon(reader, points, table.get("holes"));
    }
    if let Some(holes) = table.get("holes") {
        let hint = "write the outline that the holes lie in as `points`, or paint what fills them later";
        reader.fault::<()>(holes.place, "`holes` are holes in `points`", Some(hint.to_owned()));
    }
    if let Some(round) = table.get("round") {
        return circle(reader, round);
    }
    let lacks = ["x", "y"].into_iter().find(|key| table.get(key).is_none());
    if let (Some(key), None) = (lacks, otherwise) {
        let hint = "only a `space` may leave x or y out, and then goes from edge to edge of the extent; in place of both stand `points`, the corners of a polygon, or `round`";
        return reader.fault(table.place, format!("`{kind}` needs the key `{key}`"), Some(hint.to_owned()));
    }
    reader.rectangle(table, otherwise).map(Area::from)
}

/// Tells of everything that says once more where something is.
fn only_one(reader: &mut Reader, table: &Table<'_>) {
    let Some(first) = ["points", "round"].into_iter().find(|key| table.get(key).is_some()) else { return };
    for key in ["round", "x", "y"].into_iter().filter(|key| *key != first) {
        if let Some(extra) = table.get(key) {
            let message = format!("give either `{first}` or `{key}`, not both");
            let hint = format!("`{first}` says all of where it is");
            reader.fault::<()>(extra.place, message, Some(hint));
        }
    }
}

fn circle(reader: &mut Reader, node: &Node) -> Option<Area> {
    let table = reader.table(node, "`round`", &keys::ROUND)?;
    let at = table.require(reader, "at").and_then(|at| point(reader, at, "the middle of a circle"));
    let diameter = table.needed_number(reader, "diameter");
    Some(Area::Round(Round { at: at?, diameter: diameter? * 1e-3 }))
}

fn polygon(reader: &mut Reader, node: &Node, holes: Option<&Node>) -> Option<Area> {
    let outline = corners(reader, node, "points");
    let nodes = holes.map_or(Some([].as_slice()), |node| reader.list(node, "holes"))?;
    let rings: Vec<Option<Vec<[f64; 2]>>> =
        nodes.iter().map(|hole| corners(reader, hole, "a hole")).collect();
    let rings: Option<Vec<Vec<[f64; 2]>>> = rings.into_iter().collect();
    match polygon::area(&outline?, &rings?) {
        Ok(area) => Some(area),
        Err(fault) => told(reader, node, nodes, &fault),
    }
}

fn told(reader: &mut Reader, outline: &Node, holes: &[Node], fault: &PolygonFault) -> Option<Area> {
    let (ring, what) = match fault.hole {
        Some(hole) => (&holes[hole], "hole"),
        None => (outline, "polygon"),
    };
    let corner = |number: usize| place_of(ring, number);
    let in_order = "list the corners in order round the shape, or make it two shapes";
    let (place, message, hint) = match &fault.kind {
        FaultKind::NoArea => {
            let hint = "it needs three corners that are not on one line";
            (ring.place, format!("this {what} encloses no area"), hint)
        }
        FaultKind::CrossesItself { corner: from, other: Some(other) } => {
            let message = format!(
                "the {what} crosses itself: its edge from this point meets that from point {}",
                other + 1
            );
            (corner(*from), message, in_order)
        }
        FaultKind::CrossesItself { corner: from, other: None } => {
            let message = format!("the {what} overlaps itself beside its edge from this point");
            (corner(*from), message, in_order)
        }
        FaultKind::LeavesOutline => {
            let hint = "a hole lies within the `points`; a notch is drawn by the corners of the outline";
            (ring.place, "this hole leaves the outline".to_owned(), hint)
        }
        FaultKind::OverlapsHole(other) => {
            (ring.place, format!("this hole overlaps hole {}", other + 1), "make the two one hole")
        }
        FaultKind::TooThin => {
            let hint = "edges nearer to each other than 0.01 mm are one; draw it thicker, or leave it out";
            (ring.place, format!("this {what} is thinner than 0.01 mm"), hint)
        }
        FaultKind::NothingLeft => {
            let hint = "make the holes smaller, strike the shape, or look at the parameters that place them";
            (ring.place, "holes leave nothing of this polygon".to_owned(), hint)
        }
    };
    reader.fault(place, message, Some(hint.to_owned()))
}

/// Where a corner of a list is written.
pub(super) fn place_of(ring: &Node, corner: usize) -> Place {
    match &ring.value {
        Value::List(corners) => corners.get(corner).map_or(ring.place, |corner| corner.place),
        _ => ring.place,
    }
}

/// The corners of a polygon, m.
pub(super) fn corners(reader: &mut Reader, node: &Node, what: &str) -> Option<Vec<[f64; 2]>> {
    let items = reader.list(node, what)?;
    if items.len() < 3 || items.len() > MOST_CORNERS {
        let message = format!("a polygon needs 3 to {MOST_CORNERS} points, found {}", items.len());
        return reader.fault(node.place, message, None);
    }
    let corners: Vec<Option<[f64; 2]>> = items.iter().map(|item| point(reader, item, "a point")).collect();
    corners.into_iter().collect()
}

/// `[x, y]` in mm, returned in m.
pub fn point(reader: &mut Reader, node: &Node, what: &str) -> Option<[f64; 2]> {
    let ends = reader.pair(node, what)?;
    let x = reader.coordinate(&ends[0], "x");
    let y = reader.coordinate(&ends[1], "y");
    Some([x?, y?])
}
