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
//! A surface inclined by less than 60° is a run too, all edges in one line of one environment: heat flows through
//! it at more than 30° from the horizontal, up to which the standard's values for horizontal flow hold (ISO
//! 6946:2017, table 7).
//!
//! External surfaces have one resistance whatever the direction, upright ones only one direction, and so have
//! all surfaces of a horizontal section: they are no runs. Neither are surfaces whose resistance the case
//! states throughout.

use crate::model::{Cut, EnvironmentId, Model, Role, Ruled};
use std::collections::{BTreeMap, BTreeSet};

use super::components::Components;
use super::surface::rule;
use super::{Drawn, EdgeId, Filling, Plan};
use crate::finding::Diagnostic;
use crate::geometry::Span;
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

/// A flat level or sloped surface of one environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// Its left and its right end, m.
    pub ends: [[f64; 2]; 2],
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

    /// Height of its left and of its right end, m.
    pub fn heights(&self) -> [f64; 2] {
        self.ends.map(|end| end[1])
    }

    /// m.
    pub fn length(&self) -> f64 {
        let [from, to] = self.ends;
        libm::hypot(to[0] - from[0], to[1] - from[1])
    }

    /// Where it runs along x, m.
    pub fn span(&self) -> Span {
        let [from, to] = self.ends;
        Span { from: from[0], to: to[0] }
    }
}

/// The runs of a plan.
#[derive(Clone, Debug, Default)]
pub struct LevelRuns {
    /// From below, then from the left.
    pub runs: Vec<Run>,
    /// The run of each piece of edge that has one.
    of_edge: BTreeMap<EdgeId, usize>,
}

/// A surface that may be a part of a run.
struct Part {
    id: EdgeId,
    /// From the left to the right, m.
    ends: [[f64; 2]; 2],
    environment: EnvironmentId,
    solid_is_lower: bool,
    /// What the case states of its direction.
    stated: Option<HeatFlow>,
    /// False where the case states its resistance.
    needs_direction: bool,
}

impl Part {
    /// True if another goes on where this one ends, in the same line and of the same kind.
    fn goes_on_with(&self, other: &Self) -> bool {
        let ([from, to], [begin, end]) = (self.ends, other.ends);
        let is_straight = {
            let (one, two) = ([to[0] - from[0], to[1] - from[1]], [end[0] - begin[0], end[1] - begin[1]]);
            let turn = one[0] * two[1] - one[1] * two[0];
            turn.abs() <= STRAIGHT * libm::hypot(one[0], one[1]) * libm::hypot(two[0], two[1])
        };
        to == begin
            && is_straight
            && self.environment == other.environment
            && self.solid_is_lower == other.solid_is_lower
            && self.stated == other.stated
    }
}

impl LevelRuns {
    /// The run that a piece of edge belongs to.
    pub fn at(&self, id: EdgeId) -> Option<usize> {
        self.of_edge.get(&id).copied()
    }

    /// The pieces of edge of a run.
    pub fn edges(&self, run: usize) -> impl Iterator<Item = EdgeId> {
        self.of_edge.iter().filter(move |(_, own)| **own == run).map(|(id, _)| *id)
    }

    /// Finds the runs of a painted plan and tells what is certain. Warns of stated directions that hold
    /// nowhere.
    pub fn of(model: &Model, plan: &Plan, diagnostics: &mut Vec<Diagnostic>) -> Self {
        if model.cut == Cut::Horizontal {
            return Self::default();
        }
        let components = Components::of(plan);
        let mut held: Vec<Option<Place>> = Vec::new();
        let mut parts: Vec<Part> = Vec::new();
        for edge in plan.edges() {
            let edge = edge.with_solid_on_left();
            let (Filling::Solid(material), Filling::Space(environment)) = (edge.left, edge.right) else {
                continue;
            };
            if is_upright(edge.ends) || model.environments[environment].role == Role::External {
                continue;
            }
            let rule = rule(model, &edge, environment, material);
            if let Some(rule) = rule.filter(|rule| !held.contains(&rule.place)) {
                held.push(rule.place);
            }
            let rule = rule.map(|rule| rule.ruled);
            let stated = if let Some(Ruled::HeatFlow(heat_flow)) = rule { Some(heat_flow) } else { None };
            let needs_direction = !matches!(rule, Some(Ruled::Resistance(_)));
            // With the solid on the left, whoever goes to the left has it below.
            let [from, to] = edge.ends;
            let solid_is_lower = to[0] < from[0];
            let ends = if solid_is_lower { [to, from] } else { [from, to] };
            parts.push(Part { id: edge.id, ends, environment, solid_is_lower, stated, needs_direction });
        }
        // From below, then from the left, by the left end.
        parts.sort_by(|a, b| {
            a.ends[0][1].total_cmp(&b.ends[0][1]).then(a.ends[0][0].total_cmp(&b.ends[0][0]))
        });
        let mut found = Self::default();
        let mut is_taken = vec![false; parts.len()];
        for first in 0..parts.len() {
            if is_taken[first] {
                continue;
            }
            let mut chain = vec![first];
            loop {
                let last = &parts[chain[chain.len() - 1]];
                let [x, y] = last.ends[1];
                let begins = |part: &Part| part.ends[0][1].total_cmp(&y).then(part.ends[0][0].total_cmp(&x));
                let from = parts.partition_point(|part| begins(part).is_lt());
                let next = (from..parts.len())
                    .take_while(|next| begins(&parts[*next]).is_eq())
                    .find(|next| !is_taken[*next] && last.goes_on_with(&parts[*next]));
                let Some(next) = next else { break };
                chain.push(next);
            }
            for part in &chain {
                is_taken[*part] = true;
            }
            let chain: Vec<&Part> = chain.iter().map(|part| &parts[*part]).collect();
            found.add(model, plan, &components, &chain);
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
        found
    }

    /// Adds the run of some parts, if any of them needs a direction.
    fn add(&mut self, model: &Model, plan: &Plan, components: &Components, parts: &[&Part]) {
        let ([first, .., last] | [first @ last]) = parts else { return };
        if parts.iter().all(|part| !part.needs_direction) {
            return;
        }
        let mut run = Run {
            environment: first.environment,
            ends: [first.ends[0], last.ends[1]],
            solid_is_lower: first.solid_is_lower,
            heat_flow: HeatFlow::Horizontal,
            told: Told::Open,
        };
        let touching = match (&plan.drawn, first.id) {
            (Drawn::Raster(raster), EdgeId::Level(i, j)) => {
                components.of_cell(raster, i, if first.solid_is_lower { j - 1 } else { j })
            }
            (Drawn::Edges(edges), EdgeId::Edge(number)) => components.beside(edges, number),
            _ => None,
        };
        (run.heat_flow, run.told) = match (first.stated, touching) {
            (Some(stated), _) => (stated, Told::Stated),
            (None, Some(touching)) => certain(model, &run, &touching.environments),
            (None, None) => (HeatFlow::Horizontal, Told::Open),
        };
        self.of_edge.extend(parts.iter().map(|part| (part.id, self.runs.len())));
        self.runs.push(run);
    }
}

/// Two edges are in one line if they turn by less than this, rad.
const STRAIGHT: f64 = 1e-3;

/// True if heat flows through a surface at 30° or less from the horizontal.
pub fn is_upright([from, to]: [[f64; 2]; 2]) -> bool {
    // tan 60°, less what rounded coordinates make of it: 30° belong to horizontal flow.
    const STEEP: f64 = 1.732_05 * (1.0 - 1e-4);
    (to[1] - from[1]).abs() >= STEEP * (to[0] - from[0]).abs()
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
