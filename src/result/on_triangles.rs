//! A case solved on triangles: some edges of its drawing slope, or a grid would need too many unknowns.
//!
//! One mesh serves L2D, the named points and the coldest places, with the surface resistances for heat loss and
//! for condensation ([`refine_towards`]).

use rayon::prelude::*;

use super::computed::{Computed, OnMesh, OnTriangles};
use super::evidence::{self, Evidence};
use super::outcome::Outcome;
use super::place::{PlaceError, Subject, of_a_point};
use super::refinement::Demand;
use super::skin::Skin;
use super::taking_over::{HandedOver, coupling};
use super::task::{Solution, Task};
use super::temperature_factor::{self, TemperatureFactor};
use super::triangulated::Meshed;
use super::{Failure, painted, triangulated};
use crate::bounds::Bracket;
use crate::finding::Diagnostic;
use crate::model::{Area, EnvironmentId, Role};
use crate::triangulation::{
    Answered, Goal, Known, Mesh, NotRefined, Pair, Physics, Place, Potential, Question, SHARE, Solids,
    System, Temperatures, Unsolvable, Wanted, Width, refine, refine_towards,
};

/// Unknowns of a field that no mesh may exceed, a second of work.
pub(super) const MOST_UNKNOWNS: usize = 60_000;

/// A temperature wanted, and whose.
struct Sought {
    subject: Subject,
    is_condensation: bool,
    goal: Goal,
}

/// What a mesh answered.
pub(super) struct Answers {
    answered: Answered,
    sought: Vec<Sought>,
    physics: Vec<Physics>,
    /// By segment of the drawing, the run of level surface that it is a piece of.
    runs: Vec<Option<usize>>,
    /// Half-width wanted, W/(m·K).
    half_width: f64,
}

impl Answers {
    fn l2d(&self) -> Option<Bracket> {
        self.answered.l2d()
    }

    /// True if the bracket of L2D is as narrow as wanted.
    pub(super) fn is_narrow(&self) -> bool {
        self.l2d().is_some_and(|l2d| l2d.half_width() <= self.half_width)
    }
}

impl Task {
    /// The coarsest mesh, and what heat passes on it with each set of surface resistances.
    fn coarsest_mesh(&self) -> Result<Meshed, Failure> {
        let mut sets = vec![&self.surfaces];
        sets.extend(&self.condensation_surfaces);
        triangulated::mesh(&self.case.model, &self.plan, &sets).map_err(|reason| {
            let error = Diagnostic::error(self.case.model.extent_place, reason.to_string());
            self.case.rejected(vec![error]).into()
        })
    }

    /// A drawing that is too large is its author's to mend.
    fn not_refined(&self, reason: NotRefined) -> Failure {
        let NotRefined::Unsolvable(Unsolvable::TooLarge) = reason else { return reason.into() };
        let hint = "leave out details that do not matter here, or draw them coarser: a circle has 48 edges";
        let place = self.case.model.plan.first().and_then(|shape| shape.place);
        let error = Diagnostic::error(place.or(self.case.model.extent_place), reason.to_string());
        self.case.rejected(vec![error.hint(hint)]).into()
    }

    /// Temperatures on a mesh that gives the bracket of L2D this half-width.
    pub(super) fn rough_mesh(&self, half_width: f64) -> Result<(Mesh, OnMesh), Failure> {
        let Meshed { mesh, physics, .. } = self.coarsest_mesh()?;
        let own = &self.temperatures.of_environment;
        let wanted = Wanted { half_width, most_unknowns: MOST_UNKNOWNS };
        let refined = refine(mesh, &physics[0], std::slice::from_ref(own), wanted)
            .map_err(|reason| self.not_refined(reason))?;
        let pair = refined.system.solve(own);
        Ok((refined.mesh, OnMesh { system: refined.system, pair, units: Vec::new() }))
    }

    /// Refines until everything is as exact as `demand` wants or the next mesh would be too large, and computes
    /// what the solutions come to.
    pub(super) fn refined_on_triangles(self, demand: &Demand) -> Result<Outcome, Failure> {
        let answers = self.answers(demand)?;
        self.finish_on_triangles(answers, demand, None)
    }

    /// Refines until everything is as exact as `demand` wants or the next mesh would be too large.
    pub(super) fn answers(&self, demand: &Demand) -> Result<Answers, Failure> {
        let Meshed { mesh, physics, runs } = self.coarsest_mesh()?;
        let most_unknowns = demand.most_unknowns.min(MOST_UNKNOWNS);
        // How narrow the bracket must be depends on L2D where that is beyond what a building has.
        let first = Wanted { half_width: f64::INFINITY, most_unknowns };
        let half_width = refine(mesh.clone(), &physics[0], &self.target.loads, first)
            .map_err(|reason| self.not_refined(reason))?
            .l2d
            .map_or(demand.half_width, |l2d| demand.half_width_of(l2d));
        let sought = self.sought(demand);
        let question = |(set, physics): (usize, &Physics)| Question {
            physics: physics.clone(),
            temperatures: self.temperatures.of_environment.clone(),
            goals: of_set(&sought, set == 1).map(|sought| sought.goal.clone()).collect(),
            bracket: (set == 0).then(|| Width { loads: self.target.loads.clone(), half_width }),
        };
        let questions: Vec<Question> = physics.iter().enumerate().map(question).collect();
        let answered = refine_towards(mesh, &questions, SHARE, most_unknowns)
            .map_err(|reason| self.not_refined(reason))?;
        Ok(Answers { answered, sought, physics, runs, half_width })
    }

    /// What the answers come to.
    pub(super) fn finish_on_triangles(
        self,
        answers: Answers,
        demand: &Demand,
        handed_over: Option<HandedOver>,
    ) -> Result<Outcome, Failure> {
        let is_limited = answers.l2d().is_some() && !answers.is_narrow();
        let Answers { answered, sought, physics, runs, .. } = answers;
        let passes = answered.passes.clone();
        let known: Vec<(&Sought, Known)> = answered
            .answers
            .iter()
            .zip([false, true])
            .flat_map(|(answer, is_condensation)| of_set(&sought, is_condensation).zip(&answer.known))
            .filter_map(|(sought, known)| Some((sought, (*known)?)))
            .collect();
        let errors: Vec<PlaceError> =
            known.iter().map(|(sought, known)| place_error(sought, known)).collect();
        let mut solution = self.solution_on(answered, &runs)?;
        solution.handed_over = handed_over;
        solution.take(&self, &known);
        let evidence = self.evidence_on(&solution, &physics, demand);
        self.finish(solution, passes, is_limited, evidence, errors)
    }

    /// The temperatures wanted, with the errors allowed.
    fn sought(&self, demand: &Demand) -> Vec<Sought> {
        let model = &self.case.model;
        let has_condensation = self.condensation_surfaces.is_some();
        let mut sought = Vec::new();
        for is_condensation in [false, true].into_iter().take(1 + usize::from(has_condensation)) {
            for (index, (x, y)) in self.places.iter().enumerate() {
                let goal = Goal { place: Place::Point([*x, *y]), allowed: of_a_point(model) };
                sought.push(Sought { subject: Subject::Point(index), is_condensation, goal });
            }
        }
        let external = temperature_factor::external_temperature(model);
        let rooms = model
            .environments_by_id()
            .filter(|(_, air)| air.is_touched && air.role == Role::Internal && air.temperature > external);
        for (environment, air) in rooms.filter(|_| demand.factor_error.is_finite()) {
            for is_excluded in [false, true] {
                let goal = Goal {
                    place: triangulated::coldest(model, environment, is_excluded),
                    allowed: demand.factor_error * (air.temperature - external),
                };
                let subject = Subject::Coldest { environment, is_excluded };
                sought.push(Sought { subject, is_condensation: has_condensation, goal });
            }
        }
        sought
    }

    /// What solved equations come to.
    fn solution_on(&self, answered: Answered, runs: &[Option<usize>]) -> Result<Solution, Failure> {
        let (model, of) = (&self.case.model, &self.temperatures.of_environment);
        let mesh = answered.mesh;
        let mut solved = answered.answers.into_iter().map(|answer| {
            let units = self.unit_loads();
            let units = units.iter().map(|unit| answer.system.solve(unit)).collect();
            (OnMesh { system: answer.system, pair: answer.pair, units }, answer.l2d)
        });
        let Some((heat_loss, l2d)) = solved.next() else {
            unreachable!("the surface resistances for heat loss are always asked for")
        };
        let condensation = solved.next().map(|(solved, _)| solved);
        drop(solved);
        let OnMesh { system, pair, units } = &heat_loss;
        let coupling = coupling(model, system, units)?;
        let own_flows = system.solids.heat_flows(&pair.temperature).iter().map(|flow| -flow).collect();
        let infinite = if system.solids.has_jump(of) { fixed(&system.solids) } else { Vec::new() };
        let fall = |area: &Area| painted::fall_on_triangles(&mesh, &heat_loss, area);
        let of_build_ups = painted::warnings(model, &self.plan, &fall);
        let level_flows = self.level_flows(system, pair, runs);
        let skin = condensation.as_ref().unwrap_or(&heat_loss).skin();
        Ok(Solution {
            factors: temperature_factor::factors(model, &skin),
            skin,
            l2d: l2d.filter(|_| self.states_l2d()),
            coupling,
            handed_over: None,
            own_flows,
            level_flows,
            infinite,
            points: [Vec::new(), Vec::new()],
            of_build_ups,
            lacking: answered.lacking,
            computed: Computed::Triangles(Box::new(OnTriangles { mesh, heat_loss, condensation })),
        })
    }

    /// Net flow from the environment into the solid through every run of level or sloped surface, W/m; fixed
    /// surface temperatures do not count.
    fn level_flows(&self, system: &System, pair: &Pair, runs: &[Option<usize>]) -> Vec<f64> {
        let mut flows = vec![0.0; self.plan.level.runs.len()];
        for edge in system.solids.film_edges().filter(|edge| edge.film.resistance > 0.0) {
            if let Some(Some(run)) = runs.get(edge.segment) {
                flows[*run] -= system.flow_through(pair, &edge);
            }
        }
        flows
    }

    /// What the mesh with every triangle cut in four changes; none if that is too large.
    fn evidence_on(&self, solution: &Solution, physics: &[Physics], demand: &Demand) -> Option<Evidence> {
        let Computed::Triangles(on) = &solution.computed else { return None };
        let cells = [on.mesh.corners.len(), 4 * on.mesh.corners.len()];
        if 4 * on.heat_loss.system.unknowns() > demand.most_unknowns.min(MOST_UNKNOWNS) {
            return None;
        }
        let finer = on.mesh.quarter();
        let of = &self.temperatures.of_environment;
        // No bounds are asked for, so that the temperature does.
        let solve = |physics: &Physics| -> Option<(Solids, Temperatures)> {
            let Physics { conductivities, films, environments } = physics;
            let potential = Potential::of(&finer, conductivities, films, *environments).ok()?;
            let field = potential.solve(of);
            Some((potential.solids, field))
        };
        let fine: Vec<(Solids, Temperatures)> = physics.par_iter().map(solve).collect::<Option<_>>()?;
        let flow = |solids: &Solids, field: &Temperatures| {
            solids.heat_flows(field).iter().map(|flow| flow.abs()).sum::<f64>() / 2.0
        };
        let factors =
            |skin: &Skin| -> Vec<TemperatureFactor> { temperature_factor::factors(&self.case.model, skin) };
        let own = &on.heat_loss;
        let ((heat_loss, field), (basis, of_basis)) = (fine.first()?, fine.last()?);
        let finer_skin = Skin::of_triangles(basis, of_basis, &[]);
        Some(Evidence {
            cells,
            heat_flow: [flow(&own.system.solids, &own.pair.temperature), flow(heat_loss, field)],
            factors: evidence::factors(&factors(&solution.skin), &factors(&finer_skin)),
        })
    }
}

impl Solution {
    /// Takes the temperatures at places, as exactly as they are known.
    fn take(&mut self, task: &Task, known: &[(&Sought, Known)]) {
        for (sought, known) in known {
            match sought.subject {
                Subject::Point(index) => {
                    let name = task.case.model.points[index].name.clone();
                    self.points[usize::from(sought.is_condensation)].push((name, known.temperature));
                }
                Subject::Coldest { environment, is_excluded } => {
                    let own = self.factors.iter_mut().find(|factor| factor.environment == environment);
                    let Some(own) = own else { continue };
                    let external = own.external_temperature;
                    let room = task.case.model.environments[environment].temperature;
                    let coldest = if is_excluded { &mut own.coldest_excluded } else { &mut own.coldest };
                    if let Some(coldest) = coldest {
                        coldest.temperature = known.temperature;
                        coldest.factor = (known.temperature - external) / (room - external);
                    }
                }
            }
        }
    }
}

fn of_set(sought: &[Sought], is_condensation: bool) -> impl Iterator<Item = &Sought> {
    sought.iter().filter(move |sought| sought.is_condensation == is_condensation)
}

fn place_error(sought: &Sought, known: &Known) -> PlaceError {
    PlaceError {
        subject: sought.subject,
        is_condensation: sought.is_condensation,
        temperature: known.temperature,
        allowed: known.allowed,
        error: known.error(),
    }
}

/// The environments before surfaces of fixed temperature.
fn fixed(solids: &Solids) -> Vec<EnvironmentId> {
    let mut fixed: Vec<EnvironmentId> = solids
        .film_edges()
        .filter(|edge| edge.film.resistance == 0.0)
        .map(|edge| EnvironmentId::new(edge.film.environment))
        .collect();
    fixed.sort_unstable();
    fixed.dedup();
    fixed
}
