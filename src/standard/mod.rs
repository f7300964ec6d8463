//! What the standards lay down, each value once, with its clause: surface resistances. The formulas stand
//! where they are used.

mod surfaces;

pub use surfaces::{
    CONDENSATION_ON_FRAMES, CONDENSATION_ON_OPAQUE, EXTERNAL_RESISTANCE, HeatFlow, REDUCED_RADIATION,
};
