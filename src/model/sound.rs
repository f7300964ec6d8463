//! Whether a model holds together: its fields are open, and a program may have changed what a
//! [`Builder`](super::Builder) or a case file had checked.

use super::{Area, EnvironmentId, MaterialId, Model, Paint, Polygon, Round};
use crate::finding::{Diagnostic, Unusable};
use crate::geometry::{Rectangle, Span};

impl Model {
    /// Checks that every id is one of the model's own, and every number that physics needs is one.
    ///
    /// # Errors
    /// [`Unusable`] with everything that is wrong. Ranges are not looked at.
    pub fn sound(&self) -> Result<(), Unusable> {
        let mut faults: Vec<String> = Vec::new();
        let materials = self.cavities.iter().map(|cavity| cavity.material);
        let materials = materials.chain(self.judged_apart().iter().copied());
        let materials =
            materials.chain(self.surfaces.iter().flat_map(|rule| rule.materials.iter().flatten().copied()));
        let painted = self.plan.iter().filter_map(|shape| match shape.paint {
            Paint::Solid(material) => Some(material),
            Paint::Space(_) => None,
        });
        let is_unknown = |id: &MaterialId| id.index() >= self.materials.len();
        for id in materials.chain(painted).filter(is_unknown) {
            faults.push(format!("there is no material {}", id.index()));
        }
        let spaces = self.plan.iter().filter_map(|shape| match shape.paint {
            Paint::Space(environment) => Some(environment),
            Paint::Solid(_) => None,
        });
        let pairs = self.psi.iter().chain(&self.further_psi).filter_map(|psi| psi.between.as_ref());
        let named = pairs.flatten().flatten().copied();
        let ruled = self.surfaces.iter().filter_map(|rule| rule.environment);
        let is_unknown = |id: &EnvironmentId| id.index() >= self.environments.len();
        for id in spaces.chain(named).chain(ruled).filter(is_unknown) {
            faults.push(format!("there is no environment {}", id.index()));
        }
        for material in &self.materials {
            if [material.conductivity_x, material.conductivity_y].iter().any(|value| !is_positive(*value)) {
                faults.push(format!("the conductivity of {} is not a number above 0", material.name));
            }
        }
        for material in &self.materials {
            let [x, y] = material.axis;
            let is_unit = (x * x + y * y - 1.0).abs() <= UNIT;
            if !is_unit {
                faults.push(format!("the axis of {} is no direction of length 1", material.name));
            }
        }
        for environment in &self.environments {
            if !environment.temperature.is_finite() {
                faults.push(format!("the temperature of {} is not a number", environment.name));
            }
        }
        if !has_size(self.extent) {
            faults.push("the extent has no size".to_owned());
        }
        if self.border.as_ref().is_some_and(|corners| !is_sound(&Area::Polygon(Polygon::of(corners.clone()))))
        {
            faults.push("the border of the extent is no polygon".to_owned());
        }
        if self.plan.iter().any(|shape| !is_sound(&shape.area)) {
            faults.push("a shape of the plan has no size".to_owned());
        }
        if faults.is_empty() {
            return Ok(());
        }
        Err(Unusable(faults.into_iter().map(|fault| Diagnostic::error(None, fault)).collect()))
    }
}

/// What rounding leaves of the square of a unit vector's length.
const UNIT: f64 = 1e-9;

fn is_positive(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

fn is_sound(area: &Area) -> bool {
    match area {
        Area::Rectangles(rectangles) => rectangles.iter().all(|area| has_size(*area)),
        Area::Polygon(Polygon { outline, holes }) => {
            let is_ring =
                |ring: &Vec<[f64; 2]>| ring.len() > 2 && ring.iter().flatten().all(|value| value.is_finite());
            is_ring(outline) && holes.iter().all(is_ring)
        }
        Area::Round(Round { at, diameter }) => {
            at.iter().all(|value| value.is_finite()) && is_positive(*diameter)
        }
    }
}

fn has_size(area: Rectangle) -> bool {
    let is_span = |span: Span| span.from.is_finite() && span.to.is_finite() && span.from < span.to;
    is_span(area.x) && is_span(area.y)
}
