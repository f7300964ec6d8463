//! What fills the plan, as areas to paint: rectangles where all edges are level or upright, outlines where some
//! slope.

use super::canvas::{Area, Canvas, Pen};
use super::chains::Point;
use super::outline::draw_outlines;
use super::palette::{self, EXTERNAL, INTERNAL, PALE, PAPER, Rgb, UNHEATED};
use super::roomy::roomiest;
use super::sheets::{THINNEST, sheets, thin_rectangle};
use super::view::{View, clipped_polygon};
use crate::geometry::{Rectangle, Span};
use crate::model::{Model, Role};
use crate::plan::{Drawn, Edge, Filling, Plan, Raster};
use std::collections::HashMap;

/// The regions of a plan.
pub(super) enum Regions<'a> {
    /// Of a raster, few rectangles of one filling each.
    Rectangles { raster: &'a Raster, all: Vec<(Filling, Rectangle)> },
    /// Of other plans, by filling the closed lines round it, it lying on the left.
    Outlines { plan: &'a Plan, edges: Vec<Edge>, all: Vec<(Filling, Vec<Vec<Point>>)> },
}

impl<'a> Regions<'a> {
    /// Of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        match &plan.drawn {
            Drawn::Raster(raster) => Self::Rectangles { raster, all: rectangles(raster) },
            Drawn::Edges(_) => {
                let edges = plan.edges();
                let all = areas(&edges);
                Self::Outlines { plan, edges, all }
            }
        }
    }

    /// Fills what is no solid: environments with their ground, nothing with a hatch.
    pub fn draw_grounds(&self, canvas: &mut Canvas, view: &View, model: &Model, unit: f32) {
        match self {
            Self::Rectangles { all, .. } => {
                for (filling, rectangle) in all {
                    let Some(area) = view.visible(*rectangle) else { continue };
                    match filling {
                        Filling::Space(environment) => {
                            canvas.fill(on_pixels(area), ground(model.environments[*environment].role));
                        }
                        Filling::Nothing => hatch(canvas, area, unit),
                        Filling::Solid(_) => {}
                    }
                }
            }
            Self::Outlines { all, .. } => {
                // Nothing is what all else leaves.
                if let Some(area) = view.visible(model.extent) {
                    hatch(canvas, area, unit);
                }
                if let Some(border) = &model.border {
                    clear_beyond(canvas, view, model.extent, border);
                }
                for (filling, outlines) in all {
                    if let Filling::Space(environment) = filling {
                        fill(canvas, view, outlines, ground(model.environments[*environment].role));
                    }
                }
            }
        }
    }

    /// Fills the solids with the colours of their materials.
    pub fn draw_solids(&self, canvas: &mut Canvas, view: &View, model: &Model) {
        match self {
            Self::Rectangles { all, .. } => {
                for (filling, rectangle) in all {
                    let (Some(color), Some(area)) = (color(model, *filling), view.visible(*rectangle)) else {
                        continue;
                    };
                    canvas.fill(on_pixels(area), color);
                }
            }
            Self::Outlines { all, .. } => {
                for (filling, outlines) in all {
                    if let Some(color) = color(model, *filling) {
                        fill(canvas, view, outlines, color);
                    }
                }
            }
        }
    }

    /// Draws sheets thinner than the pen as thick as the pen; outlines would otherwise swallow a sheet of a
    /// millimetre.
    pub fn draw_sheets(&self, canvas: &mut Canvas, view: &View, model: &Model, unit: f32) {
        let least = THINNEST * unit;
        match self {
            Self::Rectangles { raster, all } => {
                for (filling, rectangle) in all {
                    if let Some(color) = color(model, *filling)
                        && let Some(area) = thin_rectangle(raster, view, *rectangle, least)
                    {
                        canvas.fill(area, color);
                    }
                }
            }
            Self::Outlines { edges, all, .. } => {
                for (filling, _) in all {
                    let Some(color) = color(model, *filling) else { continue };
                    for line in sheets(edges, *filling, view, least) {
                        let line: Vec<_> = line.iter().map(|point| view.point(*point)).collect();
                        canvas.polyline(&line, false, Pen::solid(color, least));
                    }
                }
            }
        }
    }

    /// Draws what slopes into an overview, where a pixel may be thicker than what it shows.
    pub fn draw_slopes(&self, canvas: &mut Canvas, view: &View, pen: Pen) {
        if let Self::Outlines { plan, .. } = self {
            draw_outlines(canvas, view, plan, pen);
        }
    }

    /// The largest visible part of a filling, pixels; of outlines, the square round the place with the most
    /// room about it.
    pub fn largest(&self, view: &View, filling: Filling) -> Option<Area> {
        let mut parts = self.visible_parts(view, filling);
        parts.sort_by(|a, b| (b.width() * b.height()).total_cmp(&(a.width() * a.height())));
        parts.first().copied()
    }

    /// The same, by the shorter side rather than by the area.
    pub fn roomiest(&self, view: &View, filling: Filling) -> Option<Area> {
        let roomy = |area: &Area| area.width().min(area.height()) * 1e4 + area.width().max(area.height());
        let parts = self.visible_parts(view, filling);
        parts.into_iter().max_by(|a, b| roomy(a).total_cmp(&roomy(b)))
    }

    fn visible_parts(&self, view: &View, filling: Filling) -> Vec<Area> {
        match self {
            Self::Rectangles { all, .. } => {
                let own = all.iter().filter(|(other, _)| *other == filling);
                own.filter_map(|(_, rectangle)| view.visible(*rectangle)).collect()
            }
            Self::Outlines { plan, edges, .. } => {
                let found = roomiest(plan, edges, filling, view.shown);
                let square = |(middle, room): (Point, f64)| {
                    let (x, y) = view.point(middle);
                    Area { left: x, right: x, top: y, bottom: y }.grown((room * view.scale) as f32)
                };
                found.map(square).into_iter().collect()
            }
        }
    }
}

/// The plan as few rectangles of one filling each: runs along x, joined along y where they have the same
/// ends.
fn rectangles(raster: &Raster) -> Vec<(Filling, Rectangle)> {
    let mut done: Vec<(Filling, Rectangle)> = Vec::new();
    let mut growing: Vec<(Filling, Rectangle)> = Vec::new();
    for j in 0..raster.rows() {
        let mut row = Vec::new();
        let mut i = 0;
        while i < raster.columns() {
            let filling = raster.at(i, j);
            let start = i;
            while i < raster.columns() && raster.at(i, j) == filling {
                i += 1;
            }
            let x = Span { from: raster.xs[start], to: raster.xs[i] };
            let y = Span { from: raster.ys[j], to: raster.ys[j + 1] };
            match growing.iter().position(|(other, below)| *other == filling && below.x == x) {
                Some(index) => {
                    let (_, below) = growing.swap_remove(index);
                    row.push((filling, Rectangle { x, y: Span { from: below.y.from, to: y.to } }));
                }
                None => row.push((filling, Rectangle { x, y })),
            }
        }
        done.append(&mut growing);
        growing = row;
    }
    done.append(&mut growing);
    done
}

/// What lies beside edges: by filling, the closed lines round it, it lying on the left.
pub fn areas(edges: &[Edge]) -> Vec<(Filling, Vec<Vec<Point>>)> {
    fillings(edges).into_iter().map(|filling| (filling, outlines(edges, filling))).collect()
}

/// What lies beside edges, each once.
fn fillings(edges: &[Edge]) -> Vec<Filling> {
    let mut found = Vec::new();
    for filling in edges.iter().flat_map(|edge| [edge.left, edge.right]) {
        if !found.contains(&filling) {
            found.push(filling);
        }
    }
    found
}

/// The closed lines round a filling, which lies on their left: round all of it, whatever touches whatever.
fn outlines(edges: &[Edge], filling: Filling) -> Vec<Vec<Point>> {
    let name = |[x, y]: [f64; 2]| [x.to_bits(), y.to_bits()];
    let mut directed: Vec<[[f64; 2]; 2]> = Vec::new();
    for edge in edges {
        let [from, to] = edge.ends;
        if edge.left == filling {
            directed.push([from, to]);
        } else if edge.right == filling {
            directed.push([to, from]);
        }
    }
    let mut next: HashMap<[u64; 2], Vec<usize>> = HashMap::new();
    for (number, [from, _]) in directed.iter().enumerate() {
        next.entry(name(*from)).or_default().push(number);
    }
    let mut lines = Vec::new();
    for start in &directed {
        let mut line = Vec::new();
        let mut at = start[0];
        // As many edges end in a point as begin there, so the walk ends where it began.
        while let Some(number) = next.get_mut(&name(at)).and_then(Vec::pop) {
            line.push((at[0], at[1]));
            at = directed[number][1];
        }
        if line.len() > 2 {
            lines.push(line);
        }
    }
    lines
}

/// Fills what closed lines go round, half a pixel beyond it too, so that neighbours meet without a seam.
fn fill(canvas: &mut Canvas, view: &View, outlines: &[Vec<Point>], color: Rgb) {
    let visible = |line: &Vec<Point>| -> Vec<(f32, f32)> {
        clipped_polygon(view.shown, line).iter().map(|point| view.point(*point)).collect()
    };
    let lines: Vec<_> = outlines.iter().map(visible).filter(|line| line.len() > 2).collect();
    canvas.shape(&lines, color);
    for line in &lines {
        canvas.polyline(line, true, Pen::solid(color, 1.0));
    }
}

fn color(model: &Model, filling: Filling) -> Option<Rgb> {
    let Filling::Solid(material) = filling else { return None };
    let material = &model.materials[material];
    Some(palette::material(material.conductivity_x.max(material.conductivity_y)))
}

/// The ground colour of an environment.
fn ground(role: Role) -> Rgb {
    match role {
        Role::Internal => INTERNAL,
        Role::External => EXTERNAL,
        Role::Unheated => UNHEATED,
    }
}

/// Fine rising lines on paper.
fn hatch(canvas: &mut Canvas, area: Area, unit: f32) {
    canvas.fill(on_pixels(area), PAPER);
    let step = 14.0 * unit;
    // Lines x + y = c, anchored to the canvas so that neighbouring areas join.
    let mut c = ((area.left + area.top) / step).ceil() * step;
    while c < area.right + area.bottom {
        let from = (area.left.max(c - area.bottom), 0.0);
        let to = (area.right.min(c - area.top), 0.0);
        if from.0 < to.0 {
            canvas.line((from.0, c - from.0), (to.0, c - to.0), Pen::solid(PALE, unit));
        }
        c += step;
    }
}

/// The area with its edges on whole pixels, so that neighbours meet without a seam.
fn on_pixels(area: Area) -> Area {
    Area {
        left: area.left.round(),
        top: area.top.round(),
        right: area.right.round(),
        bottom: area.bottom.round(),
    }
}

/// Takes the hatch away beyond the border of the extent.
fn clear_beyond(canvas: &mut Canvas, view: &View, extent: Rectangle, border: &[[f64; 2]]) {
    let twice = (0..border.len())
        .map(|index| {
            let ([x, y], [next_x, next_y]) = (border[index], border[(index + 1) % border.len()]);
            x * next_y - next_x * y
        })
        .sum::<f64>();
    // The other way round than the extent's corners.
    let mut border: Vec<Point> = border.iter().map(|[x, y]| (*x, *y)).collect();
    if twice > 0.0 {
        border.reverse();
    }
    let around: Vec<Point> = extent.corners().map(|[x, y]| (x, y)).to_vec();
    let lines = [around, border].map(|line| {
        let line = clipped_polygon(view.shown, &line);
        line.into_iter().map(|point| view.point(point)).collect::<Vec<_>>()
    });
    canvas.shape(&lines, PAPER);
}
