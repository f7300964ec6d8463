//! Which edges to split.
//!
//! The triangles with the largest mismatches, up to a share of the sum, are to be cut, each at its longest edge.
//! In thin layers this would take vertices across the layer, where the field is as good as linear, and as many
//! along it as it is thin. So where the longest edge lies within a filling and it, or the triangle beyond, is
//! *flat* over an edge between fillings that is not much shorter, those edges are split instead. And when an
//! edge between fillings is split and a triangle beside it is flat over it, the layer's other side is split too:
//! the triangle's other long edge if that lies between fillings, else the long edge between fillings of the
//! triangle beyond it; and so on through stacks of layers. So thin layers get columns, no vertices within. On a
//! roof with foils of 0.2 mm this takes a twelfth of the vertices.

use super::mesh::Mesh;
use super::metric::Metric;
use crate::polygons::NONE;
use crate::polygons::delaunay::{edge, ordered};

/// Height over base below which a triangle is flat.
const FLAT: f64 = 0.3;
/// An edge shorter than this part of another does not go along with it.
const COMPARABLE: f64 = 0.5;
/// Mismatches this close to the last one that is cut, relatively, are cut too, so that rounding does not decide
/// between mirror images.
const ALIKE: f64 = 1e-6;

/// The edges to split, as numbers of points for [`Mesh::refine`], so that the triangles which have `share` of
/// the sum of `mismatch` (W·K/m, one a triangle, not negative) are cut. Empty if nothing mismatches.
pub fn mark(mesh: &Mesh, mismatch: &[f64], share: f64, metrics: &[Metric]) -> Vec<[u32; 2]> {
    let mut marks = Marks::of(mesh, metrics);
    for t in largest(mismatch, share) {
        marks.cut(t);
    }
    marks.spread();
    marks.edges()
}

/// The triangles with the largest values, which together have a share of the sum.
fn largest(mismatch: &[f64], share: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..mismatch.len()).filter(|&t| mismatch[t] > 0.0).collect();
    order.sort_by(|&s, &t| mismatch[t].total_cmp(&mismatch[s]));
    let goal = share * order.iter().map(|&t| mismatch[t]).sum::<f64>();
    let (mut sum, mut last) = (0.0, f64::INFINITY);
    let enough = |&t: &usize| {
        let goes_on = sum < goal || mismatch[t] >= (1.0 - ALIKE) * last;
        if sum < goal {
            last = mismatch[t];
        }
        sum += mismatch[t];
        goes_on
    };
    order.into_iter().take_while(enough).collect()
}

/// Edges by triangle and opposite corner: their lengths and whether they are to be split.
struct Marks<'a> {
    mesh: &'a Mesh,
    length: Vec<[f64; 3]>,
    flat: Vec<[bool; 3]>,
    split: Vec<[bool; 3]>,
    /// Edges between fillings that are to be split, whose layers have not been looked at.
    open: Vec<(usize, usize)>,
}

impl<'a> Marks<'a> {
    fn of(mesh: &'a Mesh, metrics: &[Metric]) -> Self {
        let length: Vec<[f64; 3]> = (0..mesh.corners.len())
            .map(|t| {
                let metric = Metric::of_filling(metrics, mesh.filling[t]);
                [0, 1, 2].map(|k| {
                    let [a, b] = edge(mesh.corners[t], k).map(|number| mesh.points[number as usize]);
                    metric.distance(a, b)
                })
            })
            .collect();
        // The height over a base is twice the area by it; a metric of determinant 1 leaves areas as they are.
        let flat = (0..mesh.corners.len())
            .map(|t| length[t].map(|base| 2.0 * mesh.area(t) < FLAT * base * base))
            .collect();
        let split = vec![[false; 3]; mesh.corners.len()];
        Self { mesh, length, flat, split, open: Vec::new() }
    }

    /// The same edge from the other side.
    fn beyond(&self, t: usize, k: usize) -> Option<(usize, usize)> {
        let s = self.mesh.beyond[t][k] as usize;
        self.mesh.back(s, t).map(|j| (s, j))
    }

    fn is_between(&self, t: usize, k: usize) -> bool {
        self.mesh.segment[t][k] != NONE
    }

    fn add(&mut self, (t, k): (usize, usize)) {
        if self.split[t][k] {
            return;
        }
        self.split[t][k] = true;
        if self.is_between(t, k) {
            self.open.push((t, k));
        }
        if let Some((s, j)) = self.beyond(t, k) {
            self.split[s][j] = true;
            if self.is_between(t, k) {
                self.open.push((s, j));
            }
        }
    }

    /// The longest edge between fillings over which a triangle is flat, other than that opposite `but`.
    fn layer(&self, t: usize, but: Option<usize>) -> Option<(usize, usize)> {
        let edges = (0..3).filter(|&k| Some(k) != but && self.is_between(t, k) && self.flat[t][k]);
        self.longest(t, edges).map(|k| (t, k))
    }

    fn longest(&self, t: usize, edges: impl Iterator<Item = usize>) -> Option<usize> {
        edges.reduce(|k, other| if self.length[t][other] > self.length[t][k] { other } else { k })
    }

    /// Marks what cuts a triangle.
    fn cut(&mut self, t: usize) {
        let Some(k) = self.longest(t, 0..3) else { return };
        let mut instead = Vec::new();
        if !self.is_between(t, k) {
            let here = self.layer(t, None);
            let there = self.beyond(t, k).and_then(|(s, _)| self.layer(s, None));
            instead.extend(here.into_iter().chain(there));
            instead.retain(|&(s, j)| self.length[s][j] > COMPARABLE * self.length[t][k]);
        }
        if instead.is_empty() {
            instead.push((t, k));
        }
        for edge in instead {
            self.add(edge);
        }
    }

    /// Splits the other sides of thin layers.
    fn spread(&mut self) {
        while let Some((t, k)) = self.open.pop() {
            if !self.flat[t][k] {
                continue;
            }
            let others = [(k + 1) % 3, (k + 2) % 3];
            let Some(other) = self.longest(t, others.into_iter()) else { continue };
            let facing = if self.is_between(t, other) {
                Some((t, other))
            } else {
                self.beyond(t, other).and_then(|(s, j)| self.layer(s, Some(j)))
            };
            if let Some((s, j)) = facing
                && self.length[s][j] > COMPARABLE * self.length[t][k]
            {
                self.add((s, j));
            }
        }
    }

    fn edges(&self) -> Vec<[u32; 2]> {
        let mut edges: Vec<[u32; 2]> = (0..self.split.len())
            .flat_map(|t| (0..3).map(move |k| (t, k)))
            .filter(|&(t, k)| self.split[t][k])
            .map(|(t, k)| ordered(edge(self.mesh.corners[t], k)))
            .collect();
        edges.sort_unstable();
        edges.dedup();
        edges
    }
}
