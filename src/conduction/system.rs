//! The equations in matrix form: A·T = b over the vertices whose temperature is not known beforehand.

use sprs::CsMat;

use super::network::Network;

/// The vertex's temperature is given or meaningless.
const NOT_UNKNOWN: usize = usize::MAX;

/// A symmetric positive definite system over the free vertices of a network.
#[derive(Clone, Debug)]
pub struct System {
    /// A, by rows, W/(m·K).
    pub matrix: CsMat<f64>,
    /// For each unknown, its vertex.
    pub vertex_of: Vec<usize>,
    /// For each vertex, its unknown, or `usize::MAX`.
    unknown_of: Vec<usize>,
}

impl System {
    /// Assembles the matrix. Row i: G to each free neighbour negated, and on the diagonal the sum of all G
    /// and H of the vertex.
    pub fn of(network: &Network) -> Self {
        let is_free = network.is_free();
        let mut diagonal = vec![0.0; is_free.len()];
        for link in &network.links {
            diagonal[link.vertex] += link.conductance;
        }
        let vertex_of: Vec<usize> = (0..is_free.len()).filter(|vertex| is_free[*vertex]).collect();
        let mut unknown_of = vec![NOT_UNKNOWN; is_free.len()];
        for (unknown, vertex) in vertex_of.iter().enumerate() {
            unknown_of[*vertex] = unknown;
        }
        let mut starts = Vec::with_capacity(vertex_of.len() + 1);
        let mut columns = Vec::with_capacity(5 * vertex_of.len());
        let mut values = Vec::with_capacity(5 * vertex_of.len());
        starts.push(0);
        for (unknown, &vertex) in vertex_of.iter().enumerate() {
            let total: f64 = network.neighbours(vertex).map(|(_, conductance)| conductance).sum();
            let mut diagonal_written = false;
            for (neighbour, conductance) in network.neighbours(vertex) {
                if neighbour > vertex && !diagonal_written {
                    columns.push(unknown);
                    values.push(diagonal[vertex] + total);
                    diagonal_written = true;
                }
                if unknown_of[neighbour] != NOT_UNKNOWN {
                    columns.push(unknown_of[neighbour]);
                    values.push(-conductance);
                }
            }
            if !diagonal_written {
                columns.push(unknown);
                values.push(diagonal[vertex] + total);
            }
            starts.push(columns.len());
        }
        let matrix = CsMat::new((vertex_of.len(), vertex_of.len()), starts, columns, values);
        Self { matrix, vertex_of, unknown_of }
    }

    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        self.vertex_of.len()
    }

    /// b for given environment temperatures: what flows in from environments and from vertices of fixed
    /// temperature, W/m. `fixed` holds the temperatures of the network's fixed vertices, in its order.
    pub fn right_hand_side(&self, network: &Network, temperatures: &[f64], fixed: &[f64]) -> Vec<f64> {
        let mut right = vec![0.0; self.unknowns()];
        for link in &network.links {
            if let Some(entry) = right.get_mut(self.unknown_of[link.vertex]) {
                *entry += link.conductance * temperatures[link.environment];
            }
        }
        for ((vertex, _), temperature) in network.fixed.iter().zip(fixed) {
            for (neighbour, conductance) in network.neighbours(*vertex) {
                if let Some(entry) = right.get_mut(self.unknown_of[neighbour]) {
                    *entry += conductance * temperature;
                }
            }
        }
        right
    }
}
