//! Temperature fields and the heat flows that follow from them.

use rayon::prelude::*;

use super::network::Network;
use super::system::System;
use crate::multigrid::{
    Entries, Hierarchy, Info, Layout, NotPositiveDefinite, Operator, Parameters, SolveError, solve,
};

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

/// Calls `work` with the number of each free vertex in the network and its place in the solver's arrays.
fn each_free(layout: &Layout, is_free: &[bool], mut work: impl FnMut(usize, usize)) {
    for line in 0..layout.count() {
        let first = layout.first_place(line);
        layout
            .vertices_in(line)
            .filter(|(vertex, _)| is_free[*vertex])
            .for_each(|(vertex, place)| work(vertex, first + place));
    }
}

/// Fills in the conductances between free vertices, and on the diagonal those to all neighbours. Returns the
/// number of free vertices.
fn set_conductances(operator: &mut Operator, network: &Network, is_free: &[bool]) -> usize {
    let Entries { layout, center, east, north } = operator.entries();
    let lines: Vec<_> =
        layout.lines(center).into_iter().zip(layout.lines(east)).zip(layout.lines(north)).collect();
    let count = lines.into_par_iter().enumerate().with_min_len(16).map(|(line, ((center, east), north))| {
        let mut count = 0;
        for (vertex, place) in layout.vertices_in(line).filter(|(vertex, _)| is_free[*vertex]) {
            count += 1;
            center[place] = network.neighbours(vertex).map(|(_, conductance)| conductance).sum();
            // The network's conductances to the east of the last column and to the north of the last row are
            // zero.
            east[place] = if is_free.get(vertex + 1) == Some(&true) { network.east[vertex] } else { 0.0 };
            north[place] = if is_free.get(vertex + network.columns) == Some(&true) {
                network.north[vertex]
            } else {
                0.0
            };
        }
        count
    });
    count.sum()
}

impl Conduction {
    /// Sets up the equations of a network.
    ///
    /// # Errors
    /// [`SolveError::NotPositiveDefinite`] if they have no unique solution.
    pub fn of(network: Network) -> Result<Self, SolveError> {
        let is_free = network.is_free();
        let spans = is_free.chunks(network.columns).map(|row| {
            let first = row.iter().position(|is_free| *is_free);
            let last = row.iter().rposition(|is_free| *is_free);
            first.unwrap_or(0)..last.map_or(0, |last| last + 1)
        });
        let mut operator = Operator::five_point(Layout::of(network.columns, spans));
        let unknowns = set_conductances(&mut operator, &network, &is_free);
        let Entries { layout, center, .. } = operator.entries();
        for link in network.links.iter().filter(|link| is_free[link.vertex]) {
            center[layout.at(link.vertex % network.columns, link.vertex / network.columns)] +=
                link.conductance;
        }
        let hierarchy =
            Hierarchy::of(operator).map_err(|NotPositiveDefinite| SolveError::NotPositiveDefinite)?;
        Ok(Self { network, unknowns, hierarchy })
    }

    /// Solves for the temperatures at the vertices, given one temperature for each environment.
    ///
    /// Where surfaces of fixed but different temperatures meet, the vertex takes their mean. `start` holds a
    /// temperature for each vertex to start from.
    ///
    /// # Errors
    /// [`SolveError`] if the equations cannot be solved.
    pub fn solve(
        &self,
        environment_temperatures: &[f64],
        start: Option<&[f64]>,
    ) -> Result<Field, SolveError> {
        self.solve_to(environment_temperatures, start, Parameters::default())
    }

    /// The same to another tolerance.
    ///
    /// # Errors
    /// As [`Self::solve`].
    pub fn solve_to(
        &self,
        environment_temperatures: &[f64],
        start: Option<&[f64]>,
        parameters: Parameters,
    ) -> Result<Field, SolveError> {
        let network = &self.network;
        let layout = self.hierarchy.finest().layout();
        let place = |vertex: usize| layout.at(vertex % network.columns, vertex / network.columns);
        let is_free = network.is_free();
        // Temperatures are counted from the mean, which spares the solver a constant and keeps its residual
        // meaningful. Environments that touch nothing must not change a digit.
        let mut is_touched = vec![false; environment_temperatures.len()];
        network.faces.iter().for_each(|face| is_touched[face.environment] = true);
        let touching =
            || environment_temperatures.iter().zip(&is_touched).filter(|(_, is_touched)| **is_touched);
        let mean =
            touching().map(|(temperature, _)| temperature).sum::<f64>() / touching().count().max(1) as f64;
        let fixed = network.fixed_temperatures(environment_temperatures);
        let mut right = vec![0.0; layout.size()];
        for link in network.links.iter().filter(|link| is_free[link.vertex]) {
            right[place(link.vertex)] +=
                link.conductance * (environment_temperatures[link.environment] - mean);
        }
        for ((vertex, _), temperature) in network.fixed.iter().zip(&fixed) {
            for (neighbour, conductance) in
                network.neighbours(*vertex).filter(|(neighbour, _)| is_free[*neighbour])
            {
                right[place(neighbour)] += conductance * (temperature - mean);
            }
        }
        let mut solution = vec![0.0; layout.size()];
        if let Some(start) = start {
            each_free(layout, &is_free, |vertex, place| solution[place] = start[vertex] - mean);
        }
        let info = solve(&self.hierarchy, &right, &mut solution, parameters)?;
        let mut temperature = vec![f64::NAN; is_free.len()];
        each_free(layout, &is_free, |vertex, place| temperature[vertex] = solution[place] + mean);
        for ((vertex, _), value) in network.fixed.iter().zip(fixed) {
            temperature[*vertex] = value;
        }
        Ok(Field { temperature, info })
    }

    /// The temperatures, in K, with all environments at 0 and heat sources (W/m) at some vertices. Sources at
    /// vertices of fixed temperature do nothing.
    ///
    /// # Errors
    /// [`SolveError`] if the equations cannot be solved.
    pub fn response(&self, sources: &[(usize, f64)], parameters: Parameters) -> Result<Vec<f64>, SolveError> {
        let (network, layout) = (&self.network, self.hierarchy.finest().layout());
        let is_free = network.is_free();
        let mut right = vec![0.0; layout.size()];
        for (vertex, source) in sources.iter().filter(|(vertex, _)| is_free[*vertex]) {
            right[layout.at(vertex % network.columns, vertex / network.columns)] += source;
        }
        let mut temperature = vec![f64::NAN; is_free.len()];
        for (vertex, _) in &network.fixed {
            temperature[*vertex] = 0.0;
        }
        let mut solution = vec![0.0; layout.size()];
        if right.iter().any(|source| *source != 0.0) {
            solve(&self.hierarchy, &right, &mut solution, parameters)?;
        }
        each_free(layout, &is_free, |vertex, place| temperature[vertex] = solution[place]);
        Ok(temperature)
    }

    /// The grids of the solver.
    pub fn hierarchy(&self) -> &Hierarchy {
        &self.hierarchy
    }

    /// The equations as a general sparse matrix, with their right-hand side for given environment
    /// temperatures: the same that [`Self::solve`] solves, for any other solver.
    pub fn as_system(&self, environment_temperatures: &[f64]) -> (System, Vec<f64>) {
        let system = System::of(&self.network);
        let fixed = self.network.fixed_temperatures(environment_temperatures);
        let right = system.right_hand_side(&self.network, environment_temperatures, &fixed);
        (system, right)
    }

    /// Heat flow from each environment into the construction, W per metre of junction.
    ///
    /// At a vertex of fixed temperature it is what the vertex hands on to its neighbours; where surfaces of
    /// different fixed temperatures meet, the flow there is shared evenly, which has no physical meaning (it
    /// grows without limit on finer grids).
    pub fn heat_flows(&self, field: &Field, environment_temperatures: &[f64]) -> Vec<f64> {
        let temperature = &field.temperature;
        let mut flows = vec![0.0; environment_temperatures.len()];
        for link in &self.network.links {
            flows[link.environment] +=
                link.conductance * (environment_temperatures[link.environment] - temperature[link.vertex]);
        }
        if self.network.fixed.is_empty() {
            return flows;
        }
        let mut supplied = vec![0.0; temperature.len()];
        for link in &self.network.links {
            supplied[link.vertex] +=
                link.conductance * (environment_temperatures[link.environment] - temperature[link.vertex]);
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
}
