//! Rows of layers at any angle: a line, which is the first face, with the layers to its left.
//!
//! With u along the line and n to its left, the face at a distance d from the line runs between the corners
//!
//! ```text
//! square     p + d·n                  p: an end of the line
//! plumb      p + d/n_y·(0, 1)         straight up or down from p
//! level      p + d/n_x·(1, 0)
//! ```
//!
//! An end so moves along the line by d times 0, u_y/n_y or u_x/n_x, and a face is as long as the line and what both
//! ends move. Each face is worked out once: the layers on either side of it have the same corners bit for bit.

use crate::geometry::{Axis, SAME_EDGE};

/// The first face of a row, m; layers lie to its left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where it begins.
    pub from: [f64; 2],
    /// Where it ends.
    pub to: [f64; 2],
}

/// How a row is cut at an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// At right angles to the line.
    Square,
    /// Upright.
    Plumb,
    /// Along a horizontal.
    Level,
}

/// Why a row cannot be painted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RowFault {
    /// An end, 0 or 1, would run along the line.
    AlongTheLine(usize),
    /// Both ends meet before the last face: the line must be longer than this, m.
    Folds {
        /// m.
        shortest: f64,
    },
}

/// The sine of the angle between line and end below which the end counts as running along the line.
const ALONG: f64 = 1e-3;
/// A face is longer than this, m: corners that are nearer are joined.
const SHORTEST_FACE: f64 = 5e-6;

impl Line {
    /// The line that begins at a point, with layers that follow each other at an angle (degrees from +x).
    pub fn at_angle(from: [f64; 2], degrees: f64, length: f64) -> Self {
        // The line itself runs at 90° less.
        let (sin, cos) = (libm::sin(degrees.to_radians()), libm::cos(degrees.to_radians()));
        let to = [from[0] + length * sin, from[1] - length * cos];
        // To the micrometre's millionth, as whoever writes coordinates along an axis would have it.
        let written = |metres: f64| (metres * 1e12).round() / 1e9 * 1e-3;
        let to = match (Self { from, to }).axis() {
            Some((Axis::X, _)) => [from[0], written(to[1])],
            Some((Axis::Y, _)) => [written(to[0]), from[1]],
            None => to,
        };
        Self { from, to }
    }

    /// m.
    pub fn length(&self) -> f64 {
        libm::hypot(self.to[0] - self.from[0], self.to[1] - self.from[1])
    }

    /// Its direction, a unit vector.
    fn along(&self) -> [f64; 2] {
        let length = self.length();
        [0, 1].map(|axis| (self.to[axis] - self.from[axis]) / length)
    }

    /// The direction in which layers follow each other, a unit vector; exact along an axis.
    pub fn through(&self) -> [f64; 2] {
        if let Some((axis, sign)) = self.axis() {
            return axis.direction().map(|part| sign * part);
        }
        let [x, y] = self.along();
        [-y, x]
    }

    /// The axis that its layers follow each other along, and the sign, if it runs along the other one: over a metre
    /// and more it is off by less than what makes two edges.
    pub fn axis(&self) -> Option<(Axis, f64)> {
        let [x, y] = [0, 1].map(|axis| self.to[axis] - self.from[axis]);
        let allowed = SAME_EDGE * self.length().min(1.0);
        if x.abs() < allowed {
            Some((Axis::X, -y.signum()))
        } else if y.abs() < allowed {
            Some((Axis::Y, x.signum()))
        } else {
            None
        }
    }

    /// How far an end moves along the line for a metre to its left, m.
    fn shift(&self, end: End) -> Option<f64> {
        let ([x, y], [across_x, across_y]) = (self.along(), self.through());
        match end {
            End::Square => Some(0.0),
            End::Plumb => (across_y.abs() > ALONG).then(|| y / across_y),
            End::Level => (across_x.abs() > ALONG).then(|| x / across_x),
        }
    }

    /// A corner of the face at a distance from the line.
    fn corner(&self, from: [f64; 2], end: End, distance: f64) -> [f64; 2] {
        let [x, y] = self.through();
        match end {
            End::Square => [from[0] + distance * x, from[1] + distance * y],
            End::Plumb => [from[0], from[1] + distance / y],
            End::Level => [from[0] + distance / x, from[1]],
        }
    }

    /// Whether layers of that thickness in all have faces between these ends.
    ///
    /// # Errors
    /// [`RowFault`].
    pub fn check(&self, ends: [End; 2], thickness: f64) -> Result<(), RowFault> {
        let mut shifts = [0.0; 2];
        for (number, end) in ends.into_iter().enumerate() {
            shifts[number] = self.shift(end).ok_or(RowFault::AlongTheLine(number))?;
        }
        let shorter = (shifts[0] - shifts[1]) * thickness;
        if self.length() - shorter > SHORTEST_FACE {
            return Ok(());
        }
        Err(RowFault::Folds { shortest: shorter })
    }

    /// The face at a distance, from its first end to its second.
    pub fn face(&self, ends: [End; 2], distance: f64) -> [[f64; 2]; 2] {
        [self.corner(self.from, ends[0], distance), self.corner(self.to, ends[1], distance)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: [f64; 2], expected: [f64; 2]) -> bool {
        (0..2).all(|axis| (found[axis] - expected[axis]).abs() < 1e-12)
    }

    /// A roof at 30° whose layers lie above the line: corners by the sides of the right-angled triangles.
    #[test]
    fn ends_lie_where_trigonometry_puts_them() {
        let (sin, cos) = (0.5, 0.75_f64.sqrt());
        let line = Line::at_angle([1.0, 2.0], 120.0, 4.0);
        assert!(close(line.to, [1.0 + 4.0 * cos, 2.0 + 4.0 * sin]));
        assert!(close(line.through(), [-sin, cos]));
        for (end, expected) in [
            (End::Square, [1.0 - 0.3 * sin, 2.0 + 0.3 * cos]),
            (End::Plumb, [1.0, 2.0 + 0.3 / cos]),
            (End::Level, [1.0 - 0.3 / sin, 2.0]),
        ] {
            let [first, other] = [0.0, 0.3].map(|distance| line.face([end, End::Square], distance));
            assert_eq!(first, [line.from, line.to]);
            assert!(close(other[0], expected), "{end:?}: {other:?}");
        }
        // Plumb at the ridge, level at the eaves: longer below, shorter above.
        assert_eq!(line.check([End::Level, End::Plumb], 0.3), Ok(()));
    }

    #[test]
    fn lines_along_an_axis_are_told() {
        let sides = [(Axis::X, 1.0), (Axis::Y, 1.0), (Axis::X, -1.0), (Axis::Y, -1.0)];
        for (quarter, expected) in sides.into_iter().enumerate() {
            for turns in [-1.0, 0.0, 1.0] {
                let line = Line::at_angle([0.3, -7.1], 90.0 * quarter as f64 + 360.0 * turns, 3.0);
                assert_eq!(line.axis(), Some(expected));
            }
        }
        assert_eq!(Line::at_angle([0.0, 0.0], 1e-6, 3.0).axis(), None);
    }

    #[test]
    fn faulty_ends_are_told() {
        let level = Line { from: [0.0, 0.0], to: [2.0, 0.0] };
        assert_eq!(level.check([End::Plumb, End::Level], 0.1), Err(RowFault::AlongTheLine(1)));
        let upright = Line { from: [0.0, 0.0], to: [0.0, 2.0] };
        assert_eq!(upright.check([End::Plumb, End::Level], 0.1), Err(RowFault::AlongTheLine(0)));
        // At 45° a plumb first end moves along the line as far as a layer is thick, a level second end back by that.
        let roof = Line { from: [0.0, 0.0], to: [1.0, 1.0] };
        let Err(RowFault::Folds { shortest }) = roof.check([End::Plumb, End::Level], 0.8) else { panic!() };
        assert!((shortest - 1.6).abs() < 1e-12);
        assert_eq!(roof.check([End::Plumb, End::Level], 0.7), Ok(()));
        assert_eq!(roof.check([End::Level, End::Plumb], 0.8), Ok(()));
    }
}
