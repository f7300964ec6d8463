//! Heat sources whose responses tell how exact temperatures are, and a flux that carries their heat away.
//!
//! A source is spread evenly over triangles or over edges of surfaces: the mean temperature of these is what it
//! weighs. The flux of its response has to have the source as its divergence, which no curl of a stream function
//! has. But one such flux p is enough, since all others differ from it by fluxes without sources, which are such
//! curls. From a triangle t with corners P, the flux
//!
//! ```text
//! p = (x − Pₖ)/(2|t|)        ∇·p = 1/|t|,  all of it leaves across the edge opposite corner k
//! p = (Pⱼ − Pₖ)/(2|t|)       ∇·p = 0,      comes in across the edge opposite j and leaves across that opposite k
//! ```
//!
//! (the lowest-order element of Raviart and Thomas, Lect. Notes Math. 606 (1977) 292–315): the first in the
//! triangle of the source, the second in all triangles of a shortest way from there to a film, through which the
//! heat leaves. Which way is of no account, since the stream function finds the best of all fluxes.
//!
//! A source on an edge of a film with the resistance R needs no way: a heat of g W/m² put into the surface is
//! what an environment warmer by R·g does.

use super::nodes::Nodes;

/// A heat source, W/m in all.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Source {
    /// Cells and the heat spread evenly over each, W/m.
    pub(super) cells: Vec<(usize, f64)>,
    /// Numbers of edges of the boundary, all with films, and the heat spread evenly along each, W/m.
    pub(super) edges: Vec<(usize, f64)>,
}

/// A flux that has the source of cells as its divergence.
#[derive(Clone, Debug)]
pub(super) struct Carried {
    /// By cell, at its three edge middles, W/m².
    pub(super) flux: Vec<[[f64; 2]; 3]>,
    /// Out of each edge of the boundary, W/m².
    pub(super) out: Vec<f64>,
}

impl Carried {
    /// Of the sources in cells.
    pub(super) fn of(nodes: &Nodes, source: &Source, area: impl Fn(usize) -> f64) -> Self {
        let mut carried =
            Self { flux: vec![[[0.0; 2]; 3]; nodes.cells.len()], out: vec![0.0; nodes.edges.len()] };
        if source.cells.is_empty() {
            return carried;
        }
        let exit = exits(nodes);
        for (first, heat) in &source.cells {
            let (mut cell, mut entry) = (*first, None);
            while let Some(leaves) = exit[cell] {
                carried.pass(nodes, cell, entry, leaves, heat / (2.0 * area(cell)));
                let Some(next) = nodes.cells[cell].beside[leaves] else {
                    for number in nodes.numbers_of(cell) {
                        if nodes.edges[number].opposite == leaves {
                            carried.out[number] += heat / nodes.edges[number].length;
                        }
                    }
                    break;
                };
                entry = nodes.side_towards(next, cell);
                cell = next;
            }
        }
        carried
    }

    /// Lets heat in across one side of a cell, or from its source, and out across another.
    fn pass(&mut self, nodes: &Nodes, cell: usize, entry: Option<usize>, leaves: usize, part: f64) {
        let points = &nodes.cells[cell].points;
        for (side, flux) in self.flux[cell].iter_mut().enumerate() {
            let [a, b] = [points[(side + 1) % 3], points[(side + 2) % 3]];
            for axis in 0..2 {
                let from = entry.map_or(f64::midpoint(a[axis], b[axis]), |entry| points[entry][axis]);
                flux[axis] += part * (from - points[leaves][axis]);
            }
        }
    }
}

/// For each cell the side across which a shortest way leads to a film.
fn exits(nodes: &Nodes) -> Vec<Option<usize>> {
    let mut exit = vec![None; nodes.cells.len()];
    let mut queue = Vec::new();
    for edge in nodes.edges.iter().filter(|edge| edge.film.is_some()) {
        if exit[edge.cell].is_none() {
            exit[edge.cell] = Some(edge.opposite);
            queue.push(edge.cell);
        }
    }
    let mut next = 0;
    while let Some(cell) = queue.get(next).copied() {
        next += 1;
        for other in nodes.cells[cell].beside.into_iter().flatten() {
            if exit[other].is_none() {
                exit[other] = nodes.side_towards(other, cell);
                queue.push(other);
            }
        }
    }
    exit
}
