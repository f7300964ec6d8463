//! What is taken off L2D to give ψ, and by which conventions lengths are measured.

use super::EnvironmentId;
use crate::geometry::{Axis, Span, Stretch};
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
    /// The same for those that lie along no axis.
    pub sloped_symmetry: Vec<SlopedPlane>,
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

/// A plane between two points that lies along no axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlopedPlane {
    /// From where to where, m.
    pub ends: Stretch,
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
    /// The way its surface runs, of length 1, where points tell it and it is not just along an axis; it runs along an
    /// axis too where it is off that by a fall only.
    pub slope: Option<[f64; 2]>,
    /// Where it runs by each convention of measurement, in the order of [`Convention::ALL`]: on its axis, or, if it
    /// has none, along its slope as far as the foot of each point lies from that of the origin.
    pub spans: [Option<Span>; 3],
    /// The same between points, where it is written so.
    pub points: [Option<Stretch>; 3],
    /// Where it is written, if it is.
    pub place: Option<Place>,
}

impl Psi {
    /// How many planes of symmetry there are, level, upright and sloped.
    pub fn planes_of_symmetry(&self) -> usize {
        self.symmetry.len() + self.sloped_symmetry.len()
    }
}

impl Flanking {
    /// Its length by one of the conventions, m: the distance of its points, where it has any.
    pub fn length(&self, convention: usize) -> Option<f64> {
        let stretch = self.points[convention].map(Stretch::length);
        stretch.or(self.spans[convention].map(Span::length))
    }

    /// Its lengths by all conventions that are stated, m.
    pub fn lengths(&self) -> impl Iterator<Item = f64> + '_ {
        (0..self.spans.len()).filter_map(|convention| self.length(convention))
    }

    /// The longest of them, m.
    pub fn longest(&self) -> f64 {
        self.lengths().fold(0.0, f64::max)
    }

    /// The shortest of them, m; infinite if there is none.
    pub fn shortest(&self) -> f64 {
        self.lengths().fold(f64::INFINITY, f64::min)
    }
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
    /// Computed through the model along a stretch that lies along no axis, from one environment to another.
    Across(Stretch),
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
