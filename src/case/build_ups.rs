//! The `build_ups:` block: plane elements from inside to outside, and how one is painted into a plan.

use super::diagnostic::Diagnostic;
use super::keys;
use super::names::Names;
use super::node::{Node, Value};
use super::plausible;
use super::reader::Reader;
use super::table::Table;
use crate::element::air_layer::{AirLayer, Ventilation};
use crate::element::build_up::{Body, Bridge, BuildUp, Fixing, Fixings, Layer, Pattern, Rain};
use crate::element::resistance;
use crate::material::{Material, Origin, air};
use crate::ranges;
use crate::standard::{EXTERNAL_RESISTANCE, HeatFlow};

/// Emissivity of what is no metal (ISO 6946:2017, 6.9.2).
const ORDINARY_EMISSIVITY: f64 = 0.9;
/// Each bridged layer doubles the paths straight through.
const MOST_BRIDGED: usize = 8;

/// Every element of the block, by the names chosen in the file.
pub fn read(reader: &mut Reader, names: &Names, node: &Node) -> Vec<BuildUp> {
    let Some(table) = reader.open_table(node, "build_ups") else { return Vec::new() };
    table.entries().iter().filter_map(|entry| build_up(reader, names, &entry.key, &entry.node)).collect()
}

fn build_up(reader: &mut Reader, names: &Names, name: &str, node: &Node) -> Option<BuildUp> {
    let what = format!("the build-up `{name}`");
    let table = reader.table(node, &what, &keys::BUILD_UP)?;
    let heat_flow = heat_flow(reader, &table);
    if table.get("heat_flow").is_none() && calls_itself_roof(name) {
        let message =
            format!("{what} states no heat_flow and is computed as a wall, with horizontal heat flow");
        let hint = "`heat_flow: up` for roofs and ceilings (from 30° off upright on); `heat_flow: horizontal` if that is meant";
        reader.diagnostics.push(Diagnostic::warning(node.place, message).hint(hint));
    }
    let title = table.text(reader, "title");
    let flow = heat_flow.unwrap_or(HeatFlow::Horizontal);
    let inside = table.number_or(reader, "inside", flow.internal_resistance());
    let outside = table.number_or(reader, "outside", EXTERNAL_RESISTANCE);
    let rows = table.require(reader, "layers").and_then(|node| reader.list(node, "layers"))?;
    if rows.is_empty() {
        return reader.fault(
            table.place,
            format!("{what} has no layers"),
            Some("from inside to outside: [[MATERIAL, THICKNESS], …]".to_owned()),
        );
    }
    let layers: Vec<Option<Layer>> = rows.iter().map(|row| layer(reader, names, row)).collect();
    let layers: Vec<Layer> = layers.into_iter().collect::<Option<_>>()?;
    if layers.iter().filter(|layer| layer.bridge.is_some()).count() > MOST_BRIDGED {
        return reader.fault(
            table.place,
            format!("{what} has more than {MOST_BRIDGED} bridged layers"),
            None,
        );
    }
    if flow != HeatFlow::Up
        && let Some(layer) = layers.iter().find(|layer| layer.rain.is_some())
    {
        let hint =
            "it is for insulation above the waterproof layer of a roof: write `heat_flow: up`, or strike it";
        return reader.fault(layer.place, "`rain` is for roofs", Some(hint.to_owned()));
    }
    let build_up = BuildUp {
        name: name.to_owned(),
        title: title.map_or_else(|| name.replace('_', " "), |title| title.trim().to_owned()),
        heat_flow: heat_flow?,
        surfaces: [inside?, outside?],
        layers,
        place: node.place,
    };
    let total = resistance::total(&build_up);
    if total.lower > 0.0 && total.resistance.is_finite() {
        reader.diagnostics.extend(plausible::build_up(&build_up));
        return Some(build_up);
    }
    reader.fault(table.place, format!("{what} has no thermal resistance"), None)
}

/// True for names with the words of elements that lose heat upwards: taken as walls, their U would come out
/// too low.
fn calls_itself_roof(name: &str) -> bool {
    let words = ["roof", "ceiling", "attic", "loft"];
    name.split(|character: char| !character.is_alphabetic()).any(|part| {
        let part = part.to_lowercase();
        words.iter().any(|word| part == *word || part.strip_suffix('s') == Some(word))
    })
}

/// The direction of heat flow, horizontal unless stated.
pub fn heat_flow(reader: &mut Reader, table: &Table<'_>) -> Option<HeatFlow> {
    let directions = [HeatFlow::Horizontal, HeatFlow::Up, HeatFlow::Down].map(|flow| (flow.word(), flow));
    table
        .get("heat_flow")
        .map_or(Some(HeatFlow::Horizontal), |node| reader.choice(node, "heat_flow", &directions))
}

fn layer(reader: &mut Reader, names: &Names, row: &Node) -> Option<Layer> {
    if let Value::List(_) = row.value {
        let parts = reader.pair(row, "a layer ([MATERIAL, THICKNESS])")?;
        let material = names.definition(reader, &parts[0]);
        let thickness = thickness(reader, &parts[1]);
        return Some(plain(Body::Solid(material?), thickness?, row));
    }
    let table = reader.table(row, "a layer", &keys::BUILD_UP_LAYER)?;
    let kinds: Vec<&str> =
        ["material", "air", "resistance"].into_iter().filter(|kind| table.has(kind)).collect();
    let mut layer = match kinds.as_slice() {
        ["material"] => {
            let material = table.require(reader, "material").and_then(|node| names.definition(reader, node));
            let thickness = table.needed_number(reader, "thickness");
            plain(Body::Solid(material?), thickness? * 1e-3, row)
        }
        ["air"] => air(reader, &table, row)?,
        ["resistance"] => {
            let value = table.needed_number(reader, "resistance");
            let thickness = table.number_or(reader, "thickness", 0.0);
            if (value, thickness.is_some_and(|thickness| thickness > 0.0)) == (Some(0.0), true) {
                let hint = "leave `thickness` out for a membrane".to_owned();
                return reader.fault(
                    row.place,
                    "a layer with a thickness needs a resistance above 0",
                    Some(hint),
                );
            }
            let vapour_thickness = table.number(reader, "vapour_thickness");
            plain(Body::Resistance { resistance: value?, vapour_thickness }, thickness? * 1e-3, row)
        }
        _ => {
            let hint = "write [MATERIAL, THICKNESS], `{ material: …, thickness: … }`, `{ air: THICKNESS }` or `{ resistance: … }`";
            return reader.fault(
                row.place,
                "a layer is either a material, air or a resistance",
                Some(hint.to_owned()),
            );
        }
    };
    for (key, belongs_to) in [("emissivity", "air"), ("openings", "air"), ("vapour_thickness", "resistance")]
    {
        if let Some(extra) = table.get(key).filter(|_| kinds != [belongs_to]) {
            reader.fault::<()>(
                extra.place,
                format!("`{key}` belongs to a layer given by `{belongs_to}`"),
                None,
            );
        }
    }
    if let Some(extra) = table.get("thickness").filter(|_| kinds == ["air"]) {
        reader.fault::<()>(extra.place, "the thickness of an air layer stands behind `air`", None);
    }
    if let Some(label) = table.text(reader, "label") {
        label.trim().clone_into(&mut layer.label);
    }
    if let Some(node) = table.get("bridged_by") {
        layer.bridge = Some(bridge(reader, names, node, &layer)?);
    }
    if let Some(node) = table.get("fixings") {
        layer.fixings = Some(fixings(reader, node, &layer)?);
    }
    if let Some(node) = table.get("air_gaps") {
        let level = table.number(reader, "air_gaps")?;
        if level.fract() != 0.0 {
            return reader.fault(
                node.place,
                format!("air_gaps must be level 0, 1 or 2, found {level}"),
                None,
            );
        }
        layer.air_gaps = level as u8;
    }
    if let Some(node) = table.get("rain") {
        let table = reader.table(node, "`rain`", &keys::RAIN)?;
        let [precipitation, drainage] =
            ["precipitation", "drainage"].map(|key| table.needed_number(reader, key));
        layer.rain = Some(Rain { precipitation: precipitation?, drainage: drainage? });
    }
    Some(layer)
}

fn plain(body: Body, thickness: f64, row: &Node) -> Layer {
    let label = match &body {
        Body::Solid(material) => material.label.clone(),
        Body::Air(_) => "air layer".to_owned(),
        Body::Resistance { .. } => "layer of given resistance".to_owned(),
    };
    Layer { label, thickness, body, bridge: None, fixings: None, air_gaps: 0, rain: None, place: row.place }
}

fn thickness(reader: &mut Reader, node: &Node) -> Option<f64> {
    reader.number(node, "a layer's thickness", ranges::THICKNESS).map(|thickness| thickness * 1e-3)
}

fn air(reader: &mut Reader, table: &Table<'_>, row: &Node) -> Option<Layer> {
    let node = table.require(reader, "air")?;
    let thickness = table.number(reader, "air")? * 1e-3;
    if thickness > air::THICKEST {
        let hint = "thicker ones are spaces: paint them, or make the element end there".to_owned();
        return reader.fault(
            node.place,
            format!("an air layer of {} mm is thicker than 300 mm", thickness * 1e3),
            Some(hint),
        );
    }
    let emissivity = self::emissivity(reader, table)?;
    let ventilation = Ventilation::of_openings(table.number_or(reader, "openings", 0.0)?);
    Some(plain(Body::Air(AirLayer { emissivity, ventilation }), thickness, row))
}

/// Emissivities of two faces: one number for one of them, the other being ordinary, or a pair.
pub fn emissivity(reader: &mut Reader, table: &Table<'_>) -> Option<[f64; 2]> {
    if table.get("emissivity").is_none() {
        return Some([ORDINARY_EMISSIVITY; 2]);
    }
    table.pair_of_numbers(reader, "emissivity", |value| [value, ORDINARY_EMISSIVITY])
}

fn bridge(reader: &mut Reader, names: &Names, node: &Node, layer: &Layer) -> Option<Bridge> {
    let table = reader.table(node, "`bridged_by`", &keys::BRIDGE)?;
    let material = table.require(reader, "material").and_then(|node| names.definition(reader, node));
    if layer.thickness == 0.0 {
        return reader.fault(node.place, "a bridged layer needs a `thickness`", None);
    }
    let has = |key: &str| table.has(key);
    let pattern = match (has("fraction"), has("width") || has("spacing"), has("block") || has("joint")) {
        (true, false, false) => Pattern::Fraction(table.needed_number(reader, "fraction")?),
        (false, true, false) => {
            let [width, spacing] = ["width", "spacing"].map(|key| table.needed_number(reader, key));
            let (width, spacing) = (width? * 1e-3, spacing? * 1e-3);
            if width >= spacing {
                let hint = "the spacing counts from centre to centre".to_owned();
                let place = table.get("spacing").map_or(node.place, |node| node.place);
                return reader.fault(place, "the spacing must be larger than the width", Some(hint));
            }
            Pattern::Bars { width, spacing }
        }
        (false, false, true) => {
            let [block, joints] = ["block", "joint"].map(|key| {
                table.require(reader, key)?;
                table.pair_of_numbers(reader, key, |value| [value, value])
            });
            Pattern::Joints {
                block: block?.map(|side| side * 1e-3),
                joints: joints?.map(|joint| joint * 1e-3),
            }
        }
        _ => {
            let hint = "`fraction: 0.12`, or `width: 45, spacing: 600`, or `block: [440, 215], joint: 10`";
            return reader.fault(
                node.place,
                "`bridged_by` needs one description of the pattern",
                Some(hint.to_owned()),
            );
        }
    };
    Some(Bridge { material: material?, pattern })
}

fn fixings(reader: &mut Reader, node: &Node, layer: &Layer) -> Option<Fixings> {
    let table = reader.table(node, "`fixings`", &keys::FIXINGS)?;
    let number = table.needed_number(reader, "number");
    let each = if table.has("point_transmittance") {
        Fixing::Point(table.needed_number(reader, "point_transmittance")?)
    } else {
        let conductivity = table.needed_number(reader, "conductivity");
        let cross_section = table.needed_number(reader, "cross_section");
        let length = table.number(reader, "length").map_or(layer.thickness, |length| length * 1e-3);
        if layer.thickness == 0.0 {
            return reader.fault(node.place, "a layer with fixings needs a `thickness`", None);
        }
        Fixing::Rod { conductivity: conductivity?, cross_section: cross_section? * 1e-6, length }
    };
    for key in ["conductivity", "cross_section", "length"] {
        if let (Some(extra), true) = (table.get(key), table.has("point_transmittance")) {
            reader.fault::<()>(
                extra.place,
                format!("`point_transmittance` stands for `{key}` too; give one or the other"),
                None,
            );
        }
    }
    let number = number?;
    if let Fixing::Rod { cross_section, .. } = each
        && number * cross_section > ranges::MOST_FIXINGS
    {
        let message = format!("the fixings take {:.0} % of the area", number * cross_section * 100.0);
        let hint = "`number` counts per m², `cross_section` is that of one in mm²; what takes more is a bridge: `bridged_by`";
        return reader.fault(node.place, message, Some(hint.to_owned()));
    }
    Some(Fixings { number, each })
}

/// A layer as a plan takes it: homogeneous.
pub struct PaintedLayer {
    /// With the conductivity that stands for the layer.
    pub material: PaintedMaterial,
    /// m.
    pub thickness: f64,
    /// What readers call it, if it is air.
    pub air: Option<String>,
}

/// What a layer of a build-up is painted with.
pub enum PaintedMaterial {
    /// A material of the case or of the generic table.
    Named(Material),
    /// One that was made for a layer.
    Equivalent {
        /// The layer, counted from 1.
        number: usize,
        /// With the conductivity of the whole layer.
        material: Material,
        /// The name of the material that the layer consists of, bridges apart.
        stands_for: Option<String>,
    },
}

/// The layers of a build-up for painting. Air and bridged layers get the conductivity that gives them their
/// thermal resistance; that of bridged layers is scaled so that the sum is the total resistance of the
/// combined method, and the U-value of a section through the plan is that of the build-up, corrections apart.
pub fn painted(reader: &mut Reader, build_up: &BuildUp, node: &Node) -> Option<Vec<PaintedLayer>> {
    let mut layers = Vec::new();
    for (index, (layer, resistance)) in build_up.layers.iter().zip(resistance::layers(build_up)).enumerate() {
        if let Body::Air(air) = layer.body
            && air.ventilation != Ventilation::None
        {
            let message = format!(
                "the build-up `{}` has a ventilated air layer, which a plan cannot paint",
                build_up.name
            );
            let hint = "paint the layers inside of it, and the air as a `space` whose surfaces have the resistance of still air";
            return reader.fault(node.place, message, Some(hint.to_owned()));
        }
        if layer.thickness == 0.0 {
            if resistance == 0.0 {
                continue; // a membrane: it matters for vapour alone
            }
            let message =
                format!("layer {} of the build-up `{}` has no thickness to paint", index + 1, build_up.name);
            return reader.fault(node.place, message, Some("give it a `thickness`".to_owned()));
        }
        let conductivity = layer.thickness / resistance;
        if !ranges::CONDUCTIVITY.contains(conductivity) {
            let number = index + 1;
            let message = format!(
                "layer {number} of the build-up `{}` would be painted with λ {conductivity:e} W/(m·K)",
                build_up.name
            );
            return reader.fault(
                node.place,
                message,
                Some("check its thickness and its resistance".to_owned()),
            );
        }
        let material = match (&layer.body, &layer.bridge) {
            (Body::Solid(material), None) => PaintedMaterial::Named(material.clone()),
            (body, bridge) => {
                let bridged = bridge.as_ref().map_or_else(String::new, |bridge| {
                    format!(", {:.1} % {}", bridge.pattern.fraction() * 100.0, bridge.material.label)
                });
                let material = Material {
                    label: format!("{}{bridged}", layer.label),
                    source: format!(
                        "equivalent by ISO 6946 of layer {} of the build-up {}",
                        index + 1,
                        build_up.name
                    ),
                    origin: Origin::Equivalent,
                    ..Material::homogeneous(&format!("{}.{}", build_up.name, index + 1), conductivity)
                };
                let stands_for = if let Body::Solid(body) = body { Some(body.name.clone()) } else { None };
                PaintedMaterial::Equivalent { number: index + 1, material, stands_for }
            }
        };
        let air = matches!(layer.body, Body::Air(_)).then(|| layer.label.clone());
        layers.push(PaintedLayer { material, thickness: layer.thickness, air });
    }
    Some(layers)
}
