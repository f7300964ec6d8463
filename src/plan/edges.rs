//! A plan with slopes: the edges between different fillings, in any direction.

use super::joining::{JOINED, join};
use super::lane::{Lane, Step};
use super::lines::index_of;
use super::{Edge, EdgeId, Filling, interval};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, SAME_EDGE, Span, Turn};
use crate::model::{Area, Model, Polygon, Shape, SurfaceRule};
use crate::polygons::faces::Faces;
use crate::polygons::{self, Arrangement, Drawing, Outline, Stroke, TriangulationError};

/// What was painted, as edges.
#[derive(Clone, Debug)]
pub struct Edges {
    /// The edges. Fillings are numbered as the model's materials and environments are.
    pub arrangement: Arrangement,
    /// What lies between them.
    pub faces: Faces,
    /// Along x and along y, where edges begin or end, rising, m.
    lines: [Vec<f64>; 2],
    /// By point of the arrangement, the lines that it lies on.
    lines_of: Vec<[usize; 2]>,
}

/// The plan of a model as polygons, m, numbered as its materials and environments are. The shapes come first, in
/// their order, one stroke for each of their polygons; then the parts of the air.
pub fn drawing(model: &Model) -> Drawing {
    let stroke =
        |filling: Filling, Polygon { outline, holes }| Stroke { filling: filling.into(), outline, holes };
    let shapes = model.plan.iter().flat_map(|shape| {
        polygons_of(model, &shape.area).into_iter().map(|polygon| stroke(shape.paint.into(), polygon))
    });
    let parts = model.cavities.iter().flat_map(|cavity| {
        let areas = cavity.part.iter().flat_map(|part| &part.rectangles);
        areas
            .filter_map(|area| area.within(model.extent))
            .map(|area| stroke(Filling::Solid(cavity.material), Polygon::of(area.corners().to_vec())))
    });
    let mut strokes: Vec<Stroke> = shapes.chain(parts).collect();
    let corners = model.corners();
    // Corners of rectangles lie where they are written.
    if !model.is_level() {
        join(&mut strokes, &corners);
    }
    // Resistances change at the edges of the areas that rules hold in.
    let areas = model.surfaces.iter().flat_map(|rule| polygons_of(model, &rule.within));
    Drawing { strokes, extent: corners, cuts: areas.map(|area| area.outline).collect() }
}

/// What of an area counts, as polygons. Rectangles end at the extent; beyond it nothing is painted of others.
pub(super) fn polygons_of(model: &Model, area: &Area) -> Vec<Polygon> {
    match area {
        Area::Rectangles(areas) => {
            let within = areas.iter().filter_map(|area| area.within(model.extent));
            within.map(|area| Polygon::of(area.corners().to_vec())).collect()
        }
        Area::Polygon(_) | Area::Round(_) => area.polygons(),
    }
}

/// How many polygons a shape is painted as.
pub(super) fn strokes_of(model: &Model, shape: &Shape) -> usize {
    polygons_of(model, &shape.area).len()
}

impl From<Filling> for polygons::Filling {
    fn from(filling: Filling) -> Self {
        match filling {
            Filling::Nothing => Self::Nothing,
            Filling::Solid(material) => Self::Solid(material.index() as u32),
            Filling::Space(environment) => Self::Space(environment.index() as u32),
        }
    }
}

impl Edges {
    /// Paints the shapes of a model; faults of polygons become errors.
    pub(super) fn of(model: &Model, diagnostics: &mut Vec<Diagnostic>) -> Option<Self> {
        let drawing = drawing(model);
        let found = Arrangement::of(&drawing).and_then(|arrangement| {
            let faces = Faces::of(&arrangement)?;
            Ok((arrangement, faces))
        });
        match found {
            Ok((arrangement, faces)) => {
                let lines = [0, 1].map(|axis| {
                    let ends = [model.extent.x, model.extent.y][axis];
                    let of_points = arrangement.points.iter().map(|point| point[axis]);
                    distinct(of_points.chain([ends.from, ends.to]).collect())
                });
                let lines_of = arrangement
                    .points
                    .iter()
                    .map(|point| [0, 1].map(|axis| index_of(&lines[axis], point[axis])));
                let lines_of = lines_of.collect();
                Some(Self { arrangement, faces, lines, lines_of })
            }
            Err(error) => {
                diagnostics.push(fault(model, error));
                None
            }
        }
    }

    /// The same edges in a drawing that is turned. Corners that its author rounded lie beside each other there: lines
    /// within `rounded` (m) are one.
    #[must_use]
    pub(super) fn turned(&self, turn: Turn, rounded: f64) -> Self {
        let mut arrangement = self.arrangement.clone();
        arrangement.points.iter_mut().for_each(|point| *point = turn.onto(*point));
        let of_axis =
            |axis: usize| -> Vec<f64> { arrangement.points.iter().map(|point| point[axis]).collect() };
        let lines = [0, 1].map(|axis| {
            let mut lines = merged(of_axis(axis), rounded);
            // A drawing so small has two lines all the same.
            if lines.len() < 2 {
                lines.push(of_axis(axis).into_iter().fold(f64::NEG_INFINITY, f64::max));
            }
            lines
        });
        let line = |axis: usize, place: f64| lines[axis].partition_point(|line| *line <= place).max(1) - 1;
        let lines_of = arrangement.points.iter().map(|point| [0, 1].map(|axis| line(axis, point[axis])));
        let lines_of = lines_of.collect();
        Self { arrangement, faces: self.faces.clone(), lines, lines_of }
    }

    /// Where edges begin or end along an axis, rising, m.
    pub fn lines(&self, axis: Axis) -> &[f64] {
        match axis {
            Axis::X => &self.lines[0],
            Axis::Y => &self.lines[1],
        }
    }

    /// All edges between different fillings.
    pub fn edges(&self) -> Vec<Edge> {
        let edge = |(number, segment): (usize, &polygons::Segment)| Edge {
            id: EdgeId::Edge(number),
            ends: segment.ends.map(|end| self.arrangement.points[end as usize]),
            left: segment.left.into(),
            right: segment.right.into(),
        };
        self.arrangement.segments.iter().enumerate().map(edge).collect()
    }

    /// The ends of an edge, m.
    pub fn ends(&self, number: usize) -> [[f64; 2]; 2] {
        self.arrangement.segments[number].ends.map(|end| self.arrangement.points[end as usize])
    }

    /// By stroke of the drawing, whether anything of it can be seen.
    pub fn is_seen(&self) -> &[bool] {
        &self.arrangement.is_seen
    }

    /// What the line at a place (m) within a lane, or on a bound of it, meets.
    pub(super) fn lane(&self, axis: Axis, lane: usize, at: f64) -> Lane {
        let (along, across) = if axis == Axis::X { (0, 1) } else { (1, 0) };
        let middle = f64::midpoint(self.lines[along][lane], self.lines[along][lane + 1]);
        // Where the line crosses each edge; edges that meet on it are told apart in the middle of the lane.
        let mut crossed: Vec<(f64, f64, usize, Filling)> = Vec::new();
        for (number, segment) in self.arrangement.segments.iter().enumerate() {
            let [from, to] = segment.ends.map(|end| self.lines_of[end as usize][along]);
            if from.min(to) > lane || from.max(to) <= lane {
                continue;
            }
            let [p, q] = segment.ends.map(|end| self.arrangement.points[end as usize]);
            let place = |at: f64| {
                let part = ((at - p[along]) / (q[along] - p[along])).clamp(0.0, 1.0);
                // Exact along level and upright edges.
                if p[across] == q[across] { p[across] } else { p[across] + part * (q[across] - p[across]) }
            };
            // Upwards along x, what lies beyond (higher y) is on the left; along y, what lies beyond (higher x)
            // is on the right.
            let beyond = if (from < to) == (axis == Axis::X) { segment.left } else { segment.right };
            crossed.push((place(at), place(middle), number, beyond.into()));
        }
        crossed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut found = Lane::default();
        for pair in crossed.windows(2) {
            let [(from, _, number, filling), (to, ..)] = [pair[0], pair[1]];
            if to - from < SAME_EDGE {
                continue;
            }
            if !found.steps.is_empty() {
                found.between.push(EdgeId::Edge(number));
            }
            found.steps.push(Step { span: Span { from, to }, filling });
        }
        found
    }

    /// What fills a point, m; none outside the extent.
    pub fn filling_at(&self, x: f64, y: f64) -> Option<Filling> {
        let lane = interval(&self.lines[0], x)?;
        interval(&self.lines[1], y)?;
        Some(self.lane(Axis::X, lane, x).at(y))
    }
}

/// Corners in one line that is just not level or upright lie so near on its axis, m: no drawing has that of its own.
pub(super) const JUST_OFF: f64 = 4.0 * JOINED;

/// Values in rising order, each once: those that are hardly apart are one, the lowest of them, and of the last the
/// highest.
fn distinct(values: Vec<f64>) -> Vec<f64> {
    let highest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut lines = merged(values, JUST_OFF);
    if let [_, .., last] = lines.as_mut_slice() {
        *last = highest;
    }
    lines
}

fn merged(mut values: Vec<f64>, within: f64) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values.dedup_by(|value, kept| *value - *kept < within);
    values
}

/// A fault of the drawing, at the shape that has it.
fn fault(model: &Model, error: TriangulationError) -> Diagnostic {
    let outline = match error {
        TriangulationError::OutOfRange { outline, .. }
        | TriangulationError::TooFewVertices { outline, .. }
        | TriangulationError::NoArea { outline }
        | TriangulationError::CrossesItself { outline, .. }
        | TriangulationError::OverlapsItself { outline, .. } => Some(outline),
        TriangulationError::TooManyPoints { .. } | TriangulationError::Unsettled => None,
    };
    let of_stroke = |number: usize| {
        let owner = |shape: &Shape| std::iter::repeat_n(shape.place, strokes_of(model, shape));
        model.plan.iter().flat_map(owner).nth(number).flatten()
    };
    let of_cut = |number: usize| {
        let owner =
            |rule: &SurfaceRule| std::iter::repeat_n(rule.place, polygons_of(model, &rule.within).len());
        model.surfaces.iter().flat_map(owner).nth(number).flatten()
    };
    let place = match outline {
        Some(Outline::Stroke(number) | Outline::Hole { stroke: number, .. }) => of_stroke(number),
        Some(Outline::Cut(number)) => of_cut(number),
        Some(Outline::Extent) | None => None,
    };
    let hint = match error {
        TriangulationError::TooManyPoints { .. } => "leave out details that do not matter for heat",
        TriangulationError::Unsettled => "let edges that should meet have the same corners",
        TriangulationError::CrossesItself { .. } | TriangulationError::OverlapsItself { .. } => {
            "list the corners in order round the shape, or make it two polygons"
        }
        _ => "a polygon needs three corners that are not on one line, in mm",
    };
    let message = match error {
        TriangulationError::NoArea { .. } | TriangulationError::TooFewVertices { .. } => {
            "this shape encloses no area once corners within 0.005 mm are joined".to_owned()
        }
        TriangulationError::CrossesItself { .. } | TriangulationError::OverlapsItself { .. } => {
            "this shape crosses itself once corners within 0.005 mm are joined".to_owned()
        }
        _ => error.to_string(),
    };
    Diagnostic::error(place.or(model.extent_place), message).hint(hint)
}
