//! Level surfaces: which way heat flows through each decides its surface resistance (ISO 6946:2017, Table 7).
//!
//! A run is one flat surface: faces side by side on one line that separate solid below from one environment
//! above, or the other way round, whatever the solid is made of. The direction of its flow is that of the
//! whole run, since the air before it is one body. What is certain without a solution:
//!
//! - No temperature in a solid leaves the range of those of the environments that touch it (maximum
//!   principle), so an environment at the highest of them only gives heat off to that solid, and one at the
//!   lowest only takes it up.
//! - Where all of them are alike, no heat flows.
//!
//! Every other run is open until a solution shows its net flow; until then it counts as one with horizontal
//! flow.
//!
//! External surfaces have one resistance whatever the direction, upright ones only one direction, and so have
//! all surfaces of a horizontal section: they are no runs. Neither are surfaces whose resistance the case
//! states throughout.

use crate::model::{Cut, EnvironmentId, Model, Role, Ruled};
use std::collections::BTreeSet;

use super::components::components;
use super::surface::rule;
use super::{Filling, Plan};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span};
use crate::standard::HeatFlow;
use crate::text::Place;

/// How the direction of a run was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// By the case.
    Stated,
    /// By the maximum principle.
    Certain,
    /// Not yet.
    Open,
    /// By the sign of the run's net flow in the solution.
    Solution,
    /// Not at all: no heat flows, or no direction agrees with the flow that it leads to.
    Undecided,
}

impl Told {
    /// The word used in results.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stated => "stated",
            Self::Certain => "certain",
            Self::Open => "open",
            Self::Solution => "solution",
            Self::Undecided => "undecided",
        }
    }
}

/// A flat level surface of one environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// Index of the plan's level line it lies on.
    pub line: usize,
    /// The first of the plan's columns it lies beside, and the one after the last.
    pub columns: [usize; 2],
    /// True if the solid lies below: the surface is a floor.
    pub solid_is_lower: bool,
    /// The direction taken.
    pub heat_flow: HeatFlow,
    /// How it was told.
    pub told: Told,
}

impl Run {
    /// The direction that a flow out of the environment into the solid has here.
    pub fn direction_of(&self, gives_off_heat: bool) -> HeatFlow {
        if gives_off_heat == self.solid_is_lower { HeatFlow::Down } else { HeatFlow::Up }
    }

    /// What it is to the environment, for readers.
    pub fn side(&self) -> &'static str {
        if self.solid_is_lower { "floor" } else { "ceiling" }
    }

    /// Height, m.
    pub fn height(&self, plan: &Plan) -> f64 {
        plan.ys[self.line]
    }

    /// Where it runs, m.
    pub fn span(&self, plan: &Plan) -> Span {
        let [from, to] = self.columns;
        Span { from: plan.xs[from], to: plan.xs[to] }
    }
}

/// The runs of a plan.
#[derive(Clone, Debug, Default)]
pub struct LevelRuns {
    /// From below, then from the left.
    pub runs: Vec<Run>,
    /// For each level face, row by row, its run.
    of_face: Vec<Option<usize>>,
    columns: usize,
}

impl LevelRuns {
    /// The run that the level face (i, j) belongs to.
    pub fn at(&self, i: usize, j: usize) -> Option<usize> {
        self.of_face.get(j * self.columns + i).copied().flatten()
    }

    /// Finds the runs of a painted plan and tells what is certain. Warns of stated directions that hold
    /// nowhere.
    pub fn of(model: &Model, plan: &Plan, diagnostics: &mut Vec<Diagnostic>) -> Self {
        let (columns, rows) = (plan.columns(), plan.rows());
        if model.cut == Cut::Horizontal {
            return Self::default();
        }
        let (components, component_of) = components(plan);
        let mut runs: Vec<Run> = Vec::new();
        let mut held: Vec<Option<Place>> = Vec::new();
        let mut of_face = vec![None; columns * (rows + 1)];
        for line in 0..=rows {
            // The run that ends with the face before, with what the case states of its direction, and whether
            // it needs one.
            let mut open: Option<(Run, Option<HeatFlow>, bool)> = None;
            let mut close = |run: Option<(Run, Option<HeatFlow>, bool)>| {
                if let Some((run, _, true)) = run {
                    for column in run.columns[0]..run.columns[1] {
                        of_face[line * columns + column] = Some(runs.len());
                    }
                    runs.push(run);
                }
            };
            for column in 0..columns {
                let (environment, material, solid_is_lower) = match plan.beside_face(Axis::Y, column, line) {
                    (Filling::Solid(material), Filling::Space(environment)) => (environment, material, true),
                    (Filling::Space(environment), Filling::Solid(material)) => (environment, material, false),
                    _ => {
                        close(open.take());
                        continue;
                    }
                };
                if model.environments[environment].role == Role::External {
                    close(open.take());
                    continue;
                }
                let rule = rule(model, plan, (Axis::Y, column, line), environment, material);
                if let Some(rule) = rule.filter(|rule| !held.contains(&rule.place)) {
                    held.push(rule.place);
                }
                let rule = rule.map(|rule| rule.ruled);
                let stated = if let Some(Ruled::HeatFlow(heat_flow)) = rule { Some(heat_flow) } else { None };
                let needs_direction = !matches!(rule, Some(Ruled::Resistance(_)));
                match &mut open {
                    Some((run, of_run, needs))
                        if run.environment == environment
                            && run.solid_is_lower == solid_is_lower
                            && *of_run == stated =>
                    {
                        run.columns[1] = column + 1;
                        *needs |= needs_direction;
                    }
                    _ => {
                        close(open.take());
                        let row = if solid_is_lower { line - 1 } else { line };
                        let touching =
                            component_of[row * columns + column].map(|index| &components[index].environments);
                        let mut run = Run {
                            environment,
                            line,
                            columns: [column, column + 1],
                            solid_is_lower,
                            heat_flow: HeatFlow::Horizontal,
                            told: Told::Open,
                        };
                        (run.heat_flow, run.told) = match (stated, touching) {
                            (Some(stated), _) => (stated, Told::Stated),
                            (None, Some(touching)) => certain(model, &run, touching),
                            (None, None) => (HeatFlow::Horizontal, Told::Open),
                        };
                        open = Some((run, stated, needs_direction));
                    }
                }
            }
            close(open.take());
        }
        for rule in model
            .surfaces
            .iter()
            .filter(|rule| matches!(rule.ruled, Ruled::HeatFlow(_)) && !held.contains(&rule.place))
        {
            let message = "this `heat_flow` holds for no level surface of a room or an unheated space";
            let hint = "external surfaces have 0.04 m²K/W and upright ones 0.13 whatever is stated; see to `of`, `on`, `x` and `y`";
            diagnostics.push(Diagnostic::warning(rule.place, message).hint(hint));
        }
        Self { runs, of_face, columns }
    }
}

/// The direction of a run, as far as that is certain, and how it was told.
fn certain(model: &Model, run: &Run, touching: &BTreeSet<EnvironmentId>) -> (HeatFlow, Told) {
    let temperature = |index: &EnvironmentId| model.environments[*index].temperature;
    let highest = touching.iter().map(temperature).fold(f64::NEG_INFINITY, f64::max);
    let lowest = touching.iter().map(temperature).fold(f64::INFINITY, f64::min);
    let own = temperature(&run.environment);
    match (own == highest, own == lowest) {
        (true, true) => (HeatFlow::Horizontal, Told::Undecided),
        (true, false) => (run.direction_of(true), Told::Certain),
        (false, true) => (run.direction_of(false), Told::Certain),
        (false, false) => (HeatFlow::Horizontal, Told::Open),
    }
}
