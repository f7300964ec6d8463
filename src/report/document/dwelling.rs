//! What a dwelling loses.

use schemars::JsonSchema;
use serde::Serialize;

use super::Bracketed;
use crate::case::Element;

/// What a dwelling loses (ISO 13789).
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Dwelling {
    /// Version of this document.
    pub coldseam: u32,
    /// The title of the file.
    pub title: String,
    /// The convention of measurement: `internal`, `external` or `overall_internal`.
    pub convention: &'static str,
    /// Every plane element.
    pub elements: Vec<ElementLoss>,
    /// Every junction.
    pub junctions: Vec<JunctionLoss>,
    /// Σ b·A·U, W/K.
    pub elements_loss: f64,
    /// Σ b·l·ψ, W/K.
    pub junctions_loss: Bracketed,
    /// Σ A, m².
    pub area: f64,
    /// What the junctions add per area of envelope, W/(m²K); null without area.
    pub junctions_per_area: Option<Bracketed>,
    /// Transmission H, W/K.
    pub transmission: Bracketed,
}

/// A plane element.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ElementLoss {
    /// Its name.
    pub element: String,
    /// Area A, m².
    pub area: f64,
    /// U, W/(m²K).
    pub u_value: f64,
    /// Reduction factor b of what lies beyond; 1 for outside air.
    pub reduction: f64,
    /// b·A·U, W/K.
    pub loss: f64,
    /// Where U comes from.
    pub origin: String,
    /// What limits U.
    pub notes: Vec<String>,
}

/// A junction.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JunctionLoss {
    /// Its name.
    pub junction: String,
    /// Length l, m.
    pub length: f64,
    /// ψ, W/(m·K).
    pub psi: Bracketed,
    /// Reduction factor b of what lies beyond; 1 for outside air.
    pub reduction: f64,
    /// b·l·ψ, W/K.
    pub loss: Bracketed,
    /// Where ψ comes from.
    pub origin: String,
    /// What the dwelling gave to the junction's case.
    pub from_dwelling: Vec<FromDwelling>,
    /// What the junction keeps for itself, as `name=value`.
    pub exceptions: Vec<String>,
    /// What each flanking element of the junction is in the dwelling.
    pub counterparts: Vec<Counterpart>,
    /// Remarks on how they fit.
    pub remarks: Vec<String>,
    /// Remarks on the result of the junction's case.
    pub notes: Vec<String>,
    /// What was warned of.
    pub warnings: Vec<String>,
    /// True if ψ is that of a case.
    pub is_computed: bool,
}

/// A value that a junction's case has from the dwelling.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FromDwelling {
    /// Its name.
    pub name: String,
    /// What took the place of what.
    pub change: String,
}

/// A flanking element of a junction and the element of the dwelling that it is.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Counterpart {
    /// The flanking element.
    pub flanking: String,
    /// The element of the dwelling; null where it is none of them.
    pub element: Option<String>,
}

impl ElementLoss {
    /// What a plane element loses.
    pub fn of(element: &Element) -> Self {
        let reduction = element.reduction.value();
        Self {
            element: element.name.clone(),
            area: element.area,
            u_value: element.u_value,
            reduction,
            loss: reduction * element.area * element.u_value,
            origin: element.origin.clone(),
            notes: element.notes.clone(),
        }
    }
}
