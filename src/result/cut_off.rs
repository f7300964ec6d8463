//! Cut-off planes: do the flanking elements belong to the pair whose ψ is wanted, and does each plane belong
//! to one of them?
//!
//! Along the border of what is painted, a run of solid between a space of one side and a space of the other
//! is a place where the model was cut (or a plane of symmetry): the heat through what was cut there is part
//! of L2D, so that one flanking element must take it off, and only one. The border is walked round its
//! corners: the ground under a floor is one run from the room to the outside. Where nothing is painted, as in
//! an opening whose window is left out, there is no run.

use super::Outcome;
use super::border::{Border, Edge, Run, join, place, undisturbed};
use super::outline::Slope;
use super::planes::{cover, is_oblique, planes};
use super::sloped::Matched;
use super::u_value::ElementU;
use super::views::{View, described, views};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, Turn, millimetres};
use crate::material::four_digits;
use crate::model::{EnvironmentId, Flanking, Model, Plane, Psi, SlopedPlane, UValueSource};
use crate::plan::Plan;
use crate::plan::section::{section, side_of_rows};
use crate::plan::surface::Surfaces;

/// How thick the flanking elements of an outcome's pair are where the model cuts them, m.
pub fn thicknesses(outcome: &Outcome) -> Vec<f64> {
    let Some(sides) = outcome.sides() else { return Vec::new() };
    let slopes = cuts(&outcome.plan).map(|border| border.slopes).unwrap_or_default();
    let views = views(&outcome.case.model, &outcome.plan, &outcome.elements);
    let planes = views.iter().flat_map(|view| planes(view, &sides));
    let of_planes = planes.flatten().map(|plane| plane.across.length());
    of_planes.chain(slopes.iter().map(Slope::thickness)).collect()
}

/// What is wrong with the flanking elements as a whole: an element of another pair is an error; a cut-off
/// plane that belongs to none or to several, and an element that is not in the model, are warnings.
pub fn check(
    (model, plan, surfaces): (&Model, &Plan, &Surfaces),
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
    diagnostics: &mut Vec<Diagnostic>,
) {
    let Some(psi) = model.psi.as_ref().filter(|psi| psi.flanking.len() == elements.len()) else { return };
    if of_another_pair(model, psi, sides, elements, diagnostics) {
        return;
    }
    if plan.raster().is_some() {
        diagnostics.extend(psi.sloped_symmetry.iter().map(sloping_alone));
    }
    let views = views(model, plan, elements);
    let mut is_placed = vec![false; elements.len()];
    for view in &views {
        let (Some(psi), Some(border)) = (view.psi(), &view.border) else { continue };
        let covered = cover(border, psi, sides, &view.elements);
        covered.iter().flatten().for_each(|number| is_placed[*number] = true);
        diagnostics.extend(psi.symmetry.iter().filter_map(|plane| off_border(view, border, plane)));
        for run in border.runs.iter().filter(|run| run.joins(sides) && !run.is_symmetric(psi)) {
            let oblique = |(edge, across): &&(Edge, Span)| is_oblique(&view.plan, edge, *across);
            if let Some((edge, across)) = run.parts.iter().find(oblique) {
                diagnostics.push(cut_obliquely(view, psi, edge, *across));
            }
        }
        for (run, by) in border.runs.iter().zip(&covered).filter(|(run, _)| run.joins(sides)) {
            diagnostics
                .extend(taken_off(view, surfaces, run, by, || view.is_first() && is_frame(psi, border, run)));
        }
    }
    let Some(border) = views.first().and_then(|view| view.border.as_ref()) else { return };
    let matched = Matched::of(border, (model, surfaces), (psi, elements), sides, |number| is_placed[number]);
    for (number, item) in psi.flanking.iter().enumerate() {
        if !is_placed[number] && !matched.has(number) {
            let view = views.iter().find(|view| !view.is_elsewhere(number));
            let seen = view.and_then(|view| Some((&view.psi()?.flanking[number], view.border.as_ref()?)));
            let (seen, border) = seen.unwrap_or((item, border));
            diagnostics.push(without_plane(model, psi, border, seen, sides));
        }
    }
    diagnostics.extend(matched.warnings((model, surfaces), psi, elements));
}

/// True for what is cut at either end of a window frame's width.
fn is_frame(psi: &Psi, border: &Border, run: &Run) -> bool {
    let Some(frame) = psi.frame else { return false };
    let told = psi.flanking.iter().find_map(|item| item.runs_along);
    [Axis::X, Axis::Y].into_iter().filter(|axis| told.is_none_or(|told| told == *axis)).any(|axis| {
        border.ends(axis, &[Some(frame), None, None]).iter().any(|edge| run.overlaps(axis, edge.at, None))
    })
}

/// An error for a plane of symmetry on which nothing ends.
fn off_border(view: &View<'_>, border: &Border, plane: &Plane) -> Option<Diagnostic> {
    let mut edges = border.edges.iter().filter(|edge| edge.axis == plane.axis);
    if edges.any(|edge| (edge.at - plane.at).abs() < edge.near) {
        return None;
    }
    let said = |across: f64| described(&view.plan, plane.axis, plane.at, across);
    let place = match plane.range.filter(|_| !view.is_first()) {
        Some(range) => format!("from {} to {}", said(range.from).trim_end_matches(" mm"), said(range.to)),
        None => said(0.0),
    };
    let message = format!("the plane of symmetry {place} lies on no edge of what is painted");
    let hint = if view.is_first() {
        let all = border.edges.iter().map(|edge| described(&view.plan, edge.axis, edge.at, 0.0));
        format!("the edges are {}", all.collect::<Vec<_>>().join(", "))
    } else {
        "end what is painted on the line between its points, or make that an edge of the `extent`".to_owned()
    };
    Some(Diagnostic::error(plane.place, message).hint(hint))
}

/// An error for a sloped plane of symmetry of a drawing in which nothing slopes.
fn sloping_alone(plane: &SlopedPlane) -> Diagnostic {
    let message = format!(
        "this plane of symmetry runs at {:.1}° to the x axis, and all edges of the drawing are level or upright",
        plane.ends.degrees()
    );
    let hint = "let both its ends have the same x or the same y, or write `symmetry: [{ x: … }]`";
    Diagnostic::error(plane.place, message).hint(hint)
}

/// What is wrong with how often a run is taken off.
fn taken_off(
    view: &View<'_>,
    surfaces: &Surfaces,
    run: &Run,
    by: &[usize],
    is_frame: impl Fn() -> bool,
) -> Option<Diagnostic> {
    let psi = view.psi()?;
    match by {
        [] if is_frame() || run.is_symmetric(psi) => None,
        [] => Some(uncovered((&view.model, &view.plan, surfaces), psi, run)),
        [_] => None,
        several => {
            let names: Vec<&str> =
                several.iter().map(|number| psi.flanking[*number].element.as_str()).collect();
            let message = format!(
                "{} are both taken off for what is cut at {}: its loss is counted {} times",
                names.join(" and "),
                place(&view.plan, run),
                several.len()
            );
            let hint = "one cut-off plane belongs to one flanking element: strike the other, or correct its length or `along`";
            Some(Diagnostic::warning(psi.flanking[several[several.len() - 1]].place, message).hint(hint))
        }
    }
}

/// A plane that cuts what slopes: no heat passes it, though heat would flow through it obliquely.
fn cut_obliquely(view: &View<'_>, psi: &Psi, edge: &Edge, across: Span) -> Diagnostic {
    let end = |across: f64| described(&view.plan, edge.axis, edge.at, across);
    let place = if view.is_first() {
        format!(
            "{} cuts what slopes, at {} = {} to {} mm",
            end(across.from),
            edge.axis.across().letter(),
            millimetres(across.from),
            millimetres(across.to)
        )
    } else {
        format!("from {} to {} is not square to what it cuts", end(across.from), end(across.to))
    };
    let message = format!(
        "the cut-off plane {place}: no heat passes it, so that temperatures and the loss near it are not those of the element that goes on"
    );
    let hint = "end what is painted square to the slope, spaces too, and leave the rest unpainted";
    Diagnostic::warning(psi.place, message).hint(hint)
}

/// The border of the drawing as it is, with all slopes.
fn cuts(plan: &Plan) -> Option<Border> {
    Border::of(plan, &[Turn::NONE])
}

/// The ends of all cuts that run along no axis, m.
pub fn sloped_cuts(plan: &Plan) -> Vec<[[f64; 2]; 2]> {
    cuts(plan).map(|border| border.slopes.iter().map(Slope::ends).collect()).unwrap_or_default()
}

/// Where what is painted is cut across an axis, or ends, m.
pub fn cut_planes(plan: &Plan, axis: Axis) -> Vec<f64> {
    let edges = cuts(plan).map(|border| border.edges).unwrap_or_default();
    edges.iter().filter(|edge| edge.axis == axis).map(|edge| edge.at).collect()
}

/// True for an element with a stated U-value that is cut on no level or upright plane, in a drawing with slopes: it
/// is taken to run along one of these, where its length cannot be read off an axis.
pub fn runs_along_a_slope(plan: &Plan, item: &Flanking) -> bool {
    if plan.raster().is_some() || !matches!(item.u_value, UValueSource::Given(_)) {
        return false;
    }
    let Some(border) = cuts(plan) else { return false };
    item.runs_along.is_none_or(|axis| {
        let ends = border.ends(axis, &item.spans);
        !border.runs.iter().any(|run| ends.iter().any(|edge| run.overlaps(axis, edge.at, None)))
    })
}

/// An element whose lengths end at no cut-off plane of the pair: an error if what is cut there belongs to
/// another pair.
fn without_plane(
    model: &Model,
    psi: &Psi,
    border: &Border,
    item: &Flanking,
    sides: &[Vec<EnvironmentId>; 2],
) -> Diagnostic {
    let others = item.runs_along.and_then(|axis| {
        let ends = border.ends(axis, &item.spans);
        border.runs.iter().find(|run| ends.iter().any(|edge| run.overlaps(axis, edge.at, None)))
    });
    let name = &item.element;
    if let (Some(run), UValueSource::Given(_)) = (others, item.u_value) {
        return wrong_pair(model, psi, item, run.environments, sides);
    }
    let message = format!(
        "{name} is taken off, but its length ends at no cut-off plane between {}",
        sides_text(model, sides)
    );
    let hint = "one end of each of its lengths is the plane where the model of it is cut; what is not painted must not be taken off";
    Diagnostic::warning(item.place, message).hint(hint)
}

/// Sections and floors between other environments than those of the pair.
fn of_another_pair(
    model: &Model,
    psi: &Psi,
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
    diagnostics: &mut Vec<Diagnostic>,
) -> bool {
    let mut found = false;
    for (item, element) in psi.flanking.iter().zip(elements) {
        let section = element.section.as_ref().map(|section| section.films.map(|film| film.environment));
        let Some(environments) =
            section.or(element.floor.as_ref().map(super::floor::FloorOnGround::environments))
        else {
            continue;
        };
        if !join(environments, sides) {
            diagnostics.push(wrong_pair(model, psi, item, environments, sides));
            found = true;
        }
    }
    found
}

fn wrong_pair(
    model: &Model,
    psi: &Psi,
    item: &Flanking,
    environments: [EnvironmentId; 2],
    sides: &[Vec<EnvironmentId>; 2],
) -> Diagnostic {
    let [one, other] = environments.map(|index| model.environments[index].name.as_str());
    let message = format!(
        "{} lies between {one} and {other}, but ψ is that between {}",
        item.element,
        sides_text(model, sides)
    );
    if one == other {
        let hint = format!(
            "an element has another space on either side: is that of the other side painted up to it?{}",
            side_of_rows(model)
        );
        return Diagnostic::error(item.place, message).hint(hint);
    }
    let hint = if psi.between.is_some() {
        "its loss is no part of this L2D: strike it here, name its environments in `between`, or make `psi` a list with a block for each pair"
    } else {
        "its loss is no part of this L2D: strike it, or say with `between` which environments are meant"
    };
    Diagnostic::error(item.place, message).hint(hint)
}

/// `room and outside`.
pub fn sides_text(model: &Model, sides: &[Vec<EnvironmentId>; 2]) -> String {
    let side = |side: &Vec<EnvironmentId>| {
        let names: Vec<&str> = side.iter().map(|index| model.environments[*index].name.as_str()).collect();
        names.join(" + ")
    };
    format!("{} and {}", side(&sides[0]), side(&sides[1]))
}

fn uncovered((model, plan, surfaces): (&Model, &Plan, &Surfaces), psi: &Psi, run: &Run) -> Diagnostic {
    let [one, other] = run.environments.map(|index| model.environments[index].name.as_str());
    let mut message = format!(
        "no flanking element takes off what is cut at {}, between {one} and {other}",
        place(plan, run)
    );
    if let [(edge, span)] = run.parts.as_slice()
        && let Ok(section) = section(model, plan, surfaces, (edge.axis, edge.at, Some(*span)), psi.place)
    {
        let layers: Vec<String> = section
            .layers
            .iter()
            .map(|layer| {
                format!("{} {} mm", model.materials[layer.material].label, four_digits(layer.thickness * 1e3))
            })
            .collect();
        let length = undisturbed(plan, *edge, *span);
        message.push_str(&format!(
            " ({}; U {:.4} W/(m²K)): over the {} mm that it goes on unchanged, {:.4} W/(m·K) are left in ψ",
            layers.join(", "),
            section.u_value,
            millimetres(length),
            section.u_value * length
        ));
    } else {
        message.push_str(": its loss is left in ψ");
    }
    let (axis, at) = run.parts.first().map_or((Axis::X, 0.0), |(edge, _)| (edge.axis, edge.at));
    let plane = if plan.turn == Turn::NONE {
        format!("{{ {}: {} }}", axis.letter(), millimetres(at))
    } else {
        "{ from: [x, y], to: [x, y] }".to_owned()
    };
    let hint = format!(
        "give it as an element under `flanking` whose length ends there; if it is a plane of symmetry, write `symmetry: [{plane}]` under `psi`"
    );
    Diagnostic::warning(psi.place, message).hint(hint)
}
