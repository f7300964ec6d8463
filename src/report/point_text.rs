//! Temperatures at named points, with their errors rounded up.

use super::document::solve::Solve;
use super::number_text::temperature_text;

/// A named point for readers.
pub struct PointText {
    /// Its name.
    pub name: String,
    /// Temperature and error with the surface resistances for heat loss, °C.
    pub heat_loss: String,
    /// The same with those for condensation.
    pub condensation: Option<String>,
}

/// Every named point.
pub fn points(solve: &Solve) -> Vec<PointText> {
    let shown = |temperature: f64, error: Option<&f64>| match error {
        Some(error) => temperature_text(temperature, *error),
        None => format!("{temperature:.2}"),
    };
    let of = |(name, temperature): (&String, &f64)| PointText {
        name: name.clone(),
        heat_loss: shown(*temperature, solve.point_errors.get(name)),
        condensation: solve
            .points_condensation
            .get(name)
            .map(|other| shown(*other, solve.point_errors_condensation.get(name))),
    };
    solve.points.iter().map(of).collect()
}
