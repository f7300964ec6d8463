//! Temperature fields and the heat flows that follow from them.

use super::network::Network;
use crate::multigrid::level::NotPositiveDefinite;
use crate::multigrid::{Hierarchy, Info, Operator, Parameters, SolveError, solve};

/// A network with its multigrid hierarchy, ready to be solved for any environment temperatures.
#[derive(Clone, Debug)]
pub struct Conduction {
    /// The conductances.
    pub network: Network,
    /// Number of unknown temperatures.
    pub unknowns: usize,
    hierarchy: Hierarchy,
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
    /// Sets up the equations of a network.
    ///
    /// # Errors
    /// [`SolveError::NotPositiveDefinite`] if they have no unique solution.
    pub fn of(network: Network) -> Result<Self, SolveError> {
        let (columns, rows) = (network.columns, network.rows);
        let mut operator = Operator::zeros(columns, rows, false);
        let is_free = network.is_free();
        let mut unknowns = 0;
        for vertex in 0..is_free.len() {
            if !is_free[vertex] {
                continue;
            }
            let here = operator.layout.at(vertex % columns, vertex / columns);
            unknowns += 1;
            operator.center[here] = network.neighbours(vertex).map(|(_, conductance)| conductance).sum();
            let joins = |other: usize, conductance: f64| if is_free.get(other) == Some(&true) { conductance } else { 0.0 };
            operator.east[here] = joins(vertex + 1, network.east[vertex]);
            operator.north[here] = joins(vertex + columns, network.north[vertex]);
        }
        for link in network.links.iter().filter(|link| is_free[link.vertex]) {
            let here = operator.layout.at(link.vertex % columns, link.vertex / columns);
            operator.center[here] += link.conductance;
        }
        operator.set_spans();
        let hierarchy = Hierarchy::of(operator).map_err(|NotPositiveDefinite| SolveError::NotPositiveDefinite)?;
        Ok(Self { network, unknowns, hierarchy })
    }

    /// Solves for the temperatures at the vertices, given one temperature for each environment.
    ///
    /// Where surfaces of fixed but different temperatures meet, the vertex takes their mean. `start` is a field to start from.
    ///
    /// # Errors
    /// [`SolveError`] if the equations cannot be solved.
    pub fn solve(&self, environment_temperatures: &[f64], start: Option<&Field>) -> Result<Field, SolveError> {
        let network = &self.network;
        let layout = &self.hierarchy.finest().layout;
        let place = |vertex: usize| layout.at(vertex % network.columns, vertex / network.columns);
        let is_free = network.is_free();
        // Temperatures are counted from the mean, which spares the solver a constant and keeps its residual meaningful.
        let mean = environment_temperatures.iter().sum::<f64>() / environment_temperatures.len() as f64;
        let fixed = network.fixed_temperatures(environment_temperatures);
        let mut right = vec![0.0; layout.size()];
        for link in network.links.iter().filter(|link| is_free[link.vertex]) {
            right[place(link.vertex)] += link.conductance * (environment_temperatures[link.environment] - mean);
        }
        for ((vertex, _), temperature) in network.fixed.iter().zip(&fixed) {
            for (neighbour, conductance) in network.neighbours(*vertex).filter(|(neighbour, _)| is_free[*neighbour]) {
                right[place(neighbour)] += conductance * (temperature - mean);
            }
        }
        let mut solution = vec![0.0; layout.size()];
        let free = || (0..is_free.len()).filter(|vertex| is_free[*vertex]);
        if let Some(field) = start {
            free().for_each(|vertex| solution[place(vertex)] = field.temperature[vertex] - mean);
        }
        let info = solve(&self.hierarchy, &right, &mut solution, Parameters::default())?;
        let mut temperature = vec![f64::NAN; is_free.len()];
        free().for_each(|vertex| temperature[vertex] = solution[place(vertex)] + mean);
        for ((vertex, _), value) in network.fixed.iter().zip(fixed) {
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
