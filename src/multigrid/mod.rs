//! Black-box multigrid as preconditioner of conjugate gradients: the everyday solver.
//!
//! The method is that of J. E. Dendy, *Black box multigrid*, J. Comput. Phys. 48 (1982) 366–386,
//! doi:10.1016/0021-9991(82)90057-2, for symmetric operators on a logically rectangular grid:
//!
//! - **Relaxation** ([`relaxation`]): alternating zebra lines. All even rows are solved exactly with the odd ones held, then the
//!   odd ones, then columns. Graded grids couple neighbours strongly now along x, now along y; lines in both directions
//!   damp the error in either case. After the coarse correction the order is reversed, so that the cycle is symmetric.
//! - **Coarsening and interpolation** ([`interpolation`]): every second line in both directions, or in one once the other is
//!   short. Weights come from the operator: a weight follows the heat, not the distance, and large jumps of conductivity are
//!   no obstacle.
//! - **Coarse operators** ([`galerkin`]): PᵀAP, nine-point and symmetric again, down to a grid small enough for a dense Cholesky
//!   factorisation.
//! - **Cycle** ([`cycle`]) in single precision (in double where that fails) and **conjugate gradients** ([`conjugate_gradients`]) in double precision around it.
//!
//! # What the zebra order saves
//!
//! The last sweep before the coarse correction solves the odd columns, so the residual there is zero and only the even columns,
//! which are the coarse ones, need be restricted. The first sweep after it solves the odd columns anew from the even ones, so
//! only the even columns need be corrected. And a cycle that starts from zero never reads what it has not yet written.
//!
//! # Storage
//!
//! The even and the odd columns of a row lie in two contiguous halves ([`layout`]), so that sweeps over columns of one parity and
//! transfers to the coarse grid run through memory without gaps and in the processor's vector units.

pub mod conjugate_gradients;
pub mod cycle;
pub mod galerkin;
pub mod interpolation;
pub mod layout;
pub mod level;
pub mod operator;
pub mod relaxation;
mod sharing;
mod sheet;

pub use conjugate_gradients::{Info, Parameters, SolveError, solve};
pub use cycle::Hierarchy;
pub use layout::Layout;
pub use operator::Operator;
