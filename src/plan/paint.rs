//! Painting: shapes in order, later over earlier.

use std::collections::{BTreeSet, HashSet};

use super::edges::{index_of, merge};
use super::level::LevelRuns;
use super::{Filling, Plan};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Rectangle};
use crate::model::{Model, Paint, Shape};
use crate::text::Place;

/// A raster beyond this is not a junction that somebody drew.
const MOST_CELLS: usize = 60_000;

pub fn paint(model: &Model, diagnostics: &mut Vec<Diagnostic>) -> Option<Plan> {
    let clipped: Vec<Vec<Rectangle>> = model
        .plan
        .iter()
        .map(|shape| shape.rectangles.iter().filter_map(|rectangle| rectangle.within(model.extent)).collect())
        .collect();
    let mut edges = [Axis::X, Axis::Y].map(|axis| {
        let span = model.extent.along(axis);
        vec![(span.from, model.extent_place), (span.to, model.extent_place)]
    });
    let mut add = |rectangle: Rectangle, place: Option<Place>| {
        for (edges, axis) in edges.iter_mut().zip([Axis::X, Axis::Y]) {
            let span = rectangle.along(axis);
            edges.extend([(span.from, place), (span.to, place)]);
        }
    };
    for (shape, rectangles) in model.plan.iter().zip(&clipped) {
        for rectangle in rectangles {
            add(*rectangle, shape.place);
        }
        if rectangles.is_empty() {
            diagnostics.push(Diagnostic::warning(shape.place, "this shape lies outside the extent"));
        }
    }
    for rule in &model.surfaces {
        if let Some(within) = rule.within.within(model.extent) {
            add(within, rule.place);
        }
    }
    let [x_edges, y_edges] = edges;
    let xs = merge(x_edges, Axis::X, diagnostics);
    let ys = merge(y_edges, Axis::Y, diagnostics);
    let cells = (xs.len() - 1) * (ys.len() - 1);
    if cells > MOST_CELLS {
        let message =
            format!("the plan's edges make a raster of {cells} cells; at most {MOST_CELLS} can be handled");
        diagnostics.push(
            Diagnostic::error(model.extent_place, message)
                .hint("leave out details that do not matter for heat"),
        );
        return None;
    }
    let mut plan = Plan {
        filling: vec![Filling::Nothing; cells],
        owner: vec![None; cells],
        touched: BTreeSet::new(),
        level: LevelRuns::default(),
        xs,
        ys,
    };
    let columns = plan.columns();
    for (number, (shape, rectangles)) in model.plan.iter().zip(&clipped).enumerate() {
        let filling = match shape.paint {
            Paint::Solid(material) => Filling::Solid(material),
            Paint::Space(environment) => Filling::Space(environment),
        };
        for rectangle in rectangles {
            let (left, right) = (index_of(&plan.xs, rectangle.x.from), index_of(&plan.xs, rectangle.x.to));
            for j in index_of(&plan.ys, rectangle.y.from)..index_of(&plan.ys, rectangle.y.to) {
                plan.filling[j * columns + left..j * columns + right].fill(filling);
                plan.owner[j * columns + left..j * columns + right].fill(Some(number));
            }
        }
    }
    for cavity in &model.cavities {
        for rectangle in cavity.part.iter().flat_map(|part| &part.rectangles) {
            let (left, right) = (index_of(&plan.xs, rectangle.x.from), index_of(&plan.xs, rectangle.x.to));
            for j in index_of(&plan.ys, rectangle.y.from)..index_of(&plan.ys, rectangle.y.to) {
                plan.filling[j * columns + left..j * columns + right].fill(Filling::Solid(cavity.material));
            }
        }
    }
    warn_of_hidden_shapes(model, &plan, diagnostics);
    Some(plan)
}

/// Shapes within the extent of which nothing can be seen, by index.
pub fn hidden_shapes(model: &Model, plan: &Plan) -> Vec<usize> {
    let seen: HashSet<usize> = plan.owner.iter().copied().flatten().collect();
    let is_within =
        |shape: &Shape| shape.rectangles.iter().any(|rectangle| rectangle.within(model.extent).is_some());
    let hidden =
        model.plan.iter().enumerate().filter(|(index, shape)| !seen.contains(index) && is_within(shape));
    hidden.filter(|(_, shape)| !is_as_painted(model, plan, shape)).map(|(index, _)| index).collect()
}

/// True where everything that a shape painted is what it painted, by shapes that painted it once more.
fn is_as_painted(model: &Model, plan: &Plan, shape: &Shape) -> bool {
    let filling = match shape.paint {
        Paint::Solid(material) => Filling::Solid(material),
        Paint::Space(environment) => Filling::Space(environment),
    };
    let rectangles = || shape.rectangles.iter().filter_map(|rectangle| rectangle.within(model.extent));
    rectangles().all(|rectangle| {
        let [columns, rows] = [Axis::X, Axis::Y].map(|axis| {
            let (lines, span) = (if axis == Axis::X { &plan.xs } else { &plan.ys }, rectangle.along(axis));
            index_of(lines, span.from)..index_of(lines, span.to)
        });
        rows.into_iter().all(|j| columns.clone().all(|i| plan.at(i, j) == filling))
    })
}

fn warn_of_hidden_shapes(model: &Model, plan: &Plan, diagnostics: &mut Vec<Diagnostic>) {
    for index in hidden_shapes(model, plan) {
        let hint = "shapes are painted in order, later over earlier: move it further down, delete it, or look at the parameters that place them";
        let warning = Diagnostic::warning(model.plan[index].place, "later shapes hide this one completely");
        diagnostics.push(warning.hint(hint));
    }
}
