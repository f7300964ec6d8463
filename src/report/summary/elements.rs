//! The flanking elements: U with the layers that it comes from.

use std::fmt::Write;

use crate::material::four_digits;
use crate::report::diagnostics::printable;
use crate::report::document::flanking::{Run, UValueFrom};
use crate::report::document::sections::{Film, Floor, Layer, Section};
use crate::report::document::solve::OfPair;

/// Every flanking element of a pair.
pub(super) fn elements(text: &mut String, pair: &OfPair<'_>) {
    let (mut sections, mut floors) = (pair.sections.iter(), pair.floors.iter());
    for element in pair.flanking {
        let start = format!("U of {} = {:.4} W/(m²K)", printable(&element.element), element.u_value);
        match element.u_value_from {
            UValueFrom::Section => {
                let of = sections.next();
                let between =
                    of.and_then(|of| of.points).map(|points| format!(", from {} mm", Run::Between(points)));
                let _ = writeln!(text, "{start}{}", between.unwrap_or_default());
                if let Some(of) = of {
                    section(text, of);
                }
            }
            UValueFrom::Floor => floors.next().into_iter().for_each(|of| floor(text, of)),
            UValueFrom::BuildUp => {
                let build_up = element.build_up.as_deref().map(printable).unwrap_or_default();
                let _ =
                    writeln!(text, "{start}, of the build-up {build_up} by the combined method (ISO 6946)");
            }
            UValueFrom::Case => {
                let _ = writeln!(text, "{start}, stated in the case");
            }
        }
    }
    if !pair.flanking.is_empty() {
        text.push('\n');
    }
}

fn section(text: &mut String, section: &Section) {
    film(text, &section.from);
    section.layers.iter().for_each(|of| layer(text, of));
    film(text, &section.to);
}

fn film(text: &mut String, film: &Film) {
    row(text, &format!("surface to {}", printable(&film.environment)), ["", ""], film.resistance);
}

fn layer(text: &mut String, layer: &Layer) {
    let thickness = format!("{:.1} mm", layer.thickness);
    let conductivity = format!("λ {}", four_digits(layer.conductivity));
    row(text, &printable(&layer.material_label), [&thickness, &conductivity], layer.resistance);
}

fn row(text: &mut String, label: &str, [thickness, conductivity]: [&str; 2], resistance: f64) {
    let _ = writeln!(text, "  {label:<34} {thickness:>12} {conductivity:>12} {resistance:>9.4} m²K/W");
}

/// A floor on the ground, by both methods.
fn floor(text: &mut String, floor: &Floor) {
    let _ = writeln!(
        text,
        "U of {} = {:.4} W/(m²K) by the formula of ISO 13370 for a slab on ground",
        printable(&floor.element),
        floor.u_value_iso13370
    );
    floor.layers.iter().for_each(|of| layer(text, of));
    let _ = writeln!(
        text,
        "  B' = {:.3} m (twice the floor's internal length), w = {:.3} m, λ of the ground {} ({}), R_f = {:.4} m²K/W, d_t = {:.3} m",
        floor.characteristic_dimension,
        floor.wall_thickness / 1e3,
        four_digits(floor.ground_conductivity),
        printable(&floor.ground_label),
        floor.floor_resistance,
        floor.equivalent_thickness
    );
    if let Some((model, u)) = floor.l2d_model.zip(floor.u_value_model) {
        let _ = writeln!(
            text,
            "  floor and ground alone, solved: {model} W/(m·K), which is U = {u:.4} W/(m²K) over its {:.3} m",
            floor.length
        );
    }
}
