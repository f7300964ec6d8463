//! Cuts for the heat flow from one loop of the boundary to another.
//!
//! A heat flux without sources is the curl of a stream function ψ, and what flows out between two points of
//! the boundary is the difference of ψ. On a loop round a hole that would make the whole flow nothing, so where
//! an enclosed space takes or gives heat, ψ has to jump by that flow c on a cut from its loop to another. For
//! each loop with a film, but the first one of its piece of solid, a strip of cells leads to a loop before it:
//!
//! ```text
//!      ─────•────•────•─────  +c on the corners to the right of the way, in the cells of the strip only
//!  loop │ ╲   ╱ ╲   ╱ ╲   ╱ │ an earlier loop
//!      ─────•────•────•─────
//! ```
//!
//! With c on the right-hand corners (and half of it on the middles between right and left), ψ jumps by c on the
//! right-hand side of the strip, where both ends and the middle of every edge carry it, and nowhere else: its
//! curl has no sources. The strip begins and ends at films, through which the flow c passes. The strip is a
//! shortest way through cells, so that few cells know c.

use super::nodes::Nodes;

/// The corners to the right of a strip: cells, and which of their corners.
pub(super) type Strip = Vec<(usize, [bool; 3])>;

/// A strip for each loop with a film, but one of each piece.
pub(super) fn strips(nodes: &Nodes) -> Vec<Strip> {
    let (loop_of, count) = nodes.loops();
    let mut film_edges: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (number, edge) in nodes.edges.iter().enumerate() {
        if edge.film.is_some() {
            film_edges[loop_of[number]].push(number);
        }
    }
    // By cell and side, whether the edge is a film of a loop that has its way already.
    let mut reached = vec![[false; 3]; nodes.cells.len()];
    let mut begun = vec![false; nodes.pieces];
    let mut strips = Vec::new();
    for edges in film_edges.iter().filter(|edges| !edges.is_empty()) {
        let piece = nodes.piece[nodes.edges[edges[0]].cell];
        if begun[piece] {
            strips.extend(way(nodes, edges, &reached));
        }
        begun[piece] = true;
        for edge in edges {
            let edge = &nodes.edges[*edge];
            reached[edge.cell][edge.opposite] = true;
        }
    }
    strips
}

/// How a way came into a cell.
#[derive(Clone, Copy)]
struct Entry {
    /// The cell before.
    from: Option<usize>,
    /// The corner opposite the edge that it crossed.
    side: usize,
}

/// The right-hand corners of a shortest way from one of some edges to an edge that is `reached`.
fn way(nodes: &Nodes, from: &[usize], reached: &[[bool; 3]]) -> Option<Strip> {
    let mut entry: Vec<Option<Entry>> = vec![None; nodes.cells.len()];
    let mut queue = Vec::new();
    for edge in from {
        let edge = &nodes.edges[*edge];
        if entry[edge.cell].is_none() {
            entry[edge.cell] = Some(Entry { from: None, side: edge.opposite });
            queue.push(edge.cell);
        }
    }
    let mut next = 0;
    while let Some(cell) = queue.get(next).copied() {
        next += 1;
        if let Some(side) = reached[cell].iter().position(|reached| *reached) {
            return Some(right_of(nodes, &entry, cell, side));
        }
        for other in nodes.cells[cell].beside.into_iter().flatten() {
            if entry[other].is_none() {
                entry[other] = Some(Entry { from: Some(cell), side: nodes.side_towards(other, cell)? });
                queue.push(other);
            }
        }
    }
    None
}

/// Goes back a way that leaves `cell` over `side`.
fn right_of(nodes: &Nodes, entry: &[Option<Entry>], cell: usize, side: usize) -> Strip {
    let mut strip = Vec::new();
    let (mut at, mut out) = (Some(cell), side);
    while let Some((cell, into)) = at.and_then(|cell| Some((cell, entry[cell]?))) {
        // Entering over the edge a → b of an anticlockwise cell, a is to the left and b to the right. The third
        // corner is to the right as well if the way turns left round a, leaving over the edge opposite b.
        let (b, third) = ((into.side + 2) % 3, into.side);
        let mut right = [false; 3];
        right[b] = true;
        right[third] = out == b;
        strip.push((cell, right));
        at = into.from;
        if let Some(side) = at.and_then(|before| nodes.side_towards(before, cell)) {
            out = side;
        }
    }
    strip
}
