//! What the temperatures mean: coupling coefficients, ψ, U-values, temperature factors, profiles.
//!
//! [`compute`] runs the pipeline from a case to an [`Outcome`].

pub mod coupling;
pub mod humid_air;
pub mod point;
pub mod profile;
pub mod psi;
pub mod temperature_factor;
pub mod u_value;

use std::fmt;

use crate::case::diagnostic::has_errors;
use crate::case::{Case, Diagnostic, Rejected};
use crate::conduction::{Conduction, Field, Network};
use crate::grid::Grid;
use crate::grid::lines::Fineness;
use crate::multigrid::SolveError;
use crate::plan::Plan;
use crate::plan::surface::{Purpose, Surfaces};
use coupling::{Coupling, Temperatures};
use profile::Profile;
use psi::PsiValue;
use temperature_factor::TemperatureFactor;
use u_value::ElementU;

/// Everything computed for a case.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The case.
    pub case: Case,
    /// Its plan.
    pub plan: Plan,
    /// The grid used.
    pub grid: Grid,
    /// Surface resistances for heat loss.
    pub surfaces: Surfaces,
    /// Equations and temperatures with the surface resistances for heat loss.
    pub heat_loss: Solved,
    /// The same with those for condensation, if the case has a condensation block.
    pub condensation: Option<Solved>,
    /// L2D between the two sides, W/(m·K); `None` where it has no finite value or the sides are not told.
    pub l2d: Option<f64>,
    /// Heat flow from each environment into the construction, W/m, in the order of the case's environments.
    pub heat_flows: Vec<f64>,
    /// Sum of all heat flows divided by half the sum of their magnitudes (ISO 10211).
    pub heat_balance: f64,
    /// For three and more temperatures, the coupling coefficient of each pair of environments.
    pub coupling: Vec<Coupling>,
    /// U of each flanking element.
    pub elements: Vec<ElementU>,
    /// ψ by each convention that every flanking element states.
    pub psi: Vec<PsiValue>,
    /// f_Rsi of each internal environment.
    pub factors: Vec<TemperatureFactor>,
    /// Temperatures at the named points, °C.
    pub points: Vec<(String, f64)>,
    /// Surface temperatures along the inner surfaces.
    pub profiles: Vec<Profile>,
    /// Findings that do not stop the run.
    pub warnings: Vec<Diagnostic>,
}

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

/// Why there is no outcome.
#[derive(Clone, Debug)]
pub enum Failure {
    /// The input cannot be used.
    Rejected(Box<Rejected>),
    /// The equations could not be solved.
    Solve(SolveError),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rejected(rejected) => rejected.fmt(f),
            Self::Solve(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Failure {}

impl From<Rejected> for Failure {
    fn from(rejected: Rejected) -> Self {
        Self::Rejected(Box::new(rejected))
    }
}

impl From<SolveError> for Failure {
    fn from(error: SolveError) -> Self {
        Self::Solve(error)
    }
}

/// From a case to its results.
///
/// # Errors
/// [`Failure`] if the plan cannot be used or the equations cannot be solved.
pub fn compute(case: Case) -> Result<Outcome, Failure> {
    compute_on(case, Fineness::default())
}

/// The same on a grid of another fineness, for convergence studies.
///
/// # Errors
/// As [`compute`].
pub fn compute_on(case: Case, fineness: Fineness) -> Result<Outcome, Failure> {
    let (plan, mut warnings) = Plan::of(&case)?;
    let surfaces = Surfaces::of(&case, &plan, Purpose::HeatLoss);
    let temperatures = Temperatures::of(&case);
    let mut errors = Vec::new();
    let elements = u_value::elements(&case, &plan, &surfaces, &mut errors);
    let sides = psi::sides(&case, &temperatures, &mut errors);
    let places = point::places(&case, &plan, &mut errors);
    if has_errors(&errors) {
        warnings.append(&mut errors);
        return Err(Rejected { diagnostics: warnings, sources: case.sources.clone() }.into());
    }
    let grid = Grid::graded(&case, &plan, fineness)?;
    let heat_loss = solve(&case, &plan, &surfaces, &grid, &temperatures, None)?;
    let condensation = match &case.condensation {
        Some(_) => {
            let surfaces = Surfaces::of(&case, &plan, Purpose::Condensation);
            Some(solve(&case, &plan, &surfaces, &grid, &temperatures, Some(&heat_loss.field))?)
        }
        None => None,
    };
    let environment_temperatures = &temperatures.of_environment;
    let heat_flows = heat_loss.conduction.heat_flows(&heat_loss.field, environment_temperatures);
    let jump = heat_loss.conduction.has_temperature_jump(environment_temperatures);
    if jump {
        let message = "surfaces of different fixed temperatures meet in a point: the heat flow between them is infinite";
        let hint = "the temperatures are right, but no L2D or ψ is stated; give one surface a resistance above 0 to get them";
        warnings.push(Diagnostic::warning(case.extent_place, message).hint(hint));
    }
    let coupling = coupling::coefficients(&heat_loss, environment_temperatures.len());
    let l2d = if jump { None } else { coupling::between(&sides, &temperatures, &heat_flows, &coupling) };
    let psi = l2d.map(|l2d| psi::values(&case, &elements, l2d)).unwrap_or_default();
    let factor_basis = condensation.as_ref().unwrap_or(&heat_loss);
    let factors = temperature_factor::factors(&case, &grid, factor_basis);
    let profiles = profile::profiles(&case, &grid, factor_basis);
    let points = point::temperatures(&case, &grid, &plan, &heat_loss.field, &places);
    Ok(Outcome {
        l2d,
        heat_balance: coupling::balance(&heat_flows),
        heat_flows,
        coupling,
        elements,
        psi,
        factors,
        points,
        profiles,
        warnings,
        condensation,
        heat_loss,
        surfaces,
        grid,
        plan,
        case,
    })
}

fn solve(
    case: &Case,
    plan: &Plan,
    surfaces: &Surfaces,
    grid: &Grid,
    temperatures: &Temperatures,
    start: Option<&Field>,
) -> Result<Solved, SolveError> {
    let conduction = Conduction::of(Network::of(case, plan, surfaces, grid))?;
    let field = conduction.solve(&temperatures.of_environment, start)?;
    let count = temperatures.of_environment.len();
    let unit_fields = if temperatures.distinct() < 3 {
        Vec::new()
    } else {
        (0..count)
            .map(|one| {
                let unit: Vec<f64> = (0..count).map(|index| f64::from(u8::from(index == one))).collect();
                conduction.solve(&unit, None)
            })
            .collect::<Result<_, _>>()?
    };
    Ok(Solved { conduction, field, unit_fields })
}
