//! Which part of a plan a picture shows, and where its points fall on the canvas.

use super::canvas::Area;
use super::chains::Point;
use crate::geometry::{Axis, Rectangle, SAME_PLACE, Span};
use crate::plan::{Drawn, Plan};

/// Around the details some of the undisturbed elements is shown, m.
const LEAST_MARGIN: f64 = 0.35;
/// A plan this many times as long as its details is shown in part.
const MUCH_LARGER: f64 = 2.2;
/// A part shown is at least this much as long on its shorter side as on its longer one.
const LEAST_ASPECT: f64 = 0.7;

/// The rectangle worth showing: the whole extent, or the surroundings of the details where those would be
/// lost in it.
pub fn detail(plan: &Plan) -> Rectangle {
    let whole = Rectangle { x: ends(plan.lines(Axis::X)), y: ends(plan.lines(Axis::Y)) };
    let close = match &plan.drawn {
        Drawn::Raster(raster) => Rectangle { x: inner(&raster.xs), y: inner(&raster.ys) },
        Drawn::Edges(_) => surroundings(plan, whole),
    };
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
    match &lines[1..lines.len() - 1] {
        [first, .., last] => with_margin(*first, *last, whole),
        [only] => with_margin(*only, *only, whole),
        [] => whole,
    }
}

fn with_margin(first: f64, last: f64, whole: Span) -> Span {
    let margin = ((last - first) * 0.25).max(LEAST_MARGIN);
    Span { from: (first - margin).max(whole.from), to: (last + margin).min(whole.to) }
}

/// Round the level and the upright edges and the corners within the extent, with a margin: where layers that
/// slope end at the extent is no detail.
fn surroundings(plan: &Plan, whole: Rectangle) -> Rectangle {
    let edges = plan.edges();
    let span = |axis: usize, whole: Span, across: Span| {
        let lies = |span: Span, value: f64| span.from + SAME_PLACE < value && value < span.to - SAME_PLACE;
        let (mut first, mut last) = (f64::INFINITY, f64::NEG_INFINITY);
        for [from, to] in edges.iter().map(|edge| edge.ends) {
            let is_straight = (from[axis] - to[axis]).abs() < SAME_PLACE;
            for end in [from, to] {
                if lies(whole, end[axis]) && (is_straight || lies(across, end[1 - axis])) {
                    (first, last) = (first.min(end[axis]), last.max(end[axis]));
                }
            }
        }
        if first <= last { with_margin(first, last, whole) } else { whole }
    };
    Rectangle { x: span(0, whole.x, whole.y), y: span(1, whole.y, whole.x) }
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

/// What of a line lies within a rectangle, in as many pieces as it takes.
pub fn clipped(within: Rectangle, line: &[Point]) -> Vec<Vec<Point>> {
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    for ends in line.windows(2) {
        let Some((from, to)) = clipped_between(within, ends[0], ends[1]) else { continue };
        match pieces.last_mut() {
            Some(piece) if piece.last() == Some(&from) => piece.push(to),
            _ => pieces.push(vec![from, to]),
        }
    }
    pieces
}

/// What of an area within a closed line lies within a rectangle, as a closed line that may run along its sides
/// (the method of Sutherland and Hodgman).
pub fn clipped_polygon(within: Rectangle, line: &[Point]) -> Vec<Point> {
    let mut kept: Vec<[f64; 2]> = line.iter().map(|(x, y)| [*x, *y]).collect();
    for (axis, bound, sign) in
        [(0, within.x.from, 1.0), (0, within.x.to, -1.0), (1, within.y.from, 1.0), (1, within.y.to, -1.0)]
    {
        let room = |point: &[f64; 2]| sign * (point[axis] - bound);
        let mut next = Vec::with_capacity(kept.len() + 4);
        for (number, to) in kept.iter().enumerate() {
            let from = &kept[(number + kept.len() - 1) % kept.len()];
            if (room(from) < 0.0) != (room(to) < 0.0) {
                let part = room(from) / (room(from) - room(to));
                let mut crossing = [0, 1].map(|axis| from[axis] + part * (to[axis] - from[axis]));
                crossing[axis] = bound;
                next.push(crossing);
            }
            if room(to) >= 0.0 {
                next.push(*to);
            }
        }
        kept = next;
    }
    kept.into_iter().map(|[x, y]| (x, y)).collect()
}

/// The part of a straight line within a rectangle (the method of Liang and Barsky).
pub fn clipped_between(within: Rectangle, from: Point, to: Point) -> Option<(Point, Point)> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, room) in [
        (-dx, from.0 - within.x.from),
        (dx, within.x.to - from.0),
        (-dy, from.1 - within.y.from),
        (dy, within.y.to - from.1),
    ] {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            enter = enter.max(room / step);
        } else {
            leave = leave.min(room / step);
        }
    }
    let at = |part: f64| {
        if part == 0.0 {
            from
        } else if part == 1.0 {
            to
        } else {
            (from.0 + dx * part, from.1 + dy * part)
        }
    };
    (enter < leave).then(|| (at(enter), at(leave)))
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
