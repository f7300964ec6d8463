//! What the equations were set up on, and where the uncertainty of L2D sits.

use super::canvas::{Area, Canvas, Lettering, Pen};
use super::division::Division;
use super::font::Weight;
use super::frame::Frame;
use super::outline::draw_outlines;
use super::palette::{self, GREY, INK};
use super::plan_picture::captions;
use super::regions::Regions;
use super::view::{View, clipped_between};
use crate::result::Outcome;

/// Decades of the scale, from the darkest downwards.
const DECADES: i32 = 5;

/// Cells or triangles coloured by their part of the bracket's width, on a logarithmic scale; none where there is
/// no bracket.
pub fn draw(outcome: &Outcome, width: u32) -> Option<Canvas> {
    outcome.l2d?;
    let mismatch = outcome.mismatch();
    let total: f64 = mismatch.iter().sum();
    let division = Division::of(outcome);
    let heading = format!(
        "{}, and where the uncertainty of L2D comes from",
        division.name(outcome.computed.unknowns())
    );
    let mut frame = Frame::new(outcome, width, &heading, &captions(outcome));
    let regions = Regions::of(&outcome.plan);
    let (view, unit) = (frame.view, frame.unit);
    regions.draw_grounds(&mut frame.canvas, &view, &outcome.case.model, unit);
    // Where a bracket has no width but for rounding there is nothing to tell apart.
    let scale = if total > 1e-9 * outcome.l2d?.upper() { total } else { f64::INFINITY };
    shade(&mut frame.canvas, &view, &division, &mismatch, scale);
    for [from, to] in division.sides(&view, unit) {
        if let Some((from, to)) = clipped_between(view.shown, from, to) {
            frame.canvas.line(view.point(from), view.point(to), Pen::solid(GREY, 0.7 * unit));
        }
    }
    draw_outlines(&mut frame.canvas, &view, &outcome.plan, Pen::solid(INK, 1.6 * unit));
    legend(&mut frame, total, division.words());
    frame.overview(outcome.case.model.extent, |canvas, view| {
        regions.draw_grounds(canvas, view, &outcome.case.model, unit * 0.5);
        shade(canvas, view, &division, &mismatch, scale);
        regions.draw_slopes(canvas, view, Pen::solid(INK, 0.6 * unit));
    });
    frame.finish();
    Some(frame.canvas)
}

/// The place on the scale of a part of the whole: 1 for a tenth and more, 0 for 10⁻⁶ and less.
fn place(part: f64) -> f64 {
    ((libm::log10(part.max(1e-300)) + 1.0) / f64::from(DECADES) + 1.0).clamp(0.0, 1.0)
}

fn shade(canvas: &mut Canvas, view: &View, division: &Division<'_>, mismatch: &[f64], total: f64) {
    canvas.shade(view.area, |x, y| {
        let (x, y) = view.plan_point(x + 0.5, y + 0.5);
        let part = *mismatch.get(division.at(x, y)?)?;
        Some(palette::uncertainty(place(part / total)))
    });
}

fn legend(frame: &mut Frame, total: f64, [part, sides]: [&str; 2]) {
    let (unit, panel) = (frame.unit, frame.panel);
    let heading = Lettering { weight: Weight::Bold, ..frame.lettering(19.0, INK) };
    frame.canvas.text("Part of the bracket", (panel.left, panel.top + 20.0 * unit), heading);
    frame.canvas.text(&format!("in one {part}"), (panel.left, panel.top + 44.0 * unit), heading);
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
    frame.canvas.text(sides, (panel.left + 58.0 * unit, bar.bottom + 72.0 * unit), grey);
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
    }
}
