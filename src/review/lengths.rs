//! Lengths of flanking elements: do they begin and end where the plan says, and do the conventions agree?

use super::{Findings, Question};
use crate::geometry::{Axis, SAME_PLACE, Span, Stretch, millimetres};
use crate::model::{Convention, Environment, Flanking, Psi, Role, UValueSource};
use crate::plan::Edge;
use crate::plan::joining::JOINED;
use crate::plan::section::Section;
use crate::result::views::{View, described, views};
use crate::result::{Outcome, cut_off};
use std::collections::BTreeSet;

/// External and internal lengths may differ by an element's thickness, to within this (m): plaster counts or
/// does not.
const PLASTER: f64 = 0.03;

pub fn review(outcome: &Outcome, findings: &mut Findings) {
    // Of all pairs: what is round the corner may belong to another.
    let sections = || outcome.pairs().flat_map(|pair| &pair.elements);
    let drawn = sections().filter_map(|element| element.section.as_ref()).map(Section::thickness);
    let floors = sections().filter_map(|element| Some(element.floor.as_ref()?.floor.wall_thickness));
    let thicknesses: Vec<f64> =
        drawn.chain(floors).chain(outcome.pairs().flat_map(cut_off::thicknesses)).collect();
    for pair in outcome.pairs() {
        review_pair(pair, &thicknesses, findings);
    }
}

fn review_pair(outcome: &Outcome, thicknesses: &[f64], findings: &mut Findings) {
    let Some(psi) = &outcome.case.model.psi else { return };
    for view in views(&outcome.case.model, &outcome.plan, &outcome.elements) {
        let Some(seen) = view.psi() else { continue };
        for (number, flanking) in seen.flanking.iter().enumerate() {
            if !view.is_elsewhere(number) {
                ends(outcome, &view, (number, flanking), findings);
            }
        }
        for (index, convention) in Convention::ALL.into_iter().enumerate() {
            neighbours(&view, index, convention, findings);
        }
    }
    conventions(outcome, psi, thicknesses, findings);
    sides(outcome, psi, findings);
}

/// The length of an element along a slope, against the surfaces that slope.
fn along_a_slope(outcome: &Outcome, flanking: &Flanking, findings: &mut Findings) {
    let model = &outcome.case.model;
    for (number, convention) in Convention::ALL.into_iter().enumerate() {
        let Some(length) = flanking.length(number) else { continue };
        let surfaces = outcome.plan.edges().into_iter().map(Edge::with_solid_on_left);
        let sloped =
            surfaces.filter(|edge| edge.ends[0][0] != edge.ends[1][0] && edge.ends[0][1] != edge.ends[1][1]);
        let like = sloped.filter_map(|edge| {
            let (_, environment) = edge.left.meeting(edge.right)?;
            ((edge.length() - length).abs() < 1e-3).then_some(&model.environments[environment])
        });
        let like: Vec<&Environment> = like.collect();
        let is_inside = convention != Convention::External;
        let (element, size) = (&flanking.element, millimetres(length));
        let label = convention.label();
        let own = like.iter().filter(|space| (space.role == Role::Internal) == is_inside);
        let seen: BTreeSet<&str> = own.map(|space| space.name.as_str()).collect();
        if let Some(other) = like.first().filter(|_| seen.is_empty()) {
            findings.look(
                Question::Lengths,
                format!(
                    "{element} ({label}), {size} mm, is as long as a surface that slopes of {}, and as none on its own side: are two conventions mixed up?",
                    other.name
                ),
            );
        } else if seen.is_empty() {
            findings.look(
                Question::Lengths,
                format!("{element} ({label}) is taken off along a slope, {size} mm, and no surface that slopes is as long"),
            );
        } else {
            let names: Vec<&str> = seen.into_iter().collect();
            findings.pass(
                Question::Lengths,
                format!(
                    "{element} ({label}) is as long as a surface that slopes, of {}: {size} mm",
                    names.join(" and of ")
                ),
            );
        }
    }
}

fn ends(outcome: &Outcome, view: &View<'_>, (number, flanking): (usize, &Flanking), findings: &mut Findings) {
    if view.is_first() && cut_off::runs_along_a_slope(&outcome.plan, flanking) {
        along_a_slope(outcome, flanking, findings);
        return;
    }
    let (Some(axis), Some(psi)) = (flanking.runs_along, view.psi()) else { return };
    let (lines, extent) = (view.plan.lines(axis), outcome.case.model.extent.along(axis));
    let rounding = rounding(view);
    let near = |place: f64, other: f64| (place - other).abs() < rounding;
    // Where edges slope, what is painted may be cut within the extent.
    let planes = match view.plan.raster() {
        Some(_) => vec![(extent.from, SAME_PLACE), (extent.to, SAME_PLACE)],
        None if view.is_first() => {
            view.cut_planes(axis).into_iter().map(|(at, _)| (at, SAME_PLACE)).collect()
        }
        None => view.cut_planes(axis),
    };
    let at_edge = |end: f64| planes.iter().any(|(plane, near)| (plane - end).abs() < *near);
    let across = view.across(flanking);
    let said = |at: f64| described(&view.plan, axis, at, across);
    let cut = match flanking.u_value {
        UValueSource::Section { axis: fixed, at, .. } if fixed == axis => Some(at),
        _ => None,
    };
    if let Some(at) = cut.filter(|at| !at_edge(*at)) {
        let evidence =
            format!("the section of {} lies at {}, not on a cut-off plane", flanking.element, said(at));
        findings.look(Question::Lengths, evidence);
    }
    for (index, (span, convention)) in flanking.spans.iter().zip(Convention::ALL).enumerate() {
        let Some(span) = span else { continue };
        // Where two elements share out a floor or wall between them, they may meet within it.
        let others = psi
            .flanking
            .iter()
            .filter(|other| !std::ptr::eq(*other, flanking) && other.runs_along == Some(axis));
        let is_shared = |end: f64| {
            others
                .clone()
                .filter_map(|other| other.spans[index])
                .any(|other| near(other.from, end) || near(other.to, end))
        };
        let element = format!("{} ({})", flanking.element, convention.label());
        for end in [span.from, span.to] {
            let is_met = || {
                let points =
                    outcome.case.model.psi.as_ref().and_then(|psi| psi.flanking.get(number)?.points[index]);
                points.is_some_and(|points| {
                    [points.from, points.to].into_iter().any(|point| {
                        near(view.plan.turn.onto(point)[usize::from(axis == Axis::Y)], end)
                            && lies_in_line(outcome, points, point)
                    })
                })
            };
            if !lines.iter().any(|line| near(*line, end)) && !is_shared(end) && !is_met() {
                let evidence =
                    format!("the length of {element} ends at {}, where the plan has no edge", said(end));
                findings.fail(Question::Lengths, evidence);
            }
        }
        // One end is the cut-off plane: all of the element in the model has to be taken off.
        if !at_edge(span.from) && !at_edge(span.to) {
            let evidence =
                format!("the length of {element} reaches no edge of the extent, though the model of it does");
            findings.fail(Question::Lengths, evidence);
        }
    }
}

/// True if a point lies in line with a surface that runs another way than the length does: where two faces meet, though
/// something covers the corner.
fn lies_in_line(outcome: &Outcome, length: Stretch, point: [f64; 2]) -> bool {
    /// The sine of the angle from which on two surfaces meet rather than go on as one.
    const ANOTHER_WAY: f64 = 0.1;
    let edges = outcome.plan.edges();
    let mut surfaces = edges.iter().filter(|edge| edge.left.meeting(edge.right).is_some());
    surfaces.any(|edge| {
        let surface = edge.stretch();
        surface.turn_to(length) > ANOTHER_WAY && surface.off_line(point) < 2.0 * JOINED
    })
}

/// Internal lengths run along the face of the inside, external ones along that of the outside, where points say where
/// they run.
fn sides(outcome: &Outcome, psi: &Psi, findings: &mut Findings) {
    let model = &outcome.case.model;
    for (item, element) in psi.flanking.iter().zip(&outcome.elements) {
        let Some((section, ends)) =
            element.section.as_ref().and_then(|section| Some((section, section.ends?)))
        else {
            continue;
        };
        let [first, second] =
            section.films.map(|film| model.environments[film.environment].role == Role::Internal);
        if first == second {
            continue;
        }
        let [inner, outer] = if first { [ends.from, ends.to] } else { [ends.to, ends.from] };
        for (index, convention) in Convention::ALL.into_iter().enumerate() {
            let Some(points) = item.points[index] else { continue };
            let [own, other] =
                if convention == Convention::External { [outer, inner] } else { [inner, outer] };
            if points.off_line(own) > points.off_line(other) + SAME_PLACE {
                let evidence = format!(
                    "the {} length of {} runs nearer to the face of the {} than to its own: are two conventions mixed up?",
                    convention.label(),
                    item.element,
                    if convention == Convention::External { "inside" } else { "outside" }
                );
                findings.fail(Question::Conventions, evidence);
            }
        }
    }
}

/// How far places of a view that are meant to be one may lie apart, m.
fn rounding(view: &View<'_>) -> f64 {
    SAME_PLACE.max(2.0 * view.plan.rounding())
}

/// Elements in one line must not overlap. A gap is right only where internal dimensions leave out a partition
/// between two rooms.
fn neighbours(view: &View<'_>, index: usize, convention: Convention, findings: &mut Findings) {
    let Some(psi) = view.psi() else { return };
    let rooms =
        view.model.environments.iter().filter(|environment| environment.role == Role::Internal).count();
    for axis in [Axis::X, Axis::Y] {
        let mut spans: Vec<(Span, &str)> = psi
            .flanking
            .iter()
            .filter(|flanking| flanking.runs_along == Some(axis))
            .filter(|flanking| !view.is_first() || !cut_off::runs_along_a_slope(&view.plan, flanking))
            .filter_map(|flanking| Some((flanking.spans[index]?, flanking.element.as_str())))
            .collect();
        spans.sort_by(|a, b| a.0.from.total_cmp(&b.0.from));
        for pair in spans.windows(2) {
            let [(first, one), (second, other)] = pair else { continue };
            let gap = second.from - first.to;
            if gap < -rounding(view) {
                let evidence = format!(
                    "by {} dimensions {one} and {other} overlap by {} mm",
                    convention.label(),
                    millimetres(-gap)
                );
                findings.fail(Question::Lengths, evidence);
            } else if gap > rounding(view) && (rooms < 2 || convention != Convention::Internal) {
                let evidence = format!(
                    "by {} dimensions {} mm between {one} and {other} belong to neither",
                    convention.label(),
                    millimetres(gap)
                );
                findings.fail(Question::Lengths, evidence);
            }
        }
    }
}

/// External less internal length is nothing, or the thickness of an element round the corner.
fn conventions(outcome: &Outcome, psi: &Psi, thicknesses: &[f64], findings: &mut Findings) {
    for flanking in &psi.flanking {
        let (Some(internal), Some(external)) = (flanking.length(0), flanking.length(1)) else { continue };
        let difference = external - internal;
        let explained = difference.abs() < SAME_PLACE
            || thicknesses.iter().any(|thickness| (difference.abs() - thickness).abs() < PLASTER);
        // Between two rooms, the half or whole partition that external dimensions include.
        let between_rooms = outcome
            .case
            .model
            .environments
            .iter()
            .filter(|environment| environment.role == Role::Internal)
            .count()
            > 1;
        if !explained && !between_rooms {
            let evidence = format!(
                "{}: {} mm by external and {} mm by internal dimensions; no element is as thick as the difference",
                flanking.element,
                millimetres(external),
                millimetres(internal)
            );
            if outcome.plan.raster().is_some() {
                findings.fail(Question::Conventions, evidence);
            } else {
                findings.look(
                    Question::Conventions,
                    format!("{evidence}; where elements meet at an angle it is more or less"),
                );
            }
        }
    }
}
