//! f_Rsi, the coldest places and what they are held against, in words.

use super::document::condensation::{ColdestPlace, Limit, Verdict};
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
fn place(temperature: f64, [x, y]: [f64; 2], material: &str) -> String {
    // A zero has no sign.
    format!("{temperature:.2} °C at x = {:.1}, y = {:.1} mm on {material}", x + 0.0, y + 0.0)
}

impl Place {
    /// Temperature, place and material in words.
    pub fn description(&self) -> String {
        place(self.temperature, self.at, &self.material_label)
    }
}

impl ColdestPlace {
    /// Temperature, place and material in words.
    pub fn description(&self) -> String {
        place(self.temperature, self.at, &self.material_label)
    }
}

/// A limit for readers.
pub struct LimitText {
    /// f_Rsi that it takes.
    pub needed: String,
    /// The verdict.
    pub verdict: &'static str,
    /// The humidity of the room from which it is passed.
    pub onset: String,
    /// Length of surface below it.
    pub below: String,
}

impl LimitText {
    /// In words; a dash where there is no value.
    pub fn of(limit: &Limit) -> Self {
        let dash = || "–".to_owned();
        Self {
            needed: limit.needed_f_rsi.map_or_else(dash, |needed| format!("{needed:.3}")),
            verdict: limit.verdict.map_or("humidity unknown", Verdict::label),
            onset: match limit.begins_at_humidity {
                None => dash(),
                Some(onset) if onset >= 1.0 => "never".to_owned(),
                Some(onset) => format!("{:.0} %", onset * 100.0),
            },
            below: limit.needed_f_rsi.map_or_else(dash, |_| format!("{:.3} m", limit.length_below)),
        }
    }
}
