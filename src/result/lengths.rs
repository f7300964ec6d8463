//! Whether the lengths of flanking elements fit what is drawn: a length that leaves out a part of an element
//! leaves that part's loss in ψ, and one that counts too much takes off what the model does not lose.
//!
//! From its cut-off plane an element is plain as long as the model stays as it is cut there: the same layers
//! between the same spaces. A length must count all of this. It may count more, up to the junction's far
//! side, but not on along what separates another pair.

use super::beside;
use super::missing;
use super::planes::{CutAt, planes};
use super::u_value::ElementU;
use super::views::{View, described, views};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, SAME_PLACE, Span, millimetres};
use crate::model::{Convention, EnvironmentId, Flanking, Model, Psi, UValueSource};
use crate::plan::{Filling, Plan, Step, are_like_within};

/// What is plain may go on for so much (m) beyond a length: a coat of plaster, or the screed that a level is
/// measured from.
pub(super) const COAT: f64 = 0.1;
/// Elements may be counted for so much (m) beside the pair's spaces, besides the thickest element's
/// thickness: slabs, frames, steps.
const JUNCTION: f64 = 0.5;

/// A warning for each length that is too short or too long, or lies beside its element.
pub fn warnings(
    model: &Model,
    plan: &Plan,
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
) -> Vec<Diagnostic> {
    if model.psi.as_ref().is_none_or(|psi| psi.flanking.len() != elements.len()) {
        return Vec::new();
    }
    views(model, plan, elements).iter().flat_map(|view| in_view(view, sides)).collect()
}

fn in_view(view: &View<'_>, sides: &[Vec<EnvironmentId>; 2]) -> Vec<Diagnostic> {
    let Some(psi) = view.psi() else { return Vec::new() };
    let (plan, elements) = (&view.plan, &view.elements);
    let planes = planes(view, sides);
    let sections = elements.iter().filter_map(|element| Some(element.section.as_ref()?.thickness()));
    let runs = planes.iter().flatten().map(|plane| plane.across.length());
    let thickest = sections.chain(runs).fold(0.0, f64::max);
    let mut warnings = overlaps(psi, &planes);
    warnings.extend(beside::warnings(view, psi, &planes));
    warnings.extend(missing::warnings(view, psi, &planes));
    for (item, plane) in psi.flanking.iter().zip(&planes) {
        let Some(plane) = plane
            .as_ref()
            .filter(|plane| !plane.is_oblique && !matches!(item.u_value, UValueSource::Floor { .. }))
        else {
            continue;
        };
        let lanes = Lanes::of(plan, plane);
        let plain = lanes.plain();
        for (index, convention) in Convention::ALL.into_iter().enumerate() {
            let Some(span) = item.spans[index] else { continue };
            // Distances from the plane inwards.
            let depth = |place: f64| (place - plane.at) * plane.inwards;
            let own = depth(span.from).max(depth(span.to));
            let others = psi
                .flanking
                .iter()
                .filter(|other| !std::ptr::eq(*other, item) && other.runs_along == item.runs_along);
            let next = others
                .filter_map(|other| other.spans[index])
                .map(|other| depth(other.from).min(depth(other.to)));
            // Where another element goes on from here, it counts the rest.
            let plain_end = next.filter(|next| *next > own - COAT).fold(plain, f64::min);
            let name = format!("the length of {} by {} dimensions", item.element, convention.label());
            let at = |depth: f64| described(plan, plane.axis, plane.at + depth * plane.inwards, lanes.within);
            if plain_end - own > COAT {
                let message = format!(
                    "{name} ends at {}, and the model goes on as it is cut to {}: the loss of these {} mm is left in ψ",
                    at(own),
                    at(plain_end),
                    millimetres(plain_end - own)
                );
                warnings.push(
                    Diagnostic::warning(item.place, message).hint("count the element up to the junction"),
                );
            }
            let beside = lanes.beside(sides, own);
            if beside > thickest + JUNCTION {
                let message = format!(
                    "{name} goes on to {}, of which {} mm separate other spaces than those of ψ: that takes off what they do not lose",
                    at(own),
                    millimetres(beside)
                );
                warnings
                    .push(Diagnostic::warning(item.place, message).hint("end the length at the junction"));
            }
        }
    }
    warnings
}

/// A warning for each two elements in one line whose lengths overlap.
fn overlaps(psi: &Psi, planes: &[Option<CutAt>]) -> Vec<Diagnostic> {
    let placed: Vec<(&Flanking, &CutAt)> =
        psi.flanking.iter().zip(planes).filter_map(|(item, plane)| Some((item, plane.as_ref()?))).collect();
    let overlap = |a: Span, b: Span| a.to.min(b.to) - a.from.max(b.from);
    let mut warnings = Vec::new();
    for (number, (item, plane)) in placed.iter().enumerate() {
        for (other, others) in placed[..number].iter().filter(|(_, other)| other.axis == plane.axis) {
            for (index, convention) in Convention::ALL.into_iter().enumerate() {
                let (Some(own), Some(span)) = (item.spans[index], other.spans[index]) else { continue };
                if overlap(own, span) > SAME_PLACE && overlap(plane.across, others.across) > SAME_PLACE {
                    let message = format!(
                        "the lengths of {} and {} by {} dimensions overlap by {} mm, which is taken off twice",
                        other.element,
                        item.element,
                        convention.label(),
                        millimetres(overlap(own, span))
                    );
                    warnings.push(Diagnostic::warning(item.place, message).hint("end both where they meet"));
                }
            }
        }
    }
    warnings
}

/// The lanes of the plan across an element, from its cut-off plane inwards.
struct Lanes<'p> {
    plan: &'p Plan,
    axis: Axis,
    /// Index of each, and where it ends, as a distance from the plane, m.
    ends: Vec<(usize, f64)>,
    /// A place within the element's solid, across, m.
    within: f64,
}

impl<'p> Lanes<'p> {
    fn of(plan: &'p Plan, plane: &CutAt) -> Self {
        let along = plan.lines(plane.axis);
        let depth = |place: f64| (place - plane.at) * plane.inwards;
        let mut ends: Vec<(usize, f64)> = (0..along.len() - 1)
            .map(|lane| (lane, depth(along[lane]).max(depth(along[lane + 1]))))
            .filter(|(_, end)| *end > plan.rounding())
            .collect();
        ends.sort_by(|a, b| a.1.total_cmp(&b.1));
        let within = f64::midpoint(plane.across.from, plane.across.to);
        Self { plan, axis: plane.axis, ends, within }
    }

    /// The solid of a lane round the middle of the element, and what lies on either side of it.
    fn run(&self, lane: usize) -> (Vec<Step>, [Filling; 2]) {
        let steps = self.plan.lane(self.axis, lane).steps;
        // On a line between two cells, the lower one.
        let Some(own) = steps.iter().position(|step| step.span.contains(self.within)) else {
            return (Vec::new(), [Filling::Nothing; 2]);
        };
        let is_solid = |index: &usize| steps[*index].filling.is_solid();
        let Some(from) = (0..=own).rev().take_while(is_solid).last() else {
            return (Vec::new(), [Filling::Nothing; 2]);
        };
        let end = (from..steps.len()).find(|index| !is_solid(index)).unwrap_or(steps.len());
        let filling = |index: Option<usize>| {
            index.and_then(|index| steps.get(index)).map_or(Filling::Nothing, |step| step.filling)
        };
        (steps[from..end].to_vec(), [filling(from.checked_sub(1)), filling(Some(end))])
    }

    /// How far the model stays as it is cut, m.
    fn plain(&self) -> f64 {
        let Some((first, _)) = self.ends.first() else { return 0.0 };
        let own = self.run(*first);
        let is_plain = |(lane, _): &&(usize, f64)| {
            let here = self.run(*lane);
            are_like_within(&here.0, &own.0, self.plan.likeness()) && here.1 == own.1
        };
        self.ends.iter().take_while(is_plain).last().map_or(0.0, |(_, end)| *end)
    }

    /// How much of the first `length` (m) separates two spaces that are not on either side, m.
    fn beside(&self, sides: &[Vec<EnvironmentId>; 2], length: f64) -> f64 {
        let mut sum = 0.0;
        let mut start = 0.0;
        for (lane, end) in &self.ends {
            let part = end.min(length) - start;
            if part <= 0.0 {
                break;
            }
            if let [Filling::Space(one), Filling::Space(other)] = self.run(*lane).1 {
                let joins =
                    |a: EnvironmentId, b: EnvironmentId| sides[0].contains(&a) && sides[1].contains(&b);
                sum += if joins(one, other) || joins(other, one) { 0.0 } else { part };
            }
            start = *end;
        }
        sum
    }
}
