//! Black-box multigrid as preconditioner of conjugate gradients: the everyday solver.
//!
//! The method coarsens along x only and relaxes whole columns, as in J. E. Dendy, M. P. Ida, J. M. Rutledge,
//! *A semicoarsening multigrid algorithm for SIMD machines*, SIAM J. Sci. Stat. Comput. 13 (1992) 1460–1469,
//! and S. Schaffer, SIAM J. Sci. Comput. 20 (1998) 228–242, doi:10.1137/S1064827595281587. Graded grids
//! couple neighbours strongly now along x, now along y. Where y is the strong direction, solving columns
//! exactly leaves little to do; where it is x, that is the direction in which the grid is coarsened. So no
//! relaxation of rows is needed, whose recurrences run along memory and leave the processor's vector units
//! idle.
//!
//! - **Relaxation** (`relaxation`): all even columns are solved exactly with the odd ones held, then the odd
//!   ones; after the coarse correction in reverse order, so that the cycle is symmetric. The factors of the
//!   columns are in `level`.
//! - **Coarsening and interpolation** (`interpolation`): the even columns are the coarse grid. Weights come
//!   from the operator: a weight follows the heat, not the distance, and large jumps of conductivity are no
//!   obstacle.
//! - **Coarse operators** (`galerkin`): PᵀAP, nine-point and symmetric again, down to a grid of a few columns
//!   that is solved exactly (`coarsest`).
//! - **Cycle** (`cycle`) in single precision and **conjugate gradients** (`conjugate_gradients`) in double
//!   precision around it.
//!
//! Arrays are laid out so that sweeps run through memory without gaps (`layout`, `array`); `sharing` hands
//! rows to threads, and `block` columns.

mod array;
mod block;
mod coarsest;
mod conjugate_gradients;
mod cycle;
mod galerkin;
mod interpolation;
mod layout;
mod level;
mod operator;
mod pages;
mod relaxation;
mod sharing;
mod span;

pub use conjugate_gradients::{Info, Parameters, SolveError, solve};
pub use cycle::{Hierarchy, Workspace};
pub use layout::Layout;
pub use level::{NotPositiveDefinite, Real};
pub use operator::{Entries, Operator};
