//! What the page's probe and slider read.

use std::ops::Range;

use serde_json::{Value, json};

use super::WIDTH;
use crate::case::Case;
use crate::draw;
use crate::draw::view::View;
use crate::geometry::{Axis, Rectangle, Span, millimetres};
use crate::grid::Grid;
use crate::plan::{Filling, Plan, Raster};
use crate::result::computed::{OnMesh, OnTriangles};
use crate::result::profile::{Profile, Station};
use crate::result::{Fields, Ground, Outcome};

/// The lowest and the highest temperature of a case, °C.
fn temperatures(case: &Case) -> (f64, f64) {
    let all = || case.model.environments.iter().map(|environment| environment.temperature);
    (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
}

/// All of it.
pub(super) fn data(outcome: &Outcome, fields: &Fields, profiles: &[Profile]) -> Value {
    let placement = draw::placement(outcome, WIDTH);
    let view = placement.view;
    let mut data = match (&fields.ground, outcome.on_triangles()) {
        (Ground::Grid { raster, grid }, _) => on_grid(outcome, fields, raster, grid, &view),
        (Ground::Triangles(_), Some(on)) => json!({
            "plan": { "areas": areas(&outcome.case, &outcome.plan) },
            "triangles": on_triangles(&outcome.case, on, view.shown),
        }),
        // Fields are on triangles only where the solution is.
        (Ground::Triangles(_), None) => json!({}),
    };
    data["view"] = json!({
        "picture": [placement.picture.0, placement.picture.1],
        "left": view.area.left,
        "top": view.area.top,
        "width": view.area.width(),
        "height": view.area.height(),
        // Pixels per mm, and the place of the upper left corner.
        "scale": view.scale * 1e-3,
        "x": millimetres(view.shown.x.from),
        "y": millimetres(view.shown.y.to),
    });
    data["profiles"] = profiles.iter().map(along).collect();
    data
}

/// Places and temperatures along a surface.
fn along(profile: &Profile) -> Value {
    let station = |station: &Station| {
        json!([millimetres(station.at.0), millimetres(station.at.1), rounded(station.temperature, 3)])
    };
    profile.stations.iter().map(station).collect()
}

/// What a place is filled with.
fn filling(case: &Case, filling: Filling) -> Value {
    match filling {
        Filling::Nothing => Value::Null,
        Filling::Space(environment) => json!({ "space": case.model.environments[environment].name }),
        Filling::Solid(material) => json!({ "solid": case.model.materials[material].label }),
    }
}

fn rounded(value: f64, decimals: i32) -> Value {
    let unit = 10_f64.powi(decimals);
    if value.is_finite() { json!((value * unit).round() / unit) } else { Value::Null }
}

/// Temperatures at the vertices of a grid, and what fills the cells of the plan.
fn on_grid(outcome: &Outcome, fields: &Fields, raster: &Raster, grid: &Grid, view: &View) -> Value {
    let case = &outcome.case;
    // Only what the pictures show can be pointed at.
    let (columns, rows) = (needed(&grid.x.positions, view.shown.x), needed(&grid.y.positions, view.shown.y));
    let shown = |values: &[f64], decimals: i32| -> Vec<Value> {
        let vertices = rows.clone().flat_map(|j| columns.clone().map(move |i| (i, j)));
        vertices.map(|(i, j)| rounded(values[j * grid.vertex_columns() + i], decimals)).collect()
    };
    let lines = |lines: &[f64]| lines.iter().map(|line| millimetres(*line)).collect::<Vec<_>>();
    let cells = (0..raster.rows()).flat_map(|j| (0..raster.columns()).map(move |i| (i, j)));
    let (external, internal) = temperatures(case);
    let factor = fields.condensation.as_ref().unwrap_or(&fields.heat_loss);
    let factor: Vec<f64> =
        factor.iter().map(|temperature| (temperature - external) / (internal - external)).collect();
    json!({
        "plan": {
            "xs": lines(&raster.xs),
            "ys": lines(&raster.ys),
            "filling": cells.map(|(i, j)| filling(case, raster.at(i, j))).collect::<Vec<_>>(),
        },
        "xs": lines(&grid.x.positions[columns.clone()]),
        "ys": lines(&grid.y.positions[rows.clone()]),
        "temperature": shown(&fields.heat_loss, 2),
        "factor": shown(&factor, 4),
    })
}

/// The indices of the lines that a stretch needs, one more on either side.
fn needed(lines: &[f64], span: Span) -> Range<usize> {
    let first = lines.partition_point(|line| *line < span.from).saturating_sub(1);
    let last = (lines.partition_point(|line| *line <= span.to) + 1).min(lines.len());
    first..last
}

/// What fills the plan, with the closed lines round each filling: a point lies within if it lies within an odd
/// number of them.
fn areas(case: &Case, plan: &Plan) -> Vec<Value> {
    let area = |(what, outlines): (Filling, Vec<Vec<(f64, f64)>>)| {
        let place = |(x, y): &(f64, f64)| json!([millimetres(*x), millimetres(*y)]);
        let outlines: Vec<Vec<Value>> =
            outlines.iter().map(|line| line.iter().map(place).collect()).collect();
        json!({ "filling": filling(case, what), "outlines": outlines })
    };
    let is_something = |(what, _): &(Filling, Vec<Vec<(f64, f64)>>)| *what != Filling::Nothing;
    draw::areas(&plan.edges()).into_iter().filter(is_something).map(area).collect()
}

/// The triangles that can be seen: their corners, and the values at these and in the middles of the sides
/// opposite to them, from which the quadratic function follows.
fn on_triangles(case: &Case, on: &OnTriangles, shown: Rectangle) -> Value {
    let (external, internal) = temperatures(case);
    let mut corners: Vec<Value> = Vec::new();
    let (mut temperature, mut factor): (Vec<Value>, Vec<Value>) = (Vec::new(), Vec::new());
    for (triangle, numbers) in on.mesh.corners.iter().enumerate() {
        let places = numbers.map(|number| on.mesh.points[number as usize]);
        let is_seen = [Axis::X, Axis::Y].into_iter().enumerate().all(|(index, axis)| {
            let along = shown.along(axis);
            places.iter().any(|place| place[index] >= along.from)
                && places.iter().any(|place| place[index] <= along.to)
        });
        if !is_seen {
            continue;
        }
        let values = |of: &OnMesh| {
            NODES.map(|node| {
                of.system.solids.temperature(&of.pair.temperature, triangle, node).unwrap_or(f64::NAN)
            })
        };
        corners.push(places.iter().flatten().map(|value| json!(millimetres(*value))).collect());
        temperature.push(values(&on.heat_loss).iter().map(|value| rounded(*value, 3)).collect());
        let judged = values(on.factor_basis());
        let part = |temperature: &f64| rounded((temperature - external) / (internal - external), 5);
        factor.push(judged.iter().map(part).collect());
    }
    json!({ "corners": corners, "temperature": temperature, "factor": factor })
}

/// The nodes of a quadratic function on a triangle.
const NODES: [[f64; 3]; 6] =
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5], [0.5, 0.5, 0.0]];
