//! What a drawing is made of: air that bounds it, and materials.

use schemars::JsonSchema;
use serde::Serialize;

use crate::material::{self, generic};
use crate::model::{EnvironmentId, MaterialId, Role};
use crate::plan::surface::{Purpose, Surfaces};
use crate::result::Outcome;

/// Air of one temperature.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Environment {
    /// Its name.
    pub name: String,
    /// What kind of space it is: `internal`, `external` or `unheated`.
    pub role: Role,
    /// Its temperature, °C.
    pub temperature: f64,
    /// Relative humidity, 0 to 1; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub humidity: Option<f64>,
    /// The surface resistances for heat loss that its surfaces have, each once, m²K/W.
    pub surface_resistances: Vec<f64>,
    /// The same for condensation, m²K/W; empty without a condensation block.
    pub surface_resistances_condensation: Vec<f64>,
}

/// A material that can be seen.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Material {
    /// Its name.
    pub name: String,
    /// The same for readers.
    pub label: String,
    /// Thermal conductivity along x, W/(m·K).
    pub conductivity_x: f64,
    /// Thermal conductivity along y, W/(m·K).
    pub conductivity_y: f64,
    /// By how many degrees, anticlockwise, the directions of both are turned from the drawing's x and y; absent
    /// unless a layer at an angle turns a material that conducts by direction.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub turned_by: Option<f64>,
    /// Where the conductivity comes from.
    pub source: String,
    /// Who says so.
    pub origin: Origin,
    /// Thermal conductivity of the generic material of the same name, W/(m·K); absent unless the case has a
    /// material of its own under such a name.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub generic_conductivity: Option<f64>,
}

/// Where a material comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// The case itself.
    Own,
    /// The built-in table.
    Generic,
    /// Made by the program, to stand for a layer of a build-up or an air cavity.
    Equivalent,
}

impl From<material::Origin> for Origin {
    fn from(origin: material::Origin) -> Self {
        match origin {
            material::Origin::Own => Self::Own,
            material::Origin::Generic => Self::Generic,
            material::Origin::Equivalent => Self::Equivalent,
        }
    }
}

/// Every environment of an outcome.
pub fn environments(outcome: &Outcome) -> Vec<Environment> {
    let model = &outcome.case.model;
    let condensation = outcome
        .computed
        .has_condensation()
        .then(|| Surfaces::of(model, &outcome.plan, Purpose::Condensation));
    let environment = |id: EnvironmentId| {
        let environment = &model.environments[id];
        Environment {
            name: environment.name.clone(),
            role: environment.role,
            temperature: environment.temperature,
            humidity: environment.humidity,
            surface_resistances: outcome.surfaces.resistances(id),
            surface_resistances_condensation: condensation
                .as_ref()
                .map(|surfaces| surfaces.resistances(id))
                .unwrap_or_default(),
        }
    };
    EnvironmentId::all(model.environments.len()).map(environment).collect()
}

/// Every material of an outcome's plan.
pub fn materials(outcome: &Outcome) -> Vec<Material> {
    let material = |id: MaterialId| {
        let material = &outcome.case.model.materials[id];
        let generic = generic::find(&material.name).filter(|_| material.origin == material::Origin::Own);
        Material {
            name: material.name.clone(),
            label: material.label.clone(),
            conductivity_x: material.conductivity_x,
            conductivity_y: material.conductivity_y,
            turned_by: material
                .is_oblique()
                .then(|| libm::atan2(material.axis[1], material.axis[0]).to_degrees()),
            source: material.source.clone(),
            origin: material.origin.into(),
            generic_conductivity: generic.map(|row| row.conductivity),
        }
    };
    outcome.plan.materials().into_iter().map(material).collect()
}
