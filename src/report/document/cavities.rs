//! What follows the temperatures: air cavities as they were taken, and which way heat flows through level
//! surfaces.

use schemars::JsonSchema;
use serde::Serialize;

use super::ends;
use crate::geometry::{Rectangle, millimetres};
use crate::model::PieceKind;
use crate::plan::level::{Run, Told};
use crate::result::Outcome;
use crate::result::cavity::Settled;
use crate::standard::HeatFlow;

/// An air cavity as it was taken.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Cavity {
    /// Its material by name.
    pub material: String,
    /// The same for readers.
    pub material_label: String,
    /// The standard whose formulas apply: `ISO 10077-2` or `ISO 6946`.
    pub method: &'static str,
    /// Which part of connected air it is: `whole`, `chamber`, `throat`, `arm` or `junction`; null where the
    /// air was not parted.
    pub part: Option<PieceKind>,
    /// The number of the connected air that it is a part of, from 1; null where the air was not parted.
    pub connected_air: Option<usize>,
    /// Where it lies; empty where the air was not parted.
    pub rectangles: Vec<Sides>,
    /// Its size along the heat flow, mm.
    pub along: f64,
    /// Its size across the heat flow, mm.
    pub across: f64,
    /// Direction of the heat flow: `horizontal`, `up` or `down`.
    pub heat_flow: HeatFlow,
    /// Its mean temperature, °C.
    pub mean_temperature: f64,
    /// Difference of temperature of its sides, K.
    pub temperature_difference: f64,
    /// Equivalent thermal conductivity, W/(m·K).
    pub conductivity: f64,
}

/// The sides of a rectangle.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Sides {
    /// From left to right, mm.
    pub x: [f64; 2],
    /// From bottom to top, mm.
    pub y: [f64; 2],
}

impl From<&Rectangle> for Sides {
    fn from(rectangle: &Rectangle) -> Self {
        Self { x: ends(rectangle.x), y: ends(rectangle.y) }
    }
}

/// A level or sloped inside surface and which way heat flows through it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LevelSurface {
    /// The environment whose surface it is.
    pub environment: String,
    /// What it is to the environment: `floor` or `ceiling`.
    pub surface: &'static str,
    /// Its height, of a slope that of its left end, mm.
    pub y: f64,
    /// Of a slope, the height of its right end, mm; absent where it is level.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub y_right: Option<f64>,
    /// From left to right, mm.
    pub x: [f64; 2],
    /// Direction of the heat flow: `horizontal`, `up` or `down`.
    pub heat_flow: HeatFlow,
    /// How that was told: `stated` in the case, `certain` beforehand, from the `solution`, `open` or
    /// `undecided` (then the careful direction).
    pub told: Told,
    /// The surface resistance for that direction, m²K/W.
    pub resistance: f64,
    /// Net flow from the environment through it, W/m.
    pub net_flow: f64,
}

/// Every cavity of an outcome.
pub fn cavities(outcome: &Outcome) -> Vec<Cavity> {
    let cavity = |settled: &Settled| {
        let fill = &outcome.case.model.cavities[settled.cavity];
        let material = &outcome.case.model.materials[fill.material];
        Cavity {
            material: material.name.clone(),
            material_label: material.label.clone(),
            method: fill.cavity.method.standard(),
            part: fill.part.as_ref().map(|part| part.kind),
            connected_air: fill.part.as_ref().map(|part| part.region + 1),
            rectangles: fill.part.iter().flat_map(|part| &part.rectangles).map(Sides::from).collect(),
            along: settled.state.depth * 1e3,
            across: settled.state.width * 1e3,
            heat_flow: settled.state.heat_flow,
            mean_temperature: settled.state.mean_temperature,
            temperature_difference: settled.state.difference,
            conductivity: settled.conductivity,
        }
    };
    outcome.cavities.iter().map(cavity).collect()
}

/// Every run of level surface of an outcome.
pub fn level_surfaces(outcome: &Outcome) -> Vec<LevelSurface> {
    let plan = &outcome.plan;
    let surface = |(run, net_flow): (&Run, &f64)| LevelSurface {
        environment: outcome.case.model.environments[run.environment].name.clone(),
        surface: run.side(),
        y: millimetres(run.heights()[0]),
        y_right: (run.heights()[0] != run.heights()[1]).then(|| millimetres(run.heights()[1])),
        x: ends(run.span()),
        heat_flow: run.heat_flow,
        told: run.told,
        resistance: run.heat_flow.internal_resistance(),
        net_flow: *net_flow,
    };
    plan.level.runs.iter().zip(&outcome.level_flows).map(surface).collect()
}
