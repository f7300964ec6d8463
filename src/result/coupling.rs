//! Thermal coupling: L2D, the coefficients of each pair of environments, the heat balance (ISO 10211:2017).
//!
//! With two temperatures, L2D = Φ/(θ₁ − θ₂), Φ the heat flow per metre from all environments of the higher
//! one. With more, Φ_i = Σ_j L2D_ij·(θ_i − θ_j), and L2D_ij is the heat flow into environment j when i alone
//! is at 1 and all others at 0.
//!
//! Every L2D is stated as the middle of its [bracket](crate::bounds). The flows of the scheme itself lie
//! above it by a few widths of the bracket, because the scheme replaces the squares of linear functions by
//! those at their ends; so that flows and L2D stated together agree, the flows are derived from L2D.

use super::Solved;
use crate::bounds::{Bracket, Evaluation, NoBracket, pair, range};
use crate::model::{Environment, EnvironmentId, Model};

/// The temperatures of a case's environments.
#[derive(Clone, Debug)]
pub struct Temperatures {
    /// °C, in the order of the case's environments.
    pub of_environment: Vec<f64>,
    /// Which of them touch the construction.
    pub is_touched: Vec<bool>,
}

impl Temperatures {
    /// Takes them from a case. One that touches nothing takes no part: it stands at the temperature of one
    /// that does.
    pub fn of(model: &Model) -> Self {
        let any = model.environments.iter().find(|environment| environment.is_touched);
        let of = |environment: &Environment| match any {
            Some(any) if !environment.is_touched => any.temperature,
            _ => environment.temperature,
        };
        Self {
            of_environment: model.environments.iter().map(of).collect(),
            is_touched: model.environments.iter().map(|environment| environment.is_touched).collect(),
        }
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
        range(&self.of_environment)
    }
}

/// L2D of a pair of environments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coupling {
    /// Indices of the environments, the first lower than the second.
    pub between: [EnvironmentId; 2],
    /// W/(m·K); none where fixed temperatures touch, so that the energy of a field it is made from is
    /// infinite.
    pub bracket: Option<Bracket>,
}

impl Coupling {
    /// W/(m·K).
    pub fn value(&self) -> Option<f64> {
        self.bracket.map(Bracket::middle)
    }
}

/// The field with each environment in turn at 1 and all others at 0 belongs to these temperatures.
pub fn units(environments: usize) -> Vec<Vec<f64>> {
    (0..environments)
        .map(|one| (0..environments).map(|index| f64::from(u8::from(index == one))).collect())
        .collect()
}

/// The coefficients of all pairs, from the unit fields; none where there are only two temperatures.
///
/// # Errors
/// [`NoBracket`] if the bounds of one contradict each other.
pub fn coefficients(
    solved: &Solved,
    evaluation: &Evaluation<'_>,
    environments: usize,
) -> Result<Vec<Coupling>, NoBracket> {
    if solved.unit_fields.is_empty() {
        return Ok(Vec::new());
    }
    let units = units(environments);
    let jumps =
        units.iter().map(|unit| solved.conduction.network.has_temperature_jump(unit)).collect::<Vec<_>>();
    let field = |one: usize| solved.unit_fields[one].temperature.as_slice();
    let mut is_touched = vec![false; environments];
    solved.conduction.network.faces.iter().for_each(|face| is_touched[face.environment] = true);
    of_pairs(&is_touched, &jumps, |one, other| {
        pair(evaluation, [field(one), field(other)], [&units[one], &units[other]])
    })
}

/// The coefficients of all pairs of environments that are touched, from the bracket of each; none of a pair that
/// has one whose unit field jumps.
///
/// # Errors
/// Those of `bracket`.
pub(super) fn of_pairs(
    is_touched: &[bool],
    jumps: &[bool],
    bracket: impl Fn(usize, usize) -> Result<Bracket, NoBracket>,
) -> Result<Vec<Coupling>, NoBracket> {
    let environments = is_touched.len();
    let mut coefficients = Vec::new();
    for one in (0..environments).filter(|one| is_touched[*one]) {
        for other in (one + 1..environments).filter(|other| is_touched[*other]) {
            let bracket = if jumps[one] || jumps[other] {
                None
            } else {
                // No coefficient is negative, since no temperature leaves the range of those of the
                // environments.
                Some(bracket(one, other)?.not_negative())
            };
            coefficients
                .push(Coupling { between: [EnvironmentId::new(one), EnvironmentId::new(other)], bracket });
        }
    }
    Ok(coefficients)
}

/// Heat flows in agreement with the stated L2D, W/m: from the pairs, or the scheme's own in proportion.
pub fn heat_flows(
    own: &[f64],
    temperatures: &Temperatures,
    l2d: Option<Bracket>,
    coupling: &[Coupling],
) -> Vec<f64> {
    let of = &temperatures.of_environment;
    if !coupling.is_empty() {
        let mut flows = vec![0.0; own.len()];
        for pair in coupling {
            let [one, other] = pair.between;
            // Without all coefficients, the scheme's own flows are left.
            let Some(value) = pair.value() else { return own.to_vec() };
            let flow = value * (of[one] - of[other]);
            flows[one] += flow;
            flows[other] -= flow;
        }
        return flows;
    }
    let (highest, lowest) = temperatures.range();
    let warm: f64 = own.iter().zip(of).filter(|(_, own)| **own == highest).map(|(flow, _)| flow).sum();
    match l2d {
        Some(l2d) if warm > 0.0 => {
            own.iter().map(|flow| flow * l2d.middle() * (highest - lowest) / warm).collect()
        }
        _ => own.to_vec(),
    }
}

/// Sum of all heat flows over half the sum of their magnitudes; ISO 10211 wants it below 1e-4.
pub fn balance(heat_flows: &[f64]) -> f64 {
    let magnitude: f64 = heat_flows.iter().map(|flow| flow.abs()).sum::<f64>() / 2.0;
    if magnitude == 0.0 { 0.0 } else { heat_flows.iter().sum::<f64>().abs() / magnitude }
}
