//! Numbers as readers see them: rounded, errors rounded up.

use super::document::solve::Solve;

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

/// A heat flow, W/m, with its error, rounded up; no digits beyond it. Without an error as many as a percent of it
/// leaves.
pub fn heat_flow(flow: Option<f64>, error: Option<f64>) -> String {
    let Some(flow) = flow else { return "infinite".to_owned() };
    let known = error.unwrap_or(flow.abs() / 100.0);
    let places = (-libm::log10(known.max(1e-9))).floor().clamp(0.0, 3.0) as usize;
    let unit = 10_f64.powi(places as i32);
    let shown = decimals(flow, places);
    match error {
        // What rounding to the last digit moves counts too.
        Some(error) => {
            let rounded = (flow * unit).round() / unit;
            let error = ((error + (flow - rounded).abs()) * unit - 1e-6).ceil().max(0.0) / unit;
            format!("{shown} ± {error:.places$}")
        }
        None => shown,
    }
}

/// A number of iterations in words.
pub fn iterations(count: usize) -> String {
    if count == 1 { "1 iteration".to_owned() } else { format!("{count} iterations") }
}

/// Why a plan is computed on triangles.
pub fn why_triangles(solve: &Solve) -> &'static str {
    if solve.accuracy.triangles.is_some() {
        "a grid would need far more unknowns"
    } else if solve.extent_points.as_ref().is_some_and(|corners| !slopes(corners)) {
        "the extent is no rectangle"
    } else {
        "edges slope"
    }
}

/// True if an edge between corners in order is neither level nor upright.
fn slopes(corners: &[[f64; 2]]) -> bool {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).any(|(from, to)| from[0] != to[0] && from[1] != to[1])
}

/// What the subdivision is compared with.
pub fn subdivided(is_on_triangles: bool) -> &'static str {
    if is_on_triangles { "Triangles cut in four" } else { "Cells halved in both directions" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heat_flows_end_where_their_error_begins() {
        for (flow, error, expected) in [
            (Some(12.956_4), Some(0.001_6), "12.96 ± 0.01"),
            (Some(12.956_4), Some(0.000_000_1), "12.956 ± 0.001"),
            (Some(12.956_4), Some(0.2), "13 ± 1"),
            (Some(-312.4), Some(4.1), "-312 ± 5"),
            (Some(-0.000_1), Some(0.0), "0.000 ± 0.001"),
            (Some(12.5), Some(0.0), "12.500 ± 0.000"),
            (Some(7.834), None, "7.8"),
            (None, None, "infinite"),
        ] {
            assert_eq!(heat_flow(flow, error), expected);
        }
    }
}
