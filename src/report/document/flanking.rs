//! The flanking elements of a pair of environments: where their U-values come from, and where they run.

use schemars::JsonSchema;
use serde::Serialize;

use super::ends;
use crate::model::{self, Convention};
use crate::result::Outcome;
use crate::result::u_value::ElementU;

/// A plane element whose loss is taken off L2D.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Flanking {
    /// Its name.
    pub element: String,
    /// U, W/(m²K).
    pub u_value: f64,
    /// Where U comes from.
    pub u_value_from: UValueFrom,
    /// The build-up that U is of; absent where it comes from elsewhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub build_up: Option<String>,
    /// From where to where it runs by internal dimensions, mm; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[f64; 2]")]
    pub internal: Option<[f64; 2]>,
    /// The same by external dimensions, mm; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[f64; 2]")]
    pub external: Option<[f64; 2]>,
    /// The same by overall internal dimensions, mm; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[f64; 2]")]
    pub overall_internal: Option<[f64; 2]>,
}

/// Where a U-value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum UValueFrom {
    /// A section through the drawing, which stands under `sections`.
    Section,
    /// A floor on the ground, which stands under `floors`.
    Floor,
    /// A build-up, by the combined method (ISO 6946).
    BuildUp,
    /// The case, which states it.
    Case,
}

impl Flanking {
    fn of(flanking: &model::Flanking, element: &ElementU) -> Self {
        let u_value_from = match element {
            ElementU { section: Some(_), .. } => UValueFrom::Section,
            ElementU { floor: Some(_), .. } => UValueFrom::Floor,
            ElementU { build_up: Some(_), .. } => UValueFrom::BuildUp,
            _ => UValueFrom::Case,
        };
        let [internal, external, overall_internal] = flanking.spans.map(|span| span.map(ends));
        Self {
            element: element.element.clone(),
            u_value: element.u_value,
            u_value_from,
            build_up: element.build_up.clone(),
            internal,
            external,
            overall_internal,
        }
    }

    /// From where to where it runs, mm, by each convention that the case states.
    pub fn lengths(&self) -> impl Iterator<Item = (Convention, [f64; 2])> {
        let spans = [self.internal, self.external, self.overall_internal];
        Convention::ALL.into_iter().zip(spans).filter_map(|(convention, span)| Some((convention, span?)))
    }
}

/// Every flanking element of an outcome's own pair.
pub fn flanking(outcome: &Outcome) -> Vec<Flanking> {
    let flanking = outcome.case.model.psi.iter().flat_map(|psi| &psi.flanking);
    flanking.zip(&outcome.elements).map(|(flanking, element)| Flanking::of(flanking, element)).collect()
}
