//! Where a filling of any shape has the most room for a label.

use super::chains::Point;
use crate::geometry::{Axis, Rectangle};
use crate::plan::{Edge, Filling, Plan, interval};

/// Lines laid through what is shown, along either axis.
const LINES: usize = 90;
/// Places are as roomy as the roomiest if they have at least this part of its room.
const AS_ROOMY: f64 = 0.95;

/// The place of a filling furthest from its edges and those of what is shown, and how far that is, m; of several
/// such places, as all along a layer, the one in their middle.
pub(super) fn roomiest(
    plan: &Plan,
    edges: &[Edge],
    filling: Filling,
    shown: Rectangle,
) -> Option<(Point, f64)> {
    let bounds: Vec<&Edge> =
        edges.iter().filter(|edge| edge.left == filling || edge.right == filling).collect();
    let room = |place: Point| {
        let to_side =
            [place.0 - shown.x.from, shown.x.to - place.0, place.1 - shown.y.from, shown.y.to - place.1];
        let to_edges = bounds.iter().map(|edge| edge.stretch().distance([place.0, place.1]));
        to_edges.chain(to_side).fold(f64::INFINITY, f64::min)
    };
    let places: Vec<(Point, f64)> =
        candidates(plan, filling, shown).into_iter().map(|place| (place, room(place))).collect();
    let most = places.iter().map(|(_, room)| *room).fold(0.0, f64::max);
    let roomy: Vec<&(Point, f64)> = places.iter().filter(|(_, room)| *room >= AS_ROOMY * most).collect();
    let mean = |pick: fn(&Point) -> f64| {
        roomy.iter().map(|(place, _)| pick(place)).sum::<f64>() / roomy.len() as f64
    };
    let middle = (mean(|place| place.0), mean(|place| place.1));
    let off = |place: &Point| libm::hypot(place.0 - middle.0, place.1 - middle.1);
    roomy.into_iter().min_by(|a, b| off(&a.0).total_cmp(&off(&b.0))).copied()
}

/// Places of a filling: along lines through what is shown, the middle of each stretch and more where it is long.
fn candidates(plan: &Plan, filling: Filling, shown: Rectangle) -> Vec<Point> {
    let spacing = shown.x.length().max(shown.y.length()) / LINES as f64;
    let mut places = Vec::new();
    for axis in [Axis::X, Axis::Y] {
        let (along, across) = (shown.along(axis), shown.along(axis.across()));
        for line in 0..LINES {
            let at = along.from + (line as f64 + 0.5) / LINES as f64 * along.length();
            let Some(lane) = interval(plan.lines(axis), at) else { continue };
            for step in plan.within_lane(axis, lane, at).steps {
                let (from, to) = (step.span.from.max(across.from), step.span.to.min(across.to));
                if step.filling != filling || from >= to {
                    continue;
                }
                // An odd number, so that one is in the middle.
                let count = 2 * ((to - from) / (2.0 * spacing)) as usize + 1;
                for number in 0..count {
                    let there = from + (number as f64 + 0.5) / count as f64 * (to - from);
                    places.push(if axis == Axis::X { (at, there) } else { (there, at) });
                }
            }
        }
    }
    places
}
