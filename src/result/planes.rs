//! Which flanking element takes off what is cut where: told by the edge that its lengths end at, and by where its
//! section lies across.

use super::border::{AT_THE_PLANE, Border, Edge, Run, on_edge};
use super::u_value::ElementU;
use super::views::{View, turns};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span};
use crate::model::{EnvironmentId, Flanking, Model, Psi, UValueSource};
use crate::plan::{EdgeId, Plan, Step};

/// Tells the axis of elements that do not state it from the edge at which their lengths end.
pub fn infer_axes(
    model: &mut Model,
    plan: &Plan,
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
    errors: &mut Vec<Diagnostic>,
) {
    let Some(psi) = &mut model.psi else { return };
    let is_told = |item: &Flanking| item.runs_along.is_some() || item.slope.is_some();
    if psi.flanking.iter().all(is_told) {
        return;
    }
    let Some(border) = Border::of(plan, &turns(psi, plan)) else { return };
    let free = |psi: &Psi, axis: Axis, spans: &[Option<Span>; 3]| {
        let covered = ending(&border, psi, sides, elements);
        border.ends(axis, spans).iter().any(|edge| {
            let is_free = |(run, by): (&Run, &Vec<usize>)| {
                by.is_empty() && run.joins(sides) && run.overlaps(axis, edge.at, None)
            };
            border.runs.iter().zip(&covered).any(is_free)
        })
    };
    for index in 0..psi.flanking.len() {
        if is_told(&psi.flanking[index]) {
            continue;
        }
        let spans = psi.flanking[index].spans;
        let candidates: Vec<Axis> =
            [Axis::X, Axis::Y].into_iter().filter(|axis| !border.ends(*axis, &spans).is_empty()).collect();
        let not_taken: Vec<Axis> =
            candidates.iter().copied().filter(|axis| free(psi, *axis, &spans)).collect();
        let axis = match (candidates.as_slice(), not_taken.as_slice()) {
            ([only], _) | (_, [only]) => *only,
            // It runs along a slope, or ends nowhere, which is told later.
            ([], _)
                if plan.raster().is_none()
                    && matches!(psi.flanking[index].u_value, UValueSource::Given(_)) =>
            {
                continue;
            }
            _ => {
                let name = &psi.flanking[index].element;
                let message =
                    format!("the length of {name} does not tell whether its surface runs along x or along y");
                let hint = "write `along: x` or `along: y`";
                errors.push(Diagnostic::error(psi.flanking[index].place, message).hint(hint));
                continue;
            }
        };
        psi.flanking[index].runs_along = Some(axis);
    }
}

/// For each run of the border, the elements that take it off: those whose lengths end there, and those that must be
/// meant though a length misses it.
pub(super) fn cover(
    border: &Border,
    psi: &Psi,
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
) -> Vec<Vec<usize>> {
    let mut covered = ending(border, psi, sides, elements);
    for (number, (item, element)) in psi.flanking.iter().zip(elements).enumerate() {
        if covered.iter().any(|by| by.contains(&number)) {
            continue;
        }
        let is_free = |index: usize| {
            let run = &border.runs[index];
            covered[index].is_empty() && run.joins(sides) && !run.is_symmetric(psi)
        };
        let free = (0..border.runs.len()).filter(|index| is_free(*index));
        let missed =
            free.filter_map(|index| Some((index, missed(border, &border.runs[index], item, element)?)));
        if let Some((index, _)) = missed.min_by(|(_, (_, one)), (_, (_, other))| one.total_cmp(other)) {
            covered[index].push(number);
        }
    }
    covered
}

/// The edge of a run that an element is meant to be cut at though not all of its lengths end there, and how far the
/// nearest does, m: its section leads through what is cut, or one of its lengths ends there.
fn missed(border: &Border, run: &Run, item: &Flanking, element: &ElementU) -> Option<(Edge, f64)> {
    let axis = item.runs_along.filter(|_| !matches!(item.u_value, UValueSource::Floor { .. }))?;
    let across = element.section.as_ref().map(|section| section.across);
    let off = |edge: &Edge| {
        let ends = item.spans.iter().flatten().flat_map(|span| [span.from, span.to]);
        ends.map(|end| (end - edge.at).abs()).fold(f64::INFINITY, f64::min)
    };
    let edges = border.edges.iter().filter(|edge| edge.axis == axis && run.overlaps(axis, edge.at, across));
    let is_meant = |(edge, off): &(Edge, f64)| off.is_finite() && (across.is_some() || *off < edge.near);
    edges.map(|edge| (*edge, off(edge))).filter(is_meant).min_by(|one, other| one.1.total_cmp(&other.1))
}

/// For each run of the border, the elements all of whose lengths end there.
fn ending(
    border: &Border,
    psi: &Psi,
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
) -> Vec<Vec<usize>> {
    let mut covered: Vec<Vec<usize>> = vec![Vec::new(); border.runs.len()];
    let items = || psi.flanking.iter().zip(elements).enumerate();
    for (number, (item, element)) in items() {
        let (Some(axis), Some(section)) = (item.runs_along, &element.section) else { continue };
        for edge in border.ends(axis, &item.spans) {
            for (run, by) in border.runs.iter().zip(&mut covered) {
                if run.joins(sides) && run.overlaps(axis, edge.at, Some(section.across)) {
                    by.push(number);
                }
            }
        }
    }
    // Where a stated element stands across its surface is not known: it takes what the sections and the
    // others leave.
    for (number, (item, _)) in items().filter(|(_, (_, element))| element.section.is_none()) {
        let Some(axis) = item.runs_along else { continue };
        for edge in border.ends(axis, &item.spans) {
            // A slope that ends at a plane of symmetry is cut at its other end.
            let is_other_end = |run: &Run| !border.slopes.is_empty() && run.is_symmetric(psi);
            let there =
                |run: &Run| run.joins(sides) && run.overlaps(axis, edge.at, None) && !is_other_end(run);
            let of_plane = || (0..border.runs.len()).filter(|index| there(&border.runs[*index]));
            if let Some(index) =
                of_plane().find(|index| covered[*index].is_empty()).or_else(|| of_plane().next())
            {
                covered[index].push(number);
            }
        }
    }
    covered
}

/// Where what a flanking element takes off is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CutAt {
    pub axis: Axis,
    /// m.
    pub at: f64,
    /// +1 where the model lies beyond the plane along rising coordinates, −1 where it lies before it.
    pub inwards: f64,
    /// Where the solid lies on it, m.
    pub across: Span,
    /// True where edges of what is cut do not run square to the plane.
    pub is_oblique: bool,
    /// Lengths that end so near (m) end there.
    pub near: f64,
}

/// For each flanking element of a view a plane that it alone takes off, if there is one.
pub(super) fn planes(view: &View<'_>, sides: &[Vec<EnvironmentId>; 2]) -> Vec<Option<CutAt>> {
    let Some(psi) = view.psi() else { return Vec::new() };
    let Some(border) = &view.border else { return vec![None; psi.flanking.len()] };
    let covered = cover(border, psi, sides, &view.elements);
    let plane = |(number, item): (usize, &Flanking)| {
        let axis = item.runs_along?;
        let ends = border.ends(axis, &item.spans);
        let own = || border.runs.iter().zip(&covered).filter(|(_, by)| **by == [number]).map(|(run, _)| run);
        // An element that is cut at both ends is told by one of them.
        let ending =
            own().find_map(|run| ends.iter().find_map(|edge| Some((*edge, run.on(axis, edge.at).next()?))));
        let (edge, across) = ending.or_else(|| {
            own().find_map(|run| {
                let (edge, _) = missed(border, run, item, &view.elements[number])?;
                Some((edge, run.on(axis, edge.at).next()?))
            })
        })?;
        let is_oblique = is_oblique(&view.plan, &edge, across);
        Some(CutAt { axis, at: edge.at, inwards: edge.inwards as f64, across, is_oblique, near: edge.near })
    };
    psi.flanking.iter().enumerate().map(plane).collect()
}

/// True where edges of what is cut on a stretch of an edge do not run square to it.
pub(super) fn is_oblique(plan: &Plan, edge: &Edge, across: Span) -> bool {
    let lane = on_edge(plan, edge);
    let is_met = |(step, id): (&Step, &EdgeId)| {
        let at = step.span.to;
        across.from - AT_THE_PLANE < at && at < across.to + AT_THE_PLANE && plan.is_oblique(*id, edge.axis)
    };
    lane.steps.iter().zip(&lane.between).any(is_met)
}
