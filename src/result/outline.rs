//! Where a plan with slopes is cut: along the outline of what is painted, in any direction.
//!
//! A cut is a chain of edges between solid and nothing that leads from a surface towards one environment to one
//! towards another. It is a cut-off plane if the spaces end there too, in line with it: where a convention leaves a
//! window unpainted, the spaces go on beside it.

use super::border::{AT_THE_PLANE, Edge, Run};
use crate::geometry::{Axis, FALL, SAME_PLACE, Span, Stretch, Turn};
use crate::model::{EnvironmentId, Model};
use crate::plan::joining::JOINED;
use crate::plan::surface::Surfaces;
use crate::plan::{self, Edges, Filling, ROUNDED};

/// Directions are one if they turn by less than this, rad.
const STRAIGHT: f64 = 1e-3;
/// The end of a space goes on in line with a cut if it turns by less than 45°: cuts may be askew, and what is left
/// unpainted beside them is at right angles.
const IN_LINE: f64 = 0.7;

/// A cut that runs along no axis.
#[derive(Clone, Debug)]
pub(super) struct Slope {
    pub(super) environments: [EnvironmentId; 2],
    /// Its edges, one after the other, with the solid on the left.
    edges: Vec<plan::Edge>,
    /// The surface that leads to its first end, and the one that goes on from its last.
    surfaces: [Straight; 2],
}

/// A straight surface that ends at a cut.
#[derive(Clone, Copy, Debug)]
struct Straight {
    edge: plan::Edge,
    environment: EnvironmentId,
    /// m.
    length: f64,
    /// Its other end, m.
    far: [f64; 2],
}

impl Slope {
    /// m.
    pub(super) fn ends(&self) -> [[f64; 2]; 2] {
        let [first, .., last] = self.edges.as_slice() else { return self.edges[0].ends };
        [first.ends[0], last.ends[1]]
    }

    /// How thick what is cut is, m.
    pub(super) fn thickness(&self) -> f64 {
        self.edges.iter().map(plan::Edge::length).sum()
    }

    /// By how much it is off square to either surface, at most, rad.
    pub(super) fn off_square(&self) -> f64 {
        let [from, to] = self.ends();
        let cut = [to[0] - from[0], to[1] - from[1]];
        let off = |surface: &Straight| {
            let way = direction(surface.edge.ends);
            let along = (cut[0] * way[0] + cut[1] * way[1]).abs() / libm::hypot(cut[0], cut[1]);
            libm::asin(along.min(1.0))
        };
        self.surfaces.iter().map(off).fold(0.0, f64::max)
    }

    /// U of the layers that are cut, W/(m²K).
    pub(super) fn u_value(&self, model: &Model, surfaces: &Surfaces) -> f64 {
        let films = self.surfaces.iter().filter_map(|surface| surfaces.at(surface.edge.id));
        let layers = self.edges.iter().filter_map(|edge| {
            let Filling::Solid(material) = edge.left else { return None };
            let conductivity = model.materials[material].conductivity_along(direction(edge.ends));
            Some(edge.length() / conductivity)
        });
        1.0 / (films.map(|film| film.resistance).sum::<f64>() + layers.sum::<f64>())
    }

    /// True if any layer is air that the solution settles.
    pub(super) fn has_cavity(&self, model: &Model) -> bool {
        self.edges
            .iter()
            .any(|edge| model.cavities.iter().any(|cavity| edge.left == Filling::Solid(cavity.material)))
    }

    /// How long the straight surface towards one of some environments is that ends here, m.
    pub(super) fn surface_length(&self, towards: &[EnvironmentId]) -> Option<f64> {
        self.surfaces
            .iter()
            .find(|surface| towards.contains(&surface.environment))
            .map(|surface| surface.length)
    }

    /// True if a straight surface leads from this cut to another.
    pub(super) fn leads_to(&self, other: &Self) -> bool {
        let ends = other.ends();
        self.surfaces.iter().any(|surface| ends.contains(&surface.far))
    }
}

/// The cuts of a plan of edges: those along an axis as runs, the others. Of a plan that is one of several views, the
/// runs are those that no other view is nearer to, and what is a run in a view is no slope of the drawing as it is.
pub(super) fn cuts(edges: &Edges, turn: Turn, turns: &[Turn]) -> (Vec<Run>, Vec<Slope>) {
    let all: Vec<plan::Edge> = edges.edges().into_iter().map(plan::Edge::with_solid_on_left).collect();
    let outline: Vec<&plan::Edge> =
        all.iter().filter(|edge| edge.left.is_solid() && edge.right == Filling::Nothing).collect();
    let (mut runs, mut slopes) = (Vec::new(), Vec::new());
    for first in outline.iter().filter(|edge| !outline.iter().any(|other| other.ends[1] == edge.ends[0])) {
        let mut chain: Vec<plan::Edge> = vec![**first];
        // A chain has no more edges than there are.
        while chain.len() <= outline.len() {
            let end = chain[chain.len() - 1].ends[1];
            let Some(next) = outline.iter().find(|edge| edge.ends[0] == end) else { break };
            chain.push(**next);
        }
        let Some(surfaces) = surfaces(&all, &chain) else { continue };
        if !spaces_end(&all, &chain) {
            continue;
        }
        let environments = surfaces.map(|surface| surface.environment);
        let own = seen_in(&chain, turn, turns);
        if own == Some(turn) {
            let parts = if turn == Turn::NONE { parts(edges, &chain) } else { turned_parts(edges, &chain) };
            runs.push(Run { environments, parts });
        } else if own.is_none() && turn == Turn::NONE {
            slopes.push(Slope { environments, edges: chain, surfaces });
        }
    }
    (runs, slopes)
}

/// The view that a chain is a run of, which is one of a turned plan: that in which any straight part of it lies along an
/// axis, the drawing as it is before all others, to within a fall in these.
fn seen_in(chain: &[plan::Edge], turn: Turn, turns: &[Turn]) -> Option<Turn> {
    let drawn = |stretch: Stretch| Stretch { from: turn.back(stretch.from), to: turn.back(stretch.to) };
    let straight: Vec<Stretch> = straight_parts(chain).into_iter().map(drawn).collect();
    let longest = straight.iter().max_by(|a, b| a.length().total_cmp(&b.length()))?;
    let own = Turn::laying(longest.way());
    let sloped = turns.iter().filter(|other| **other != Turn::NONE && other.off(own) <= FALL);
    let nearest = sloped.min_by(|a, b| a.off(own).total_cmp(&b.off(own))).copied();
    let off_level = |stretch: &Stretch| stretch.along(Axis::X).length().min(stretch.along(Axis::Y).length());
    if straight.iter().any(|part| off_level(part) < 2.0 * JOINED) {
        // The whole drawing may be turned by next to nothing.
        let is_turned = |nearest: &Turn| {
            let off = off_level(longest);
            off > SAME_PLACE && nearest.off(own) * longest.length() < 0.1 * off
        };
        return nearest.filter(is_turned).or(Some(Turn::NONE));
    }
    nearest
}

/// The straight parts of a chain, whatever they are made of.
fn straight_parts(chain: &[plan::Edge]) -> Vec<Stretch> {
    chain
        .chunk_by(|one, other| is_straight(one.ends, other.ends))
        .map(|part| Stretch { from: part[0].ends[0], to: part[part.len() - 1].ends[1] })
        .collect()
}

/// The surfaces at both ends of a chain; none if one of these is no surface.
fn surfaces(all: &[plan::Edge], chain: &[plan::Edge]) -> Option<[Straight; 2]> {
    let (first, last) = (chain.first()?, chain.last()?);
    let before = all.iter().find(|edge| edge.left.is_solid() && edge.ends[1] == first.ends[0])?;
    let after = all.iter().find(|edge| edge.left.is_solid() && edge.ends[0] == last.ends[1])?;
    Some([straight(all, before, 0)?, straight(all, after, 1)?])
}

/// The surface of an edge as far as it is straight, from the cut: against its way (0) or along it (1).
fn straight(all: &[plan::Edge], edge: &plan::Edge, far: usize) -> Option<Straight> {
    let (_, environment) = edge.left.meeting(edge.right)?;
    let mut length = edge.length();
    let mut last = *edge;
    for _ in 0..all.len() {
        let goes_on = |other: &&plan::Edge| {
            other.left.is_solid()
                && other.right == edge.right
                && other.ends[1 - far] == last.ends[far]
                && is_straight(edge.ends, other.ends)
        };
        let Some(next) = all.iter().find(goes_on) else { break };
        length += next.length();
        last = *next;
    }
    Some(Straight { edge: *edge, environment, length, far: last.ends[far] })
}

/// True if the space at either end of a chain ends in line with it, or at the extent.
fn spaces_end(all: &[plan::Edge], chain: &[plan::Edge]) -> bool {
    let ends_at = |edge: &plan::Edge, end: [f64; 2]| {
        all.iter().any(|other| {
            let is_rim = matches!(
                (other.left, other.right),
                (Filling::Space(_), Filling::Nothing) | (Filling::Nothing, Filling::Space(_))
            );
            is_rim && other.ends.contains(&end) && turn(edge.ends, other.ends) < IN_LINE
        })
    };
    let [first, .., last] = chain else {
        return chain.iter().any(|edge| edge.ends.iter().any(|end| ends_at(edge, *end)));
    };
    ends_at(first, first.ends[0]) || ends_at(last, last.ends[1])
}

fn direction([from, to]: [[f64; 2]; 2]) -> [f64; 2] {
    let way = [to[0] - from[0], to[1] - from[1]];
    let length = libm::hypot(way[0], way[1]);
    [way[0] / length, way[1] / length]
}

fn is_straight(one: [[f64; 2]; 2], other: [[f64; 2]; 2]) -> bool {
    turn(one, other) < STRAIGHT
}

/// The sine of the angle between two lines.
fn turn(one: [[f64; 2]; 2], other: [[f64; 2]; 2]) -> f64 {
    let (one, other) = (direction(one), direction(other));
    (one[0] * other[1] - one[1] * other[0]).abs()
}

/// The straight parts of a chain that run along an axis.
fn parts(edges: &Edges, chain: &[plan::Edge]) -> Vec<(Edge, Span)> {
    let mut parts: Vec<(Edge, Span)> = Vec::new();
    for edge in chain {
        let [from, to] = edge.ends;
        let (axis, across, along) = if (from[0] - to[0]).abs() < 2.0 * JOINED {
            (Axis::X, 0, 1)
        } else if (from[1] - to[1]).abs() < 2.0 * JOINED {
            (Axis::Y, 1, 0)
        } else {
            continue;
        };
        // Upwards, the solid on the left lies at lower x; to the right, at higher y.
        let is_rising = to[along] > from[along];
        let inwards = if is_rising == (axis == Axis::Y) { 1 } else { -1 };
        let lines = edges.lines(axis);
        let line = plan::nearest_line(lines, from[across]);
        let lane = if inwards > 0 { line.min(lines.len() - 2) } else { line.saturating_sub(1) };
        let part = Edge { axis, at: lines[line], lane, inwards, near: AT_THE_PLANE };
        let span = Span { from: from[along].min(to[along]), to: from[along].max(to[along]) };
        match parts.last_mut() {
            Some((last, whole)) if *last == part => {
                *whole = Span { from: whole.from.min(span.from), to: whole.to.max(span.to) };
            }
            _ => parts.push((part, span)),
        }
    }
    parts
}

/// The straight parts of a chain that run along an axis of a turned plan, to within a fall: each as long as the chain
/// keeps to it, at the middle of where that lies.
fn turned_parts(edges: &Edges, chain: &[plan::Edge]) -> Vec<(Edge, Span)> {
    let runs_along = |edge: &plan::Edge| edge.stretch().axis_within(FALL);
    let part = |chain: &[plan::Edge]| {
        let (first, last) = (&chain[0], &chain[chain.len() - 1]);
        let whole = Stretch { from: first.ends[0], to: last.ends[1] };
        let along = runs_along(first)?;
        let axis = along.across();
        let index = usize::from(along == Axis::Y);
        let is_rising = whole.to[index] > whole.from[index];
        let inwards = if is_rising == (axis == Axis::Y) { 1 } else { -1 };
        let at = whole.middle()[1 - index];
        let lines = edges.lines(axis);
        let line = plan::nearest_line(lines, at);
        let lane = if inwards > 0 { line.min(lines.len() - 2) } else { line.saturating_sub(1) };
        let near = 2.0 * ROUNDED + 0.5 * whole.along(axis).length();
        Some((Edge { axis, at, lane, inwards, near }, whole.along(along)))
    };
    chain.chunk_by(|one, other| runs_along(one) == runs_along(other)).filter_map(part).collect()
}
