//! A plan turned so that what slopes lies along an axis: what is asked along an axis can then be asked along a slope.

use super::edges::JUST_OFF;
use super::{Drawn, Edges, Filling, Plan};
use crate::geometry::{SAME_EDGE, Turn};

/// Corners of slopes are rounded by so much at most, m: they are written to the millimetre.
pub const ROUNDED: f64 = 1e-3;

/// What runs the same way but for the rounding of its points: the sine of the angle between.
pub const SAME_WAY: f64 = 0.01;

impl Plan {
    /// The turn that lays a way, of length 1, along an axis: that of the longest edge of a solid which runs so, or square
    /// to it, where there is one, since points are rounded.
    pub fn turn_along(&self, way: [f64; 2]) -> Turn {
        let own = Turn::laying(way);
        let edges = self.edges().into_iter().filter(|edge| {
            let sides = [edge.left, edge.right];
            sides.iter().any(|side| side.is_solid()) && !sides.contains(&Filling::Nothing)
        });
        let turns = edges.map(|edge| (edge.length(), Turn::laying(edge.stretch().way())));
        let like = turns.filter(|(_, turn)| turn.off(own) <= SAME_WAY);
        like.reduce(|longest, next| if next.0 > longest.0 { next } else { longest })
            .map_or(own, |(_, turn)| turn)
    }

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

    /// How far what is alike in two lanes may lie apart, m: a drawing with slopes may be turned by next to nothing.
    pub fn likeness(&self) -> f64 {
        if self.raster().is_some() { SAME_EDGE } else { self.rounding().max(JUST_OFF) }
    }

    /// How far places that are meant to be one may lie apart, m.
    pub fn rounding(&self) -> f64 {
        if self.turn == Turn::NONE { SAME_EDGE } else { ROUNDED }
    }
}
