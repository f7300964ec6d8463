//! A case as the rest of the program sees it: every number evaluated, every name resolved, SI units.

use super::diagnostic::{Diagnostic, Place, Sources};
use crate::climate::Climate;
use crate::element::build_up::BuildUp;
use crate::geometry::{Axis, Rectangle, Span};
use crate::material::Material;
use crate::material::cavity::Cavity;
use crate::standard::HeatFlow;

/// One junction, ready to be painted.
#[derive(Clone, Debug)]
pub struct Case {
    /// File name without its ending; results go to a folder of this name.
    pub name: String,
    /// One line for headings.
    pub title: String,
    /// What the case is about.
    pub description: String,
    /// How the drawing lies in space.
    pub cut: Cut,
    /// The parameters with the values used, in the order written.
    pub parameters: Vec<(String, f64)>,
    /// Names of the parameters that are numbers, not expressions of others.
    pub free_parameters: Vec<String>,
    /// Materials painted somewhere or named by a rule; indexed by [`Paint::Solid`].
    pub materials: Vec<Material>,
    /// Indexed by [`Paint::Space`].
    pub environments: Vec<Environment>,
    /// Outside this rectangle there is nothing; its edges are the cut-off planes.
    pub extent: Rectangle,
    /// Where the extent is given.
    pub extent_place: Place,
    /// Painted in order, later over earlier.
    pub plan: Vec<Shape>,
    /// Build-ups painted into the plan or named by a flanking element.
    pub build_ups: Vec<BuildUp>,
    /// Air cavities, each with a material of its own.
    pub cavities: Vec<CavityFill>,
    /// Build-ups painted into the plan.
    pub painted: Vec<PaintedBuildUp>,
    /// Exceptions to the standard surface resistances, later over earlier.
    pub surfaces: Vec<SurfaceRule>,
    /// How flanking elements are subtracted.
    pub psi: Option<Psi>,
    /// Where `psi` is a list, the blocks after the first.
    pub further_psi: Vec<Psi>,
    /// True if `psi` is a list, so that results are lists too.
    pub psi_is_list: bool,
    /// The condensation pass, if asked for.
    pub condensation: Option<Condensation>,
    /// The climate to check it with, if the case or a file it includes has one.
    pub climate: Option<Climate>,
    /// Places whose temperature is wanted.
    pub points: Vec<NamedPoint>,
    /// What a submission states about its results.
    pub claims: Vec<Claim>,
    /// The texts the case was read from.
    pub sources: Sources,
    /// Findings that do not stop the run.
    pub warnings: Vec<Diagnostic>,
}

impl Case {
    /// Materials judged apart for condensation: frames and glazing.
    pub fn judged_apart(&self) -> &[usize] {
        self.condensation.as_ref().map(|condensation| condensation.exclude.as_slice()).unwrap_or_default()
    }
}

/// How the drawing lies in space, which decides the direction of heat flow at level surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// A vertical section: y is up.
    Vertical,
    /// A horizontal section, seen from above: all surfaces of the drawing are upright in reality.
    Horizontal,
}

/// Air of one temperature, bounding the construction.
#[derive(Clone, Debug, PartialEq)]
pub struct Environment {
    /// Its name in the case.
    pub name: String,
    /// What kind of space it is.
    pub role: Role,
    /// °C.
    pub temperature: f64,
    /// Relative humidity, 0 to 1, where given.
    pub humidity: Option<f64>,
    /// False where no solid touches it, which is known once the case is painted: it then takes no part.
    pub is_touched: bool,
    /// Where it is defined.
    pub place: Place,
}

/// What kind of space an environment is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A heated space: its surfaces are checked, its losses are L2D.
    Internal,
    /// Outside air.
    External,
    /// A space inside the building that is not heated: internal surface resistances, no temperature factor.
    Unheated,
}

impl Role {
    /// The word used in case files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Internal => "internal",
            Self::External => "external",
            Self::Unheated => "unheated",
        }
    }
}

/// What a shape leaves where it is painted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paint {
    /// A material, by index into [`Case::materials`].
    Solid(usize),
    /// An environment, by index into [`Case::environments`].
    Space(usize),
}

/// One stroke of the plan.
#[derive(Clone, Debug)]
pub struct Shape {
    /// What it paints.
    pub paint: Paint,
    /// The area, as rectangles that do not overlap.
    pub rectangles: Vec<Rectangle>,
    /// Where it is written.
    pub place: Place,
}

/// A build-up painted into a plan: its layers became shapes, the air in them homogeneous material.
#[derive(Clone, Debug)]
pub struct PaintedBuildUp {
    /// The build-up's name.
    pub name: String,
    /// The axis that leads through its layers.
    pub through: Axis,
    /// What it covers unless later shapes do.
    pub area: Rectangle,
    /// Its layers that have a thickness, from inside to outside.
    pub layers: Vec<DrawnLayer>,
    /// Where it is painted.
    pub place: Place,
}

/// A layer of a painted build-up.
#[derive(Clone, Debug)]
pub struct DrawnLayer {
    /// Index of the material that it is painted with.
    pub material: usize,
    /// What readers call it, if it is air.
    pub air: Option<String>,
    /// What it covers unless later shapes do.
    pub area: Rectangle,
}

/// An air cavity: a stroke as it was read, or a part of the plan's air once this has been told apart.
#[derive(Clone, Debug)]
pub struct CavityFill {
    /// Index of the material that stands for it.
    pub material: usize,
    /// What it is.
    pub cavity: Cavity,
    /// Where it is written.
    pub place: Place,
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

/// An exception to the standard surface resistances.
#[derive(Clone, Debug)]
pub struct SurfaceRule {
    /// Only surfaces towards this environment.
    pub environment: Option<usize>,
    /// Only surfaces of these materials: the one named, and what build-ups paint in its place.
    pub materials: Option<Vec<usize>>,
    /// Only within this box; an open side is infinite.
    pub within: Rectangle,
    /// What holds there.
    pub ruled: Ruled,
    /// Where it is written.
    pub place: Place,
}

/// What a case states of a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ruled {
    /// Its resistance, m²K/W; 0 fixes the surface temperature.
    Resistance(f64),
    /// The direction of heat flow through it where it is level, from which the standard's resistance follows.
    HeatFlow(HeatFlow),
}

/// ψ = L2D − Σ U·l.
#[derive(Clone, Debug)]
pub struct Psi {
    /// The environments on either side; `None` where the two temperatures decide.
    pub between: Option<[Vec<usize>; 2]>,
    /// What is subtracted.
    pub flanking: Vec<Flanking>,
    /// The projected width of a window frame, over which what is left is spread to give U_f (ISO 10077-2).
    pub frame: Option<Span>,
    /// Edges of the model that are planes of symmetry, not cut-off planes.
    pub symmetry: Vec<Plane>,
    /// Where the block begins.
    pub place: Place,
}

/// A plane through the drawing, or a part of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// The axis on which it is fixed.
    pub axis: Axis,
    /// Its position, m.
    pub at: f64,
    /// Only this part of it.
    pub range: Option<Span>,
    /// Where it is written.
    pub place: Place,
}

/// A plane element whose loss is subtracted from L2D.
#[derive(Clone, Debug)]
pub struct Flanking {
    /// Its name.
    pub element: String,
    /// Where its U-value comes from.
    pub u_value: UValueSource,
    /// The build-up that the U-value is of, where the case names one.
    pub build_up: Option<String>,
    /// The axis its surface runs along, if it can be told.
    pub runs_along: Option<Axis>,
    /// Its length by each convention of measurement, in the order of [`Convention::ALL`].
    pub spans: [Option<Span>; 3],
    /// Where it is written.
    pub place: Place,
}

/// Where the U-value of a flanking element comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UValueSource {
    /// Stated in the case, W/(m²K).
    Given(f64),
    /// Computed through the model along the plane `axis = at`, within `range` of the other axis if given.
    Section {
        /// The axis on which the plane is fixed.
        axis: Axis,
        /// Its position, m.
        at: f64,
        /// Only this part of the plane.
        range: Option<Span>,
    },
    /// A floor on the ground, read from the plan.
    Floor {
        /// How its loss is told.
        method: FloorMethod,
        /// Thickness of the wall, m; `None` for that of the wall which the plan shows at the floor's end.
        wall_thickness: Option<f64>,
    },
}

/// How the loss of a floor on the ground is told apart from that of its junction with the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FloorMethod {
    /// ISO 13370.
    Formula,
    /// A second model of floor and ground alone.
    Model,
}

impl FloorMethod {
    /// The word used in case files and results.
    pub fn word(self) -> &'static str {
        match self {
            Self::Formula => "iso13370",
            Self::Model => "model",
        }
    }

    /// For readers.
    pub fn label(self) -> &'static str {
        match self {
            Self::Formula => "formula of ISO 13370",
            Self::Model => "model of floor and ground alone",
        }
    }

    /// The method not chosen.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Formula => Self::Model,
            Self::Model => Self::Formula,
        }
    }
}

/// Conventions for measuring the lengths of building elements (ISO 13789).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Convention {
    /// Between the inner faces of the rooms.
    Internal,
    /// Between the outer faces of the external elements.
    External,
    /// Between the inner faces of the external elements, internal elements included.
    OverallInternal,
}

impl Convention {
    /// In the order of [`Flanking::spans`].
    pub const ALL: [Self; 3] = [Self::Internal, Self::External, Self::OverallInternal];

    /// The key in case files and results.
    pub fn key(self) -> &'static str {
        match self {
            Self::Internal => "internal",
            Self::External => "external",
            Self::OverallInternal => "overall_internal",
        }
    }

    /// For readers.
    pub fn label(self) -> &'static str {
        match self {
            Self::Internal => "internal",
            Self::External => "external",
            Self::OverallInternal => "overall internal",
        }
    }
}

/// The condensation pass.
#[derive(Clone, Debug)]
pub struct Condensation {
    /// Internal surface resistance of opaque surfaces, m²K/W.
    pub resistance: f64,
    /// Materials judged apart, with the resistance of frames and glazing.
    pub exclude: Vec<usize>,
    /// The temperature factor to be reached, where a national rule names one.
    pub critical: Option<f64>,
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
    /// Where it is written.
    pub place: Place,
}

/// A result that a submission states.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// One of the keys allowed under `claims`.
    pub key: String,
    /// For `u_values`, the element.
    pub element: Option<String>,
    /// The stated value.
    pub value: f64,
    /// Half a unit of the last digit written.
    pub rounding: f64,
}
