//! Signs, crossings and sizes in the plane.

use robust::{Coord, incircle, orient2d};

/// Twice the area of the triangle abc, of the exact sign: positive if it runs anticlockwise.
pub fn orientation(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let [a, b, c] = [a, b, c].map(|[x, y]| Coord { x, y });
    orient2d(a, b, c)
}

/// True if d lies within the circle through a, b and c, which run anticlockwise; exact.
pub fn is_in_circle(corners: [[f64; 2]; 3], d: [f64; 2]) -> bool {
    let [a, b, c] = corners.map(|[x, y]| Coord { x, y });
    incircle(a, b, c, Coord { x: d[0], y: d[1] }) > 0.0
}

/// Where two segments cross, if they do, told by exact signs. On level and upright segments the coordinate is
/// theirs.
pub fn crossing([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> Option<[f64; 2]> {
    let opposite = |one: f64, other: f64| (one > 0.0 && other < 0.0) || (one < 0.0 && other > 0.0);
    let (from, to) = (orientation(a, b, c), orientation(a, b, d));
    if !opposite(from, to) || !opposite(orientation(c, d, a), orientation(c, d, b)) {
        return None;
    }
    let part = from / (from - to);
    let on_axis =
        |axis: usize| if a[axis] == b[axis] { a[axis] } else { c[axis] + part * (d[axis] - c[axis]) };
    Some([on_axis(0), on_axis(1)])
}

/// True if `p` lies within a distance of the segment ab, m.
pub fn is_within(distance: f64, p: [f64; 2], [a, b]: [[f64; 2]; 2]) -> bool {
    let ([x, y], [dx, dy]) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let (square, off, along) = (x * x + y * y, x * dy - y * dx, x * dx + y * dy);
    if off * off > distance * distance * square {
        return false;
    }
    let from_end = |[dx, dy]: [f64; 2]| dx * dx + dy * dy <= distance * distance;
    (square > 0.0 && (0.0..=square).contains(&along))
        || from_end([dx, dy])
        || from_end([p[0] - b[0], p[1] - b[1]])
}

/// Positive for polygons drawn anticlockwise, m².
pub fn area(vertices: &[[f64; 2]]) -> f64 {
    let Some(&origin) = vertices.first() else { return 0.0 };
    let pairs = vertices.iter().zip(vertices.iter().skip(1));
    pairs.map(|(&a, &b)| 0.5 * orientation(origin, a, b)).sum()
}

/// The length round a polygon, m.
pub fn perimeter(vertices: &[[f64; 2]]) -> f64 {
    let after = vertices.iter().skip(1).chain(vertices);
    let length = |(a, b): (&[f64; 2], &[f64; 2])| {
        let [x, y] = [b[0] - a[0], b[1] - a[1]];
        (x * x + y * y).sqrt()
    };
    vertices.iter().zip(after).map(length).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn segments_cross_within_both_only() {
        let level = [[0.0, 0.1], [0.7, 0.1]];
        assert_eq!(crossing(level, [[0.3, -1.0], [0.3, 2.0]]), Some([0.3, 0.1]));
        assert_eq!(crossing([[0.3, 2.0], [0.3, -1.0]], level), Some([0.3, 0.1]));
        let [x, y] = crossing([[0.0, 0.0], [3.0, 1.0]], [[0.0, 1.0], [3.0, 0.0]]).unwrap();
        assert!((x - 1.5).abs() < 1e-15 && (y - 0.5).abs() < 1e-15);
        for other in [[[0.3, 0.1], [0.3, 2.0]], [[0.8, -1.0], [0.8, 2.0]], [[0.1, 0.1], [0.9, 0.1]]] {
            assert_eq!(crossing(level, other), None, "touching, beside, along");
        }
    }

    #[test]
    fn distance_counts_to_the_segment_not_its_line() {
        let segment = [[1.0, 1.0], [4.0, 5.0]];
        // 0.1 off its middle, 0.1 beyond an end, 1 beyond it.
        for (p, near) in
            [([2.42, 3.06], true), ([4.06, 5.08], true), ([4.6, 5.8], false), ([2.34, 3.12], false)]
        {
            assert_eq!(is_within(0.11, p, segment), near, "{p:?}");
        }
    }

    #[test]
    fn sizes_of_a_triangle() {
        let triangle = [[1.0, 1.0], [4.0, 1.0], [1.0, 5.0]];
        assert_eq!((area(&triangle), perimeter(&triangle)), (6.0, 12.0));
        assert!(is_in_circle(triangle, [3.9, 4.9]) && !is_in_circle(triangle, [4.1, 5.1]));
    }
}
