//! Triangles that cover the drawing, with what each holds and what lies beyond its edges.

/// No triangle, no segment.
pub const NONE: u32 = u32::MAX;

/// What a triangle holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filling {
    /// Neither a solid nor a space.
    Nothing,
    /// The number of a solid.
    Solid(u32),
    /// The number of a space.
    Space(u32),
}

/// A conforming triangulation.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    /// Where the vertices are, m.
    pub points: Vec<[f64; 2]>,
    /// The vertices of each triangle, anticlockwise.
    pub corners: Vec<[u32; 3]>,
    /// The triangle beyond the edge opposite each corner, or [`NONE`].
    pub beyond: Vec<[u32; 3]>,
    /// The number of the drawing's segment of which the edge opposite each corner is a piece, or [`NONE`].
    pub segment: Vec<[u32; 3]>,
    /// What each triangle holds.
    pub filling: Vec<Filling>,
}
