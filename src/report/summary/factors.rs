//! The temperature factors with their coldest places.

use std::fmt::Write;

use crate::report::diagnostics::printable;
use crate::report::document::environments::Environment;
use crate::report::document::f_rsi::{Place, SomeFactor};
use crate::report::document::solve::Solve;
use crate::report::factor_text::{condensation_resistance, in_brackets};

/// Every factor.
pub(super) fn factors(text: &mut String, solve: &Solve) {
    if solve.f_rsi.is_empty() {
        return;
    }
    let resistances = match &solve.condensation {
        Some(pass) => format!("{} for condensation", condensation_resistance(pass)),
        None => "surface resistances for heat loss".to_owned(),
    };
    let _ = writeln!(text, "Temperature factor ({resistances})");
    for (name, factor) in &solve.f_rsi {
        let Some(environment) = solve.environments.iter().find(|known| known.name == *name) else { continue };
        let (counted, excluded) = factor.places();
        if let Some(factor) = counted {
            let _ = writeln!(text, "  {:<20} f_Rsi = {}", printable(name), place(&factor.coldest));
            let critical = solve.condensation.as_ref().and_then(|pass| pass.critical);
            verdicts(text, factor, critical, environment);
            weights(text, &factor.coldest);
        }
        if let Some(excluded) = excluded {
            let _ = writeln!(text, "  {:<20} f     = {}  (excluded, judged apart)", "", place(excluded));
            apart(text, excluded, environment);
        }
    }
    text.push('\n');
}

/// The factor with its error and where it is.
fn place(place: &Place) -> String {
    format!("{:.3}{}: {}", place.value, in_brackets(place.estimated_error), printable(&place.description()))
}

/// "20 °C and 50 %"
fn air(environment: &Environment) -> String {
    let humidity = environment.humidity.unwrap_or_default();
    format!("{} °C and {:.0} %", environment.temperature, humidity * 100.0)
}

fn verdicts(text: &mut String, factor: &SomeFactor, critical: Option<f64>, environment: &Environment) {
    if let Some((critical, reached)) = critical.zip(factor.critical_reached) {
        let verdict = if reached { "reached" } else { "NOT reached" };
        let _ = writeln!(text, "  {:<20} critical value of the case {critical}: {verdict}", "");
    }
    let Place { surface_humidity: Some(at_surface), dew_point: Some(dew), .. } = factor.coldest else {
        return;
    };
    let Some(mould) = factor.mould_below else { return };
    let _ = writeln!(
        text,
        "  {:<20} air of {}: surface humidity there {:.0} % (mould from 80 %, {mould:.1} °C; dew point {dew:.1} °C)",
        "",
        air(environment),
        at_surface * 100.0
    );
}

/// On frames and glazing condensation counts, not mould.
fn apart(text: &mut String, excluded: &Place, environment: &Environment) {
    let Some(dew) = excluded.dew_point else { return };
    let verdict = if excluded.temperature >= dew { "no condensation there" } else { "CONDENSATION there" };
    let _ = writeln!(text, "  {:<20} air of {}: {verdict}", "", air(environment));
}

fn weights(text: &mut String, coldest: &Place) {
    let Some(weights) = &coldest.weights else { return };
    let parts: Vec<String> =
        weights.iter().map(|(name, weight)| format!("{weight:.3} × {}", printable(name))).collect();
    let _ = writeln!(text, "  {:<20} temperature there = {}", "", parts.join(" + "));
}
