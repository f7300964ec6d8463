//! The summary for the terminal: what a modeller reads at a glance and copies into a report.

mod elements;
mod factors;

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::cavities::Cavity;
use super::document::grid::Triangles;
use super::document::psi::OnePsi;
use super::document::solve::{OfPair, Solve};
use super::number_text::{decimals, heat_flow, iterations, subdivided, why_triangles};
use super::{level_surfaces, point_text};
use crate::geometry::SAME_EDGE;
use crate::material::four_digits;
use crate::model::{Convention, PieceKind};

/// Under every result, since the numbers can be taken for more than they are.
pub const CAUTION: &str = "Steady two-dimensional heat flow. Mould and condensation also depend on humidity, ventilation, furniture and workmanship;\n\
                           local codes and licensed practice decide. Values carry no guarantee of the building.";

/// The whole summary, ending in a line break.
pub fn text(solve: &Solve) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail, so the results of writeln! are not looked at.
    let _ = writeln!(text, "{}\n", printable(&solve.title));
    flows(&mut text, solve);
    let pairs = solve.pairs();
    for (number, pair) in pairs.iter().enumerate() {
        if let Some([one, other]) = pair.between {
            let sides = printable(&format!("{} and {}", one.text(), other.text()));
            let _ = writeln!(text, "Pair {}: {sides}\n", number + 1);
        }
        psi(&mut text, pair);
        frame(&mut text, pair);
        if solve.has_list_of_pairs() {
            elements::elements(&mut text, pair);
        }
    }
    cavities(&mut text, solve);
    directions(&mut text, solve);
    if !solve.has_list_of_pairs() {
        for pair in &pairs {
            elements::elements(&mut text, pair);
        }
    }
    factors::factors(&mut text, solve);
    points(&mut text, solve);
    claims(&mut text, solve);
    let unknowns = solve.grid.unknowns;
    let on = match (solve.grid.columns.zip(solve.grid.rows), solve.grid.triangles) {
        (Some((columns, rows)), _) => format!("Grid {columns} × {rows} vertices, {unknowns} unknowns"),
        (None, triangles) => format!(
            "Quadratic fields on {} triangles, since {}, {unknowns} unknowns",
            triangles.unwrap_or_default(),
            why_triangles(solve)
        ),
    };
    let solved = solve.solver.iterations.map_or_else(|| "factorised".to_owned(), iterations);
    let _ = writeln!(
        text,
        "{on}; {solved} to a relative residual of {:.0e}; heat balance {:.0e}.",
        solve.solver.residual, solve.heat_balance
    );
    if let Some(triangles) = &solve.accuracy.triangles {
        let Triangles { by_grid, .. } = triangles;
        let cells = solve.accuracy.passes.last().map_or(0, |pass| pass.unknowns);
        let _ = writeln!(text, "L2D by a grid of {cells} unknowns before: {by_grid}.");
    }
    evidence(&mut text, solve);
    let _ = writeln!(text, "{CAUTION}");
    text
}

fn flows(text: &mut String, solve: &Solve) {
    if let Some(l2d) = solve.l2d.known() {
        let _ = writeln!(text, "Thermal coupling coefficient   L2D = {l2d} W/(m·K)");
    }
    for (environment, flow, error) in solve.flows() {
        let (name, temperature) = (printable(&environment.name), environment.temperature);
        let flow = heat_flow(flow, error);
        let _ = writeln!(text, "  {name:<20} {temperature:>6} °C {flow:>16} W/m into the construction");
    }
    for pair in &solve.coupling {
        let [first, second] = pair.between.each_ref().map(|name| printable(name));
        let _ = match pair.l2d.known() {
            Some(l2d) => writeln!(text, "  between {first} and {second}: L2D = {l2d} W/(m·K)"),
            None => writeln!(text, "  between {first} and {second}: L2D = none: fixed temperatures touch"),
        };
    }
    text.push('\n');
}

/// Conventions by which all lengths are the same stand together.
fn psi(text: &mut String, pair: &OfPair<'_>) {
    let Some(l2d) = pair.l2d else { return };
    // Distances of points differ in their last digits.
    let same = |a: &OnePsi, b: &OnePsi| {
        a.subtracted.iter().zip(&b.subtracted).all(|(a, b)| (a.length - b.length).abs() < SAME_EDGE)
    };
    let mut groups: Vec<(Vec<Convention>, &OnePsi)> = Vec::new();
    for (convention, psi) in pair.psi.stated() {
        match groups.iter_mut().find(|(_, known)| same(known, psi)) {
            Some((conventions, _)) => conventions.push(convention),
            None => groups.push((vec![convention], psi)),
        }
    }
    for (conventions, psi) in groups {
        let alike: Vec<&str> = conventions.into_iter().map(Convention::label).collect();
        let _ = writeln!(text, "Linear thermal transmittance by {} dimensions", alike.join(" = "));
        let _ = writeln!(text, "  {:<30} {:>37.4}", "L2D", l2d.value);
        for term in &psi.subtracted {
            let factors = format!("{:.4} W/(m²K) × {:.4} m", term.u_value, term.length);
            let _ = writeln!(text, "− {:<30} {factors:>26} {:>10.4}", printable(&term.element), term.product);
        }
        let _ = writeln!(text, "= ψ {:>65} W/(m·K)", decimals(psi.psi.value, 4));
        let _ = writeln!(
            text,
            "  ψ = {} W/(m·K), guaranteed for this geometry and these conductivities",
            psi.psi
        );
        if let Some(floor) = &psi.floor {
            let other = &floor.by_other_floor_method;
            let _ = writeln!(
                text,
                "  This is with the floor by the {}. By the {}: ψ = {} W/(m·K)",
                floor.floor_method.label(),
                other.floor_method.label(),
                other.psi
            );
        }
        text.push('\n');
    }
}

fn frame(text: &mut String, pair: &OfPair<'_>) {
    if let Some((u, width)) = pair.frame {
        let _ = writeln!(text, "Frame (ISO 10077-2): U_f = ψ/{} mm = {u} W/(m²K)\n", four_digits(width));
    }
}

fn cavities(text: &mut String, solve: &Solve) {
    for cavity in &solve.cavities {
        let Cavity { material_label, mean_temperature, temperature_difference, .. } = cavity;
        let _ = writeln!(
            text,
            "{material_label}{}: {} mm along and {} mm across the heat flow ({}), {mean_temperature:.1} °C on average, {temperature_difference:.1} K apart: λ = {} W/(m·K)",
            cavity.part.map_or("", PieceKind::remark),
            four_digits(cavity.along),
            four_digits(cavity.across),
            cavity.heat_flow.word(),
            four_digits(cavity.conductivity)
        );
    }
    for cut in &solve.cavity_cuts {
        let _ = writeln!(text, "{cut}");
    }
    if !solve.cavities.is_empty() {
        text.push('\n');
    }
}

/// Of level surfaces, where it was not plain.
fn directions(text: &mut String, solve: &Solve) {
    let lines = level_surfaces::lines(&solve.level_surfaces);
    for line in &lines {
        let _ = writeln!(text, "{line}");
    }
    if !lines.is_empty() {
        text.push('\n');
    }
}

fn points(text: &mut String, solve: &Solve) {
    for point in point_text::points(solve) {
        let _ = write!(
            text,
            "Temperature at {}: {} °C with the surface resistances for heat loss",
            printable(&point.name),
            point.heat_loss
        );
        if let Some(condensation) = point.condensation {
            let _ = write!(text, ", {condensation} °C with those for condensation");
        }
        text.push('\n');
    }
    if !solve.points.is_empty() {
        text.push('\n');
    }
}

fn claims(text: &mut String, solve: &Solve) {
    for claim in &solve.claims {
        let computed = claim.computed.map_or_else(|| "not computed".to_owned(), |value| decimals(value, 4));
        let of =
            claim.element.as_ref().map_or_else(String::new, |element| format!(" of {}", printable(element)));
        let _ = writeln!(text, "Claimed {}{of} = {}; computed {computed}", claim.key, claim.stated);
    }
    if !solve.claims.is_empty() {
        text.push('\n');
    }
}

/// What ISO 10211 asks for: the effect of the subdivision, and the cut-off planes.
fn evidence(text: &mut String, solve: &Solve) {
    if let Some(subdivision) = &solve.accuracy.subdivision {
        let _ = write!(
            text,
            "{} ({} → {}) change the heat flow by {:.2} %",
            subdivided(solve.grid.triangles.is_some()),
            subdivision.cells.value,
            subdivision.cells.finer,
            subdivision.heat_flow.change * 100.0
        );
        for (name, factor) in &subdivision.f_rsi {
            let change = (factor.value - factor.finer).abs();
            let _ = write!(text, ", f_Rsi of {} by {change:.4}", printable(name));
        }
        text.push_str(".\n");
    }
    for note in &solve.notes {
        let _ = writeln!(text, "Note: {}.", printable(note));
    }
}
