//! Lengths that miss the plane where their element is cut: they end before it or beyond.
//!
//! All lengths of an element begin where the model of it is cut. One that does not takes off more or less than is
//! drawn, which ψ makes up for.

use super::planes::CutAt;
use super::views::{View, described};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, Stretch, millimetres};
use crate::model::{Convention, Psi, UValueSource};

/// Points that lie so far (m) within an element lie on neither surface of it.
const OFF_THE_SURFACE: f64 = 5e-3;

/// A warning for each length of a view that does not end where its element is cut.
pub(super) fn warnings(view: &View<'_>, psi: &Psi, planes: &[Option<CutAt>]) -> Vec<Diagnostic> {
    let mut warnings = Vec::new();
    for (number, (item, plane)) in psi.flanking.iter().zip(planes).enumerate() {
        let Some(plane) = plane.filter(|_| !matches!(item.u_value, UValueSource::Floor { .. })) else {
            continue;
        };
        for (index, convention) in Convention::ALL.into_iter().enumerate() {
            let Some(span) = item.spans[index] else { continue };
            let Some(end) = plane.missed_by(span) else { continue };
            let points = item.points[index].map(|points| points.turned(view.plan.turn));
            let off = plane.depth(end);
            let (where_to, sense) = if off < 0.0 { ("beyond", "lower") } else { ("before", "higher") };
            let mut message = format!(
                "the length of {} by {} dimensions ends at {}, {} mm {where_to} where the element is cut, {}: that makes ψ {:.4} W/(m·K) {sense}",
                item.element,
                convention.label(),
                end_text(view, points, plane, end),
                millimetres(off.abs()),
                cut_text(view, plane),
                view.elements[number].u_value * off.abs()
            );
            let mut hint = "one end of each length lies where the model of the element is cut, the other at the junction";
            if let Some(beside) = points.and_then(|points| off_the_surfaces(points, plane)) {
                message.push_str(&format!(
                    ", unless its other end is as far off: it lies beside the element's surfaces, {} mm off the nearer",
                    millimetres(beside)
                ));
                hint = "let both its points lie on a surface of the element: one where it is cut, the other at the junction";
            }
            warnings.push(Diagnostic::warning(item.place, message).hint(hint));
        }
    }
    warnings
}

impl CutAt {
    /// How far inwards from the cut a place lies, m.
    pub(super) fn depth(&self, place: f64) -> f64 {
        (place - self.at) * self.inwards
    }

    /// The end of a length that should lie at the cut, and does not.
    pub(super) fn missed_by(&self, span: Span) -> Option<f64> {
        let end = [span.from, span.to].into_iter().min_by(|one, other| {
            let [one, other] = [one, other].map(|end| self.depth(*end).abs());
            one.total_cmp(&other)
        });
        end.filter(|end| self.depth(*end).abs() >= self.near)
    }
}

/// How far both ends of a length lie off either surface of its element, m, if they lie on none.
fn off_the_surfaces(points: Stretch, plane: CutAt) -> Option<f64> {
    let surfaces = [plane.across.from, plane.across.to];
    let ends = [points.from, points.to].map(|end| end[usize::from(plane.axis == Axis::X)]);
    let off = ends.into_iter().flat_map(|end| surfaces.map(|surface| (end - surface).abs()));
    Some(off.fold(f64::INFINITY, f64::min)).filter(|off| *off > OFF_THE_SURFACE)
}

/// The end of a length.
fn end_text(view: &View<'_>, points: Option<Stretch>, plane: CutAt, end: f64) -> String {
    let index = usize::from(plane.axis == Axis::Y);
    let nearest = points.map(
        |Stretch { from, to }| {
            if (from[index] - end).abs() < (to[index] - end).abs() { from } else { to }
        },
    );
    let across = nearest.map_or(plane.across.from, |point| point[1 - index]);
    described(&view.plan, plane.axis, end, across)
}

/// `at y = -1500 mm`; on a slope `from [0, 0] to [-172, 246] mm`.
fn cut_text(view: &View<'_>, plane: CutAt) -> String {
    let end = |across: f64| described(&view.plan, plane.axis, plane.at, across);
    if view.is_first() {
        return format!("at {}", end(plane.across.from));
    }
    format!("from {} to {}", end(plane.across.from).trim_end_matches(" mm"), end(plane.across.to))
}
