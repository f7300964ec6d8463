//! What a level or upright line through a plan meets, one after the other.

use super::{Drawn, EdgeId, Filling, Plan, interval};
use crate::geometry::{Axis, FALL, SAME_EDGE, Span, Turn};

/// A stretch of one filling; on a raster, of one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// m.
    pub span: Span,
    /// What fills it.
    pub filling: Filling,
}

/// All stretches along a line across an axis, from below or from the left.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lane {
    /// One beside the other.
    pub steps: Vec<Step>,
    /// The piece of edge between each and the next.
    pub between: Vec<EdgeId>,
}

/// Why there is no lane at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoLane {
    /// It lies outside the extent.
    Outside,
    /// It runs along an edge between different fillings.
    OnAnEdge,
}

/// True if two rows of steps lead through the same fillings at the same places (m, to rounding).
pub fn are_like(one: &[Step], other: &[Step]) -> bool {
    are_like_within(one, other, SAME_EDGE)
}

/// The same where places may differ by so much, m.
pub fn are_like_within(one: &[Step], other: &[Step], within: f64) -> bool {
    let same = |a: f64, b: f64| (a - b).abs() < within;
    one.len() == other.len()
        && one.iter().zip(other).all(|(one, other)| {
            one.filling == other.filling
                && same(one.span.from, other.span.from)
                && same(one.span.to, other.span.to)
        })
}

impl Lane {
    /// The same without the bounds between cells of one filling.
    #[must_use]
    pub fn merged(&self) -> Self {
        let mut merged = Self::default();
        for (number, step) in self.steps.iter().enumerate() {
            match merged.steps.last_mut() {
                Some(last) if last.filling == step.filling => last.span.to = step.span.to,
                _ => {
                    if number > 0 {
                        merged.between.push(self.between[number - 1]);
                    }
                    merged.steps.push(*step);
                }
            }
        }
        merged
    }

    /// What lies at a place along it, m.
    pub fn at(&self, place: f64) -> Filling {
        let holds = |step: &&Step| step.span.contains(place);
        self.steps.iter().find(holds).map_or(Filling::Nothing, |step| step.filling)
    }
}

impl Plan {
    /// How many lanes there are along an axis.
    pub fn lanes(&self, axis: Axis) -> usize {
        self.lines(axis).len() - 1
    }

    /// The lane between two lines, in its middle.
    pub fn lane(&self, axis: Axis, lane: usize) -> Lane {
        let lines = self.lines(axis);
        self.within_lane(axis, lane, f64::midpoint(lines[lane], lines[lane + 1]))
    }

    /// The lane between two lines at a place between these or on one of them, m.
    pub fn within_lane(&self, axis: Axis, lane: usize, at: f64) -> Lane {
        match &self.drawn {
            Drawn::Raster(raster) => {
                let path = axis.across();
                let lines = self.lines(path);
                let cell = |index: usize| match axis {
                    Axis::X => raster.at(lane, index),
                    Axis::Y => raster.at(index, lane),
                };
                let face = |index: usize| match path {
                    Axis::X => EdgeId::face(path, index, lane),
                    Axis::Y => EdgeId::face(path, lane, index),
                };
                let count = lines.len() - 1;
                let step = |index: usize| Step {
                    span: Span { from: lines[index], to: lines[index + 1] },
                    filling: cell(index),
                };
                Lane { steps: (0..count).map(step).collect(), between: (1..count).map(face).collect() }
            }
            Drawn::Edges(edges) => edges.lane(axis, lane, at),
        }
    }

    /// True if a line across an axis does not cross a piece of edge squarely: but for a fall of 3°, which roofs and
    /// balconies have and no thickness feels.
    pub fn is_oblique(&self, id: EdgeId, axis: Axis) -> bool {
        let (Drawn::Edges(edges), EdgeId::Edge(number)) = (&self.drawn, id) else { return false };
        let [from, to] = edges.ends(number);
        let (along, across) = if axis == Axis::X { (0, 1) } else { (1, 0) };
        (from[across] - to[across]).abs() > FALL * (from[along] - to[along]).abs() + SAME_EDGE
    }

    /// The number of the lane that a place (m) lies in; on a line, both sides must be alike there, in a plan that is
    /// turned within a range.
    ///
    /// # Errors
    /// [`NoLane`].
    pub fn lane_at(&self, axis: Axis, at: f64, range: Option<Span>) -> Result<usize, NoLane> {
        let (lines, rounding) = (self.lines(axis), self.rounding());
        let last = lines.len() - 1;
        if at < lines[0] - rounding || at > lines[last] + rounding {
            return Err(NoLane::Outside);
        }
        let Some(line) = lines.iter().position(|line| (line - at).abs() <= rounding) else {
            return interval(lines, at).ok_or(NoLane::Outside);
        };
        if line == 0 || line == last {
            return Ok(line.min(last - 1));
        }
        let range = range.filter(|_| self.turn != Turn::NONE);
        let meets = |step: &Step| {
            range.is_none_or(|range| {
                step.span.from < range.to - rounding && range.from + rounding < step.span.to
            })
        };
        let [before, after] = [line - 1, line].map(|lane| {
            let mut lane = self.within_lane(axis, lane, lines[line]).merged();
            lane.steps.retain(meets);
            lane.steps
        });
        let has_solid = |steps: &[Step]| steps.iter().any(|step| step.filling.is_solid());
        // Nothing lies beside a solid that is cut; level ones may end in air.
        let ends = |solid: &[Step], beside: &[Step]| {
            let is_nothing = |step: &Step| {
                let middle = f64::midpoint(step.span.from, step.span.to);
                let beyond = beside.iter().find(|other| other.span.contains(middle));
                beyond.is_none_or(|other| other.filling == Filling::Nothing)
            };
            self.turn == Turn::NONE || solid.iter().filter(|step| step.filling.is_solid()).all(is_nothing)
        };
        match (has_solid(&before), has_solid(&after)) {
            // On the end of what is painted.
            (true, false) if ends(&before, &after) => Ok(line - 1),
            (false, true) if ends(&after, &before) => Ok(line),
            _ if are_like_within(&before, &after, rounding) => Ok(line),
            _ => Err(NoLane::OnAnEdge),
        }
    }
}
