//! Values carried from one grid to another of the same plan.

use super::Grid;

/// For each position the interval of the rising `lines` it lies in and how far along, from 0 to 1.
fn locate(lines: &[f64], positions: &[f64]) -> Vec<(usize, f64)> {
    let last = lines.len() - 2;
    let mut index = 0;
    let mut places = Vec::with_capacity(positions.len());
    for position in positions {
        while index < last && lines[index + 1] <= *position {
            index += 1;
        }
        places.push((index, (position - lines[index]) / (lines[index + 1] - lines[index])));
    }
    places
}

/// The bilinear interpolant of the values at the vertices of `from`, at those of `to`. Vertices of a solid
/// get the values of that solid only, since both grids have all edges of the plan; others are not a number.
pub fn interpolate(from: &Grid, to: &Grid, values: &[f64]) -> Vec<f64> {
    let columns = from.vertex_columns();
    let (across, up) =
        (locate(&from.x.positions, &to.x.positions), locate(&from.y.positions, &to.y.positions));
    let mut result = Vec::with_capacity(to.vertices());
    for &(j, above) in &up {
        for &(i, right) in &across {
            let vertex = j * columns + i;
            let corners = [
                (vertex, (1.0 - right) * (1.0 - above)),
                (vertex + 1, right * (1.0 - above)),
                (vertex + columns, (1.0 - right) * above),
                (vertex + columns + 1, right * above),
            ];
            // A weight of 0 must not bring in a vertex without value.
            result.push(
                corners
                    .iter()
                    .filter(|(_, weight)| *weight != 0.0)
                    .map(|(vertex, weight)| weight * values[*vertex])
                    .sum(),
            );
        }
    }
    result
}
