//! Whether and how an element reaches a U-value, for the terminal.

use super::document::target::{Bound, Found, Target};
use crate::material::four_digits;

/// A line.
pub fn text(target: &Target) -> String {
    let Target { u_value, parameter: vary, .. } = target;
    let text = match target.found {
        Found::Value => value(target),
        Found::Independent => format!("  U does not depend on {vary}"),
        Found::OutOfReach => {
            let best = target.best_u_value.map(|best| format!("; the best met was {best:.4}"));
            format!("  no {vary} reaches U ≤ {u_value} W/(m²K){}", best.unwrap_or_default())
        }
        Found::Always => {
            let last = four_digits(target.tried_to.unwrap_or_default());
            format!("  U ≤ {u_value} W/(m²K) whatever {vary} is, at least as far as {last}")
        }
    };
    text + "\n"
}

/// The value that just reaches the target, rounded so that it still does, and the next size.
fn value(target: &Target) -> String {
    let Target { u_value, parameter: vary, .. } = target;
    let value = target.value.unwrap_or_default();
    let (bound, tenths) = match target.bound {
        Some(Bound::AtMost) => ("at most", (value * 10.0 + 1e-6).floor()),
        _ => ("at least", (value * 10.0 - 1e-6).ceil()),
    };
    let size = match &target.size {
        Some(size) => {
            let with = size.u_value_of_size.map_or_else(
                || "which the file cannot be read with".to_owned(),
                |u| format!("with U = {u:.4}"),
            );
            format!("; the next size is {}, {with}", four_digits(size.size))
        }
        // Without a list of sizes the value itself counts.
        None if target.reached => String::new(),
        None => "; no size on the list reaches it".to_owned(),
    };
    format!("  U ≤ {u_value} W/(m²K) needs {vary} {bound} {}{size}", tenths / 10.0)
}
