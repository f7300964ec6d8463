//! The border of what is painted, walked round its corners, and the runs of solid on it.

use super::outline::{self, Slope};
use super::views::described;
use crate::geometry::{Axis, SAME_EDGE, Span, Turn, millimetres};
use crate::model::{EnvironmentId, Psi};
use crate::plan::{Drawn, Filling, Lane, Plan, Step, are_like_within};

/// A length ends at a plane if it does so to within this, m.
pub(super) const AT_THE_PLANE: f64 = 1e-3;

/// An edge of what is painted: the plane `axis = at`, beside row or column `lane`, cells `inwards` (+1 or −1)
/// from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Edge {
    pub(super) axis: Axis,
    pub(super) at: f64,
    pub(super) lane: usize,
    pub(super) inwards: isize,
    /// Lengths that end so near (m) end there.
    pub(super) near: f64,
}

/// A run of solid on the border, from one environment to another.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub(super) environments: [EnvironmentId; 2],
    /// The straight parts, each a stretch of an edge.
    pub(super) parts: Vec<(Edge, Span)>,
}

impl Run {
    pub(super) fn on(&self, axis: Axis, at: f64) -> impl Iterator<Item = Span> + '_ {
        let is_there = move |edge: &Edge| edge.axis == axis && (edge.at - at).abs() < AT_THE_PLANE;
        self.parts.iter().filter(move |(edge, _)| is_there(edge)).map(|(_, span)| *span)
    }

    pub(super) fn overlaps(&self, axis: Axis, at: f64, range: Option<Span>) -> bool {
        self.on(axis, at).any(|span| range.is_none_or(|range| span.from < range.to && range.from < span.to))
    }

    pub(super) fn joins(&self, sides: &[Vec<EnvironmentId>; 2]) -> bool {
        join(self.environments, sides)
    }

    /// True if it lies on a plane of symmetry.
    pub(super) fn is_symmetric(&self, psi: &Psi) -> bool {
        psi.symmetry.iter().any(|plane| self.overlaps(plane.axis, plane.at, plane.range))
    }
}

/// True if one of two environments is on either side.
pub(super) fn join([one, other]: [EnvironmentId; 2], [first, second]: &[Vec<EnvironmentId>; 2]) -> bool {
    (first.contains(&one) && second.contains(&other)) || (first.contains(&other) && second.contains(&one))
}

/// The border of what is painted, with its runs.
pub(super) struct Border {
    pub(super) edges: Vec<Edge>,
    pub(super) runs: Vec<Run>,
    /// Cuts that run along no axis.
    pub(super) slopes: Vec<Slope>,
}

impl Border {
    /// Of a plan that is one of several views, turned so.
    pub(super) fn of(plan: &Plan, turns: &[Turn]) -> Option<Self> {
        let is_painted = |axis: Axis, lane: &usize| {
            plan.lane(axis, *lane).steps.iter().any(|step| step.filling != Filling::Nothing)
        };
        let painted = |axis: Axis| {
            let first = (0..plan.lanes(axis)).find(|lane| is_painted(axis, lane))?;
            Some((first, (0..plan.lanes(axis)).rfind(|lane| is_painted(axis, lane))?))
        };
        let ((left, right), (bottom, top)) = (painted(Axis::X)?, painted(Axis::Y)?);
        let (xs, ys) = (plan.lines(Axis::X), plan.lines(Axis::Y));
        let edge =
            |axis, line: f64, lane, inwards| Edge { axis, at: line, lane, inwards, near: AT_THE_PLANE };
        let edges = vec![
            edge(Axis::Y, ys[bottom], bottom, 1),
            edge(Axis::X, xs[right + 1], right, -1),
            edge(Axis::Y, ys[top + 1], top, -1),
            edge(Axis::X, xs[left], left, 1),
        ];
        if let Drawn::Edges(drawn) = &plan.drawn {
            let (runs, slopes) = outline::cuts(drawn, plan.turn, turns);
            let mut edges = edges;
            for (edge, _) in runs.iter().flat_map(|run| &run.parts) {
                if !edges.iter().any(|own| own.axis == edge.axis && (own.at - edge.at).abs() < AT_THE_PLANE) {
                    edges.push(*edge);
                }
            }
            return Some(Self { edges, runs, slopes });
        }
        // What lies just inside each edge, from corner to corner of what is painted.
        let ends = [(xs[left], xs[right + 1]), (ys[bottom], ys[top + 1])];
        let along = |edge: usize| {
            let (low, high) = if edges[edge].axis == Axis::Y { ends[0] } else { ends[1] };
            let mut steps: Vec<(usize, Span, Filling)> = Vec::new();
            for step in on_edge(plan, &edges[edge]).steps {
                let span = Span { from: step.span.from.max(low), to: step.span.to.min(high) };
                if span.length() > SAME_EDGE {
                    steps.push((edge, span, step.filling));
                }
            }
            steps
        };
        let mut walk = along(0);
        walk.extend(along(1));
        walk.extend(along(2).into_iter().rev());
        walk.extend(along(3).into_iter().rev());
        let filling = |step: &(usize, Span, Filling)| step.2;
        let start = walk.iter().position(|step| !filling(step).is_solid());
        let mut runs = Vec::new();
        if let Some(start) = start {
            walk.rotate_left(start);
            walk.push(walk[0]);
            let mut before = Filling::Nothing;
            let mut parts: Vec<(Edge, Span)> = Vec::new();
            for step in &walk {
                let here = filling(step);
                let (edge, span) = (edges[step.0], step.1);
                if here.is_solid() {
                    match parts.last_mut() {
                        Some((last, whole)) if *last == edge => {
                            *whole = Span { from: whole.from.min(span.from), to: whole.to.max(span.to) };
                        }
                        _ => parts.push((edge, span)),
                    }
                    continue;
                }
                let parts = std::mem::take(&mut parts);
                if let (Filling::Space(one), Filling::Space(other), false) = (before, here, parts.is_empty())
                {
                    runs.push(Run { environments: [one, other], parts });
                }
                before = here;
            }
        }
        Some(Self { edges, runs, slopes: Vec::new() })
    }

    /// The edges of an axis at which all stated lengths of an element end.
    pub(super) fn ends(&self, axis: Axis, spans: &[Option<Span>; 3]) -> Vec<Edge> {
        let ends_at = |edge: &Edge| {
            let meets =
                |span: &Span| [span.from, span.to].iter().any(|end| (end - edge.at).abs() < edge.near);
            spans.iter().flatten().all(meets) && spans.iter().any(Option::is_some)
        };
        self.edges.iter().filter(|edge| edge.axis == axis && ends_at(edge)).copied().collect()
    }
}

/// What lies just inside an edge.
pub(super) fn on_edge(plan: &Plan, edge: &Edge) -> Lane {
    plan.within_lane(edge.axis, edge.lane, edge.at)
}

/// `y = -1200 mm, x from 0 to 386 mm`; on a slope, `[0, 0] to [-172, 246] mm`.
pub(super) fn place(plan: &Plan, run: &Run) -> String {
    let part = |(edge, span): &(Edge, Span)| {
        let end = |across: f64| described(plan, edge.axis, edge.at, across);
        if plan.turn != Turn::NONE {
            return format!("{} to {}", end(span.from).trim_end_matches(" mm"), end(span.to));
        }
        let letter = edge.axis.across().letter();
        format!("{}, {letter} from {} to {} mm", end(span.from), millimetres(span.from), millimetres(span.to))
    };
    run.parts.iter().map(part).collect::<Vec<_>>().join(" and ")
}

/// How far, from an edge inwards, the plan stays as it is on the edge, over a stretch of it and one cell more
/// on either side; m.
pub(super) fn undisturbed(plan: &Plan, edge: Edge, span: Span) -> f64 {
    let own = plan.lines(edge.axis);
    let reach = plan.rounding();
    let touched = |lane: &Lane| -> Vec<Step> {
        let meets = |step: &&Step| step.span.from < span.to + reach && span.from - reach < step.span.to;
        lane.steps.iter().filter(meets).copied().collect()
    };
    let on_edge = touched(&on_edge(plan, &edge));
    let mut lane = edge.lane;
    let mut length = 0.0;
    loop {
        if !are_like_within(&touched(&plan.lane(edge.axis, lane)), &on_edge, plan.likeness()) {
            return length;
        }
        length += own[lane + 1] - own[lane];
        match lane.checked_add_signed(edge.inwards).filter(|next| *next < own.len() - 1) {
            Some(next) => lane = next,
            None => return length,
        }
    }
}
