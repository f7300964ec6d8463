//! The material plan: what was modelled.

use super::canvas::{Anchor, Area, Canvas, Lettering, Pen};
use super::dimensions;
use super::font::{self, Weight};
use super::frame::Frame;
use super::legend::{MOST_MATERIALS, legend};
use super::outline::{cut_off, draw_lines_between, draw_outlines};
use super::palette::{INK, PAPER};
use super::regions::Regions;
use super::resistance_labels::resistance_labels;
use super::slope_dimensions;
use super::tags::Placed;
use super::view::View;
use crate::model::{FloorMethod, MaterialId};
use crate::plan::Filling;
use crate::plan::cavities::are_of_one_air;
use crate::result::Outcome;
use crate::result::cut_off::sides_text;

/// Draws the plan with materials, environments, cut-off planes, dimension lines and the coldest places.
pub fn draw(outcome: &Outcome, width: u32) -> Canvas {
    let mut frame =
        Frame::new(outcome, width, "Materials, environments, cut-off planes and lengths", &captions(outcome));
    let regions = Regions::of(&outcome.plan);
    let unit = frame.unit;
    draw_materials(&mut frame.canvas, &frame.view.clone(), outcome, &regions, unit);
    dimensions::draw_on_slopes(&mut frame);
    cut_off_planes(&mut frame, outcome);
    let mut placed = Placed::default();
    scale_bar_is_taken(&frame, &mut placed);
    slope_dimensions::take(&frame, &mut placed);
    let used = number_tags(&mut frame, outcome, &regions, &mut placed);
    // The crosses first: a point at the coldest place would otherwise hide its sign.
    points(&mut frame, outcome, &mut placed);
    coldest_places(&mut frame, outcome, &mut placed);
    environment_names(&mut frame, outcome, &regions, &mut placed);
    resistance_labels(&mut frame, outcome, &mut placed);
    legend(&mut frame, outcome, &used);
    dimensions::draw(&mut frame);
    let extent = outcome.case.model.extent;
    frame.overview(extent, |canvas, view| draw_materials(canvas, view, outcome, &regions, unit * 0.5));
    frame.finish();
    frame.canvas
}

/// The lines under a picture: L2D and ψ.
pub fn captions(outcome: &Outcome) -> Vec<String> {
    let mut results = Vec::new();
    if let Some(l2d) = outcome.l2d {
        results.push(format!("L2D = {l2d} W/(m·K)"));
    }
    // One convention of several pairs: more would be too small to read.
    let most = if outcome.case.psi_is_list { 1 } else { usize::MAX };
    for (pair, psi) in outcome.pairs().flat_map(|pair| pair.psi.iter().take(most).map(move |psi| (pair, psi)))
    {
        let between = pair.sides().filter(|_| outcome.case.psi_is_list);
        let between = between
            .map_or_else(String::new, |sides| format!("{}; ", sides_text(&outcome.case.model, &sides)));
        let floor = match psi.terms.iter().find_map(|term| term.method) {
            Some(FloorMethod::Formula) => ", floor by ISO 13370",
            Some(FloorMethod::Model) => ", floor by a model of its own",
            None => "",
        };
        results.push(format!("ψ = {} W/(m·K) ({between}{}{floor})", psi.bracket, psi.convention.label()));
    }
    if let Some(u) = outcome.frame_u {
        results.push(format!("U_f = {u} W/(m²K)"));
    }
    let source = source(outcome);
    let meaning = "±: guaranteed for this geometry and these conductivities";
    let last = if outcome.l2d.is_some() { format!("{meaning}    {source}") } else { source };
    vec![results.join("    "), last]
}

/// Where a picture comes from.
pub fn source(outcome: &Outcome) -> String {
    format!("coldseam {}, case {}", env!("CARGO_PKG_VERSION"), outcome.case.name)
}

/// So that no label lies under the scale bar.
pub fn scale_bar_is_taken(frame: &Frame, placed: &mut Placed) {
    let (area, unit) = (frame.view.area, frame.unit);
    placed.take(Area {
        right: area.left + area.width() * 0.34 + 40.0 * unit,
        top: area.bottom - 66.0 * unit,
        ..area
    });
}

fn draw_materials(canvas: &mut Canvas, view: &View, outcome: &Outcome, regions: &Regions<'_>, unit: f32) {
    let model = &outcome.case.model;
    regions.draw_grounds(canvas, view, model, unit);
    regions.draw_solids(canvas, view, model);
    draw_outlines(canvas, view, &outcome.plan, Pen::solid(INK, 1.1 * unit));
    for pen in cut_pens(unit) {
        draw_lines_between(canvas, view, &outcome.plan, pen, |low, high| match (low, high) {
            (Filling::Solid(low), Filling::Solid(high)) => low != high && are_of_one_air(model, low, high),
            _ => false,
        });
    }
    regions.draw_sheets(canvas, view, model, unit);
}

/// Where connected air was cut into cavities nothing stands: a white line with black dots.
pub(super) fn cut_pens(unit: f32) -> [Pen; 2] {
    [Pen::solid(PAPER, 4.0 * unit), Pen::dashed(INK, 2.6 * unit, 4.0 * unit, 4.0 * unit)]
}

/// Marks where solids are cut by the edges of the extent: no heat crosses there.
fn cut_off_planes(frame: &mut Frame, outcome: &Outcome) {
    let pen = Pen::dashed(INK, 5.0 * frame.unit, 16.0 * frame.unit, 7.0 * frame.unit);
    for line in cut_off(&outcome.plan, frame.view.shown) {
        let line: Vec<_> = line.iter().map(|point| frame.view.point(*point)).collect();
        frame.canvas.polyline(&line, false, pen);
    }
}

/// A triangle that points at the coldest place of each internal environment's surface, with its f_Rsi.
pub fn coldest_places(frame: &mut Frame, outcome: &Outcome, placed: &mut Placed) {
    let unit = frame.unit;
    for factor in &outcome.factors {
        let Some(coldest) = &factor.coldest else { continue };
        if !frame.view.shown.contains(coldest.at.0, coldest.at.1) {
            continue;
        }
        let at = frame.view.point(coldest.at);
        let radius = 9.0 * unit;
        frame.canvas.disc(at, radius, PAPER, Pen::solid(INK, 2.4 * unit));
        frame.canvas.disc(at, radius * 0.3, INK, Pen::solid(INK, unit));
        let text = format!("f_Rsi {:.3}", coldest.factor);
        callout(frame, placed, at, radius, &text);
    }
}

/// A small cross and the name of each named point.
fn points(frame: &mut Frame, outcome: &Outcome, placed: &mut Placed) {
    let unit = frame.unit;
    for point in &outcome.case.model.points {
        if !frame.view.shown.contains(point.x, point.y) {
            continue;
        }
        let (x, y) = frame.view.point((point.x, point.y));
        let reach = 9.0 * unit;
        for (color, width) in [(PAPER, 5.0), (INK, 2.0)] {
            let pen = Pen::solid(color, width * unit);
            frame.canvas.line((x - reach, y - reach), (x + reach, y + reach), pen);
            frame.canvas.line((x - reach, y + reach), (x + reach, y - reach), pen);
        }
        callout(frame, placed, (x, y), reach, &point.name);
    }
}

/// A boxed text beside a place, joined to it by a line.
fn callout(frame: &mut Frame, placed: &mut Placed, at: (f32, f32), radius: f32, text: &str) {
    let unit = frame.unit;
    let lettering = Lettering { weight: Weight::Bold, anchor: Anchor::Middle, ..frame.lettering(18.0, INK) };
    let size = (font::width(text, lettering.size, Weight::Bold) + 16.0 * unit, 30.0 * unit);
    let object =
        Area { left: at.0 - radius, right: at.0 + radius, top: at.1 - radius, bottom: at.1 + radius };
    placed.take(object);
    let middle = placed.place(object, size, frame.view.area, 26.0 * unit).middle;
    let ground = Area {
        left: middle.0 - size.0 / 2.0,
        right: middle.0 + size.0 / 2.0,
        top: middle.1 - size.1 / 2.0,
        bottom: middle.1 + size.1 / 2.0,
    };
    let nearest = (at.0.clamp(ground.left, ground.right), at.1.clamp(ground.top, ground.bottom));
    let length = ((nearest.0 - at.0).powi(2) + (nearest.1 - at.1).powi(2)).sqrt();
    if length > radius {
        let part = radius / length;
        let start = (at.0 + (nearest.0 - at.0) * part, at.1 + (nearest.1 - at.1) * part);
        frame.canvas.line(start, nearest, Pen::solid(PAPER, 5.0 * unit));
        frame.canvas.line(start, nearest, Pen::solid(INK, 2.0 * unit));
    }
    frame.canvas.fill(ground, PAPER);
    frame.canvas.border(ground, Pen::solid(INK, 1.4 * unit));
    frame.canvas.text(text, (middle.0, middle.1 + 6.5 * unit), lettering);
}

/// Name, temperature and humidity of each environment in the middle of its largest visible part.
pub(super) fn environment_names(
    frame: &mut Frame,
    outcome: &Outcome,
    regions: &Regions<'_>,
    placed: &mut Placed,
) {
    let unit = frame.unit;
    for (id, environment) in outcome.case.model.environments_by_id() {
        let Some(largest) = regions.largest(&frame.view, Filling::Space(id)) else { continue };
        let mut state = format!("{} °C", environment.temperature);
        if let Some(humidity) = environment.humidity {
            state = format!("{state}, {:.0} %", humidity * 100.0);
        }
        let bold = Lettering {
            weight: Weight::Bold,
            anchor: Anchor::Middle,
            rim: Some(PAPER),
            ..frame.lettering(21.0, INK)
        };
        let plain = Lettering { weight: Weight::Regular, size: 18.0 * unit, ..bold };
        let width = font::width(&environment.name, bold.size, Weight::Bold).max(font::width(
            &state,
            plain.size,
            Weight::Regular,
        ));
        let (x, y) =
            placed.place(largest, (width + 8.0 * unit, 54.0 * unit), frame.view.area, 30.0 * unit).middle;
        frame.canvas.text(&environment.name, (x, y - 4.0 * unit), bold);
        frame.canvas.text(&state, (x, y + 20.0 * unit), plain);
    }
}

/// Numbers every visible material on the plan; returns them in the order of their numbers.
fn number_tags(
    frame: &mut Frame,
    outcome: &Outcome,
    regions: &Regions<'_>,
    placed: &mut Placed,
) -> Vec<MaterialId> {
    let unit = frame.unit;
    let mut used = Vec::new();
    for (id, _) in outcome.case.model.materials_by_id() {
        let Some(part) = regions.roomiest(&frame.view, Filling::Solid(id)) else { continue };
        used.push(id);
        if used.len() > MOST_MATERIALS {
            continue;
        }
        let number = used.len().to_string();
        let radius = 14.0 * unit;
        let placement = placed.place(
            part,
            (2.0 * radius + 2.0 * unit, 2.0 * radius + 2.0 * unit),
            frame.view.area,
            22.0 * unit,
        );
        if placement.beside {
            let center = (f32::midpoint(part.left, part.right), f32::midpoint(part.top, part.bottom));
            frame.canvas.line(center, placement.middle, Pen::solid(PAPER, 4.0 * unit));
            frame.canvas.line(center, placement.middle, Pen::solid(INK, 1.6 * unit));
            frame.canvas.disc(center, 2.6 * unit, INK, Pen::solid(PAPER, unit));
            let dot = Area { left: center.0, right: center.0, top: center.1, bottom: center.1 };
            placed.take(dot.grown(5.0 * unit));
        }
        frame.canvas.disc(placement.middle, radius, PAPER, Pen::solid(INK, 1.6 * unit));
        let lettering =
            Lettering { weight: Weight::Bold, anchor: Anchor::Middle, ..frame.lettering(17.0, INK) };
        frame.canvas.text(&number, (placement.middle.0, placement.middle.1 + 6.0 * unit), lettering);
    }
    used
}
