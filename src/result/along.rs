//! Whether a flanking element is, along its length, what its section cuts.
//!
//! What differs at the junction is what ψ is for. What differs elsewhere, a stud or a rail in a wall that is
//! cut between them, lands in ψ as well, though it goes on beyond the model. It is told apart by what lies
//! round it: the junction reaches from the end of the lengths to the last place that is like the section, and
//! is left out, as is what lies as far from the cut-off plane as that plane must lie from the junction.

use super::evidence::distance_wanted;
use super::u_value::ElementU;
use super::views::{View, described, views};
use crate::geometry::{Axis, SAME_PLACE, Span, Turn, millimetres};
use crate::model::{Flanking, Model, UValueSource};
use crate::plan::section::Section;
use crate::plan::{Filling, Plan, Step, are_like_within};

/// A remark for each element whose section differs from the model along it.
pub fn notes(model: &Model, plan: &Plan, elements: &[ElementU]) -> Vec<String> {
    views(model, plan, elements).iter().flat_map(in_view).collect()
}

fn in_view(view: &View<'_>) -> Vec<String> {
    let flanking = view.psi().map(|psi| psi.flanking.as_slice()).unwrap_or_default();
    let items = flanking.iter().zip(view.elements.iter());
    items.filter_map(|(item, element)| note(view, item, element.section.as_ref()?)).collect()
}

fn note(view: &View<'_>, item: &Flanking, section: &Section) -> Option<String> {
    let (model, plan): (&Model, &Plan) = (&view.model, &view.plan);
    let UValueSource::Section { axis, at, .. } = item.u_value else { return None };
    if item.runs_along != Some(axis) {
        return None;
    }
    let along = plan.lines(axis);
    let span = item
        .spans
        .iter()
        .flatten()
        .copied()
        .reduce(|a, b| Span { from: a.from.min(b.from), to: a.to.max(b.to) })?;
    let own = crate::plan::interval(along, at.clamp(along[0], along[along.len() - 1]))?;
    let near = SAME_PLACE.max(plan.likeness());
    let reach = if plan.turn == Turn::NONE { near } else { -plan.rounding() };
    let within = |lane: usize| -> Vec<Step> {
        let meets = |step: &&Step| {
            step.span.from < section.across.to + reach && section.across.from - reach < step.span.to
        };
        plan.lane(axis, lane).steps.iter().filter(meets).copied().collect()
    };
    let own = within(own);
    let differs = |lane: usize| !are_like_within(&within(lane), &own, plan.likeness());
    let lanes: Vec<usize> = (0..along.len() - 1)
        .filter(|lane| along[*lane] >= span.from - near && along[*lane + 1] <= span.to + near)
        .collect();
    let like: Vec<usize> = lanes.iter().copied().filter(|lane| !differs(*lane)).collect();
    let (first, last) = (*like.first()?, *like.last()?);
    let wanted = distance_wanted(model, section);
    let planes = if view.is_first() { [along[0], along[along.len() - 1]] } else { cut_at(view, axis, span) };
    let is_end = |plane: f64| (span.from - plane).abs() < 1e-3 || (span.to - plane).abs() < 1e-3;
    let ends: Vec<f64> = planes.into_iter().filter(|plane| is_end(*plane)).collect();
    let is_near = |lane: usize| {
        let distance = |plane: &f64| (along[lane] - plane).abs().min((along[lane + 1] - plane).abs());
        ends.iter().any(|plane| distance(plane) < wanted - SAME_PLACE)
    };
    // From a plane, the element begins with what lies on it, even if that differs from where the section was
    // taken.
    let first = if ends.first().is_some_and(|plane| (plane - planes[0]).abs() < SAME_PLACE) {
        lanes[0]
    } else {
        first
    };
    let last = if ends.last().is_some_and(|plane| (plane - planes[1]).abs() < SAME_PLACE) {
        *lanes.last()?
    } else {
        last
    };
    let other: Vec<usize> =
        lanes.into_iter().filter(|lane| *lane > first.saturating_sub(1) && *lane <= last).collect();
    let other: Vec<usize> = other.into_iter().filter(|lane| differs(*lane) && is_near(*lane)).collect();
    let (start, end) = (*other.first()?, *other.last()?);
    let length: f64 = other.iter().map(|lane| along[*lane + 1] - along[*lane]).sum();
    let what = foreign(model, &other, within, &own);
    let middle = f64::midpoint(section.across.from, section.across.to);
    let from = described(plan, axis, along[start], middle);
    let to = if plan.turn == Turn::NONE {
        format!("{} mm", millimetres(along[end + 1]))
    } else {
        described(plan, axis, along[end + 1], middle)
    };
    Some(format!(
        "along {} the model differs from its section over {} mm, between {} and {to}{what}: what that adds to the loss is part of ψ. \
         Take `build_up: NAME` for a U-value with its studs or joints, or a section that is like the rest",
        item.element,
        millimetres(length),
        from.trim_end_matches(" mm")
    ))
}

/// Where an element of a turned plan is cut at either end, m; nowhere where it is not.
fn cut_at(view: &View<'_>, axis: Axis, span: Span) -> [f64; 2] {
    let cuts = view.cut_planes(axis);
    let is_cut = |end: f64| cuts.iter().any(|(at, near)| (at - end).abs() < *near);
    let end = |end: f64, nowhere: f64| if is_cut(end) { end } else { nowhere };
    [end(span.from, f64::NEG_INFINITY), end(span.to, f64::INFINITY)]
}

/// The materials that the section does not have at the same depth.
fn foreign(model: &Model, lanes: &[usize], within: impl Fn(usize) -> Vec<Step>, own: &[Step]) -> String {
    let mut labels: Vec<&str> = Vec::new();
    for step in lanes.iter().flat_map(|lane| within(*lane)) {
        let middle = f64::midpoint(step.span.from, step.span.to);
        let at_same_depth = own.iter().find(|other| other.span.contains(middle)).map(|other| other.filling);
        if let Filling::Solid(material) = step.filling
            && at_same_depth != Some(step.filling)
            && !labels.contains(&model.materials[material].label.as_str())
        {
            labels.push(&model.materials[material].label);
        }
    }
    if labels.is_empty() { String::new() } else { format!(" ({})", labels.join(", ")) }
}
