//! Gaps between solids so thin that nobody drew them: corners of sloped polygons that were rounded, mostly.

use super::check::place_of;
use super::{Edge, Filling, Plan};
use crate::finding::Diagnostic;
use crate::geometry::millimetres;
use crate::material::four_digits;
use crate::model::Model;

/// A strip of air or of nothing thinner than this (m) between solids is a gap that nobody meant.
pub const THIN_GAP: f64 = 2e-3;

/// A strip of nothing thinner than this (m) between a solid and what was painted beside it is a slip, too.
const THIN_NOTHING: f64 = 3e-2;

/// A thin gap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// On one side of it, m.
    pub at: [f64; 2],
    /// m.
    pub width: f64,
    /// What fills it.
    pub filling: Filling,
}

/// The thin gaps, one for each edge of solid before which there is one: square to the edge, from its middle, to the
/// next solid, or where nothing is painted to the next space.
pub fn gaps(plan: &Plan) -> Vec<Gap> {
    let all = plan.edges();
    let solid = all.iter().filter(|edge| edge.left.is_solid() != edge.right.is_solid());
    let edges: Vec<Edge> = solid.copied().map(Edge::with_solid_on_left).collect();
    // What is not painted ends at spaces too.
    let rims: Vec<Edge> = all
        .iter()
        .filter(|edge| {
            [edge.left, edge.right].contains(&Filling::Nothing)
                && edge.left.is_solid() == edge.right.is_solid()
        })
        .copied()
        .collect();
    // By the lowest x, so that only edges near by are looked at.
    let low = |edge: &Edge| edge.ends[0][0].min(edge.ends[1][0]);
    let high = |edge: &Edge| edge.ends[0][0].max(edge.ends[1][0]);
    let mut order: Vec<&Edge> = edges.iter().chain(&rims).collect();
    order.sort_by(|a, b| low(a).total_cmp(&low(b)));
    let longest = order.iter().map(|edge| high(edge) - low(edge)).fold(0.0, f64::max);
    let mut gaps: Vec<Gap> = Vec::new();
    for edge in &edges {
        let [from, to] = edge.ends;
        let length = edge.length();
        // To the right of its way, away from its solid.
        let normal = [(to[1] - from[1]) / length, (from[0] - to[0]) / length];
        let first = order.partition_point(|other| low(other) < low(edge) - longest - THIN_NOTHING);
        let near = order[first..].iter().take_while(|other| low(other) <= high(edge) + THIN_NOTHING);
        let near: Vec<&&Edge> = near.filter(|other| other.id != edge.id).collect();
        // Near its ends a wedge of air is thin too; in the middle it is what one would call its width.
        let at = edge.middle();
        let widest = if edge.right == Filling::Nothing { THIN_NOTHING } else { THIN_GAP };
        let width = near.iter().filter_map(|other| distance(at, normal, other.ends)).reduce(f64::min);
        if let Some(width) = width.filter(|width| *width < widest) {
            gaps.push(Gap { at, width, filling: edge.right });
        }
    }
    gaps
}

/// How far along a ray it meets a segment, m.
fn distance(from: [f64; 2], way: [f64; 2], [p, q]: [[f64; 2]; 2]) -> Option<f64> {
    let along = [q[0] - p[0], q[1] - p[1]];
    let to = [p[0] - from[0], p[1] - from[1]];
    let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    let whole = cross(way, along);
    if whole == 0.0 {
        return None;
    }
    let (far, part) = (cross(to, along) / whole, cross(to, way) / whole);
    (far > 0.0 && (0.0..=1.0).contains(&part)).then_some(far)
}

/// A warning for each filling of thin gaps, with the widest of them.
pub fn warnings(model: &Model, plan: &Plan) -> Vec<Diagnostic> {
    let mut widest: Vec<(Gap, usize)> = Vec::new();
    for gap in gaps(plan) {
        match widest.iter_mut().find(|(other, _)| other.filling == gap.filling) {
            Some((other, count)) => {
                *count += 1;
                if gap.width > other.width {
                    *other = gap;
                }
            }
            None => widest.push((gap, 1)),
        }
    }
    let warning = |(gap, count): (Gap, usize)| {
        let what = match gap.filling {
            Filling::Space(environment) => format!("air of `{}`", model.environments[environment].name),
            _ => "nothing".to_owned(),
        };
        let more = if count > 1 { format!(" ({count} edges lie at such gaps)") } else { String::new() };
        let message = format!(
            "a gap of {} mm beside a solid, at x = {} mm, y = {} mm, is filled with {what}{more}",
            four_digits(gap.width * 1e3),
            millimetres(gap.at[0]),
            millimetres(gap.at[1])
        );
        let hint = "polygons that should meet need the same corners: write these as expressions of the parameters, or let one overlap the other";
        Diagnostic::warning(place_of(model, gap.at), message).hint(hint)
    };
    widest.into_iter().map(warning).collect()
}
