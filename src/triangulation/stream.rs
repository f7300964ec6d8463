//! The stream function: the lower bound.
//!
//! Of a continuous function ψ, q = (∂ψ/∂y, −∂ψ/∂x) is a heat flux without sources, also across the edges of
//! cells. Out of the surface flows q_n = ∂ψ/∂s, with s anticlockwise round the solid: ψ is constant along
//! every stretch of boundary where no heat passes, and the flow through a stretch of film is the difference of ψ
//! at its ends. By Thomson's principle, with
//!
//! ```text
//! A = ∫ q·K⁻¹q + ∮ R·q_n²,   B = −∮ θ·q_n,
//! ```
//!
//! B²/A is a lower bound of the energy (derived in `bounds/mod.rs`), the best when B − A/2 is largest:
//!
//! ```text
//! ∫ ∇v·(K/det K)∇ψ + ∮ R·v'ψ' = −∮ θ·v'      for every v that is constant along those stretches
//! ```
//!
//! since the inverse of a symmetric 2 × 2 matrix, turned by a right angle, is the matrix over its determinant.
//! So the matrix of this field is that of the temperature with other coefficients.
//!
//! ψ is known up to a constant on each piece of solid: the stretch of the most nodes is put at 0. Every node of
//! another stretch has that stretch's value, also all round a hole through whose surface no heat passes. Holes
//! with films have one more unknown each (`strips.rs`).

use super::elements::{EDGE_STIFFNESS, slope_on_edge};
use super::nodes::Nodes;
use super::strips::strips;
use super::values::Values;
use crate::polygons::groups::Groups;

/// How the values of cells hang on the unknowns.
pub(super) fn values(nodes: &Nodes) -> Values {
    let mut stretches = Groups::new(nodes.count);
    for edge in nodes.edges.iter().filter(|edge| edge.film.is_none()) {
        let [first, last, middle] = nodes.on(edge);
        stretches.join(first, middle);
        stretches.join(middle, last);
    }
    let (stretch, count) = stretches.numbered();
    let zero = zeros(nodes, &stretch, count);
    let mut unknowns = 0;
    let unknown: Vec<Option<u32>> = zero
        .iter()
        .map(|zero| {
            unknowns += u32::from(!zero);
            (!zero).then(|| unknowns - 1)
        })
        .collect();
    let mut extra: Vec<Vec<(u32, [bool; 3])>> = vec![Vec::new(); nodes.cells.len()];
    for strip in strips(nodes) {
        for (cell, right) in strip {
            extra[cell].push((unknowns, right));
        }
        unknowns += 1;
    }
    let of_cell = |(cell, extra): (&super::nodes::Cell, &Vec<(u32, [bool; 3])>)| {
        let mut values: [Vec<(u32, f64)>; 6] = cell
            .nodes
            .map(|node| unknown[stretch[node] as usize].map(|unknown| (unknown, 1.0)).into_iter().collect());
        for (unknown, right) in extra {
            let part = right.map(|right| f64::from(u8::from(right)));
            for i in 0..3 {
                let middle = f64::midpoint(part[(i + 1) % 3], part[(i + 2) % 3]);
                for (place, part) in [(i, part[i]), (3 + i, middle)] {
                    if part != 0.0 {
                        values[place].push((*unknown, part));
                    }
                }
            }
        }
        values
    };
    Values::of(unknowns as usize, nodes.cells.iter().zip(&extra).flat_map(of_cell))
}

/// By stretch, whether it is the one of the most nodes of its piece, the first of these.
fn zeros(nodes: &Nodes, stretch: &[u32], count: usize) -> Vec<bool> {
    let mut size = vec![0; count];
    for stretch in stretch {
        size[*stretch as usize] += 1;
    }
    let mut largest: Vec<Option<usize>> = vec![None; nodes.pieces];
    for (cell, piece) in nodes.cells.iter().zip(&nodes.piece) {
        for node in cell.nodes {
            let here = stretch[node] as usize;
            let best = &mut largest[*piece];
            if best.is_none_or(|best| size[here] > size[best]) {
                *best = Some(here);
            }
        }
    }
    let mut zero = vec![false; count];
    largest.into_iter().flatten().for_each(|stretch| zero[stretch] = true);
    zero
}

/// What a film adds to the matrix of its cell: places of the edge's values.
pub(super) fn film_matrix(length: f64, resistance: f64) -> [[f64; 3]; 3] {
    EDGE_STIFFNESS.map(|row| row.map(|value| resistance / length * value))
}

/// The flux out of both ends of an edge, W/m², linear between.
pub(super) fn outflow(length: f64, stream: [f64; 3]) -> [f64; 2] {
    slope_on_edge(stream).map(|slope| slope / length)
}

/// ∮ R·v'ψ' + ∮ θ·v' for the shape functions of an edge, from the flux out of its ends.
pub(super) fn film_force(resistance: f64, environment: f64, [first, last]: [f64; 2]) -> [f64; 3] {
    let flux = [-(5.0 * first + last) / 6.0, (first + 5.0 * last) / 6.0, 2.0 * (first - last) / 3.0];
    [resistance * flux[0] - environment, resistance * flux[1] + environment, resistance * flux[2]]
}
