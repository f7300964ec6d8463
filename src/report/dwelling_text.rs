//! What a dwelling loses, for the terminal.

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::dwelling::{Dwelling, FromDwelling, JunctionLoss};
use super::element_text::CAUTION;

/// The whole text.
pub fn text(dwelling: &Dwelling) -> String {
    let mut text = String::new();
    let convention = dwelling.convention.replace('_', " ");
    let _ = writeln!(text, "{}, {convention} dimensions\n", printable(&dwelling.title));
    let total = dwelling.transmission.value;
    let row = |text: &mut String, (name, size, value, loss): (&str, f64, f64, f64), origin: &str, b: f64| {
        let share = if total == 0.0 { 0.0 } else { loss / total * 100.0 };
        let (name, origin) = (printable(name), printable(origin));
        let reduction = with_reduction(b);
        let _ = writeln!(
            text,
            "  {name:<30} {size:>10.2} {value:>12.4} {loss:>10.3} {share:>5.1} %  {origin}{reduction}"
        );
    };
    let _ = writeln!(
        text,
        "  {:<30} {:>10} {:>12} {:>10} {:>7}",
        "element", "A in m²", "U W/(m²K)", "W/K", "share"
    );
    for element in &dwelling.elements {
        let values = (element.element.as_str(), element.area, element.u_value, element.loss);
        row(&mut text, values, &element.origin, element.reduction);
    }
    let _ = writeln!(
        text,
        "\n  {:<30} {:>10} {:>12} {:>10} {:>7}",
        "junction", "l in m", "ψ W/(m·K)", "W/K", "share"
    );
    for junction in &dwelling.junctions {
        let values = (junction.junction.as_str(), junction.length, junction.psi.value, junction.loss.value);
        row(&mut text, values, &junction.origin, junction.reduction);
    }
    details(&mut text, dwelling);
    notes(&mut text, dwelling);
    let bridges = dwelling.junctions_loss;
    let _ = writeln!(
        text,
        "\n  plane elements  Σ A·U = {:.3} W/K over {:.2} m²",
        dwelling.elements_loss, dwelling.area
    );
    let _ = writeln!(
        text,
        "  junctions       Σ l·ψ = {:.3} ± {:.3} W/K",
        bridges.value,
        (bridges.half_width() * 1e3).ceil() / 1e3
    );
    if let Some(per_area) = dwelling.junctions_per_area {
        let _ = writeln!(text, "  per area of envelope    {:.4} W/(m²K)", per_area.value);
    }
    let _ = writeln!(text, "  transmission        H = {total:.3} W/K\n\n{CAUTION}");
    text
}

/// ", b = …" where b is not 1.
fn with_reduction(b: f64) -> String {
    if b == 1.0 { String::new() } else { format!(", b = {}", (b * 1e3).round() / 1e3) }
}

/// What the computed junctions took from the dwelling and what each of their flanking elements is in it.
fn details(text: &mut String, dwelling: &Dwelling) {
    let computed: Vec<&JunctionLoss> =
        dwelling.junctions.iter().filter(|junction| junction.is_computed).collect();
    if computed.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n  Computed with the dwelling's own values:");
    for junction in computed {
        let mut parts = Vec::new();
        let taken = |taken: &FromDwelling| format!("{} {}", taken.name, taken.change);
        if !junction.from_dwelling.is_empty() {
            parts.push(junction.from_dwelling.iter().map(taken).collect::<Vec<_>>().join(", "));
        }
        if !junction.exceptions.is_empty() {
            parts.push(format!("exception: {}", junction.exceptions.join(", ")));
        }
        let pairs = junction.counterparts.iter().map(|pair| match &pair.element {
            Some(element) => format!("{} = {element}", pair.flanking),
            None => format!("{} = none of them", pair.flanking),
        });
        parts.extend(pairs.collect::<Vec<_>>().chunks(8).map(|pairs| pairs.join(", ")));
        let _ = writeln!(text, "  {:<30} {}", printable(&junction.junction), printable(&parts.join("; ")));
        for remark in &junction.remarks {
            let _ = writeln!(text, "  {:<30} {}", "", printable(remark));
        }
    }
}

/// What limits the values, each sentence once with all that it is about.
fn notes(text: &mut String, dwelling: &Dwelling) {
    let of_elements = dwelling
        .elements
        .iter()
        .flat_map(|element| element.notes.iter().map(|note| (note, &element.element)));
    let of_junctions = dwelling
        .junctions
        .iter()
        .flat_map(|junction| junction.notes.iter().map(|note| (note, &junction.junction)));
    let mut notes: Vec<(&String, Vec<&str>)> = Vec::new();
    for (note, name) in of_elements.chain(of_junctions) {
        match notes.iter_mut().find(|(known, _)| *known == note) {
            Some((_, names)) => names.push(name),
            None => notes.push((note, vec![name])),
        }
    }
    if !notes.is_empty() {
        let _ = writeln!(text, "\n  Notes");
    }
    for (note, names) in notes {
        let _ = writeln!(text, "  {}: {}", printable(&names.join(", ")), printable(note));
    }
}
