//! The section of a flanking element that slopes: read along a line between two points, square to its layers.
//!
//! The plan is turned so that this line lies along an axis, and read as for level ones. The line may be off square by a
//! fall, as points are rounded: thicknesses are those square to the layers.

use super::lane::{Lane, NoLane};
use super::section::{
    CLOSE_THE_GAP, Construction, Gap, Section, constructions, layers, side_of_rows, u_value,
};
use super::surface::Surfaces;
use super::turned::ROUNDED;
use super::{Edge, EdgeId, Filling, Plan};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, FALL, Span, Stretch, Turn, millimetres};
use crate::model::{MaterialId, Model};
use crate::text::Place;

/// The section between two points that lie on no level or upright line, from one environment to another.
///
/// # Errors
/// A diagnostic if the line lies outside the plan or along an edge, if it does not lead through exactly one
/// construction, or if it is not square to the edges that it crosses.
pub fn section_across(
    model: &Model,
    plan: &Plan,
    surfaces: &Surfaces,
    ends: Stretch,
    place: Option<Place>,
) -> Result<Section, Diagnostic> {
    let turn = plan.turn_along(ends.way());
    let error = |message: String, hint: String| Diagnostic::error(place, message).hint(hint);
    let Some(plan) = plan.turned(turn) else {
        let message =
            format!("{} is square to nothing: all edges of the drawing are level or upright", said(ends));
        let hint = "let both its ends have the same x or the same y, or write `section: { y: … }`";
        return Err(error(message, hint.to_owned()));
    };
    let line = Line::of(ends.turned(turn));
    let number =
        plan.lane_at(line.axis, line.at, Some(line.range)).map_err(|problem| told(problem, ends, place))?;
    let lane = plan.within_lane(line.axis, number, line.at);
    let mut found = constructions(&lane, surfaces);
    found.retain(|(from, to, _)| {
        line.meets(Span { from: lane.steps[*from].span.from, to: lane.steps[*to - 1].span.to })
    });
    if found.is_empty()
        && let Some(edge) = line.askew(&plan, &lane)
    {
        return Err(not_square(ends, turn, edge, place));
    }
    let [construction] = found.as_slice() else {
        if found.is_empty() {
            let message = "does not lead through a construction from one environment to another";
            let hint = "let it begin in the space on one side of the element and end in that on the other; are both spaces painted there?";
            return Err(error(format!("{} {message}", said(ends)), format!("{hint}{}", side_of_rows(model))));
        }
        let gap = Gap::between(&lane, &found);
        let place = |gap: Gap| {
            let [x, y] = turn.back(line.point(gap.at)).map(millimetres);
            gap.said(model, &format!("[{x}, {y}]"))
        };
        let message = format!(
            "{} leads through {} constructions{}",
            said(ends),
            found.len(),
            gap.map_or(String::new(), place)
        );
        let is_slip = gap.is_some_and(|gap| gap.is_slip());
        let hint = if is_slip { CLOSE_THE_GAP } else { "let it begin and end beside the one that is meant" };
        return Err(error(message, hint.to_owned()));
    };
    let (from, to, films) = *construction;
    let across = Span { from: lane.steps[from].span.from, to: lane.steps[to - 1].span.to };
    if line.range.from > across.from + ROUNDED || line.range.to < across.to - ROUNDED {
        let message = format!("{} begins or ends within the element", said(ends));
        let hint = "it leads from the space on one side to that on the other: let both ends lie on the surfaces, or beyond";
        return Err(error(message, hint.to_owned()));
    }
    let squareness =
        squareness(&plan, &line, &lane, construction).map_err(|edge| not_square(ends, turn, edge, place))?;
    let solid = lane.steps[from..to]
        .iter()
        .zip(squareness)
        .map(|(step, cosine)| (step.filling, step.span.length() * cosine));
    let conductivity = |material: MaterialId| model.materials[material].conductivity_along(ends.way());
    let mut layers = layers(solid, conductivity);
    let mut films = films;
    let mut span = Span { from: across.from - line.range.from, to: across.to - line.range.from };
    let mut drawn = [across.from, across.to].map(|place| turn.back(line.point(place)));
    if line.is_falling {
        layers.reverse();
        films.reverse();
        drawn.reverse();
        span = Span { from: line.range.to - across.to, to: line.range.to - across.from };
    }
    let [from, to] = drawn;
    Ok(Section {
        films,
        across: span,
        ends: Some(Stretch { from, to }),
        u_value: u_value(&films, &layers),
        layers,
    })
}

/// A line of a turned plan that lies along an axis.
struct Line {
    /// The axis on which it is fixed, and where, m.
    axis: Axis,
    at: f64,
    /// Where it lies on the other.
    range: Span,
    /// True if its points follow each other towards lower places.
    is_falling: bool,
}

/// Why there is nothing to read.
fn told(problem: NoLane, ends: Stretch, place: Option<Place>) -> Diagnostic {
    match problem {
        NoLane::Outside => Diagnostic::error(place, format!("{} lies outside of what is drawn", said(ends)))
            .hint("its points are [x, y] in mm, in the coordinates of the plan"),
        NoLane::OnAnEdge => Diagnostic::error(
            place,
            format!("{} runs along an edge of what it should lead through", said(ends)),
        )
        .hint("move the section to where the element is undisturbed, usually the cut-off plane"),
    }
}

impl Line {
    fn of(ends: Stretch) -> Self {
        let path =
            if ends.along(Axis::X).length() > ends.along(Axis::Y).length() { Axis::X } else { Axis::Y };
        let [along, fixed] = if path == Axis::X { [0, 1] } else { [1, 0] };
        Self {
            axis: path.across(),
            at: ends.middle()[fixed],
            range: ends.along(path),
            is_falling: ends.to[along] < ends.from[along],
        }
    }

    /// The point of the line at a place, m.
    fn point(&self, place: f64) -> [f64; 2] {
        if self.axis == Axis::X { [self.at, place] } else { [place, self.at] }
    }

    /// A surface, or an edge between two solids, that it crosses and not squarely.
    fn askew(&self, plan: &Plan, lane: &Lane) -> Option<Stretch> {
        let edges = plan.edges();
        let crossed =
            lane.steps.iter().zip(&lane.between).filter(|(step, _)| self.range.contains(step.span.to));
        let met = crossed.filter_map(|(_, id)| edges.iter().find(|edge| edge.id == *id));
        let is_met = |edge: &&Edge| {
            let sides = [edge.left, edge.right];
            !sides.contains(&Filling::Nothing) && sides.iter().any(|side| side.is_solid())
        };
        let stretches = met.filter(is_met).map(Edge::stretch);
        stretches.into_iter().find(|edge| self.off_square(*edge) > FALL)
    }

    /// By how much an edge is off square to it: the sine of the angle.
    fn off_square(&self, edge: Stretch) -> f64 {
        edge.way()[usize::from(self.axis == Axis::X)].abs()
    }

    /// True if it has more than an end of a span.
    fn meets(&self, span: Span) -> bool {
        span.from < self.range.to - ROUNDED && self.range.from + ROUNDED < span.to
    }
}

/// By step of a construction, how much of its length along the line is thickness: the cosine of what the line is off
/// square to the edges on either side, on average; or an edge that it does not cross squarely.
fn squareness(
    plan: &Plan,
    line: &Line,
    lane: &Lane,
    (from, to, _): &Construction,
) -> Result<Vec<f64>, Stretch> {
    let edges = plan.edges();
    let cosine = |id: &EdgeId| {
        let Some(edge) = edges.iter().find(|edge| edge.id == *id) else { return Ok(1.0) };
        let edge = edge.stretch();
        let off = line.off_square(edge);
        if off > FALL { Err(edge) } else { Ok((1.0 - off * off).sqrt()) }
    };
    let crossed = lane.between[from - 1..*to].iter().map(cosine).collect::<Result<Vec<f64>, Stretch>>()?;
    Ok(crossed.windows(2).map(|pair| f64::midpoint(pair[0], pair[1])).collect())
}

fn not_square(ends: Stretch, turn: Turn, edge: Stretch, place: Option<Place>) -> Diagnostic {
    let edge = Stretch { from: turn.back(edge.from), to: turn.back(edge.to) };
    let message = format!(
        "{} crosses edges that are not square to it, of which one runs at {:.1}°",
        said(ends),
        edge.degrees()
    );
    // As long as it is, to the same side.
    let [x, y] = edge.square().way();
    let [to_x, to_y] = [ends.to[0] - ends.from[0], ends.to[1] - ends.from[1]];
    let reach = if x * to_x + y * to_y < 0.0 { -ends.length() } else { ends.length() };
    let [x, y] = [ends.from[0] + reach * x, ends.from[1] + reach * y].map(tenths);
    let [from_x, from_y] = ends.from.map(tenths);
    let hint = format!(
        "square to that edge it runs at {:.1}°: `section: {{ from: [{from_x}, {from_y}], to: [{x}, {y}] }}`",
        edge.square().degrees()
    );
    Diagnostic::error(place, message).hint(hint)
}

/// mm, to a tenth.
fn tenths(metres: f64) -> f64 {
    (metres * 1e4).round() / 10.0 + 0.0
}

/// `the section from [0, 0] to [210, 300] mm`.
fn said(Stretch { from, to }: Stretch) -> String {
    let point = |[x, y]: [f64; 2]| format!("[{}, {}]", millimetres(x), millimetres(y));
    format!("the section from {} to {} mm", point(from), point(to))
}
