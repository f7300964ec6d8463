//! The grid, and where the uncertainty of L2D sits.

use super::canvas::{Area, Canvas, Lettering, Pen};
use super::font::Weight;
use super::frame::Frame;
use super::outline::{draw_grounds, draw_outlines, regions};
use super::palette::{self, GREY, INK};
use super::plan_picture::captions;
use super::view::View;
use crate::plan::interval;
use crate::result::Outcome;

/// Decades of the scale, from the darkest downwards.
const DECADES: i32 = 5;

/// Cells coloured by their part of the bracket's width, on a logarithmic scale; none where there is no
/// bracket.
pub fn draw(outcome: &Outcome, width: u32) -> Option<Canvas> {
    outcome.l2d?;
    let mismatch = outcome.mismatch_by_cell();
    let total: f64 = mismatch.iter().sum();
    let heading = format!(
        "Computing grid of {} unknowns, and where the uncertainty of L2D comes from",
        outcome.heat_loss.conduction.unknowns
    );
    let mut frame = Frame::new(outcome, width, &heading, &captions(outcome));
    let regions = regions(&outcome.plan);
    let (view, unit) = (frame.view, frame.unit);
    draw_grounds(&mut frame.canvas, &view, &outcome.case.model, &regions, unit);
    // Where a bracket has no width but for rounding there is nothing to tell apart.
    let scale = if total > 1e-9 * outcome.l2d?.upper() { total } else { f64::INFINITY };
    shade(&mut frame.canvas, &view, outcome, &mismatch, scale);
    grid_lines(&mut frame.canvas, &view, outcome, unit);
    draw_outlines(&mut frame.canvas, &view, &outcome.plan, Pen::solid(INK, 1.6 * unit));
    legend(&mut frame, total);
    frame.overview(outcome.case.model.extent, |canvas, view| {
        draw_grounds(canvas, view, &outcome.case.model, &regions, unit * 0.5);
        shade(canvas, view, outcome, &mismatch, scale);
    });
    frame.finish();
    Some(frame.canvas)
}

/// The place on the scale of a cell's part of the whole: 1 for a tenth and more, 0 for 10⁻⁶ and less.
fn place(part: f64) -> f64 {
    ((libm::log10(part.max(1e-300)) + 1.0) / f64::from(DECADES) + 1.0).clamp(0.0, 1.0)
}

fn shade(canvas: &mut Canvas, view: &View, outcome: &Outcome, mismatch: &[f64], total: f64) {
    let grid = &outcome.grid;
    let columns = grid.vertex_columns() - 1;
    canvas.shade(view.area, |x, y| {
        let (x, y) = view.plan_point(x + 0.5, y + 0.5);
        let (i, j) = (interval(&grid.x.positions, x)?, interval(&grid.y.positions, y)?);
        if !grid.filling(&outcome.plan, i, j).is_solid() {
            return None;
        }
        Some(palette::uncertainty(place(mismatch[j * columns + i] / total)))
    });
}

/// The sides of solid cells; where lines lie closer than a few pixels they would only blacken the picture, so
/// some are left out.
fn grid_lines(canvas: &mut Canvas, view: &View, outcome: &Outcome, unit: f32) {
    let grid = &outcome.grid;
    let (xs, ys) = (&grid.x.positions, &grid.y.positions);
    let pen = Pen::solid(GREY, 0.7 * unit);
    let sparse = |positions: &[f64], at: &dyn Fn(f64) -> f32| -> Vec<usize> {
        let mut shown = Vec::new();
        let mut last = f32::NEG_INFINITY;
        for (index, position) in positions.iter().enumerate() {
            if (at(*position) - last).abs() >= 3.0 * unit {
                last = at(*position);
                shown.push(index);
            }
        }
        shown
    };
    let is_solid = |i: Option<usize>, j: Option<usize>| {
        i.zip(j).is_some_and(|(i, j)| {
            i + 1 < xs.len() && j + 1 < ys.len() && grid.filling(&outcome.plan, i, j).is_solid()
        })
    };
    // Runs of sides along one line are drawn as one.
    for i in sparse(xs, &|x| view.x(x))
        .into_iter()
        .filter(|i| (view.shown.x.from..=view.shown.x.to).contains(&xs[*i]))
    {
        let beside = |j: usize| is_solid(i.checked_sub(1), Some(j)) || is_solid(Some(i), Some(j));
        for (from, to) in runs(ys.len() - 1, beside) {
            let (low, high) = (ys[from].max(view.shown.y.from), ys[to].min(view.shown.y.to));
            if low < high {
                canvas.line(view.point((xs[i], low)), view.point((xs[i], high)), pen);
            }
        }
    }
    for j in sparse(ys, &|y| view.y(y))
        .into_iter()
        .filter(|j| (view.shown.y.from..=view.shown.y.to).contains(&ys[*j]))
    {
        let beside = |i: usize| is_solid(Some(i), j.checked_sub(1)) || is_solid(Some(i), Some(j));
        for (from, to) in runs(xs.len() - 1, beside) {
            let (low, high) = (xs[from].max(view.shown.x.from), xs[to].min(view.shown.x.to));
            if low < high {
                canvas.line(view.point((low, ys[j])), view.point((high, ys[j])), pen);
            }
        }
    }
}

/// The unbroken runs of indices below `count` that `holds`, as first and one past the last.
fn runs(count: usize, holds: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for index in (0..count).filter(|index| holds(*index)) {
        match runs.last_mut() {
            Some(last) if last.1 == index => last.1 = index + 1,
            _ => runs.push((index, index + 1)),
        }
    }
    runs
}

fn legend(frame: &mut Frame, total: f64) {
    let (unit, panel) = (frame.unit, frame.panel);
    let heading = Lettering { weight: Weight::Bold, ..frame.lettering(19.0, INK) };
    frame.canvas.text("Part of the bracket", (panel.left, panel.top + 20.0 * unit), heading);
    frame.canvas.text("in one cell", (panel.left, panel.top + 44.0 * unit), heading);
    let space_below = if frame.is_part { 430.0 } else { 170.0 };
    let top = panel.top + 68.0 * unit;
    let bottom = (panel.bottom - space_below * unit).min(top + 440.0 * unit);
    let bar = Area { left: panel.left, right: panel.left + 46.0 * unit, top, bottom };
    frame.canvas.shade(bar, |_, y| Some(palette::uncertainty(f64::from((bar.bottom - y) / bar.height()))));
    frame.canvas.border(bar, Pen::solid(INK, 1.4 * unit));
    let text = frame.lettering(18.0, INK);
    let labels = ["10 % and more", "1 %", "0.1 %", "0.01 %", "0.001 %", "0.0001 % and less"];
    for (index, label) in labels.iter().enumerate() {
        let y = bar.top + bar.height() * index as f32 / DECADES as f32;
        frame.canvas.line((bar.right, y), (bar.right + 8.0 * unit, y), Pen::solid(INK, 1.4 * unit));
        frame.canvas.text(label, (bar.right + 14.0 * unit, y + 6.0 * unit), text);
    }
    let grey = frame.lettering(17.0, GREY);
    let width = format!("Whole width {}", scientific(total));
    frame.canvas.text(&width, (panel.left, bar.bottom + 40.0 * unit), grey);
    frame.canvas.line(
        (panel.left, bar.bottom + 66.0 * unit),
        (panel.left + 46.0 * unit, bar.bottom + 66.0 * unit),
        Pen::solid(GREY, unit),
    );
    frame.canvas.text("lines of the grid", (panel.left + 58.0 * unit, bar.bottom + 72.0 * unit), grey);
}

fn scientific(total: f64) -> String {
    if total < 5e-7 { "0 W/(m·K), but for rounding".to_owned() } else { format!("{total:.6} W/(m·K)") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_covers_five_decades() {
        assert_eq!(place(0.1), 1.0);
        assert_eq!(place(1.0), 1.0);
        assert!((place(1e-3) - 0.6).abs() < 1e-9);
        assert_eq!(place(0.0), 0.0);
        assert_eq!(runs(6, |index| index != 2 && index != 5), [(0, 2), (3, 5)]);
    }
}
