//! Conductivities and their sources.

use super::drawing::is_idle;
use super::{Findings, Question};
use crate::material::kind::{self, AsWindow};
use crate::material::{Material, Origin, four_digits, generic};
use crate::model::Model;
use crate::result::Outcome;

/// Rounding that does not make a value unusual.
const ROUNDING: f64 = 0.01;
/// What conducts so many times more than its kind is not of this kind, or written in another unit.
const BEYOND_KIND: f64 = 10.0;
/// A source shorter than this names nothing.
const SHORTEST_SOURCE: usize = 8;
/// Words that stand where a source should.
const NO_SOURCE: [&str; 9] =
    ["unknown", "tbc", "tbd", "to follow", "n/a", "none", "assumed", "estimate", "guess"];

pub fn review(outcome: &Outcome, findings: &mut Findings) {
    let model = &outcome.case.model;
    for (id, material) in model.materials_by_id().filter(|(_, material)| material.origin == Origin::Own) {
        // What files share and this case does not use decides nothing here.
        if outcome.case.shared_materials.contains(&material.name) && is_idle(outcome, id) {
            continue;
        }
        conductivity(material, findings);
        namesake(material, findings);
        source(material, findings);
    }
    excluded(model, findings);
}

fn conductivity(material: &Material, findings: &mut Findings) {
    let kind = kind::of(material);
    let Some(kind) = kind else {
        let evidence =
            format!("{} (λ {}): its name tells no known kind", material.label, material.conductivity_text());
        findings.look(Question::Conductivities, evidence);
        return;
    };
    let (low, high) = kind.range;
    for value in [material.conductivity_x, material.conductivity_y] {
        let usual = format!("{} is {}, whose λ is usually {low} to {high}", material.label, kind.name);
        if value < low * (1.0 - ROUNDING) {
            findings.fail(Question::Conductivities, format!("{usual}; here {} W/(m·K)", four_digits(value)));
            return;
        }
        if value > high * BEYOND_KIND {
            findings.fail(Question::Conductivities, format!("{usual}; here {} W/(m·K)", four_digits(value)));
            return;
        }
        if value > high * (1.0 + ROUNDING) {
            findings.look(
                Question::Conductivities,
                format!("{usual}; here {} W/(m·K), on the careful side", four_digits(value)),
            );
            return;
        }
    }
}

/// The case's own wins over a generic material of the same name, and whoever reads the name must know.
fn namesake(material: &Material, findings: &mut Findings) {
    if let Some(row) = generic::find(&material.name) {
        let (own, generic) = (material.conductivity_text(), four_digits(row.conductivity));
        let evidence = format!(
            "`{}` is the case's own (λ {own}), not the generic material of this name (λ {generic})",
            material.name
        );
        findings.look(Question::Conductivities, evidence);
    }
}

fn source(material: &Material, findings: &mut Findings) {
    let text = material.source.to_lowercase();
    let says_nothing =
        text.chars().count() < SHORTEST_SOURCE || NO_SOURCE.iter().any(|word| text.contains(word));
    if says_nothing {
        findings.fail(
            Question::Sources,
            format!("{}: \"{}\" is no source that can be checked", material.label, material.source),
        );
    } else if text.contains("invented") {
        findings.look(Question::Sources, format!("{}: \"{}\"", material.label, material.source));
    }
}

/// Only frames and glazing may be judged apart; a wall that is left out hides its own mould.
fn excluded(model: &Model, findings: &mut Findings) {
    for index in model.judged_apart() {
        let material = &model.materials[*index];
        let kind = kind::of(material);
        let evidence = format!("{} is judged apart for condensation (`exclude`)", material.label);
        match kind.map(|kind| kind.as_window) {
            Some(AsWindow::IsNot) => {
                findings.fail(Question::Surfaces, format!("{evidence}, though it is no frame or glazing"));
            }
            Some(AsWindow::MayBe) => {
                findings.look(Question::Surfaces, format!("{evidence}: is all of it frame or glazing?"));
            }
            Some(AsWindow::Is) | None => {}
        }
    }
}
