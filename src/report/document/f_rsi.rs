//! The temperature factor of each internal environment, with where its coldest surfaces are.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Named, place};
use crate::case::Case;
use crate::climate::humid_air::{MOULD, surface_humidity, surface_temperature_at};
use crate::model::{EnvironmentId, Role, Ruled};
use crate::result::Outcome;
use crate::result::temperature_factor::{Coldest, TemperatureFactor};

/// The temperature factor of an internal environment.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Factor {
    /// There are surfaces that count.
    Some(Box<SomeFactor>),
    /// No surface counts.
    None(NoFactor),
}

/// The temperature factor of an environment with surfaces that count.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SomeFactor {
    /// The coldest of the surfaces that count.
    #[serde(flatten)]
    pub coldest: Place,
    /// True if the critical value of the case is reached; absent where it names none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "bool")]
    pub critical_reached: Option<bool>,
    /// The surface temperature below which mould grows, °C; absent where the humidity is not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub mould_below: Option<f64>,
    /// The coldest of the surfaces that the case excludes (frames, glazing), where there are any.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Place")]
    pub excluded: Option<Place>,
    /// The outside temperature that the factor refers to, °C.
    pub external_temperature: f64,
}

impl Factor {
    /// The coldest of the surfaces that count, and of those that are excluded.
    pub fn places(&self) -> (Option<&SomeFactor>, Option<&Place>) {
        match self {
            Self::Some(factor) => (Some(factor), factor.excluded.as_ref()),
            Self::None(factor) => (None, factor.excluded.as_ref()),
        }
    }
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
    /// The same for readers.
    pub material_label: String,
    /// The temperature there, °C.
    pub temperature: f64,
    /// For three and more temperatures, the weight of each environment's temperature; their sum is 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Named<f64>")]
    pub weights: Option<Named<f64>>,
    /// Estimated error of the factor; null where no finer grid was computed.
    pub estimated_error: Option<f64>,
    /// Relative humidity there, 0 to 1 and beyond; absent where that of the environment is not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub surface_humidity: Option<f64>,
    /// The dew point of the environment's air, °C; absent where its humidity is not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub dew_point: Option<f64>,
}

/// The surface resistances that surfaces are judged with, and the value that they are to reach.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CondensationPass {
    /// Internal surface resistance, m²K/W.
    pub resistance: f64,
    /// True if the case states a higher one for some inside surfaces, which then counts there.
    pub higher_resistance_stated: bool,
    /// The temperature factor that is to be reached; absent where the case names none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub critical: Option<f64>,
}

impl CondensationPass {
    /// That of a case, if it has one.
    pub fn of(case: &Case) -> Option<Self> {
        let condensation = case.model.condensation.as_ref()?;
        let is_inside = |index: EnvironmentId| case.model.environments[index].role == Role::Internal;
        let mut higher = case.model.surfaces.iter().filter(|rule| rule.environment.is_none_or(is_inside));
        Some(Self {
            resistance: condensation.resistance,
            higher_resistance_stated: higher.any(
                |rule| matches!(rule.ruled, Ruled::Resistance(stated) if stated > condensation.resistance),
            ),
            critical: condensation.critical,
        })
    }
}

/// Temperature and relative humidity of an environment's air, 0 to 1, where that is known.
fn humid_air(case: &Case, environment: EnvironmentId) -> Option<(f64, f64)> {
    let air = &case.model.environments[environment];
    // Air without water has no dew point.
    air.humidity.filter(|humidity| *humidity > 0.0).map(|humidity| (air.temperature, humidity))
}

impl Place {
    fn of(outcome: &Outcome, factor: &TemperatureFactor, coldest: &Coldest, is_excluded: bool) -> Self {
        let case = &outcome.case;
        let air = humid_air(case, factor.environment);
        let material = &case.model.materials[coldest.material];
        Self {
            value: coldest.factor,
            at: place(coldest.at),
            material: material.name.clone(),
            material_label: material.label.clone(),
            temperature: coldest.temperature,
            weights: weights(case, coldest),
            estimated_error: outcome.coldest_error(factor.environment, is_excluded),
            surface_humidity: air
                .map(|(temperature, humidity)| surface_humidity(temperature, humidity, coldest.temperature)),
            dew_point: air.map(|(temperature, humidity)| surface_temperature_at(temperature, humidity, 1.0)),
        }
    }
}

/// The weight of each environment's temperature, where there are three and more.
pub(super) fn weights(case: &Case, coldest: &Coldest) -> Option<Named<f64>> {
    let names = case.model.environments.iter().map(|environment| environment.name.clone());
    (!coldest.weights.is_empty()).then(|| names.zip(coldest.weights.iter().copied()).collect())
}

/// The factors of an outcome.
pub fn factors(outcome: &Outcome) -> Named<Factor> {
    let case = &outcome.case;
    let critical = case.model.condensation.as_ref().and_then(|condensation| condensation.critical);
    outcome
        .factors
        .iter()
        .map(|factor| {
            let of = |coldest: &Coldest, is_excluded: bool| Place::of(outcome, factor, coldest, is_excluded);
            let excluded = factor.coldest_excluded.as_ref().map(|coldest| of(coldest, true));
            let external_temperature = factor.external_temperature;
            let value = match &factor.coldest {
                Some(coldest) => Factor::Some(Box::new(SomeFactor {
                    coldest: of(coldest, false),
                    critical_reached: critical.map(|critical| coldest.factor >= critical),
                    mould_below: humid_air(case, factor.environment)
                        .map(|(temperature, humidity)| surface_temperature_at(temperature, humidity, MOULD)),
                    excluded,
                    external_temperature,
                })),
                None => Factor::None(NoFactor { value: (), excluded, external_temperature }),
            };
            (case.model.environments[factor.environment].name.clone(), value)
        })
        .collect()
}
