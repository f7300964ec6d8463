//! Circles, as the regular polygons that stand for them.
//!
//! All have the same number of sides, in the same directions, and the area of the circle. With x = π/N the radius
//! to the edge differs from the circle's by
//!
//! ```text
//!                            mean radius     area       perimeter
//! corners on the circle        −x²/3        −2x²/3       −x²/6
//! sides on the circle          +x²/6        + x²/3       +x²/3
//! the circle's area           O(x⁴)          0           +x²/6
//! ```
//!
//! What conducts round a pipe depends on its mean radius (the first term of ln r along the edge), what a film lets
//! pass on the perimeter, what an air cavity counts as on its area. So the polygon of equal area is the one of which
//! only the perimeter is felt: with 48 sides it is 0.07 % too long, so that no loss comes out too low. Polygons of one
//! number of sides and one orientation round one middle are similar: pipe and insulation keep their ratio of radii, and
//! never touch each other. Of a layer thin against a side of the polygon, the sides count as plates: it conducts up to
//! tan x/x − 1 = 0.14 % more, whichever of the three is taken.

use std::f64::consts::PI;

/// A circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Round {
    /// Its middle, m.
    pub at: [f64; 2],
    /// m.
    pub diameter: f64,
}

/// Sides of the polygon: symmetric about both axes and both diagonals.
const SIDES: usize = 48;
const QUARTER: usize = SIDES / 4;

impl Round {
    /// What readers are to know of every circle.
    pub const REMARK: &str = "what is drawn round is computed as a regular polygon of 48 sides and the same area, whose perimeter is 0.07 % longer";

    /// The corners of its polygon in order, m: one at each end of the level and of the upright diameter.
    pub fn corners(&self) -> Vec<[f64; 2]> {
        let step = 2.0 * PI / SIDES as f64;
        // ½·N·R²·sin(2π/N) = π·r²
        let radius = 0.5 * self.diameter * (step / libm::sin(step)).sqrt();
        // Those of a quarter stand for all, so that the mirror image is the same to the last digit.
        let off = |corner: usize| radius * libm::sin(step * corner as f64);
        let corner = |number: usize| {
            let (x, y) = (off(QUARTER - number % QUARTER), off(number % QUARTER));
            let [x, y] = match number / QUARTER {
                0 => [x, y],
                1 => [-y, x],
                2 => [-x, -y],
                _ => [y, -x],
            };
            [self.at[0] + x, self.at[1] + y]
        };
        (0..SIDES).map(corner).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of any polygon, from its corners: area (the shoelace formula) and perimeter.
    fn sizes(corners: &[[f64; 2]]) -> [f64; 2] {
        let pairs = || (0..corners.len()).map(|index| (corners[index], corners[(index + 1) % corners.len()]));
        let area: f64 = pairs().map(|(a, b)| 0.5 * (a[0] * b[1] - b[0] * a[1])).sum();
        [area, pairs().map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1])).sum()]
    }

    #[test]
    fn it_has_the_area_and_nearly_the_perimeter_of_the_circle() {
        for diameter in [0.001, 0.022, 0.5, 40.0] {
            let [area, perimeter] = sizes(&Round { at: [0.0, 0.0], diameter }.corners());
            assert!((area / (PI * 0.25 * diameter * diameter) - 1.0).abs() < 1e-14, "{diameter}");
            let longer = perimeter / (PI * diameter) - 1.0;
            // √(tan x / x) − 1
            let x = PI / 48.0;
            assert!((longer - ((libm::tan(x) / x).sqrt() - 1.0)).abs() < 1e-14, "{diameter}: {longer}");
            assert!(longer < 1e-3 && Round::REMARK.contains(&format!("{:.2} %", longer * 100.0)));
        }
        assert!(Round::REMARK.contains(&format!("{SIDES} sides")));
    }

    #[test]
    fn it_is_its_own_mirror_image() {
        let corners = Round { at: [0.0, 0.0], diameter: 0.123 }.corners();
        for [x, y] in &corners {
            for image in [[-x, *y], [*x, -y], [*y, *x]] {
                assert!(corners.contains(&image), "{image:?}");
            }
        }
    }

    #[test]
    fn rounds_in_rounds_are_similar() {
        let at = [0.1, -0.2];
        let [inner, outer] = [0.05, 0.0501].map(|diameter| Round { at, diameter }.corners());
        for (one, other) in inner.iter().zip(&outer) {
            let [near, far] = [one, other].map(|[x, y]| libm::hypot(x - at[0], y - at[1]));
            assert!((far / near - 1.002).abs() < 1e-12);
        }
    }
}
