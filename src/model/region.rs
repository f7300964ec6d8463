//! What is where: shapes of materials and spaces, air cavities, and build-ups that became shapes.

use super::{Area, EnvironmentId, MaterialId};
use crate::geometry::Rectangle;
use crate::material::cavity::Cavity;
use crate::text::Place;

/// What a shape leaves where it is painted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paint {
    /// A material, by index into [`super::Model::materials`].
    Solid(MaterialId),
    /// An environment, by index into [`super::Model::environments`].
    Space(EnvironmentId),
}

/// One stroke of the plan.
#[derive(Clone, Debug)]
pub struct Shape {
    /// What it paints.
    pub paint: Paint,
    /// Where it paints that.
    pub area: Area,
    /// Where it is written, if it is.
    pub place: Option<Place>,
}

/// A build-up painted into a plan: its layers became shapes, the air in them homogeneous material.
#[derive(Clone, Debug)]
pub struct PaintedBuildUp {
    /// The build-up's name.
    pub name: String,
    /// The direction from its first layer to its last, a unit vector.
    pub through: [f64; 2],
    /// What it covers unless later shapes do.
    pub area: Area,
    /// Its layers that have a thickness, from inside to outside.
    pub layers: Vec<DrawnLayer>,
    /// Where it is painted, if that is written.
    pub place: Option<Place>,
}

/// A layer of a painted build-up.
#[derive(Clone, Debug)]
pub struct DrawnLayer {
    /// Index of the material that it is painted with.
    pub material: MaterialId,
    /// What readers call it, if it is air.
    pub air: Option<String>,
    /// What it covers unless later shapes do.
    pub area: Area,
}

/// An air cavity: a stroke as it was read, or a part of the plan's air once this has been told apart.
#[derive(Clone, Debug)]
pub struct CavityFill {
    /// Index of the material that stands for it.
    pub material: MaterialId,
    /// What it is.
    pub cavity: Cavity,
    /// Where it is written, if it is.
    pub place: Option<Place>,
    /// What it is part of.
    pub part: Option<CavityPart>,
}

/// A part of the air of a plan.
#[derive(Clone, Debug)]
pub struct CavityPart {
    /// Number of the air that is connected, from 0.
    pub region: usize,
    /// What it is of that air.
    pub kind: PieceKind,
    /// Its area, as rectangles that do not overlap. They are painted over the strokes.
    pub rectangles: Vec<Rectangle>,
}

/// What a part is of the air that is connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceKind {
    /// All of it.
    Whole,
    /// A chamber, beyond throats or gaps.
    Chamber,
    /// A throat between chambers or a slit, no wider than 2 mm.
    Throat,
    /// A straight stretch of a bent gap, or one that leads to a chamber.
    Arm,
    /// Where arms meet.
    Junction,
}

impl PieceKind {
    /// The word used in results.
    pub fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Chamber => "chamber",
            Self::Throat => "throat",
            Self::Arm => "arm",
            Self::Junction => "junction",
        }
    }

    /// For readers, after its name; nothing for what was not cut.
    pub fn remark(self) -> &'static str {
        match self {
            Self::Whole => "",
            Self::Chamber => ", a chamber",
            Self::Throat => ", a throat or slit",
            Self::Arm => ", an arm of a gap",
            Self::Junction => ", where arms meet",
        }
    }
}
