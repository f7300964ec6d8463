//! Equations with their solution.

use super::refinement::ON_THE_WAY;
use crate::conduction::{Conduction, Field, Network};
use crate::grid::{Grid, interpolate};
use crate::multigrid::SolveError;

/// Equations with their solution at the case's temperatures.
#[derive(Clone, Debug)]
pub struct Solved {
    /// The equations.
    pub conduction: Conduction,
    /// The solution at the case's temperatures.
    pub field: Field,
    /// For three and more temperatures, the field with each environment in turn at 1 and all others at 0.
    pub unit_fields: Vec<Field>,
}

impl Solved {
    /// The solution on another grid with its network, to the accuracy that looking at it takes, and without
    /// unit fields.
    pub(super) fn carried(
        &self,
        network: Network,
        [from, to]: [&Grid; 2],
        environment_temperatures: &[f64],
    ) -> Result<Self, SolveError> {
        let conduction = Conduction::of(network)?;
        let start = interpolate(from, to, &self.field.temperature);
        let field = conduction.solve_to(environment_temperatures, Some(&start), ON_THE_WAY)?;
        Ok(Self { conduction, field, unit_fields: Vec::new() })
    }

    /// The field at other environment temperatures, from the unit fields.
    pub fn combined(&self, environment_temperatures: &[f64]) -> Vec<f64> {
        let mut sum = vec![0.0; self.field.temperature.len()];
        for (field, factor) in self.unit_fields.iter().zip(environment_temperatures) {
            for (sum, value) in sum.iter_mut().zip(&field.temperature) {
                *sum += factor * value;
            }
        }
        sum
    }
}
