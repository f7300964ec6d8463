//! Steady heat conduction on the grid: vertex-centred finite volumes.
//!
//! Around each vertex lies a control volume, made of the quarters of the (up to four) cells that meet there.
//! The heat that leaves it towards its four neighbours and through exposed surfaces must sum to zero:
//!
//! ```text
//!            N              Σ over neighbours  G·(T_vertex − T_neighbour)
//!            │            + Σ over surfaces    H·(T_vertex − T_environment)  =  0
//!      ┌─────┼─────┐
//!      │  nw │ ne  │        G of the edge to E = (λ_ne·h_n/2 + λ_se·h_s/2) / length of the edge
//!  W ──┼─────●─────┼── E    H of an exposed half face = (half its length) / Rs
//!      │  sw │ se  │
//!      └─────┼─────┘        h_n, h_s: heights of the cell rows above and below; λ is λx for edges along x and λy along y.
//!            S
//! ```
//!
//! Materials change at grid lines only, so the λ of each quarter is one material's and axis-parallel geometry
//! is represented exactly. The matrix is symmetric, and positive definite as long as every solid touches an
//! environment. A surface resistance of 0 fixes the temperature of the vertices on it; they leave the system
//! of equations.
//!
//! [`Conduction`] solves with [multigrid](crate::multigrid). [`system`] is the same equations as a general
//! sparse matrix, for whoever solves them with another program.

pub mod field;
pub mod network;
pub mod system;

pub use field::{Conduction, Field};
pub use network::Network;
