//! Lines of equal value: through the bilinear field on cells of a grid, and through the linear one on triangles.

use super::chains::{Pieces, Point};
use crate::grid::Grid;
use crate::polygons::delaunay::ordered;

/// An edge of the grid: the line crosses it once at most for one level. Upright edges carry `true`.
type Edge = (usize, bool);

/// The lines of one level on a grid, each as points in m, in order.
pub fn on_grid(
    grid: &Grid,
    value: &[f64],
    level: f64,
    is_wanted: impl Fn(usize, usize) -> bool,
) -> Vec<Vec<Point>> {
    let columns = grid.vertex_columns();
    let mut pieces = Pieces::new();
    for j in 0..grid.vertex_rows() - 1 {
        for i in 0..columns - 1 {
            let vertex = j * columns + i;
            let corner =
                [value[vertex], value[vertex + 1], value[vertex + columns + 1], value[vertex + columns]];
            let above = corner.map(|value| value >= level);
            if above.iter().all(|corner| *corner == above[0]) || !is_wanted(i, j) {
                continue;
            }
            // South, east, north, west edge, named by the vertex they start from.
            let edges: [(Edge, usize, usize); 4] = [
                ((vertex, false), 0, 1),
                ((vertex + 1, true), 1, 2),
                ((vertex + columns, false), 3, 2),
                ((vertex, true), 0, 3),
            ];
            let crossed: Vec<Edge> = edges
                .iter()
                .filter(|(_, from, to)| above[*from] != above[*to])
                .map(|(edge, from, to)| {
                    let part = (level - corner[*from]) / (corner[*to] - corner[*from]);
                    pieces.place(*edge, || point(grid, *edge, part));
                    *edge
                })
                .collect();
            let pairs: &[(usize, usize)] = match crossed.len() {
                2 => &[(0, 1)],
                // A saddle: the middle of the cell tells which corners belong together.
                _ if (corner.iter().sum::<f64>() / 4.0 >= level) == above[0] => &[(0, 1), (2, 3)],
                _ => &[(0, 3), (1, 2)],
            };
            for (a, b) in pairs {
                pieces.join(crossed[*a], crossed[*b]);
            }
        }
    }
    pieces.lines()
}

fn point(grid: &Grid, (vertex, upright): Edge, part: f64) -> Point {
    let columns = grid.vertex_columns();
    let (x, y) = grid.position(vertex);
    let (to_x, to_y) = grid.position(if upright { vertex + columns } else { vertex + 1 });
    (x + (to_x - x) * part, y + (to_y - y) * part)
}

/// The lines of one level on triangles, each as points in m, in order.
pub fn on_triangles(
    points: &[[f64; 2]],
    corners: &[[u32; 3]],
    value: &[f64],
    level: f64,
    is_wanted: impl Fn(&[u32; 3]) -> bool,
) -> Vec<Vec<Point>> {
    let mut pieces = Pieces::new();
    for triangle in corners {
        let above = triangle.map(|corner| value[corner as usize] >= level);
        if above.iter().all(|corner| *corner == above[0]) || !is_wanted(triangle) {
            continue;
        }
        let mut crossed = Vec::with_capacity(2);
        for k in 0..3 {
            if above[k] == above[(k + 1) % 3] {
                continue;
            }
            // From the same end for both triangles, so that they share the point to the last bit.
            let ends = ordered([triangle[k], triangle[(k + 1) % 3]]);
            pieces.place(ends, || {
                let [from, to] = ends.map(|end| end as usize);
                let part = (level - value[from]) / (value[to] - value[from]);
                let between = |axis: usize| {
                    let (from, to) = (points[from][axis], points[to][axis]);
                    from + (to - from) * part
                };
                (between(0), between(1))
            });
            crossed.push(ends);
        }
        if let [one, other] = crossed[..] {
            pieces.join(one, other);
        }
    }
    pieces.lines()
}
