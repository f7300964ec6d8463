//! The `floors:` block: floors over the ground.

use super::keys;
use super::names::Names;
use super::node::Node;
use super::plausible;
use super::reader::Reader;
use crate::element::build_up::BuildUp;
use crate::element::ground::{self, Edge, Floor, FloorKind, Suspended};
use crate::element::resistance;
use crate::material::Material;
use crate::standard::{EXTERNAL_RESISTANCE, HeatFlow};

/// A floor with what it was described by.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedFloor {
    /// Its name in the file.
    pub name: String,
    /// One line for headings.
    pub title: String,
    /// m².
    pub area: f64,
    /// Exposed perimeter, m.
    pub perimeter: f64,
    /// The ground.
    pub ground: Material,
    /// The build-up it consists of, if it names one.
    pub build_up: Option<String>,
    /// What the formulas take.
    pub floor: Floor,
}

/// Every floor of the block, by the names chosen in the file.
pub fn read(reader: &mut Reader, names: &Names, node: &Node) -> Vec<NamedFloor> {
    let Some(table) = reader.open_table(node, "floors") else { return Vec::new() };
    table.entries().iter().filter_map(|entry| floor(reader, names, &entry.key, &entry.node)).collect()
}

/// Resistance between the surfaces of an element through which heat flows as it does there, whatever the
/// build-up states, m²K/W.
fn between_surfaces(build_up: &BuildUp, heat_flow: HeatFlow) -> f64 {
    // With the standard's surfaces: a slightly ventilated layer mixes elements with different outer surfaces,
    // and what is stated as `outside` may exceed both.
    let surfaces = [heat_flow.internal_resistance(), EXTERNAL_RESISTANCE];
    let total = resistance::total(&BuildUp { heat_flow, surfaces, ..build_up.clone() });
    total.resistance - total.surfaces[0] - total.surfaces[1]
}

fn floor(reader: &mut Reader, names: &Names, name: &str, node: &Node) -> Option<NamedFloor> {
    let what = format!("the floor `{name}`");
    let table = reader.table(node, &what, &keys::FLOOR)?;
    let title = table.text(reader, "title");
    let area = table.needed_number(reader, "area");
    let perimeter = table.needed_number(reader, "perimeter");
    let wall_thickness = table.needed_number(reader, "wall_thickness").map(|value| value * 1e-3);
    let ground_material = table.require(reader, "ground").and_then(|node| names.definition(reader, node));
    let floor_resistance = match (table.get("build_up"), table.get("resistance")) {
        (Some(node), None) => {
            names.build_up(reader, node).map(|build_up| between_surfaces(&build_up, HeatFlow::Down))
        }
        (None, Some(_)) => table.number(reader, "resistance"),
        (Some(_), Some(node)) => {
            reader.fault(node.place, "give either `build_up` or `resistance`, not both", None)
        }
        (None, None) => {
            let hint =
                "name one of the file's build-ups, or write `resistance: 0` for a bare slab".to_owned();
            reader.fault(node.place, format!("{what} needs `build_up` or `resistance`"), Some(hint))
        }
    };
    let kinds: Vec<&str> =
        ["edge", "suspended", "basement"].into_iter().filter(|kind| table.get(kind).is_some()).collect();
    let kind = match kinds.as_slice() {
        [] => Some(FloorKind::Slab { edge: None }),
        ["edge"] => edge(reader, names, table.get("edge")?).map(|edge| FloorKind::Slab { edge: Some(edge) }),
        ["suspended"] => suspended(reader, table.get("suspended")?),
        ["basement"] => basement(reader, names, table.get("basement")?),
        several => {
            let message = format!("{what} says {} at once", several.join(" and "));
            reader.fault(
                node.place,
                message,
                Some("a floor is a slab, suspended, or a basement's".to_owned()),
            )
        }
    };
    let (area, perimeter) = (area?, perimeter?);
    let characteristic_dimension = 2.0 * area / perimeter;
    if !(0.5..=500.0).contains(&characteristic_dimension) {
        let message = format!(
            "{what} has a characteristic dimension (area over half the perimeter) of {characteristic_dimension:.3} m"
        );
        return reader.fault(node.place, message, Some("`area` is in m², `perimeter` in m".to_owned()));
    }
    let ground_material = ground_material?;
    let build_up = table.text(reader, "build_up").map(str::to_owned);
    let floor = Floor {
        characteristic_dimension,
        wall_thickness: wall_thickness?,
        ground_conductivity: ground_material.conductivity_x,
        floor_resistance: floor_resistance?,
        kind: kind?,
    };
    if let Some(reason) = ground::no_edge_value(&floor) {
        let place = table.get("edge").map_or(node.place, |edge| edge.place);
        let hint =
            "`reach` and `thickness` are in mm; leave `edge` out where the board does not count".to_owned();
        return reader.fault(
            place,
            format!("the edge insulation of {what} gives no U-value: {reason}"),
            Some(hint),
        );
    }
    let named = NamedFloor {
        build_up,
        name: name.to_owned(),
        title: title.map_or_else(|| name.replace('_', " "), |title| title.trim().to_owned()),
        area,
        perimeter,
        floor,
        ground: ground_material,
    };
    reader.diagnostics.extend(plausible::floor(&named, node.place));
    Some(named)
}

fn edge(reader: &mut Reader, names: &Names, node: &Node) -> Option<Edge> {
    let table = reader.table(node, "`edge`", &keys::EDGE)?;
    let positions = [("lying", false), ("standing", true)];
    let is_vertical =
        table.require(reader, "position").and_then(|node| reader.choice(node, "position", &positions));
    let reach = table.needed_number(reader, "reach").map(|value| value * 1e-3);
    let material = table.require(reader, "material").and_then(|node| names.definition(reader, node));
    let thickness = table.needed_number(reader, "thickness").map(|value| value * 1e-3)?;
    let resistance = thickness / material?.conductivity_x;
    Some(Edge { is_vertical: is_vertical?, reach: reach?, thickness, resistance })
}

fn suspended(reader: &mut Reader, node: &Node) -> Option<FloorKind> {
    let table = reader.table(node, "`suspended`", &keys::SUSPENDED)?;
    let height = table.needed_number(reader, "height").map(|value| value * 1e-3);
    let wall_u_value = table.needed_number(reader, "wall_u_value");
    let openings = table.needed_number(reader, "openings");
    let wind_speed = table.needed_number(reader, "wind_speed");
    let shielding = table.needed_number(reader, "shielding");
    let ground_resistance = table.number_or(reader, "ground_resistance", 0.0);
    Some(FloorKind::Suspended(Suspended {
        height: height?,
        wall_u_value: wall_u_value?,
        openings: openings?,
        wind_speed: wind_speed?,
        shielding: shielding?,
        ground_resistance: ground_resistance?,
    }))
}

fn basement(reader: &mut Reader, names: &Names, node: &Node) -> Option<FloorKind> {
    let table = reader.table(node, "`basement`", &keys::BASEMENT)?;
    let depth = table.needed_number(reader, "depth").map(|value| value * 1e-3);
    let wall_resistance = match (table.get("walls"), table.get("wall_resistance")) {
        (Some(node), None) => {
            names.build_up(reader, node).map(|build_up| between_surfaces(&build_up, HeatFlow::Horizontal))
        }
        (None, Some(_)) => table.number(reader, "wall_resistance"),
        _ => {
            let hint = "`walls: BUILD_UP`, or `wall_resistance: …` in m²K/W".to_owned();
            reader.fault(node.place, "a basement needs one description of its walls", Some(hint))
        }
    };
    Some(FloorKind::Basement { depth: depth?, wall_resistance: wall_resistance? })
}
