//! Whether heat flows through build-ups the way that they state.
//!
//! A build-up's air layers and inside surface resist by the direction of the heat flow (ISO 6946:2017, 6.7 and 6.9). In the plan that direction is
//! known: level through what stands upright, and up or down through what lies, as the solution tells. Where the two differ,
//! what is painted or subtracted is not what stands there.

use crate::case::{Case, Cut, Diagnostic, Flanking, Place};
use crate::element::build_up::{BuildUp, HeatFlow};
use crate::element::resistance;
use crate::geometry::{Axis, Span};
use crate::grid::Grid;
use crate::plan::Plan;
use crate::plan::level::{Run, Told};

/// Differences of resistances (m²K/W) and of U (W/(m²K)) below this are not seen in any result.
const SEEN: f64 = 5e-4;
/// Temperatures that differ by less than this part of the whole difference tell no direction.
const UNDECIDED: f64 = 0.01;

/// A warning for each build-up through which heat flows another way than it states, where that changes what it resists. `field` holds
/// the temperatures at the vertices of the grid, °C.
pub fn warnings(case: &Case, plan: &Plan, grid: &Grid, field: &[f64]) -> Vec<Diagnostic> {
    let mut warnings: Vec<Diagnostic> = Vec::new();
    let build_up = |name: &str| case.build_ups.iter().find(|build_up| build_up.name == name);
    // Of the build-ups that lie in the plan, by name, to tell the direction where one is subtracted.
    let mut lying: Vec<(&str, HeatFlow)> = Vec::new();
    for painted in &case.painted {
        let lies = case.cut == Cut::Vertical && painted.through == Axis::Y;
        let solved = if lies { upward(case, grid, field, painted.span, painted.across) } else { Some(HeatFlow::Horizontal) };
        let (Some(solved), Some(build_up)) = (solved, build_up(&painted.name)) else { continue };
        if lies {
            lying.push((&painted.name, solved));
        }
        let air =
            |heat_flow: HeatFlow| -> f64 { build_up.layers.iter().map(|layer| layer.mean_resistance(heat_flow)).sum::<f64>() };
        let [own, other] = [build_up.heat_flow, solved].map(air);
        if (own - other).abs() > SEEN {
            let what = format!("its layers are painted with {own:.3} m²K/W in all, that way they have {other:.3}");
            push(&mut warnings, build_up, solved, painted.place, &what);
        }
    }
    for item in case.psi.iter().chain(&case.further_psi).flat_map(|psi| &psi.flanking) {
        let (Some(build_up), Some(along)) = (item.build_up.as_deref().and_then(build_up), item.runs_along) else { continue };
        let lies = case.cut == Cut::Vertical && along == Axis::X;
        let painted = || lying.iter().find(|(name, _)| *name == build_up.name).map(|(_, solved)| *solved);
        let solved = if lies { of_surfaces(plan, item).or_else(painted) } else { Some(HeatFlow::Horizontal) };
        let Some(solved) = solved else { continue };
        let [own, other] = [build_up.heat_flow, solved].map(|heat_flow| u_value(build_up, heat_flow));
        if (own - other).abs() > SEEN {
            let what = format!("the U-value subtracted for {} is {own:.4} W/(m²K), that way it is {other:.4}", item.element);
            push(&mut warnings, build_up, solved, item.place, &what);
        }
    }
    warnings
}

fn push(warnings: &mut Vec<Diagnostic>, build_up: &BuildUp, solved: HeatFlow, place: Place, what: &str) {
    let way = match solved {
        HeatFlow::Horizontal => "horizontally",
        HeatFlow::Up => "upwards",
        HeatFlow::Down => "downwards",
    };
    let [name, stated, word] = [build_up.name.as_str(), build_up.heat_flow.word(), solved.word()];
    let message =
        format!("heat flows {way} through the build-up `{name}` here, which is computed with heat flow {stated}: {what}");
    let hint = format!("`heat_flow: {word}` in the build-up, or a build-up of its own for this place");
    let warning = Diagnostic::warning(place, message).hint(hint);
    if !warnings.contains(&warning) {
        warnings.push(warning);
    }
}

/// W/(m²K) of a build-up, were the heat to flow that way; surface resistances that are stated stay.
fn u_value(build_up: &BuildUp, heat_flow: HeatFlow) -> f64 {
    let [inside, outside] = build_up.surfaces;
    let is_standard = inside == build_up.heat_flow.internal_resistance();
    let inside = if is_standard { heat_flow.internal_resistance() } else { inside };
    resistance::total(&BuildUp { heat_flow, surfaces: [inside, outside], ..build_up.clone() }).u_value()
}

/// The direction at the level surfaces of rooms along an element, if all have the same.
fn of_surfaces(plan: &Plan, item: &Flanking) -> Option<HeatFlow> {
    let spans: Vec<Span> = item.spans.iter().flatten().copied().collect();
    let meets = |run: &&Run| {
        let own = run.span(plan);
        spans.iter().any(|span| own.from < span.to && span.from < own.to)
    };
    let runs = plan.level.runs.iter().filter(|run| run.told != Told::Undecided).filter(meets);
    let mut directions = runs.map(|run| run.heat_flow);
    let first = directions.next()?;
    directions.all(|other| other == first).then_some(first)
}

/// Up or down through what lies between two levels, from the mean temperatures on them; none where they hardly differ.
fn upward(case: &Case, grid: &Grid, field: &[f64], levels: Span, across: Span) -> Option<HeatFlow> {
    let (xs, ys) = (&grid.x.positions, &grid.y.positions);
    let row = |level: f64| (0..ys.len()).min_by(|a, b| (ys[*a] - level).abs().total_cmp(&(ys[*b] - level).abs()));
    let (low, high) = (row(levels.from)?, row(levels.to)?);
    let (mut sum, mut width) = (0.0, 0.0);
    for i in (1..xs.len()).filter(|i| across.contains(xs[*i - 1]) && across.contains(xs[*i])) {
        let difference = [i - 1, i].map(|i| field[low * grid.vertex_columns() + i] - field[high * grid.vertex_columns() + i]);
        let [from, to] = difference;
        if (from + to).is_finite() {
            sum += f64::midpoint(from, to) * (xs[i] - xs[i - 1]);
            width += xs[i] - xs[i - 1];
        }
    }
    let temperatures = || case.environments.iter().filter(|environment| environment.is_touched).map(|own| own.temperature);
    let whole = temperatures().fold(f64::NEG_INFINITY, f64::max) - temperatures().fold(f64::INFINITY, f64::min);
    let mean = sum / width;
    (mean.abs() > UNDECIDED * whole).then_some(if mean > 0.0 { HeatFlow::Up } else { HeatFlow::Down })
}
