//! The quadratic triangle: gradients, and what they make of a conductivity.
//!
//! With λᵢ the barycentric coordinates, the shape functions are λᵢ(2λᵢ − 1) for corner i and 4·λⱼλₖ for the
//! middle of the edge opposite i. Gradients of quadratics are linear, their products quadratic, and these are
//! integrated exactly by the mean of the values at the three edge middles. There, at the middle p of the edge
//! opposite corner p,
//!
//! ```text
//! ∇u = Σ aᵢ∇λᵢ,   a = u at the two corners of the edge,   aₚ = 2·(the other two middles) − 2·(this middle) − uₚ
//! ```
//!
//! With cᵢⱼ = |t|·∇λᵢ·K∇λⱼ, whose rows sum to nothing, the same rule gives the element matrix in closed form:
//! cᵢᵢ and −cᵢⱼ/3 between corners, 4cᵢⱼ/3 between a corner i and the middle of its edge to j, 0 between a
//! corner and the middle opposite, 8cⱼₖ/3 between the middles of the edges from i to j and to k, and
//! 4(c₀₀ + c₁₁ + c₂₂)/3 of each middle with itself. (Zienkiewicz and Taylor, The Finite Element Method, and
//! checked against the rule in the tests.)
//!
//! On an edge of length L, a quadratic with the values a, b at its ends and m in its middle has the derivative
//! (4m − 3a − b)/L at its beginning and (a + 3b − 4m)/L at its end, linear between.

use super::properties::Conductivity;

/// A triangle's area and the gradients of its barycentric coordinates.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    /// m².
    pub(super) area: f64,
    /// 1/m.
    pub(super) gradient: [[f64; 2]; 3],
}

/// A dot product.
pub(super) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

impl Shape {
    /// Of three corners, anticlockwise; none if they have no area.
    pub(super) fn of(points: &[[f64; 2]; 3]) -> Option<Self> {
        let edge = |corner: usize| {
            let [a, b] = [points[(corner + 1) % 3], points[(corner + 2) % 3]];
            [b[0] - a[0], b[1] - a[1]]
        };
        let [first, second, third] = [edge(0), edge(1), edge(2)];
        let double = third[0] * -second[1] + third[1] * second[0];
        let gradient = [first, second, third].map(|[x, y]| [-y / double, x / double]);
        let usable = double > 0.0 && gradient.iter().flatten().all(|part| part.is_finite());
        usable.then_some(Self { area: 0.5 * double, gradient })
    }

    /// The barycentric coordinates of a point in the triangle of these corners.
    pub(super) fn coordinates(&self, points: &[[f64; 2]; 3], [x, y]: [f64; 2]) -> [f64; 3] {
        // From the corner after, where this coordinate is 0.
        [0, 1, 2].map(|i| {
            let [from_x, from_y] = points[(i + 1) % 3];
            dot(self.gradient[i], [x - from_x, y - from_y])
        })
    }

    /// The gradients at the three edge middles.
    pub(super) fn gradients(&self, values: &[f64; 6]) -> [[f64; 2]; 3] {
        [0, 1, 2].map(|p| {
            let (j, k) = ((p + 1) % 3, (p + 2) % 3);
            let here = 2.0 * ((values[3 + j] - values[3 + p]) + (values[3 + k] - values[3 + p]))
                - (values[p] - values[3 + p]);
            // The gradients sum to nothing, so differences from the value at p's own coordinate will do.
            let (along, back) = ((values[j] - values[3 + p]) - here, (values[k] - values[3 + p]) - here);
            let (gj, gk) = (self.gradient[j], self.gradient[k]);
            [along * gj[0] + back * gk[0], along * gj[1] + back * gk[1]]
        })
    }

    /// ∫ f·∇vᵢ for the six shape functions v, with f given at the three edge middles.
    pub(super) fn against_gradients(&self, flux: &[[f64; 2]; 3]) -> [f64; 6] {
        let weight = self.area / 3.0;
        let with = |p: usize, i: usize| weight * dot(flux[p], self.gradient[i]);
        let own = [with(0, 0), with(1, 1), with(2, 2)];
        let mut sums = [0.0; 6];
        for i in 0..3 {
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            sums[i] = with(j, i) + with(k, i) - own[i];
            sums[3 + i] = 2.0 * (own[j] + own[k] - own[i]);
        }
        sums
    }

    /// ∫ ∇vᵢ·K∇vⱼ.
    pub(super) fn stiffness(&self, conductivity: &Conductivity) -> [[f64; 6]; 6] {
        let flux = self.gradient.map(|gradient| conductivity.times(gradient));
        // Minus the part between the corners of the edge opposite i.
        let weight = [0, 1, 2].map(|i| -self.area * dot(flux[(i + 1) % 3], self.gradient[(i + 2) % 3]));
        let mut matrix = [[0.0; 6]; 6];
        let middle = 8.0 / 3.0 * (weight[0] + weight[1] + weight[2]);
        for i in 0..3 {
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            matrix[i][i] = weight[j] + weight[k];
            matrix[3 + i][3 + i] = middle;
            for (one, other, value) in [
                (j, k, weight[i] / 3.0),
                (j, 3 + i, -4.0 / 3.0 * weight[i]),
                (k, 3 + i, -4.0 / 3.0 * weight[i]),
                (3 + j, 3 + k, -8.0 / 3.0 * weight[i]),
            ] {
                matrix[one][other] = value;
                matrix[other][one] = value;
            }
        }
        matrix
    }
}

/// ∫ vᵢvⱼ on an edge of length 1; first, last, middle.
pub(super) const EDGE_MASS: [[f64; 3]; 3] = [
    [4.0 / 30.0, -1.0 / 30.0, 2.0 / 30.0],
    [-1.0 / 30.0, 4.0 / 30.0, 2.0 / 30.0],
    [2.0 / 30.0, 2.0 / 30.0, 16.0 / 30.0],
];

/// ∫ vᵢ'vⱼ' on an edge of length 1.
pub(super) const EDGE_STIFFNESS: [[f64; 3]; 3] = [
    [7.0 / 3.0, 1.0 / 3.0, -8.0 / 3.0],
    [1.0 / 3.0, 7.0 / 3.0, -8.0 / 3.0],
    [-8.0 / 3.0, -8.0 / 3.0, 16.0 / 3.0],
];

/// Σⱼ matrixᵢⱼ·valueⱼ.
pub(super) fn on_edge(matrix: &[[f64; 3]; 3], value: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * value[0] + row[1] * value[1] + row[2] * value[2])
}

/// ∫ u² on an edge of length 1, for a quadratic u.
pub(super) fn square_on_edge(value: [f64; 3]) -> f64 {
    let against = on_edge(&EDGE_MASS, value);
    value[0] * against[0] + value[1] * against[1] + value[2] * against[2]
}

/// The derivative at both ends of an edge of length 1.
pub(super) fn slope_on_edge([first, last, middle]: [f64; 3]) -> [f64; 2] {
    let (before, after) = (middle - first, last - middle);
    [3.0 * before - after, 3.0 * after - before]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_closed_form_is_the_rule_of_edge_middles() {
        let shape = Shape::of(&[[0.1, 0.2], [1.3, -0.1], [0.4, 0.9]]).unwrap();
        let conductivity = Conductivity::along([0.6, 0.8], 3.0, 0.2);
        let matrix = shape.stiffness(&conductivity);
        for j in 0..6 {
            let mut values = [0.0; 6];
            values[j] = 1.0;
            let flux = shape.gradients(&values).map(|gradient| conductivity.times(gradient));
            let column = shape.against_gradients(&flux);
            for i in 0..6 {
                assert!((matrix[i][j] - column[i]).abs() < 1e-13, "{i} {j}: {} {}", matrix[i][j], column[i]);
            }
        }
    }

    #[test]
    fn gradients_of_quadratics_are_exact() {
        let points = [[0.1, 0.2], [1.3, -0.1], [0.4, 0.9]];
        let shape = Shape::of(&points).unwrap();
        let value = |[x, y]: [f64; 2]| 3.0 + 2.0 * x - y + x * x - 4.0 * x * y + 0.5 * y * y;
        let middle = |i: usize| {
            let [a, b]: [[f64; 2]; 2] = [points[(i + 1) % 3], points[(i + 2) % 3]];
            [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])]
        };
        let all = [points[0], points[1], points[2], middle(0), middle(1), middle(2)].map(value);
        for (i, gradient) in shape.gradients(&all).iter().enumerate() {
            let [x, y] = middle(i);
            assert!((gradient[0] - (2.0 + 2.0 * x - 4.0 * y)).abs() < 1e-13);
            assert!((gradient[1] - (-1.0 - 4.0 * x + y)).abs() < 1e-13);
        }
        assert!(Shape::of(&[points[0], points[2], points[1]]).is_none());
    }

    #[test]
    fn edges_integrate_quadratics_exactly() {
        let value = |s: f64| 2.0 - s + 3.0 * s * s;
        let at = [value(0.0), value(1.0), value(0.5)];
        // 4 − 4s + 13s² − 6s³ + 9s⁴ and 1 − 12s + 36s².
        assert!((square_on_edge(at) - (4.0 - 2.0 + 13.0 / 3.0 - 1.5 + 1.8)).abs() < 1e-13);
        assert_eq!(slope_on_edge(at), [-1.0, 5.0]);
        let against = on_edge(&EDGE_STIFFNESS, at);
        let energy: f64 = at.iter().zip(against).map(|(a, b)| a * b).sum();
        assert!((energy - 7.0).abs() < 1e-12, "{energy}");
    }
}
