//! A case on its way to an outcome: plan, surfaces, refinement, solutions, and what they come to.

use super::cavity::Settled;
use super::computed::Computed;
use super::coupling::{self, Coupling, Temperatures};
use super::evidence::{self, Evidence};
use super::outcome::Outcome;
use super::place::{self, PlaceError};
use super::psi;
use super::refinement::{Demand, Target};
use super::skin::Skin;
use super::taking_over::HandedOver;
use super::temperature_factor::{self, TemperatureFactor};
use super::u_value::{self, ElementU};
use super::{Failure, along, cavity, cut_off, floor, lengths, planes, point, profile, stated};
use crate::bounds::{Bracket, Pass};
use crate::case::Case;
use crate::case::diagnostic::has_errors;
use crate::element::limits;
use crate::finding::Diagnostic;
use crate::geometry::millimetres;
use crate::model::EnvironmentId;
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

/// All solutions, and what they come to.
pub(super) struct Solution {
    pub(super) computed: Computed,
    pub(super) factors: Vec<TemperatureFactor>,
    /// Of the solution that f_Rsi is computed from.
    pub(super) skin: Skin,
    pub(super) l2d: Option<Bracket>,
    pub(super) coupling: Vec<Coupling>,
    /// Where triangles took over from a grid.
    pub(super) handed_over: Option<HandedOver>,
    /// From each environment into the construction by the method itself, W/m.
    pub(super) own_flows: Vec<f64>,
    /// Through each run of level surface, W/m.
    pub(super) level_flows: Vec<f64>,
    /// Environments whose heat flow is infinite, since fixed temperatures meet in a point.
    pub(super) infinite: Vec<EnvironmentId>,
    /// At the named points, °C, with the surface resistances for heat loss and for condensation.
    pub(super) points: [Vec<(String, f64)>; 2],
    /// What build-ups state and the solution contradicts.
    pub(super) of_build_ups: Vec<Diagnostic>,
    /// On triangles that are not as fine as wanted, the place where most is missing, m.
    pub(super) lacking: Option<[f64; 2]>,
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
            planes::infer_axes(&mut case.model, &plan, sides, &elements, &mut errors);
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

    /// Each environment in turn at 1 and all others at 0, where the fields of these are wanted: for three and more
    /// temperatures, and where L2D is the coupling of groups.
    pub(super) fn unit_loads(&self) -> Vec<Vec<f64>> {
        let is_wanted = self.temperatures.distinct() > 2 || self.target.is_of_groups();
        if is_wanted { coupling::units(self.temperatures.of_environment.len()) } else { Vec::new() }
    }

    /// True if one L2D can be stated: between two temperatures or two groups.
    pub(super) fn states_l2d(&self) -> bool {
        self.temperatures.distinct() == 2 || self.target.is_of_groups()
    }

    /// Refines until everything is as exact as `demand` wants or may be, and computes what the solutions come to.
    pub(super) fn refined(self, demand: &Demand) -> Result<Outcome, Failure> {
        match self.plan.raster().cloned() {
            Some(raster) => self.refined_on_grid(&raster, demand),
            None => self.refined_on_triangles(demand),
        }
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

    pub(super) fn finish(
        self,
        solution: Solution,
        passes: Vec<Pass>,
        is_limited: bool,
        evidence: Option<Evidence>,
        place_errors: Vec<PlaceError>,
    ) -> Result<Outcome, Failure> {
        let Self { case, plan, surfaces, temperatures, elements, cavities, mut warnings, .. } = self;
        if !solution.infinite.is_empty() {
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
        let most = solution.lacking.map_or_else(String::new, |[x, y]| {
            format!("; most is missing about x = {}, y = {} mm", millimetres(x), millimetres(y))
        });
        if let Some(l2d) = solution.l2d.filter(|_| is_limited) {
            let message = format!(
                "the accuracy wanted was not reached with {} unknowns: L2D and ψ are known to ± {:.1e} W/(m·K){most}",
                solution.computed.unknowns(),
                l2d.half_width()
            );
            let hint = if solution.computed.is_at_its_limit() {
                "triangles are given no more unknowns or work: ask for less with --accuracy, or draw what meets in one point, conductors beside insulation, as what it does"
            } else {
                "allow more unknowns (`solve --unknowns`), or ask for less with --accuracy; on a grid so coarse the estimated errors of temperatures and f_Rsi may be too small"
            };
            warnings.push(Diagnostic::warning(case.model.extent_place, message).hint(hint));
        }
        warnings.extend(place::warning(
            &case.model,
            &place_errors,
            (solution.computed.unknowns(), solution.computed.is_at_its_limit()),
            &most,
        ));
        let profiles = profile::profiles(&case.model, &solution.skin);
        let mut notes = evidence::cut_off_notes(&case.model, &elements);
        notes.extend(along::notes(&case.model, &plan, &elements));
        notes.extend(evidence::ground_notes(&case.model, &plan));
        notes.extend(cavity::notes(&case.model, &cavities));
        notes.extend(evidence::round_note(&case.model));
        notes.extend(evidence.as_ref().and_then(Evidence::note));
        notes.extend(case.model.build_ups.iter().flat_map(limits::notes_elsewhere));
        notes.extend(evidence::doubts(&case.model, &plan));
        let Solution {
            computed,
            factors,
            skin,
            l2d,
            coupling,
            handed_over,
            own_flows,
            level_flows,
            infinite,
            points: [points, points_condensation],
            of_build_ups,
            ..
        } = solution;
        warnings.extend(of_build_ups);
        let heat_flows = coupling::heat_flows(&own_flows, &temperatures, l2d, &coupling);
        let heat_flows = EnvironmentId::all(heat_flows.len())
            .zip(heat_flows)
            .map(|(id, flow)| (!infinite.contains(&id)).then_some(flow))
            .collect();
        let psi = l2d.map(|l2d| psi::values(&case.model, &elements, l2d)).transpose()?.unwrap_or_default();
        let frame = case.model.psi.as_ref().and_then(|psi| psi.frame);
        notes.extend(evidence::frame_notes(&case.model, &elements));
        notes.extend(psi::symmetry_note(&case.model, &psi));
        Ok(Outcome {
            frame_u: frame
                .zip(psi.first())
                .map(|(frame, psi)| psi.bracket.over(frame.length()))
                .transpose()?,
            psi,
            further_pairs: Vec::new(),
            handed_over,
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
            computed,
            skin,
            surfaces,
            plan,
            case,
        })
    }
}
