//! Axes, spans and rectangles, in metres.

/// Edges closer than this (m) are the same edge, written with different rounding.
pub const SAME_EDGE: f64 = 1e-9;
/// Lengths and cut-off planes closer than this (m) to where they belong are there.
pub const SAME_PLACE: f64 = 1e-6;

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
