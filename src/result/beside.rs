//! Lengths between points that lie beside their element: somewhere else than where it is drawn.

use super::lengths::COAT;
use super::planes::CutAt;
use super::views::{View, described};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, Stretch, millimetres};
use crate::model::{Convention, Psi, is_within};

/// A warning for each length of a view whose points lie off where its element is cut, or where its section leads
/// through it, by more than a coat.
pub(super) fn warnings(view: &View<'_>, psi: &Psi, planes: &[Option<CutAt>]) -> Vec<Diagnostic> {
    let mut warnings = Vec::new();
    for (number, (item, plane)) in psi.flanking.iter().zip(planes).enumerate() {
        let (Some(axis), false) = (item.runs_along, view.is_elsewhere(number)) else { continue };
        let section = view.elements[number].section.as_ref().map(|section| section.across);
        let Some(across) = plane.map(|plane| plane.across).or(section) else { continue };
        for (points, convention) in item.points.iter().zip(Convention::ALL) {
            let Some(points) = points.map(|points| points.turned(view.plan.turn)) else { continue };
            let off = [points.from, points.to].map(|end| off(across, end[usize::from(axis == Axis::X)]));
            let [one, other] = off;
            let (off, end) = if one > other { (one, points.from) } else { (other, points.to) };
            let index = usize::from(axis == Axis::Y);
            let said = |end: [f64; 2]| described(&view.plan, axis, end[index], end[1 - index]);
            if off <= COAT {
                // One that begins beyond the cut is told of that.
                let is_told = |end: &[f64; 2]| plane.is_some_and(|plane| plane.depth(end[index]) < 0.0);
                warnings.extend(ends_outside(view, points).filter(|end| !is_told(end)).map(|end| {
                    let message = format!(
                        "the length of {} by {} dimensions ends at {}, which lies outside the extent",
                        item.element,
                        convention.label(),
                        said(end)
                    );
                    let hint = "an element is drawn over its length, and its length ends at the junction";
                    Diagnostic::warning(item.place, message).hint(hint)
                }));
                continue;
            }
            let message = format!(
                "the length of {} by {} dimensions lies beside the element: at {} it is {} mm off what is drawn of it",
                item.element,
                convention.label(),
                said(end),
                millimetres(off)
            );
            let hint = "both its points lie on a surface of the element, or within it";
            warnings.push(Diagnostic::warning(item.place, message).hint(hint));
        }
    }
    warnings
}

/// An end that lies outside the extent, by more than a coat.
fn ends_outside(view: &View<'_>, points: Stretch) -> Option<[f64; 2]> {
    [points.from, points.to].into_iter().find(|end| {
        let border = &view.plan.border;
        let mut sides = (0..border.len())
            .map(|index| Stretch { from: border[index], to: border[(index + 1) % border.len()] });
        !is_within(border, *end) && sides.all(|side| side.distance(*end) > COAT)
    })
}

/// How far a place is from a span, m.
fn off(span: Span, place: f64) -> f64 {
    (span.from - place).max(place - span.to).max(0.0)
}
