//! Whether heat can flow through a plan in a meaningful way.

use std::collections::BTreeSet;

use super::components::components;
use super::{Filling, Plan};
use crate::finding::Diagnostic;
use crate::model::{EnvironmentId, Model};
use crate::text::Place;

/// Returns the environments that touch a solid.
pub fn check(plan: &Plan, model: &Model, diagnostics: &mut Vec<Diagnostic>) -> BTreeSet<EnvironmentId> {
    corner_contacts(plan, model, diagnostics);
    let touched = isolated_solids(plan, model, diagnostics);
    two_temperatures(model, &touched, diagnostics);
    environment_contacts(plan, model, diagnostics);
    touched
}

fn place_of(plan: &Plan, model: &Model, i: usize, j: usize) -> Option<Place> {
    plan.owner(i, j).map_or(model.extent_place, |shape| model.plan[shape].place)
}

fn millimetres(x: f64, y: f64) -> String {
    format!("x = {:.3} mm, y = {:.3} mm", x * 1e3, y * 1e3)
}

/// Two solids that share a corner and no face: does heat pass or not? The person must decide.
fn corner_contacts(plan: &Plan, model: &Model, diagnostics: &mut Vec<Diagnostic>) {
    for j in 1..plan.rows() {
        for i in 1..plan.columns() {
            let solid = |di: usize, dj: usize| plan.at(i - di, j - dj).is_solid();
            let (south_west, south_east, north_west, north_east) =
                (solid(1, 1), solid(0, 1), solid(1, 0), solid(0, 0));
            if south_west == north_east && south_east == north_west && south_west != south_east {
                let (owner_i, owner_j) = if south_west { (i, j) } else { (i - 1, j) };
                let message =
                    format!("two solids touch in a corner only, at {}", millimetres(plan.xs[i], plan.ys[j]));
                let hint =
                    "no heat can be computed through a point: let them overlap, or leave a gap between them";
                diagnostics
                    .push(Diagnostic::error(place_of(plan, model, owner_i, owner_j), message).hint(hint));
            }
        }
    }
}

/// Finds solids that no environment touches, and returns the environments that are touched.
fn isolated_solids(plan: &Plan, model: &Model, diagnostics: &mut Vec<Diagnostic>) -> BTreeSet<EnvironmentId> {
    let (components, _) = components(plan);
    for component in components.iter().filter(|component| component.environments.is_empty()) {
        let (i, j) = component.cell;
        let middle =
            millimetres(f64::midpoint(plan.xs[i], plan.xs[i + 1]), f64::midpoint(plan.ys[j], plan.ys[j + 1]));
        let message = format!(
            "an isolated solid: no environment touches the one around {middle}, so its temperature is undefined"
        );
        let hint = "connect it to the construction, paint a space beside it, or delete it";
        diagnostics.push(Diagnostic::error(place_of(plan, model, i, j), message).hint(hint));
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
    for (normal, i, j) in plan.faces() {
        let (Filling::Space(low), Filling::Space(high)) = plan.beside_face(normal, i, j) else { continue };
        if low == high || !reported.insert((low.min(high), low.max(high))) {
            continue;
        }
        let (first, second) = (&model.environments[low].name, &model.environments[high].name);
        let message = format!(
            "the environments `{first}` and `{second}` touch each other at {}: no heat is counted between them",
            millimetres(plan.xs[i], plan.ys[j])
        );
        let hint =
            "paint the construction that parts them, or leave the place unpainted to make it adiabatic";
        diagnostics.push(Diagnostic::warning(place_of(plan, model, i, j), message).hint(hint));
    }
}
