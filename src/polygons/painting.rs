//! Which filling each triangle has.
//!
//! How often a polygon winds round a place changes only across its own edges: by one up for whoever crosses an
//! edge to its left, one down for whoever crosses to its right. So a walk over all triangles, beginning outside,
//! knows all winding numbers without asking coordinates. A stroke covers a place that its outline winds round
//! and none of its holes; the last stroke that covers it gives the filling, within the extent.
//!
//! A polygon that does not cross itself has winding numbers 0 and 1, or 0 and −1. Others are an error, unless
//! that part is thinner than what joining of close points can turn over.

use std::collections::BTreeSet;

use super::NONE;
use super::delaunay::{edge, ordered};
use super::drawing::{Drawing, Outline};
use super::error::TriangulationError;
use super::filling::Filling;
use super::overlay::Overlay;
use super::places::SNAP;
use super::plane::{area, orientation, perimeter};

/// What the walk knows where it stands.
struct Here<'a> {
    outlines: Vec<(Outline, &'a [[f64; 2]])>,
    /// By polygon, how often it winds round here.
    winding: Vec<i32>,
    /// 1 for polygons drawn anticlockwise, else −1.
    sense: Vec<i32>,
    /// By stroke, how many of its holes wind round here.
    holes: Vec<u32>,
    /// By stroke, whether its outline does.
    outlined: Vec<bool>,
    covering: BTreeSet<usize>,
    within: bool,
    /// Polygons whose winding number here is wrong, and the edge that was crossed.
    wrong: Vec<(u32, u32)>,
    /// By polygon, the area where it is, m².
    overlapping: Vec<f64>,
}

/// The filling of each triangle of the convex hull of an overlay; and by stroke, whether any of them is
/// as it painted it.
///
/// # Errors
/// [`TriangulationError::OverlapsItself`].
pub fn paint(
    drawing: &Drawing,
    overlay: &Overlay,
    corners: &[[u32; 3]],
    beyond: &[[u32; 3]],
) -> Result<(Vec<Filling>, Vec<bool>), TriangulationError> {
    let mut fillings = vec![Filling::Nothing; corners.len()];
    let mut is_seen = vec![false; drawing.strokes.len()];
    // Any triangle at the rim: from outside all winding numbers are 0.
    let rim = (0..corners.len()).find_map(|t| (0..3).find(|&k| beyond[t][k] == NONE).map(|k| (t, k)));
    let Some((start, entrance)) = rim else { return Ok((fillings, is_seen)) };
    let mut here = Here::outside(drawing);
    let mut seen = vec![false; corners.len()];
    // The way back: triangles with the edge they were entered by, and the next edge to try.
    let mut way = vec![(start, entrance, 0)];
    let step = |here: &mut Here, t: usize, k: usize, inwards: bool| {
        let ends = edge(corners[t], k);
        if let Ok(segment) = overlay.segments.binary_search(&ordered(ends)) {
            here.cross(overlay, segment, (ends[0] < ends[1]) == inwards);
        }
    };
    step(&mut here, start, entrance, true);
    while let Some(&mut (t, entrance, ref mut next)) = way.last_mut() {
        if *next == 0 {
            seen[t] = true;
            if let Some(stroke) = here.stroke() {
                fillings[t] = drawing.strokes[stroke].filling;
                // What painted the same before is as it was painted.
                let is_like = |other: &&usize| drawing.strokes[**other].filling == fillings[t];
                here.covering.iter().filter(is_like).for_each(|other| is_seen[*other] = true);
            }
            here.weigh(corners[t].map(|corner| overlay.points[corner as usize]))?;
        }
        if *next == 3 {
            step(&mut here, t, entrance, false);
            way.pop();
            continue;
        }
        let k = *next;
        *next += 1;
        let other = beyond[t][k];
        if other == NONE || seen[other as usize] {
            continue;
        }
        let other = other as usize;
        let back = (0..3).find(|&j| beyond[other][j] as usize == t).unwrap_or_default();
        step(&mut here, other, back, true);
        way.push((other, back, 0));
    }
    Ok((fillings, is_seen))
}

impl<'a> Here<'a> {
    fn outside(drawing: &'a Drawing) -> Self {
        let outlines = drawing.outlines();
        let sense = outlines.iter().map(|(_, vertices)| if area(vertices) > 0.0 { 1 } else { -1 }).collect();
        let polygons = outlines.len();
        Self {
            outlines,
            winding: vec![0; polygons],
            sense,
            holes: vec![0; drawing.strokes.len()],
            outlined: vec![false; drawing.strokes.len()],
            covering: BTreeSet::new(),
            within: false,
            wrong: Vec::new(),
            overlapping: vec![0.0; polygons],
        }
    }

    /// The stroke that gives the filling here.
    fn stroke(&self) -> Option<usize> {
        self.covering.last().copied().filter(|_| self.within)
    }

    /// Crosses a segment, to the left of its way from the lower to the higher number or to its right.
    fn cross(&mut self, overlay: &Overlay, segment: usize, to_left: bool) {
        for side in overlay.sides(segment) {
            let polygon = side.polygon as usize;
            let before = self.winding[polygon];
            let after = before + if to_left { side.way } else { -side.way };
            self.winding[polygon] = after;
            let is_wrong = |winding: i32| winding != 0 && winding != self.sense[polygon];
            if is_wrong(before) {
                self.wrong.retain(|&(other, _)| other != side.polygon);
            }
            if is_wrong(after) {
                self.wrong.push((side.polygon, side.edge));
            }
            if (before != 0) != (after != 0) {
                self.change(polygon, after != 0);
            }
        }
    }

    fn change(&mut self, polygon: usize, inside: bool) {
        let stroke = match self.outlines[polygon].0 {
            Outline::Stroke(stroke) => {
                self.outlined[stroke] = inside;
                stroke
            }
            Outline::Hole { stroke, .. } => {
                if inside {
                    self.holes[stroke] += 1;
                } else {
                    self.holes[stroke] -= 1;
                }
                stroke
            }
            Outline::Extent => {
                self.within = inside;
                return;
            }
            Outline::Cut(_) => return,
        };
        if self.outlined[stroke] && self.holes[stroke] == 0 {
            self.covering.insert(stroke);
        } else {
            self.covering.remove(&stroke);
        }
    }

    /// Adds the area of a triangle to that of polygons which wind wrongly round it.
    fn weigh(&mut self, [a, b, c]: [[f64; 2]; 3]) -> Result<(), TriangulationError> {
        for &(polygon, edge) in &self.wrong {
            let (outline, vertices) = self.outlines[polygon as usize];
            let overlapping = &mut self.overlapping[polygon as usize];
            *overlapping += 0.5 * orientation(a, b, c);
            if *overlapping > 4.0 * SNAP * perimeter(vertices) {
                return Err(TriangulationError::OverlapsItself { outline, edge: edge as usize });
            }
        }
        Ok(())
    }
}
