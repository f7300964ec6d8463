//! The drawing as it is seen along each slope that flanking elements run along by their points.
//!
//! What is asked of flanking elements and cut-off planes is asked along an axis. So the plan is turned until a slope lies
//! along one: there its elements run along an axis, and all others are elsewhere. The first view is the drawing as it
//! is. Each cut is seen in one view at most.

use std::borrow::Cow;

use super::border::Border;
use super::u_value::ElementU;
use crate::geometry::{Axis, Span, Stretch, Turn, millimetres};
use crate::material::Material;
use crate::model::{Flanking, Model, Plane, Psi, SlopedPlane, UValueSource};
use crate::plan::Plan;

/// Elements whose ways differ by less (the sine of the angle) are seen in one view: points are rounded.
const SAME_WAY: f64 = 0.01;

/// The drawing with its flanking elements, turned or as it is.
pub struct View<'a> {
    /// With the elements of this view along its axes; those that are elsewhere have a slope.
    pub model: Cow<'a, Model>,
    /// The plan, turned.
    pub plan: Cow<'a, Plan>,
    /// With their sections across the axes of this view.
    pub(super) elements: Cow<'a, [ElementU]>,
    /// Of what is painted, with the cuts of this view.
    pub(super) border: Option<Border>,
}

impl View<'_> {
    /// What is taken off, if anything is.
    pub fn psi(&self) -> Option<&Psi> {
        self.model.psi.as_ref()
    }

    /// True for the drawing as it is.
    pub fn is_first(&self) -> bool {
        self.plan.turn == Turn::NONE
    }

    /// A place across an element of this view, in its points, m.
    pub fn across(&self, item: &Flanking) -> f64 {
        let index = usize::from(item.runs_along == Some(Axis::X));
        let points = item.points.iter().flatten().next().map(|points| points.turned(self.plan.turn));
        points.map_or(0.0, |points| points.middle()[index])
    }

    /// Where the model is cut across an axis, or ends, m, each with how near a length must end.
    pub fn cut_planes(&self, axis: Axis) -> Vec<(f64, f64)> {
        let edges = self.border.iter().flat_map(|border| &border.edges);
        edges.filter(|edge| edge.axis == axis).map(|edge| (edge.at, edge.near)).collect()
    }

    /// True if an element is told by points and runs another way.
    pub fn is_elsewhere(&self, number: usize) -> bool {
        self.psi().and_then(|psi| psi.flanking.get(number)).is_none_or(|item| item.slope.is_some())
    }
}

/// A place on an axis of a plan, for readers: `y = -1200 mm`, or, in one that is turned, the point there at a place
/// across, `[120, 340] mm`.
pub fn described(plan: &Plan, axis: Axis, at: f64, across: f64) -> String {
    if plan.turn == Turn::NONE {
        return format!("{} = {} mm", axis.letter(), millimetres(at));
    }
    let point = if axis == Axis::X { [at, across] } else { [across, at] };
    let [x, y] = plan.turn.back(point).map(millimetres);
    format!("[{x}, {y}] mm")
}

/// How the views of a pair's elements are turned, the drawing as it is first.
pub(super) fn turns(psi: &Psi, plan: &Plan) -> Vec<Turn> {
    let mut turns = vec![Turn::NONE];
    if plan.raster().is_some() {
        return turns;
    }
    let elements = psi.flanking.iter().filter_map(|item| item.slope);
    for turn in elements.chain(psi.sloped_symmetry.iter().map(|plane| plane.ends.way())).map(Turn::laying) {
        if turns.iter().all(|known| known.off(turn) > SAME_WAY) {
            turns.push(turn);
        }
    }
    turns
}

/// All views of the pair of environments of a model.
pub fn views<'a>(model: &'a Model, plan: &'a Plan, elements: &'a [ElementU]) -> Vec<View<'a>> {
    let Some(psi) = &model.psi else { return Vec::new() };
    let turns = turns(psi, plan);
    let view = |turn: &Turn| {
        let plan = match *turn {
            Turn::NONE => Cow::Borrowed(plan),
            turn => Cow::Owned(plan.turned(turn)?),
        };
        let has_points = psi.flanking.iter().any(|item| matches!(item.u_value, UValueSource::Across(_)));
        let (model, elements) = if turns.len() == 1 && !has_points && psi.sloped_symmetry.is_empty() {
            (Cow::Borrowed(model), Cow::Borrowed(elements))
        } else {
            (Cow::Owned(seen_model(model, psi, *turn)), Cow::Owned(seen_elements(psi, elements, *turn)))
        };
        let border = Border::of(&plan, &turns);
        Some(View { model, plan, elements, border })
    };
    turns.iter().filter_map(view).collect()
}

/// The axis of a view that an element runs along; none if it is elsewhere.
fn axis_of(item: &Flanking, turn: Turn) -> Option<Axis> {
    match item.slope {
        Some(way) if Turn::laying(way).off(turn) <= SAME_WAY => {
            let [x, y] = turn.onto(way);
            Some(if x.abs() > y.abs() { Axis::X } else { Axis::Y })
        }
        Some(_) => None,
        None => item.runs_along.filter(|_| turn == Turn::NONE),
    }
}

fn seen_model(model: &Model, psi: &Psi, turn: Turn) -> Model {
    let psi = Psi {
        flanking: psi.flanking.iter().map(|item| seen_item(item, turn)).collect(),
        symmetry: seen_symmetry(psi, turn),
        sloped_symmetry: Vec::new(),
        ..psi.clone()
    };
    let along = |material: &Material, [x, y]: [f64; 2]| {
        material.conductivity_x * x * x + material.conductivity_y * y * y
    };
    let materials = model.materials.iter().map(|material| Material {
        conductivity_x: along(material, turn.back([1.0, 0.0])),
        conductivity_y: along(material, turn.back([0.0, 1.0])),
        ..material.clone()
    });
    Model { psi: Some(psi), materials: materials.collect(), ..model.clone() }
}

fn seen_item(item: &Flanking, turn: Turn) -> Flanking {
    let Some(axis) = axis_of(item, turn) else {
        // One of no known axis belongs to the drawing as it is.
        let is_here = turn == Turn::NONE && item.slope.is_none();
        let slope = if is_here { None } else { Some(item.slope.unwrap_or([1.0, 0.0])) };
        return Flanking { runs_along: None, slope, ..item.clone() };
    };
    let u_value = match item.u_value {
        UValueSource::Across(ends) => {
            let (at, range) = placed(ends.turned(turn), axis);
            UValueSource::Section { axis, at, range: Some(range) }
        }
        other => other,
    };
    let mut spans = item.spans;
    for (span, points) in spans.iter_mut().zip(item.points) {
        *span = points.map(|points| points.turned(turn).along(axis)).or(*span);
    }
    Flanking { runs_along: Some(axis), slope: None, u_value, spans, ..item.clone() }
}

/// Where a stretch that is fixed on an axis lies: on this, and across.
fn placed(stretch: Stretch, axis: Axis) -> (f64, Span) {
    (stretch.middle()[usize::from(axis == Axis::Y)], stretch.along(axis.across()))
}

fn seen_symmetry(psi: &Psi, turn: Turn) -> Vec<Plane> {
    let level = if turn == Turn::NONE { psi.symmetry.clone() } else { Vec::new() };
    let is_here = |plane: &&SlopedPlane| Turn::laying(plane.ends.way()).off(turn) <= SAME_WAY;
    let sloped = psi.sloped_symmetry.iter().filter(is_here).map(|plane| {
        let ends = plane.ends.turned(turn);
        let axis =
            if ends.along(Axis::X).length() > ends.along(Axis::Y).length() { Axis::Y } else { Axis::X };
        let (at, range) = placed(ends, axis);
        Plane { axis, at, range: Some(range), place: plane.place }
    });
    level.into_iter().chain(sloped).collect()
}

fn seen_elements(psi: &Psi, elements: &[ElementU], turn: Turn) -> Vec<ElementU> {
    let seen = |(number, element): (usize, &ElementU)| {
        let mut element = element.clone();
        let axis = psi.flanking.get(number).and_then(|item| axis_of(item, turn));
        if let (Some(section), Some(axis)) = (&mut element.section, axis)
            && let Some(ends) = section.ends
        {
            section.across = ends.turned(turn).along(axis.across());
        }
        element
    };
    elements.iter().enumerate().map(seen).collect()
}
