//! What a parameter must be for an element to reach a U-value.

use schemars::JsonSchema;
use serde::Serialize;

/// What a parameter must be for an element to reach a U-value.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Target {
    /// The U-value wanted, W/(m²K).
    pub u_value: f64,
    /// The parameter that may change.
    pub parameter: String,
    /// Its value that just reaches the target, in the unit it is used with; absent where none does, or every
    /// one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub value: Option<f64>,
    /// The next size of the parameter's list that reaches it; absent where there is none.
    #[serde(flatten)]
    pub size: Option<Size>,
    /// True if the target is reached, or does not depend on the parameter.
    pub reached: bool,
}

/// A size of a parameter's list.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Size {
    /// The size, in the unit the parameter is used with.
    pub size: f64,
    /// U with that size, W/(m²K); null where it cannot be computed.
    pub u_value_of_size: Option<f64>,
}
