//! The temperature alone: its equations on a mesh, factorised once for all loads.

use super::dissection::Tree;
use super::front::NoFactor;
use super::mesh::Mesh;
use super::nodes::Nodes;
use super::properties::{Conductivity, Field, Film, Unsolvable};
use super::solids::{Solids, Temperatures};
use super::temperature;
use super::values::Equations;

/// The equations of the temperature on a mesh.
#[derive(Clone, Debug)]
pub struct Potential {
    /// What they are of.
    pub solids: Solids,
    equations: Equations,
}

impl Potential {
    /// As for [`super::System::of`].
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
        let equations = equations(&solids, &tree(&solids.nodes))?;
        Ok(Self { solids, equations })
    }

    /// The temperature for the temperatures of the environments; further environments than the system knows are
    /// left aside, and missing ones are at 0.
    pub fn solve(&self, environments: &[f64]) -> Temperatures {
        solve(&self.solids, &self.equations, self.solids.load(environments))
    }
}

/// The order in which the cells of a mesh are eliminated.
pub(super) fn tree(nodes: &Nodes) -> Tree {
    let centre = |points: &[[f64; 2]; 3]| {
        [0, 1].map(|axis| (points[0][axis] + points[1][axis] + points[2][axis]) / 3.0)
    };
    let centres: Vec<[f64; 2]> = nodes.cells.iter().map(|cell| centre(&cell.points)).collect();
    let beside: Vec<[Option<usize>; 3]> = nodes.cells.iter().map(|cell| cell.beside).collect();
    Tree::of(&centres, &beside)
}

/// The equations of the temperature.
pub(super) fn equations(solids: &Solids, tree: &Tree) -> Result<Equations, Unsolvable> {
    let Solids { nodes, shapes, conductivity, fixed, .. } = solids;
    let matrix = |cell: usize| {
        with_films(nodes, cell, shapes[cell].stiffness(&conductivity[cell]), temperature::film_matrix)
    };
    Equations::of(fixed.values(nodes), tree, matrix).map_err(|reason| unsolvable(reason, Field::Temperature))
}

pub(super) fn unsolvable(reason: NoFactor, field: Field) -> Unsolvable {
    match reason {
        NoFactor::NotPositiveDefinite => Unsolvable::NotPositiveDefinite { field },
        NoFactor::TooLarge => Unsolvable::TooLarge,
    }
}

/// The temperature for one temperature of each environment.
pub(super) fn solve(solids: &Solids, equations: &Equations, environments: Vec<f64>) -> Temperatures {
    let fixed = solids.fixed.temperatures(&environments);
    let at = |cell: usize, unknowns: &[f64]| {
        let mut temperatures = equations.values.within(cell, unknowns);
        for (temperature, node) in temperatures.iter_mut().zip(solids.nodes.cells[cell].nodes) {
            *temperature += fixed[node];
        }
        temperatures
    };
    let residual =
        |cell: usize, unknowns: &[f64]| solids.heat_into_nodes(cell, &at(cell, unknowns), &environments);
    let unknowns = equations.solve(residual, solids.nodes.cells.len());
    let by_node = solids.by_node(|cell| at(cell, &unknowns));
    Temperatures { environments, at: by_node }
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
