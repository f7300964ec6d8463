//! `coldseam uvalue --target`: the value of a parameter that reaches a U-value.

use std::path::Path;

use crate::case::{self, Library};
use crate::element::thickness::{self, Found};
use crate::material::four_digits;
use crate::report::document::target::{Size, Target};

/// The value of a parameter.
pub fn value_of(library: &Library, parameter: &str) -> Option<f64> {
    library.parameters.iter().find(|(name, _)| name == parameter).map(|(_, value)| *value)
}

/// Whether and how a target is reached.
pub struct Answer {
    /// For readers.
    pub text: String,
    /// For programs.
    pub document: Target,
}

/// What the parameter must be for one element, whose U-value `u_value` finds in a library, to reach the
/// target.
pub fn answer(
    path: &Path,
    sets: &[String],
    library: &Library,
    u_value: &dyn Fn(&Library) -> Option<f64>,
    (target, vary): (f64, &str),
) -> Answer {
    let with = |value: f64| -> Option<f64> {
        let sets: Vec<String> = sets.iter().cloned().chain([format!("{vary}={value:e}")]).collect();
        u_value(&case::load_library(path, &sets).ok()?)
    };
    let start = value_of(library, vary).unwrap_or(1.0);
    let found = thickness::search(&with, start, target);
    let (mut just, mut next) = (None, None);
    let (is_reached, text) = match found {
        Found::Value { value, more_is_better } => {
            just = Some(value);
            let bound = if more_is_better { "at least" } else { "at most" };
            let shown =
                if more_is_better { (value * 10.0 - 1e-6).ceil() } else { (value * 10.0 + 1e-6).floor() }
                    / 10.0;
            let mut text = format!("  U ≤ {target} W/(m²K) needs {vary} {bound} {shown}");
            let sizes =
                library.sizes.iter().rev().find(|(name, _)| name == vary).map(|(_, sizes)| sizes.as_slice());
            let mut is_reached = true;
            if let Some(sizes) = sizes {
                if let Some(size) = thickness::next_size(sizes, value, more_is_better) {
                    let u = with(size);
                    next = Some(Size { size, u_value_of_size: u });
                    let with = u.map_or_else(
                        || "which the file cannot be read with".to_owned(),
                        |u| format!("with U = {u:.4}"),
                    );
                    text.push_str(&format!("; the next size is {}, {with}", four_digits(size)));
                } else {
                    is_reached = false;
                    text.push_str("; no size on the list reaches it");
                }
            }
            (is_reached, text)
        }
        Found::Independent => (true, format!("  U does not depend on {vary}")),
        Found::OutOfReach(best) => {
            (false, format!("  no {vary} reaches U ≤ {target} W/(m²K); the best met was {best:.4}"))
        }
        Found::Always(value) => (
            true,
            format!("  U ≤ {target} W/(m²K) whatever {vary} is, at least as far as {}", four_digits(value)),
        ),
    };
    let document =
        Target { u_value: target, parameter: vary.to_owned(), value: just, size: next, reached: is_reached };
    Answer { text: text + "\n", document }
}
