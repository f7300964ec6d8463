//! The pictures of the page.

use std::error::Error;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use minijinja::{Value, context};

use super::WIDTH;
use crate::draw;
use crate::result::{Fields, Outcome};

/// Every picture that the page shows.
pub(super) fn pictures(outcome: &Outcome, fields: &Fields) -> Result<Vec<Value>, Box<dyn Error>> {
    let labels = [
        ("plan", "Plan", "The plan: materials by number, environments, cut-off planes and lengths"),
        ("temperature", "Temperature", "Temperature field with isotherms"),
        (
            "temperature-factor",
            "Temperature factor",
            "Temperature factor, with the critical value and the surfaces below it marked",
        ),
        ("heat-flow", "Heat flow", "Heat flux with heat flow lines that have equal flows between them"),
        ("grid", "Grid", "The computing grid and where the uncertainty sits"),
    ];
    let mut pictures = Vec::new();
    for (key, canvas) in draw::pictures_of(outcome, fields, WIDTH) {
        let Some((_, label, alt)) = labels.iter().find(|(known, ..)| *known == key) else { continue };
        let (width, height) = (canvas.width(), canvas.height());
        let data = STANDARD.encode(canvas.to_png()?);
        pictures.push(context! { key, label, alt, width, height, data });
    }
    Ok(pictures)
}
