//! What the temperatures mean: coupling coefficients, ψ, U-values, temperature factors, profiles.
//!
//! [`compute`] runs the pipeline from a case to an [`Outcome`].

pub mod along;
pub mod cavity;
pub mod comparison;
pub mod condensation;
pub mod counterpart;
pub mod coupling;
pub mod cut_off;
pub mod dwelling;
pub mod evidence;
pub mod finite;
pub mod floor;
pub mod independent;
pub mod pattern;
pub mod point;
pub mod profile;
pub mod psi;
pub mod refinement;
pub mod settling;
pub mod stream;
pub mod temperature_factor;
pub mod u_value;
pub mod what_helps;

use std::fmt;

use crate::bounds::{Bracket, Evaluation, NoBracket};
use crate::case::diagnostic::has_errors;
use crate::case::{Case, Diagnostic, Psi, Rejected};
use crate::conduction::{Conduction, Field, Network};
use crate::geometry::Rectangle;
use crate::grid::lines::Fineness;
use crate::grid::{Grid, MOST_VERTICES, interpolate};
use crate::multigrid::SolveError;
use crate::plan::Plan;
use crate::plan::level::Run;
use crate::plan::surface::{Purpose, Surfaces};
use cavity::Settled;
use coupling::{Coupling, Temperatures};
use evidence::Evidence;
use profile::Profile;
use psi::PsiValue;
pub use refinement::{Demand, Pass};
use refinement::{ON_THE_WAY, Target};
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
    pub l2d: Option<Bracket>,
    /// Heat flow from each environment into the construction, W/m, in the order of the case's environments.
    pub heat_flows: Vec<f64>,
    /// Sum of all heat flows divided by half the sum of their magnitudes (ISO 10211).
    pub heat_balance: f64,
    /// For three and more temperatures, the coupling coefficient of each pair of environments.
    pub coupling: Vec<Coupling>,
    /// U of each flanking element.
    pub elements: Vec<ElementU>,
    /// Air cavities as they were taken.
    pub cavities: Vec<Settled>,
    /// Net flow from the environment into the solid through each of the plan's runs of level surface, W/m.
    pub level_flows: Vec<f64>,
    /// ψ by each convention that every flanking element states.
    pub psi: Vec<PsiValue>,
    /// U_f of a window frame, W/(m²K), where the case names its width.
    pub frame_u: Option<Bracket>,
    /// Where the case has several pairs of environments, the outcomes for those after the first, each refined for itself.
    pub further_pairs: Vec<Outcome>,
    /// f_Rsi of each internal environment.
    pub factors: Vec<TemperatureFactor>,
    /// Temperatures at the named points, °C.
    pub points: Vec<(String, f64)>,
    /// Surface temperatures along the inner surfaces.
    pub profiles: Vec<Profile>,
    /// Findings that do not stop the run.
    pub warnings: Vec<Diagnostic>,
    /// Remarks for the reviewer.
    pub notes: Vec<String>,
    /// The solves that led to the grid; none where the grid was given.
    pub passes: Vec<Pass>,
    /// True if the limit on unknowns was reached before the accuracy wanted.
    pub is_limited: bool,
    /// What a finer grid would give; none where the grid was given or the finer one would be too large.
    pub evidence: Option<Evidence>,
}

/// Temperatures for drawing, on a grid of their own, °C.
#[derive(Clone, Debug)]
pub struct Fields {
    /// The grid.
    pub grid: Grid,
    /// With the surface resistances for heat loss.
    pub heat_loss: Vec<f64>,
    /// With those for condensation, if the case has a condensation block.
    pub condensation: Option<Vec<f64>>,
}

impl Outcome {
    /// The fields with cells no longer than `longest` (m) within an area, solved anew. They are the fields of the results where these
    /// are fine enough or the finer grid would be large.
    pub fn fields_within(&self, area: Rectangle, longest: f64) -> Fields {
        const MOST_VERTICES_TO_DRAW: usize = 300_000;
        let finer = self.grid.with_cells_within(&self.plan, area, longest);
        if finer.vertices() > self.grid.vertices() && finer.vertices() <= MOST_VERTICES_TO_DRAW {
            let temperatures = Temperatures::of(&self.case).of_environment;
            let solve = |surfaces: &Surfaces, solved: &Solved| -> Result<Vec<f64>, SolveError> {
                let network = Network::of(&self.case, &self.plan, surfaces, &finer);
                Ok(solved.carried(network, [&self.grid, &finer], &temperatures)?.field.temperature)
            };
            let condensation = self.condensation.as_ref().map(|solved| {
                let surfaces = Surfaces::of(&self.case, &self.plan, Purpose::Condensation);
                solve(&surfaces, solved)
            });
            if let (Ok(heat_loss), Ok(condensation)) = (solve(&self.surfaces, &self.heat_loss), condensation.transpose()) {
                return Fields { grid: finer, heat_loss, condensation };
            }
        }
        Fields {
            grid: self.grid.clone(),
            heat_loss: self.heat_loss.field.temperature.clone(),
            condensation: self.condensation.as_ref().map(|solved| solved.field.temperature.clone()),
        }
    }

    /// The outcome for each pair of environments whose ψ is wanted.
    pub fn pairs(&self) -> impl Iterator<Item = &Outcome> {
        std::iter::once(self).chain(&self.further_pairs)
    }

    /// The outcome for a pair, by the names of the environments on either side, in any order.
    pub fn pair(&self, sides: [&[&str]; 2]) -> Option<&Outcome> {
        let is_side = |own: &Vec<usize>, names: &[&str]| {
            own.len() == names.len() && own.iter().all(|index| names.contains(&self.case.environments[*index].name.as_str()))
        };
        self.pairs().find(|pair| {
            let Some([one, other]) = pair.sides() else { return false };
            let [first, second] = sides;
            (is_side(&one, first) && is_side(&other, second)) || (is_side(&one, second) && is_side(&other, first))
        })
    }

    /// The environments on either side of L2D, where they can be told.
    pub fn sides(&self) -> Option<[Vec<usize>; 2]> {
        psi::sides(&self.case, &Temperatures::of(&self.case), &mut Vec::new())
    }

    /// ψ by the key under which a report shows it and a submission claims it: `psi_internal`, and `psi_internal_2` for the second pair.
    pub fn psi_by_key(&self, key: &str) -> Option<&PsiValue> {
        let key = key.strip_prefix("psi_")?;
        self.pairs().enumerate().find_map(|(number, pair)| {
            let named = |psi: &&PsiValue| key == psi::numbered_key(psi.convention, number);
            pair.psi.iter().find(named)
        })
    }

    /// Findings about the case and about its results that do not stop the run.
    pub fn all_warnings(&self) -> impl Iterator<Item = &Diagnostic> {
        self.case.warnings.iter().chain(&self.warnings)
    }

    /// Estimated error of f_Rsi in an environment, where a finer grid was computed.
    pub fn factor_error(&self, environment: usize) -> Option<f64> {
        let own = self.evidence.as_ref()?.factors.iter().find(|own| own.environment == environment)?;
        Some(own.error())
    }

    /// What f_Rsi is computed from: the solution for condensation, or else that for heat loss.
    pub fn factor_basis(&self) -> &Solved {
        self.condensation.as_ref().unwrap_or(&self.heat_loss)
    }

    /// What each cell adds to the width of the bracket of L2D, W/(m·K), row by row.
    pub fn mismatch_by_cell(&self) -> Vec<f64> {
        let temperatures = Temperatures::of(&self.case);
        let sides = psi::sides(&self.case, &temperatures, &mut Vec::new());
        let evaluation = Evaluation::of(&self.case, &self.plan, &self.grid, &self.heat_loss.conduction.network);
        Target::of(&temperatures, &sides).mismatch_by_cell(&evaluation, &self.heat_loss)
    }
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

impl Solved {
    /// The solution on another grid with its network, to the accuracy that looking at it takes, and without unit fields.
    fn carried(&self, network: Network, [from, to]: [&Grid; 2], environment_temperatures: &[f64]) -> Result<Self, SolveError> {
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

/// Why there is no outcome.
#[derive(Clone, Debug)]
pub enum Failure {
    /// The input cannot be used.
    Rejected(Box<Rejected>),
    /// The equations could not be solved.
    Solve(SolveError),
    /// The bounds of a value contradict each other or are not finite.
    NoBracket(NoBracket),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rejected(rejected) => rejected.fmt(f),
            Self::Solve(error) => error.fmt(f),
            Self::NoBracket(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Failure {}

impl From<Rejected> for Failure {
    fn from(rejected: Rejected) -> Self {
        Self::Rejected(Box::new(rejected))
    }
}

impl From<NoBracket> for Failure {
    fn from(error: NoBracket) -> Self {
        Self::NoBracket(error)
    }
}

impl From<SolveError> for Failure {
    fn from(error: SolveError) -> Self {
        Self::Solve(error)
    }
}

/// From a case to its results, as accurate as by default.
///
/// # Errors
/// [`Failure`] if the plan cannot be used or the equations cannot be solved.
pub fn compute(case: Case) -> Result<Outcome, Failure> {
    compute_to(case, &Demand::default())
}

/// From a case to its results, as accurate as wanted.
///
/// # Errors
/// As [`compute`].
pub fn compute_to(case: Case, demand: &Demand) -> Result<Outcome, Failure> {
    for_each_pair(case, |case| compute_pair(case, demand))
}

/// Computes a case for its first pair of environments, then for the others: each takes a grid of its own, since the bracket of each must
/// be as narrow as wanted.
fn for_each_pair(mut case: Case, compute: impl Fn(Case) -> Result<Outcome, Failure>) -> Result<Outcome, Failure> {
    let further = std::mem::take(&mut case.further_psi);
    let alone = |case: &Case, psi: &Psi| Case {
        psi: Some(psi.clone()),
        condensation: None,
        points: Vec::new(),
        claims: Vec::new(),
        ..case.clone()
    };
    // Faults of all pairs are told before anything is solved.
    for psi in &further {
        Task::of(alone(&case, psi))?;
    }
    let mut outcome = compute(case)?;
    for psi in &further {
        let pair = compute(alone(&outcome.case, psi))?;
        for warning in &pair.warnings {
            if !outcome.warnings.contains(warning) {
                outcome.warnings.push(warning.clone());
            }
        }
        for note in &pair.notes {
            if !outcome.notes.contains(note) {
                outcome.notes.push(note.clone());
            }
        }
        outcome.is_limited |= pair.is_limited;
        outcome.further_pairs.push(pair);
    }
    outcome.case.further_psi = further;
    Ok(outcome)
}

fn compute_pair(case: Case, demand: &Demand) -> Result<Outcome, Failure> {
    let mut task = settling::settle(case)?;
    let mut demand = *demand;
    // Where ψ is the difference of two models, each may have half of its uncertainty, or less where external dimensions count more of
    // the floor than the second model has.
    if let Some(share) = floor::largest_share_of_model(&task.case, &task.elements) {
        demand.half_width /= 1.0 + share;
    }
    // U_f is wanted as closely as ψ.
    if let Some(frame) = task.case.psi.as_ref().and_then(|psi| psi.frame) {
        demand.half_width *= frame.length().min(1.0);
    }
    task.solve_floors(|case| compute_to(case, &demand))?;
    let outcome = task.refined(&demand)?;
    if let Some(what) = finite::first_that_is_not(&outcome) {
        let hint = "a length, a resistance, a conductivity or a difference of temperatures is beyond what can be computed with";
        let diagnostic = Diagnostic::error(outcome.case.extent_place, format!("{what} is not a finite number")).hint(hint);
        return Err(Rejected { diagnostics: vec![diagnostic], sources: outcome.case.sources }.into());
    }
    Ok(outcome)
}

/// The same on a graded grid of a given fineness, for convergence studies.
///
/// # Errors
/// As [`compute`].
pub fn compute_on(case: Case, fineness: Fineness) -> Result<Outcome, Failure> {
    for_each_pair(case, |case| compute_pair_on(case, fineness))
}

fn compute_pair_on(case: Case, fineness: Fineness) -> Result<Outcome, Failure> {
    let mut task = settling::settle(case)?;
    task.solve_floors(|case| compute_on(case, fineness))?;
    let grid = Grid::graded(&task.case, &task.plan, fineness)?;
    let solution = task.solve_all(grid, &[])?;
    task.finish(solution, Vec::new(), false, None)
}

/// Rounds of refinement for f_Rsi after which its estimated error is stated as it is.
const MOST_FACTOR_ROUNDS: usize = 6;

/// A case that can be computed.
struct Task {
    case: Case,
    plan: Plan,
    surfaces: Surfaces,
    /// For condensation, if the case asks for it.
    condensation_surfaces: Option<Surfaces>,
    temperatures: Temperatures,
    target: Target,
    elements: Vec<ElementU>,
    places: Vec<(f64, f64)>,
    /// Air cavities with their conductivities, once these are settled.
    cavities: Vec<Settled>,
    warnings: Vec<Diagnostic>,
}

/// All solutions on one grid.
struct Solution {
    grid: Grid,
    heat_loss: Solved,
    condensation: Option<Solved>,
    l2d: Option<Bracket>,
    coupling: Vec<Coupling>,
}

impl Solution {
    fn factor_basis(&self) -> &Solved {
        self.condensation.as_ref().unwrap_or(&self.heat_loss)
    }

    fn factors(&self, case: &Case) -> Vec<TemperatureFactor> {
        temperature_factor::factors(case, &self.grid, self.factor_basis())
    }
}

impl Task {
    fn of(case: Case) -> Result<Self, Failure> {
        Self::with_directions(case, None)
    }

    /// With directions at level surfaces that were told before.
    fn with_directions(mut case: Case, runs: Option<Vec<Run>>) -> Result<Self, Failure> {
        let (mut plan, mut warnings) = Plan::of(&case)?;
        for (index, environment) in case.environments.iter_mut().enumerate() {
            environment.is_touched = plan.touched.contains(&index);
        }
        if let Some(runs) = runs {
            plan.level.runs = runs;
        }
        let surfaces = Surfaces::of(&case, &plan, Purpose::HeatLoss);
        let temperatures = Temperatures::of(&case);
        let mut errors = Vec::new();
        let elements = u_value::elements(&case, &plan, &surfaces, &mut errors);
        let sides = psi::sides(&case, &temperatures, &mut errors);
        let places = point::places(&case, &plan, &mut errors);
        if let Some(sides) = sides.as_ref().filter(|_| !has_errors(&errors)) {
            cut_off::infer_axes(&mut case, &plan, sides, &elements, &mut errors);
            if !has_errors(&errors) {
                cut_off::check((&case, &plan, &surfaces), sides, &elements, &mut errors);
            }
        }
        let is_rejected = has_errors(&errors);
        warnings.append(&mut errors);
        if is_rejected {
            return Err(Rejected { diagnostics: warnings, sources: case.sources.clone() }.into());
        }
        let condensation_surfaces = case.condensation.as_ref().map(|_| Surfaces::of(&case, &plan, Purpose::Condensation));
        let target = Target::of(&temperatures, &sides);
        Ok(Self {
            case,
            plan,
            surfaces,
            condensation_surfaces,
            temperatures,
            target,
            elements,
            places,
            cavities: Vec::new(),
            warnings,
        })
    }

    /// Temperatures on a grid that gives the bracket of L2D this half-width.
    fn rough_field(&self, half_width: f64) -> Result<(Grid, Vec<f64>), Failure> {
        let grid = Grid::coarsest(&self.case, &self.plan)?;
        let network = Network::of(&self.case, &self.plan, &self.surfaces, &grid);
        let temperatures = &self.temperatures.of_environment;
        if network.has_temperature_jump(temperatures) {
            let grid = Grid::graded(&self.case, &self.plan, Fineness::default())?;
            let field = self.solve(&self.surfaces, &grid, None)?.field;
            return Ok((grid, field.temperature));
        }
        let demand = Demand { half_width, ..Demand::default() };
        let target = Target { loads: vec![temperatures.clone()] };
        let refined = refinement::refine((&self.case, &self.plan, &self.surfaces), &target, &demand, grid, None)?;
        let field = refined.fields.into_iter().next().unwrap_or_default();
        Ok((refined.grid, field))
    }

    /// Solves floor and ground alone for each floor on the ground.
    fn solve_floors(&mut self, solve: impl Fn(Case) -> Result<Outcome, Failure>) -> Result<(), Failure> {
        for element in &mut self.elements {
            let Some(floor) = &mut element.floor else { continue };
            floor.model = solve(floor::reference(&self.case, floor))?.l2d;
            if let Some(u_value) = floor.u_value(floor.method) {
                element.u_value = u_value.middle();
            }
        }
        Ok(())
    }

    fn refined(self, demand: &Demand) -> Result<Outcome, Failure> {
        let mut grid = Grid::coarsest(&self.case, &self.plan)?;
        let network = Network::of(&self.case, &self.plan, &self.surfaces, &grid);
        // Where surfaces of different fixed temperatures meet in a point, the energy is infinite and so is every bracket.
        if self.target.has_jump(&network) {
            let grid = Grid::graded(&self.case, &self.plan, Fineness::default())?;
            let solution = self.solve_all(grid, &[])?;
            let evidence = self.evidence(&solution, demand)?;
            return self.finish(solution, Vec::new(), false, evidence);
        }
        let target = &self.target;
        let mut demand = *demand;
        let mut passes = Vec::new();
        let mut starts = None;
        let mut is_limited = false;
        let mut round = 0;
        loop {
            let on = (&self.case, &self.plan, &self.surfaces);
            let refined = refinement::refine(on, target, &demand, grid, starts)?;
            // In later rounds the bracket is as wanted already.
            is_limited |= round == 0 && refined.is_limited;
            passes.extend(refined.passes);
            let start = if target.loads.len() == 1 { refined.fields[0].as_slice() } else { &[] };
            let solution = self.solve_all(refined.grid, start)?;
            let evidence = self.evidence(&solution, &demand)?;
            let factors = evidence.iter().flat_map(|evidence| &evidence.factors);
            let inexact = factors.filter(|factor| factor.error() > demand.factor_error);
            let worst = inexact.max_by(|a, b| a.error().total_cmp(&b.error()));
            let finer = worst.map(|worst| solution.grid.split_beside(&self.plan, worst.at));
            let Some(finer) =
                finer.filter(|finer| round < MOST_FACTOR_ROUNDS && finer.solid_cells(&self.plan) <= demand.most_unknowns)
            else {
                return self.finish(solution, passes, is_limited, evidence);
            };
            round += 1;
            // The error of f_Rsi comes from its surroundings too, so the whole grid gets finer, and finest there.
            starts = Some(refined.fields.iter().map(|field| interpolate(&solution.grid, &finer, field)).collect());
            grid = finer;
            demand.half_width = 0.5 * demand.half_width.min(passes.last().map_or(f64::INFINITY, |pass| pass.l2d.half_width()));
        }
    }

    /// Solves for heat loss and condensation; `start` may be empty.
    fn solve_all(&self, grid: Grid, start: &[f64]) -> Result<Solution, Failure> {
        let start = Some(start).filter(|start| !start.is_empty());
        let heat_loss = self.solve(&self.surfaces, &grid, start)?;
        let start = Some(heat_loss.field.temperature.as_slice());
        let condensation = self.condensation_surfaces.as_ref().map(|surfaces| self.solve(surfaces, &grid, start)).transpose()?;
        let temperatures = &self.temperatures.of_environment;
        let network = &heat_loss.conduction.network;
        let evaluation = Evaluation::of(&self.case, &self.plan, &grid, network);
        let coupling = coupling::coefficients(&heat_loss, &evaluation, temperatures.len())?;
        let mut l2d = None;
        if (self.temperatures.distinct() == 2 || self.target.is_of_groups()) && !self.target.has_jump(network) {
            l2d = Some(self.target.assess(&evaluation, &self.target.fields(&heat_loss))?.0);
        }
        Ok(Solution { grid, heat_loss, condensation, l2d, coupling })
    }

    fn solve(&self, surfaces: &Surfaces, grid: &Grid, start: Option<&[f64]>) -> Result<Solved, SolveError> {
        let conduction = Conduction::of(Network::of(&self.case, &self.plan, surfaces, grid))?;
        let field = conduction.solve(&self.temperatures.of_environment, start)?;
        let unit_fields = if self.temperatures.distinct() < 3 && !self.target.is_of_groups() {
            Vec::new()
        } else {
            let units = coupling::units(self.temperatures.of_environment.len());
            units.iter().map(|unit| conduction.solve(unit, None)).collect::<Result<_, _>>()?
        };
        Ok(Solved { conduction, field, unit_fields })
    }

    /// What a grid with every cell halved in both directions changes; none if that would be too large.
    fn evidence(&self, solution: &Solution, demand: &Demand) -> Result<Option<Evidence>, SolveError> {
        let grid = solution.grid.doubled(&self.plan);
        let cells = [&solution.grid, &grid].map(|grid| grid.solid_cells(&self.plan));
        if cells[1] > demand.most_unknowns || grid.vertices() > MOST_VERTICES {
            return Ok(None);
        }
        let of = &self.temperatures.of_environment;
        let on_fine = |surfaces: &Surfaces, solved: &Solved| -> Result<Solved, SolveError> {
            solved.carried(Network::of(&self.case, &self.plan, surfaces, &grid), [&solution.grid, &grid], of)
        };
        let fine = on_fine(&self.surfaces, &solution.heat_loss)?;
        let condensation = match (&self.condensation_surfaces, &solution.condensation) {
            (Some(surfaces), Some(solved)) => Some(on_fine(surfaces, solved)?),
            _ => None,
        };
        let fine_factors = temperature_factor::factors(&self.case, &grid, condensation.as_ref().unwrap_or(&fine));
        let flow =
            |solved: &Solved| solved.conduction.heat_flows(&solved.field, of).iter().map(|flow| flow.abs()).sum::<f64>() / 2.0;
        Ok(Some(Evidence {
            cells,
            heat_flow: [flow(&solution.heat_loss), flow(&fine)],
            factors: evidence::factors(&solution.factors(&self.case), &fine_factors),
            apart: evidence::apart(&solution.factors(&self.case), &fine_factors),
        }))
    }

    fn finish(
        self,
        solution: Solution,
        passes: Vec<Pass>,
        is_limited: bool,
        evidence: Option<Evidence>,
    ) -> Result<Outcome, Failure> {
        let factors = solution.factors(&self.case);
        let Self { case, plan, surfaces, temperatures, elements, places, cavities, mut warnings, .. } = self;
        let own_flows = solution.heat_loss.conduction.heat_flows(&solution.heat_loss.field, &temperatures.of_environment);
        if solution.heat_loss.conduction.network.has_temperature_jump(&temperatures.of_environment) {
            let message = "surfaces of different fixed temperatures meet in a point: the heat flow between them is infinite";
            let hint = if solution.l2d.is_some() {
                "the temperatures are right, and so is L2D between the two sides, but not the heat flow of each environment"
            } else {
                "the temperatures are right, but no L2D or ψ is stated; give one surface a resistance above 0 to get them"
            };
            warnings.push(Diagnostic::warning(case.extent_place, message).hint(hint));
        }
        let untold: Vec<String> = solution
            .coupling
            .iter()
            .filter(|pair| pair.bracket.is_none())
            .map(|pair| pair.between.map(|index| format!("`{}`", case.environments[index].name)).join("–"))
            .collect();
        if !untold.is_empty() {
            let message = format!(
                "fixed temperatures of different environments touch: the coupling coefficient has no finite bracket for {}",
                untold.join(", ")
            );
            let hint = "give one of the touching surfaces a resistance above 0 to get it; environments that touch count together where \
                        `between` names them as one side";
            warnings.push(Diagnostic::warning(case.extent_place, message).hint(hint));
        }
        if let Some(l2d) = solution.l2d.filter(|_| is_limited) {
            let message = format!(
                "the accuracy wanted was not reached with {} unknowns: L2D and ψ are known to ± {:.1e} W/(m·K)",
                solution.heat_loss.conduction.unknowns,
                l2d.half_width()
            );
            let hint = "allow more unknowns with --unknowns, or ask for less with --accuracy";
            warnings.push(Diagnostic::warning(case.extent_place, message).hint(hint));
        }
        let profiles = profile::profiles(&case, &solution.grid, solution.factor_basis());
        let points = point::temperatures(&case, &solution.grid, &plan, &solution.heat_loss.field, &places);
        let mut notes = evidence::cut_off_notes(&case, &elements);
        notes.extend(along::notes(&case, &plan, &elements));
        notes.extend(evidence::ground_notes(&case, &plan));
        notes.extend(evidence.as_ref().and_then(Evidence::note));
        let Solution { grid, heat_loss, condensation, l2d, coupling } = solution;
        let (network, field) = (&heat_loss.conduction.network, &heat_loss.field.temperature);
        let level_flows = settling::net_flows(&plan, &grid, network, field, &temperatures.of_environment);
        let psi = l2d.map(|l2d| psi::values(&case, &elements, l2d)).transpose()?.unwrap_or_default();
        let frame = case.psi.as_ref().and_then(|psi| psi.frame);
        notes.extend(evidence::frame_notes(&case, &elements));
        Ok(Outcome {
            frame_u: frame.zip(psi.first()).map(|(frame, psi)| psi.bracket.over(frame.length())).transpose()?,
            psi,
            further_pairs: Vec::new(),
            heat_balance: coupling::balance(&own_flows),
            heat_flows: coupling::heat_flows(&own_flows, &temperatures, l2d, &coupling),
            l2d,
            coupling,
            elements,
            cavities,
            level_flows,
            factors,
            points,
            profiles,
            warnings,
            notes,
            passes,
            is_limited,
            evidence,
            condensation,
            heat_loss,
            surfaces,
            grid,
            plan,
            case,
        })
    }
}
