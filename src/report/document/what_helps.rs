//! What single changes to a case are worth, and what the changes of a variant were.

use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;
use crate::result::what_helps::{self, Change, Effect};

/// A change and what it does.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct WhatHelps {
    /// The parameter that is changed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub parameter: Option<String>,
    /// Or the material that conducts less, by name.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub conductivity_of: Option<String>,
    /// The same for readers.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub conductivity_of_label: Option<String>,
    /// The value in the case, in the parameter's unit, or W/(m·K).
    pub from: f64,
    /// The value in the variant, in the same unit.
    pub to: f64,
    /// f_Rsi of the variant less that of the case.
    pub f_rsi_change: f64,
    /// ψ of the variant less that of the case, W/(m·K); null where the case has no ψ.
    pub psi_change: Option<f64>,
    /// True if the variant is safe in everything that was looked at.
    pub is_safe: bool,
}

impl WhatHelps {
    /// The document of an effect.
    pub fn of(case: &Case, effect: &Effect) -> Self {
        let (parameter, material, from, to) = match &effect.change {
            Change::Parameter { name, from, to } => (Some(name.clone()), None, *from, *to),
            Change::Conductivity { material, from, to } => {
                (None, Some(&case.model.materials[*material]), *from, *to)
            }
        };
        Self {
            parameter,
            conductivity_of: material.map(|material| material.name.clone()),
            conductivity_of_label: material.map(|material| material.label.clone()),
            from,
            to,
            f_rsi_change: effect.factor,
            psi_change: effect.psi,
            is_safe: effect.standing.is_safe,
        }
    }
}

/// What a variant changes of the file as it stands.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AgainstFile {
    /// The parameters that have another value.
    pub changed: Vec<ChangedParameter>,
    /// What the file as it stands comes to.
    pub file: Standing,
    /// What the variant comes to.
    pub variant: Standing,
}

/// A parameter with another value.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ChangedParameter {
    /// Its name.
    pub parameter: String,
    /// The value in the file, in the unit it is used with.
    pub from: f64,
    /// The value in the variant, in the same unit.
    pub to: f64,
}

/// What a case comes to.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Standing {
    /// The lowest temperature factor of all internal environments.
    pub f_rsi: f64,
    /// ψ by the first convention that is stated, W/(m·K); absent where the case has no ψ.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub psi: Option<f64>,
    /// True if everything that was looked at is safe.
    pub is_safe: bool,
}

impl From<what_helps::Standing> for Standing {
    fn from(standing: what_helps::Standing) -> Self {
        Self { f_rsi: standing.factor, psi: standing.psi, is_safe: standing.is_safe }
    }
}
