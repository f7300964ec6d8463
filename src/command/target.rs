//! `coldseam uvalue --target`: the value of a parameter that reaches a U-value.

use std::path::Path;

use crate::case::{self, Library};
use crate::element::thickness::{self, Found};
use crate::report::document::target::{self, Bound, Size, Target};

/// The value of a parameter.
pub fn value_of(library: &Library, parameter: &str) -> Option<f64> {
    library.parameters.iter().find(|(name, _)| name == parameter).map(|(_, value)| *value)
}

/// What the parameter must be for one element, whose U-value `u_value` finds in a library, to reach the
/// target.
pub fn answer(
    path: &Path,
    sets: &[String],
    library: &Library,
    u_value: &dyn Fn(&Library) -> Option<f64>,
    (wanted, vary): (f64, &str),
) -> Target {
    let with = |value: f64| -> Option<f64> {
        let sets: Vec<String> = sets.iter().cloned().chain([format!("{vary}={value:e}")]).collect();
        u_value(&case::load_library(path, &sets).ok()?)
    };
    let start = value_of(library, vary).unwrap_or(1.0);
    let found = thickness::search(&with, start, wanted);
    let mut document = Target {
        u_value: wanted,
        parameter: vary.to_owned(),
        found: target::Found::Value,
        value: None,
        bound: None,
        best_u_value: None,
        tried_to: None,
        size: None,
        reached: true,
    };
    match found {
        Found::Value { value, more_is_better } => {
            document.value = Some(value);
            document.bound = Some(if more_is_better { Bound::AtLeast } else { Bound::AtMost });
            let sizes =
                library.sizes.iter().rev().find(|(name, _)| name == vary).map(|(_, sizes)| sizes.as_slice());
            if let Some(sizes) = sizes {
                let next = thickness::next_size(sizes, value, more_is_better);
                document.reached = next.is_some();
                document.size = next.map(|size| Size { size, u_value_of_size: with(size) });
            }
        }
        Found::Independent => document.found = target::Found::Independent,
        Found::OutOfReach(best) => {
            document.found = target::Found::OutOfReach;
            // Infinite where nothing could be built.
            document.best_u_value = Some(best).filter(|best| best.is_finite());
            document.reached = false;
        }
        Found::Always(value) => {
            document.found = target::Found::Always;
            document.tried_to = Some(value);
        }
    }
    document
}
