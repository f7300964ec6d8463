//! Temperatures at named points.

use crate::conduction::Field;
use crate::finding::Diagnostic;
use crate::grid::Grid;
use crate::model::{Model, is_within};
use crate::plan::{Drawn, Filling, Plan, Raster, interval};

/// A point this near to a surface (m) that slopes is on it: its coordinates were rounded.
const ON_A_SLOPE: f64 = 1e-5;

/// Checks that every named point lies in or on a solid; others become errors. Returns their coordinates, m:
/// those beside a surface, on it.
pub fn places(model: &Model, plan: &Plan, errors: &mut Vec<Diagnostic>) -> Vec<(f64, f64)> {
    let mut places = Vec::new();
    for point in &model.points {
        if let Some(place) = in_a_solid(plan, (point.x, point.y)) {
            places.push(place);
            continue;
        }
        let found = match plan.filling_at(point.x, point.y) {
            Some(Filling::Space(environment)) => {
                format!("in the environment `{}`", model.environments[environment].name)
            }
            Some(_) if is_within(&plan.border, [point.x, point.y]) => "where nothing is painted".to_owned(),
            _ => "outside the extent".to_owned(),
        };
        let message = format!("the point `{}` lies {found}, not in a solid", point.name);
        errors.push(
            Diagnostic::error(point.place, message)
                .hint("temperatures are computed in solids and on their surfaces"),
        );
    }
    places
}

/// The point itself, or the nearest one of a solid beside it; none if there is no solid.
fn in_a_solid(plan: &Plan, (x, y): (f64, f64)) -> Option<(f64, f64)> {
    match &plan.drawn {
        Drawn::Raster(raster) => touching_cells(&raster.xs, &raster.ys, x, y)
            .any(|(i, j)| raster.at(i, j).is_solid())
            .then_some((x, y)),
        Drawn::Edges(edges) => {
            if edges.filling_at(x, y).is_some_and(Filling::is_solid) {
                return Some((x, y));
            }
            let solid =
                edges.edges().into_iter().filter(|edge| edge.left.is_solid() || edge.right.is_solid());
            let near = solid.map(|edge| {
                let at = edge.stretch().nearest([x, y]);
                (libm::hypot(at[0] - x, at[1] - y), (at[0], at[1]))
            });
            near.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(far, _)| *far < ON_A_SLOPE).map(|(_, at)| at)
        }
    }
}

/// The temperatures there, °C: the bilinear interpolant of the cell's vertices.
pub fn temperatures(
    model: &Model,
    grid: &Grid,
    plan: &Raster,
    field: &Field,
    places: &[(f64, f64)],
) -> Vec<(String, f64)> {
    let at = |place: &(f64, f64)| {
        let weights = weights(grid, plan, *place)?;
        Some(weights.iter().map(|(vertex, weight)| weight * field.temperature[*vertex]).sum())
    };
    model
        .points
        .iter()
        .zip(places)
        .filter_map(|(point, place)| Some((point.name.clone(), at(place)?)))
        .collect()
}

/// The vertices whose temperatures make up that of a place, with their weights; none outside of solids.
pub fn weights(grid: &Grid, plan: &Raster, (x, y): (f64, f64)) -> Option<[(usize, f64); 4]> {
    let (xs, ys) = (&grid.x.positions, &grid.y.positions);
    let (i, j) = touching_cells(xs, ys, x, y).find(|(i, j)| grid.filling(plan, *i, *j).is_solid())?;
    let (right, up) = ((x - xs[i]) / (xs[i + 1] - xs[i]), (y - ys[j]) / (ys[j + 1] - ys[j]));
    let (columns, vertex) = (grid.vertex_columns(), j * grid.vertex_columns() + i);
    Some([
        (vertex, (1.0 - right) * (1.0 - up)),
        (vertex + 1, right * (1.0 - up)),
        (vertex + columns, (1.0 - right) * up),
        (vertex + columns + 1, right * up),
    ])
}

/// The cells that contain a point: one inside, up to four on lines (within a rounding error).
fn touching_cells(xs: &[f64], ys: &[f64], x: f64, y: f64) -> impl Iterator<Item = (usize, usize)> {
    const ROUNDING: f64 = 1e-9;
    let around = |lines: &[f64], value: f64| {
        let clamp = |value: f64| value.clamp(lines[0], lines[lines.len() - 1]);
        let near = |value: f64| {
            let clamped = clamp(value);
            ((clamped - value).abs() <= 2.0 * ROUNDING).then(|| interval(lines, clamped)).flatten()
        };
        let mut found: Vec<usize> =
            [near(value - ROUNDING), near(value + ROUNDING)].into_iter().flatten().collect();
        found.dedup();
        found
    };
    let (columns, rows) = (around(xs, x), around(ys, y));
    columns.into_iter().flat_map(move |i| rows.clone().into_iter().map(move |j| (i, j)))
}
