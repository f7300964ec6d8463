//! Temperature field and temperature-factor map.

use super::canvas::{Anchor, Area, Canvas, Lettering, Pen};
use super::font::{self, Weight};
use super::frame::Frame;
use super::isotherms;
use super::outline::{draw_grounds, draw_outlines, regions};
use super::palette::{self, GREY, INK, PAPER, Rgb};
use super::plan_picture::{captions, coldest_places, environment_names, scale_bar_is_taken, source};
use super::tags::Placed;
use super::view::{View, detail, round_below};
use crate::climate::humid_air::{MOULD, surface_temperature_at};
use crate::conduction::Network;
use crate::geometry::Rectangle;
use crate::grid::Grid;
use crate::plan::interval;
use crate::result::stream::stream;
use crate::result::{Fields, Outcome};

/// A scalar on the vertices and how it is shown.
struct Shown<'a> {
    grid: &'a Grid,
    value: Vec<f64>,
    range: (f64, f64),
    color: fn(f64) -> Rgb,
    step: f64,
    /// The level drawn heavily, with what it means.
    critical: Option<(f64, String)>,
    /// Heading of the colour bar.
    quantity: &'a str,
    decimals: usize,
    /// How a level is written.
    label: fn(f64, usize) -> String,
    /// Lines of another quantity, without numbers, in place of those of equal value: its values and the levels drawn.
    lines: Option<(Vec<f64>, Vec<f64>)>,
}

fn plain(value: f64, decimals: usize) -> String {
    format!("{:.decimals$}", value + 0.0)
}

/// A power of ten, of its exponent.
fn power(value: f64, _: usize) -> String {
    crate::material::four_digits(10_f64.powf(value))
}

/// Heat flow lines drawn, about.
const HEAT_FLOW_LINES: f64 = 30.0;
/// Fluxes below this part of the largest look alike.
const LEAST_FLUX: f64 = 1e-3;

/// The heat flux with heat flow lines that have equal flows between them; none where the lines have no unique place.
pub fn heat_flow(outcome: &Outcome, fields: &Fields, width: u32) -> Option<Canvas> {
    let network = Network::of(&outcome.case, &outcome.plan, &outcome.surfaces, &fields.grid);
    let stream = stream(&outcome.case, &outcome.plan, &fields.grid, &network, &fields.heat_loss)?;
    let largest = stream.flux.iter().copied().filter(|flux| flux.is_finite()).fold(0.0, f64::max);
    // As many lines as the part shown has room for.
    let shown = detail(&outcome.plan);
    let visible = stream.function.iter().enumerate().filter(|(vertex, value)| {
        let (x, y) = fields.grid.position(*vertex);
        !value.is_nan() && shown.contains(x, y)
    });
    let (lowest, highest) =
        visible.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, value)| (low.min(*value), high.max(*value)));
    let step = round_below((highest - lowest) / HEAT_FLOW_LINES * 1.5);
    let (first, last) = ((lowest / step).floor() as i64, (highest / step).ceil() as i64);
    let levels = (first..=last).map(|index| (index as f64 + 0.5) * step).collect();
    let top = largest.log10();
    let shown = Shown {
        grid: &fields.grid,
        value: stream.flux.iter().map(|flux| flux.max(largest * LEAST_FLUX).log10()).collect(),
        range: (top + LEAST_FLUX.log10(), top),
        color: palette::uncertainty,
        step: 1.0,
        critical: None,
        quantity: "Heat flux in W/m²",
        decimals: 0,
        label: power,
        lines: Some((stream.function, levels)),
    };
    let heading = format!(
        "Heat flux and heat flow lines, {} W/m between neighbours (surface resistances for heat loss)",
        crate::material::four_digits(step)
    );
    Some(draw(outcome, width, &heading, &captions(outcome), &shown, &["heat flow line"]))
}

/// The temperature field with labelled isotherms.
pub fn temperature(outcome: &Outcome, fields: &Fields, width: u32) -> Canvas {
    let (low, high) = temperature_range(outcome);
    let step = round_below((high - low) / 8.0);
    let shown = Shown {
        grid: &fields.grid,
        value: fields.heat_loss.clone(),
        range: (low, high),
        color: palette::temperature,
        step,
        critical: None,
        quantity: "Temperature in °C",
        decimals: usize::from(step < 1.0),
        label: plain,
        lines: None,
    };
    let heading = format!("Temperature, isotherms every {} K (surface resistances for heat loss)", shown.step);
    draw(outcome, width, &heading, &captions(outcome), &shown, &["isotherm"])
}

/// Darker, the further from the middle: both signs alike, told apart by the numbers on the lines.
fn away_from_middle(part: f64) -> Rgb {
    palette::uncertainty((2.0 * part - 1.0).abs())
}

/// A signed number.
fn signed(value: f64, decimals: usize) -> String {
    if value.abs() < 1e-9 { "0".to_owned() } else { format!("{value:+.decimals$}").replace('-', "−") }
}

/// How much warmer (+) or colder (−) the second of two cases of one extent is; none where the extents differ.
pub fn difference(first: &Outcome, second: &Outcome, fields: [&Fields; 2], width: u32) -> Option<Canvas> {
    if first.case.extent != second.case.extent {
        return None;
    }
    let [own, other] = fields;
    let other_at = |x: f64, y: f64| {
        let (xs, ys) = (&other.grid.x.positions, &other.grid.y.positions);
        let (i, j) = (interval(xs, x)?, interval(ys, y)?);
        let (right, up) = ((x - xs[i]) / (xs[i + 1] - xs[i]), (y - ys[j]) / (ys[j + 1] - ys[j]));
        let vertex = j * other.grid.vertex_columns() + i;
        let corner = |offset: usize, part: f64| if part == 0.0 { 0.0 } else { part * other.heat_loss[vertex + offset] };
        let above = other.grid.vertex_columns();
        Some(
            corner(0, (1.0 - right) * (1.0 - up))
                + corner(1, right * (1.0 - up))
                + corner(above, (1.0 - right) * up)
                + corner(above + 1, right * up),
        )
    };
    let value: Vec<f64> = own
        .heat_loss
        .iter()
        .enumerate()
        .map(|(vertex, temperature)| {
            let (x, y) = own.grid.position(vertex);
            other_at(x, y).map_or(f64::NAN, |other| other - temperature)
        })
        .collect();
    let largest = value.iter().copied().filter(|value| value.is_finite()).map(f64::abs).fold(0.0, f64::max);
    // Without a difference there is still a scale.
    let largest = largest.max(0.01);
    let step = round_below(largest / 4.0);
    let shown = Shown {
        grid: &own.grid,
        value,
        range: (-largest, largest),
        color: away_from_middle,
        step,
        critical: None,
        quantity: "Temperature difference in K",
        decimals: if step < 0.1 { 2 } else { usize::from(step < 1.0) },
        label: signed,
        lines: None,
    };
    let heading =
        format!("Second less first, lines every {} K; second: {}", crate::material::four_digits(step), second.case.title);
    Some(draw(first, width, &heading, &captions(first), &shown, &["line of equal difference"]))
}

/// The temperature factor, with the critical value marked; none where no environment is warmer than outside.
pub fn temperature_factor(outcome: &Outcome, fields: &Fields, width: u32, needed: Option<(f64, String)>) -> Option<Canvas> {
    let case = &outcome.case;
    let warmest = outcome
        .factors
        .iter()
        .max_by(|a, b| case.environments[a.environment].temperature.total_cmp(&case.environments[b.environment].temperature))?;
    let environment = &case.environments[warmest.environment];
    let (external, internal) = (warmest.external_temperature, environment.temperature);
    let factor = |temperature: f64| (temperature - external) / (internal - external);
    let stated = case.condensation.as_ref().and_then(|condensation| condensation.critical);
    let critical = needed.or(stated.map(|critical| (critical, format!("critical {critical}")))).or_else(|| {
        let onset = factor(surface_temperature_at(internal, environment.humidity?, MOULD));
        (0.0..1.0)
            .contains(&onset)
            .then(|| (onset, format!("{onset:.2}: mould at {:.0} % humidity", environment.humidity.unwrap_or_default() * 100.0)))
    });
    let shown = Shown {
        grid: &fields.grid,
        value: fields.condensation.as_ref().unwrap_or(&fields.heat_loss).iter().map(|temperature| factor(*temperature)).collect(),
        range: (0.0, 1.0),
        color: palette::factor,
        step: 0.1,
        critical,
        quantity: "Temperature factor",
        decimals: 1,
        label: plain,
        lines: None,
    };
    let resistances = if outcome.condensation.is_some() { "condensation" } else { "heat loss" };
    let heading = format!("Temperature factor (θ − θe)/(θi − θe), surface resistances for {resistances}");
    let estimate = |environment: usize| {
        let error = outcome.factor_error(environment)?;
        // Rounded up, as ± after a rounded number must be.
        Some(format!(" (± {:.3}, estimated)", ((error + 5e-4) * 1e3).ceil() / 1e3))
    };
    let places = outcome.factors.iter().filter_map(|factor| {
        let coldest = factor.coldest.as_ref()?;
        let name = &case.environments[factor.environment].name;
        Some(format!(
            "f_Rsi = {:.3}{} in {name}: {:.1} °C on {}",
            coldest.factor,
            estimate(factor.environment).unwrap_or_default(),
            coldest.temperature,
            case.materials[coldest.material].label
        ))
    });
    let captions = [places.collect::<Vec<_>>().join("    "), source(outcome)];
    Some(draw(outcome, width, &heading, &captions, &shown, &["line of equal factor", "inside surface below critical"]))
}

fn temperature_range(outcome: &Outcome) -> (f64, f64) {
    let touching = || outcome.case.environments.iter().filter(|environment| environment.is_touched);
    let temperatures = || touching().map(|environment| environment.temperature);
    (temperatures().fold(f64::INFINITY, f64::min), temperatures().fold(f64::NEG_INFINITY, f64::max))
}

fn draw(outcome: &Outcome, width: u32, heading: &str, captions: &[String], shown: &Shown<'_>, keys: &[&str]) -> Canvas {
    let mut frame = Frame::new(outcome, width, heading, captions);
    let regions = regions(&outcome.plan);
    let (view, unit) = (frame.view, frame.unit);
    draw_grounds(&mut frame.canvas, &view, &outcome.case, &regions, unit);
    shade(&mut frame.canvas, &view, outcome, shown);
    draw_outlines(&mut frame.canvas, &view, &outcome.plan, Pen::solid(Rgb(128, 128, 134), 1.1 * unit));
    let mut placed = Placed::default();
    scale_bar_is_taken(&frame, &mut placed);
    let lines = level_lines(&mut frame, outcome, shown);
    surfaces_below_critical(&mut frame, outcome, shown);
    coldest_places(&mut frame, outcome, &mut placed);
    label_lines(&mut frame, shown, lines, &mut placed);
    environment_names(&mut frame, outcome, &regions, &mut placed);
    color_bar(&mut frame, shown, keys);
    frame.overview(outcome.case.extent, |canvas, view| {
        draw_grounds(canvas, view, &outcome.case, &regions, unit * 0.5);
        shade(canvas, view, outcome, shown);
    });
    frame.finish();
    frame.canvas
}

/// Colours every pixel whose middle lies in a solid by the bilinear interpolant there.
fn shade(canvas: &mut Canvas, view: &View, outcome: &Outcome, shown: &Shown<'_>) {
    let grid = shown.grid;
    let (xs, ys) = (&grid.x.positions, &grid.y.positions);
    // Cell and position in it, for each column and row of pixels.
    let locate = |lines: &[f64], value: f64| {
        let cell = interval(lines, value)?;
        Some((cell, (value - lines[cell]) / (lines[cell + 1] - lines[cell])))
    };
    let (first_x, first_y) = (view.area.left.floor(), view.area.top.floor());
    let columns: Vec<_> = (0..=view.area.width().ceil() as usize + 1)
        .map(|x| locate(xs, view.plan_point(first_x + x as f32 + 0.5, 0.0).0))
        .collect();
    let rows: Vec<_> = (0..=view.area.height().ceil() as usize + 1)
        .map(|y| locate(ys, view.plan_point(0.0, first_y + y as f32 + 0.5).1))
        .collect();
    let vertex_columns = grid.vertex_columns();
    let (low, high) = shown.range;
    canvas.shade(view.area, |x, y| {
        let (i, right) = (*columns.get((x - first_x) as usize)?)?;
        let (j, up) = (*rows.get((y - first_y) as usize)?)?;
        if !grid.filling(&outcome.plan, i, j).is_solid() {
            return None;
        }
        let vertex = j * vertex_columns + i;
        let value = |offset: usize| shown.value[vertex + offset];
        let below = value(0) * (1.0 - right) + value(1) * right;
        let above = value(vertex_columns) * (1.0 - right) + value(vertex_columns + 1) * right;
        let here = below * (1.0 - up) + above * up;
        if here.is_nan() {
            return None;
        }
        Some((shown.color)((here - low) / (high - low)))
    });
}

type LabelledLines = Vec<(f64, Vec<Vec<(f32, f32)>>)>;

fn level_lines(frame: &mut Frame, outcome: &Outcome, shown: &Shown<'_>) -> LabelledLines {
    let (view, unit) = (frame.view, frame.unit);
    let mut lines = LabelledLines::new();
    if let Some((value, levels)) = &shown.lines {
        for level in levels {
            for path in level_paths(&view, outcome, shown.grid, value, *level) {
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
        let paths = level_paths(&view, outcome, shown.grid, &shown.value, level);
        for path in &paths {
            frame.canvas.polyline(path, false, Pen::solid(PAPER, 3.4 * unit));
            frame.canvas.polyline(path, false, Pen::solid(INK, 1.5 * unit));
        }
        lines.push((level, paths));
    }
    if let Some((critical, _)) = shown.critical {
        for path in level_paths(&view, outcome, shown.grid, &shown.value, critical) {
            frame.canvas.polyline(&path, false, Pen::solid(PAPER, 6.5 * unit));
            frame.canvas.polyline(&path, false, Pen::dashed(INK, 4.0 * unit, 13.0 * unit, 6.0 * unit));
        }
    }
    lines
}

/// The lines of a level in pixels, only where they are visible.
fn level_paths(view: &View, outcome: &Outcome, grid: &Grid, value: &[f64], level: f64) -> Vec<Vec<(f32, f32)>> {
    let (xs, ys) = (&grid.x.positions, &grid.y.positions);
    let is_known = |i: usize, j: usize| {
        let (vertex, above) = (j * grid.vertex_columns() + i, grid.vertex_columns());
        [vertex, vertex + 1, vertex + above, vertex + above + 1].iter().all(|corner| value[*corner].is_finite())
    };
    let wanted = |i: usize, j: usize| {
        xs[i + 1] >= view.shown.x.from
            && xs[i] <= view.shown.x.to
            && ys[j + 1] >= view.shown.y.from
            && ys[j] <= view.shown.y.to
            && grid.filling(&outcome.plan, i, j).is_solid()
            && is_known(i, j)
    };
    let mut paths = Vec::new();
    for line in isotherms::lines(grid, value, level, wanted) {
        // The cells at the border reach beyond it; what sticks out is cut off, in as many pieces as it takes.
        let mut path = Vec::new();
        for ends in line.windows(2) {
            let Some((from, to)) = clipped(view.shown, ends[0], ends[1]) else { continue };
            if path.last() != Some(&view.point(from)) {
                paths.push(std::mem::take(&mut path));
                path.push(view.point(from));
            }
            path.push(view.point(to));
        }
        paths.push(path);
    }
    paths.retain(|path| path.len() > 1);
    paths
}

/// The part of a line within a rectangle (the method of Liang and Barsky).
fn clipped(within: Rectangle, from: (f64, f64), to: (f64, f64)) -> Option<((f64, f64), (f64, f64))> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, room) in
        [(-dx, from.0 - within.x.from), (dx, within.x.to - from.0), (-dy, from.1 - within.y.from), (dy, within.y.to - from.1)]
    {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            enter = enter.max(room / step);
        } else {
            leave = leave.min(room / step);
        }
    }
    let at = |part: f64| {
        if part == 0.0 {
            from
        } else if part == 1.0 {
            to
        } else {
            (from.0 + dx * part, from.1 + dy * part)
        }
    };
    (enter < leave).then(|| (at(enter), at(leave)))
}

/// Writes each level's value on its longest line, at the first free place from the middle outwards.
fn label_lines(frame: &mut Frame, shown: &Shown<'_>, lines: LabelledLines, placed: &mut Placed) {
    let unit = frame.unit;
    for (level, paths) in lines {
        let length = |path: &Vec<(f32, f32)>| {
            path.windows(2).map(|ends| (ends[1].0 - ends[0].0).hypot(ends[1].1 - ends[0].1)).sum::<f32>()
        };
        let Some(longest) = paths.iter().max_by(|a, b| length(a).total_cmp(&length(b))) else { continue };
        let text = (shown.label)(level, shown.decimals);
        let lettering =
            Lettering { anchor: Anchor::Middle, rim: Some(PAPER), weight: Weight::Bold, ..frame.lettering(17.0, INK) };
        let size = (font::width(&text, lettering.size, Weight::Bold) + 6.0 * unit, 22.0 * unit);
        let middle = longest.len() / 2;
        let order =
            (0..longest.len()).map(|step| if step % 2 == 0 { middle + step / 2 } else { middle.wrapping_sub(step.div_ceil(2)) });
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

/// A heavy black band with a white rim along the inside surfaces that are colder than the critical value allows.
fn surfaces_below_critical(frame: &mut Frame, outcome: &Outcome, shown: &Shown<'_>) {
    let Some((critical, _)) = shown.critical else { return };
    let (view, unit) = (frame.view, frame.unit);
    let mut bands: Vec<Vec<(f32, f32)>> = vec![Vec::new()];
    for profile in &outcome.profiles {
        for stretch in profile.stretches() {
            // The part of the stretch that is too cold, if it can be seen.
            let cold = stretch.below(critical).map(|(from, to)| (stretch.at(from), stretch.at(to)));
            let Some((from, to)) = cold.and_then(|(from, to)| clipped(view.shown, from, to)) else {
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
        let is_crossed = shown.critical.as_ref().is_some_and(|(critical, _)| (place(*critical) - y).abs() < 12.0 * unit);
        if !is_crossed {
            let label = (shown.label)(level, shown.decimals);
            frame.canvas.text(&label, (bar.right + 14.0 * unit, y + 6.0 * unit), text);
        }
        level += shown.step;
    }
    if let Some((critical, meaning)) = &shown.critical {
        let y = place(*critical);
        frame.canvas.line((bar.left - 4.0 * unit, y), (bar.right + 74.0 * unit, y), Pen::solid(PAPER, 6.5 * unit));
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
