//! A drawing of polygons as a triangulation of its solids that refines itself.
//!
//! ```text
//! Drawing ─▶ overlay ─▶ painting ─▶ Arrangement ─▶ Mesh ─▶ (fields) ─▶ mark ─▶ refine ─┐
//! strokes    all edges  a filling   edges between    ▲                                 │
//!            cut where  for each    different        └─────────────────────────────────┘
//!            they meet  face        fillings
//! ```
//!
//! Whatever is decided by a sign takes it from exact predicates (J. R. Shewchuk, Discrete & Computational Geometry
//! 18 (1997) 305–363), and fillings are told from how polygons run along edges, never from coordinates a second
//! time. So drawings of foils a twentieth of a millimetre thin, wedges of a degree and vertices nearly on edges
//! are no special cases. The same drawing gives the same mesh, bit for bit: only + − × ÷ and roots are used, and
//! no order depends on chance.

mod arrangement;
mod delaunay;
mod drawing;
mod error;
mod filling;
mod flips;
mod marking;
mod mesh;
mod metric;
mod near;
mod overlay;
mod painting;
mod places;
mod plane;

pub use arrangement::{Arrangement, Segment};
pub use drawing::{Drawing, Outline, Stroke};
pub use error::TriangulationError;
pub use filling::Filling;
pub use marking::mark;
pub use mesh::Mesh;
pub use metric::Metric;

/// No triangle, or no segment.
pub const NONE: u32 = u32::MAX;
/// Coordinates beyond this are refused, m: rounding would no longer be far below what counts as one point.
pub const FARTHEST: f64 = 10_000.0;
/// Vertices and crossings beyond this number are refused.
pub const MOST_POINTS: usize = 400_000;
