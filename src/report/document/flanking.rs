//! The flanking elements of a pair of environments: where their U-values come from, and where they run.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::{ends, points_of};
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
    /// From where to where it runs by internal dimensions, mm; absent where the case states none. Where its points tell
    /// that it runs along a slope, it is counted along that, as far as the foot of each point lies from that of the
    /// origin.
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
    /// The two points, mm, between which it runs by internal dimensions; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[[f64; 2]; 2]")]
    pub internal_points: Option<[[f64; 2]; 2]>,
    /// The same by external dimensions, mm; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[[f64; 2]; 2]")]
    pub external_points: Option<[[f64; 2]; 2]>,
    /// The same by overall internal dimensions, mm; absent where the case states none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[[f64; 2]; 2]")]
    pub overall_internal_points: Option<[[f64; 2]; 2]>,
}

/// Where an element runs by a convention, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Run {
    /// Along an axis, or along a slope that no points tell of.
    Along([f64; 2]),
    /// From one point to another.
    Between([[f64; 2]; 2]),
}

/// As readers are told.
impl fmt::Display for Run {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Along([from, to]) => write!(f, "{from} to {to}"),
            Self::Between([[x, y], [to_x, to_y]]) => write!(f, "[{x}, {y}] to [{to_x}, {to_y}]"),
        }
    }
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
        let [internal_points, external_points, overall_internal_points] =
            flanking.points.map(|points| points.map(points_of));
        Self {
            element: element.element.clone(),
            u_value: element.u_value,
            u_value_from,
            build_up: element.build_up.clone(),
            internal,
            external,
            overall_internal,
            internal_points,
            external_points,
            overall_internal_points,
        }
    }

    /// From where to where it runs, mm, by each convention that the case states.
    pub fn lengths(&self) -> impl Iterator<Item = (Convention, Run)> {
        let spans = [self.internal, self.external, self.overall_internal];
        let points = [self.internal_points, self.external_points, self.overall_internal_points];
        let run = |(span, points): (Option<[f64; 2]>, Option<[[f64; 2]; 2]>)| {
            points.map(Run::Between).or(span.map(Run::Along))
        };
        let runs = spans.into_iter().zip(points).map(run);
        Convention::ALL.into_iter().zip(runs).filter_map(|(convention, run)| Some((convention, run?)))
    }
}

/// Every flanking element of an outcome's own pair.
pub fn flanking(outcome: &Outcome) -> Vec<Flanking> {
    let flanking = outcome.case.model.psi.iter().flat_map(|psi| &psi.flanking);
    flanking.zip(&outcome.elements).map(|(flanking, element)| Flanking::of(flanking, element)).collect()
}
