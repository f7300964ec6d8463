//! Lines of equal value through the bilinear field on solid cells.

use std::collections::HashMap;

use crate::grid::Grid;

/// An edge of the grid: the line crosses it once at most for one level. Upright edges carry `true`.
type Edge = (usize, bool);

/// The lines of one level, each as points in m, in order.
pub fn lines(
    grid: &Grid,
    value: &[f64],
    level: f64,
    is_wanted: impl Fn(usize, usize) -> bool,
) -> Vec<Vec<(f64, f64)>> {
    let columns = grid.vertex_columns();
    let mut crossings: HashMap<Edge, (f64, f64)> = HashMap::new();
    let mut links: HashMap<Edge, Vec<Edge>> = HashMap::new();
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
                    crossings.entry(*edge).or_insert_with(|| point(grid, *edge, part));
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
                links.entry(crossed[*a]).or_default().push(crossed[*b]);
                links.entry(crossed[*b]).or_default().push(crossed[*a]);
            }
        }
    }
    chains(&crossings, links)
}

fn point(grid: &Grid, (vertex, upright): Edge, part: f64) -> (f64, f64) {
    let columns = grid.vertex_columns();
    let (x, y) = grid.position(vertex);
    let (to_x, to_y) = grid.position(if upright { vertex + columns } else { vertex + 1 });
    (x + (to_x - x) * part, y + (to_y - y) * part)
}

fn chains(
    crossings: &HashMap<Edge, (f64, f64)>,
    mut links: HashMap<Edge, Vec<Edge>>,
) -> Vec<Vec<(f64, f64)>> {
    // Sorted, so that the same field always gives the same lines; open ends first.
    let mut starts: Vec<Edge> = links.keys().copied().collect();
    starts.sort_unstable_by_key(|edge| (links[edge].len(), *edge));
    let mut chains = Vec::new();
    for start in starts {
        let mut chain = vec![crossings[&start]];
        let mut at = start;
        while let Some(next) = links.get_mut(&at).and_then(Vec::pop) {
            if let Some(back) = links.get_mut(&next)
                && let Some(index) = back.iter().position(|edge| *edge == at)
            {
                back.swap_remove(index);
            }
            chain.push(crossings[&next]);
            at = next;
        }
        if chain.len() > 1 {
            chains.push(chain);
        }
    }
    chains
}
