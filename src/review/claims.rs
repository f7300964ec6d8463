//! What a submission states about its results.

use super::{Findings, Question};
use crate::bounds::Bracket;
use crate::case::Claim;
use crate::result::condensation::{assess, lowest};
use crate::result::{Outcome, stated};

/// U-values are exact but for this.
const ROUNDING: f64 = 1e-9;
/// What is stated more coarsely than to this says too little: half of the last digit that the trade prints, of ψ and
/// L2D, and of f_Rsi and U.
const COARSEST: [f64; 2] = [0.0005, 0.005];

/// How far from what is computed a claim may lie by its last digit; that it is too coarse, if it is.
fn rounding(claim: &Claim, coarsest: f64, findings: &mut Findings) -> f64 {
    if claim.rounding > coarsest * (1.0 + ROUNDING) {
        let evidence = format!(
            "{} = {} is stated to ± {} only: nothing that differs by less than ± {coarsest} can be told from it",
            claim.key, claim.value, claim.rounding
        );
        findings.look(Question::Claims, evidence);
    }
    claim.rounding.min(coarsest) + ROUNDING
}

pub fn review(outcome: &Outcome, findings: &mut Findings) {
    let claims = &outcome.case.claims;
    if !claims.iter().any(|claim| claim.element.is_none()) {
        findings.look(
            Question::Claims,
            "the submission states no results (`claims:`), so there is nothing to compare",
        );
    }
    for pair in outcome.pairs() {
        stated_u_values(pair, findings);
    }
    for claim in claims {
        match &claim.element {
            Some(element) => u_value(outcome, claim, element, findings),
            None => result(outcome, claim, findings),
        }
    }
}

fn result(outcome: &Outcome, claim: &Claim, findings: &mut Findings) {
    let computed: Option<(Bracket, &str)> = match claim.key.as_str() {
        "l2d" => outcome.l2d.map(|l2d| (l2d, "guaranteed")),
        "f_rsi" => lowest(&assess(outcome, None)).and_then(|assessment| {
            let (factor, error) = (assessment.coldest.factor, assessment.error.unwrap_or(0.0));
            Some((Bracket::around(factor, error).ok()?, "with its estimated error"))
        }),
        key => outcome.psi_by_key(key).map(|psi| (psi.bracket, "guaranteed")),
    };
    let Some((bracket, meaning)) = computed else {
        let evidence =
            format!("{} = {} is stated, but the case does not lead to such a value", claim.key, claim.value);
        findings.fail(Question::Claims, evidence);
        return;
    };
    let evidence = format!("{} = {} is stated; computed {bracket}, {meaning}", claim.key, claim.value);
    let coarsest = COARSEST[usize::from(claim.key == "f_rsi")];
    let room = rounding(claim, coarsest, findings);
    if claim.value >= bracket.lower() - room && claim.value <= bracket.upper() + room {
        findings.pass(Question::Claims, evidence);
    } else {
        let off = (bracket.lower() - claim.value).max(claim.value - bracket.upper());
        findings.fail(Question::Claims, format!("{evidence}: off by {off:.4}"));
    }
}

/// Flanking elements are taken off with the U-value of what is drawn. More makes ψ look lower than it is.
fn stated_u_values(outcome: &Outcome, findings: &mut Findings) {
    let (Some(psi), Some(sides)) = (&outcome.case.model.psi, outcome.sides()) else { return };
    let model = (&outcome.case.model, &outcome.plan, &outcome.surfaces);
    let found = stated::found(model, &sides, &outcome.elements);
    for stated in found.differing {
        let evidence = stated.message(&psi.flanking[stated.element]);
        if stated.stated > stated.drawn {
            findings.fail(Question::UValues, evidence);
        } else {
            findings.look(Question::UValues, evidence);
        }
    }
    for faceless in found.faceless {
        findings.fail(Question::UValues, faceless.message(&psi.flanking[faceless.element]));
    }
}

fn u_value(outcome: &Outcome, claim: &Claim, element: &str, findings: &mut Findings) {
    let Some(own) = outcome.elements.iter().find(|own| own.element == element) else {
        findings.fail(
            Question::UValues,
            format!("a U-value is stated for {element}, which is no flanking element of the case"),
        );
        return;
    };
    let evidence =
        format!("U of {element} = {} is stated; the case has {:.4} W/(m²K)", claim.value, own.u_value);
    if (claim.value - own.u_value).abs() <= rounding(claim, COARSEST[1], findings) {
        findings.pass(Question::UValues, evidence);
    } else {
        findings.fail(Question::UValues, evidence);
    }
}
