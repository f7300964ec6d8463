//! The plan's regions and their outlines.

use super::canvas::{Area, Canvas, Pen};
use super::palette::{EXTERNAL, INTERNAL, PALE, PAPER, Rgb, UNHEATED};
use super::view::View;
use crate::geometry::{Axis, Rectangle, Span};
use crate::model::{Model, Role};
use crate::plan::{Filling, Plan};

/// The plan as few rectangles of one filling each: runs along x, joined along y where they have the same
/// ends.
pub fn regions(plan: &Plan) -> Vec<(Filling, Rectangle)> {
    let mut done: Vec<(Filling, Rectangle)> = Vec::new();
    let mut growing: Vec<(Filling, Rectangle)> = Vec::new();
    for j in 0..plan.rows() {
        let mut row = Vec::new();
        let mut i = 0;
        while i < plan.columns() {
            let filling = plan.at(i, j);
            let start = i;
            while i < plan.columns() && plan.at(i, j) == filling {
                i += 1;
            }
            let x = Span { from: plan.xs[start], to: plan.xs[i] };
            let y = Span { from: plan.ys[j], to: plan.ys[j + 1] };
            match growing.iter().position(|(other, below)| *other == filling && below.x == x) {
                Some(index) => {
                    let (_, below) = growing.swap_remove(index);
                    row.push((filling, Rectangle { x, y: Span { from: below.y.from, to: y.to } }));
                }
                None => row.push((filling, Rectangle { x, y })),
            }
        }
        done.append(&mut growing);
        growing = row;
    }
    done.append(&mut growing);
    done
}

/// The ground colour of an environment.
pub fn ground(role: Role) -> Rgb {
    match role {
        Role::Internal => INTERNAL,
        Role::External => EXTERNAL,
        Role::Unheated => UNHEATED,
    }
}

/// Fills the regions that are no solids: environments with their ground, nothing with a hatch.
pub fn draw_grounds(
    canvas: &mut Canvas,
    view: &View,
    model: &Model,
    regions: &[(Filling, Rectangle)],
    unit: f32,
) {
    for (filling, rectangle) in regions {
        let Some(area) = view.visible(*rectangle) else { continue };
        match filling {
            Filling::Space(environment) => {
                canvas.fill(on_pixels(area), ground(model.environments[*environment].role));
            }
            Filling::Nothing => hatch(canvas, area, unit),
            Filling::Solid(_) => {}
        }
    }
}

/// Fine rising lines on paper.
fn hatch(canvas: &mut Canvas, area: Area, unit: f32) {
    canvas.fill(on_pixels(area), PAPER);
    let step = 14.0 * unit;
    // Lines x + y = c, anchored to the canvas so that neighbouring areas join.
    let mut c = ((area.left + area.top) / step).ceil() * step;
    while c < area.right + area.bottom {
        let from = (area.left.max(c - area.bottom), 0.0);
        let to = (area.right.min(c - area.top), 0.0);
        if from.0 < to.0 {
            canvas.line((from.0, c - from.0), (to.0, c - to.0), Pen::solid(PALE, unit));
        }
        c += step;
    }
}

/// Draws every line between different fillings, except between nothing and a space.
pub fn draw_outlines(canvas: &mut Canvas, view: &View, plan: &Plan, pen: Pen) {
    draw_lines_between(canvas, view, plan, pen, |low, high| {
        low != high && (low.is_solid() || high.is_solid())
    });
}

/// Draws the lines between fillings of which `is_meant` says so.
pub fn draw_lines_between(
    canvas: &mut Canvas,
    view: &View,
    plan: &Plan,
    pen: Pen,
    is_meant: impl Fn(Filling, Filling) -> bool,
) {
    for normal in [Axis::X, Axis::Y] {
        let (lines, lanes) = match normal {
            Axis::X => (plan.columns(), plan.rows()),
            Axis::Y => (plan.rows(), plan.columns()),
        };
        for line in 1..lines {
            let mut start = None;
            for lane in 0..=lanes {
                let differs = lane < lanes && {
                    let (i, j) = if normal == Axis::X { (line, lane) } else { (lane, line) };
                    let (low, high) = plan.beside_face(normal, i, j);
                    is_meant(low, high)
                };
                match (differs, start) {
                    (true, None) => start = Some(lane),
                    (false, Some(from)) => {
                        draw_line(canvas, view, plan, normal, line, (from, lane), pen);
                        start = None;
                    }
                    _ => {}
                }
            }
        }
    }
}

fn draw_line(
    canvas: &mut Canvas,
    view: &View,
    plan: &Plan,
    normal: Axis,
    line: usize,
    (from, to): (usize, usize),
    pen: Pen,
) {
    let area = view.area;
    match normal {
        Axis::X => {
            let x = view.x(plan.xs[line]);
            let (top, bottom) = (view.y(plan.ys[to]).max(area.top), view.y(plan.ys[from]).min(area.bottom));
            if (area.left..=area.right).contains(&x) && top < bottom {
                canvas.line((x, top), (x, bottom), pen);
            }
        }
        Axis::Y => {
            let y = view.y(plan.ys[line]);
            let (left, right) = (view.x(plan.xs[from]).max(area.left), view.x(plan.xs[to]).min(area.right));
            if (area.top..=area.bottom).contains(&y) && left < right {
                canvas.line((left, y), (right, y), pen);
            }
        }
    }
}

/// The area with its edges on whole pixels, so that neighbours meet without a seam.
pub fn on_pixels(area: Area) -> Area {
    Area {
        left: area.left.round(),
        top: area.top.round(),
        right: area.right.round(),
        bottom: area.bottom.round(),
    }
}

/// An area at least `least` pixels thick around the same middle.
pub fn thickened(area: Area, least: f32) -> Area {
    let grow = |from: f32, to: f32| {
        let lack = ((least - (to - from)) / 2.0).max(0.0);
        (from - lack, to + lack)
    };
    let ((left, right), (top, bottom)) = (grow(area.left, area.right), grow(area.top, area.bottom));
    Area { left, top, right, bottom }
}
