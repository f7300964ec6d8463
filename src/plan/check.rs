//! Whether heat can flow through a plan in a meaningful way.

use std::collections::BTreeSet;

use super::components::Components;
use super::joining::JOINED;
use super::{Drawn, Edges, Filling, Plan, Raster, thin};
use crate::finding::Diagnostic;
use crate::model::{EnvironmentId, Model, Paint, Shape};
use crate::text::Place;

/// Returns the environments that touch a solid.
pub fn check(plan: &Plan, model: &Model, diagnostics: &mut Vec<Diagnostic>) -> BTreeSet<EnvironmentId> {
    match &plan.drawn {
        Drawn::Raster(raster) => corner_contacts(raster, model, diagnostics),
        Drawn::Edges(edges) => vertex_contacts(edges, model, diagnostics),
    }
    let touched = isolated_solids(plan, model, diagnostics);
    two_temperatures(model, &touched, diagnostics);
    environment_contacts(plan, model, diagnostics);
    if plan.raster().is_none() {
        diagnostics.extend(thin::warnings(model, plan));
    }
    touched
}

/// A little off an edge, m.
const BESIDE: f64 = 1e-7;

/// Where what fills a point (m) is written.
pub(super) fn place_of(model: &Model, [x, y]: [f64; 2]) -> Option<Place> {
    let covers = |shape: &&Shape| shape.area.outlines().iter().any(|outline| is_within(outline, [x, y]));
    model.plan.iter().rev().find(covers).map_or(model.extent_place, |shape| shape.place)
}

/// True if a point lies within a polygon, by how often a ray to the right crosses it.
pub fn is_within(outline: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    let next = |index: usize| outline[(index + 1) % outline.len()];
    let crosses = |index: &usize| {
        let ([from, to], y_of) = ([outline[*index], next(*index)], |point: [f64; 2]| point[1] > y);
        y_of(from) != y_of(to) && x < from[0] + (y - from[1]) / (to[1] - from[1]) * (to[0] - from[0])
    };
    (0..outline.len()).filter(crosses).count() % 2 == 1
}

fn millimetres(x: f64, y: f64) -> String {
    format!("x = {:.3} mm, y = {:.3} mm", x * 1e3, y * 1e3)
}

/// Two solids that share a corner and no face: does heat pass or not? The person must decide.
fn corner_contacts(plan: &Raster, model: &Model, diagnostics: &mut Vec<Diagnostic>) {
    for j in 1..plan.rows() {
        for i in 1..plan.columns() {
            let solid = |di: usize, dj: usize| plan.at(i - di, j - dj).is_solid();
            let (south_west, south_east, north_west, north_east) =
                (solid(1, 1), solid(0, 1), solid(1, 0), solid(0, 0));
            if south_west == north_east && south_east == north_west && south_west != south_east {
                let (owner_i, owner_j) = if south_west { (i, j) } else { (i - 1, j) };
                let owner = plan.owner(owner_i, owner_j);
                let place = owner.map_or(model.extent_place, |shape| model.plan[shape].place);
                diagnostics.push(contact([plan.xs[i], plan.ys[j]], place));
            }
        }
    }
}

/// The same where edges of any direction meet: round the point, solid begins more than once.
fn vertex_contacts(edges: &Edges, model: &Model, diagnostics: &mut Vec<Diagnostic>) {
    let arrangement = &edges.arrangement;
    let mut borders = vec![0; arrangement.points.len()];
    for segment in
        arrangement.segments.iter().filter(|segment| segment.left.is_solid() != segment.right.is_solid())
    {
        for end in segment.ends {
            borders[end as usize] += 1;
        }
    }
    for (point, _) in arrangement.points.iter().zip(borders).filter(|(_, borders)| *borders > 2) {
        // The last solid that has a corner there.
        let has_corner = |shape: &&Shape| {
            let is_there =
                |corner: &[f64; 2]| libm::hypot(corner[0] - point[0], corner[1] - point[1]) < 2.0 * JOINED;
            matches!(shape.paint, Paint::Solid(_)) && shape.area.outlines().concat().iter().any(is_there)
        };
        let owner = model.plan.iter().rev().find(has_corner);
        let place = owner.map_or_else(|| place_of(model, *point), |shape| shape.place);
        diagnostics.push(contact(*point, place));
    }
}

fn contact([x, y]: [f64; 2], place: Option<Place>) -> Diagnostic {
    let message = format!("two solids touch in a corner only, at {}", millimetres(x, y));
    let hint = "no heat can be computed through a point: let them overlap, or leave a gap between them";
    Diagnostic::error(place, message).hint(hint)
}

/// Finds solids that no environment touches, and returns the environments that are touched.
fn isolated_solids(plan: &Plan, model: &Model, diagnostics: &mut Vec<Diagnostic>) -> BTreeSet<EnvironmentId> {
    let components = Components::of(plan).all;
    for component in components.iter().filter(|component| component.environments.is_empty()) {
        let [x, y] = component.within;
        let middle = millimetres(x, y);
        let message = format!(
            "an isolated solid: no environment touches the one around {middle}, so its temperature is undefined"
        );
        let hint = "connect it to the construction, paint a space beside it, or delete it";
        diagnostics.push(Diagnostic::error(place_of(model, component.within), message).hint(hint));
    }
    if components.is_empty() {
        let hint = "paint materials with `fill` or `layers`, after the spaces they displace";
        diagnostics.push(Diagnostic::error(model.extent_place, "the plan contains no solid").hint(hint));
    }
    let touched: BTreeSet<EnvironmentId> =
        components.iter().flat_map(|component| component.environments.iter().copied()).collect();
    let temperatures = |environments: &BTreeSet<EnvironmentId>| {
        let of = |id: &EnvironmentId| model.environments[*id].temperature.to_bits();
        environments.iter().map(of).collect::<BTreeSet<u64>>().len()
    };
    if temperatures(&touched) > 1 && components.iter().all(|solid| temperatures(&solid.environments) < 2) {
        let message = "no solid leads from one temperature to another, so that no heat flows at all";
        let hint =
            "what is not painted lets no heat pass: paint what lies between the parts, air as a `cavity`";
        diagnostics.push(Diagnostic::error(model.extent_place, message).hint(hint));
    }
    touched
}

fn two_temperatures(model: &Model, touched: &BTreeSet<EnvironmentId>, diagnostics: &mut Vec<Diagnostic>) {
    for (id, environment) in model.environments_by_id() {
        if !touched.contains(&id) {
            let message = format!("the environment `{}` touches no solid", environment.name);
            let hint =
                format!("paint it beside the construction with `space: {}`, or delete it", environment.name);
            diagnostics.push(Diagnostic::warning(environment.place, message).hint(hint));
        }
    }
    let names: Vec<&str> = touched.iter().map(|index| model.environments[*index].name.as_str()).collect();
    let temperatures: BTreeSet<u64> =
        touched.iter().map(|index| model.environments[*index].temperature.to_bits()).collect();
    let message = match names.as_slice() {
        [] => "no environment touches the construction".to_owned(),
        [only] => format!("only one environment, `{only}`, touches the construction"),
        _ if temperatures.len() < 2 => {
            format!("all environments have the same temperature: {}", names.join(", "))
        }
        _ => return,
    };
    let hint = "heat flows between at least two temperatures: give each side of the construction its space";
    diagnostics.push(Diagnostic::error(model.extent_place, message).hint(hint));
}

/// Two environments side by side with nothing between them: an opening that was probably forgotten.
fn environment_contacts(plan: &Plan, model: &Model, diagnostics: &mut Vec<Diagnostic>) {
    let mut reported = BTreeSet::new();
    for edge in plan.edges() {
        let (Filling::Space(low), Filling::Space(high)) = (edge.left, edge.right) else { continue };
        if !reported.insert((low.min(high), low.max(high))) {
            continue;
        }
        // By the lower left end, as a raster counts its faces.
        let [one, other] = edge.ends;
        let [x, y] = [one[0].min(other[0]), one[1].min(other[1])];
        let (first, second) = (&model.environments[low].name, &model.environments[high].name);
        let message = format!(
            "the environments `{first}` and `{second}` touch each other at {}: no heat is counted between them",
            millimetres(x, y)
        );
        let hint =
            "paint the construction that parts them, or leave the place unpainted to make it adiabatic";
        diagnostics.push(Diagnostic::warning(place_of(model, [x + BESIDE, y + BESIDE]), message).hint(hint));
    }
}
