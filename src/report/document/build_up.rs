//! A build-up by ISO 6946 with every intermediate value.

use schemars::JsonSchema;
use serde::Serialize;

use super::condensate::Condensate;
use super::target::Target;
use crate::element::build_up::{self, Body, Pattern};
use crate::element::correction::{self, Cause, Corrected};
use crate::element::limits;
use crate::element::resistance::{self, Total};
use crate::result::pattern::{NoPattern, PatternU};
use crate::standard::HeatFlow;

/// A build-up.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BuildUp {
    /// Its name in the file.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Direction of the heat flow: `horizontal`, `up` or `down`.
    pub heat_flow: HeatFlow,
    /// The surface resistances used, m²K/W.
    pub surface_resistances: SurfaceResistances,
    /// Its layers from inside to outside.
    pub layers: Vec<BuildUpLayer>,
    /// How many of them count, from inside: nothing beyond a well-ventilated air layer does.
    pub layers_counted: usize,
    /// The paths straight through.
    pub paths: Vec<Path>,
    /// Upper limit R' of the total thermal resistance, m²K/W.
    pub upper_limit: f64,
    /// Lower limit R'' of the total thermal resistance, m²K/W.
    pub lower_limit: f64,
    /// The largest relative error of the combined method, 0 to 1.
    pub largest_relative_error: f64,
    /// Total thermal resistance, m²K/W.
    pub total_resistance: f64,
    /// U that follows from it, before corrections, W/(m²K).
    pub u_value_uncorrected: f64,
    /// The pattern solved in two dimensions; null where nothing is bridged, or the bridges have no places or
    /// no common period.
    pub two_dimensional: Option<TwoDimensional>,
    /// Why a bridged build-up has no such value; absent where it has one, and where nothing is bridged.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub no_two_dimensional_because: Option<&'static str>,
    /// The slightly ventilated air layers that count, from inside.
    pub slightly_ventilated: Vec<SlightlyVentilated>,
    /// What limits the result.
    pub notes: Vec<String>,
    /// Each correction to U.
    pub corrections: Vec<Correction>,
    /// False if the corrections together are below 3 % of U and therefore not added.
    pub corrections_applied: bool,
    /// The final thermal transmittance U, W/(m²K).
    pub u_value: f64,
    /// The same to two significant figures, W/(m²K), as text.
    pub u_value_rounded: String,
    /// Condensation inside, month by month; absent without a climate and where the build-up lies on the
    /// ground.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Condensate")]
    pub condensation: Option<Condensate>,
    /// What reaches the U-value wanted; absent where none was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Target")]
    pub target: Option<Target>,
}

/// The surface resistances of a build-up.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SurfaceResistances {
    /// Inside, m²K/W.
    pub inside: f64,
    /// Outside, m²K/W.
    pub outside: f64,
}

/// A layer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BuildUpLayer {
    /// What it is, for readers.
    pub label: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Thermal resistance beside what bridges it, m²K/W.
    pub resistance: f64,
    /// What it consists of; absent for air and stated resistances.
    #[serde(flatten)]
    pub solid: Option<Solid>,
    /// What bridges it; absent where nothing does.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Bridge")]
    pub bridged_by: Option<Bridge>,
}

/// What a layer consists of.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Solid {
    /// Thermal conductivity, W/(m·K).
    pub conductivity: f64,
    /// Where the conductivity comes from.
    pub source: String,
}

/// What bridges a layer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Bridge {
    /// Its material, for readers.
    pub material: String,
    /// Thermal conductivity, W/(m·K).
    pub conductivity: f64,
    /// Its share of the area, 0 to 1.
    pub fraction: f64,
    /// Width of each bar, mm; absent for others.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub width: Option<f64>,
    /// From one bar to the next, centre to centre, mm; absent for others.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub spacing: Option<f64>,
    /// Width of the bed joint and the perpendicular joint, mm, 0 where there is none; absent for others.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[f64; 2]")]
    pub joint: Option<[f64; 2]>,
    /// Its thermal resistance, m²K/W.
    pub resistance: f64,
}

impl Bridge {
    fn of(bridge: &build_up::Bridge, resistance: f64) -> Self {
        let (width, spacing, joint) = match bridge.pattern {
            Pattern::Fraction(_) => (None, None, None),
            Pattern::Bars { width, spacing } => (Some(width * 1e3), Some(spacing * 1e3), None),
            Pattern::Joints { joints, .. } => (None, None, Some(joints.map(|joint| joint * 1e3))),
        };
        Self {
            material: bridge.material.label.clone(),
            conductivity: bridge.material.conductivity_x,
            fraction: bridge.pattern.fraction(),
            width,
            spacing,
            joint,
            resistance,
        }
    }
}

/// A path straight through.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Path {
    /// Its share of the area, 0 to 1.
    pub fraction: f64,
    /// Its total thermal resistance, surfaces included, m²K/W.
    pub resistance: f64,
}

/// The pattern of a build-up solved in two dimensions.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct TwoDimensional {
    /// U, W/(m²K).
    pub u_value: f64,
    /// The guaranteed lower bound, W/(m²K).
    pub lower: f64,
    /// The guaranteed upper bound, W/(m²K).
    pub upper: f64,
    /// Of masonry the conductivity that a course of blocks and their upright joints comes to, W/(m·K); null
    /// for others.
    pub course_conductivity: Option<f64>,
    /// Number of unknowns.
    pub unknowns: usize,
}

/// A slightly ventilated air layer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SlightlyVentilated {
    /// Its number from inside, from 1.
    pub layer: usize,
    /// Total thermal resistance with the layer closed, m²K/W.
    pub closed: f64,
    /// Total thermal resistance of the element that ends at the layer, m²K/W.
    pub open: f64,
}

/// A correction to U.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Correction {
    /// What it is for.
    pub cause: CorrectionCause,
    /// The number of the layer from inside, from 1.
    pub layer: usize,
    /// ΔU, W/(m²K).
    pub delta_u: f64,
    /// The least other reading of the rule, W/(m²K); null where it can be read in one way only.
    pub least_reading: Option<f64>,
    /// U by that reading, W/(m²K).
    pub u_value_by_least_reading: Option<f64>,
}

/// What a correction is for.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CorrectionCause {
    /// Gaps in or behind insulation.
    AirGaps,
    /// Mechanical fasteners.
    Fixings,
    /// Rainwater under inverted-roof insulation.
    Rain,
}

impl BuildUp {
    /// The document of a build-up, without condensation and target.
    pub fn of(build_up: &build_up::BuildUp, pattern: &Result<PatternU, NoPattern>) -> Self {
        let total = resistance::total(build_up);
        let corrected = correction::corrected(build_up, &total);
        let [inside, outside] = total.surfaces;
        let two_dimensional = pattern.as_ref().ok().map(|solved| TwoDimensional {
            u_value: solved.u_value.middle(),
            lower: solved.u_value.lower(),
            upper: solved.u_value.upper(),
            course_conductivity: solved.course,
            unknowns: solved.unknowns,
        });
        let path =
            |(fraction, resistance): &(f64, f64)| Path { fraction: *fraction, resistance: *resistance };
        let ventilated = |of: &resistance::SlightlyVentilated| SlightlyVentilated {
            layer: of.layer + 1,
            closed: of.closed,
            open: of.open,
        };
        Self {
            name: build_up.name.clone(),
            title: build_up.title.clone(),
            heat_flow: build_up.heat_flow,
            surface_resistances: SurfaceResistances { inside, outside },
            layers: build_up.layers.iter().map(|layer| BuildUpLayer::of(build_up, layer)).collect(),
            layers_counted: total.layers,
            paths: total.paths.iter().map(path).collect(),
            upper_limit: total.upper,
            lower_limit: total.lower,
            largest_relative_error: total.largest_error(),
            total_resistance: total.resistance,
            u_value_uncorrected: total.u_value(),
            two_dimensional,
            no_two_dimensional_because: pattern.as_ref().err().and_then(|refusal| refusal.reason()),
            slightly_ventilated: total.ventilation.iter().map(ventilated).collect(),
            notes: limits::notes(build_up, &total, &corrected),
            corrections: corrected
                .corrections
                .iter()
                .map(|item| Correction::of(item, &corrected, &total))
                .collect(),
            corrections_applied: !corrected.is_negligible,
            u_value: corrected.u_value,
            u_value_rounded: resistance::two_figures(corrected.u_value),
            condensation: None,
            target: None,
        }
    }
}

impl BuildUpLayer {
    fn of(build_up: &build_up::BuildUp, layer: &build_up::Layer) -> Self {
        let solid = match &layer.body {
            Body::Solid(material) => {
                Some(Solid { conductivity: material.conductivity_x, source: material.source.clone() })
            }
            _ => None,
        };
        let bridge = layer.bridge.as_ref().zip(layer.bridge_resistance());
        Self {
            label: layer.label.clone(),
            thickness: layer.thickness * 1e3,
            resistance: layer.body_resistance(build_up.heat_flow),
            solid,
            bridged_by: bridge.map(|(bridge, resistance)| Bridge::of(bridge, resistance)),
        }
    }
}

impl Correction {
    fn of(item: &correction::Correction, corrected: &Corrected, total: &Total) -> Self {
        let cause = match item.cause {
            Cause::AirGaps => CorrectionCause::AirGaps,
            Cause::Fixings => CorrectionCause::Fixings,
            Cause::Rain => CorrectionCause::Rain,
        };
        let by_least = item.least.map(|least| corrected.with(item.layer, item.cause, least, total.u_value()));
        Self {
            cause,
            layer: item.layer + 1,
            delta_u: item.value,
            least_reading: item.least,
            u_value_by_least_reading: by_least,
        }
    }
}
