//! Refinement: edges split at their middles, then flips until the mesh is constrained Delaunay again.
//!
//! All splits come first, since a flip may take away an edge that is still to be split. Then C. L. Lawson's flips
//! (Software for C¹ surface interpolation, Mathematical Software III, 1977): of two triangles of one filling
//! with a corner d of one in the circle of the other, abc, the common edge ab gives way to cd. Lifted to the
//! paraboloid z = x² + y² every flip lowers the surface, so they come to an end, and where none is left no
//! corner lies in the circle of a triangle beyond an edge that may be flipped. Among all triangulations of these
//! points such a one has the least energy of the piecewise linear interpolant, whatever is interpolated (S.
//! Rippa, Computer Aided Geometric Design 7 (1990) 489–497, from memory).
//!
//! Signs are exact, so neither thin triangles nor points on one circle can make flips go in circles; only where
//! the circle is missed clearly is one made, so that rounding turns no symmetric mesh about.

use super::mesh::Mesh;
use super::metric::Metric;
use crate::polygons::NONE;
use crate::polygons::delaunay::{edge, ordered};
use crate::polygons::plane::{is_in_circle, orientation};

/// An edge by its ends, and a triangle it may belong to.
pub(super) type Suspect = ([u32; 2], u32);

/// Opposite angles must exceed 180° in sum by about this, rad.
const CLEARLY: f64 = 1e-12;

impl Mesh {
    /// Splits the given edges (numbers of points, in either order) at their middles, and flips. Returns how many
    /// were split: an edge that is not in the mesh is not, nor one so short that rounding would turn a triangle
    /// over. New points are numbered in the order of the edges, sorted.
    pub fn refine(&mut self, edges: &[[u32; 2]], metrics: &[Metric]) -> usize {
        let mut marked: Vec<[u32; 2]> = edges.iter().map(|&ends| ordered(ends)).collect();
        marked.sort_unstable();
        marked.dedup();
        let mut holder = vec![NONE; marked.len()];
        for t in 0..self.corners.len() as u32 {
            self.hold(t, &marked, &mut holder);
        }
        let mut changed = Vec::new();
        let points = self.points.len();
        for number in 0..marked.len() {
            let t = holder[number];
            if t == NONE {
                continue;
            }
            let Some(k) = self.opposite(t, marked[number]) else { continue };
            for t in self.split(t as usize, k) {
                self.hold(t, &marked, &mut holder);
                changed.push(t);
            }
        }
        changed.sort_unstable();
        changed.dedup();
        let suspects = changed.iter().flat_map(|&t| self.edges(t)).collect();
        self.legalise(suspects, metrics);
        self.points.len() - points
    }

    /// Notes which marked edges a triangle has.
    fn hold(&self, t: u32, marked: &[[u32; 2]], holder: &mut [u32]) {
        for (ends, _) in self.edges(t) {
            if let Ok(number) = marked.binary_search(&ordered(ends)) {
                holder[number] = t;
            }
        }
    }

    /// The three edges of a triangle.
    pub(super) fn edges(&self, t: u32) -> [Suspect; 3] {
        [0, 1, 2].map(|k| (edge(self.corners[t as usize], k), t))
    }

    /// The corner of a triangle opposite the edge between two points, if it has that edge.
    fn opposite(&self, t: u32, ends: [u32; 2]) -> Option<usize> {
        (0..3).find(|&k| ordered(edge(self.corners[t as usize], k)) == ordered(ends))
    }

    fn is_positive(&self, corners: [u32; 3]) -> bool {
        let [a, b, c] = corners.map(|corner| self.points[corner as usize]);
        orientation(a, b, c) > 0.0
    }

    /// Tells triangle `s`, if there is one, that what it had beyond as `old` is `new`.
    fn relink(&mut self, s: u32, old: usize, new: u32) {
        if let Some(j) = self.back(s as usize, old) {
            self.beyond[s as usize][j] = new;
        }
    }

    /// Splits the edge ab opposite corner k of t = cab and, if there is one, of s = dba beyond, at its middle m:
    ///
    /// ```text
    ///        c                    c
    ///      ╱ t ╲               ╱ t│t₂╲
    ///     a ─── b     ─▶      a ─ m ─ b
    ///      ╲ s ╱               ╲ s│s₂╱
    ///        d                    d
    /// ```
    ///
    /// Returns the triangles this leaves; none if one would not be positive, and nothing is changed then.
    fn split(&mut self, t: usize, k: usize) -> Vec<u32> {
        let turn = |of: [u32; 3], k: usize| [of[k], of[(k + 1) % 3], of[(k + 2) % 3]];
        let [c, a, b] = turn(self.corners[t], k);
        let [s, beyond_bc, beyond_ca] = turn(self.beyond[t], k);
        let [on_ab, on_bc, on_ca] = turn(self.segment[t], k);
        let m = self.points.len() as u32;
        self.points.push(self.middle([a, b]));
        let mirrored = self.back(s as usize, t).map(|j| {
            let [d, ..] = turn(self.corners[s as usize], j);
            (d, turn(self.beyond[s as usize], j), turn(self.segment[s as usize], j))
        });
        let beside =
            mirrored.is_none_or(|(d, ..)| self.is_positive([d, m, a]) && self.is_positive([d, b, m]));
        if !(beside && self.is_positive([c, a, m]) && self.is_positive([c, m, b])) {
            self.points.pop();
            return Vec::new();
        }
        let t2 = self.corners.len() as u32;
        let s2 = if mirrored.is_some() { t2 + 1 } else { NONE };
        self.put(t, [c, a, m], [s, t2, beyond_ca], [on_ab, NONE, on_ca]);
        self.add(t, [c, m, b], [s2, beyond_bc, t as u32], [on_ab, on_bc, NONE]);
        self.relink(beyond_bc, t, t2);
        let Some((d, [_, beyond_ad, beyond_db], [_, on_ad, on_db])) = mirrored else {
            return vec![t as u32, t2];
        };
        let s = s as usize;
        self.put(s, [d, m, a], [t as u32, beyond_ad, s2], [on_ab, on_ad, NONE]);
        self.add(s, [d, b, m], [t2, s as u32, beyond_db], [on_ab, NONE, on_db]);
        self.relink(beyond_db, s, s2);
        vec![t as u32, t2, s as u32, s2]
    }

    fn put(&mut self, t: usize, corners: [u32; 3], beyond: [u32; 3], segment: [u32; 3]) {
        self.corners[t] = corners;
        self.beyond[t] = beyond;
        self.segment[t] = segment;
    }

    /// A new triangle with the filling of `like`.
    fn add(&mut self, like: usize, corners: [u32; 3], beyond: [u32; 3], segment: [u32; 3]) {
        self.corners.push(corners);
        self.beyond.push(beyond);
        self.segment.push(segment);
        self.filling.push(self.filling[like]);
    }

    /// Flips edges, beginning with the given ones, until none should be.
    pub(super) fn legalise(&mut self, mut suspects: Vec<Suspect>, metrics: &[Metric]) {
        while let Some((ends, t)) = suspects.pop() {
            // An edge that has gone, or gone to another triangle, was noted anew if it need be looked at.
            let Some(k) = self.opposite(t, ends) else { continue };
            if self.should_flip(t as usize, k, metrics) {
                let s = self.flip(t as usize, k);
                suspects.extend(self.edges(t).into_iter().chain(self.edges(s)));
            }
        }
    }

    fn should_flip(&self, t: usize, k: usize, metrics: &[Metric]) -> bool {
        if self.segment[t][k] != NONE {
            return false;
        }
        let s = self.beyond[t][k] as usize;
        let Some(j) = self.back(s, t) else { return false };
        let [a, b] = edge(self.corners[t], k);
        let (c, d) = (self.corners[t][k], self.corners[s][j]);
        let metric = Metric::of_filling(metrics, self.filling[t]);
        let [p, q, r, o] = [a, b, c, d].map(|number| metric.stretched(self.points[number as usize]));
        // Angles at c and d: the sine of their sum, and what rounding may make of it.
        let (sine_c, cosine_c) = angle(r, p, q);
        let (sine_d, cosine_d) = angle(o, q, p);
        let sum = sine_c * cosine_d + cosine_c * sine_d;
        if sum >= -CLEARLY * ((sine_c * cosine_d).abs() + (cosine_c * sine_d).abs()) {
            return false;
        }
        is_in_circle([p, q, r], o)
            && orientation(r, p, o) > 0.0
            && orientation(r, o, q) > 0.0
            && self.is_positive([c, a, d])
            && self.is_positive([c, d, b])
    }

    /// Makes of t = cab and s = dba beyond its edge opposite corner k the triangles t = cad and s = cdb.
    fn flip(&mut self, t: usize, k: usize) -> u32 {
        let turn = |of: [u32; 3], k: usize| [of[k], of[(k + 1) % 3], of[(k + 2) % 3]];
        let s = self.beyond[t][k];
        let Some(j) = self.back(s as usize, t) else { return s };
        let [c, a, b] = turn(self.corners[t], k);
        let [_, beyond_bc, beyond_ca] = turn(self.beyond[t], k);
        let [_, on_bc, on_ca] = turn(self.segment[t], k);
        let [d, ..] = turn(self.corners[s as usize], j);
        let [_, beyond_ad, beyond_db] = turn(self.beyond[s as usize], j);
        let [_, on_ad, on_db] = turn(self.segment[s as usize], j);
        self.put(t, [c, a, d], [beyond_ad, s, beyond_ca], [on_ad, NONE, on_ca]);
        self.put(s as usize, [c, d, b], [beyond_db, beyond_bc, t as u32], [on_db, on_bc, NONE]);
        self.relink(beyond_ad, s as usize, t as u32);
        self.relink(beyond_bc, t, s);
        s
    }
}

/// Sine and cosine of the angle at `o` from p to q, times the lengths of its legs.
fn angle(o: [f64; 2], p: [f64; 2], q: [f64; 2]) -> (f64, f64) {
    let [ux, uy, vx, vy] = [p[0] - o[0], p[1] - o[1], q[0] - o[0], q[1] - o[1]];
    (ux * vy - uy * vx, ux * vx + uy * vy)
}
