//! The solids of a mesh as they conduct, and what a temperature on them comes to: heat flows, fluxes, means.

use super::elements::Shape;
use super::mesh::Mesh;
use super::nodes::Nodes;
use super::properties::{Conductivity, Film, Unsolvable, check_conductivities, check_films};
use super::temperature::{self, Fixed};

/// What the equations of both fields take from a mesh.
#[derive(Clone, Debug)]
pub struct Solids {
    pub(super) nodes: Nodes,
    /// By cell.
    pub(super) shapes: Vec<Shape>,
    /// By cell, W/(m·K).
    pub(super) conductivity: Vec<Conductivity>,
    pub(super) environments: usize,
    pub(super) fixed: Fixed,
}

/// A temperature for one load, on which it depends linearly.
#[derive(Clone, Debug, PartialEq)]
pub struct Temperatures {
    /// The load: the temperature of each environment.
    pub environments: Vec<f64>,
    /// By node.
    pub(super) at: Vec<f64>,
}

impl Temperatures {
    /// `part`·self + `other_part`·other, which is the temperature for the same combination of the loads.
    pub(super) fn combined(&self, part: f64, other: &Self, other_part: f64) -> Self {
        Self {
            environments: combined(&self.environments, part, &other.environments, other_part),
            at: combined(&self.at, part, &other.at, other_part),
        }
    }
}

/// `part`·one + `other_part`·other, entry by entry.
pub(super) fn combined(one: &[f64], part: f64, other: &[f64], other_part: f64) -> Vec<f64> {
    one.iter().zip(other).map(|(one, other)| part * one + other_part * other).collect()
}

impl Solids {
    /// As for [`super::System::of`].
    ///
    /// # Errors
    /// [`Unsolvable`].
    pub(super) fn of(
        mesh: &Mesh,
        conductivities: &[Conductivity],
        films: &[Option<Film>],
        environments: usize,
    ) -> Result<Self, Unsolvable> {
        check_conductivities(conductivities)?;
        check_films(films, environments)?;
        let nodes = Nodes::of(mesh, films)?;
        let mut shapes = Vec::with_capacity(nodes.cells.len());
        let mut conductivity = Vec::with_capacity(nodes.cells.len());
        for cell in &nodes.cells {
            shapes.push(Shape::of(&cell.points).ok_or(Unsolvable::Triangle { triangle: cell.triangle })?);
            conductivity
                .push(*conductivities.get(cell.solid).ok_or(Unsolvable::Conductivity { solid: cell.solid })?);
        }
        let fixed = Fixed::of(&nodes);
        Ok(Self { nodes, shapes, conductivity, environments, fixed })
    }

    /// The load with one temperature for each environment that films lead to: further ones are left aside, and
    /// missing ones are at 0.
    pub(super) fn load(&self, environments: &[f64]) -> Vec<f64> {
        let mut environments = environments.to_vec();
        environments.resize(self.environments, 0.0);
        environments
    }

    /// True if surfaces fixed at different temperatures meet in a point: the heat flow between them is
    /// infinite, and so is the upper bound.
    pub fn has_jump(&self, environments: &[f64]) -> bool {
        self.fixed.jumps(environments)
    }

    /// The heat that flows into each environment, W/m, by the temperature: through films by the difference before
    /// them, and where a surface has no resistance by what its nodes need to keep theirs. Where films resist
    /// little the difference has few digits, and the stream function tells more.
    pub fn heat_flows(&self, field: &Temperatures) -> Vec<f64> {
        let mut flows = vec![0.0; field.environments.len()];
        for edge in &self.nodes.edges {
            let Some(film) = edge.film.filter(|film| film.resistance > 0.0) else { continue };
            let temperatures = self.within(field, edge.cell);
            let above = edge.places().map(|place| temperatures[place] - field.environments[film.environment]);
            flows[film.environment] +=
                temperature::film_flow(edge.length, film.resistance, above).iter().sum::<f64>();
        }
        for (cell, here) in self.nodes.cells.iter().enumerate() {
            if here.nodes.iter().all(|node| self.fixed.by(*node).is_none()) {
                continue;
            }
            let left = self.heat_into_nodes(cell, &self.within(field, cell), &field.environments);
            for (node, left) in here.nodes.iter().zip(left) {
                // A node between two surfaces gives half to each.
                for environment in self.fixed.by(*node).into_iter().flatten() {
                    flows[environment] += 0.5 * left;
                }
            }
        }
        flows
    }

    /// Of a triangle: the integral of the temperature, K·m², and that of its gradient, K·m; none as for the
    /// temperature.
    pub fn integrals(&self, field: &Temperatures, triangle: usize) -> Option<(f64, [f64; 2])> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        let temperatures = self.within(field, cell);
        let shape = &self.shapes[cell];
        // Of a quadratic, by its values in the middles of the edges.
        let mean = (temperatures[3] + temperatures[4] + temperatures[5]) / 3.0;
        let gradients = shape.gradients(&temperatures);
        let along =
            |axis: usize| shape.area * gradients.iter().map(|gradient| gradient[axis]).sum::<f64>() / 3.0;
        Some((shape.area * mean, [along(0), along(1)]))
    }

    /// The heat flux −K∇T in a triangle at given barycentric coordinates, W/m²; none as for the temperature.
    pub fn flux(&self, field: &Temperatures, triangle: usize, at: [f64; 3]) -> Option<[f64; 2]> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        let gradients = self.shapes[cell].gradients(&self.within(field, cell));
        // Linear between the middles of the edges.
        let part = |axis: usize| (0..3).map(|k| (1.0 - 2.0 * at[k]) * gradients[k][axis]).sum::<f64>();
        Some(self.conductivity[cell].times([part(0), part(1)]).map(|flux| -flux))
    }

    /// The highest and the lowest temperature at the nodes of a triangle; none as for the temperature.
    pub fn extremes(&self, field: &Temperatures, triangle: usize) -> Option<[f64; 2]> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        let temperatures = self.within(field, cell);
        Some([
            temperatures.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            temperatures.iter().copied().fold(f64::INFINITY, f64::min),
        ])
    }

    /// What cells have at their nodes, by node.
    pub(super) fn by_node(&self, in_cell: impl Fn(usize) -> [f64; 6]) -> Vec<f64> {
        let mut by_node = vec![0.0; self.nodes.count];
        for (cell, here) in self.nodes.cells.iter().enumerate() {
            for (node, value) in here.nodes.iter().zip(in_cell(cell)) {
                by_node[*node] = value;
            }
        }
        by_node
    }

    /// The temperatures of a cell's nodes.
    pub(super) fn within(&self, field: &Temperatures, cell: usize) -> [f64; 6] {
        self.nodes.cells[cell].nodes.map(|node| field.at[node])
    }

    /// What is left of the equations of T: −∫ ∇v·K∇T − ∮ v·(T − θ)/R.
    pub(super) fn heat_into_nodes(
        &self,
        cell: usize,
        temperatures: &[f64; 6],
        environments: &[f64],
    ) -> [f64; 6] {
        let shape = &self.shapes[cell];
        let flux = shape.gradients(temperatures).map(|gradient| self.conductivity[cell].times(gradient));
        let mut out = shape.against_gradients(&flux);
        for edge in self.nodes.edges_of(cell) {
            if let Some(film) = edge.film.filter(|film| film.resistance > 0.0) {
                let places = edge.places();
                let above = places.map(|place| temperatures[place] - environments[film.environment]);
                let flow = temperature::film_flow(edge.length, film.resistance, above);
                places.iter().zip(flow).for_each(|(place, flow)| out[*place] += flow);
            }
        }
        out.map(|flow| -flow)
    }
}
