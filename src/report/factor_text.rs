//! f_Rsi and the coldest places in words.

use super::document::f_rsi::{CondensationPass, Place};
use crate::result::temperature_factor::error_text;

/// The internal surface resistances that f_Rsi is computed with.
pub fn condensation_resistance(pass: &CondensationPass) -> String {
    let higher =
        if pass.higher_resistance_stated { " or the higher one stated under `surfaces`" } else { "" };
    format!("internal surface resistance {} m²K/W{higher}", pass.resistance)
}

/// An estimated error to stand behind the factor, if it is known.
pub fn in_brackets(error: Option<f64>) -> String {
    error.map_or_else(String::new, |error| format!(" (estimated error {})", error_text(error)))
}

/// Temperature, °C, place, mm, and the material's label.
pub fn place(temperature: f64, [x, y]: [f64; 2], material: &str) -> String {
    // A zero has no sign.
    format!("{temperature:.2} °C at x = {:.1}, y = {:.1} mm on {material}", x + 0.0, y + 0.0)
}

impl Place {
    /// Temperature, place and material in words.
    pub fn description(&self) -> String {
        place(self.temperature, self.at, &self.material_label)
    }
}
