//! ψ of each pair of environments by each convention of measurement.

use schemars::JsonSchema;
use serde::Serialize;

use super::flanking::{self, Flanking};
use super::sections::{self, Floor, Section};
use super::{Bracketed, MaybeBracketed, Named};
use crate::model::{Convention, EnvironmentId, FloorMethod};
use crate::result::Outcome;
use crate::result::psi::PsiValue;

/// ψ of the case: of its one pair of environments, or of each of several.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Psi {
    /// The case has one block `psi`.
    One(Box<ByConvention>),
    /// The case has a list of them.
    Several(Vec<Pair>),
}

/// ψ by each convention of measurement (ISO 13789) by which every flanking element states a length.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct ByConvention {
    /// By internal dimensions, W/(m·K).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "OnePsi")]
    pub internal: Option<OnePsi>,
    /// By external dimensions, W/(m·K).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "OnePsi")]
    pub external: Option<OnePsi>,
    /// By overall internal dimensions, W/(m·K).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "OnePsi")]
    pub overall_internal: Option<OnePsi>,
}

/// A pair of environments.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pair {
    /// ψ between them, W/(m·K).
    #[serde(flatten)]
    pub psi: ByConvention,
    /// What is on either side; null where that cannot be told.
    pub between: Option<[Side; 2]>,
    /// L2D between the two sides, W/(m·K).
    pub l2d: MaybeBracketed,
    /// U of each flanking element of the pair, W/(m²K).
    pub u_values: Named<f64>,
    /// Each flanking element of the pair: where its U-value comes from, and where it runs.
    pub flanking: Vec<Flanking>,
    /// Flanking elements of the pair that are read from the drawing, layer by layer.
    pub sections: Vec<Section>,
    /// Floors on the ground of the pair, by both methods.
    pub floors: Vec<Floor>,
    /// U_f of a window frame, W/(m²K); null where the pair names no width of a frame.
    pub frame_u_value: Option<Bracketed>,
    /// That width, mm; absent where the pair names none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub frame_width: Option<f64>,
}

/// What is on one side: an environment, or several of one temperature.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Side {
    /// One environment.
    One(String),
    /// Several.
    Several(Vec<String>),
}

/// ψ by one convention.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OnePsi {
    /// ψ, W/(m·K).
    #[serde(flatten)]
    pub psi: Bracketed,
    /// What is subtracted from L2D.
    pub subtracted: Vec<Subtracted>,
    /// How the floor on the ground is counted, where there is one.
    #[serde(flatten)]
    pub floor: Option<ByFloorMethod>,
}

/// A flanking element's part in ψ.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Subtracted {
    /// The name of the element.
    pub element: String,
    /// U, W/(m²K).
    pub u_value: f64,
    /// Its length by this convention, m.
    pub length: f64,
    /// What is subtracted, W/(m·K).
    pub product: f64,
    /// How a floor on the ground is counted: `iso13370` or `model`; absent for other elements.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FloorMethod")]
    pub floor_method: Option<FloorMethod>,
}

/// ψ with the floor on the ground by either method.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ByFloorMethod {
    /// How the floor is counted: `iso13370` (by the formula) or `model` (by solving the floor and the ground
    /// alone).
    pub floor_method: FloorMethod,
    /// ψ by the other method.
    pub by_other_floor_method: ByOtherFloorMethod,
}

/// ψ by the other method for the floor on the ground.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ByOtherFloorMethod {
    /// ψ, W/(m·K).
    #[serde(flatten)]
    pub psi: Bracketed,
    /// The other method: `iso13370` or `model`.
    pub floor_method: FloorMethod,
}

impl Psi {
    /// That of an outcome.
    pub fn of(outcome: &Outcome) -> Self {
        if outcome.case.psi_is_list {
            Self::Several(outcome.pairs().map(Pair::of).collect())
        } else {
            Self::One(Box::new(ByConvention::of(outcome)))
        }
    }
}

impl Side {
    /// Its names, as `room + hall`.
    pub fn text(&self) -> String {
        match self {
            Self::One(name) => name.clone(),
            Self::Several(names) => names.join(" + "),
        }
    }
}

impl ByConvention {
    /// Those there are, in the order of [`Convention::ALL`].
    pub fn stated(&self) -> impl Iterator<Item = (Convention, &OnePsi)> {
        let psi = |convention: Convention| match convention {
            Convention::Internal => &self.internal,
            Convention::External => &self.external,
            Convention::OverallInternal => &self.overall_internal,
        };
        Convention::ALL
            .into_iter()
            .filter_map(move |convention| Some((convention, psi(convention).as_ref()?)))
    }

    fn of(outcome: &Outcome) -> Self {
        let mut all = Self::default();
        for psi in &outcome.psi {
            let of_convention = match psi.convention {
                Convention::Internal => &mut all.internal,
                Convention::External => &mut all.external,
                Convention::OverallInternal => &mut all.overall_internal,
            };
            *of_convention = Some(OnePsi::of(psi));
        }
        all
    }
}

impl Pair {
    fn of(outcome: &Outcome) -> Self {
        let environment = |id: &EnvironmentId| outcome.case.model.environments[*id].name.clone();
        let side = |side: Vec<EnvironmentId>| match side.as_slice() {
            [only] => Side::One(environment(only)),
            several => Side::Several(several.iter().map(environment).collect()),
        };
        Self {
            psi: ByConvention::of(outcome),
            between: outcome.sides().map(|sides| sides.map(side)),
            l2d: outcome.l2d.into(),
            u_values: u_values(outcome),
            flanking: flanking::flanking(outcome),
            sections: sections::sections(outcome),
            floors: sections::floors(outcome),
            frame_u_value: outcome.frame_u.map(Bracketed::from),
            frame_width: frame_width(outcome),
        }
    }
}

impl OnePsi {
    fn of(psi: &PsiValue) -> Self {
        let subtracted = psi.terms.iter().map(|term| Subtracted {
            element: term.element.clone(),
            u_value: term.u_value,
            length: term.length,
            product: term.product.middle(),
            floor_method: term.method,
        });
        let method = psi.terms.iter().find_map(|term| term.method);
        let floor = method.zip(psi.other_floor).map(|(method, (other, bracket))| ByFloorMethod {
            floor_method: method,
            by_other_floor_method: ByOtherFloorMethod { psi: bracket.into(), floor_method: other },
        });
        Self { psi: psi.bracket.into(), subtracted: subtracted.collect(), floor }
    }
}

/// U of each flanking element of a pair.
pub fn u_values(outcome: &Outcome) -> Named<f64> {
    outcome.elements.iter().map(|element| (element.element.clone(), element.u_value)).collect()
}

/// The width of a window frame, mm, where the pair names one.
pub fn frame_width(outcome: &Outcome) -> Option<f64> {
    Some(outcome.case.model.psi.as_ref()?.frame?.length() * 1e3)
}
