//! Lengths between points that lie beside their element: somewhere else than where it is drawn.

use super::lengths::COAT;
use super::planes::CutAt;
use super::views::{View, described};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, millimetres};
use crate::model::{Convention, Psi};

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
            if off <= COAT {
                continue;
            }
            let index = usize::from(axis == Axis::Y);
            let message = format!(
                "the length of {} by {} dimensions lies beside the element: at {} it is {} mm off what is drawn of it",
                item.element,
                convention.label(),
                described(&view.plan, axis, end[index], end[1 - index]),
                millimetres(off)
            );
            let hint = "both its points lie on a surface of the element, or within it";
            warnings.push(Diagnostic::warning(item.place, message).hint(hint));
        }
    }
    warnings
}

/// How far a place is from a span, m.
fn off(span: Span, place: f64) -> f64 {
    (span.from - place).max(place - span.to).max(0.0)
}
