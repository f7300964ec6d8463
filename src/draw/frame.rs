//! What all pictures have in common: title, plan area with coordinates and scale bar, side panel, caption.

use super::canvas::{Anchor, Area, Canvas, Lettering, Pen};
use super::dimensions::{self, Dimensions};
use super::font::{self, Weight};
use super::legend::legend_height;
use super::palette::{GREY, INK, PALE, PAPER, Rgb};
use super::view::{View, detail, round_below};
use crate::geometry::{Axis, Rectangle, Span};
use crate::result::Outcome;

/// Lengths of the layout for a picture 1600 pixels wide; all scale with the width.
const PANEL: f32 = 440.0;
const EDGE: f32 = 36.0;
const TITLE: f32 = 112.0;
const TICKS: f32 = 74.0;
const CAPTION: f32 = 96.0;
const ROW: f32 = 40.0;
const TALLEST_PLOT: f32 = 1000.0;
const OVERVIEW: f32 = 230.0;

fn is_part(shown: Rectangle, whole: Rectangle) -> bool {
    shown.x.length() < whole.x.length() * 0.999 || shown.y.length() < whole.y.length() * 0.999
}

/// A picture under way.
pub struct Frame {
    /// The sheet.
    pub canvas: Canvas,
    /// Where the plan lies on it.
    pub view: View,
    /// The side panel.
    pub panel: Area,
    /// One unit of the layout, pixels.
    pub unit: f32,
    /// The dimension lines, for which space is kept.
    pub dimensions: Dimensions,
    /// True if only a part of the extent is shown.
    pub is_part: bool,
}

impl Frame {
    /// Lays out an empty picture. `heading` says what it shows, `captions` what follows from it.
    pub fn new(outcome: &Outcome, width: u32, heading: &str, captions: &[String]) -> Self {
        let unit = width as f32 / 1600.0;
        let shown = detail(&outcome.plan);
        let dimensions = dimensions::of(&outcome.case.model, &outcome.plan, shown);
        let (rows_right, rows_below) =
            (dimensions.rows(Axis::Y) as f32 * ROW, dimensions.rows(Axis::X) as f32 * ROW);
        let rows_below = if rows_below > 0.0 { rows_below + 20.0 } else { 0.0 };
        let left = (EDGE + TICKS) * unit;
        let right = width as f32 - (2.0 * EDGE + PANEL + rows_right) * unit;
        let top = TITLE * unit;
        let view = View::fit(shown, Area { left, top, right, bottom: top + TALLEST_PLOT * unit });
        let panel_left = view.area.right + (EDGE + rows_right) * unit;
        let shows_part = is_part(shown, outcome.case.model.extent);
        let overview = if shows_part { OVERVIEW + 60.0 } else { 0.0 };
        let panel_height = legend_height(outcome, dimensions.count()) + overview;
        let below_plot = view.area.bottom + (TICKS + rows_below) * unit;
        let height = below_plot.max(top + panel_height * unit) + CAPTION * unit;
        let panel =
            Area { left: panel_left, top, right: panel_left + PANEL * unit, bottom: height - CAPTION * unit };
        let canvas = Canvas::new((panel.right + EDGE * unit).ceil() as u32, height.ceil() as u32);
        let mut frame = Self { canvas, view, panel, unit, dimensions, is_part: shows_part };
        frame.headings(outcome, heading, captions);
        frame
    }

    /// Regular text of the given size in units.
    pub fn lettering(&self, size: f32, color: Rgb) -> Lettering {
        Lettering { size: size * self.unit, weight: Weight::Regular, color, rim: None, anchor: Anchor::Left }
    }

    fn headings(&mut self, outcome: &Outcome, heading: &str, captions: &[String]) {
        let room = self.canvas.width() as f32 - 2.0 * EDGE * self.unit;
        let fitted =
            |text: &str, size: f32, weight: Weight| size * (room / font::width(text, size, weight)).min(1.0);
        let left = EDGE * self.unit;
        let title = &outcome.case.title;
        let bold = Lettering { weight: Weight::Bold, ..self.lettering(30.0, INK) };
        let size = fitted(title, bold.size, Weight::Bold);
        self.canvas.text(title, (left, 48.0 * self.unit), Lettering { size, ..bold });
        let plain = self.lettering(21.0, GREY);
        let part = if self.is_part { " — the details; the plan goes on beyond the picture" } else { "" };
        let line = format!("{heading}{part}");
        let size = fitted(&line, plain.size, Weight::Regular);
        self.canvas.text(&line, (left, 84.0 * self.unit), Lettering { size, ..plain });
        for (index, caption) in captions.iter().take(2).enumerate() {
            let below = self.canvas.height() as f32 - (56.0 - 30.0 * index as f32) * self.unit;
            let lettering = self.lettering(21.0, INK);
            let size = fitted(caption, lettering.size, Weight::Regular);
            self.canvas.text(caption, (left, below), Lettering { size, ..lettering });
        }
    }

    /// Draws border, coordinates and scale bar; called last, over the plan.
    pub fn finish(&mut self) {
        let area = self.view.area;
        self.canvas.border(area, Pen::solid(INK, 1.6 * self.unit));
        self.ticks(Axis::X);
        self.ticks(Axis::Y);
        self.scale_bar();
    }

    fn ticks(&mut self, axis: Axis) {
        let span = self.view.shown.along(axis);
        let pixels = (span.length() * self.view.scale) as f32 / self.unit;
        let step = round_below(span.length() / f64::from((pixels / 110.0).clamp(1.0, 8.0)) * 1.999);
        let pen = Pen::solid(INK, 1.6 * self.unit);
        let (long, area, unit) = (9.0 * self.unit, self.view.area, self.unit);
        let mut tick = (span.from / step).ceil();
        while tick * step <= span.to + 1e-9 {
            let value = tick * step;
            let label = format!("{:.0}", value * 1e3 + 0.0);
            let lettering = self.lettering(17.0, GREY);
            match axis {
                Axis::X => {
                    let x = self.view.x(value);
                    self.canvas.line((x, area.bottom), (x, area.bottom + long), pen);
                    let lettering = Lettering { anchor: Anchor::Middle, ..lettering };
                    self.canvas.text(&label, (x, area.bottom + 28.0 * unit), lettering);
                }
                Axis::Y => {
                    let y = self.view.y(value);
                    self.canvas.line((area.left - long, y), (area.left, y), pen);
                    let lettering = Lettering { anchor: Anchor::Right, ..lettering };
                    self.canvas.text(&label, (area.left - 14.0 * unit, y + 6.0 * unit), lettering);
                }
            }
            tick += 1.0;
        }
        let name = Lettering { anchor: Anchor::Middle, ..self.lettering(17.0, GREY) };
        match axis {
            Axis::X => self.canvas.text(
                "x in mm",
                (f32::midpoint(area.left, area.right), area.bottom + 54.0 * unit),
                name,
            ),
            Axis::Y => self.canvas.text_upwards(
                "y in mm",
                (EDGE * 0.6 * unit, f32::midpoint(area.top, area.bottom)),
                name,
            ),
        }
    }

    /// A bar of round length in the lower left corner of the plan.
    fn scale_bar(&mut self) {
        let (area, unit) = (self.view.area, self.unit);
        let length = round_below(f64::from(area.width()) * 0.3 / self.view.scale);
        let pixels = (length * self.view.scale) as f32;
        let ground = Area {
            left: area.left + 12.0 * unit,
            right: area.left + 36.0 * unit + pixels.max(90.0 * unit),
            top: area.bottom - 58.0 * unit,
            bottom: area.bottom - 12.0 * unit,
        };
        self.canvas.fill(ground, PAPER);
        self.canvas.border(ground, Pen::solid(PALE, unit));
        let (left, y) = (ground.left + 12.0 * unit, ground.bottom - 12.0 * unit);
        let half = left + pixels / 2.0;
        let bar = |from: f32, to: f32| Area { left: from, right: to, top: y - 7.0 * unit, bottom: y };
        self.canvas.fill(bar(left, half), INK);
        self.canvas.border(bar(left, left + pixels), Pen::solid(INK, 1.4 * unit));
        let label = if length >= 1.0 { format!("{length} m") } else { format!("{:.0} mm", length * 1e3) };
        let lettering = self.lettering(17.0, INK);
        self.canvas.text(&label, (left, y - 14.0 * unit), lettering);
    }

    /// A small drawing of the whole extent with the shown part marked, at the lower end of the panel.
    pub fn overview(&mut self, extent: Rectangle, mut content: impl FnMut(&mut Canvas, &View)) {
        if !self.is_part {
            return;
        }
        let unit = self.unit;
        let size = OVERVIEW * unit;
        let area = Area {
            left: self.panel.left,
            top: self.panel.bottom - size,
            right: self.panel.left + size,
            bottom: self.panel.bottom,
        };
        let view = View::fit(extent, area);
        content(&mut self.canvas, &view);
        self.canvas.border(view.area, Pen::solid(INK, 1.4 * unit));
        let widen = |span: Span| {
            let least = f64::from(8.0 * unit) / view.scale;
            let middle = f64::midpoint(span.from, span.to);
            let half = span.length().max(least) / 2.0;
            Span { from: middle - half, to: middle + half }
        };
        let shown = self.view.shown;
        if let Some(marked) = view.visible(Rectangle { x: widen(shown.x), y: widen(shown.y) }) {
            self.canvas.border(marked, Pen::solid(PAPER, 6.0 * unit));
            self.canvas.border(marked, Pen::solid(INK, 2.4 * unit));
        }
        let label = format!(
            "Whole extent, {:.1} × {:.1} m; box: the part shown",
            extent.x.length(),
            extent.y.length()
        );
        let lettering = self.lettering(16.0, GREY);
        self.canvas.text(&label, (area.left, area.top - 10.0 * unit), lettering);
    }
}
