//! What stands where: gaps, hidden shapes, holes, cut-off planes.

use std::collections::BTreeSet;

use super::{Findings, Question};
use crate::element::build_up::{Body, Layer};
use crate::geometry::{Axis, SAME_PLACE, millimetres};
use crate::model::{MaterialId, Model, SurfaceRule};
use crate::plan::thin::{self, THIN_GAP};
use crate::plan::{Drawn, Edges, Filling, Plan, Raster, hidden_shapes};
use crate::result::Outcome;
use crate::result::evidence::{cut_off_notes, ground_notes};

pub fn review(outcome: &Outcome, findings: &mut Findings) {
    for note in cut_off_notes(&outcome.case.model, &outcome.elements)
        .into_iter()
        .chain(ground_notes(&outcome.case.model, &outcome.plan))
    {
        findings.fail(Question::CutOff, note);
    }
    match &outcome.plan.drawn {
        Drawn::Raster(raster) => gaps(raster, findings),
        Drawn::Edges(_) => sloped_gaps(&outcome.plan, findings),
    }
    hidden(outcome, findings);
    holes(&outcome.case.model, &outcome.plan, findings);
}

/// Air or nothing between two solids, narrower than any gap one would draw. Told once for each line it lies
/// along.
fn gaps(plan: &Raster, findings: &mut Findings) {
    let mut told = BTreeSet::new();
    let mut look = |lines: &[f64], count: usize, at: &dyn Fn(usize, usize) -> Filling, axis: &str| {
        for lane in 0..count {
            for cell in 1..lines.len().saturating_sub(2) {
                let width = lines[cell + 1] - lines[cell];
                let is_gap = width < THIN_GAP
                    && !at(cell, lane).is_solid()
                    && at(cell - 1, lane).is_solid()
                    && at(cell + 1, lane).is_solid();
                if is_gap && told.insert((axis.to_owned(), cell)) {
                    let (from, to) = (millimetres(lines[cell]), millimetres(lines[cell + 1]));
                    findings.fail(
                        Question::Gaps,
                        format!(
                            "a gap of {:.3} mm between solids, {axis} from {from} to {to} mm",
                            width * 1e3
                        ),
                    );
                }
            }
        }
    };
    look(&plan.xs, plan.rows(), &|i, j| plan.at(i, j), "x");
    look(&plan.ys, plan.columns(), &|j, i| plan.at(i, j), "y");
}

/// The same where edges slope, square to each edge.
fn sloped_gaps(plan: &Plan, findings: &mut Findings) {
    for gap in thin::gaps(plan) {
        let [x, y] = gap.at.map(millimetres);
        let evidence =
            format!("a gap of {:.3} mm between solids, at x = {x} mm, y = {y} mm", gap.width * 1e3);
        findings.fail(Question::Gaps, evidence);
    }
}

fn hidden(outcome: &Outcome, findings: &mut Findings) {
    let case = &outcome.case;
    for index in hidden_shapes(&case.model, &outcome.plan) {
        let Some(place) = case.model.plan[index].place else { continue };
        let (line, _) = case.sources.line_column(place);
        findings.fail(Question::Hidden, format!("line {line}: later shapes hide this one completely"));
    }
    for (_, material) in case.model.materials_by_id().filter(|(id, _)| is_idle(outcome, *id)) {
        // What several cases share holds more than any of them needs.
        if !case.shared_materials.contains(&material.name) {
            let evidence = format!("the material {} is defined but not painted", material.label);
            findings.look(Question::Hidden, evidence);
        }
    }
}

/// True for a material that is neither painted, alone or within a build-up, nor named by a rule.
pub(super) fn is_idle(outcome: &Outcome, id: MaterialId) -> bool {
    let model = &outcome.case.model;
    let name = &model.materials[id].name;
    let is_in = |layer: &Layer| {
        let bridge = layer.bridge.as_ref().map(|bridge| &bridge.material);
        let own = if let Body::Solid(material) = &layer.body { Some(material) } else { None };
        own.into_iter().chain(bridge).any(|material| material.name == *name)
    };
    let is_ruled = |rule: &SurfaceRule| rule.materials.as_ref().is_some_and(|known| known.contains(&id));
    !outcome.plan.materials().contains(&id)
        && !model.judged_apart().contains(&id)
        && !model.surfaces.iter().any(is_ruled)
        && !model.build_ups.iter().flat_map(|build_up| &build_up.layers).any(is_in)
}

/// A connected region of one filling that is no solid.
struct Region {
    filling: Filling,
    at_edge: bool,
    touches_solid: bool,
    area: f64,
    x: (f64, f64),
    y: (f64, f64),
}

/// Regions of nothing that touch a solid: enclosed ones fail, those at the extent's edge are a convention's
/// business. And pockets of an environment inside the construction, where the background shows through.
/// An environment that is nowhere else was put there by its author.
fn holes(model: &Model, plan: &Plan, findings: &mut Findings) {
    let regions = regions(plan);
    for region in regions.iter().filter(|region| region.touches_solid) {
        let Region { x, y, area, .. } = region;
        let place = format!(
            "x from {} to {}, y from {} to {} mm",
            millimetres(x.0),
            millimetres(x.1),
            millimetres(y.0),
            millimetres(y.1)
        );
        // Thin ones are told as gaps.
        let is_thin = (x.1 - x.0).min(y.1 - y.0) < THIN_GAP;
        match (region.filling, region.at_edge) {
            (Filling::Nothing, true) => {
                let evidence = format!(
                    "nothing is painted at the extent's edge, {place}: surfaces there are adiabatic, as a convention may ask"
                );
                findings.look(Question::Holes, evidence);
            }
            (Filling::Nothing, false) => {
                let evidence = format!(
                    "an unpainted hole of {:.0} mm² within the plan, {place}: its surfaces are adiabatic",
                    area * 1e6
                );
                findings.fail(Question::Holes, evidence);
            }
            (Filling::Space(space), false) if !is_thin => {
                let is_elsewhere =
                    regions.iter().any(|other| other.filling == region.filling && other.at_edge);
                let name = &model.environments[space].name;
                if is_elsewhere {
                    let evidence = format!(
                        "a pocket of `{name}` of {:.0} mm² inside the construction, {place}: nothing covers it; air that is meant there, as in an open pipe, is an environment of its own",
                        area * 1e6
                    );
                    findings.fail(Question::Holes, evidence);
                } else {
                    let evidence = format!(
                        "`{name}` lies inside the construction only, {:.0} mm², {place}: is it air of {} °C?",
                        area * 1e6,
                        model.environments[space].temperature
                    );
                    findings.look(Question::Holes, evidence);
                }
            }
            _ => {}
        }
    }
}

fn regions(plan: &Plan) -> Vec<Region> {
    match &plan.drawn {
        Drawn::Raster(raster) => regions_of_cells(raster),
        Drawn::Edges(edges) => regions_between(plan, edges),
    }
}

/// The faces between edges that are no solid.
fn regions_between(plan: &Plan, edges: &Edges) -> Vec<Region> {
    let faces = &edges.faces;
    let mut regions: Vec<Region> = faces
        .faces
        .iter()
        .map(|face| Region {
            filling: Filling::from(face.filling),
            at_edge: face.is_open,
            touches_solid: false,
            area: face.area,
            x: (face.low[0], face.high[0]),
            y: (face.low[1], face.high[1]),
        })
        .collect();
    let (xs, ys) = (edges.lines(Axis::X), edges.lines(Axis::Y));
    let is_end = |lines: &[f64], place: f64| {
        [lines[0], lines[lines.len() - 1]].iter().any(|end| (end - place).abs() < SAME_PLACE)
    };
    for region in &mut regions {
        region.at_edge |= is_end(xs, region.x.0)
            || is_end(xs, region.x.1)
            || is_end(ys, region.y.0)
            || is_end(ys, region.y.1);
    }
    // What lies beyond the border of the extent is no part of the drawing.
    for (number, sides) in faces.beside.iter().enumerate() {
        if plan.is_on_border(edges.ends(number)) {
            sides.iter().flatten().for_each(|face| regions[*face].at_edge = true);
            continue;
        }
        if let [Some(one), Some(other)] = *sides {
            // A space that ends at nothing is cut there.
            let is_nothing = |face: usize| regions[face].filling == Filling::Nothing;
            let (before_one, before_other) = (is_nothing(other), is_nothing(one));
            regions[one].at_edge |= before_one;
            regions[other].at_edge |= before_other;
            let is_solid = |face: usize| regions[face].filling.is_solid();
            let (of_one, of_other) = (is_solid(other), is_solid(one));
            regions[one].touches_solid |= of_one;
            regions[other].touches_solid |= of_other;
        }
    }
    regions.retain(|region| !region.filling.is_solid());
    regions
}

fn regions_of_cells(plan: &Raster) -> Vec<Region> {
    let (columns, rows) = (plan.columns(), plan.rows());
    let mut seen = vec![false; columns * rows];
    let mut regions = Vec::new();
    for start in 0..seen.len() {
        let filling = plan.at(start % columns, start / columns);
        if seen[start] || filling.is_solid() {
            continue;
        }
        seen[start] = true;
        let infinite = (f64::INFINITY, f64::NEG_INFINITY);
        let mut region =
            Region { filling, at_edge: false, touches_solid: false, area: 0.0, x: infinite, y: infinite };
        let mut open = vec![(start % columns, start / columns)];
        while let Some((i, j)) = open.pop() {
            region.area += (plan.xs[i + 1] - plan.xs[i]) * (plan.ys[j + 1] - plan.ys[j]);
            region.x = (region.x.0.min(plan.xs[i]), region.x.1.max(plan.xs[i + 1]));
            region.y = (region.y.0.min(plan.ys[j]), region.y.1.max(plan.ys[j + 1]));
            let neighbours = [
                i.checked_sub(1).map(|west| (west, j)),
                (i + 1 < columns).then_some((i + 1, j)),
                j.checked_sub(1).map(|south| (i, south)),
                (j + 1 < rows).then_some((i, j + 1)),
            ];
            for neighbour in neighbours {
                let Some((i, j)) = neighbour else {
                    region.at_edge = true;
                    continue;
                };
                let there = plan.at(i, j);
                if there == filling && !seen[j * columns + i] {
                    seen[j * columns + i] = true;
                    open.push((i, j));
                }
                region.touches_solid |= there.is_solid();
            }
        }
        regions.push(region);
    }
    regions
}
