//! Heat flow lines: the stream function of the scheme's own flows.
//!
//! ```text
//! q_x = ∂S/∂y,  q_y = −∂S/∂x
//! ```
//!
//! Flows between vertices cross the line between the middles of the two cells beside them, so that S differs
//! by the flow from one middle to the next. The flows balance at every vertex inside, hence S does not depend
//! on the way. Lines of equal S at equal steps have equal heat flows between them.

use std::collections::VecDeque;

use crate::case::Case;
use crate::conduction::Network;
use crate::grid::Grid;
use crate::plan::{Filling, Raster};

/// What the flows of a field look like at the vertices.
#[derive(Clone, Debug)]
pub struct Stream {
    /// S, W/m; NaN where there is no solid. None where solids enclose a hole that gives or takes heat, round which
    /// S has no single value.
    pub function: Option<Vec<f64>>,
    /// Size of the heat flux, W/m²; NaN where there is no solid.
    pub flux: Vec<f64>,
}

/// Relative difference between two ways above which S is not unique: heat flows round a hole.
const LOOP: f64 = 1e-3;

/// The stream function of temperatures (°C) and the size of the flux at the vertices; none if no heat flows.
pub fn stream(
    case: &Case,
    plan: &Raster,
    grid: &Grid,
    network: &Network,
    temperatures: &[f64],
) -> Option<Stream> {
    let (columns, rows) = (grid.vertex_columns() - 1, grid.vertex_rows() - 1);
    let is_solid = |i: usize, j: usize| grid.filling(plan, i, j).is_solid();
    let vertex = |i: usize, j: usize| j * (columns + 1) + i;
    // S at the middle of (i, j) less S at the middle of its western, and of its southern neighbour.
    let from_west = |i: usize, j: usize| {
        let (low, high) = (vertex(i, j), vertex(i, j + 1));
        -network.north[low] * (temperatures[low] - temperatures[high])
    };
    let from_south = |i: usize, j: usize| {
        let (left, right) = (vertex(i, j), vertex(i + 1, j));
        network.east[left] * (temperatures[left] - temperatures[right])
    };
    let mut middle: Vec<Option<f64>> = vec![None; columns * rows];
    let at = |i: usize, j: usize| j * columns + i;
    let steps = |i: usize, j: usize| {
        let west = (i > 0 && is_solid(i - 1, j)).then(|| (i - 1, j, -from_west(i, j)));
        let south = (j > 0 && is_solid(i, j - 1)).then(|| (i, j - 1, -from_south(i, j)));
        let east = (i + 1 < columns && is_solid(i + 1, j)).then(|| (i + 1, j, from_west(i + 1, j)));
        let north = (j + 1 < rows && is_solid(i, j + 1)).then(|| (i, j + 1, from_south(i, j + 1)));
        [west, south, east, north].into_iter().flatten()
    };
    for start in 0..middle.len() {
        if middle[start].is_some() || !is_solid(start % columns, start / columns) {
            continue;
        }
        let mut open = VecDeque::from([(start % columns, start / columns, 0.0)]);
        middle[start] = Some(0.0);
        while let Some((i, j, here)) = open.pop_front() {
            for (ni, nj, step) in steps(i, j) {
                if middle[at(ni, nj)].is_none() {
                    middle[at(ni, nj)] = Some(here + step);
                    open.push_back((ni, nj, here + step));
                }
            }
        }
    }
    let known = || middle.iter().copied().flatten();
    let range = (known().fold(f64::INFINITY, f64::min), known().fold(f64::NEG_INFINITY, f64::max));
    let largest = range.1 - range.0;
    // From here on only cells with a solid are looked up.
    let middle: Vec<f64> = middle.into_iter().map(Option::unwrap_or_default).collect();
    let cells =
        || (0..rows).flat_map(|j| (0..columns).map(move |i| (i, j))).filter(|(i, j)| is_solid(*i, *j));
    let is_unique = cells().all(|(i, j)| {
        steps(i, j)
            .all(|(ni, nj, step)| (middle[at(ni, nj)] - middle[at(i, j)] - step).abs() <= LOOP * largest)
    });
    if largest <= 0.0 {
        return None;
    }
    let count = (columns + 1) * (rows + 1);
    let (mut function, mut flux, mut around) = (vec![0.0; count], vec![0.0; count], vec![0_u32; count]);
    // On an exposed side S differs from that in the middle by what flows along the half cell between.
    let (mut exposed, mut sides) = (vec![0.0; count], vec![0_u32; count]);
    let east = |v: usize| network.east[v] * (temperatures[v] - temperatures[v + 1]);
    let north = |v: usize| network.north[v] * (temperatures[v] - temperatures[v + columns + 1]);
    for (i, j) in cells() {
        let [south_west, south_east, north_west, north_east] =
            [vertex(i, j), vertex(i + 1, j), vertex(i, j + 1), vertex(i + 1, j + 1)];
        let open = [
            (j == 0 || !is_solid(i, j - 1), [south_west, south_east], -east(south_west)),
            (j + 1 == rows || !is_solid(i, j + 1), [north_west, north_east], east(north_west)),
            (i == 0 || !is_solid(i - 1, j), [south_west, north_west], north(south_west)),
            (i + 1 == columns || !is_solid(i + 1, j), [south_east, north_east], -north(south_east)),
        ];
        for (_, ends, step) in open.into_iter().filter(|(is_open, ..)| *is_open) {
            for end in ends {
                exposed[end] += middle[at(i, j)] + step;
                sides[end] += 1;
            }
        }
    }
    for (i, j) in cells() {
        let Filling::Solid(material) = grid.filling(plan, i, j) else { continue };
        let corners = [vertex(i, j), vertex(i + 1, j), vertex(i, j + 1), vertex(i + 1, j + 1)];
        let [south_west, south_east, north_west, north_east] = corners.map(|corner| temperatures[corner]);
        let ((left, bottom), (right, top)) = (grid.position(corners[0]), grid.position(corners[3]));
        let material = &case.model.materials[material];
        let along_x = material.conductivity_x * 0.5 * (south_west + north_west - south_east - north_east)
            / (right - left);
        let along_y = material.conductivity_y * 0.5 * (south_west + south_east - north_west - north_east)
            / (top - bottom);
        for corner in corners {
            function[corner] += middle[at(i, j)];
            flux[corner] += libm::hypot(along_x, along_y);
            around[corner] += 1;
        }
    }
    for (index, cells) in around.iter().enumerate() {
        let share = if *cells > 0 { 1.0 / f64::from(*cells) } else { f64::NAN };
        function[index] =
            if sides[index] > 0 { exposed[index] / f64::from(sides[index]) } else { function[index] * share };
        flux[index] *= share;
    }
    Some(Stream { function: is_unique.then_some(function), flux })
}
