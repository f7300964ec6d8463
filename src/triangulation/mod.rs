//! Any polygons: two fields on triangles that enclose the heat loss.
//!
//! A continuous quadratic temperature gives the upper bound (Dirichlet), a heat flux that is the curl of a
//! continuous quadratic stream function the lower one (Thomson): the flux has no sources by construction, so
//! nothing need be balanced, and any values of the unknowns bound. Where the two disagree the triangles are to
//! be smaller.
//!
//! ```text
//! mesh ─▶ nodes ─▶ temperature, stream ◀─ strips         what the unknowns are, and their equations
//!                     │      elements                    quadratics on one triangle
//!                  values ─▶ sparse ─▶ ldlt ◀─ dissection   factorised once, solved for each load
//!                     │
//!                  system ─▶ energy, sampling            bounds, mismatch, flows, temperatures
//! ```

mod dissection;
mod elements;
mod energy;
mod groups;
mod ldlt;
mod mesh;
mod nodes;
mod sampling;
mod properties;
mod sparse;
mod stream;
mod strips;
mod system;
mod temperature;
mod values;

pub use energy::Energies;
pub use mesh::{Filling, Mesh, NONE};
pub use sampling::{Coldest, FilmEdge};
pub use properties::{Conductivity, Field, Film, Unsolvable};
pub use system::{Pair, System};
