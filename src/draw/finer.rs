//! Triangles of a field cut into smaller ones, where it is compared with another that may change faster.

use std::collections::HashMap;

use crate::geometry::{Axis, Rectangle};
use crate::polygons::delaunay::{edge, ordered};
use crate::result::{Fields, Ground, Patches};

/// A field for heat loss on triangles, each side that reaches into an area no longer than `longest`, m; none on a
/// grid.
pub(super) fn finer(fields: &Fields, area: Rectangle, longest: f64) -> Option<Fields> {
    let Ground::Triangles(patches) = &fields.ground else { return None };
    let (mut points, mut corners) = (patches.points.clone(), patches.corners.clone());
    let mut value = fields.heat_loss.clone();
    loop {
        let mut middles: HashMap<[u32; 2], u32> = HashMap::new();
        for ends in corners.iter().flat_map(|corners| (0..3).map(|k| ordered(edge(*corners, k)))) {
            let [from, to] = ends.map(|end| points[end as usize]);
            if middles.contains_key(&ends)
                || libm::hypot(to[0] - from[0], to[1] - from[1]) <= longest
                || !reaches_into(area, from, to)
            {
                continue;
            }
            middles.insert(ends, points.len() as u32);
            points.push([0, 1].map(|axis| f64::midpoint(from[axis], to[axis])));
            value.push(f64::midpoint(value[ends[0] as usize], value[ends[1] as usize]));
        }
        if middles.is_empty() {
            break;
        }
        corners = corners
            .into_iter()
            .flat_map(|corners| {
                let middle = |k: usize| middles.get(&ordered(edge(corners, k))).copied();
                cut(corners, [middle(0), middle(1), middle(2)])
            })
            .collect();
    }
    let ground = Ground::Triangles(Patches { points, corners, ..Patches::default() });
    Some(Fields { ground, heat_loss: value, condensation: None })
}

/// True if the box round a line reaches into an area.
fn reaches_into(area: Rectangle, from: [f64; 2], to: [f64; 2]) -> bool {
    [Axis::X, Axis::Y].into_iter().enumerate().all(|(index, axis)| {
        let span = area.along(axis);
        from[index].max(to[index]) >= span.from && from[index].min(to[index]) <= span.to
    })
}

/// A triangle cut at the middles of its sides that have one; entry k lies opposite corner k.
fn cut([a, b, c]: [u32; 3], [on_bc, on_ca, on_ab]: [Option<u32>; 3]) -> Vec<[u32; 3]> {
    match (on_bc, on_ca, on_ab) {
        (None, None, None) => vec![[a, b, c]],
        (Some(p), Some(q), Some(r)) => vec![[a, r, q], [r, b, p], [q, p, c], [p, q, r]],
        (Some(p), None, None) => vec![[a, b, p], [a, p, c]],
        (Some(p), Some(q), None) => vec![[a, b, p], [a, p, q], [q, p, c]],
        // Turned until it is one of these.
        _ => cut([b, c, a], [on_ca, on_ab, on_bc]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygons::plane::orientation;

    #[test]
    fn cutting_keeps_the_area_and_the_plane_and_leaves_no_long_side() {
        let points = vec![[0.0, 0.0], [1.0, 0.0], [1.2, 0.7], [0.1, 0.9]];
        let value = points.iter().map(|[x, y]| 3.0 * x - y).collect();
        let corners = vec![[0, 1, 2], [0, 2, 3]];
        let ground = Ground::Triangles(Patches { points, corners, ..Patches::default() });
        let fields = Fields { ground, heat_loss: value, condensation: None };
        let area = Rectangle::new([0.0, 0.6], [0.0, 1.0]);
        let found = finer(&fields, area, 0.11).unwrap_or(fields);
        let Ground::Triangles(patches) = &found.ground else { return };
        let mut whole = 0.0;
        for corners in &patches.corners {
            let [a, b, c] = corners.map(|corner| patches.points[corner as usize]);
            let twice = orientation(a, b, c);
            assert!(twice > 0.0);
            whole += twice / 2.0;
            for [from, to] in [[a, b], [b, c], [c, a]] {
                let length = libm::hypot(to[0] - from[0], to[1] - from[1]);
                assert!(length <= 0.11 || !reaches_into(area, from, to));
            }
        }
        assert!((whole - (0.35 + 0.505)).abs() < 1e-12, "{whole}");
        for ([x, y], value) in patches.points.iter().zip(&found.heat_loss) {
            assert!((3.0 * x - y - value).abs() < 1e-12);
        }
    }
}
