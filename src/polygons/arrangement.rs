//! The drawing as a set of edges between different fillings.
//!
//! Of all segments of the overlay only those between different fillings stay, and of their vertices only those
//! where something happens: three or more of them meet, the fillings beside them change, the way bends, or a cut
//! meets them. What was painted over leaves no trace.

use super::NONE;
use super::delaunay::{beyond, edge, ordered, triangulate};
use super::drawing::{Drawing, Outline};
use super::error::TriangulationError;
use super::filling::Filling;
use super::overlay::Overlay;
use super::painting::paint;
use super::places::{SNAP, renumber};

/// A vertex this close to the line between its neighbours bends nothing, m. All other vertices keep farther from
/// that line (`overlay.rs`), so leaving it out moves no edge across one.
const STRAIGHT: f64 = 1e-3 * SNAP;

/// Edges between different fillings. They meet in their ends only.
#[derive(Clone, Debug)]
pub struct Arrangement {
    /// m. Each is the end of a segment.
    pub points: Vec<[f64; 2]>,
    /// In no particular order, but the same for the same drawing.
    pub segments: Vec<Segment>,
    /// By stroke of the drawing, whether anything of it can be seen, be it painted once more.
    pub is_seen: Vec<bool>,
}

/// A straight edge between two fillings, of which one may be [`Filling::Nothing`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Segment {
    /// Numbers of points.
    pub ends: [u32; 2],
    /// What lies to the left of whoever goes from `ends[0]` to `ends[1]`.
    pub left: Filling,
    /// What lies to the right.
    pub right: Filling,
}

impl Segment {
    fn from(self, end: u32) -> Self {
        if self.ends[0] == end {
            self
        } else {
            Self { ends: [self.ends[1], self.ends[0]], left: self.right, right: self.left }
        }
    }

    /// True if a solid lies on either side.
    pub fn has_solid(&self) -> bool {
        self.left.is_solid() || self.right.is_solid()
    }
}

impl Arrangement {
    /// The edges of a drawing that separate something.
    ///
    /// # Errors
    /// [`TriangulationError`]: polygons that are none, or too many points.
    pub fn of(drawing: &Drawing) -> Result<Self, TriangulationError> {
        let overlay = Overlay::of(drawing)?;
        let corners = triangulate(&overlay.points, &overlay.segments)?;
        let beyond = beyond(&corners);
        let (fillings, is_seen) = paint(drawing, &overlay, &corners, &beyond)?;
        let mut segments = Vec::new();
        for (t, &filling) in fillings.iter().enumerate() {
            for k in 0..3 {
                let other = beyond[t][k];
                if other != NONE && (other as usize) < t {
                    continue;
                }
                let right = if other == NONE { Filling::Nothing } else { fillings[other as usize] };
                if filling != right {
                    segments.push(Segment { ends: edge(corners[t], k), left: filling, right });
                }
            }
        }
        segments.sort_unstable_by_key(|segment| ordered(segment.ends));
        let outlines = drawing.outlines();
        let mut stays = vec![false; overlay.points.len()];
        for (number, ends) in overlay.segments.iter().enumerate() {
            let is_cut = |polygon: u32| matches!(outlines[polygon as usize].0, Outline::Cut(_));
            if overlay.sides(number).iter().any(|side| is_cut(side.polygon)) {
                for &end in ends {
                    stays[end as usize] = true;
                }
            }
        }
        Ok(Self { points: overlay.points, segments, is_seen }.straightened(stays).compact())
    }

    /// Without vertices in straight edges, unless they stay.
    fn straightened(self, mut stays: Vec<bool>) -> Self {
        let star = self.star();
        let around =
            |point: u32| &star.1[star.0[point as usize] as usize..star.0[point as usize + 1] as usize];
        for point in 0..self.points.len() as u32 {
            stays[point as usize] |= match around(point) {
                &[one, other] => {
                    // One leads here, the other on from here.
                    let [one, other] = [one, other].map(|number| self.segments[number as usize].from(point));
                    one.left != other.right || one.right != other.left
                }
                _ => true,
            };
        }
        let mut done = vec![false; self.segments.len()];
        let mut kept = Vec::new();
        let mut walk = |start: u32, first: u32, stays: &[bool]| {
            let mut chain = vec![start];
            let (mut number, mut at) = (first, start);
            while !done[number as usize] {
                done[number as usize] = true;
                at = self.segments[number as usize].from(at).ends[1];
                chain.push(at);
                match around(at) {
                    &[one, other] if !stays[at as usize] => number = if one == number { other } else { one },
                    _ => break,
                }
            }
            let sides = self.segments[first as usize].from(start);
            kept.extend(self.without_straight(&chain).into_iter().map(|ends| Segment { ends, ..sides }));
        };
        let mut by_place: Vec<u32> = (0..self.points.len() as u32).collect();
        // A ring in which nothing happens bends at its leftmost point for certain.
        by_place.sort_unstable_by(|&a, &b| {
            let [p, q] = [a, b].map(|number| self.points[number as usize]);
            stays[b as usize].cmp(&stays[a as usize]).then(p[0].total_cmp(&q[0])).then(p[1].total_cmp(&q[1]))
        });
        for start in by_place {
            for &first in around(start) {
                walk(start, first, &stays);
            }
        }
        Self { points: self.points, segments: kept, is_seen: self.is_seen }
    }

    /// The segments at each point: where they begin in the second list, and the list.
    fn star(&self) -> (Vec<u32>, Vec<u32>) {
        let mut first = vec![0; self.points.len() + 1];
        for end in self.segments.iter().flat_map(|segment| segment.ends) {
            first[end as usize + 1] += 1;
        }
        for point in 0..self.points.len() {
            first[point + 1] += first[point];
        }
        let mut next = first.clone();
        let mut list = vec![0; 2 * self.segments.len()];
        for (number, segment) in self.segments.iter().enumerate() {
            for end in segment.ends {
                list[next[end as usize] as usize] = number as u32;
                next[end as usize] += 1;
            }
        }
        (first, list)
    }

    /// The segments along a chain of points, from each as far as it is straight.
    fn without_straight(&self, chain: &[u32]) -> Vec<[u32; 2]> {
        let mut segments = Vec::new();
        let mut begin = 0;
        while begin + 1 < chain.len() {
            let mut end = begin + 1;
            while end + 1 < chain.len() && self.is_straight(&chain[begin..=end + 1]) {
                end += 1;
            }
            segments.push([chain[begin], chain[end]]);
            begin = end;
        }
        segments
    }

    /// True if the points between first and last lie on the line between those, one after the other.
    fn is_straight(&self, chain: &[u32]) -> bool {
        let place = |at: usize| self.points[chain[at] as usize];
        let (from, to) = (place(0), place(chain.len() - 1));
        let [x, y] = [to[0] - from[0], to[1] - from[1]];
        let length = (x * x + y * y).sqrt();
        let mut last = 0.0;
        (1..chain.len() - 1).all(|at| {
            let [dx, dy] = [place(at)[0] - from[0], place(at)[1] - from[1]];
            let along = dx * x + dy * y;
            let follows = along > last && along < length * length;
            last = along;
            follows && (x * dy - y * dx).abs() <= STRAIGHT * length
        })
    }

    /// Without points that are no end.
    fn compact(mut self) -> Self {
        let ends = self.segments.iter_mut().flat_map(|segment| segment.ends.iter_mut());
        self.points = renumber(&self.points, ends);
        self
    }
}
