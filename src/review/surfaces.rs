//! Surface resistances against ISO 6946 (heat loss) and ISO 13788 (condensation).

use super::{Findings, Question};
use crate::case::Case;
use crate::geometry::millimetres;
use crate::material::four_digits;
use crate::model::{EnvironmentId, Model, Role};
use crate::plan::level::Told;
use crate::plan::surface::{Film, Purpose, Surfaces};
use crate::result::Outcome;
use crate::standard::{CONDENSATION_ON_OPAQUE, HeatFlow, REDUCED_RADIATION};

pub fn review(outcome: &Outcome, findings: &mut Findings) {
    let case = &outcome.case;
    let plain = Model { surfaces: Vec::new(), ..case.model.clone() };
    let standard = Surfaces::of(&plain, &outcome.plan, Purpose::HeatLoss);
    let mut told: Vec<(EnvironmentId, u64, u64)> = Vec::new();
    let mut compare = |own: Option<Film>, standard: Option<Film>| {
        let (Some(own), Some(standard)) = (own, standard) else { return };
        let key = (own.environment, own.resistance.to_bits(), standard.resistance.to_bits());
        if own.resistance == standard.resistance || told.contains(&key) {
            return;
        }
        told.push(key);
        changed(case, own, standard, findings);
    };
    for edge in outcome.plan.edges() {
        compare(outcome.surfaces.at(edge.id), standard.at(edge.id));
    }
    contradicted(outcome, findings);
    if case.model.condensation.is_none() && !outcome.factors.is_empty() {
        findings.look(
            Question::Surfaces,
            format!(
                "f_Rsi is computed with the surface resistances for heat loss, since the case has no `condensation`: ISO 13788 has {CONDENSATION_ON_OPAQUE} inside, which makes corners colder"
            ),
        );
    }
    if let Some(condensation) = &case.model.condensation {
        let own = condensation.resistance;
        let evidence = format!(
            "condensation is judged with an internal surface resistance of {own}; ISO 13788 has {CONDENSATION_ON_OPAQUE}"
        );
        if own < CONDENSATION_ON_OPAQUE {
            findings.fail(Question::Surfaces, evidence);
        } else if own > CONDENSATION_ON_OPAQUE {
            findings.look(Question::Surfaces, format!("{evidence}: on the careful side"));
        }
    }
}

/// Stated directions that heat does not take in the solution.
fn contradicted(outcome: &Outcome, findings: &mut Findings) {
    for (run, net_flow) in outcome.plan.level.runs.iter().zip(&outcome.level_flows) {
        let solved = run.direction_of(*net_flow > 0.0);
        // A surface that heat hardly crosses may well be called one with horizontal flow.
        if run.told == Told::Stated && run.heat_flow != HeatFlow::Horizontal && run.heat_flow != solved {
            let environment = &outcome.case.model.environments[run.environment].name;
            let height = millimetres(run.heights()[0]);
            let (stated, side) = (run.heat_flow.word(), run.side());
            let evidence = format!(
                "heat flow {stated} is stated at the {side} of {environment}, y = {height} mm, where {:.3} W/m flow {} in the solution",
                net_flow.abs(),
                solved.word()
            );
            findings.look(Question::Surfaces, evidence);
        }
    }
}

fn changed(case: &Case, own: Film, standard: Film, findings: &mut Findings) {
    let environment = &case.model.environments[own.environment];
    let (is, wanted) = (four_digits(own.resistance.max(1e-9)), standard.resistance);
    let is = if own.resistance == 0.0 { "0".to_owned() } else { is };
    let evidence =
        format!("towards {} the case sets {is} m²K/W where the standard has {wanted}", environment.name);
    let is_frame =
        case.model.psi.as_ref().is_some_and(|psi| psi.frame.is_some()) && own.resistance == REDUCED_RADIATION;
    if is_frame {
        findings
            .pass(Question::Surfaces, format!("{evidence}: reduced radiation beside a frame (ISO 10077-2)"));
    } else if environment.role == Role::External
        && HeatFlow::ALL.iter().any(|way| way.internal_resistance() == own.resistance)
    {
        findings.look(Question::Surfaces, format!("{evidence}: right only behind a ventilated layer"));
    } else if own.resistance > standard.resistance {
        findings.fail(Question::Surfaces, format!("{evidence}: it lowers the loss"));
    } else {
        findings.look(Question::Surfaces, format!("{evidence}: it raises the loss"));
    }
}
