//! Cut-off planes: do the flanking elements belong to the pair whose ψ is wanted, and does each plane belong
//! to one of them?
//!
//! Along the border of what is painted, a run of solid between a space of one side and a space of the other
//! is a place where the model was cut (or a plane of symmetry): the heat through what was cut there is part
//! of L2D, so that one flanking element must take it off, and only one. The border is walked round its
//! corners: the ground under a floor is one run from the room to the outside. Where nothing is painted, as in
//! an opening whose window is left out, there is no run.

use super::Outcome;
use super::border::{AT_THE_PLANE, Border, Edge, Run, described, join, on_edge, place, undisturbed};
use super::outline::Slope;
use super::sloped::Matched;
use super::u_value::ElementU;
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, millimetres};
use crate::material::four_digits;
use crate::model::{EnvironmentId, Flanking, Model, Psi, UValueSource};
use crate::plan::section::section;
use crate::plan::surface::Surfaces;
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
    if psi.flanking.iter().all(|item| item.runs_along.is_some()) {
        return;
    }
    let Some(border) = Border::of(plan) else { return };
    let free = |psi: &Psi, axis: Axis, spans: &[Option<Span>; 3]| {
        let covered = cover(&border, psi, sides, elements);
        border.ends(axis, spans).iter().any(|edge| {
            let is_free = |(run, by): (&Run, &Vec<usize>)| {
                by.is_empty() && run.joins(sides) && run.overlaps(axis, edge.at, None)
            };
            border.runs.iter().zip(&covered).any(is_free)
        })
    };
    for index in 0..psi.flanking.len() {
        let Flanking { runs_along: None, spans, .. } = psi.flanking[index].clone() else { continue };
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

/// For each run of the border, the elements that take it off.
fn cover(
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
}

/// For each flanking element a plane that it alone takes off, if there is one.
pub(super) fn planes(
    plan: &Plan,
    psi: &Psi,
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
) -> Vec<Option<CutAt>> {
    let Some(border) = Border::of(plan) else { return vec![None; psi.flanking.len()] };
    let covered = cover(&border, psi, sides, elements);
    let plane = |(number, item): (usize, &Flanking)| {
        let axis = item.runs_along?;
        let ends = border.ends(axis, &item.spans);
        let mut own = border.runs.iter().zip(&covered).filter(|(_, by)| **by == [number]).map(|(run, _)| run);
        // An element that is cut at both ends is told by one of them.
        let (edge, across) =
            own.find_map(|run| ends.iter().find_map(|edge| Some((edge, run.on(axis, edge.at).next()?))))?;
        let is_oblique = is_oblique(plan, edge, across);
        Some(CutAt { axis, at: edge.at, inwards: edge.inwards as f64, across, is_oblique })
    };
    psi.flanking.iter().enumerate().map(plane).collect()
}

/// True where edges of what is cut on a stretch of an edge do not run square to it.
fn is_oblique(plan: &Plan, edge: &Edge, across: Span) -> bool {
    let lane = on_edge(plan, edge);
    let is_met = |(step, id): (&Step, &EdgeId)| {
        let at = step.span.to;
        across.from - AT_THE_PLANE < at && at < across.to + AT_THE_PLANE && plan.is_oblique(*id, edge.axis)
    };
    lane.steps.iter().zip(&lane.between).any(is_met)
}

/// How thick the flanking elements of an outcome's pair are where the model cuts them, m.
pub fn thicknesses(outcome: &Outcome) -> Vec<f64> {
    let (Some(psi), Some(sides)) = (&outcome.case.model.psi, outcome.sides()) else { return Vec::new() };
    let planes = planes(&outcome.plan, psi, &sides, &outcome.elements);
    let slopes = Border::of(&outcome.plan).map(|border| border.slopes).unwrap_or_default();
    let of_planes = planes.into_iter().flatten().map(|plane| plane.across.length());
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
    let Some(border) = Border::of(plan) else { return };
    let covered = cover(&border, psi, sides, elements);
    for plane in &psi.symmetry {
        if !border
            .edges
            .iter()
            .any(|edge| edge.axis == plane.axis && (edge.at - plane.at).abs() < AT_THE_PLANE)
        {
            let message = format!(
                "the plane of symmetry {} lies on no edge of what is painted",
                described(plane.axis, plane.at)
            );
            let edges: Vec<String> = border.edges.iter().map(|edge| described(edge.axis, edge.at)).collect();
            diagnostics.push(
                Diagnostic::error(plane.place, message).hint(format!("the edges are {}", edges.join(", "))),
            );
        }
    }
    let frame = |run: &Run| {
        let Some(frame) = psi.frame else { return false };
        let told = psi.flanking.iter().find_map(|item| item.runs_along);
        [Axis::X, Axis::Y].into_iter().filter(|axis| told.is_none_or(|told| told == *axis)).any(|axis| {
            border.ends(axis, &[Some(frame), None, None]).iter().any(|edge| run.overlaps(axis, edge.at, None))
        })
    };
    let oblique = |(edge, across): &&(Edge, Span)| is_oblique(plan, edge, *across);
    for run in border.runs.iter().filter(|run| run.joins(sides) && !run.is_symmetric(psi)) {
        if let Some((edge, across)) = run.parts.iter().find(oblique) {
            diagnostics.push(cut_obliquely(psi, edge, *across));
        }
    }
    for (run, by) in border.runs.iter().zip(&covered).filter(|(run, _)| run.joins(sides)) {
        match by.as_slice() {
            [] if frame(run) || run.is_symmetric(psi) => {}
            [] => diagnostics.push(uncovered((model, plan, surfaces), psi, run)),
            [_] => {}
            several => {
                let names: Vec<&str> =
                    several.iter().map(|number| psi.flanking[*number].element.as_str()).collect();
                let message = format!(
                    "{} are both taken off for what is cut at {}: its loss is counted {} times",
                    names.join(" and "),
                    place(run),
                    several.len()
                );
                let hint = "one cut-off plane belongs to one flanking element: strike the other, or correct its length or `along`";
                diagnostics.push(
                    Diagnostic::warning(psi.flanking[several[several.len() - 1]].place, message).hint(hint),
                );
            }
        }
    }
    let is_placed = |number: usize| covered.iter().any(|by| by.contains(&number));
    let matched = Matched::of(&border, (model, surfaces), psi, sides, is_placed);
    for (number, item) in psi.flanking.iter().enumerate() {
        if !is_placed(number) && !matched.has(number) {
            diagnostics.push(without_plane(model, psi, &border, item, sides));
        }
    }
    diagnostics.extend(matched.warnings((model, surfaces), psi, elements));
}

/// A plane that cuts what slopes: no heat passes it, though heat would flow through it obliquely.
fn cut_obliquely(psi: &Psi, edge: &Edge, across: Span) -> Diagnostic {
    let message = format!(
        "the cut-off plane {} cuts what slopes, at {} = {} to {} mm: no heat passes it, so that temperatures and the loss near it are not those of the element that goes on",
        described(edge.axis, edge.at),
        edge.axis.across().letter(),
        millimetres(across.from),
        millimetres(across.to)
    );
    let hint = "end what is painted square to the slope, spaces too, and leave the rest unpainted";
    Diagnostic::warning(psi.place, message).hint(hint)
}

/// The ends of all cuts that run along no axis, m.
pub fn sloped_cuts(plan: &Plan) -> Vec<[[f64; 2]; 2]> {
    Border::of(plan).map(|border| border.slopes.iter().map(Slope::ends).collect()).unwrap_or_default()
}

/// Where what is painted is cut across an axis, or ends, m.
pub fn cut_planes(plan: &Plan, axis: Axis) -> Vec<f64> {
    let edges = Border::of(plan).map(|border| border.edges).unwrap_or_default();
    edges.iter().filter(|edge| edge.axis == axis).map(|edge| edge.at).collect()
}

/// True for an element with a stated U-value that is cut on no level or upright plane, in a drawing with slopes: it
/// is taken to run along one of these, where its length cannot be read off an axis.
pub fn runs_along_a_slope(plan: &Plan, item: &Flanking) -> bool {
    if plan.raster().is_some() || !matches!(item.u_value, UValueSource::Given(_)) {
        return false;
    }
    let Some(border) = Border::of(plan) else { return false };
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
    let mut message =
        format!("no flanking element takes off what is cut at {}, between {one} and {other}", place(run));
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
    let hint = format!(
        "give it as an element under `flanking` whose length ends there; if it is a plane of symmetry, write `symmetry: [{{ {}: {} }}]` under `psi`",
        axis.letter(),
        millimetres(at)
    );
    Diagnostic::warning(psi.place, message).hint(hint)
}
