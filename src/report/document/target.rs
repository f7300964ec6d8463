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
    /// What the search came to.
    pub found: Found,
    /// Its value that just reaches the target, in the unit it is used with; absent where none does, or every
    /// one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub value: Option<f64>,
    /// Which values reach the target: that one and more, or that one and less; absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Bound")]
    pub bound: Option<Bound>,
    /// The lowest U that was met, W/(m²K); absent unless the target is out of reach and
    /// something could be built.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub best_u_value: Option<f64>,
    /// The last value that was tried, in the unit it is used with; absent unless every one reaches the
    /// target.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub tried_to: Option<f64>,
    /// The next size of the parameter's list that reaches it; absent where there is none.
    #[serde(flatten)]
    pub size: Option<Size>,
    /// True if the target is reached, or does not depend on the parameter.
    pub reached: bool,
}

/// What the search for a parameter's value came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Found {
    /// A value that just reaches the target.
    Value,
    /// U does not depend on the parameter.
    Independent,
    /// No value reaches the target.
    OutOfReach,
    /// Every value that was tried reaches it.
    Always,
}

/// On which side of a value the target is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// More is better.
    AtLeast,
    /// Less is better.
    AtMost,
}

/// A size of a parameter's list.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Size {
    /// The size, in the unit the parameter is used with.
    pub size: f64,
    /// U with that size, W/(m²K); null where it cannot be computed.
    pub u_value_of_size: Option<f64>,
}
