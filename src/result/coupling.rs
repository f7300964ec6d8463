//! Thermal coupling: L2D, the coefficients of each pair of environments, the heat balance (ISO 10211:2017).
//!
//! With two temperatures, L2D = Φ/(θ₁ − θ₂), Φ the heat flow per metre from all environments of the higher one. With more,
//! Φ_i = Σ_j L2D_ij·(θ_i − θ_j), and L2D_ij is the heat flow into environment j when i alone is at 1 and all others at 0.

use super::Solved;
use crate::case::Case;

/// The temperatures of a case's environments.
#[derive(Clone, Debug)]
pub struct Temperatures {
    /// °C, in the order of the case's environments.
    pub of_environment: Vec<f64>,
}

impl Temperatures {
    /// Takes them from a case.
    pub fn of(case: &Case) -> Self {
        Self { of_environment: case.environments.iter().map(|environment| environment.temperature).collect() }
    }

    /// How many different temperatures there are.
    pub fn distinct(&self) -> usize {
        let mut sorted = self.of_environment.clone();
        sorted.sort_by(f64::total_cmp);
        sorted.dedup();
        sorted.len()
    }

    /// Highest and lowest, °C.
    pub fn range(&self) -> (f64, f64) {
        let fold = |start, choose: fn(f64, f64) -> f64| self.of_environment.iter().copied().fold(start, choose);
        (fold(f64::NEG_INFINITY, f64::max), fold(f64::INFINITY, f64::min))
    }
}

/// L2D of a pair of environments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coupling {
    /// Indices of the environments, the first lower than the second.
    pub between: [usize; 2],
    /// W/(m·K).
    pub value: f64,
}

/// The coefficients of all pairs, from the unit fields; none where there are only two temperatures.
pub fn coefficients(solved: &Solved, environments: usize) -> Vec<Coupling> {
    let mut coefficients = Vec::new();
    for (one, field) in solved.unit_fields.iter().enumerate() {
        let unit: Vec<f64> = (0..environments).map(|index| f64::from(u8::from(index == one))).collect();
        let flows = solved.conduction.heat_flows(field, &unit);
        for (other, flow) in flows.iter().enumerate().skip(one + 1) {
            // What flows out of the others, flows into them with a negative sign; 0 − 0 would print as −0.
            coefficients.push(Coupling { between: [one, other], value: (0.0 - flow).max(0.0) });
        }
    }
    coefficients
}

/// L2D between two groups of environments, W/(m·K); `None` if the groups are not told and there are more than two temperatures.
pub fn between(
    sides: &Option<[Vec<usize>; 2]>,
    temperatures: &Temperatures,
    heat_flows: &[f64],
    coupling: &[Coupling],
) -> Option<f64> {
    if temperatures.distinct() == 2 {
        let (highest, lowest) = temperatures.range();
        let warm = heat_flows.iter().zip(&temperatures.of_environment).filter(|(_, own)| **own == highest);
        return Some(warm.map(|(flow, _)| flow).sum::<f64>() / (highest - lowest));
    }
    let [first, second] = sides.as_ref()?;
    let joins = |pair: &&Coupling| {
        let [a, b] = pair.between;
        first.contains(&a) && second.contains(&b) || first.contains(&b) && second.contains(&a)
    };
    Some(coupling.iter().filter(joins).map(|pair| pair.value).sum())
}

/// Sum of all heat flows over half the sum of their magnitudes; ISO 10211 wants it below 1e-4.
pub fn balance(heat_flows: &[f64]) -> f64 {
    let magnitude: f64 = heat_flows.iter().map(|flow| flow.abs()).sum::<f64>() / 2.0;
    if magnitude == 0.0 { 0.0 } else { heat_flows.iter().sum::<f64>().abs() / magnitude }
}
