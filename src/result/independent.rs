//! The case once more by another method: quadratic temperatures and stream functions on triangles
//! ([triangulation](crate::triangulation)) for what was computed by finite volumes on a grid with multigrid, and the
//! other way round where triangles took over. What slopes has no grid: it is confirmed on triangles of another mesh,
//! which shares the equations.
//!
//! Between both methods nothing is shared but the shapes, the conductivities and the surface resistances: not the raster, not the
//! equations, not the solver, and the lower bound comes from a field of its own. Both give brackets of L2D that
//! hold for certain, so that they must overlap; and temperatures at the named points and at the coldest places,
//! which must agree within the errors estimated for both.

use std::fmt;

use super::coupling::Temperatures;
use super::place::{PlaceError, Subject};
use super::refinement::{Demand, Target};
use super::taking_over::HandedOver;
use super::task::Task;
use super::triangulated::{self, Meshed, NoTriangles};
use super::{Outcome, point, psi};
use crate::bounds::Bracket;
use crate::model::Model;
use crate::plan::Raster;
use crate::plan::surface::{Purpose, Surfaces};
use crate::triangulation::{
    Goal, NotRefined, Place, Question, Refined, SHARE, Wanted, Width, refine, refine_towards,
};

/// Cells of the grid on which what triangles took over is solved again, a second of work: temperatures beyond are
/// compared within larger errors.
const MOST_CELLS: usize = 22_000;

/// Part of what is missing whose triangles a pass splits, where the outcome is by triangles too.
const OTHER_SHARE: f64 = 0.4;
/// What is estimated for a temperature then, as a part of the error stated. Cut in four, a mesh keeps the triangles that are as long
/// as the drawing's edges, and about a point in a corner of such a mesh the parts of the error have one sign: on eaves of 35° to 50°
/// errors were up to 0.7 of their sum and 1.8 times what is estimated, on meshes from the coarsest one 0.34 times.
const OTHER_ESTIMATE: f64 = 0.5;
/// Unknowns of a field that no mesh may exceed: some seconds of work at most.
const MOST_UNKNOWNS: usize = 20_000;

/// What the other method says.
#[derive(Clone, Debug, PartialEq)]
pub struct Other {
    /// L2D, W/(m·K); none where it has no finite value.
    pub l2d: Option<Bracket>,
    /// The temperatures whose errors the outcome knows, in its order, without those that triangles have no place
    /// for.
    pub places: Vec<PlaceAgain>,
    /// Unknowns of the largest system.
    pub unknowns: usize,
}

/// A temperature by the other method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Again {
    /// °C.
    pub temperature: f64,
    /// The error stated, K.
    pub error: f64,
}

/// The temperature at a place by both methods.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceAgain {
    /// Whose, by the outcome's own method.
    pub own: PlaceError,
    /// By the other method.
    pub other: Again,
    /// What it is called.
    pub name: String,
    /// For a coldest place, θ_e and θ_i − θ_e, °C and K.
    pub range: Option<[f64; 2]>,
    /// What the outcome's own is computed on, and the other.
    pub on: [&'static str; 2],
}

impl PlaceAgain {
    /// How far both lie apart, K.
    pub fn difference(&self) -> f64 {
        (self.own.temperature - self.other.temperature).abs()
    }

    /// The sum of the errors stated, K.
    pub fn errors(&self) -> f64 {
        self.own.error + self.other.error
    }

    /// True if the estimated errors explain the difference.
    pub fn agrees(&self) -> bool {
        self.difference() <= self.errors()
    }

    /// True if no miss of the estimates explains it: on a thousand random walls the worst true error was 1.2
    /// times what was stated (tests/triangulation_goals.rs, tests/places.rs).
    pub fn contradicts(&self) -> bool {
        self.difference() > 2.0 * self.errors()
    }
}

impl fmt::Display for PlaceAgain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let temperatures = [self.own.temperature, self.other.temperature];
        let errors = [self.own.error, self.other.error];
        let (name, [own_ground, other_ground]) = (&self.name, self.on);
        if let Some([external, range]) = self.range {
            let [own, other] = temperatures.map(|temperature| (temperature - external) / range);
            let [own_error, other_error] = errors.map(|error| error / range);
            write!(
                f,
                "f_Rsi {name}: {own:.4} ± {own_error:.4} on {own_ground}, {other:.4} ± {other_error:.4} on {other_ground}"
            )
        } else {
            let ([own, other], [own_error, other_error]) = (temperatures, errors);
            write!(
                f,
                "{name}: {own:.3} ± {own_error:.3} °C on {own_ground}, {other:.3} ± {other_error:.3} °C on {other_ground}"
            )
        }
    }
}

/// Why there is no other solution.
#[derive(Clone, Debug, PartialEq)]
pub enum NoOther {
    /// The plan cannot be triangulated.
    Triangles(NoTriangles),
    /// The equations on the triangles cannot be solved.
    Solution(NotRefined),
    /// There is no solution on the grid.
    Grid(String),
}

impl fmt::Display for NoOther {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Triangles(error) => error.fmt(f),
            Self::Solution(error) => error.fmt(f),
            Self::Grid(error) => f.write_str(error),
        }
    }
}

impl std::error::Error for NoOther {}

impl From<NoTriangles> for NoOther {
    fn from(error: NoTriangles) -> Self {
        Self::Triangles(error)
    }
}

impl From<NotRefined> for NoOther {
    fn from(error: NotRefined) -> Self {
        Self::Solution(error)
    }
}

/// Solves the problem of an outcome on triangles: until the bracket of L2D is as narrow as the outcome's own and
/// the temperatures are as exact as wanted, or as far as is reasonable.
///
/// # Errors
/// [`NoOther`].
pub fn solve(outcome: &Outcome) -> Result<Other, NoOther> {
    if let (Some(handed_over), Some(raster)) = (&outcome.handed_over, outcome.plan.raster()) {
        return on_grid(outcome, handed_over, raster);
    }
    let model = &outcome.case.model;
    let temperatures = Temperatures::of(model);
    let of_condensation = Surfaces::of(model, &outcome.plan, Purpose::Condensation);
    let mut sets = vec![&outcome.surfaces];
    if outcome.place_errors.iter().any(|place| place.is_condensation) {
        sets.push(&of_condensation);
    }
    let Meshed { mut mesh, physics, .. } = triangulated::mesh(model, &outcome.plan, &sets)?;
    // A solution on triangles is confirmed by one on others: cut in four first, then with fewer at a time.
    let is_same_method = outcome.on_triangles().is_some();
    let (share, part) = if is_same_method { (OTHER_SHARE, OTHER_ESTIMATE) } else { (SHARE, 1.0) };
    if is_same_method {
        mesh = mesh.quarter();
    }
    let bracket = outcome.l2d.map(|own| {
        let sides = psi::sides(model, &temperatures, &mut Vec::new());
        Width { loads: Target::of(&temperatures, &sides).loads, half_width: own.half_width() }
    });
    let points = point::places(model, &outcome.plan, &mut Vec::new());
    let of_set = |is_condensation: bool| {
        outcome.place_errors.iter().filter(move |place| place.is_condensation == is_condensation)
    };
    let questions: Vec<Question> = physics
        .into_iter()
        .zip([(false, bracket), (true, None)])
        .map(|(physics, (is_condensation, bracket))| Question {
            physics,
            temperatures: temperatures.of_environment.clone(),
            goals: of_set(is_condensation).map(|place| goal(model, &points, place, part)).collect(),
            bracket,
        })
        .collect();
    let answered = refine_towards(mesh, &questions, share, MOST_UNKNOWNS)?;
    let on = if is_same_method { ["triangles", "other triangles"] } else { ["the grid", "triangles"] };
    let mut places = Vec::new();
    for (answer, is_condensation) in answered.answers.iter().zip([false, true]) {
        for (own, other) in of_set(is_condensation).zip(&answer.known) {
            if let Some(other) = other {
                let (name, range) = named(outcome, own);
                let other = Again { temperature: other.temperature, error: other.error() / part };
                places.push(PlaceAgain { own: *own, other, name, range, on });
            }
        }
    }
    Ok(Other { l2d: answered.l2d(), places, unknowns: answered.unknowns() })
}

/// Solves the problem of an outcome for which triangles took over on the grid: until its bracket is as narrow as it
/// was then, and the temperatures are as exact as wanted.
fn on_grid(outcome: &Outcome, handed_over: &HandedOver, raster: &Raster) -> Result<Other, NoOther> {
    let mut case = outcome.case.clone();
    case.model.further_psi = Vec::new();
    let runs = outcome.plan.level.runs.clone();
    let demand = Demand {
        half_width: handed_over.on_grid.half_width(),
        most_unknowns: MOST_CELLS,
        ..Demand::default()
    };
    let other = Task::with_directions(case, Some(runs))
        .and_then(|task| task.refined_on_grid(raster, &demand))
        .map_err(|failure| NoOther::Grid(failure.to_string()))?;
    let mut places = Vec::new();
    for own in &outcome.place_errors {
        let is_same = |other: &&PlaceError| {
            other.subject == own.subject && other.is_condensation == own.is_condensation
        };
        if let Some(found) = other.place_errors.iter().find(is_same) {
            let (name, range) = named(outcome, own);
            let again = Again { temperature: found.temperature, error: found.error };
            places.push(PlaceAgain { own: *own, other: again, name, range, on: ["triangles", "the grid"] });
        }
    }
    Ok(Other { l2d: other.l2d, places, unknowns: other.computed.unknowns() })
}

/// The triangles that give the bracket of an outcome's L2D as narrow as wanted, or as far as is allowed.
///
/// # Errors
/// [`NoOther`].
pub fn refined(outcome: &Outcome, wanted: Wanted) -> Result<Refined, NoOther> {
    let model = &outcome.case.model;
    let Meshed { mesh, physics, .. } = triangulated::mesh(model, &outcome.plan, &[&outcome.surfaces])?;
    let temperatures = Temperatures::of(model);
    let sides = psi::sides(model, &temperatures, &mut Vec::new());
    let target = Target::of(&temperatures, &sides);
    Ok(refine(mesh, &physics[0], &target.loads, wanted)?)
}

/// The same place on triangles, for a part of the error that is allowed the outcome.
fn goal(model: &Model, points: &[(f64, f64)], own: &PlaceError, part: f64) -> Goal {
    let place = match own.subject {
        Subject::Point(number) => Place::Point([points[number].0, points[number].1]),
        Subject::Coldest { environment, is_excluded } => {
            triangulated::coldest(model, environment, is_excluded)
        }
    };
    Goal { place, allowed: part * own.allowed }
}

/// What a place is called, and θ_e and θ_i − θ_e if it is a coldest one.
fn named(outcome: &Outcome, own: &PlaceError) -> (String, Option<[f64; 2]>) {
    let model = &outcome.case.model;
    match own.subject {
        Subject::Point(number) => (format!("at the point `{}`", model.points[number].name), None),
        Subject::Coldest { environment, is_excluded } => {
            let space = &model.environments[environment];
            let external = super::temperature_factor::external_temperature(model);
            let which = if is_excluded { "surfaces judged apart" } else { "surfaces" };
            let name = format!("of the {which} of `{}`", space.name);
            (name, Some([external, space.temperature - external]))
        }
    }
}
