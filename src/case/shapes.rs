//! The strokes of a plan: spaces, fills, polygons and rows of layers.

use super::build_ups;
use super::diagnostic::Place;
use super::keys::{self, MOST_CORNERS};
use super::names::Names;
use super::node::{Node, Value};
use super::plausible;
use super::polygon::{self, PolygonFault};
use super::reader::Reader;
use super::suggestion::did_you_mean;
use super::table::Table;
use crate::geometry::{Axis, Rectangle, Span};
use crate::material::cavity::{Cavity, Method, WIDEST_SLIT};
use crate::model::{Area, DrawnLayer, MaterialId, Paint, PaintedBuildUp, Shape};
use crate::ranges;

/// The shapes of one entry of `plan`: one for a space or fill, one a layer for a row of layers.
pub fn read(reader: &mut Reader, names: &mut Names, node: &Node, extent: Rectangle) -> Vec<Shape> {
    let Some(open) = reader.open_table(node, "an entry of the plan") else { return Vec::new() };
    let kinds: Vec<&str> =
        ["space", "fill", "cavity", "layers"].into_iter().filter(|kind| open.has(kind)).collect();
    match kinds.as_slice() {
        ["space"] => area(reader, names, node, "space", &keys::SPACE, Some(extent)).into_iter().collect(),
        ["fill"] => area(reader, names, node, "fill", &keys::FILL, None).into_iter().collect(),
        ["cavity"] => area(reader, names, node, "cavity", &keys::CAVITY, None).into_iter().collect(),
        ["layers"] => layers(reader, names, node).unwrap_or_default(),
        [] => {
            let misspelt = open.entries().iter().find_map(|entry| {
                did_you_mean(&entry.key, ["space", "fill", "cavity", "layers"])
                    .map(|hint| (entry.key_place, hint))
            });
            let (place, hint) = misspelt.unwrap_or((
                node.place,
                "write `space: ENVIRONMENT`, `fill: MATERIAL`, `cavity: frame` or `layers: […]`".to_owned(),
            ));
            reader.fault::<()>(
                place,
                "this entry of the plan says neither `space`, `fill`, `cavity` nor `layers`",
                Some(hint),
            );
            Vec::new()
        }
        several => {
            let message = format!("this entry of the plan says {} at once", several.join(" and "));
            reader.fault::<()>(node.place, message, Some("make it two entries".to_owned()));
            Vec::new()
        }
    }
}

fn area(
    reader: &mut Reader,
    names: &mut Names,
    node: &Node,
    kind: &str,
    keys: &'static keys::Block,
    otherwise: Option<Rectangle>,
) -> Option<Shape> {
    let table = reader.table(node, &format!("`{kind}`"), keys)?;
    let painted = table.require(reader, kind)?;
    let paint = match kind {
        "space" => names.environment(reader, painted).map(Paint::Space),
        "cavity" => {
            cavity(reader, &table, painted).map(|cavity| Paint::Solid(names.add_cavity(cavity, node.place)))
        }
        _ => names.material(reader, painted).map(Paint::Solid),
    };
    let area = if let Some(points) = table.get("points") {
        for key in ["x", "y"] {
            if let Some(extra) = table.get(key) {
                let message = format!("give either `points` or `{key}`, not both");
                reader.fault::<()>(extra.place, message, None);
            }
        }
        corners(reader, points)
    } else {
        let lacks = ["x", "y"].into_iter().find(|key| table.get(key).is_none());
        if let (Some(key), None) = (lacks, otherwise) {
            let hint = "only a `space` may leave x or y out, and then goes from edge to edge of the extent; `points` are the corners of a polygon in place of both".to_owned();
            return reader.fault(table.place, format!("`{kind}` needs the key `{key}`"), Some(hint));
        }
        reader.rectangle(&table, otherwise).map(|rectangle| Area::Rectangles(vec![rectangle]))
    };
    // Of several rectangles one may be a notch.
    if let (Some(Paint::Solid(material)), Some([only]), "fill", false) =
        (paint, area.as_ref().map(Area::rectangles), kind, is_kept_from_nothing(node))
    {
        let thickness = only.x.length().min(only.y.length());
        let asked = plausible::painted(&names.materials[material], thickness, node.place);
        reader.diagnostics.extend(asked);
    }
    Some(Shape { paint: paint?, area: area?, place: Some(node.place) })
}

/// What kind of cavity is painted.
fn cavity(reader: &mut Reader, table: &Table<'_>, kind: &Node) -> Option<Cavity> {
    let methods = [Method::Frame, Method::Building].map(|method| (method.word(), method));
    let method = reader.choice(kind, "cavity", &methods);
    let emissivity = build_ups::emissivity(reader, table);
    let slit = table.number_or(reader, "slit", 0.0)? * 1e-3;
    if slit > WIDEST_SLIT {
        let place = table.get("slit").map_or(table.place, |node| node.place);
        let hint = "paint it as a `space` of the external environment".to_owned();
        return reader.fault(place, "a cavity with a slit wider than 10 mm is outside air", Some(hint));
    }
    Some(Cavity { method: method?, emissivity: emissivity?, slit })
}

fn corners(reader: &mut Reader, node: &Node) -> Option<Area> {
    let items = reader.list(node, "points")?;
    if items.len() < 3 {
        let message = format!("a polygon needs 3 to {MOST_CORNERS} points, found {}", items.len());
        return reader.fault(node.place, message, None);
    }
    let corners: Vec<Option<(f64, f64)>> = items.iter().map(|item| point(reader, item)).collect();
    let corners: Vec<(f64, f64)> = corners.into_iter().collect::<Option<_>>()?;
    match polygon::area(&corners) {
        Ok(area) => Some(area),
        Err(PolygonFault::NoArea) => {
            let hint = "it needs three corners that are not on one line".to_owned();
            reader.fault(node.place, "this polygon encloses no area", Some(hint))
        }
        Err(PolygonFault::CrossesItself { corner, other }) => {
            let message = match other {
                Some(other) => format!(
                    "the polygon crosses itself: its edge from this point meets that from point {}",
                    other + 1
                ),
                None => "the polygon overlaps itself beside its edge from this point".to_owned(),
            };
            let hint = "list the corners in order round the shape, or make it two shapes".to_owned();
            reader.fault(items[corner].place, message, Some(hint))
        }
    }
}

/// `[x, y]` in mm, returned in m.
pub fn point(reader: &mut Reader, node: &Node) -> Option<(f64, f64)> {
    let ends = reader.pair(node, "a point")?;
    let x = reader.coordinate(&ends[0], "x");
    let y = reader.coordinate(&ends[1], "y");
    Some((x?, y?))
}

fn layers(reader: &mut Reader, names: &mut Names, node: &Node) -> Option<Vec<Shape>> {
    let table = reader.table(node, "`layers`", &keys::LAYERS)?;
    let directions =
        [("+x", (Axis::X, 1.0)), ("-x", (Axis::X, -1.0)), ("+y", (Axis::Y, 1.0)), ("-y", (Axis::Y, -1.0))];
    let direction =
        table.require(reader, "along").and_then(|along| reader.choice(along, "along", &directions));
    let from = table.require(reader, "from").and_then(|from| reader.coordinate(from, "from"));
    let through = direction.map_or(Axis::X, |(axis, _)| axis);
    let rows =
        table.require(reader, "layers").and_then(|node| rows(reader, names, node, through, table.place));
    let (axis, sign) = direction?;
    let across = across_span(reader, &table, axis)?;
    let mut position = from?;
    let mut shapes = Vec::new();
    let mut layers = Vec::new();
    let Rows { rows, build_up } = rows?;
    let first = position;
    for Row { material, thickness, air, node: row } in rows {
        // Coordinates accumulate in mm, so that a row of layers meets shapes given by absolute coordinates.
        let end = ((position * 1e3 + sign * thickness? * 1e3) * 1e9).round() / 1e12;
        let span = Span { from: position.min(end), to: position.max(end) };
        let rectangle = Rectangle::spanning(axis, span, across);
        position = end;
        let material = material?;
        layers.push(DrawnLayer { material, air, area: rectangle });
        shapes.push(Shape {
            paint: Paint::Solid(material),
            area: Area::Rectangles(vec![rectangle]),
            place: Some(row.place),
        });
    }
    if let Some(name) = build_up {
        let area =
            Rectangle::spanning(axis, Span { from: first.min(position), to: first.max(position) }, across);
        names.painted.push(PaintedBuildUp { name, through, area, layers, place: Some(node.place) });
    }
    Some(shapes)
}

/// One layer of a row.
struct Row<'n> {
    /// Index of the material.
    material: Option<MaterialId>,
    /// m.
    thickness: Option<f64>,
    /// What readers call it, if it is the air layer of a build-up.
    air: Option<String>,
    node: &'n Node,
}

/// A row of layers.
struct Rows<'n> {
    rows: Vec<Row<'n>>,
    /// Name of the build-up that they are.
    build_up: Option<String>,
}

/// A list of layers, or `{ build_up: NAME }`.
fn rows<'n>(
    reader: &mut Reader,
    names: &mut Names,
    node: &'n Node,
    through: Axis,
    place: Place,
) -> Option<Rows<'n>> {
    if let Value::Table(_) = node.value {
        let table = reader.table(node, "`layers`", &keys::LAYERS_OF_BUILD_UP)?;
        let build_up = table.require(reader, "build_up").and_then(|node| names.build_up(reader, node))?;
        let layers = build_ups::painted(reader, &build_up, node)?;
        names.draw(&build_up);
        let mut row = |layer: build_ups::PaintedLayer| Row {
            material: Some(names.layer_material(&build_up.name, layer.material, through)),
            thickness: Some(layer.thickness),
            air: layer.air,
            node,
        };
        let rows = layers.into_iter().map(&mut row).collect();
        return Some(Rows { rows, build_up: Some(build_up.name) });
    }
    let hint = "[[MATERIAL, THICKNESS], …] or { build_up: NAME }";
    if let Value::Text(name) = &node.value
        && names.build_ups.iter().any(|build_up| build_up.name == *name)
    {
        let message = format!(
            "`layers` must be a list of layers, or a table that names a build-up, found the text `{name}`"
        );
        return reader.fault(node.place, message, Some(format!("`layers: {{ build_up: {name} }}`")));
    }
    let list = reader.list(node, "layers")?;
    if list.is_empty() {
        return reader.fault(place, "`layers` needs at least one layer", Some(hint.to_owned()));
    }
    Some(Rows { rows: list.iter().map(|row| layer(reader, names, row)).collect(), build_up: None })
}

fn layer<'n>(reader: &mut Reader, names: &mut Names, row: &'n Node) -> Row<'n> {
    let Some(parts) = reader.pair(row, "a layer ([MATERIAL, THICKNESS])") else {
        return Row { material: None, thickness: None, air: None, node: row };
    };
    let material = names.material(reader, &parts[0]);
    let thickness = reader
        .number(&parts[1], "a layer's thickness", ranges::PAINTED_THICKNESS)
        .map(|thickness| thickness * 1e-3);
    if let (Some(material), Some(thickness), false) = (material, thickness, is_kept_from_nothing(row)) {
        let asked = plausible::painted(&names.materials[material], thickness, row.place);
        reader.diagnostics.extend(asked);
    }
    Row { material, thickness, air: None, node: row }
}

/// True where a size has a limit, as `max(reveal, 0.1)`, which stands for a part that a variant leaves out.
fn is_kept_from_nothing(node: &Node) -> bool {
    match &node.value {
        Value::Text(text) => text.contains("max(") || text.contains("min("),
        Value::List(items) => items.iter().any(is_kept_from_nothing),
        Value::Table(entries) => entries.iter().any(|entry| is_kept_from_nothing(&entry.node)),
        Value::Null | Value::Bool | Value::Number(_) => false,
    }
}

/// The extent of a row of layers across its direction.
fn across_span(reader: &mut Reader, table: &Table<'_>, axis: Axis) -> Option<Span> {
    let (across, along) = (axis.across().letter(), axis.letter());
    if let Some(extra) = table.get(along).filter(|node| !matches!(node.value, Value::Null)) {
        let hint = format!(
            "layers along {along} begin at `from` and end with the last thickness; give their extent as `{across}`"
        );
        reader.fault::<()>(extra.place, format!("layers along {along} take no `{along}`"), Some(hint));
    }
    let node = table.require(reader, across)?;
    reader.span(node, across)
}
