//! The same physical problem on triangles: the shapes of the plan as a drawing of polygons, with the
//! conductivities and surface resistances that the grid is solved with.
//!
//! The drawing is made of the shapes themselves, not of the raster that they are painted on, so that the
//! raster is confirmed too. Surface resistances are read from the raster's faces, since settling the directions
//! of heat flow has given them their values there.

use std::fmt;

use crate::geometry::{Axis, Rectangle, SAME_PLACE};
use crate::model::{Model, Paint};
use crate::plan::Plan;
use crate::plan::surface::Surfaces;
use crate::triangulation::{
    Conductivity, Drawing, Filling, Film, Mesh, Metric, Physics, Segment, Stroke, TriangulationError,
};

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

/// The coarsest mesh of a plan, and what heat passes on it, for each set of surface resistances; materials and
/// environments by their ids.
///
/// # Errors
/// [`NoTriangles`].
pub fn mesh(model: &Model, plan: &Plan, surfaces: &[&Surfaces]) -> Result<(Mesh, Vec<Physics>), NoTriangles> {
    let conductivities: Vec<Conductivity> = model
        .materials
        .iter()
        .map(|material| Conductivity { xx: material.conductivity_x, xy: 0.0, yy: material.conductivity_y })
        .collect();
    let metrics: Vec<Metric> = conductivities.iter().map(Conductivity::metric).collect();
    let (arrangement, mesh) = Mesh::of(&drawing(model), &metrics)?;
    let films = |surfaces: &Surfaces| -> Result<Vec<Option<Film>>, NoTriangles> {
        let at = |segment: &Segment| segment.ends.map(|end| arrangement.points[end as usize]);
        arrangement.segments.iter().map(|segment| film(plan, surfaces, segment, at(segment))).collect()
    };
    let mut sets = Vec::with_capacity(surfaces.len());
    for surfaces in surfaces {
        sets.push(Physics {
            conductivities: conductivities.clone(),
            films: films(surfaces)?,
            environments: model.environments.len(),
        });
    }
    Ok((mesh, sets))
}

/// The plan as polygons, m. Fillings are numbered as the model's materials and environments are.
pub fn drawing(model: &Model) -> Drawing {
    let shapes = model.plan.iter().flat_map(|shape| {
        let filling = match shape.paint {
            Paint::Solid(material) => Filling::Solid(material.index() as u32),
            Paint::Space(environment) => Filling::Space(environment.index() as u32),
        };
        shape.rectangles.iter().map(move |rectangle| (filling, *rectangle))
    });
    let parts = model.cavities.iter().flat_map(|cavity| {
        let filling = Filling::Solid(cavity.material.index() as u32);
        cavity.part.iter().flat_map(move |part| part.rectangles.iter().map(move |area| (filling, *area)))
    });
    let strokes = shapes
        .chain(parts)
        .filter_map(|(filling, area)| Some((filling, area.within(model.extent)?)))
        .map(|(filling, area)| Stroke { filling, outline: outline(area), holes: Vec::new() })
        .collect();
    // Resistances change at the edges of the boxes that rules hold in.
    let cuts = model.surfaces.iter().filter_map(|rule| rule.within.within(model.extent)).map(outline);
    Drawing { strokes, extent: outline(model.extent), cuts: cuts.collect() }
}

fn outline(area: Rectangle) -> Vec<[f64; 2]> {
    let Rectangle { x, y } = area;
    vec![[x.from, y.from], [x.to, y.from], [x.to, y.to], [x.from, y.to]]
}

/// The film of a segment that runs between `ends` (m, level or upright); none where no heat passes.
///
/// # Errors
/// [`NoTriangles::Surface`].
pub fn film(
    plan: &Plan,
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
    let is_upright = (from[0] - to[0]).abs() < (from[1] - to[1]).abs();
    // Across the edge stand the raster's lines, along it their intervals.
    let (normal, across, along) = if is_upright { (Axis::X, 0, 1) } else { (Axis::Y, 1, 0) };
    let (lines, others) = if is_upright { (&plan.xs, &plan.ys) } else { (&plan.ys, &plan.xs) };
    let Some(line) = lines.iter().position(|line| (line - at[across]).abs() < SAME_PLACE) else {
        return Err(undecided);
    };
    let (begin, end) = (from[along].min(to[along]), from[along].max(to[along]));
    let mut resistance = None;
    for (interval, ends) in others.windows(2).enumerate() {
        let middle = f64::midpoint(ends[0], ends[1]);
        if !(begin < middle && middle < end) {
            continue;
        }
        let (i, j) = if is_upright { (line, interval) } else { (interval, line) };
        let Some(film) = surfaces.film(normal, i, j) else { return Err(undecided) };
        if film.environment.index() != environment as usize
            || *resistance.get_or_insert(film.resistance) != film.resistance
        {
            return Err(undecided);
        }
    }
    let resistance = resistance.ok_or(undecided)?;
    Ok(Some(Film { environment: environment as usize, resistance }))
}
