//! What is taken off L2D to give ψ, and by which conventions lengths are measured.

use super::EnvironmentId;
use crate::geometry::{Axis, Span};
use crate::text::Place;

/// ψ = L2D − Σ U·l.
#[derive(Clone, Debug)]
pub struct Psi {
    /// The environments on either side; `None` where the two temperatures decide.
    pub between: Option<[Vec<EnvironmentId>; 2]>,
    /// What is subtracted.
    pub flanking: Vec<Flanking>,
    /// The projected width of a window frame, over which what is left is spread to give U_f (ISO 10077-2).
    pub frame: Option<Span>,
    /// Edges of the model that are planes of symmetry, not cut-off planes.
    pub symmetry: Vec<Plane>,
    /// Where the block begins, if it is written.
    pub place: Option<Place>,
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
    /// Where it is written, if it is.
    pub place: Option<Place>,
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
    /// Where it is written, if it is.
    pub place: Option<Place>,
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
