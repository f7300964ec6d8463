//! `coldseam dwelling`: adds up A·U and l·ψ of a dwelling.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use serde_json::json;

use super::solve::Format;
use super::{Outcome, complain, failed, print, show};
use crate::bounds::Bracket;
use crate::case::{self, Case, Diagnostic, Dwelling, PsiSource, Rejected};
use crate::report::diagnostics::printable;
use crate::report::element_text::CAUTION;
use crate::result::dwelling::{Sum, sum};
use crate::result::{self, Failure};

/// What `dwelling` was asked for.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The file.
    pub file: PathBuf,
    /// `NAME=VALUE` for each parameter to replace.
    pub sets: Vec<String>,
    /// What to print.
    pub format: Format,
}

/// Reads the dwelling and all its cases, solves these in parallel, and adds up.
pub fn run(settings: &Settings) -> Outcome {
    let library = match case::load_library(&settings.file, &settings.sets) {
        Ok(library) => library,
        Err(rejected) => {
            show(&rejected.diagnostics, &rejected.sources);
            return Outcome::WrongInput;
        }
    };
    let Some(dwelling) = &library.dwelling else {
        complain(&format!(
            "error: {} has no `dwelling:`; `coldseam new dwelling` writes one as a starting file\n",
            settings.file.display()
        ));
        return Outcome::WrongInput;
    };
    show(&library.warnings, &library.sources);
    let folder = settings.file.parent().unwrap_or(Path::new(""));
    let mut cases: Vec<Option<Case>> = Vec::new();
    let mut is_complete = true;
    for junction in &dwelling.junctions {
        cases.push(match &junction.psi {
            PsiSource::Given(..) => None,
            PsiSource::Case(file, sets) => match case::load(&folder.join(file), sets) {
                Ok(case) => Some(case),
                Err(rejected) => {
                    let message = format!("the case of the junction `{}` cannot be used", junction.name);
                    show(&[Diagnostic::error(junction.place, message)], &library.sources);
                    show(&rejected.diagnostics, &rejected.sources);
                    is_complete = false;
                    None
                }
            },
        });
    }
    if !is_complete {
        return Outcome::WrongInput;
    }
    let psi: Result<Vec<(Bracket, String)>, Failure> = dwelling
        .junctions
        .par_iter()
        .zip(cases)
        .map(|(junction, case)| match (&junction.psi, case) {
            (PsiSource::Given(psi, source), _) => Ok((Bracket::exact(*psi)?, format!("stated: {source}"))),
            (PsiSource::Case(file, sets), Some(case)) => {
                let outcome = result::compute(case)?;
                let own = outcome.psi.iter().find(|psi| psi.convention == dwelling.convention).map(|psi| psi.bracket);
                let sets = if sets.is_empty() { String::new() } else { format!(" with {}", sets.join(", ")) };
                own.map(|psi| (psi, format!("computed: {file}{sets}"))).ok_or_else(|| {
                    let message = format!("{file} states no ψ by {} dimensions", dwelling.convention.label());
                    let hint = "give every flanking element of the case its length by this convention";
                    let diagnostics = vec![Diagnostic::error(junction.place, message).hint(hint)];
                    Failure::from(Rejected { diagnostics, sources: library.sources.clone() })
                })
            }
            (PsiSource::Case(..), None) => Ok((Bracket::exact(0.0)?, String::new())),
        })
        .collect();
    let sum = match psi.and_then(|psi| Ok(sum(dwelling, psi)?)) {
        Ok(sum) => sum,
        Err(failure) => return failed(&failure),
    };
    match settings.format {
        Format::Text => print(&text(&library.title, dwelling, &sum)),
        Format::Json => print(&format!("{:#}\n", document(&library.title, dwelling, &sum))),
    }
    Outcome::Done
}

fn text(title: &str, dwelling: &Dwelling, sum: &Sum) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}, {} dimensions\n", printable(title), dwelling.convention.label());
    let total = sum.total().middle();
    let share = |loss: f64| if total == 0.0 { 0.0 } else { loss / total * 100.0 };
    let _ = writeln!(text, "  {:<30} {:>10} {:>12} {:>10} {:>7}", "element", "A in m²", "U W/(m²K)", "W/K", "share");
    for element in &dwelling.elements {
        let loss = element.reduction * element.area * element.u_value;
        let reduction = if element.reduction == 1.0 { String::new() } else { format!(", b = {}", element.reduction) };
        let _ = writeln!(
            text,
            "  {:<30} {:>10.2} {:>12.4} {loss:>10.3} {:>5.1} %  {}{reduction}",
            printable(&element.name),
            element.area,
            element.u_value,
            share(loss),
            printable(&element.origin)
        );
    }
    let _ = writeln!(text, "\n  {:<30} {:>10} {:>12} {:>10} {:>7}", "junction", "l in m", "ψ W/(m·K)", "W/K", "share");
    for junction in &sum.junctions {
        let loss = junction.loss.middle();
        let _ = writeln!(
            text,
            "  {:<30} {:>10.2} {:>12.4} {loss:>10.3} {:>5.1} %  {}",
            printable(&junction.name),
            junction.length,
            junction.psi.middle(),
            share(loss),
            printable(&junction.origin)
        );
    }
    let _ = writeln!(text, "\n  plane elements  Σ A·U = {:.3} W/K over {:.2} m²", sum.elements, sum.area);
    let _ = writeln!(
        text,
        "  junctions       Σ l·ψ = {:.3} ± {:.3} W/K",
        sum.bridges.middle(),
        (sum.bridges.half_width() * 1e3).ceil() / 1e3
    );
    if let Some(per_area) = sum.per_area() {
        let _ = writeln!(text, "  per area of envelope    {:.4} W/(m²K)", per_area.middle());
    }
    let _ = writeln!(text, "  transmission        H = {total:.3} W/K\n\n{CAUTION}");
    text
}

fn document(title: &str, dwelling: &Dwelling, sum: &Sum) -> serde_json::Value {
    let bracket = |bracket: Bracket| json!({ "value": bracket.middle(), "lower": bracket.lower(), "upper": bracket.upper() });
    json!({
        "coldseam": 1,
        "title": title,
        "convention": dwelling.convention.key(),
        "elements": dwelling.elements.iter().map(|element| json!({
            "element": element.name, "area": element.area, "u_value": element.u_value, "reduction": element.reduction,
            "loss": element.reduction * element.area * element.u_value, "origin": element.origin,
        })).collect::<Vec<_>>(),
        "junctions": sum.junctions.iter().map(|junction| json!({
            "junction": junction.name, "length": junction.length, "psi": bracket(junction.psi), "loss": bracket(junction.loss), "origin": junction.origin,
        })).collect::<Vec<_>>(),
        "elements_loss": sum.elements,
        "junctions_loss": bracket(sum.bridges),
        "area": sum.area,
        "junctions_per_area": sum.per_area().map(bracket),
        "transmission": bracket(sum.total()),
    })
}
