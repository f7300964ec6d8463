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
//!
//! On the mesh, a continuous quadratic temperature gives the upper bound (Dirichlet), a heat flux that is the curl
//! of a continuous quadratic stream function the lower one (Thomson): the flux has no sources by construction, so
//! nothing need be balanced, and any values of the unknowns bound. Where the two disagree the triangles are to be
//! smaller.
//!
//! ```text
//! mesh ─▶ nodes ─▶ temperature, stream ◀─ strips         what the unknowns are, and their equations
//!                     │      elements                    quadratics on one triangle
//!                  values ─▶ sparse ─▶ ldlt, front ◀─ dissection   factorised once, solved for each load
//!                     │
//!                  system ─▶ energy, sampling            bounds, mismatch, flows, temperatures
//!                     │
//!         source ─▶ response ─▶ goal                      how exact the temperature at a place is
//! ```
//!
//! `refine` makes a mesh for the bracket alone, `towards` one for the bracket and for places, with several sets of
//! surface resistances.

mod arrangement;
mod delaunay;
mod dissection;
mod drawing;
mod elements;
mod energy;
mod error;
mod filling;
mod flips;
mod front;
mod goal;
mod groups;
mod ldlt;
mod marking;
mod mesh;
mod metric;
mod near;
mod nodes;
mod overlay;
mod painting;
mod places;
mod plane;
mod properties;
mod refine;
mod response;
mod sampling;
mod source;
mod sparse;
mod stream;
mod strips;
mod system;
mod temperature;
mod towards;
mod values;

pub use arrangement::{Arrangement, Segment};
pub use drawing::{Drawing, Outline, Stroke};
pub use energy::Energies;
pub use error::TriangulationError;
pub use filling::Filling;
pub use goal::{Goal, Known, Place};
pub use marking::mark;
pub use mesh::Mesh;
pub use metric::Metric;
pub use properties::{Conductivity, Field, Film, Unsolvable};
pub use refine::{NotRefined, Pass, Physics, Refined, Wanted, assess, refine};
pub use sampling::{Coldest, FilmEdge};
pub use system::{Pair, System};
pub use towards::{Answer, Answered, Question, Width, refine_towards};

/// No triangle, or no segment.
pub const NONE: u32 = u32::MAX;
/// Coordinates beyond this are refused, m: rounding would no longer be far below what counts as one point.
pub const FARTHEST: f64 = 10_000.0;
/// Vertices and crossings beyond this number are refused.
pub const MOST_POINTS: usize = 400_000;
