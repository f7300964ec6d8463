//! All edges of a drawing, cut where they meet.
//!
//! In rounds: wherever an end of one segment lies on another, within a quarter of [`SNAP`], the other is led
//! through it; wherever two cross clear of their ends, both are led through the crossing, or through a point that
//! is there already within [`SNAP`]. A round that finds nothing left proves what the triangulation needs: by exact
//! signs no two segments cross, and no end lies on a segment it is not an end of, so none overlap either.
//!
//! Since points lie [`SNAP`] apart and ends within a quarter of it, it is clear which of two points a segment
//! passes first. Led through points at crossings it can still come to lie so that one round undoes what another
//! did; so every few rounds both distances shrink, and with them what can be undone.
//!
//! Leading a segment through a point moves it by [`SNAP`] at most, so which side of it a vertex is on can
//! change. The polygons stay closed all the same: each piece remembers the polygons that run along it and how
//! often each way, and who is inside is later told from these numbers, not from coordinates
//! (`painting.rs`). So no sliver between an edge and its pieces can take a filling of its own.

use super::drawing::{Drawing, Outline};
use super::error::TriangulationError;
use super::near::each_pair;
use super::places::{Places, SNAP, renumber};
use super::plane::{area, crossing, is_within, perimeter};
use super::{FARTHEST, MOST_POINTS};

/// Joining vertices and edges takes two or three rounds on drawings that buildings have.
const MOST_ROUNDS: usize = 24;
/// After so many rounds distances shrink to an eighth.
const ROUNDS_ALIKE: usize = 8;

/// Edges meet in a point by pairs, but some points are of many edges.
const MOST_CUTS: usize = 8 * MOST_POINTS;

/// A polygon's edge, or what cutting has made of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Piece {
    /// The lower number first.
    ends: [u32; 2],
    /// Number of the polygon in [`Drawing::outlines`].
    polygon: u32,
    /// The edge of the polygon it comes from.
    edge: u32,
    /// 1 if the polygon runs from the lower to the higher number, else −1; sums where pieces fall together.
    way: i32,
}

/// One polygon's part in a segment.
#[derive(Clone, Copy, Debug)]
pub struct Side {
    /// Number of the polygon in [`Drawing::outlines`].
    pub polygon: u32,
    /// The edge of the polygon it comes from.
    pub edge: u32,
    /// How many times more it runs from the segment's lower to its higher end than back; never 0.
    pub way: i32,
}

/// Segments that meet in their ends only.
#[derive(Debug)]
pub struct Overlay {
    /// m.
    pub points: Vec<[f64; 2]>,
    /// Rising; of each the lower number first.
    pub segments: Vec<[u32; 2]>,
    /// The polygons of all segments, by segment.
    sides: Vec<Side>,
    /// Where each segment's begin in `sides`, and their end.
    first: Vec<u32>,
}

impl Overlay {
    /// The polygons that run along a segment.
    pub fn sides(&self, segment: usize) -> &[Side] {
        &self.sides[self.first[segment] as usize..self.first[segment + 1] as usize]
    }

    /// The edges of all polygons of the drawing.
    ///
    /// # Errors
    /// Polygons with vertices out of range, without area or with crossing edges; too many points.
    pub fn of(drawing: &Drawing) -> Result<Self, TriangulationError> {
        let outlines = drawing.outlines();
        let mut places = Places::default();
        let mut pieces = Vec::new();
        for (number, &(outline, vertices)) in outlines.iter().enumerate() {
            pieces.extend(edges(number as u32, outline, vertices, &mut places)?);
        }
        let name = |polygon: u32| outlines[polygon as usize].0;
        let mut snap = SNAP;
        for round in 0..MOST_ROUNDS {
            if round > 0 && round % ROUNDS_ALIKE == 0 {
                snap *= 0.125;
            }
            let mut found = Self::gathered(pieces, places.points.clone());
            let cuts = found.cuts(&mut places, snap, (round == 0).then_some(&name))?;
            if round == 0 {
                for &(outline, vertices) in &outlines {
                    // A strip of width SNAP has half its length round, times SNAP, of area.
                    if 2.0 * area(vertices).abs() <= SNAP * perimeter(vertices) {
                        return Err(TriangulationError::NoArea { outline });
                    }
                }
            }
            if cuts.is_empty() {
                // Points whose segments have cancelled out could lie on others.
                found.points = renumber(&found.points, found.segments.iter_mut().flatten());
                return Ok(found);
            }
            pieces = found.cut(&cuts);
        }
        Err(TriangulationError::Unsettled)
    }

    /// Pieces that fall together become one segment; polygons that run along it as often back as forth leave it.
    fn gathered(mut pieces: Vec<Piece>, points: Vec<[f64; 2]>) -> Self {
        pieces.sort_unstable();
        pieces.dedup_by(|later, kept| {
            let same = later.ends == kept.ends && later.polygon == kept.polygon;
            if same {
                kept.way += later.way;
            }
            same
        });
        let mut overlay = Self { points, segments: Vec::new(), sides: Vec::new(), first: vec![0] };
        for piece in pieces.iter().filter(|piece| piece.way != 0) {
            if overlay.segments.last() == Some(&piece.ends) {
                overlay.first.pop();
            } else {
                overlay.segments.push(piece.ends);
            }
            overlay.sides.push(Side { polygon: piece.polygon, edge: piece.edge, way: piece.way });
            overlay.first.push(overlay.sides.len() as u32);
        }
        overlay
    }

    /// The points that segments must be led through, by segment and along it. With `name`, crossing edges of one
    /// polygon are an error.
    fn cuts(
        &self,
        places: &mut Places,
        snap: f64,
        name: Option<&impl Fn(u32) -> Outline>,
    ) -> Result<Vec<(u32, u32)>, TriangulationError> {
        let mut cuts = Vec::new();
        each_pair(&self.points, &self.segments, |one, other| {
            let (s, t) = (self.segments[one], self.segments[other]);
            let mut touch = false;
            for (segment, number, ends) in [(s, one, t), (t, other, s)] {
                for end in ends {
                    if !segment.contains(&end)
                        && is_within(0.25 * snap, self.points[end as usize], self.ends(segment))
                    {
                        cuts.push((number as u32, end));
                        touch = true;
                    }
                }
            }
            if touch || s.iter().any(|end| t.contains(end)) {
                return Ok(());
            }
            if let Some(point) = crossing(self.ends(s), self.ends(t)) {
                if let Some(name) = name
                    && let Some((polygon, edges)) = self.common(one, other)
                {
                    return Err(TriangulationError::CrossesItself { outline: name(polygon), edges });
                }
                let point = places.number(point, snap);
                for (segment, number) in [(s, one), (t, other)] {
                    if !segment.contains(&point) {
                        cuts.push((number as u32, point));
                    }
                }
                if places.points.len() > MOST_POINTS {
                    return Err(TriangulationError::TooManyPoints { most: MOST_POINTS });
                }
            }
            // Pairs are told more than once, and many may meet in one point.
            if cuts.len() > MOST_CUTS {
                cuts.sort_unstable();
                cuts.dedup();
                if cuts.len() > MOST_CUTS / 2 {
                    return Err(TriangulationError::TooManyPoints { most: MOST_POINTS });
                }
            }
            Ok(())
        })?;
        let along = |&(segment, point): &(u32, u32)| {
            let [a, b] = self.segments[segment as usize].map(|end| places.points[end as usize]);
            let p = places.points[point as usize];
            (p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])
        };
        cuts.sort_unstable_by(|one, other| {
            one.0.cmp(&other.0).then(along(one).total_cmp(&along(other))).then(one.1.cmp(&other.1))
        });
        cuts.dedup();
        Ok(cuts)
    }

    /// The pieces after leading the segments through the points of `cuts`.
    fn cut(&self, cuts: &[(u32, u32)]) -> Vec<Piece> {
        let mut pieces = Vec::with_capacity(self.sides.len() + 2 * cuts.len());
        let mut next = 0;
        for (number, &[from, to]) in self.segments.iter().enumerate() {
            let begin = next;
            while cuts.get(next).is_some_and(|cut| cut.0 as usize == number) {
                next += 1;
            }
            let through = cuts[begin..next].iter().map(|cut| cut.1).chain([to]);
            let mut a = from;
            for b in through {
                for side in self.sides(number) {
                    pieces.extend(piece(a, b, side.polygon, side.edge, side.way));
                }
                a = b;
            }
        }
        pieces
    }

    fn ends(&self, segment: [u32; 2]) -> [[f64; 2]; 2] {
        segment.map(|end| self.points[end as usize])
    }

    /// A polygon that runs along both segments, and its edges there.
    fn common(&self, one: usize, other: usize) -> Option<(u32, [usize; 2])> {
        let mut rest = self.sides(other).iter().peekable();
        for side in self.sides(one) {
            while rest.next_if(|found| found.polygon < side.polygon).is_some() {}
            if let Some(found) = rest.peek().filter(|found| found.polygon == side.polygon) {
                let edges = [side.edge.min(found.edge) as usize, side.edge.max(found.edge) as usize];
                return Some((side.polygon, edges));
            }
        }
        None
    }
}

/// The edges of a polygon between distinct points.
fn edges(
    polygon: u32,
    outline: Outline,
    vertices: &[[f64; 2]],
    places: &mut Places,
) -> Result<Vec<Piece>, TriangulationError> {
    let mut numbers = Vec::with_capacity(vertices.len());
    for (vertex, point) in vertices.iter().enumerate() {
        // Also false for what is not a number.
        if !point.iter().all(|x| x.abs() <= FARTHEST) {
            return Err(TriangulationError::OutOfRange { outline, vertex });
        }
        // Rounding about zero would only make numbers that mean nothing.
        numbers.push(places.number(point.map(|x| if x.abs() < 1e-3 * SNAP { 0.0 } else { x }), SNAP));
    }
    if places.points.len() > MOST_POINTS {
        return Err(TriangulationError::TooManyPoints { most: MOST_POINTS });
    }
    let mut distinct = numbers.clone();
    distinct.sort_unstable();
    distinct.dedup();
    if distinct.len() < 3 {
        return Err(TriangulationError::TooFewVertices { outline, distinct: distinct.len() });
    }
    let after = numbers.iter().skip(1).chain(&numbers);
    let pairs = numbers.iter().zip(after).enumerate();
    Ok(pairs.filter_map(|(edge, (&a, &b))| piece(a, b, polygon, edge as u32, 1)).collect())
}

fn piece(a: u32, b: u32, polygon: u32, edge: u32, way: i32) -> Option<Piece> {
    let (ends, way) = if a < b { ([a, b], way) } else { ([b, a], -way) };
    (a != b).then_some(Piece { ends, polygon, edge, way })
}
