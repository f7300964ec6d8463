//! The temperature: the upper bound.
//!
//! By Dirichlet's principle the exact temperature has the least energy
//!
//! ```text
//! J(T) = ∫ ∇T·K∇T + ∮ (T − θ)²/R
//! ```
//!
//! of all continuous temperatures that equal θ where R = 0, so J of any of these is an upper bound of the heat
//! loss's energy. Among continuous quadratics the least is where, for every shape function v that is 0 where R =
//! 0,
//!
//! ```text
//! ∫ ∇v·K∇T + ∮ v·(T − θ)/R = 0
//! ```
//!
//! A node on two surfaces fixed at different temperatures cannot equal both: there the energy is infinite,
//! while temperatures elsewhere converge. It takes the mean, and [`Fixed::jumps`] tells.

use super::elements::{EDGE_MASS, on_edge};
use super::nodes::Nodes;
use super::values::Values;

/// Nodes of fixed temperature, by the environments of the one or two surfaces that fix them.
#[derive(Clone, Debug)]
pub(super) struct Fixed {
    /// By node.
    by: Vec<Option<[usize; 2]>>,
}

impl Fixed {
    /// Of a mesh's nodes.
    pub(super) fn of(nodes: &Nodes) -> Self {
        let mut by: Vec<Option<[usize; 2]>> = vec![None; nodes.count];
        for edge in &nodes.edges {
            if let Some(film) = edge.film.filter(|film| film.resistance == 0.0) {
                for node in nodes.on(edge) {
                    let [first, _] = by[node].unwrap_or([film.environment; 2]);
                    by[node] = Some([first, film.environment]);
                }
            }
        }
        Self { by }
    }

    /// The environments whose surfaces fix a node, twice the same for one; none if it is free.
    pub(super) fn by(&self, node: usize) -> Option<[usize; 2]> {
        self.by[node]
    }

    /// True if surfaces fixed at different temperatures meet.
    pub(super) fn jumps(&self, environments: &[f64]) -> bool {
        self.by.iter().flatten().any(|[one, other]| environments[*one] != environments[*other])
    }

    /// The temperature of each fixed node, 0 for all others.
    pub(super) fn temperatures(&self, environments: &[f64]) -> Vec<f64> {
        let mean = |[one, other]: [usize; 2]| f64::midpoint(environments[one], environments[other]);
        self.by.iter().map(|by| by.map_or(0.0, mean)).collect()
    }

    /// How the values of cells hang on the unknowns, one for each node that is not fixed.
    pub(super) fn values(&self, nodes: &Nodes) -> Values {
        let mut count = 0;
        let unknown: Vec<Option<u32>> = self
            .by
            .iter()
            .map(|by| {
                count += u32::from(by.is_none());
                by.is_none().then(|| count - 1)
            })
            .collect();
        let of_cells = nodes.cells.iter().flat_map(|cell| cell.nodes);
        Values::of(count as usize, of_cells.map(|node| unknown[node].map(|unknown| (unknown, 1.0))))
    }
}

/// What a film adds to the matrix of its cell: places of the edge's values.
pub(super) fn film_matrix(length: f64, resistance: f64) -> [[f64; 3]; 3] {
    EDGE_MASS.map(|row| row.map(|value| length / resistance * value))
}

/// The heat that a film of resistance R > 0 takes from each node of its edge, W/m, for temperatures above the
/// environment's.
pub(super) fn film_flow(length: f64, resistance: f64, above: [f64; 3]) -> [f64; 3] {
    on_edge(&EDGE_MASS, above).map(|value| length / resistance * value)
}
