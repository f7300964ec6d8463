//! A plan turned so that what slopes lies along an axis: what is asked along an axis can then be asked along a slope.

use super::{Drawn, Edges, Plan};
use crate::geometry::{SAME_EDGE, Turn};

/// Corners of slopes are rounded by so much at most, m: they are written to the millimetre.
pub const ROUNDED: f64 = 1e-3;

impl Plan {
    /// The plan turned, with the same numbers of edges; none of a raster, in which nothing slopes.
    pub fn turned(&self, turn: Turn) -> Option<Self> {
        let Drawn::Edges(edges) = &self.drawn else { return None };
        let border = self.border.iter().map(|corner| turn.onto(*corner)).collect();
        Some(Self {
            drawn: Drawn::Edges(Edges::turned(edges, turn, ROUNDED)),
            touched: self.touched.clone(),
            level: self.level.clone(),
            border,
            turn,
        })
    }

    /// How far places that are meant to be one may lie apart, m.
    pub fn rounding(&self) -> f64 {
        if self.turn == Turn::NONE { SAME_EDGE } else { ROUNDED }
    }
}
