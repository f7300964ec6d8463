//! The bounds, and where they differ.
//!
//! With J of `temperature.rs`, A and B of `stream.rs`: J ≥ E ≥ B²/A, and for T and q alike
//!
//! ```text
//! J − 2B + A = ∫ |K∇T + q|²_{K⁻¹} + ∮ ((T − θ) − R·q_n)²/R,       |v|²_{K⁻¹} = v·K⁻¹v
//! ```
//!
//! (Prager and Synge, Quart. Appl. Math. 5 (1947) 241–269; derived in `bounds/mod.rs`). Where R = 0 the second
//! term is nothing, since T = θ there. All integrands are quadratics or products of two linear functions in
//! cells, and of degree 4 at most on edges, and are integrated exactly.
//!
//! **Pairs of environments** by polarisation, as in `bounds/mod.rs`.

use super::elements::{dot, square_on_edge};
use super::stream::outflow;
use super::system::{Pair, System};
use crate::bounds::{Bracket, NoBracket};

/// The energies of a pair, W·K/m, and the mismatch between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Energies {
    /// J(T); infinite where surfaces fixed at different temperatures meet.
    pub potential: f64,
    /// A.
    pub dissipation: f64,
    /// B.
    pub work: f64,
    /// What each triangle of the mesh adds to J − 2B + A, with the films on its edges.
    pub mismatch: Vec<f64>,
}

impl Energies {
    /// The bracket of E.
    ///
    /// # Errors
    /// [`NoBracket`] if a bound is not finite or they contradict each other.
    pub fn bracket(&self) -> Result<Bracket, NoBracket> {
        let work = self.work.max(0.0);
        let lower = if self.dissipation > 0.0 { work * work / self.dissipation } else { 0.0 };
        Bracket::of(lower, self.potential, self.potential)
    }
}

impl System {
    /// The energies of a pair.
    pub fn energies(&self, pair: &Pair) -> Energies {
        let (mut potential, mut dissipation, mut work) = (0.0, 0.0, 0.0);
        let zero = self.middles(pair);
        let mut mismatch = vec![0.0; self.solids.nodes.cell_of.len()];
        for (cell, here) in self.solids.nodes.cells.iter().enumerate() {
            let (shape, conductivity) = (&self.solids.shapes[cell], &self.solids.conductivity[cell]);
            let (temperatures, stream) =
                (self.solids.within(&pair.temperature, cell), self.stream_in(pair, cell));
            let (mut of_temperature, mut of_stream, mut between) = (0.0, 0.0, 0.0);
            for (gradient, turned) in shape.gradients(&temperatures).into_iter().zip(shape.gradients(&stream))
            {
                let flux = [turned[1], -turned[0]];
                let driven = conductivity.times(gradient);
                of_temperature += dot(gradient, driven);
                of_stream += conductivity.inverse_square(flux);
                between += conductivity.inverse_square([driven[0] + flux[0], driven[1] + flux[1]]);
            }
            let weight = shape.area / 3.0;
            potential += weight * of_temperature;
            dissipation += weight * of_stream;
            mismatch[here.triangle] += weight * between;
            for edge in self.solids.nodes.edges_of(cell) {
                let Some(film) = edge.film else { continue };
                let environment = pair.environments()[film.environment];
                let [first, last, middle] = edge.places();
                work -= (environment - zero[self.solids.nodes.piece[cell]]) * (stream[last] - stream[first]);
                if film.resistance > 0.0 {
                    let [begins, ends] =
                        outflow(edge.length, [first, last, middle].map(|place| stream[place]));
                    let above = [first, last, middle].map(|place| temperatures[place] - environment);
                    let drop = [begins, ends, f64::midpoint(begins, ends)].map(|flux| film.resistance * flux);
                    let differ = [above[0] - drop[0], above[1] - drop[1], above[2] - drop[2]];
                    let weight = edge.length / film.resistance;
                    potential += weight * square_on_edge(above);
                    dissipation += weight * square_on_edge(drop);
                    mismatch[here.triangle] += weight * square_on_edge(differ);
                }
            }
        }
        if self.solids.has_jump(pair.environments()) {
            potential = f64::INFINITY;
        }
        Energies { potential, dissipation, work, mismatch }
    }

    /// The middle between the highest and the lowest temperature before each piece of solid. The flows out of a
    /// piece sum to nothing, so B may count temperatures from any zero: from here it keeps its digits where
    /// temperatures differ by little, and is nothing where they do not differ.
    fn middles(&self, pair: &Pair) -> Vec<f64> {
        let mut ranges = vec![(f64::NEG_INFINITY, f64::INFINITY); self.solids.nodes.pieces];
        for edge in &self.solids.nodes.edges {
            if let Some(film) = edge.film {
                let environment = pair.environments()[film.environment];
                let (highest, lowest) = &mut ranges[self.solids.nodes.piece[edge.cell]];
                *highest = highest.max(environment);
                *lowest = lowest.min(environment);
            }
        }
        ranges.iter().map(|(highest, lowest)| f64::midpoint(*highest, *lowest)).collect()
    }

    /// The heat that flows into each environment, W/m, by the stream function: it balances, so they
    /// sum to nothing.
    pub fn heat_flows(&self, pair: &Pair) -> Vec<f64> {
        let mut flows = vec![0.0; pair.environments().len()];
        for edge in &self.solids.nodes.edges {
            if let Some(film) = edge.film {
                let stream = self.stream_in(pair, edge.cell);
                let [first, last, _] = edge.places();
                flows[film.environment] += stream[last] - stream[first];
            }
        }
        flows
    }
}
