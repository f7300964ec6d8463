//! Which way heat flows through level surfaces, and how that was told.

use super::diagnostics::printable;
use super::document::cavities::LevelSurface;
use crate::plan::level::Told;

/// A line for each surface of which somebody might doubt the direction: none where that was certain
/// beforehand.
pub fn lines(surfaces: &[LevelSurface]) -> Vec<String> {
    let line = |surface: &LevelSurface| {
        let LevelSurface { heat_flow, net_flow, y, y_right, x: [left, right], resistance, .. } = surface;
        let to = y_right.map_or_else(String::new, |right| format!(" to {right}"));
        let word = heat_flow.word();
        let told = match surface.told {
            Told::Certain => return None,
            Told::Stated => format!("{word} (stated in the case)"),
            Told::Solution => format!("{word} (told from the solution, {:.3} W/m)", net_flow.abs()),
            Told::Open | Told::Undecided => format!("undecided, so taken as {word}"),
        };
        Some(format!(
            "Heat flow at the {} of {}, y = {y}{to}, x = {left} to {right} mm: {told}, R = {resistance} m²K/W",
            surface.surface,
            printable(&surface.environment),
        ))
    };
    surfaces.iter().filter_map(line).collect()
}
