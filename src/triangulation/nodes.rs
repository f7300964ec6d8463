//! The nodes of quadratic functions on the solid triangles of a mesh: corners and edge middles.
//!
//! A cell is a solid triangle. Its six nodes are its corners 0, 1, 2 and the middles 3, 4, 5 of the edges
//! opposite these. Cells share nodes across the edges that they share, and nowhere else: where solids touch in
//! a vertex only, the cells round it fall into fans, and each fan has a node of its own there. A point takes
//! no part in either energy (its capacity in the plane is nothing), so neither bound is lost; one node for all
//! fans would be a hinge through which a temperature could pass and a heat flow could not.
//!
//! With a node for each fan every node of the boundary has exactly one boundary edge that leads to it and one
//! that leaves it, the solid on the left, so the boundary falls into simple loops, also where a hole touches
//! the outside or another hole.
//!
//! Pieces of solid that touch no film have no definite temperature and pass no heat: they have no cells.

use super::properties::{Film, Unsolvable};
use super::{Filling, Mesh, NONE};
use crate::polygons::groups::Groups;

/// A solid triangle.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    /// Its number in the mesh.
    pub(super) triangle: usize,
    /// The solid that it is a part of.
    pub(super) solid: usize,
    /// Corners, then the middles of the edges opposite these.
    pub(super) nodes: [usize; 6],
    /// The cell beyond the edge opposite each corner.
    pub(super) beside: [Option<usize>; 3],
    /// m.
    pub(super) points: [[f64; 2]; 3],
}

/// An edge of one cell only, with the solid on its left.
#[derive(Clone, Debug)]
pub(super) struct Edge {
    /// The cell.
    pub(super) cell: usize,
    /// The corner of the cell that it is opposite to.
    pub(super) opposite: usize,
    /// The segment of the drawing that it is a piece of; of no meaning where there is no film.
    pub(super) segment: usize,
    /// m.
    pub(super) length: f64,
    /// None where no heat passes.
    pub(super) film: Option<Film>,
}

impl Edge {
    /// Which of its cell's nodes are its first, last and middle one.
    pub(super) fn places(&self) -> [usize; 3] {
        [(self.opposite + 1) % 3, (self.opposite + 2) % 3, 3 + self.opposite]
    }
}

/// The cells of a mesh and how they hang together.
#[derive(Clone, Debug)]
pub(super) struct Nodes {
    /// In the order of the mesh's triangles.
    pub(super) cells: Vec<Cell>,
    /// The cell of each triangle of the mesh.
    pub(super) cell_of: Vec<Option<usize>>,
    /// How many nodes there are.
    pub(super) count: usize,
    /// The boundary, in the order of cells.
    pub(super) edges: Vec<Edge>,
    /// Where the edges of each cell begin among these, and where the last ones end.
    edge_start: Vec<usize>,
    /// The piece of connected solid of each cell.
    pub(super) piece: Vec<usize>,
    /// Above all numbers of pieces.
    pub(super) pieces: usize,
}

impl Nodes {
    /// Of a mesh with a film for each segment.
    ///
    /// # Errors
    /// [`Unsolvable`] if the mesh is not one, or a segment has no entry in `films`.
    pub(super) fn of(mesh: &Mesh, films: &[Option<Film>]) -> Result<Self, Unsolvable> {
        let beside = neighbours(mesh)?;
        let film_of = |triangle: usize, side: usize| match mesh.segment[triangle][side] {
            NONE => Ok(None),
            segment => {
                films.get(segment as usize).copied().ok_or(Unsolvable::Film { segment: segment as usize })
            }
        };
        let mut pieces = Groups::new(mesh.corners.len());
        let mut has_film = vec![false; mesh.corners.len()];
        for (triangle, sides) in beside.iter().enumerate() {
            for (side, other) in sides.iter().enumerate() {
                match other {
                    Beside::Solid(other) => pieces.join(triangle, *other),
                    Beside::Boundary => has_film[triangle] |= film_of(triangle, side)?.is_some(),
                    Beside::Open => {}
                }
            }
        }
        let first_of: Vec<usize> = (0..beside.len()).map(|triangle| pieces.first(triangle)).collect();
        for triangle in (0..beside.len()).rev() {
            let here = has_film[triangle];
            has_film[first_of[triangle]] |= here;
        }
        let (piece_of, pieces) = pieces.numbered();
        let mut cell_of = vec![None; beside.len()];
        let mut count = 0;
        for triangle in 0..beside.len() {
            if matches!(mesh.filling[triangle], Filling::Solid(_)) && has_film[first_of[triangle]] {
                cell_of[triangle] = Some(count);
                count += 1;
            }
        }
        let mut nodes = Self {
            cells: Vec::new(),
            cell_of,
            count: 0,
            edges: Vec::new(),
            edge_start: vec![0],
            piece: Vec::new(),
            pieces,
        };
        for triangle in 0..beside.len() {
            let (Filling::Solid(solid), Some(cell)) = (mesh.filling[triangle], nodes.cell_of[triangle])
            else {
                continue;
            };
            let points = mesh.corners[triangle].map(|corner| mesh.points[corner as usize]);
            let mut sides = [None; 3];
            for (opposite, other) in beside[triangle].iter().enumerate() {
                match other {
                    Beside::Solid(other) => sides[opposite] = nodes.cell_of[*other],
                    _ => nodes.edges.push(Edge {
                        cell,
                        opposite,
                        segment: mesh.segment[triangle][opposite] as usize,
                        length: distance(points[(opposite + 1) % 3], points[(opposite + 2) % 3]),
                        film: film_of(triangle, opposite)?,
                    }),
                }
            }
            let solid = solid as usize;
            nodes.cells.push(Cell { triangle, solid, nodes: [0; 6], beside: sides, points });
            nodes.piece.push(piece_of[triangle] as usize);
            nodes.edge_start.push(nodes.edges.len());
        }
        nodes.number(mesh);
        Ok(nodes)
    }

    /// Numbers corners by fans and edge middles by edges, in the order of cells.
    fn number(&mut self, mesh: &Mesh) {
        // Places 6·cell + node, joined across edges.
        let mut same = Groups::new(6 * self.cells.len());
        for (cell, here) in self.cells.iter().enumerate() {
            for (opposite, other) in here.beside.iter().enumerate() {
                let Some(other) = other.filter(|other| *other > cell) else { continue };
                let [first, last] = [(opposite + 1) % 3, (opposite + 2) % 3];
                let there = &mesh.corners[self.cells[other].triangle];
                let corners = &mesh.corners[here.triangle];
                let place = |corner: usize| there.iter().position(|point| *point == corners[corner]);
                if let (Some(there_first), Some(there_last)) = (place(first), place(last)) {
                    same.join(6 * cell + first, 6 * other + there_first);
                    same.join(6 * cell + last, 6 * other + there_last);
                    let middle = 3 + (3 - there_first - there_last);
                    same.join(6 * cell + 3 + opposite, 6 * other + middle);
                }
            }
        }
        let (number, count) = same.numbered();
        self.count = count;
        for (cell, places) in self.cells.iter_mut().zip(number.chunks_exact(6)) {
            for (node, place) in cell.nodes.iter_mut().zip(places) {
                *node = *place as usize;
            }
        }
    }

    /// The edges of the boundary that a cell has.
    pub(super) fn edges_of(&self, cell: usize) -> &[Edge] {
        &self.edges[self.numbers_of(cell)]
    }

    /// Their numbers.
    pub(super) fn numbers_of(&self, cell: usize) -> std::ops::Range<usize> {
        self.edge_start[cell]..self.edge_start[cell + 1]
    }

    /// The corner of a cell opposite the edge to another.
    pub(super) fn side_towards(&self, cell: usize, other: usize) -> Option<usize> {
        self.cells[cell].beside.iter().position(|beside| *beside == Some(other))
    }

    /// First, last and middle node of an edge of the boundary.
    pub(super) fn on(&self, edge: &Edge) -> [usize; 3] {
        edge.places().map(|place| self.cells[edge.cell].nodes[place])
    }

    /// The loop of each edge of the boundary, numbered in the order of their first edges, and how many there
    /// are.
    pub(super) fn loops(&self) -> (Vec<usize>, usize) {
        let mut leaving = vec![usize::MAX; self.count];
        for (number, edge) in self.edges.iter().enumerate() {
            leaving[self.on(edge)[0]] = number;
        }
        let mut loop_of = vec![usize::MAX; self.edges.len()];
        let mut count = 0;
        for first in 0..self.edges.len() {
            let mut at = first;
            while at != usize::MAX && loop_of[at] == usize::MAX {
                loop_of[at] = count;
                at = leaving[self.on(&self.edges[at])[1]];
            }
            count += usize::from(loop_of[first] == count);
        }
        (loop_of, count)
    }
}

/// What lies beyond an edge of a triangle.
#[derive(Clone, Copy)]
enum Beside {
    /// Another solid triangle.
    Solid(usize),
    /// No solid, seen from a solid.
    Boundary,
    /// Anything, seen from what is not solid.
    Open,
}

/// What lies beyond the edges of each triangle.
fn neighbours(mesh: &Mesh) -> Result<Vec<[Beside; 3]>, Unsolvable> {
    let count = mesh.corners.len();
    let is_solid = |triangle: usize| matches!(mesh.filling[triangle], Filling::Solid(_));
    if [mesh.beyond.len(), mesh.segment.len(), mesh.filling.len()].iter().any(|length| *length != count) {
        return Err(Unsolvable::Triangle { triangle: count });
    }
    let mut beside = vec![[Beside::Open; 3]; count];
    for triangle in 0..count {
        let wrong = Unsolvable::Triangle { triangle };
        let corners = mesh.corners[triangle];
        if corners.iter().any(|corner| *corner as usize >= mesh.points.len()) {
            return Err(wrong);
        }
        if !is_solid(triangle) {
            continue;
        }
        for side in 0..3 {
            beside[triangle][side] = match mesh.beyond[triangle][side] {
                NONE => Beside::Boundary,
                other if other as usize >= count => return Err(wrong),
                other if !is_solid(other as usize) => Beside::Boundary,
                other => {
                    let other = other as usize;
                    let (first, last) = (corners[(side + 1) % 3], corners[(side + 2) % 3]);
                    let agrees = (0..3).any(|back| {
                        let there = mesh.corners[other];
                        mesh.beyond[other][back] as usize == triangle
                            && there[(back + 1) % 3] == last
                            && there[(back + 2) % 3] == first
                    });
                    if !agrees {
                        return Err(wrong);
                    }
                    Beside::Solid(other)
                }
            };
        }
    }
    Ok(beside)
}

/// Between two points.
fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    let [x, y] = [b[0] - a[0], b[1] - a[1]];
    (x * x + y * y).sqrt()
}
