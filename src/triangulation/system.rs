//! Both fields on a mesh: their equations, factorised once for all loads.

use super::mesh::Mesh;
use super::potential::{self, tree, unsolvable, with_films};
use super::properties::{Conductivity, Field, Film, Unsolvable};
use super::sampling::FilmEdge;
use super::solids::{Solids, Temperatures, combined};
use super::stream;
use super::values::Equations;

/// The equations of temperature and stream function on a mesh.
#[derive(Clone, Debug)]
pub struct System {
    /// What they are of.
    pub solids: Solids,
    pub(super) temperature: Equations,
    pub(super) stream: Equations,
}

/// Temperature and stream function for one load. Both depend on the load linearly.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// The temperature, and the load.
    pub temperature: Temperatures,
    /// By unknown of the stream function, W/m for K.
    pub(super) stream: Vec<f64>,
}

impl Pair {
    /// The load: the temperature of each environment.
    pub fn environments(&self) -> &[f64] {
        &self.temperature.environments
    }

    /// `part`·self + `other_part`·other, which is the pair for the same combination of the loads.
    #[must_use]
    pub fn combined(&self, part: f64, other: &Self, other_part: f64) -> Self {
        Self {
            temperature: self.temperature.combined(part, &other.temperature, other_part),
            stream: combined(&self.stream, part, &other.stream, other_part),
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
        let solids = Solids::of(mesh, conductivities, films, environments)?;
        let tree = tree(&solids.nodes);
        let of_stream = || {
            let Solids { nodes, shapes, conductivity, .. } = &solids;
            let matrix = |cell: usize| {
                let stiffness = shapes[cell].stiffness(&conductivity[cell].of_stream());
                with_films(nodes, cell, stiffness, stream::film_matrix)
            };
            let equations = Equations::of(stream::values(nodes), &tree, matrix);
            equations.map_err(|reason| unsolvable(reason, Field::Stream))
        };
        let (temperature, stream) = rayon::join(|| potential::equations(&solids, &tree), of_stream);
        let (temperature, stream) = (temperature?, stream?);
        Ok(Self { solids, temperature, stream })
    }

    /// Multiply-adds that factorising both systems took.
    pub(super) fn work(&self) -> f64 {
        self.temperature.work() + self.stream.work()
    }

    /// Unknowns of the larger one of the two systems.
    pub fn unknowns(&self) -> usize {
        self.temperature.values.unknowns.max(self.stream.values.unknowns)
    }

    /// Both fields for the temperatures of the environments; further environments than the system knows are
    /// left aside, and missing ones are at 0.
    pub fn solve(&self, environments: &[f64]) -> Pair {
        let environments = self.solids.load(environments);
        let of_stream = || {
            let values = &self.stream.values;
            let force = |cell: usize, unknowns: &[f64]| {
                self.force_on_stream(cell, &values.within(cell, unknowns), &environments)
            };
            self.stream.solve(force, self.solids.nodes.cells.len())
        };
        let of_temperature = || potential::solve(&self.solids, &self.temperature, environments.clone());
        let (temperature, stream) = rayon::join(of_temperature, of_stream);
        Pair { temperature, stream }
    }

    /// What is left of the equations of the temperature, as a part of what drives it (Euclidean norms).
    pub fn residual(&self, pair: &Pair) -> f64 {
        let values = &self.temperature.values;
        let norm = |at: &dyn Fn(usize) -> [f64; 6]| {
            let mut sum = vec![0.0; values.unknowns];
            for cell in 0..self.solids.nodes.cells.len() {
                values.gather(
                    cell,
                    &self.solids.heat_into_nodes(cell, &at(cell), pair.environments()),
                    &mut sum,
                );
            }
            sum.iter().map(|value| value * value).sum::<f64>().sqrt()
        };
        let fixed = self.solids.fixed.temperatures(pair.environments());
        let driven = norm(&|cell| self.solids.nodes.cells[cell].nodes.map(|node| fixed[node]));
        let left = norm(&|cell| self.solids.within(&pair.temperature, cell));
        if driven > 0.0 { left / driven } else { left }
    }

    /// The heat that flows out through an edge of the boundary into its environment, W/m, by the stream function.
    pub fn flow_through(&self, pair: &Pair, edge: &FilmEdge) -> f64 {
        let Some(cell) = self.solids.nodes.cell_of.get(edge.triangle).copied().flatten() else { return 0.0 };
        let stream = self.stream_in(pair, cell);
        stream[(edge.opposite + 2) % 3] - stream[(edge.opposite + 1) % 3]
    }

    /// The stream function at a cell's nodes.
    pub(super) fn stream_in(&self, pair: &Pair, cell: usize) -> [f64; 6] {
        self.stream.values.within(cell, &pair.stream)
    }

    /// What is left of the equations of ψ: −∫ ∇v·(K/det K)∇ψ − ∮ R·v'ψ' − ∮ θ·v'.
    pub(super) fn force_on_stream(&self, cell: usize, stream: &[f64; 6], environments: &[f64]) -> [f64; 6] {
        let shape = &self.solids.shapes[cell];
        let coefficient = self.solids.conductivity[cell].of_stream();
        let flux = shape.gradients(stream).map(|gradient| coefficient.times(gradient));
        let mut out = shape.against_gradients(&flux);
        for edge in self.solids.nodes.edges_of(cell) {
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

#[cfg(test)]
pub(super) mod tests {
    use super::super::dissection::Tree;
    use super::super::elements::Shape;
    use super::super::ldlt::Factor;
    use super::super::ldlt::tests::by_library;
    use super::super::nodes::Nodes;
    use super::super::temperature::{self, Fixed};
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
