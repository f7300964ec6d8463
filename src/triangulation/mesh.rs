//! The triangles of the solids, who lies beyond whom and which edges separate fillings.
//!
//! Only solids are triangulated: what lies beyond a film is told by the segment that its edge is a piece of.
//! Numbers of triangles and points stay when the mesh is refined; new ones follow.

use super::metric::Metric;
use crate::polygons::Arrangement;
use crate::polygons::NONE;
use crate::polygons::delaunay::{beyond, edge, ordered, triangulate};
use crate::polygons::drawing::Drawing;
use crate::polygons::error::TriangulationError;
use crate::polygons::filling::Filling;
use crate::polygons::places::renumber;
use crate::polygons::plane::orientation;

/// A triangulation of the solids of an arrangement, constrained Delaunay in the metric of each material: no
/// corner beyond an edge within one filling lies in the circle of the triangle.
///
/// Arrays are by triangle; entry k of three belongs to the edge opposite corner k, which runs from corner k + 1
/// to corner k + 2 (modulo 3) with the triangle on its left.
#[derive(Clone, Debug)]
pub struct Mesh {
    /// m. Each is the corner of a triangle. Solids that touch in one point share it: it then belongs to several
    /// fans of triangles.
    pub points: Vec<[f64; 2]>,
    /// Numbers of points, anticlockwise.
    pub corners: Vec<[u32; 3]>,
    /// The triangle beyond the edge, [`NONE`] if no solid lies there.
    pub beyond: Vec<[u32; 3]>,
    /// The segment of the arrangement that the edge is a piece of, [`NONE`] if it separates nothing. The
    /// triangles on both sides carry it. An edge with no triangle beyond always has one.
    pub segment: Vec<[u32; 3]>,
    /// A [`Filling::Solid`] each.
    pub filling: Vec<Filling>,
}

impl Mesh {
    /// The edges of a drawing, and the coarsest mesh of its solids. `metrics` are by the number of a solid;
    /// solids beyond their end get the plain metric.
    ///
    /// # Errors
    /// [`TriangulationError`]: polygons that are none, or too many points.
    pub fn of(drawing: &Drawing, metrics: &[Metric]) -> Result<(Arrangement, Self), TriangulationError> {
        let arrangement = Arrangement::of(drawing)?;
        let mesh = Self::within(&arrangement, metrics)?;
        Ok((arrangement, mesh))
    }

    /// The coarsest mesh of the solids of an arrangement.
    ///
    /// # Errors
    /// [`TriangulationError::Unsettled`] if its segments cross.
    pub fn within(arrangement: &Arrangement, metrics: &[Metric]) -> Result<Self, TriangulationError> {
        let mut mesh = Self::of_solids(arrangement)?;
        let edges = (0..mesh.corners.len() as u32).flat_map(|t| mesh.edges(t)).collect();
        mesh.legalise(edges, metrics);
        Ok(mesh)
    }

    fn of_solids(arrangement: &Arrangement) -> Result<Self, TriangulationError> {
        let mut borders: Vec<Border> = arrangement
            .segments
            .iter()
            .zip(0..)
            .filter(|(segment, _)| segment.has_solid())
            .map(|(segment, number)| Border {
                ends: segment.ends,
                left: segment.left,
                right: segment.right,
                number,
            })
            .collect();
        let ends = borders.iter_mut().flat_map(|border| border.ends.iter_mut());
        let points = renumber(&arrangement.points, ends);
        borders.sort_unstable_by_key(|border| ordered(border.ends));
        let edges: Vec<[u32; 2]> = borders.iter().map(|border| ordered(border.ends)).collect();
        let corners = triangulate(&points, &edges)?;
        let border = |ends: [u32; 2]| edges.binary_search(&ordered(ends)).ok().map(|found| borders[found]);
        let beyond = beyond(&corners);
        let filling = flood(&corners, &beyond, border)?;
        let segment = corners
            .iter()
            .map(|&corners| [0, 1, 2].map(|k| border(edge(corners, k)).map_or(NONE, |border| border.number)))
            .collect();
        Ok(Self { points, corners, beyond, segment, filling }.solids())
    }

    /// The triangles of solids and their points alone.
    fn solids(mut self) -> Self {
        let mut new = vec![NONE; self.corners.len()];
        let solid: Vec<usize> = (0..self.corners.len()).filter(|&t| self.filling[t].is_solid()).collect();
        for (number, &t) in solid.iter().enumerate() {
            new[t] = number as u32;
        }
        let of_new = |t: u32| if t == NONE { NONE } else { new[t as usize] };
        let mut corners: Vec<[u32; 3]> = solid.iter().map(|&t| self.corners[t]).collect();
        self.points = renumber(&self.points, corners.iter_mut().flatten());
        self.corners = corners;
        self.beyond = solid.iter().map(|&t| self.beyond[t].map(of_new)).collect();
        self.segment = solid.iter().map(|&t| self.segment[t]).collect();
        self.filling = solid.iter().map(|&t| self.filling[t]).collect();
        self
    }

    /// The mesh with every triangle cut in four by its edges' middles. Triangle t becomes 4t to 4t + 3, of which
    /// 4t + k has corner k and 4t + 3 none.
    #[must_use]
    pub fn quarter(&self) -> Self {
        let mut points = self.points.clone();
        let mut middle = vec![[NONE; 3]; self.corners.len()];
        for t in 0..self.corners.len() {
            for k in 0..3 {
                if middle[t][k] == NONE {
                    middle[t][k] = points.len() as u32;
                    points.push(self.middle(edge(self.corners[t], k)));
                    let other = self.beyond[t][k] as usize;
                    if let Some(j) = self.back(other, t) {
                        middle[other][j] = middle[t][k];
                    }
                }
            }
        }
        let (mut corners, mut segment, mut filling) = (Vec::new(), Vec::new(), Vec::new());
        for t in 0..self.corners.len() {
            let m = middle[t];
            for k in 0..3 {
                let (i, j) = ((k + 1) % 3, (k + 2) % 3);
                // The edge from m[j] to m[i] is new; the others lie on those opposite i and j.
                let (mut at, mut on) = ([m[k]; 3], [NONE; 3]);
                (at[k], at[i], at[j]) = (self.corners[t][k], m[j], m[i]);
                (on[i], on[j]) = (self.segment[t][i], self.segment[t][j]);
                corners.push(at);
                segment.push(on);
            }
            corners.push(m);
            segment.push([NONE; 3]);
            filling.extend([self.filling[t]; 4]);
        }
        Self { points, beyond: beyond(&corners), corners, segment, filling }
    }

    /// The triangle that holds a point (m), and the point's barycentric coordinates in it; none outside all
    /// solids.
    pub fn find(&self, point: [f64; 2]) -> Option<(usize, [f64; 3])> {
        /// A point this far outside, in parts of a height, is on the edge.
        const ROUNDING: f64 = 1e-9;
        let coordinates = |t: usize| {
            let [a, b, c] = self.corners[t].map(|corner| self.points[corner as usize]);
            let whole = orientation(a, b, c);
            [orientation(point, b, c), orientation(a, point, c), orientation(a, b, point)]
                .map(|part| part / whole)
        };
        let inside = |at: [f64; 3]| at[0].min(at[1]).min(at[2]);
        let all = (0..self.corners.len()).map(|t| (t, coordinates(t)));
        let best = all.reduce(|one, other| if inside(other.1) > inside(one.1) { other } else { one });
        best.filter(|(_, at)| inside(*at) >= -ROUNDING)
    }

    /// The area of a triangle, m².
    pub fn area(&self, t: usize) -> f64 {
        let [a, b, c] = self.corners[t].map(|corner| self.points[corner as usize]);
        0.5 * orientation(a, b, c)
    }

    /// The middle of a triangle, m.
    pub fn centre(&self, t: usize) -> [f64; 2] {
        let corners = self.corners[t].map(|corner| self.points[corner as usize]);
        [0, 1].map(|axis| corners.iter().map(|corner| corner[axis]).sum::<f64>() / 3.0)
    }

    /// The point half-way between two, m.
    pub(super) fn middle(&self, [a, b]: [u32; 2]) -> [f64; 2] {
        let [a, b] = [a, b].map(|number| self.points[number as usize]);
        [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])]
    }

    /// The corner of triangle `s` opposite its edge with triangle `t`; none if `s` is [`NONE`].
    pub(super) fn back(&self, s: usize, t: usize) -> Option<usize> {
        let beyond = self.beyond.get(s)?;
        (0..3).find(|&j| beyond[j] as usize == t)
    }
}

/// A segment beside a solid, its ends numbered as the points of the mesh.
#[derive(Clone, Copy)]
struct Border {
    ends: [u32; 2],
    left: Filling,
    right: Filling,
    number: u32,
}

/// The solid of every triangle: what borders say of their sides, and the same beyond all other edges. All that is
/// no solid counts as nothing, since edges between spaces are not here.
fn flood(
    corners: &[[u32; 3]],
    beyond: &[[u32; 3]],
    border: impl Fn([u32; 2]) -> Option<Border>,
) -> Result<Vec<Filling>, TriangulationError> {
    let mut filling = vec![None; corners.len()];
    let mut open = Vec::new();
    for t in 0..corners.len() {
        for k in 0..3 {
            let ends = edge(corners[t], k);
            if let Some(border) = border(ends) {
                let side = if border.ends == ends { border.left } else { border.right };
                open.push((t, if side.is_solid() { side } else { Filling::Nothing }));
            }
        }
    }
    while let Some((t, found)) = open.pop() {
        if let Some(known) = filling[t] {
            if known != found {
                return Err(TriangulationError::Unsettled);
            }
            continue;
        }
        filling[t] = Some(found);
        for k in 0..3 {
            let other = beyond[t][k];
            if other != NONE && border(edge(corners[t], k)).is_none() {
                open.push((other as usize, found));
            }
        }
    }
    Ok(filling.into_iter().map(|filling| filling.unwrap_or(Filling::Nothing)).collect())
}
