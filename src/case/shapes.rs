//! The strokes of a plan: spaces, fills and cavities; rows of layers stand in `layers.rs`.

use super::area;
use super::build_ups;
use super::keys;
use super::layers;
use super::names::Names;
use super::node::{Node, Value};
use super::plausible;
use super::reader::Reader;
use super::suggestion::did_you_mean;
use super::table::Table;
use crate::geometry::Rectangle;
use crate::material::cavity::{Cavity, Method, WIDEST_SLIT};
use crate::model::{Area, Paint, Shape};

/// The shapes of one entry of `plan`: one for a space or fill, one a layer for a row of layers.
pub fn read(reader: &mut Reader, names: &mut Names, node: &Node, extent: Rectangle) -> Vec<Shape> {
    let Some(open) = reader.open_table(node, "an entry of the plan") else { return Vec::new() };
    let kinds: Vec<&str> =
        ["space", "fill", "cavity", "layers"].into_iter().filter(|kind| open.has(kind)).collect();
    match kinds.as_slice() {
        ["space"] => shape(reader, names, node, "space", &keys::SPACE, Some(extent)).into_iter().collect(),
        ["fill"] => shape(reader, names, node, "fill", &keys::FILL, None).into_iter().collect(),
        ["cavity"] => shape(reader, names, node, "cavity", &keys::CAVITY, None).into_iter().collect(),
        ["layers"] => layers::read(reader, names, node).unwrap_or_default(),
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

fn shape(
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
    let area = area::read(reader, &table, kind, otherwise);
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

/// True where a size has a limit, as `max(reveal, 0.1)`, which stands for a part that a variant leaves out.
pub fn is_kept_from_nothing(node: &Node) -> bool {
    match &node.value {
        Value::Text(text) => text.contains("max(") || text.contains("min("),
        Value::List(items) => items.iter().any(is_kept_from_nothing),
        Value::Table(entries) => entries.iter().any(|entry| is_kept_from_nothing(&entry.node)),
        Value::Null | Value::Bool | Value::Number(_) => false,
    }
}
