//! Dimension lines of the flanking elements' lengths, so that a wrong one can be seen.

use super::canvas::{Anchor, Lettering, Pen};
use super::font::{self, Weight};
use super::frame::Frame;
use super::palette::INK;
use super::slope_dimensions::{self, SlopeDimension};
use crate::geometry::{Axis, Rectangle, Span, Stretch};
use crate::model::{Convention, Model};
use crate::plan::{Filling, Plan};
use crate::result::cut_off::runs_along_a_slope;

/// Distance between rows and of the first from the plan, in units.
const ROW: f32 = 40.0;
pub(super) const SIZE: f32 = 18.0;
/// More rows beside each other would leave the plan no room.
const MOST_ROWS: usize = 12;

struct Dimension {
    axis: Axis,
    span: Span,
    /// What stands at the line: its letter and length.
    label: String,
    /// What stands in the legend.
    description: String,
    row: usize,
}

/// The dimension lines of a case, arranged in rows.
#[derive(Default)]
pub struct Dimensions {
    lines: Vec<Dimension>,
    /// Those between points that lie along slopes.
    on_slopes: Vec<SlopeDimension>,
    /// Lengths along slopes of which no points tell, which no line could show, for readers.
    along_slopes: Vec<String>,
    /// How many found no row.
    left_out: usize,
}

impl Dimensions {
    /// How many lines there are.
    pub fn count(&self) -> usize {
        self.lines.len() + self.on_slopes.len() + self.along_slopes.len() + usize::from(self.left_out > 0)
    }

    /// Their lines in the legend.
    pub fn descriptions(&self) -> Vec<String> {
        let left_out = (self.left_out > 0).then(|| format!("     and {} more", self.left_out));
        let lines = self.lines.iter().map(|dimension| dimension.description.clone());
        let on_slopes = self.on_slopes.iter().map(|dimension| dimension.description.clone());
        lines.chain(on_slopes).chain(self.along_slopes.iter().cloned()).chain(left_out).collect()
    }

    /// The lines along slopes.
    pub(super) fn on_slopes(&self) -> &[SlopeDimension] {
        &self.on_slopes
    }

    /// Number of rows of lines along an axis.
    pub fn rows(&self, axis: Axis) -> usize {
        self.lines
            .iter()
            .filter(|dimension| dimension.axis == axis)
            .map(|dimension| dimension.row + 1)
            .max()
            .unwrap_or(0)
    }
}

/// Collects the spans of all flanking elements; equal ones share a line. Lines for which there is no row are
/// counted.
pub fn of(model: &Model, plan: &Plan, shown: Rectangle) -> Dimensions {
    let mut dimensions: Vec<Dimension> = Vec::new();
    let mut along_slopes = Vec::new();
    let mut sloped: Vec<(Stretch, String)> = Vec::new();
    // An element of several pairs is drawn once.
    let mut flanking: Vec<&crate::model::Flanking> = Vec::new();
    for element in model.psi.iter().chain(&model.further_psi).flat_map(|psi| &psi.flanking) {
        if !flanking.iter().any(|known| known.element == element.element && known.spans == element.spans) {
            flanking.push(element);
        }
    }
    let told = flanking.iter().find_map(|element| element.runs_along);
    for element in flanking {
        let axis = element.runs_along.or(told).unwrap_or(Axis::Y);
        if element.slope.is_some() {
            let stated = grouped(element.points).into_iter();
            sloped.extend(stated.map(|(points, names)| (points, format!("{} ({names})", element.element))));
            continue;
        }
        let is_sloped = runs_along_a_slope(plan, element);
        for (span, conventions) in grouped(element.spans) {
            let length = tenths(span.length());
            if is_sloped {
                along_slopes
                    .push(format!("     {length}  {} (along the slope, {conventions})", element.element));
                continue;
            }
            let letter = letter(dimensions.len());
            let label = format!("{letter}  {length}");
            let description = format!("     {letter}  {length}  {} ({})", element.element, conventions);
            dimensions.push(Dimension { axis, span, label, description, row: 0 });
        }
    }
    arrange(&mut dimensions, shown);
    let all = dimensions.len();
    dimensions.retain(|dimension| dimension.row < MOST_ROWS);
    let mut on_slopes: Vec<SlopeDimension> = Vec::new();
    for (number, (points, what)) in sloped.into_iter().enumerate() {
        let letter = letter(all + number);
        let length = tenths(points.length());
        let description = format!("     {letter}  {length}  {what}");
        let label = format!("{letter}  {length}");
        on_slopes.push(SlopeDimension::new(plan, points, label, description, &on_slopes));
    }
    Dimensions { left_out: all - dimensions.len(), on_slopes, along_slopes, lines: dimensions }
}

/// `a` to `z`, and again.
fn letter(number: usize) -> char {
    char::from(b'a' + (number % 26) as u8)
}

/// What conventions state, each once, with their names.
fn grouped<T: Copy + PartialEq>(stated: [Option<T>; 3]) -> Vec<(T, String)> {
    let mut groups: Vec<(T, Vec<&str>)> = Vec::new();
    for (convention, value) in Convention::ALL.iter().zip(stated) {
        let Some(value) = value else { continue };
        match groups.iter_mut().find(|(known, _)| *known == value) {
            Some((_, names)) => names.push(convention.label()),
            None => groups.push((value, vec![convention.label()])),
        }
    }
    groups.into_iter().map(|(value, names)| (value, names.join(", "))).collect()
}

/// The side of a stretch, as seen from its first end, on which there is no solid: +1 for the left, −1 for the right.
pub(super) fn side_of_air(plan: &Plan, points: Stretch) -> f64 {
    // Far enough to be off a surface that was rounded.
    const OFF: f64 = 5e-3;
    let ([x, y], [way_x, way_y]) = (points.middle(), points.way());
    let is_solid = |side: f64| {
        plan.filling_at(x - side * OFF * way_y, y + side * OFF * way_x).is_some_and(Filling::is_solid)
    };
    if is_solid(1.0) && !is_solid(-1.0) { -1.0 } else { 1.0 }
}

/// Gives each line the lowest row in which neither it nor its label meets another.
fn arrange(dimensions: &mut [Dimension], shown: Rectangle) {
    // The plan area is about this many units wide or high; it decides how much room labels take.
    const PLOT: f64 = 900.0;
    let longer = shown.x.length().max(shown.y.length());
    let mut taken: Vec<(Axis, usize, f64, f64)> = Vec::new();
    let most = dimensions.len();
    for dimension in dimensions {
        let view = shown.along(dimension.axis);
        let (from, to) = (dimension.span.from.max(view.from), dimension.span.to.min(view.to));
        let middle = f64::midpoint(from, to);
        let label = f64::from(font::width(&dimension.label, SIZE, Weight::Regular) + 20.0) / PLOT * longer;
        let half = ((to - from) / 2.0).max(label / 2.0);
        let (low, high) = (middle - half + 1e-6, middle + half - 1e-6);
        let free = |row: &usize| {
            !taken.iter().any(|(axis, other, from, to)| {
                *axis == dimension.axis && other == row && *from < high && low < *to
            })
        };
        dimension.row = (0..most).find(free).unwrap_or(0);
        taken.push((dimension.axis, dimension.row, low, high));
    }
}

/// Draws the lines along slopes, where they are: below all labels.
pub fn draw_on_slopes(frame: &mut Frame) {
    let lines = std::mem::take(&mut frame.dimensions.on_slopes);
    slope_dimensions::draw(frame, &lines);
    frame.dimensions.on_slopes = lines;
}

/// Draws the others: those along y to the right of the plan, those along x below it.
pub fn draw(frame: &mut Frame) {
    let dimensions = std::mem::take(&mut frame.dimensions);
    let (unit, area) = (frame.unit, frame.view.area);
    for dimension in &dimensions.lines {
        let view = frame.view.shown.along(dimension.axis);
        let (from, to) = (dimension.span.from.max(view.from), dimension.span.to.min(view.to));
        if from >= to {
            continue;
        }
        let cut = (dimension.span.from < view.from - 1e-9, dimension.span.to > view.to + 1e-9);
        let offset = (22.0 + ROW * dimension.row as f32) * unit;
        let place = |value: f64| match dimension.axis {
            Axis::X => (frame.view.x(value), area.bottom + offset + 70.0 * unit),
            Axis::Y => (area.right + offset, frame.view.y(value)),
        };
        let (start, end) = (place(from), place(to));
        frame.canvas.line(start, end, Pen::solid(INK, 1.4 * unit));
        for (at, is_cut) in [(start, cut.0), (end, cut.1)] {
            if !is_cut {
                // The oblique stroke of architects' dimension lines; a line that leaves the picture has none.
                let tick = 6.0 * unit;
                frame.canvas.line(
                    (at.0 - tick, at.1 + tick),
                    (at.0 + tick, at.1 - tick),
                    Pen::solid(INK, 2.0 * unit),
                );
            }
        }
        let middle = (f32::midpoint(start.0, end.0), f32::midpoint(start.1, end.1));
        let lettering = Lettering { anchor: Anchor::Middle, ..frame.lettering(SIZE, INK) };
        let room = match dimension.axis {
            Axis::X => frame.canvas.width() as f32,
            Axis::Y => frame.canvas.height() as f32 - 20.0 * unit,
        };
        let half = font::width(&dimension.label, lettering.size, Weight::Regular) / 2.0;
        let kept = |value: f32| value.clamp(half.min(room / 2.0), (room - half).max(room / 2.0));
        match dimension.axis {
            Axis::X => {
                frame.canvas.text(&dimension.label, (kept(middle.0), middle.1 - 7.0 * unit), lettering);
            }
            Axis::Y => frame.canvas.text_upwards(
                &dimension.label,
                (middle.0 + 14.0 * unit, kept(middle.1)),
                lettering,
            ),
        }
    }
}

/// A length in mm, to the tenth, which is more than anyone builds to.
fn tenths(metres: f64) -> f64 {
    (metres * 1e4).round() / 10.0
}
