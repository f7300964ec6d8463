//! What a submission states of its results.

use schemars::JsonSchema;
use serde::Serialize;

use crate::bounds::Bracket;
use crate::case;
use crate::result::Outcome;

/// A result that a submission states.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Claim {
    /// Which result, by its key under `claims`.
    pub key: String,
    /// For `u_values`, the flanking element; absent for other keys.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub element: Option<String>,
    /// As stated, in the unit of the result.
    pub stated: f64,
    /// As computed, in the same unit; absent where the case does not lead to such a value.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub computed: Option<f64>,
}

/// Every claim of a case.
pub fn claims(outcome: &Outcome) -> Vec<Claim> {
    let claim = |claim: &case::Claim| Claim {
        key: claim.key.clone(),
        element: claim.element.clone(),
        stated: claim.value,
        computed: computed(outcome, claim),
    };
    outcome.case.claims.iter().map(claim).collect()
}

fn computed(outcome: &Outcome, claim: &case::Claim) -> Option<f64> {
    if let Some(name) = &claim.element {
        return Some(outcome.elements.iter().find(|element| element.element == *name)?.u_value);
    }
    match claim.key.as_str() {
        "l2d" => outcome.l2d.map(Bracket::middle),
        "f_rsi" => outcome
            .factors
            .iter()
            .filter_map(|factor| factor.coldest.as_ref())
            .map(|coldest| coldest.factor)
            .reduce(f64::min),
        key => outcome.psi_by_key(key).map(|psi| psi.value),
    }
}
