//! The junction as physics sees it, in SI units: what is where, what bounds it, what is asked of it.
//!
//! A case file is read into a [`Model`]; a program can build one without any text, with a [`Builder`].
//! Whatever was written keeps its place, so that findings can show it.

mod area;
mod builder;
mod convention;
mod environment;
mod ids;
mod region;
mod round;
mod sound;
mod surface;

use crate::element::build_up::BuildUp;
use crate::geometry::Rectangle;
use crate::material::Material;
use crate::text::Place;

pub use area::{Area, Polygon, is_within};
pub use builder::Builder;
pub use convention::{Convention, Flanking, FloorMethod, Plane, Psi, SlopedPlane, UValueSource};
pub(crate) use environment::tell_apart;
pub use environment::{Cut, Environment, Role};
pub use ids::{EnvironmentId, MaterialId};
pub use region::{CavityFill, CavityPart, DrawnLayer, Paint, PaintedBuildUp, PieceKind, Shape};
pub use round::Round;
pub use surface::{Condensation, Ruled, SurfaceRule};

/// One junction, ready to be painted.
#[derive(Clone, Debug)]
pub struct Model {
    /// How the drawing lies in space.
    pub cut: Cut,
    /// Materials painted somewhere or named by a rule; indexed by [`Paint::Solid`].
    pub materials: Vec<Material>,
    /// Indexed by [`Paint::Space`].
    pub environments: Vec<Environment>,
    /// Outside this rectangle there is nothing; its edges are the cut-off planes unless it has a border.
    pub extent: Rectangle,
    /// The corners, in order, m, of the polygon that takes the place of the extent's edges: the extent is the smallest
    /// rectangle that holds it.
    pub border: Option<Vec<[f64; 2]>>,
    /// Where the extent is given, if it is written.
    pub extent_place: Option<Place>,
    /// Painted in order, later over earlier.
    pub plan: Vec<Shape>,
    /// Build-ups painted into the plan or named by a flanking element.
    pub build_ups: Vec<BuildUp>,
    /// Air cavities, each with a material of its own.
    pub cavities: Vec<CavityFill>,
    /// Build-ups painted into the plan.
    pub painted: Vec<PaintedBuildUp>,
    /// True if layers are painted beside lines, to whose left they lie.
    pub has_rows_along_lines: bool,
    /// Exceptions to the standard surface resistances, later over earlier.
    pub surfaces: Vec<SurfaceRule>,
    /// How flanking elements are subtracted.
    pub psi: Option<Psi>,
    /// Further pairs of environments with a ψ of their own.
    pub further_psi: Vec<Psi>,
    /// The condensation pass, if asked for.
    pub condensation: Option<Condensation>,
    /// Places whose temperature is wanted.
    pub points: Vec<NamedPoint>,
}

impl Model {
    /// True if all that happens in the drawing happens along its axes: it fills a rectangle, all edges are level or
    /// upright, those of the areas that rules hold in too, and no material conducts best in another direction.
    pub fn is_level(&self) -> bool {
        let areas = self.plan.iter().map(|shape| &shape.area);
        self.border.is_none()
            && areas.chain(self.surfaces.iter().map(|rule| &rule.within)).all(Area::is_level)
            && self.materials.iter().all(|material| !material.is_oblique())
    }

    /// The corners of the drawing's edge, in order, m.
    pub fn corners(&self) -> Vec<[f64; 2]> {
        self.border.clone().unwrap_or_else(|| self.extent.corners().to_vec())
    }

    /// All environments, each with its id.
    pub fn environments_by_id(&self) -> impl Iterator<Item = (EnvironmentId, &Environment)> {
        EnvironmentId::all(self.environments.len()).zip(&self.environments)
    }

    /// All materials, each with its id.
    pub fn materials_by_id(&self) -> impl Iterator<Item = (MaterialId, &Material)> {
        MaterialId::all(self.materials.len()).zip(&self.materials)
    }

    /// Materials judged apart for condensation: frames and glazing.
    pub fn judged_apart(&self) -> &[MaterialId] {
        self.condensation.as_ref().map(|condensation| condensation.exclude.as_slice()).unwrap_or_default()
    }
}

/// A place whose temperature is wanted.
#[derive(Clone, Debug)]
pub struct NamedPoint {
    /// Its name.
    pub name: String,
    /// m.
    pub x: f64,
    /// m.
    pub y: f64,
    /// Where it is written, if it is.
    pub place: Option<Place>,
}
