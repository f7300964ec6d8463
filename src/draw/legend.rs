//! The plan's legend: materials, signs, surface resistances and lengths.

use super::canvas::{Anchor, Area, Lettering, Pen};
use super::font::{self, Weight};
use super::frame::Frame;
use super::palette::{self, GREY, INK, PAPER};
use super::plan_picture::cut_pens;
use crate::model::MaterialId;
use crate::plan::cavities::cuts;
use crate::result::Outcome;

/// Materials with a number and a row; a picture with more would be longer than any page.
pub const MOST_MATERIALS: usize = 40;

/// Draws it into the panel beside the picture; materials by the numbers that the picture shows.
pub fn legend(frame: &mut Frame, outcome: &Outcome, used: &[MaterialId]) {
    let unit = frame.unit;
    let (left, mut y) = (frame.panel.left, frame.panel.top + 20.0 * unit);
    let heading = Lettering { weight: Weight::Bold, ..frame.lettering(19.0, INK) };
    frame.canvas.text("Materials", (left, y), heading);
    let lambda = Lettering { anchor: Anchor::Right, ..heading };
    frame.canvas.text("λ in W/(m·K)", (frame.panel.right, y), lambda);
    y += 16.0 * unit;
    let row = 36.0 * unit;
    for (number, index) in used.iter().enumerate().take(MOST_MATERIALS) {
        let material = &outcome.case.model.materials[*index];
        let swatch = Area { left, right: left + 46.0 * unit, top: y + row * 0.1, bottom: y + row * 0.9 };
        let color = palette::material(material.conductivity_x.max(material.conductivity_y));
        frame.canvas.fill(swatch, color);
        frame.canvas.border(swatch, Pen::solid(INK, 1.2 * unit));
        let base = y + row / 2.0 + 6.0 * unit;
        let bold = Lettering {
            weight: Weight::Bold,
            anchor: Anchor::Middle,
            ..frame.lettering(17.0, palette::contrast(color))
        };
        frame.canvas.text(&(number + 1).to_string(), (f32::midpoint(swatch.left, swatch.right), base), bold);
        let value = material.conductivity_text();
        let text = frame.lettering(18.0, INK);
        let value_width = font::width(&value, text.size, Weight::Regular);
        let label_room = frame.panel.width() - 58.0 * unit - value_width - 14.0 * unit;
        frame.canvas.text(
            &shortened(&material.label, text.size, label_room),
            (left + 58.0 * unit, base),
            text,
        );
        frame.canvas.text(&value, (frame.panel.right, base), Lettering { anchor: Anchor::Right, ..text });
        y += row;
    }
    let text = frame.lettering(17.0, GREY);
    if let Some(more) = used.len().checked_sub(MOST_MATERIALS).filter(|more| *more > 0) {
        frame.canvas.text(&format!("and {more} more without a number"), (left, y + 20.0 * unit), text);
        y += row;
    }
    y += 24.0 * unit;
    let pen = Pen::dashed(INK, 5.0 * unit, 16.0 * unit, 7.0 * unit);
    frame.canvas.line((left, y), (left + 46.0 * unit, y), pen);
    let what = if outcome.case.model.psi.as_ref().is_some_and(|psi| psi.planes_of_symmetry() > 0) {
        "cut-off plane or plane of symmetry (adiabatic)"
    } else {
        "cut-off plane (adiabatic)"
    };
    frame.canvas.text(what, (left + 58.0 * unit, y + 6.0 * unit), text);
    y += 32.0 * unit;
    frame.canvas.disc((left + 23.0 * unit, y), 9.0 * unit, PAPER, Pen::solid(INK, 2.4 * unit));
    frame.canvas.disc((left + 23.0 * unit, y), 2.7 * unit, INK, Pen::solid(INK, unit));
    frame.canvas.text("coldest inside surface", (left + 58.0 * unit, y + 6.0 * unit), text);
    if !cuts(&outcome.case.model).is_empty() {
        y += 32.0 * unit;
        for pen in cut_pens(unit) {
            frame.canvas.line((left, y), (left + 46.0 * unit, y), pen);
        }
        frame.canvas.text("air cut into cavities", (left + 58.0 * unit, y + 6.0 * unit), text);
    }
    y += 32.0 * unit;
    frame.canvas.text("Rs: surface resistance for heat loss, m²K/W", (left, y + 6.0 * unit), text);
    for line in resistances(outcome) {
        y += 26.0 * unit;
        frame.canvas.text(&line, (left, y + 6.0 * unit), text);
    }
    let lengths = frame.dimensions.descriptions();
    if !lengths.is_empty() {
        y += 38.0 * unit;
        frame.canvas.text("Lengths in mm, by convention of measurement", (left, y + 6.0 * unit), text);
    }
    for line in lengths {
        y += 26.0 * unit;
        let line = shortened(&line, text.size, frame.panel.width());
        frame.canvas.text(&line, (left, y + 6.0 * unit), text);
    }
}

/// Height of the legend's content, in units of the layout.
pub fn legend_height(outcome: &Outcome, dimensions: usize) -> f32 {
    let lines = dimensions + outcome.case.model.environments.len() + 3;
    150.0
        + 36.0 * outcome.plan.materials().len().min(MOST_MATERIALS + 1) as f32
        + 32.0 * 2.0
        + 26.0 * lines as f32
}

/// "room 0.10, 0.13, 0.17" for each environment: the resistances really in use.
fn resistances(outcome: &Outcome) -> Vec<String> {
    let mut lines = Vec::new();
    for (id, environment) in outcome.case.model.environments_by_id() {
        let values = outcome.surfaces.resistances(id);
        let values: Vec<String> = values.iter().map(|value| format!("{value:.2}")).collect();
        if !values.is_empty() {
            lines.push(format!("     {} {}", environment.name, values.join(", ")));
        }
    }
    lines
}

/// The text, cut with an ellipsis where it is wider than `room`.
pub fn shortened(text: &str, size: f32, room: f32) -> String {
    if font::width(text, size, Weight::Regular) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for character in text.chars() {
        if font::width(&format!("{kept}{character}…"), size, Weight::Regular) > room {
            break;
        }
        kept.push(character);
    }
    format!("{}…", kept.trim_end())
}
