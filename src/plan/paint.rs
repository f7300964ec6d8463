//! Painting: shapes in order, later over earlier.

use std::collections::HashSet;

use super::edges::{polygons_of, strokes_of};
use super::lines::{index_of, merge};
use super::{Drawn, Filling, Plan, Raster};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Rectangle};
use crate::model::{Model, Polygon, Shape};
use crate::polygons::{self, Arrangement, Drawing, Stroke};
use crate::text::Place;

/// A raster beyond this is not a junction that somebody drew.
const MOST_CELLS: usize = 60_000;

pub fn paint(model: &Model, diagnostics: &mut Vec<Diagnostic>) -> Option<Raster> {
    let clipped: Vec<Vec<Rectangle>> = model
        .plan
        .iter()
        .map(|shape| {
            shape.area.rectangles().iter().filter_map(|rectangle| rectangle.within(model.extent)).collect()
        })
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
        for within in rule.within.rectangles().iter().filter_map(|area| area.within(model.extent)) {
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
    let mut plan = Raster { filling: vec![Filling::Nothing; cells], owner: vec![None; cells], xs, ys };
    let columns = plan.columns();
    for (number, (shape, rectangles)) in model.plan.iter().zip(&clipped).enumerate() {
        let filling = Filling::from(shape.paint);
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
    Some(plan)
}

/// Shapes within the extent of which nothing can be seen, by index.
pub fn hidden_shapes(model: &Model, plan: &Plan) -> Vec<usize> {
    match &plan.drawn {
        Drawn::Raster(raster) => hidden_in_raster(model, raster),
        Drawn::Edges(edges) => {
            let mut seen = edges.is_seen().iter();
            let is_hidden = |shape: &Shape| {
                let own: Vec<bool> = seen.by_ref().take(strokes_of(model, shape)).copied().collect();
                !own.is_empty() && !own.contains(&true) && !is_outside(model, shape)
            };
            let hidden: Vec<bool> = model.plan.iter().map(is_hidden).collect();
            (0..hidden.len()).filter(|index| hidden[*index]).collect()
        }
    }
}

/// True for a shape of which nothing lies within the extent.
fn is_outside(model: &Model, shape: &Shape) -> bool {
    if shape.area.bounds().within(model.extent).is_none() {
        return true;
    }
    let Some(border) = &model.border else { return false };
    // Painted alone, it is seen or it is not.
    let stroke = |polygon: Polygon| Stroke {
        filling: polygons::Filling::Solid(0),
        outline: polygon.outline,
        holes: polygon.holes,
    };
    let strokes = polygons_of(model, &shape.area).into_iter().map(stroke).collect();
    let alone = Arrangement::of(&Drawing { strokes, extent: border.clone(), cuts: Vec::new() });
    alone.is_ok_and(|alone| !alone.is_seen.contains(&true))
}

/// A warning for each polygon that lies outside the extent.
pub(super) fn warn_of_shapes_outside(model: &Model, diagnostics: &mut Vec<Diagnostic>) {
    for shape in model.plan.iter().filter(|shape| is_outside(model, shape)) {
        diagnostics.push(Diagnostic::warning(shape.place, "this shape lies outside the extent"));
    }
}

fn hidden_in_raster(model: &Model, plan: &Raster) -> Vec<usize> {
    let seen: HashSet<usize> = plan.owner.iter().copied().flatten().collect();
    let is_within = |shape: &Shape| {
        shape.area.rectangles().iter().any(|rectangle| rectangle.within(model.extent).is_some())
    };
    let hidden =
        model.plan.iter().enumerate().filter(|(index, shape)| !seen.contains(index) && is_within(shape));
    hidden.filter(|(_, shape)| !is_as_painted(model, plan, shape)).map(|(index, _)| index).collect()
}

/// True where everything that a shape painted is what it painted, by shapes that painted it once more.
fn is_as_painted(model: &Model, plan: &Raster, shape: &Shape) -> bool {
    let filling = Filling::from(shape.paint);
    let rectangles = || shape.area.rectangles().iter().filter_map(|rectangle| rectangle.within(model.extent));
    rectangles().all(|rectangle| {
        let [columns, rows] = [Axis::X, Axis::Y].map(|axis| {
            let (lines, span) = (if axis == Axis::X { &plan.xs } else { &plan.ys }, rectangle.along(axis));
            index_of(lines, span.from)..index_of(lines, span.to)
        });
        rows.into_iter().all(|j| columns.clone().all(|i| plan.at(i, j) == filling))
    })
}

pub(super) fn warn_of_hidden_shapes(model: &Model, plan: &Plan, diagnostics: &mut Vec<Diagnostic>) {
    for index in hidden_shapes(model, plan) {
        let hint = "shapes are painted in order, later over earlier: move it further down, delete it, or look at the parameters that place them";
        let warning = Diagnostic::warning(model.plan[index].place, "later shapes hide this one completely");
        diagnostics.push(warning.hint(hint));
    }
}
