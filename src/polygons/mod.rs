//! Polygons painted one over the other, as edges between different fillings.
//!
//! ```text
//! Drawing ─▶ overlay ─▶ painting ─▶ Arrangement
//! strokes    all edges  a filling   edges between
//!            cut where  for each    different
//!            they meet  face        fillings
//! ```
//!
//! Whatever is decided by a sign takes it from exact predicates (J. R. Shewchuk, Discrete & Computational Geometry
//! 18 (1997) 305–363), and fillings are told from how polygons run along edges, never from coordinates a second
//! time. So drawings of foils a twentieth of a millimetre thin, wedges of a degree and vertices nearly on edges
//! are no special cases. The same drawing gives the same edges, bit for bit: only + − × ÷ and roots are used, and
//! no order depends on chance.

mod arrangement;
pub mod delaunay;
pub mod drawing;
pub mod error;
pub mod faces;
pub mod filling;
pub mod groups;
mod near;
mod overlay;
mod painting;
pub mod places;
pub mod plane;

pub use arrangement::{Arrangement, Segment};
pub use drawing::{Drawing, Outline, Stroke};
pub use error::TriangulationError;
pub use filling::Filling;

/// No triangle, or no segment.
pub const NONE: u32 = u32::MAX;
/// Coordinates beyond this are refused, m: rounding would no longer be far below what counts as one point.
pub const FARTHEST: f64 = 10_000.0;
/// Vertices and crossings beyond this number are refused.
pub const MOST_POINTS: usize = 400_000;
