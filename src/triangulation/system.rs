//! Both fields on a mesh: their equations, factorised once for all loads.

use super::Mesh;
use super::dissection::Tree;
use super::elements::Shape;
use super::front::NoFactor;
use super::nodes::Nodes;
use super::properties::{Conductivity, Field, Film, Unsolvable, check_conductivities, check_films};
use super::sampling::FilmEdge;
use super::temperature::Fixed;
use super::values::Equations;
use super::{stream, temperature};

/// The equations of temperature and stream function on a mesh.
#[derive(Clone, Debug)]
pub struct System {
    pub(super) nodes: Nodes,
    /// By cell.
    pub(super) shapes: Vec<Shape>,
    /// By cell, W/(m·K).
    pub(super) conductivity: Vec<Conductivity>,
    pub(super) environments: usize,
    fixed: Fixed,
    pub(super) temperature: Equations,
    pub(super) stream: Equations,
}

/// Temperature and stream function for one load. Both depend on the load linearly.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// The load: the temperature of each environment.
    pub environments: Vec<f64>,
    /// By node.
    pub(super) temperature: Vec<f64>,
    /// By unknown of the stream function, W/m for K.
    pub(super) stream: Vec<f64>,
}

impl Pair {
    /// `part`·self + `other_part`·other, which is the pair for the same combination of the loads.
    #[must_use]
    pub fn combined(&self, part: f64, other: &Self, other_part: f64) -> Self {
        let sum = |one: &[f64], other: &[f64]| {
            one.iter().zip(other).map(|(one, other)| part * one + other_part * other).collect()
        };
        Self {
            environments: sum(&self.environments, &other.environments),
            temperature: sum(&self.temperature, &other.temperature),
            stream: sum(&self.stream, &other.stream),
        }
    }
}

impl System {
    /// Arranges and factorises the equations: `conductivities` by solid, `films` by segment of the drawing,
    /// the number of `environments` that films lead to. No heat passes where a boundary's segment has no film,
    /// or where an edge is of no segment.
    ///
    /// # Errors
    /// [`Unsolvable`].
    pub fn of(
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
        let centres: Vec<[f64; 2]> = nodes
            .cells
            .iter()
            .map(|cell| {
                [0, 1].map(|axis| (cell.points[0][axis] + cell.points[1][axis] + cell.points[2][axis]) / 3.0)
            })
            .collect();
        let beside: Vec<[Option<usize>; 3]> = nodes.cells.iter().map(|cell| cell.beside).collect();
        let tree = Tree::of(&centres, &beside);
        let fixed = Fixed::of(&nodes);
        let of_temperature = || {
            Equations::of(fixed.values(&nodes), &tree, |cell| {
                let stiffness = shapes[cell].stiffness(&conductivity[cell]);
                with_films(&nodes, cell, stiffness, temperature::film_matrix)
            })
        };
        let of_stream = || {
            Equations::of(stream::values(&nodes), &tree, |cell| {
                let stiffness = shapes[cell].stiffness(&conductivity[cell].of_stream());
                with_films(&nodes, cell, stiffness, stream::film_matrix)
            })
        };
        let (of_temperature, of_stream) = rayon::join(of_temperature, of_stream);
        let failed = |field| {
            move |reason| match reason {
                NoFactor::NotPositiveDefinite => Unsolvable::NotPositiveDefinite { field },
                NoFactor::TooLarge => Unsolvable::TooLarge,
            }
        };
        let temperature = of_temperature.map_err(failed(Field::Temperature))?;
        let stream = of_stream.map_err(failed(Field::Stream))?;
        Ok(Self { nodes, shapes, conductivity, environments, fixed, temperature, stream })
    }

    /// Multiply-adds that factorising both systems took.
    pub(super) fn work(&self) -> f64 {
        self.temperature.work() + self.stream.work()
    }

    /// Unknowns of the larger one of the two systems.
    pub fn unknowns(&self) -> usize {
        self.temperature.values.unknowns.max(self.stream.values.unknowns)
    }

    /// True if surfaces fixed at different temperatures meet in a point: the heat flow between them is
    /// infinite, and so is the upper bound.
    pub fn has_jump(&self, environments: &[f64]) -> bool {
        self.fixed.jumps(environments)
    }

    /// Both fields for the temperatures of the environments; further environments than the system knows are
    /// left aside, and missing ones are at 0.
    pub fn solve(&self, environments: &[f64]) -> Pair {
        let mut environments = environments.to_vec();
        environments.resize(self.environments, 0.0);
        let cells = self.nodes.cells.len();
        let fixed = self.fixed.temperatures(&environments);
        let of_temperature = || {
            let values = &self.temperature.values;
            let at = |cell: usize, unknowns: &[f64]| {
                let mut temperatures = values.within(cell, unknowns);
                for (temperature, node) in temperatures.iter_mut().zip(self.nodes.cells[cell].nodes) {
                    *temperature += fixed[node];
                }
                temperatures
            };
            let unknowns = self.temperature.solve(
                |cell, unknowns| self.heat_into_nodes(cell, &at(cell, unknowns), &environments),
                cells,
            );
            let mut temperature = vec![0.0; self.nodes.count];
            for cell in 0..cells {
                for (node, value) in self.nodes.cells[cell].nodes.iter().zip(at(cell, &unknowns)) {
                    temperature[*node] = value;
                }
            }
            temperature
        };
        let of_stream = || {
            let values = &self.stream.values;
            self.stream.solve(
                |cell, unknowns| self.force_on_stream(cell, &values.within(cell, unknowns), &environments),
                cells,
            )
        };
        let (temperature, stream) = rayon::join(of_temperature, of_stream);
        Pair { environments, temperature, stream }
    }

    /// What is left of the equations of the temperature, as a part of what drives it (Euclidean norms).
    pub fn residual(&self, pair: &Pair) -> f64 {
        let values = &self.temperature.values;
        let norm = |at: &dyn Fn(usize) -> [f64; 6]| {
            let mut sum = vec![0.0; values.unknowns];
            for cell in 0..self.nodes.cells.len() {
                values.gather(cell, &self.heat_into_nodes(cell, &at(cell), &pair.environments), &mut sum);
            }
            sum.iter().map(|value| value * value).sum::<f64>().sqrt()
        };
        let fixed = self.fixed.temperatures(&pair.environments);
        let driven = norm(&|cell| self.nodes.cells[cell].nodes.map(|node| fixed[node]));
        let left = norm(&|cell| self.temperatures_in(pair, cell));
        if driven > 0.0 { left / driven } else { left }
    }

    /// The heat that flows out through an edge of the boundary into its environment, W/m, by the stream function.
    pub fn flow_through(&self, pair: &Pair, edge: &FilmEdge) -> f64 {
        let Some(cell) = self.nodes.cell_of.get(edge.triangle).copied().flatten() else { return 0.0 };
        let stream = self.stream_in(pair, cell);
        stream[(edge.opposite + 2) % 3] - stream[(edge.opposite + 1) % 3]
    }

    /// The heat that flows into each environment, W/m, by the temperature before its films; by the stream function
    /// where some surface has no resistance.
    pub fn heat_flows_of_temperature(&self, pair: &Pair) -> Vec<f64> {
        if self.film_edges().any(|edge| edge.film.resistance == 0.0) {
            return self.heat_flows(pair);
        }
        let mut flows = vec![0.0; pair.environments.len()];
        for edge in self.film_edges() {
            let Film { environment, resistance } = edge.film;
            let at = |part: f64| self.temperature_along(pair, &edge, part).unwrap_or(f64::NAN);
            let mean = (at(0.0) + 4.0 * at(0.5) + at(1.0)) / 6.0;
            let [from, to] = edge.ends;
            let length = libm::hypot(to[0] - from[0], to[1] - from[1]);
            flows[environment] += (mean - pair.environments[environment]) * length / resistance;
        }
        flows
    }

    /// Of a triangle: the integral of the temperature, K·m², and that of its gradient, K·m; none as for the
    /// temperature.
    pub fn integrals(&self, pair: &Pair, triangle: usize) -> Option<(f64, [f64; 2])> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        let temperatures = self.temperatures_in(pair, cell);
        let shape = &self.shapes[cell];
        // Of a quadratic, by its values in the middles of the edges.
        let mean = (temperatures[3] + temperatures[4] + temperatures[5]) / 3.0;
        let gradients = shape.gradients(&temperatures);
        let along =
            |axis: usize| shape.area * gradients.iter().map(|gradient| gradient[axis]).sum::<f64>() / 3.0;
        Some((shape.area * mean, [along(0), along(1)]))
    }

    /// The heat flux −K∇T in a triangle at given barycentric coordinates, W/m²; none as for the temperature.
    pub fn flux(&self, pair: &Pair, triangle: usize, at: [f64; 3]) -> Option<[f64; 2]> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        let gradients = self.shapes[cell].gradients(&self.temperatures_in(pair, cell));
        // Linear between the middles of the edges.
        let part = |axis: usize| (0..3).map(|k| (1.0 - 2.0 * at[k]) * gradients[k][axis]).sum::<f64>();
        Some(self.conductivity[cell].times([part(0), part(1)]).map(|flux| -flux))
    }

    /// The highest and the lowest temperature at the nodes of a triangle; none as for the temperature.
    pub fn extremes(&self, pair: &Pair, triangle: usize) -> Option<[f64; 2]> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        let temperatures = self.temperatures_in(pair, cell);
        Some([
            temperatures.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            temperatures.iter().copied().fold(f64::INFINITY, f64::min),
        ])
    }

    /// By node, its temperature where that is fixed; 0 elsewhere.
    pub(super) fn fixed_temperatures(&self, environments: &[f64]) -> Vec<f64> {
        self.fixed.temperatures(environments)
    }

    /// The temperatures of a cell's nodes.
    pub(super) fn temperatures_in(&self, pair: &Pair, cell: usize) -> [f64; 6] {
        self.nodes.cells[cell].nodes.map(|node| pair.temperature[node])
    }

    /// The stream function at a cell's nodes.
    pub(super) fn stream_in(&self, pair: &Pair, cell: usize) -> [f64; 6] {
        self.stream.values.within(cell, &pair.stream)
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

    /// What is left of the equations of ψ: −∫ ∇v·(K/det K)∇ψ − ∮ R·v'ψ' − ∮ θ·v'.
    pub(super) fn force_on_stream(&self, cell: usize, stream: &[f64; 6], environments: &[f64]) -> [f64; 6] {
        let shape = &self.shapes[cell];
        let coefficient = self.conductivity[cell].of_stream();
        let flux = shape.gradients(stream).map(|gradient| coefficient.times(gradient));
        let mut out = shape.against_gradients(&flux);
        for edge in self.nodes.edges_of(cell) {
            if let Some(film) = edge.film {
                let places = edge.places();
                let outflow = stream::outflow(edge.length, places.map(|place| stream[place]));
                let force = stream::film_force(film.resistance, environments[film.environment], outflow);
                places.iter().zip(force).for_each(|(place, force)| out[*place] += force);
            }
        }
        out.map(|force| -force)
    }
}

/// A cell's matrix with what the films of its edges add.
pub(super) fn with_films(
    nodes: &Nodes,
    cell: usize,
    mut matrix: [[f64; 6]; 6],
    film_matrix: fn(f64, f64) -> [[f64; 3]; 3],
) -> [[f64; 6]; 6] {
    for edge in nodes.edges_of(cell) {
        if let Some(film) = edge.film.filter(|film| film.resistance > 0.0) {
            let places = edge.places();
            for (row, values) in places.iter().zip(film_matrix(edge.length, film.resistance)) {
                for (column, value) in places.iter().zip(values) {
                    matrix[*row][*column] += value;
                }
            }
        }
    }
    matrix
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::ldlt::Factor;
    use super::super::ldlt::tests::by_library;
    use super::*;
    use crate::polygons::drawing::{Drawing, Stroke};
    use crate::polygons::filling::Filling;

    /// A wall turned by 35° with a foil of 0.2 mm, a bar through it and two enclosed spaces.
    pub(in super::super) fn wall() -> (Mesh, Vec<Conductivity>, Vec<Option<Film>>) {
        let turned = |x: [f64; 2], y: [f64; 2]| -> Vec<[f64; 2]> {
            let corners = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
            corners.map(|[x, y]| [0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y]).to_vec()
        };
        let stroke = |filling, outline| Stroke { filling, outline, holes: Vec::new() };
        let drawing = Drawing {
            strokes: vec![
                stroke(Filling::Space(0), turned([0.0, 2.0], [-0.3, 0.0])),
                stroke(Filling::Solid(0), turned([0.0, 2.0], [0.0, 0.2])),
                stroke(Filling::Solid(1), turned([0.0, 2.0], [0.2, 0.2002])),
                stroke(Filling::Solid(2), turned([0.0, 2.0], [0.2002, 0.4])),
                stroke(Filling::Solid(3), turned([1.0, 1.02], [0.05, 0.4])),
                stroke(Filling::Space(1), turned([0.4, 0.5], [0.05, 0.1])),
                stroke(Filling::Space(0), turned([1.4, 1.5], [0.25, 0.3])),
                stroke(Filling::Space(1), turned([0.0, 2.0], [0.4, 0.7])),
            ],
            extent: vec![[-3.0, -3.0], [3.0, -3.0], [3.0, 3.0], [-3.0, 3.0]],
            cuts: Vec::new(),
        };
        let (arrangement, mesh) = Mesh::of(&drawing, &[]).unwrap();
        let film = |one: Filling, other: Filling| match (one, other) {
            (Filling::Space(space), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(space)) => {
                Some(Film { environment: space as usize, resistance: [0.13, 0.04][space as usize] })
            }
            _ => None,
        };
        let films = arrangement.segments.iter().map(|segment| film(segment.left, segment.right)).collect();
        let conductivities = vec![
            Conductivity::isotropic(0.5),
            Conductivity::isotropic(160.0),
            Conductivity::along([0.8, 0.6], 0.06, 0.03),
            Conductivity::isotropic(50.0),
        ];
        (mesh, conductivities, films)
    }

    #[test]
    fn both_systems_agree_with_a_general_library() {
        let (mut mesh, conductivities, films) = wall();
        for _ in 0..3 {
            let nodes = Nodes::of(&mesh, &films).unwrap();
            let of = |cell: usize| conductivities[nodes.cells[cell].solid];
            let shapes: Vec<Shape> =
                nodes.cells.iter().map(|cell| Shape::of(&cell.points).unwrap()).collect();
            let centres: Vec<[f64; 2]> = nodes.cells.iter().map(|cell| cell.points[0]).collect();
            let beside: Vec<[Option<usize>; 3]> = nodes.cells.iter().map(|cell| cell.beside).collect();
            let tree = Tree::of(&centres, &beside);
            let (of_temperature, of_stream) = (Fixed::of(&nodes).values(&nodes), stream::values(&nodes));
            for (values, matrix) in [
                (
                    &of_temperature,
                    of_temperature.elements(|cell| {
                        with_films(&nodes, cell, shapes[cell].stiffness(&of(cell)), temperature::film_matrix)
                    }),
                ),
                (
                    &of_stream,
                    of_stream.elements(|cell| {
                        let stiffness = shapes[cell].stiffness(&of(cell).of_stream());
                        with_films(&nodes, cell, stiffness, stream::film_matrix)
                    }),
                ),
            ] {
                let size = values.unknowns;
                let right: Vec<f64> = (0..size).map(|row| ((row * 37 % 11) as f64 - 5.0) / 5.0).collect();
                let ours = Factor::of(&matrix, &tree, size).unwrap().solve(&right);
                let theirs = by_library(&matrix, &right);
                let largest = theirs.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
                for (one, other) in ours.iter().zip(&theirs) {
                    assert!((one - other).abs() < 1e-9 * largest, "{size}: {one} {other} of {largest}");
                }
            }
            mesh = mesh.quarter();
        }
    }
}
