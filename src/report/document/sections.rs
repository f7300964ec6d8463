//! Flanking elements with what their U-values come from.

use schemars::JsonSchema;
use serde::Serialize;

use super::Bracketed;
use crate::case::Case;
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
    /// The layers along rising x or y.
    pub layers: Vec<Layer>,
    /// The surface that the section ends at.
    pub to: Film,
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
    /// Thickness, mm.
    pub thickness: f64,
    /// Thermal resistance, m²K/W.
    pub resistance: f64,
}

/// A floor on the ground, by the formula of ISO 13370 and by a model of the floor and the ground alone.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Floor {
    /// The name of the element.
    pub element: String,
    /// The method that counts for ψ: `iso13370` or `model`.
    pub method: &'static str,
    /// Characteristic dimension B', m.
    pub characteristic_dimension: f64,
    /// Full thickness of the external walls, mm.
    pub wall_thickness: f64,
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
    let layers = section.layers.iter().map(|layer| Layer {
        material: case.model.materials[layer.material].name.clone(),
        thickness: layer.thickness * 1e3,
        resistance: layer.resistance,
    });
    Some(Section {
        element: element.element.clone(),
        u_value: element.u_value,
        from,
        layers: layers.collect(),
        to,
    })
}

/// Every floor on the ground of an outcome.
pub fn floors(outcome: &Outcome) -> Vec<Floor> {
    outcome.elements.iter().filter_map(floor).collect()
}

fn floor(element: &ElementU) -> Option<Floor> {
    let floor = element.floor.as_ref()?;
    Some(Floor {
        element: element.element.clone(),
        method: floor.method.word(),
        characteristic_dimension: floor.floor.characteristic_dimension,
        wall_thickness: floor.floor.wall_thickness * 1e3,
        ground_conductivity: floor.floor.ground_conductivity,
        floor_resistance: floor.floor.floor_resistance,
        equivalent_thickness: floor.formula.equivalent_thickness,
        u_value_iso13370: floor.formula.u_value,
        l2d_model: floor.model.map(Bracketed::from),
    })
}
