//! Surface temperature along the inside surfaces, unrolled, with corners, materials and the limits.

use crate::model::MaterialId;
use std::error::Error;

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::chart::{self, Sheet, color, lettering};
use super::palette::{self, GREY, INK, PALE};
use super::paper::Paper;
use super::view::detail;
use crate::material::four_digits;
use crate::result::Outcome;
use crate::result::condensation::{Assessment, LimitKind};
use crate::result::profile::{Profile, Station};

const PANEL: u32 = 640;
/// Height of the strip of materials as a part of the chart.
const STRIP: f64 = 0.07;
/// Points of a line nearer than this part of its length are one: a chart has no more pixels.
const LEAST_STEP: f64 = 0.002;
/// Height of a label as a part of the chart.
const LABEL: f64 = 0.05;
/// Profiles drawn at most, the longest first.
const MOST: usize = 4;

/// The picture as a PNG file; `profiles` may come from a finer grid than the outcome's.
///
/// # Errors
/// Those of drawing and encoding.
pub fn draw(
    outcome: &Outcome,
    profiles: &[Profile],
    assessments: &[Assessment],
) -> Result<Vec<u8>, Box<dyn Error>> {
    let length = |profile: &Profile| match profile.stations.as_slice() {
        [first, .., last] => last.distance - first.distance,
        _ => 0.0,
    };
    let detail = detail(&outcome.plan);
    let mut shown: Vec<(Profile, &Assessment)> = profiles
        .iter()
        .flat_map(|profile| within(profile, detail))
        .filter_map(|profile| {
            let own = assessments.iter().find(|assessment| assessment.environment == profile.environment)?;
            Some((profile, own))
        })
        .filter(|(profile, _)| length(profile) > 0.0)
        .collect();
    shown.sort_by(|a, b| length(&b.0).total_cmp(&length(&a.0)));
    shown.truncate(MOST);
    let subtitle = "Inside surface of the details, unrolled, at the design conditions; heavy: too cold; below: the materials";
    chart::picture(&outcome.case.title, subtitle, PANEL * shown.len().max(1) as u32, |sheet| {
        for (area, (profile, assessment)) in sheet.split_evenly((shown.len().max(1), 1)).iter().zip(&shown) {
            panel(area, outcome, profile, assessment)?;
        }
        Ok(())
    })
}

/// The parts of a profile within what the other pictures show.
fn within(profile: &Profile, shown: crate::geometry::Rectangle) -> Vec<Profile> {
    let is_shown = |station: &Station| shown.contains(station.at.0, station.at.1);
    let parts = profile.stations.split(|station| !is_shown(station)).filter(|part| part.len() > 1);
    parts.map(|part| Profile { environment: profile.environment, stations: part.to_vec() }).collect()
}

fn panel(
    area: &Sheet<'_>,
    outcome: &Outcome,
    profile: &Profile,
    assessment: &Assessment,
) -> Result<(), Box<dyn Error>> {
    let case = &outcome.case;
    let (air, external) =
        (case.model.environments[profile.environment].temperature, assessment.external_temperature);
    let temperature = |factor: f64| external + factor * (air - external);
    let stations = &profile.stations;
    let start = stations.first().map_or(0.0, |station| station.distance);
    let along = |distance: f64| (distance - start) * 1e3;
    let end = stations.last().map_or(1.0, |station| along(station.distance));
    let limits: Vec<(LimitKind, f64)> = assessment
        .limits
        .iter()
        .filter_map(|limit| Some((limit.kind, limit.needed.filter(|needed| *needed > 0.0)?)))
        .collect();
    let lowest = stations
        .iter()
        .filter_map(|station| station.factor)
        .chain(limits.iter().map(|(_, needed)| *needed))
        .fold(1.0, f64::min);
    let (low, high) = (lowest - 0.05 - 1.5 * STRIP * (1.0 - lowest), 1.02);
    let mut chart = ChartBuilder::on(area)
        .margin_left(34)
        .margin_right(34)
        .margin_bottom(12)
        .margin_top(10)
        .x_label_area_size(64)
        .y_label_area_size(100)
        .right_y_label_area_size(100)
        .build_cartesian_2d(0.0..end, temperature(low)..temperature(high))?
        .set_secondary_coord(0.0..end, low..high);
    chart
        .configure_mesh()
        .disable_x_mesh()
        .x_desc(format!(
            "mm along the surface of {} (grey: its corners, x and y in mm)",
            case.model.environments[profile.environment].name
        ))
        .y_desc("Surface temperature in °C")
        .x_label_formatter(&|value| format!("{value:.0}"))
        .y_label_formatter(&|value| format!("{value:.1}"))
        .label_style(lettering(18, INK))
        .axis_desc_style(lettering(20, INK))
        .light_line_style(TRANSPARENT)
        .bold_line_style(color(PALE).mix(0.6))
        .draw()?;
    chart
        .configure_secondary_axes()
        .y_desc("f_Rsi")
        .y_label_formatter(&|value| format!("{value:.2}"))
        .label_style(lettering(18, INK))
        .axis_desc_style(lettering(20, INK))
        .draw()?;
    let strip_top = low + STRIP * (high - low);
    for (from, to, material) in runs(profile) {
        let (from, to) = (along(from), along(to));
        let fill = palette::material(case.model.materials[material].conductivity_x);
        let (bottom, top) = (temperature(low), temperature(strip_top));
        chart.draw_series([Rectangle::new([(from, bottom), (to, top)], color(fill).filled())])?;
        chart.draw_series([Rectangle::new([(from, bottom), (to, top)], color(INK).stroke_width(1))])?;
        // A label where there is room for it.
        let label = format!(
            "{} (λ {})",
            case.model.materials[material].label,
            four_digits(case.model.materials[material].conductivity_x)
        );
        if (to - from) / end > 0.0075 * label.chars().count() as f64 {
            let style = lettering(17, palette::contrast(fill)).pos(Pos::new(HPos::Center, VPos::Center));
            chart.draw_series([Text::new(
                label,
                (f64::midpoint(from, to), f64::midpoint(bottom, top)),
                style,
            )])?;
        }
    }
    corners(&mut chart, stations, start, temperature(low + 1.02 * STRIP * (high - low)), temperature(high))?;
    for (kind, needed) in &limits {
        let y = temperature(*needed);
        let (dash, gap, name) = match kind {
            LimitKind::Mould => (16, 8, "mould growth"),
            LimitKind::Condensation => (4, 6, "condensation"),
            LimitKind::Criterion => (30, 10, "criterion"),
        };
        let label = format!("{name}: f {needed:.3}, {y:.1} °C");
        chart.draw_series(DashedLineSeries::new(
            [(0.0, y), (end, y)],
            dash,
            gap,
            color(INK).stroke_width(2),
        ))?;
        // Below its line where another limit lies close above.
        let is_crowded =
            limits.iter().any(|(_, other)| other > needed && other - needed < LABEL * (high - low));
        let (side, step) = if is_crowded { (VPos::Top, -0.004) } else { (VPos::Bottom, 0.004) };
        let style = lettering(18, INK).pos(Pos::new(HPos::Left, side));
        chart.draw_series([Text::new(label, (0.006 * end, y + step * (air - external)), style)])?;
    }
    let least = end * LEAST_STEP;
    let line = stations.iter().map(|station| (along(station.distance), station.temperature)).collect();
    chart.draw_series(LineSeries::new(thinned(line, least), color(INK).stroke_width(3)))?;
    // What is too cold for the strictest limit, or for condensation where it is judged apart, drawn heavy.
    let excluded = case.model.judged_apart();
    let strictest = limits.iter().map(|(_, needed)| *needed).reduce(f64::max);
    let apart = assessment.excluded.as_ref().map_or(strictest, |apart| apart.limit.needed);
    let mut bands: Vec<Vec<(f64, f64)>> = Vec::new();
    for stretch in profile.stretches() {
        let needed = if excluded.contains(&stretch.material) { apart } else { strictest };
        let Some((from, to)) = needed.and_then(|needed| stretch.below(needed)) else { continue };
        let [first, last] = stretch.ends;
        let at = |distance: f64| {
            let part = (distance - first.distance) / (last.distance - first.distance);
            (along(distance), first.temperature + part * (last.temperature - first.temperature))
        };
        match bands.last_mut() {
            Some(band) if band.last().is_some_and(|place| (place.0 - along(from)).abs() < 1e-9) => {
                band.push(at(to));
            }
            _ => bands.push(vec![at(from), at(to)]),
        }
    }
    for band in bands {
        chart.draw_series(LineSeries::new(thinned(band, least), color(INK).stroke_width(9)))?;
    }
    Ok(())
}

/// Points of a line at least a step apart, with both ends kept.
fn thinned(line: Vec<(f64, f64)>, step: f64) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    let last = line.len().saturating_sub(1);
    for (index, place) in line.into_iter().enumerate() {
        match kept.last_mut() {
            Some(previous) if place.0 - previous.0 < step && index == last => *previous = place,
            Some(previous) if place.0 - previous.0 < step => {}
            _ => kept.push(place),
        }
    }
    kept
}

/// Stretches of one material: from and to, m.
fn runs(profile: &Profile) -> Vec<(f64, f64, MaterialId)> {
    let mut runs: Vec<(f64, f64, MaterialId)> = Vec::new();
    for stretch in profile.stretches() {
        let [from, to] = stretch.ends.map(|station| station.distance);
        match runs.last_mut() {
            Some((_, end, material)) if *material == stretch.material => *end = to,
            _ => runs.push((from, to, stretch.material)),
        }
    }
    runs
}

/// A surface that turns by less than this, rad, has no corner.
const LEAST_TURN: f64 = 1e-3;

/// Upright lines where the surface turns, with the place of the corner.
fn corners<X>(
    chart: &mut ChartContext<'_, Paper<'_>, X>,
    stations: &[Station],
    start: f64,
    bottom: f64,
    top: f64,
) -> Result<(), Box<dyn Error>>
where
    X: plotters::coord::CoordTranslate<From = (f64, f64)>,
{
    for three in stations.windows(3) {
        let [before, at, after] = three else { continue };
        let (back, on) =
            ((at.at.0 - before.at.0, at.at.1 - before.at.1), (after.at.0 - at.at.0, after.at.1 - at.at.1));
        // By its angle: stations may lie close to each other, and rounding turns those along a slope a little.
        let turn = back.0 * on.1 - back.1 * on.0;
        if turn.abs() <= LEAST_TURN * libm::hypot(back.0, back.1) * libm::hypot(on.0, on.1) {
            continue;
        }
        let x = (at.distance - start) * 1e3;
        chart.draw_series([PathElement::new(vec![(x, bottom), (x, top)], color(GREY).stroke_width(1))])?;
        let label = format!("{:.0}, {:.0}", at.at.0 * 1e3 + 0.0, at.at.1 * 1e3 + 0.0);
        let style = ("sans-serif", 16).into_font().transform(FontTransform::Rotate270).color(&color(GREY));
        chart.draw_series([Text::new(
            label,
            (x, bottom + 0.22 * (top - bottom)),
            style.pos(Pos::new(HPos::Left, VPos::Bottom)),
        )])?;
    }
    Ok(())
}
