//! Which part of a plan a picture shows, and where its points fall on the canvas.

use super::canvas::Area;
use crate::geometry::{Axis, Rectangle, Span};
use crate::plan::Plan;

/// Around the details some of the undisturbed elements is shown, m.
const LEAST_MARGIN: f64 = 0.35;
/// A plan this many times as long as its details is shown in part.
const MUCH_LARGER: f64 = 2.2;
/// A part shown is at least this much as long on its shorter side as on its longer one.
const LEAST_ASPECT: f64 = 0.7;

/// The rectangle worth showing: the whole extent, or the surroundings of the details where those would be
/// lost in it.
pub fn detail(plan: &Plan) -> Rectangle {
    let whole = Rectangle { x: ends(&plan.xs), y: ends(&plan.ys) };
    let close = Rectangle { x: inner(&plan.xs), y: inner(&plan.ys) };
    let much_larger =
        |axis: Axis| whole.along(axis).length() > MUCH_LARGER * close.along(axis).length().max(0.7);
    if !much_larger(Axis::X) && !much_larger(Axis::Y) {
        return whole;
    }
    let least = LEAST_ASPECT * close.x.length().max(close.y.length());
    Rectangle { x: widened(close.x, least, whole.x), y: widened(close.y, least, whole.y) }
}

/// A span around the same middle, at least `least` long, as far as `whole` allows.
fn widened(span: Span, least: f64, whole: Span) -> Span {
    let lack = ((least - span.length()) / 2.0).max(0.0);
    let from = (span.from - lack).max(whole.from);
    Span { from, to: (from + span.length() + 2.0 * lack).min(whole.to) }
}

fn ends(lines: &[f64]) -> Span {
    Span { from: lines[0], to: lines[lines.len() - 1] }
}

/// From the second to the last but one line, with a margin. Lines that stand far apart from all others (the
/// cut-off planes of the ground, say) count as outer ones too.
fn inner(lines: &[f64]) -> Span {
    let whole = ends(lines);
    let inner = &lines[1..lines.len() - 1];
    let (Some(first), Some(last)) = (inner.first(), inner.last()) else { return whole };
    let margin = ((last - first) * 0.25).max(LEAST_MARGIN);
    Span { from: (first - margin).max(whole.from), to: (last + margin).min(whole.to) }
}

/// A rectangle of the plan laid out on a box of the canvas, at the same scale in both directions.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// What is shown, m.
    pub shown: Rectangle,
    /// Where, pixels.
    pub area: Area,
    /// Pixels per metre.
    pub scale: f64,
}

impl View {
    /// Fits a rectangle into a box, its upper left corners together; the view's area is the part of the box
    /// used.
    pub fn fit(shown: Rectangle, into: Area) -> Self {
        let scale =
            (f64::from(into.width()) / shown.x.length()).min(f64::from(into.height()) / shown.y.length());
        let right = into.left + (shown.x.length() * scale) as f32;
        let bottom = into.top + (shown.y.length() * scale) as f32;
        Self { shown, area: Area { right, bottom, ..into }, scale }
    }

    /// Pixel position of x.
    pub fn x(&self, x: f64) -> f32 {
        self.area.left + ((x - self.shown.x.from) * self.scale) as f32
    }

    /// Pixel position of y.
    pub fn y(&self, y: f64) -> f32 {
        self.area.top + ((self.shown.y.to - y) * self.scale) as f32
    }

    /// Pixel position of a point.
    pub fn point(&self, (x, y): (f64, f64)) -> (f32, f32) {
        (self.x(x), self.y(y))
    }

    /// The visible part of a rectangle, pixels; `None` if nothing of it is visible.
    pub fn visible(&self, rectangle: Rectangle) -> Option<Area> {
        let area = Area {
            left: self.x(rectangle.x.from).max(self.area.left),
            right: self.x(rectangle.x.to).min(self.area.right),
            top: self.y(rectangle.y.to).max(self.area.top),
            bottom: self.y(rectangle.y.from).min(self.area.bottom),
        };
        (area.left < area.right && area.top < area.bottom).then_some(area)
    }

    /// The point of the plan at a pixel position, m.
    pub fn plan_point(&self, x: f32, y: f32) -> (f64, f64) {
        let right = f64::from(x - self.area.left) / self.scale;
        let down = f64::from(y - self.area.top) / self.scale;
        (self.shown.x.from + right, self.shown.y.to - down)
    }
}

/// A round number (1, 2 or 5 times a power of ten) near `value` or just below it.
pub fn round_below(value: f64) -> f64 {
    let power = libm::pow(10.0, libm::log10(value).floor());
    let factor = value / power;
    let round = if factor >= 5.0 {
        5.0
    } else if factor >= 2.0 {
        2.0
    } else {
        1.0
    };
    round * power
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn round_numbers() {
        assert_eq!(round_below(0.37), 0.2);
        assert_eq!(round_below(7.0), 5.0);
        assert_eq!(round_below(1000.0), 1000.0);
    }

    #[test]
    fn a_view_maps_back_and_forth() {
        let shown = Rectangle { x: Span { from: -1.0, to: 1.0 }, y: Span { from: 0.0, to: 0.5 } };
        let view = View::fit(shown, Area { left: 10.0, top: 20.0, right: 410.0, bottom: 420.0 });
        assert_eq!(view.point((-1.0, 0.5)), (10.0, 20.0));
        assert_eq!(view.point((1.0, 0.0)), (410.0, 120.0));
        let (x, y) = view.plan_point(210.0, 70.0);
        assert!(x.abs() < 1e-9 && (y - 0.25).abs() < 1e-9);
    }
}
