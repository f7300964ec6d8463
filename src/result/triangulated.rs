//! The same physical problem on triangles: the shapes of the plan as a drawing of polygons, with the
//! conductivities and surface resistances that the grid is solved with.
//!
//! The drawing is made of the shapes themselves, not of the raster that they are painted on, so that the
//! raster is confirmed too. Surface resistances are read from the raster's faces, since settling the directions
//! of heat flow has given them their values there.

use std::fmt;

use crate::geometry::{Axis, SAME_PLACE};
use crate::model::{EnvironmentId, Model};
use crate::plan::surface::{self, Surfaces};
use crate::plan::{Drawn, EdgeId, Plan, Raster, drawing};
use crate::polygons::{Arrangement, Filling, Segment, TriangulationError};
use crate::triangulation::{Conductivity, Film, Mesh, Metric, Physics, Place};

/// Why a plan cannot be triangulated as it was painted.
#[derive(Clone, Debug, PartialEq)]
pub enum NoTriangles {
    /// The drawing cannot be triangulated.
    Drawing(TriangulationError),
    /// An edge of the drawing is none of the raster's surfaces, or several with different resistances.
    Surface {
        /// Its middle, m.
        at: [f64; 2],
    },
}

impl fmt::Display for NoTriangles {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Drawing(error) => error.fmt(f),
            Self::Surface { at: [x, y] } => {
                write!(f, "the surface at x = {:.3} mm, y = {:.3} mm has no one resistance", x * 1e3, y * 1e3)
            }
        }
    }
}

impl std::error::Error for NoTriangles {}

impl From<TriangulationError> for NoTriangles {
    fn from(error: TriangulationError) -> Self {
        Self::Drawing(error)
    }
}

/// The coarsest mesh of a plan; materials and environments by their ids.
#[derive(Clone, Debug)]
pub struct Meshed {
    /// The triangles.
    pub mesh: Mesh,
    /// What heat passes on its way, for each set of surface resistances.
    pub physics: Vec<Physics>,
    /// By segment of the drawing, the run of level surface that it is a piece of.
    pub runs: Vec<Option<usize>>,
}

/// The coarsest mesh of a plan, and what heat passes on it, for each set of surface resistances.
///
/// # Errors
/// [`NoTriangles`].
pub fn mesh(model: &Model, plan: &Plan, surfaces: &[&Surfaces]) -> Result<Meshed, NoTriangles> {
    let conductivities: Vec<Conductivity> = model
        .materials
        .iter()
        .map(|material| Conductivity::along(material.axis, material.conductivity_x, material.conductivity_y))
        .collect();
    let metrics: Vec<Metric> = conductivities.iter().map(Conductivity::metric).collect();
    let arranged;
    let arrangement = match &plan.drawn {
        Drawn::Edges(edges) => &edges.arrangement,
        Drawn::Raster(_) => {
            arranged = Arrangement::of(&drawing(model))?;
            &arranged
        }
    };
    let mesh = Mesh::within(arrangement, &metrics)?;
    let films = |surfaces: &Surfaces| -> Result<Vec<Option<Film>>, NoTriangles> {
        let Some(raster) = plan.raster() else {
            let film = |film: &surface::Film| Film {
                environment: film.environment.index(),
                resistance: film.resistance,
            };
            return Ok(surfaces.by_edge().iter().map(|own| own.as_ref().map(film)).collect());
        };
        let at = |segment: &Segment| segment.ends.map(|end| arrangement.points[end as usize]);
        arrangement
            .segments
            .iter()
            .map(|segment| self::film(raster, surfaces, segment, at(segment)))
            .collect()
    };
    let mut sets = Vec::with_capacity(surfaces.len());
    for surfaces in surfaces {
        sets.push(Physics {
            conductivities: conductivities.clone(),
            films: films(surfaces)?,
            environments: surfaces.environments(model.environments.len()),
        });
    }
    let run = |(number, segment): (usize, &Segment)| match plan.raster() {
        None => plan.level.at(EdgeId::Edge(number)),
        Some(raster) => {
            let faces = faces(raster, segment.ends.map(|end| arrangement.points[end as usize]));
            faces.into_iter().find_map(|face| plan.level.at(face))
        }
    };
    let runs = arrangement.segments.iter().enumerate().map(run).collect();
    Ok(Meshed { mesh, physics: sets, runs })
}

/// The coldest place of the surfaces of an environment: of those that the case excludes, or of the others.
pub fn coldest(model: &Model, environment: EnvironmentId, is_excluded: bool) -> Place {
    let excluded = model.judged_apart();
    let counts = |material| excluded.contains(&material) == is_excluded;
    let solids = model.materials_by_id().map(|(material, _)| counts(material)).collect();
    Place::Coldest { environment: environment.index(), solids }
}

/// The film of a segment that runs between `ends` (m, level or upright); none where no heat passes.
///
/// # Errors
/// [`NoTriangles::Surface`].
pub fn film(
    plan: &Raster,
    surfaces: &Surfaces,
    segment: &Segment,
    ends: [[f64; 2]; 2],
) -> Result<Option<Film>, NoTriangles> {
    let ((Filling::Space(environment), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(environment))) =
        (segment.left, segment.right)
    else {
        return Ok(None);
    };
    let [from, to] = ends;
    let at = [0, 1].map(|axis| f64::midpoint(from[axis], to[axis]));
    let undecided = NoTriangles::Surface { at };
    let mut resistance = None;
    for face in faces(plan, ends) {
        let Some(film) = surfaces.at(face) else { return Err(undecided) };
        if film.environment.index() != environment as usize
            || *resistance.get_or_insert(film.resistance) != film.resistance
        {
            return Err(undecided);
        }
    }
    let resistance = resistance.ok_or(undecided)?;
    Ok(Some(Film { environment: environment as usize, resistance }))
}

/// The faces of a raster that a level or upright segment is made of; none if it lies on no line.
fn faces(plan: &Raster, [from, to]: [[f64; 2]; 2]) -> Vec<EdgeId> {
    let is_upright = (from[0] - to[0]).abs() < (from[1] - to[1]).abs();
    // Across the edge stand the raster's lines, along it their intervals.
    let (normal, across, along) = if is_upright { (Axis::X, 0, 1) } else { (Axis::Y, 1, 0) };
    let (lines, others) = if is_upright { (&plan.xs, &plan.ys) } else { (&plan.ys, &plan.xs) };
    let at = f64::midpoint(from[across], to[across]);
    let Some(line) = lines.iter().position(|line| (line - at).abs() < SAME_PLACE) else { return Vec::new() };
    let (begin, end) = (from[along].min(to[along]), from[along].max(to[along]));
    let is_within = |(_, ends): &(usize, &[f64])| {
        let middle = f64::midpoint(ends[0], ends[1]);
        begin < middle && middle < end
    };
    let face = |(interval, _): (usize, &[f64])| {
        let (i, j) = if is_upright { (line, interval) } else { (interval, line) };
        EdgeId::face(normal, i, j)
    };
    others.windows(2).enumerate().filter(is_within).map(face).collect()
}
