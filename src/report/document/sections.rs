//! Flanking elements with what their U-values come from.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Bracketed, points_of};
use crate::case::Case;
use crate::model::FloorMethod;
use crate::plan::section;
use crate::result::Outcome;
use crate::result::u_value::ElementU;

/// A flanking element that is read from the drawing.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Section {
    /// The name of the element.
    pub element: String,
    /// U, W/(m²K).
    pub u_value: f64,
    /// The surface that the section starts at.
    pub from: Film,
    /// The layers along rising x or y, or from one point to the other.
    pub layers: Vec<Layer>,
    /// The surface that the section ends at.
    pub to: Film,
    /// The points on these surfaces, mm; absent where the section lies along an axis.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "[[f64; 2]; 2]")]
    pub points: Option<[[f64; 2]; 2]>,
}

/// A surface.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Film {
    /// The environment before it.
    pub environment: String,
    /// Surface resistance for heat loss, m²K/W.
    pub resistance: f64,
}

/// A layer of a section.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Layer {
    /// Its material by name.
    pub material: String,
    /// The same for readers.
    pub material_label: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Thermal conductivity across the layer, W/(m·K).
    pub conductivity: f64,
    /// Thermal resistance, m²K/W.
    pub resistance: f64,
}

/// A floor on the ground, by the formula of ISO 13370 and by a model of the floor and the ground alone.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Floor {
    /// The name of the element.
    pub element: String,
    /// The method that counts for ψ: `iso13370` or `model`.
    pub method: FloorMethod,
    /// Internal length of floor in the model, half of B', m.
    pub length: f64,
    /// Characteristic dimension B', m.
    pub characteristic_dimension: f64,
    /// Full thickness of the external walls, mm.
    pub wall_thickness: f64,
    /// The layers from the room down, without the ground.
    pub layers: Vec<Layer>,
    /// The ground's material by name.
    pub ground: String,
    /// The same for readers.
    pub ground_label: String,
    /// Thermal conductivity of the ground, W/(m·K).
    pub ground_conductivity: f64,
    /// Thermal resistance of the floor between its surfaces, m²K/W.
    pub floor_resistance: f64,
    /// Equivalent thickness d_t, m.
    pub equivalent_thickness: f64,
    /// U by the formula, W/(m²K).
    pub u_value_iso13370: f64,
    /// L2D of the floor and the ground alone, W/(m·K); null where it was not solved.
    pub l2d_model: Option<Bracketed>,
    /// U that follows from it over the internal length, W/(m²K); null where it was not solved.
    pub u_value_model: Option<f64>,
}

impl Layer {
    fn of(case: &Case, layer: &section::Layer) -> Self {
        let material = &case.model.materials[layer.material];
        Self {
            material: material.name.clone(),
            material_label: material.label.clone(),
            thickness: layer.thickness * 1e3,
            conductivity: layer.thickness / layer.resistance,
            resistance: layer.resistance,
        }
    }
}

/// Every section of an outcome.
pub fn sections(outcome: &Outcome) -> Vec<Section> {
    outcome.elements.iter().filter_map(|element| section(&outcome.case, element)).collect()
}

fn section(case: &Case, element: &ElementU) -> Option<Section> {
    let section = element.section.as_ref()?;
    let [from, to] = section.films.map(|film| Film {
        environment: case.model.environments[film.environment].name.clone(),
        resistance: film.resistance,
    });
    Some(Section {
        element: element.element.clone(),
        u_value: element.u_value,
        from,
        layers: section.layers.iter().map(|layer| Layer::of(case, layer)).collect(),
        to,
        points: section.ends.map(points_of),
    })
}

/// Every floor on the ground of an outcome.
pub fn floors(outcome: &Outcome) -> Vec<Floor> {
    outcome.elements.iter().filter_map(|element| floor(&outcome.case, element)).collect()
}

fn floor(case: &Case, element: &ElementU) -> Option<Floor> {
    let floor = element.floor.as_ref()?;
    let ground = &case.model.materials[floor.ground];
    Some(Floor {
        element: element.element.clone(),
        method: floor.method,
        length: floor.length(),
        characteristic_dimension: floor.floor.characteristic_dimension,
        wall_thickness: floor.floor.wall_thickness * 1e3,
        layers: floor.layers.iter().map(|layer| Layer::of(case, layer)).collect(),
        ground: ground.name.clone(),
        ground_label: ground.label.clone(),
        ground_conductivity: floor.floor.ground_conductivity,
        floor_resistance: floor.floor.floor_resistance,
        equivalent_thickness: floor.formula.equivalent_thickness,
        u_value_iso13370: floor.formula.u_value,
        l2d_model: floor.model.map(Bracketed::from),
        u_value_model: floor.model.map(|model| model.middle() / floor.length()),
    })
}
