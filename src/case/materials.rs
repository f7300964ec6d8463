//! The `materials:` block: a case's own materials, and from declared to design conductivities.

use super::diagnostic::Diagnostic;
use super::node::{Node, Value};
use super::plausible;
use super::ranges;
use super::reader::{Allowed, Reader};
use crate::material::conversion::{self, CLASSES, Class};
use crate::material::{Material, four_digits};

pub const MATERIAL_KEYS: [&str; 7] =
    ["conductivity", "density", "heat_capacity", "vapour_resistance", "source", "label", "convert"];
pub const CONVERT_KEYS: [&str; 3] = ["class", "temperature", "moisture"];
/// Conversions by more than this factor are slips (common practice, no source).
const LARGEST_CONVERSION: f64 = 2.0;

/// A material by its definition under that name.
pub(super) fn own_material(reader: &mut Reader, name: &str, node: &Node) -> Option<Material> {
    let what = format!("the material `{name}`");
    let table = reader.table(node, &what, &MATERIAL_KEYS)?;
    let conductivity = table.require(reader, "conductivity").and_then(|node| conductivity(reader, node));
    let source = if let Some(node) = table.get("source") {
        reader.text(node, "source")
    } else {
        let hint = "a reviewer must be able to check λ: `source: \"declared by the supplier, document …\"`";
        reader.fault(node.place, format!("{what} has no `source`"), Some(hint.to_owned()))
    };
    let density = table.get("density").and_then(|node| reader.number(node, "density", ranges::DENSITY));
    let allowed = ranges::HEAT_CAPACITY;
    let heat_capacity = table.get("heat_capacity").and_then(|node| reader.number(node, "heat_capacity in J/(kg·K)", allowed));
    let vapour_resistance = table.get("vapour_resistance").and_then(|node| vapour_resistance(reader, node));
    let label = table.get("label").and_then(|node| reader.text(node, "label"));
    let converted = table.get("convert").map(|node| converted(reader, node));
    let (conductivity_x, conductivity_y) = conductivity?;
    let Converted { factor, remark, other } = converted.unwrap_or_else(|| Some(Converted::default()))?;
    if let Some(node) = table.get("convert")
        && ![conductivity_x, conductivity_y].iter().all(|value| ranges::CONDUCTIVITY.contains(value * factor))
    {
        let message = format!("converted, {what} would conduct {:e} W/(m·K), as nothing does", conductivity_x * factor);
        return reader.fault(node.place, message, Some("`moisture` is a share by volume or mass: 0.02 is 2 %".to_owned()));
    }
    let material = Material {
        label: label.map_or_else(|| name.replace('_', " "), str::to_owned),
        conductivity_x: conductivity_x * factor,
        conductivity_y: conductivity_y * factor,
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
    Some(material)
}

fn conductivity(reader: &mut Reader, node: &Node) -> Option<(f64, f64)> {
    let allowed = ranges::CONDUCTIVITY;
    if !matches!(node.value, Value::Table(_)) {
        return reader.number(node, "conductivity in W/(m·K)", allowed).map(|value| (value, value));
    }
    let table = reader.table(node, "`conductivity`", &["x", "y"])?;
    let x = table.require(reader, "x").and_then(|node| reader.number(node, "conductivity along x", allowed));
    let y = table.require(reader, "y").and_then(|node| reader.number(node, "conductivity along y", allowed));
    Some((x?, y?))
}

/// μ, or [dry, wet].
fn vapour_resistance(reader: &mut Reader, node: &Node) -> Option<[f64; 2]> {
    let allowed = ranges::VAPOUR_FACTOR;
    let what = "vapour_resistance (the factor μ)";
    if !matches!(node.value, Value::List(_)) {
        return reader.number(node, what, allowed).map(|value| [value, value]);
    }
    let pair = reader.pair(node, "vapour_resistance ([DRY, WET])")?;
    let (dry, wet) = (reader.number(&pair[0], what, allowed), reader.number(&pair[1], what, allowed));
    let (dry, wet) = (dry?, wet?);
    if dry < wet {
        let hint = "dry materials let less vapour pass: [DRY, WET]".to_owned();
        return reader.fault(node.place, format!("the dry factor {dry} is smaller than the wet one {wet}"), Some(hint));
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
    let table = reader.table(node, "`convert`", &CONVERT_KEYS)?;
    let classes: Vec<(&str, Class)> = CLASSES.iter().map(|class| (class.name, *class)).collect();
    let class = table.require(reader, "class").and_then(|node| reader.choice(node, "class", &classes));
    let mut change = |key: &str, allowed: Allowed| match table.get(key) {
        None => Some([0.0, 0.0]),
        Some(node) => {
            let pair = reader.pair(node, &format!("{key} ([DECLARED, DESIGN])"))?;
            Some([reader.number(&pair[0], key, allowed)?, reader.number(&pair[1], key, allowed)?])
        }
    };
    let temperature = change("temperature", ranges::CONVERSION_TEMPERATURE);
    let moisture = change("moisture", ranges::SHARE);
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
