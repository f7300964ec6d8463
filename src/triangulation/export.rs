//! The equations as matrices of all unknowns, for other programs.

use sprs::{CsMat, TriMat};

use super::potential::with_films;
use super::sparse::Elements;
use super::system::System;
use super::{stream, temperature};

/// A·x = b.
#[derive(Clone, Debug)]
pub struct Matrix {
    /// A, symmetric and positive definite.
    pub matrix: CsMat<f64>,
    /// b.
    pub right: Vec<f64>,
}

impl System {
    /// The equations of the temperature (unknowns in the unit of the environments' temperatures, A in W/(m·K)) and
    /// of the stream function (unknowns in W/m, A in m·K/W), for the temperatures of the environments.
    pub fn matrices(&self, environments: &[f64]) -> [Matrix; 2] {
        let mut environments = environments.to_vec();
        environments.resize(self.solids.environments, 0.0);
        let cells = self.solids.nodes.cells.len();
        let fixed = self.solids.fixed.temperatures(&environments);
        let of_temperature = self.temperature.values.elements(|cell| {
            let stiffness = self.solids.shapes[cell].stiffness(&self.solids.conductivity[cell]);
            with_films(&self.solids.nodes, cell, stiffness, temperature::film_matrix)
        });
        let of_stream = self.stream.values.elements(|cell| {
            let stiffness = self.solids.shapes[cell].stiffness(&self.solids.conductivity[cell].of_stream());
            with_films(&self.solids.nodes, cell, stiffness, stream::film_matrix)
        });
        let (mut heat, mut force) =
            (vec![0.0; self.temperature.values.unknowns], vec![0.0; self.stream.values.unknowns]);
        for cell in 0..cells {
            let at = self.solids.nodes.cells[cell].nodes.map(|node| fixed[node]);
            let driven = self.solids.heat_into_nodes(cell, &at, &environments);
            self.temperature.values.gather(cell, &driven, &mut heat);
            let driven = self.force_on_stream(cell, &[0.0; 6], &environments);
            self.stream.values.gather(cell, &driven, &mut force);
        }
        [
            Matrix { matrix: assembled(&of_temperature, heat.len()), right: heat },
            Matrix { matrix: assembled(&of_stream, force.len()), right: force },
        ]
    }
}

/// The sum of all elements.
fn assembled(elements: &Elements, size: usize) -> CsMat<f64> {
    let mut sum = TriMat::new((size, size));
    for element in 0..elements.count() {
        let unknowns = elements.unknowns(element);
        let mut values = elements.values(element).iter();
        for (row, one) in unknowns.iter().enumerate() {
            for (other, value) in unknowns[..=row].iter().zip(&mut values) {
                sum.add_triplet(*one as usize, *other as usize, *value);
                if one != other {
                    sum.add_triplet(*other as usize, *one as usize, *value);
                }
            }
        }
    }
    sum.to_csr()
}
