//! Exceptions to the standard surface resistances, and the pass for condensation.

use super::{Area, EnvironmentId, MaterialId};
use crate::standard::HeatFlow;
use crate::text::Place;

/// An exception to the standard surface resistances.
#[derive(Clone, Debug)]
pub struct SurfaceRule {
    /// Only surfaces towards this environment.
    pub environment: Option<EnvironmentId>,
    /// Only surfaces of these materials: the one named, and what build-ups paint in its place.
    pub materials: Option<Vec<MaterialId>>,
    /// Only within this area; an open side of a rectangle is infinite.
    pub within: Area,
    /// What holds there.
    pub ruled: Ruled,
    /// Where it is written, if it is.
    pub place: Option<Place>,
}

/// What a case states of a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ruled {
    /// Its resistance, m²K/W; 0 fixes the surface temperature.
    Resistance(f64),
    /// The direction of heat flow through it where it is level, from which the standard's resistance follows.
    HeatFlow(HeatFlow),
}

/// The condensation pass.
#[derive(Clone, Debug)]
pub struct Condensation {
    /// Internal surface resistance of opaque surfaces, m²K/W.
    pub resistance: f64,
    /// Materials judged apart, with the resistance of frames and glazing.
    pub exclude: Vec<MaterialId>,
    /// The temperature factor to be reached, where a national rule names one.
    pub critical: Option<f64>,
}
