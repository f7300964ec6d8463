//! The faces of an arrangement: connected areas of one filling, and which lie side by side.

use super::delaunay::{beyond, edge, ordered, triangulate};
use super::groups::Groups;
use super::plane::orientation;
use super::{Arrangement, Filling, NONE, TriangulationError};

/// A connected area of one filling. Areas that touch in a point only are two.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// What fills it; [`Filling::Nothing`] within the convex hull of the drawing counts as a face too.
    pub filling: Filling,
    /// m².
    pub area: f64,
    /// Lowest x and y, m.
    pub low: [f64; 2],
    /// True if it goes on beyond the convex hull of the drawing, where there is nothing.
    pub is_open: bool,
    /// Highest x and y, m.
    pub high: [f64; 2],
    /// The middle of one of its triangles, m.
    pub within: [f64; 2],
}

/// All faces of an arrangement.
#[derive(Clone, Debug)]
pub struct Faces {
    /// In the order of the triangles that they are made of.
    pub faces: Vec<Face>,
    /// By segment of the arrangement, the faces to its left and to its right; none beyond the convex hull.
    pub beside: Vec<[Option<usize>; 2]>,
}

impl Faces {
    /// Of an arrangement.
    ///
    /// # Errors
    /// [`TriangulationError::Unsettled`] if segments cross.
    pub fn of(arrangement: &Arrangement) -> Result<Self, TriangulationError> {
        let mut order: Vec<usize> = (0..arrangement.segments.len()).collect();
        order.sort_unstable_by_key(|segment| ordered(arrangement.segments[*segment].ends));
        let edges: Vec<[u32; 2]> =
            order.iter().map(|segment| ordered(arrangement.segments[*segment].ends)).collect();
        let corners = triangulate(&arrangement.points, &edges)?;
        let beyond = beyond(&corners);
        let segment_on = |t: usize, k: usize| {
            edges.binary_search(&ordered(edge(corners[t], k))).ok().map(|found| order[found])
        };
        let mut groups = Groups::new(corners.len());
        let mut beside = vec![[None; 2]; arrangement.segments.len()];
        let mut told = vec![None; corners.len()];
        let mut is_open = vec![false; corners.len()];
        for t in 0..corners.len() {
            for k in 0..3 {
                if let Some(number) = segment_on(t, k) {
                    let segment = &arrangement.segments[number];
                    let is_left = segment.ends == edge(corners[t], k);
                    beside[number][usize::from(!is_left)] = Some(t);
                    told[t] = Some(if is_left { segment.left } else { segment.right });
                } else if beyond[t][k] != NONE {
                    groups.join(t, beyond[t][k] as usize);
                } else {
                    is_open[t] = true;
                }
            }
        }
        let (face_of, count) = groups.numbered();
        let nowhere = Face {
            filling: Filling::Nothing,
            area: 0.0,
            is_open: false,
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
            within: [0.0; 2],
        };
        let mut faces = vec![nowhere; count];
        for (t, corners) in corners.iter().enumerate() {
            let face = &mut faces[face_of[t] as usize];
            let points = corners.map(|corner| arrangement.points[corner as usize]);
            if face.area == 0.0 {
                face.within = [0, 1].map(|axis| points.iter().map(|point| point[axis]).sum::<f64>() / 3.0);
            }
            face.area += 0.5 * orientation(points[0], points[1], points[2]);
            for (axis, value) in points.iter().flat_map(|point| point.iter().enumerate()) {
                face.low[axis] = face.low[axis].min(*value);
                face.high[axis] = face.high[axis].max(*value);
            }
            face.is_open |= is_open[t];
            if let Some(filling) = told[t] {
                face.filling = filling;
            }
        }
        let face = |t: Option<usize>| t.map(|t| face_of[t] as usize);
        let beside = beside.into_iter().map(|sides| sides.map(face)).collect();
        Ok(Self { faces, beside })
    }
}
