//! The constrained Delaunay triangulation of segments that meet in their ends only, and who lies beyond whom.

use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::NONE;
use super::error::TriangulationError;
use super::overlay::orientation;

/// The triangles of the convex hull of `points`, corners anticlockwise. Every segment is an edge.
///
/// # Errors
/// [`TriangulationError::Unsettled`] if segments cross or points fall together.
pub(super) fn triangulate(
    points: &[[f64; 2]],
    segments: &[[u32; 2]],
) -> Result<Vec<[u32; 3]>, TriangulationError> {
    let vertices = points.iter().map(|&[x, y]| Point2::new(x, y)).collect();
    let edges = segments.iter().map(|ends| ends.map(|end| end as usize)).collect();
    let mut conflicts = 0;
    let all = ConstrainedDelaunayTriangulation::<_>::try_bulk_load_cdt(vertices, edges, |_| conflicts += 1)
        .map_err(|_| TriangulationError::Unsettled)?;
    if conflicts > 0 || all.num_vertices() != points.len() || all.num_constraints() != segments.len() {
        return Err(TriangulationError::Unsettled);
    }
    let corners: Vec<[u32; 3]> =
        all.inner_faces().map(|face| face.vertices().map(|vertex| vertex.fix().index() as u32)).collect();
    let is_positive = |corners: &[u32; 3]| {
        let [a, b, c] = corners.map(|corner| points[corner as usize]);
        orientation(a, b, c) > 0.0
    };
    if corners.iter().all(is_positive) { Ok(corners) } else { Err(TriangulationError::Unsettled) }
}

/// The ends of the edge opposite corner k, as the triangle runs.
pub(super) fn edge(corners: [u32; 3], k: usize) -> [u32; 2] {
    [corners[(k + 1) % 3], corners[(k + 2) % 3]]
}

/// The lower number first.
pub(super) fn ordered([a, b]: [u32; 2]) -> [u32; 2] {
    [a.min(b), a.max(b)]
}

/// For every triangle the one beyond the edge opposite each corner, [`NONE`] where there is none.
pub(super) fn beyond(corners: &[[u32; 3]]) -> Vec<[u32; 3]> {
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
