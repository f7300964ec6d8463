//! The constrained Delaunay triangulation of segments that meet in their ends only, and who lies beyond whom.

use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use super::NONE;
use super::error::TriangulationError;
use super::plane::orientation;

/// A point and its number.
#[derive(Clone, Copy)]
struct Vertex {
    at: [f64; 2],
    number: u32,
}

impl HasPosition for Vertex {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        Point2::new(self.at[0], self.at[1])
    }
}

/// An order in which to add points: each at random in a round, the last round having half of them, the one before
/// a quarter and so on, and those of a round along a curve that fills the plane. So the triangulation is of the
/// right shape early and the next point is near the last (N. Amenta, S. Choi, G. Rote, Incremental constructions
/// con BRIO, SoCG 2003): whatever the points, few triangles are made that do not stay.
fn order(points: &[[f64; 2]]) -> Vec<u32> {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for point in points {
        for axis in 0..2 {
            low[axis] = low[axis].min(point[axis]);
            high[axis] = high[axis].max(point[axis]);
        }
    }
    let size = (high[0] - low[0]).max(high[1] - low[1]).max(f64::MIN_POSITIVE);
    let mut state = 1_u64;
    let mut keys: Vec<(u32, u64, u32)> = (0..points.len() as u32)
        .map(|number| {
            // A linear congruential generator (D. E. Knuth, MMIX): a point is in round r from the end with 2⁻ʳ.
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let point = points[number as usize];
            let [x, y] = [0, 1].map(|axis| spread(((point[axis] - low[axis]) / size * 65_535.0) as u64));
            (u32::MAX - state.leading_zeros(), x | y << 1, number)
        })
        .collect();
    keys.sort_unstable();
    keys.into_iter().map(|key| key.2).collect()
}

/// The lower 16 bits with a zero before each.
fn spread(bits: u64) -> u64 {
    (0..16).fold(0, |spread, bit| spread | (bits >> bit & 1) << (2 * bit))
}

/// The triangles of the convex hull of `points`, corners anticlockwise. Every segment is an edge.
///
/// Points and segments are added one by one. Loaded together, the library takes those it puts off in the order of
/// a set, which differs from run to run, and combs of 10⁴ points take seconds.
///
/// # Errors
/// [`TriangulationError::Unsettled`] if segments cross or points fall together.
pub fn triangulate(points: &[[f64; 2]], segments: &[[u32; 2]]) -> Result<Vec<[u32; 3]>, TriangulationError> {
    let mut all = ConstrainedDelaunayTriangulation::<Vertex>::new();
    for number in order(points) {
        all.insert(Vertex { at: points[number as usize], number })
            .map_err(|_| TriangulationError::Unsettled)?;
    }
    if all.num_vertices() != points.len() {
        return Err(TriangulationError::Unsettled);
    }
    let mut handles: Vec<_> = all.vertices().map(|vertex| (vertex.data().number, vertex.fix())).collect();
    handles.sort_unstable_by_key(|handle| handle.0);
    for segment in segments {
        let [from, to] = segment.map(|end| handles[end as usize].1);
        // Nothing is added if another segment is crossed, several edges if a point lies on this one.
        if all.try_add_constraint(from, to).len() != 1 {
            return Err(TriangulationError::Unsettled);
        }
    }
    let corners: Vec<[u32; 3]> =
        all.inner_faces().map(|face| face.vertices().map(|vertex| vertex.data().number)).collect();
    let is_positive = |corners: &[u32; 3]| {
        let [a, b, c] = corners.map(|corner| points[corner as usize]);
        orientation(a, b, c) > 0.0
    };
    if corners.iter().all(is_positive) { Ok(corners) } else { Err(TriangulationError::Unsettled) }
}

/// The ends of the edge opposite corner k, as the triangle runs.
pub fn edge(corners: [u32; 3], k: usize) -> [u32; 2] {
    [corners[(k + 1) % 3], corners[(k + 2) % 3]]
}

/// The lower number first.
pub fn ordered([a, b]: [u32; 2]) -> [u32; 2] {
    [a.min(b), a.max(b)]
}

/// For every triangle the one beyond the edge opposite each corner, [`NONE`] where there is none.
pub fn beyond(corners: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let mut edges: Vec<([u32; 2], usize, usize)> = (0..corners.len())
        .flat_map(|t| (0..3).map(move |k| (t, k)))
        .map(|(t, k)| (ordered(edge(corners[t], k)), t, k))
        .collect();
    edges.sort_unstable();
    let mut beyond = vec![[NONE; 3]; corners.len()];
    for pair in edges.windows(2) {
        let [(one, s, j), (other, t, k)] = [pair[0], pair[1]];
        if one == other {
            beyond[s][j] = t as u32;
            beyond[t][k] = s as u32;
        }
    }
    beyond
}
