//! U-values that a case states, or takes from a section elsewhere, against what it draws: ψ takes off U·l of each flanking element, and L2D holds what is drawn of it.
//!
//! The drawn U-value is that of sections through the half of the element's length next to its cut-off plane. Where they differ, as between and through
//! studs, the stated one may be any from the lowest to the highest.

use super::counterpart;
use super::cut_off::{self, CutAt};
use super::u_value::ElementU;
use crate::case::{Case, Diagnostic, Flanking, UValueSource};
use crate::geometry::{Axis, SAME_PLACE, Span, millimetres};
use crate::material::four_digits;
use crate::plan::Plan;
use crate::plan::section::{Section, section};
use crate::plan::surface::Surfaces;

/// U-values through air cavities are settled with the solution, and not by the section: they may differ by this share.
const WITH_CAVITIES: f64 = 0.05;

/// A stated U-value that is not that of what is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// Number of the flanking element.
    pub element: usize,
    /// W/(m²K).
    pub stated: f64,
    /// The nearest of what is drawn, W/(m²K).
    pub drawn: f64,
    /// Its cut-off plane.
    plane: (Axis, f64),
}

impl Stated {
    /// What was found, for readers.
    pub fn message(&self, item: &Flanking) -> String {
        let (axis, at) = self.plane;
        let origin = match (&item.build_up, item.u_value) {
            (Some(name), _) => format!("of the build-up {name}"),
            (None, UValueSource::Section { axis, at, .. }) => {
                format!("of its section at {} = {} mm", axis.letter(), millimetres(at))
            }
            (None, _) => "as stated".to_owned(),
        };
        let longest = item.spans.iter().flatten().map(|span| span.length()).fold(0.0, f64::max);
        let [stated, drawn] = [self.stated, self.drawn].map(four_digits);
        format!(
            "{} is taken off with U {stated} W/(m²K) {origin}, and what is drawn at {} = {} mm has U {drawn}: that makes ψ {:.4} W/(m·K) {}",
            item.element,
            axis.letter(),
            millimetres(at),
            (self.stated - self.drawn).abs() * longest,
            if self.stated > self.drawn { "lower" } else { "higher" }
        )
    }
}

/// Each stated U-value that differs from what is drawn by more than its rounding.
pub fn differing(
    (case, plan, surfaces): (&Case, &Plan, &Surfaces),
    sides: &[Vec<usize>; 2],
    elements: &[ElementU],
) -> Vec<Stated> {
    let Some(psi) = case.psi.as_ref().filter(|psi| psi.flanking.len() == elements.len()) else { return Vec::new() };
    let planes = cut_off::planes(plan, psi, sides, elements);
    let items = psi.flanking.iter().zip(planes).enumerate();
    let of_item = |(element, (item, plane)): (usize, (&Flanking, Option<CutAt>))| {
        let stated = match item.u_value {
            UValueSource::Given(stated) => stated,
            UValueSource::Section { .. } => elements[element].u_value,
            UValueSource::Floor { .. } => return None,
        };
        let plane = plane?;
        let drawn = sections((case, plan, surfaces), item, &plane);
        let is_cavity = |section: &Section| {
            section.layers.iter().any(|layer| case.cavities.iter().any(|cavity| cavity.material == layer.material))
        };
        let share = if drawn.iter().any(is_cavity) { WITH_CAVITIES } else { 0.0 };
        let u_values = || drawn.iter().map(|section| section.u_value);
        let (least, most) = (u_values().reduce(f64::min)?, u_values().reduce(f64::max)?);
        let nearest = stated.clamp(least, most);
        let allowed = counterpart::same_u(stated, nearest).max(share * nearest);
        ((stated - nearest).abs() > allowed).then_some(Stated { element, stated, drawn: nearest, plane: (plane.axis, plane.at) })
    };
    items.filter_map(of_item).collect()
}

/// Warnings for all of them.
pub fn warnings(of: (&Case, &Plan, &Surfaces), sides: &[Vec<usize>; 2], elements: &[ElementU]) -> Vec<Diagnostic> {
    let (case, ..) = of;
    let Some(psi) = &case.psi else { return Vec::new() };
    let warning = |stated: Stated| {
        let item = &psi.flanking[stated.element];
        let (axis, at) = stated.plane;
        let hint = format!(
            "`section: {{ {}: {} }}` takes what is drawn; or correct the U-value, or draw the element that it is of: a window of U_w as one panel of that U",
            axis.letter(),
            millimetres(at)
        );
        Diagnostic::warning(item.place, stated.message(item)).hint(hint)
    };
    differing(of, sides, elements).into_iter().map(warning).collect()
}

/// Sections through the element, from its plane to half of its length.
fn sections((case, plan, surfaces): (&Case, &Plan, &Surfaces), item: &Flanking, plane: &CutAt) -> Vec<Section> {
    let lines = match plane.axis {
        Axis::X => &plan.xs,
        Axis::Y => &plan.ys,
    };
    let shortest = item.spans.iter().flatten().map(|span| span.length()).fold(f64::INFINITY, f64::min);
    let reach = 0.5 * shortest + SAME_PLACE;
    let lanes = (0..lines.len() - 1).filter(|lane| {
        let far =
            if (lines[*lane] - plane.at).abs() < (lines[*lane + 1] - plane.at).abs() { lines[*lane] } else { lines[*lane + 1] };
        let is_inwards = (f64::midpoint(lines[*lane], lines[*lane + 1]) - plane.at) * plane.inwards > 0.0;
        is_inwards && (far - plane.at).abs() < reach
    });
    let through = |lane: usize| {
        let at = f64::midpoint(lines[lane], lines[lane + 1]);
        section(case, plan, surfaces, (plane.axis, at, Some(inner(plane.across))), item.place).ok()
    };
    lanes.filter_map(through).filter(|section| section.u_value.is_finite()).collect()
}

/// A stretch without its ends, so that what only touches it is not met.
fn inner(span: Span) -> Span {
    let margin = SAME_PLACE.min(0.25 * span.length());
    Span { from: span.from + margin, to: span.to - margin }
}
