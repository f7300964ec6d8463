//! The lengths of a flanking element, on an axis or between points, and the way that it runs.

use super::keys;
use super::node::{Node, Value};
use super::planes::stretch;
use super::reader::Reader;
use super::table::Table;
use crate::geometry::{Axis, FALL, Rectangle, SAME_PLACE, Span, Stretch, millimetres};
use crate::model::{Convention, UValueSource};

/// Which way an element runs by its points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    /// The axis that it is along, to within a fall.
    pub(super) axis: Option<Axis>,
    /// Where it is not exactly along one: towards rising x, of length 1.
    pub(super) slope: Option<[f64; 2]>,
}

impl Way {
    fn of(stretch: Stretch) -> Self {
        let axis = stretch.axis_within(FALL);
        if axis.is_some_and(|axis| stretch.along(axis.across()).length() < SAME_PLACE) {
            return Self { axis, slope: None };
        }
        let way = stretch.way();
        Self { axis, slope: Some(if way[0] < 0.0 { way.map(|value| -value) } else { way }) }
    }

    /// Where a stretch lies on it, m.
    fn span(self, stretch: Stretch) -> Span {
        match (self.axis, self.slope) {
            (Some(axis), _) => stretch.along(axis),
            (None, Some([x, y])) => {
                let [one, other] = [stretch.from, stretch.to].map(|end| end[0] * x + end[1] * y);
                Span { from: one.min(other), to: one.max(other) }
            }
            (None, None) => stretch.along(Axis::X),
        }
    }
}

/// What is written of an element's lengths, by convention.
pub(super) struct Lengths {
    pub(super) spans: [Option<Span>; 3],
    pub(super) points: [Option<Stretch>; 3],
    pub(super) way: Option<Way>,
}

/// A length as it is written.
enum Written {
    On(Span),
    Between(Stretch),
}

/// The lengths of an element; none where any is faulty or they do not run as its section shows.
pub(super) fn lengths(
    reader: &mut Reader,
    table: &Table<'_>,
    u_value: Option<&UValueSource>,
    extent: Option<Rectangle>,
) -> Option<Lengths> {
    let mut written: Vec<(usize, &Node, Written)> = Vec::new();
    let mut is_faulty = false;
    for (number, convention) in Convention::ALL.into_iter().enumerate() {
        let Some(node) = table.get(convention.key()) else { continue };
        match length(reader, node, convention.key(), extent) {
            Some(found) => written.push((number, node, found)),
            None => is_faulty = true,
        }
    }
    let (mut spans, mut points) = ([None; 3], [None; 3]);
    let mut longest: Option<(&str, Stretch)> = None;
    for (number, _, found) in &written {
        if let Written::Between(stretch) = found
            && longest.is_none_or(|(_, known)| stretch.length() > known.length())
        {
            longest = Some((Convention::ALL[*number].key(), *stretch));
        }
    }
    let shown = u_value.and_then(shown);
    let is_between = matches!(u_value, Some(UValueSource::Across(_)));
    // Whether a section between points is square to the element only the drawing tells.
    if let (Some((key, stretch)), Some(surface), false) = (longest, shown, is_between) {
        runs_as_shown(reader, table, (key, stretch), surface)?;
    }
    let told = longest.map(|(_, stretch)| stretch).or(shown);
    let way = told.map(Way::of);
    for (number, node, found) in written {
        let key = Convention::ALL[number].key();
        match (found, way) {
            (Written::On(_), Some(Way { axis: None, .. })) => {
                let message = format!("`{key}` is a stretch of an axis, and this element runs along a slope");
                let hint = format!("its ends are points: `{key}: {{ from: [x, y], to: [x, y] }}`");
                return reader.fault(node.place, message, Some(hint));
            }
            (Written::On(span), _) => spans[number] = Some(span),
            (Written::Between(stretch), Some(way)) => {
                if let Some((other, longest)) = longest.filter(|(_, longest)| longest.turn_to(stretch) > FALL)
                {
                    let message = format!(
                        "`{key}` runs at {:.1}° and `{other}` at {:.1}°: an element runs one way",
                        stretch.degrees(),
                        longest.degrees()
                    );
                    let hint = "both ends of a length lie on one line along the element";
                    return reader.fault(node.place, message, Some(hint.to_owned()));
                }
                (spans[number], points[number]) = (Some(way.span(stretch)), Some(stretch));
            }
            (Written::Between(_), None) => {}
        }
    }
    // A section along an axis says itself which one.
    let way = way.filter(|_| longest.is_some() || is_between);
    (!is_faulty).then_some(Lengths { spans, points, way })
}

/// A stretch along the surface of the element that a section or a floor shows.
fn shown(u_value: &UValueSource) -> Option<Stretch> {
    let along =
        |axis: Axis| Stretch { from: [0.0, 0.0], to: if axis == Axis::X { [1.0, 0.0] } else { [0.0, 1.0] } };
    match u_value {
        UValueSource::Section { axis, .. } => Some(along(*axis)),
        UValueSource::Across(ends) => Some(ends.square()),
        UValueSource::Floor { .. } => Some(along(Axis::X)),
        UValueSource::Given(_) => None,
    }
}

/// An error where a length is not parallel to the element.
fn runs_as_shown(
    reader: &mut Reader,
    table: &Table<'_>,
    (key, stretch): (&str, Stretch),
    surface: Stretch,
) -> Option<()> {
    if stretch.turn_to(surface) <= FALL {
        return Some(());
    }
    let message = format!(
        "`{key}` runs at {:.1}° to the x axis, and the element as its section shows it at {:.1}°",
        stretch.degrees(),
        surface.degrees()
    );
    let hint =
        "a length runs along the element, and its section is square to it: correct the points of one of them";
    let place = table.get(key).map_or(table.place, |node| node.place);
    reader.fault(place, message, Some(hint.to_owned()))
}

/// `[from, to]`, or `{ from: [x, y], to: [x, y] }`. The drawing shows most of it: one of several times the drawing's
/// size takes off what the model does not lose.
fn length(reader: &mut Reader, node: &Node, key: &str, extent: Option<Rectangle>) -> Option<Written> {
    const MOST_OF_EXTENT: f64 = 3.0;
    let (written, length) = if matches!(node.value, Value::Table(_)) {
        let table = reader.table(node, &format!("`{key}`"), &keys::STRETCH)?;
        let stretch = stretch(reader, &table, key)?;
        (Written::Between(stretch), stretch.length())
    } else {
        let span = reader.span(node, key)?;
        (Written::On(span), span.length())
    };
    let longest = extent.map_or(f64::INFINITY, |extent| extent.x.length().max(extent.y.length()));
    if length <= MOST_OF_EXTENT * longest {
        return Some(written);
    }
    let message = format!(
        "`{key}` is {} mm long, and the longer side of `extent` {} mm",
        millimetres(length),
        millimetres(longest)
    );
    let hint = "lengths are in mm, [from, to] in the coordinates of the plan, and an element is drawn over its length";
    reader.fault(node.place, message, Some(hint.to_owned()))
}
