//! The border of what is painted, walked round its corners, and the runs of solid on it.

use crate::geometry::{Axis, Span, millimetres};
use crate::model::EnvironmentId;
use crate::plan::{Filling, Plan};

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

    pub(super) fn joins(&self, [first, second]: &[Vec<EnvironmentId>; 2]) -> bool {
        let [one, other] = self.environments;
        (first.contains(&one) && second.contains(&other)) || (first.contains(&other) && second.contains(&one))
    }
}

/// The border of what is painted, with its runs.
pub(super) struct Border {
    pub(super) edges: Vec<Edge>,
    pub(super) runs: Vec<Run>,
}

impl Border {
    pub(super) fn of(plan: &Plan) -> Option<Self> {
        let cells = || (0..plan.rows()).flat_map(|j| (0..plan.columns()).map(move |i| (i, j)));
        let painted = || cells().filter(|(i, j)| plan.at(*i, *j) != Filling::Nothing);
        let (left, right) = (painted().map(|(i, _)| i).min()?, painted().map(|(i, _)| i).max()?);
        let (bottom, top) = (painted().map(|(_, j)| j).min()?, painted().map(|(_, j)| j).max()?);
        let edge = |axis, line: f64, lane, inwards| Edge { axis, at: line, lane, inwards };
        let edges = vec![
            edge(Axis::Y, plan.ys[bottom], bottom, 1),
            edge(Axis::X, plan.xs[right + 1], right, -1),
            edge(Axis::Y, plan.ys[top + 1], top, -1),
            edge(Axis::X, plan.xs[left], left, 1),
        ];
        let columns = |i: usize, edge: usize| (edge, i, Span { from: plan.xs[i], to: plan.xs[i + 1] });
        let rows = |j: usize, edge: usize| (edge, j, Span { from: plan.ys[j], to: plan.ys[j + 1] });
        let mut walk: Vec<(usize, usize, Span)> = (left..=right).map(|i| columns(i, 0)).collect();
        walk.extend((bottom..=top).map(|j| rows(j, 1)));
        walk.extend((left..=right).rev().map(|i| columns(i, 2)));
        walk.extend((bottom..=top).rev().map(|j| rows(j, 3)));
        let filling = |(edge, index, _): &(usize, usize, Span)| across(plan, &edges[*edge], *index);
        let start = walk.iter().position(|cell| !filling(cell).is_solid());
        let mut runs = Vec::new();
        if let Some(start) = start {
            walk.rotate_left(start);
            walk.push(walk[0]);
            let mut before = Filling::Nothing;
            let mut parts: Vec<(Edge, Span)> = Vec::new();
            for cell in &walk {
                let here = filling(cell);
                let (edge, span) = (edges[cell.0], cell.2);
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
        Some(Self { edges, runs })
    }

    /// The edges of an axis at which all stated lengths of an element end.
    pub(super) fn ends(&self, axis: Axis, spans: &[Option<Span>; 3]) -> Vec<Edge> {
        let ends_at = |edge: &Edge| {
            let meets =
                |span: &Span| [span.from, span.to].iter().any(|end| (end - edge.at).abs() < AT_THE_PLANE);
            spans.iter().flatten().all(meets) && spans.iter().any(Option::is_some)
        };
        self.edges.iter().filter(|edge| edge.axis == axis && ends_at(edge)).copied().collect()
    }
}

pub(super) fn across(plan: &Plan, edge: &Edge, index: usize) -> Filling {
    match edge.axis {
        Axis::X => plan.at(edge.lane, index),
        Axis::Y => plan.at(index, edge.lane),
    }
}

pub(super) fn described(axis: Axis, at: f64) -> String {
    format!("{} = {} mm", axis.letter(), millimetres(at))
}

/// `y = -1200 mm, x from 0 to 386 mm`.
pub(super) fn place(run: &Run) -> String {
    let part = |(edge, span): &(Edge, Span)| {
        let letter = edge.axis.across().letter();
        format!(
            "{}, {letter} from {} to {} mm",
            described(edge.axis, edge.at),
            millimetres(span.from),
            millimetres(span.to)
        )
    };
    run.parts.iter().map(part).collect::<Vec<_>>().join(" and ")
}

/// How far, from an edge inwards, the plan stays as it is on the edge, over a stretch of it and one cell more
/// on either side; m.
pub(super) fn undisturbed(plan: &Plan, edge: Edge, span: Span) -> f64 {
    let (lines, own) = match edge.axis {
        Axis::X => (&plan.ys, &plan.xs),
        Axis::Y => (&plan.xs, &plan.ys),
    };
    let touched: Vec<usize> = (0..lines.len() - 1)
        .filter(|index| lines[*index] < span.to + 1e-9 && span.from - 1e-9 < lines[*index + 1])
        .collect();
    let mut lane = edge.lane;
    let mut length = 0.0;
    loop {
        let here = Edge { lane, ..edge };
        if touched.iter().any(|index| across(plan, &here, *index) != across(plan, &edge, *index)) {
            return length;
        }
        length += own[lane + 1] - own[lane];
        match lane.checked_add_signed(edge.inwards).filter(|next| *next < own.len() - 1) {
            Some(next) => lane = next,
            None => return length,
        }
    }
}
