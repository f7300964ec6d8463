//! What cannot be triangulated.

use std::fmt;

use super::drawing::Outline;

/// Why a drawing has no triangulation. Vertices and edges are numbered from 0 as the polygon lists them; edge i
/// runs from vertex i to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TriangulationError {
    /// A coordinate is not a number, or farther than [`super::FARTHEST`] from the origin.
    OutOfRange {
        /// The polygon.
        outline: Outline,
        /// Its vertex.
        vertex: usize,
    },
    /// Fewer than three distinct vertices.
    TooFewVertices {
        /// The polygon.
        outline: Outline,
        /// How many of its vertices are distinct.
        distinct: usize,
    },
    /// Vertices all on a line, or a polygon thinner than two points that count as one.
    NoArea {
        /// The polygon.
        outline: Outline,
    },
    /// Two edges of a polygon cross.
    CrossesItself {
        /// The polygon.
        outline: Outline,
        /// The two edges.
        edges: [usize; 2],
    },
    /// A polygon covers a part of the plane twice, or turns both ways round: it crosses itself in a vertex.
    OverlapsItself {
        /// The polygon.
        outline: Outline,
        /// An edge beside that part.
        edge: usize,
    },
    /// The edges of the drawing meet in more points than can be handled.
    TooManyPoints {
        /// How many can.
        most: usize,
    },
    /// Vertices so close to edges that joining them does not come to an end.
    Unsettled,
}

impl fmt::Display for Outline {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Self::Stroke(number) => write!(f, "the outline of stroke {number}"),
            Self::Hole { stroke, hole } => write!(f, "hole {hole} of stroke {stroke}"),
            Self::Extent => write!(f, "the extent"),
            Self::Cut(number) => write!(f, "cut {number}"),
        }
    }
}

impl fmt::Display for TriangulationError {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Self::OutOfRange { outline, vertex } => {
                write!(
                    f,
                    "vertex {vertex} of {outline} is not a point within {} m of the origin",
                    super::FARTHEST
                )
            }
            Self::TooFewVertices { outline, distinct } => {
                write!(f, "{outline} has {distinct} distinct vertices; a polygon needs at least 3")
            }
            Self::NoArea { outline } => write!(f, "{outline} encloses no area"),
            Self::CrossesItself { outline, edges: [one, other] } => {
                write!(f, "edges {one} and {other} of {outline} cross; a polygon must not cross itself")
            }
            Self::OverlapsItself { outline, edge } => {
                write!(f, "{outline} overlaps itself beside its edge {edge}")
            }
            Self::TooManyPoints { most } => {
                write!(
                    f,
                    "the edges of the drawing meet in too many points: {most} vertices and crossings can be handled"
                )
            }
            Self::Unsettled => {
                write!(
                    f,
                    "vertices and edges lie within 1e-8 m of each other so densely that they cannot be told apart"
                )
            }
        }
    }
}

impl std::error::Error for TriangulationError {}
