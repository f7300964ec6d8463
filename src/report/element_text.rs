//! Plane elements for the terminal: resistances layer by layer, limits, corrections, U.

use std::fmt::Write;

use super::condensate_text;
use super::diagnostics::printable;
use super::document::Bracketed;
use super::document::build_up::{BuildUp, BuildUpLayer, CorrectionCause, TwoDimensional};
use super::document::elements::{FloorKind, FloorOnGround, Window};
use crate::element::correction::NEGLIGIBLE;
use crate::element::resistance::two_figures;
use crate::material::four_digits;

/// Under every list of U-values.
pub const CAUTION: &str = "Design values for the construction as described. Local codes, declared values and licensed practice decide.";

/// Table, limits, corrections and U of a build-up, and condensation inside it.
pub fn build_up(build_up: &BuildUp) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{} ({}), heat flow {}",
        printable(&build_up.title),
        printable(&build_up.name),
        build_up.heat_flow.word()
    );
    let surfaces = &build_up.surface_resistances;
    row(&mut text, "", "d in mm", "λ in W/(m·K)", "R in m²K/W");
    row(&mut text, "internal surface", "", "", &format!("{:.3}", surfaces.inside));
    for (index, layer) in build_up.layers.iter().enumerate() {
        if index == build_up.layers_counted {
            let _ = writeln!(text, "  well ventilated from here: outside air, not counted");
        }
        layer_rows(&mut text, layer);
    }
    row(&mut text, "external surface", "", "", &format!("{:.3}", surfaces.outside));
    if build_up.paths.len() > 1 {
        for path in &build_up.paths {
            let _ = writeln!(
                text,
                "  path through {:>6.2} % of the area: {:>7.3} m²K/W",
                path.fraction * 100.0,
                path.resistance
            );
        }
        let _ = writeln!(
            text,
            "  upper limit {:.3}, lower limit {:.3} m²K/W; error of the combined method at most {:.1} %",
            build_up.upper_limit,
            build_up.lower_limit,
            build_up.largest_relative_error * 100.0
        );
    }
    if let Some(solved) = &build_up.two_dimensional {
        two_dimensional(&mut text, solved, build_up.u_value_uncorrected);
    }
    if let Some(reason) = build_up.no_two_dimensional_because {
        let _ = writeln!(text, "  {reason}");
    }
    let _ = writeln!(
        text,
        "  total thermal resistance {:.3} m²K/W, U = {:.4} W/(m²K)",
        build_up.total_resistance, build_up.u_value_uncorrected
    );
    corrections(&mut text, build_up);
    for note in &build_up.notes {
        let _ = writeln!(text, "  note: {}", printable(note));
    }
    let _ = writeln!(text, "  U = {} W/(m²K) ({:.4} unrounded)", build_up.u_value_rounded, build_up.u_value);
    if let Some(condensate) = &build_up.condensation {
        text.push_str(&condensate_text::text(build_up, condensate));
    }
    text
}

fn corrections(text: &mut String, build_up: &BuildUp) {
    for item in &build_up.corrections {
        let cause = match item.cause {
            CorrectionCause::AirGaps => "air gaps",
            CorrectionCause::Fixings => "fixings",
            CorrectionCause::Rain => "rain under the insulation",
        };
        let layer = build_up.layers.get(item.layer - 1).map(|layer| printable(&layer.label));
        let _ =
            writeln!(text, "  ΔU for {cause} in {}: {:.4} W/(m²K)", layer.unwrap_or_default(), item.delta_u);
    }
    let sum: f64 = build_up.corrections.iter().map(|item| item.delta_u).sum();
    if !build_up.corrections_applied && sum > 0.0 {
        let _ = writeln!(text, "  the corrections are below {} % of U and not added", NEGLIGIBLE * 100.0);
    }
}

/// Dimensions, intermediate values and U of a floor over the ground.
pub fn floor(floor: &FloorOnGround) -> String {
    let mut text = String::new();
    let kind = match floor.kind {
        FloorKind::Slab => "slab on ground",
        FloorKind::Suspended => "suspended floor",
        FloorKind::Basement => "floor of a heated basement",
    };
    let _ = writeln!(text, "{} ({}), {kind} by ISO 13370", printable(&floor.title), printable(&floor.name));
    let mut line = |label: &str, value: String| {
        let _ = writeln!(text, "  {label:<58} {value:>10}");
    };
    line("area A, m²", four_digits(floor.area));
    line("exposed perimeter P, m", four_digits(floor.perimeter));
    line("characteristic dimension B = A/(P/2), m", format!("{:.3}", floor.characteristic_dimension));
    line("wall thickness w, m", format!("{:.3}", floor.wall_thickness / 1e3));
    let ground = format!("λ of the ground ({}), W/(m·K)", printable(&floor.ground.material));
    line(&ground, four_digits(floor.ground.conductivity));
    line("thermal resistance of the floor R_f, m²K/W", format!("{:.3}", floor.floor_resistance));
    line("equivalent thickness d_t, m", format!("{:.3}", floor.equivalent_thickness));
    for (label, value) in &floor.steps {
        line(label, format!("{value:.4}"));
    }
    if let Some(u) = floor.wall_u_value {
        let _ = writeln!(text, "  U of the basement walls = {} W/(m²K) ({u:.4} unrounded)", two_figures(u));
    }
    let _ = writeln!(text, "  U = {} W/(m²K) ({:.4} unrounded)", floor.u_value_rounded, floor.u_value);
    text
}

/// Parts and U of a window.
pub fn window(window: &Window) -> String {
    let mut text = String::new();
    let _ =
        writeln!(text, "{} ({}), window by ISO 10077-1", printable(&window.title), printable(&window.name));
    let mut line = |label: &str, [of_size, of_value]: [&str; 2], size: f64, value: f64| {
        let _ = writeln!(
            text,
            "  {label:<22} {size:>9.4} {of_size:<2} × {value:>6.3} {of_value:<8} = {:>8.4} W/K",
            size * value
        );
    };
    for (label, parts) in [("glazing", &window.glazing), ("frame", &window.frame)] {
        for part in parts {
            line(label, ["m²", "W/(m²K)"], part.area, part.u_value);
        }
    }
    for edge in &window.edges {
        line("edge of the glazing", ["m", "W/(m·K)"], edge.length, edge.psi);
    }
    let _ = writeln!(
        text,
        "  U = {} W/(m²K) ({:.4} unrounded) over {:.4} m²",
        window.u_value_rounded, window.u_value, window.area
    );
    text
}

fn two_dimensional(text: &mut String, solved: &TwoDimensional, combined: f64) {
    let TwoDimensional { u_value, lower, upper, .. } = *solved;
    let off = (combined / u_value - 1.0) * 100.0;
    let course = solved.course_conductivity.map_or_else(String::new, |course| {
        format!(" (plan, then section; λ of a course {})", four_digits(course))
    });
    let _ = writeln!(
        text,
        "  solved in two dimensions{course}: R = {:.3} m²K/W, U = {} W/(m²K); the combined method's U is {:.1} % {}",
        1.0 / u_value,
        Bracketed { value: u_value, lower, upper },
        off.abs(),
        if off < 0.0 { "lower" } else { "higher" }
    );
}

fn layer_rows(text: &mut String, layer: &BuildUpLayer) {
    let thickness = if layer.thickness > 0.0 { four_digits(layer.thickness) } else { String::new() };
    let conductivity = layer.solid.as_ref().map(|solid| four_digits(solid.conductivity));
    let resistance = format!("{:.3}", layer.resistance);
    row(text, &printable(&layer.label), &thickness, &conductivity.unwrap_or_default(), &resistance);
    if let Some(bridge) = &layer.bridged_by {
        let bars = bridge.width.zip(bridge.spacing);
        let what = match (bars, bridge.joint) {
            (Some((width, spacing)), _) => {
                format!(", {} every {} mm", four_digits(width), four_digits(spacing))
            }
            (_, Some([bed, perpendicular])) if bed == perpendicular => {
                format!(", joints of {} mm", four_digits(bed))
            }
            (_, Some([bed, perpendicular])) => {
                format!(", joints of {} and {} mm", four_digits(bed), four_digits(perpendicular))
            }
            (None, None) => String::new(),
        };
        let share = bridge.fraction * 100.0;
        let label = format!("    {share:.1} % of it {}{what}", printable(&bridge.material));
        let resistance = format!("{:.3}", bridge.resistance);
        row(text, &label, "", &four_digits(bridge.conductivity), &resistance);
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
