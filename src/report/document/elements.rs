//! Floors on the ground and windows by formula, with every intermediate value.

use schemars::JsonSchema;
use serde::Serialize;

use super::Named;
use super::target::Target;
use crate::case::{NamedFloor, NamedWindow};
use crate::element::ground;
use crate::element::resistance::two_figures;

/// A floor on the ground by ISO 13370.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FloorOnGround {
    /// Its name in the file.
    pub name: String,
    /// Its title.
    pub title: String,
    /// How it lies.
    pub kind: FloorKind,
    /// Its area, m².
    pub area: f64,
    /// Its exposed perimeter, m.
    pub perimeter: f64,
    /// Characteristic dimension B, m.
    pub characteristic_dimension: f64,
    /// Full thickness of the external walls, mm.
    pub wall_thickness: f64,
    /// The ground.
    pub ground: Ground,
    /// Thermal resistance of the floor between its surfaces, m²K/W.
    pub floor_resistance: f64,
    /// Equivalent thickness d_t (for a suspended floor that of the ground under it), m.
    pub equivalent_thickness: f64,
    /// Further values by their name, which tells the unit.
    pub steps: Named<f64>,
    /// U of the basement walls, W/(m²K); null where there is no basement.
    pub wall_u_value: Option<f64>,
    /// U of the floor, W/(m²K).
    pub u_value: f64,
    /// The same to two significant figures, W/(m²K), as text.
    pub u_value_rounded: String,
    /// What reaches the U-value wanted; absent where none was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Target")]
    pub target: Option<Target>,
}

/// How a floor lies on the ground.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FloorKind {
    /// On the ground over its whole area.
    Slab,
    /// Over a naturally ventilated space.
    Suspended,
    /// The floor of a heated basement.
    Basement,
}

/// The ground.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Ground {
    /// What it is, for readers.
    pub material: String,
    /// Thermal conductivity, W/(m·K).
    pub conductivity: f64,
    /// Where the conductivity comes from.
    pub source: String,
}

/// A window by ISO 10077-1.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Window {
    /// Its name in the file.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Whole area, m².
    pub area: f64,
    /// Each pane or opaque panel.
    pub glazing: Vec<WindowArea>,
    /// Each part of the frame.
    pub frame: Vec<WindowArea>,
    /// The glazing's edges.
    pub edges: Vec<WindowEdge>,
    /// U of the window, W/(m²K).
    pub u_value: f64,
    /// The same to two significant figures, W/(m²K), as text.
    pub u_value_rounded: String,
    /// What reaches the U-value wanted; absent where none was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Target")]
    pub target: Option<Target>,
}

/// A part of a window that counts by its area.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct WindowArea {
    /// Area, m².
    pub area: f64,
    /// U, W/(m²K).
    pub u_value: f64,
}

/// A part of a window that counts by its length.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct WindowEdge {
    /// Visible perimeter, m.
    pub length: f64,
    /// ψ, W/(m·K).
    pub psi: f64,
}

impl FloorOnGround {
    /// The document of a floor, without target.
    pub fn of(floor: &NamedFloor) -> Self {
        let result = ground::u_value(&floor.floor);
        let kind = match floor.floor.kind {
            ground::FloorKind::Slab { .. } => FloorKind::Slab,
            ground::FloorKind::Suspended(_) => FloorKind::Suspended,
            ground::FloorKind::Basement { .. } => FloorKind::Basement,
        };
        Self {
            name: floor.name.clone(),
            title: floor.title.clone(),
            kind,
            area: floor.area,
            perimeter: floor.perimeter,
            characteristic_dimension: floor.floor.characteristic_dimension,
            wall_thickness: floor.floor.wall_thickness * 1e3,
            ground: Ground {
                material: floor.ground.label.clone(),
                conductivity: floor.floor.ground_conductivity,
                source: floor.ground.source.clone(),
            },
            floor_resistance: floor.floor.floor_resistance,
            equivalent_thickness: result.equivalent_thickness,
            steps: result.steps.iter().map(|(label, value)| ((*label).to_owned(), *value)).collect(),
            wall_u_value: result.wall_u_value,
            u_value: result.u_value,
            u_value_rounded: two_figures(result.u_value),
            target: None,
        }
    }
}

impl Window {
    /// The document of a window, without target.
    pub fn of(window: &NamedWindow) -> Self {
        let parts = &window.window;
        let areas = |parts: &[(f64, f64)]| {
            parts.iter().map(|(area, u_value)| WindowArea { area: *area, u_value: *u_value }).collect()
        };
        Self {
            name: window.name.clone(),
            title: window.title.clone(),
            area: parts.area(),
            glazing: areas(&parts.glazing),
            frame: areas(&parts.frame),
            edges: parts
                .edges
                .iter()
                .map(|(length, psi)| WindowEdge { length: *length, psi: *psi })
                .collect(),
            u_value: parts.u_value(),
            u_value_rounded: two_figures(parts.u_value()),
            target: None,
        }
    }
}
