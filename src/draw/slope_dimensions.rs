//! Dimension lines of lengths along slopes: beside the element itself, on the side that is not solid.

use super::canvas::{Anchor, Area, Lettering, Pen};
use super::dimensions::{SIZE, side_of_air};
use super::font::{self, Weight};
use super::frame::Frame;
use super::palette::{INK, PAPER};
use super::tags::Placed;
use super::view::clipped_between;
use crate::geometry::Stretch;
use crate::plan::Plan;

/// Distance of the first line from its points, and of each further one from that, in units.
const OFFSET: f32 = 26.0;
const ROW: f32 = 34.0;
/// Lines on one side whose points lie nearer to each other across, m, may cover each other.
const BESIDE: f64 = 0.1;

/// The dimension line of a length between two points.
pub(super) struct SlopeDimension {
    points: Stretch,
    /// +1 if the line lies to the left of whoever goes from the first point to the second, else −1.
    side: f64,
    /// What stands at the line: its letter and length.
    label: String,
    /// What stands in the legend.
    pub(super) description: String,
    row: usize,
}

impl SlopeDimension {
    /// Of a length, in the first row in which it covers none of those that are known.
    pub(super) fn new(
        plan: &Plan,
        points: Stretch,
        label: String,
        description: String,
        known: &[Self],
    ) -> Self {
        let side = side_of_air(plan, points);
        let mut own = Self { points, side, label, description, row: 0 };
        while known.iter().any(|other| other.row == own.row && own.covers(other)) {
            own.row += 1;
        }
        own
    }

    /// True if the lines would cover each other in one row.
    fn covers(&self, other: &Self) -> bool {
        let way = self.points.way();
        let along = |[x, y]: [f64; 2]| x * way[0] + y * way[1];
        let across = |[x, y]: [f64; 2]| x * way[1] - y * way[0];
        let normal = |own: &Self| own.points.way().map(|part| part * own.side);
        let ([a, b], [c, d]) = (normal(self), normal(other));
        let is_like = a * c + b * d > 0.99;
        let [from, to] = [other.points.from, other.points.to].map(along);
        let (low, high) = (from.min(to), from.max(to));
        is_like
            && (across(self.points.from) - across(other.points.from)).abs() < BESIDE
            && along(self.points.from) < high
            && low < along(self.points.to)
    }

    /// The part of the line that can be seen, pixels, and whether it is cut at either end.
    fn line(&self, frame: &Frame) -> Option<Line> {
        let view = &frame.view;
        let [x, y] = self.points.way();
        let normal = [-y * self.side, x * self.side];
        let reach = f64::from((OFFSET + ROW * self.row as f32) * frame.unit) / view.scale;
        let moved = |point: [f64; 2]| (point[0] + reach * normal[0], point[1] + reach * normal[1]);
        let (from, to) = (moved(self.points.from), moved(self.points.to));
        let (start, end) = clipped_between(view.shown, from, to)?;
        let outwards = (normal[0] as f32, -normal[1] as f32);
        Some(Line {
            ends: [view.point(start), view.point(end)],
            is_cut: [start != from, end != to],
            outwards,
        })
    }
}

/// A line as it is drawn, pixels.
struct Line {
    ends: [(f32, f32); 2],
    is_cut: [bool; 2],
    /// Away from its points, of length 1.
    outwards: (f32, f32),
}

impl Line {
    fn middle(&self) -> (f32, f32) {
        let [from, to] = self.ends;
        (f32::midpoint(from.0, to.0), f32::midpoint(from.1, to.1))
    }

    /// Small boxes all along it.
    fn boxes(&self, unit: f32) -> impl Iterator<Item = Area> {
        let [from, to] = self.ends;
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let count = (libm::hypotf(dx, dy) / (12.0 * unit)).ceil().clamp(1.0, 400.0);
        (0..=count as u32).map(move |number| {
            let part = number as f32 / count;
            let (x, y) = (from.0 + part * dx, from.1 + part * dy);
            Area { left: x, right: x, top: y, bottom: y }.grown(3.0 * unit)
        })
    }

    /// By how much a label that is read from left to right is turned clockwise, degrees.
    fn degrees(&self) -> f32 {
        let [from, to] = self.ends;
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let (dx, dy) = if dx < 0.0 { (-dx, -dy) } else { (dx, dy) };
        libm::atan2f(dy, dx).to_degrees()
    }

    /// True if the line's far side is what a reader of the label calls below.
    fn is_below(&self) -> bool {
        let turn = self.degrees().to_radians();
        self.outwards.1 * libm::cosf(turn) - self.outwards.0 * libm::sinf(turn) > 0.0
    }

    /// Round its label.
    fn label(&self, width: f32, unit: f32) -> Area {
        let (x, y) = self.middle();
        let (x, y) = (x + 14.0 * unit * self.outwards.0, y + 14.0 * unit * self.outwards.1);
        let turn = self.degrees().to_radians();
        let (cos, sin) = (libm::cosf(turn).abs(), libm::sinf(turn).abs());
        let (half, high) = (0.5 * width + 4.0 * unit, 14.0 * unit);
        let (right, down) = (half * cos + high * sin, half * sin + high * cos);
        Area { left: x - right, right: x + right, top: y - down, bottom: y + down }
    }
}

/// Keeps other labels off the lines and theirs.
pub(super) fn take(frame: &Frame, placed: &mut Placed) {
    for dimension in frame.dimensions.on_slopes() {
        if let Some(line) = dimension.line(frame) {
            let width = font::width(&dimension.label, SIZE * frame.unit, Weight::Regular);
            placed.take(line.label(width, frame.unit));
            line.boxes(frame.unit).for_each(|area| placed.take(area));
        }
    }
}

/// Draws the lines, each with its ends joined to its points.
pub(super) fn draw(frame: &mut Frame, dimensions: &[SlopeDimension]) {
    let unit = frame.unit;
    for dimension in dimensions {
        let Some(line) = dimension.line(frame) else { continue };
        let points = [dimension.points.from, dimension.points.to];
        for ((at, is_cut), point) in line.ends.iter().zip(line.is_cut).zip(points) {
            if is_cut {
                continue;
            }
            let point = frame.view.point((point[0], point[1]));
            frame.canvas.line(point, *at, Pen::solid(PAPER, 3.0 * unit));
            frame.canvas.line(point, *at, Pen::solid(INK, unit));
        }
        let [start, end] = line.ends;
        frame.canvas.line(start, end, Pen::solid(PAPER, 4.0 * unit));
        frame.canvas.line(start, end, Pen::solid(INK, 1.4 * unit));
        for (at, is_cut) in line.ends.iter().zip(line.is_cut) {
            if !is_cut {
                let turn = (line.degrees() - 45.0).to_radians();
                let (x, y) = (8.5 * unit * libm::cosf(turn), 8.5 * unit * libm::sinf(turn));
                frame.canvas.line((at.0 - x, at.1 - y), (at.0 + x, at.1 + y), Pen::solid(INK, 2.0 * unit));
            }
        }
        let below = if line.is_below() { 20.0 } else { -7.0 } * unit;
        let lettering = Lettering { anchor: Anchor::Middle, rim: Some(PAPER), ..frame.lettering(SIZE, INK) };
        frame.canvas.text_turned(&dimension.label, line.middle(), below, line.degrees(), lettering);
    }
}
