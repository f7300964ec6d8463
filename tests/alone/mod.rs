//! Meshes of a model's painted shapes that share nothing with the program's: own pieces of edges, triangles of a
//! general-purpose library with no small angles, halved as a whole.

#![allow(dead_code)] // each test file takes what it needs

pub mod quadratic;

use std::collections::BTreeMap;

use coldseam::model::{Area, Model, Paint};
use spade::{AngleLimit, ConstrainedDelaunayTriangulation, Point2, RefinementParameters, Triangulation};

/// Places closer than this are one, m: far above rounding, far below any layer.
const SAME: f64 = 1e-8;

/// What is painted, in order: the index of a material or air.
type Outlines = Vec<(Option<usize>, Vec<[f64; 2]>)>;

/// Triangles of solids.
#[derive(Clone, Debug)]
pub struct Triangles {
    /// m.
    pub points: Vec<[f64; 2]>,
    /// Three points each, anticlockwise.
    pub corners: Vec<[usize; 3]>,
    /// By triangle, the index of its material.
    pub material: Vec<usize>,
}

impl Triangles {
    /// The solids of a model, with angles of 25° and more wherever the drawing has no smaller ones.
    pub fn of(model: &Model) -> Self {
        let outlines = outlines(model);
        let (points, pieces) = pieces(&outlines, &model.corners());
        let mut all = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
        let handles: Vec<_> = points.iter().map(|[x, y]| all.insert(Point2::new(*x, *y)).unwrap()).collect();
        for [from, to] in pieces {
            all.add_constraint(handles[from], handles[to]);
        }
        let wanted = RefinementParameters::new()
            .with_angle_limit(AngleLimit::from_deg(25.0))
            .with_max_additional_vertices(100_000);
        assert!(all.refine(wanted).refinement_complete);
        let mut found = Self { points: Vec::new(), corners: Vec::new(), material: Vec::new() };
        // Those in the air are left out.
        let mut numbers = BTreeMap::new();
        for face in all.inner_faces() {
            let middle = face.center();
            if let Some(material) = material(&outlines, [middle.x, middle.y]) {
                found.corners.push(face.vertices().map(|vertex| {
                    *numbers.entry(vertex.index()).or_insert_with(|| {
                        found.points.push([vertex.position().x, vertex.position().y]);
                        found.points.len() - 1
                    })
                }));
                found.material.push(material);
            }
        }
        found
    }

    /// Every triangle in four alike ones.
    #[must_use]
    pub fn quartered(&self) -> Self {
        let mut fine = Self { points: self.points.clone(), corners: Vec::new(), material: Vec::new() };
        let mut middles = BTreeMap::new();
        for (corners, material) in self.corners.iter().zip(&self.material) {
            let [d, e, f] = [0, 1, 2].map(|side| {
                let (a, b) = (corners[(side + 1) % 3], corners[(side + 2) % 3]);
                *middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
                    fine.points.push(middle(self.points[a], self.points[b]));
                    fine.points.len() - 1
                })
            });
            let [a, b, c] = *corners;
            fine.corners.extend([[a, f, e], [b, d, f], [c, e, d], [d, e, f]]);
            fine.material.extend([*material; 4]);
        }
        fine
    }
}

/// Half-way.
pub fn middle(one: [f64; 2], other: [f64; 2]) -> [f64; 2] {
    [0, 1].map(|axis| f64::midpoint(one[axis], other[axis]))
}

fn outlines(model: &Model) -> Outlines {
    assert!(model.cavities.is_empty(), "air is not told here");
    let mut outlines = Vec::new();
    for shape in &model.plan {
        let material = match shape.paint {
            Paint::Solid(material) => Some(material.index()),
            Paint::Space(_) => None,
        };
        match &shape.area {
            Area::Rectangles(areas) => outlines.extend(
                areas
                    .iter()
                    .filter_map(|area| Some((material, area.within(model.extent)?.corners().to_vec()))),
            ),
            area => {
                for polygon in area.polygons() {
                    assert!(polygon.holes.is_empty(), "holes are not told here");
                    outlines.push((material, polygon.outline.clone()));
                }
            }
        }
    }
    outlines
}

/// What is painted last at a place: a material, if it is solid.
fn material(outlines: &Outlines, [x, y]: [f64; 2]) -> Option<usize> {
    let is_inside = |outline: &[[f64; 2]]| {
        let crossed = (0..outline.len()).filter(|i| {
            let ([ax, ay], [bx, by]) = (outline[*i], outline[(i + 1) % outline.len()]);
            (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)
        });
        crossed.count() % 2 == 1
    };
    outlines.iter().rev().find(|(_, outline)| is_inside(outline)).and_then(|(material, _)| *material)
}

/// How far along an edge a place lies, m, if it lies on it; with its length.
fn along([from, to]: [[f64; 2]; 2], [x, y]: [f64; 2]) -> Option<f64> {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let length = dx.hypot(dy);
    let along = ((x - from[0]) * dx + (y - from[1]) * dy) / length;
    let beside = ((x - from[0]) * dy - (y - from[1]) * dx) / length;
    (beside.abs() < SAME && along > -SAME && along < length + SAME).then_some(along)
}

/// Where two edges that are not parallel cross.
fn crossing([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> Option<[f64; 2]> {
    let (p, q) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let turn = p[0] * q[1] - p[1] * q[0];
    if turn.abs() < 1e-9 * p[0].hypot(p[1]) * q[0].hypot(q[1]) {
        return None;
    }
    let part = ((c[0] - a[0]) * q[1] - (c[1] - a[1]) * q[0]) / turn;
    let at = [a[0] + part * p[0], a[1] + part * p[1]];
    (along([a, b], at).is_some() && along([c, d], at).is_some()).then_some(at)
}

/// Points, and pieces of all edges between them that nothing crosses or touches.
fn pieces(outlines: &Outlines, extent: &[[f64; 2]]) -> (Vec<[f64; 2]>, Vec<[usize; 2]>) {
    let mut points: Vec<[f64; 2]> = Vec::new();
    let mut lines: [Vec<f64>; 2] = Default::default();
    let mut number = |at: [f64; 2]| {
        // What lies on one upright or level line does so exactly.
        let at = [0, 1].map(|axis: usize| {
            let known = lines[axis].iter().copied().find(|line| (line - at[axis]).abs() < SAME);
            known.unwrap_or_else(|| {
                lines[axis].push(at[axis]);
                at[axis]
            })
        });
        let known = points.iter().position(|point| (point[0] - at[0]).hypot(point[1] - at[1]) < SAME);
        known.unwrap_or_else(|| {
            points.push(at);
            points.len() - 1
        })
    };
    let mut edges: Vec<[[f64; 2]; 2]> = Vec::new();
    for outline in outlines.iter().map(|(_, outline)| &outline[..]).chain([extent]) {
        edges.extend((0..outline.len()).map(|i| [outline[i], outline[(i + 1) % outline.len()]]));
    }
    for (i, edge) in edges.iter().enumerate() {
        number(edge[0]);
        for at in edges[..i].iter().filter_map(|other| crossing(*edge, *other)) {
            number(at);
        }
    }
    let mut pieces = Vec::new();
    for edge in edges {
        let mut on: Vec<(f64, usize)> = points
            .iter()
            .enumerate()
            .filter_map(|(number, point)| along(edge, *point).map(|along| (along, number)))
            .collect();
        on.sort_by(|a, b| a.0.total_cmp(&b.0));
        pieces.extend(on.windows(2).map(|pair| [pair[0].1, pair[1].1]));
    }
    (points, pieces)
}
