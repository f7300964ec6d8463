//! Lengths and angles as heat sees them in a material that conducts better one way than the other.
//!
//! With conductivity Λ (symmetric, positive definite) the coordinates S·x, SᵀS = Λ⁻¹, turn div Λ grad into
//! the Laplacian, so a triangulation is as good for the field as it is Delaunay in those. Only shapes count:
//! Λ⁻¹ is scaled to determinant 1, which leaves areas as they are and makes
//!
//! ```text
//! M = 1/√(Λxx·Λyy − Λxy²) · (  Λyy  −Λxy )
//!                            ( −Λxy   Λxx )
//! ```

use crate::polygons::filling::Filling;

/// The square of a length is xx·dx² + 2·xy·dx·dy + yy·dy².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metric {
    /// Along x.
    pub xx: f64,
    /// Mixed.
    pub xy: f64,
    /// Along y.
    pub yy: f64,
}

impl Default for Metric {
    fn default() -> Self {
        Self { xx: 1.0, xy: 0.0, yy: 1.0 }
    }
}

impl Metric {
    /// That of a material with the given components xx, xy, yy of its conductivity, in any unit. A tensor that
    /// is not positive definite gets the plain metric.
    pub fn of_conductivity([xx, xy, yy]: [f64; 3]) -> Self {
        let determinant = xx * yy - xy * xy;
        let is_plain = xx == yy && xy == 0.0;
        if is_plain || !(xx > 0.0 && determinant > 0.0 && determinant.is_finite()) {
            return Self::default();
        }
        let root = determinant.sqrt();
        Self { xx: yy / root, xy: -xy / root, yy: xx / root }
    }

    /// The metric of a filling: that of its number in `metrics`, the plain one for all others.
    pub(super) fn of_filling(metrics: &[Self], filling: Filling) -> Self {
        match filling {
            Filling::Solid(number) => metrics.get(number as usize).copied().unwrap_or_default(),
            _ => Self::default(),
        }
    }

    /// The length of the way from `a` to `b`, m.
    pub fn distance(&self, a: [f64; 2], b: [f64; 2]) -> f64 {
        let [x, y] = [b[0] - a[0], b[1] - a[1]];
        (self.xx * x * x + 2.0 * self.xy * x * y + self.yy * y * y).sqrt()
    }

    /// S·x with the upper triangular S of SᵀS = M: plain geometry there is that of the metric.
    pub(super) fn stretched(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        if *self == Self::default() {
            return [x, y];
        }
        let along = self.xx.sqrt();
        let mixed = self.xy / along;
        [along * x + mixed * y, (self.yy - mixed * mixed).sqrt() * y]
    }
}
