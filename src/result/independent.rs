//! The case once more by another method: quadratic temperatures and stream functions on triangles
//! ([triangulation](crate::triangulation)), instead of finite volumes on a grid with multigrid.
//!
//! Nothing is shared but the shapes, the conductivities and the surface resistances: not the raster, not the
//! equations, not the solver, and the lower bound comes from a field of its own. Both give brackets of L2D that
//! hold for certain, so that they must overlap. Where fixed temperatures meet with a jump L2D has no finite
//! value; there temperatures at the named points are compared, within the errors estimated for both.

use std::fmt;

use super::coupling::Temperatures;
use super::place::Subject;
use super::refinement::Target;
use super::triangulated::{self, NoTriangles};
use super::{Outcome, psi};
use crate::bounds::Bracket;
use crate::triangulation::{Mesh, NotRefined, Pair, Refined, System, Unsolvable, Wanted, refine};

/// Unknowns of a field that no mesh may exceed: less than a second of work.
const MOST_UNKNOWNS: usize = 30_000;
/// Triangles that no mesh of quarters may exceed.
const MOST_TRIANGLES: usize = 20_000;

/// What the other method says.
#[derive(Clone, Debug, PartialEq)]
pub enum Other {
    /// L2D.
    Bracket {
        /// W/(m·K).
        l2d: Bracket,
        /// Unknowns of the larger of both systems.
        unknowns: usize,
    },
    /// L2D has no finite value: temperatures at the named points, in the order of the case.
    Points(Vec<PointAgain>),
}

/// The temperature at a named point by both methods.
#[derive(Clone, Debug, PartialEq)]
pub struct PointAgain {
    /// Its name.
    pub name: String,
    /// By the grid, °C, and its estimated error, K.
    pub own: (f64, f64),
    /// By the triangles, °C, and what cutting all in four changed, K.
    pub other: (f64, f64),
}

impl PointAgain {
    /// How far both lie apart, K.
    pub fn difference(&self) -> f64 {
        (self.own.0 - self.other.0).abs()
    }

    /// True if the estimated errors explain the difference. What cutting in four changed is some three times the
    /// error that is left where fields are smooth, and about as large where they are not.
    pub fn agrees(&self) -> bool {
        self.difference() <= self.own.1 + self.other.1
    }
}

/// Why there is no other solution.
#[derive(Clone, Debug, PartialEq)]
pub enum NoOther {
    /// The plan cannot be triangulated.
    Triangles(NoTriangles),
    /// The equations on the triangles cannot be solved.
    Solution(NotRefined),
}

impl fmt::Display for NoOther {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Triangles(error) => error.fmt(f),
            Self::Solution(error) => error.fmt(f),
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

impl From<Unsolvable> for NoOther {
    fn from(error: Unsolvable) -> Self {
        Self::Solution(error.into())
    }
}

/// Solves the problem of an outcome on triangles: until the bracket of L2D is as narrow as the outcome's own,
/// or as far as is reasonable.
///
/// # Errors
/// [`NoOther`].
pub fn solve(outcome: &Outcome) -> Result<Other, NoOther> {
    let model = &outcome.case.model;
    let Some(own) = outcome.l2d else {
        let temperatures = Temperatures::of(model);
        let (mesh, physics) = triangulated::mesh(model, &outcome.plan, &outcome.surfaces)?;
        let (conductivities, films) = (&physics.conductivities, &physics.films);
        let on = |mesh: &Mesh| System::of(mesh, conductivities, films, physics.environments);
        return Ok(Other::Points(points(outcome, mesh, &temperatures.of_environment, on)?));
    };
    // Each method is the other's.
    if let Some(by_triangles) = &outcome.by_triangles {
        let unknowns = outcome.heat_loss.conduction.unknowns;
        return Ok(Other::Bracket { l2d: by_triangles.on_grid, unknowns });
    }
    let wanted = Wanted { half_width: own.half_width(), most_unknowns: MOST_UNKNOWNS };
    let refined = refined(outcome, wanted)?;
    Ok(match refined.l2d {
        Some(l2d) => Other::Bracket { l2d, unknowns: refined.system.unknowns() },
        None => Other::Points(Vec::new()),
    })
}

/// The triangles that give the bracket of an outcome's L2D as narrow as wanted, or as far as is allowed.
///
/// # Errors
/// [`NoOther`].
pub fn refined(outcome: &Outcome, wanted: Wanted) -> Result<Refined, NoOther> {
    let model = &outcome.case.model;
    let (mesh, physics) = triangulated::mesh(model, &outcome.plan, &outcome.surfaces)?;
    let temperatures = Temperatures::of(model);
    let sides = psi::sides(model, &temperatures, &mut Vec::new());
    let target = Target::of(&temperatures, &sides);
    Ok(refine(mesh, &physics, &target.loads, wanted)?)
}

/// The named points on triangles cut in four again and again, as far as is reasonable.
fn points(
    outcome: &Outcome,
    mut mesh: Mesh,
    temperatures: &[f64],
    system: impl Fn(&Mesh) -> Result<System, Unsolvable>,
) -> Result<Vec<PointAgain>, Unsolvable> {
    if outcome.points.is_empty() {
        return Ok(Vec::new());
    }
    let at = |mesh: &Mesh, system: &System, pair: &Pair| -> Vec<f64> {
        let places = outcome.case.model.points.iter().map(|point| mesh.find([point.x, point.y]));
        let temperature =
            |(triangle, at): (usize, [f64; 3])| system.temperature(pair, triangle, at).unwrap_or(f64::NAN);
        places.map(|place| place.map_or(f64::NAN, temperature)).collect()
    };
    let solve = |mesh: &Mesh| -> Result<Vec<f64>, Unsolvable> {
        let system = system(mesh)?;
        Ok(at(mesh, &system, &system.solve(temperatures)))
    };
    let mut coarser = solve(&mesh)?;
    let mut finer = coarser.clone();
    while 4 * mesh.corners.len() <= MOST_TRIANGLES {
        mesh = mesh.quarter();
        coarser = std::mem::replace(&mut finer, solve(&mesh)?);
    }
    let error = |number: usize| {
        let own = outcome.place_errors.iter();
        own.filter(|error| error.subject == Subject::Point(number) && !error.is_condensation)
            .map(super::place::PlaceError::error)
            .fold(0.0, f64::max)
    };
    let both = finer.iter().zip(&coarser).enumerate();
    Ok(both
        .zip(&outcome.points)
        .map(|((number, (finer, coarser)), (name, own))| PointAgain {
            name: name.clone(),
            own: (*own, error(number)),
            other: (*finer, (finer - coarser).abs()),
        })
        .collect())
}
