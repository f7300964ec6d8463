//! Axes, spans, rectangles, stretches along slopes, in metres.

/// Edges closer than this (m) are the same edge, written with different rounding.
pub const SAME_EDGE: f64 = 1e-9;
/// Lengths and cut-off planes closer than this (m) to where they belong are there.
pub const SAME_PLACE: f64 = 1e-6;

/// What is off an axis or square by no more than 3° (as a sine, a tangent or rad) counts as along it or square: roofs and
/// balconies have such a fall, which no thickness feels.
pub const FALL: f64 = 0.0524;

/// Metres as millimetres, for readers: to the micrometre, without what conversions leave in the last digits,
/// and never −0.
pub fn millimetres(metres: f64) -> f64 {
    (metres * 1e6).round() / 1e3 + 0.0
}

/// One of the two axes of the section plane: x to the right, y upwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// To the right.
    X,
    /// Upwards.
    Y,
}

impl Axis {
    /// The other axis.
    #[must_use]
    pub fn across(self) -> Self {
        match self {
            Self::X => Self::Y,
            Self::Y => Self::X,
        }
    }

    /// As a unit vector.
    pub fn direction(self) -> [f64; 2] {
        match self {
            Self::X => [1.0, 0.0],
            Self::Y => [0.0, 1.0],
        }
    }

    /// `x` or `y`.
    pub fn letter(self) -> &'static str {
        match self {
            Self::X => "x",
            Self::Y => "y",
        }
    }
}

/// A stretch along one axis, `from < to`, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Lower end.
    pub from: f64,
    /// Upper end.
    pub to: f64,
}

impl Span {
    /// Length, m.
    pub fn length(self) -> f64 {
        self.to - self.from
    }

    /// True if `value` lies within, ends included.
    pub fn contains(self, value: f64) -> bool {
        self.from <= value && value <= self.to
    }
}

/// A straight stretch between two points, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Where it begins.
    pub from: [f64; 2],
    /// Where it ends.
    pub to: [f64; 2],
}

impl Stretch {
    /// Length, m.
    pub fn length(self) -> f64 {
        libm::hypot(self.to[0] - self.from[0], self.to[1] - self.from[1])
    }

    /// From its first end to its second, of length 1.
    pub fn way(self) -> [f64; 2] {
        let length = self.length();
        [(self.to[0] - self.from[0]) / length, (self.to[1] - self.from[1]) / length]
    }

    /// The angle of its line against the x axis, from 0 to below 180°.
    pub fn degrees(self) -> f64 {
        let [x, y] = self.way();
        let angle = libm::atan2(y, x).to_degrees();
        if angle < 0.0 { angle + 180.0 } else { angle % 180.0 }
    }

    /// The sine of the angle between it and another.
    pub fn turn_to(self, other: Self) -> f64 {
        let ([a, b], [c, d]) = (self.way(), other.way());
        (a * d - b * c).abs()
    }

    /// The same turned by a right angle round its first end.
    #[must_use]
    pub fn square(self) -> Self {
        let [x, y] = [self.to[0] - self.from[0], self.to[1] - self.from[1]];
        Self { from: self.from, to: [self.from[0] - y, self.from[1] + x] }
    }

    /// m.
    pub fn middle(self) -> [f64; 2] {
        [f64::midpoint(self.from[0], self.to[0]), f64::midpoint(self.from[1], self.to[1])]
    }

    /// Its point that is nearest to another, m.
    pub fn nearest(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let ([from_x, from_y], [to_x, to_y]) = (self.from, self.to);
        let (dx, dy) = (to_x - from_x, to_y - from_y);
        let part = ((x - from_x) * dx + (y - from_y) * dy) / (dx * dx + dy * dy);
        let part = part.clamp(0.0, 1.0);
        [from_x + part * dx, from_y + part * dy]
    }

    /// From a point to its nearest one, m.
    pub fn distance(self, point: [f64; 2]) -> f64 {
        let [x, y] = self.nearest(point);
        libm::hypot(x - point[0], y - point[1])
    }

    /// From a point to the line that it is a part of, m.
    pub fn off_line(self, [x, y]: [f64; 2]) -> f64 {
        let ([dx, dy], [from_x, from_y]) = (self.way(), self.from);
        ((x - from_x) * dy - (y - from_y) * dx).abs()
    }

    /// What of an axis lies beside it.
    pub fn along(self, axis: Axis) -> Span {
        let [one, other] = [self.from, self.to].map(|end| end[usize::from(axis == Axis::Y)]);
        Span { from: one.min(other), to: one.max(other) }
    }

    /// The axis that it runs along, if it is off that by no more than `off`: the sine of the angle between.
    pub fn axis_within(self, off: f64) -> Option<Axis> {
        let [x, y] = self.way().map(f64::abs);
        if y <= off { Some(Axis::X) } else { (x <= off).then_some(Axis::Y) }
    }

    /// The same in a drawing that is turned.
    #[must_use]
    pub fn turned(self, turn: Turn) -> Self {
        Self { from: turn.onto(self.from), to: turn.onto(self.to) }
    }
}

/// The turn of a drawing, by 45° at most, that lays a slope along one of the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Where the turned drawing's x axis points to in the drawing; of length 1.
    x: [f64; 2],
}

impl Turn {
    /// None at all.
    pub const NONE: Self = Self { x: [1.0, 0.0] };

    /// The one that lays a way, of length 1, along the axis which is nearer.
    pub fn laying([x, y]: [f64; 2]) -> Self {
        let x_axis = if x.abs() >= y.abs() { [x, y] } else { [y, -x] };
        Self { x: if x_axis[0] < 0.0 { x_axis.map(|value| -value) } else { x_axis } }
    }

    /// Where a point of the drawing comes to lie.
    pub fn onto(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [cos, sin] = self.x;
        [x * cos + y * sin, y * cos - x * sin]
    }

    /// Where a point of the turned drawing lies in the drawing.
    pub fn back(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [cos, sin] = self.x;
        [x * cos - y * sin, y * cos + x * sin]
    }

    /// By how much the axes of two turned drawings are off each other: the sine of the angle between, whichever axes
    /// are nearest.
    pub fn off(self, other: Self) -> f64 {
        let ([a, b], [c, d]) = (self.x, other.x);
        (a * d - b * c).abs().min((a * c + b * d).abs())
    }
}

/// An axis-parallel rectangle, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rectangle {
    /// Extent along x.
    pub x: Span,
    /// Extent along y.
    pub y: Span,
}

impl Rectangle {
    /// What of it lies within another; none if that is no area. Open sides end at the other's.
    #[must_use]
    pub fn within(self, other: Self) -> Option<Self> {
        let side = |axis| {
            let (own, other): (Span, Span) = (self.along(axis), other.along(axis));
            let span = Span { from: own.from.max(other.from), to: own.to.min(other.to) };
            (span.length() > 0.0).then_some(span)
        };
        Some(Self { x: side(Axis::X)?, y: side(Axis::Y)? })
    }

    /// From left to right and from bottom to top.
    pub fn new([left, right]: [f64; 2], [bottom, top]: [f64; 2]) -> Self {
        Self { x: Span { from: left, to: right }, y: Span { from: bottom, to: top } }
    }

    /// From its extent along an axis, and across it.
    pub fn spanning(axis: Axis, along: Span, across: Span) -> Self {
        match axis {
            Axis::X => Self { x: along, y: across },
            Axis::Y => Self { x: across, y: along },
        }
    }

    /// Extent along an axis.
    pub fn along(self, axis: Axis) -> Span {
        match axis {
            Axis::X => self.x,
            Axis::Y => self.y,
        }
    }

    /// Its corners, anticlockwise from the lower left one.
    pub fn corners(self) -> [[f64; 2]; 4] {
        let Self { x, y } = self;
        [[x.from, y.from], [x.to, y.from], [x.to, y.to], [x.from, y.to]]
    }

    /// True if the point lies within, edges included.
    pub fn contains(self, x: f64, y: f64) -> bool {
        self.x.contains(x) && self.y.contains(y)
    }
}
