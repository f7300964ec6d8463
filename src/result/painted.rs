//! Build-ups against what the solution says of them: the direction of heat flow, and the difference across
//! their air layers.
//!
//! A build-up's air layers and inside surface resist by the direction of the heat flow (ISO 6946:2017, 6.7
//! and 6.9), and its air layers by up to 5 K across them. A plan paints the air as homogeneous material, so
//! neither follows the solution as a painted `cavity` does. The direction is known: level through what stands
//! upright, and up or down through what lies or slopes by less than 60°, by the integral of the temperature gradient
//! over what the build-up covers. Where it is another, what is painted or subtracted is not what stands there.

use super::computed::OnMesh;
use super::coupling::Temperatures;
use crate::element::air_layer::LARGEST_DIFFERENCE;
use crate::element::build_up::BuildUp;
use crate::element::resistance;
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, Stretch};
use crate::grid::Grid;
use crate::model::{Area, Cut, Environment, Flanking, Model, PaintedBuildUp, Role};
use crate::plan::level::{Run, Told};
use crate::plan::{Filling, Plan, Raster};
use crate::standard::HeatFlow;
use crate::text::Place;
use crate::triangulation::Mesh;

/// Differences of resistances (m²K/W) and of U (W/(m²K)) below this are not seen in any result.
const SEEN: f64 = 5e-4;
/// Temperatures that differ by less than this part of the whole difference tell no direction.
const UNDECIDED: f64 = 0.01;

/// sin 30°: up to which inclination heat flows horizontally (ISO 6946:2017, table 7), with room for rounding.
const LEVEL: f64 = 0.5 + 1e-6;

/// A warning for each build-up through which heat flows another way than it states, where that changes what
/// it resists. `fall` tells by how much the temperature falls along each axis over a metre, on average over what is
/// solid of an area, K/m.
pub fn warnings(model: &Model, plan: &Plan, fall: &dyn Fn(&Area) -> Option<[f64; 2]>) -> Vec<Diagnostic> {
    // By how much it falls across an area, along a direction, K.
    let difference = |area: &Area, [x, y]: [f64; 2]| -> Option<f64> {
        let [along_x, along_y] = fall(area)?;
        Some((along_x * x + along_y * y) * area.reach([x, y]).length())
    };
    let mut warnings: Vec<Diagnostic> = Vec::new();
    let build_up = |name: &str| model.build_ups.iter().find(|build_up| build_up.name == name);
    // Of the build-ups that lie in the plan, by name, to tell the direction where one is subtracted.
    let mut lying: Vec<(&str, HeatFlow)> = Vec::new();
    for painted in &model.painted {
        for (label, area) in
            painted.layers.iter().filter_map(|layer| Some((layer.air.as_ref()?, &layer.area)))
        {
            let across = difference(area, painted.through).unwrap_or(0.0).abs();
            if across > LARGEST_DIFFERENCE {
                let message = format!(
                    "{label} of the build-up `{}` has {across:.1} K across it: its resistance is that for up to {LARGEST_DIFFERENCE} K \
                     (ISO 6946, Annex D) and falls beyond",
                    painted.name
                );
                let hint = "paint a `cavity: building` there, which follows the difference";
                push_new(&mut warnings, Diagnostic::warning(painted.place, message).hint(hint));
            }
        }
        let fall = difference(&painted.area, painted.through);
        if let Some(fall) = fall
            && is_backwards(model, painted, fall)
        {
            let message = format!(
                "the build-up `{}` lies with its inside, the first layer, towards the colder side",
                painted.name
            );
            let hint = "build-ups are written from inside to outside; paint it the other way, with the other sign or direction of `along`";
            push_new(&mut warnings, Diagnostic::warning(painted.place, message).hint(hint));
        }
        let upwards = painted.through[1];
        let lies = model.cut == Cut::Vertical && upwards.abs() > LEVEL;
        let solved = if lies {
            fall.and_then(|fall| lying_way(model, fall * upwards.signum()))
        } else {
            Some(HeatFlow::Horizontal)
        };
        let (Some(solved), Some(build_up)) = (solved, build_up(&painted.name)) else { continue };
        if lies {
            lying.push((&painted.name, solved));
        }
        let air = |heat_flow: HeatFlow| -> f64 {
            build_up.layers.iter().map(|layer| layer.mean_resistance(heat_flow)).sum::<f64>()
        };
        let [own, other] = [build_up.heat_flow, solved].map(air);
        if (own - other).abs() > SEEN {
            let what =
                format!("its layers are painted with {own:.3} m²K/W in all, that way they have {other:.3}");
            push(&mut warnings, build_up, solved, painted.place, &what);
        }
    }
    for item in model.psi.iter().chain(&model.further_psi).flat_map(|psi| &psi.flanking) {
        let (Some(build_up), Some(along)) = (item.build_up.as_deref().and_then(build_up), item.runs_along)
        else {
            continue;
        };
        let lies = model.cut == Cut::Vertical && along == Axis::X;
        let painted = || lying.iter().find(|(name, _)| *name == build_up.name).map(|(_, solved)| *solved);
        let solved = if lies { of_surfaces(plan, item).or_else(painted) } else { Some(HeatFlow::Horizontal) };
        let Some(solved) = solved else { continue };
        let [own, other] = [build_up.heat_flow, solved].map(|heat_flow| u_value(build_up, heat_flow));
        if (own - other).abs() > SEEN {
            let what = format!(
                "the U-value subtracted for {} is {own:.4} W/(m²K), that way it is {other:.4}",
                item.element
            );
            push(&mut warnings, build_up, solved, item.place, &what);
        }
    }
    warnings
}

fn push(
    warnings: &mut Vec<Diagnostic>,
    build_up: &BuildUp,
    solved: HeatFlow,
    place: Option<Place>,
    what: &str,
) {
    let way = match solved {
        HeatFlow::Horizontal => "horizontally",
        HeatFlow::Up => "upwards",
        HeatFlow::Down => "downwards",
    };
    let [name, stated, word] = [build_up.name.as_str(), build_up.heat_flow.word(), solved.word()];
    let message = format!(
        "heat flows {way} through the build-up `{name}` here, which is computed with heat flow {stated}: {what}"
    );
    let hint = format!("`heat_flow: {word}` in the build-up, or a build-up of its own for this place");
    push_new(warnings, Diagnostic::warning(place, message).hint(hint));
}

fn push_new(warnings: &mut Vec<Diagnostic>, warning: Diagnostic) {
    if !warnings.contains(&warning) {
        warnings.push(warning);
    }
}

/// True if a room is warmest and the temperature falls from the last layer to the first, where these differ; `fall`
/// is that from the first to the last.
fn is_backwards(model: &Model, painted: &PaintedBuildUp, fall: f64) -> bool {
    let (high, low) = Temperatures::of(model).range();
    let is_room = |space: &Environment| space.role == Role::Internal && space.temperature == high;
    let count = painted.layers.len();
    let is_symmetric = (0..count)
        .all(|number| painted.layers[number].material == painted.layers[count - 1 - number].material);
    !is_symmetric && fall < -UNDECIDED * (high - low) && model.environments.iter().any(is_room)
}

/// Up or down, from how far the temperature falls upwards; none where it hardly does.
fn lying_way(model: &Model, fall: f64) -> Option<HeatFlow> {
    let (high, low) = Temperatures::of(model).range();
    (fall.abs() > UNDECIDED * (high - low)).then_some(if fall > 0.0 { HeatFlow::Up } else { HeatFlow::Down })
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
    // What slopes lies beside a stretch of the x axis too.
    let beside = |(span, points): (&Option<Span>, &Option<Stretch>)| match points {
        Some(points) if item.slope.is_some() => Some(points.along(Axis::X)),
        _ => *span,
    };
    let spans: Vec<Span> = item.spans.iter().zip(&item.points).filter_map(beside).collect();
    let meets = |run: &&Run| {
        let own = run.span();
        spans.iter().any(|span| own.from < span.to && span.from < own.to)
    };
    let runs = plan.level.runs.iter().filter(|run| run.told != Told::Undecided).filter(meets);
    let mut directions = runs.map(|run| run.heat_flow);
    let first = directions.next()?;
    directions.all(|other| other == first).then_some(first)
}

/// By how much the temperature falls along x and along y over a metre on a grid, on average over what is solid of an
/// area, K/m.
pub(super) fn fall((plan, grid, field): (&Raster, &Grid, &[f64]), area: &Area) -> Option<[f64; 2]> {
    let columns = grid.vertex_columns();
    let (mut covered, mut fall) = (0.0, [0.0; 2]);
    for j in 0..grid.vertex_rows() - 1 {
        for i in 0..columns - 1 {
            let vertex = |right: usize, up: usize| (j + up) * columns + i + right;
            let ((left, lower), (right, upper)) = (grid.position(vertex(0, 0)), grid.position(vertex(1, 1)));
            let is_within = area.contains(0.5 * (left + right), 0.5 * (lower + upper));
            if !is_within || !matches!(grid.filling(plan, i, j), Filling::Solid(_)) {
                continue;
            }
            let corner = |right: usize, up: usize| field[vertex(right, up)];
            let (width, height) = (right - left, upper - lower);
            covered += width * height;
            fall[0] += 0.5 * height * (corner(0, 0) + corner(0, 1) - corner(1, 0) - corner(1, 1));
            fall[1] += 0.5 * width * (corner(0, 0) + corner(1, 0) - corner(0, 1) - corner(1, 1));
        }
    }
    (covered > 0.0).then(|| fall.map(|along| along / covered))
}

/// The same on triangles.
pub(super) fn fall_on_triangles(mesh: &Mesh, solved: &OnMesh, area: &Area) -> Option<[f64; 2]> {
    let (mut covered, mut fall) = (0.0, [0.0; 2]);
    for triangle in 0..mesh.corners.len() {
        let [x, y] = mesh.centre(triangle);
        if !area.contains(x, y) {
            continue;
        }
        let Some((_, gradient)) = solved.system.solids.integrals(&solved.pair.temperature, triangle) else {
            continue;
        };
        covered += mesh.area(triangle);
        fall = [fall[0] - gradient[0], fall[1] - gradient[1]];
    }
    (covered > 0.0).then(|| fall.map(|along| along / covered))
}
