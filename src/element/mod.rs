//! Plane building elements by the formulas of the standards: what a junction's numbers lean on.
//!
//! Nothing here solves a field; the two-dimensional counterparts stand in [`crate::result`].

pub mod air_layer;
pub mod build_up;
pub mod condensate;
pub mod correction;
pub mod ground;
pub mod limits;
pub mod resistance;
pub mod thickness;
pub mod vapour;
pub mod window;
