//! The temperature factor of each internal environment, with where its coldest surfaces are.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Named, place};
use crate::case::Case;
use crate::result::Outcome;
use crate::result::temperature_factor::Coldest;

/// The temperature factor of an internal environment.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Factor {
    /// There are surfaces that count.
    Some(SomeFactor),
    /// No surface counts.
    None(NoFactor),
}

/// The temperature factor of an environment with surfaces that count.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SomeFactor {
    /// The coldest of the surfaces that count.
    #[serde(flatten)]
    pub coldest: Place,
    /// The coldest of the surfaces that the case excludes (frames, glazing), where there are any.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Place")]
    pub excluded: Option<Place>,
    /// The outside temperature that the factor refers to, °C.
    pub external_temperature: f64,
}

/// No temperature factor: no surface of the environment counts.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct NoFactor {
    /// Always null: no surface counts.
    pub value: (),
    /// The coldest of the surfaces that the case excludes (frames, glazing), where there are any.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Place")]
    pub excluded: Option<Place>,
    /// The outside temperature that the factor would refer to, °C.
    pub external_temperature: f64,
}

/// The coldest place of some surfaces.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Place {
    /// The temperature factor there, f_Rsi.
    pub value: f64,
    /// Where that is, x and y, mm.
    pub at: [f64; 2],
    /// The material whose surface it is, by name.
    pub material: String,
    /// The temperature there, °C.
    pub temperature: f64,
    /// For three and more temperatures, the weight of each environment's temperature; their sum is 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Named<f64>")]
    pub weights: Option<Named<f64>>,
    /// Estimated error of the factor; null where no finer grid was computed.
    pub estimated_error: Option<f64>,
}

impl Place {
    fn of(case: &Case, coldest: &Coldest, estimated_error: Option<f64>) -> Self {
        let names = case.model.environments.iter().map(|environment| environment.name.clone());
        let weights =
            (!coldest.weights.is_empty()).then(|| names.zip(coldest.weights.iter().copied()).collect());
        Self {
            value: coldest.factor,
            at: place(coldest.at),
            material: case.model.materials[coldest.material].name.clone(),
            temperature: coldest.temperature,
            weights,
            estimated_error,
        }
    }
}

/// The factors of an outcome.
pub fn factors(outcome: &Outcome) -> Named<Factor> {
    let case = &outcome.case;
    outcome
        .factors
        .iter()
        .map(|factor| {
            let of = |coldest: &Coldest, is_excluded: bool| {
                Place::of(case, coldest, outcome.coldest_error(factor.environment, is_excluded))
            };
            let excluded = factor.coldest_excluded.as_ref().map(|coldest| of(coldest, true));
            let external_temperature = factor.external_temperature;
            let value = match &factor.coldest {
                Some(coldest) => {
                    Factor::Some(SomeFactor { coldest: of(coldest, false), excluded, external_temperature })
                }
                None => Factor::None(NoFactor { value: (), excluded, external_temperature }),
            };
            (case.model.environments[factor.environment].name.clone(), value)
        })
        .collect()
}
