//! The lines between the fillings of a plan.

use super::canvas::{Canvas, Pen};
use super::chains::{Pieces, Point};
use super::view::{View, clipped};
use crate::geometry::{Axis, Rectangle};
use crate::plan::{Drawn, Edge, Filling, Plan, Raster};
use crate::result::cut_off::sloped_cuts;

/// Draws every line between different fillings, except between nothing and a space.
pub fn draw_outlines(canvas: &mut Canvas, view: &View, plan: &Plan, pen: Pen) {
    draw_lines_between(canvas, view, plan, pen, |low, high| {
        low != high && (low.is_solid() || high.is_solid())
    });
}

/// Draws the lines between fillings of which `is_meant` says so, but not on the border of the extent.
pub fn draw_lines_between(
    canvas: &mut Canvas,
    view: &View,
    plan: &Plan,
    pen: Pen,
    is_meant: impl Fn(Filling, Filling) -> bool,
) {
    let lines = match &plan.drawn {
        Drawn::Raster(raster) => of_raster(raster, is_meant),
        Drawn::Edges(_) => of_edges(plan, is_meant),
    };
    for line in lines {
        for piece in clipped(view.shown, &line) {
            let piece: Vec<_> = piece.iter().map(|point| view.point(*point)).collect();
            canvas.polyline(&piece, false, pen);
        }
    }
}

/// Runs of faces along the lines of a raster.
fn of_raster(raster: &Raster, is_meant: impl Fn(Filling, Filling) -> bool) -> Vec<Vec<Point>> {
    let mut lines = Vec::new();
    for normal in [Axis::X, Axis::Y] {
        let (count, lanes) = match normal {
            Axis::X => (raster.columns(), raster.rows()),
            Axis::Y => (raster.rows(), raster.columns()),
        };
        for line in 1..count {
            let mut start = None;
            for lane in 0..=lanes {
                let differs = lane < lanes && {
                    let (i, j) = if normal == Axis::X { (line, lane) } else { (lane, line) };
                    let (low, high) = raster.beside_face(normal, i, j);
                    is_meant(low, high)
                };
                match (differs, start) {
                    (true, None) => start = Some(lane),
                    (false, Some(from)) => {
                        let end = |lane: usize| match normal {
                            Axis::X => (raster.xs[line], raster.ys[lane]),
                            Axis::Y => (raster.xs[lane], raster.ys[line]),
                        };
                        // From above, or from the left.
                        lines.push(match normal {
                            Axis::X => vec![end(lane), end(from)],
                            Axis::Y => vec![end(from), end(lane)],
                        });
                        start = None;
                    }
                    _ => {}
                }
            }
        }
    }
    lines
}

/// Edges joined end to end.
fn of_edges(plan: &Plan, is_meant: impl Fn(Filling, Filling) -> bool) -> Vec<Vec<Point>> {
    let mut pieces = Pieces::new();
    for edge in plan.edges() {
        if !is_meant(edge.left, edge.right) || is_on_border(plan, &edge) {
            continue;
        }
        let names = edge.ends.map(|[x, y]| [x.to_bits(), y.to_bits()]);
        for (name, [x, y]) in names.iter().zip(edge.ends) {
            pieces.place(*name, || (x, y));
        }
        pieces.join(names[0], names[1]);
    }
    pieces.lines()
}

/// True if an edge lies on the border of the extent.
pub fn is_on_border(plan: &Plan, edge: &Edge) -> bool {
    plan.is_on_border(edge.ends)
}

/// The edges on the border of the extent, or across slopes, where a solid is cut off, as far as they lie within a
/// rectangle.
pub fn cut_off(plan: &Plan, within: Rectangle) -> Vec<Vec<Point>> {
    let is_cut = |edge: &Edge| (edge.left.is_solid() || edge.right.is_solid()) && is_on_border(plan, edge);
    let on_border = plan.edges().into_iter().filter(is_cut).map(|edge| edge.ends);
    let sloped = sloped_cuts(plan).into_iter().filter(|ends| !plan.is_on_border(*ends));
    on_border.chain(sloped).flat_map(|ends| clipped(within, &ends.map(|[x, y]| (x, y)))).collect()
}
