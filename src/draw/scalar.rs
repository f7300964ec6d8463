//! A scalar over the section: shaded, with lines of equal value, and a colour bar.

use super::canvas::{Anchor, Area, Canvas, Lettering, Pen};
use super::font::{self, Weight};
use super::frame::Frame;
use super::ground::FieldGround;
use super::outline::draw_outlines;
use super::palette::{GREY, INK, PAPER, Rgb};
use super::plan_picture::{coldest_places, environment_names, scale_bar_is_taken};
use super::regions::Regions;
use super::tags::Placed;
use super::view::{View, clipped_between};
use crate::result::Outcome;

/// The lines between materials.
const EDGE: Rgb = Rgb(128, 128, 134);

/// A scalar on the vertices and how it is shown.
pub(super) struct Shown<'a> {
    pub ground: &'a FieldGround<'a>,
    pub value: Vec<f64>,
    pub range: (f64, f64),
    pub color: fn(f64) -> Rgb,
    pub step: f64,
    /// The level drawn heavily, with what it means.
    pub critical: Option<(f64, String)>,
    /// Heading of the colour bar.
    pub quantity: &'a str,
    pub decimals: usize,
    /// How a level is written.
    pub label: fn(f64, usize) -> String,
    /// Lines of another quantity, without numbers, in place of those of equal value: its values and the
    /// levels drawn.
    pub lines: Option<(Vec<f64>, Vec<f64>)>,
}

/// The picture of one scalar, with its captions; `keys` say what the lines and the band mean.
pub(super) fn draw(
    outcome: &Outcome,
    width: u32,
    heading: &str,
    captions: &[String],
    shown: &Shown<'_>,
    keys: &[&str],
) -> Canvas {
    let mut frame = Frame::new(outcome, width, heading, captions);
    let regions = Regions::of(&outcome.plan);
    let (view, unit) = (frame.view, frame.unit);
    regions.draw_grounds(&mut frame.canvas, &view, &outcome.case.model, unit);
    shade(&mut frame.canvas, &view, shown);
    draw_outlines(&mut frame.canvas, &view, &outcome.plan, Pen::solid(EDGE, 1.1 * unit));
    let mut placed = Placed::default();
    scale_bar_is_taken(&frame, &mut placed);
    let lines = level_lines(&mut frame, shown);
    surfaces_below_critical(&mut frame, outcome, shown);
    coldest_places(&mut frame, outcome, &mut placed);
    label_lines(&mut frame, shown, lines, &mut placed);
    environment_names(&mut frame, outcome, &regions, &mut placed);
    color_bar(&mut frame, shown, keys);
    frame.overview(outcome.case.model.extent, |canvas, view| {
        regions.draw_grounds(canvas, view, &outcome.case.model, unit * 0.5);
        shade(canvas, view, shown);
        regions.draw_slopes(canvas, view, Pen::solid(EDGE, 0.6 * unit));
    });
    frame.finish();
    frame.canvas
}

/// Colours every pixel whose middle lies in a solid by the value there.
fn shade(canvas: &mut Canvas, view: &View, shown: &Shown<'_>) {
    let (low, high) = shown.range;
    canvas.shade(view.area, |x, y| {
        let (x, y) = view.plan_point(x, y);
        let here = shown.ground.in_solid(&shown.value, x, y)?;
        Some((shown.color)((here - low) / (high - low)))
    });
}

type LabelledLines = Vec<(f64, Vec<Vec<(f32, f32)>>)>;

fn level_lines(frame: &mut Frame, shown: &Shown<'_>) -> LabelledLines {
    let (view, unit) = (frame.view, frame.unit);
    let mut lines = LabelledLines::new();
    if let Some((value, levels)) = &shown.lines {
        for level in levels {
            for path in level_paths(&view, shown.ground, value, *level) {
                frame.canvas.polyline(&path, false, Pen::solid(PAPER, 3.4 * unit));
                frame.canvas.polyline(&path, false, Pen::solid(INK, 1.5 * unit));
            }
        }
        return lines;
    }
    let (low, high) = shown.range;
    let count = ((high - low) / shown.step).round() as i32;
    let first = (low / shown.step).ceil() as i32;
    for level in (first..=first + count).map(|index| f64::from(index) * shown.step) {
        if level <= low || level >= high {
            continue;
        }
        let paths = level_paths(&view, shown.ground, &shown.value, level);
        for path in &paths {
            frame.canvas.polyline(path, false, Pen::solid(PAPER, 3.4 * unit));
            frame.canvas.polyline(path, false, Pen::solid(INK, 1.5 * unit));
        }
        lines.push((level, paths));
    }
    if let Some((critical, _)) = shown.critical {
        for path in level_paths(&view, shown.ground, &shown.value, critical) {
            frame.canvas.polyline(&path, false, Pen::solid(PAPER, 6.5 * unit));
            frame.canvas.polyline(&path, false, Pen::dashed(INK, 4.0 * unit, 13.0 * unit, 6.0 * unit));
        }
    }
    lines
}

/// The lines of a level in pixels, only where they are visible.
fn level_paths(view: &View, ground: &FieldGround<'_>, value: &[f64], level: f64) -> Vec<Vec<(f32, f32)>> {
    let lines = ground.lines(value, level, view.shown);
    lines.iter().map(|line| line.iter().map(|point| view.point(*point)).collect()).collect()
}

/// Writes each level's value on its longest line, at the first free place from the middle outwards.
fn label_lines(frame: &mut Frame, shown: &Shown<'_>, lines: LabelledLines, placed: &mut Placed) {
    let unit = frame.unit;
    for (level, paths) in lines {
        let length = |path: &Vec<(f32, f32)>| {
            path.windows(2)
                .map(|ends| libm::hypotf(ends[1].0 - ends[0].0, ends[1].1 - ends[0].1))
                .sum::<f32>()
        };
        let Some(longest) = paths.iter().max_by(|a, b| length(a).total_cmp(&length(b))) else { continue };
        let text = (shown.label)(level, shown.decimals);
        let lettering = Lettering {
            anchor: Anchor::Middle,
            rim: Some(PAPER),
            weight: Weight::Bold,
            ..frame.lettering(17.0, INK)
        };
        let size = (font::width(&text, lettering.size, Weight::Bold) + 6.0 * unit, 22.0 * unit);
        let middle = longest.len() / 2;
        let order = (0..longest.len()).map(|step| {
            if step % 2 == 0 { middle + step / 2 } else { middle.wrapping_sub(step.div_ceil(2)) }
        });
        for point in order.filter_map(|index| longest.get(index)) {
            let label = Area {
                left: point.0 - size.0 / 2.0,
                right: point.0 + size.0 / 2.0,
                top: point.1 - size.1 / 2.0,
                bottom: point.1 + size.1 / 2.0,
            };
            if placed.is_free(label.grown(3.0 * unit)) && frame.view.area.holds(label) {
                placed.take(label);
                frame.canvas.text(&text, (point.0, point.1 + 6.0 * unit), lettering);
                break;
            }
        }
    }
}

/// A heavy black band with a white rim along the inside surfaces that are colder than the critical value
/// allows.
fn surfaces_below_critical(frame: &mut Frame, outcome: &Outcome, shown: &Shown<'_>) {
    let Some((critical, _)) = shown.critical else { return };
    let (view, unit) = (frame.view, frame.unit);
    let mut bands: Vec<Vec<(f32, f32)>> = vec![Vec::new()];
    for profile in &outcome.profiles {
        for stretch in profile.stretches() {
            // The part of the stretch that is too cold, if it can be seen.
            let cold = stretch.below(critical).map(|(from, to)| (stretch.at(from), stretch.at(to)));
            let Some((from, to)) = cold.and_then(|(from, to)| clipped_between(view.shown, from, to)) else {
                bands.push(Vec::new());
                continue;
            };
            let (from, to) = (view.point(from), view.point(to));
            if let Some(band) = bands.last_mut() {
                if band.last() == Some(&from) {
                    band.push(to);
                } else {
                    bands.push(vec![from, to]);
                }
            }
        }
    }
    for (color, width) in [(PAPER, 13.0), (INK, 8.0)] {
        for band in bands.iter().filter(|band| band.len() > 1) {
            frame.canvas.polyline(band, false, Pen::solid(color, width * unit));
        }
    }
}

fn color_bar(frame: &mut Frame, shown: &Shown<'_>, keys: &[&str]) {
    let (unit, panel) = (frame.unit, frame.panel);
    let heading = Lettering { weight: Weight::Bold, ..frame.lettering(19.0, INK) };
    frame.canvas.text(shown.quantity, (panel.left, panel.top + 20.0 * unit), heading);
    let space_below = if frame.is_part { 430.0 } else { 170.0 };
    let top = panel.top + 44.0 * unit;
    let bar = Area {
        left: panel.left,
        right: panel.left + 46.0 * unit,
        top,
        bottom: (panel.bottom - space_below * unit).min(top + 460.0 * unit),
    };
    frame.canvas.shade(bar, |_, y| Some((shown.color)(f64::from((bar.bottom - y) / bar.height()))));
    frame.canvas.border(bar, Pen::solid(INK, 1.4 * unit));
    let (low, high) = shown.range;
    let place = |value: f64| bar.bottom - ((value - low) / (high - low)) as f32 * bar.height();
    let text = frame.lettering(18.0, INK);
    let mut level = (low / shown.step).ceil() * shown.step;
    while level <= high + shown.step * 1e-6 {
        let y = place(level);
        frame.canvas.line((bar.right, y), (bar.right + 8.0 * unit, y), Pen::solid(INK, 1.4 * unit));
        // No number where the critical value's line crosses it.
        let is_crossed =
            shown.critical.as_ref().is_some_and(|(critical, _)| (place(*critical) - y).abs() < 12.0 * unit);
        if !is_crossed {
            let label = (shown.label)(level, shown.decimals);
            frame.canvas.text(&label, (bar.right + 14.0 * unit, y + 6.0 * unit), text);
        }
        level += shown.step;
    }
    if let Some((critical, meaning)) = &shown.critical {
        let y = place(*critical);
        frame.canvas.line(
            (bar.left - 4.0 * unit, y),
            (bar.right + 74.0 * unit, y),
            Pen::solid(PAPER, 6.5 * unit),
        );
        frame.canvas.line(
            (bar.left - 4.0 * unit, y),
            (bar.right + 74.0 * unit, y),
            Pen::dashed(INK, 4.0 * unit, 13.0 * unit, 6.0 * unit),
        );
        let bold = Lettering { weight: Weight::Bold, ..text };
        frame.canvas.text(meaning, (bar.right + 82.0 * unit, y + 6.0 * unit), bold);
    }
    let mut y = bar.bottom + 40.0 * unit;
    let grey = frame.lettering(17.0, GREY);
    for (index, key) in keys.iter().enumerate() {
        if index == 1 && shown.critical.is_none() {
            continue;
        }
        let width = if index == 0 { 1.5 } else { 8.0 };
        frame.canvas.line((panel.left, y), (panel.left + 46.0 * unit, y), Pen::solid(INK, width * unit));
        frame.canvas.text(key, (panel.left + 58.0 * unit, y + 6.0 * unit), grey);
        y += 32.0 * unit;
    }
    frame.canvas.disc((panel.left + 23.0 * unit, y), 9.0 * unit, PAPER, Pen::solid(INK, 2.4 * unit));
    frame.canvas.disc((panel.left + 23.0 * unit, y), 2.7 * unit, INK, Pen::solid(INK, unit));
    frame.canvas.text("coldest inside surface", (panel.left + 58.0 * unit, y + 6.0 * unit), grey);
}
