//! Black-box multigrid as preconditioner of conjugate gradients: the everyday solver.
//!
//! The method is that of J. E. Dendy, *Black box multigrid*, J. Comput. Phys. 48 (1982) 366–386,
//! doi:10.1016/0021-9991(82)90057-2, for symmetric operators on a logically rectangular grid:
//!
//! - **Relaxation** ([`relaxation`]): alternating zebra lines. All even rows are solved exactly with the odd ones held, then the
//!   odd ones, then columns. Graded grids couple neighbours strongly now along x, now along y; lines in both directions
//!   damp the error in either case. After the coarse correction the order is reversed, so that the cycle is symmetric.
//! - **Coarsening** ([`transfer`]): every second line in both directions; in one direction only once the other is short.
//! - **Interpolation** ([`transfer`]): from the operator. At a vertex between two coarse ones the stencil is summed across the
//!   line that joins them, and the two sums, divided by their total, are the weights; so a weight follows the heat, not the
//!   distance, and large jumps of conductivity are no obstacle.
//! - **Coarse operators** ([`transfer`]): Galerkin's PᵀAP, nine-point and symmetric again, down to a grid small enough for a dense
//!   Cholesky factorisation.
//! - **Cycle** ([`cycle`]) and **conjugate gradients** ([`conjugate_gradients`]) around it.
//!
//! # Storage
//!
//! Levels store the magnitudes of the off-diagonal entries in the half stencil to E, N, NE and NW, all arrays with a border of zeros
//! on every side, so that no kernel asks where it is:
//!
//! ```text
//!  nw  n  ne      row j+1        entry (i, j) of an array lies at (j + 1)·stride + (i + 1), stride = columns + 2
//!    \ | /
//!      c ── e     row j          (A·x)(i, j) = c·x(i, j) − e·x(i+1, j) − … − the entries of the neighbours that point here
//! ```
//!
//! Vertices without solid and of fixed temperature are rows of the identity.

pub mod conjugate_gradients;
pub mod cycle;
pub mod level;
pub mod relaxation;
mod sheet;
pub mod transfer;

pub use conjugate_gradients::{Info, Parameters, SolveError, solve};
pub use cycle::Hierarchy;
pub use level::Level;
