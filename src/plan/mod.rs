//! The plan: what stands where, and which surfaces face which environment.
//!
//! Shapes are painted in order. Where all their edges are level or upright they make a [raster](Raster), which
//! the computing grid subdivides; one sloped edge makes the whole plan a set of [edges](Edges) between different
//! fillings, which triangles subdivide. What is asked of a plan along an axis is answered by both in the same
//! way: a [lane](Lane) is all that a level or upright line meets.

mod across;
pub mod cavities;
mod check;
mod components;
mod edges;
mod gaps;
pub mod joining;
mod lane;
pub mod level;
mod lines;
pub mod openings;
mod paint;
mod raster;
mod region;
pub mod section;
pub mod surface;
pub mod thin;
mod turned;

pub use across::section_across;
pub use edges::{Edges, drawing};
pub use lane::{Lane, NoLane, Step, are_like, are_like_within};
pub use lines::index_of as nearest_line;
pub use paint::hidden_shapes;
pub use raster::Raster;
pub use turned::{ROUNDED, SAME_WAY};

use crate::model::{EnvironmentId, MaterialId, Model, Paint};
use std::collections::BTreeSet;

use crate::finding::{Diagnostic, Unusable, has_errors};
use crate::geometry::{Axis, SAME_PLACE, Stretch, Turn};
use crate::polygons;

/// What a place of the plan is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Filling {
    /// Never painted: no heat passes.
    Nothing,
    /// An environment, by index.
    Space(EnvironmentId),
    /// A material, by index.
    Solid(MaterialId),
}

impl Filling {
    /// True for a material.
    pub fn is_solid(self) -> bool {
        matches!(self, Self::Solid(_))
    }

    /// The material and the environment that meet where this filling meets another, if it is a surface.
    pub fn meeting(self, other: Self) -> Option<(MaterialId, EnvironmentId)> {
        match (self, other) {
            (Self::Solid(material), Self::Space(environment))
            | (Self::Space(environment), Self::Solid(material)) => Some((material, environment)),
            _ => None,
        }
    }
}

impl From<Paint> for Filling {
    fn from(paint: Paint) -> Self {
        match paint {
            Paint::Solid(material) => Self::Solid(material),
            Paint::Space(environment) => Self::Space(environment),
        }
    }
}

impl From<polygons::Filling> for Filling {
    fn from(filling: polygons::Filling) -> Self {
        match filling {
            polygons::Filling::Nothing => Self::Nothing,
            polygons::Filling::Solid(number) => Self::Solid(MaterialId::new(number as usize)),
            polygons::Filling::Space(number) => Self::Space(EnvironmentId::new(number as usize)),
        }
    }
}

/// How a plan is divided.
#[derive(Clone, Debug)]
pub enum Drawn {
    /// By level and upright lines, into cells.
    Raster(Raster),
    /// By edges of any direction.
    Edges(Edges),
}

/// One piece of an edge: a face of the raster, or an edge of the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EdgeId {
    /// An upright face of the raster.
    Upright(usize, usize),
    /// A level face of the raster.
    Level(usize, usize),
    /// An edge, by its number.
    Edge(usize),
}

impl EdgeId {
    /// The face (i, j) of a raster with its normal along an axis.
    pub fn face(normal: Axis, i: usize, j: usize) -> Self {
        match normal {
            Axis::X => Self::Upright(i, j),
            Axis::Y => Self::Level(i, j),
        }
    }
}

/// A straight piece of edge between two different fillings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Which.
    pub id: EdgeId,
    /// m.
    pub ends: [[f64; 2]; 2],
    /// What lies to the left of whoever goes from the first end to the second.
    pub left: Filling,
    /// What lies to the right.
    pub right: Filling,
}

impl Edge {
    /// The same, run through so that a solid lies on its left if there is one.
    #[must_use]
    pub fn with_solid_on_left(self) -> Self {
        if self.left.is_solid() {
            return self;
        }
        let [from, to] = self.ends;
        Self { ends: [to, from], left: self.right, right: self.left, ..self }
    }

    /// Where it runs.
    pub fn stretch(&self) -> Stretch {
        let [from, to] = self.ends;
        Stretch { from, to }
    }

    /// m.
    pub fn middle(&self) -> [f64; 2] {
        let [from, to] = self.ends;
        [f64::midpoint(from[0], to[0]), f64::midpoint(from[1], to[1])]
    }

    /// m.
    pub fn length(&self) -> f64 {
        let [from, to] = self.ends;
        libm::hypot(to[0] - from[0], to[1] - from[1])
    }
}

/// The painted plan.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Its cells, or its edges.
    pub drawn: Drawn,
    /// The environments that touch a solid.
    pub touched: BTreeSet<EnvironmentId>,
    /// Level and sloped surfaces with the direction of heat flow through each.
    pub level: level::LevelRuns,
    /// The corners of the extent, in order, m.
    pub border: Vec<[f64; 2]>,
    /// How it is turned against the drawing.
    pub turn: Turn,
}

impl Plan {
    /// Paints a case and checks that heat can flow through the result in a meaningful way.
    ///
    /// Returns the plan and warnings.
    ///
    /// # Errors
    /// [`Unusable`] for slivers, isolated solids, solids that touch in a corner only, and plans without two
    /// temperatures.
    pub fn of(model: &Model) -> Result<(Self, Vec<Diagnostic>), Unusable> {
        let mut diagnostics = Vec::new();
        let drawn = if model.is_level() {
            paint::paint(model, &mut diagnostics).map(Drawn::Raster)
        } else {
            paint::warn_of_shapes_outside(model, &mut diagnostics);
            Edges::of(model, &mut diagnostics).map(Drawn::Edges)
        };
        let plan = drawn.map(|drawn| {
            let mut plan = Self {
                drawn,
                touched: BTreeSet::new(),
                level: level::LevelRuns::default(),
                border: model.corners(),
                turn: Turn::NONE,
            };
            paint::warn_of_hidden_shapes(model, &plan, &mut diagnostics);
            plan.touched = check::check(&plan, model, &mut diagnostics);
            plan.level = level::LevelRuns::of(model, &plan, &mut diagnostics);
            plan
        });
        match plan {
            Some(plan) if !has_errors(&diagnostics) => Ok((plan, diagnostics)),
            _ => Err(Unusable(diagnostics)),
        }
    }

    /// Its raster, if all edges are level or upright.
    pub fn raster(&self) -> Option<&Raster> {
        match &self.drawn {
            Drawn::Raster(raster) => Some(raster),
            Drawn::Edges(_) => None,
        }
    }

    /// Where edges begin, end or run across an axis, rising, m: from one to the next nothing changes along it
    /// but what slopes.
    pub fn lines(&self, axis: Axis) -> &[f64] {
        match (&self.drawn, axis) {
            (Drawn::Raster(raster), Axis::X) => &raster.xs,
            (Drawn::Raster(raster), Axis::Y) => &raster.ys,
            (Drawn::Edges(edges), _) => edges.lines(axis),
        }
    }

    /// All pieces of edge between different fillings.
    pub fn edges(&self) -> Vec<Edge> {
        match &self.drawn {
            Drawn::Raster(raster) => raster.edges(),
            Drawn::Edges(edges) => edges.edges(),
        }
    }

    /// True if a straight line between two points (m) lies on one edge of the extent.
    pub fn is_on_border(&self, ends: [[f64; 2]; 2]) -> bool {
        let mut sides = (0..self.border.len()).map(|index| Stretch {
            from: self.border[index],
            to: self.border[(index + 1) % self.border.len()],
        });
        sides.any(|side| ends.iter().all(|end| side.distance(*end) < SAME_PLACE))
    }

    /// The materials that can be seen, by index.
    pub fn materials(&self) -> BTreeSet<MaterialId> {
        let material = |filling: Filling| match filling {
            Filling::Solid(material) => Some(material),
            _ => None,
        };
        match &self.drawn {
            Drawn::Raster(raster) => raster.filling.iter().copied().filter_map(material).collect(),
            Drawn::Edges(edges) => {
                edges.edges().iter().flat_map(|edge| [edge.left, edge.right]).filter_map(material).collect()
            }
        }
    }

    /// What fills a point, m; none outside the extent. On an edge, what lies to its left or below.
    pub fn filling_at(&self, x: f64, y: f64) -> Option<Filling> {
        match &self.drawn {
            Drawn::Raster(raster) => raster.cell_at(x, y).map(|(i, j)| raster.at(i, j)),
            Drawn::Edges(edges) => edges.filling_at(x, y),
        }
    }
}

/// Index of the interval of the rising `lines` that contains `value`.
pub fn interval(lines: &[f64], value: f64) -> Option<usize> {
    let (first, last) = (lines.first()?, lines.last()?);
    if !(*first..=*last).contains(&value) {
        return None;
    }
    Some(lines.partition_point(|line| *line < value).saturating_sub(1))
}
