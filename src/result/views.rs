//! The drawing as it is seen along each slope that flanking elements run along by their points.
//!
//! What is asked of flanking elements and cut-off planes is asked along an axis. So the plan is turned until a slope lies
//! along one: there its elements run along an axis, and all others are elsewhere. The first view is the drawing as it
//! is. Each cut is seen in one view at most.

use std::borrow::Cow;

use super::border::Border;
use super::u_value::ElementU;
use crate::geometry::{Axis, FALL, Span, Stretch, Turn, millimetres};
use crate::material::{ALONG_X, Material};
use crate::model::{Flanking, Model, Plane, Psi, SlopedPlane, UValueSource};
use crate::plan::{Plan, SAME_WAY};

/// What is turned by less (the sine of the angle) is not turned at all.
const JUST_LEVEL: f64 = 1e-6;

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
    for item in &psi.flanking {
        let Some(way) = item.slope else { continue };
        add(&mut turns, plan, way, |border, turn| {
            item.runs_along.is_none() || is_cut_squarely(border, item, turn)
        });
    }
    for plane in &psi.sloped_symmetry {
        let is_nearly_level = plane.ends.axis_within(FALL).is_some();
        add(&mut turns, plan, plane.ends.way(), |border, turn| {
            let ends = plane.ends.turned(turn);
            let axis = axis_across(ends);
            let (at, range) = placed(ends, axis);
            !is_nearly_level || border.runs.iter().any(|run| run.overlaps(axis, at, Some(range)))
        });
    }
    turns
}

/// Adds the view along a way, unless there is one that is turned so, if what is wanted there can be seen.
fn add(turns: &mut Vec<Turn>, plan: &Plan, way: [f64; 2], is_wanted: impl Fn(&Border, Turn) -> bool) {
    let turn = plan.turn_along(way);
    let is_known = |known: &Turn| {
        let near = if *known == Turn::NONE { JUST_LEVEL } else { SAME_WAY };
        known.off(turn) <= near
    };
    if turns.iter().any(is_known) {
        return;
    }
    let border = plan.turned(turn).and_then(|plan| Border::of(&plan, &[Turn::NONE, turn]));
    if border.is_some_and(|border| is_wanted(&border, turn)) {
        turns.push(turn);
    }
}

/// True if the lengths of an element end at a cut that is square to it, not to the axis that it nearly runs along.
fn is_cut_squarely(border: &Border, item: &Flanking, turn: Turn) -> bool {
    let Some(way) = item.slope.map(|way| turn.onto(way)) else { return false };
    let axis = if way[0].abs() > way[1].abs() { Axis::X } else { Axis::Y };
    let spans = item.points.map(|points| points.map(|points| points.turned(turn).along(axis)));
    let ends = border.ends(axis, &spans);
    border.runs.iter().any(|run| ends.iter().any(|edge| run.overlaps(axis, edge.at, None)))
}

/// The view that a way is seen in: the drawing as it is, if no other runs so.
fn home(way: [f64; 2], turns: &[Turn]) -> Turn {
    let own = Turn::laying(way);
    let like = turns.iter().filter(|turn| **turn != Turn::NONE && turn.off(own) <= SAME_WAY);
    like.min_by(|a, b| a.off(own).total_cmp(&b.off(own))).copied().unwrap_or(Turn::NONE)
}

/// All views of the pair of environments of a model.
pub fn views<'a>(model: &'a Model, plan: &'a Plan, elements: &'a [ElementU]) -> Vec<View<'a>> {
    let Some(psi) = &model.psi else { return Vec::new() };
    let turns = turns(psi, plan);
    let is_sloped = |item: &Flanking| item.slope.is_some() || matches!(item.u_value, UValueSource::Across(_));
    let has_points = psi.flanking.iter().any(is_sloped) || !psi.sloped_symmetry.is_empty();
    let view = |turn: &Turn| {
        let plan = match *turn {
            Turn::NONE => Cow::Borrowed(plan),
            turn => Cow::Owned(plan.turned(turn)?),
        };
        let (model, elements) = if has_points {
            let seen = Seen { turn: *turn, turns: &turns };
            (Cow::Owned(seen.model(model, psi)), Cow::Owned(seen.elements(psi, elements)))
        } else {
            (Cow::Borrowed(model), Cow::Borrowed(elements))
        };
        let border = Border::of(&plan, &turns);
        Some(View { model, plan, elements, border })
    };
    turns.iter().filter_map(view).collect()
}

/// Where a stretch that is fixed on an axis lies: on this, and across.
fn placed(stretch: Stretch, axis: Axis) -> (f64, Span) {
    (stretch.middle()[usize::from(axis == Axis::Y)], stretch.along(axis.across()))
}

/// The axis that a stretch is fixed on, if it lies along one.
fn axis_across(stretch: Stretch) -> Axis {
    if stretch.along(Axis::X).length() > stretch.along(Axis::Y).length() { Axis::Y } else { Axis::X }
}

/// One of several views.
struct Seen<'t> {
    turn: Turn,
    turns: &'t [Turn],
}

impl Seen<'_> {
    /// The axis of this view that an element runs along; none if it is elsewhere.
    fn axis_of(&self, item: &Flanking) -> Option<Axis> {
        let here = item.slope.map_or(Turn::NONE, |way| home(way, self.turns)) == self.turn;
        match item.slope {
            _ if !here => None,
            Some(way) if self.turn != Turn::NONE => {
                let [x, y] = self.turn.onto(way);
                Some(if x.abs() > y.abs() { Axis::X } else { Axis::Y })
            }
            _ => item.runs_along,
        }
    }

    fn model(&self, model: &Model, psi: &Psi) -> Model {
        let psi = Psi {
            flanking: psi.flanking.iter().map(|item| self.item(item)).collect(),
            symmetry: self.symmetry(psi),
            sloped_symmetry: Vec::new(),
            ..psi.clone()
        };
        let materials = model.materials.iter().map(|material| Material {
            conductivity_x: material.conductivity_along(self.turn.back([1.0, 0.0])),
            conductivity_y: material.conductivity_along(self.turn.back([0.0, 1.0])),
            axis: ALONG_X,
            ..material.clone()
        });
        Model { psi: Some(psi), materials: materials.collect(), ..model.clone() }
    }

    fn item(&self, item: &Flanking) -> Flanking {
        let Some(axis) = self.axis_of(item) else {
            // One of no known axis belongs to the drawing as it is.
            let is_here = self.turn == Turn::NONE && item.slope.is_none();
            let slope = if is_here { None } else { Some(item.slope.unwrap_or([1.0, 0.0])) };
            return Flanking { runs_along: None, slope, ..item.clone() };
        };
        let u_value = match item.u_value {
            UValueSource::Across(ends) => {
                let (at, range) = placed(ends.turned(self.turn), axis);
                UValueSource::Section { axis, at, range: Some(range) }
            }
            other => other,
        };
        let mut spans = item.spans;
        for (span, points) in spans.iter_mut().zip(item.points) {
            *span = points.map(|points| points.turned(self.turn).along(axis)).or(*span);
        }
        Flanking { runs_along: Some(axis), slope: None, u_value, spans, ..item.clone() }
    }

    fn symmetry(&self, psi: &Psi) -> Vec<Plane> {
        let level = if self.turn == Turn::NONE { psi.symmetry.clone() } else { Vec::new() };
        // In a drawing without slopes none has a view.
        let is_here = |plane: &&SlopedPlane| {
            let home = home(plane.ends.way(), self.turns);
            home == self.turn && (home != Turn::NONE || plane.ends.axis_within(FALL).is_some())
        };
        let sloped = psi.sloped_symmetry.iter().filter(is_here).map(|plane| {
            let ends = plane.ends.turned(self.turn);
            let axis = axis_across(ends);
            let (at, range) = placed(ends, axis);
            Plane { axis, at, range: Some(range), place: plane.place }
        });
        level.into_iter().chain(sloped).collect()
    }

    fn elements(&self, psi: &Psi, elements: &[ElementU]) -> Vec<ElementU> {
        let seen = |(number, element): (usize, &ElementU)| {
            let mut element = element.clone();
            let axis = psi.flanking.get(number).and_then(|item| self.axis_of(item));
            if let (Some(section), Some(axis)) = (&mut element.section, axis)
                && let Some(ends) = section.ends
            {
                section.across = ends.turned(self.turn).along(axis.across());
            }
            element
        };
        elements.iter().enumerate().map(seen).collect()
    }
}
