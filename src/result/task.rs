//! A case on its way to an outcome: plan, surfaces, refinement, solutions, and what they come to.

use super::by_triangles::ByTriangles;
use super::cavity::Settled;
use super::coupling::{self, Coupling, Temperatures};
use super::evidence::{self, Evidence};
use super::outcome::Outcome;
use super::place::{self, PlaceError};
use super::psi;
use super::refinement::{self, Demand, Pass, Target};
use super::solved::Solved;
use super::temperature_factor::{self, TemperatureFactor};
use super::u_value::{self, ElementU};
use super::{Failure, along, cavity, cut_off, floor, lengths, painted, point, profile, settling, stated};
use crate::bounds::{Bracket, Evaluation};
use crate::case::Case;
use crate::case::diagnostic::has_errors;
use crate::conduction::{Conduction, Network};
use crate::element::limits;
use crate::finding::Diagnostic;
use crate::grid::Grid;
use crate::grid::lines::Fineness;
use crate::model::{EnvironmentId, Model};
use crate::multigrid::SolveError;
use crate::plan::Plan;
use crate::plan::level::Run;
use crate::plan::surface::{self, Purpose, Surfaces};

/// A case that can be computed.
pub(super) struct Task {
    pub(super) case: Case,
    pub(super) plan: Plan,
    pub(super) surfaces: Surfaces,
    /// For condensation, if the case asks for it.
    pub(super) condensation_surfaces: Option<Surfaces>,
    pub(super) temperatures: Temperatures,
    pub(super) target: Target,
    pub(super) elements: Vec<ElementU>,
    pub(super) places: Vec<(f64, f64)>,
    /// Air cavities with their conductivities, once these are settled.
    pub(super) cavities: Vec<Settled>,
    pub(super) warnings: Vec<Diagnostic>,
}

/// All solutions on one grid.
pub(super) struct Solution {
    pub(super) grid: Grid,
    pub(super) heat_loss: Solved,
    pub(super) condensation: Option<Solved>,
    pub(super) l2d: Option<Bracket>,
    pub(super) coupling: Vec<Coupling>,
    /// Where L2D and the coupling coefficients come from triangles.
    pub(super) by_triangles: Option<ByTriangles>,
}

impl Solution {
    /// The same, with what triangles say of the heat loss, if they were asked.
    pub(super) fn with(mut self, by_triangles: Option<ByTriangles>) -> Self {
        if let Some(mut by_triangles) = by_triangles {
            // Refined for places, the grid may have come to know more than when it was left.
            by_triangles.on_grid = self.l2d.unwrap_or(by_triangles.on_grid);
            self.l2d = Some(by_triangles.l2d);
            self.coupling.clone_from(&by_triangles.coupling);
            self.by_triangles = Some(by_triangles);
        }
        self
    }

    pub(super) fn factor_basis(&self) -> &Solved {
        self.condensation.as_ref().unwrap_or(&self.heat_loss)
    }

    pub(super) fn factors(&self, model: &Model) -> Vec<TemperatureFactor> {
        temperature_factor::factors(model, &self.grid, self.factor_basis())
    }
}

impl Task {
    pub(super) fn of(case: Case) -> Result<Self, Failure> {
        Self::with_directions(case, None)
    }

    /// With directions at level surfaces that were told before.
    pub(super) fn with_directions(mut case: Case, runs: Option<Vec<Run>>) -> Result<Self, Failure> {
        let (mut plan, mut warnings) = Plan::of(&case.model).map_err(|findings| case.rejected(findings.0))?;
        for (index, environment) in case.model.environments.iter_mut().enumerate() {
            environment.is_touched = plan.touched.contains(&EnvironmentId::new(index));
        }
        if let Some(runs) = runs {
            plan.level.runs = runs;
        }
        let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
        let temperatures = Temperatures::of(&case.model);
        let mut errors = Vec::new();
        let elements = u_value::elements(&case.model, &plan, &surfaces, &mut errors);
        let sides = psi::sides(&case.model, &temperatures, &mut errors);
        let places = point::places(&case.model, &plan, &mut errors);
        if let Some(sides) = sides.as_ref().filter(|_| !has_errors(&errors)) {
            cut_off::infer_axes(&mut case.model, &plan, sides, &elements, &mut errors);
            if !has_errors(&errors) {
                cut_off::check((&case.model, &plan, &surfaces), sides, &elements, &mut errors);
                errors.extend(stated::warnings((&case.model, &plan, &surfaces), sides, &elements));
                errors.extend(lengths::warnings(&case.model, &plan, sides, &elements));
            }
        }
        errors.extend(surface::unused_rules(&case.model, &plan));
        errors.extend(temperature_factor::without_rooms(&case.model));
        let is_rejected = has_errors(&errors);
        warnings.append(&mut errors);
        if is_rejected {
            return Err(case.rejected(warnings).into());
        }
        let condensation_surfaces =
            case.model.condensation.as_ref().map(|_| Surfaces::of(&case.model, &plan, Purpose::Condensation));
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
    pub(super) fn rough_field(&self, half_width: f64) -> Result<(Grid, Vec<f64>), Failure> {
        let grid = Grid::coarsest(&self.case.model, &self.plan)
            .map_err(|findings| self.case.rejected(findings.0))?;
        let network = Network::of(&self.case.model, &self.plan, &self.surfaces, &grid);
        let temperatures = &self.temperatures.of_environment;
        if network.has_temperature_jump(temperatures) {
            let grid = Grid::graded(&self.case.model, &self.plan, Fineness::default())
                .map_err(|findings| self.case.rejected(findings.0))?;
            let field = self.solve(&self.surfaces, &grid)?.field;
            return Ok((grid, field.temperature));
        }
        let demand = Demand { half_width, ..Demand::default() };
        let target = Target { loads: vec![temperatures.clone()] };
        let refined =
            refinement::refine((&self.case.model, &self.plan, &self.surfaces), &target, &demand, grid, None)?;
        let field = refined.fields.into_iter().next().unwrap_or_default();
        Ok((refined.grid, field))
    }

    /// Solves floor and ground alone for each floor on the ground.
    pub(super) fn solve_floors(
        &mut self,
        solve: impl Fn(Case) -> Result<Outcome, Failure>,
    ) -> Result<(), Failure> {
        for element in &mut self.elements {
            let Some(floor) = &mut element.floor else { continue };
            let case = Case {
                model: floor::reference(&self.case.model, floor),
                climate: None,
                claims: Vec::new(),
                ..self.case.clone()
            };
            floor.model = solve(case)?.l2d;
            if let Some(u_value) = floor.u_value(floor.method) {
                element.u_value = u_value.middle();
            }
        }
        Ok(())
    }

    /// Solves on a given grid.
    pub(super) fn solve_on(&self, grid: Grid) -> Result<Solution, Failure> {
        let of = |surfaces: &Surfaces| self.solve(surfaces, &grid);
        let heat_loss = of(&self.surfaces)?;
        let condensation = self.condensation_surfaces.as_ref().map(of).transpose()?;
        self.solution(grid, heat_loss, condensation)
    }

    fn solve(&self, surfaces: &Surfaces, grid: &Grid) -> Result<Solved, SolveError> {
        self.solve_to_the_end(
            Conduction::of(Network::of(&self.case.model, &self.plan, surfaces, grid))?,
            None,
        )
    }

    /// Solves equations from a field near the solution, or from none.
    pub(super) fn solve_to_the_end(
        &self,
        conduction: Conduction,
        start: Option<&[f64]>,
    ) -> Result<Solved, SolveError> {
        let field = conduction.solve(&self.temperatures.of_environment, start)?;
        let unit_fields = if self.temperatures.distinct() < 3 && !self.target.is_of_groups() {
            Vec::new()
        } else {
            let units = coupling::units(self.temperatures.of_environment.len());
            units.iter().map(|unit| conduction.solve(unit, None)).collect::<Result<_, _>>()?
        };
        Ok(Solved { conduction, field, unit_fields })
    }

    /// What solved equations come to.
    pub(super) fn solution(
        &self,
        grid: Grid,
        heat_loss: Solved,
        condensation: Option<Solved>,
    ) -> Result<Solution, Failure> {
        let network = &heat_loss.conduction.network;
        let evaluation = Evaluation::of(&self.case.model, &self.plan, &grid, network);
        let coupling =
            coupling::coefficients(&heat_loss, &evaluation, self.temperatures.of_environment.len())?;
        let mut l2d = None;
        if (self.temperatures.distinct() == 2 || self.target.is_of_groups()) && !self.target.has_jump(network)
        {
            l2d = Some(self.target.assess(&evaluation, &self.target.fields(&heat_loss))?.0);
        }
        Ok(Solution { grid, heat_loss, condensation, l2d, coupling, by_triangles: None })
    }

    pub(super) fn finish(
        self,
        solution: Solution,
        passes: Vec<Pass>,
        is_limited: bool,
        evidence: Option<Evidence>,
        place_errors: Vec<PlaceError>,
    ) -> Result<Outcome, Failure> {
        let factors = solution.factors(&self.case.model);
        let Self { case, plan, surfaces, temperatures, elements, places, cavities, mut warnings, .. } = self;
        let own_flows =
            solution.heat_loss.conduction.heat_flows(&solution.heat_loss.field, &temperatures.of_environment);
        if solution.heat_loss.conduction.network.has_temperature_jump(&temperatures.of_environment) {
            let message = "surfaces of different fixed temperatures meet in a point: the heat flow between them is infinite";
            let hint = if solution.l2d.is_some() {
                "the temperatures are right, and so is L2D between the two sides, but not the heat flow of each environment"
            } else {
                "the temperatures are right, but no L2D or ψ is stated; give one surface a resistance above 0 to get them"
            };
            warnings.push(Diagnostic::warning(case.model.extent_place, message).hint(hint));
        }
        let untold: Vec<String> = solution
            .coupling
            .iter()
            .filter(|pair| pair.bracket.is_none())
            .map(|pair| {
                pair.between.map(|index| format!("`{}`", case.model.environments[index].name)).join("–")
            })
            .collect();
        if !untold.is_empty() {
            let message = format!(
                "fixed temperatures of different environments touch: the coupling coefficient has no finite bracket for {}",
                untold.join(", ")
            );
            let hint = "give one of the touching surfaces a resistance above 0 to get it; environments that touch count together where \
                        `between` names them as one side";
            warnings.push(Diagnostic::warning(case.model.extent_place, message).hint(hint));
        }
        if let Some(l2d) = solution.l2d.filter(|_| is_limited) {
            let message = format!(
                "the accuracy wanted was not reached with {} unknowns: L2D and ψ are known to ± {:.1e} W/(m·K)",
                solution.heat_loss.conduction.unknowns,
                l2d.half_width()
            );
            let hint = "allow more unknowns with --unknowns, or ask for less with --accuracy; on a grid so coarse the estimated errors of temperatures and f_Rsi may be too small";
            warnings.push(Diagnostic::warning(case.model.extent_place, message).hint(hint));
        }
        warnings.extend(place::warning(&case.model, &place_errors, solution.heat_loss.conduction.unknowns));
        let profiles = profile::profiles(&case.model, &solution.grid, solution.factor_basis());
        let points =
            point::temperatures(&case.model, &solution.grid, &plan, &solution.heat_loss.field, &places);
        let points_condensation = solution
            .condensation
            .as_ref()
            .map(|solved| point::temperatures(&case.model, &solution.grid, &plan, &solved.field, &places))
            .unwrap_or_default();
        let mut notes = evidence::cut_off_notes(&case.model, &elements);
        notes.extend(along::notes(&case.model, &plan, &elements));
        notes.extend(evidence::ground_notes(&case.model, &plan));
        notes.extend(cavity::notes(&case.model, &cavities));
        notes.extend(evidence.as_ref().and_then(Evidence::note));
        notes.extend(case.model.build_ups.iter().flat_map(limits::notes_elsewhere));
        notes.extend(evidence::doubts(&case.model, &plan));
        let Solution { grid, heat_loss, condensation, l2d, coupling, by_triangles } = solution;
        let (network, field) = (&heat_loss.conduction.network, &heat_loss.field.temperature);
        warnings.extend(painted::warnings(&case.model, &plan, &grid, field));
        let infinite: Vec<EnvironmentId> =
            network.jumps(&temperatures.of_environment).flatten().copied().collect();
        let heat_flows = coupling::heat_flows(&own_flows, &temperatures, l2d, &coupling);
        let heat_flows = EnvironmentId::all(heat_flows.len())
            .zip(heat_flows)
            .map(|(id, flow)| (!infinite.contains(&id)).then_some(flow))
            .collect();
        let level_flows = settling::net_flows(&plan, &grid, network, field, &temperatures.of_environment);
        let psi = l2d.map(|l2d| psi::values(&case.model, &elements, l2d)).transpose()?.unwrap_or_default();
        let frame = case.model.psi.as_ref().and_then(|psi| psi.frame);
        notes.extend(evidence::frame_notes(&case.model, &elements));
        Ok(Outcome {
            frame_u: frame
                .zip(psi.first())
                .map(|(frame, psi)| psi.bracket.over(frame.length()))
                .transpose()?,
            psi,
            further_pairs: Vec::new(),
            by_triangles,
            heat_balance: coupling::balance(&own_flows),
            heat_flows,
            l2d,
            coupling,
            elements,
            cavities,
            level_flows,
            factors,
            points,
            points_condensation,
            place_errors,
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
