//! Plane elements for the terminal: resistances layer by layer, limits, corrections, U.

use std::fmt::Write;

use super::diagnostics::printable;
use crate::case::{NamedFloor, NamedWindow};
use crate::element::build_up::{Body, BuildUp, Layer, Pattern};
use crate::element::correction::{self, Cause};
use crate::element::ground::{self, FloorKind};
use crate::element::limits;
use crate::element::resistance::{self, two_figures};
use crate::material::four_digits;
use crate::result::pattern::{NoPattern, PatternU};

/// Under every list of U-values.
pub const CAUTION: &str = "Design values for the construction as described. Local codes, declared values and licensed practice decide.";

/// Table, limits, corrections and U of a build-up, with its pattern solved in two dimensions or why it is
/// not.
pub fn build_up(build_up: &BuildUp, pattern: &Result<PatternU, NoPattern>) -> String {
    let mut text = String::new();
    let total = resistance::total(build_up);
    let corrected = correction::corrected(build_up, &total);
    let _ = writeln!(
        text,
        "{} ({}), heat flow {}",
        printable(&build_up.title),
        printable(&build_up.name),
        build_up.heat_flow.word()
    );
    row(&mut text, "", "d in mm", "λ in W/(m·K)", "R in m²K/W");
    row(&mut text, "internal surface", "", "", &format!("{:.3}", total.surfaces[0]));
    for (index, layer) in build_up.layers.iter().enumerate() {
        if index == total.layers {
            let _ = writeln!(text, "  well ventilated from here: outside air, not counted");
        }
        layer_rows(&mut text, build_up, layer);
    }
    row(&mut text, "external surface", "", "", &format!("{:.3}", total.surfaces[1]));
    if total.paths.len() > 1 {
        for (share, resistance) in &total.paths {
            let _ = writeln!(
                text,
                "  path through {:>6.2} % of the area: {resistance:>7.3} m²K/W",
                share * 100.0
            );
        }
        let _ = writeln!(
            text,
            "  upper limit {:.3}, lower limit {:.3} m²K/W; error of the combined method at most {:.1} %",
            total.upper,
            total.lower,
            total.largest_error() * 100.0
        );
    }
    match pattern {
        Ok(solved) => two_dimensional(&mut text, solved, total.u_value()),
        Err(refusal) => {
            if let Some(reason) = refusal.reason() {
                let _ = writeln!(text, "  {reason}");
            }
        }
    }
    let _ = writeln!(
        text,
        "  total thermal resistance {:.3} m²K/W, U = {:.4} W/(m²K)",
        total.resistance,
        total.u_value()
    );
    for item in &corrected.corrections {
        let cause = match item.cause {
            Cause::AirGaps => "air gaps",
            Cause::Fixings => "fixings",
            Cause::Rain => "rain under the insulation",
        };
        let layer = printable(&build_up.layers[item.layer].label);
        let _ = writeln!(text, "  ΔU for {cause} in {layer}: {:.4} W/(m²K)", item.value);
    }
    if corrected.is_negligible && corrected.sum > 0.0 {
        let _ = writeln!(
            text,
            "  the corrections are below {} % of U and not added",
            correction::NEGLIGIBLE * 100.0
        );
    }
    for note in limits::notes(build_up, &total, &corrected) {
        let _ = writeln!(text, "  note: {}", printable(&note));
    }
    let _ = writeln!(
        text,
        "  U = {} W/(m²K) ({:.4} unrounded)",
        two_figures(corrected.u_value),
        corrected.u_value
    );
    text
}

/// Dimensions, intermediate values and U of a floor over the ground.
pub fn floor(floor: &NamedFloor) -> String {
    let mut text = String::new();
    let result = ground::u_value(&floor.floor);
    let kind = match floor.floor.kind {
        FloorKind::Slab { .. } => "slab on ground",
        FloorKind::Suspended(_) => "suspended floor",
        FloorKind::Basement { .. } => "floor of a heated basement",
    };
    let _ = writeln!(text, "{} ({}), {kind} by ISO 13370", printable(&floor.title), printable(&floor.name));
    let mut line = |label: &str, value: String| {
        let _ = writeln!(text, "  {label:<58} {value:>10}");
    };
    line("area A, m²", four_digits(floor.area));
    line("exposed perimeter P, m", four_digits(floor.perimeter));
    line("characteristic dimension B = A/(P/2), m", format!("{:.3}", floor.floor.characteristic_dimension));
    line("wall thickness w, m", format!("{:.3}", floor.floor.wall_thickness));
    let ground = format!("λ of the ground ({}), W/(m·K)", printable(&floor.ground.label));
    line(&ground, four_digits(floor.floor.ground_conductivity));
    line("thermal resistance of the floor R_f, m²K/W", format!("{:.3}", floor.floor.floor_resistance));
    line("equivalent thickness d_t, m", format!("{:.3}", result.equivalent_thickness));
    for (label, value) in &result.steps {
        line(label, format!("{value:.4}"));
    }
    if let Some(u) = result.wall_u_value {
        let _ = writeln!(text, "  U of the basement walls = {} W/(m²K) ({u:.4} unrounded)", two_figures(u));
    }
    let _ = writeln!(text, "  U = {} W/(m²K) ({:.4} unrounded)", two_figures(result.u_value), result.u_value);
    text
}

/// Parts and U of a window.
pub fn window(window: &NamedWindow) -> String {
    let mut text = String::new();
    let _ =
        writeln!(text, "{} ({}), window by ISO 10077-1", printable(&window.title), printable(&window.name));
    let parts = [
        ("glazing", &window.window.glazing, "m²", "W/(m²K)"),
        ("frame", &window.window.frame, "m²", "W/(m²K)"),
        ("edge of the glazing", &window.window.edges, "m", "W/(m·K)"),
    ];
    for (label, parts, of_size, of_value) in parts {
        for (size, value) in parts {
            let _ = writeln!(
                text,
                "  {label:<22} {size:>9.4} {of_size:<2} × {value:>6.3} {of_value:<8} = {:>8.4} W/K",
                size * value
            );
        }
    }
    let u = window.window.u_value();
    let _ = writeln!(
        text,
        "  U = {} W/(m²K) ({u:.4} unrounded) over {:.4} m²",
        two_figures(u),
        window.window.area()
    );
    text
}

fn two_dimensional(text: &mut String, solved: &PatternU, combined: f64) {
    let u = solved.u_value;
    let off = (combined / u.middle() - 1.0) * 100.0;
    let course = solved.course.map_or_else(String::new, |course| {
        format!(" (plan, then section; λ of a course {})", four_digits(course))
    });
    let _ = writeln!(
        text,
        "  solved in two dimensions{course}: R = {:.3} m²K/W, U = {u} W/(m²K); the combined method's U is {:.1} % {}",
        1.0 / u.middle(),
        off.abs(),
        if off < 0.0 { "lower" } else { "higher" }
    );
}

fn layer_rows(text: &mut String, build_up: &BuildUp, layer: &Layer) {
    let thickness = if layer.thickness > 0.0 { four_digits(layer.thickness * 1e3) } else { String::new() };
    let conductivity = match &layer.body {
        Body::Solid(material) => four_digits(material.conductivity_x),
        Body::Air(_) | Body::Resistance { .. } => String::new(),
    };
    let resistance = format!("{:.3}", layer.body_resistance(build_up.heat_flow));
    row(text, &printable(&layer.label), &thickness, &conductivity, &resistance);
    if let (Some(bridge), Some(resistance)) = (&layer.bridge, layer.bridge_resistance()) {
        let what = match bridge.pattern {
            Pattern::Fraction(_) => String::new(),
            Pattern::Bars { width, spacing } => {
                format!(", {} every {} mm", four_digits(width * 1e3), four_digits(spacing * 1e3))
            }
            Pattern::Joints { joints: [bed, perpendicular], .. } if bed == perpendicular => {
                format!(", joints of {} mm", four_digits(bed * 1e3))
            }
            Pattern::Joints { joints: [bed, perpendicular], .. } => {
                format!(", joints of {} and {} mm", four_digits(bed * 1e3), four_digits(perpendicular * 1e3))
            }
        };
        let share = bridge.pattern.fraction() * 100.0;
        let label = format!("    {share:.1} % of it {}{what}", printable(&bridge.material.label));
        row(text, &label, "", &four_digits(bridge.material.conductivity_x), &format!("{resistance:.3}"));
    }
}

fn row(text: &mut String, label: &str, thickness: &str, conductivity: &str, resistance: &str) {
    const LABEL: usize = 58;
    let label: String = if label.chars().count() > LABEL {
        label.chars().take(LABEL - 1).chain(['…']).collect()
    } else {
        label.to_owned()
    };
    let line = format!("  {label:<LABEL$} {thickness:>8} {conductivity:>13} {resistance:>11}");
    let _ = writeln!(text, "{}", line.trim_end());
}
