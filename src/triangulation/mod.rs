//! A drawing of polygons as a triangulation of its solids that refines itself.
//!
//! ```text
//! Arrangement ─▶ Mesh ─▶ (fields) ─▶ mark ─▶ refine ─┐
//! edges between    ▲                                 │
//! fillings         └─────────────────────────────────┘
//! ```
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
//!      solids ─▶ potential, system ─▶ energy, sampling  bounds, mismatch, flows, temperatures
//!                     │
//!         source ─▶ response ─▶ goal                      how exact the temperature at a place is
//! ```
//!
//! `towards` makes a mesh for the bracket and for places, with several sets of surface resistances, `refine` one
//! for the bracket alone.

mod assess;
mod dissection;
mod elements;
mod energy;
mod export;
mod flips;
mod front;
mod goal;
mod ldlt;
mod marking;
mod mesh;
mod metric;
mod nodes;
mod potential;
mod properties;
mod refine;
mod response;
mod sampling;
mod solids;
mod source;
mod sparse;
mod stream;
mod strips;
mod system;
mod temperature;
mod towards;
mod values;

pub use crate::polygons::{
    Arrangement, Drawing, FARTHEST, Filling, MOST_POINTS, NONE, Outline, Segment, Stroke, TriangulationError,
};
pub use assess::{NotRefined, Physics, assess};
pub use energy::Energies;
pub use export::Matrix;
pub use goal::{Goal, Known, Place};
pub use marking::mark;
pub use mesh::Mesh;
pub use metric::Metric;
pub use potential::Potential;
pub use properties::{Conductivity, Field, Film, Unsolvable};
pub use refine::{Refined, SHARE, Wanted, refine};
pub use sampling::{Coldest, FilmEdge};
pub use solids::{Solids, Temperatures};
pub use system::{Pair, System};
pub use towards::{Answer, Answered, Question, Width, refine_towards};
