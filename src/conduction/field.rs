//! Temperature fields and the heat flows that follow from them.

use super::conjugate_gradients::{Info, Parameters, SolveError, solve};
use super::network::Network;
use super::system::System;

/// A network with its equations, ready to be solved for any environment temperatures.
#[derive(Clone, Debug)]
pub struct Conduction {
    /// The conductances.
    pub network: Network,
    /// The equations.
    pub system: System,
}

/// A temperature at every vertex of a grid.
#[derive(Clone, Debug)]
pub struct Field {
    /// °C (or K per K for unit solutions); NaN where there is no solid.
    pub temperature: Vec<f64>,
    /// How it was solved.
    pub info: Info,
}

impl Conduction {
    /// Assembles the equations of a network.
    pub fn of(network: Network) -> Self {
        let system = System::of(&network);
        Self { network, system }
    }

    /// Solves for the temperatures at the vertices, given one temperature for each environment.
    ///
    /// Where surfaces of fixed but different temperatures meet, the vertex takes their mean. `start` is a field to start from.
    ///
    /// # Errors
    /// [`SolveError`] if the equations cannot be solved.
    pub fn solve(&self, environment_temperatures: &[f64], start: Option<&Field>) -> Result<Field, SolveError> {
        let fixed: Vec<f64> = self
            .network
            .fixed
            .iter()
            .map(|(_, environments)| {
                environments.iter().map(|index| environment_temperatures[*index]).sum::<f64>() / environments.len() as f64
            })
            .collect();
        // Temperatures are counted from the mean, which spares the solver a constant and keeps its residual meaningful.
        let mean = environment_temperatures.iter().sum::<f64>() / environment_temperatures.len() as f64;
        let shifted: Vec<f64> = environment_temperatures.iter().map(|temperature| temperature - mean).collect();
        let shifted_fixed: Vec<f64> = fixed.iter().map(|temperature| temperature - mean).collect();
        let right = self.system.right_hand_side(&self.network, &shifted, &shifted_fixed);
        let mut solution: Vec<f64> = match start {
            Some(field) => self.system.vertex_of.iter().map(|vertex| field.temperature[*vertex] - mean).collect(),
            None => vec![0.0; self.system.unknowns()],
        };
        let info = solve(&self.system.matrix, &right, &mut solution, Parameters::default())?;
        let mut temperature = vec![f64::NAN; self.network.is_solid.len()];
        for (vertex, value) in self.system.vertex_of.iter().zip(&solution) {
            temperature[*vertex] = value + mean;
        }
        for ((vertex, _), value) in self.network.fixed.iter().zip(fixed) {
            temperature[*vertex] = value;
        }
        Ok(Field { temperature, info })
    }

    /// Heat flow from each environment into the construction, W per metre of junction.
    ///
    /// At a vertex of fixed temperature it is what the vertex hands on to its neighbours; where surfaces of different fixed
    /// temperatures meet, the flow there is shared evenly, which has no physical meaning (it grows without limit on finer grids).
    pub fn heat_flows(&self, field: &Field, environment_temperatures: &[f64]) -> Vec<f64> {
        let temperature = &field.temperature;
        let mut flows = vec![0.0; environment_temperatures.len()];
        for link in &self.network.links {
            flows[link.environment] += link.conductance * (environment_temperatures[link.environment] - temperature[link.vertex]);
        }
        if self.network.fixed.is_empty() {
            return flows;
        }
        let mut supplied = vec![0.0; temperature.len()];
        for link in &self.network.links {
            supplied[link.vertex] += link.conductance * (environment_temperatures[link.environment] - temperature[link.vertex]);
        }
        for (vertex, environments) in &self.network.fixed {
            let to_neighbours: f64 = self
                .network
                .neighbours(*vertex)
                .map(|(neighbour, conductance)| conductance * (temperature[*vertex] - temperature[neighbour]))
                .sum();
            for environment in environments {
                flows[*environment] += (to_neighbours - supplied[*vertex]) / environments.len() as f64;
            }
        }
        flows
    }

    /// True if surfaces of different fixed temperatures meet in a point, so that the heat flow has no finite value.
    pub fn has_temperature_jump(&self, environment_temperatures: &[f64]) -> bool {
        self.network.fixed.iter().any(|(_, environments)| {
            environments.iter().any(|index| environment_temperatures[*index] != environment_temperatures[environments[0]])
        })
    }
}
