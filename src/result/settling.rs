//! What a case leaves to the solution: the direction of heat flow at level surfaces, and the conductivity of
//! air cavities.
//!
//! Both decide the solution and depend on it: solve, look, and solve again until no direction turns and no
//! conductivity changes by more than 0.01 %. Neither needs the accuracy of the result, so these solves are
//! rough. A case whose directions are all certain or stated ([`plan::level`](crate::plan::level)) and that
//! has no cavities is not solved here at all.
//!
//! **A direction** is told only where the sign of the run's net flow is certain: let the run have an
//! environment of its own, with e the data "1 there, 0 elsewhere". Its flow at the environment temperatures θ
//! is then, but for its sign, the coupling of θ and e, and [`bounds::pair`](crate::bounds::pair) gives a
//! bracket of it. One that contains zero is narrowed by a grid refined for this flow alone.
//!
//! A run stays undecided, and counts as one with horizontal flow, where the bracket still contains zero, or
//! where its flow turns again and again with the resistance that follows from its direction. Of several runs
//! that turn, those with the least flow per length are given up first, since the others may turn because of
//! them only.

use super::Failure;
use super::cavity::{self, Settled};
use super::computed::OnMesh;
use super::refinement::{self, Demand, ON_THE_WAY, Target};
use super::task::Task;
use super::triangulated::{self, Meshed};
use crate::bounds::{Bracket, Evaluation, pair};
use crate::case::Case;
use crate::conduction::{Conduction, Network};
use crate::finding::Diagnostic;
use crate::geometry::Axis;
use crate::grid::Grid;
use crate::model::EnvironmentId;
use crate::plan::level::{LevelRuns, Run, Told};
use crate::plan::{EdgeId, Plan, Raster};
use crate::standard::HeatFlow;
use crate::triangulation::{Mesh, Wanted, refine};

/// Rounds after which what still changes is taken as it is.
const MOST_ROUNDS: usize = 20;
/// Relative change of a conductivity that does not matter.
const SETTLED: f64 = 1e-4;
/// Half-width of the bracket in the solves on the way, W/(m·K).
const ROUGH: f64 = 5e-3;
/// Half-width of the bracket of a run's flow that is narrowed, per kelvin between the highest and the lowest
/// temperature, W/(m·K).
const NARROW: f64 = 5e-4;
/// Unknowns that narrowing a bracket may take.
const MOST_UNKNOWNS: usize = 50_000;
/// A surface that is not even by this part of the whole temperature difference warmer or colder than the air:
/// rounding.
const NOTHING: f64 = 1e-6;
/// Changes of direction after which a run is given up: to one, to the other, back, and away again.
const MOST_CHANGES: usize = 4;

/// A case with its directions and conductivities.
///
/// # Errors
/// [`Failure`] if the plan cannot be used or the equations cannot be solved.
pub(super) fn settle(case: Case) -> Result<Task, Failure> {
    let task = Task::of(cavity::told_apart(case)?)?;
    let mut cavities = cavity::states(&task.case.model, &task.plan, None);
    let mut directions = Directions::of(&task.plan.level);
    if cavities.is_empty() && directions.open.is_empty() {
        return Ok(task);
    }
    let mut task = task.with(&cavities, directions.runs.clone())?;
    for round in 1..=MOST_ROUNDS {
        let rough = Rough::of(&task)?;
        let found = cavity::states(&task.case.model, &task.plan, Some(&rough));
        let change = found
            .iter()
            .zip(&cavities)
            .map(|(new, old)| (new.conductivity / old.conductivity - 1.0).abs())
            .fold(0.0, f64::max);
        let flows = match (&rough, task.plan.raster()) {
            (Rough::Grid(grid, temperatures), Some(raster)) => {
                flows(&task, raster, grid, temperatures, &directions.open)?
            }
            _ => flows_on_triangles(&task, &directions.open)?,
        };
        let is_last = round == MOST_ROUNDS;
        let has_turned = directions.follow(&flows, is_last);
        let is_settled = change < SETTLED && !has_turned;
        cavities = found;
        task = task.with(&cavities, directions.runs.clone())?;
        if is_settled {
            break;
        }
        if is_last && change >= SETTLED {
            let message = "the conductivities of the air cavities did not settle; the last ones are used";
            task.warnings.push(Diagnostic::warning(task.case.model.extent_place, message));
        }
    }
    task.cavities = cavities;
    Ok(task)
}

/// Temperatures as exact as settling needs them.
pub(super) enum Rough {
    /// On a grid: by vertex, °C.
    Grid(Grid, Vec<f64>),
    /// On triangles.
    Triangles(Box<(Mesh, OnMesh)>),
}

impl Rough {
    fn of(task: &Task) -> Result<Self, Failure> {
        if let Some(raster) = task.plan.raster() {
            let (grid, temperatures) = task.rough_field(raster, ROUGH)?;
            return Ok(Self::Grid(grid, temperatures));
        }
        Ok(Self::Triangles(Box::new(task.rough_mesh(ROUGH)?)))
    }
}

impl Task {
    /// The same with conductivities of cavities and directions of level surfaces.
    fn with(self, cavities: &[Settled], runs: Vec<Run>) -> Result<Self, Failure> {
        let mut case = self.case;
        let model = &mut case.model;
        for settled in cavities {
            let material = &mut model.materials[model.cavities[settled.cavity].material];
            (material.conductivity_x, material.conductivity_y) = (settled.conductivity, settled.conductivity);
        }
        Self::with_directions(case, Some(runs))
    }
}

/// The runs with the directions taken so far.
struct Directions {
    runs: Vec<Run>,
    /// Those that the solution decides, by index.
    open: Vec<usize>,
    /// How often each of these has turned.
    changes: Vec<usize>,
    is_given_up: Vec<bool>,
}

/// What a solution says of a run.
struct Flow {
    /// Into the solid, W/m per metre of the run's length.
    per_length: f64,
    /// Whether the environment gives heat off; `None` where that is not certain.
    gives_off_heat: Option<bool>,
}

impl Directions {
    fn of(level: &LevelRuns) -> Self {
        let runs = level.runs.clone();
        let open: Vec<usize> = (0..runs.len()).filter(|run| runs[*run].told == Told::Open).collect();
        let (changes, is_given_up) = (vec![0; open.len()], vec![false; open.len()]);
        Self { runs, open, changes, is_given_up }
    }

    /// Takes the directions of the flows of a solution; true if any is another than before. In the last
    /// round, what turns is given up.
    fn follow(&mut self, flows: &[Flow], is_last: bool) -> bool {
        let mut turned = Vec::new();
        for (number, flow) in flows.iter().enumerate().filter(|(number, _)| !self.is_given_up[*number]) {
            let run = &mut self.runs[self.open[number]];
            let (heat_flow, told) = match flow.gives_off_heat {
                Some(gives_off_heat) => (run.direction_of(gives_off_heat), Told::Solution),
                None => (HeatFlow::Horizontal, Told::Undecided),
            };
            if run.heat_flow != heat_flow {
                self.changes[number] += 1;
                turned.push(number);
            }
            (run.heat_flow, run.told) = (heat_flow, told);
        }
        let restless = |number: &usize| is_last || self.changes[*number] >= MOST_CHANGES;
        let restless: Vec<usize> = turned.iter().copied().filter(restless).collect();
        let size = |number: usize| flows[number].per_length.abs();
        let least = restless.iter().map(|number| size(*number)).fold(f64::INFINITY, f64::min);
        // Runs that are each other's image in a symmetrical plan are treated alike.
        let given_up: Vec<usize> =
            restless.into_iter().filter(|number| is_last || size(*number) <= least * (1.0 + 1e-6)).collect();
        if !given_up.is_empty() {
            self.changes.fill(0);
        }
        for number in given_up {
            let run = &mut self.runs[self.open[number]];
            (run.heat_flow, run.told) = (HeatFlow::Horizontal, Told::Undecided);
            self.is_given_up[number] = true;
        }
        !turned.is_empty()
    }
}

/// The flows of the open runs, from a field of the case.
fn flows(
    task: &Task,
    raster: &Raster,
    grid: &Grid,
    field: &[f64],
    open: &[usize],
) -> Result<Vec<Flow>, Failure> {
    if open.is_empty() {
        return Ok(Vec::new());
    }
    let (model, plan) = (&task.case.model, &task.plan);
    let runs = &plan.level.runs;
    let own = &task.temperatures.of_environment;
    let surfaces = task.surfaces.parted(plan, open, own.len());
    let network = Network::of(model, raster, &surfaces, grid);
    let by_scheme = scheme_flows(&network, grid, plan, own, field, open.len());
    let (highest, lowest) = task.temperatures.range();
    let difference = highest - lowest;
    let told = |number: usize, flow: Bracket, conductance: f64| {
        told(&runs[open[number]], flow, conductance, difference)
    };
    let conductances = film_conductances(&network, own.len(), open.len());
    if network.has_temperature_jump(own) {
        // No energy is finite, so there are no brackets.
        let flow = |(number, flow): (usize, &f64)| {
            let (per_length, sign) = told(number, Bracket::exact(flow / difference)?, conductances[number]);
            Ok(Flow { per_length, gives_off_heat: sign.gives_off_heat() })
        };
        return by_scheme.iter().enumerate().map(flow).collect();
    }
    // Counted from the lowest temperature in parts of the difference, so that both fields are of one size.
    let scaled = |temperature: f64| (temperature - lowest) / difference;
    let load: Vec<f64> =
        own.iter().copied().chain(open.iter().map(|run| own[runs[*run].environment])).map(scaled).collect();
    let field: Vec<f64> = field.iter().copied().map(scaled).collect();
    let conduction = Conduction::of(network)?;
    let evaluation = Evaluation::of(model, raster, grid, &conduction.network);
    let mut flows = Vec::new();
    for number in 0..open.len() {
        let mut unit = vec![0.0; load.len()];
        unit[own.len() + number] = 1.0;
        let of_unit = conduction.solve_to(&unit, None, ON_THE_WAY)?.temperature;
        let coupling = pair(&evaluation, [&field, &of_unit], [&load, &unit])?;
        let (mut per_length, mut sign) =
            told(number, Bracket::exact(0.0)?.minus(coupling)?, conductances[number]);
        if sign == Sign::Open {
            let target = Target { loads: vec![load.clone(), unit] };
            let demand = Demand { half_width: NARROW, most_unknowns: MOST_UNKNOWNS, ..Demand::default() };
            let start = Grid::coarsest(model, raster).map_err(|findings| task.case.rejected(findings.0))?;
            let refined = refinement::refine((model, raster, &surfaces), &target, &demand, start, None)?;
            (per_length, sign) =
                told(number, Bracket::exact(0.0)?.minus(refined.bracket)?, conductances[number]);
        }
        flows.push(Flow { per_length, gives_off_heat: sign.gives_off_heat() });
    }
    Ok(flows)
}

/// What a bracket of a run's flow (W/(m·K), for 1 K in all) says: the flow per length at a difference of
/// temperatures, W/m², and what it says of the sign. `conductance` is that of
/// its films, W/(m·K).
fn told(run: &Run, flow: Bracket, conductance: f64, difference: f64) -> (f64, Sign) {
    let nothing = NOTHING * conductance;
    let sign = if flow.lower() > nothing {
        Sign::GivesOff
    } else if flow.upper() < -nothing {
        Sign::TakesUp
    } else if flow.lower() >= -nothing && flow.upper() <= nothing {
        Sign::Nothing
    } else {
        Sign::Open
    };
    (flow.middle() * difference / run.length(), sign)
}

/// What a bracket of a flow says of its sign.
#[derive(Clone, Copy, PartialEq)]
enum Sign {
    /// The environment gives heat off.
    GivesOff,
    /// It takes heat up.
    TakesUp,
    /// It does neither.
    Nothing,
    /// The bracket contains zero and more.
    Open,
}

impl Sign {
    /// Whether the environment gives heat off, if that is certain and heat flows.
    fn gives_off_heat(self) -> Option<bool> {
        match self {
            Self::GivesOff => Some(true),
            Self::TakesUp => Some(false),
            Self::Nothing | Self::Open => None,
        }
    }
}

/// The flows of the open runs on triangles: a mesh of its own for each.
fn flows_on_triangles(task: &Task, open: &[usize]) -> Result<Vec<Flow>, Failure> {
    let (model, plan) = (&task.case.model, &task.plan);
    let runs = &plan.level.runs;
    let own = &task.temperatures.of_environment;
    let (highest, lowest) = task.temperatures.range();
    let difference = highest - lowest;
    let scaled = |temperature: f64| (temperature - lowest) / difference;
    let surfaces = task.surfaces.parted(plan, open, own.len());
    let Meshed { mesh, physics, .. } = triangulated::mesh(model, plan, &[&surfaces]).map_err(|reason| {
        task.case.rejected(vec![Diagnostic::error(model.extent_place, reason.to_string())])
    })?;
    let load: Vec<f64> =
        own.iter().copied().chain(open.iter().map(|run| own[runs[*run].environment])).map(scaled).collect();
    let mut flows = Vec::new();
    for (number, run) in open.iter().enumerate() {
        let mut unit = vec![0.0; load.len()];
        unit[own.len() + number] = 1.0;
        let wanted = Wanted { half_width: NARROW, most_unknowns: MOST_UNKNOWNS };
        let refined = refine(mesh.clone(), &physics[0], &[load.clone(), unit], wanted)?;
        let conductance: f64 = plan
            .edges()
            .iter()
            .filter(|edge| plan.level.at(edge.id) == Some(*run))
            .filter_map(|edge| Some(edge.length() / surfaces.at(edge.id)?.resistance))
            .filter(|conductance| conductance.is_finite())
            .sum();
        let flow = match refined.l2d {
            Some(coupling) => Bracket::exact(0.0)?.minus(coupling)?,
            // No energy is finite, so there are no brackets: the flow of the fields themselves.
            None => Bracket::exact(
                -refined
                    .pairs
                    .first()
                    .map_or(0.0, |pair| refined.system.heat_flows(pair)[own.len() + number]),
            )?,
        };
        let (per_length, sign) = told(&runs[*run], flow, conductance, difference);
        flows.push(Flow { per_length, gives_off_heat: sign.gives_off_heat() });
    }
    Ok(flows)
}

/// For each run that has an environment of its own, the sum of length over resistance of its faces, W/(m·K).
fn film_conductances(network: &Network, environments: usize, runs: usize) -> Vec<f64> {
    let mut sums = vec![0.0; runs];
    for link in &network.links {
        if let Some(run) = link.environment.index().checked_sub(environments) {
            sums[run] += link.conductance;
        }
    }
    sums
}

/// The scheme's own flows into runs that have environments of their own, W/m.
fn scheme_flows(
    network: &Network,
    grid: &Grid,
    plan: &Plan,
    own: &[f64],
    field: &[f64],
    runs: usize,
) -> Vec<f64> {
    let mut flows = vec![0.0; runs];
    for face in network.faces.iter().filter(|face| face.environment >= EnvironmentId::new(own.len())) {
        if let Some(run) = run_of(face.vertices[0], grid, plan) {
            let air = own[plan.level.runs[run].environment];
            let [first, second] = face.vertices.map(|vertex| field[vertex]);
            flows[face.environment.index() - own.len()] +=
                face.length / 2.0 / face.resistance * (2.0 * air - first - second);
        }
    }
    flows
}

/// The run of the level face that begins at a vertex.
fn run_of(vertex: usize, grid: &Grid, plan: &Plan) -> Option<usize> {
    let (i, j) = (vertex % grid.vertex_columns(), vertex / grid.vertex_columns());
    plan.level.at(EdgeId::Level(*grid.x.plan_interval.get(i)?, grid.y.plan_line[j]?))
}

/// Net flow from the environment into the solid through every run in a solution, W/m; fixed surface
/// temperatures do not count.
pub fn net_flows(
    plan: &Plan,
    grid: &Grid,
    network: &Network,
    field: &[f64],
    environment_temperatures: &[f64],
) -> Vec<f64> {
    let mut flows = vec![0.0; plan.level.runs.len()];
    for face in network.faces.iter().filter(|face| face.normal == Axis::Y && face.resistance > 0.0) {
        if let Some(run) = run_of(face.vertices[0], grid, plan) {
            let [first, second] = face.vertices.map(|vertex| field[vertex]);
            let air = environment_temperatures[face.environment];
            flows[run] += face.length / 2.0 / face.resistance * (2.0 * air - first - second);
        }
    }
    flows
}
