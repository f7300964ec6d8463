//! U-values of the flanking elements.

use super::floor::{self, FloorOnGround};
use crate::case::{Case, Diagnostic, Flanking, UValueSource};
use crate::geometry::Axis;
use crate::plan::Plan;
use crate::plan::section::{Section, section};
use crate::plan::surface::Surfaces;

/// The U-value of a flanking element.
#[derive(Clone, Debug)]
pub struct ElementU {
    /// The element's name.
    pub element: String,
    /// W/(m²K).
    pub u_value: f64,
    /// The layers it was computed from; `None` if the case states it or it is a floor on the ground.
    pub section: Option<Section>,
    /// What the plan shows of a floor on the ground.
    pub floor: Option<FloorOnGround>,
}

/// The U-values of all flanking elements, in the order of the case; faulty sections become errors.
pub fn elements(case: &Case, plan: &Plan, surfaces: &Surfaces, errors: &mut Vec<Diagnostic>) -> Vec<ElementU> {
    let flanking = case.psi.as_ref().map(|psi| psi.flanking.as_slice()).unwrap_or_default();
    let mut elements: Vec<ElementU> = Vec::new();
    for item in flanking {
        let (u_value, section) = match item.u_value {
            UValueSource::Given(value) => (value, None),
            UValueSource::Section { axis, at, range } => match section(case, plan, surfaces, (axis, at, range), item.place) {
                Ok(section) => (section.u_value, Some(section)),
                Err(diagnostic) => {
                    errors.push(diagnostic);
                    continue;
                }
            },
            UValueSource::Floor { .. } => (0.0, None),
        };
        elements.push(ElementU { element: item.element.clone(), u_value, section, floor: None });
    }
    if elements.len() < flanking.len() {
        return elements;
    }
    let of_sections = wall_thickness(flanking, &elements);
    for (item, element) in flanking.iter().zip(&mut elements) {
        let UValueSource::Floor { method, wall_thickness } = item.u_value else { continue };
        match floor::read(case, plan, surfaces, item, method, wall_thickness.or(of_sections)) {
            Ok(floor) => {
                element.u_value = floor.formula.u_value;
                element.floor = Some(floor);
            }
            Err(diagnostic) => errors.push(diagnostic),
        }
    }
    elements
}

/// Thickness of the thickest element cut by a level plane, m: the wall that stands beside a floor.
fn wall_thickness(flanking: &[Flanking], elements: &[ElementU]) -> Option<f64> {
    let is_wall = |item: &Flanking| matches!(item.u_value, UValueSource::Section { axis: Axis::Y, .. });
    let walls =
        flanking.iter().zip(elements).filter(|(item, _)| is_wall(item)).filter_map(|(_, element)| element.section.as_ref());
    walls.map(Section::thickness).reduce(f64::max)
}
