//! What the page's probe and slider read.

use std::ops::Range;

use serde_json::json;

use super::WIDTH;
use crate::case::Case;
use crate::draw;
use crate::geometry::{Span, millimetres};
use crate::plan::Filling;
use crate::result::profile::{Profile, Station};
use crate::result::{Fields, Outcome};

/// The lowest and the highest temperature of a case, °C.
fn temperatures(case: &Case) -> (f64, f64) {
    let all = || case.model.environments.iter().map(|environment| environment.temperature);
    (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
}

/// The indices of the lines that a stretch needs, one more on either side.
fn needed(lines: &[f64], span: Span) -> Range<usize> {
    let first = lines.partition_point(|line| *line < span.from).saturating_sub(1);
    let last = (lines.partition_point(|line| *line <= span.to) + 1).min(lines.len());
    first..last
}

/// All of it.
pub(super) fn data(outcome: &Outcome, fields: &Fields, profiles: &[Profile]) -> serde_json::Value {
    let (case, plan) = (&outcome.case, &outcome.plan);
    let placement = draw::placement(outcome, WIDTH);
    // Only what the pictures show can be pointed at.
    let shown = placement.view.shown;
    let (columns, rows) =
        (needed(&fields.grid.x.positions, shown.x), needed(&fields.grid.y.positions, shown.y));
    let rounded = |values: &[f64], decimals: i32| -> Vec<serde_json::Value> {
        let unit = 10_f64.powi(decimals);
        let vertices = rows.clone().flat_map(|j| columns.clone().map(move |i| (i, j)));
        vertices
            .map(|(i, j)| values[j * fields.grid.vertex_columns() + i])
            .map(|value| {
                if value.is_finite() { json!((value * unit).round() / unit) } else { serde_json::Value::Null }
            })
            .collect()
    };
    let lines = |lines: &[f64]| lines.iter().map(|line| millimetres(*line)).collect::<Vec<_>>();
    let filling = |i: usize, j: usize| match plan.at(i, j) {
        Filling::Nothing => serde_json::Value::Null,
        Filling::Space(environment) => json!({ "space": case.model.environments[environment].name }),
        Filling::Solid(material) => json!({ "solid": case.model.materials[material].label }),
    };
    let (external, internal) = temperatures(case);
    let factor = fields.condensation.as_ref().unwrap_or(&fields.heat_loss);
    let factor: Vec<f64> =
        factor.iter().map(|temperature| (temperature - external) / (internal - external)).collect();
    let profiles: Vec<Vec<serde_json::Value>> = profiles
        .iter()
        .map(|profile| {
            let station = |station: &Station| {
                json!([
                    millimetres(station.at.0),
                    millimetres(station.at.1),
                    (station.temperature * 1e3).round() / 1e3
                ])
            };
            profile.stations.iter().map(station).collect()
        })
        .collect();
    json!({
        "view": {
            "picture": [placement.picture.0, placement.picture.1],
            "left": placement.view.area.left,
            "top": placement.view.area.top,
            "width": placement.view.area.width(),
            "height": placement.view.area.height(),
            // Pixels per mm, and the place of the upper left corner.
            "scale": placement.view.scale * 1e-3,
            "x": millimetres(placement.view.shown.x.from),
            "y": millimetres(placement.view.shown.y.to),
        },
        "plan": {
            "xs": lines(&plan.xs),
            "ys": lines(&plan.ys),
            "filling": (0..plan.rows()).flat_map(|j| (0..plan.columns()).map(move |i| (i, j))).map(|(i, j)| filling(i, j)).collect::<Vec<_>>(),
        },
        "xs": lines(&fields.grid.x.positions[columns.clone()]),
        "ys": lines(&fields.grid.y.positions[rows.clone()]),
        "temperature": rounded(&fields.heat_loss, 2),
        "factor": rounded(&factor, 4),
        "profiles": profiles,
    })
}
