//! U-values of the flanking elements.

use super::floor::{self, FloorOnGround};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, FALL, Stretch};
use crate::model::{Convention, Flanking, Model, UValueSource};
use crate::plan::section::{Section, section};
use crate::plan::surface::Surfaces;
use crate::plan::{Plan, ROUNDED, section_across};

/// The U-value of a flanking element.
#[derive(Clone, Debug)]
pub struct ElementU {
    /// The element's name.
    pub element: String,
    /// W/(m²K).
    pub u_value: f64,
    /// The build-up it is of, where the case names one.
    pub build_up: Option<String>,
    /// The layers it was computed from; `None` if the case states it or it is a floor on the ground.
    pub section: Option<Section>,
    /// What the plan shows of a floor on the ground.
    pub floor: Option<FloorOnGround>,
}

/// The U-values of all flanking elements, in the order of the case; faulty sections become errors, doubtful
/// values warnings.
pub fn elements(
    model: &Model,
    plan: &Plan,
    surfaces: &Surfaces,
    errors: &mut Vec<Diagnostic>,
) -> Vec<ElementU> {
    let flanking = model.psi.as_ref().map(|psi| psi.flanking.as_slice()).unwrap_or_default();
    let mut elements: Vec<ElementU> = Vec::new();
    for item in flanking {
        errors.extend(slopes_alone(plan, item));
        let (u_value, section) = match item.u_value {
            UValueSource::Given(value) => (value, None),
            UValueSource::Section { axis, at, range } => {
                match section(model, plan, surfaces, (axis, at, range), item.place) {
                    Ok(section) => (section.u_value, Some(section)),
                    Err(diagnostic) => {
                        errors.push(diagnostic);
                        continue;
                    }
                }
            }
            UValueSource::Across(ends) => match section_across(model, plan, surfaces, ends, item.place) {
                Ok(section) => {
                    errors.extend(runs_elsewhere(item, ends));
                    (section.u_value, Some(section))
                }
                Err(diagnostic) => {
                    errors.push(diagnostic);
                    continue;
                }
            },
            UValueSource::Floor { .. } => (0.0, None),
        };
        elements.push(ElementU {
            element: item.element.clone(),
            u_value,
            build_up: item.build_up.clone(),
            section,
            floor: None,
        });
    }
    if elements.len() < flanking.len() {
        return elements;
    }
    for (item, element) in flanking.iter().zip(&mut elements) {
        let UValueSource::Floor { method, wall_thickness } = item.u_value else { continue };
        let Some(raster) = plan.raster() else {
            let message = "a floor on the ground is read from drawings whose edges are all level or upright and whose extent is a rectangle";
            let hint = "draw what slopes in a case of its own, or state the floor's U-value with `u_value`";
            errors.push(Diagnostic::error(item.place, message).hint(hint));
            continue;
        };
        match floor::read(model, raster, surfaces, item, method, wall_thickness) {
            Ok(floor) => {
                element.u_value = floor.formula.u_value;
                errors.extend(floor::other_wall(&floor, item.place));
                element.floor = Some(floor);
            }
            Err(diagnostic) => errors.push(diagnostic),
        }
    }
    elements
}

/// An error for a length that does not run along the element, to which its section is square.
fn runs_elsewhere(item: &Flanking, section: Stretch) -> Option<Diagnostic> {
    let surface = section.square();
    let (points, convention) = item.points.iter().zip(Convention::ALL).find_map(|(points, convention)| {
        points.filter(|points| points.turn_to(surface) > FALL).map(|points| (points, convention))
    })?;
    let message = format!(
        "the length of {} by {} dimensions runs at {:.1}° to the x axis, and the element that its section leads through at {:.1}°",
        item.element,
        convention.label(),
        points.degrees(),
        surface.degrees()
    );
    let hint = "both points of a length lie on one line along the element";
    Some(Diagnostic::error(item.place, message).hint(hint))
}

/// An error for an element that runs along a slope by its points where nothing slopes.
fn slopes_alone(plan: &Plan, item: &Flanking) -> Option<Diagnostic> {
    plan.raster()?;
    let off =
        |points: &&Stretch| points.along(Axis::X).length().min(points.along(Axis::Y).length()) > ROUNDED;
    let points = item.points.iter().flatten().find(off)?;
    let message = format!(
        "{} runs at {:.1}° to the x axis by its points, and all edges of the drawing are level or upright",
        item.element,
        points.degrees()
    );
    let hint =
        "both points of a length lie on one line along the element: let them have the same x or the same y";
    Some(Diagnostic::error(item.place, message).hint(hint))
}
