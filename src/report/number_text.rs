//! Numbers as readers see them: rounded, errors rounded up.

use super::document::grid::Accuracy;

/// A number with so many decimals; what rounds to zero has no sign.
pub fn decimals(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if shows_zero(&text) { text.trim_start_matches('-').to_owned() } else { text }
}

/// True for a written number of which no digit but zeros is left.
pub fn shows_zero(text: &str) -> bool {
    text.chars().all(|digit| matches!(digit, '+' | '-' | '0' | '.'))
}

/// A temperature with its error, K, rounded up.
pub fn temperature_text(temperature: f64, error: f64) -> String {
    format!("{temperature:.2} ± {:.2}", (error * 100.0).ceil() / 100.0)
}

/// A heat flow, W/m.
pub fn heat_flow(flow: Option<f64>) -> String {
    flow.map_or_else(|| "infinite".to_owned(), |flow| decimals(flow, 3))
}

/// A number of iterations in words.
pub fn iterations(count: usize) -> String {
    if count == 1 { "1 iteration".to_owned() } else { format!("{count} iterations") }
}

/// Why a plan is computed on triangles.
pub fn why_triangles(accuracy: &Accuracy) -> &'static str {
    if accuracy.triangles.is_some() { "a grid would need far more unknowns" } else { "edges slope" }
}

/// What the subdivision is compared with.
pub fn subdivided(is_on_triangles: bool) -> &'static str {
    if is_on_triangles { "Triangles cut in four" } else { "Cells halved in both directions" }
}
