//! Planes through the drawing and stretches along slopes: sections, planes of symmetry, lengths between points.

use super::area::point;
use super::keys;
use super::node::{Node, Value};
use super::reader::Reader;
use super::table::Table;
use crate::geometry::{Axis, SAME_EDGE, SAME_PLACE, Stretch, millimetres};
use crate::model::{Plane, SlopedPlane, UValueSource};

/// A plane, by where it lies.
pub(super) enum Found {
    /// On one place of an axis.
    Level(Plane),
    /// Along no axis.
    Sloped(SlopedPlane),
}

/// `{ y: at }` with an optional `x: [from, to]`, the same with the axes exchanged, or `{ from: [x, y], to: [x, y] }`.
pub(super) fn plane(reader: &mut Reader, node: &Node, key: &str) -> Option<Found> {
    let table = reader.table(node, &format!("`{key}`"), &keys::PLANE)?;
    if table.get("from").is_some() || table.get("to").is_some() {
        if let Some(extra) = ["x", "y"].iter().find_map(|axis| table.get(axis)) {
            let message = format!("give `{key}` either by x and y or by `from` and `to`, not both");
            return reader.fault(extra.place, message, None);
        }
        let ends = stretch(reader, &table, key)?;
        return Some(between(ends, node));
    }
    let is_list = |key: &str| table.get(key).map(|node| matches!(node.value, Value::List(_)));
    let (axis, at, range) = match (is_list("x"), is_list("y")) {
        (Some(false), None | Some(true)) => (Axis::X, table.get("x")?, table.get("y")),
        (None | Some(true), Some(false)) => (Axis::Y, table.get("y")?, table.get("x")),
        _ => {
            let hint = format!(
                "for example `{key}: {{ y: -1200 }}`, with limits `{key}: {{ y: -1200, x: [0, 400] }}`, or along a slope `{key}: {{ from: [0, 0], to: [210, 300] }}`"
            );
            return reader.fault(node.place, format!("`{key}` needs the position of one plane"), Some(hint));
        }
    };
    let at = reader.coordinate(at, axis.letter())?;
    let range = match range {
        Some(node) => Some(reader.span(node, axis.across().letter())?),
        None => None,
    };
    Some(Found::Level(Plane { axis, at, range, place: Some(node.place) }))
}

/// What lies along an axis is a plane on one place of the other.
fn between(ends: Stretch, node: &Node) -> Found {
    let place = Some(node.place);
    let off = |axis: Axis| ends.along(axis.across()).length();
    match [Axis::X, Axis::Y].into_iter().find(|axis| off(*axis) < SAME_PLACE) {
        Some(runs) => {
            let axis = runs.across();
            let at = ends.middle()[usize::from(axis == Axis::Y)];
            Found::Level(Plane { axis, at, range: Some(ends.along(runs)), place })
        }
        None => Found::Sloped(SlopedPlane { ends, place }),
    }
}

/// Where the U-value of a section comes from.
pub(super) fn section(reader: &mut Reader, node: &Node) -> Option<UValueSource> {
    Some(match plane(reader, node, "section")? {
        Found::Level(Plane { axis, at, range, .. }) => UValueSource::Section { axis, at, range },
        Found::Sloped(SlopedPlane { ends, .. }) => UValueSource::Across(ends),
    })
}

/// `from: [x, y]` and `to: [x, y]`.
pub(super) fn stretch(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<Stretch> {
    let [from, to] = ["from", "to"].map(|end| {
        let [x, y] = table.require(reader, end).and_then(|node| point(reader, node, end))?;
        Some([x, y])
    });
    let stretch = Stretch { from: from?, to: to? };
    if stretch.length() > SAME_EDGE {
        return Some(stretch);
    }
    let [x, y] = stretch.from.map(millimetres);
    let message = format!("`{key}` has no length: both its ends are [{x}, {y}]");
    reader.fault(table.place, message, Some("`from` and `to` are two points, [x, y] in mm".to_owned()))
}
