//! What single changes are worth, and what a variant changes, for the terminal.

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::what_helps::{AgainstFile, ChangedParameter, Standing, WhatHelps};
use crate::material::four_digits;
use crate::result::what_helps::{LEAST_FACTOR, LEAST_PSI};

/// A change in words: "20 more insulation (150 → 170)".
fn change(effect: &WhatHelps) -> String {
    let WhatHelps { from, to, .. } = effect;
    match &effect.parameter {
        Some(name) => {
            let step = four_digits((to - from).abs());
            let direction = if to > from { "more" } else { "less" };
            format!("{step} {direction} {} ({from} → {to})", printable(name))
        }
        None => format!("{} a fifth lower ({} → {})", what(effect), four_digits(*from), four_digits(*to)),
    }
}

/// What is changed: "insulation", "λ of Concrete".
fn what(effect: &WhatHelps) -> String {
    match (&effect.parameter, &effect.conductivity_of_label) {
        (Some(name), _) => printable(name),
        (None, label) => format!("λ of {}", label.as_deref().map(printable).unwrap_or_default()),
    }
}

/// A signed number with a proper minus.
fn signed(value: f64, decimals: usize) -> String {
    format!("{value:+.decimals$}").replace('-', "−")
}

/// What helps, largest effect first; `is_safe` says what the case itself is.
pub fn effects(effects: &[WhatHelps], is_safe: bool) -> String {
    let mut text = String::from("What helps, one change at a time, each solved anew:\n");
    let tells = |effect: &&WhatHelps| {
        effect.f_rsi_change.abs() >= LEAST_FACTOR
            || effect.psi_change.is_some_and(|psi| psi.abs() >= LEAST_PSI)
    };
    for effect in effects.iter().filter(tells) {
        let psi = effect.psi_change.map_or_else(String::new, |psi| format!(", ψ {}", signed(psi, 3)));
        let mended = if effect.is_safe && !is_safe { "  → safe" } else { "" };
        let _ =
            writeln!(text, "  {:<66} f_Rsi {}{psi}{mended}", change(effect), signed(effect.f_rsi_change, 3));
    }
    let rest: Vec<String> = effects.iter().filter(|effect| !tells(effect)).map(what).collect();
    if !rest.is_empty() {
        let _ = writeln!(
            text,
            "  no difference worth telling (below {LEAST_FACTOR} and {LEAST_PSI} W/(m·K)): {}",
            rest.join(", ")
        );
    }
    let _ = writeln!(
        text,
        "  Numbers of the drawing are in mm; a change that cannot be built is left out. Check what else a change touches.\n"
    );
    text
}

/// How a variant differs from the file as it stands.
pub fn against_file(changes: &AgainstFile) -> String {
    let AgainstFile { changed, file, variant } = changes;
    let changed: Vec<String> = changed
        .iter()
        .map(|ChangedParameter { parameter, from, to }| format!("{} {from} → {to}", printable(parameter)))
        .collect();
    let word = |standing: &Standing| if standing.is_safe { "safe" } else { "NOT safe" };
    let psi = file
        .psi
        .zip(variant.psi)
        .map_or_else(String::new, |(file, own)| format!(", ψ {file:.3} → {own:.3} W/(m·K)"));
    format!(
        "Against the file as it stands ({}): f_Rsi {:.3} → {:.3}{psi}; {} → {}\n\n",
        changed.join(", "),
        file.f_rsi,
        variant.f_rsi,
        word(file),
        word(variant)
    )
}
