//! The `materials:` block: a case's own materials, and from declared to design conductivities.

use super::diagnostic::Diagnostic;
use super::keys;
use super::node::{Node, Value};
use super::plausible;
use super::reader::Reader;
use super::table::Table;
use crate::material::conversion::{self, CLASSES, Class};
use crate::material::{ALONG_X, Material, four_digits};
use crate::ranges;

/// Conversions by more than this factor are slips (common practice, no source).
const LARGEST_CONVERSION: f64 = 2.0;

/// A material by its definition under that name.
pub(super) fn own_material(reader: &mut Reader, name: &str, node: &Node) -> Option<Material> {
    let what = format!("the material `{name}`");
    let table = reader.table(node, &what, &keys::MATERIAL)?;
    let conductivity = conductivity(reader, &table);
    let source = if let Some(node) = table.get("source") {
        reader.text(node, "source")
    } else {
        let hint = "a reviewer must be able to check λ: `source: \"declared by the supplier, document …\"`";
        reader.fault(node.place, format!("{what} has no `source`"), Some(hint.to_owned()))
    };
    let density = table.number(reader, "density");
    let heat_capacity = table.number(reader, "heat_capacity");
    let vapour_resistance = vapour_resistance(reader, &table);
    let label = table.text(reader, "label");
    let converted = table.get("convert").map(|node| converted(reader, node));
    let (conductivity_x, conductivity_y) = conductivity?;
    let Converted { factor, remark, other } = converted.unwrap_or_else(|| Some(Converted::default()))?;
    if let Some(node) = table.get("convert")
        && ![conductivity_x, conductivity_y].iter().all(|value| ranges::CONDUCTIVITY.contains(value * factor))
    {
        let message =
            format!("converted, {what} would conduct {:e} W/(m·K), as nothing does", conductivity_x * factor);
        return reader.fault(
            node.place,
            message,
            Some("`moisture` is a share by volume or mass: 0.02 is 2 %".to_owned()),
        );
    }
    let material = Material {
        label: label.map_or_else(|| name.replace('_', " "), str::to_owned),
        conductivity_x: conductivity_x * factor,
        conductivity_y: conductivity_y * factor,
        axis: ALONG_X,
        density,
        heat_capacity,
        vapour_resistance,
        source: source?.trim().to_owned() + &remark,
        doubt: other.map(|other| {
            let [used, by_other] = [factor, other].map(|factor| four_digits(conductivity_x * factor));
            format!("λ {used} is converted with the careful one of two remembered f_T; the other gives {by_other} W/(m·K)")
        }),
        ..Material::homogeneous(name, 1.0)
    };
    reader.diagnostics.extend(plausible::material(&material, node.place));
    reader.diagnostics.extend(plausible::weight(&material, node.place));
    Some(material)
}

fn conductivity(reader: &mut Reader, material: &Table<'_>) -> Option<(f64, f64)> {
    let node = material.require(reader, "conductivity")?;
    if !matches!(node.value, Value::Table(_)) {
        return material.number(reader, "conductivity").map(|value| (value, value));
    }
    let table = reader.table(node, "`conductivity`", &keys::CONDUCTIVITY_BY_AXIS)?;
    let (x, y) = (table.needed_number(reader, "x"), table.needed_number(reader, "y"));
    Some((x?, y?))
}

/// μ, or [dry, wet].
fn vapour_resistance(reader: &mut Reader, material: &Table<'_>) -> Option<[f64; 2]> {
    let node = material.get("vapour_resistance")?;
    if let Value::Text(text) = &node.value
        && let Some((dry, wet)) = text.split_once('/')
        && [dry, wet].iter().all(|part| part.trim().parse::<f64>().is_ok())
    {
        let message = format!("`{text}` is one number divided by the other");
        let hint = format!("both factors are written [{}, {}]", dry.trim(), wet.trim());
        return reader.fault(node.place, message, Some(hint));
    }
    let [dry, wet] = material.pair_of_numbers(reader, "vapour_resistance", |value| [value, value])?;
    if dry < wet {
        let hint = "dry materials let less vapour pass: [DRY, WET]".to_owned();
        return reader.fault(
            node.place,
            format!("the dry factor {dry} is smaller than the wet one {wet}"),
            Some(hint),
        );
    }
    Some([dry, wet])
}

/// From the declared to the design conductivity.
struct Converted {
    factor: f64,
    /// What to say of it beside the source.
    remark: String,
    /// The factor by the other value of a coefficient that is remembered in two.
    other: Option<f64>,
}

impl Default for Converted {
    fn default() -> Self {
        Self { factor: 1.0, remark: String::new(), other: None }
    }
}

fn converted(reader: &mut Reader, node: &Node) -> Option<Converted> {
    let table = reader.table(node, "`convert`", &keys::CONVERT)?;
    let classes: Vec<(&str, Class)> = CLASSES.iter().map(|class| (class.name, *class)).collect();
    let class = table.require(reader, "class").and_then(|node| reader.choice(node, "class", &classes));
    let mut change = |key: &str| match table.get(key) {
        None => Some([0.0, 0.0]),
        Some(node) => {
            reader.pair(node, &format!("{key} ([declared, design])"))?;
            table.pair_of_numbers(reader, key, |value| [value, value])
        }
    };
    let temperature = change("temperature");
    let moisture = change("moisture");
    let (class, temperature, moisture) = (class?, temperature?, moisture?);
    let [by_temperature, by_moisture] = conversion::factors(class, temperature, moisture);
    let unit = class.moisture.unit();
    let remark = format!(
        "; converted by ISO 10456 as {}: F_T {by_temperature:.4} ({} to {} °C), F_m {by_moisture:.4} ({} to {} {unit})",
        class.name, temperature[0], temperature[1], moisture[0], moisture[1]
    );
    let other = conversion::other_temperature_factor(class, temperature);
    let doubt = other.map_or_else(String::new, |other| {
        format!("; f_T is uncertain, the careful one of two remembered values is used, the other gives F_T {other:.4}")
    });
    let factor = by_temperature * by_moisture;
    if !(1.0 / LARGEST_CONVERSION..=LARGEST_CONVERSION).contains(&factor) {
        let message = format!("converted, λ is {} times the declared one", four_digits(factor));
        let hint = "`temperature` is in °C, `moisture` a share: 0.02 is 2 %";
        reader.diagnostics.push(Diagnostic::warning(node.place, message).hint(hint));
    }
    Some(Converted { factor, remark: remark + &doubt, other: other.map(|other| other * by_moisture) })
}
